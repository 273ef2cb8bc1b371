package demo

import (
	"math"
	"testing"

	"elbowroom/guide"
)

func lawOf(t *testing.T, g *guide.Guide, id guide.ID) (law guide.Law, value map[guide.ID]float64) {
	t.Helper()
	for _, l := range g.Laws {
		if l.ID == id {
			value = map[guide.ID]float64{}
			for _, p := range l.Params {
				value[p.ID] = p.Value
			}
			return l, value
		}
	}
	t.Fatalf("no law %s", id)
	return law, nil
}

// TestTemperatureLaw holds the check values of the 2.5 kΩ curve (invented
// demo data of this project, rounded to whole ohms), and that intake air has
// another curve.
func TestTemperatureLaw(t *testing.T) {
	g := load(t)
	_, p := lawOf(t, g, "ntc-2k5")
	for celsius, ohm := range map[float64]float64{-10: 9751, 0: 5992, 12: 3495, 20: 2500, 50: 825, 80: 329, 90: 250, 100: 193} {
		got := p["r0"] * math.Exp(p["beta"]*(1/(celsius+273.15)-1/(p["t0"]+273.15)))
		if math.Round(got) != ohm {
			t.Errorf("%v °C: %.1f Ω, want %v", celsius, got, ohm)
		}
	}
	_, air := lawOf(t, g, "ntc-10k")
	if air["r0"] != 10000 || air["beta"] != 3700 || air["t0"] != 25 {
		t.Errorf("intake air: %v", air)
	}
}

// TestPressureLaws holds the transfer lines at 5 V: volts at zero and at one
// unit of pressure.
func TestPressureLaws(t *testing.T) {
	g := load(t)
	const supply = 5
	for _, c := range []struct {
		law        guide.ID
		zero, gain float64 // V, V per unit
	}{
		{"oil-pressure", 0.50, 0.40},
		{"low-fuel-pressure", 0.50, 0.50},
		{"rail-pressure", 0.50, 4.0 / 260},
		{"manifold-pressure", 0.20, 0.0040},
	} {
		law, p := lawOf(t, g, c.law)
		if law.Form != guide.Ratiometric || math.Abs(supply*p["offset"]-c.zero) > 1e-9 || math.Abs(supply*p["slope"]-c.gain) > 1e-9 {
			t.Errorf("%s: %s %v, want %v V + %v V", c.law, law.Form, p, c.zero, c.gain)
		}
	}
}

// TestCoilLaws holds the resistances at 20 °C and the coefficient of copper
// that the demonstration uses.
func TestCoilLaws(t *testing.T) {
	g := load(t)
	for id, r20 := range map[guide.ID]float64{"oil-valve-coil": 7.4, "timing-valve-coil": 7.9, "purge-valve-coil": 21, "injector-coil": 1.55} {
		law, p := lawOf(t, g, id)
		if law.Form != guide.CopperLaw || p["r20"] != r20 || p["alpha"] != 0.00393 {
			t.Errorf("%s: %s %v, want %v Ω and 0.00393", id, law.Form, p, r20)
		}
	}
}

