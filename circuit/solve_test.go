package circuit

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/quantity"
)

// engine returns the demonstration engine, left-hand drive, version B.
func engine(t testing.TB) *guide.Resolved {
	t.Helper()
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	sel, err := guide.Parse[guide.Selector]("LHD, B")
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, sel)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// wired builds circuits of the demonstration engine.
func wired(t testing.TB, ids ...guide.ID) *Graph {
	t.Helper()
	g, err := Build(engine(t), ids...)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// drawn makes a graph from a circuit in the text of a test: nodes as
// "battery supply 12", "r1 load 100", "g ground", wires as "battery -> r1".
func drawn(t testing.TB, nodes, wires string) *Graph {
	t.Helper()
	c := guide.Circuit{ID: "c"}
	for _, line := range strings.Split(nodes, ",") {
		f := strings.Fields(line)
		n := guide.Node{ID: guide.ID(f[0]), On: guide.ID(f[0]), Sort: guide.NodeSort(f[1])}
		if f[1] == "in-line" {
			n.Sort = guide.InlineNode
		}
		if len(f) > 2 {
			var x float64
			if _, err := fmt.Sscan(f[2], &x); err != nil {
				t.Fatal(err)
			}
			if n.Sort == guide.SupplyNode {
				n.Volt = quantity.Of(x, "V")
			} else {
				n.Ohm = quantity.Of(x, "Ω")
			}
		}
		c.Nodes = append(c.Nodes, n)
	}
	for _, line := range strings.Split(wires, ",") {
		w, err := guide.Parse[guide.Wire](strings.TrimSpace(line))
		if err != nil {
			t.Fatal(err)
		}
		c.Wires = append(c.Wires, w)
	}
	g, err := Build(&guide.Resolved{Guide: &guide.Guide{Circuits: []guide.Circuit{c}}})
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func (g *Graph) must(t testing.TB, name string, side Side) Point {
	t.Helper()
	circuit, node, ok := strings.Cut(name, ".")
	if !ok {
		circuit, node = "c", name
	}
	p, err := g.At(Name{guide.ID(circuit), guide.ID(node)}, side)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func solved(t testing.TB, g *Graph, s State) *Solution {
	t.Helper()
	sol, err := g.Solve(s)
	if err != nil {
		t.Fatal(err)
	}
	if sol.Quiet != "" {
		t.Fatal(sol.Quiet)
	}
	return sol
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.6g, want %g ± %g", what, got, want, within)
	}
}

// half is half a unit of the last printed digit.
const (
	halfCentivolt = 0.005
	halfMilli     = 0.0005
)

// TestCaseC holds the numbers of case C of the demonstration: pump 1.875 Ω,
// wiring 0.060 Ω of which 0.015 Ω up to F14, 13.9 V.
func TestCaseC(t *testing.T) {
	g := wired(t, "fuel-pump")
	pump, f14, battery := g.must(t, "fuel-pump.pump", SupplySide), g.must(t, "fuel-pump.f14", SupplySide), g.must(t, "fuel-pump.battery", LoadSide)
	holder := OnWire(g.Nodes[f14.Node].in[0])
	for _, c := range []struct {
		name                     string
		state                    State
		amps, atPump, toF14, own float64
	}{
		{"healthy", State{}, 7.18, 13.47, 0.11, 0},
		{"0.45 Ω in the holder", State{Inserts: []Insertion{{Manner: Series, Spot: holder, Ohm: 0.45}}}, 5.83, 10.93, 2.71, 2.62},
	} {
		s := solved(t, g, c.state)
		near(t, c.name+": A through the pump", float64(s.Amperes(AtNode(pump.Node))), c.amps, halfCentivolt)
		near(t, c.name+": V at the pump", float64(s.Volts(pump)), c.atPump, halfCentivolt)
		near(t, c.name+": V from battery + to F14", float64(s.Between(battery, f14)), c.toF14, halfCentivolt)
		near(t, c.name+": V over the holder", float64(s.Amperes(holder))*float64(s.Ohms(holder)), c.own, halfCentivolt)
	}
}

// TestCaseB holds the numbers of case B: 62 Ω in the connector of the coolant
// temperature sensor, NTC of 2500 Ω at 20 °C and beta 3500 K, 2200 Ω to 5 V.
func TestCaseB(t *testing.T) {
	g := wired(t, "coolant-temperature")
	signal, sensor := g.must(t, "coolant-temperature.signal", LoadSide), g.must(t, "coolant-temperature.sensor", SupplySide)
	plug := OnWire(g.Nodes[sensor.Node].in[0])
	for _, c := range []struct{ celsius, low float64 }{{90, 8.2}, {12, 0.4}, {-10, 0.1}, {110, 13.9}} {
		st := State{Sensed: map[guide.ID]quantity.Value{"SE03": quantity.Of(c.celsius, "°C")}, Inserts: []Insertion{{Manner: Series, Spot: plug, Ohm: 62}}}
		s := solved(t, g, st)
		read, err := g.Reads(s, sensor.Node)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("%v °C reads low by", c.celsius), c.celsius-read.Number, c.low, 0.05)
		if c.celsius != 90 {
			continue
		}
		near(t, "sensor and plug, Ω", float64(s.Ohms(AtNode(sensor.Node))+s.Ohms(plug)), 312.3, 0.05)
		near(t, "mA", 1000*float64(s.Amperes(AtNode(sensor.Node))), 1.990, halfMilli)
		near(t, "mV over the plug", 1000*float64(s.Between(signal, sensor)), 123, 0.5)
		near(t, "mV at the control unit", 1000*float64(s.Volts(signal)), 621, 0.6)
		near(t, "reads", read.Number, 81.8, 0.05)
	}
}

// TestRatiometricSensor: 0.50 V + 4.0 V over 260 bar at 5 V, and in proportion
// when the supply is low.
func TestRatiometricSensor(t *testing.T) {
	g := wired(t, "rail-pressure")
	signal, sensor := g.must(t, "rail-pressure.signal", SupplySide), g.must(t, "rail-pressure.sensor", SupplySide)
	st := State{Sensed: map[guide.ID]quantity.Value{"SE15": quantity.Of(130, "bar")}}
	near(t, "V at 130 bar", float64(solved(t, g, st).Volts(signal)), 2.5, 1e-9)
	st.Volts = map[guide.ID]Volts{"EL01": 4.9}
	s := solved(t, g, st)
	near(t, "V at 130 bar and 4.90 V", float64(s.Volts(signal)), 2.45, 1e-9)
	read, err := g.Reads(s, sensor.Node)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bar read at 4.90 V by a control unit that compares with its own supply", read.Number, 130, 1e-6)
}

// TestGroundOfSeveralSensors: a bad G5 lifts every sensor of the control unit
// together, and the control unit, which measures against G5, notices little.
func TestGroundOfSeveralSensors(t *testing.T) {
	g := wired(t, "coolant-temperature", "outlet-temperature", "rail-pressure", "control-unit")
	g5 := g.must(t, "coolant-temperature.g5", SupplySide)
	for _, other := range []string{"outlet-temperature.g5", "rail-pressure.g5", "control-unit.g5"} {
		if p := g.must(t, other, SupplySide); p != g5 {
			t.Fatalf("%s is not the same stud", other)
		}
	}
	unit := g.must(t, "control-unit.unit", SupplySide)
	st := State{
		Sensed:  map[guide.ID]quantity.Value{"SE03": quantity.Of(90, "°C"), "SE04": quantity.Of(40, "°C")},
		Ohms:    []Said{{AtNode(unit.Node), 6}},
		Inserts: []Insertion{{Manner: Series, Spot: AtNode(g5.Node), Ohm: 0.1}},
	}
	s := solved(t, g, st)
	near(t, "V of G5", float64(s.Volts(g5)), 12.6/6.1*0.1, 1e-3)
	for _, name := range []string{"coolant-temperature.return", "outlet-temperature.return"} {
		near(t, name, float64(s.Volts(g.must(t, name, SupplySide))), float64(s.Volts(g5)), 1e-9)
	}
	read, err := g.Reads(s, g.must(t, "coolant-temperature.sensor", SupplySide).Node)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "°C still read", read.Number, 90, 0.01)
}

