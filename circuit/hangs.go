package circuit

import (
	"cmp"
	"maps"
	"slices"

	"elbowroom/guide"
)

// Hang is a load or sensor that is affected when something on its way fails.
type Hang struct {
	Part  int // node
	How   How
	Steps int // nodes between
}

// How says on which side a part depends on something.
type How string

// The sides.
const (
	FedThrough     How = "fed through it"
	ReturnsThrough How = "returns through it"
	BothThrough    How = "fed and returns through it"
)

// Hangs returns the loads and sensors that are affected when any of the nodes
// fails: those that are fed through it and those whose current returns through
// it, and in turn what a control unit among them feeds. The nearest come first.
// The nodes themselves are not listed.
func (g *Graph) Hangs(nodes ...int) []Hang {
	fed := g.reach(nodes, g.onward)
	back := g.reach(nodes, g.before)
	units := slices.Sorted(maps.Keys(g.units(back)))
	for n, steps := range g.reach(units, g.onward) {
		if _, ok := fed[n]; !ok && !slices.Contains(units, n) {
			fed[n] = steps + 1
		}
	}
	var out []Hang
	for i := range g.Nodes {
		if s := g.Nodes[i].Sort; s != guide.LoadNode && s != guide.SensingNode || slices.Contains(nodes, i) {
			continue
		}
		a, isFed := fed[i]
		b, returns := back[i]
		switch {
		case isFed && returns:
			out = append(out, Hang{i, BothThrough, min(a, b)})
		case isFed:
			out = append(out, Hang{i, FedThrough, a})
		case returns:
			out = append(out, Hang{i, ReturnsThrough, b})
		}
	}
	slices.SortStableFunc(out, func(a, b Hang) int { return cmp.Compare(a.Steps, b.Steps) })
	return out
}

// units returns the loads among nodes that feed others of their item.
func (g *Graph) units(nodes map[int]int) map[int]int {
	out := map[int]int{}
	for n, steps := range nodes {
		if g.Nodes[n].Sort == guide.LoadNode && len(g.inner(n)) > 0 {
			out[n] = steps
		}
	}
	return out
}

// reach returns the nodes that are reached from some, with the number of steps.
func (g *Graph) reach(from []int, next func(int) []int) map[int]int {
	steps := map[int]int{}
	queue := slices.Clone(from)
	for _, n := range from {
		steps[n] = 0
	}
	for len(queue) > 0 {
		n := queue[0]
		queue = queue[1:]
		for _, m := range next(n) {
			if _, seen := steps[m]; !seen {
				steps[m] = steps[n] + 1
				queue = append(queue, m)
			}
		}
	}
	return steps
}

// onward returns the nodes behind a node: over its wires, and inside a control
// unit from its supply to what it feeds.
func (g *Graph) onward(n int) []int {
	var out []int
	for _, w := range slices.Concat(g.Nodes[n].out, g.Nodes[n].signal) {
		out = append(out, g.Wires[w].To.Node)
	}
	return append(out, g.inner(n)...)
}

// inner returns what a load feeds inside its own item: supplies and pins to
// which no wire leads.
func (g *Graph) inner(n int) []int {
	var out []int
	if g.Nodes[n].Sort != guide.LoadNode {
		return nil
	}
	for _, m := range g.On(g.Nodes[n].On) {
		if s := g.Nodes[m].Sort; m != n && len(g.Nodes[m].in) == 0 && (s == guide.SupplyNode || s == guide.PinNode) {
			out = append(out, m)
		}
	}
	return out
}

// before returns the nodes in front of a node, over its wires.
func (g *Graph) before(n int) []int {
	var out []int
	for _, w := range g.Nodes[n].in {
		out = append(out, g.Wires[w].From.Node)
	}
	return out
}

// Cause is an item that several parts depend on.
type Cause struct {
	Item   guide.ID
	Covers []guide.ID // of the parts asked about, in the order asked
	Also   []guide.ID // parts that depend on it and were not asked about
	Hangs  []Hang     // how each covered part depends on it
}

// Causes returns the items whose failure would affect several of the given
// items: shared supplies, fuses, relays, grounds, splices and connectors. Those
// that cover most come first; among them control units last, which are seldom
// the cause of what they report; then those that would affect least else; then
// the nearest, then the order of the guide. With one item given it returns
// everything that item depends on.
func (g *Graph) Causes(items ...guide.ID) []Cause {
	least := min(2, len(items))
	var out []Cause
	for _, item := range g.items() {
		c := g.cause(item, items)
		if len(c.Covers) >= least && least > 0 {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b Cause) int {
		return cmp.Or(cmp.Compare(len(b.Covers), len(a.Covers)), compareBool(g.isUnit(a.Item), g.isUnit(b.Item)), cmp.Compare(len(a.Also), len(b.Also)), cmp.Compare(nearest(a), nearest(b)))
	})
	return out
}

// isUnit reports whether an item is a control unit: a load that feeds others
// from inside.
func (g *Graph) isUnit(item guide.ID) bool {
	return slices.ContainsFunc(g.On(item), func(n int) bool { return len(g.inner(n)) > 0 })
}

func nearest(c Cause) int {
	sum := 0
	for _, h := range c.Hangs {
		sum += h.Steps
	}
	return sum
}

func (g *Graph) cause(item guide.ID, asked []guide.ID) Cause {
	c := Cause{Item: item}
	hangs := g.Hangs(g.On(item)...)
	for _, want := range asked {
		i := slices.IndexFunc(hangs, func(h Hang) bool { return g.Nodes[h.Part].On == want })
		if i >= 0 && want != item && !slices.Contains(c.Covers, want) {
			c.Covers = append(c.Covers, want)
			c.Hangs = append(c.Hangs, hangs[i])
		}
	}
	for _, h := range hangs {
		on := g.Nodes[h.Part].On
		if on != "" && on != item && !slices.Contains(asked, on) && !slices.Contains(c.Also, on) {
			c.Also = append(c.Also, on)
		}
	}
	return c
}

// items returns every item that a node sits on, once, in order.
func (g *Graph) items() []guide.ID {
	var out []guide.ID
	seen := map[guide.ID]bool{"": true}
	for i := range g.Nodes {
		if on := g.Nodes[i].On; !seen[on] {
			seen[on] = true
			out = append(out, on)
		}
	}
	return out
}
