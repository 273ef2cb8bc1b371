package circuit

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Ohms is a resistance.
type Ohms float64

// Volts is a voltage.
type Volts float64

// Amperes is a current.
type Amperes float64

// Farads is a capacitance.
type Farads float64

// ErrGraph is wrapped by every error about what a circuit is made of.
var ErrGraph = errors.New("no such wiring")

// Name is a node as the guide names it.
type Name struct{ Circuit, Node guide.ID }

// String prints "fuel-pump.f14".
func (n Name) String() string { return string(n.Circuit) + "." + string(n.Node) }

// Side is one end of a node.
type Side uint8

// The sides. A sensor with three wires has a signal side.
const (
	SupplySide Side = iota
	LoadSide
	SignalSide
)

var sideWords = [...]string{"supply side", "load side", "signal"}

// String prints the side in words.
func (s Side) String() string {
	if int(s) < len(sideWords) {
		return sideWords[s]
	}
	return "no side"
}

// Point is one side of a node of a Graph, by the number of the node.
type Point struct {
	Node int
	Side Side
}

// Reference is the point against which voltages are given: the negative of the
// battery.
var Reference = Point{Node: -1}

// Spot is a place that can be faulty: a node, or, where Node is negative, a
// wire.
type Spot struct{ Node, Wire int }

// AtNode is the spot of a node.
func AtNode(i int) Spot { return Spot{Node: i, Wire: -1} }

// OnWire is the spot of a wire.
func OnWire(i int) Spot { return Spot{Node: -1, Wire: i} }

// Node is a node of one or more circuits.
type Node struct {
	Names   []Name // the same thing in several circuits
	Sort    guide.NodeSort
	On      guide.ID // item it sits on
	Item    string   // name of that item
	Pin     string
	Says    string
	Ohm     Ohms // through the node; 0 unless Known
	Known   bool // the guide gives Ohm
	Volt    Volts
	Feeds   bool // it is a source of Volt
	Against int  // node that Volt is held against, -1 for the reference
	Law     guide.ID

	in, out, signal []int // wires at the supply, load and signal side
}

// Wire runs from the load (or signal) side of a node to the supply side of
// another.
type Wire struct {
	Circuits []guide.ID // that draw it
	From, To Point
	Length   quantity.Value
	Section  quantity.Value
	Farad    quantity.Value
	Colour   string
}

// Titled is a circuit with its name.
type Titled struct {
	ID   guide.ID
	Name string
}

// Graph is one or more circuits of a guide, joined.
type Graph struct {
	Nodes []Node
	Wires []Wire
	// Circuits are those that were joined, with their names.
	Circuits []Titled
	// Notes say what was found not to agree while joining, and what was done.
	Notes []string

	resolved *guide.Resolved
	byName   map[Name]int
}

// mostParts is how many nodes and wires are solved together: far more than a
// vehicle has, few enough for a dense matrix.
const mostParts = 3000

// Build makes the graph of the named circuits of a guide, of all of them when
// none is named. An unknown circuit, a wire to an unknown node and a value that
// cannot be (a negative resistance, a voltage in ohms) are errors that wrap
// ErrGraph, all of them together; so are more than 3000 nodes and wires.
func Build(r *guide.Resolved, ids ...guide.ID) (*Graph, error) {
	g := &Graph{resolved: r, byName: map[Name]int{}}
	chosen, err := choose(r.Guide.Circuits, ids)
	if err != nil {
		return nil, err
	}
	b := builder{g: g, same: map[string]int{}}
	for _, c := range chosen {
		g.Circuits = append(g.Circuits, Titled{c.ID, c.Name})
		b.circuit(c)
	}
	b.finish()
	if n := len(g.Nodes) + len(g.Wires); n > mostParts {
		b.fail("%d nodes and wires; solved together are at most %d, so name fewer circuits", n, mostParts)
	}
	if len(b.errs) > 0 {
		return nil, fmt.Errorf("%w: %w", ErrGraph, errors.Join(b.errs...))
	}
	return g, nil
}

func choose(all []guide.Circuit, ids []guide.ID) ([]*guide.Circuit, error) {
	var chosen []*guide.Circuit
	var known []string
	found := map[guide.ID]bool{}
	for i := range all {
		known = append(known, string(all[i].ID))
		if len(ids) == 0 || slices.Contains(ids, all[i].ID) {
			chosen = append(chosen, &all[i])
			found[all[i].ID] = true
		}
	}
	for _, id := range ids {
		if !found[id] {
			return nil, fmt.Errorf("%w: unknown circuit %q; the guide has %s", ErrGraph, id, strings.Join(known, ", "))
		}
	}
	return chosen, nil
}

