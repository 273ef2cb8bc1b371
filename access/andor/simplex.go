package andor

import "math"

// Tolerances of the linear program. They steer the search only: bounds are
// recomputed exactly from its prices.
const (
	// feasTol: a value may violate its bound by this much.
	feasTol = 1e-7
	// priceTol: a reduced cost may have the wrong sign by this much.
	priceTol = 1e-9
	// pivotTol: smaller pivot elements are not used.
	pivotTol = 1e-7
	// shortestEdge: squared edge lengths are kept above this.
	shortestEdge = 1e-4
	// stopEvery: exchanges between two looks at whether to stop.
	stopEvery = 8
	// mostPivots: a solve that takes more exchanges is given up.
	mostPivots = 200_000
	// cancelled stands for a sum that came out as zero, to tell it from none.
	cancelled = 1e-100
)

// linear is a linear program over columns between bounds: minimise cost·x
// with row·x >= rhs for each row. It is solved by the dual simplex method with
// steepest edge pricing and bound flipping, keeps its basis between solves,
// and takes new rows at any time.
//
// Inside, each row is kept as -row·x + s = -rhs with a slack s >= 0. Variable
// j < cols is a column, cols+i the slack of row i.
type linear struct {
	cols    int
	cost    []float64
	lo, up  []float64 // of columns
	columns [][]entry // by column: rows, negated
	rows    [][]entry // by row: columns, negated
	rhs     []float64 // negated
	basic   []int32   // by position: variable
	where   []int32   // by variable: position, or one of atLower, atUpper
	value   []float64 // by position
	reduced []float64 // by variable: reduced cost
	weight  []float64 // by position: squared edge length
	fact    factor
	pivots  int64
	rho     []float64
	rhoAt   []int32 // where rho is nonzero
	solAt   []int32
	ray     []float64 // rho of the last row that could not be satisfied
	alpha   []float64 // by variable
	touched []int32
	moved   []float64
	bad     []float64 // by position: squared violation of its bounds, 0 within
	order   []int32
	colSol  []float64
	tau     []float64
	breaks  []breakpoint
	flips   []int32
	unit    [1]entry
	stop    func() bool
}

const (
	atLower = int32(-1)
	atUpper = int32(-2)
)

type breakpoint struct {
	v     int32
	ratio float64
	size  float64
}

// lpStatus says how a solve of a linear program ended.
type lpStatus int

const (
	lpOptimal lpStatus = iota
	lpCutoff           // the value is above the cutoff
	lpInfeasible
	lpStopped // by the caller, or in numerical trouble
)

func newLinear(cost []float64) *linear {
	l := &linear{cols: len(cost), cost: cost}
	l.lo = make([]float64, l.cols)
	l.up = make([]float64, l.cols)
	l.columns = make([][]entry, l.cols)
	l.where = make([]int32, l.cols)
	l.reduced = append([]float64(nil), cost...)
	l.alpha = make([]float64, l.cols)
	for j := range l.up {
		l.up[j] = 1
		l.where[j] = atLower
	}
	return l
}

// addRow adds row·x >= rhs. The basis must be set up again by [linear.reset]
// before the next solve.
func (l *linear) addRow(row []entry, rhs float64) int32 {
	i := int32(len(l.rows))
	neg := make([]entry, len(row))
	for k, e := range row {
		neg[k] = entry{e.at, -e.v}
		l.columns[e.at] = append(l.columns[e.at], entry{i, -e.v})
	}
	l.rows = append(l.rows, neg)
	l.rhs = append(l.rhs, -rhs)
	l.where = append(l.where, i)
	l.basic = append(l.basic, int32(l.cols)+i)
	l.reduced = append(l.reduced, 0)
	l.alpha = append(l.alpha, 0)
	l.weight = append(l.weight, 1)
	l.value = append(l.value, 0)
	l.bad = append(l.bad, 0)
	return i
}

func (l *linear) bounds(v int32) (lo, up float64) {
	if int(v) >= l.cols {
		return 0, math.Inf(1)
	}
	return l.lo[v], l.up[v]
}

func (l *linear) column(v int32) []entry {
	if int(v) >= l.cols {
		l.unit[0] = entry{v - int32(l.cols), 1}
		return l.unit[:]
	}
	return l.columns[v]
}

func (l *linear) at(v int32) float64 {
	switch p := l.where[v]; p {
	case atLower:
		if int(v) >= l.cols {
			return 0
		}
		return l.lo[v]
	case atUpper:
		return l.up[v]
	default:
		return l.value[p]
	}
}

// reset factorises the basis and recomputes prices and values.
func (l *linear) reset() {
	m := len(l.rows)
	if len(l.rho) < m {
		n := m + m/2
		l.rho, l.tau = make([]float64, n), make([]float64, n)
		l.colSol, l.moved = make([]float64, n), make([]float64, n)
	}
	for {
		bad, rows := l.fact.load(m, func(k int) []entry { return l.column(l.basic[k]) })
		if len(bad) == 0 {
			break
		}
		for i, k := range bad {
			out := l.basic[k]
			l.where[out] = atLower
			l.basic[k] = int32(l.cols) + rows[i]
			l.weight[k] = 1
		}
	}
	l.arrange()
	l.price()
	l.values()
}

