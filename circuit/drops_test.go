package circuit

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// caseC is what the technician of case C measured, with the uncertainty of a
// multimeter of ±(0.5 % + 3 digits of 10 mV) and, on its millivolt range, of
// ±(0.5 % + 3 digits of 0.1 mV), each over √3 (JCGM 100, 4.3.7).
func caseC(t testing.TB, g *Graph) Drops {
	pump := g.must(t, "fuel-pump.pump", SupplySide)
	path, err := g.Main(pump.Node)
	if err != nil {
		t.Fatal(err)
	}
	battery, relay := g.must(t, "fuel-pump.battery", LoadSide), g.must(t, "fuel-pump.relay", LoadSide)
	before, behind := g.must(t, "fuel-pump.f14", SupplySide), g.must(t, "fuel-pump.f14", LoadSide)
	return Drops{
		Path: path,
		Volts: []Measured{
			{"battery + to relay output", battery, relay, 0.09, 0.018},
			{"battery + to F14", battery, before, 2.71, 0.025},
			{"across F14", before, behind, 0.0268, 0.00025},
		},
		Standards: []Standard{{"element of F14", before, behind, 0.0046, 0.0001}},
	}
}

// TestLocateCaseC: 0.45 Ω in the holder, between relay output and fuse.
func TestLocateCaseC(t *testing.T) {
	g := wired(t, "fuel-pump")
	got, err := g.Locate(caseC(t, g))
	if err != nil || got.Quiet != "" || got.Contradict {
		t.Fatalf("%+v, %v", got, err)
	}
	if got.Worst < 0 {
		t.Fatalf("nothing found: %s", got.Says)
	}
	s := got.Stretches[got.Worst]
	near(t, "Ω in the holder", float64(s.Extra), 0.45, 0.003)
	if s.From != g.must(t, "fuel-pump.relay", LoadSide) || s.To != g.must(t, "fuel-pump.f14", SupplySide) {
		t.Errorf("found between %s and %s", g.Say(s.From), g.Say(s.To))
	}
	if s.U <= 0 || s.U > 0.02 {
		t.Errorf("known to %v", s.U)
	}
	for i, other := range got.Stretches {
		if i != got.Worst && other.Finding != Sound {
			t.Errorf("%s to %s is %s", g.Say(other.From), g.Say(other.To), other.Finding)
		}
	}
	if !strings.Contains(got.Says, "EL06") || !strings.Contains(got.Says, "EL05") {
		t.Error(got.Says)
	}
}

// TestLocateUncertainty: the uncertainty that Locate states is that which the
// results of many simulated measurements show.
func TestLocateUncertainty(t *testing.T) {
	g := wired(t, "fuel-pump")
	d := caseC(t, g)
	holder := slices.Index(d.Path.Spots, OnWire(g.Nodes[g.must(t, "fuel-pump.f14", SupplySide).Node].in[0]))
	st := State{Inserts: []Insertion{{Spot: d.Path.Spots[holder], Ohm: 0.45}}}
	s := solved(t, g, st)
	rnd := rand.New(rand.NewPCG(1, 2))
	const times = 4000
	var sum, squares, stated float64
	contradictions := 0
	for range times {
		try := d
		try.Volts = slices.Clone(d.Volts)
		for i := range try.Volts {
			m := &try.Volts[i]
			m.Volts = s.Between(m.At, m.Against) + m.U*Volts(rnd.NormFloat64())
		}
		try.Volts = append(try.Volts, Measured{"once more", d.Volts[1].At, d.Volts[1].Against, s.Between(d.Volts[1].At, d.Volts[1].Against) + 0.025*Volts(rnd.NormFloat64()), 0.025})
		try.Standards = []Standard{{"element of F14", d.Standards[0].From, d.Standards[0].To, 0.0046, 1e-7}}
		got, err := g.Locate(try)
		if err != nil || got.Quiet != "" {
			t.Fatalf("%+v, %v", got, err)
		}
		i := slices.IndexFunc(got.Stretches, func(s Stretch) bool { return slices.Contains(s.Spots, d.Path.Spots[holder]) })
		x := float64(got.Stretches[i].Extra)
		sum, squares, stated = sum+x, squares+x*x, stated+float64(got.Stretches[i].U)
		if got.Contradict {
			contradictions++
		}
	}
	mean := sum / times
	near(t, "mean Ω", mean, 0.45, 0.001)
	near(t, "spread over stated uncertainty", math.Sqrt(squares/times-mean*mean)/(stated/times), 1, 0.05)
	near(t, "share of false contradictions", float64(contradictions)/times, contradiction, 0.006)
}

