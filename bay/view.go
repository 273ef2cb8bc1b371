package bay

import (
	"math"
	"slices"

	"elbowroom/guide"
)

// Corner is the view from the front left corner of the vehicle, from above,
// with all three axes equally shortened. It is for stills; sentences and
// places use the six views of package guide.
const Corner guide.View = "corner"

// Views lists every view that can be drawn.
var Views = []guide.View{
	guide.FromAbove, guide.FromBelow, guide.FromLeft, guide.FromRight, guide.FromFront, guide.FromRear, Corner,
}

// eye is a view as three unit vectors: what points to the right and up on the
// drawing, and what points at the eye.
type eye struct {
	view            guide.View
	right, up, near vec
}

// eyeOf returns the eye of a view; an unknown or empty view is from above.
func eyeOf(v guide.View) eye {
	e := eye{view: v}
	switch v {
	case guide.FromBelow:
		e.up, e.near = vec{X: -1}, vec{Z: -1}
	case guide.FromLeft:
		e.up, e.near = vec{Z: 1}, vec{Y: 1}
	case guide.FromRight:
		e.up, e.near = vec{Z: 1}, vec{Y: -1}
	case guide.FromFront:
		e.up, e.near = vec{Z: 1}, vec{X: 1}
	case guide.FromRear:
		e.up, e.near = vec{Z: 1}, vec{X: -1}
	case Corner:
		e.near, _ = normal(vec{X: 1, Y: 1, Z: 1})
		e.up, _ = normal(vec{X: -1, Y: -1, Z: 2})
	default:
		e.view, e.up, e.near = guide.FromAbove, vec{X: -1}, vec{Z: 1}
	}
	e.right = cross(e.up, e.near)
	return e
}

// flat is a point of a drawing: millimetres in the plane of the view, or
// pixels of the page with v downwards.
type flat struct{ u, v float64 }

func (e eye) flat(p vec) flat { return flat{dot(p, e.right), dot(p, e.up)} }

// lift returns the point of the bay at depth 0 that is seen at f.
func (e eye) lift(f flat) vec { return add(scale(e.right, f.u), scale(e.up, f.v)) }

// rect is an upright rectangle.
type rect struct{ u0, v0, u1, v1 float64 }

func (r rect) wide() float64   { return r.u1 - r.u0 }
func (r rect) high() float64   { return r.v1 - r.v0 }
func (r rect) centre() flat    { return flat{(r.u0 + r.u1) / 2, (r.v0 + r.v1) / 2} }
func (r rect) empty() bool     { return !(r.u1 > r.u0 && r.v1 > r.v0) }
func (r rect) has(f flat) bool { return f.u >= r.u0 && f.u <= r.u1 && f.v >= r.v0 && f.v <= r.v1 }

func (r rect) grow(by float64) rect { return rect{r.u0 - by, r.v0 - by, r.u1 + by, r.v1 + by} }

func (r rect) shift(d flat) rect { return rect{r.u0 + d.u, r.v0 + d.v, r.u1 + d.u, r.v1 + d.v} }

func (r rect) join(o rect) rect {
	return rect{math.Min(r.u0, o.u0), math.Min(r.v0, o.v0), math.Max(r.u1, o.u1), math.Max(r.v1, o.v1)}
}

func (r rect) meets(o rect) bool { return r.u0 < o.u1 && o.u0 < r.u1 && r.v0 < o.v1 && o.v0 < r.v1 }

func (r rect) within(o rect) bool {
	return r.u0 >= o.u0 && r.u1 <= o.u1 && r.v0 >= o.v0 && r.v1 <= o.v1
}

// rect returns the exact outline rectangle of a body in the view.
func (e eye) rect(b *body) rect {
	r := e.rectOf(b.solids[0])
	for _, s := range b.solids[1:] {
		r = r.join(e.rectOf(s))
	}
	return r
}

