package circuit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// anyGraph returns a random circuit: some supplies with inner resistance, a
// random forward graph of resistances from 1 mΩ to 1 MΩ over two to sixteen
// nodes, and grounds at the end. Every node has a way to a ground.
func anyGraph(t testing.TB, seed uint64) *Graph {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 7))
	ohm := func() quantity.Value { return quantity.Of(math.Pow(10, rnd.Float64()*9-3), "Ω") }
	c := guide.Circuit{ID: "c"}
	id := func(i int) guide.ID { return guide.ID(fmt.Sprintf("n%d", i)) }
	supplies, middle, grounds := 1+rnd.IntN(2), 2+rnd.IntN(15), 1+rnd.IntN(2)
	sorts := []guide.NodeSort{guide.LoadNode, guide.FuseNode, guide.InlineNode, guide.SpliceNode, guide.RelayNode, guide.PinNode}
	for i := range supplies + middle + grounds {
		n := guide.Node{ID: id(i), Sort: sorts[rnd.IntN(len(sorts))], Ohm: ohm()}
		switch {
		case i < supplies:
			n.Sort, n.Volt = guide.SupplyNode, quantity.Of(1+20*rnd.Float64(), "V")
		case i >= supplies+middle:
			n.Sort = guide.GroundNode
		}
		c.Nodes = append(c.Nodes, n)
	}
	for i := range supplies + middle {
		for k := range 1 + rnd.IntN(2) {
			to := max(i+1, supplies) + rnd.IntN(supplies+middle+grounds-max(i+1, supplies))
			if k == 0 && rnd.IntN(3) > 0 {
				to = max(i+1, supplies)
			}
			w := guide.Wire{From: id(i), To: id(to)}
			if k > 0 || rnd.IntN(2) == 0 { // no rings without resistance
				w.Length, w.Section = quantity.Of(0.1+5*rnd.Float64(), "m"), quantity.Of(0.75, "mm²")
			}
			c.Wires = append(c.Wires, w)
		}
	}
	g, err := Build(&guide.Resolved{Guide: &guide.Guide{Circuits: []guide.Circuit{c}}})
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// anyInserts returns none to three random insertions.
func anyInserts(g *Graph, rnd *rand.Rand) []Insertion {
	var out []Insertion
	for range rnd.IntN(4) {
		in := Insertion{Manner: Manner(rnd.IntN(3)), Spot: AtNode(rnd.IntN(len(g.Nodes))), Ohm: Ohms(math.Pow(10, rnd.Float64()*7-2))}
		if rnd.IntN(2) == 0 {
			in.Spot = OnWire(rnd.IntN(len(g.Wires)))
		}
		node := func() Point {
			i := rnd.IntN(len(g.Nodes))
			if g.Nodes[i].Feeds {
				return Point{i, LoadSide}
			}
			return Point{i, SupplySide}
		}
		in.From, in.To = node(), node()
		if rnd.IntN(2) == 0 {
			in.To = Reference
		}
		out = append(out, in)
	}
	return out
}

// What rounding may leave over at a point: a part of the greatest current
// there, and, of volts over ohms, ten femtoamperes or a few.
const (
	balance = 1e-9
	dust    = 1e-13
)

// TestKirchhoff: on random circuits with random faults the currents into every
// point balance, Ohm's law holds along every branch, and what the supplies give
// is what the resistances turn into heat.
func TestKirchhoff(t *testing.T) {
	const cases = 2000
	floating := 0
	for seed := range uint64(cases) {
		g := anyGraph(t, seed)
		st := State{Inserts: anyInserts(g, rand.New(rand.NewPCG(seed, 8)))}
		n := g.network(&st)
		s := n.solve()
		if s.Quiet != "" {
			t.Fatalf("seed %d: %s", seed, s.Quiet)
		}
		if kirchhoff(t, seed, n, s) {
			floating++
		}
	}
	if floating == 0 {
		t.Error("no case had a floating point; the breaks are not tried")
	}
}

