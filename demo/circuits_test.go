package demo

import (
	"math"
	"testing"
	"time"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/quantity"
)

// TestCircuitsSolve: all circuits together have a solution, each supply holds
// its voltage, and every sensor with a law shows what it senses.
func TestCircuitsSolve(t *testing.T) {
	for _, side := range []guide.ID{"LHD", "RHD"} {
		g, err := circuit.Build(seen(t, side))
		if err != nil {
			t.Fatal(err)
		}
		sensed := map[guide.ID]quantity.Value{"SE03": quantity.Of(90, "°C"), "SE04": quantity.Of(35, "°C"), "SE15": quantity.Of(50, "bar"), "SE16": quantity.Of(5, "bar")}
		s, err := g.Solve(circuit.State{Sensed: sensed})
		if err != nil || s.Quiet != "" {
			t.Fatalf("%s: %v %v", side, s, err)
		}
		shown := 0
		for i, n := range g.Nodes {
			if n.Sort != guide.SensingNode || n.Law == "" {
				continue
			}
			shown++
			if v, err := g.Reads(s, i); err != nil || math.Abs(v.SI()-sensed[n.On].SI()) > 1e-6*sensed[n.On].SI() {
				t.Errorf("%s: %s reads %v, %v; it senses %v", side, n.On, v, err, sensed[n.On])
			}
		}
		if shown != len(sensed) {
			t.Errorf("%s: %d sensors with a law, %d expected", side, shown, len(sensed))
		}
	}
}

// TestLimitsFollowFromTheCircuit: the limit of T39 at the control unit is that
// of T38 at X3 with the cable, and the wire's capacitance is its length by the
// law of the cable.
func TestLimitsFollowFromTheCircuit(t *testing.T) {
	r := seen(t, "LHD")
	g, err := circuit.Build(r)
	if err != nil {
		t.Fatal(err)
	}
	near, far := r.Check("T38").Limits[0], r.Check("T39").Limits[0]
	for _, sensor := range []guide.ID{"SE13", "SE14"} {
		d := g.LimitFor(sensor, "X3", "EL01", circuit.Bounds{Low: near.Low, High: near.High}, circuit.Copper{})
		if d.Quiet != "" || d.Low != far.Low || d.High != far.High {
			t.Errorf("%s: %+v, T39 has %s to %s", sensor, d, far.Low, far.High)
		}
	}
	_, cable := lawOf(t, r.Guide, "cable-capacitance")
	wires := 0
	for _, w := range g.Wires {
		if w.Farad.Zero() {
			continue
		}
		wires++
		if want := w.Length.Number * cable["slope"]; math.Abs(w.Farad.Number-want) > 1e-9 {
			t.Errorf("%s of cable has %s, by its law %v pF", w.Length, w.Farad, want)
		}
	}
	if wires != 2 {
		t.Errorf("%d cables with a capacitance", wires)
	}
	coil := r.Check("T58").Limits[0]
	d := g.LimitFor("AC07", "AC07", "EL01", circuit.Bounds{Low: coil.Low, High: coil.High}, circuit.Copper{})
	if d.Quiet != "" || math.Abs(d.Low.SI()-coil.Low.SI()-0.0832) > 1e-9 {
		t.Errorf("T58 at the control unit: %+v", d)
	}
	for _, c := range []struct{ part, given, wanted guide.ID }{{"G5", "X3", "EL01"}, {"SE13", "X5", "EL01"}, {"SE13", "X3", "X5"}, {"AC07", "AC07", "X3"}} {
		if d := g.LimitFor(c.part, c.given, c.wanted, circuit.Bounds{High: coil.High}, circuit.Copper{}); d.Quiet == "" {
			t.Errorf("%v: %+v", c, d)
		}
	}
}

// TestFarEndComesFirst: with the minutes that the plans of the demonstration
// take, what sits under the hatch is measured at the control unit first.
func TestFarEndComesFirst(t *testing.T) {
	g, err := circuit.Build(seen(t, "LHD"))
	if err != nil {
		t.Fatal(err)
	}
	minutes := func(item guide.ID) (time.Duration, bool) {
		m, ok := map[guide.ID]time.Duration{"EL01": 6, "X3": 29, "SE03": 28, "SE16": 29, "AC07": 29}[item] // minutes of access, out and back
		return m * time.Minute, ok
	}
	for _, part := range []guide.ID{"SE13", "SE14", "SE15", "SE03", "SE16", "AC07"} {
		for _, n := range g.On(part) {
			places := g.Where(circuit.Point{Node: n, Side: circuit.SupplySide}, minutes)
			if len(places) == 0 || g.Nodes[places[0].At.Node].On != "EL01" {
				t.Errorf("%s: %+v", part, places)
			}
		}
	}
}
