package andor

import (
	"cmp"
	"container/heap"
	"slices"
)

// trim orders the ops of set so that they can be carried out, leaves out the
// ones that the goals can do without, and returns their cost. The set must
// reach the goals.
func (g *graph) trim(set, start, goals []int32, cost func(int32) int64) (ops []int32, total int64) {
	may := make([]bool, len(g.cost))
	for _, a := range set {
		may[a] = true
	}
	if order := g.doubtful(set, may, start, goals); len(order) > 0 {
		slices.SortFunc(order, func(a, b int32) int {
			return cmp.Or(cmp.Compare(cost(b), cost(a)), cmp.Compare(a, b))
		})
		for _, a := range order {
			may[a] = false
			if !g.reaches(may, start, goals) {
				may[a] = true
			}
		}
	}
	ops = g.order(may, start)
	for _, a := range ops {
		total += cost(a)
	}
	return ops, total
}

// doubtful returns the ops of set that are not certain to be needed. Certain
// is every op that alone makes a goal, or a precondition of a certain one.
func (g *graph) doubtful(set []int32, may []bool, start, goals []int32) []int32 {
	seen, certain := make([]bool, g.facts), make([]bool, len(g.cost))
	for _, f := range g.start {
		seen[f] = true
	}
	for _, f := range start {
		seen[f] = true
	}
	queue := make([]int32, 0, len(set))
	want := func(facts []int32) {
		for _, f := range facts {
			if !seen[f] {
				seen[f] = true
				queue = append(queue, f)
			}
		}
	}
	want(goals)
	for head := 0; head < len(queue); head++ {
		if a := g.onlyMaker(queue[head], may); a >= 0 && !certain[a] {
			certain[a] = true
			want(g.pre.of(a))
		}
	}
	var left []int32
	for _, a := range set {
		if !certain[a] {
			left = append(left, a)
		}
	}
	return left
}

// onlyMaker returns the one usable op that adds the fact, or -1.
func (g *graph) onlyMaker(f int32, may []bool) int32 {
	only := int32(-1)
	for _, a := range g.makes.of(f) {
		if !may[a] {
			continue
		}
		if only >= 0 {
			return -1
		}
		only = a
	}
	return only
}

func (g *graph) reaches(may []bool, start, goals []int32) bool {
	holds, _ := g.reach(may, start)
	for _, f := range goals {
		if !holds[f] {
			return false
		}
	}
	return true
}

// lowest is a heap of ops, the lowest number first.
type lowest []int32

func (h lowest) Len() int           { return len(h) }
func (h lowest) Less(i, k int) bool { return h[i] < h[k] }
func (h lowest) Swap(i, k int)      { h[i], h[k] = h[k], h[i] }
func (h *lowest) Push(x any)        { *h = append(*h, x.(int32)) }
func (h *lowest) Pop() any {
	last := (*h)[len(*h)-1]
	*h = (*h)[:len(*h)-1]
	return last
}

// order lists the usable ops of may in an order that can be carried out:
// always the one with the lowest number that is possible next.
func (g *graph) order(may []bool, start []int32) []int32 {
	holds := make([]bool, g.facts)
	for _, f := range g.start {
		holds[f] = true
	}
	for _, f := range start {
		holds[f] = true
	}
	missing := make([]int32, len(g.cost))
	var ready lowest
	for a := range may {
		if !may[a] {
			continue
		}
		for _, f := range g.pre.of(int32(a)) {
			if !holds[f] {
				missing[a]++
			}
		}
		if missing[a] == 0 {
			ready = append(ready, int32(a)) // ascending, so a heap
		}
	}
	var ops []int32
	for len(ready) > 0 {
		a := heap.Pop(&ready).(int32)
		ops = append(ops, a)
		for _, f := range g.add.of(a) {
			if holds[f] {
				continue
			}
			holds[f] = true
			for _, u := range g.users.of(f) {
				if missing[u]--; missing[u] == 0 && may[u] {
					heap.Push(&ready, u)
				}
			}
		}
	}
	return ops
}
