package andor

import "slices"

// solveNet searches a net whose goals can all be reached.
func solveNet(n *net, q *Query, lim Limits) Result {
	t := &tree{n: n, lim: lim, cut: newCutter(n), best: never, free: make([]bool, len(n.cost))}
	var res Result
	rootCost := slices.Clone(n.cost)
	sum := t.cut.run(rootCost, func(ops []int32, w int64) {
		res.Landmarks = append(res.Landmarks, n.landmark(ops, w))
	})
	res.LandmarkBound = sum
	if len(q.Hint) > 0 {
		t.tryHint(q.Hint)
	}
	bound := t.visit(rootCost, 0)
	res.Nodes = t.nodes
	res.Bound = max(sum, min(bound, t.best))
	switch {
	case t.stopped && t.best >= never:
		res.Outcome = Limit
	case t.stopped && res.Bound < t.best:
		res.Outcome = Bounded
	case t.best >= never:
		return Result{Outcome: Impossible, Nodes: t.nodes}
	default:
		res.Outcome = Optimal
	}
	if t.best < never {
		res.Cost, res.Ops = t.best, t.ops
	}
	return res
}

// landmark names a cut in ops of the problem.
func (n *net) landmark(ops []int32, w int64) Landmark {
	l := Landmark{Weight: w}
	for _, a := range ops {
		l.Ops = append(l.Ops, n.orig[a])
	}
	l.Ops = uniqueSorted(l.Ops)
	return l
}

// tree is a depth-first branch and bound with landmark cuts as bound.
type tree struct {
	n       *net
	lim     Limits
	cut     *cutter
	nodes   int64
	stopped bool
	free    []bool
	best    int64
	ops     []int32
}

func (t *tree) tryHint(hint []int32) {
	set := uniqueSorted(hint)
	may := make([]bool, len(t.n.g.cost))
	var ops []int32
	for _, a := range set {
		if t.n.opOf[a] >= 0 {
			may[a] = true
			ops = append(ops, t.n.opOf[a])
		}
	}
	if t.n.g.reaches(may, t.n.q.Start, t.n.q.Goals) {
		t.offer(ops)
	}
}

// offer considers the chosen ops as a solution. It returns the excluded set
// that forbids the solution, or nil.
func (t *tree) offer(chosen []int32) []int32 {
	ops, cost := t.n.solution(chosen)
	used := make([]bool, len(t.n.g.cost))
	for _, a := range ops {
		used[a] = true
	}
	for _, set := range t.n.exclude {
		if !slices.ContainsFunc(set, func(a int32) bool { return !used[t.n.orig[a]] }) {
			return set
		}
	}
	if cost < t.best {
		t.best, t.ops = cost, ops
	}
	return nil
}

// visit explores the solutions under cost, of which paid is already spent,
// and returns a lower bound on the solutions it did not explore.
func (t *tree) visit(cost []int64, paid int64) int64 {
	t.nodes++
	if t.lim.Nodes > 0 && t.nodes > t.lim.Nodes || t.lim.Stop != nil && t.lim.Stop() {
		t.stopped = true
	}
	for _, set := range t.n.exclude {
		if t.allFree(set) {
			return never
		}
	}
	var branch []int32
	sum := t.cut.run(cost, func(ops []int32, _ int64) {
		if branch == nil || len(ops) < len(branch) {
			branch = slices.Clone(ops)
		}
	})
	if sum >= never || paid+sum >= t.best {
		return never
	}
	if t.stopped {
		return paid + sum
	}
	broken := t.offer(t.chosen())
	if paid+sum >= t.best || branch == nil && broken == nil {
		return never
	}
	if branch == nil {
		return t.forbidOne(cost, paid, broken)
	}
	return t.useOne(cost, paid, branch)
}

func (t *tree) allFree(set []int32) bool {
	return !slices.ContainsFunc(set, func(a int32) bool { return !t.free[a] })
}

// useOne uses each op of the landmark in turn, with the earlier ones barred.
func (t *tree) useOne(cost []int64, paid int64, ops []int32) int64 {
	cost = slices.Clone(cost)
	low := never
	for _, a := range ops {
		was, wasFree := cost[a], t.free[a]
		cost[a], t.free[a] = 0, true
		low = min(low, t.visit(cost, paid+was))
		cost[a], t.free[a] = never, wasFree
	}
	return low
}

// forbidOne bars each op of an excluded set in turn, with the earlier ones in
// use.
func (t *tree) forbidOne(cost []int64, paid int64, set []int32) int64 {
	cost = slices.Clone(cost)
	low := never
	var marked []int32
	for _, a := range set {
		if t.free[a] {
			continue
		}
		was := cost[a]
		cost[a] = never
		low = min(low, t.visit(cost, paid))
		cost[a], t.free[a] = 0, true
		paid += was
		marked = append(marked, a)
	}
	for _, a := range marked {
		t.free[a] = false
	}
	return low
}

// chosen follows the cheapest way of each fact back from the goal, under the
// costs that the cuts have left.
func (t *tree) chosen() []int32 {
	c, n := t.cut, t.n
	seen := make([]bool, n.facts)
	stack := []int32{n.goal}
	seen[n.goal] = true
	var ops []int32
	for len(stack) > 0 {
		a := c.by[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		ops = append(ops, a)
		for _, p := range n.pre.of(a) {
			if !seen[p] {
				seen[p] = true
				stack = append(stack, p)
			}
		}
	}
	return ops
}
