package estimate

import (
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
const Points = 4093

// generator makes the rank-1 lattice (Korobov): operation j of point i has the
// value frac(i·generator^j / Points). Of all generators below Points/2 it has
// the best worst pair among 160 dimensions by Zaremba's figure, 25 (found by
// trying all of them).
const generator = 617

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
	normals := latticeNormals()
	steps := v.generators()
	for i := range paths {
		w := walker{v: &v, normals: normals, point: i, steps: steps, limit: limit, over: run.Over}
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

// latticeNormals returns the normal quantiles of the middle of each of Points
// equal parts.
func latticeNormals() []float64 {
	z := make([]float64, Points)
	for i := range z {
		z[i] = normalQuantile((float64(i) + 0.5) / Points)
	}
	return z
}

// generators returns the lattice step of each dimension: the shared factor,
// the operations from the most uncertain down, then two for each risk.
func (v Visit) generators() map[dimension]int {
	var dims []dimension
	for i := range v.Ops {
		dims = append(dims, dimension{op: i})
	}
	slices.SortStableFunc(dims, func(a, b dimension) int {
		x, y := v.Ops[a.op].Hands, v.Ops[b.op].Hands
		return -compareFloat(float64(x.Mean)*x.Sigma, float64(y.Mean)*y.Sigma)
	})
	for i, op := range v.Ops {
		for k := range op.Risks {
			dims = append(dims, dimension{i, k + 1, false}, dimension{i, k + 1, true})
		}
	}
	out, step := map[dimension]int{}, 1
	for _, d := range dims {
		step = step * generator % Points // 1 is left to the shared factor
		out[d] = step
	}
	return out
}

func compareFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// dimension is one uncertain thing of a visit.
type dimension struct {
	op, risk int // risk counts from 1; 0 is the operation itself
	length   bool
}

// walker goes one path.
type walker struct {
	v       *Visit
	normals []float64
	point   int
	steps   map[dimension]int
	limit   Sum
	over    []float64

	path
	left map[string]time.Duration // of each wait that has begun
}

// index is the place of the point in a dimension, 0 to Points-1.
func (w *walker) index(d dimension) int { return w.point * w.steps[d] % Points }

func (w *walker) walk() path {
	common := w.v.Common
	slow := math.Exp(common*w.normals[w.point] - common*common/2)
	w.left = nil
	tax := w.v.Terms.Tax.Factor()
	for i := range w.v.Ops {
		op := &w.v.Ops[i]
		hands := float64(op.Hands.Mean) * slow
		if s := op.Hands.Sigma; s > 0 {
			hands *= math.Exp(s*w.normals[w.index(dimension{op: i})] - s*s/2)
		}
		for k, r := range op.Risks {
			hands += w.risk(i, k, r, slow)
		}
		w.do(op, duration(hands))
		if w.over != nil && w.net*tax > float64(w.limit) {
			w.over[i]++
		}
	}
	return w.path
}

// risk lets a risk happen or not, and returns the time that it takes.
func (w *walker) risk(op, k int, r Risk, slow float64) float64 {
	odds := r.Odds()
	if odds == 0 || (float64(w.index(dimension{op, k + 1, false}))+0.5)/Points >= odds {
		return 0
	}
	w.net += float64(w.v.Terms.Currency.From(r.Price))
	s := riskSigma
	return float64(r.Minutes) * slow * math.Exp(s*w.normals[w.index(dimension{op, k + 1, true})]-s*s/2)
}

// riskSigma is the spread of the time that trouble takes: wider than work.
const riskSigma = 0.5

// do adds one operation that takes so much person-time.
func (w *walker) do(op *Op, hands time.Duration) {
	t := w.v.Terms
	if op.Awaits != "" {
		wait := w.left[op.Awaits]
		w.pass(wait)
		delete(w.left, op.Awaits)
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
		if w.left == nil {
			w.left = map[string]time.Duration{}
		}
		w.left[op.Begins] = op.Wait
	}
}

// pass lets time count against every wait that has begun.
func (w *walker) pass(d time.Duration) {
	for name, left := range w.left {
		w.left[name] = max(0, left-d)
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
