package access

import "slices"

// arrange puts the steps of a best plan into an order that a person would
// choose, among orders that cost the same: what is wanted before anything is
// touched, conditions, the strip place by place, the work, and the refit as
// the mirror of the strip. Where no such order costs as little the order found
// stays, also where a plan is so long that there is no time left.
func (w *machine) arrange(acts []act, stop func() bool) []act {
	cost, ok := w.replay(acts)
	if !ok {
		return acts
	}
	head, tail := w.middle(acts)
	for _, waitLast := range []bool{false, true} {
		r := w.newArranger(acts, head, waitLast, stop)
		if out, sum, ok := r.run(tail); ok && sum == cost {
			return out
		}
	}
	return w.tidy(acts, head, cost, stop)
}

// mostTidied limits how many acts are tried at another place. Orders of up to
// patience acts are made without asking whether to stop: that takes no time.
const (
	mostTidied = 50
	patience   = 10_000
)

// tidy moves changes back to the end that undo what was only wanted before
// anything was touched to where that is done: the engine does not go on
// running while covers come off.
func (w *machine) tidy(acts []act, head int, cost int64, stop func() bool) []act {
	acts = slices.Clone(acts)
	to, tried := head, 0
	early := make([]bool, len(w.model.conds)) // changed before anything is touched
	for _, a := range acts[:head] {
		if a.kind == doChange {
			early[a.cond] = true
		}
	}
	for i := head; i < len(acts) && tried < mostTidied && (tried*len(acts) < patience || !stopped(stop)); i++ {
		a := acts[i]
		if a.kind != doChange || w.changes[a.chg].to != w.model.conds[a.cond].end || !early[a.cond] {
			continue
		}
		tried++
		moved := slices.Insert(slices.Delete(slices.Clone(acts), i, i+1), to, a)
		if sum, ok := w.replay(moved); ok && sum == cost {
			acts = moved
			to++
		}
	}
	return acts
}

// stopped asks a stop function that may be nil.
func stopped(stop func() bool) bool { return stop != nil && stop() }

// replay returns what the acts cost in this order, and whether they lead to
// the end.
func (w *machine) replay(acts []act) (cost int64, ok bool) {
	s := w.first()
	for _, a := range acts {
		p, ok := w.step(s, a)
		if !ok {
			return 0, false
		}
		cost += p.objective
	}
	return cost, w.atEnd(s)
}

// middle finds the part of the acts that may be put into another order: after
// the tasks that are wanted before anything is touched, up to the last refit.
func (w *machine) middle(acts []act) (head, tail int) {
	tail = len(acts)
	for i, a := range acts {
		if a.kind == doTask && w.model.tasks[w.ways[a.way].task].before {
			head = i + 1
		}
	}
	if len(w.proof) == 0 {
		return head, tail
	}
	for tail > head && acts[tail-1].kind != doRefit && acts[tail-1].kind != doClear {
		tail--
	}
	return head, tail
}

// arranger builds an order step by step: always the most wanted of the acts
// that are possible. Acts that are not possible lie parked with what they lack
// and are looked at again when that has changed, so that the time it takes
// grows hardly faster than the plan.
type arranger struct {
	w        *machine
	acts     []act
	head     int  // acts that were wanted before anything is touched
	waitLast bool // wait only when nothing else can be done, not even refitting
	stop     func() bool
	s        state
	place    int32 // where the worker is, also when moving costs nothing
	order    []act
	cost     int64
	taken    []bool // by act
	keep     keeper

	cleared []int   // by way: number, from 1, of the last act that cleared by it
	changed []int   // by condition: number of the last act that changed it
	changes [][]int // by condition: acts that change it
	refits  [][]int // by way: acts that undo it

	ready  [ranks]pile
	parked [][]int // by watch: acts that lack something there
	calls  int
}

// Ranks of acts, most wanted first.
const (
	rankUndo = iota // undoes what was only wanted before anything was touched
	rankLong        // a change that waits
	rankChange
	rankStrip
	rankWork
	rankAwait
	rankRefit
	rankAwaitLast
	ranks
)

func (w *machine) newArranger(acts []act, head int, waitLast bool, stop func() bool) *arranger {
	r := &arranger{
		w: w, acts: acts, head: head, waitLast: waitLast, stop: stop, s: w.first(), place: none,
		taken: make([]bool, len(acts)), cleared: make([]int, len(w.ways)), changed: make([]int, len(w.model.conds)),
		changes: make([][]int, len(w.model.conds)), refits: make([][]int, len(w.ways)), parked: make([][]int, w.watches()),
	}
	for i := range r.ready {
		r.ready[i].at = map[int32]*heapOf{}
	}
	return r
}

