package joblog

import (
	"slices"

	"elbowroom/guide"
	"elbowroom/guide/compare"
	"elbowroom/plan"
)

// Touch is a difference between the pinned revision of the guide and another,
// with the steps of the job that it concerns.
type Touch struct {
	compare.Difference
	Done    []int `json:"done,omitempty"`    // numbers of steps of the present plan that are done
	Planned []int `json:"planned,omitempty"` // and of those that are not
	Extra   []ID  `json:"extra,omitempty"`   // events that ticked steps of no plan
}

// Touched says of each difference which steps of the job it concerns: first
// the differences that concern any, in their order, then the others. old is
// the pinned revision, resolved for the job's variant.
func (s State) Touched(old *guide.Resolved, differences []compare.Difference) []Touch {
	var hit, rest []Touch
	for _, d := range differences {
		t := Touch{Difference: d}
		if s.Plan != nil {
			for _, st := range s.Plan.Steps {
				switch {
				case !concerns(old, d, st.Act):
				case st.Counts:
					t.Done = append(t.Done, st.Step)
				default:
					t.Planned = append(t.Planned, st.Step)
				}
			}
		}
		for _, st := range s.Extra {
			if len(st.Ticks) > 0 && st.Counts && concerns(old, d, st.Act) {
				t.Extra = append(t.Extra, st.Ticks[0].ID)
			}
		}
		if len(t.Done)+len(t.Planned)+len(t.Extra) > 0 {
			hit = append(hit, t)
		} else {
			rest = append(rest, t)
		}
	}
	return append(hit, rest...)
}

// concerns reports whether a difference changes what a step is done by.
func concerns(r *guide.Resolved, d compare.Difference, a Act) bool {
	way := (&rig{r: r}).actWay(a)
	switch d.Thing {
	case compare.Item:
		return concernsItem(d, a, way)
	case compare.Check:
		return a.Kind == plan.Do && a.Item == d.On && (d.Of != compare.Way || d.Old == a.Way)
	case compare.Condition:
		moves := a.Kind == plan.Change || a.Kind == plan.Await
		return moves && a.Condition == d.On && (d.Of != compare.Change || d.Old == a.Change)
	case compare.Caution:
		return cautioned(r, d.On, a, way)
	case compare.Tool:
		return way != nil && slices.Contains(way.Tools, d.On)
	case compare.Part, compare.Fluid:
		uses := func(list []guide.Use) bool {
			return slices.ContainsFunc(list, func(u guide.Use) bool { return u.What == d.On })
		}
		ch := changeOf(r, a.Condition, a.Change)
		return way != nil && uses(way.Uses) || ch != nil && uses(ch.Uses) || replaces(r, a, uses)
	}
	return false
}

// concernsItem: a way concerns the steps that take it, a joint the steps that
// open or close it, the item itself every step on it and those that need it
// away or fitted.
func concernsItem(d compare.Difference, a Act, way *guide.Way) bool {
	on := a.Item == d.On && a.Kind != plan.Change && a.Kind != plan.Await
	switch d.Of {
	case compare.Way:
		return on && d.Old == a.Way && a.Way >= 0
	case compare.Joint:
		return on && (a.Kind != plan.Do || a.Verb == guide.Replace)
	}
	needs := way != nil && (slices.Contains(way.Fitted, d.On) || slices.ContainsFunc(way.Needs, func(n guide.Need) bool { return n.Item == d.On }))
	return on || needs
}

func cautioned(r *guide.Resolved, id guide.ID, a Act, way *guide.Way) bool {
	if way != nil && slices.Contains(way.Cautions, id) {
		return true
	}
	if it := r.Item(a.Item); it != nil && slices.Contains(it.Cautions, id) {
		return true
	}
	if c := r.Check(a.Item); c != nil && slices.Contains(c.Cautions, id) {
		return true
	}
	ch := changeOf(r, a.Condition, a.Change)
	if ch == nil || a.Kind != plan.Change && a.Kind != plan.Await {
		return false
	}
	v := valueOf(r.Condition(a.Condition), ch.To)
	return slices.Contains(ch.Cautions, id) || v != nil && slices.Contains(v.Cautions, id)
}

func replaces(r *guide.Resolved, a Act, uses func([]guide.Use) bool) bool {
	it := r.Item(a.Item)
	return a.Kind == plan.Do && a.Verb == guide.Replace && it != nil && uses(it.Parts)
}

// actWay returns the way that an act takes, nil when it takes none.
func (g *rig) actWay(a Act) *guide.Way {
	if a.Kind == plan.Change || a.Kind == plan.Await {
		return nil
	}
	if ways := g.ways(a); a.Way >= 0 && a.Way < len(ways) {
		return &ways[a.Way]
	}
	return nil
}