// TestLocateOutcomes: what readings can fail to say.
func TestLocateOutcomes(t *testing.T) {
	g := wired(t, "fuel-pump")
	battery, relay := g.must(t, "fuel-pump.battery", LoadSide), g.must(t, "fuel-pump.relay", LoadSide)
	before, behind := g.must(t, "fuel-pump.f14", SupplySide), g.must(t, "fuel-pump.f14", LoadSide)
	pump, ground := g.must(t, "fuel-pump.pump", SupplySide), g.must(t, "fuel-pump.rear-ground", SupplySide)
	base := caseC(t, g)
	clamp := []Carried{{"clamp", OnWire(0), 7.18, 0.05}}
	for _, c := range []struct {
		name  string
		d     Drops
		check func(Located) bool
	}{
		{"healthy by clamp", Drops{Path: base.Path, Volts: []Measured{{"up to F14", battery, behind, 0.14, 0.01}, {"F14 to pump", behind, pump, 0.29, 0.01}}, Amps: clamp}, func(l Located) bool {
			return l.Worst < 0 && l.Stretches[0].Finding == Sound && strings.Contains(l.Says, "would have shown")
		}},
		{"drop without any current", Drops{Path: base.Path, Volts: []Measured{{"up to F14", battery, behind, 2.7, 0.01}}}, func(l Located) bool {
			return l.Stretches[0].Finding == Unknown && math.Abs(float64(l.Stretches[0].Drop)-2.7) < 1e-9 && strings.Contains(l.Says, "no current")
		}},
		{"leads swapped", Drops{Path: base.Path, Volts: []Measured{{"up to F14", behind, battery, 2.7, 0.01}}, Amps: clamp}, func(l Located) bool {
			return l.Stretches[0].Finding == Rises && strings.Contains(l.Says, "rises")
		}},
		{"two readings of one drop that differ", Drops{Path: base.Path, Volts: []Measured{{"first", battery, before, 2.7, 0.02}, {"second", battery, before, 0.1, 0.02}}, Amps: clamp}, func(l Located) bool {
			return l.Contradict && slices.Contains(l.Doubt, "first") && slices.Contains(l.Doubt, "second") && strings.Contains(l.Says, "do not fit")
		}},
		{"one reading of four is wrong", Drops{Path: base.Path, Volts: []Measured{
			{"a", battery, before, 0.11, 0.01}, {"b", before, behind, 0.033, 0.01}, {"c", battery, behind, 0.14, 0.01}, {"d", battery, behind, 2.2, 0.01}, {"e", battery, behind, 0.15, 0.01},
		}, Amps: clamp}, func(l Located) bool { return l.Contradict && slices.Equal(l.Doubt, []string{"d"}) }},
		{"ground side", Drops{Path: base.Path, Volts: []Measured{{"pump ground", ground, Reference, 0.9, 0.01}}, Amps: clamp}, func(l Located) bool {
			return l.Worst == 0 && math.Abs(float64(l.Stretches[0].Extra)-0.9/7.18) < 0.001
		}},
		{"the load itself is not judged", Drops{Path: base.Path, Volts: []Measured{{"pump", pump, ground, 13.47, 0.05}}, Amps: clamp}, func(l Located) bool {
			return l.Stretches[0].Finding == Load && math.Abs(float64(l.Stretches[0].Ohm)-1.876) < 0.01
		}},
		{"current from the known load", Drops{Path: base.Path, Volts: []Measured{{"pump", pump, ground, 10.93, 0.05}, {"up to F14", relay, before, 2.62, 0.02}}, Standards: []Standard{{"pump", pump, ground, 1.875, 0.03}}}, func(l Located) bool {
			return l.Worst == 0 && math.Abs(float64(l.Stretches[0].Extra)-0.45) < 0.005
		}},
		{"nothing but a clamp", Drops{Path: base.Path, Amps: clamp}, func(l Located) bool { return strings.Contains(l.Quiet, "two points") }},
		{"a standard without voltage and current", Drops{Path: base.Path, Standards: base.Standards}, func(l Located) bool { return strings.Contains(l.Quiet, "do not settle") }},
	} {
		got, err := g.Locate(c.d)
		if err != nil || !c.check(got) {
			t.Errorf("%s: %+v, %v", c.name, got, err)
		}
	}
}