// TestDividers compares with the published table of a sensor page, 1 kΩ to
// 5 V (testdata/ntc_divider_1k_5v.csv says which); its readings are within
// 2.4 mV of the formula.
func TestDividers(t *testing.T) {
	rows := table(t, "ntc_divider_1k_5v", 18)
	for _, row := range rows {
		g := drawn(t, "v supply 5, up pin 1000, ntc sensor "+row["R_ohm"]+", g ground", "v -> up, up -> ntc, ntc -> g")
		got := float64(solved(t, g, State{}).Volts(g.must(t, "up", LoadSide)))
		near(t, row["R_ohm"]+" Ω, formula", got, value(t, row["V_formula"]), 0.00006)
		near(t, row["R_ohm"]+" Ω, as published", got, value(t, row["V_published"]), 0.0025)
	}
}

// TestCopperWire compares the resistance of a kilometre with the printed
// tables: IEC 60228 class 5 and AWG (testdata says where from).
func TestCopperWire(t *testing.T) {
	kilometre := quantity.Of(1000, "m")
	for _, row := range table(t, "iec60228_class5_plain_cu", 12) {
		section := quantity.Of(value(t, row["area_mm2"]), "mm²")
		cold, how, err := Copper{}.Resistance(kilometre, section)
		if err != nil || !strings.Contains(how, "IEC 60228") {
			t.Errorf("%s: %v %v", section, how, err)
		}
		hot, _, _ := Copper{At: quantity.Of(90, "°C")}.Resistance(kilometre, section)
		near(t, section.String(), float64(cold), value(t, row["Rmax_ohm_per_km_20C"]), 1e-9)
		near(t, section.String()+" at 90 °C", float64(hot), value(t, row["R_90C_computed_alpha_0.00393"]), 0.0006)
		solid, _, _ := Copper{Basis: Metal}.Resistance(kilometre, section)
		if excess := float64(cold / solid); excess < 1.10 || excess > 1.17 {
			t.Errorf("%s: class 5 permits %.3f times the metal; 1.11 to 1.16 by the tables", section, excess)
		}
	}
	for _, row := range table(t, "awg", 20) {
		ohm, how, err := Copper{}.Resistance(kilometre, quantity.Of(value(t, row["area_mm2"]), "mm²"))
		want := value(t, row["ohm_per_km_20C_solid"])
		if err != nil || !strings.Contains(how, "ρ·l/A") || math.Abs(float64(ohm)-want) > 0.002*want {
			t.Errorf("AWG %s: %v by %s, %v; want %v", row["awg"], ohm, how, err, want)
		}
	}
}