// Find returns the number of a node.
func (g *Graph) Find(n Name) (int, bool) {
	i, ok := g.byName[n]
	return i, ok
}

// On returns the nodes that sit on an item, in order.
func (g *Graph) On(item guide.ID) []int {
	var out []int
	for i := range g.Nodes {
		if item != "" && g.Nodes[i].On == item {
			out = append(out, i)
		}
	}
	return out
}

// At returns the point of a node by name and side; the error wraps ErrGraph
// and names the nodes of that circuit.
func (g *Graph) At(n Name, s Side) (Point, error) {
	if i, ok := g.byName[n]; ok {
		return Point{i, s}, nil
	}
	var known []string
	for i := range g.Nodes {
		for _, k := range g.Nodes[i].Names {
			if k.Circuit == n.Circuit {
				known = append(known, string(k.Node))
			}
		}
	}
	if len(known) == 0 {
		return Point{}, fmt.Errorf("%w: circuit %q is not among those that were joined", ErrGraph, n.Circuit)
	}
	return Point{}, fmt.Errorf("%w: circuit %s has no node %q; it has %s", ErrGraph, n.Circuit, n.Node, strings.Join(known, ", "))
}

// wiresAt returns the wires at a point.
func (g *Graph) wiresAt(p Point) []int {
	if p.Node < 0 || p.Node >= len(g.Nodes) {
		return nil
	}
	switch n := &g.Nodes[p.Node]; p.Side {
	case SupplySide:
		return n.in
	case LoadSide:
		return n.out
	default:
		return n.signal
	}
}

// Sides returns the sides at which the node has wires, in order.
func (g *Graph) Sides(node int) []Side {
	var out []Side
	for _, s := range []Side{SupplySide, LoadSide, SignalSide} {
		if len(g.wiresAt(Point{node, s})) > 0 {
			out = append(out, s)
		}
	}
	return out
}

// Reachable reports whether a probe can touch the point at all: its node sits
// on an item, and at least one wire there leads out of that item.
func (g *Graph) Reachable(p Point) bool {
	if p.Node < 0 || p.Node >= len(g.Nodes) || g.Nodes[p.Node].On == "" {
		return false
	}
	for _, w := range g.wiresAt(p) {
		if g.Nodes[g.other(w, p).Node].On != g.Nodes[p.Node].On {
			return true
		}
	}
	return false
}

// other returns the far end of a wire.
func (g *Graph) other(wire int, p Point) Point {
	if w := g.Wires[wire]; w.From == p {
		return w.To
	} else {
		return w.From
	}
}

// only returns one circuit of a graph as a graph of its own, with the numbers
// that its nodes and wires have in the whole.
func (g *Graph) only(circuit guide.ID) (part *Graph, nodes, wires []int) {
	part = &Graph{resolved: g.resolved}
	number := map[int]int{}
	for i := range g.Nodes {
		if slices.ContainsFunc(g.Nodes[i].Names, func(n Name) bool { return n.Circuit == circuit }) {
			n := g.Nodes[i]
			n.in, n.out, n.signal, n.Against = nil, nil, nil, -1
			number[i] = len(nodes)
			nodes, part.Nodes = append(nodes, i), append(part.Nodes, n)
		}
	}
	for i, w := range g.Wires {
		if slices.Contains(w.Circuits, circuit) {
			w.From.Node, w.To.Node = number[w.From.Node], number[w.To.Node]
			wires, part.Wires = append(wires, i), append(part.Wires, w)
		}
	}
	part.tie()
	return part, nodes, wires
}

// tie notes at every node the wires of its sides.
func (g *Graph) tie() {
	for i, w := range g.Wires {
		from, to := &g.Nodes[w.From.Node], &g.Nodes[w.To.Node]
		if w.From.Side == SignalSide {
			from.signal = append(from.signal, i)
		} else {
			from.out = append(from.out, i)
		}
		to.in = append(to.in, i)
	}
}

// ends reports whether a node is a ground from which no wire leads on.
func (g *Graph) ends(node int) bool {
	return g.Nodes[node].Sort == guide.GroundNode && len(g.Nodes[node].out) == 0
}
