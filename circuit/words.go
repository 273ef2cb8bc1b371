package circuit

import (
	"math"
	"strconv"
	"strings"

	"elbowroom/guide"
)

// Label names a node for people: "EL05 fuse", "EL01 pin ECT", "pump".
func (g *Graph) Label(node int) string {
	if node < 0 || node >= len(g.Nodes) {
		return "the negative of the battery"
	}
	n := &g.Nodes[node]
	var parts []string
	if n.On != "" {
		parts = append(parts, string(n.On))
	}
	switch {
	case n.On == "":
		parts = append(parts, string(n.Names[0].Node))
	case n.Sort == guide.PinNode || n.Sort == guide.InlineNode:
		if n.Pin != "" {
			parts = append(parts, "pin", n.Pin)
		}
	default:
		parts = append(parts, string(n.Sort))
		if n.Pin != "" {
			parts = append(parts, n.Pin)
		}
	}
	return strings.Join(parts, " ")
}

// Say names a point for people: "EL05 fuse, load side".
func (g *Graph) Say(p Point) string {
	if p.Node < 0 || p.Node >= len(g.Nodes) {
		return g.Label(p.Node)
	}
	n := &g.Nodes[p.Node]
	if len(g.Sides(p.Node)) < 2 || n.Sort == guide.GroundNode || n.Sort == guide.SpliceNode {
		return g.Label(p.Node)
	}
	return g.Label(p.Node) + ", " + p.Side.String()
}

// SaySpot names a node, or a wire by its ends.
func (g *Graph) SaySpot(s Spot) string {
	if s.Node >= 0 {
		return g.Label(s.Node)
	}
	w := g.Wires[s.Wire]
	return "wire from " + g.Label(w.From.Node) + " to " + g.Label(w.To.Node)
}

// figures is how many figures of a computed value are printed.
const figures = 4

// prefixes of units, from large to small.
var prefixes = []struct {
	factor float64
	sign   string
}{{1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "µ"}, {1e-9, "n"}, {1e-12, "p"}}

// show prints a number with figures figures and a prefix that fits. Volts and
// amperes take no prefix above one.
func show(x float64, unit string, large bool) string {
	if math.IsNaN(x) {
		return "not known"
	}
	if math.IsInf(x, 0) {
		return "open"
	}
	if x == 0 {
		return "0 " + unit
	}
	x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', figures, 64), 64)
	for i, p := range prefixes {
		if p.factor > 1 && !large {
			continue
		}
		if math.Abs(x) >= p.factor || i == len(prefixes)-1 {
			return strconv.FormatFloat(rounded(x/p.factor), 'f', -1, 64) + " " + p.sign + unit
		}
	}
	return ""
}

// rounded cuts a number to the figures that are printed.
func rounded(x float64) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', figures, 64), 64)
	return y
}

// String prints "450 mΩ".
func (r Ohms) String() string { return show(float64(r), "Ω", true) }

// String prints "2.62 V".
func (v Volts) String() string { return show(float64(v), "V", false) }

// String prints "1.99 mA".
func (a Amperes) String() string { return show(float64(a), "A", false) }

// String prints "260 pF".
func (f Farads) String() string { return show(float64(f), "F", false) }
