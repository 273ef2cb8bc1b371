package circuit

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// minutesTo are minutes of access as in the plans of the demonstration, out and
// back: what lies open first, the hatch 29, the plenum and more.
func minutesTo(item guide.ID) (time.Duration, bool) {
	m, ok := map[guide.ID]time.Duration{
		"EL01": 6, "EL02": 2, "EL05": 3, "EL06": 4, "G5": 4, "X3": 29, "SE03": 28, "X5": 27, "AC07": 29, "G2": 5, "X2": 5, "SE13": 156, "X1": 7,
	}[item]
	return m * time.Minute, ok
}

// TestFarEndFirst: the knock sensor under the intake is measured at the control
// unit or at X3, and its capacitance limit changes with the point.
func TestFarEndFirst(t *testing.T) {
	g := wired(t, "knock-right")
	sensor := g.must(t, "knock-right.sensor", SupplySide)
	places := g.Where(sensor, minutesTo)
	var items []guide.ID
	for _, p := range places {
		if on := g.Nodes[p.At.Node].On; !slices.Contains(items, on) {
			items = append(items, on)
		}
	}
	if !slices.Equal(items, []guide.ID{"EL01", "X3", "SE13"}) {
		t.Fatalf("order of places: %v", items)
	}
	if !strings.Contains(places[0].Says, "2.6 m of wire") || !strings.Contains(places[0].Says, "X3 pin 1") {
		t.Error(places[0].Says)
	}
	b := Bounds{quantity.Of(950, "pF"), quantity.Of(1350, "pF")}
	atX3 := g.must(t, "knock-right.valley", LoadSide)
	d := g.CapacitanceAt(sensor.Node, b, atX3, places[0].At)
	if d.Quiet != "" || d.Low != quantity.Of(1210, "pF") || d.High != quantity.Of(1610, "pF") {
		t.Errorf("at EL01: %+v", d)
	}
	if !strings.Contains(strings.Join(d.Steps, "\n"), "2.6 m at 100 pF/m") {
		t.Errorf("derivation: %q", d.Steps)
	}
	back := g.CapacitanceAt(sensor.Node, Bounds{d.Low, d.High}, places[0].At, atX3)
	if back.Low != b.Low || back.High != b.High {
		t.Errorf("and back at X3: %+v", back)
	}
}

// TestCoilAtTheFarEnd: the metering valve, 0.50 to 0.60 Ω at its own connector,
// measured at the control unit through 2 × 1.6 m of 0.75 mm², 26.0 Ω/km.
func TestCoilAtTheFarEnd(t *testing.T) {
	g := wired(t, "pump-valve")
	valve := g.must(t, "pump-valve.valve", SupplySide).Node
	b := Bounds{quantity.Of(0.50, "Ω"), quantity.Of(0.60, "Ω")}
	far := Leads{g.must(t, "pump-valve.driver", LoadSide), g.must(t, "pump-valve.return", SupplySide)}
	d := g.ResistanceAt(valve, b, Own(valve), far, Copper{})
	near(t, "Ω low", d.Low.Number, 0.50+3.2*0.026, 1e-9)
	near(t, "Ω high", d.High.Number, 0.60+3.2*0.026, 1e-9)
	if len(d.Steps) != 4 || len(d.Assumes) == 0 {
		t.Errorf("%+v", d)
	}
	hot := g.ResistanceAt(valve, b, Own(valve), far, Copper{At: quantity.Of(90, "°C")})
	near(t, "Ω low with hot wires", hot.Low.Number, 0.50+3.2*0.026*(1+0.00393*70), 1e-9)
	pairs := g.Across(valve, minutesTo)
	if first := pairs[0]; g.Nodes[first.Supply.At.Node].On != "EL01" || first.Minutes != 6*time.Minute {
		t.Errorf("quickest pair: %+v", first)
	}
	i := slices.IndexFunc(pairs, func(p Pair) bool { return g.Nodes[p.Supply.At.Node].On == "X5" && g.Nodes[p.Load.At.Node].On == "EL01" })
	if i < 0 || pairs[i].Minutes != 33*time.Minute {
		t.Errorf("one lead at X5 and one at EL01: %+v", pairs[i])
	}
	one := g.ResistanceAt(valve, Bounds{High: b.High}, Own(valve), far, Copper{Basis: Metal})
	if !one.Low.Zero() {
		t.Errorf("a limit with one side gained another: %+v", one)
	}
	near(t, "Ω high by the metal", one.High.Number, 0.60+3.2*0.017241/0.75, 1e-9)
}

