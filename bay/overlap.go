package bay

import (
	"cmp"
	"iter"
	"math"
	"slices"

	"elbowroom/guide"
)

// Tolerances of overlaps.
const (
	// touching is the depth in mm up to which two solids only touch.
	touching = 1e-6
	// closing is how often two round solids are drawn together to find the
	// direction in which they lie apart.
	closing = 24
)

// Overlap is a pair of items whose envelopes share room though the guide does
// not say so.
type Overlap struct {
	A, B guide.ID // in guide order
	// Millimetres is how deep they are in one another: the shortest way that
	// one of them would have to move, straight, to be clear of the other.
	Millimetres Millimetres
}

// Overlaps lists every pair of items whose envelopes share room although
// neither says that it lies inside the other (or is a part of it), in guide
// order. Boxes, turned or not, are exact: they are separated along face
// normals and pairs of edges, which for boxes is a full test. With cylinders
// and paths no overlap is ever missed, but two that pass one another within a
// hair (about a hundredth of their size) may be reported, and the depth is an
// upper estimate. An item of several solids counts with its deepest pair.
//
// Cost: a sweep along x, about n·log n and the pairs that lie side by side.
func (s *Scene) Overlaps() []Overlap {
	order := make([]int, len(s.bodies))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(s.bodies[a].bounds.Min.X, s.bodies[b].bounds.Min.X)
	})
	var found [][2]int
	for at, i := range order {
		for _, j := range order[at+1:] {
			if s.bodies[j].bounds.Min.X >= s.bodies[i].bounds.Max.X {
				break
			}
			if s.bodies[i].bounds.meets(s.bodies[j].bounds) && !declared(s.bodies[i].item, s.bodies[j].item) {
				found = append(found, [2]int{min(i, j), max(i, j)})
			}
		}
	}
	slices.SortFunc(found, func(a, b [2]int) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	return s.deep(found)
}

func (s *Scene) deep(pairs [][2]int) []Overlap {
	var all []Overlap
	for _, p := range pairs {
		a, b := &s.bodies[p[0]], &s.bodies[p[1]]
		if d := a.depth(b); d > touching {
			all = append(all, Overlap{A: a.item.ID, B: b.item.ID, Millimetres: Millimetres(d)})
		}
	}
	return all
}

// depth returns how deep two bodies are in one another, 0 when they are apart.
func (b *body) depth(c *body) float64 {
	deepest := 0.0
	for i := range b.solids {
		p, at := &b.solids[i], b.solids[i].bounds()
		if !at.meets(c.bounds) {
			continue
		}
		for j := range c.solids {
			if q := &c.solids[j]; at.meets(q.bounds()) {
				deepest = max(deepest, depth(p, q))
			}
		}
	}
	return deepest
}

// depth returns the least overlap of two solids over the directions that can
// separate them, 0 when one of them does.
func depth(p, q *solid) float64 {
	least := math.Inf(1)
	between := sub(q.centre, p.centre)
	for n := range separators(p, q) {
		d := p.reach(n) + q.reach(n) - abs(dot(between, n))
		if d <= touching {
			return 0
		}
		least = min(least, d)
	}
	return least
}

// separators yields unit directions, cheap ones first: the axes of both, what
// stands at right angles to a pair of them, and for round solids the way from
// one to the other.
func separators(p, q *solid) iter.Seq[vec] {
	return func(yield func(vec) bool) {
		for _, a := range p.axis {
			if !yield(a) {
				return
			}
		}
		round := p.form != guide.Box || q.form != guide.Box
		if round && !yieldNormal(sub(q.centre, p.centre), yield) {
			return
		}
		if round || p.axis != q.axis {
			if !yieldTurned(p, q, yield) {
				return
			}
		}
		if round {
			yieldNormal(apart(p, q), yield)
		}
	}
}

func yieldTurned(p, q *solid, yield func(vec) bool) bool {
	for _, b := range q.axis {
		if !yield(b) {
			return false
		}
	}
	for _, a := range p.axis {
		for _, b := range q.axis {
			if !yieldNormal(cross(a, b), yield) {
				return false
			}
		}
	}
	return true
}

// slant is the length of a cross product of unit vectors below which they
// count as parallel.
const slant = 1e-6

func yieldNormal(a vec, yield func(vec) bool) bool {
	if length(a) < slant {
		return true
	}
	n, _ := normal(a)
	return yield(n)
}

// apart returns the way from the core of p to the core of q after going to and
// fro between them; two convex solids that are apart are closest along it.
func apart(p, q *solid) vec {
	a, b := p.core(), q.core()
	x := a.nearest(b.centre)
	y := b.nearest(x)
	for range closing {
		x = a.nearest(y)
		y = b.nearest(x)
	}
	return sub(y, x)
}

// core returns the leg of a path without its thickness, any other solid as it
// is: the directions between cores are the same and better conditioned.
func (s *solid) core() solid {
	c := *s
	if c.form == guide.Path {
		c.half[1], c.half[2] = 0, 0
	}
	return c
}

func abs(x float64) float64 { return max(x, -x) }
