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
// since (product form).
type factor struct {
	size   int
	pivRow []int32 // by step: pivot row
	pivCol []int32 // by step: position of the column
	stepOf []int32 // by row: step, or -1
	diag   []float64
	lower  [][]entry // by step: rows below, still to be eliminated
	upper  [][]entry // by step: steps above
	units  int       // the first steps are unit columns
	pool   []entry

	etaAt    []int32 // position changed
	etaPivot []float64
	eta      [][]entry

	work     []float64
	mark     []int32
	stamp    int32
	topo     []int32
	stack    []int32
	next     []int32
	rowCount []int32
}

// load factorises the matrix whose column at position k is column(k); a unit
// column is given as a single entry 1. It returns the positions of columns
// that depend on others and the rows left without a pivot; both empty when B
// is regular.
func (f *factor) load(size int, column func(int) []entry) (bad, rows []int32) {
	f.resize(size)
	var rest []int32
	for k := range size {
		c := column(k)
		if len(c) == 1 && c[0].v == 1 && f.stepOf[c[0].at] < 0 {
			f.take(int32(k), c[0].at, 1)
			continue
		}
		rest = append(rest, int32(k))
	}
	f.units = len(f.pivRow)
	order := f.peel(rest, column)
	for _, k := range order {
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
	}
	return bad, rows
}

func (f *factor) resize(size int) {
	f.size = size
	f.pivRow, f.pivCol, f.diag = f.pivRow[:0], f.pivCol[:0], f.diag[:0]
	f.lower, f.upper, f.pool = f.lower[:0], f.upper[:0], f.pool[:0]
	f.etaAt, f.etaPivot, f.eta = f.etaAt[:0], f.etaPivot[:0], f.eta[:0]
	if len(f.work) < size {
		n := size + size/2
		f.work, f.stepOf = make([]float64, n), make([]int32, n)
		f.mark, f.next = make([]int32, n), make([]int32, n)
		f.stamp = 0
	}
	for i := range size {
		f.stepOf[i] = -1
		f.work[i] = 0
	}
}

func (f *factor) take(col, row int32, pivot float64) {
	f.stepOf[row] = int32(len(f.pivRow))
	f.pivRow = append(f.pivRow, row)
	f.pivCol = append(f.pivCol, col)
	f.diag = append(f.diag, pivot)
	if len(f.lower) < len(f.pivRow) {
		f.lower = append(f.lower, nil)
		f.upper = append(f.upper, nil)
	}
}

// peel orders the columns: those that become single entries first, then by
// number of entries in the rows that are left, ties by position.
func (f *factor) peel(rest []int32, column func(int) []entry) []int32 {
	count := make([]int32, f.size) // by row: columns left with an entry there
	open := make([]int32, f.size)
	for _, k := range rest {
		for _, e := range column(int(k)) {
			if f.stepOf[e.at] < 0 {
				open[k]++
				count[e.at]++
			}
		}
	}
	byRow := make([][]int32, f.size)
	for _, k := range rest {
		for _, e := range column(int(k)) {
			if f.stepOf[e.at] < 0 {
				byRow[e.at] = append(byRow[e.at], k)
			}
		}
	}
	var front []int32
	taken := make([]bool, f.size)
	rowDone := make([]bool, f.size)
	ready := make([]int32, 0, len(rest))
	for _, k := range rest {
		if open[k] == 1 {
			ready = append(ready, k)
		}
	}
	for len(ready) > 0 {
		k := ready[0]
		ready = ready[1:]
		if taken[k] || open[k] != 1 {
			continue
		}
		taken[k] = true
		front = append(front, k)
		for _, e := range column(int(k)) {
			if f.stepOf[e.at] >= 0 || rowDone[e.at] {
				continue
			}
			rowDone[e.at] = true
			for _, o := range byRow[e.at] {
				if open[o]--; open[o] == 1 && !taken[o] {
					ready = append(ready, o)
				}
			}
		}
	}
	// Columns that are alone in a row go last: they cause no fill.
	var back, middle []int32
	for i := range count {
		count[i] = 0
	}
	for _, k := range rest {
		if !taken[k] {
			for _, e := range column(int(k)) {
				count[e.at]++
			}
		}
	}
	var rows []int32
	for i := range f.size {
		if f.stepOf[i] < 0 && !rowDone[i] && count[i] == 1 {
			rows = append(rows, int32(i))
		}
	}
	for len(rows) > 0 {
		i := rows[0]
		rows = rows[1:]
		for _, k := range byRow[i] {
			if taken[k] {
				continue
			}
			taken[k] = true
			back = append(back, k)
			f.next[i] = 0
			for _, e := range column(int(k)) {
				if count[e.at]--; count[e.at] == 1 && f.stepOf[e.at] < 0 && !rowDone[e.at] {
					rows = append(rows, e.at)
				}
			}
		}
	}
	slices.Reverse(back)
	for _, k := range rest {
		if !taken[k] {
			middle = append(middle, k)
		}
	}
	slices.SortStableFunc(middle, func(a, b int32) int { return int(open[a] - open[b]) })
	f.rowCount = count
	return slices.Concat(front, middle, back)
}

