package estimate

import (
	"cmp"
	"math"
	"slices"
	"time"

	"elbowroom/money"
)

// Phase is the part of a visit that an operation belongs to.
type Phase string

// The phases.
const (
	WayIn   Phase = "way in"
	Work    Phase = "work"
	PutBack Phase = "put back"
)

// Op is one operation of a visit. Hands is person-time: minutes times people.
type Op struct {
	Name   string
	Step   int // number of the step it stands for
	Phase  Phase
	Hands  Spread
	Setup  time.Duration // changing place and tool; certain, and fills no wait
	People int           // who work at once; 0 means 1
	Begins string        // name of a wait that begins when the operation ends
	Wait   time.Duration // how long that wait is
	Awaits string        // name of the wait that the operation sits out
	Goods  []Good
	Hire   []Good // tools hired
	Risks  []Risk
}

// Good is something that is used up or put in.
type Good struct {
	Sort  Sort
	Name  string
	Count float64 // pieces, or litres
	Litre bool
	Price money.Amount // of all of them
	Known bool         // the price is known
}

// Risk is what may come on top: it happens Times in Of visits, and then takes
// Minutes more and costs Price.
type Risk struct {
	What      string
	Step      int
	Times, Of int
	Minutes   time.Duration // person-time
	Price     money.Amount
}

// Odds returns the probability of the risk, 0 when nobody has counted.
func (r Risk) Odds() float64 {
	if r.Of <= 0 || r.Times <= 0 {
		return 0
	}
	return min(1, float64(r.Times)/float64(r.Of))
}

// Visit is what a quote is made for: operations in order.
type Visit struct {
	Ops    []Op
	Common float64 // standard deviation of the logarithm that all times share
	Terms  Terms
}

// Points is how many points of the lattice a visit is worked out on: a prime,
// so that every single operation takes all its equally likely values once.
const Points = 16381

// generator makes the rank-1 lattice (Korobov): operation j of point i has the
// value frac(i·generator^j / Points). Of all generators below Points/2 it has
// the best worst pair among 120 dimensions by Zaremba's figure, 129 (found by
// trying all of them). Sums of a few to some forty operations come within half
// a per cent of exact convolution at the point kept in nineteen of twenty cases.
const generator = 940

// Times are hands-on time, waiting and elapsed time, each a number of its own.
type Times[T any] struct {
	Hands   T // person-time, set-up included
	Waiting T // nothing is to be done on this machine
	Free    T // of the waiting, spells long enough for work on another machine
	Elapsed T // from beginning to end: two people work in half the time
}

// FreeFrom is how long a spell of waiting must be before somebody begins with
// something else: shorter ones go into clearing up and looking for tools.
const FreeFrom = 20 * time.Minute

// Range is where an uncertain figure lies.
type Range[T time.Duration | Sum] struct {
	Mean T
	P50  T // kept in half of all cases
	P80  T // in four of five
	P95  T // in nineteen of twenty
}

// Run is a visit worked out.
type Run struct {
	Times[Range[time.Duration]]
	Price Range[Sum] // with tax, with risks as they come
	// Over is, after each operation, the probability that more than the limit
	// has been run up; empty without a limit.
	Over []float64
}

// path is one way that a visit may go.
type path struct {
	hands, waiting, free, elapsed time.Duration
	net                           float64 // minor units
}

// Run works the visit out on the lattice. The limit is a price with tax; 0 is
// none.
func (v Visit) Run(limit Sum) Run {
	var run Run
	if limit > 0 {
		run.Over = make([]float64, len(v.Ops))
	}
	paths := make([]path, Points)
	l := v.lattice()
	for i := range paths {
		w := walker{v: &v, lattice: l, point: i, limit: limit, over: run.Over}
		paths[i] = w.walk()
	}
	for k := range run.Over {
		run.Over[k] /= Points
	}
	run.Hands = rangeOf(paths, func(p path) float64 { return float64(p.hands) }, duration)
	run.Waiting = rangeOf(paths, func(p path) float64 { return float64(p.waiting) }, duration)
	run.Free = rangeOf(paths, func(p path) float64 { return float64(p.free) }, duration)
	run.Elapsed = rangeOf(paths, func(p path) float64 { return float64(p.elapsed) }, duration)
	tax := v.Terms.Tax.Factor()
	run.Price = rangeOf(paths, func(p path) float64 { return p.net * tax }, rounded)
	return run
}

// lattice is what all paths of a visit share. A factor is how much longer than
// its average something takes, by the place of the point in its dimension.
type lattice struct {
	common []float64
	ops    []dimension
	risks  [][]struct{ happens, takes dimension } // by operation
}

// dimension is one uncertain thing of a visit.
type dimension struct {
	step    int       // of the lattice
	factors []float64 // by place; nil for certain
}

// place of a point, 0 to Points-1.
func (d dimension) place(point int) int { return point * d.step % Points }

// factor of a point.
func (d dimension) factor(point int) float64 {
	if d.factors == nil {
		return 1
	}
	return d.factors[d.place(point)]
}

