package access

import "slices"

// filling is what is known of one wait that every plan has: the condition has
// to come to the value, every change there waits, and only work that does not
// need the value can fill the wait. Charging such work only what it costs more
// than waiting, and the whole wait on top, bounds every plan from below.
//
// A condition has one change in progress at a time, so the waits for several
// values of one condition never overlap and are charged together.
type filling struct {
	cond  int32
	parts []part
}

// part is the wait for one value.
type part struct {
	value  int32
	wait   int64    // ms, the shortest of the changes to the value
	early  []bool   // by fact: can be brought about before the value
	late   []bool   // by task: can only be done after it
	steady []steady // by change to the value
}

// steady is what stays as it is while a change is in progress: by condition its
// value, none when it may change.
type steady []int32

// fillings lists the waits that no plan for the whole visit is without, with a
// relaxation for each condition.
func (w *machine) fillings(x *relaxation) []*relaxation {
	var list []*relaxation
	for c := range w.model.conds {
		f := &filling{cond: int32(c)}
		for v := range w.model.conds[c].values {
			if p, ok := w.part(x, int32(c), int32(v)); ok {
				f.parts = append(f.parts, p)
			}
		}
		if len(f.parts) == 0 {
			continue
		}
		y, err := w.relaxPriced(true, f.pricing(w, x))
		if err != nil {
			continue
		}
		y.fill = f
		list = append(list, y)
	}
	return list
}

// part returns false when a plan may be without the wait. It speaks of the
// first time that the condition comes to the value: from a value that it can
// have before.
func (w *machine) part(x *relaxation, c, v int32) (part, bool) {
	f := part{value: v, wait: far}
	without := make([]bool, len(x.ops))
	for k := range w.changes {
		if h := &w.changes[k]; h.cond == c && h.to == v && x.change[k] != none {
			without[x.change[k]] = true
		}
	}
	f.early = x.within(without)
	for k := range w.changes {
		if h := &w.changes[k]; h.cond == c && h.to == v && f.early[x.facts.has(c, h.from)] {
			f.wait = min(f.wait, h.wait)
			f.steady = append(f.steady, w.keeps(h))
		}
	}
	if f.wait == 0 || f.wait == far || w.model.conds[c].start == v {
		return f, false
	}
	f.late = make([]bool, w.layout.tasks)
	any := false
	for t := range f.late {
		f.late[t] = !f.early[x.facts.task+int32(t)]
		any = any || f.late[t]
	}
	return f, any
}

// keeps returns what stays as it is while the change is in progress: what it
// required at its beginning and can only be changed with a requirement on the
// condition itself, which is unmet meanwhile; and what such values demand.
func (w *machine) keeps(h *change) steady {
	k := make(steady, len(w.model.conds))
	for d := range k {
		k[d] = none
	}
	for _, r := range h.reqs {
		if !r.not && r.cond != h.cond && w.fixed(r, h.cond) {
			k[r.cond] = r.value
		}
	}
	for grew := true; grew; {
		grew = false
		for d, v := range k {
			if v == none {
				continue
			}
			for _, r := range w.model.conds[d].demand[v].reqs {
				if !r.not && k[r.cond] == none {
					k[r.cond], grew = r.value, true
				}
			}
		}
	}
	return k
}

// fixed reports whether every change away from the required value asks for
// something of the condition c.
func (w *machine) fixed(r req, c int32) bool {
	for n := range w.changes {
		h := &w.changes[n]
		if h.cond == r.cond && h.from == r.value && !asks(&h.terms, c) {
			return false
		}
	}
	return true
}

func asks(t *terms, c int32) bool {
	return slices.ContainsFunc(t.reqs, func(r req) bool { return r.cond == c })
}

// allows reports whether something with these terms can be done while a change
// of the condition c is in progress that keeps k.
func (k steady) allows(t *terms, c int32) bool {
	for _, r := range t.reqs {
		if r.cond == c || k[r.cond] != none && (k[r.cond] == r.value) == r.not {
			return false
		}
	}
	return true
}

// fits reports whether the terms can be met during some wait for the value.
func (f *part) fits(t *terms, c int32) bool {
	return slices.ContainsFunc(f.steady, func(k steady) bool { return k.allows(t, c) })
}

// moves reports whether the condition of a change can move during some wait
// for the value.
func (f *part) moves(h *change, c int32) bool {
	return h.cond != c && slices.ContainsFunc(f.steady, func(k steady) bool { return k[h.cond] == none && k.allows(&h.terms, c) })
}

// within returns the facts that can be brought about from the start without
// some operations.
func (x *relaxation) within(without []bool) []bool {
	x.indexUsers()
	miss := make([]int32, len(x.prob.Ops))
	for n := range miss {
		miss[n] = int32(len(x.prob.Ops[n].Pre))
	}
	holds, queue := make([]bool, x.prob.Facts), []int32(nil)
	hold := func(facts []int32) {
		for _, f := range facts {
			if !holds[f] {
				holds[f] = true
				queue = append(queue, f)
			}
		}
	}
	hold(x.query(x.w.first()).Start)
	for n, k := range miss {
		if k == 0 && !without[n] {
			hold(x.prob.Ops[n].Add)
		}
	}
	for head := 0; head < len(queue); head++ {
		f := queue[head]
		for _, n := range x.user[x.userAt[f]:x.userAt[f+1]] {
			if miss[n]--; miss[n] == 0 && !without[n] {
				hold(x.prob.Ops[n].Add)
			}
		}
	}
	return holds
}

