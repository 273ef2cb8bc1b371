package app

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
)

// WirePoint is one place of the wiring where a probe is or might be held.
type WirePoint struct {
	Key     string // "fuel-pump.f14/load side", for an address
	At      circuit.Point
	Name    string // "EL05 fuse, load side"
	Item    guide.ID
	Touch   bool // a probe can touch it
	Minutes time.Duration
	Known   bool // Minutes is known
	Expect  []Expected
	Verdict circuit.Verdict
	Read    string       // what was read there last
	By      guide.ID     // with which check
	Checks  []CheckPlace // that measure here
	Instead []Instead    // where the same line can be measured, the quickest first
	Hangs   []Hanging    // what fails along with it, the nearest first
	More    int          // of them, not listed
	Limits  []PointLimit
	With    []WithFault // what it reads when something is wrong
}

// Expected is what a point reads in one scene.
type Expected struct {
	Scene   string
	Volts   circuit.Volts // NaN when it floats or nothing is known
	Amperes circuit.Amperes
	Says    string // "13.79 V, 7.179 A"
}

// CheckPlace is a check that measures at a point.
type CheckPlace struct {
	ID     guide.ID
	Name   string
	Limits []string
}

// Instead is another place on the same line.
type Instead struct {
	Key     string
	Name    string // "EL01 pin knock 1"
	Item    guide.ID
	Between string // what is measured along with it, in words; empty for nothing
	Beside  string // what lies on the line too and is unplugged before resistance is measured
	Crosses int    // how many nodes and wires lie between
	Minutes time.Duration
}

// Hanging is something that fails along with a point.
type Hanging struct {
	Item guide.ID // empty for what the guide does not place
	Name string
	How  circuit.How
}

// WithFault is what a point reads in one case.
type WithFault struct{ Case, Reads string }

// Bounds of what is listed at a point.
const (
	mostInstead = 4
	mostHangs   = 8
)

// points lays out every point of the drawn wiring.
func (w *wirer) points() error {
	w.sites = map[guide.ID][]site{}
	for i := range w.in.r.Guide.Checks {
		c := &w.in.r.Guide.Checks[i]
		w.sites[c.ID] = w.measuredAt(c)
	}
	for i := range w.g.Nodes {
		for _, side := range w.g.Sides(i) {
			p := circuit.Point{Node: i, Side: side}
			if last := len(w.out.Points) - 1; last >= 0 && w.out.Points[last].Name == w.g.Say(p) && w.out.Points[last].Touch {
				continue // both sides of a ground are one stud
			}
			w.out.Points = append(w.out.Points, w.point(p))
		}
	}
	w.marks()
	return w.limits()
}

func (w *wirer) point(p circuit.Point) WirePoint {
	n := &w.g.Nodes[p.Node]
	out := WirePoint{Key: w.key(p), At: p, Name: w.g.Say(p), Item: n.On, Touch: w.g.Reachable(p), Verdict: circuit.NotMeasured}
	if out.Touch {
		out.Minutes, out.Known = w.reach(n.On)
	}
	for _, s := range w.shots {
		out.Expect = append(out.Expect, w.expected(s, p))
	}
	for i := range w.in.r.Guide.Checks {
		c := &w.in.r.Guide.Checks[i]
		if slices.ContainsFunc(w.sites[c.ID], func(s site) bool { return s.at == p }) {
			out.Checks = append(out.Checks, checkPlace(w.in.r, c))
		}
	}
	out.Instead = w.instead(p)
	out.Hangs, out.More = w.hangs(p.Node)
	return out
}

func checkPlace(r *guide.Resolved, c *guide.Check) CheckPlace {
	out := CheckPlace{ID: c.ID, Name: c.Name}
	for _, l := range c.Limits {
		out.Limits = append(out.Limits, limitText(r, l))
	}
	return out
}

// key names a point in an address.
func (w *wirer) key(p circuit.Point) string {
	return w.g.Nodes[p.Node].Names[0].String() + "/" + p.Side.String()
}

func (w *wirer) expected(s scene, p circuit.Point) Expected {
	e := Expected{Scene: s.says, Volts: s.solved.Volts(p), Amperes: s.solved.Amperes(circuit.AtNode(p.Node))}
	switch {
	case math.IsNaN(float64(e.Volts)):
		e.Says = "no voltage at rest: nothing feeds it"
		return e
	case p.Side == circuit.SignalSide, math.IsNaN(float64(e.Amperes)), e.Amperes == 0:
		e.Says = VoltsText(e.Volts)
		return e
	}
	e.Says = fmt.Sprintf("%s, %s", VoltsText(e.Volts), circuit.Amperes(float(float64(e.Amperes), currentFigures)))
	return e
}