// eliminate adds the column at position k as the next step.
func (f *factor) eliminate(k int32, col []entry) bool {
	f.symbolic(col)
	for _, e := range col {
		f.work[e.at] = e.v
	}
	start := len(f.pool)
	for i := len(f.topo) - 1; i >= 0; i-- {
		s := f.topo[i]
		z := f.work[f.pivRow[s]]
		if z == 0 {
			continue
		}
		f.pool = append(f.pool, entry{s, z})
		for _, e := range f.lower[s] {
			f.work[e.at] -= e.v * z
		}
	}
	mid := len(f.pool)
	largest := 0.0
	for _, i := range f.stack {
		largest = max(largest, math.Abs(f.work[i]))
	}
	row := int32(-1)
	for _, i := range f.stack {
		if v := math.Abs(f.work[i]); v > dropBelow && v >= pivotShare*largest &&
			(row < 0 || f.rowCount[i] < f.rowCount[row] || f.rowCount[i] == f.rowCount[row] && i < row) {
			row = i
		}
	}
	ok := row >= 0 && largest > singularBelow
	if ok {
		pivot := f.work[row]
		for _, i := range f.stack {
			if i != row && math.Abs(f.work[i]) > dropBelow {
				f.pool = append(f.pool, entry{i, f.work[i] / pivot})
			}
		}
		f.take(k, row, pivot)
		step := len(f.pivRow) - 1
		f.upper[step] = f.pool[start:mid:mid]
		f.lower[step] = f.pool[mid:len(f.pool):len(f.pool)]
	}
	for _, s := range f.topo {
		f.work[f.pivRow[s]] = 0
	}
	for _, i := range f.stack {
		f.work[i] = 0
	}
	return ok
}

// symbolic finds the steps that col meets, in reverse order of elimination, in
// topo, and the rows without a pivot that it can reach, in stack.
func (f *factor) symbolic(col []entry) {
	f.stamp++
	f.topo, f.stack = f.topo[:0], f.stack[:0]
	var path []int32
	for _, e := range col {
		if f.mark[e.at] == f.stamp {
			continue
		}
		path = append(path[:0], e.at)
		f.mark[e.at], f.next[e.at] = f.stamp, 0
		for len(path) > 0 {
			i := path[len(path)-1]
			s := f.stepOf[i]
			if s < 0 {
				f.stack = append(f.stack, i)
				path = path[:len(path)-1]
				continue
			}
			below := f.lower[s]
			for f.next[i] < int32(len(below)) && f.mark[below[f.next[i]].at] == f.stamp {
				f.next[i]++
			}
			if f.next[i] < int32(len(below)) {
				j := below[f.next[i]].at
				f.mark[j], f.next[j] = f.stamp, 0
				path = append(path, j)
				continue
			}
			f.topo = append(f.topo, s)
			path = path[:len(path)-1]
		}
	}
}

// solve replaces x, given by row, by the solution of B·y = x, given by
// position.
func (f *factor) solve(x, y []float64) {
	for s := f.units; s < len(f.pivRow); s++ {
		z := x[f.pivRow[s]]
		if z == 0 {
			continue
		}
		for _, e := range f.lower[s] {
			x[e.at] -= e.v * z
		}
	}
	for s := len(f.pivRow) - 1; s >= f.units; s-- {
		z := x[f.pivRow[s]]
		if z == 0 {
			y[f.pivCol[s]] = 0
			continue
		}
		z /= f.diag[s]
		y[f.pivCol[s]] = z
		for _, e := range f.upper[s] {
			x[f.pivRow[e.at]] -= e.v * z
		}
	}
	for s := range f.units {
		y[f.pivCol[s]] = x[f.pivRow[s]]
	}
	for k, at := range f.etaAt {
		z := y[at]
		if z == 0 {
			continue
		}
		z /= f.etaPivot[k]
		y[at] = z
		for _, e := range f.eta[k] {
			y[e.at] -= e.v * z
		}
	}
}

// solveT computes y, by row, with Bᵀ·y = x; x, by position, is overwritten.
func (f *factor) solveT(x, y []float64) {
	for k := len(f.etaAt) - 1; k >= 0; k-- {
		z := x[f.etaAt[k]]
		for _, e := range f.eta[k] {
			z -= e.v * x[e.at]
		}
		x[f.etaAt[k]] = z / f.etaPivot[k]
	}
	for s := range f.units {
		y[f.pivRow[s]] = x[f.pivCol[s]]
	}
	for s := f.units; s < len(f.pivRow); s++ {
		z := x[f.pivCol[s]]
		for _, e := range f.upper[s] {
			z -= e.v * y[f.pivRow[e.at]]
		}
		y[f.pivRow[s]] = z / f.diag[s]
	}
	for s := len(f.pivRow) - 1; s >= f.units; s-- {
		z := y[f.pivRow[s]]
		for _, e := range f.lower[s] {
			z -= e.v * y[e.at]
		}
		y[f.pivRow[s]] = z
	}
}

// replace records that the column at position k has become the one whose
// solution is y.
func (f *factor) replace(k int32, y []float64) {
	start := len(f.pool)
	for i, v := range y[:f.size] {
		if int32(i) != k && math.Abs(v) > dropBelow {
			f.pool = append(f.pool, entry{int32(i), v})
		}
	}
	f.eta = append(f.eta, f.pool[start:len(f.pool):len(f.pool)])
	f.etaAt = append(f.etaAt, k)
	f.etaPivot = append(f.etaPivot, y[k])
}