func TestCopperRefuses(t *testing.T) {
	m, mm2 := quantity.Of(1, "m"), quantity.Of(1, "mm²")
	for _, c := range []struct {
		reason          string
		length, section quantity.Value
		at              quantity.Value
	}{
		{"length in volts", quantity.Of(1, "V"), mm2, quantity.Value{}},
		{"no section", m, quantity.Value{}, quantity.Value{}},
		{"section of nothing", m, quantity.Of(0, "mm²"), quantity.Value{}},
		{"temperature in bar", m, mm2, quantity.Of(1, "bar")},
		{"molten", m, mm2, quantity.Of(1100, "°C")},
		{"number that is none", quantity.Of(math.NaN(), "m"), mm2, quantity.Value{}},
	} {
		if r, _, err := (Copper{At: c.at}).Resistance(c.length, c.section); !errors.Is(err, ErrGraph) {
			t.Errorf("%s: %v, %v", c.reason, r, err)
		}
	}
}

// TestTextbookCircuits holds circuits with closed-form answers.
func TestTextbookCircuits(t *testing.T) {
	t.Run("balanced Wheatstone bridge", func(t *testing.T) {
		// R1/R2 = R3/R4: no current through the galvanometer, whatever its
		// resistance. Closed form.
		g := bridge(t, 100, 200, 150, 300, 50)
		near(t, "A through the galvanometer", float64(solved(t, g, State{}).Amperes(AtNode(g.byName[Name{"c", "m"}]))), 0, 1e-15)
	})
	t.Run("unbalanced Wheatstone bridge", func(t *testing.T) {
		// By Thévenin: U0 = U (R2/(R1+R2) - R4/(R3+R4)), R0 = R1||R2 + R3||R4,
		// I = U0/(R0+Rm).
		g := bridge(t, 100, 220, 150, 300, 50)
		u0 := 10 * (220.0/320 - 300.0/450)
		r0 := 100*220.0/320 + 150*300.0/450
		near(t, "A through the galvanometer", float64(solved(t, g, State{}).Amperes(AtNode(g.byName[Name{"c", "m"}]))), u0/(r0+50), 1e-15)
	})
	t.Run("ladder of ones", func(t *testing.T) {
		// n steps of 1 Ω along and 1 Ω across: F(2n+1)/F(2n) of the Fibonacci
		// numbers, by induction from R(n+1) = 1 + R(n)/(1+R(n)). Closed form.
		fib := []float64{0, 1}
		for len(fib) < 30 {
			fib = append(fib, fib[len(fib)-1]+fib[len(fib)-2])
		}
		for n := 1; n <= 12; n++ {
			nodes, wires := "v supply 1, g ground", ""
			last := "v"
			for k := 1; k <= n; k++ {
				nodes += fmt.Sprintf(", a%d in-line 1, s%d splice, b%d load 1", k, k, k)
				wires += fmt.Sprintf("%s -> a%d, a%d -> s%d, s%d -> b%d, b%d -> g, ", last, k, k, k, k, k, k)
				last = fmt.Sprintf("s%d", k)
			}
			g := drawn(t, nodes, strings.TrimSuffix(wires, ", "))
			amps := float64(solved(t, g, State{}).Amperes(AtNode(g.byName[Name{"c", "v"}])))
			near(t, fmt.Sprintf("Ω of %d steps", n), 1/amps, fib[2*n+1]/fib[2*n], 1e-12)
		}
	})
}