// TestDividerLimit: the NTC within 5 % at 90 °C, seen as a voltage at the pin.
func TestDividerLimit(t *testing.T) {
	g := wired(t, "coolant-temperature")
	sensor := g.must(t, "coolant-temperature.sensor", SupplySide).Node
	pin := g.must(t, "coolant-temperature.signal", LoadSide)
	d := g.VoltageAt(sensor, Bounds{quantity.Of(237.8, "Ω"), quantity.Of(262.8, "Ω")}, Probe{pin, Reference}, State{})
	near(t, "V low", d.Low.SI(), 5*237.8/2437.8, 1e-9)
	near(t, "V high", d.High.SI(), 5*262.8/2462.8, 1e-9)
	if len(d.Steps) != 2 || d.Quiet != "" {
		t.Errorf("%+v", d)
	}
}

// TestLimitOutcomes: limits that cannot be carried elsewhere.
func TestLimitOutcomes(t *testing.T) {
	g := wired(t, "knock-right", "fuel-pump")
	sensor := g.must(t, "knock-right.sensor", SupplySide).Node
	x3, battery := g.must(t, "knock-right.valley", LoadSide), g.must(t, "fuel-pump.battery", LoadSide)
	farad, ohm := Bounds{High: quantity.Of(1, "nF")}, Bounds{High: quantity.Of(1, "Ω")}
	for _, c := range []struct {
		reason string
		d      Derived
	}{
		{"capacitance of another circuit's line", g.CapacitanceAt(sensor, farad, x3, battery)},
		{"capacitance in ohms", g.CapacitanceAt(sensor, ohm, x3, x3)},
		{"resistance in farads", g.ResistanceAt(sensor, farad, Own(sensor), Own(sensor), Copper{})},
		{"resistance elsewhere", g.ResistanceAt(sensor, ohm, Own(sensor), Leads{battery, battery}, Copper{})},
		{"wires too cold", g.ResistanceAt(sensor, ohm, Own(sensor), Own(sensor), Copper{At: quantity.Of(-300, "°C")})},
		{"a part that is none", g.CapacitanceAt(99, farad, x3, x3)},
		{"a voltage from one side", g.VoltageAt(sensor, ohm, Probe{x3, Reference}, State{})},
		{"a voltage from farads", g.VoltageAt(sensor, farad, Probe{x3, Reference}, State{})},
		{"a voltage that floats", g.VoltageAt(sensor, Bounds{quantity.Of(1, "Ω"), quantity.Of(2, "Ω")}, Probe{x3, Reference}, State{})},
	} {
		if c.d.Quiet == "" {
			t.Errorf("%s: %+v", c.reason, c.d)
		}
	}
	if same := g.CapacitanceAt(sensor, farad, x3, x3); same.Quiet != "" || same.High != quantity.Of(1, "nF") {
		t.Errorf("the same point: %+v", same)
	}
}

// TestSharedLine: at the splice of the right coils every coil is seen along
// with the others.
func TestSharedLine(t *testing.T) {
	g := wired(t, "coils-right")
	places := g.Where(g.must(t, "coils-right.coil-2", SupplySide), minutesTo)
	if len(places) == 0 || g.Nodes[places[0].At.Node].On != "X2" {
		t.Fatalf("%+v", places)
	}
	if len(places[0].Beside) != 2 || !strings.Contains(places[0].Says, "IG01") || !strings.Contains(places[0].Says, "IG03") {
		t.Errorf("%+v", places[0])
	}
	if last := places[len(places)-1]; last.Known {
		t.Errorf("a place without known minutes must come last: %+v", last)
	}
}

// TestInsideAnItem: the supply inside the control unit cannot be probed, its
// pin can.
func TestInsideAnItem(t *testing.T) {
	g := wired(t, "coolant-temperature")
	for _, c := range []struct {
		node string
		side Side
		want bool
	}{{"supply", LoadSide, false}, {"signal", SupplySide, false}, {"signal", LoadSide, true}, {"return", SupplySide, true}, {"sensor", LoadSide, true}} {
		if got := g.Reachable(g.must(t, "coolant-temperature."+c.node, c.side)); got != c.want {
			t.Errorf("%s, %s: reachable %v", c.node, c.side, got)
		}
	}
	if g.Reachable(Reference) || g.Reachable(Point{-5, LoadSide}) {
		t.Error("what is no node cannot be reached")
	}
}

