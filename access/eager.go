package access

// eager returns a step of s that can be taken at once without giving up any
// best way to the end, if there is one. The argument is always the same: take
// any way to the end, cut the step out of where it stands and put it here;
// nothing that follows is hindered and nothing costs more, because the step
// changes neither place nor tool.
func (e *search) eager(s state) (act, bool) {
	if a, ok := e.eagerWait(s); ok {
		return a, true
	}
	if !e.bold && !e.settled(s) {
		return act{}, false
	}
	for _, a := range e.acts {
		if !e.harmless(s, a) {
			continue
		}
		if e.late() {
			return act{}, false
		}
		if p, ok := e.w.try(s, e.spare, a); ok && !p.moved {
			return a, true
		}
	}
	return act{}, false
}

// eagerWait returns a change that waits and is better begun now than later:
// nothing wants another value of its condition, and the work of beginning it
// could fill no other wait.
func (e *search) eagerWait(s state) (act, bool) {
	w := e.w
	if w.settle && !w.allDone(s) {
		return act{}, false // it would have to be awaited before the tasks
	}
	for _, a := range e.acts {
		if a.kind != doChange {
			break
		}
		h := &w.changes[a.chg]
		if h.wait == 0 || !e.onlyWanted(h) || !e.onlyRoute(h) || h.cost.elapsed > 0 && !e.settledBut(s, h.cond) {
			continue
		}
		if p, ok := w.try(s, e.spare, a); ok && !p.moved {
			return a, true
		}
	}
	return act{}, false
}

// onlyWanted reports whether the value that the change leads to is certain to
// be needed, and no other value of the condition before it.
func (e *search) onlyWanted(h *change) bool {
	w, v := e.w, e.wants
	c := &w.model.conds[h.cond]
	if v.mustValue[h.cond] != h.to && !(c.end == h.to && !v.named[h.cond]) {
		return false
	}
	for u := range c.values {
		if v.others[h.cond][u] || int32(u) != h.to && v.values[h.cond][u] {
			return false
		}
	}
	return true
}

// settled reports whether no wait can still be begun that work now done could
// have filled.
func (e *search) settled(s state) bool { return e.settledBut(s, none) }

// settledBut leaves one condition out of account.
func (e *search) settledBut(s state, but int32) bool {
	w, v := e.w, e.wants
	for _, c := range e.waiting {
		if c == but {
			continue
		}
		x := s[w.condAt+int(c)]
		if x < 0 {
			x = w.changes[-1-x].to
		}
		k := &w.model.conds[c]
		if k.end != none && k.end != x || v.others[c][x] {
			return false
		}
		for u := range k.values {
			if int32(u) != x && v.values[c][u] {
				return false
			}
		}
	}
	return true
}

// harmless reports whether taking the act now cannot hinder anything later.
func (e *search) harmless(s state, a act) bool {
	switch a.kind {
	case doTask:
		return e.harmlessTask(a.way)
	case doRefit:
		return e.harmlessRefit(s, a)
	case doClear:
		return e.harmlessClear(s, a.way)
	case doChange:
		return e.harmlessChange(s, a.chg)
	}
	return false
}

func (e *search) harmlessTask(n int32) bool {
	y := &e.w.ways[n]
	k := &e.w.model.tasks[y.task]
	if k.proof {
		return false
	}
	for _, o := range k.ways {
		if e.w.ways[o].out.objective < y.out.objective {
			return false
		}
	}
	return true
}

func (e *search) harmlessRefit(s state, a act) bool {
	w, v := e.w, e.wants
	if v.away[a.item] || !w.mustReturn[a.item] || v.opened[a.item] && len(w.model.items[a.item].taken) > 0 {
		return false
	}
	y := &w.ways[a.way]
	if s[a.item] == standsFound {
		for _, o := range w.model.items[a.item].back {
			if w.ways[o].back.objective < y.back.objective {
				return false
			}
		}
		return true
	}
	for _, i := range y.together {
		if s[i] == -1-a.way && v.away[i] {
			return false
		}
	}
	return true
}

func (e *search) harmlessClear(s state, n int32) bool {
	w, v := e.w, e.wants
	y := &w.ways[n]
	i := y.item
	if s[i] != standsOn || !v.must[i] || v.onlyWay(i) != n || v.allOn || v.on[i] {
		return false
	}
	for _, o := range y.together {
		if v.on[o] || len(w.model.items[o].clear) > 0 || w.model.items[o].found != on {
			return false
		}
	}
	return true
}

// harmlessChange accepts a change to the end value that nothing minds, and a
// change to the only value that is wanted of the condition.
func (e *search) harmlessChange(s state, n int32) bool {
	w, v := e.w, e.wants
	h := &w.changes[n]
	c := &w.model.conds[h.cond]
	d := &c.demand[h.to]
	if h.wait > 0 || d.all || len(d.fitted) > 0 || len(d.reqs) > 0 {
		return false
	}
	if !v.named[h.cond] {
		return h.to == c.end && c.back[h.from] == h.cost.objective
	}
	if v.mustValue[h.cond] != h.to || v.others[h.cond][h.to] {
		return false
	}
	for u := range c.values {
		if int32(u) != h.to && v.values[h.cond][u] {
			return false
		}
	}
	return e.direct(h)
}

// onlyRoute reports whether no other change leads away from the value: a
// detour, or a dearer change, might save waiting.
func (e *search) onlyRoute(h *change) bool {
	for _, k := range e.w.model.conds[h.cond].changes {
		if o := &e.w.changes[k]; o != h && o.from == h.from {
			return false
		}
	}
	return true
}

// direct reports whether no detour from the one value to the other, and on to
// the end, is cheaper than the change.
func (e *search) direct(h *change) bool {
	w := e.w
	c := &w.model.conds[h.cond]
	for _, k := range c.changes {
		o := &w.changes[k]
		if o != h && o.from == h.from && o.cost.objective <= h.cost.objective {
			return false
		}
	}
	return true
}