func circuitOf(t *testing.T, g *guide.Guide, id guide.ID) guide.Circuit {
	t.Helper()
	for _, c := range g.Circuits {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("no circuit %s", id)
	return guide.Circuit{}
}

// TestFuelPumpCircuit works out the check numbers of case C: current and
// voltage at the pump, healthy and with 0.45 Ω in the fuse holder.
func TestFuelPumpCircuit(t *testing.T) {
	c := circuitOf(t, load(t), "fuel-pump")
	var volt, wiring, toRelay, pump float64
	for _, n := range c.Nodes {
		switch {
		case n.Sort == guide.SupplyNode:
			volt = n.Volt.Number
		case n.Sort == guide.LoadNode:
			pump = n.Ohm.Number
		case n.Sort == guide.RelayNode:
			toRelay = n.Ohm.Number
			fallthrough
		case !n.Ohm.Zero():
			wiring += n.Ohm.Number
		}
	}
	if math.Abs(wiring-0.060) > 1e-9 || toRelay != 0.015 || pump != 1.875 || volt != 13.9 {
		t.Fatalf("wiring %v Ω, %v Ω up to the relay output, pump %v Ω, supply %v V", wiring, toRelay, pump, volt)
	}
	for _, k := range []struct {
		name          string
		holder        float64 // Ω
		ampere, atEnd float64
	}{
		{"healthy", 0, 7.18, 13.47},
		{"holder burnt", 0.45, 5.83, 10.93},
	} {
		i := volt / (wiring + k.holder + pump)
		if math.Abs(i-k.ampere) > 0.005 || math.Abs(i*pump-k.atEnd) > 0.005 {
			t.Errorf("%s: %.3f A and %.3f V at the pump, want %v and %v", k.name, i, i*pump, k.ampere, k.atEnd)
		}
	}
}

// TestKnockCable: the limit at the control unit is that of the sensor plus the
// cable.
func TestKnockCable(t *testing.T) {
	g := load(t)
	_, cable := lawOf(t, g, "cable-capacitance")
	for _, id := range []guide.ID{"knock-right", "knock-left"} {
		var metres float64
		for _, w := range circuitOf(t, g, id).Wires {
			if !w.Length.Zero() {
				metres += w.Length.Number
			}
		}
		r := seen(t, "LHD")
		sensor, unit := r.Check("T38").Limits[0], r.Check("T39").Limits[0]
		more := metres * cable["slope"]
		if sensor.Low.Number+more != unit.Low.Number || sensor.High.Number+more != unit.High.Number || more != 260 {
			t.Errorf("%s: %v at the sensor and %v pF of cable do not make %v", id, sensor, more, unit)
		}
	}
}

// TestCircuitsReachTheConnectors: every in-line connector, ground and fuse
// that a check or fault speaks of is part of a circuit.
func TestCircuitsReachTheConnectors(t *testing.T) {
	g := load(t)
	on := map[guide.ID]bool{}
	for _, c := range g.Circuits {
		for _, n := range c.Nodes {
			on[n.On] = true
		}
	}
	for _, id := range []guide.ID{"X1", "X2", "X3", "X4", "X5", "X6", "G1", "G2", "G3", "G4", "G5", "EL04", "EL05", "EL06", "SE03", "SE13", "SE14", "SE15", "AC07"} {
		if !on[id] {
			t.Errorf("%s is in no circuit", id)
		}
	}
}

// TestCircuitsHangTogether: no part of a circuit is cut off, and what stands
// in a circuit is said of the load that it belongs to.
func TestCircuitsHangTogether(t *testing.T) {
	g := load(t)
	if len(g.Circuits) < 10 {
		t.Fatalf("only %d circuits", len(g.Circuits))
	}
	for _, c := range g.Circuits {
		group := map[guide.ID]guide.ID{}
		find := func(id guide.ID) guide.ID {
			for group[id] != "" {
				id = group[id]
			}
			return id
		}
		twice := map[guide.Wire]bool{}
		for _, w := range c.Wires {
			if twice[w] {
				t.Errorf("%s: %v stands there twice", c.ID, w)
			}
			twice[w] = true
			if a, b := find(w.From), find(w.To); a != b {
				group[a] = b
			}
		}
		for _, n := range c.Nodes {
			if find(n.ID) != find(c.Nodes[0].ID) {
				t.Errorf("%s: %s is not joined to %s", c.ID, n.ID, c.Nodes[0].ID)
			}
		}
	}
}

// TestLoads: the resistance of a load is that of its law or lies in its limit.
func TestLoads(t *testing.T) {
	g, r := load(t), seen(t, "LHD")
	_, injector := lawOf(t, g, "injector-coil")
	valve := r.Check("T58").Limits[0]
	compared := 0
	for _, c := range g.Circuits {
		for _, n := range c.Nodes {
			it := r.Item(n.On)
			switch {
			case it == nil || n.Ohm.Zero():
			case it.Kind == "injector":
				compared++
				if n.Ohm.Number != injector["r20"] {
					t.Errorf("%s: %s has %s", c.ID, n.ID, n.Ohm)
				}
			case it.ID == "AC07":
				compared++
				if n.Ohm.Number*2 != valve.Low.Number+valve.High.Number {
					t.Errorf("%s: %s has %s, limit %v", c.ID, n.ID, n.Ohm, valve)
				}
			case n.Sort == guide.PinNode:
				compared++
				if n.Ohm.Number != 2200 {
					t.Errorf("%s: the pull-up has %s", c.ID, n.Ohm)
				}
			}
		}
	}
	if compared != 6+1+2 {
		t.Errorf("%d loads compared", compared)
	}
}

// TestSeriesResistance works out case B: 62 Ω in the connector of the coolant
// temperature sensor are 0.4 K on a cold morning and 8 K when hot.
func TestSeriesResistance(t *testing.T) {
	_, p := lawOf(t, load(t), "ntc-2k5")
	ohm := func(celsius float64) float64 {
		return p["r0"] * math.Exp(p["beta"]*(1/(celsius+273.15)-1/(p["t0"]+273.15)))
	}
	reads := func(r float64) float64 {
		return 1/(math.Log(r/p["r0"])/p["beta"]+1/(p["t0"]+273.15)) - 273.15
	}
	const extra, pullUp, supply = 62, 2200, 5.00
	for celsius, want := range map[float64]float64{12: 0.4, 90: 8.2, -10: 0.1, 110: 13.9} {
		if got := celsius - reads(ohm(celsius)+extra); math.Abs(got-want) > 0.05 {
			t.Errorf("at %v °C it reads %.2f K low, want %v", celsius, got, want)
		}
	}
	milliampere := 1000 * supply / (pullUp + ohm(90) + extra)
	if math.Abs(milliampere-1.990) > 0.0005 || math.Abs(milliampere*extra-123) > 0.5 {
		t.Errorf("%.3f mA and a drop of %.1f mV, want 1.990 mA and 123 mV", milliampere, milliampere*extra)
	}
}
