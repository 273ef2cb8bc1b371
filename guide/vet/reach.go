package vet

import (
	"fmt"

	"elbowroom/guide"
)

// factKind is the sort of a fact of the machine.
type factKind byte

const (
	cleared factKind = iota // item stands aside or off
	off                     // item stands off
	has                     // condition can have the value
	hasNot                  // condition can have another value
)

// fact is something that can be brought about.
type fact struct {
	kind factKind
	on   guide.ID
	to   guide.ID // value of a condition
}

// act is a way or a change with the facts that it needs and makes.
type act struct {
	needs []fact
	makes []fact
	item  guide.ID // whose way it is; "" for a change
	verb  guide.Verb
	way   int
}

// reached is what can be brought about on one variant when nothing that was
// reached is ever lost again: what is out of reach here is out of reach in
// every plan.
type reached struct {
	acts []act
	open []bool // by act: everything that it needs can be brought about
	have map[fact]bool
}

// reach works forward from the machine as it arrives, in time that grows with
// the number of needs.
func reach(e *examiner, v *view) *reached {
	r := &reached{have: map[fact]bool{}}
	var ready []fact
	begin := func(f fact) {
		if !r.have[f] {
			r.have[f] = true
			ready = append(ready, f)
		}
	}
	for _, c := range e.g.Conditions {
		begin(fact{has, c.ID, c.Start})
		for _, val := range c.Values {
			if val.ID != c.Start {
				begin(fact{hasNot, c.ID, val.ID})
			}
		}
	}
	r.acts = e.acts(v.r)
	r.open = make([]bool, len(r.acts))
	missing := make([]int, len(r.acts))
	waits := map[fact][]int{}
	fire := func(i int) {
		r.open[i] = true
		for _, f := range r.acts[i].makes {
			begin(f)
		}
	}
	for i, a := range r.acts {
		for _, f := range a.needs {
			waits[f] = append(waits[f], i)
		}
		if missing[i] = len(a.needs); missing[i] == 0 {
			fire(i)
		}
	}
	for len(ready) > 0 {
		f := ready[len(ready)-1]
		ready = ready[:len(ready)-1]
		for _, i := range waits[f] {
			if missing[i]--; missing[i] == 0 {
				fire(i)
			}
		}
	}
	return r
}

// acts lists every way and change that exists on the variant.
func (e *examiner) acts(r *guide.Resolved) []act {
	var out []act
	for i := range r.Items {
		it := &r.Items[i]
		for k := range it.Ways {
			w := &it.Ways[k]
			if !r.Fits(w.For) {
				continue
			}
			a := act{item: it.ID, verb: w.Do, way: k, needs: e.facts(r, w.Needs, e.demands(w.With, w.Cautions, it.Cautions))}
			if w.Do.Clears() {
				for _, id := range append([]guide.ID{it.ID}, w.Together...) {
					a.makes = append(a.makes, fact{kind: cleared, on: id})
					if w.Do == guide.Off || id != it.ID {
						a.makes = append(a.makes, fact{kind: off, on: id})
					}
				}
			}
			out = append(out, a)
		}
	}
	for _, c := range e.g.Conditions {
		for k := range c.Changes {
			ch := &c.Changes[k]
			needs := e.facts(r, ch.Needs, e.demands(ch.With, ch.Cautions))
			a := act{needs: append(needs, fact{has, c.ID, ch.From}), makes: []fact{{has, c.ID, ch.To}}}
			for _, val := range c.Values {
				if val.ID != ch.To {
					a.makes = append(a.makes, fact{hasNot, c.ID, val.ID})
				}
			}
			out = append(out, a)
		}
	}
	return out
}

// demands are the conditions that a way asks for, those of its cautions
// included: what makes the work safe is part of the work.
func (e *examiner) demands(with []guide.Req, cautions ...[]guide.ID) []guide.Req {
	all := with[:len(with):len(with)]
	for _, ids := range cautions {
		for _, id := range ids {
			if c := e.cautions[id]; c != nil {
				all = append(all, c.Safe...)
			}
		}
	}
	return all
}

// facts turns needs and conditions into facts. An item that is not part of the
// variant is never in the way; a condition that does not exist asks nothing.
func (e *examiner) facts(r *guide.Resolved, needs []guide.Need, with []guide.Req) []fact {
	var out []fact
	for _, n := range needs {
		if r.Item(n.Item) == nil {
			continue
		}
		kind := cleared
		if n.Off {
			kind = off
		}
		out = append(out, fact{kind: kind, on: n.Item})
	}
	for _, q := range with {
		if e.conds[q.Condition] == nil {
			continue
		}
		kind := has
		if q.Not {
			kind = hasNot
		}
		out = append(out, fact{kind, q.Condition, q.Value})
	}
	return out
}

// lacks returns the first fact that the act cannot have.
func (r *reached) lacks(a act) (fact, bool) {
	for _, f := range a.needs {
		if !r.have[f] {
			return f, true
		}
	}
	return fact{}, false
}

// say puts a fact that cannot be had into words.
func (e *examiner) say(f fact) string {
	switch f.kind {
	case off:
		if !e.hasWay(f.on, guide.Off) {
			return fmt.Sprintf("it needs %s off, which has no way off", e.named(f.on))
		}
		return fmt.Sprintf("it needs %s off, which cannot be taken off", e.named(f.on))
	case cleared:
		if !e.hasWay(f.on, guide.Off) && !e.hasWay(f.on, guide.Aside) {
			return fmt.Sprintf("it needs %s out of the way, which has no way off or aside", e.named(f.on))
		}
		return fmt.Sprintf("it needs %s out of the way, which cannot be cleared", e.named(f.on))
	case hasNot:
		return fmt.Sprintf("it needs %s to be other than %s, and no change that can be made leads away from it", f.on, f.to)
	}
	return fmt.Sprintf("it needs %s=%s, and no change that can be made leads there", f.on, f.to)
}

// hasWay reports whether the item has a way of the verb, its own or its kind's.
func (e *examiner) hasWay(id guide.ID, v guide.Verb) bool {
	it := e.items[id]
	if it == nil {
		return false
	}
	for _, w := range e.waysOf(it) {
		if w.Do == v {
			return true
		}
	}
	return false
}

// waysOf returns the item's ways with those of its kind whose verb it does not
// have itself, as guide.Resolve does.
func (e *examiner) waysOf(it *guide.Item) []guide.Way {
	k := e.kinds[it.Kind]
	if k == nil {
		return it.Ways
	}
	own := map[guide.Verb]bool{}
	for _, w := range it.Ways {
		own[w.Do] = true
	}
	all := it.Ways[:len(it.Ways):len(it.Ways)]
	for _, w := range k.Ways {
		if !own[w.Do] {
			all = append(all, w)
		}
	}
	return all
}
