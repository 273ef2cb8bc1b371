package bay

import (
	"math"

	"elbowroom/guide"
)

// Limits of what is taken for a shape.
const (
	// farthest is the largest coordinate or size that is believed, in mm:
	// anything more than a hundred metres away is a slip of the pen.
	farthest = 100_000.0
	// shortest is the length below which a direction is not defined, in mm.
	shortest = 1e-9
	// longestPath is the greatest number of points of a path that is drawn.
	longestPath = 1000
)

// solid is one convex piece of an item's envelope. All solids are symmetric
// about their centre.
type solid struct {
	form   guide.Form // Box, Cylinder, or Path for one leg of a path (round ends)
	centre vec
	axis   [3]vec     // unit axes; cylinder and leg run along axis[0]
	half   [3]float64 // box: half sizes; cylinder and leg: half length, radius, radius
}

// solidsOf returns the convex pieces of a shape, none when the shape cannot be
// used: no size, not finite, or farther than any bay.
func solidsOf(sh guide.Shape) []solid {
	switch sh.Form {
	case guide.Box, "":
		if usable(sh.Centre) && usable(sh.Turn) && positive(sh.Size.X, sh.Size.Y, sh.Size.Z) {
			return []solid{boxOf(sh)}
		}
	case guide.Cylinder:
		if usable(sh.Centre) && usable(sh.Turn) && positive(sh.Size.X, sh.Size.Y) {
			return []solid{cylinderOf(sh)}
		}
	case guide.Path:
		return legsOf(sh)
	}
	return nil
}

func boxOf(sh guide.Shape) solid {
	return solid{
		form: guide.Box, centre: sh.Centre, axis: turned(sh.Turn),
		half: [3]float64{sh.Size.X / 2, sh.Size.Y / 2, sh.Size.Z / 2},
	}
}

func cylinderOf(sh guide.Shape) solid {
	axes := turned(sh.Turn)
	switch sh.Along {
	case "y":
		axes = [3]vec{axes[1], axes[2], axes[0]}
	case "z":
		axes = [3]vec{axes[2], axes[0], axes[1]}
	}
	r := sh.Size.Y / 2
	return solid{form: guide.Cylinder, centre: sh.Centre, axis: axes, half: [3]float64{sh.Size.X / 2, r, r}}
}

func legsOf(sh guide.Shape) []solid {
	if !positive(sh.Thick) || len(sh.Path) == 0 || len(sh.Path) > longestPath {
		return nil
	}
	for _, p := range sh.Path {
		if !usable(p) {
			return nil
		}
	}
	if len(sh.Path) == 1 {
		return []solid{legOf(sh.Path[0], sh.Path[0], sh.Thick/2)}
	}
	legs := make([]solid, 0, len(sh.Path)-1)
	for i, p := range sh.Path[1:] {
		legs = append(legs, legOf(sh.Path[i], p, sh.Thick/2))
	}
	return legs
}

func legOf(a, b vec, r float64) solid {
	s := solid{form: guide.Path, centre: middle(a, b), axis: unit, half: [3]float64{length(sub(b, a)) / 2, r, r}}
	if n, ok := normal(sub(b, a)); ok {
		s.axis = frameAlong(n)
	}
	return s
}

// frameAlong returns three unit axes at right angles, the first of them n.
func frameAlong(n vec) [3]vec {
	helper := unit[0]
	if math.Abs(n.X) > 0.6 {
		helper = unit[1]
	}
	second, _ := normal(cross(n, helper))
	return [3]vec{n, second, cross(n, second)}
}

func usable(p vec) bool {
	for _, x := range parts3(p) {
		if !(math.Abs(x) <= farthest) {
			return false
		}
	}
	return true
}

func positive(sizes ...float64) bool {
	for _, s := range sizes {
		if !(s > 0 && s <= farthest) {
			return false
		}
	}
	return true
}

// reach returns how far the solid extends from its centre along unit vector n.
func (s solid) reach(n vec) float64 {
	a := math.Abs(dot(n, s.axis[0]))
	switch s.form {
	case guide.Cylinder:
		return s.half[0]*a + s.half[1]*math.Sqrt(math.Max(0, 1-a*a))
	case guide.Path:
		return s.half[0]*a + s.half[1]
	}
	return s.half[0]*a + s.half[1]*math.Abs(dot(n, s.axis[1])) + s.half[2]*math.Abs(dot(n, s.axis[2]))
}

// bounds returns the smallest upright box around the solid, exact for every form.
func (s solid) bounds() Bounds {
	r := vec{X: s.reach(unit[0]), Y: s.reach(unit[1]), Z: s.reach(unit[2])}
	return Bounds{Min: sub(s.centre, r), Max: add(s.centre, r)}
}

// nearest returns the point of the solid that is closest to p.
func (s solid) nearest(p vec) vec {
	d := sub(p, s.centre)
	l := [3]float64{dot(d, s.axis[0]), dot(d, s.axis[1]), dot(d, s.axis[2])}
	switch s.form {
	case guide.Path:
		core := along(s.centre, s.axis[0], clamp(l[0], -s.half[0], s.half[0]))
		out := sub(p, core)
		if far := length(out); far > s.half[1] {
			return along(core, out, s.half[1]/far)
		}
		return p
	case guide.Cylinder:
		l[0] = clamp(l[0], -s.half[0], s.half[0])
		if r := math.Hypot(l[1], l[2]); r > s.half[1] {
			l[1], l[2] = l[1]*s.half[1]/r, l[2]*s.half[1]/r
		}
	default:
		for i := range l {
			l[i] = clamp(l[i], -s.half[i], s.half[i])
		}
	}
	return along(along(along(s.centre, s.axis[0], l[0]), s.axis[1], l[1]), s.axis[2], l[2])
}

// contains reports whether p lies in the solid.
func (s solid) contains(p vec) bool { return length(sub(s.nearest(p), p)) <= touching }

// corners returns the eight corners of a box.
func (s solid) corners() [8]vec {
	var c [8]vec
	for i := range c {
		p := s.centre
		for j, a := range s.axis {
			if i>>j&1 == 1 {
				p = along(p, a, s.half[j])
			} else {
				p = along(p, a, -s.half[j])
			}
		}
		c[i] = p
	}
	return c
}
