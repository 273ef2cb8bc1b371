package app

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"elbowroom/circuit"
	"elbowroom/guide"
)

// SplitLine is one test of the order that finds the faulty stretch of a line
// with the least expected minutes. Lines stand in the order in which they are
// asked; Depth counts the tests before.
type SplitLine struct {
	Circuit       guide.ID
	Depth         int
	When          string // what led here; empty for the first test
	Key           string // point
	Name          string
	Item          guide.ID
	Minutes       time.Duration
	Before, After float64 // share of the suspicion on either side of the point, of what is still in question
	Says          string
	Expected      time.Duration // of the whole order, on the first line
	Worst         time.Duration
}

// FaultLine is one place under suspicion with what the points read when it is
// at fault.
type FaultLine struct {
	Place string // "wire from EL06 relay to EL05 fuse"
	Share float64
	Case  string // "interrupted", "0.48 Ω more"
	Reads []FaultRead
	Shown []string // what a control unit then takes a sensor to sense
}

// FaultRead is one point that reads something else than it should.
type FaultRead struct {
	Key, Name     string
	Volts, Should circuit.Volts
}

// Weights of places and what is put in to see what it does.
const (
	anySpot     = 0.01 // of suspicion for a place of the wiring that no fault of the guide names
	moreShare   = 0.25 // of the resistance of the whole line: the extra resistance that is tried
	showsVolts  = 0.01 // a point is said to read otherwise from here on
	mostPlaces  = 8    // under suspicion, worked out
	moreFigures = 2
)

// weigh spreads the suspicion over places: a fault of an item is as likely in
// the item itself as at each wire that ends at it.
func (w *wirer) weigh() error {
	w.spots = map[circuit.Spot]float64{}
	for _, s := range w.out.Belief.Suspects {
		if s.On == "" || s.Repaired || s.Share <= 0 {
			continue
		}
		places := w.placesOf(s.On)
		for _, p := range places {
			w.spots[p] += s.Share / float64(len(places))
		}
	}
	for _, p := range w.everywhere() {
		if w.spots[p] >= leastShare {
			w.out.Suspect = append(w.out.Suspect, p)
		}
		w.spots[p] += anySpot
	}
	return nil
}

// placesOf are the nodes of an item and the wires that end there, but for wires
// inside the item.
func (w *wirer) placesOf(item guide.ID) []circuit.Spot {
	nodes := w.g.On(item)
	var out []circuit.Spot
	for _, n := range nodes {
		if !w.g.Nodes[n].Feeds {
			out = append(out, circuit.AtNode(n))
		}
	}
	for i, wire := range w.g.Wires {
		from, to := slices.Contains(nodes, wire.From.Node), slices.Contains(nodes, wire.To.Node)
		if from != to {
			out = append(out, circuit.OnWire(i))
		}
	}
	return out
}

// everywhere lists every place of the wiring but the insides of supplies.
func (w *wirer) everywhere() []circuit.Spot {
	var out []circuit.Spot
	for i := range w.g.Nodes {
		if !w.g.Nodes[i].Feeds {
			out = append(out, circuit.AtNode(i))
		}
	}
	for i := range w.g.Wires {
		out = append(out, circuit.OnWire(i))
	}
	return out
}

// split works out where to test first on every circuit that is drawn.
func (w *wirer) split() error {
	var done []string
	for _, l := range w.out.Shown {
		path, ok := w.suspectPath(l.ID)
		if !ok || slices.Contains(done, fmt.Sprint(path.Spots)) {
			continue
		}
		done = append(done, fmt.Sprint(path.Spots))
		chain, err := w.g.Chain(path, func(s circuit.Spot) float64 { return w.spots[s] }, w.reach)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrInput, err)
		}
		s := chain.Split()
		if s.First == nil {
			continue
		}
		from := len(w.out.Splits)
		w.cuts(l.ID, chain, s.First, 0, "")
		w.out.Splits[from].Expected, w.out.Splits[from].Worst = s.Expected, s.Worst
	}
	return nil
}

// suspectPath is the path from supply to ground through the most suspected
// node of a circuit.
func (w *wirer) suspectPath(id guide.ID) (circuit.Path, bool) {
	best, weight := -1, -1.0
	for i := range w.g.Nodes {
		n := &w.g.Nodes[i]
		if !slices.ContainsFunc(n.Names, func(x circuit.Name) bool { return x.Circuit == id }) {
			continue
		}
		own := w.spots[circuit.AtNode(i)]
		if n.Sort == guide.LoadNode || n.Sort == guide.SensingNode {
			own += anySpot // what the line is there for, when all else is equal
		}
		if _, err := w.g.Main(i); err == nil && own > weight {
			best, weight = i, own
		}
	}
	if best < 0 {
		return circuit.Path{}, false
	}
	path, err := w.g.Main(best)
	return path, err == nil
}

func (w *wirer) cuts(id guide.ID, c circuit.Chain, cut *circuit.Cut, depth int, when string) {
	if cut == nil {
		return
	}
	at := c.Tests[cut.Test]
	ahead, after := 0.0, 0.0
	for i := cut.First; i <= cut.Last; i++ {
		if i <= cut.Test {
			ahead += c.Segments[i].Weight
		} else {
			after += c.Segments[i].Weight
		}
	}
	l := SplitLine{
		Circuit: id, Depth: depth, When: when, Key: w.key(at.At), Name: w.g.Say(at.At), Item: w.g.Nodes[at.At.Node].On,
		Minutes: at.Minutes, Before: ahead / (ahead + after), After: after / (ahead + after),
	}
	before, behind := "", ""
	l.Says, before, behind = w.telling(at.At, l.Name)
	w.out.Splits = append(w.out.Splits, l)
	w.cuts(id, c, cut.Before, depth+1, before)
	w.cuts(id, c, cut.After, depth+1, behind)
}

