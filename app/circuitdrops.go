package app

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"elbowroom/circuit"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
	"elbowroom/span"
)

// Located is where along a path the readings put extra resistance.
type Located struct {
	circuit.Located
	Used    []string // the readings as understood, each with its uncertainty
	Lines   []LocatedLine
	Assumes []string
}

// LocatedLine is one stretch between neighbouring points that were measured.
type LocatedLine struct {
	From, To string
	Drop     string
	Ohm      string // as measured, with its uncertainty
	Expected string
	Finding  circuit.Finding
	Worst    bool
}

// What is taken for granted of readings and of the guide's resistances, where
// nobody says better. Half widths of rectangular distributions.
const (
	plainPercent  = 1.0  // of a reading, with an instrument that nobody described
	plainVolts    = 0.01 // beside it
	plainAmperes  = 0.1
	knownPercent  = 5.0 // of a resistance that the guide gives
	twoStandard   = 2   // standard uncertainties in a stated ±
	mostLocated   = 60  // readings of one path
	locatedDigits = 3
)

// typedForm says how a reading along a path is typed.
const typedForm = "write a point and its voltage, EL05 supply side 13.6 V; or two points and the drop, EL02 to EL05 supply side 2.71 V; or the current, 7.2 A"

// drop is one typed reading.
type drop struct {
	text        string
	at, against circuit.Point
	value       quantity.Value
	within      quantity.Value // stated ±
	step        float64        // of its last digit, in SI units
	current     bool
	through     circuit.Point // of a current, where it was said
	placed      bool
}

// locate finds where the resistance sits, when readings were typed.
func (w *wirer) locate() error {
	var list []drop
	for _, text := range w.typed() {
		d, err := w.drop(text)
		if err != nil {
			return fmt.Errorf("%w: measured %d: %q: %w", ErrInput, len(list)+1, text, err)
		}
		list = append(list, d)
	}
	switch {
	case len(list) == 0:
		return nil
	case len(list) > mostLocated:
		return fmt.Errorf("%w: measured: more than %d readings", ErrInput, mostLocated)
	}
	path, err := w.pathOf(list)
	if err != nil {
		return err
	}
	out := &Located{}
	d := circuit.Drops{Path: path, Copper: w.state.Copper}
	for _, x := range list {
		w.use(&d, out, x)
	}
	if len(d.Amps) == 0 {
		w.standards(&d, out)
	}
	if out.Located, err = w.g.Locate(d); err != nil {
		return fmt.Errorf("%w: measured: %w", ErrInput, err)
	}
	for i, s := range out.Stretches {
		out.Lines = append(out.Lines, w.stretch(s, i == out.Worst))
	}
	w.out.Located = out
	return nil
}

// typed parts what was typed at semicolons, line ends and commas that are
// followed by a space, so that 13,6 V stays one value.
func (w *wirer) typed() []string {
	var out []string
	for _, text := range w.out.Asked.Measured {
		for _, part := range betweenReadings.Split(text, -1) {
			if part = strings.TrimSpace(part); part != "" {
				out = append(out, part)
			}
		}
	}
	return out
}

var (
	betweenReadings = regexp.MustCompile(`;|\n|,(?:\s|$)`)
	decimalComma    = regexp.MustCompile(`([0-9]),([0-9])`)
	lastValue       = regexp.MustCompile(`^(.*?)(-?[0-9][0-9.]*\s*[^\s0-9±]+)\s*(?:(?:±|\+-|\+/-)\s*([0-9][0-9.]*\s*[^\s0-9]+))?(?:\s+(?:at|in|through)\s+(.+))?$`)
)

