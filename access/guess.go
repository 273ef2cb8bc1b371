package access

import (
	"slices"

	"elbowroom/access/andor"
)

// guesser guesses what is left to pay by following the cheapest makers of each
// fact, costs added up. It is quick and may be too high: it leads a search to
// good plans and proves nothing.
type guesser struct {
	x     *relaxation
	users [][]int32 // by fact: operations that need it
	cost  []int64   // by fact
	by    []int32   // by fact: cheapest maker, none at the start
	miss  []int32   // by operation: preconditions still missing
	sum   []int64   // by operation: cost of its preconditions
	heap  []guessed
	seen  []bool // by operation: counted
	stack []int32
}

type guessed struct {
	cost int64
	fact int32
}

func newGuesser(x *relaxation) *guesser {
	g := &guesser{x: x, users: make([][]int32, x.prob.Facts), cost: make([]int64, x.prob.Facts), by: make([]int32, x.prob.Facts)}
	g.miss, g.sum, g.seen = make([]int32, len(x.prob.Ops)), make([]int64, len(x.prob.Ops)), make([]bool, len(x.prob.Ops))
	for n := range x.prob.Ops {
		pre := slices.Clone(x.prob.Ops[n].Pre)
		slices.Sort(pre)
		for _, f := range slices.Compact(pre) {
			g.users[f] = append(g.users[f], int32(n))
		}
	}
	return g
}

// guess returns the cost of a set of operations that reaches the goals, and
// false when nothing does.
func (g *guesser) guess(q *andor.Query) (int64, bool) {
	g.spread(q)
	total := int64(0)
	clear(g.seen)
	g.stack = g.stack[:0]
	for _, f := range q.Goals {
		if g.cost[f] >= far {
			return 0, false
		}
		g.stack = append(g.stack, f)
	}
	for len(g.stack) > 0 {
		f := g.stack[len(g.stack)-1]
		g.stack = g.stack[:len(g.stack)-1]
		n := g.by[f]
		if n == none || g.seen[n] {
			continue
		}
		g.seen[n] = true
		total += g.x.prob.Ops[n].Cost
		g.stack = append(g.stack, g.x.prob.Ops[n].Pre...)
	}
	return total * g.x.unit, true
}

// spread computes the added-up cost of every fact, cheapest first.
func (g *guesser) spread(q *andor.Query) {
	for f := range g.cost {
		g.cost[f], g.by[f] = far, none
	}
	clear(g.miss)
	clear(g.sum)
	for _, list := range g.users {
		for _, n := range list {
			g.miss[n]++
		}
	}
	g.heap = g.heap[:0]
	for _, f := range q.Start {
		g.lower(f, 0, none)
	}
	for n := range g.miss {
		if g.miss[n] == 0 {
			g.apply(int32(n))
		}
	}
	for len(g.heap) > 0 {
		top := g.pop()
		if top.cost > g.cost[top.fact] {
			continue
		}
		for _, n := range g.users[top.fact] {
			g.sum[n] += top.cost
			if g.miss[n]--; g.miss[n] == 0 {
				g.apply(n)
			}
		}
	}
}

func (g *guesser) apply(n int32) {
	op := &g.x.prob.Ops[n]
	for _, f := range op.Add {
		g.lower(f, g.sum[n]+op.Cost, n)
	}
}

func (g *guesser) lower(f int32, cost int64, by int32) {
	if cost >= g.cost[f] {
		return
	}
	g.cost[f], g.by[f] = cost, by
	g.heap = append(g.heap, guessed{cost, f})
	i := len(g.heap) - 1
	for i > 0 && g.heap[i].cost < g.heap[(i-1)/2].cost {
		g.heap[i], g.heap[(i-1)/2] = g.heap[(i-1)/2], g.heap[i]
		i = (i - 1) / 2
	}
}

func (g *guesser) pop() guessed {
	top, last := g.heap[0], len(g.heap)-1
	g.heap[0] = g.heap[last]
	g.heap = g.heap[:last]
	for i := 0; ; {
		c := 2*i + 1
		if c >= last {
			return top
		}
		if c+1 < last && g.heap[c+1].cost < g.heap[c].cost {
			c++
		}
		if g.heap[i].cost <= g.heap[c].cost {
			return top
		}
		g.heap[i], g.heap[c] = g.heap[c], g.heap[i]
		i = c
	}
}
