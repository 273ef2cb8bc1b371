package andor

import "math"

// Tuning of the relaxation.
const (
	// costSpan: costs are scaled so that the largest is this.
	costSpan = 16.0
	// costNudge: the largest amount by which a scaled cost is made different
	// from its neighbours, so that ties do not stall the simplex method.
	costNudge = 1e-7
	// priceBits: exact bounds may use sums up to two to this power.
	priceBits = 57
)

// relaxation is the linear program of a net over its ops: a solution makes
// the goal; whatever ops make fact f with the help of p, p is made at least as
// much; and any number of landmarks. It is valid for solutions that make every
// fact in one way at most, and a cheapest solution is among them.
type relaxation struct {
	n      *net
	lin    *linear
	unit   float64 // cost of the problem for cost 1 of the program
	scale  int64   // exact prices are multiples of 1/scale
	least  []int64 // right side by row
	demand []int32 // by fact: 1 + row that can demand it, 0 when there is none
	pool   []pooled
	rc     []int64 // reduced costs of the last exact bound, times scale
	low    int64   // that bound, times scale
}

// pooled is a landmark that joins the program once a point violates it. The
// rows that couple facts are sparse and are all there from the start, which
// makes for far fewer and cheaper exchanges; landmarks are long.
type pooled struct {
	row    []entry
	least  int64
	active bool
}

func newRelaxation(n *net) *relaxation {
	total, top := int64(0), int64(1)
	for _, c := range n.cost {
		total += c
		top = max(top, c)
	}
	r := &relaxation{n: n, unit: float64(top) / costSpan, scale: 1, demand: make([]int32, n.facts)}
	for r.scale < 1<<20 && total < 1<<priceBits/(2*r.scale) {
		r.scale *= 2
	}
	cost := make([]float64, len(n.cost))
	for a, c := range n.cost {
		nudge := float64((uint32(a)*2654435761)>>16&1023) / 1024
		cost[a] = float64(c)/r.unit + costNudge*(0.5+nudge)
	}
	r.lin = newLinear(cost)
	r.rc = make([]int64, len(cost))
	for f := range int32(n.facts) {
		r.couple(f)
	}
	r.setDemand(n.goal, 1)
	for _, set := range n.exclude {
		row := make([]entry, len(set))
		for i, a := range set {
			row[i] = entry{a, -1}
		}
		r.add(row, int64(1-len(set)))
	}
	return r
}

// couple adds a row for f and each fact that some op making f needs: together
// such ops are used at most as much as the needed fact is made.
func (r *relaxation) couple(f int32) {
	var needed []int32
	for _, a := range r.n.makes.of(f) {
		needed = append(needed, r.n.pre.of(a)...)
	}
	for _, p := range uniqueSorted(needed) {
		var row []entry
		for _, a := range r.n.makes.of(p) {
			row = append(row, entry{a, 1})
		}
		for _, a := range r.n.makes.of(f) {
			for _, q := range r.n.pre.of(a) {
				if q == p {
					row = append(row, entry{a, -1})
				}
			}
		}
		if p != f {
			r.add(row, 0)
		}
	}
}

func (r *relaxation) add(row []entry, least int64) int32 {
	r.least = append(r.least, least)
	return r.lin.addRow(row, float64(least))
}

// poolTol: a pooled row violated by more than this joins the program.
const poolTol = 1e-4

// join adds the pooled rows that the point x violates, and returns how many.
func (r *relaxation) join(x []float64) int {
	found := 0
	for i := range r.pool {
		p := &r.pool[i]
		if p.active {
			continue
		}
		sum := 0.0
		for _, e := range p.row {
			sum += e.v * x[e.at]
		}
		if sum < float64(p.least)-poolTol {
			p.active = true
			r.add(p.row, p.least)
			found++
		}
	}
	return found
}

// setDemand demands that f is made at least d times, 0 or 1.
func (r *relaxation) setDemand(f int32, d int64) {
	if r.demand[f] == 0 {
		var row []entry
		for _, a := range r.n.makes.of(f) {
			row = append(row, entry{a, 1})
		}
		r.demand[f] = r.add(row, d) + 1
		return
	}
	i := r.demand[f] - 1
	r.least[i] = d
	r.lin.rhs[i] = float64(-d)
}

// poolLandmark pools the row: some op of cut is used.
func (r *relaxation) poolLandmark(cut []int32) {
	row := make([]entry, len(cut))
	for i, a := range cut {
		row[i] = entry{a, 1}
	}
	r.pool = append(r.pool, pooled{row: row, least: 1})
}

// addLandmark adds the row: some op of cut is used whenever f is made.
func (r *relaxation) addLandmark(f int32, cut []int32) {
	var row []entry
	if f == r.n.goal {
		for _, a := range cut {
			row = append(row, entry{a, 1})
		}
		r.add(row, 1)
		return
	}
	in := make(map[int32]bool, len(cut))
	for _, a := range cut {
		in[a] = true
		if r.n.adds[a] != f {
			row = append(row, entry{a, 1})
		}
	}
	for _, a := range r.n.makes.of(f) {
		if !in[a] {
			row = append(row, entry{a, -1})
		}
	}
	r.add(row, 0)
}

// exact computes a lower bound in whole numbers from the current prices, and
// the reduced costs. Rounded to int64, any prices of 0 or more give a valid
// bound, so nothing here depends on the accuracy of the linear program.
func (r *relaxation) exact() int64 {
	l := r.lin
	for a, c := range r.n.cost {
		r.rc[a] = c * r.scale
	}
	y := l.prices()
	low := r.charge(y, -r.unit*float64(r.scale))
	clear(y)
	return low
}

// charge completes an exact bound from the prices y times factor.
func (r *relaxation) charge(y []float64, factor float64) int64 {
	l := r.lin
	low := int64(0)
	for i := range l.rows {
		p := y[i] * factor
		if !(p >= 1) || p > 1<<priceBits {
			continue
		}
		q := int64(math.Round(p))
		low += q * r.least[i]
		for _, e := range l.rows[i] {
			r.rc[e.at] += q * int64(e.v) // stored negated
		}
	}
	for a, c := range r.rc {
		if c < 0 {
			low += c * int64(l.up[a])
		} else {
			low += c * int64(l.lo[a])
		}
	}
	r.low = low
	return low
}

// bound rounds a scaled exact bound up to the next cost that is possible.
func (r *relaxation) bound(low int64) int64 {
	g := r.n.grain
	b := low / r.scale
	if low > b*r.scale {
		b++
	}
	return (b + g - 1) / g * g
}

// infeasible verifies, in whole numbers, the finding of the simplex method
// that the row at position k cannot be satisfied.
func (r *relaxation) infeasible() bool {
	l := r.lin
	top := 0.0
	for _, v := range l.ray {
		top = max(top, math.Abs(v))
	}
	if top == 0 || len(l.ray) != len(l.rows) {
		return false
	}
	for _, sign := range []float64{1, -1} {
		clear(r.rc)
		if r.charge(l.ray, sign*(1<<20)/top) > 0 {
			return true
		}
	}
	return false
}
