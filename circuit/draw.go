package circuit

import (
	"bytes"
	"encoding/xml"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Verdict is what a reading at a measuring point said.
type Verdict string

// The verdicts.
const (
	Conforming    Verdict = "conforming"
	NonConforming Verdict = "non-conforming"
	TooClose      Verdict = "too close to call"
	NotComparable Verdict = "not comparable"
	NotMeasured   Verdict = "not measured"
)

// Mark is a measuring point with what was read there.
type Mark struct {
	At      Point
	Verdict Verdict // anything unknown is drawn as not measured
	Says    string  // the reading: "2.71 V"
	Link    string  // where a tap leads; empty for nowhere
}

// Drawing is a circuit to be drawn.
type Drawing struct {
	Graph     *Graph
	Direction Direction
	Width     float64 // room for a drawing downwards, 0 for as much as it takes
	ID        string  // begins every id in the drawing, so that a page can hold several; letters and digits
	Title     string
	Marks     []Mark // the last one counts where several stand at one point
	Suspect   []Spot // drawn with a broad broken line behind them
	Bare      bool   // leave out the points where nothing was read
	Legend    bool   // explain the marks below the drawing
}

// marks returns one mark per point, in the order of the points: those given,
// and unless Bare those that a probe can reach.
func (d *Drawing) marks() []Mark {
	var out []Mark
	for i := range d.Graph.Nodes {
		for _, s := range d.Graph.Sides(i) {
			p := Point{i, s}
			at := -1
			for k, m := range d.Marks {
				if m.At == p {
					at = k
				}
			}
			switch {
			case at >= 0:
				m := d.Marks[at]
				if !slices.Contains(verdicts, m.Verdict) {
					m.Verdict = NotMeasured
				}
				out = append(out, m)
			case !d.Bare && d.Graph.Reachable(p):
				out = append(out, Mark{At: p, Verdict: NotMeasured})
			}
		}
	}
	return out
}

// SVG returns the drawing as an element to be put into a page: classes only,
// no style of its own (Style has that), a title and its text alternative
// inside.
func (d *Drawing) SVG() string {
	l := d.Graph.Layout(d.Direction, d.Width)
	height := l.Height
	if d.Legend {
		height += legendHigh(l.Width)
	}
	p := &pen{id: cleanID(d.ID)}
	class := "wiring"
	if d.Width > 0 && l.Width > d.Width {
		class += " wide" // to be scrolled, not shrunk until nobody can read it
	}
	role := "img"
	if slices.ContainsFunc(d.Marks, func(m Mark) bool { return m.Link != "" }) {
		role = "group" // what is inside an image cannot be reached
	}
	p.open("svg", "xmlns", "http://www.w3.org/2000/svg", "class", class, "role", role,
		"viewBox", "0 0 "+num(l.Width)+" "+num(height), "width", num(l.Width), "height", num(height),
		"aria-labelledby", p.id+"title "+p.id+"desc")
	p.element("title", d.title(), "id", p.id+"title")
	p.element("desc", strings.Join(d.Text(), ". ")+".", "id", p.id+"desc")
	p.patterns()
	d.suspects(p, &l)
	for _, line := range l.Lines {
		p.wire(line, l.Direction)
	}
	for _, n := range l.Nodes {
		d.node(p, &l, n)
	}
	for _, t := range l.Titles {
		p.element("text", t.Says, "class", "side band", "x", num(t.At.X), "y", num(t.At.Y))
	}
	for _, m := range d.marks() {
		for _, at := range l.Points[m.At] {
			p.mark(m, at, l.Direction, d.Graph.Say(m.At))
		}
	}
	if d.Legend {
		p.legend(l.Height, l.Width)
	}
	p.close("svg")
	return p.b.String()
}

func (d *Drawing) title() string {
	if d.Title != "" {
		return d.Title
	}
	return "circuit"
}

// suspects draws the broad line behind what is under suspicion.
func (d *Drawing) suspects(p *pen, l *Layout) {
	for _, n := range l.Nodes {
		if slices.Contains(d.Suspect, AtNode(n.Node)) {
			p.empty("path", "class", "doubt", "d", run([]XY{l.endOf(n.At, SupplySide), l.endOf(n.At, LoadSide)}))
		}
	}
	for _, line := range l.Lines {
		if slices.Contains(d.Suspect, OnWire(line.Wire)) {
			p.empty("path", "class", "doubt", "d", run(line.Runs))
		}
	}
}

// node draws a symbol with its words.
func (d *Drawing) node(p *pen, l *Layout, n Placed) {
	turn := ""
	if l.Direction == Downwards {
		turn = " rotate(90)"
	}
	p.open("g", "class", "sym", "transform", "translate("+num(n.At.X)+" "+num(n.At.Y)+")"+turn)
	p.symbol(d.Graph, n.Node)
	p.close("g")
	x, y, anchor := n.At.X, n.At.Y+wordsBelow, "mid"
	if l.Direction == Downwards {
		x, y, anchor = n.At.X+wordsBeside, n.At.Y-lineHeight*(float64(len(n.Says))/2-0.75), "side"
	}
	for i, line := range n.Says {
		class := anchor
		if i < n.Bold {
			class += " name"
		}
		p.element("text", line, "class", class, "x", num(x), "y", num(y+lineHeight*float64(i)))
	}
}

// pen writes SVG.
type pen struct {
	b  bytes.Buffer
	id string
}

func (p *pen) begin(tag string, pairs []string) {
	p.b.WriteString("<" + tag)
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			p.b.WriteString(" " + pairs[i] + `="`)
			p.text(pairs[i+1])
			p.b.WriteString(`"`)
		}
	}
}

func (p *pen) open(tag string, pairs ...string)  { p.begin(tag, pairs); p.b.WriteString(">") }
func (p *pen) empty(tag string, pairs ...string) { p.begin(tag, pairs); p.b.WriteString("/>") }
func (p *pen) close(tag string)                  { p.b.WriteString("</" + tag + ">\n") }

func (p *pen) element(tag, text string, pairs ...string) {
	p.open(tag, pairs...)
	p.text(text)
	p.close(tag)
}

// text writes text with everything escaped that XML gives a meaning.
func (p *pen) text(s string) { _ = xml.EscapeText(&p.b, []byte(s)) } // a Buffer does not fail

// wire draws a line, a dot where it steps off another, and its words.
func (p *pen) wire(l Line, d Direction) {
	p.empty("path", "class", "wire", "d", run(l.Runs))
	if l.Says == "" || len(l.Runs) != 2 {
		return
	}
	a, b := l.Runs[0], l.Runs[1]
	if d == Downwards {
		p.element("text", l.Says, "class", "small side", "x", num(a.X+wordsBeside), "y", num((a.Y+b.Y)/2+4))
		return
	}
	p.element("text", l.Says, "class", "small mid", "x", num((a.X+b.X)/2), "y", num(a.Y+31))
}

func run(points []XY) string {
	var b strings.Builder
	for i, q := range points {
		b.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + num(q.X) + " " + num(q.Y))
	}
	return b.String()
}

// num prints a number with at most one decimal.
func num(x float64) string {
	x = math.Round(x*10) / 10
	if math.IsNaN(x) || math.IsInf(x, 0) || x == 0 {
		return "0"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// cleanID keeps letters and digits, and begins with a letter.
func cleanID(s string) string {
	out := []byte("w")
	for i := range len(s) {
		c := s[i]
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' {
			out = append(out, c)
		}
	}
	return string(append(out, '-'))
}
