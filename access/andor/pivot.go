package andor

import "math"

// leaving picks the position with the largest scaled violation, or -1.
func (l *linear) leaving() int {
	best, at := 0.0, -1
	for k, v := range l.bad {
		if v > 0 && v > best*l.weight[k] {
			best, at = v/l.weight[k], k
		}
	}
	return at
}

// pivotEnd says how an exchange ended.
type pivotEnd int

const (
	pivotDone     pivotEnd = iota
	pivotNone              // no variable can enter: the row cannot be satisfied
	pivotUnstable          // the pivot element is too small or inconsistent
)

// pivot makes the variable at position r leave the basis. It returns how much
// the dual objective gains, and whether it did.
func (l *linear) pivot(r int) (float64, pivotEnd) {
	m := len(l.rows)
	out := l.basic[r]
	lo, up := l.bounds(out)
	below := l.value[r] < lo
	target, gap := up, l.value[r]-up
	if below {
		target, gap = lo, lo-l.value[r]
	}
	defer l.forget()
	rho := l.rho[:m]
	rho[r] = 1
	l.fact.solveT(rho)
	l.rhoAt = nonzeros(rho, l.rhoAt[:0])
	l.pivotRow()
	in, gain := l.ratio(below, gap)
	if in < 0 {
		l.ray = append(l.ray[:0], rho...)
		return 0, pivotNone
	}
	sol := l.colSol[:m]
	for _, e := range l.column(in) {
		sol[e.at] = e.v
	}
	l.fact.solve(sol)
	l.solAt = nonzeros(sol, l.solAt[:0])
	a := l.alpha[in]
	if math.Abs(sol[r]) < pivotTol || math.Abs(a-sol[r]) > 1e-6*(1+math.Abs(a)) && len(l.fact.etaAt) > 0 {
		return 0, pivotUnstable
	}
	l.updatePrices(in, out, a)
	l.flip()
	l.updateWeights(int32(r))
	l.exchange(int32(r), in, target)
	if below {
		l.where[out] = atLower
	} else {
		l.where[out] = atUpper
	}
	l.pivots++
	return gain, pivotDone
}

// nonzeros appends the indexes of the nonzeros of x to at, and makes noise
// zero.
func nonzeros(x []float64, at []int32) []int32 {
	for i, v := range x {
		if v != 0 {
			if math.Abs(v) < dropBelow {
				x[i] = 0
				continue
			}
			at = append(at, int32(i))
		}
	}
	return at
}

// exchange moves the variable at position r to target and puts variable in in
// its place.
func (l *linear) exchange(r, in int32, target float64) {
	sol := l.colSol
	step := (l.value[r] - target) / sol[r]
	entering := l.at(in) + step
	for _, k := range l.solAt {
		l.value[k] -= step * sol[k]
	}
	l.fact.replace(r, sol, l.solAt)
	l.basic[r] = in
	l.where[in] = r
	l.value[r] = entering
	for _, k := range l.solAt {
		l.judge(k)
	}
}

// pivotRow computes alpha, the row of the nonbasic variables.
func (l *linear) pivotRow() {
	l.touched = l.touched[:0]
	for _, i := range l.rhoAt {
		p := l.rho[i]
		for _, e := range l.rows[i] {
			if l.where[e.at] >= 0 {
				continue
			}
			if l.alpha[e.at] == 0 {
				l.touched = append(l.touched, e.at)
			}
			if l.alpha[e.at] += p * e.v; l.alpha[e.at] == 0 {
				l.alpha[e.at] = cancelled
			}
		}
		if v := int32(l.cols) + i; l.where[v] < 0 {
			l.alpha[v] = p
			l.touched = append(l.touched, v)
		}
	}
}

// forget clears what an exchange has left in the work space.
func (l *linear) forget() {
	for _, v := range l.touched {
		l.alpha[v] = 0
	}
	for _, i := range l.rhoAt {
		l.rho[i] = 0
	}
	for _, i := range l.solAt {
		l.colSol[i] = 0
	}
	l.solAt = l.solAt[:0]
}

// ratio picks the entering variable: the first breakpoint at which the dual
// objective stops growing. Boxed columns passed on the way are put in flips.
func (l *linear) ratio(below bool, gap float64) (int32, float64) {
	l.breaks, l.flips = l.breaks[:0], l.flips[:0]
	for _, v := range l.touched {
		a := l.alpha[v]
		if below {
			a = -a
		}
		span := math.Inf(1)
		if int(v) < l.cols {
			if span = l.up[v] - l.lo[v]; span == 0 {
				continue
			}
		}
		if l.where[v] == atUpper {
			a = -a
			if a > pivotTol {
				l.breaks = append(l.breaks, breakpoint{v, max(0, -l.reduced[v]) / a, a * span})
			}
		} else if a > pivotTol {
			l.breaks = append(l.breaks, breakpoint{v, max(0, l.reduced[v]) / a, a * span})
		}
	}
	gain, passed := 0.0, 0.0
	for len(l.breaks) > 0 {
		b := 0
		for k := 1; k < len(l.breaks); k++ {
			if p, q := &l.breaks[k], &l.breaks[b]; p.ratio < q.ratio-1e-12 ||
				p.ratio <= q.ratio+1e-12 && (math.Abs(l.alpha[p.v]) > math.Abs(l.alpha[q.v])+1e-9 || math.Abs(l.alpha[p.v]) > math.Abs(l.alpha[q.v])-1e-9 && p.v < q.v) {
				b = k
			}
		}
		p := l.breaks[b]
		gain += (p.ratio - passed) * gap
		passed = p.ratio
		if gap -= p.size; gap <= 0 {
			return p.v, gain
		}
		l.flips = append(l.flips, p.v)
		l.breaks[b] = l.breaks[len(l.breaks)-1]
		l.breaks = l.breaks[:len(l.breaks)-1]
	}
	l.flips = l.flips[:0]
	return -1, 0
}

// updatePrices moves the reduced costs along the pivot row.
func (l *linear) updatePrices(in, out int32, a float64) {
	t := l.reduced[in] / a
	for _, v := range l.touched {
		l.reduced[v] -= t * l.alpha[v]
	}
	l.reduced[in] = 0
	l.reduced[out] = -t
}

// flip moves the columns in flips to their other bound.
func (l *linear) flip() {
	if len(l.flips) == 0 {
		return
	}
	x := l.tau[:len(l.rows)]
	for _, j := range l.flips {
		step := l.up[j] - l.lo[j]
		if l.where[j] == atUpper {
			step = -step
			l.where[j] = atLower
		} else {
			l.where[j] = atUpper
		}
		for _, e := range l.columns[j] {
			x[e.at] += e.v * step
		}
	}
	l.fact.solve(x)
	for k, v := range x {
		if v != 0 {
			l.value[k] -= v
			l.judge(int32(k))
			x[k] = 0
		}
	}
}

// updateWeights keeps the squared lengths of the dual edges.
func (l *linear) updateWeights(r int32) {
	tau := l.tau[:len(l.rows)]
	norm := 0.0
	for _, i := range l.rhoAt {
		v := l.rho[i]
		tau[i] = v
		norm += v * v
	}
	l.fact.solve(tau)
	a := l.colSol[r]
	for _, k := range l.solAt {
		if k != r {
			q := l.colSol[k] / a
			l.weight[k] = max(l.weight[k]-2*q*tau[k]+q*q*norm, shortestEdge)
		}
	}
	l.weight[r] = max(norm/(a*a), shortestEdge)
	clear(tau)
}
