package circuit

import (
	"math"

	"elbowroom/guide"
)

// symbolHalf is half the height of a box, in pixels; symbols run from -reachOf
// to +reachOf along the current.
const symbolHalf = 11.0

// symbol draws a node around 0, 0 with the current from left to right. The
// shapes are those of the trade: a box for a resistance, a box with a line
// through it for a fuse, shortening lines for a ground, a plate beside a longer
// one for a source, an arc around a bar for a connector, a ring for a terminal.
func (p *pen) symbol(g *Graph, node int) {
	n := &g.Nodes[node]
	switch {
	case n.Sort == guide.SupplyNode || n.Feeds:
		p.source(len(n.in) > 0)
	case n.Sort == guide.FuseNode:
		p.empty("path", "d", "M-26 0H26M-16-8H16V8H-16Z")
	case n.Sort == guide.RelayNode:
		p.empty("path", "d", "M-26 0H-11L13-13M11 0H26M11-5V5")
		p.empty("path", "class", "thin", "d", "M1-7V-16M-6-22H8V-16H-6Z")
	case n.Sort == guide.GroundNode:
		p.ground(g, node)
	case n.Sort == guide.SpliceNode:
		p.empty("path", "d", "M-26 0H26")
		p.empty("circle", "class", "full", "cx", "0", "cy", "0", "r", "5")
	case n.Sort == guide.InlineNode:
		p.empty("path", "d", "M-26 0H-9M-1-9A9 9 0 0 0-1 9M1 0H26")
		p.empty("path", "class", "heavy", "d", "M-1 0H11")
	case n.Sort == guide.PinNode:
		p.pin(g, node)
	case n.Sort == guide.SensingNode:
		p.empty("path", "d", "M-26 0H-18M18 0H26M-18-"+num(symbolHalf)+"H18V"+num(symbolHalf)+"H-18Z")
		p.empty("path", "class", "thin", "d", "M-20 16H-13L14-17")
	default:
		p.empty("path", "d", "M-26 0H-18M18 0H26M-18-"+num(symbolHalf)+"H18V"+num(symbolHalf)+"H-18Z")
	}
}

// source is a plate beside a longer one, which is the plus; its plus lies
// behind it, or before it when it stands between two wires.
func (p *pen) source(between bool) {
	if between {
		p.empty("path", "d", "M-26 0H-4M-4-15V15M3-8V8M3 0H26")
		p.empty("path", "class", "thin", "d", "M-18-14H-10M-14-18V-10")
		return
	}
	p.empty("path", "d", "M-12 0H-3M-3-8V8M4-15V15M4 0H26")
	p.empty("path", "class", "thin", "d", "M10-14H18M14-18V-10")
}

// ground is drawn at the end of the current, or as a stud on its way.
func (p *pen) ground(g *Graph, node int) {
	if g.ends(node) {
		p.empty("path", "d", "M-26 0H0M0-15V15M7-9V9M14-4V4")
		return
	}
	p.empty("path", "d", "M-26 0H26M0 0V8M-11 8H11M-7 13H7M-3 18H3")
	p.empty("circle", "class", "full", "cx", "0", "cy", "0", "r", "4")
}

// pin is a ring; a resistance behind it stands in front of the ring as a box.
func (p *pen) pin(g *Graph, node int) {
	n := &g.Nodes[node]
	if n.Ohm > lineMost {
		p.empty("path", "d", "M-26 0H-22M-22-8H6V8H-22ZM6 0H12M22 0H26")
		p.empty("circle", "cx", "17", "cy", "0", "r", "5")
		return
	}
	left, right := "M-26 0H-6", "M6 0H26"
	if len(n.in) == 0 {
		left = ""
	}
	if len(n.out) == 0 {
		right = ""
	}
	p.empty("path", "d", left+right)
	p.empty("circle", "cx", "0", "cy", "0", "r", "6")
}

// verdicts in the order of the legend.
var verdicts = []Verdict{Conforming, NonConforming, TooClose, NotComparable, NotMeasured}

