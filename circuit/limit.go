package circuit

import (
	"fmt"
	"math"
	"slices"

	"elbowroom/quantity"
	"elbowroom/reading/law"
)

// Derived is a limit for another measuring point than the one it was given for.
type Derived struct {
	Low, High quantity.Value // a side that was not given stays not given
	Steps     []string       // how it was worked out
	Assumes   []string       // what was taken for granted
	Unsure    []Unsure       // what is not known exactly of what was added or taken off
	Quiet     string         // why there is none; empty when there is one
}

// Unsure is one thing about a carried limit that is known only within limits,
// with half their width in SI units (GUM 4.3.7: rectangular).
type Unsure struct {
	Name string
	Half float64
}

const (
	// cableSpread is how far the capacitance of a cable may lie from what the
	// guide says, as a share of it. A judgement: guides give no tolerance.
	cableSpread = 0.10
	// wiresWithin is within how many kelvin the temperature of the wires is
	// taken to be known. A judgement.
	wiresWithin = 20
)

// Bounds is a limit as given: either side may be missing.
type Bounds struct{ Low, High quantity.Value }

func (b Bounds) both(f func(quantity.Value) quantity.Value) Bounds {
	return Bounds{f(b.Low), f(b.High)}
}

func (b Bounds) dimension() quantity.Dimension {
	if b.Low.Zero() {
		return b.High.Dimension()
	}
	return b.Low.Dimension()
}

// CapacitanceAt turns the limit of a part's capacitance that holds at one point
// of its line into the limit at another: each point measures the part and the
// cable between.
func (g *Graph) CapacitanceAt(part int, b Bounds, given, wanted Point) Derived {
	if b.dimension() != quantity.Capacitance {
		return Derived{Quiet: "the limit is no capacitance"}
	}
	spots, quiet := g.differing(part, []Point{given}, []Point{wanted})
	if quiet != "" {
		return Derived{Quiet: quiet}
	}
	var d Derived
	more := 0.0
	for _, s := range spots {
		if s.at.Node >= 0 {
			continue
		}
		w := &g.Wires[s.at.Wire]
		if w.Farad.Zero() {
			d.Assumes = append(d.Assumes, "the "+g.SaySpot(s.at)+" has no capacitance worth counting; none is given")
			continue
		}
		more += s.sign * w.Farad.SI()
		d.Steps = append(d.Steps, fmt.Sprintf("%s %s, the cable from %s to %s%s, which is measured along with the part at %s",
			Farads(w.Farad.SI()), s.verb(), g.Label(w.From.Node), g.Label(w.To.Node), cableWords(w), g.Say(wanted)))
		d.unsure(fmt.Sprintf("cable between, taken to be known within %.0f %%", 100*cableSpread), cableSpread*math.Abs(w.Farad.SI()))
	}
	return d.fill(b, more)
}

// signedSpot is a spot that is measured along at the wanted point and not at
// the given one (+1), or the other way round (-1).
type signedSpot struct {
	at   Spot
	sign float64
}

func (s signedSpot) verb() string {
	if s.sign < 0 {
		return "less"
	}
	return "more"
}

// differing lists what lies between the points where a limit was given and those
// where it is wanted, seen from the part; what both have on their way drops
// out. quiet says why there is no answer.
func (g *Graph) differing(part int, given, wanted []Point) (out []signedSpot, quiet string) {
	for _, list := range []struct {
		at   []Point
		sign float64
	}{{given, -1}, {wanted, 1}} {
		for _, p := range list.at {
			path, ok := g.lineTo(part, p)
			if !ok {
				return nil, fmt.Sprintf("no line leads from %s to %s", g.Label(part), g.Say(p))
			}
			for _, s := range path.Spots {
				out = append(out, signedSpot{s, list.sign})
			}
		}
	}
	all := slices.Clone(out)
	return slices.DeleteFunc(out, func(s signedSpot) bool { return slices.Contains(all, signedSpot{s.at, -s.sign}) }), ""
}