func kirchhoff(t *testing.T, seed uint64, n *network, s *Solution) (floats bool) {
	into, size := make([]float64, n.points()), make([]float64, n.points())
	heat := 0.0
	for i, b := range n.branches {
		va, vb, amps := s.volts[b.a], s.volts[b.b], s.amps[i]
		if math.IsNaN(va) || math.IsNaN(vb) || math.IsInf(b.ohm, 1) {
			floats = floats || math.IsNaN(va) || math.IsNaN(vb)
			if amps != 0 {
				t.Errorf("seed %d: %v A through an interrupted or floating branch", seed, amps)
			}
			continue
		}
		if math.IsNaN(amps) {
			t.Fatalf("seed %d: branch %d has no current", seed, i)
		}
		if math.Abs(va-vb-amps*b.ohm) > 1e-12*(math.Abs(va)+math.Abs(vb)+1) {
			t.Errorf("seed %d: branch %d: %v V at %v A and %v Ω", seed, i, va-vb, amps, b.ohm)
		}
		into[b.a] -= amps
		into[b.b] += amps
		size[b.a] = max(size[b.a], math.Abs(amps))
		size[b.b] = max(size[b.b], math.Abs(amps))
		heat += amps * amps * b.ohm
	}
	given := 0.0
	for _, src := range n.sources {
		amps := s.amps[src.node] // a supply gives what goes through it
		into[src.plus] += amps
		given += amps * src.volts
	}
	for p := 1; p < len(into); p++ {
		if math.Abs(into[p]) > balance*size[p]+dust {
			t.Errorf("seed %d: %v A left over at point %d, where %v A flow", seed, into[p], p, size[p])
		}
	}
	if math.Abs(heat-given) > balance*heat+25*dust { // at some 25 V
		t.Errorf("seed %d: %v W given, %v W turned to heat", seed, given, heat)
	}
	return floats
}

// TestSuperposition: with two supplies every voltage is the sum of those with
// either one alone, the other at 0 V.
func TestSuperposition(t *testing.T) {
	tried := 0
	for seed := range uint64(300) {
		g := anyGraph(t, seed)
		var feeds []int
		for i := range g.Nodes {
			if g.Nodes[i].Feeds {
				feeds = append(feeds, i)
			}
		}
		if len(feeds) != 2 {
			continue
		}
		tried++
		both := solved(t, g, State{})
		a, b := *g, *g
		a.Nodes, b.Nodes = append([]Node{}, g.Nodes...), append([]Node{}, g.Nodes...)
		a.Nodes[feeds[1]].Volt, b.Nodes[feeds[0]].Volt = 0, 0
		one, two := solved(t, &a, State{}), solved(t, &b, State{})
		for p := range both.volts {
			if sum := one.volts[p] + two.volts[p]; math.Abs(sum-both.volts[p]) > 1e-9*(1+math.Abs(sum)) {
				t.Fatalf("seed %d: point %d: %v + %v is not %v", seed, p, one.volts[p], two.volts[p], both.volts[p])
			}
		}
	}
	if tried < 50 {
		t.Errorf("only %d circuits had two supplies", tried)
	}
}

// TestMoreResistanceLessCurrent: a series resistance before a single load
// never raises its current.
func TestMoreResistanceLessCurrent(t *testing.T) {
	g := wired(t, "fuel-pump")
	pump := g.must(t, "fuel-pump.pump", SupplySide).Node
	for i := range g.Wires {
		last := math.Inf(1)
		for _, ohm := range []Ohms{0, 0.01, 0.1, 1, 10, 1e6} {
			amps := float64(solved(t, g, State{Inserts: []Insertion{{Spot: OnWire(i), Ohm: ohm}}}).Amperes(AtNode(pump)))
			if amps >= last {
				t.Errorf("%s with %s: %v A, before %v A", g.SaySpot(OnWire(i)), ohm, amps, last)
			}
			last = amps
		}
	}
}