// drop reads one typed reading.
func (w *wirer) drop(text string) (drop, error) {
	d := drop{text: text, against: circuit.Reference}
	m := lastValue.FindStringSubmatch(decimalComma.ReplaceAllString(text, "$1.$2"))
	if m == nil {
		return d, fmt.Errorf("no value with its unit at the end; %s", typedForm)
	}
	var err error
	if d.value, err = quantity.Parse(m[2]); err != nil {
		return d, fmt.Errorf("%s is not a value with its unit (%w); %s", m[2], err, typedForm)
	}
	d.step = stepOf(m[2]) * quantity.Of(1, d.value.Unit).SI()
	if m[3] != "" {
		if d.within, err = quantity.Parse(m[3]); err != nil || d.within.Dimension() != d.value.Dimension() || d.within.SI() <= 0 {
			return d, fmt.Errorf("± %s is no uncertainty of %s; write it in the same unit, such as 2.71 V ± 0.02 V", m[3], d.value)
		}
	}
	where := strings.TrimSpace(m[1] + " " + m[4])
	switch d.value.Dimension() {
	case quantity.Current:
		d.current = true
		if where == "" {
			return d, nil
		}
		d.placed = true
		d.through, err = w.find(where)
		return d, err
	case quantity.Voltage:
		return d, w.between(&d, where)
	}
	return d, fmt.Errorf("%s is neither a voltage nor a current; %s", d.value, typedForm)
}

// stepOf returns one of the last digit of a number: 0.01 of "2.71 V".
func stepOf(text string) float64 {
	number := strings.TrimRightFunc(text, func(r rune) bool { return r != '.' && (r < '0' || r > '9') })
	_, decimals, _ := strings.Cut(number, ".")
	return math.Pow(10, -float64(len(decimals)))
}

// between reads the one or two points of a voltage.
func (w *wirer) between(d *drop, where string) (err error) {
	if where == "" {
		return fmt.Errorf("it does not say where; %s", typedForm)
	}
	first, second, two := strings.Cut(where, " to ")
	if d.at, err = w.find(first); err != nil || !two {
		return err
	}
	d.against, err = w.find(second)
	if err == nil && d.at == d.against {
		return fmt.Errorf("both ends are %s; %s", w.g.Say(d.at), typedForm)
	}
	return err
}

// sideNames are the sides as they are typed.
var sideNames = []struct {
	words string
	side  circuit.Side
}{{"supply side", circuit.SupplySide}, {"load side", circuit.LoadSide}, {"signal side", circuit.SignalSide}}

// negative are the names of the reference.
var negative = []string{"battery negative", "battery -", "negative", "-", "ground", "earth"}

// find reads a point: the ID of an item or node or what the drawing calls it,
// and the side where it has two.
func (w *wirer) find(text string) (circuit.Point, error) {
	name := plainName(text)
	if slices.Contains(negative, name) {
		return circuit.Reference, nil
	}
	side, said := circuit.SupplySide, false
	for _, s := range sideNames {
		if rest, ok := strings.CutSuffix(name, s.words); ok {
			name, side, said = strings.TrimSpace(rest), s.side, true
		}
	}
	nodes := w.nodesNamed(name)
	switch {
	case len(nodes) == 0:
		return circuit.Point{}, fmt.Errorf("nothing of this wiring is called %q; %s", text, w.nearestName(name))
	case len(nodes) > 1:
		var names []string
		for _, n := range nodes {
			names = append(names, w.g.Label(n))
		}
		return circuit.Point{}, fmt.Errorf("%q could be %s; write it out", text, join(names))
	}
	return w.sideOf(nodes[0], side, said)
}

// sideOf settles the side of a node. Where nobody says it, it must not matter.
func (w *wirer) sideOf(node int, side circuit.Side, said bool) (circuit.Point, error) {
	sides := w.g.Sides(node)
	label := w.g.Label(node)
	switch n := &w.g.Nodes[node]; {
	case said && slices.Contains(sides, side):
		return circuit.Point{Node: node, Side: side}, nil
	case said:
		return circuit.Point{}, fmt.Errorf("no wire of this drawing ends at the %s of %s", side, label)
	case len(sides) == 1:
		return circuit.Point{Node: node, Side: sides[0]}, nil
	case n.Feeds:
		return circuit.Point{Node: node, Side: circuit.LoadSide}, nil
	case n.Sort == guide.GroundNode || n.Sort == guide.SpliceNode:
		return circuit.Point{Node: node, Side: sides[0]}, nil
	}
	var all []string
	for _, s := range sides {
		all = append(all, label+" "+s.String())
	}
	return circuit.Point{}, fmt.Errorf("%s has %d sides; write %s", label, len(sides), strings.Join(all, " or "))
}