func cableWords(w *Wire) string {
	if w.Length.Zero() || w.Length.SI() == 0 {
		return ""
	}
	return fmt.Sprintf(" (%s at %s/m)", w.Length, Farads(w.Farad.SI()/w.Length.SI()))
}

// lineTo returns the path from the nearer side of a part to a point of its
// line, over nothing but wires and contacts.
func (g *Graph) lineTo(part int, p Point) (Path, bool) {
	if part < 0 || part >= len(g.Nodes) || !g.isPoint(p) || p == Reference {
		return Path{}, false
	}
	var best Path
	found := false
	for _, side := range []Side{SupplySide, LoadSide, SignalSide} {
		path, ok := g.walk(Point{part, side}, g.isLine).back(p)
		if ok && (!found || len(path.Spots) < len(best.Spots)) {
			best, found = path, true
		}
	}
	return best, found
}

// fill moves both bounds by so much, in SI units.
func (d Derived) fill(b Bounds, more float64) Derived {
	moved := b.both(func(v quantity.Value) quantity.Value {
		if v.Zero() {
			return v
		}
		to, err := (quantity.Value{Number: 1, Unit: v.Unit}).In(v.Unit)
		if err != nil {
			return v
		}
		return quantity.Of(tidy((v.SI()+more)/to.SI()), v.Unit)
	})
	d.Low, d.High = moved.Low, moved.High
	if more == 0 {
		d.Steps = append(d.Steps, "nothing that counts lies between the two points; the limit is the same")
	}
	return d
}

// tidyDigits is to how many figures a derived bound is kept: enough for any
// instrument, few enough to drop what binary fractions leave over.
const tidyDigits = 9

func tidy(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	scale := math.Pow(10, tidyDigits-1-math.Floor(math.Log10(math.Abs(x))))
	if math.IsInf(scale, 0) || scale == 0 {
		return x
	}
	return math.Round(x*scale) / scale
}

// Leads is where the two leads of an ohmmeter are held.
type Leads struct{ Supply, Load Point }

// Own returns the two sides of a part itself.
func Own(part int) Leads { return Leads{Point{part, SupplySide}, Point{part, LoadSide}} }

// ResistanceAt turns the limit of a part's resistance between two points into
// the limit between two others on its lines: the wires and contacts between
// are measured along with it. Copper says how wires are reckoned.
func (g *Graph) ResistanceAt(part int, b Bounds, given, wanted Leads, c Copper) Derived {
	if b.dimension() != quantity.Resistance {
		return Derived{Quiet: "the limit is no resistance"}
	}
	if _, err := c.celsius(); err != nil {
		return Derived{Quiet: err.Error()}
	}
	spots, quiet := g.differing(part, []Point{given.Supply, given.Load}, []Point{wanted.Supply, wanted.Load})
	if quiet != "" {
		return Derived{Quiet: quiet}
	}
	var d Derived
	more := 0.0
	for _, s := range spots {
		more += s.sign * d.crossed(g, s, c)
	}
	d.Assumes = append(d.Assumes, "the far ends are unplugged, so that nothing lies in parallel", "contacts without a stated resistance have none, and the leads of the meter are zeroed")
	return d.fill(b, more)
}

// crossed returns the resistance of a spot of a line and writes it down.
func (d *Derived) crossed(g *Graph, s signedSpot, c Copper) float64 {
	if s.at.Node >= 0 {
		if n := &g.Nodes[s.at.Node]; n.Ohm > 0 {
			d.Steps = append(d.Steps, fmt.Sprintf("%s %s, through %s", n.Ohm, s.verb(), g.Label(s.at.Node)))
			return float64(n.Ohm)
		}
		return 0
	}
	w := &g.Wires[s.at.Wire]
	if w.Length.Zero() || w.Section.Zero() {
		d.Assumes = append(d.Assumes, "the "+g.SaySpot(s.at)+" has no resistance worth counting; no length or section is given")
		return 0
	}
	ohm, how, err := c.Resistance(w.Length, w.Section)
	if err != nil {
		return 0
	}
	d.Steps = append(d.Steps, fmt.Sprintf("%s %s: %s", ohm, s.verb(), how))
	d.unsureWire(c, w, ohm)
	return float64(ohm)
}

