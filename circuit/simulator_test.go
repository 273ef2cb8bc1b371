//go:build solvers

package circuit

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// simulatorNear is the relative and absolute difference allowed against the
// simulator, which stops iterating at reltol 1e-6 (set below) and ties every
// net to ground with gmin 1e-15 S.
const (
	simulatorNear = 1e-6
	simulatorVolt = 1e-6
)

// TestSimulator compares every voltage of 200 random circuits with random
// faults with the operating point that ngspice finds (Debian package ngspice).
// Points that float have no operating point and are left out of both.
func TestSimulator(t *testing.T) {
	const cases = 200
	compared := 0
	for seed := range uint64(cases) {
		g := anyGraph(t, seed)
		st := State{Inserts: anyInserts(g, rand.New(rand.NewPCG(seed, 9)))}
		s := solved(t, g, st)
		want := simulate(t, netlist(g, &st, s))
		for i := range g.Nodes {
			for _, side := range g.Sides(i) {
				p := Point{i, side}
				got := float64(s.Volts(p))
				if math.IsNaN(got) {
					continue
				}
				sim, ok := want[fmt.Sprintf("p%d", number(p))]
				if !ok {
					t.Fatalf("seed %d: the simulator gives no voltage for %s", seed, g.Say(p))
				}
				compared++
				if math.Abs(got-sim) > simulatorVolt+simulatorNear*math.Abs(sim) {
					t.Errorf("seed %d: %s: %v V, by the simulator %v V", seed, g.Say(p), got, sim)
				}
			}
		}
	}
	if compared < 2000 {
		t.Errorf("only %d voltages compared", compared)
	}
	t.Logf("%d voltages of %d circuits compared", compared, cases)
}

// netlist writes a circuit for the simulator straight from nodes, wires and
// insertions, beside the network that Solve makes of them. A joint without
// resistance is a source of 0 V. What floats is left out.
func netlist(g *Graph, st *State, s *Solution) string {
	var b strings.Builder
	b.WriteString("circuit\n")
	count := 0
	net := func(p Point) string {
		if p == Reference {
			return "0"
		}
		return fmt.Sprintf("p%d", number(p))
	}
	part := func(from, to string, ohm float64, p, q Point) {
		count++
		floats := math.IsNaN(float64(s.Volts(p))) || math.IsNaN(float64(s.Volts(q)))
		switch {
		case floats || math.IsInf(ohm, 1) || from == to:
		case ohm == 0:
			fmt.Fprintf(&b, "V%d %s %s 0\n", count, from, to)
		default:
			fmt.Fprintf(&b, "R%d %s %s %.17g\n", count, from, to, ohm)
		}
	}
	extra := func(spot Spot, ohm float64) float64 {
		for _, in := range st.Inserts {
			if in.Spot == spot && in.Manner == Series {
				ohm += float64(in.Ohm)
			} else if in.Spot == spot && in.Manner == Break {
				ohm = math.Inf(1)
			}
		}
		return ohm
	}
	for i := range g.Nodes {
		n := &g.Nodes[i]
		in, out := Point{i, SupplySide}, Point{i, LoadSide}
		if n.Feeds {
			fmt.Fprintf(&b, "Vs%d %s 0 %.17g\n", i, net(in), float64(n.Volt))
		}
		if len(n.out) == 0 && n.Sort == "ground" {
			out = Reference
		}
		part(net(in), net(out), extra(AtNode(i), float64(n.Ohm)), in, out)
	}
	for i, w := range g.Wires {
		ohm := 0.0
		if !w.Length.Zero() {
			ohm = 26.0 / 1000 * w.Length.Number // 0.75 mm², IEC 60228 class 5
		}
		part(net(w.From), net(w.To), extra(OnWire(i), ohm), w.From, w.To)
	}
	for _, in := range st.Inserts {
		if in.Manner == Bridge {
			part(net(in.From), net(in.To), float64(in.Ohm), in.From, in.To)
		}
	}
	b.WriteString(".options reltol=1e-6 gmin=1e-15\n.control\nset numdgt=12\nop\nprint all\n.endc\n.end\n")
	return b.String()
}

// simulate runs the simulator and returns the voltages it prints.
func simulate(t *testing.T, text string) map[string]float64 {
	t.Helper()
	cmd := exec.Command("ngspice", "-b")
	cmd.Stdin = strings.NewReader(text)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil && out.Len() == 0 {
		t.Fatalf("ngspice: %v\n%s", err, errs.String())
	}
	volts := map[string]float64{}
	for line := range strings.Lines(out.String()) {
		name, number, ok := strings.Cut(line, " = ")
		if !ok || !strings.HasPrefix(name, "p") {
			continue
		}
		x, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err != nil {
			t.Fatalf("ngspice prints %q", line)
		}
		volts[strings.TrimSpace(name)] = x
	}
	if len(volts) == 0 {
		t.Fatalf("ngspice gave no voltage:\n%s\n%s\nfor\n%s", out.String(), errs.String(), text)
	}
	return volts
}