// indexUsers lists the operations that need each fact.
func (x *relaxation) indexUsers() {
	if x.userAt != nil {
		return
	}
	x.userAt = make([]int32, x.prob.Facts+2)
	for n := range x.prob.Ops {
		for _, f := range x.prob.Ops[n].Pre {
			x.userAt[f+2]++
		}
	}
	for f := range x.prob.Facts {
		x.userAt[f+2] += x.userAt[f+1]
	}
	x.user = make([]int32, x.userAt[x.prob.Facts+1])
	for n := range x.prob.Ops {
		for _, f := range x.prob.Ops[n].Pre {
			x.user[x.userAt[f+1]] = int32(n)
			x.userAt[f+1]++
		}
	}
}

func all(holds []bool, facts []int32) bool {
	for _, f := range facts {
		if !holds[f] {
			return false
		}
	}
	return true
}

// pricing charges work that can fill a wait only what it costs more than
// waiting.
func (f *filling) pricing(w *machine, x *relaxation) pricing {
	out, back, change := make([]bool, len(w.ways)), make([]bool, len(w.ways)), make([]bool, len(w.changes))
	for i := range f.parts {
		f.parts[i].mark(w, x, f.cond, out, back, change)
	}
	p := w.plainPricing()
	for n := range w.ways {
		if out[n] {
			p.out[n] -= w.ways[n].out.elapsed * w.waitPrice
		}
		if back[n] {
			p.back[n] -= w.ways[n].back.elapsed * w.waitPrice
		}
	}
	for k := range w.changes {
		if change[k] {
			p.change[k] -= w.changes[k].cost.elapsed * w.waitPrice
		}
	}
	p.finish(w)
	return p
}

// mark marks what can fill the wait for the value: by way out and back, and by
// change.
func (f *part) mark(w *machine, x *relaxation, c int32, out, back, change []bool) {
	can := func(op int32) bool { return op != none && all(f.early, x.prob.Ops[op].Pre) }
	lateOnly := f.lateOnly(w, x)
	for n := range w.ways {
		y := &w.ways[n]
		switch {
		case !f.fits(&y.terms, c):
		case y.task != none:
			out[n] = out[n] || can(x.do[n])
		default:
			out[n] = out[n] || can(x.clear[n])
			back[n] = back[n] || can(x.back[n]) || can(x.clear[n]) && !lateOnly[n]
		}
	}
	for k := range w.changes {
		if can(x.change[k]) && f.moves(&w.changes[k], c) {
			change[k] = true
		}
	}
}

// lateOnly marks the clearing ways that serve nothing but what needs the
// value: their refit comes after the wait too.
func (f *part) lateOnly(w *machine, x *relaxation) []bool {
	early := make([]bool, w.layout.items) // something early needs the item cleared
	for n := range x.prob.Ops {
		if !all(f.early, x.prob.Ops[n].Pre) {
			continue
		}
		for _, fact := range x.prob.Ops[n].Pre {
			if fact < x.facts.value && fact%perItem <= factOff {
				early[fact/perItem] = true
			}
		}
	}
	late, s := make([]bool, len(w.ways)), w.first()
	for n := range w.ways {
		y := &w.ways[n]
		if y.task != none {
			continue
		}
		it := &w.model.items[y.item]
		late[n] = !early[y.item] && len(y.together) == 0 && len(it.taken) == 0 && !it.demands && s[y.item] == standsOn
	}
	return late
}

// left returns how much of the waits every plan from s still has before it,
// and false when that is not known of any.
func (x *relaxation) left(s state) (sum int64, ok bool) {
	for i := range x.fill.parts {
		if left, holds := x.partLeft(s, &x.fill.parts[i]); holds {
			sum, ok = sum+left, true
		}
	}
	return sum, ok
}

// partLeft returns how much of one wait every plan from s still has before it:
// whatever holds in s can be had without the value, and a task that is still to
// be done cannot. It returns false when that is not so because the value has
// been there.
func (x *relaxation) partLeft(s state, f *part) (int64, bool) {
	w, c := x.w, x.fill.cond
	needed := false
	for t, late := range f.late {
		done := w.done(s, int32(t))
		if done && late {
			return 0, false
		}
		needed = needed || late && !done
	}
	if !needed {
		return 0, false
	}
	for i := range w.layout.items {
		if !x.earlyStanding(s, int32(i), f) {
			return 0, false
		}
	}
	for d := range w.model.conds {
		v := s[w.condAt+d]
		if v >= 0 && !f.early[x.facts.has(int32(d), v)] {
			return 0, false
		}
		if v < 0 && !x.earlyChange(&w.changes[-1-v], f) {
			return 0, false
		}
	}
	if v := w.value(s, c); v < 0 && w.changes[-1-v].to == f.value {
		return int64(s[w.leftAt+int(c)]), f.early[x.facts.has(c, w.changes[-1-v].from)]
	}
	return f.wait, true
}

// earlyChange reports whether a change in progress can lead where it does
// before the value has ever been there, or is the first one to it.
func (x *relaxation) earlyChange(h *change, f *part) bool {
	return h.cond == x.fill.cond && h.to == f.value || f.early[x.facts.has(h.cond, h.to)]
}

// earlyStanding reports whether the item can stand as it does before the value
// has ever been there, and whatever its way back brings on too.
func (x *relaxation) earlyStanding(s state, i int32, f *part) bool {
	w, at := x.w, perItem*i
	switch stands := w.stands(s, i); {
	case stands == on:
		return f.early[at+factOn]
	case !f.early[at+factAway] || stands == off && !f.early[at+factOff]:
		return false
	}
	for _, n := range [2]int32{w.topWay(s, i), w.lowWay(s, i)} {
		if n != none && x.refit[n] != none && !all(f.early, x.prob.Ops[x.refit[n]].Add) {
			return false
		}
	}
	return true
}
