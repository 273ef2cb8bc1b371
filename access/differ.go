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
	type once struct {
		purpose
		owner guide.ID
		verb  guide.Verb
		way   int32
	}
	seen := map[once]bool{}
	add := func(u use) {
		if key := (once{u.purpose(), u.item, u.verb, u.way}); !seen[key] {
			seen[key] = true
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
	ours, theirs := index(these), index(those)
	for _, u := range these {
		switch other, same := theirs.find(u); {
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
		switch other, _ := ours.find(u); {
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

// purpose is what a use serves: a task, an item out of the way, or a value of
// a condition.
type purpose struct {
	task        int32
	item        guide.ID
	cond, value guide.ID
}

func (u *use) purpose() purpose {
	switch {
	case u.cond != "":
		return purpose{task: none, cond: u.cond, value: u.value}
	case u.task != none:
		return purpose{task: u.task}
	}
	return purpose{task: none, item: u.item}
}

// byPurpose finds uses by what they serve.
type byPurpose map[purpose][]*use

func index(list []use) byPurpose {
	of := make(byPurpose, len(list))
	for i := range list {
		key := list[i].purpose()
		of[key] = append(of[key], &list[i])
	}
	return of
}

// find finds what serves the same purpose as u: the same task, item or
// condition; same reports whether it is done in the same way.
func (p byPurpose) find(u use) (other *use, same bool) {
	for _, o := range p[u.purpose()] {
		switch {
		case u.cond != "":
			return o, true
		case u.task != none:
			return o, o.way == u.way && o.item == u.item
		case other == nil || o.way == u.way:
			other, same = o, o.way == u.way
		}
	}
	return other, same
}
