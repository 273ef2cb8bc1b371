package andor

import "slices"

// solveNet searches a net whose goals can all be reached.
func solveNet(n *net, q *Query, lim Limits) Result {
	var res Result
	b := &brancher{n: n, lim: lim, best: never}
	b.plan = newPlanner(n, b.stop)
	cut := newCutter(n)
	cut.stop = b.stop
	res.LandmarkBound = cut.run(n.cost, func(ops []int32, w int64) {
		res.Landmarks = append(res.Landmarks, n.landmark(ops, w))
	})
	res.Bound = res.LandmarkBound
	if lim.Enough > 0 && res.Bound >= lim.Enough {
		res.Outcome = Limit
		return res
	}
	b.tryHint(q.Hint)
	b.tryPlain(res.Bound, n.cost, cut.left)
	if b.best > res.Bound && !b.stop() {
		b.proceed(&res)
	}
	res.Nodes = b.nodes
	switch {
	case b.best < never && res.Bound >= b.best:
		res.Outcome = Optimal
	case b.stopped && b.best >= never:
		res.Outcome = Limit
	case b.stopped:
		res.Outcome = Bounded
	default:
		return Result{Outcome: Impossible, Nodes: b.nodes}
	}
	if b.best < never {
		res.Cost, res.Ops = b.best, b.bestOps
	}
	return res
}

// proceed goes on where landmarks and simple plans have left a gap: on the
// reduced net, with its own landmarks, plans, and the search.
func (b *brancher) proceed(res *Result) {
	n := b.n.reduced(b.stop)
	if b.stopped {
		return
	}
	b.n, b.plan = n, newPlanner(n, b.stop)
	var cuts [][]int32
	cut := newCutter(n)
	cut.stop = b.stop
	low := cut.run(n.cost, func(ops []int32, _ int64) { cuts = append(cuts, slices.Clone(ops)) })
	res.Bound = max(res.Bound, low+n.base)
	if res.Bound >= b.best {
		return
	}
	b.tryPlain(res.Bound, cut.left)
	if res.Bound < b.best {
		res.Bound = max(res.Bound, min(b.run(cuts), b.best))
	}
}

// tryHint offers the ops of a hint, if they reach the goals.
func (b *brancher) tryHint(hint []int32) {
	n := b.n
	may := make([]bool, len(n.g.cost))
	var ops []int32
	for _, a := range uniqueSorted(hint) {
		if n.opOf[a] >= 0 {
			may[a] = true
			ops = append(ops, a)
		}
	}
	if len(hint) > 0 && n.g.reaches(may, n.q.Start, n.q.Goals) {
		b.consider(ops)
	}
}

// tryPlain offers the plans that follow from each of the given costs, until
// one costs no more than the bound.
func (b *brancher) tryPlain(bound int64, costs ...[]int64) {
	for _, cost := range costs {
		if b.best <= bound {
			return
		}
		c, ok := b.plan.follow(func(a int32) float64 { return float64(cost[a]) })
		if !ok {
			return
		}
		ops := b.plan.ops()
		if c+b.n.base > bound {
			ops, _ = b.plan.descend(ops, c)
		}
		b.offer(ops)
	}
}

// landmark names a cut in ops of the problem.
func (n *net) landmark(ops []int32, w int64) Landmark {
	l := Landmark{Weight: w}
	for _, a := range ops {
		l.Ops = append(l.Ops, n.parts[a]...)
	}
	l.Ops = uniqueSorted(l.Ops)
	return l
}
