package access

import (
	"cmp"
	"container/heap"
	"slices"

	"elbowroom/access/andor"
)

// search is a best-first search over the states of a machine. It finds a
// cheapest way from the start to the end and proves it, or stops at a limit
// with a bound.
type search struct {
	w       *machine
	x       *relaxation
	fills   []*relaxation
	wants   *wants
	acts    []act
	waiting []int32 // conditions with a change that waits
	stop    func() bool
	nodes   int64 // left to expand
	weight  int64 // above 0: guess what is left and count it so many times; finds plans soon, proves nothing
	guesser *guesser
	bold    bool  // take harmless steps although they might fill a wait later: finds good plans, proves nothing
	best    int64 // only ways cheaper than this matter
	last    int32 // node of the best way found, or none

	node    []node
	states  []int32 // states of all nodes, one after the other
	at      map[uint64]int32
	next    []int32 // by node: another node with the same hash
	open    queue
	trial   trial
	tried   []int32
	spare   state
	cur     state
	count   int64
	stopped bool
	full    bool  // there was no room for a state
	halted  bool  // told to stop in the middle of a state
	work    int   // numbers copied since the last look at whether to stop
	low     int64 // least f of what was left unexplored when stopped
}

type node struct {
	g, h, f int64 // cost so far, bound on the rest, bound on the whole
	parent  int32
	act     act
	judged  bool // f includes the relaxation
	closed  bool
	plan    []int32 // operations that solve the relaxation here or at an ancestor
	planned bool
}

// entry is a node waiting to be expanded.
type entry struct {
	f, g int64
	n    int32
}

type queue struct {
	list   []entry
	weight int64
}

func (q *queue) Len() int      { return len(q.list) }
func (q *queue) Swap(a, b int) { q.list[a], q.list[b] = q.list[b], q.list[a] }
func (q *queue) Push(x any)    { q.list = append(q.list, x.(entry)) }
func (q *queue) Pop() any {
	x := q.list[len(q.list)-1]
	q.list = q.list[:len(q.list)-1]
	return x
}

// Less prefers the lower bound, then the deeper node, then the older one. With
// a weight what is left counts so many times.
func (q *queue) Less(a, b int) bool {
	x, y := &q.list[a], &q.list[b]
	if q.weight > 0 {
		if c := cmp.Compare(x.g+(x.f-x.g)*q.weight, y.g+(y.f-y.g)*q.weight); c != 0 {
			return c < 0
		}
	}
	if x.f != y.f {
		return x.f < y.f
	}
	if x.g != y.g {
		return x.g > y.g
	}
	return x.n < y.n
}

// maxStates and maxCells bound the memory of one search: the states and the
// numbers in them.
const (
	maxStates = 400_000
	maxCells  = 40_000_000
)

func newSearch(w *machine, x *relaxation, fills []*relaxation, stop func() bool, nodes int64) *search {
	e := &search{w: w, x: x, fills: fills, wants: newWants(w), stop: stop, nodes: nodes, best: far, last: none, at: map[uint64]int32{}, low: far}
	e.spare, e.cur = make(state, w.size), make(state, w.size)
	for k := range w.changes {
		if c := w.changes[k].cond; w.changes[k].wait > 0 && !slices.Contains(e.waiting, c) {
			e.waiting = append(e.waiting, c)
		}
	}
	e.listActs()
	return e
}

// listActs lists every act that could be taken in some state: changes, then
// clearing, tasks and refits.
func (e *search) listActs() {
	w := e.w
	for k := range w.changes {
		e.acts = append(e.acts, act{kind: doChange, chg: int32(k), cond: w.changes[k].cond})
	}
	for n := range w.ways {
		if w.ways[n].task == none {
			e.acts = append(e.acts, act{kind: doClear, way: int32(n), item: w.ways[n].item})
		}
	}
	for n := range w.ways {
		if w.ways[n].task != none {
			e.acts = append(e.acts, act{kind: doTask, way: int32(n)})
		}
	}
	for n := range w.ways {
		if w.ways[n].task == none {
			e.acts = append(e.acts, act{kind: doRefit, way: int32(n), item: w.ways[n].item})
		}
	}
	for k := range w.changes {
		if w.changes[k].wait > 0 {
			e.acts = append(e.acts, act{kind: doAwait, chg: int32(k), cond: w.changes[k].cond})
		}
	}
}