// nearGround is the part of the supply's voltage below which a point counts as
// lying on the ground side of what the line is there for.
const nearGround = 0.05

// telling says what a test at a point tells. Resistance before a point lowers
// what it reads and resistance behind raises it; on the ground side only the
// second can be seen, next to the supply only the first. Where nothing stands
// at rest the line has to be parted.
func (w *wirer) telling(p circuit.Point, name string) (says, before, behind string) {
	v := float64(w.shots[len(w.shots)-1].solved.Volts(p))
	switch {
	case math.IsNaN(v):
		return "part the line there and measure both halves", "it lies before " + name, "it lies behind " + name
	case math.Abs(v) < nearGround*w.supply():
		return "too high: it lies behind; else before", "not too high at " + name, "too high at " + name
	}
	return "too low: it lies before; else behind", "too low at " + name, "not too low at " + name
}

// supply is the highest voltage that stands on the wiring.
func (w *wirer) supply() float64 {
	most := 0.0
	for i := range w.g.Nodes {
		v := float64(w.shots[len(w.shots)-1].solved.Volts(circuit.Point{Node: i, Side: circuit.LoadSide}))
		if w.g.Nodes[i].Feeds && v > most {
			most = v
		}
	}
	return most
}

// predict works out what the points read with every suspected place at fault.
func (w *wirer) predict() error {
	healthy := w.shots[len(w.shots)-1].solved
	if healthy.Quiet != "" {
		return nil
	}
	places := slices.Clone(w.out.Suspect)
	slices.SortStableFunc(places, func(a, b circuit.Spot) int { return cmp.Compare(w.spots[b], w.spots[a]) })
	if len(places) > mostPlaces {
		w.note("%d more places are under suspicion and not worked out", len(places)-mostPlaces)
		places = places[:mostPlaces]
	}
	for _, p := range places {
		cases := []circuit.Case{{Name: "interrupted", Inserts: []circuit.Insertion{{Manner: circuit.Break, Spot: p}}}}
		if more := w.more(healthy, p); more > 0 {
			cases = append(cases, circuit.Case{Name: more.String() + " more", Inserts: []circuit.Insertion{{Manner: circuit.Series, Spot: p, Ohm: more}}})
		}
		for _, c := range cases {
			if err := w.fault(healthy, p, c); err != nil {
				return err
			}
		}
	}
	return nil
}

// more is the extra resistance that is tried at a place: a share of what the
// whole line has, 0 where no current flows.
func (w *wirer) more(healthy *circuit.Solution, p circuit.Spot) circuit.Ohms {
	current := math.Abs(float64(healthy.Amperes(p)))
	if math.IsNaN(current) || current == 0 {
		return 0
	}
	return circuit.Ohms(float(moreShare*w.supply()/current, moreFigures))
}

func (w *wirer) fault(healthy *circuit.Solution, p circuit.Spot, c circuit.Case) error {
	state := w.state
	state.Inserts = slices.Concat(state.Inserts, c.Inserts)
	sol, err := w.g.Solve(state)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrInput, err)
	}
	if sol.Quiet != "" {
		w.note("%s %s: %s", w.g.SaySpot(p), c.Name, sol.Quiet)
		return nil
	}
	l := FaultLine{Place: w.g.SaySpot(p), Share: w.spots[p] - anySpot, Case: c.Name}
	for i := range w.out.Points {
		pt := &w.out.Points[i]
		now, should := sol.Volts(pt.At), healthy.Volts(pt.At)
		if same(now, should) {
			continue
		}
		pt.With = append(pt.With, WithFault{Case: l.Place + ": " + c.Name, Reads: VoltsText(now)})
		if pt.Touch {
			l.Reads = append(l.Reads, FaultRead{pt.Key, pt.Name, now, should})
		}
	}
	for i := range w.g.Nodes {
		l.Shown = append(l.Shown, w.shown(healthy, sol, i)...)
	}
	if len(l.Reads)+len(l.Shown) > 0 {
		w.out.Faults = append(w.out.Faults, l)
	}
	return nil
}

func same(a, b circuit.Volts) bool {
	if math.IsNaN(float64(a)) || math.IsNaN(float64(b)) {
		return math.IsNaN(float64(a)) == math.IsNaN(float64(b))
	}
	return math.Abs(float64(a-b)) < showsVolts
}

// Figures of what a control unit shows.
const shownFigures = 3

// shown says what a control unit takes a sensor to sense in a case, where that
// is something else than it should.
func (w *wirer) shown(healthy, sol *circuit.Solution, node int) []string {
	n := &w.g.Nodes[node]
	should, err := w.g.Reads(healthy, node)
	if err != nil {
		return nil
	}
	now, err := w.g.Reads(sol, node)
	if err != nil {
		return []string{fmt.Sprintf("%s shows nothing plausible instead of %s", n.On, circuitValue(should.Number, should.Unit))}
	}
	if math.Abs(now.Number-should.Number) < 0.005*math.Abs(should.Number) {
		return nil
	}
	return []string{fmt.Sprintf("%s is shown as %s instead of %s", n.On,
		circuitValue(now.Number, now.Unit), circuitValue(should.Number, should.Unit))}
}

func circuitValue(x float64, unit string) string {
	return fmt.Sprintf("%g %s", float(x, shownFigures), unit)
}
