package app

import (
	"errors"
	"fmt"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/plan"
)

// wayLines lists every way of an item with what a visit for it alone would
// cost from the present state, the planner's choice marked.
func (a *App) wayLines(q Ask, s setting, b *bench, it *guide.Item) ([]WayLine, error) {
	q.Tasks, q.Before, q.Proof, q.Order = nil, nil, nil, nil
	base, err := a.request(q, s, b.r)
	if err != nil {
		return nil, err
	}
	lim := a.stopAfter(besideBudget)
	var out []WayLine
	for i, w := range it.Ways {
		line := WayLine{Way: w, Verb: w.Do, Text: wayText(b.r, w), Open: b.r.Fits(w.For)}
		if !w.Do.Clears() {
			line.Task = string(w.Do) + ":" + string(it.ID)
		}
		switch {
		case !line.Open:
			line.Reason = "only on " + w.For.String()
		case !w.Do.Clears():
			err = wayPrice(b, base, plan.Act{Item: it.ID, Verb: w.Do, Way: i}, lim, &line)
		default:
			line.First = needIDs(w)
		}
		if err != nil {
			return nil, err
		}
		out = append(out, line)
	}
	return out, nil
}

// wayPrice plans a visit for one task by one way.
func wayPrice(b *bench, req plan.Request, act plan.Act, lim access.Limits, line *WayLine) error {
	req.Tasks = []plan.Task{{Verb: act.Verb, On: act.Item}}
	why, err := b.planner.WhyNot(req, act, lim)
	var bad *access.InputError
	if errors.As(err, &bad) {
		return fmt.Errorf("%w: %w", ErrInput, err)
	}
	if err != nil {
		return err
	}
	line.Outcome, line.Best = why.Outcome, why.Taken
	if len(why.Blockers) > 0 {
		line.Reason = why.Blockers[0].Says
	}
	if len(why.Plan.Steps) == 0 {
		return nil
	}
	k := asked{bench: b, req: req}
	if err := replayed(k, why.Plan); err != nil {
		return err
	}
	line.Total, line.Money = why.Plan.Cost.Total(), why.Plan.Cost.Money()
	for _, st := range why.Plan.Steps {
		if st.Kind == plan.Clear {
			line.First = append(line.First, st.Item)
		}
	}
	if !why.Taken && len(why.Dear) > 0 {
		line.Reason = "dearer: " + k.differText(why.Dear)
	}
	return nil
}

func needIDs(w guide.Way) []guide.ID {
	var out []guide.ID
	for _, n := range w.Needs {
		out = append(out, n.Item)
	}
	return out
}
