package access

import "slices"

// polishReplays limits how many changed orders are tried on a plan.
const polishReplays = 30_000

// polish improves a plan that could not be proved best by small changes: it
// leaves out round trips that serve nothing, and moves one or a few steps in a
// row to where they save a change of place or tool.
func (o *optimizer) polish() {
	p := &polisher{w: o.w, acts: slices.Clone(o.acts), cost: o.cost, left: polishReplays, stop: o.lim.Stop}
	for p.better = true; p.better && p.left > 0; {
		p.better = false
		p.dropPairs()
		for length := 1; length <= longestMove; length++ {
			p.move(length)
		}
	}
	if p.cost < o.cost {
		o.cost, o.acts = p.cost, p.acts
	}
}

// tidy leaves out round trips of the plan found that serve nothing, also where
// that saves nothing: work that only passes the time of a wait is no work.
func (o *optimizer) tidy() {
	if o.cost >= far {
		return
	}
	p := &polisher{w: o.w, acts: slices.Clone(o.acts), cost: o.cost, left: polishReplays, stop: o.lim.Stop, even: true}
	p.best = o.cost <= o.bound && !o.hasWaits()
	for p.better = true; p.better && p.left > 0; {
		p.better = false
		p.dropPairs()
	}
	o.cost, o.acts = p.cost, p.acts
}

// longestMove is how many steps in a row are moved together.
const longestMove = 4

type polisher struct {
	w      *machine
	acts   []act
	cost   int64
	left   int
	stop   func() bool
	even   bool // a shorter plan of the same cost is better
	best   bool // no plan is cheaper, and no work passes the time of a wait
	done   int  // acts replayed
	better bool
}

// take keeps the order when it is a better plan.
func (p *polisher) take(acts []act) bool {
	p.left--
	if p.done += len(acts); p.done > patience && stopped(p.stop) {
		p.left = 0
	}
	cost, ok := p.w.replay(acts)
	if !ok || cost > p.cost || cost == p.cost && !(p.even && len(acts) < len(p.acts)) {
		return false
	}
	p.acts, p.cost, p.better = slices.Clone(acts), cost, true
	return true
}

// dropPairs leaves out a step together with the one that undoes it.
func (p *polisher) dropPairs() {
	next := p.undoing()
	for i := 0; i < len(p.acts) && p.left > 0; i++ {
		k := int(next[i])
		if k < 0 || p.best && p.price(p.acts[i])+p.price(p.acts[k]) > 0 {
			continue // or else the best plan could be had for less
		}
		less := slices.Delete(slices.Clone(p.acts), k, k+1)
		if p.take(slices.Delete(less, i, i+1)) {
			next = p.undoing()
			i--
		}
	}
}

// price is what the act costs apart from set-ups and waiting.
func (p *polisher) price(a act) int64 {
	switch a.kind {
	case doClear:
		return p.w.ways[a.way].out.objective
	case doRefit:
		return p.w.ways[a.way].back.objective
	case doChange:
		return p.w.changes[a.chg].cost.objective
	}
	return 0
}

// undoing lists for every act the next one that undoes it, or none.
func (p *polisher) undoing() []int32 {
	next, ahead := noneList(len(p.acts)), map[int64][]int32{}
	for i := len(p.acts) - 1; i >= 0; i-- {
		a := p.acts[i]
		key := int64(a.way)
		switch a.kind {
		case doChange:
			key = -1 - int64(a.cond)
		case doClear, doRefit:
		default:
			continue
		}
		list := ahead[key]
		for k := len(list) - 1; k >= 0; k-- {
			if p.undoes(a, p.acts[list[k]]) {
				next[i] = list[k]
				break
			}
		}
		ahead[key] = append(list, int32(i))
	}
	return next
}

func (p *polisher) undoes(a, b act) bool {
	switch {
	case a.kind == doClear:
		return b.kind == doRefit && a.way == b.way
	case a.kind == doRefit:
		return b.kind == doClear && a.way == b.way
	}
	return a.kind == doChange && b.kind == doChange && a.cond == b.cond && p.w.changes[a.chg].from == p.w.changes[b.chg].to
}

// move tries every other place for every run of steps of a length.
func (p *polisher) move(length int) {
	trial := make([]act, 0, len(p.acts))
	for i := 0; i+length <= len(p.acts); i++ {
		for at := 0; at+length <= len(p.acts) && p.left > 0; at++ {
			if at == i {
				continue
			}
			trial = append(append(trial[:0], p.acts[:i]...), p.acts[i+length:]...)
			trial = slices.Insert(trial, at, p.acts[i:i+length]...)
			p.take(trial)
		}
	}
}
