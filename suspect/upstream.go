package suspect

import (
	"slices"

	"elbowroom/guide"
)

// passive are the sorts of node that only lead current on: a fault there shows
// at what hangs on it.
func passive(s guide.NodeSort) bool {
	switch s {
	case guide.SupplyNode, guide.FuseNode, guide.RelayNode, guide.GroundNode, guide.SpliceNode, guide.InlineNode, guide.PinNode:
		return true
	}
	return false
}

// upstream returns, for every item that is a load or a sensor of a circuit,
// the items that it is fed, grounded or connected through: the passive nodes
// on a way along the wires from it to a source or to a sink, not past another
// load. Lists are in order of the circuits and without repeats.
func upstream(g *guide.Guide) map[guide.ID][]guide.ID {
	out := map[guide.ID][]guide.ID{}
	for i := range g.Circuits {
		c := &g.Circuits[i]
		for _, n := range c.Nodes {
			if n.On == "" || passive(n.Sort) {
				continue
			}
			for _, forward := range []bool{false, true} {
				for _, on := range reached(c, n.ID, forward) {
					if on != n.On && !slices.Contains(out[n.On], on) {
						out[n.On] = append(out[n.On], on)
					}
				}
			}
		}
	}
	return out
}

// reached walks from a node along the wires, or against them, through passive
// nodes only, and returns the items of those nodes.
func reached(c *guide.Circuit, from guide.ID, forward bool) []guide.ID {
	var items []guide.ID
	seen := map[guide.ID]bool{from: true}
	queue := []guide.ID{from}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, w := range c.Wires {
			here, next := w.To, w.From
			if forward {
				here, next = w.From, w.To
			}
			if here != at || seen[next] {
				continue
			}
			seen[next] = true
			i := slices.IndexFunc(c.Nodes, func(n guide.Node) bool { return n.ID == next })
			if i < 0 || !passive(c.Nodes[i].Sort) {
				continue
			}
			if c.Nodes[i].On != "" {
				items = append(items, c.Nodes[i].On)
			}
			queue = append(queue, next)
		}
	}
	return items
}

// hangsOn reports whether item is fed, grounded or connected through on.
func (m *model) hangsOn(item, on guide.ID) bool {
	return item != "" && on != "" && slices.Contains(m.up[item], on)
}
