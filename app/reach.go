package app

import (
	"cmp"
	"fmt"
	"slices"

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
	others, err := k.planner.Reach(k.req, a.stopAfter(q.Budget))
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	rows := make([]ReachRow, len(others))
	for i, o := range others {
		rows[i] = ReachRow{
			Task: o.Task, Text: taskText(k.r, o.Task), Item: k.r.Item(o.Task.On), Outcome: o.Outcome,
			Extra: o.Extra.Time, Money: o.Extra.Money, Changes: o.Changes,
		}
		if o.Outcome == plan.Impossible {
			rows[i].Reason = "cannot be done in the same visit"
		}
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
