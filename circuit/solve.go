package circuit

import (
	"fmt"
	"math"
	"slices"
)

// Solution is the voltages and currents of a circuit in one state.
type Solution struct {
	// Quiet says why there is no solution, for people: supplies that
	// contradict each other. It is empty when there is one.
	Quiet string
	// Notes say what was assumed.
	Notes []string

	g     *Graph
	volts []float64 // by point number
	amps  []float64 // by branch: nodes first, then wires
	ohms  []float64 // by branch as solved; +Inf when interrupted
}

// branch joins two points; ohm 0 is an ideal joint, +Inf none.
type branch struct {
	a, b int
	ohm  float64
}

// source holds plus at base+volts above minus, or at gain times the voltage
// between high and low above minus. The current comes from drain, which is
// where the regulator inside a control unit takes it from.
type source struct {
	node       int // for words
	plus       int
	minus      int
	drain      int
	volts      float64
	gain       float64
	high, low  int
	ratiometer bool
}

// network is a graph in one state, ready to be solved. Point 0 is the
// reference; point 1+3·node+side any other.
type network struct {
	g        *Graph
	branches []branch // node throughs first, then wires, then bridges
	sources  []source
	notes    []string
}

func number(p Point) int {
	if p.Node < 0 {
		return 0
	}
	return 1 + 3*p.Node + int(p.Side)
}

// Solve returns the voltages and currents in a state. The error wraps ErrGraph
// when the state makes no sense: an insertion at no spot, a resistance below
// zero, wires below absolute zero.
func (g *Graph) Solve(s State) (*Solution, error) {
	if err := s.check(g); err != nil {
		return nil, err
	}
	return g.network(&s).solve(), nil
}

func (g *Graph) network(s *State) *network {
	n := &network{g: g}
	for i := range g.Nodes {
		n.node(i, s)
	}
	var loose []string
	for i := range g.Wires {
		ohm, known := s.Copper.ohm(&g.Wires[i])
		if said := slices.IndexFunc(s.Ohms, func(o Said) bool { return o.Spot == OnWire(i) }); said >= 0 {
			ohm, known = s.Ohms[said].Ohm, true
		}
		if !known {
			loose = append(loose, g.SaySpot(OnWire(i)))
		}
		n.branches = append(n.branches, branch{number(g.Wires[i].From), number(g.Wires[i].To), float64(ohm)})
	}
	if len(loose) > 0 {
		n.notes = append(n.notes, fmt.Sprintf("%d of %d wires have no length or section and are taken as without resistance of their own", len(loose), len(g.Wires)))
	}
	n.insert(s)
	return n
}

// node adds the way through a node, and its source.
func (n *network) node(i int, s *State) {
	g, nd := n.g, &n.g.Nodes[i]
	in, out := number(Point{i, SupplySide}), number(Point{i, LoadSide})
	ohm, known, why := g.ohmOf(i, s)
	if why != "" {
		n.notes = append(n.notes, why)
	}
	through := branch{in, out, float64(ohm)}
	off := nd.On != "" && slices.Contains(s.Off, nd.On)
	if !known || off {
		through.ohm = math.Inf(1)
	}
	volts, stated := s.Volts[nd.On]
	if !stated || !nd.Feeds {
		volts = nd.Volt
	}
	switch {
	case g.ends(i): // a ground that leads nowhere else ends at the reference
		through.b = 0
	case nd.Feeds && len(nd.in) > 0: // a source between two wires: its plus is where the wire comes in
		plus := number(Point{i, SignalSide})
		through = branch{plus, in, through.ohm}
		if !off {
			n.sources = append(n.sources, source{node: i, plus: plus, minus: out, drain: out, volts: float64(volts)})
		}
	case nd.Feeds && !off:
		minus := 0
		if nd.Against >= 0 {
			minus = number(Point{nd.Against, SupplySide})
		}
		n.sources = append(n.sources, source{node: i, plus: in, minus: minus, drain: 0, volts: float64(volts)})
	}
	n.branches = append(n.branches, through)
	if share, ok := g.share(nd, s); ok && len(nd.signal) > 0 && !off {
		n.sources = append(n.sources, source{
			node: i, plus: number(Point{i, SignalSide}), minus: out, drain: in,
			gain: share, high: in, low: out, ratiometer: true,
		})
	}
}

// insert puts the faults in.
func (n *network) insert(s *State) {
	for _, in := range s.Inserts {
		switch in.Manner {
		case Bridge:
			n.branches = append(n.branches, branch{number(in.From), number(in.To), float64(in.Ohm)})
		case Break:
			n.branches[n.g.branchOf(in.Spot)].ohm = math.Inf(1)
		default:
			n.branches[n.g.branchOf(in.Spot)].ohm += float64(in.Ohm)
		}
	}
}

func (g *Graph) branchOf(s Spot) int {
	if s.Node >= 0 {
		return s.Node
	}
	return len(g.Nodes) + s.Wire
}

// nets groups points that ideal joints make one.
type nets struct{ up []int }

func newNets(n int) nets {
	u := nets{make([]int, n)}
	for i := range u.up {
		u.up[i] = i
	}
	return u
}

func (u nets) of(i int) int {
	for u.up[i] != i {
		u.up[i] = u.up[u.up[i]]
		i = u.up[i]
	}
	return i
}

// join makes two one, under the smaller number; false when they were.
func (u nets) join(i, j int) bool {
	i, j = u.of(i), u.of(j)
	if i == j {
		return false
	}
	u.up[max(i, j)] = min(i, j)
	return true
}

func (n *network) points() int { return 1 + 3*len(n.g.Nodes) }

