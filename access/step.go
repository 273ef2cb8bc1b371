package access

// act is one step on a state of the model.
type act struct {
	kind actKind
	way  int32 // doClear, doRefit, doTask
	item int32 // doRefit: the item; a found item has no way on its stack
	cond int32 // doChange, doAwait
	chg  int32 // doChange, doAwait
}

type actKind int8

const (
	doClear actKind = iota
	doRefit
	doChange
	doAwait
	doTask
)

// paid is what an act cost.
type paid struct {
	objective int64
	setup     int64 // ms
	wait      int64 // ms
	moved     bool  // place or tool changed, or a tool was hired
}

// try carries out the act on a copy of s, written into next, and returns what
// it costs; ok is false when the act is not allowed.
func (w *machine) try(s, next state, a act) (p paid, ok bool) {
	if !w.may(s, a) {
		return p, false
	}
	copy(next, s)
	p = w.carryOut(next, a)
	return p, w.demandsMet(next)
}

// step carries out the act on s itself. When it is not allowed s is left in
// disorder, unless it could not even be begun.
func (w *machine) step(s state, a act) (p paid, ok bool) {
	if !w.may(s, a) {
		return p, false
	}
	p = w.carryOut(s, a)
	return p, w.demandsMet(s)
}

// may reports whether the act can be begun: all but what the values in force
// demand afterwards.
func (w *machine) may(s state, a act) bool {
	switch a.kind {
	case doClear:
		return w.mayClear(s, a)
	case doRefit:
		return w.mayRefit(s, a)
	case doChange:
		h := &w.changes[a.chg]
		return w.value(s, h.cond) == h.from && w.allows(s, &h.terms)
	case doAwait:
		return w.value(s, a.cond) == inProgress(a.chg)
	default:
		y := &w.ways[a.way]
		return !w.done(s, y.task) && w.mayDo(s, y.task) && w.allows(s, &y.terms)
	}
}

// carryOut changes s as the act does and returns what it costs.
func (w *machine) carryOut(s state, a act) paid {
	switch a.kind {
	case doClear:
		return w.clear(s, a)
	case doRefit:
		return w.refit(s, a)
	case doChange:
		return w.change(s, a)
	case doAwait:
		return w.await(s, a)
	default:
		y := &w.ways[a.way]
		w.setDone(s, y.task)
		return w.hand(s, y.place, y.tool, y.hires, &y.out)
	}
}

// hand moves the worker and the tool, hires, lets time pass and adds up.
func (w *machine) hand(next state, place, tool int32, hires []int32, c *price) paid {
	p := paid{objective: c.objective}
	if at := w.place(next); w.move > 0 && place != none && place != at {
		p.moved = true
		next[w.handAt] = place
		if at != none {
			p.objective += w.move
			p.setup += w.moveTime
		}
	}
	if in := w.tool(next); w.swap > 0 && tool != none && tool != in {
		p.moved = true
		next[w.handAt+1] = tool
		if in != none {
			p.objective += w.swap
			p.setup += w.swapTime
		}
	}
	for _, h := range hires {
		if !w.hired(next, h) {
			p.moved = true
			w.setHired(next, h)
			p.objective += w.model.hires[h].objective
		}
	}
	w.pass(next, c.elapsed)
	return p
}

// pass lets ms milliseconds count against every wait in progress.
func (w *machine) pass(next state, ms int64) {
	for i := range w.layout.conds {
		if left := next[w.leftAt+i]; left > 0 {
			next[w.leftAt+i] = int32(max(0, int64(left)-ms))
		}
	}
}

// mayStrip reports whether clearing and refitting is allowed at all: every
// task marked Before is done and no proof.
func (w *machine) mayStrip(s state) bool {
	for _, t := range w.before {
		if !w.done(s, t) {
			return false
		}
	}
	for _, t := range w.proof {
		if w.done(s, t) {
			return false
		}
	}
	return true
}

func (w *machine) mayClear(s state, a act) bool {
	y := &w.ways[a.way]
	code := s[y.item]
	if code != standsOn && (!y.takesOff || code < firstWay || w.stands(s, y.item) != aside) {
		return false
	}
	return w.mayStrip(s) && w.allows(s, &y.terms)
}

func (w *machine) clear(s state, a act) paid {
	y := &w.ways[a.way]
	s[y.item] = s[y.item]<<topBits | (y.nth + firstWay)
	for _, i := range y.together {
		if s[i] == standsOn {
			s[i] = -1 - a.way
		}
	}
	return w.hand(s, y.place, y.tool, y.hires, &y.out)
}

func (w *machine) mayRefit(s state, a act) bool {
	code := s[a.item]
	if code != standsFound && w.topWay(s, a.item) != a.way || code == standsFound && !w.fitsBack(a) {
		return false
	}
	return w.mayStrip(s) && w.allows(s, &w.ways[a.way].terms)
}

func (w *machine) refit(s state, a act) paid {
	y := &w.ways[a.way]
	if code := s[a.item]; code == standsFound {
		s[a.item] = standsOn
	} else {
		s[a.item] = code >> topBits
		for _, i := range y.together {
			if s[i] == -1-a.way {
				s[i] = standsOn
			}
		}
	}
	return w.hand(s, y.place, y.tool, y.hires, &y.back)
}

// fitsBack reports whether an item that was found aside or off can go back by
// the way.
func (w *machine) fitsBack(a act) bool {
	y := &w.ways[a.way]
	return y.item == a.item && standingOf(y.verb) == w.model.items[a.item].found
}

func (w *machine) change(s state, a act) paid {
	h := &w.changes[a.chg]
	p := w.hand(s, h.place, h.tool, h.hires, &h.cost)
	s[w.condAt+int(h.cond)] = h.to
	if h.wait > 0 {
		s[w.condAt+int(h.cond)] = inProgress(a.chg)
		s[w.leftAt+int(h.cond)] = int32(h.wait)
	}
	return p
}

func (w *machine) await(s state, a act) paid {
	left := int64(s[w.leftAt+int(a.cond)])
	w.pass(s, left)
	s[w.condAt+int(a.cond)] = w.changes[a.chg].to
	s[w.leftAt+int(a.cond)] = 0
	return paid{objective: left * w.waitPrice, wait: left}
}

// mayDo judges the order of tasks.
func (w *machine) mayDo(s state, t int32) bool {
	if w.settle && w.waiting(s) {
		return false
	}
	k := &w.model.tasks[t]
	for _, a := range k.after {
		if !w.done(s, a) {
			return false
		}
	}
	if k.before {
		for i := range w.layout.items {
			if (s[i] == standsFound) != (w.model.items[i].found != on) || s[i] > standsFound || s[i] < 0 {
				return false
			}
		}
	}
	if !k.proof {
		return true
	}
	if !w.itemsBack(s) {
		return false
	}
	for i := range w.model.tasks {
		if !w.model.tasks[i].proof && !w.done(s, int32(i)) {
			return false
		}
	}
	return true
}
