package circuit

import (
	"fmt"
	"math"
	"slices"
)

// fit is the least-squares problem of the readings along a path. Points are
// named by their place on the path.
type fit struct {
	g      *Graph
	d      *Drops
	points []int // measured places, in order
	flow   []int // by spot of the path: which current it carries
	rows   []reading
	known  map[int]bool // flows whose current some reading gives

	vcol, icol map[int]int // unknowns: voltage by place, current by flow
	group      nets        // places tied to each other by readings
	answer     []float64
	spread     [][]float64 // covariance
	chi        float64
	spare      int
	quiet      string
}

// reading is one row: v(a) - v(b) - ohm·i(flow) = value, where a and b are -1
// for what does not take part, and flow is -1 likewise.
type reading struct {
	name  string
	a, b  int
	flow  int
	ohm   float64
	value float64
	u     float64 // standard uncertainty, for a standard that of its resistance
}

// fit gathers readings and refuses those that make no sense.
func (g *Graph) fit(d *Drops) (*fit, error) {
	f := &fit{g: g, d: d, known: map[int]bool{}}
	if len(d.Path.Spots) == 0 || len(d.Path.Points) != len(d.Path.Spots)+1 {
		return nil, fmt.Errorf("%w: there is no path to measure along", ErrGraph)
	}
	for _, s := range d.Path.Spots {
		if !g.isSpot(s) {
			return nil, fmt.Errorf("%w: the path leads over spot %+v, which this circuit does not have", ErrGraph, s)
		}
	}
	f.flows()
	for _, m := range d.Volts {
		if err := f.voltage(m); err != nil {
			return nil, err
		}
	}
	for _, s := range d.Standards {
		if err := f.standard(s); err != nil {
			return nil, err
		}
	}
	for _, c := range d.Amps {
		if err := f.carried(c); err != nil {
			return nil, err
		}
	}
	f.order()
	return f, nil
}

// order lists the measured places.
func (f *fit) order() {
	for _, r := range f.rows {
		for _, p := range []int{r.a, r.b} {
			if p >= 0 && !slices.Contains(f.points, p) {
				f.points = append(f.points, p)
			}
		}
	}
	slices.Sort(f.points)
}

// flows numbers the parts of the path that nothing branches off.
func (f *fit) flows() {
	f.flow = make([]int, len(f.d.Path.Spots))
	now := 0
	for i, s := range f.d.Path.Spots {
		if i > 0 && f.branches(i, s) {
			now++
		}
		f.flow[i] = now
	}
}

// branches reports whether a wire leaves the path at the place before spot i.
func (f *fit) branches(i int, next Spot) bool {
	for _, w := range f.g.wiresAt(f.d.Path.Points[i]) {
		if s := OnWire(w); s != next && s != f.d.Path.Spots[i-1] {
			return true
		}
	}
	return false
}

func (f *fit) at(place int) Point { return f.d.Path.Points[place] }

// place finds a point on the path; the reference is found only where the path
// ends there.
func (f *fit) place(p Point, name string) (int, error) {
	if i := slices.Index(f.d.Path.Points, p); i >= 0 {
		return i, nil
	}
	if !f.g.isPoint(p) {
		return 0, fmt.Errorf("%w: %s: point %+v does not exist", ErrGraph, name, p)
	}
	return 0, fmt.Errorf("%w: %s: %s is not on the path from %s to %s", ErrGraph, name, f.g.Say(p), f.g.Say(f.at(0)), f.g.Say(f.at(len(f.d.Path.Points)-1)))
}

func certain(name string, value, u float64) error {
	if math.IsNaN(value) || math.IsInf(value, 0) || !(u > 0) || math.IsInf(u, 0) {
		return fmt.Errorf("%w: %s: %v with standard uncertainty %v; a reading needs an uncertainty above zero", ErrGraph, name, value, u)
	}
	return nil
}

