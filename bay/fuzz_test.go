package bay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"elbowroom/bay"
	"elbowroom/guide"
)

// randomScene returns a scene of all forms and classes.
func randomScene(seed uint64, n int, span float64) (*bay.Scene, []guide.ID) {
	r := rand.New(rand.NewPCG(seed, 1))
	x := func(s float64) float64 { return s * (r.Float64() - 0.5) }
	point := func(s float64) guide.Point { return guide.Point{X: x(s), Y: x(s), Z: x(s)} }
	size := func() guide.Point {
		return guide.Point{X: span * r.Float64() / 20, Y: span * r.Float64() / 20, Z: span * r.Float64() / 20}
	}
	g := &guide.Resolved{Guide: &guide.Guide{}}
	var ids []guide.ID
	for i := range n {
		sh := guide.Shape{Form: guide.Box, Centre: point(span), Size: size()}
		switch r.IntN(6) {
		case 0:
			sh.Turn = point(360)
		case 1:
			sh.Form, sh.Along = guide.Cylinder, []string{"x", "y", "z"}[r.IntN(3)]
		case 2:
			sh = guide.Shape{Form: guide.Path, Thick: span * r.Float64() / 40, Path: []guide.Point{point(span), point(span), point(span)}}
		}
		id := guide.ID(fmt.Sprintf("N%d", i))
		ids = append(ids, id)
		g.Items = append(g.Items, guide.Item{
			ID: id, Name: fmt.Sprintf("Item number %d", i), Class: guide.Classes[r.IntN(len(guide.Classes))], At: []guide.Shape{sh},
			Landmark: r.IntN(9) == 0,
		})
	}
	return bay.New(g), ids
}

func FuzzDraw(f *testing.F) {
	f.Add(uint64(1), uint8(20), 1000.0, 400.0, 200.0, "Left & <right>", uint8(0))
	f.Add(uint64(2), uint8(3), 1e-12, -5.0, 1e9, "\x00", uint8(255))
	f.Add(uint64(3), uint8(0), math.NaN(), math.Inf(1), math.MaxFloat64, "", uint8(77))
	f.Add(uint64(4), uint8(40), 1e5, 1e300, 50.0, "a", uint8(9))
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, span, width, around float64, title string, bits uint8) {
		s, ids := randomScene(seed, int(n%50), span)
		o := bay.Options{
			View: bay.Views[int(seed%uint64(len(bay.Views)))], Width: width, Height: around, Around: bay.Millimetres(around), Title: title, Prefix: title,
			Labels: bits&1 > 0, Key: bits&2 > 0, Ghosts: bits&4 > 0, Interactive: bits&8 > 0, Tight: bits&16 > 0, Cleared: map[guide.ID]bay.State{},
		}
		for i, id := range ids {
			switch (i + int(bits)) % 7 {
			case 0:
				o.Highlight = append(o.Highlight, id)
			case 1:
				o.Path = append(o.Path, id)
			case 2:
				o.Cleared[id] = bay.Aside
			case 3:
				o.Cleared[id] = bay.Off
			}
		}
		sound(t, s.Draw(o))
		for _, id := range ids {
			if text := s.Where(id, bay.From{View: o.View, Cleared: o.Cleared}).Text; notNumber.MatchString(text) {
				t.Fatal(text)
			}
		}
		s.Overlaps()
	})
}

func BenchmarkDraw(b *testing.B) {
	s := scene(b, "LHD")
	for _, v := range bay.Views {
		b.Run(string(v), func(b *testing.B) {
			o := everything(v)
			svg := ""
			for b.Loop() {
				svg = s.Draw(o)
			}
			sound(b, svg)
			b.ReportMetric(float64(len(svg)), "bytes")
		})
	}
}
