package vet

import (
	"strings"

	"elbowroom/guide"
)

// mostViews is how many variants are examined in full combination.
const mostViews = 64

// view is the guide as one variant sees it, with what can be reached there.
type view struct {
	variant guide.Selector
	r       *guide.Resolved
	reached *reached
}

// name prints the variant as people say it: "LHD A"; "" where there is one.
func (v *view) name() string {
	words := make([]string, len(v.variant))
	for i, c := range v.variant {
		words[i] = string(c.Values[0])
	}
	return strings.Join(words, " ")
}

// views resolves the guide for every variant, or, where there are more than
// mostViews, for the first one and each single departure from it. A variant
// that cannot be resolved is passed over: the reader of the text reports why.
func views(e *examiner) []*view {
	var out []*view
	for _, s := range variants(e.g.Axes) {
		r, err := guide.Resolve(e.g, s)
		if err != nil {
			continue
		}
		out = append(out, &view{variant: s, r: r})
	}
	for _, v := range out {
		v.reached = reach(e, v)
	}
	return out
}

func variants(axes []guide.Axis) []guide.Selector {
	all := 1
	for _, a := range axes {
		if len(a.Values) > 0 && all <= mostViews {
			all *= len(a.Values)
		}
	}
	if all > mostViews {
		return departures(axes)
	}
	out := []guide.Selector{nil}
	for _, a := range axes {
		var next []guide.Selector
		for _, s := range out {
			for _, v := range a.Values {
				next = append(next, append(s[:len(s):len(s)], choice(a, v)))
			}
		}
		if len(next) > 0 {
			out = next
		}
	}
	return out
}

// departures returns the first value of every axis, and each selector that
// differs from it in one axis.
func departures(axes []guide.Axis) []guide.Selector {
	var first guide.Selector
	for _, a := range axes {
		if len(a.Values) > 0 {
			first = append(first, choice(a, a.Values[0]))
		}
	}
	out := []guide.Selector{first}
	for _, a := range axes {
		for i := 1; i < len(a.Values); i++ {
			s := make(guide.Selector, len(first))
			copy(s, first)
			for k := range s {
				if s[k].Axis == a.ID {
					s[k] = choice(a, a.Values[i])
				}
			}
			out = append(out, s)
		}
	}
	return out
}

func choice(a guide.Axis, v guide.AxisValue) guide.Choice {
	return guide.Choice{Axis: a.ID, Values: []guide.ID{v.ID}}
}

// on says on which variants something holds: "" for all of them, else
// " on LHD A, RHD A".
func (e *examiner) on(names []string) string {
	if len(names) == len(e.views) {
		return ""
	}
	return " on " + list(names)
}