func (r *arranger) run(tail int) ([]act, int64, bool) {
	for i, a := range r.acts[:r.head] {
		if r.taken[i] = true; !r.do(a) {
			return nil, 0, false
		}
	}
	for i := r.head; i < tail; i++ {
		switch a := r.acts[i]; a.kind {
		case doChange:
			r.changes[a.cond] = append(r.changes[a.cond], i)
		case doRefit:
			r.refits[a.way] = append(r.refits[a.way], i)
		}
		r.offer(i)
	}
	for range tail - r.head {
		i := r.pick()
		if i < 0 || !r.do(r.acts[i]) {
			return nil, 0, false
		}
		if r.calls++; r.calls > patience && r.calls%64 == 0 && stopped(r.stop) {
			return nil, 0, false
		}
	}
	for _, a := range r.acts[tail:] {
		if !r.do(a) {
			return nil, 0, false
		}
	}
	return r.order, r.cost, r.w.atEnd(r.s)
}

func (r *arranger) do(a act) bool {
	p, ok := r.w.step(r.s, a)
	if !ok {
		return false
	}
	r.cost += p.objective
	r.order = append(r.order, a)
	if place := r.placeOf(a); place != none {
		r.place = place
	}
	r.note(a)
	return true
}

// note remembers the act and wakes what waits for it.
func (r *arranger) note(a act) {
	switch a.kind {
	case doClear, doRefit:
		if a.kind == doClear {
			r.cleared[a.way] = len(r.order)
			r.offerAll(r.refits[a.way]) // their rank is another one now
		}
		r.wake(int(a.item))
		for _, i := range r.w.ways[a.way].together {
			r.wake(int(i))
		}
	case doTask:
		r.wake(r.w.watchTask(r.w.ways[a.way].task))
	case doChange:
		r.changed[a.cond] = len(r.order)
		r.offerAll(r.changes[a.cond])
		r.wake(r.w.watchCond(a.cond))
	case doAwait:
		r.wake(r.w.watchCond(a.cond))
	}
}

// wake offers the acts that are parked with the watch.
func (r *arranger) wake(watch int) {
	list := r.parked[watch]
	r.parked[watch] = nil
	r.offerAll(list)
}

func (r *arranger) offerAll(list []int) {
	for _, i := range list {
		if !r.taken[i] {
			r.offer(i)
		}
	}
}

func (r *arranger) placeOf(a act) int32 {
	switch a.kind {
	case doChange:
		return r.w.changes[a.chg].place
	case doAwait:
		return none
	}
	return r.w.ways[a.way].place
}

// offer puts an act among those to be looked at.
func (r *arranger) offer(i int) {
	rank, key := r.key(r.acts[i])
	r.ready[rank].push(r.placeOf(r.acts[i]), wanted{key, i})
}

// pick takes the most wanted possible act and returns it, or -1.
func (r *arranger) pick() int {
	for rank := range r.ready {
		for {
			x, ok := r.ready[rank].pop(r.place, rank < rankAwait)
			if !ok {
				break
			}
			i := x.act
			if now, key := r.key(r.acts[i]); r.taken[i] || now != rank || key != x.key {
				continue // offered anew since
			}
			lacks := r.w.lacks(r.s, r.acts[i], &r.keep)
			if len(lacks) == 0 {
				r.taken[i] = true
				return i
			}
			for _, watch := range lacks {
				r.parked[watch] = append(r.parked[watch], i)
			}
		}
	}
	return -1
}

// key ranks an act; within a rank the place comes first, as far as it counts,
// then the order of the guide, or the mirror of the strip.
func (r *arranger) key(a act) (rank, key int) {
	w := r.w
	switch a.kind {
	case doChange:
		h := &w.changes[a.chg]
		if at := r.changed[h.cond]; at > 0 && h.to == w.model.conds[h.cond].end {
			if at <= r.head {
				return rankUndo, 0
			}
			return rankRefit, -at
		}
		rank = rankChange
		if h.wait > 0 {
			rank = rankLong
		}
		return rank, int(w.model.conds[h.cond].index)
	case doClear:
		return rankStrip, int(w.model.items[w.ways[a.way].item].index)
	case doTask:
		return rankWork, int(w.ways[a.way].task)
	case doAwait:
		if r.waitLast {
			return rankAwaitLast, 0
		}
		return rankAwait, 0
	}
	return rankRefit, -r.cleared[a.way]
}