// unsureWire notes how far the resistance of a wire may lie from what was
// reckoned: IEC 60228 says the most, ρ·l/A is about the least, and the wire may
// be warmer or colder than was said.
func (d *Derived) unsureWire(c Copper, w *Wire, ohm Ohms) {
	other := c
	other.Basis = Metal
	if c.Basis == Metal {
		other.Basis = ClassFive
	}
	if o, _, err := other.Resistance(w.Length, w.Section); err == nil && o != ohm {
		d.unsure("wires between, from ρ·l/A to what class 5 permits", math.Abs(float64(ohm-o)))
	}
	d.unsure(fmt.Sprintf("temperature of the wires between, within %d K", wiresWithin), float64(ohm)*law.CopperAlpha*wiresWithin)
}

// unsure adds to what is not known of one name. Wires of one harness are alike
// and equally warm, so that their parts add up instead of cancelling.
func (d *Derived) unsure(name string, half float64) {
	for i := range d.Unsure {
		if d.Unsure[i].Name == name {
			d.Unsure[i].Half += half
			return
		}
	}
	d.Unsure = append(d.Unsure, Unsure{name, half})
}

// InsulationAt turns a limit of insulation between a part's line and ground
// that holds at one point into the limit at another. Nothing that lies in
// series changes it, so that it stays what it is; but another stretch of the
// line is tested.
func (g *Graph) InsulationAt(part int, b Bounds, given, wanted Point) Derived {
	if b.dimension() != quantity.Resistance {
		return Derived{Quiet: "the limit is no resistance"}
	}
	if _, quiet := g.differing(part, []Point{given}, []Point{wanted}); quiet != "" {
		return Derived{Quiet: quiet}
	}
	return Derived{
		Low: b.Low, High: b.High,
		Steps:   []string{"an insulation stays the same along a line: what lies in series is nothing beside it"},
		Assumes: []string{"the line is unplugged at " + g.Say(wanted) + " and at every control unit on it"},
	}
}

// VoltageAt turns the limit of a part's resistance into the limit of a voltage
// that is seen elsewhere while the circuit works, by solving it at both ends.
func (g *Graph) VoltageAt(part int, b Bounds, at Probe, s State) Derived {
	if b.dimension() != quantity.Resistance || !b.Low.Zero() && !b.High.Zero() && b.Low.Dimension() != b.High.Dimension() {
		return Derived{Quiet: "the limit is no resistance"}
	}
	d := Derived{Assumes: []string{"supply and every other resistance are exactly as given"}}
	var seen []Volts
	for _, v := range []quantity.Value{b.Low, b.High} {
		if v.Zero() {
			continue
		}
		with := s
		with.Ohms = append([]Said{{AtNode(part), Ohms(v.SI())}}, s.Ohms...)
		sol, err := g.Solve(with)
		switch {
		case err != nil:
			return Derived{Quiet: err.Error()}
		case sol.Quiet != "":
			return Derived{Quiet: sol.Quiet}
		}
		volts := sol.Between(at.At, at.Against)
		if !finite(volts) {
			return Derived{Quiet: g.Say(at.At) + " floats"}
		}
		seen = append(seen, volts)
		d.Steps = append(d.Steps, fmt.Sprintf("%s at %s: %s flow, %s at %s against %s", g.Label(part), v, sol.Amperes(AtNode(part)), volts, g.Say(at.At), g.Say(at.Against)))
	}
	if len(seen) < 2 {
		return Derived{Quiet: "a voltage needs both ends of the limit, since which end it falls to depends on the circuit"}
	}
	d.Low, d.High = quantity.Of(tidy(float64(min(seen[0], seen[1]))), "V"), quantity.Of(tidy(float64(max(seen[0], seen[1]))), "V")
	return d
}
