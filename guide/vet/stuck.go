package vet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
)

// stuck is an item that has clearing ways on a variant of which none can be
// gone there.
type stuck struct {
	on     []string // variants
	reason string
	circle []guide.ID // the round of needs that it is part of; nil when none
}

// stuckItems gathers the items that cannot be cleared, by item.
func (e *examiner) stuckItems() map[guide.ID]*stuck {
	all := map[guide.ID]*stuck{}
	for _, v := range e.views {
		lacking := v.reached.stuck()
		circles := e.circles(v.reached, lacking)
		for id, why := range lacking {
			s := all[id]
			if s == nil {
				s = &stuck{}
				all[id] = s
			}
			s.on = append(s.on, v.name())
			if s.reason == "" {
				s.reason = e.say(why)
			}
			if s.circle == nil {
				s.circle = circles[id]
			}
		}
	}
	return all
}

// stuck returns the items with clearing ways of which none is open, each with
// the first fact that its first way lacks.
func (r *reached) stuck() map[guide.ID]fact {
	out := map[guide.ID]fact{}
	free := map[guide.ID]bool{}
	for i, a := range r.acts {
		if a.item == "" || !a.verb.Clears() {
			continue
		}
		if r.open[i] || r.have[fact{kind: cleared, on: a.item}] {
			free[a.item] = true
			continue
		}
		if _, ok := out[a.item]; !ok {
			out[a.item], _ = r.lacks(a)
		}
	}
	for id := range free {
		delete(out, id)
	}
	return out
}

// circles finds the stuck items that need one another in a round. It follows
// needs between stuck items, drops again and again what needs nothing stuck
// and what nothing stuck needs, and walks what is left.
func (e *examiner) circles(r *reached, lacking map[guide.ID]fact) map[guide.ID][]guide.ID {
	next := map[guide.ID][]guide.ID{}
	for _, a := range r.acts {
		if _, ok := lacking[a.item]; !ok || !a.verb.Clears() {
			continue
		}
		for _, f := range a.needs {
			if _, ok := lacking[f.on]; ok && f.kind <= off && !r.have[f] {
				next[a.item] = append(next[a.item], f.on)
			}
		}
	}
	peel(next)
	back := turned(next)
	peel(back)
	next = turned(back)
	out := map[guide.ID][]guide.ID{}
	for _, a := range r.acts {
		if len(next[a.item]) > 0 && out[a.item] == nil {
			e.walk(next, a.item, out)
		}
	}
	return out
}

// peel removes the nodes that lead nowhere until every node left leads to
// another one.
func peel(next map[guide.ID][]guide.ID) {
	from := turned(next)
	var ends []guide.ID
	left := map[guide.ID]int{}
	for id, to := range next {
		left[id] = len(to)
	}
	for id := range from {
		if left[id] == 0 {
			ends = append(ends, id)
		}
	}
	gone := map[guide.ID]bool{}
	for len(ends) > 0 {
		id := ends[len(ends)-1]
		ends = ends[:len(ends)-1]
		gone[id] = true
		delete(next, id)
		for _, f := range from[id] {
			if left[f]--; left[f] == 0 {
				ends = append(ends, f)
			}
		}
	}
	for id, to := range next {
		next[id] = slices.DeleteFunc(to, func(t guide.ID) bool { return gone[t] })
	}
}

// turned returns the graph with every arrow turned round.
func turned(next map[guide.ID][]guide.ID) map[guide.ID][]guide.ID {
	from := map[guide.ID][]guide.ID{}
	for id, to := range next {
		for _, t := range to {
			from[t] = append(from[t], id)
		}
	}
	return from
}

// walk follows first needs from an item until one comes up again, and notes
// the round for every item of it.
func (e *examiner) walk(next map[guide.ID][]guide.ID, id guide.ID, out map[guide.ID][]guide.ID) {
	at := map[guide.ID]int{}
	var path []guide.ID
	for {
		if i, ok := at[id]; ok {
			circle := path[i:]
			first := slices.Index(circle, slices.MinFunc(circle, func(a, b guide.ID) int { return cmp.Compare(e.order[a], e.order[b]) }))
			circle = append(slices.Clone(circle[first:]), circle[:first]...)
			for _, in := range circle {
				out[in] = circle
			}
			return
		}
		if out[id] != nil || len(next[id]) == 0 {
			return
		}
		at[id] = len(path)
		path = append(path, id)
		id = next[id][0]
	}
}

func lookUnreachable(e *examiner) {
	e.eachStuck(func(path string, it *guide.Item, s *stuck) {
		if s.circle == nil {
			e.report(path, "", fmt.Sprintf("%s cannot be cleared%s: %s", e.named(it.ID), e.on(s.on), s.reason),
				"write a way for what is in the way, or correct the need")
		}
	})
}

func lookCircle(e *examiner) {
	e.eachStuck(func(path string, it *guide.Item, s *stuck) {
		if len(s.circle) == 0 || s.circle[0] != it.ID {
			return // told once, at the item that is written first
		}
		e.report(path, "", fmt.Sprintf("these items can only be cleared in a circle%s: %s", e.on(s.on), round(s.circle)),
			"one of these needs is wrong, or one of the items has a further way")
	})
}

// round prints a circle: "AR04 needs AR06 needs AR04".
func round(circle []guide.ID) string {
	const most = 8
	names := make([]string, 0, most+2)
	for i, id := range circle {
		if i == most {
			names = append(names, fmt.Sprintf("%d more", len(circle)-most))
			break
		}
		names = append(names, string(id))
	}
	return strings.Join(append(names, string(circle[0])), " needs ")
}

// eachStuck visits the stuck items in guide order.
func (e *examiner) eachStuck(visit func(path string, it *guide.Item, s *stuck)) {
	all := e.stuckItems()
	for i := range e.g.Items {
		it := &e.g.Items[i]
		if s := all[it.ID]; s != nil {
			visit(within("items", it.ID), it, s)
		}
	}
}
