package app

import (
	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/plan"
)

// Describe puts a plan into words that was made and audited before, from the
// guide that it was made with: what Plan answers, without alternatives.
func Describe(r *guide.Resolved, req plan.Request, p plan.Plan) *Answer {
	a := &Answer{Guide: r.Guide, Resolved: r, Variant: req.Variant.String(), Request: req, Plan: p}
	(&builder{r: r, req: req, a: a}).build()
	return a
}

// DescribeWhere says where the item of every step is, by the number of the
// step less one, seen from where the worker stands and with what is out of the
// way by then.
func DescribeWhere(a *Answer) []string {
	scene := bay.New(a.Resolved)
	gone := map[guide.ID]bay.State{}
	for _, f := range a.Request.Found {
		gone[f.Item] = stateOf(f.Off)
	}
	out := make([]string, len(a.Plan.Steps))
	for i, s := range a.Plan.Steps {
		if s.Item != "" {
			out[i] = scene.Where(s.Item, bay.From{Place: s.Place, Cleared: gone}).Text
		}
		switch s.Kind {
		case plan.Clear:
			gone[s.Item] = stateOf(s.Verb == guide.Off)
		case plan.Refit:
			delete(gone, s.Item)
		}
	}
	return out
}

func stateOf(off bool) bay.State {
	if off {
		return bay.Off
	}
	return bay.Aside
}
