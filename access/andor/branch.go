package andor

import (
	"math"
	"slices"
)

// Tuning of the branch and bound.
const (
	// wholeTol: a value this near to 0 or 1 counts as whole.
	wholeTol = 1e-5
	// rootRounds: rounds of landmarks added at the root.
	rootRounds = 25
)

// node is a subproblem: its parent with one decision more.
type node struct {
	parent *node
	kind   decision
	index  int32 // op or fact
	bound  int64
	weight []float64
	basis  []int32 // basic variables by position
	upper  []int32 // nonbasic at the upper bound
	fixed  []int32 // ops ruled out for the subtree
	depth  int32
	guess  float64 // fraction rounded away, for the pseudocosts
	id     int64
}

// decision is what a node adds to its parent.
type decision int

const (
	decideNothing decision = iota
	useOp
	avoidOp
	makeFact
	avoidFact
)

// brancher is a branch and bound over the linear program of a net.
type brancher struct {
	n       *net
	r       *relaxation
	sep     *separator
	plan    *planner
	lim     Limits
	best    int64
	bestOps []int32 // ops of the problem
	open    []*node // heap by bound
	nodes   int64
	ids     int64
	stopped bool
	x       []float64
	tried   int64        // cost of the plan last improved
	gone    []bool       // ops ruled out for good
	gain    [2][]float64 // pseudocosts: by fact or op, up and down
	count   [2][]int32
}

func (b *brancher) stop() bool {
	if !b.stopped && (b.lim.Stop != nil && b.lim.Stop() || b.lim.Nodes > 0 && b.nodes >= b.lim.Nodes) {
		b.stopped = true
	}
	return b.stopped
}

// offer considers ops of the net as a solution.
func (b *brancher) offer(ops []int32) {
	cost := b.n.base
	for _, a := range ops {
		cost += b.n.cost[a]
	}
	if cost >= b.best {
		return
	}
	set := slices.Clone(b.n.forced)
	for _, a := range ops {
		set = append(set, b.n.parts[a]...)
	}
	b.consider(set)
}

// consider is offer for ops of the problem.
func (b *brancher) consider(set []int32) {
	got, cost := b.n.solution(set)
	if cost < b.best && b.n.excludedBy(got) == nil {
		b.best, b.bestOps = cost, got
	}
}

// run searches the net from the incumbent given in best and bestOps, and
// returns a lower bound on what is left unexplored, or never.
func (b *brancher) run(landmarks [][]int32) int64 {
	n := b.n
	b.r = newRelaxation(n)
	b.r.lin.stop = b.stop
	for _, l := range landmarks {
		b.r.poolLandmark(l)
	}
	b.sep = newSeparator(n)
	b.x = make([]float64, len(n.cost))
	b.gone = make([]bool, len(n.cost))
	for i := range b.gain {
		b.gain[i] = make([]float64, n.facts+len(n.cost))
		b.count[i] = make([]int32, n.facts+len(n.cost))
	}
	b.r.lin.reset()
	root := &node{}
	if !b.root(root) {
		return never
	}
	for nd := b.branch(root); nd != nil; {
		nd = b.visit(nd)
	}
	for len(b.open) > 0 {
		if b.stop() {
			return b.open[0].bound + b.n.base
		}
		nd := b.pop()
		if nd.bound+b.n.base >= b.best {
			break
		}
		b.load(nd)
		for nd != nil {
			nd = b.visit(nd)
		}
	}
	return never
}

// root solves the root with landmarks added and reports whether anything is
// left to do.
func (b *brancher) root(nd *node) bool {
	last := 0.0
	for round := 0; round < rootRounds; {
		if !b.relax(nd) {
			return false
		}
		b.read()
		if b.stopped {
			return true
		}
		if b.r.join(b.x) > 0 {
			b.r.lin.reset()
			continue
		}
		round++
		b.heuristic()
		if nd.bound+b.n.base >= b.best {
			return false
		}
		b.fix()
		z := b.r.lin.objective()
		if round > 3 && z-last < 1e-4*z || b.separate() == 0 {
			break
		}
		last = z
		b.r.lin.reset()
	}
	return nd.bound+b.n.base < b.best
}

// relax solves the program of the current node, sets its bound and reports
// whether it is still worth following.
func (b *brancher) relax(nd *node) bool {
	r := b.r
	cutoff := math.Inf(1)
	if b.best < never {
		cutoff = (float64(b.best-b.n.base-b.n.grain)+0.1)/r.unit + 1e-4
	}
	switch r.lin.solve(cutoff) {
	case lpInfeasible:
		if r.infeasible() {
			nd.bound = never
			return false
		}
	case lpStopped:
		b.stop()
	}
	nd.bound = max(nd.bound, r.bound(r.exact()))
	return nd.bound+b.n.base < b.best
}

