package bay

import (
	"math"
	"math/rand/v2"
	"testing"

	"elbowroom/guide"
)

// near is the tolerance in mm of what is compared with hand-computed values.
const near = 1e-6

func box(c, size, turn vec) solid {
	return solidsOf(guide.Shape{Form: guide.Box, Centre: c, Size: size, Turn: turn})[0]
}

func p(x, y, z float64) vec { return vec{X: x, Y: y, Z: z} }

func close3(a, b vec) bool { return length(sub(a, b)) < near }

func TestEyesFollowTheTable(t *testing.T) {
	cases := []struct {
		view            guide.View
		right, up, near vec
		reason          string
	}{
		{guide.FromAbove, p(0, 1, 0), p(-1, 0, 0), p(0, 0, 1), "a person at the front looks towards the rear, the vehicle's left is on his right"},
		{guide.FromBelow, p(0, -1, 0), p(-1, 0, 0), p(0, 0, -1), "the same person looks up: left and right change over, rear stays at the top"},
		{guide.FromLeft, p(-1, 0, 0), p(0, 0, 1), p(0, 1, 0), "the vehicle points to the reader's left"},
		{guide.FromRight, p(1, 0, 0), p(0, 0, 1), p(0, -1, 0), "the vehicle points to the reader's right"},
		{guide.FromFront, p(0, 1, 0), p(0, 0, 1), p(1, 0, 0), "face to face with the vehicle"},
		{guide.FromRear, p(0, -1, 0), p(0, 0, 1), p(-1, 0, 0), "behind it left is left"},
		{"", p(0, 1, 0), p(-1, 0, 0), p(0, 0, 1), "no view is from above"},
	}
	for _, c := range cases {
		e := eyeOf(c.view)
		if !close3(e.right, c.right) || !close3(e.up, c.up) || !close3(e.near, c.near) {
			t.Errorf("%q: got right %v up %v near %v; %s", c.view, e.right, e.up, e.near, c.reason)
		}
	}
	for _, v := range Views {
		e := eyeOf(v)
		if !close3(cross(e.right, e.up), e.near) {
			t.Errorf("%s is seen in a mirror: right x up is %v, not %v", v, cross(e.right, e.up), e.near)
		}
	}
}

func TestOppositeViewsMirrorAcross(t *testing.T) {
	at := p(-150, -40, 200)
	for _, pair := range [][2]guide.View{{guide.FromAbove, guide.FromBelow}, {guide.FromLeft, guide.FromRight}, {guide.FromFront, guide.FromRear}} {
		a, b := eyeOf(pair[0]).flat(at), eyeOf(pair[1]).flat(at)
		if math.Abs(a.u+b.u) > near || math.Abs(a.v-b.v) > near {
			t.Errorf("%v: %v and %v are not mirrored left to right only", pair, a, b)
		}
	}
}

func TestBoundsByHand(t *testing.T) {
	half := 50 * math.Sqrt2
	cases := []struct {
		name     string
		shape    guide.Shape
		min, max vec
	}{
		{"upright box", guide.Shape{Form: guide.Box, Centre: p(10, 20, 30), Size: p(100, 20, 10)}, p(-40, 10, 25), p(60, 30, 35)},
		{"quarter turn about z swaps x and y", guide.Shape{Form: guide.Box, Size: p(100, 20, 10), Turn: p(0, 0, 90)}, p(-10, -50, -5), p(10, 50, 5)},
		{"eighth turn about z of a square", guide.Shape{Form: guide.Box, Size: p(100, 100, 10), Turn: p(0, 0, 45)}, p(-half, -half, -5), p(half, half, 5)},
		{"x before z", guide.Shape{Form: guide.Box, Size: p(10, 20, 40), Turn: p(90, 0, 90)}, p(-20, -5, -10), p(20, 5, 10)},
		{"cylinder along y", guide.Shape{Form: guide.Cylinder, Centre: p(0, 5, 0), Size: p(80, 30, 0), Along: "y"}, p(-15, -35, -15), p(15, 45, 15)},
		{"cylinder along x turned to z", guide.Shape{Form: guide.Cylinder, Size: p(80, 30, 0), Along: "x", Turn: p(0, 90, 0)}, p(-15, -15, -40), p(15, 15, 40)},
		{"path with round ends", guide.Shape{Form: guide.Path, Path: []vec{p(0, 0, 0), p(100, 0, 0), p(100, 50, 0)}, Thick: 20}, p(-10, -10, -10), p(110, 60, 10)},
	}
	for _, c := range cases {
		b, ok := bodyOf(&guide.Item{At: []guide.Shape{c.shape}})
		if !ok || !close3(b.bounds.Min, c.min) || !close3(b.bounds.Max, c.max) {
			t.Errorf("%s: got %v, want %v to %v", c.name, b.bounds, c.min, c.max)
		}
	}
}

func TestUnusableShapesAreRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	cases := []struct {
		name  string
		shape guide.Shape
	}{
		{"no size", guide.Shape{Form: guide.Box}},
		{"flat", guide.Shape{Form: guide.Box, Size: p(10, 10, 0)}},
		{"negative", guide.Shape{Form: guide.Box, Size: p(10, -10, 10)}},
		{"not a number", guide.Shape{Form: guide.Box, Centre: p(nan, 0, 0), Size: p(1, 1, 1)}},
		{"endless", guide.Shape{Form: guide.Box, Centre: p(0, inf, 0), Size: p(1, 1, 1)}},
		{"in another town", guide.Shape{Form: guide.Box, Centre: p(0, 0, 2*farthest), Size: p(1, 1, 1)}},
		{"turn not a number", guide.Shape{Form: guide.Box, Size: p(1, 1, 1), Turn: p(0, nan, 0)}},
		{"cylinder without width", guide.Shape{Form: guide.Cylinder, Size: p(10, 0, 0)}},
		{"path without points", guide.Shape{Form: guide.Path, Thick: 5}},
		{"path without thickness", guide.Shape{Form: guide.Path, Path: []vec{p(0, 0, 0), p(1, 0, 0)}}},
		{"path not a number", guide.Shape{Form: guide.Path, Path: []vec{p(0, nan, 0)}, Thick: 5}},
		{"unknown form", guide.Shape{Form: "cone", Size: p(1, 1, 1)}},
	}
	for _, c := range cases {
		if got := solidsOf(c.shape); got != nil {
			t.Errorf("%s: taken for %v", c.name, got)
		}
	}
}

func TestTurningKeepsVolume(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		size := p(1+99*r.Float64(), 1+99*r.Float64(), 1+99*r.Float64())
		s := box(p(r.Float64(), 0, 9), size, p(720*r.Float64(), -360*r.Float64(), 360*r.Float64()))
		c := s.corners()
		volume := dot(sub(c[1], c[0]), cross(sub(c[2], c[0]), sub(c[4], c[0])))
		if want := size.X * size.Y * size.Z; math.Abs(volume-want) > 1e-6*want {
			t.Fatalf("volume %v, want %v (and not mirrored)", volume, want)
		}
	}
}

// randomSolid returns one of the three forms near the origin.
func randomSolid(r *rand.Rand) solid {
	span := func(s float64) float64 { return s * (r.Float64() - 0.5) }
	at, turn := p(span(120), span(120), span(120)), p(span(360), span(360), span(360))
	sh := guide.Shape{Form: guide.Box, Centre: at, Size: p(5+60*r.Float64(), 5+60*r.Float64(), 5+60*r.Float64()), Turn: turn}
	switch r.IntN(4) {
	case 0:
		sh.Form, sh.Along = guide.Cylinder, "y"
	case 1:
		sh = guide.Shape{Form: guide.Path, Path: []vec{at, add(at, p(span(80), span(80), span(80)))}, Thick: 5 + 20*r.Float64()}
	case 2:
		sh.Turn = vec{}
	}
	return solidsOf(sh)[0]
}

// inside returns points of a grid over the bounds that lie in the solid.
func inside(s solid, side int) []vec {
	b := s.bounds()
	var list []vec
	for i := range side * side * side {
		f := func(k int) float64 { return (float64(k%side) + 0.5) / float64(side) }
		q := p(
			b.Min.X+f(i)*b.Size().X, b.Min.Y+f(i/side)*b.Size().Y, b.Min.Z+f(i/side/side)*b.Size().Z,
		)
		if s.contains(q) {
			list = append(list, q)
		}
	}
	return list
}

// gap is the distance of two solids after very many steps to and fro.
func gap(a, b solid) float64 {
	x := a.centre
	for range 5000 {
		x = a.nearest(b.nearest(x))
	}
	return length(sub(b.nearest(x), x))
}

func TestOverlapAgainstSampling(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	shared, apartPairs := 0, 0
	for n := range 1500 {
		a, b := randomSolid(r), randomSolid(r)
		d := depth(&a, &b)
		if back := depth(&b, &a); math.Abs(d-back) > 1e-6*(1+d) && (d == 0) != (back == 0) {
			t.Fatalf("pair %d: %v one way, %v the other", n, d, back)
		}
		hit := false
		for _, q := range inside(a, 9) {
			if b.contains(q) {
				hit = true
				break
			}
		}
		if hit {
			shared++
			if d == 0 {
				t.Fatalf("pair %d shares room but is said to be apart: %+v %+v", n, a, b)
			}
		}
		if d > 0.5 && a.form == guide.Box && b.form == guide.Box && gap(a, b) > 0.1 {
			t.Fatalf("pair %d of boxes is %v mm apart but said to be %v deep", n, gap(a, b), d)
		}
		if d == 0 {
			apartPairs++
		}
	}
	if shared < 100 || apartPairs < 100 {
		t.Fatalf("only %d sharing and %d separate pairs: the check checks nothing", shared, apartPairs)
	}
}