// run searches for a way cheaper than best. Afterwards last is the node it
// ends in, or none; stopped says that low is only a bound.
func (e *search) run(best int64) {
	e.best, e.open.weight = best, e.weight
	if e.weight > 0 {
		e.guesser = newGuesser(e.x)
	}
	e.push(e.w.first(), 0, 0, none, act{})
	for e.open.Len() > 0 {
		if e.count++; e.count > e.nodes || len(e.node) > maxStates || e.full || e.halted || stopped(e.stop) {
			e.stopped = true
			break
		}
		top := heap.Pop(&e.open).(entry)
		k := &e.node[top.n]
		if k.closed || top.g != k.g || top.f < k.f || k.f >= e.best && e.weight == 0 {
			continue
		}
		if !k.judged {
			e.judge(top.n)
			continue
		}
		k.closed = true
		copy(e.cur, e.state(top.n))
		if e.w.atEnd(e.cur) {
			e.best, e.last = k.g, top.n
			if e.weight > 0 {
				return
			}
			continue
		}
		e.expand(top.n)
	}
	e.stopped = e.stopped || e.full || e.halted
	for _, x := range e.open.list {
		if k := &e.node[x.n]; !k.closed {
			e.low = min(e.low, max(k.f, x.f))
		}
	}
}

func (e *search) state(n int32) state {
	return e.states[int(n)*e.w.size : (int(n)+1)*e.w.size]
}

// judge bounds the node by the relaxation and queues it again.
func (e *search) judge(n int32) {
	k := &e.node[n]
	k.judged = true
	s := e.state(n)
	base := e.x.base(s)
	if base >= far {
		k.closed = true
		return
	}
	q := e.x.query(s)
	if e.weight > 0 {
		e.judgeByGuess(n, &q, base)
		return
	}
	if !e.inherits(n, &q, base) && !e.relax(n, s, &q, base) {
		k.closed = true
		return
	}
	for _, x := range e.fills {
		if k.f = max(k.f, k.g+k.h); k.f < e.best {
			k.h = max(k.h, x.bound(s, e.best-k.g))
		}
	}
	k.f = max(k.f, k.g+k.h)
	if k.f < e.best {
		heap.Push(&e.open, entry{k.f, k.g, n})
	} else {
		k.closed = true
	}
}

// judgeByGuess queues the node by what is left to pay at a guess.
func (e *search) judgeByGuess(n int32, q *andor.Query, base int64) {
	k := &e.node[n]
	left, ok := e.guesser.guess(q)
	if !ok {
		k.closed = true
		return
	}
	k.h = base + left
	k.f = k.g + k.h
	heap.Push(&e.open, entry{k.f, k.g, n})
}

// relax solves the relaxation at the node; false means that no way leads to
// the end from there.
func (e *search) relax(n int32, s state, q *andor.Query, base int64) bool {
	free := e.x.firstFree(s)
	res := e.x.solver.SolveWith(*q, andor.Limits{Nodes: judgeNodes, Stop: e.stop, Enough: e.x.enough(e.best - e.node[n].g - base + free)})
	if res.Outcome == andor.Impossible || res.Outcome == andor.Invalid {
		return false
	}
	k := &e.node[n]
	k.plan, k.planned = res.Ops, true
	k.h = max(k.h, base+max(0, res.Bound*e.x.unit-free))
	return true
}

// enough is the least bound of the relaxation, in its unit, that amounts to so
// much.
func (x *relaxation) enough(objective int64) int64 { return max(1, (objective+x.unit-1)/x.unit) }

// inherits reports whether the operations that solved the relaxation at an
// ancestor still do, and cost no more than the bound of the node says already:
// then there is nothing to gain from solving again.
func (e *search) inherits(n int32, q *andor.Query, base int64) bool {
	k := &e.node[n]
	if k.parent == none || !e.node[k.parent].planned {
		return false
	}
	k.plan, k.planned = e.node[k.parent].plan, true
	s := e.state(n)
	e.tried = e.x.wayBack(append(e.tried[:0], k.plan...), s)
	cost, ok := e.trial.cost(&e.x.prob, e.tried, q)
	return ok && k.g+base+cost*e.x.unit-e.x.firstFree(s) <= k.f
}

// wayBack adds the operations that bring back what has been cleared and
// changed on the way to s; what they cost is in base already.
func (x *relaxation) wayBack(ops []int32, s state) []int32 {
	w := x.w
	for i := range w.layout.items {
		for _, n := range [2]int32{w.topWay(s, int32(i)), w.lowWay(s, int32(i))} {
			if n != none && x.refit[n] != none {
				ops = append(ops, x.refit[n])
			}
		}
	}
	for _, n := range x.change {
		if n != none && x.prob.Ops[n].Cost == 0 {
			ops = append(ops, n)
		}
	}
	return ops
}

// bound returns a lower bound on the cost of any way to the end from s, under
// a wait that has to be filled, or some bound that is enough; 0 when the bound
// does not hold there.
func (x *relaxation) bound(s state, enough int64) int64 {
	left, ok := x.left(s)
	base := x.base(s)
	if !ok || base >= far {
		return 0
	}
	base += left * x.w.waitPrice
	free := x.firstFree(s)
	res := x.solver.SolveWith(x.query(s), andor.Limits{Nodes: judgeNodes, Stop: x.w.stop, Enough: x.enough(enough - base + free)})
	if res.Outcome == andor.Impossible || res.Outcome == andor.Invalid {
		return 0
	}
	return base + max(0, res.Bound*x.unit-free)
}

