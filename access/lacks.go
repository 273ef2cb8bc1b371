package access

// A watch is a number for what an act may lack: an item, a condition or a
// task that has to change before the act can become possible.

func (w *machine) watches() int {
	return w.layout.items + w.layout.conds + w.layout.tasks + 1
}

// never is the watch on what the guide does not have.
func (w *machine) never() int { return w.watches() - 1 }

func (w *machine) watchCond(c int32) int { return w.layout.items + int(c) }
func (w *machine) watchTask(t int32) int { return w.layout.items + w.layout.conds + int(t) }

// lacks returns nothing when the act is possible in s; otherwise watches of
// which one has to change before it can become possible. An act that can never
// become possible lacks its own item, condition or task.
func (w *machine) lacks(s state, a act, keep *keeper) []int {
	if !w.may(s, a) {
		return []int{w.lacking(s, a)}
	}
	if len(w.demanding) == 0 {
		return nil
	}
	keep.save(w, s, a)
	w.carryOut(s, a)
	lacks := w.undemanded(s)
	keep.restore(w, s, a)
	return lacks
}

// undemanded returns the watches of a demand that is not met in s: the
// condition that demands, and what it demands.
func (w *machine) undemanded(s state) []int {
	for _, c := range w.demanding {
		v := w.value(s, c)
		if v < 0 {
			continue
		}
		if watch, ok := w.unheld(s, &w.model.conds[c].demand[v]); ok {
			return []int{w.watchCond(c), watch}
		}
	}
	return nil
}

// lacking returns what an act that cannot be begun lacks.
func (w *machine) lacking(s state, a act) int {
	own := w.own(a)
	switch a.kind {
	case doClear, doRefit:
		possible := s[a.item] == standsOn || w.ways[a.way].takesOff
		if a.kind == doRefit {
			possible = w.topWay(s, a.item) == a.way || s[a.item] == standsFound
		}
		if !possible {
			return own
		}
		for _, t := range w.before {
			if !w.done(s, t) {
				return w.watchTask(t)
			}
		}
		return w.unmet(s, &w.ways[a.way].terms, own)
	case doChange:
		if w.value(s, a.cond) != w.changes[a.chg].from {
			return own
		}
		return w.unmet(s, &w.changes[a.chg].terms, own)
	case doTask:
		if watch, ok := w.undone(s, w.ways[a.way].task); ok {
			return watch
		}
		return w.unmet(s, &w.ways[a.way].terms, own)
	}
	return own
}

// own is the watch on what the act itself is about.
func (w *machine) own(a act) int {
	switch a.kind {
	case doClear, doRefit:
		return int(a.item)
	case doTask:
		return w.watchTask(w.ways[a.way].task)
	}
	return w.watchCond(a.cond)
}

// undone returns what keeps a task from being in turn.
func (w *machine) undone(s state, t int32) (int, bool) {
	k := &w.model.tasks[t]
	if w.settle {
		for c := range int32(w.layout.conds) {
			if w.value(s, c) < 0 {
				return w.watchCond(c), true
			}
		}
	}
	for _, a := range k.after {
		if !w.done(s, a) {
			return w.watchTask(a), true
		}
	}
	if k.proof {
		for o := range w.model.tasks {
			if !w.model.tasks[o].proof && !w.done(s, int32(o)) {
				return w.watchTask(int32(o)), true
			}
		}
	}
	for i := range w.layout.items {
		asFound := s[i] == standsOn && w.model.items[i].found == on || s[i] == standsFound
		if k.before && !asFound || k.proof && w.mustReturn[i] && s[i] != standsOn {
			return i, true
		}
	}
	return 0, false
}

// unmet returns what the terms lack, or own when they lack nothing.
func (w *machine) unmet(s state, t *terms, own int) int {
	for _, n := range t.needs {
		if st := w.stands(s, n.item); st == on || n.off && st != off {
			return int(n.item)
		}
	}
	if watch, ok := w.unheld(s, t); ok {
		return watch
	}
	return own
}

// unheld returns what lacks of the conditions and fitted items of the terms.
func (w *machine) unheld(s state, t *terms) (int, bool) {
	for _, r := range t.reqs {
		if !w.meets(s, r) {
			if r.cond == none {
				return w.never(), true
			}
			return w.watchCond(r.cond), true
		}
	}
	for _, i := range t.fitted {
		if s[i] != standsOn {
			return int(i), true
		}
	}
	if t.all {
		for i := range w.layout.items {
			if s[i] != standsOn {
				return i, true
			}
		}
	}
	return 0, false
}

// keeper remembers the parts of a state that an act changes.
type keeper struct {
	item  int32
	along []int32
	rest  state
}

func (k *keeper) save(w *machine, s state, a act) {
	k.along = k.along[:0]
	if a.kind == doClear || a.kind == doRefit {
		k.item = s[a.item]
		for _, i := range w.ways[a.way].together {
			k.along = append(k.along, s[i])
		}
	}
	k.rest = append(k.rest[:0], s[w.condAt:]...)
}

func (k *keeper) restore(w *machine, s state, a act) {
	copy(s[w.condAt:], k.rest)
	if a.kind == doClear || a.kind == doRefit {
		for n, i := range w.ways[a.way].together {
			s[i] = k.along[n]
		}
		s[a.item] = k.item
	}
}
