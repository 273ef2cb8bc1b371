package circuit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
)

// Minutes says how long it takes to get to a measuring point on an item; ok is
// false when nobody knows a way. Circuit never works that out itself.
type Minutes func(item guide.ID) (minutes time.Duration, ok bool)

// Place is somewhere that tells of a wanted point.
type Place struct {
	At      Point
	Minutes time.Duration
	Known   bool   // Minutes is known
	Between []Spot // what lies between and is measured along with it; empty for the point itself
	Beside  []int  // loads and sensors on the same line, which a measurement of resistance sees in parallel
	Says    string // what that means, in one sentence
}

// Where returns the places from which a point can be measured: those on the
// same line, with nothing between but wires and contacts, that a probe can
// reach. Those with known minutes come first, the quickest before the others;
// among equals the one with less in between.
func (g *Graph) Where(p Point, minutes Minutes) []Place {
	if !g.isPoint(p) || p == Reference {
		return nil
	}
	walk := g.walk(p, g.isLine)
	beside := g.partsOn(walk.order, p.Node)
	var out []Place
	for _, q := range walk.order {
		if !g.Reachable(q) {
			continue
		}
		path, _ := walk.back(q)
		slices.Reverse(path.Spots)
		place := Place{At: q, Between: path.Spots, Beside: beside}
		place.Minutes, place.Known = minutes(g.Nodes[q.Node].On)
		place.Says = g.sayPlace(p, &place)
		out = append(out, place)
	}
	slices.SortStableFunc(out, func(a, b Place) int {
		return cmp.Or(compareBool(b.Known, a.Known), cmp.Compare(a.Minutes, b.Minutes), cmp.Compare(len(a.Between), len(b.Between)))
	})
	return out
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// partsOn returns the loads and sensors that stand on any of the points, but
// for one.
func (g *Graph) partsOn(points []Point, but int) []int {
	var out []int
	for _, q := range points {
		if s := g.Nodes[q.Node].Sort; (s == guide.LoadNode || s == guide.SensingNode) && q.Node != but && !slices.Contains(out, q.Node) {
			out = append(out, q.Node)
		}
	}
	slices.Sort(out)
	return out
}

func (g *Graph) sayPlace(p Point, place *Place) string {
	if place.At == p {
		return "at " + g.Say(p) + " itself"
	}
	text := fmt.Sprintf("at %s: the same line as %s", g.Say(place.At), g.Say(p))
	if names := g.between(place.Between); len(names) > 0 {
		text += ", measured with " + list(names) + " in between"
	}
	if len(place.Beside) > 0 {
		var names []string
		for _, n := range place.Beside {
			names = append(names, g.Label(n))
		}
		text += "; " + list(names) + " on the line too, so unplug " + one(len(names), "it", "them") + " before measuring resistance"
	}
	return text
}

func one(n int, single, several string) string {
	if n == 1 {
		return single
	}
	return several
}

// between names the nodes among spots, and a wire only where it has a length.
func (g *Graph) between(spots []Spot) []string {
	var out []string
	for _, s := range spots {
		switch {
		case s.Node >= 0:
			out = append(out, g.Label(s.Node))
		case !g.Wires[s.Wire].Length.Zero():
			out = append(out, g.Wires[s.Wire].Length.String()+" of wire")
		}
	}
	return out
}

// list joins names as people do: "a, b and c".
func list(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// Pair is two places between which a part is measured as a whole.
type Pair struct {
	Supply, Load Place
	// Minutes is the sum over the two items, once when they are the same. The
	// ways to two items may share work, so that it is an upper bound.
	Minutes time.Duration
	Known   bool
}

// Across returns the pairs of places between which a part can be measured, the
// quickest first. A part whose second side leads nowhere has no pair.
func (g *Graph) Across(node int, minutes Minutes) []Pair {
	var out []Pair
	for _, a := range g.Where(Point{node, SupplySide}, minutes) {
		for _, b := range g.Where(Point{node, LoadSide}, minutes) {
			p := Pair{Supply: a, Load: b, Minutes: a.Minutes, Known: a.Known && b.Known}
			if g.Nodes[a.At.Node].On != g.Nodes[b.At.Node].On {
				p.Minutes += b.Minutes
			}
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b Pair) int {
		return cmp.Or(compareBool(b.Known, a.Known), cmp.Compare(a.Minutes, b.Minutes),
			cmp.Compare(len(a.Supply.Between)+len(a.Load.Between), len(b.Supply.Between)+len(b.Load.Between)))
	})
	return out
}