// nodesNamed finds the nodes of a name, the exact ones first and alone.
func (w *wirer) nodesNamed(name string) []int {
	for _, names := range []func(*circuit.Node) []string{
		func(n *circuit.Node) []string {
			out := []string{string(n.On), string(n.On) + " " + n.Pin}
			for _, x := range n.Names {
				out = append(out, string(x.Node), x.String())
			}
			return out
		},
		func(n *circuit.Node) []string { return []string{n.Item, n.Pin} },
	} {
		var out []int
		for i := range w.g.Nodes {
			n := &w.g.Nodes[i]
			if slices.ContainsFunc(append(names(n), w.g.Label(i)), func(s string) bool { return s != "" && plainName(s) == name }) {
				out = append(out, i)
			}
		}
		if len(out) > 0 {
			return out
		}
	}
	return nil
}

func plainName(s string) string {
	return strings.Join(strings.Fields(strings.ToLower(strings.NewReplacer(",", " ", "load-side", "load side", "supply-side", "supply side", "−", "-").Replace(s))), " ")
}

func (w *wirer) nearestName(name string) string {
	var known []string
	for i := range w.g.Nodes {
		known = append(known, w.g.Label(i))
	}
	if near := span.Nearest(name, known); len(near) > 0 {
		return "near: " + join(near)
	}
	return "it has " + join(known)
}

// pathOf finds one path on which all the points lie.
func (w *wirer) pathOf(list []drop) (circuit.Path, error) {
	var missing []string
	for i := range w.g.Nodes {
		path, err := w.g.Main(i)
		if err != nil {
			continue
		}
		off := w.off(path, list)
		if len(off) == 0 {
			return path, nil
		}
		if missing == nil || len(off) < len(missing) {
			missing = off
		}
	}
	if missing == nil {
		return circuit.Path{}, fmt.Errorf("%w: measured: no path leads from a supply through this wiring to a ground", ErrInput)
	}
	return circuit.Path{}, fmt.Errorf("%w: measured: these points do not lie on one path from supply to ground: %s lies beside it; ask for one line at a time", ErrInput, join(missing))
}

