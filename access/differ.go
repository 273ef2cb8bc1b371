package access

import (
	"cmp"
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
)

// use is something that a plan does, whatever the order.
type use struct {
	task  int32 // none for items and conditions
	item  guide.ID
	verb  guide.Verb
	way   int32
	from  guide.ID
	cond  guide.ID
	value guide.ID
	price int64 // objective, out and back
	hands int64 // ms, out and back
}

// uses lists what the acts do, in order, each once.
func (m *model) uses(acts []act) []use {
	var list []use
	add := func(u use) {
		if !slices.ContainsFunc(list, func(o use) bool {
			return o.task == u.task && o.item == u.item && o.verb == u.verb && o.way == u.way && o.cond == u.cond && o.value == u.value
		}) {
			list = append(list, u)
		}
	}
	for _, a := range acts {
		switch a.kind {
		case doClear, doTask:
			y := &m.ways[a.way]
			u := use{task: y.task, item: y.owner, verb: y.verb, way: y.index, from: name(m.places, y.place), price: y.out.objective, hands: y.out.hands}
			if a.kind == doClear {
				u.price += y.back.objective
				u.hands += y.back.hands
			}
			add(u)
		case doChange:
			h := &m.changes[a.chg]
			c := &m.conds[h.cond]
			if h.to != c.end && h.to != c.start {
				price := h.cost.objective
				if c.back[h.to] < far {
					price += c.back[h.to]
				}
				add(use{task: none, way: none, cond: c.id, value: c.values[h.to], price: price, hands: h.cost.hands})
			}
		}
	}
	return list
}

// differences lists wherein the uses of one plan differ from those of another,
// dearest first.
func differences(these, those []use) []plan.Difference {
	type priced struct {
		plan.Difference
		price int64
	}
	var list []priced
	add := func(sort plan.DifferenceSort, u use, was guide.ID) {
		d := plan.Difference{Sort: sort, Task: int(u.task), Item: u.item, Verb: u.verb, Way: int(u.way), From: u.from, Was: was, Condition: u.cond, Time: millis(u.hands)}
		list = append(list, priced{d, u.price})
	}
	for _, u := range these {
		switch other, same := findUse(those, u); {
		case same:
		case other != nil:
			add(plan.OtherWay, u, other.from)
		case u.cond != "":
			add(plan.AlsoSet, u, "")
		case u.task == none:
			add(plan.AlsoClear, u, "")
		}
	}
	for _, u := range those {
		switch other, _ := findUse(these, u); {
		case other != nil:
		case u.cond != "":
			add(plan.NotSet, u, "")
		case u.task == none:
			add(plan.LeftOn, u, "")
		}
	}
	slices.SortStableFunc(list, func(a, b priced) int { return cmp.Compare(b.price, a.price) })
	out := make([]plan.Difference, len(list))
	for i := range list {
		out[i] = list[i].Difference
	}
	return out
}

// findUse finds what serves the same purpose as u in the list: the same task,
// item or condition; same reports whether it is done in the same way.
func findUse(list []use, u use) (other *use, same bool) {
	for i := range list {
		o := &list[i]
		switch {
		case u.cond != "":
			if o.cond == u.cond && o.value == u.value {
				return o, true
			}
		case u.task != none:
			if o.task == u.task {
				return o, o.way == u.way && o.item == u.item
			}
		case o.task == none && o.cond == "" && o.item == u.item:
			if other == nil || o.way == u.way {
				other, same = o, o.way == u.way
			}
		}
	}
	return other, same
}
