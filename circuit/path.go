package circuit

import (
	"fmt"
	"slices"

	"elbowroom/guide"
)

// step is one spot crossed on the way to a point.
type step struct {
	over Spot
	to   Point
}

// steps returns what can be crossed from a point: the wires there and the way
// through the node. A signal side belongs to no way through.
func (g *Graph) steps(p Point) []step {
	var out []step
	if p.Side != SignalSide && !g.ends(p.Node) && (!g.Nodes[p.Node].Feeds || len(g.Nodes[p.Node].in) > 0) {
		out = append(out, step{AtNode(p.Node), Point{p.Node, SupplySide + LoadSide - p.Side}})
	}
	for _, w := range g.wiresAt(p) {
		out = append(out, step{OnWire(w), g.other(w, p)})
	}
	return out
}

// Path is a way along the wiring: Points has one more than Spots, and Spots[i]
// lies between Points[i] and Points[i+1]. The last point may be the Reference.
type Path struct {
	Points []Point
	Spots  []Spot
}

// Between returns the path from one point to another that crosses the fewest
// nodes and wires, following what current could follow; ok is false when there
// is none. It never passes through a supply or a ground's reference.
func (g *Graph) Between(from, to Point) (Path, bool) {
	if !g.isPoint(from) || !g.isPoint(to) || from == Reference || to == Reference {
		return Path{}, false
	}
	walk := g.walk(from, func(Spot) bool { return true })
	p, ok := walk.back(to)
	return p, ok
}

// walked is how a walk reached each point.
type walked struct {
	from  Point
	came  map[Point]step // to: where it came from
	order []Point        // nearest first
}

// walk goes from a point to every point that it reaches over spots that may be
// crossed, breadth first.
func (g *Graph) walk(from Point, may func(Spot) bool) walked {
	w := walked{from: from, came: map[Point]step{}, order: []Point{from}}
	for i := 0; i < len(w.order); i++ {
		p := w.order[i]
		for _, s := range g.steps(p) {
			if _, seen := w.came[s.to]; seen || s.to == from || !may(s.over) {
				continue
			}
			w.came[s.to] = step{s.over, p}
			w.order = append(w.order, s.to)
		}
	}
	return w
}

func (w walked) back(to Point) (Path, bool) {
	p := Path{Points: []Point{to}}
	for at := to; at != w.from; {
		s, ok := w.came[at]
		if !ok {
			return Path{}, false
		}
		p.Spots = append(p.Spots, s.over)
		p.Points = append(p.Points, s.to)
		at = s.to
	}
	slices.Reverse(p.Points)
	slices.Reverse(p.Spots)
	return p, true
}

// lineMost is the resistance in ohms up to which a node counts as part of a
// line and not as something that a line leads to.
const lineMost = 1

// isLine reports whether a spot only carries on: a wire, a connector, splice,
// fuse, relay or pin without a resistance that is there on purpose.
func (g *Graph) isLine(s Spot) bool {
	if s.Node < 0 {
		return true
	}
	n := &g.Nodes[s.Node]
	switch n.Sort {
	case guide.InlineNode, guide.SpliceNode, guide.FuseNode, guide.RelayNode, guide.PinNode:
		return !n.Feeds && n.Ohm <= lineMost
	}
	return false
}

// Main returns the path from the supply through the given node to the
// reference behind its ground, or to where its line ends. The error wraps ErrGraph when no supply and no
// pin stands before the node.
func (g *Graph) Main(node int) (Path, error) {
	if node < 0 || node >= len(g.Nodes) {
		return Path{}, fmt.Errorf("%w: no node %d", ErrGraph, node)
	}
	up, ok := g.climb(node, func(n *Node) []int { return n.in }, func(w Wire) int { return w.From.Node })
	down, ok2 := g.climb(node, func(n *Node) []int { return n.out }, func(w Wire) int { return w.To.Node })
	if !ok || !ok2 || len(up)+len(down) == 2 {
		return Path{}, fmt.Errorf("%w: nothing leads to %s and on", ErrGraph, g.Label(node))
	}
	slices.Reverse(up)
	return g.along(append(up, down[1:]...)), nil
}

// climb follows the first wire on one side from node to node; false when it
// goes round in a ring.
func (g *Graph) climb(node int, wires func(*Node) []int, next func(Wire) int) ([]int, bool) {
	out := []int{node}
	for seen := map[int]bool{node: true}; ; seen[node] = true {
		list := wires(&g.Nodes[node])
		if len(list) == 0 || g.Nodes[node].Feeds && len(out) > 1 {
			return out, true
		}
		if node = next(g.Wires[list[0]]); seen[node] {
			return nil, false
		}
		out = append(out, node)
	}
}

// along makes a path of nodes that follow each other by wires.
func (g *Graph) along(nodes []int) Path {
	var p Path
	for i, n := range nodes {
		if i > 0 {
			p.Spots = append(p.Spots, OnWire(g.wireBetween(nodes[i-1], n)))
			p.Points = append(p.Points, Point{n, SupplySide})
			if i == len(nodes)-1 && len(g.Nodes[n].out) == 0 && !g.ends(n) {
				break
			}
			p.Spots = append(p.Spots, AtNode(n))
			if g.ends(n) {
				p.Points = append(p.Points, Reference)
				break
			}
		}
		p.Points = append(p.Points, Point{n, LoadSide})
	}
	return p
}

func (g *Graph) wireBetween(from, to int) int {
	for _, w := range g.Nodes[from].out {
		if g.Wires[w].To.Node == to {
			return w
		}
	}
	return -1
}
