package access

// filling is what is known of one wait that every plan has: the condition has
// to come to the value, every change there waits, and only work that does not
// need the value can fill the wait. Charging such work only what it costs more
// than waiting, and the whole wait on top, bounds every plan from below.
type filling struct {
	cond, value int32
	wait        int64  // ms, the shortest of the changes to the value
	early       []bool // by fact: can be brought about before the value
	late        []bool // by task: can only be done after it
}

// fillings lists the waits that no plan for the whole visit is without, with a
// relaxation for each.
func (w *machine) fillings(x *relaxation) []*relaxation {
	var list []*relaxation
	for c := range w.model.conds {
		for v := range w.model.conds[c].values {
			f := w.filling(x, int32(c), int32(v))
			if f == nil {
				continue
			}
			y, err := w.relaxPriced(true, f.pricing(w, x))
			if err != nil {
				continue
			}
			y.fill = f
			list = append(list, y)
		}
	}
	return list
}

// filling returns nil when a plan may be without the wait.
func (w *machine) filling(x *relaxation, c, v int32) *filling {
	f := &filling{cond: c, value: v, wait: far}
	without := make([]bool, len(x.ops))
	for k := range w.changes {
		if h := &w.changes[k]; h.cond == c && h.to == v {
			f.wait = min(f.wait, h.wait)
			if x.change[k] != none {
				without[x.change[k]] = true
			}
		}
	}
	if f.wait == 0 || f.wait == far || w.model.conds[c].start == v {
		return nil
	}
	f.early = x.within(without)
	f.late = make([]bool, w.layout.tasks)
	any := false
	for t := range f.late {
		f.late[t] = !f.early[x.facts.task+int32(t)]
		any = any || f.late[t]
	}
	if !any {
		return nil
	}
	return f
}

// within returns the facts that can be brought about from the start without
// some operations.
func (x *relaxation) within(without []bool) []bool {
	holds := make([]bool, x.prob.Facts)
	q := x.query(x.w.first())
	for _, f := range q.Start {
		holds[f] = true
	}
	for grew := true; grew; {
		grew = false
		for n := range x.prob.Ops {
			if without[n] || !all(holds, x.prob.Ops[n].Pre) {
				continue
			}
			for _, f := range x.prob.Ops[n].Add {
				if !holds[f] {
					holds[f], grew = true, true
				}
			}
		}
	}
	return holds
}

func all(holds []bool, facts []int32) bool {
	for _, f := range facts {
		if !holds[f] {
			return false
		}
	}
	return true
}

// pricing charges work that can fill the wait only what it costs more than
// waiting.
func (f *filling) pricing(w *machine, x *relaxation) pricing {
	p := w.plainPricing()
	can := func(op int32) bool { return op != none && all(f.early, x.prob.Ops[op].Pre) }
	lateOnly := f.lateOnly(w, x)
	for n := range w.ways {
		y := &w.ways[n]
		if y.task != none {
			if can(x.do[n]) {
				p.out[n] -= y.out.elapsed * w.waitPrice
			}
			continue
		}
		if can(x.clear[n]) {
			p.out[n] -= y.out.elapsed * w.waitPrice
		}
		if can(x.back[n]) || can(x.clear[n]) && !lateOnly[n] {
			p.back[n] -= y.back.elapsed * w.waitPrice
		}
	}
	for k := range w.changes {
		h := &w.changes[k]
		if can(x.change[k]) && (h.cond != f.cond || h.to != f.value) {
			p.change[k] -= h.cost.elapsed * w.waitPrice
		}
	}
	p.finish(w)
	return p
}

// lateOnly marks the clearing ways that serve nothing but what needs the
// value: their refit comes after the wait too.
func (f *filling) lateOnly(w *machine, x *relaxation) []bool {
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
	late := make([]bool, len(w.ways))
	for n := range w.ways {
		y := &w.ways[n]
		if y.task != none {
			continue
		}
		it := &w.model.items[y.item]
		late[n] = !early[y.item] && len(y.together) == 0 && len(it.taken) == 0 && !it.demands && it.found == on
	}
	return late
}

// left returns how much of the wait every plan from s still has before it, and
// false when the bound does not hold in s because the value has been there.
func (x *relaxation) left(s state) (int64, bool) {
	w, f := x.w, x.fill
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
		if away := perItem*int32(i) + factAway; s[i] != standsOn && (!f.early[away] || !f.early[away+1] && w.stands(s, int32(i)) == off) {
			return 0, false
		}
	}
	for c := range w.model.conds {
		v := s[w.condAt+c]
		if v >= 0 && !f.early[x.facts.has(int32(c), v)] {
			return 0, false
		}
		if v < 0 && int32(c) != f.cond && !f.early[x.facts.has(int32(c), w.changes[-1-v].to)] {
			return 0, false
		}
	}
	if v := w.value(s, f.cond); v < 0 && w.changes[-1-v].to == f.value {
		return int64(s[w.leftAt+int(f.cond)]), true
	}
	return f.wait, true
}