func (n *network) solve() *Solution {
	s := &Solution{g: n.g, Notes: n.notes, volts: make([]float64, n.points()), amps: make([]float64, len(n.branches)), ohms: make([]float64, len(n.branches))}
	joined := newNets(n.points())
	for i, b := range n.branches {
		s.ohms[i] = b.ohm
		if b.ohm == 0 {
			joined.join(b.a, b.b)
		}
	}
	if why := n.loop(joined); why != "" {
		return s.silent(why)
	}
	held := n.held(joined)
	into, ok := n.unknowns(joined, held, s)
	if !ok {
		return s.silent("the supplies of this circuit contradict each other")
	}
	n.currents(joined, into, s)
	return s
}

// silent empties the solution and says why.
func (s *Solution) silent(why string) *Solution {
	s.Quiet = why
	for i := range s.volts {
		s.volts[i] = math.NaN()
	}
	for i := range s.amps {
		s.amps[i] = math.NaN()
	}
	return s
}

// loop finds a source that is held at both ends by others already: two
// supplies without resistance side by side, or one that is shorted.
func (n *network) loop(joined nets) string {
	u := newNets(n.points())
	for i := range u.up {
		u.join(i, joined.of(i))
	}
	for _, src := range n.sources {
		if !u.join(src.plus, src.minus) {
			return fmt.Sprintf("%s is tied without any resistance to where another voltage is fixed; give one of them its inner resistance, or say which is off", n.g.Label(src.node))
		}
	}
	return ""
}

// held tells for every point whether anything fixes its voltage.
func (n *network) held(joined nets) nets {
	u := newNets(n.points())
	for i := range u.up {
		u.join(i, joined.of(i))
	}
	for _, b := range n.branches {
		if !math.IsInf(b.ohm, 1) {
			u.join(b.a, b.b)
		}
	}
	for _, src := range n.sources {
		u.join(src.plus, src.minus)
		u.join(src.plus, src.drain)
		if src.ratiometer {
			u.join(src.high, src.low)
			u.join(src.plus, src.low)
		}
	}
	return u
}

// unknowns sets up and solves the equations: one of Kirchhoff's current law
// for every net that is not the reference, one of voltage for every source and for every thin branch. It
// fills the voltages and the currents of thin branches, and returns the
// currents of the sources, out of plus.
func (n *network) unknowns(joined, held nets, s *Solution) (into []float64, ok bool) {
	col := make([]int, n.points())
	size := 0
	for p := range col {
		col[p] = -1
		if joined.of(p) == p && p != 0 && held.of(p) == 0 && joined.of(0) != p {
			col[p], size = size, size+1
		}
	}
	at := func(p int) int { return col[joined.of(p)] }
	thin := n.thin(at)
	all := size + len(n.sources) + len(thin)
	a, b := matrix(all, all), matrix(all, 1)
	n.conduct(a, at)
	for k, src := range n.sources {
		n.drive(a, b, at, size+k, src, held)
	}
	for k, i := range thin {
		n.carry(a, at, size+len(n.sources)+k, n.branches[i])
	}
	if eliminate(a, b) >= 0 {
		return nil, false
	}
	for p := range s.volts {
		switch c := at(p); {
		case held.of(p) != 0:
			s.volts[p] = math.NaN()
		case c >= 0:
			s.volts[p] = b[c][0]
		}
	}
	into = make([]float64, len(n.sources))
	for k := range into {
		into[k] = b[size+k][0]
	}
	for k, i := range thin {
		s.amps[i] = b[size+len(n.sources)+k][0]
	}
	return into, true
}

// thinnest is the resistance in ohms below which a branch gets an unknown of
// its own for its current: as a conductance beside those of leaks and inputs
// of megohms it would swallow them in rounding.
const thinnest = 1

// thin returns the branches below thinnest that join two nets.
func (n *network) thin(at func(int) int) []int {
	var out []int
	for i, r := range n.branches {
		if r.ohm > 0 && r.ohm < thinnest && at(r.a) != at(r.b) {
			out = append(out, i)
		}
	}
	return out
}

// carry writes a branch whose current is the unknown of the given row:
// va - vb - ohm·i = 0.
func (n *network) carry(a [][]float64, at func(int) int, row int, r branch) {
	if c := at(r.a); c >= 0 {
		a[row][c]++
		a[c][row]++
	}
	if c := at(r.b); c >= 0 {
		a[row][c]--
		a[c][row]--
	}
	a[row][row] = -r.ohm
}

// conduct writes the conductances of the other resistors.
func (n *network) conduct(a [][]float64, at func(int) int) {
	for _, r := range n.branches {
		if r.ohm < thinnest || math.IsInf(r.ohm, 1) {
			continue
		}
		i, j, siemens := at(r.a), at(r.b), 1/r.ohm
		if i == j {
			continue
		}
		for _, e := range [...][2]int{{i, j}, {j, i}} {
			if e[0] >= 0 {
				a[e[0]][e[0]] += siemens
				if e[1] >= 0 {
					a[e[0]][e[1]] -= siemens
				}
			}
		}
	}
}

// drive writes a source: its current in two nets, its voltage as a row. A
// source of a part that floats drives nothing.
func (n *network) drive(a, b [][]float64, at func(int) int, row int, src source, held nets) {
	if held.of(src.plus) != 0 {
		a[row][row] = 1
		return
	}
	put := func(r, p int, x float64) {
		if r < 0 {
			return
		}
		if c := at(p); c >= 0 {
			a[r][c] += x
		}
	}
	if c := at(src.plus); c >= 0 {
		a[c][row]--
	}
	if c := at(src.drain); c >= 0 {
		a[c][row]++
	}
	put(row, src.plus, 1)
	put(row, src.minus, -1)
	if src.ratiometer {
		put(row, src.high, -src.gain)
		put(row, src.low, src.gain)
	}
	b[row][0] = src.volts
}
