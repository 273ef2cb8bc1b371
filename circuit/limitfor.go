package circuit

import (
	"fmt"

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
