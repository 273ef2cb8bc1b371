package andor

import (
	"math"
	"slices"
)

// Tolerances of the factorisation.
const (
	// pivotShare: a pivot is at least this share of the largest candidate in
	// its column, so that elimination cannot blow up the others.
	pivotShare = 0.1
	// wornAfter and wornBy: the factors are computed anew after this many
	// changes of a column, and not before the changes have this many times
	// the entries of the factors, or earlier when there are wornLimit.
	wornAfter = 12
	wornBy    = 3
	wornLimit = 100
	// dropBelow: results of elimination smaller than this are taken as zero.
	dropBelow = 1e-13
	// singularBelow: a column whose largest candidate is smaller than this is
	// taken as dependent on the others.
	singularBelow = 1e-9
)

// entry is one nonzero of a sparse column or row.
type entry struct {
	at int32
	v  float64
}

// factor holds a square sparse matrix B as a product L·U, found column by
// column (Gilbert and Peierls 1988), followed by the changes of single columns
// since (product form). Once loaded, the columns are taken to stand at the
// position of the row they were eliminated with, so that solutions can be
// computed in place.
type factor struct {
	size   int
	row    []int32   // by step: pivot row
	col    []int32   // by step: position of the column when it was loaded
	stepOf []int32   // by row: step, or -1
	diag   []float64 // by step
	lower  [][]entry // by step: rows still to be eliminated
	upper  [][]entry // by step: rows eliminated before
	across [][]entry // by row: the same entries by row, giving rows of columns
	units  int       // the first steps are unit columns
	lows   []int32   // steps with a lower part
	pool   []entry
	loaded int // entries of the factors in pool
	flat   []entry

	etaAt    []int32
	etaPivot []float64
	eta      [][]entry

	work     []float64
	mark     []int32
	stamp    int32
	topo     []int32
	stack    []int32
	path     []int32
	next     []int32
	rowCount []int32
	peeler   peeler
}

// load factorises the matrix whose column at position k is column(k); a unit
// column is given as a single entry 1. It returns the positions of columns
// that depend on others and the rows left without a pivot; both empty when B
// is regular.
func (f *factor) load(size int, column func(int) []entry) (bad, rows []int32) {
	f.resize(size)
	rest := f.peeler.rest[:0]
	for k := range size {
		c := column(k)
		if len(c) == 1 && c[0].v == 1 && f.stepOf[c[0].at] < 0 {
			f.take(int32(k), c[0].at, 1)
			continue
		}
		rest = append(rest, int32(k))
	}
	f.units = len(f.row)
	f.peeler.rest = rest
	for _, k := range f.peeler.order(f, column) {
		if !f.eliminate(k, column(int(k))) {
			bad = append(bad, k)
		}
	}
	if len(bad) > 0 {
		for i := range size {
			if f.stepOf[i] < 0 {
				rows = append(rows, int32(i))
			}
		}
		return bad, rows
	}
	f.transpose()
	f.loaded = len(f.pool)
	return nil, nil
}

func (f *factor) resize(size int) {
	f.size = size
	f.row, f.col, f.diag, f.lows = f.row[:0], f.col[:0], f.diag[:0], f.lows[:0]
	f.pool = f.pool[:0]
	f.etaAt, f.etaPivot, f.eta = f.etaAt[:0], f.etaPivot[:0], f.eta[:0]
	if len(f.work) < size {
		n := size + size/2
		f.work, f.stepOf = make([]float64, n), make([]int32, n)
		f.mark, f.next, f.rowCount = make([]int32, n), make([]int32, n), make([]int32, n)
		f.lower, f.upper, f.across = make([][]entry, n), make([][]entry, n), make([][]entry, n)
		f.stamp = 0
	}
	for i := range size {
		f.stepOf[i] = -1
		f.rowCount[i] = 0
		f.across[i] = nil
	}
}

func (f *factor) take(col, row int32, pivot float64) {
	s := len(f.row)
	f.stepOf[row] = int32(s)
	f.row = append(f.row, row)
	f.col = append(f.col, col)
	f.diag = append(f.diag, pivot)
	f.lower[s], f.upper[s] = nil, nil
}

// eliminate adds the column at position k as the next step; it reports false
// when the column depends on the earlier ones.
func (f *factor) eliminate(k int32, col []entry) bool {
	f.symbolic(col)
	for _, e := range col {
		f.work[e.at] = e.v
	}
	start := len(f.pool)
	for i := len(f.topo) - 1; i >= 0; i-- {
		s := f.topo[i]
		z := f.work[f.row[s]]
		if math.Abs(z) < dropBelow {
			continue
		}
		f.pool = append(f.pool, entry{f.row[s], z})
		for _, e := range f.lower[s] {
			f.work[e.at] -= e.v * z
		}
	}
	mid := len(f.pool)
	row := f.pickRow()
	if row >= 0 {
		pivot := f.work[row]
		for _, i := range f.stack {
			if i != row && math.Abs(f.work[i]) > dropBelow {
				f.pool = append(f.pool, entry{i, f.work[i] / pivot})
			}
		}
		s := len(f.row)
		f.take(k, row, pivot)
		f.upper[s] = f.pool[start:mid:mid]
		f.lower[s] = f.pool[mid:len(f.pool):len(f.pool)]
		if len(f.pool) > mid {
			f.lows = append(f.lows, int32(s))
		}
	}
	for _, s := range f.topo {
		f.work[f.row[s]] = 0
	}
	for _, i := range f.stack {
		f.work[i] = 0
	}
	return row >= 0
}

