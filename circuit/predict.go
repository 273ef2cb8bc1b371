package circuit

import (
	"math"
	"slices"
)

// Probe is where the two leads of a voltmeter are held.
type Probe struct{ At, Against Point }

// Case is a fault, or several at once, put into the wiring.
type Case struct {
	Name    string
	Inserts []Insertion
}

// Predicted is what the probes would read in one case.
type Predicted struct {
	Case  Case
	Volts []Volts // one for every probe; NaN where a point floats
	Quiet string  // why there is no solution, see Solution.Quiet
}

// Predict returns what every probe would read: first in the healthy circuit
// (a Case without insertions), then in every case, in order. A meter is taken
// as drawing no current. The error is that of Solve. The cost is one Solve per
// case.
func (g *Graph) Predict(s State, probes []Probe, cases []Case) ([]Predicted, error) {
	out := make([]Predicted, 0, 1+len(cases))
	for _, c := range append([]Case{{Name: "healthy"}}, cases...) {
		sol, err := g.Solve(s.with(c.Inserts...))
		if err != nil {
			return nil, err
		}
		p := Predicted{Case: c, Quiet: sol.Quiet}
		for _, probe := range probes {
			p.Volts = append(p.Volts, sol.Between(probe.At, probe.Against))
		}
		out = append(out, p)
	}
	return out, nil
}

// Everywhere returns one case for every node and wire of the circuit with that
// much resistance more, except inside supplies.
func (g *Graph) Everywhere(more Ohms) []Case {
	var out []Case
	for i := range g.Nodes {
		if !g.Nodes[i].Feeds {
			out = append(out, g.withMore(AtNode(i), more))
		}
	}
	for i := range g.Wires {
		out = append(out, g.withMore(OnWire(i), more))
	}
	return out
}

func (g *Graph) withMore(s Spot, more Ohms) Case {
	return Case{Name: more.String() + " more in " + g.SaySpot(s), Inserts: []Insertion{{Manner: Series, Spot: s, Ohm: more}}}
}

// Breaks returns one case for every node and wire of the circuit interrupted,
// except inside supplies.
func (g *Graph) Breaks() []Case {
	var out []Case
	for _, c := range g.Everywhere(0) {
		at := c.Inserts[0].Spot
		out = append(out, Case{Name: g.SaySpot(at) + " interrupted", Inserts: []Insertion{{Manner: Break, Spot: at}}})
	}
	return out
}

// Shorts returns one case for every point of the circuit with a way of so many
// ohms to ground: a chafed wire, water in a connector. A short straight at a
// supply has no solution (see Predicted.Quiet).
func (g *Graph) Shorts(ohm Ohms) []Case {
	var out []Case
	for i := range g.Nodes {
		for _, s := range g.Sides(i) {
			if p := (Point{i, s}); !g.ends(i) {
				out = append(out, Case{Name: ohm.String() + " to ground at " + g.Say(p), Inserts: []Insertion{{Manner: Bridge, From: p, To: Reference, Ohm: ohm}}})
			}
		}
	}
	return out
}

// Alike groups predictions that no probe tells apart: all readings of a group
// lie within so many volts of those of its first member. Each group is a list
// of numbers of predictions; groups and members keep their order.
func Alike(all []Predicted, within Volts) [][]int {
	var groups [][]int
	for i := range all {
		at := slices.IndexFunc(groups, func(group []int) bool { return alike(all[group[0]], all[i], within) })
		if at < 0 {
			groups = append(groups, []int{i})
		} else {
			groups[at] = append(groups[at], i)
		}
	}
	return groups
}

func alike(a, b Predicted, within Volts) bool {
	if a.Quiet != b.Quiet || len(a.Volts) != len(b.Volts) {
		return false
	}
	for k := range a.Volts {
		x, y := float64(a.Volts[k]), float64(b.Volts[k])
		if math.IsNaN(x) != math.IsNaN(y) || math.Abs(x-y) > float64(within) {
			return false
		}
	}
	return true
}
