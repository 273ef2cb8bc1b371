package circuit

import "slices"

// Direction is which way the current runs over a drawing.
type Direction uint8

// The directions.
const (
	Rightwards Direction = iota // supply on the left, for wide screens and paper
	Downwards                   // supply on top, for phones
)

// XY is a place on a drawing in pixels, y downwards.
type XY struct{ X, Y float64 }

// Placed is a node on a drawing.
type Placed struct {
	Node int
	At   XY
	Says []string // lines of words beside it
	Bold int      // how many of them are its name
}

// Line is a wire on a drawing.
type Line struct {
	Wire int
	Runs []XY
	Says string // length, section, colour
}

// Layout is a drawing as data: where everything stands.
type Layout struct {
	Direction Direction
	Width     float64
	Height    float64
	Nodes     []Placed
	Lines     []Line
	Points    map[Point][]XY // where a probe touches
	Titles    []Band

	bends []XY // where long wires pass the ranks between, by number of the bend
}

// Band is the title of one of several circuits.
type Band struct {
	At   XY
	Says string
}

// Distances of a drawing in pixels.
const (
	reachOf     = 26.0  // from the middle of a symbol to its ends
	probeOf     = 48.0  // from the middle of a symbol to its measuring points
	stepRight   = 176.0 // from node to node to the right
	laneRight   = 138.0 // from branch to branch, drawing to the right
	stepDown    = 132.0 // from node to node downwards
	laneDown    = 104.0 // least from branch to branch, drawing downwards
	titleHigh   = 34.0  // for the title of one of several circuits
	edge        = 40.0  // free room around
	wordsBelow  = 46.0  // from the middle of a symbol to the first line of words below it
	wordsBeside = 24.0  // from the middle of a symbol to the words beside it
	lineHeight  = 16.0
	titleSize   = 16.0
	titleLine   = 20.0
	titleWide   = 0.60 // mean width of a bold letter as a share of its height
	textSize    = 13.0
	letterWide  = 0.56 // mean width of a letter as a share of its height
)

// Layout places the nodes of every circuit of the graph: by how far they are
// from the supply along the current, and side by side where the current
// branches. Several circuits stand below each other with their titles; what
// they share is drawn in each. Width is what there is for a drawing downwards;
// 0 for as much as it takes.
func (g *Graph) Layout(d Direction, width float64) Layout {
	all := Layout{Direction: d, Points: map[Point][]XY{}}
	for _, c := range g.Circuits {
		part, nodes, wires := g.only(c.ID)
		if len(g.Circuits) > 1 {
			all.title(c.Name, width)
		}
		all.add(part.single(d, width), nodes, wires)
	}
	return all
}

// title writes the name of a circuit below what is there, in as many lines as
// it takes.
func (l *Layout) title(name string, width float64) {
	letters := 60
	if l.Direction == Downwards && width > 0 {
		letters = max(12, int((width-edge)/(titleSize*titleWide)))
	}
	lines := fold(name, letters)
	for i, line := range lines {
		l.Titles = append(l.Titles, Band{XY{edge / 2, l.Height + titleHigh - 10 + titleLine*float64(i)}, line})
	}
	l.Height += titleHigh + titleLine*float64(max(0, len(lines)-1))
}

// add puts the layout of one circuit below what is there.
func (l *Layout) add(one Layout, nodes, wires []int) {
	down := func(p XY) XY { return XY{p.X, p.Y + l.Height} }
	for i := range one.Nodes {
		n := one.Nodes[i]
		n.Node, n.At = nodes[i], down(n.At)
		l.Nodes = append(l.Nodes, n)
		for _, s := range []Side{SupplySide, LoadSide, SignalSide} {
			for _, at := range one.Points[Point{i, s}] {
				l.Points[Point{n.Node, s}] = append(l.Points[Point{n.Node, s}], down(at))
			}
		}
	}
	for i := range one.Lines {
		w := one.Lines[i]
		for k := range w.Runs {
			w.Runs[k] = down(w.Runs[k])
		}
		w.Wire = wires[i]
		l.Lines = append(l.Lines, w)
	}
	l.Width, l.Height = max(l.Width, one.Width), l.Height+one.Height
}