// TestLocateRefuses: readings that cannot be used.
func TestLocateRefuses(t *testing.T) {
	g := wired(t, "fuel-pump", "control-unit")
	base := caseC(t, g)
	battery, before := base.Volts[0].At, base.Standards[0].From
	unit := g.must(t, "control-unit.unit", SupplySide)
	for _, c := range []struct {
		reason string
		d      Drops
	}{
		{"no path", Drops{}},
		{"a spot of another circuit", Drops{Path: Path{Points: []Point{battery, before}, Spots: []Spot{OnWire(99)}}}},
		{"off the path", Drops{Path: base.Path, Volts: []Measured{{"x", battery, unit, 1, 1}}}},
		{"no such point", Drops{Path: base.Path, Volts: []Measured{{"x", battery, Point{99, LoadSide}, 1, 1}}}},
		{"both leads at one point", Drops{Path: base.Path, Volts: []Measured{{"x", battery, battery, 0, 1}}}},
		{"no uncertainty", Drops{Path: base.Path, Volts: []Measured{{"x", battery, before, 1, 0}}}},
		{"no number", Drops{Path: base.Path, Volts: []Measured{{"x", battery, before, Volts(math.NaN()), 1}}}},
		{"a clamp elsewhere", Drops{Path: base.Path, Amps: []Carried{{"x", AtNode(unit.Node), 1, 1}}}},
		{"a standard backwards", Drops{Path: base.Path, Standards: []Standard{{"x", base.Standards[0].To, before, 1, 1}}}},
		{"a standard of nothing", Drops{Path: base.Path, Standards: []Standard{{"x", before, base.Standards[0].To, 0, 1}}}},
	} {
		if got, err := g.Locate(c.d); !errors.Is(err, ErrGraph) {
			t.Errorf("%s: %+v, %v", c.reason, got, err)
		}
	}
}

// TestLocateBranch: three coils behind one splice. A clamp before the splice
// says nothing of the current behind it.
func TestLocateBranch(t *testing.T) {
	g := wired(t, "coils-right")
	path, err := g.Main(g.must(t, "coils-right.coil-1", SupplySide).Node)
	if err != nil {
		t.Fatal(err)
	}
	d := Drops{
		Path: path,
		Volts: []Measured{
			{"feed", g.must(t, "coils-right.main", LoadSide), g.must(t, "coils-right.bank", SupplySide), 1.0, 0.01},
			{"ground of coil 1", g.must(t, "coils-right.coil-1", LoadSide), Reference, 0.5, 0.01},
		},
		Amps: []Carried{{"clamp at the relay", path.Spots[0], 5, 0.1}},
	}
	got, err := g.Locate(d)
	if err != nil {
		t.Fatal(err)
	}
	if s := got.Stretches[0]; s.Finding != TooMuch || math.Abs(float64(s.Ohm)-0.2) > 1e-6 {
		t.Errorf("before the splice: %+v", s)
	}
	if s := got.Stretches[len(got.Stretches)-1]; s.Finding != Unknown {
		t.Errorf("behind the splice: %+v", s)
	}
}

// TestChiSquare: two degrees of freedom are exp(-x/2), one is erfc(√(x/2)), and
// d+2 follows from d by (x/2)^(d/2) e^(-x/2) / Γ(d/2+1).
func TestChiSquare(t *testing.T) {
	for _, x := range []float64{0.01, 0.5, 1, 3, 6.6, 15, 40} {
		near(t, "1", chiSquare(x, 1), math.Erfc(math.Sqrt(x/2)), 1e-15)
		near(t, "2", chiSquare(x, 2), math.Exp(-x/2), 1e-15)
		for d := 1; d < 12; d++ {
			step := math.Pow(x/2, float64(d)/2) * math.Exp(-x/2) / math.Gamma(float64(d)/2+1)
			near(t, fmt.Sprintf("%d to %d at %v", d, d+2, x), chiSquare(x, d+2)-chiSquare(x, d), step, 1e-14)
		}
	}
	if chiSquare(5, 0) != 1 || chiSquare(math.NaN(), 2) != 1 {
		t.Error("without spare readings nothing contradicts")
	}
}