func bridge(t *testing.T, r1, r2, r3, r4, rm float64) *Graph {
	return drawn(t, fmt.Sprintf("v supply 10, p load %v, q load %v, r load %v, s load %v, m load %v, a splice, b splice, g ground", r1, r2, r3, r4, rm),
		"v -> p, v -> r, p -> a, a -> q, r -> b, b -> s, a -> m, m -> b, q -> g, s -> g")
}

// TestCrankingDrop: the practice that US Army TM 10-3930-671-24, p. F-303,
// states: at most 0.20 V per 100 A along a starting cable. A cable of 2 m and
// 25 mm² by class 5 passes, a contact of 3 mΩ in it does not.
func TestCrankingDrop(t *testing.T) {
	const permitted = 0.20 // V at 100 A
	g := drawn(t, "battery supply 12, starter load 0.12, g ground", "battery -> starter; 2 m; 25 mm², starter -> g")
	cable := OnWire(0)
	drop := func(st State) float64 {
		s := solved(t, g, st)
		return 100 / float64(s.Amperes(cable)) * float64(s.Between(g.must(t, "battery", LoadSide), g.must(t, "starter", SupplySide)))
	}
	if d := drop(State{}); d > permitted || d < 0.15 {
		t.Errorf("the sound cable drops %.3f V per 100 A", d)
	}
	if d := drop(State{Inserts: []Insertion{{Spot: cable, Ohm: 0.003}}}); d < permitted {
		t.Errorf("the cable with 3 mΩ more drops %.3f V per 100 A", d)
	}
}

// TestOutcomes: what has no answer says so.
func TestOutcomes(t *testing.T) {
	t.Run("a break leaves the far end floating", func(t *testing.T) {
		g := drawn(t, "v supply 12, f fuse, r load 10, g ground", "v -> f, f -> r, r -> g")
		s := solved(t, g, State{Inserts: []Insertion{{Manner: Break, Spot: AtNode(1)}, {Manner: Break, Spot: AtNode(3)}}})
		if v := s.Volts(g.must(t, "r", SupplySide)); !math.IsNaN(float64(v)) || v.String() != "not known" {
			t.Errorf("%v", v)
		}
		near(t, "V before the break", float64(s.Volts(g.must(t, "f", SupplySide))), 12, 1e-12)
	})
	t.Run("an open ground shows the supply at both sides of the load", func(t *testing.T) {
		g := drawn(t, "v supply 12, r load 10, g ground", "v -> r, r -> g")
		s := solved(t, g, State{Inserts: []Insertion{{Manner: Break, Spot: AtNode(2)}}})
		near(t, "V behind the load", float64(s.Volts(g.must(t, "r", LoadSide))), 12, 1e-12)
		near(t, "A", float64(s.Amperes(AtNode(1))), 0, 1e-12)
	})
	t.Run("a supply shorted without resistance", func(t *testing.T) {
		g := drawn(t, "v supply 12, r load 10, g ground", "v -> r, r -> g")
		s, err := g.Solve(State{Inserts: []Insertion{{Manner: Bridge, From: g.must(t, "v", LoadSide), To: Reference}}})
		if err != nil || !strings.Contains(s.Quiet, "v supply") || !math.IsNaN(float64(s.Volts(Point{0, LoadSide}))) {
			t.Errorf("%q, %v", s.Quiet, err)
		}
	})
	t.Run("a leak to ground at a megohm input", func(t *testing.T) {
		g := drawn(t, "v supply 5, up pin 1000000, s sensor, g ground", "v -> up, up -> s, s -> g")
		s := solved(t, g, State{Inserts: []Insertion{{Manner: Bridge, From: g.must(t, "up", LoadSide), To: Reference, Ohm: 38000}}})
		near(t, "V", float64(s.Volts(g.must(t, "up", LoadSide))), 5*38.0/1038, 1e-12)
		if len(s.Notes) == 0 || !strings.Contains(strings.Join(s.Notes, "\n"), "s sensor") {
			t.Errorf("nothing is said of the sensor that nobody states: %q", s.Notes)
		}
	})
	t.Run("a ring of joints splits its current in no known way", func(t *testing.T) {
		g := drawn(t, "v supply 12, a splice, b splice, c splice, r load 12, g ground", "v -> a, a -> b, a -> c, b -> r, c -> r, r -> g")
		s := solved(t, g, State{})
		near(t, "A through the load", float64(s.Amperes(AtNode(4))), 1, 1e-12)
		if a := s.Amperes(AtNode(2)); !math.IsNaN(float64(a)) {
			t.Errorf("%v through one half of the ring", a)
		}
	})
	t.Run("microohms beside gigohms", func(t *testing.T) {
		g := drawn(t, "v supply 10, up pin 1e9, c in-line 1e-6, r load 1e9, g ground", "v -> up, up -> c, c -> r, r -> g")
		s := solved(t, g, State{})
		near(t, "V in the middle", float64(s.Volts(g.must(t, "c", LoadSide))), 5, 1e-9)
		near(t, "A", float64(s.Amperes(AtNode(3))), 5e-9, 1e-17)
	})
}

