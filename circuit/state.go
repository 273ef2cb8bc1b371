package circuit

import (
	"fmt"
	"math"
	"slices"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading/law"
)

// Manner is how an insertion changes the wiring.
type Manner uint8

// The manners.
const (
	Series Manner = iota // Ohm more at the spot
	Break                // the spot is interrupted
	Bridge               // Ohm from point From to point To, beside everything else
)

// Insertion is a fault put into the wiring to see what it would do.
type Insertion struct {
	Manner   Manner
	Spot     Spot // of Series and Break
	From, To Point
	Ohm      Ohms
}

// Said is a resistance that is known better than the guide gives it.
type Said struct {
	Spot Spot
	Ohm  Ohms
}

// State is what holds while the circuit is looked at. The zero State is the
// healthy circuit with everything as the guide gives it.
type State struct {
	Copper  Copper
	Sensed  map[guide.ID]quantity.Value // by item of a sensor: what it senses; a sensor without carries no current
	Volts   map[guide.ID]Volts          // by item of the supply: instead of the guide's voltage
	Off     []guide.ID                  // items that are switched off: supplies, relays, loads, fuses pulled
	Ohms    []Said
	Inserts []Insertion
}

// with returns the state with further insertions.
func (s State) with(more ...Insertion) State {
	s.Inserts = slices.Concat(s.Inserts, more)
	return s
}

// check reports what in a state makes no sense.
func (s *State) check(g *Graph) error {
	if _, err := s.Copper.celsius(); err != nil {
		return err
	}
	for _, in := range s.Inserts {
		if err := in.check(g); err != nil {
			return err
		}
	}
	for _, o := range s.Ohms {
		if !g.isSpot(o.Spot) || !isOhms(o.Ohm) {
			return fmt.Errorf("%w: %v Ω said of spot %+v", ErrGraph, float64(o.Ohm), o.Spot)
		}
	}
	for id, v := range s.Volts {
		if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
			return fmt.Errorf("%w: supply %s at %v V", ErrGraph, id, float64(v))
		}
	}
	return nil
}

func (in Insertion) check(g *Graph) error {
	switch in.Manner {
	case Series, Break:
		if !g.isSpot(in.Spot) {
			return fmt.Errorf("%w: nothing of this circuit is spot %+v", ErrGraph, in.Spot)
		}
	case Bridge:
		if !g.isPoint(in.From) || !g.isPoint(in.To) {
			return fmt.Errorf("%w: a bridge from %+v to %+v ends at no point of this circuit", ErrGraph, in.From, in.To)
		}
	default:
		return fmt.Errorf("%w: manner %d of an insertion is unknown", ErrGraph, in.Manner)
	}
	if !isOhms(in.Ohm) {
		return fmt.Errorf("%w: %v Ω cannot be put in; a resistance is zero or above", ErrGraph, float64(in.Ohm))
	}
	return nil
}

func isOhms(r Ohms) bool { return r >= 0 && !math.IsInf(float64(r), 0) }

func (g *Graph) isSpot(s Spot) bool {
	if s.Node >= 0 {
		return s.Node < len(g.Nodes) && s.Wire < 0
	}
	return s.Wire >= 0 && s.Wire < len(g.Wires)
}

func (g *Graph) isPoint(p Point) bool {
	return p == Reference || p.Node >= 0 && p.Node < len(g.Nodes) && p.Side <= SignalSide
}

// ohmOf returns the resistance through a node in a state. known is false where
// it is needed and nobody gives it; the node then carries no current.
func (g *Graph) ohmOf(node int, s *State) (ohm Ohms, known bool, why string) {
	n := &g.Nodes[node]
	for _, said := range s.Ohms {
		if said.Spot == AtNode(node) {
			return said.Ohm, true, ""
		}
	}
	if ohm, ok, why := g.sensing(n, s); ok || why != "" {
		return ohm, ok, why
	}
	switch {
	case n.Known:
		return n.Ohm, true, ""
	case n.Sort == guide.SensingNode && len(n.signal) == 0:
		return 0, false, "what " + g.Label(node) + " senses is not stated; it is taken as carrying no current"
	case n.Sort == guide.SensingNode:
		return 0, false, "what " + g.Label(node) + " draws is not known; it is taken as carrying no current"
	case n.Sort == guide.LoadNode:
		return 0, false, "the resistance of " + g.Label(node) + " is not known; it is taken as carrying no current"
	}
	return 0, true, ""
}

// curve returns the law of a sensor and what it senses, when both are known.
func (g *Graph) curve(n *Node, s *State) (c *law.Curve, sensed quantity.Value, ok bool) {
	v, stated := s.Sensed[n.On]
	l := lawOf(g.resolved, n.Law)
	if n.Sort != guide.SensingNode || !stated || l == nil {
		return nil, v, false
	}
	c, err := law.New(l)
	return c, v, err == nil
}

// sensing returns the resistance of a sensor by its law; ok is false without
// words when it is not a law of resistance.
func (g *Graph) sensing(n *Node, s *State) (ohm Ohms, ok bool, why string) {
	c, v, ok := g.curve(n, s)
	if !ok || c.NeedsSupply() {
		return 0, false, ""
	}
	shown, err := c.At(v, quantity.Value{})
	switch {
	case err != nil:
		return 0, false, fmt.Sprintf("%s at %s: %v; it is taken as carrying no current", n.On, v, err)
	case shown.Dimension() != quantity.Resistance || !isOhms(Ohms(shown.SI())):
		return 0, false, ""
	}
	return Ohms(shown.SI()), true, ""
}

// share returns the share of its supply that a ratiometric sensor shows.
func (g *Graph) share(n *Node, s *State) (float64, bool) {
	c, v, ok := g.curve(n, s)
	if !ok || !c.NeedsSupply() {
		return 0, false
	}
	shown, err := c.At(v, quantity.Of(1, "V"))
	return shown.SI(), err == nil
}

func lawOf(r *guide.Resolved, id guide.ID) *guide.Law {
	if r == nil || id == "" {
		return nil
	}
	for i := range r.Guide.Laws {
		if r.Guide.Laws[i].ID == id {
			return &r.Guide.Laws[i]
		}
	}
	return nil
}