func TestDepthByHand(t *testing.T) {
	leg := func(a, b vec, thick float64) solid {
		return solidsOf(guide.Shape{Form: guide.Path, Path: []vec{a, b}, Thick: thick})[0]
	}
	cases := []struct {
		name string
		a, b solid
		want float64
	}{
		{"boxes 3 deep along x, more along the rest", box(vec{}, p(10, 10, 10), vec{}), box(p(7, 1, 0), p(10, 10, 10), vec{}), 3},
		{"boxes that touch", box(vec{}, p(10, 10, 10), vec{}), box(p(10, 0, 0), p(10, 10, 10), vec{}), 0},
		{"one in the other: out by the nearest face", box(vec{}, p(100, 100, 100), vec{}), box(p(40, 0, 0), p(10, 10, 10), vec{}), 15},
		{"corner between two edges of a turned box", box(vec{}, p(10, 10, 10), vec{}), box(p(11.9, 0, 0), p(10, 10, 10), p(0, 0, 45)), 5 + 5*math.Sqrt2 - 11.9},
		{"crossed hoses 18 apart, 10 thick each and touching nothing", leg(p(-50, 0, 0), p(50, 0, 0), 10), leg(p(0, -50, 18), p(0, 50, 18), 10), 0},
		{"crossed hoses 8 apart", leg(p(-50, 0, 0), p(50, 0, 0), 10), leg(p(0, -50, 8), p(0, 50, 8), 10), 2},
		{"hose ends that pass by", leg(p(0, 0, 0), p(50, 0, 0), 10), leg(p(57.2, 7.2, 0), p(90, 40, 0), 10), 0},
	}
	for _, c := range cases {
		if got := depth(&c.a, &c.b); math.Abs(got-c.want) > 1e-3 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestSightLineMeetsSurface(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	hits := 0
	for range 3000 {
		s := randomSolid(r)
		e := eyeOf(Views[r.IntN(len(Views))])
		f := e.flat(add(s.centre, p(60*(r.Float64()-.5), 60*(r.Float64()-.5), 60*(r.Float64()-.5))))
		from := e.lift(f)
		depth, ok := s.meet(from, e.near)
		best, found := math.Inf(-1), false
		for d := -200.0; d <= 200; d += 0.25 {
			if s.contains(along(from, e.near, d)) {
				best, found = d, true
			}
		}
		if found && (!ok || math.Abs(depth-best) > 0.3) {
			t.Fatalf("%s %+v: met at %v %v, sampled at %v", e.view, s, depth, ok, best)
		}
		if ok && !s.contains(along(from, e.near, depth-1e-9)) {
			t.Fatalf("%s %+v: surface at %v is not of the solid", e.view, s, depth)
		}
		if found {
			hits++
		}
	}
	if hits < 500 {
		t.Fatalf("only %d lines hit anything", hits)
	}
}

func TestSilhouetteFillsItsRectangle(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 300 {
		s, e := randomSolid(r), eyeOf(Views[r.IntN(len(Views))])
		want, got := e.rectOf(s), rect{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, f := range e.silhouette(s) {
			got = got.join(rect{f.u, f.v, f.u, f.v})
		}
		// A circle stands as twenty corners, which fall short by up to 1.3 %.
		if slack := 0.013 * (want.wide() + want.high()); !got.within(want.grow(near)) || !want.within(got.grow(slack)) {
			t.Fatalf("%s %+v: silhouette %v, rectangle %v", e.view, s, got, want)
		}
	}
}

func TestNearHidesFar(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	checked := 0
	for range 60 {
		g := &guide.Resolved{Guide: &guide.Guide{}}
		var placed []Bounds
		for len(placed) < 25 {
			c, size := p(400*r.Float64(), 400*r.Float64(), 400*r.Float64()), p(10+150*r.Float64(), 10+150*r.Float64(), 10+150*r.Float64())
			b := box(c, size, vec{}).bounds()
			free := true
			for _, o := range placed {
				free = free && !o.meets(b)
			}
			if free || len(placed) == 0 {
				placed = append(placed, b)
				g.Items = append(g.Items, guide.Item{ID: guide.ID(rune('A' + len(placed))), At: []guide.Shape{{Form: guide.Box, Centre: c, Size: size}}})
			} else if r.IntN(400) == 0 {
				break
			}
		}
		s := New(g)
		for _, v := range Views {
			st := s.stage(v, nil)
			all := make([]int, len(s.bodies))
			for i := range all {
				all[i] = i
			}
			order := st.fromFar(all)
			for range 100 {
				f := st.eye.flat(p(400*r.Float64(), 400*r.Float64(), 400*r.Float64()))
				last := -1
				for _, i := range order {
					if _, ok := st.eye.surface(&s.bodies[i], f); ok {
						last = i
					}
				}
				if top := st.top(f); top != last {
					t.Fatalf("%s: %v is drawn on top, %v is seen", v, last, top)
				}
				checked++
			}
		}
	}
	if checked < 10000 {
		t.Fatalf("only %d points checked", checked)
	}
}