// TestSolveRefuses: states that make no sense.
func TestSolveRefuses(t *testing.T) {
	g := drawn(t, "v supply 12, r load 10, g ground", "v -> r, r -> g")
	for _, c := range []struct {
		reason string
		state  State
	}{
		{"no such node", State{Inserts: []Insertion{{Spot: AtNode(9)}}}},
		{"no such wire", State{Inserts: []Insertion{{Spot: OnWire(2)}}}},
		{"neither", State{Inserts: []Insertion{{Spot: Spot{-1, -1}}}}},
		{"negative", State{Inserts: []Insertion{{Spot: AtNode(1), Ohm: -1}}}},
		{"no number", State{Inserts: []Insertion{{Spot: AtNode(1), Ohm: Ohms(math.NaN())}}}},
		{"bridge into nowhere", State{Inserts: []Insertion{{Manner: Bridge, From: Reference, To: Point{7, LoadSide}}}}},
		{"unknown manner", State{Inserts: []Insertion{{Manner: 9}}}},
		{"said of nothing", State{Ohms: []Said{{AtNode(5), 1}}}},
		{"infinite volts", State{Volts: map[guide.ID]Volts{"v": Volts(math.Inf(1))}}},
		{"frozen wires", State{Copper: Copper{At: quantity.Of(-200, "°C")}}},
	} {
		if s, err := g.Solve(c.state); !errors.Is(err, ErrGraph) {
			t.Errorf("%s: %v, %v", c.reason, s, err)
		}
	}
}

// TestBuildRefuses: what the guide says and cannot be.
func TestBuildRefuses(t *testing.T) {
	load := func(n ...guide.Node) guide.Circuit { return guide.Circuit{ID: "c", Nodes: n} }
	for _, c := range []struct {
		reason  string
		circuit guide.Circuit
		says    string
	}{
		{"negative resistance", load(guide.Node{ID: "r", Sort: guide.LoadNode, Ohm: quantity.Of(-1, "Ω")}), "cannot be"},
		{"ohms in volts", load(guide.Node{ID: "r", Sort: guide.LoadNode, Ohm: quantity.Of(1, "V")}), "no resistance"},
		{"a node twice", load(guide.Node{ID: "r"}, guide.Node{ID: "r"}), "twice"},
		{"against nothing", load(guide.Node{ID: "r", Against: "x"}), "no such node"},
		{"wire to nothing", guide.Circuit{ID: "c", Nodes: []guide.Node{{ID: "a"}}, Wires: []guide.Wire{{From: "a", To: "b"}}}, "a -> b"},
		{"wire to itself", guide.Circuit{ID: "c", Nodes: []guide.Node{{ID: "a"}}, Wires: []guide.Wire{{From: "a", To: "a"}}}, "where it begins"},
	} {
		g, err := Build(&guide.Resolved{Guide: &guide.Guide{Circuits: []guide.Circuit{c.circuit}}})
		if !errors.Is(err, ErrGraph) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, %v", c.reason, g, err)
		}
	}
	if _, err := Build(engine(t), "fuel-pump", "fuel-pumps"); !errors.Is(err, ErrGraph) || !strings.Contains(err.Error(), `"fuel-pumps"`) || !strings.Contains(err.Error(), "coils-left") {
		t.Errorf("an unknown circuit: %v", err)
	}
}
