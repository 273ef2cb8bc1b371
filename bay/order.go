package bay

import (
	"cmp"
	"slices"
)

// fromFar returns the bodies that are to be drawn, far ones first. In the six
// views the nearest point decides, which is exact for boxes that are not
// turned: of two that share a sight line the one that reaches nearer to the eye
// hides the other there. From the corner pairs are compared one by one.
func (st *stage) fromFar(bodies []int) []int {
	near := make([]float64, len(st.scene.bodies))
	for _, i := range bodies {
		_, near[i] = st.eye.depths(&st.scene.bodies[i])
	}
	order := slices.Clone(bodies)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(near[a], near[b]) })
	if st.eye.view != Corner {
		return order
	}
	return st.untangle(order)
}

// untangle draws a body only after every body that it hides. Bodies that hide
// one another in a ring are drawn in the order given.
func (st *stage) untangle(order []int) []int {
	waits := make([]int, len(order)) // number of bodies that must come before
	before := make([][]int, len(order))
	for a := range order {
		for b := a + 1; b < len(order); b++ {
			if !st.rects[order[a]].meets(st.rects[order[b]]) {
				continue
			}
			switch st.hides(order[a], order[b]) {
			case 1: // a hides b
				before[b], waits[a] = append(before[b], a), waits[a]+1
			case -1:
				before[a], waits[b] = append(before[a], b), waits[b]+1
			}
		}
	}
	out, done := make([]int, 0, len(order)), make([]bool, len(order))
	for len(out) < len(order) {
		next := -1
		for i := range order {
			if !done[i] && (next < 0 || waits[i] < waits[next]) {
				next = i
			}
			if next >= 0 && waits[next] <= 0 {
				break
			}
		}
		done[next] = true
		out = append(out, order[next])
		for _, later := range before[next] {
			waits[later]--
		}
	}
	return out
}

// hides compares two bodies by their upright boxes: 1 when only a can hide b,
// -1 when only b can hide a, 0 when neither can or both share room. Nothing
// hides what lies beyond it towards the eye along any axis.
func (st *stage) hides(a, b int) int {
	x, y := st.scene.bodies[a].bounds, st.scene.bodies[b].bounds
	near := parts3(st.eye.near)
	first, second := true, true
	for i := range near {
		switch {
		case parts3(x.Min)[i] >= parts3(y.Max)[i]-touching:
			first, second = first && near[i] > 0, second && near[i] < 0
		case parts3(y.Min)[i] >= parts3(x.Max)[i]-touching:
			first, second = first && near[i] < 0, second && near[i] > 0
		}
	}
	switch {
	case first && !second:
		return 1
	case second && !first:
		return -1
	}
	return 0
}
