package andor

import (
	"cmp"
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
	order := slices.Clone(set)
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(cost(b), cost(a)), cmp.Compare(a, b))
	})
	for _, a := range order {
		may[a] = false
		if !g.reaches(may, start, goals) {
			may[a] = true
		}
	}
	ops = g.order(may, start)
	for _, a := range ops {
		total += cost(a)
	}
	return ops, total
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
	var left, ops []int32
	for a := range may {
		if may[a] {
			left = append(left, int32(a))
		}
	}
	for len(left) > 0 {
		i := slices.IndexFunc(left, func(a int32) bool {
			return !slices.ContainsFunc(g.pre.of(a), func(f int32) bool { return !holds[f] })
		})
		if i < 0 {
			break
		}
		ops = append(ops, left[i])
		for _, f := range g.add.of(left[i]) {
			holds[f] = true
		}
		left = slices.Delete(left, i, i+1)
	}
	return ops
}