// single places one circuit.
func (g *Graph) single(d Direction, width float64) Layout {
	l := Layout{Direction: d, Points: map[Point][]XY{}}
	if len(g.Nodes) == 0 {
		return l
	}
	ranks := g.ranks()
	t := g.tracks(ranks)
	l.place(g, ranks, t, width)
	for i := range g.Wires {
		l.line(g, i, l.passing(t, i))
	}
	return l
}

// ranks returns for every node its place along the current: one more than the
// last of those before it. What goes round in a ring keeps the order of the
// guide.
func (g *Graph) ranks() []int {
	rank := make([]int, len(g.Nodes))
	state := make([]uint8, len(g.Nodes)) // 1 being worked out, 2 done
	var settle func(int)
	settle = func(n int) {
		state[n] = 1
		for _, m := range g.before(n) {
			if state[m] == 0 {
				settle(m)
			}
			if state[m] == 2 {
				rank[n] = max(rank[n], rank[m]+1)
			}
		}
		state[n] = 2
	}
	for i := range g.Nodes {
		if state[i] == 0 {
			settle(i)
		}
	}
	for i := range g.Nodes { // a source that feeds in late stands just before what it feeds
		if len(g.before(i)) == 0 && len(g.onward1(i)) > 0 {
			least := len(g.Nodes)
			for _, m := range g.onward1(i) {
				least = min(least, rank[m])
			}
			rank[i] = max(rank[i], least-1)
		}
	}
	return rank
}

// onward1 returns the nodes behind a node over its wires alone.
func (g *Graph) onward1(n int) []int {
	var out []int
	for _, w := range slices.Concat(g.Nodes[n].out, g.Nodes[n].signal) {
		out = append(out, g.Wires[w].To.Node)
	}
	return out
}

// place turns ranks and lanes into pixels.
func (l *Layout) place(g *Graph, rank []int, t *tracks, width float64) {
	lane := t.lane
	low, high, deep := slices.Min(append(slices.Clone(lane), 0)), slices.Max(append(slices.Clone(lane), 0)), slices.Max(append(slices.Clone(rank), 0))
	lanes := high - low + 1
	pitch := laneRight
	if l.Direction == Downwards {
		pitch = max(laneDown, (width-edge)/lanes)
		l.Width, l.Height = edge+pitch*lanes, 2*edge+stepDown*float64(deep)+wordsBelow
	} else {
		l.Width, l.Height = stepRight*float64(deep+1), edge+pitch*lanes
	}
	for i := range g.Nodes {
		along, aside := float64(rank[i]), lane[i]-low
		at := l.at(along, aside, pitch)
		l.Nodes = append(l.Nodes, Placed{Node: i, At: at})
		l.probe(g, i, at)
	}
	for k := len(g.Nodes); k < len(lane); k++ {
		l.bends = append(l.bends, l.at(float64(t.rank[k]), lane[k]-low, pitch))
	}
	for i := range l.Nodes {
		if len(g.Nodes[i].signal) > 0 {
			l.Points[Point{i, SignalSide}] = []XY{l.sideways(g, i, probeOf)}
		}
		l.Nodes[i].Says, l.Nodes[i].Bold = g.words(i, l.room(i, rank))
	}
}

// at turns a rank and a lane into pixels.
func (l *Layout) at(along, aside, pitch float64) XY {
	if l.Direction == Downwards {
		return XY{edge/2 + pitch*aside + reachOf, edge + stepDown*along}
	}
	return XY{stepRight * (along + 0.5), edge + pitch*aside + 0.2*edge}
}

// room is how wide the words of a node may be: beside it up to its neighbour or
// the edge, below it up to the next step.
func (l *Layout) room(node int, rank []int) float64 {
	if l.Direction == Rightwards {
		return stepRight - 20
	}
	at := l.Nodes[node].At.X
	right := l.Width
	for i := range l.Nodes {
		if x := l.Nodes[i].At.X - wordsBeside; rank[i] == rank[node] && x > at {
			right = min(right, x)
		}
	}
	return right - at - wordsBeside
}

// probe notes where the sides of a node are touched.
func (l *Layout) probe(g *Graph, node int, at XY) {
	for _, s := range g.Sides(node) {
		off := XY{-probeOf, 0}
		if s == LoadSide {
			off.X = probeOf
		}
		if s == SignalSide {
			continue // where its wire leaves is known only when all stand
		}
		if l.Direction == Downwards {
			off = XY{-off.Y, off.X}
		}
		l.Points[Point{node, s}] = []XY{{at.X + off.X, at.Y + off.Y}}
	}
}