// read copies the point of the program to x.
func (b *brancher) read() {
	for a := range b.x {
		b.x[a] = min(1, max(0, b.r.lin.at(int32(a))))
	}
}

// heuristic looks for a solution near the point x.
func (b *brancher) heuristic() {
	n := b.n
	copy(b.plan.banned, b.gone)
	cost, ok := b.plan.follow(func(a int32) float64 { return float64(n.cost[a])*(1.001-b.x[a]) + 1 })
	if !ok || cost == b.tried {
		return
	}
	b.tried = cost // most likely the same plan when met again
	ops, _ := b.plan.descend(b.plan.ops(), cost)
	b.offer(ops)
}

// fix rules out ops whose reduced cost at the root exceeds the gap.
func (b *brancher) fix() {
	r := b.r
	for a, c := range r.rc {
		if !b.gone[a] && c > 0 && r.bound(r.low+c)+b.n.base >= b.best && r.lin.where[a] != atUpper {
			b.gone[a] = true
			r.lin.setBounds(int32(a), 0, 0)
		}
	}
}

// fixHere rules out ops for the subtree of nd by their reduced cost.
func (b *brancher) fixHere(nd *node) {
	r := b.r
	for a, c := range r.rc {
		if c > 0 && r.lin.up[a] > r.lin.lo[a] && r.lin.where[a] == atLower && r.bound(r.low+c)+b.n.base >= b.best {
			nd.fixed = append(nd.fixed, int32(a))
			r.lin.setBounds(int32(a), 0, 0)
		}
	}
}

// separate adds violated landmarks at the point x and returns how many.
func (b *brancher) separate() int {
	b.sep.point(b.x)
	found := 0
	for i := len(b.sep.order) - 1; i >= 0; i-- {
		f := b.sep.order[i]
		if cut := b.sep.violated(f); cut != nil {
			b.r.addLandmark(f, cut)
			found++
		}
	}
	return found
}

// visit solves a node that has been loaded; it returns a child to go on with
// at once, which is loaded too, or nil.
func (b *brancher) visit(nd *node) *node {
	b.nodes++
	before := nd.bound
	for {
		if !b.relax(nd) {
			b.learn(nd, before)
			return nil
		}
		b.read()
		if b.stopped || b.r.join(b.x) == 0 {
			break
		}
		b.r.lin.reset()
	}
	b.learn(nd, before)
	if b.stopped {
		b.push(nd)
		return nil
	}
	b.fixHere(nd)
	if b.nodes%16 == 0 {
		b.heuristic()
	}
	return b.branch(nd)
}

// learn records the gain of the decision that led to nd.
func (b *brancher) learn(nd *node, before int64) {
	if nd.parent == nil || nd.guess <= 0 {
		return
	}
	k, up := b.slot(nd.kind, nd.index)
	g := float64(min(nd.bound, b.best-b.n.base)-before) / nd.guess
	b.count[up][k]++
	b.gain[up][k] += (g - b.gain[up][k]) / float64(b.count[up][k])
}

func (b *brancher) slot(kind decision, index int32) (k int32, up int) {
	if kind == makeFact || kind == useOp {
		up = 1
	}
	if kind == makeFact || kind == avoidFact {
		return index, up
	}
	return int32(b.n.facts) + index, up
}

// branch splits a solved node; it returns the child to follow at once.
func (b *brancher) branch(nd *node) *node {
	nd.basis, nd.upper = b.snapshot()
	nd.weight = slices.Clone(b.r.lin.weight)
	kind, index, v := b.choose()
	if index < 0 {
		return b.whole(nd)
	}
	down, up := avoidOp, useOp
	if kind == makeFact {
		down, up = avoidFact, makeFact
	}
	low := &node{parent: nd, kind: down, index: index, bound: nd.bound, depth: nd.depth + 1, guess: v}
	high := &node{parent: nd, kind: up, index: index, bound: nd.bound, depth: nd.depth + 1, guess: 1 - v}
	first, second := high, low
	if v < 0.5 {
		first, second = low, high
	}
	b.push(second)
	b.apply(first)
	b.r.lin.reset()
	return first
}