func (f *fit) voltage(m Measured) error {
	a, err := f.place(m.At, m.Name)
	if err != nil {
		return err
	}
	b, err := f.place(m.Against, m.Name)
	if err != nil {
		return err
	}
	if a == b {
		return fmt.Errorf("%w: %s: both leads at %s", ErrGraph, m.Name, f.g.Say(m.At))
	}
	f.rows = append(f.rows, reading{name: m.Name, a: a, b: b, flow: -1, value: float64(m.Volts), u: float64(m.U)})
	return certain(m.Name, float64(m.Volts), float64(m.U))
}

func (f *fit) standard(s Standard) error {
	a, err := f.place(s.From, s.Name)
	if err != nil {
		return err
	}
	b, err := f.place(s.To, s.Name)
	if err != nil {
		return err
	}
	if a >= b || f.flow[a] != f.flow[b-1] {
		return fmt.Errorf("%w: %s: a known resistance lies along the current, and no current branches off inside it", ErrGraph, s.Name)
	}
	if err := certain(s.Name, float64(s.Ohm), float64(s.U)); err != nil || s.Ohm <= 0 {
		return fmt.Errorf("%w: %s: %v Ω ± %v is no known resistance", ErrGraph, s.Name, float64(s.Ohm), float64(s.U))
	}
	f.known[f.flow[a]] = true
	f.rows = append(f.rows, reading{name: s.Name, a: a, b: b, flow: f.flow[a], ohm: float64(s.Ohm), u: float64(s.U)})
	return nil
}

func (f *fit) carried(c Carried) error {
	i := slices.Index(f.d.Path.Spots, c.Through)
	if i < 0 {
		return fmt.Errorf("%w: %s: the current was not measured on the path", ErrGraph, c.Name)
	}
	f.known[f.flow[i]] = true
	f.rows = append(f.rows, reading{name: c.Name, a: -1, b: -1, flow: f.flow[i], ohm: -1, value: float64(c.Amperes), u: float64(c.U)})
	return certain(c.Name, float64(c.Amperes), float64(c.U))
}

// settle solves the problem. A standard is uncertain by its resistance times
// the current, which is known only afterwards, so that it is done again until
// it no longer matters.
func (f *fit) settle() bool {
	if len(f.points) < 2 {
		f.quiet = "voltages at two points of the path at least are needed"
		return false
	}
	f.unknowns()
	for range 5 {
		if !f.once() {
			return false
		}
	}
	return true
}

// unknowns numbers what is sought. In every group of places that readings tie
// together one voltage is free and set to zero: the reference where it is
// among them, else the first.
func (f *fit) unknowns() {
	f.group = newNets(len(f.d.Path.Points))
	for _, r := range f.rows {
		if r.a >= 0 {
			f.group.join(r.a, r.b)
		}
	}
	free := map[int]int{}
	for _, p := range f.points {
		root := f.group.of(p)
		if _, ok := free[root]; !ok || f.at(p) == Reference {
			free[root] = p
		}
	}
	f.vcol, f.icol = map[int]int{}, map[int]int{}
	n := 0
	for _, p := range f.points {
		if free[f.group.of(p)] != p {
			f.vcol[p], n = n, n+1
		}
	}
	for i := range f.d.Path.Spots {
		flow := f.flow[i]
		if _, ok := f.icol[flow]; !ok && f.known[flow] {
			f.icol[flow], n = n, n+1
		}
	}
}

// coefficients returns a row's factors by unknown.
func (f *fit) coefficients(r reading) []float64 {
	out := make([]float64, len(f.vcol)+len(f.icol))
	if c, ok := f.vcol[r.a]; ok {
		out[c]++
	}
	if c, ok := f.vcol[r.b]; ok {
		out[c]--
	}
	if c, ok := f.icol[r.flow]; ok {
		out[c] -= r.ohm
	}
	return out
}

// weigh returns the standard uncertainty of a row.
func (f *fit) weigh(r reading) float64 {
	if r.a < 0 || r.flow < 0 {
		return r.u
	}
	amps := 1.0
	if f.answer != nil {
		amps = math.Max(math.Abs(f.answer[f.icol[r.flow]]), 1e-9)
	}
	return r.u * amps
}

