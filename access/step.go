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
	switch a.kind {
	case doClear:
		return w.tryClear(s, next, a)
	case doRefit:
		return w.tryRefit(s, next, a)
	case doChange:
		return w.tryChange(s, next, a)
	case doAwait:
		return w.tryAwait(s, next, a)
	default:
		return w.tryTask(s, next, a)
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

func (w *machine) tryClear(s, next state, a act) (p paid, ok bool) {
	y := &w.ways[a.way]
	code := s[y.item]
	if code != standsOn && (!y.takesOff || code < firstWay || w.stands(s, y.item) != aside) {
		return p, false
	}
	if !w.mayStrip(s) || !w.allows(s, &y.terms) {
		return p, false
	}
	copy(next, s)
	next[y.item] = code<<topBits | (y.nth + firstWay)
	for _, i := range y.together {
		if s[i] == standsOn {
			next[i] = -1 - a.way
		}
	}
	p = w.hand(next, y.place, y.tool, y.hires, &y.out)
	return p, w.demandsMet(next)
}

func (w *machine) tryRefit(s, next state, a act) (p paid, ok bool) {
	y := &w.ways[a.way]
	code := s[a.item]
	if code != standsFound && w.topWay(s, a.item) != a.way || code == standsFound && !w.fitsBack(a) {
		return p, false
	}
	if !w.mayStrip(s) || !w.allows(s, &y.terms) {
		return p, false
	}
	copy(next, s)
	next[a.item] = standsOn
	if code != standsFound {
		next[a.item] = code >> topBits
		for _, i := range y.together {
			if s[i] == -1-a.way {
				next[i] = standsOn
			}
		}
	}
	p = w.hand(next, y.place, y.tool, y.hires, &y.back)
	return p, w.demandsMet(next)
}

// fitsBack reports whether an item that was found aside or off can go back by
// the way.
func (w *machine) fitsBack(a act) bool {
	y := &w.ways[a.way]
	return y.item == a.item && standingOf(y.verb) == w.model.items[a.item].found
}

func (w *machine) tryChange(s, next state, a act) (p paid, ok bool) {
	h := &w.changes[a.chg]
	if w.value(s, h.cond) != h.from || !w.allows(s, &h.terms) {
		return p, false
	}
	copy(next, s)
	p = w.hand(next, h.place, h.tool, h.hires, &h.cost)
	next[w.condAt+int(h.cond)] = h.to
	if h.wait > 0 {
		next[w.condAt+int(h.cond)] = inProgress(a.chg)
		next[w.leftAt+int(h.cond)] = int32(h.wait)
	}
	return p, w.demandsMet(next)
}

func (w *machine) tryAwait(s, next state, a act) (p paid, ok bool) {
	if w.value(s, a.cond) != inProgress(a.chg) {
		return p, false
	}
	copy(next, s)
	left := int64(s[w.leftAt+int(a.cond)])
	w.pass(next, left)
	next[w.condAt+int(a.cond)] = w.changes[a.chg].to
	next[w.leftAt+int(a.cond)] = 0
	return paid{objective: left * w.waitPrice, wait: left}, w.demandsMet(next)
}

func (w *machine) tryTask(s, next state, a act) (p paid, ok bool) {
	y := &w.ways[a.way]
	if w.done(s, y.task) || !w.mayDo(s, y.task) || !w.allows(s, &y.terms) {
		return p, false
	}
	copy(next, s)
	w.setDone(next, y.task)
	p = w.hand(next, y.place, y.tool, y.hires, &y.out)
	return p, w.demandsMet(next)
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