// lattice gives the shared factor the first dimension, then the operations from
// the most uncertain down, then two for each risk.
func (v Visit) lattice() *lattice {
	normals := make([]float64, Points)
	for i := range normals {
		normals[i] = normalQuantile((float64(i) + 0.5) / Points)
	}
	tables := map[float64][]float64{}
	table := func(sigma float64) []float64 {
		if sigma == 0 {
			return nil
		}
		if tables[sigma] == nil {
			f := make([]float64, Points)
			for i, z := range normals {
				f[i] = math.Exp(sigma*z - sigma*sigma/2)
			}
			tables[sigma] = f
		}
		return tables[sigma]
	}
	step := 1 // left to the shared factor
	next := func(sigma float64) dimension {
		step = step * generator % Points
		return dimension{step, table(sigma)}
	}
	l := &lattice{common: table(v.Common), ops: make([]dimension, len(v.Ops))}
	for _, i := range v.byUncertainty() {
		l.ops[i] = next(v.Ops[i].Hands.Sigma)
	}
	for _, op := range v.Ops {
		var list []struct{ happens, takes dimension }
		for range op.Risks {
			list = append(list, struct{ happens, takes dimension }{next(0), next(riskSigma)})
		}
		l.risks = append(l.risks, list)
	}
	return l
}

// byUncertainty lists the operations, the most uncertain first.
func (v Visit) byUncertainty() []int {
	order := make([]int, len(v.Ops))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := v.Ops[a].Hands, v.Ops[b].Hands
		return cmp.Compare(float64(y.Mean)*y.Sigma, float64(x.Mean)*x.Sigma)
	})
	return order
}

// walker goes one path. Without a lattice everything takes its average and no
// risk comes true.
type walker struct {
	v       *Visit
	lattice *lattice
	point   int
	limit   Sum
	over    []float64

	path
	left []wait // waits that have begun
}

// wait is one that has begun, with what is left of it.
type wait struct {
	name string
	left time.Duration
}

func (w *walker) walk() path {
	slow := dimension{1, w.lattice.common}.factor(w.point)
	tax := w.v.Terms.Tax.Factor()
	for i := range w.v.Ops {
		op := &w.v.Ops[i]
		hands := float64(op.Hands.Mean) * w.lattice.ops[i].factor(w.point)
		for k, r := range op.Risks {
			hands += w.risk(i, k, r)
		}
		w.do(op, duration(hands*slow))
		if w.over != nil && w.net*tax > float64(w.limit) {
			w.over[i]++
		}
	}
	return w.path
}

// risk lets a risk happen or not, and returns the time that it takes.
func (w *walker) risk(op, k int, r Risk) float64 {
	d := w.lattice.risks[op][k]
	if (float64(d.happens.place(w.point))+0.5)/Points >= r.Odds() {
		return 0
	}
	w.net += float64(w.v.Terms.Currency.From(r.Price))
	return float64(r.Minutes) * d.takes.factor(w.point)
}

// riskSigma is the spread of the time that trouble takes: wider than work.
const riskSigma = 0.5

// do adds one operation that takes so much person-time.
func (w *walker) do(op *Op, hands time.Duration) {
	t := w.v.Terms
	if op.Awaits != "" {
		wait := w.sit(op.Awaits)
		w.waiting += wait
		if wait >= FreeFrom {
			w.free += wait
		}
		w.elapsed += wait
		w.net += w.price(t.WaitRate, wait)
	}
	people := time.Duration(max(1, op.People))
	w.hands += hands + op.Setup
	w.elapsed += hands/people + op.Setup
	w.pass(hands / people)
	w.net += w.price(t.Rate, hands+op.Setup) + w.price(t.Consumables, hands+op.Setup)
	for _, g := range op.Goods {
		w.net += float64(t.Currency.From(g.Price))
	}
	for _, g := range op.Hire {
		w.net += float64(t.Currency.From(g.Price))
	}
	if op.Begins != "" {
		w.left = append(w.left, wait{op.Begins, op.Wait})
	}
}

// sit lets what is left of a wait pass, and returns it.
func (w *walker) sit(name string) (sat time.Duration) {
	i := slices.IndexFunc(w.left, func(x wait) bool { return x.name == name })
	if i < 0 {
		return 0
	}
	sat = w.left[i].left
	w.left = slices.Delete(w.left, i, i+1)
	w.pass(sat)
	return sat
}

// pass lets time count against every wait that has begun.
func (w *walker) pass(d time.Duration) {
	for i := range w.left {
		w.left[i].left = max(0, w.left[i].left-d)
	}
}

func (w *walker) price(rate money.PerHour, d time.Duration) float64 {
	return float64(rate) / 100 * float64(w.v.Terms.Currency.Whole()) * d.Hours()
}

// rangeOf sorts one figure of all paths.
func rangeOf[T time.Duration | Sum](paths []path, get func(path) float64, to func(float64) T) Range[T] {
	all, sum := make([]float64, len(paths)), 0.0
	for i, p := range paths {
		all[i] = get(p)
		sum += all[i]
	}
	slices.Sort(all)
	at := func(p float64) T { return to(all[min(len(all)-1, int(p*float64(len(all))))]) }
	return Range[T]{to(sum / float64(len(all))), at(0.50), at(0.80), at(0.95)}
}

// Average goes the path on which everything takes its average and no risk
// comes true: what the lines of a quote are made of.
func (v Visit) Average() Times[time.Duration] {
	w := walker{v: &v}
	for i := range v.Ops {
		w.do(&v.Ops[i], v.Ops[i].Hands.Mean)
	}
	return Times[time.Duration]{w.hands, w.waiting, w.free, w.elapsed}
}

// Kept returns the probability that the hands-on time of a visit is no longer
// than d.
func (v Visit) Kept(d time.Duration) float64 {
	l, n := v.lattice(), 0
	for i := range Points {
		w := walker{v: &v, lattice: l, point: i}
		if w.walk().hands <= d {
			n++
		}
	}
	return float64(n) / Points
}