// judgeNodes limits the exact search of the relaxation at every state.
const judgeNodes = 8

// push stores a state reached at cost g, unless it is known at no more.
func (e *search) push(s state, g, f int64, parent int32, a act) {
	h := hash(s)
	first, known := e.at[h]
	if known {
		for n := first; n != none; n = e.next[n] {
			if slices.Equal(e.state(n), s) {
				e.improve(n, g, f, parent, a)
				return
			}
		}
	} else {
		first = none
	}
	base := e.x.base(s)
	if base >= far || g+base >= e.best {
		return
	}
	if len(e.states)+len(s) > maxCells {
		e.full, e.low = true, min(e.low, max(f, g+base))
		return
	}
	n := int32(len(e.node))
	e.node = append(e.node, node{g: g, h: base, f: max(f, g+base), parent: parent, act: a})
	e.states = append(e.states, s...)
	e.next = append(e.next, first)
	e.at[h] = n
	heap.Push(&e.open, entry{e.node[n].f, g, n})
}

// improve takes a cheaper way to a known state.
func (e *search) improve(n int32, g, f int64, parent int32, a act) {
	k := &e.node[n]
	if g >= k.g {
		return
	}
	k.g, k.parent, k.act = g, parent, a
	k.f = max(f, g+k.h)
	k.closed = false
	if k.f < e.best || e.weight > 0 {
		heap.Push(&e.open, entry{k.f, g, n})
	}
}

func hash(s state) uint64 {
	h := uint64(14695981039346656037)
	for _, v := range s {
		h = (h ^ uint64(uint32(v))) * 1099511628211
		h ^= h >> 29
	}
	return h
}

// expand queues the states that one step from the current state leads to.
func (e *search) expand(n int32) {
	e.wants.look(e.cur)
	g, f := e.node[n].g, e.node[n].f
	if a, ok := e.eager(e.cur); ok && n > 0 {
		p, _ := e.w.try(e.cur, e.spare, a)
		e.push(e.spare, g+p.objective, f, n, a)
		if !e.bold || e.settled(e.cur) {
			return
		}
		for _, a := range e.acts {
			if a.kind == doChange && e.w.changes[a.chg].wait > 0 && e.useful(a) {
				if p, ok := e.w.try(e.cur, e.spare, a); ok {
					e.push(e.spare, g+p.objective, f, n, a)
				}
			}
		}
		return
	}
	// A state at the start that is not as its values demand has to be put
	// right by the first step, whatever that is good for otherwise.
	wrong := n == 0 && !e.w.demandsMet(e.cur)
	for _, a := range e.acts {
		if !wrong && !e.useful(a) {
			continue
		}
		if e.late() {
			e.low = min(e.low, f)
			return
		}
		if p, ok := e.w.try(e.cur, e.spare, a); ok {
			e.push(e.spare, g+p.objective, f, n, a)
		}
	}
}

// workPerLook is how many numbers are copied, about, between two looks at
// whether to stop.
const workPerLook = 500_000

// late reports whether it is time to stop in the middle of a state.
func (e *search) late() bool {
	if e.work += e.w.size; e.work > workPerLook {
		e.work = 0
		e.halted = e.halted || stopped(e.stop)
	}
	return e.halted
}

// useful leaves out what no way to the end can be the better for.
func (e *search) useful(a act) bool {
	s, v := e.cur, e.wants
	switch a.kind {
	case doClear:
		y := &e.w.ways[a.way]
		if v.away[a.item] && (s[a.item] == standsOn || y.takesOff && v.off[a.item]) {
			return true
		}
		if v.opened[a.item] && s[a.item] == standsOn && len(e.w.model.items[a.item].taken) > 0 {
			return true // it may have to come off alone before another item takes it along
		}
		for _, i := range y.together {
			if v.away[i] && s[i] == standsOn {
				return true
			}
		}
		return false
	case doRefit:
		return s[a.item] > standsOn && (e.w.mustReturn[a.item] || v.back[a.item] || v.backAll || v.opened[a.item] || e.holds(s, a.item))
	case doChange:
		return v.active[a.cond] > idle
	}
	return true
}

// holds reports whether ways by which the item was cleared took other items
// along.
func (e *search) holds(s state, i int32) bool {
	top, low := e.w.topWay(s, i), e.w.lowWay(s, i)
	return top != none && len(e.w.ways[top].together) > 0 || low != none && len(e.w.ways[low].together) > 0
}

// path returns the acts that lead to node n.
func (e *search) path(n int32) []act {
	var acts []act
	for ; e.node[n].parent != none; n = e.node[n].parent {
		acts = append(acts, e.node[n].act)
	}
	slices.Reverse(acts)
	return acts
}