// pickRow chooses the pivot row among those of stack: large enough, then with
// the fewest entries, then the lowest number; -1 when all are too small.
func (f *factor) pickRow() int32 {
	largest := 0.0
	for _, i := range f.stack {
		largest = max(largest, math.Abs(f.work[i]))
	}
	row := int32(-1)
	if largest <= singularBelow {
		return row
	}
	for _, i := range f.stack {
		if math.Abs(f.work[i]) < pivotShare*largest {
			continue
		}
		if row < 0 || f.rowCount[i] < f.rowCount[row] || f.rowCount[i] == f.rowCount[row] && i < row {
			row = i
		}
	}
	return row
}

// symbolic finds the steps that col meets, in reverse order of elimination, in
// topo, and the rows without a pivot that it can reach, in stack.
func (f *factor) symbolic(col []entry) {
	f.stamp++
	f.topo, f.stack = f.topo[:0], f.stack[:0]
	for _, e := range col {
		if f.mark[e.at] == f.stamp {
			continue
		}
		f.path = append(f.path[:0], e.at)
		f.mark[e.at], f.next[e.at] = f.stamp, 0
		for len(f.path) > 0 {
			f.deepen()
		}
	}
}

// deepen takes one step of the depth-first search along path.
func (f *factor) deepen() {
	i := f.path[len(f.path)-1]
	s := f.stepOf[i]
	if s < 0 {
		f.stack = append(f.stack, i)
		f.path = f.path[:len(f.path)-1]
		return
	}
	below := f.lower[s]
	for int(f.next[i]) < len(below) {
		j := below[f.next[i]].at
		f.next[i]++
		if f.mark[j] != f.stamp {
			f.mark[j], f.next[j] = f.stamp, 0
			f.path = append(f.path, j)
			return
		}
	}
	f.topo = append(f.topo, s)
	f.path = f.path[:len(f.path)-1]
}

// transpose prepares the entries of the upper part by row.
func (f *factor) transpose() {
	count := f.rowCount
	clear(count[:f.size])
	total := 0
	for s := f.units; s < f.size; s++ {
		for _, e := range f.upper[s] {
			count[e.at]++
		}
		total += len(f.upper[s])
	}
	f.flat = slices.Grow(f.flat[:0], total)[:total]
	at := int32(0)
	for i := range f.size {
		n := count[i]
		f.across[i] = f.flat[at : at : at+n]
		at += n
	}
	for s := f.units; s < f.size; s++ {
		r := f.row[s]
		for _, e := range f.upper[s] {
			f.across[e.at] = append(f.across[e.at], entry{r, e.v})
		}
	}
}

// solve replaces x, given by row, by the solution y of B·y = x, by position.
func (f *factor) solve(x []float64) {
	for _, s := range f.lows {
		if z := x[f.row[s]]; z != 0 {
			for _, e := range f.lower[s] {
				x[e.at] -= e.v * z
			}
		}
	}
	for s := f.size - 1; s >= f.units; s-- {
		r := f.row[s]
		z := x[r]
		if z == 0 {
			continue
		}
		z /= f.diag[s]
		x[r] = z
		for _, e := range f.upper[s] {
			x[e.at] -= e.v * z
		}
	}
	for k, at := range f.etaAt {
		z := x[at]
		if z == 0 {
			continue
		}
		z /= f.etaPivot[k]
		x[at] = z
		for _, e := range f.eta[k] {
			x[e.at] -= e.v * z
		}
	}
}

// solveT replaces x, given by position, by the solution y of Bᵀ·y = x, by row.
func (f *factor) solveT(x []float64) {
	for k := len(f.etaAt) - 1; k >= 0; k-- {
		at := f.etaAt[k]
		z := x[at]
		for _, e := range f.eta[k] {
			z -= e.v * x[e.at]
		}
		x[at] = z / f.etaPivot[k]
	}
	for s, r := range f.row {
		z := x[r]
		if z == 0 {
			continue
		}
		if s >= f.units {
			z /= f.diag[s]
			x[r] = z
		}
		for _, e := range f.across[r] {
			x[e.at] -= e.v * z
		}
	}
	for i := len(f.lows) - 1; i >= 0; i-- {
		s := f.lows[i]
		z := x[f.row[s]]
		for _, e := range f.lower[s] {
			z -= e.v * x[e.at]
		}
		x[f.row[s]] = z
	}
}

// worn reports whether the changes have made solving slower than it would be
// with new factors.
func (f *factor) worn() bool {
	k := len(f.etaAt)
	return k >= wornLimit || k >= wornAfter && len(f.pool)-f.loaded > wornBy*(f.loaded+f.size)
}

// replace records that the column at position k has become the one whose
// solution is y, nonzero at the positions listed.
func (f *factor) replace(k int32, y []float64, nonzero []int32) {
	start := len(f.pool)
	for _, i := range nonzero {
		if i != k && math.Abs(y[i]) > dropBelow {
			f.pool = append(f.pool, entry{i, y[i]})
		}
	}
	f.eta = append(f.eta, f.pool[start:len(f.pool):len(f.pool)])
	f.etaAt = append(f.etaAt, k)
	f.etaPivot = append(f.etaPivot, y[k])
}