// looks of the verdicts: shape, pattern and letter differ for each, so that
// none needs its colour.
var looks = map[Verdict]struct{ class, letter, shape, plate string }{
	Conforming:    {"ok", "C", "M0-14A14 14 0 1 1 0 14A14 14 0 1 1 0-14Z", ""},
	NonConforming: {"bad", "N", "M-14-14H14V14H-14Z", "M-8-8H8V8H-8Z"},
	TooClose:      {"near", "T", "M0-18L18 14H-18Z", "M0-7L8 9H-8Z"},
	NotComparable: {"odd", "X", "M0-16L16 0L0 16L-16 0Z", "M0-9L9 0L0 9L-9 0Z"},
	NotMeasured:   {"open", "", "M0-6A6 6 0 1 1 0 6A6 6 0 1 1 0-6Z", ""},
}

// patterns writes the fills of the marks.
func (p *pen) patterns() {
	p.open("defs")
	for _, t := range []struct{ name, d, size string }{
		{"bad", "M-1 1L1-1M0 6L6 0M5 7L7 5M-1 5L1 7M0 0L6 6M5-1L7 1", "6"},
		{"near", "M1 1H2.4M4 4H5.4", "6"},
		{"odd", "M0 1.5H5", "5"},
	} {
		p.open("pattern", "id", p.id+t.name, "width", t.size, "height", t.size, "patternUnits", "userSpaceOnUse")
		p.empty("path", "class", "hatch", "d", t.d)
		p.close("pattern")
	}
	p.close("defs")
}

// mark draws a measuring point with its reading.
func (p *pen) mark(m Mark, at XY, d Direction, where string) {
	says := where + ": " + string(m.Verdict)
	if m.Says != "" {
		says += ", " + m.Says
	}
	if m.Link != "" {
		p.open("a", "href", m.Link, "aria-label", says)
	}
	p.open("g", "class", "mark "+looks[m.Verdict].class, "transform", "translate("+num(at.X)+" "+num(at.Y)+")")
	p.element("title", says)
	if m.Link != "" {
		p.empty("rect", "class", "hit", "x", "-22", "y", "-22", "width", "44", "height", "44")
	}
	p.shape(m.Verdict)
	if m.Says != "" {
		if d == Downwards {
			p.element("text", m.Says, "class", "reading side", "x", "22", "y", "5")
		} else {
			p.element("text", m.Says, "class", "reading mid", "x", "0", "y", "-22")
		}
	}
	p.close("g")
	if m.Link != "" {
		p.close("a")
	}
}

func (p *pen) shape(v Verdict) {
	l := looks[v]
	p.empty("path", "class", "plate", "d", l.shape)
	if l.plate != "" {
		p.empty("path", "class", "fill", "d", l.shape, "fill", "url(#"+p.id+l.class+")")
		p.empty("path", "class", "plate inner", "d", l.plate)
	}
	if l.letter != "" {
		y := "5"
		if v == TooClose {
			y = "8"
		}
		p.element("text", l.letter, "class", "letter", "x", "0", "y", y)
	}
}

// The legend: entries of one width, as many in a row as fit.
const (
	legendWide = 172.0
	legendRow  = 40.0
)

func legendHigh(width float64) float64 {
	perRow := max(1, int(width/legendWide))
	rows := math.Ceil(float64(len(verdicts)) / float64(perRow))
	return rows*legendRow + 12
}

func (p *pen) legend(top, width float64) {
	perRow := max(1, int(width/legendWide))
	p.open("g", "class", "legend", "aria-hidden", "true")
	for i, v := range verdicts {
		x, y := 24+legendWide*float64(i%perRow), top+20+legendRow*float64(i/perRow)
		p.open("g", "class", "mark "+looks[v].class, "transform", "translate("+num(x)+" "+num(y)+")")
		p.shape(v)
		p.close("g")
		p.element("text", string(v), "class", "side", "x", num(x+26), "y", num(y+5))
	}
	p.close("g")
}
