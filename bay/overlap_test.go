package bay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"elbowroom/bay"
	"elbowroom/guide"
)

func boxItem(id guide.ID, x0, y0, z0, x1, y1, z1 float64) guide.Item {
	return guide.Item{ID: id, Name: string(id), At: []guide.Shape{{
		Form: guide.Box, Centre: guide.Point{X: (x0 + x1) / 2, Y: (y0 + y1) / 2, Z: (z0 + z1) / 2},
		Size: guide.Point{X: x1 - x0, Y: y1 - y0, Z: z1 - z0},
	}}}
}

func TestOverlapsByHand(t *testing.T) {
	inside := boxItem("IN", 40, 40, 40, 60, 60, 60)
	inside.Inside = []guide.ID{"HOST"}
	part := boxItem("PART", 0, 0, 0, 10, 10, 10)
	part.PartOf = "HOST"
	g := &guide.Resolved{Guide: &guide.Guide{}, Items: []guide.Item{
		boxItem("HOST", 0, 0, 0, 100, 100, 100),
		inside, part,
		boxItem("TOUCH", 100, 0, 0, 200, 100, 100),
		boxItem("DEEP", 95, 20, 92, 120, 80, 130),
		{ID: "NOWHERE"},
	}}
	got := fmt.Sprint(bay.New(g).Overlaps())
	if want := "[{HOST DEEP 5} {TOUCH DEEP 8}]"; got != want {
		t.Errorf("got %s, want %s: inside and part-of are meant, touching is not overlapping", got, want)
	}
}

func TestOverlapsEqualBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	found := 0
	for range 20 {
		g := &guide.Resolved{Guide: &guide.Guide{}}
		var corner [][6]float64
		for i := range 120 {
			c := [6]float64{}
			for k := range 3 {
				c[k] = math.Round(800 * r.Float64())
				c[k+3] = c[k] + math.Round(5+120*r.Float64())
			}
			corner = append(corner, c)
			g.Items = append(g.Items, boxItem(guide.ID(fmt.Sprint("B", i)), c[0], c[1], c[2], c[3], c[4], c[5]))
		}
		var want []bay.Overlap
		for i, a := range corner {
			for j := i + 1; j < len(corner); j++ {
				if d := boxDepth(a, corner[j]); d > 0 {
					want = append(want, bay.Overlap{A: g.Items[i].ID, B: g.Items[j].ID, Millimetres: bay.Millimetres(d)})
				}
			}
		}
		got := bay.New(g).Overlaps()
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Fatalf("sweep and brute force differ:\n%v\n%v", got, want)
		}
		found += len(want)
	}
	if found < 100 {
		t.Fatalf("only %d overlaps in all", found)
	}
}

// boxDepth is the least way out of one another of two upright boxes given by
// their corners, straight from the definition.
func boxDepth(a, b [6]float64) float64 {
	least := math.Inf(1)
	for k := range 3 {
		if b[k] >= a[k+3] || a[k] >= b[k+3] {
			return 0
		}
		least = min(least, a[k+3]-b[k], b[k+3]-a[k])
	}
	return least
}

func TestDemoOverlapsEqualBruteForce(t *testing.T) {
	for _, side := range []guide.ID{"LHD", "RHD"} {
		s := scene(t, side)
		var want []bay.Overlap
		ids := s.Placed()
		for i, a := range ids {
			for _, b := range ids[i+1:] {
				if d := boxDepth(corners(t, s, a), corners(t, s, b)); d > 0 {
					want = append(want, bay.Overlap{A: a, B: b, Millimetres: bay.Millimetres(d)})
				}
			}
		}
		if got := s.Overlaps(); len(want) < 100 || fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: sweep and brute force differ:\n%v\n%v", side, got, want)
		}
	}
}

func corners(t *testing.T, s *bay.Scene, id guide.ID) [6]float64 {
	t.Helper()
	e, ok := s.Envelope(id)
	if !ok {
		t.Fatalf("%s has no envelope", id)
	}
	return [6]float64{e.Min.X, e.Min.Y, e.Min.Z, e.Max.X, e.Max.Y, e.Max.Z}
}

func BenchmarkOverlaps(b *testing.B) {
	s, _ := randomScene(1, 3000, 3000)
	n := 0
	for b.Loop() {
		n = len(s.Overlaps())
	}
	if n == 0 {
		b.Fatal("nothing overlaps")
	}
	b.ReportMetric(float64(n), "pairs")
}