// off lists the points that do not lie on a path.
func (w *wirer) off(path circuit.Path, list []drop) []string {
	var out []string
	for _, d := range list {
		ends := []circuit.Point{d.at, d.against}
		if d.current {
			ends = nil
			if d.placed {
				ends = []circuit.Point{d.through}
			}
		}
		for _, p := range ends {
			name := w.g.Say(p)
			if p != circuit.Reference && !slices.Contains(path.Points, p) && !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}

// use adds one reading with its standard uncertainty.
func (w *wirer) use(d *circuit.Drops, out *Located, x drop) {
	u, how := w.uncertainty(x)
	unit := x.value.Unit
	out.Used = append(out.Used, fmt.Sprintf("%s (u %.2g %s, %s)", x.text, scaled(u, unit), unit, how))
	switch {
	case x.current:
		through := d.Path.Spots[0]
		if i := slices.Index(d.Path.Points, x.through); x.placed && i >= 0 && i < len(d.Path.Spots) {
			through = d.Path.Spots[i]
		}
		d.Amps = append(d.Amps, circuit.Carried{Name: x.text, Through: through, Amperes: circuit.Amperes(x.value.SI()), U: circuit.Amperes(u)})
	default:
		d.Volts = append(d.Volts, circuit.Measured{Name: x.text, At: x.at, Against: x.against, Volts: circuit.Volts(x.value.SI()), U: circuit.Volts(u)})
	}
}

// scaled turns a number in SI units into a unit.
func scaled(si float64, unit string) float64 { return si / quantity.Of(1, unit).SI() }

// uncertainty returns the standard uncertainty of a reading in SI units and
// where it comes from: as stated, else from the best instrument here that reads
// it or a plain assumption, and the digit to which it was written.
func (w *wirer) uncertainty(x drop) (u float64, how string) {
	if !x.within.Zero() {
		return x.within.SI() / twoStandard, "as stated"
	}
	u, how = w.instrument(x)
	return math.Hypot(u, x.step/math.Sqrt(12)), how + ", written to " + circuitValue(scaled(x.step, x.value.Unit), x.value.Unit)
}

// instrument returns the standard uncertainty of the best instrument here.
func (w *wirer) instrument(x drop) (u float64, how string) {
	best := math.Inf(1)
	for _, in := range w.app.judging(w.in.machine).Instruments {
		for _, r := range in.Ranges {
			if half, ok := halfWidth(r, x.value); ok && half/math.Sqrt(3) < best {
				best, how = half/math.Sqrt(3), "with the "+in.Name
			}
		}
	}
	if how != "" {
		return best, how
	}
	half := plainVolts
	if x.current {
		half = plainAmperes
	}
	return (math.Abs(x.value.SI())*plainPercent/100 + half) / math.Sqrt(3), fmt.Sprintf("taken as ± %g %% and ± %g, since no instrument is described", plainPercent, half)
}

// halfWidth returns the half width in SI units within which an instrument reads
// a value, false where the range does not hold it.
func halfWidth(r reading.Range, v quantity.Value) (float64, bool) {
	if r.Highest.Dimension() != v.Dimension() || v.SI() > r.Highest.SI() || v.SI() < r.Lowest.SI() {
		return 0, false
	}
	if !r.Standard.Zero() {
		return r.Standard.SI() * math.Sqrt(3), true
	}
	half := math.Abs(v.SI())*r.Percent/100 + r.Highest.SI()*r.Full/100
	if !r.Fixed.Zero() {
		half += r.Fixed.SI()
	}
	if !r.Step.Zero() {
		half += max(r.Digits, 0.5) * r.Step.SI()
	}
	return half, half > 0
}

// standards takes the current from parts whose resistance the guide gives and
// across which a voltage was read.
func (w *wirer) standards(d *circuit.Drops, out *Located) {
	for i, s := range d.Path.Spots {
		if s.Node < 0 || !w.g.Nodes[s.Node].Known || w.g.Nodes[s.Node].Ohm <= 0 {
			continue
		}
		from, to := d.Path.Points[i], d.Path.Points[i+1]
		if !across(d.Volts, from, to) {
			continue
		}
		ohm := w.g.Nodes[s.Node].Ohm
		u := float64(ohm) * knownPercent / 100 / math.Sqrt(3)
		name := w.g.Label(s.Node)
		d.Standards = append(d.Standards, circuit.Standard{Name: name, From: from, To: to, Ohm: ohm, U: circuit.Ohms(u)})
		out.Assumes = append(out.Assumes, fmt.Sprintf("the current follows from the drop across the %s, taken as %s ± %g %%; a clamp would say it better", name, ohm, knownPercent))
	}
}

// across reports whether the voltages between two points are known, each by
// itself or together.
func across(list []circuit.Measured, from, to circuit.Point) bool {
	has := func(p circuit.Point) bool {
		return slices.ContainsFunc(list, func(m circuit.Measured) bool { return m.At == p || m.Against == p })
	}
	return has(from) && has(to)
}

func (w *wirer) stretch(s circuit.Stretch, worst bool) LocatedLine {
	l := LocatedLine{
		From: w.g.Say(s.From), To: w.g.Say(s.To), Drop: VoltsText(s.Drop), Expected: s.Expected.String(), Finding: s.Finding, Worst: worst,
		Ohm: "not known",
	}
	if math.IsNaN(float64(s.Drop)) {
		l.Drop = "not known"
	}
	if !math.IsNaN(float64(s.Ohm)) {
		l.Ohm = fmt.Sprintf("%s ± %s", circuit.Ohms(float(float64(s.Ohm), locatedDigits)), circuit.Ohms(float(twoStandard*float64(s.U), 2)))
	}
	return l
}

// Point returns the point of a key; false when this wiring has none of that name.
func (w *Wiring) Point(key string) (*WirePoint, bool) {
	i := slices.IndexFunc(w.Points, func(p WirePoint) bool { return p.Key == key })
	if i < 0 {
		return nil, false
	}
	return &w.Points[i], true
}