func (e eye) rectOf(s solid) rect {
	c, u, v := e.flat(s.centre), s.reach(e.right), s.reach(e.up)
	return rect{c.u - u, c.v - v, c.u + u, c.v + v}
}

// depths returns the farthest and the nearest depth of a body: how far along
// the way to the eye it reaches.
func (e eye) depths(b *body) (far, near float64) {
	far, near = math.Inf(1), math.Inf(-1)
	for _, s := range b.solids {
		c, r := dot(s.centre, e.near), s.reach(e.near)
		far, near = math.Min(far, c-r), math.Max(near, c+r)
	}
	return far, near
}

// silhouette returns the outline of a solid in the view, counter-clockwise in
// the plane of the view.
func (e eye) silhouette(s solid) []flat {
	switch s.form {
	case guide.Box:
		points := make([]flat, 0, 8)
		for _, c := range s.corners() {
			points = append(points, e.flat(c))
		}
		return hull(points)
	case guide.Cylinder:
		return hull(append(e.rim(s, 1), e.rim(s, -1)...))
	}
	a := e.flat(along(s.centre, s.axis[0], -s.half[0]))
	b := e.flat(along(s.centre, s.axis[0], s.half[0]))
	return hull(append(disc(a, s.half[1]), disc(b, s.half[1])...))
}

// rimPoints is the number of corners that stand for a circle.
const rimPoints = 20

// rim returns one end face of a cylinder, at the given side of its axis.
func (e eye) rim(s solid, side float64) []flat {
	centre := along(s.centre, s.axis[0], side*s.half[0])
	points := make([]flat, rimPoints)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / rimPoints)
		points[i] = e.flat(along(along(centre, s.axis[1], s.half[1]*cos), s.axis[2], s.half[2]*sin))
	}
	return points
}

func disc(c flat, r float64) []flat {
	points := make([]flat, rimPoints)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / rimPoints)
		points[i] = flat{c.u + r*cos, c.v + r*sin}
	}
	return points
}

// onLine is twice the area in mm² below which three points lie on one line.
const onLine = 1e-6

// hull returns the convex outline of the points, counter-clockwise.
func hull(points []flat) []flat {
	slices.SortFunc(points, func(a, b flat) int {
		switch {
		case a.u < b.u || a.u == b.u && a.v < b.v:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	half := func(out []flat, at func(i int) flat) []flat {
		base := len(out)
		for i := range points {
			for len(out) >= base+2 && left(out[len(out)-2], out[len(out)-1], at(i)) <= onLine {
				out = out[:len(out)-1]
			}
			out = append(out, at(i))
		}
		return out[:len(out)-1]
	}
	out := half(make([]flat, 0, len(points)+1), func(i int) flat { return points[i] })
	return half(out, func(i int) flat { return points[len(points)-1-i] })
}

// left returns twice the area of the triangle, positive when c lies to the
// left of the way from a to b.
func left(a, b, c flat) float64 { return (b.u-a.u)*(c.v-a.v) - (b.v-a.v)*(c.u-a.u) }

// sideWords says what lies towards a direction, always with its frame.
func sideWords(d vec) string {
	switch {
	case d.X > 0.9:
		return "front of the vehicle"
	case d.X < -0.9:
		return "rear of the vehicle"
	case d.Y > 0.9:
		return "left of the vehicle"
	case d.Y < -0.9:
		return "right of the vehicle"
	case d.Z > 0:
		return "up"
	}
	return "down"
}

// viewWords says from where a view looks, always with its frame.
func viewWords(v guide.View) string {
	switch v {
	case guide.FromBelow:
		return "from below"
	case guide.FromLeft:
		return "from the left of the vehicle"
	case guide.FromRight:
		return "from the right of the vehicle"
	case guide.FromFront:
		return "from the front of the vehicle"
	case guide.FromRear:
		return "from the rear of the vehicle"
	case Corner:
		return "from the corner at the front and left of the vehicle, from above"
	}
	return "from above"
}