// Figures that are printed: no more than a meter shows.
const (
	currentFigures = 3
	millivolt      = 1e-3
)

// VoltsText prints a voltage to the millivolt below a volt, else to the
// hundredth; "no voltage" for what floats.
func VoltsText(v circuit.Volts) string {
	x := float64(v)
	switch {
	case math.IsNaN(x):
		return "no voltage"
	case math.Abs(x) < millivolt/2:
		return "0 V"
	case math.Abs(x) < 1:
		return fmt.Sprintf("%.0f mV", x/millivolt)
	}
	return fmt.Sprintf("%.2f V", x)
}

// float rounds to so many figures.
func float(x float64, figures int) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	scale := math.Pow(10, float64(figures-1)-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}

// instead lists where the line of a point can be measured, itself left out.
func (w *wirer) instead(p circuit.Point) []Instead {
	var out []Instead
	for _, place := range w.g.Where(p, w.reach) {
		if !place.Known || w.g.Nodes[place.At.Node].On == w.g.Nodes[p.Node].On || len(out) == mostInstead {
			continue
		}
		i := Instead{Key: w.key(place.At), Name: w.g.Say(place.At), Item: w.g.Nodes[place.At.Node].On, Crosses: len(place.Between), Minutes: place.Minutes}
		var between, beside []string
		for _, s := range place.Between {
			if s.Node >= 0 {
				between = append(between, w.g.Label(s.Node))
			} else if l := w.g.Wires[s.Wire].Length; !l.Zero() {
				between = append(between, l.String()+" of wire")
			}
		}
		for _, n := range place.Beside {
			beside = append(beside, w.g.Label(n))
		}
		i.Between, i.Beside = join(between), join(beside)
		out = append(out, i)
	}
	return out
}

// hangs says what fails along with a node, anywhere in the guide, and how much
// more than is listed.
func (w *wirer) hangs(node int) (out []Hanging, more int) {
	i, ok := w.whole.Find(w.g.Nodes[node].Names[0])
	if !ok {
		return nil, 0
	}
	for _, h := range w.whole.Hangs(i) {
		if len(out) == mostHangs {
			more++
			continue
		}
		x := Hanging{Item: w.whole.Nodes[h.Part].On, Name: w.whole.Label(h.Part), How: h.How}
		if w.in.r.Item(x.Item) != nil {
			x.Name = itemName(w.in.r, x.Item)
		}
		out = append(out, x)
	}
	return out, more
}

// site is where a check measures one of its items.
type site struct {
	item guide.ID
	at   circuit.Point
}

// measuredAt finds the points of the drawn wiring at which a check measures,
// one or more for each of its items; none when it measures elsewhere or the
// guide does not tell. Of several pins of the measuring point the one counts
// that the words of the check name, else the one nearest to the item on its
// line.
func (w *wirer) measuredAt(c *guide.Check) []site {
	if !electrical(c) {
		return nil
	}
	var out []site
	for _, item := range c.On {
		place := c.Point
		if place == "" && len(c.Ways) == 0 && !c.Closed {
			place = item
		}
		if len(w.g.On(place)) == 0 || len(w.g.On(item)) == 0 {
			continue
		}
		at, ok := w.nearest(c, place, item)
		if !ok {
			continue
		}
		for _, side := range w.sidesOf(c, at) {
			out = append(out, site{item, circuit.Point{Node: at.Node, Side: side}})
		}
	}
	return out
}

// nearest picks the point of a place that a check of an item means.
func (w *wirer) nearest(c *guide.Check, place, item guide.ID) (circuit.Point, bool) {
	nodes := w.g.On(place)
	for _, n := range nodes {
		if pin := w.g.Nodes[n].Pin; pin != "" && (hasWords(c.Name, pin) || hasWords(c.At, pin)) {
			return w.touched(n), true
		}
	}
	if place == item {
		// A control unit has many pins, and none of them is named.
		if sort := w.g.Nodes[nodes[0]].Sort; len(nodes) > 1 && (sort == guide.PinNode || sort == guide.SupplyNode) {
			return circuit.Point{}, false
		}
		return w.touched(nodes[0]), true
	}
	best, steps := circuit.Reference, math.MaxInt
	for _, target := range w.g.On(item) {
		for _, side := range w.g.Sides(target) {
			for _, at := range w.g.Where(circuit.Point{Node: target, Side: side}, w.reach) {
				n := &w.g.Nodes[at.At.Node]
				if n.On == place && n.Sort != guide.LoadNode && n.Sort != guide.SensingNode && len(at.Between) < steps {
					best, steps = at.At, len(at.Between)
				}
			}
		}
	}
	return best, best != circuit.Reference
}