// choose picks a fractional fact, or else a fractional op, to split on; the
// index is -1 when the point is whole.
func (b *brancher) choose() (decision, int32, float64) {
	n := b.n
	best, kind, index, frac := -1.0, decideNothing, int32(-1), 0.0
	y := b.sep.y
	clear(y)
	for a, v := range b.x {
		y[n.adds[a]] += v
	}
	try := func(k decision, i int32, v float64) {
		if v < wholeTol || v > 1-wholeTol {
			return
		}
		s, _ := b.slot(k, i)
		if score := b.score(s, v); score > best {
			best, kind, index, frac = score, k, i, v
		}
	}
	for f := range int32(n.facts) {
		try(makeFact, f, y[f])
	}
	if index >= 0 {
		return kind, index, frac
	}
	for a, v := range b.x {
		try(useOp, int32(a), v)
	}
	return kind, index, frac
}

func (b *brancher) score(s int32, v float64) float64 {
	down, up := b.gain[0][s], b.gain[1][s]
	if b.count[0][s] == 0 {
		down = b.n.typical
	}
	if b.count[1][s] == 0 {
		up = b.n.typical
	}
	return (down*v + 1) * (up*(1-v) + 1)
}

// whole deals with a node whose point is whole: if it is a solution, the node
// is finished when its bound says so; otherwise it is cut off.
func (b *brancher) whole(nd *node) *node {
	var ops []int32
	for a, v := range b.x {
		if v > 0.5 {
			ops = append(ops, int32(a))
		}
	}
	if cut := b.n.missingCut(ops); cut != nil {
		b.r.addLandmark(b.n.goal, cut)
		b.r.lin.reset()
		return nd
	}
	b.offer(ops)
	if nd.bound+b.n.base >= b.best {
		return nil
	}
	// Rounding has left a gap: decide any op that is still open.
	for a := range b.x {
		if b.r.lin.lo[a] == b.r.lin.up[a] {
			continue
		}
		low := &node{parent: nd, kind: avoidOp, index: int32(a), bound: nd.bound, depth: nd.depth + 1}
		high := &node{parent: nd, kind: useOp, index: int32(a), bound: nd.bound, depth: nd.depth + 1}
		b.push(low)
		b.apply(high)
		b.r.lin.reset()
		return high
	}
	return nil
}

func (b *brancher) snapshot() (basis, upper []int32) {
	l := b.r.lin
	for j := range l.cols {
		if l.where[j] == atUpper {
			upper = append(upper, int32(j))
		}
	}
	return slices.Clone(l.basic), upper
}

// apply adds the decision of nd to the program.
func (b *brancher) apply(nd *node) {
	l := b.r.lin
	for _, a := range nd.fixed {
		l.setBounds(a, 0, 0)
	}
	switch nd.kind {
	case useOp:
		l.setBounds(nd.index, 1, 1)
	case avoidOp:
		l.setBounds(nd.index, 0, 0)
	case makeFact:
		b.r.setDemand(nd.index, 1)
	case avoidFact:
		for _, a := range b.n.makes.of(nd.index) {
			l.setBounds(a, 0, 0)
		}
	}
}

// load sets the program up for nd.
func (b *brancher) load(nd *node) {
	l := b.r.lin
	for a := range b.x {
		up := 1.0
		if b.gone[a] {
			up = 0
		}
		l.setBounds(int32(a), 0, up)
	}
	for f, i := range b.r.demand {
		if i > 0 && int32(f) != b.n.goal {
			b.r.setDemand(int32(f), 0)
		}
	}
	for p := nd; p != nil; p = p.parent {
		b.apply(p)
	}
	if from := nd.parent; from != nil && from.basis != nil {
		l.install(from.basis, from.upper, from.weight)
	}
	l.reset()
}

// push and pop keep open as a heap by bound, the older node first.
func (b *brancher) push(nd *node) {
	if nd.id == 0 {
		b.ids++
		nd.id = b.ids
	}
	b.open = append(b.open, nd)
	i := len(b.open) - 1
	for i > 0 && b.open[i].before(b.open[(i-1)/2]) {
		b.open[i], b.open[(i-1)/2] = b.open[(i-1)/2], b.open[i]
		i = (i - 1) / 2
	}
}

func (nd *node) before(o *node) bool {
	return nd.bound < o.bound || nd.bound == o.bound && nd.id > o.id
}

func (b *brancher) pop() *node {
	top := b.open[0]
	last := len(b.open) - 1
	b.open[0] = b.open[last]
	b.open = b.open[:last]
	for i := 0; ; {
		kid := 2*i + 1
		if kid >= last {
			break
		}
		if kid+1 < last && b.open[kid+1].before(b.open[kid]) {
			kid++
		}
		if !b.open[kid].before(b.open[i]) {
			break
		}
		b.open[i], b.open[kid] = b.open[kid], b.open[i]
		i = kid
	}
	return top
}