// line lays a wire: straight where it can, else with one step before every
// place that it passes.
func (l *Layout) line(g *Graph, i int, passing []XY) {
	w := g.Wires[i]
	a, b := l.end(w.From), l.end(w.To)
	if w.From.Side == SignalSide {
		a = l.sideways(g, w.From.Node, symbolHalf)
	}
	runs := []XY{a}
	if w.From.Side == SignalSide {
		runs = append(runs, l.away(a, l.Nodes[w.From.Node].At, append(slices.Clone(passing), b)[0]))
	}
	for _, to := range append(passing, b) {
		runs = l.stepTo(runs, to)
	}
	l.Lines = append(l.Lines, Line{Wire: i, Runs: straight(runs), Says: wireWords(&w)})
}

// away is where a signal goes first: off its sensor to the lane of what comes
// next, or a little aside when that is the sensor's own.
func (l *Layout) away(a, sensor, next XY) XY {
	if l.Direction == Downwards {
		if next.X == sensor.X {
			next.X -= probeOf
		}
		return XY{next.X, a.Y}
	}
	if next.Y == sensor.Y {
		next.Y -= probeOf
	}
	return XY{a.X, next.Y}
}

// stepBefore is how far before a place a wire steps into its lane.
const stepBefore = 62.0

// stepTo goes on to a place with one step across where it is needed.
func (l *Layout) stepTo(runs []XY, to XY) []XY {
	from := runs[len(runs)-1]
	switch {
	case l.Direction == Rightwards && from.Y != to.Y:
		x := max(from.X, to.X-stepBefore)
		if to.X < from.X {
			x = (from.X + to.X) / 2
		}
		runs = append(runs, XY{x, from.Y}, XY{x, to.Y})
	case l.Direction == Downwards && from.X != to.X:
		y := max(from.Y, to.Y-stepBefore+reachOf)
		if to.Y < from.Y {
			y = (from.Y + to.Y) / 2
		}
		runs = append(runs, XY{from.X, y}, XY{to.X, y})
	}
	return append(runs, to)
}

// straight drops the places where a line does not turn.
func straight(runs []XY) []XY {
	out := runs[:1:1]
	for i := 1; i < len(runs); i++ {
		if i+1 < len(runs) {
			a, b, c := out[len(out)-1], runs[i], runs[i+1]
			if a.X == b.X && b.X == c.X || a.Y == b.Y && b.Y == c.Y {
				continue
			}
		}
		out = append(out, runs[i])
	}
	return out
}

// passing returns the bends of a wire.
func (l *Layout) passing(t *tracks, wire int) []XY {
	var out []XY
	for _, k := range t.bends[wire] {
		out = append(out, l.bends[k-t.nodes])
	}
	return out
}

// end is where a wire meets a symbol.
func (l *Layout) end(p Point) XY {
	return l.endOf(l.Nodes[p.Node].At, p.Side)
}

func (l *Layout) endOf(at XY, side Side) XY {
	off := XY{-reachOf, 0}
	switch side {
	case LoadSide:
		off.X = reachOf
	case SignalSide:
		off.X = 0
	}
	if l.Direction == Downwards {
		off = XY{-off.Y, off.X}
	}
	return XY{at.X + off.X, at.Y + off.Y}
}

// sideways is a place beside a sensor on the side to which its signal goes.
func (l *Layout) sideways(g *Graph, node int, by float64) XY {
	at, to := l.Nodes[node].At, l.Nodes[g.Wires[g.Nodes[node].signal[0]].To.Node].At
	if l.Direction == Downwards {
		if to.X > at.X {
			by = -by
		}
		return XY{at.X - by, at.Y}
	}
	if to.Y > at.Y {
		by = -by
	}
	return XY{at.X, at.Y - by}
}

func wireWords(w *Wire) string {
	text := ""
	for _, part := range []string{w.Length.String(), w.Section.String(), w.Colour} {
		if part == "" {
			continue
		}
		if text != "" {
			text += ", "
		}
		text += part
	}
	return text
}