// touched is the first side of a node that a probe can touch, else its first.
func (w *wirer) touched(node int) circuit.Point {
	sides := w.g.Sides(node)
	for _, s := range sides {
		if p := (circuit.Point{Node: node, Side: s}); w.g.Reachable(p) {
			return p
		}
	}
	if len(sides) == 0 {
		return circuit.Point{Node: node}
	}
	return circuit.Point{Node: node, Side: sides[0]}
}

// sideWords are how the words of a measuring point name a side.
var sideWords = []struct {
	words string
	side  circuit.Side
}{
	{"load side", circuit.LoadSide},
	{"sensor half", circuit.LoadSide},
	{"supply side", circuit.SupplySide},
	{"harness half", circuit.SupplySide},
}

// sidesOf returns the sides of a node that a check means: those that its words
// name, else that of the point itself.
func (w *wirer) sidesOf(c *guide.Check, at circuit.Point) []circuit.Side {
	sides := w.g.Sides(at.Node)
	if hasWords(c.At, "both test points") {
		return sides
	}
	for _, s := range sideWords {
		if hasWords(c.At, s.words) && slices.Contains(sides, s.side) {
			return []circuit.Side{s.side}
		}
	}
	return []circuit.Side{at.Side}
}

// marks puts the verdicts of the job on the points where they were read, and
// lists those about this wiring that were read elsewhere.
func (w *wirer) marks() {
	for _, e := range w.in.log {
		if e.Verdict == nil {
			continue
		}
		marked := false
		sites, by := w.sites[e.Check.ID], e.Check.ID
		if e.Elsewhere != nil && e.Elsewhere.Carried {
			sites, by = w.measuredAt(e.Check), e.Elsewhere.Asked.ID
		}
		for _, s := range sites {
			verdict, text, ok := partOf(e, s.item)
			if !ok {
				continue
			}
			marked = true
			for i := range w.out.Points {
				if p := &w.out.Points[i]; p.At == s.at {
					p.Verdict, p.Read, p.By = verdict, text, by
				}
			}
		}
		if !marked && slices.ContainsFunc(e.Check.On, func(id guide.ID) bool { return len(w.g.On(id)) > 0 }) {
			w.out.Elsewhere = append(w.out.Elsewhere, e)
		}
	}
}

// partOf returns what a reading says of one item of its check.
func partOf(e Entry, item guide.ID) (v circuit.Verdict, text string, ok bool) {
	var all []string
	for _, p := range e.Verdict.Parts {
		value := bound(p.Bound) + p.Value.String()
		if p.Value.Zero() {
			value = p.Says
		}
		if p.Item == item || p.Item == "" {
			all = append(all, value)
			v = circuit.Verdict(p.Outcome)
		}
	}
	switch {
	case len(all) == 0 && len(e.Check.On) > 1 && len(e.Verdict.Parts) > 0:
		return v, "", false // other items of the check were read
	case len(all) == 0 || e.Verdict.Outcome == reading.NotComparable:
		v = circuit.Verdict(e.Verdict.Outcome)
	case len(all) > 1:
		v = circuit.Verdict(e.Verdict.Outcome)
	}
	if len(all) == 0 {
		for _, p := range e.Reading.Parts {
			all = append(all, p.String())
		}
	}
	return v, join(all), true
}

func bound(b reading.Bound) string {
	switch b {
	case reading.Above:
		return "> "
	case reading.Below:
		return "< "
	}
	return ""
}

// electrical reports whether a check reads something that stands on a wire.
func electrical(c *guide.Check) bool {
	for _, l := range c.Limits {
		for _, v := range []quantity.Value{l.Low, l.High, l.Nominal} {
			switch v.Dimension() {
			case quantity.Voltage, quantity.Current, quantity.Resistance, quantity.Capacitance:
				return true
			}
		}
		if l.Law != "" && hasWords(c.Name, "resistance") || hasWords(l.Words, "V") {
			return true
		}
	}
	return false
}

// hasWords reports whether a text has the words of another one after the
// other, whatever stands between words and however they are written.
func hasWords(text, words string) bool {
	all, want := fieldsOf(text), fieldsOf(words)
	for i := 0; len(want) > 0 && i+len(want) <= len(all); i++ {
		if slices.Equal(all[i:i+len(want)], want) {
			return true
		}
	}
	return false
}

func fieldsOf(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
}
