package circuit

import "testing"

// BenchmarkSolve solves all circuits of the demonstration together.
func BenchmarkSolve(b *testing.B) {
	g := wired(b)
	for b.Loop() {
		if s, err := g.Solve(State{}); err != nil || s.Quiet != "" {
			b.Fatal(s, err)
		}
	}
}

// BenchmarkEverywhere predicts two readings for every place of a fault in all
// circuits of the demonstration together.
func BenchmarkEverywhere(b *testing.B) {
	g := wired(b)
	f14 := g.must(b, "fuel-pump.f14", SupplySide)
	probes, cases := []Probe{{f14, Reference}, {f14, g.must(b, "fuel-pump.f14", LoadSide)}}, g.Everywhere(0.45)
	for b.Loop() {
		if all, err := g.Predict(State{}, probes, cases); err != nil || len(all) != len(cases)+1 {
			b.Fatal(err)
		}
	}
}

// BenchmarkSVG draws the feed of the fuel pump.
func BenchmarkSVG(b *testing.B) {
	d := Drawing{Graph: wired(b, "fuel-pump"), Legend: true}
	for b.Loop() {
		if len(d.SVG()) < 1000 {
			b.Fatal("no drawing")
		}
	}
}