func parts(g *Graph, hangs []Hang) []guide.ID {
	var out []guide.ID
	for _, h := range hangs {
		out = append(out, g.Nodes[h.Part].On)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// TestWhatElseHangs: over all circuits of the demonstration joined.
func TestWhatElseHangs(t *testing.T) {
	g := wired(t)
	for _, c := range []struct {
		item guide.ID
		want []guide.ID // at least
		not  []guide.ID
	}{
		{"G5", []guide.ID{"EL01", "SE03", "SE04", "SE15", "SE16"}, []guide.ID{"IG01", "AC15"}},
		{"G2", []guide.ID{"IG01", "IG02", "IG03"}, []guide.ID{"IG04"}},
		{"X3", []guide.ID{"SE13", "SE14", "SE15"}, []guide.ID{"SE16", "SE03"}},
		{"X5", []guide.ID{"AC07", "SE16"}, []guide.ID{"SE15"}},
		{"EL04", []guide.ID{"EL01", "IG01", "IG06", "SE03", "SE16", "AC07"}, []guide.ID{"AC15"}}, // the control unit and all that it feeds
		{"X6", []guide.ID{"IG04", "IG05", "IG06", "FU11", "FU12", "FU13"}, []guide.ID{"IG01"}},
	} {
		got := parts(g, g.Hangs(g.On(c.item)...))
		for _, want := range c.want {
			if !slices.Contains(got, want) {
				t.Errorf("%s: %s hangs on it and is missing in %v", c.item, want, got)
			}
		}
		for _, not := range c.not {
			if slices.Contains(got, not) {
				t.Errorf("%s: %s does not hang on it", c.item, not)
			}
		}
	}
	how := map[guide.ID]How{}
	for _, h := range g.Hangs(g.On("G5")...) {
		how[g.Nodes[h.Part].On] = h.How
	}
	if how["EL01"] != ReturnsThrough {
		t.Errorf("the control unit's current %s G5", how["EL01"])
	}
}

// TestSeveralPartsOneCause: codes of both knock sensors and of rail pressure
// point at X3; two coils of a bank at their feed and ground, before all else.
func TestSeveralPartsOneCause(t *testing.T) {
	g := wired(t)
	first := g.Causes("SE13", "SE14", "SE15")[0]
	if first.Item != "X3" || len(first.Covers) != 3 || len(first.Also) != 0 {
		t.Errorf("%+v", first)
	}
	coils := g.Causes("IG01", "IG03")
	if got := []guide.ID{coils[0].Item, coils[1].Item}; !slices.Contains(got, "EL08") || !slices.Contains(got, "G2") {
		t.Errorf("%+v", coils[:2])
	}
	if !slices.Equal(coils[0].Also, []guide.ID{"IG02"}) {
		t.Errorf("coil 2 would be affected too: %+v", coils[0])
	}
	if both := g.Causes("SE03", "SE16")[0]; both.Item != "G5" {
		t.Errorf("coolant and fuel pressure sensors share %+v", both)
	}
	if g.Causes() != nil {
		t.Error("nothing asked, something answered")
	}
	if alone := g.Causes("SE13"); len(alone) == 0 || alone[0].Item != "X3" {
		t.Errorf("a single part: %+v", alone)
	}
}

// TestPredictTellsPlacesApart: 0.45 Ω more, put everywhere in the fuel pump's
// circuit, and read at F14 and at the pump.
func TestPredictTellsPlacesApart(t *testing.T) {
	g := wired(t, "fuel-pump")
	battery := g.must(t, "fuel-pump.battery", LoadSide)
	probes := []Probe{{battery, g.must(t, "fuel-pump.f14", SupplySide)}, {g.must(t, "fuel-pump.pump", SupplySide), Reference}}
	cases := g.Everywhere(0.45)
	if len(cases) != 5+5 {
		t.Fatalf("%d cases", len(cases))
	}
	all, err := g.Predict(State{}, probes, cases)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "healthy V to F14", float64(all[0].Volts[0]), 0.108, 0.001)
	groups := Alike(all, 0.02)
	if len(groups) < 4 || len(groups[0]) != 1 {
		t.Errorf("groups %v: the healthy circuit must stand alone", groups)
	}
	for _, p := range all[1:] {
		up := strings.Contains(p.Case.Name, "battery") || strings.Contains(p.Case.Name, "EL06") // up to the fuse
		if up != (math.Abs(float64(p.Volts[0])-2.71) < 0.01) {
			t.Errorf("%s: %v V to F14", p.Case.Name, p.Volts[0])
		}
	}
	broken, err := g.Predict(State{}, probes, g.Breaks())
	if err != nil || len(broken) != 1+10 {
		t.Fatalf("%d breaks, %v", len(broken), err)
	}
	for _, p := range broken[1:] {
		want := 0.0 // cut off from the battery, tied to ground by the pump
		at := p.Case.Inserts[0].Spot
		if behind := at == OnWire(4) || at == AtNode(4) || at == AtNode(5); behind {
			want = 13.9 // nothing flows, so nothing drops
		}
		near(t, p.Case.Name+": V at the pump", float64(p.Volts[1]), want, 1e-9)
	}
	shorts, err := g.Predict(State{}, probes, g.Shorts(0.5))
	if err != nil || len(shorts) != 1+1+2*4 {
		t.Fatalf("%d shorts, %v", len(shorts), err)
	}
	last := shorts[len(shorts)-2] // at the pump's supply side: 0.5 Ω beside 1.875 Ω
	both := 0.5 * 1.875 / 2.375
	near(t, last.Case.Name, float64(last.Volts[1]), 13.9*both/(both+0.060), 1e-9)
	if _, err := g.Predict(State{}, probes, []Case{{Inserts: []Insertion{{Spot: AtNode(99)}}}}); err == nil {
		t.Error("a case at no spot was accepted")
	}
}
