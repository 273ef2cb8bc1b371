package bay

import (
	"cmp"
	"math"
	"slices"

	"elbowroom/guide"
)

// Constants of seeing.
const (
	// gaze is how many samples are taken along each side of an item.
	gaze = 9
	// coverShare is the share of an item that something must hide before it is
	// named as covering it.
	coverShare = 0.2
	// inFront is how much nearer to the eye in mm a surface must be to hide another.
	inFront = 0.5
)

// Cover is an item that hides another in a view.
type Cover struct {
	Item  guide.ID
	Share float64 // of the hidden item's outline, 0 to 1
	// Around is true when the hidden item lies inside this one, so that taking
	// it off may not be the way to it.
	Around bool
}

// look is what is seen of one item.
type look struct {
	visible float64 // share of the outline that nothing hides
	covers  []Cover // nearest to the eye first
}

// surface returns the depth at which a sight line through f first meets the
// body, coming from the eye; ok is false when it passes by.
func (e eye) surface(b *body, f flat) (depth float64, ok bool) {
	from := e.lift(f)
	depth = math.Inf(-1)
	for i := range b.solids {
		if t, hit := b.solids[i].meet(from, e.near); hit && t > depth {
			depth, ok = t, true
		}
	}
	return depth, ok
}

// meet returns the largest t at which from + t·dir lies in the solid.
func (s *solid) meet(from, dir vec) (t float64, ok bool) {
	o := sub(from, s.centre)
	var at, d [3]float64
	for i, a := range s.axis {
		at[i], d[i] = dot(o, a), dot(dir, a)
	}
	switch s.form {
	case guide.Cylinder:
		lo, hi, ok := slab(at[0], d[0], s.half[0])
		lo2, hi2, ok2 := round(at, d, s.half[1])
		return math.Min(hi, hi2), ok && ok2 && math.Max(lo, lo2) <= math.Min(hi, hi2)
	case guide.Path:
		return s.meetLeg(at, d)
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	for i := range at {
		l, h, ok := slab(at[i], d[i], s.half[i])
		if !ok {
			return 0, false
		}
		lo, hi = math.Max(lo, l), math.Min(hi, h)
	}
	return hi, lo <= hi
}

// parallel is the share of a unit vector below which it runs along a face.
const parallel = 1e-12

func slab(at, d, half float64) (lo, hi float64, ok bool) {
	if math.Abs(d) < parallel {
		return math.Inf(-1), math.Inf(1), math.Abs(at) <= half
	}
	a, b := (-half-at)/d, (half-at)/d
	return math.Min(a, b), math.Max(a, b), true
}

// round cuts a line with the endless cylinder of radius r about axis 0.
func round(at, d [3]float64, r float64) (lo, hi float64, ok bool) {
	return quadratic(d[1]*d[1]+d[2]*d[2], at[1]*d[1]+at[2]*d[2], at[1]*at[1]+at[2]*at[2]-r*r)
}

// quadratic solves a·t² + 2b·t + c <= 0.
func quadratic(a, b, c float64) (lo, hi float64, ok bool) {
	if a < parallel {
		return math.Inf(-1), math.Inf(1), c <= 0
	}
	root := b*b - a*c
	if root < 0 {
		return 0, 0, false
	}
	root = math.Sqrt(root)
	return (-b - root) / a, (-b + root) / a, true
}

func (s *solid) meetLeg(at, d [3]float64) (t float64, ok bool) {
	t = math.Inf(-1)
	lo, hi, in := slab(at[0], d[0], s.half[0])
	if lo2, hi2, in2 := round(at, d, s.half[1]); in && in2 && math.Max(lo, lo2) <= math.Min(hi, hi2) {
		t, ok = math.Min(hi, hi2), true
	}
	for _, end := range [2]float64{-s.half[0], s.half[0]} {
		x := at[0] - end
		c := x*x + at[1]*at[1] + at[2]*at[2] - s.half[1]*s.half[1]
		if _, hi, in := quadratic(1, x*d[0]+at[1]*d[1]+at[2]*d[2], c); in {
			t, ok = math.Max(t, hi), true
		}
	}
	return t, ok && !math.IsInf(t, 0)
}

// stage is a scene looked at by one eye in one state of strip.
type stage struct {
	scene *Scene
	eye   eye
	state map[guide.ID]State
	rects []rect // of the bodies, in the plane of the view
}

func (s *Scene) stage(v guide.View, state map[guide.ID]State) *stage {
	st := &stage{scene: s, eye: eyeOf(v), state: state, rects: make([]rect, len(s.bodies))}
	for i := range s.bodies {
		st.rects[i] = st.eye.rect(&s.bodies[i])
	}
	return st
}

func (st *stage) on(i int) bool { return st.state[st.scene.bodies[i].item.ID] == On }

// look samples what is seen of body i where it belongs, whether or not it
// stands there at the moment.
func (st *stage) look(i int) look {
	b, r := &st.scene.bodies[i], st.rects[i]
	var others []int
	for j := range st.scene.bodies {
		if j != i && st.on(j) && st.rects[j].meets(r) {
			others = append(others, j)
		}
	}
	hidden, hits, free := make([]int, len(others)), 0, 0
	for k := range gaze * gaze {
		f := flat{
			r.u0 + r.wide()*(float64(k%gaze)+0.5)/gaze,
			r.v0 + r.high()*(float64(k/gaze)+0.5)/gaze,
		}
		depth, ok := st.eye.surface(b, f)
		if !ok {
			continue
		}
		hits++
		if !st.countHidden(others, hidden, f, depth+inFront) {
			free++
		}
	}
	if hits == 0 {
		return look{}
	}
	return look{visible: float64(free) / float64(hits), covers: st.covers(i, others, hidden, hits)}
}

// countHidden counts which of the others hide f at the given depth.
func (st *stage) countHidden(others, hidden []int, f flat, depth float64) (any bool) {
	for n, j := range others {
		if !st.rects[j].has(f) {
			continue
		}
		if d, ok := st.eye.surface(&st.scene.bodies[j], f); ok && d > depth {
			hidden[n]++
			any = true
		}
	}
	return any
}

func (st *stage) covers(i int, others, hidden []int, hits int) []Cover {
	b := &st.scene.bodies[i]
	type near struct {
		Cover
		depth float64
	}
	var list []near
	for n, j := range others {
		share := float64(hidden[n]) / float64(hits)
		if share < coverShare {
			continue
		}
		c := &st.scene.bodies[j]
		_, depth := st.eye.depths(c)
		around := slices.Contains(b.item.Inside, c.item.ID) || c.contains(b.bounds.Centre())
		list = append(list, near{Cover{Item: c.item.ID, Share: share, Around: around}, depth})
	}
	slices.SortStableFunc(list, func(a, b near) int { return cmp.Compare(b.depth, a.depth) })
	covers := make([]Cover, len(list))
	for k, c := range list {
		covers[k] = c.Cover
	}
	return covers
}

// Covers lists what hides an item in a view while the items in state stand
// aside or off: nearest to the eye first, each hiding at least a fifth of the
// item's outline. It returns the visible share of the outline, 0 to 1, and
// zero values for an item whose place is not written down.
func (s *Scene) Covers(id guide.ID, v guide.View, state map[guide.ID]State) (covers []Cover, visible float64) {
	i, ok := s.byID[id]
	if !ok {
		return nil, 0
	}
	l := s.stage(v, state).look(i)
	return l.covers, l.visible
}
