package circuit

import (
	"fmt"
	"math"
	"slices"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// builder joins circuits into a graph.
type builder struct {
	g    *Graph
	same map[string]int // what makes two nodes one
	errs []error
}

func (b *builder) fail(format string, args ...any) {
	b.errs = append(b.errs, fmt.Errorf(format, args...))
}

func (b *builder) note(format string, args ...any) {
	b.g.Notes = append(b.g.Notes, fmt.Sprintf(format, args...))
}

// circuit adds one circuit.
func (b *builder) circuit(c *guide.Circuit) {
	for i := range c.Nodes {
		b.node(c, &c.Nodes[i])
	}
	for i := range c.Nodes {
		b.against(c, &c.Nodes[i])
	}
	onward := map[guide.ID]int{}
	for _, w := range c.Wires {
		onward[w.From]++
	}
	for i := range c.Wires {
		b.wire(c, &c.Wires[i], onward)
	}
}

func (b *builder) node(c *guide.Circuit, n *guide.Node) {
	name := Name{c.ID, n.ID}
	if _, twice := b.g.byName[name]; twice {
		b.fail("node %s stands there twice", name)
		return
	}
	made := Node{
		Names: []Name{name}, Sort: n.Sort, On: n.On, Pin: n.Pin, Says: n.Says, Against: -1, Law: n.Law,
		Known: !n.Ohm.Zero(), Feeds: !n.Volt.Zero(),
	}
	made.Ohm = Ohms(b.number(n.Ohm, quantity.Resistance, name))
	made.Volt = Volts(b.number(n.Volt, quantity.Voltage, name))
	if b.g.resolved != nil {
		if it := b.g.resolved.Item(n.On); it != nil {
			made.Item = it.Name
		}
	}
	key := joinKey(n)
	if i, ok := b.same[key]; ok && key != "" && b.g.Nodes[i].Names[0].Circuit != c.ID {
		b.join(i, made)
		b.g.byName[name] = i
		return
	}
	b.g.byName[name] = len(b.g.Nodes)
	if _, ok := b.same[key]; !ok && key != "" {
		b.same[key] = len(b.g.Nodes)
	}
	b.g.Nodes = append(b.g.Nodes, made)
}

// joinKey is equal for nodes of two circuits that are the same thing, and
// empty for a node that is a thing of its own: of a connector, a supply, a
// splice or a pin one must know which.
func joinKey(n *guide.Node) string {
	switch n.Sort {
	case guide.InlineNode, guide.PinNode, guide.SupplyNode, guide.SpliceNode:
		if n.Pin == "" {
			return ""
		}
	case guide.LoadNode, guide.SensingNode, guide.FuseNode, guide.RelayNode, guide.GroundNode:
	default:
		return ""
	}
	if n.On == "" {
		return ""
	}
	return fmt.Sprintf("%s\x00%s\x00%s\x00%s", n.Sort, n.On, n.Pin, n.Law)
}

// join adds what a second circuit says of a node.
func (b *builder) join(i int, more Node) {
	n := &b.g.Nodes[i]
	n.Names = append(n.Names, more.Names...)
	if n.Says == "" {
		n.Says = more.Says
	}
	switch {
	case more.Known && !n.Known:
		n.Ohm, n.Known = more.Ohm, true
	case more.Known && n.Ohm != more.Ohm:
		b.note("%s has %s in one circuit and %s in another (%s); taken as %s", b.g.Label(i), n.Ohm, more.Ohm, more.Names[0], n.Ohm)
	}
	switch {
	case more.Feeds && !n.Feeds:
		n.Volt, n.Feeds = more.Volt, true
	case more.Feeds && n.Volt != more.Volt:
		b.note("%s stands at %s in one circuit and at %s in another (%s); taken as %s unless the voltage is stated", b.g.Label(i), n.Volt, more.Volt, more.Names[0], n.Volt)
	}
}

func (b *builder) against(c *guide.Circuit, n *guide.Node) {
	if n.Against == "" {
		return
	}
	to, ok := b.g.byName[Name{c.ID, n.Against}]
	if !ok {
		b.fail("%s.%s is held against %q, and the circuit has no such node", c.ID, n.ID, n.Against)
		return
	}
	b.g.Nodes[b.g.byName[Name{c.ID, n.ID}]].Against = to
}

// wire adds one wire. A wire from a sensor that also has another way on, to a
// node from which nothing leads on, is its signal.
func (b *builder) wire(c *guide.Circuit, w *guide.Wire, onward map[guide.ID]int) {
	from, ok := b.g.byName[Name{c.ID, w.From}]
	to, ok2 := b.g.byName[Name{c.ID, w.To}]
	if !ok || !ok2 {
		b.fail("circuit %s: wire %s -> %s ends at a node that the circuit does not have", c.ID, w.From, w.To)
		return
	}
	if from == to {
		b.fail("circuit %s: wire %s -> %s ends where it begins", c.ID, w.From, w.To)
		return
	}
	name := Name{c.ID, w.From}
	b.number(w.Length, quantity.Length, name)
	b.number(w.Section, quantity.Area, name)
	b.number(w.Farad, quantity.Capacitance, name)
	side := LoadSide
	if b.g.Nodes[from].Sort == guide.SensingNode && onward[w.From] > 1 && onward[w.To] == 0 && b.g.Nodes[to].Sort == guide.PinNode {
		side = SignalSide
	}
	b.add(Wire{
		Circuits: []guide.ID{c.ID}, From: Point{from, side}, To: Point{to, SupplySide},
		Length: w.Length, Section: w.Section, Farad: w.Farad, Colour: w.Colour,
	})
}

// add keeps a wire, once where two circuits both draw it.
func (b *builder) add(w Wire) {
	i := slices.IndexFunc(b.g.Wires, func(o Wire) bool {
		return o.From == w.From && o.To == w.To && o.Circuits[0] != w.Circuits[0]
	})
	if i < 0 {
		b.g.Wires = append(b.g.Wires, w)
		return
	}
	o := &b.g.Wires[i]
	o.Circuits = append(o.Circuits, w.Circuits...)
	if o.Length.Zero() && o.Section.Zero() {
		o.Length, o.Section = w.Length, w.Section
	} else if !w.Length.Zero() && (o.Length != w.Length || o.Section != w.Section) {
		b.note("the wire from %s to %s is drawn differently in circuits %s and %s; taken as in %s", b.g.Label(w.From.Node), b.g.Label(w.To.Node), o.Circuits[0], w.Circuits[0], o.Circuits[0])
	}
	if o.Farad.Zero() {
		o.Farad = w.Farad
	}
}

// finish ties wires to nodes and settles which nodes are sources.
func (b *builder) finish() {
	g := b.g
	g.tie()
	for i := range g.Nodes {
		n := &g.Nodes[i]
		if n.Feeds && n.Sort != guide.SupplyNode && len(n.in) > 0 {
			b.note("%s is fed by a wire, so that the %s written at it are not a source", g.Label(i), n.Volt)
			n.Feeds = false
		}
	}
}

// number returns the SI value of an optional quantity and reports a wrong
// dimension, a number that is none and a negative one.
func (b *builder) number(v quantity.Value, dim quantity.Dimension, name Name) float64 {
	if v.Zero() {
		return 0
	}
	x := v.SI()
	switch {
	case v.Dimension() != dim:
		b.fail("%s: %s is no %s", name, v, dim)
	case math.IsNaN(x) || math.IsInf(x, 0) || x < 0:
		b.fail("%s: a %s of %s cannot be", name, dim, v)
	default:
		return x
	}
	return 0
}
