package app

import (
	"cmp"
	"fmt"
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
)

// Reach answers the question and says of every other task what it would add to
// the visit, cheapest first.
func (a *App) Reach(q Ask) (*Answer, []ReachRow, error) {
	ans, err := a.Plan(q)
	if err != nil {
		return nil, nil, err
	}
	k, err := a.ask(q)
	if err != nil {
		return nil, nil, err
	}
	var rows []ReachRow
	lim := a.stopAfter(q.Budget)
	for _, t := range otherTasks(k.r, k.req) {
		req := k.req
		req.Tasks = append(slices.Clip(req.Tasks), t)
		p, err := k.planner.Plan(req, lim)
		if err != nil {
			return nil, nil, fmt.Errorf("%w: %w", ErrInput, err)
		}
		row := ReachRow{Task: t, Text: taskText(k.r, t), Item: k.r.Item(t.On), Outcome: p.Outcome}
		if len(p.Steps) > 0 {
			row.Extra = p.Cost.Total() - ans.Plan.Cost.Total()
			row.Money = p.Cost.Money() - ans.Plan.Cost.Money()
			row.Changes = !samePrefix(ans.Plan, p)
		}
		if len(p.Blockers) > 0 {
			row.Reason = p.Blockers[0].Says
		}
		rows = append(rows, row)
	}
	slices.SortStableFunc(rows, func(x, y ReachRow) int {
		return cmp.Or(cmp.Compare(rankOutcome(x), rankOutcome(y)), cmp.Compare(x.Extra, y.Extra), cmp.Compare(x.Money, y.Money))
	})
	return ans, rows, nil
}

// rankOutcome puts what cannot be added last.
func rankOutcome(r ReachRow) int {
	if r.Outcome == plan.Impossible || r.Outcome == plan.Limit {
		return 1
	}
	return 0
}

// samePrefix reports whether everything that the first plan takes apart, and
// every way it does a task, is also in the second.
func samePrefix(base, more plan.Plan) bool {
	type key struct {
		kind  plan.StepKind
		item  guide.ID
		way   int
		cond  guide.ID
		value guide.ID
	}
	have := map[key]bool{}
	of := func(s plan.Step) key { return key{s.Kind, s.Item, s.Way, s.Condition, s.To} }
	for _, s := range more.Steps {
		have[of(s)] = true
	}
	return !slices.ContainsFunc(base.Steps, func(s plan.Step) bool { return !have[of(s)] })
}

// otherTasks lists every task of the engine that the request does not have:
// the task verbs of every item that are open on the variant, then the checks.
func otherTasks(r *guide.Resolved, req plan.Request) []plan.Task {
	var out []plan.Task
	add := func(v guide.Verb, on guide.ID) {
		t := plan.Task{Verb: v, On: on}
		same := func(o plan.Task) bool { return o.Verb == v && o.On == on }
		if !slices.ContainsFunc(req.Tasks, same) && !slices.ContainsFunc(out, same) {
			out = append(out, t)
		}
	}
	for _, it := range r.Items {
		for _, w := range it.Ways {
			if !w.Do.Clears() && r.Fits(w.For) {
				add(w.Do, it.ID)
			}
		}
	}
	for _, c := range r.Guide.Checks {
		add(guide.Measure, c.ID)
	}
	return out
}