// once sets up and solves the normal equations with the present weights.
func (f *fit) once() bool {
	n := len(f.vcol) + len(f.icol)
	a, b := matrix(n, n), matrix(n, n+1)
	for _, r := range f.rows {
		c, w := f.coefficients(r), f.weigh(r)
		for i := range c {
			for k := range c {
				a[i][k] += c[i] * c[k] / (w * w)
			}
			b[i][0] += c[i] * r.value / (w * w)
		}
	}
	for i := range n {
		b[i][1+i] = 1
	}
	if missing := eliminate(a, b); missing >= 0 {
		f.quiet = "the readings do not settle " + f.nameOf(missing) + "; one more is needed there"
		return false
	}
	f.answer, f.spread = make([]float64, n), matrix(n, n)
	for i := range n {
		f.answer[i] = b[i][0]
		copy(f.spread[i], b[i][1:])
	}
	f.misfit()
	return true
}

func (f *fit) nameOf(col int) string {
	for p, c := range f.vcol {
		if c == col {
			return "the voltage at " + f.g.Say(f.at(p))
		}
	}
	return "the current"
}

func (f *fit) misfit() {
	f.chi, f.spare = 0, len(f.rows)-len(f.answer)
	for _, r := range f.rows {
		m := f.miss(r) / f.weigh(r)
		f.chi += m * m
	}
}

// miss returns by how much a reading differs from the answer.
func (f *fit) miss(r reading) float64 {
	sum := -r.value
	for i, c := range f.coefficients(r) {
		sum += c * f.answer[i]
	}
	return sum
}

// equallyBad is the part of the worst misfit from which another reading counts
// as just as doubtful; with one spare reading all are.
const equallyBad = 0.99

// doubt returns the names of the readings that fit worst, each measured by what
// its misfit would be by chance (Baarda's w-test).
func (f *fit) doubt() []string {
	var worst float64
	size := make([]float64, len(f.rows))
	for i, r := range f.rows {
		c, w := f.coefficients(r), f.weigh(r)
		left := w*w - f.variance(c)
		if left > 1e-9*w*w { // else nothing checks this reading
			size[i] = math.Abs(f.miss(r)) / math.Sqrt(left)
			worst = math.Max(worst, size[i])
		}
	}
	var out []string
	for i, r := range f.rows {
		if size[i] >= equallyBad*worst && worst > 0 {
			out = append(out, r.name)
		}
	}
	return out
}

// variance returns cᵀ·covariance·c.
func (f *fit) variance(c []float64) float64 {
	sum := 0.0
	for i := range c {
		for k := range c {
			sum += c[i] * c[k] * f.spread[i][k]
		}
	}
	return sum
}

// combine returns the drop between two places and its standard uncertainty;
// false when no readings tie them together.
func (f *fit) combine(a, b int) (drop, u float64, tied bool) {
	if f.group.of(a) != f.group.of(b) {
		return 0, 0, false
	}
	c := f.coefficients(reading{a: a, b: b, flow: -1})
	for i := range c {
		drop += c[i] * f.answer[i]
	}
	return drop, math.Sqrt(math.Max(0, f.variance(c))), true
}

// current returns the current of a flow, 0 when nobody knows it.
func (f *fit) current(flow int) float64 {
	if c, ok := f.icol[flow]; ok {
		return f.answer[c]
	}
	return 0
}

// ratio returns the resistance between two places, with its standard
// uncertainty by the law of propagation, correlation included.
func (f *fit) ratio(a, b, flow int) (ohm, u float64) {
	drop, _, _ := f.combine(a, b)
	amps := f.current(flow)
	c := f.coefficients(reading{a: a, b: b, flow: flow, ohm: drop / amps})
	return drop / amps, math.Sqrt(math.Max(0, f.variance(c))) / math.Abs(amps)
}