// arrange moves each basic variable to the position of its pivot row.
func (l *linear) arrange() {
	m := len(l.rows)
	l.order = append(l.order[:0], l.basic...)
	copy(l.moved[:m], l.weight)
	for s, r := range l.fact.row {
		k := l.fact.col[s]
		l.basic[r] = l.order[k]
		l.weight[r] = l.moved[k]
		l.where[l.basic[r]] = r
	}
}

// price recomputes the reduced costs and moves nonbasic columns to the bound
// that suits the sign of theirs.
func (l *linear) price() {
	m := len(l.rows)
	y := l.prices()
	for j := range l.cols {
		d := l.cost[j]
		if l.where[j] >= 0 {
			l.reduced[j] = 0
			continue
		}
		for _, e := range l.columns[j] {
			d -= e.v * y[e.at]
		}
		l.reduced[j] = d
		l.settle(int32(j))
	}
	for i := range m {
		v := l.cols + i
		l.reduced[v] = 0
		if l.where[v] < 0 {
			l.reduced[v] = max(0, -y[i])
			l.where[v] = atLower
		}
	}
	clear(y)
}

// prices computes the prices of the rows, not positive, in a slice that must
// be cleared after use.
func (l *linear) prices() []float64 {
	y := l.rho[:len(l.rows)]
	for k, v := range l.basic {
		y[k] = 0
		if int(v) < l.cols {
			y[k] = l.cost[v]
		}
	}
	l.fact.solveT(y)
	return y
}

// settle puts a nonbasic column at the bound that is right for its price.
func (l *linear) settle(j int32) {
	if d := l.reduced[j]; d < -priceTol {
		l.where[j] = atUpper
	} else if d > priceTol || l.up[j] == l.lo[j] {
		l.where[j] = atLower
	}
}

// values recomputes the basic values.
func (l *linear) values() {
	m := len(l.rows)
	x := l.value[:m]
	copy(x, l.rhs)
	for j := range l.cols {
		if l.where[j] >= 0 {
			continue
		}
		if v := l.at(int32(j)); v != 0 {
			for _, e := range l.columns[j] {
				x[e.at] -= e.v * v
			}
		}
	}
	l.fact.solve(x)
	for k := range x {
		l.judge(int32(k))
	}
}

// judge notes whether the value at position k violates its bounds.
func (l *linear) judge(k int32) {
	v, x := l.basic[k], l.value[k]
	gap := 0.0
	if int(v) >= l.cols {
		gap = -x
	} else if gap = l.lo[v] - x; gap < x-l.up[v] {
		gap = x - l.up[v]
	}
	if gap > feasTol {
		l.bad[k] = gap * gap
	} else {
		l.bad[k] = 0
	}
}

// setBounds changes the bounds of column j. The values must be recomputed by
// reset before the next solve, unless the column is basic.
func (l *linear) setBounds(j int32, lo, up float64) {
	l.lo[j], l.up[j] = lo, up
}

// objective returns the value of the current basis.
func (l *linear) objective() float64 {
	z := 0.0
	for j := range l.cols {
		if l.cost[j] != 0 {
			z += l.cost[j] * l.at(int32(j))
		}
	}
	return z
}

// solve runs the dual simplex until the program is solved or its value is
// known to be above cutoff.
func (l *linear) solve(cutoff float64) lpStatus {
	fresh := false
	z := l.objective()
	for iter := 0; ; iter++ {
		if l.fact.worn() {
			l.reset()
			z = l.objective()
		}
		if z > cutoff {
			return lpCutoff
		}
		if l.stop != nil && iter%stopEvery == 0 && l.stop() {
			return lpStopped
		}
		r := l.leaving()
		if r < 0 {
			if len(l.fact.etaAt) == 0 || fresh {
				return lpOptimal
			}
			l.reset()
			z = l.objective()
			fresh = true
			continue
		}
		gain, how := l.pivot(r)
		switch {
		case how == pivotDone:
			z += gain
			fresh = false
		case len(l.fact.etaAt) > 0:
			l.reset()
			z = l.objective()
		case how == pivotNone:
			return lpInfeasible
		default:
			return lpStopped
		}
		if iter > mostPivots {
			return lpStopped
		}
	}
}

// install takes over a basis saved earlier, when there may have been fewer
// rows; the slacks of later rows are added to it.
func (l *linear) install(basis, upper []int32, weight []float64) {
	for v := range l.where {
		l.where[v] = atLower
	}
	for _, j := range upper {
		l.where[j] = atUpper
	}
	copy(l.basic, basis)
	for i := len(basis); i < len(l.basic); i++ {
		l.basic[i] = int32(l.cols + i)
	}
	for k, v := range l.basic {
		l.where[v] = int32(k)
	}
	for k := range l.weight {
		l.weight[k] = 1
	}
	copy(l.weight, weight)
}
