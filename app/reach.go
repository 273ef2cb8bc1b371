package app

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"elbowroom/plan"
)

// Reach answers the question and says of every other task what it would add to
// the visit, cheapest first.
func (a *App) Reach(q Ask) (*Answer, []ReachRow, error) {
	allowed := a.allow(q.Budget)
	ans, err := a.plan(q, allowed.until(reachPlan))
	if err != nil {
		return nil, nil, err
	}
	k, err := a.ask(q)
	if err != nil {
		return nil, nil, err
	}
	others, err := k.planner.Reach(k.req, allowed.until(reachShare).limits())
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	alone, err := a.aloneTimes(k, allowed.atMost(besideBudget))
	if err != nil {
		return nil, nil, err
	}
	rows := make([]ReachRow, len(others))
	for i, o := range others {
		rows[i] = ReachRow{
			Task: o.Task, Text: taskText(k.r, o.Task), Item: k.r.Item(o.Task.On), Outcome: o.Outcome,
			Extra: o.Extra.Time, Money: o.Extra.Money, Changes: o.Changes,
			Alone: alone[o.Task.String()],
		}
		switch o.Outcome {
		case plan.Impossible:
			rows[i].Reason = "cannot be done in the same visit"
		case plan.Limit:
			rows[i].Reason = "not worked out in the time allowed"
		}
	}
	slices.SortStableFunc(rows, func(x, y ReachRow) int {
		return cmp.Or(cmp.Compare(rankOutcome(x), rankOutcome(y)), cmp.Compare(x.Extra, y.Extra), cmp.Compare(x.Money, y.Money))
	})
	return ans, rows, nil
}

// aloneTimes says what each task costs on a visit of its own from the same
// state, worked out once for each state and kept. Tasks that the time did not
// reach are missing.
func (a *App) aloneTimes(k asked, allowed allowance) (map[string]time.Duration, error) {
	req := k.req
	req.Tasks = nil
	key := fmt.Sprintf("%v|%v|%v|%v|%d|%s|%d|%d", req.Found, req.Given, req.LeaveOpen, req.Missing, req.People, req.By, req.Rate, req.WaitRate)
	a.mu.Lock()
	times, ok := k.alone[key]
	a.mu.Unlock()
	if ok {
		return times, nil
	}
	base, err := k.planner.Plan(req, allowed.limits())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	if base.Outcome != plan.Optimal {
		return nil, nil // the rows would say what a task costs beyond nothing certain
	}
	rows, err := k.planner.Reach(req, allowed.limits())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	times, all := map[string]time.Duration{}, true
	for _, r := range rows {
		if r.Outcome == plan.Optimal {
			times[r.Task.String()] = base.Cost.Total() + r.Extra.Time
		}
		all = all && r.Outcome != plan.Limit
	}
	if all {
		a.mu.Lock()
		defer a.mu.Unlock()
		if len(k.alone) >= maxBenches {
			clear(k.alone)
		}
		k.alone[key] = times
	}
	return times, nil
}

// rankOutcome puts what cannot be added last.
func rankOutcome(r ReachRow) int {
	if r.Outcome == plan.Impossible || r.Outcome == plan.Limit {
		return 1
	}
	return 0
}
