package access

import "slices"

// arrange puts the steps of a best plan into an order that a person would
// choose, among orders that cost the same: what is wanted before anything is
// touched, conditions, the strip place by place, the work, and the refit as
// the mirror of the strip. Where no such order costs as little, the order
// found stays.
func (w *machine) arrange(acts []act) []act {
	cost, ok := w.replay(acts)
	if !ok {
		return acts
	}
	head, tail := w.middle(acts)
	for _, waitLast := range []bool{false, true} {
		r := &arranger{w: w, waitLast: waitLast, s: w.first(), next: make(state, w.size)}
		if out, sum, ok := r.run(acts, head, tail); ok && sum == cost {
			return out
		}
	}
	return w.tidy(acts, head, cost)
}

// tidy moves changes back to the end that undo what was only wanted before
// anything was touched to where that is done: the engine does not go on
// running while covers come off.
func (w *machine) tidy(acts []act, head int, cost int64) []act {
	acts = slices.Clone(acts)
	to := head
	for i := head; i < len(acts); i++ {
		a := acts[i]
		if a.kind != doChange || w.changes[a.chg].to != w.model.conds[a.cond].end || !slices.ContainsFunc(acts[:head], func(o act) bool { return o.kind == doChange && o.cond == a.cond }) {
			continue
		}
		moved := slices.Insert(slices.Delete(slices.Clone(acts), i, i+1), to, a)
		if sum, ok := w.replay(moved); ok && sum == cost {
			acts = moved
			to++
		}
	}
	return acts
}

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
// that are possible.
type arranger struct {
	w        *machine
	head     int  // acts that were wanted before anything is touched
	waitLast bool // wait only when nothing else can be done, not even refitting
	s, next  state
	place    int32 // where the worker is, also when moving costs nothing
	done     []act
	cost     int64
}

func (r *arranger) run(acts []act, head, tail int) ([]act, int64, bool) {
	r.place, r.head = none, head
	for _, a := range acts[:head] {
		if !r.do(a) {
			return nil, 0, false
		}
	}
	left := slices.Clone(acts[head:tail])
	for len(left) > 0 {
		i := r.pick(left)
		if i < 0 || !r.do(left[i]) {
			return nil, 0, false
		}
		left = slices.Delete(left, i, i+1)
	}
	for _, a := range acts[tail:] {
		if !r.do(a) {
			return nil, 0, false
		}
	}
	return r.done, r.cost, r.w.atEnd(r.s)
}

func (r *arranger) do(a act) bool {
	p, ok := r.w.try(r.s, r.next, a)
	if !ok {
		return false
	}
	r.cost += p.objective
	r.s, r.next = r.next, r.s
	r.done = append(r.done, a)
	if place := r.placeOf(a); place != none {
		r.place = place
	}
	return true
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

// pick returns the index of the most wanted possible act, or -1.
func (r *arranger) pick(left []act) int {
	best, bestKey := -1, [4]int{}
	for i, a := range left {
		key := r.key(a)
		if best >= 0 && slices.Compare(key[:], bestKey[:]) >= 0 {
			continue
		}
		if _, ok := r.w.try(r.s, r.next, a); ok {
			best, bestKey = i, key
		}
	}
	return best
}

// Ranks of acts, most wanted first.
const (
	rankChange = iota
	rankStrip
	rankWork
	rankAwait
	rankRefit
	rankAwaitLast
)

// key ranks an act: what it is, whether the worker is there already, then the
// order of the guide, or the mirror of the strip.
func (r *arranger) key(a act) [4]int {
	w := r.w
	away := 0
	if place := r.placeOf(a); place != none && place != r.place {
		away = 1
	}
	switch a.kind {
	case doChange:
		h := &w.changes[a.chg]
		if at := r.stripped(func(o act) bool { return o.kind == doChange && w.changes[o.chg].cond == h.cond }); at >= 0 && h.to == w.model.conds[h.cond].end {
			if at <= r.head {
				return [4]int{rankChange, -1, 0, 0}
			}
			return [4]int{rankRefit, -at, 0, 0}
		}
		waits := 1
		if h.wait > 0 {
			waits = 0
		}
		return [4]int{rankChange, waits, away, int(w.model.conds[h.cond].index)}
	case doClear:
		it := &w.model.items[w.ways[a.way].item]
		return [4]int{rankStrip, away, int(it.index), 0}
	case doTask:
		return [4]int{rankWork, away, int(w.ways[a.way].task), 0}
	case doAwait:
		if r.waitLast {
			return [4]int{rankAwaitLast}
		}
		return [4]int{rankAwait}
	}
	return [4]int{rankRefit, -r.stripped(func(o act) bool { return o.kind == doClear && o.way == a.way }), 0, 0}
}

// stripped returns the number, from 1, of the last step done that fits, or -1.
func (r *arranger) stripped(fits func(act) bool) int {
	for i := len(r.done) - 1; i >= 0; i-- {
		if fits(r.done[i]) {
			return i + 1
		}
	}
	return -1
}
