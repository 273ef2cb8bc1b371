package circuit

import (
	"fmt"
	"slices"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// LimitFor turns a limit of a part that holds at one item (the part itself or
// an item of its line) into the limit at another, by items: of capacitance or
// resistance. Where an item has several points of the line, the one nearest to
// the part counts. Copper says how wires are reckoned.
func (g *Graph) LimitFor(part, given, wanted guide.ID, b Bounds, c Copper) Derived {
	why := fmt.Sprintf("%s is no load and no sensor of this wiring", part)
	for _, n := range g.On(part) {
		if s := g.Nodes[n].Sort; s != guide.LoadNode && s != guide.SensingNode {
			continue
		}
		from, ok := g.leadsAt(n, given)
		to, ok2 := g.leadsAt(n, wanted)
		switch {
		case !ok:
			why = fmt.Sprintf("no line leads from %s to %s", part, given)
		case !ok2:
			why = fmt.Sprintf("no line leads from %s to %s", part, wanted)
		case b.Insulation():
			return g.InsulationAt(n, b, from.first(), to.first())
		case b.dimension() == quantity.Capacitance:
			return g.CapacitanceAt(n, b, from.first(), to.first())
		case b.dimension() != quantity.Resistance:
			return Derived{Quiet: "only limits of capacitance and of resistance are carried from item to item; see VoltageAt"}
		case from.Supply == Reference || from.Load == Reference || to.Supply == Reference || to.Load == Reference:
			why = fmt.Sprintf("only one side of %s is led to both %s and %s, and a resistance needs two", part, given, wanted)
		default:
			return g.ResistanceAt(n, b, from, to, c)
		}
	}
	return Derived{Quiet: why}
}

// insulation is the resistance in ohms from which a lower bound is one of
// insulation and not of a part. A judgement: no coil and no sensor of a vehicle
// reaches it.
const insulation = 100e3

// Insulation reports whether bounds are a limit of insulation: at least so
// much, and no upper bound.
func (b Bounds) Insulation() bool {
	return b.dimension() == quantity.Resistance && b.High.Zero() && b.Low.SI() >= insulation
}

// OnLine returns the items that are measured along when a part is measured at
// an item of its line, the part and that item included, each once and from the
// part on; nothing when no line leads there.
func (g *Graph) OnLine(part, at guide.ID) []guide.ID {
	var out []guide.ID
	add := func(n int) {
		if on := g.Nodes[n].On; on != "" && !slices.Contains(out, on) {
			out = append(out, on)
		}
	}
	for _, n := range g.On(part) {
		if s := g.Nodes[n].Sort; s != guide.LoadNode && s != guide.SensingNode {
			continue
		}
		leads, ok := g.leadsAt(n, at)
		if !ok {
			continue
		}
		add(n)
		for _, end := range []Point{leads.Supply, leads.Load} {
			path, ok := g.lineTo(n, end)
			if !ok {
				continue
			}
			for _, p := range path.Points {
				add(p.Node)
			}
		}
	}
	return out
}

// Line returns the items where a line of a part can be touched, from the part
// on, the part left out.
func (g *Graph) Line(part guide.ID) []guide.ID {
	var out []guide.ID
	for _, n := range g.On(part) {
		for _, side := range []Side{SupplySide, LoadSide, SignalSide} {
			for _, p := range g.walk(Point{n, side}, g.isLine).order {
				if on := g.Nodes[p.Node].On; on != "" && on != part && g.Reachable(p) && !slices.Contains(out, on) {
					out = append(out, on)
				}
			}
		}
	}
	return out
}

func (l Leads) first() Point {
	if l.Supply != Reference {
		return l.Supply
	}
	return l.Load
}

// leadsAt finds where both sides of a part are led to on an item; a side that
// is not led there is the Reference. It is false when neither is.
func (g *Graph) leadsAt(part int, item guide.ID) (Leads, bool) {
	if g.Nodes[part].On == item {
		return Own(part), true
	}
	out := Leads{Reference, Reference}
	for _, side := range []Side{SupplySide, LoadSide} {
		for _, p := range g.walk(Point{part, side}, g.isLine).order {
			if g.Nodes[p.Node].On != item || p.Node == part {
				continue
			}
			if side == SupplySide {
				out.Supply = p
			} else {
				out.Load = p
			}
			break
		}
	}
	return out, out.first() != Reference
}
