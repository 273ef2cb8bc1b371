package circuit

import (
	"errors"
	"fmt"
	"math"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading/law"
)

// ErrReads is wrapped when nobody can say what a control unit would show.
var ErrReads = errors.New("what is shown cannot be worked out")

// Reads returns what the control unit takes a sensor to sense in a solution:
// the voltage at its pin, against the ground that its supply is held against,
// turned back by the sensor's law. A resistance is judged as if the wiring
// between pin and sensor were nothing, which is what makes a bad contact a
// wrong temperature. The error wraps ErrReads, or law.ErrRange.
func (g *Graph) Reads(s *Solution, sensor int) (quantity.Value, error) {
	if sensor < 0 || sensor >= len(g.Nodes) || g.Nodes[sensor].Sort != guide.SensingNode {
		return quantity.Value{}, fmt.Errorf("%w: node %d is no sensor", ErrReads, sensor)
	}
	l := lawOf(g.resolved, g.Nodes[sensor].Law)
	if l == nil {
		return quantity.Value{}, fmt.Errorf("%w: no law is given for %s", ErrReads, g.Label(sensor))
	}
	c, err := law.New(l)
	if err != nil {
		return quantity.Value{}, fmt.Errorf("%w: %w", ErrReads, err)
	}
	if c.NeedsSupply() {
		return g.readsShare(s, sensor, c)
	}
	return g.readsOhms(s, sensor, c)
}

// readsShare is for a sensor of three wires: signal beside supply.
func (g *Graph) readsShare(s *Solution, sensor int, c *law.Curve) (quantity.Value, error) {
	signal, ok := g.follow(Point{sensor, SignalSide}, nil)
	feed, ok2 := g.upstream(sensor)
	if !ok || !ok2 {
		return quantity.Value{}, fmt.Errorf("%w: signal or supply of %s are not drawn", ErrReads, g.Label(sensor))
	}
	base := g.base(feed)
	shown, supply := s.Between(signal, base), s.Between(Point{feed, LoadSide}, base)
	if !finite(shown) || !finite(supply) {
		return quantity.Value{}, fmt.Errorf("%w: the signal of %s floats", ErrReads, g.Label(sensor))
	}
	return c.Inverse(quantity.Of(float64(shown), "V"), quantity.Of(float64(supply), "V"))
}

// readsOhms is for a resistance behind a pull-up.
func (g *Graph) readsOhms(s *Solution, sensor int, c *law.Curve) (quantity.Value, error) {
	pull, feed, ok := g.pullUp(sensor)
	if !ok {
		return quantity.Value{}, fmt.Errorf("%w: no pull-up with its resistance is drawn before %s", ErrReads, g.Label(sensor))
	}
	base := g.base(feed)
	shown, supply := s.Between(Point{pull, LoadSide}, base), s.Between(Point{feed, LoadSide}, base)
	if !finite(shown) || !finite(supply) || shown >= supply || shown < 0 {
		return quantity.Value{}, fmt.Errorf("%w: %s at the pin, %s of supply: open, shorted or floating", ErrReads, shown, supply)
	}
	ohm := g.Nodes[pull].Ohm * Ohms(shown/(supply-shown))
	return c.Inverse(quantity.Of(float64(ohm), "Ω"), quantity.Value{})
}

func finite(v Volts) bool { return !math.IsNaN(float64(v)) && !math.IsInf(float64(v), 0) }

// base is the point that a supply is held against.
func (g *Graph) base(feed int) Point {
	if a := g.Nodes[feed].Against; a >= 0 {
		return Point{a, SupplySide}
	}
	return Reference
}

// follow goes along the single wire at a point to the last node of that line.
func (g *Graph) follow(p Point, seen map[Point]bool) (Point, bool) {
	wires := g.wiresAt(p)
	if len(wires) == 0 {
		return p, p.Side != SignalSide
	}
	if seen[p] {
		return p, false
	}
	if seen == nil {
		seen = map[Point]bool{}
	}
	seen[p] = true
	next := g.other(wires[0], p)
	if len(g.Nodes[next.Node].out) == 0 {
		return next, true
	}
	return g.follow(Point{next.Node, LoadSide}, seen)
}

// upstream goes against the wires to the first supply.
func (g *Graph) upstream(node int) (feed int, ok bool) {
	seen := map[int]bool{}
	for !seen[node] {
		seen[node] = true
		if g.Nodes[node].Feeds {
			return node, true
		}
		if len(g.Nodes[node].in) == 0 {
			return 0, false
		}
		node = g.Wires[g.Nodes[node].in[0]].From.Node
	}
	return 0, false
}

// pullUp finds the pin with a resistance before a sensor, and its supply.
func (g *Graph) pullUp(sensor int) (pull, feed int, ok bool) {
	seen := map[int]bool{}
	for node := sensor; !seen[node] && len(g.Nodes[node].in) > 0; {
		seen[node] = true
		node = g.Wires[g.Nodes[node].in[0]].From.Node
		if n := &g.Nodes[node]; n.Sort == guide.PinNode && n.Known && n.Ohm > 0 {
			feed, ok = g.upstream(node)
			return node, feed, ok
		}
	}
	return 0, 0, false
}
