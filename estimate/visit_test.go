package estimate_test

import (
	"math"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"elbowroom/estimate"
	"elbowroom/money"
)

// terms are those of the demonstration workshop.
var terms = estimate.Terms{Currency: estimate.CurrencyOf("EUR"), Rate: 8400, WaitRate: 1200, Tax: estimate.PercentOf(20)}

func op(minutes, sigma float64) estimate.Op {
	return estimate.Op{Phase: estimate.WayIn, Hands: estimate.Spread{Mean: time.Duration(minutes * float64(time.Minute)), Sigma: sigma}}
}

// convolved works out the distribution of the sum of operations by exact
// convolution on a grid of bins of the given width (minutes), each bin's mass
// put where it keeps the mean, and mixes it over the common factor. It returns
// the quantile of p in minutes. Nothing of the lattice is shared.
func convolved(ops []estimate.Op, common, width float64, bins int, p float64) float64 {
	sum := make([]float64, bins)
	sum[0] = 1
	for _, o := range ops {
		one := binned(o, width, bins)
		next := make([]float64, bins)
		for i, a := range sum {
			if a < 1e-15 {
				continue
			}
			for k, b := range one {
				if i+k < bins {
					next[i+k] += a * b
				}
			}
		}
		sum = next
	}
	upTo := make([]float64, bins+1)
	for i, m := range sum {
		upTo[i+1] = upTo[i] + m
	}
	kept := func(t float64) float64 {
		const nodes = 400
		all := 0.0
		for n := range nodes {
			z := distuv.UnitNormal.Quantile((float64(n) + 0.5) / nodes)
			x := t/math.Exp(common*z-common*common/2)/width + 0.5 // a point stands for the bin around it
			i := min(bins-1, int(x))
			all += (upTo[i] + min(1, x-float64(i))*sum[i]) / nodes
		}
		return all
	}
	low, high := 0.0, width*float64(bins)
	for range 40 {
		if mid := (low + high) / 2; kept(mid) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// binned puts the mass of a log-normal on points.
func binned(o estimate.Op, width float64, bins int) []float64 {
	out := make([]float64, bins)
	d := distuv.LogNormal{Mu: math.Log(o.Hands.Mean.Minutes()) - o.Hands.Sigma*o.Hands.Sigma/2, Sigma: o.Hands.Sigma}
	const fine = 8
	for i := range (bins - 1) * fine {
		a, b := float64(i)*width/fine, float64(i+1)*width/fine
		mass := d.CDF(b) - d.CDF(a)
		at := (a + b) / 2 / width
		k := int(at)
		out[k] += mass * (1 - (at - float64(k)))
		out[k+1] += mass * (at - float64(k))
	}
	return out
}

// TestSumAgainstConvolution: half, four-fifths and nineteen-twentieths points
// of sums as exact convolution gives them.
func TestSumAgainstConvolution(t *testing.T) {
	even := make([]estimate.Op, 12)
	for i := range even {
		even[i] = op(6, 0.4)
	}
	mixed := []estimate.Op{op(24, 0.35), op(24, 0.35), op(34, 0.3), op(34, 0.3), op(8, 0.5), op(9, 0.5), op(3, 0.4), op(4, 0.4), op(2, 0.3)}
	for _, c := range []struct {
		name   string
		ops    []estimate.Op
		common float64
	}{
		{"one operation", []estimate.Op{op(20, 0.5)}, 0},
		{"one operation of a slow machine", []estimate.Op{op(20, 0.4)}, 0.3},
		{"twelve alike", even, 0},
		{"twelve alike, correlated", even, 0.25},
		{"a long visit, correlated", mixed, 0.23},
	} {
		run := estimate.Visit{Ops: c.ops, Common: c.common, Terms: terms}.Run(0)
		mean := 0.0
		for _, o := range c.ops {
			mean += o.Hands.Mean.Minutes()
		}
		if got := run.Hands.Mean.Minutes(); !near(got, mean, 2e-3*mean) {
			t.Errorf("%s: mean %.3f min, want %.3f", c.name, got, mean)
		}
		for _, q := range []struct {
			p   float64
			got time.Duration
		}{{0.50, run.Hands.P50}, {0.80, run.Hands.P80}, {0.95, run.Hands.P95}} {
			want := convolved(c.ops, c.common, 0.5, 1200, q.p)
			if got := q.got.Minutes(); !near(got, want, 0.006*want) {
				t.Errorf("%s: kept in %.0f %%: %.2f min, by convolution %.2f", c.name, 100*q.p, got, want)
			}
		}
	}
}

// TestOneOperationIsLogNormal: without anything to add, the lattice gives the
// closed form.
func TestOneOperationIsLogNormal(t *testing.T) {
	s := estimate.Spread{Mean: 30 * time.Minute, Sigma: math.Hypot(0.3, 0.4)}
	run := estimate.Visit{Ops: []estimate.Op{op(30, 0.4)}, Common: 0.3, Terms: terms}.Run(0)
	for p, got := range map[float64]time.Duration{0.5: run.Hands.P50, 0.8: run.Hands.P80, 0.95: run.Hands.P95} {
		if want := s.Within(p); !near(got.Minutes(), want.Minutes(), 0.004*want.Minutes()) {
			t.Errorf("%g: %v, closed form %v", p, got, want)
		}
	}
}

// TestSlowMachine: a spread that is common to all operations widens the sum far
// more than the same spread of each for itself.
func TestSlowMachine(t *testing.T) {
	ops := make([]estimate.Op, 16)
	for i := range ops {
		ops[i] = op(5, 0.3)
	}
	apart := estimate.Visit{Ops: ops, Terms: terms}.Run(0)
	for i := range ops {
		ops[i] = op(5, 0)
	}
	together := estimate.Visit{Ops: ops, Common: 0.3, Terms: terms}.Run(0)
	wide := func(r estimate.Run) float64 { return (r.Hands.P95 - r.Hands.Mean).Minutes() }
	if wide(together) < 3*wide(apart) {
		t.Errorf("together %.1f min beyond the mean, apart %.1f", wide(together), wide(apart))
	}
}

// TestRisks: a seized screw in 4 of 7 visits, 20 min and 6.00: how often it
// shows, what it costs on average, and what it does to the price.
func TestRisks(t *testing.T) {
	shield := op(6, 0)
	shield.Risks = []estimate.Risk{
		{What: "front upper screw seizes", Times: 4, Of: 7, Minutes: 20 * time.Minute, Price: 600},
		{What: "never counted", Times: 0, Of: 0, Minutes: time.Hour},
	}
	v := estimate.Visit{Ops: []estimate.Op{shield}, Terms: terms}
	lines := v.Risks()
	if len(lines) != 1 || lines[0].IfItDoes != 3400 || lines[0].Expected != 1943 {
		t.Fatalf("%+v; want 28.00 + 6.00 = 34.00 when it happens, 19.43 on average", lines)
	}
	run := v.Run(0)
	want := (840 + 1943) * 1.2
	if !near(float64(run.Price.Mean), want, 0.01*want) {
		t.Errorf("average price %d, want %.0f", run.Price.Mean, want)
	}
	if run.Price.P50 <= 840*12/10 {
		t.Errorf("in 4 of 7 the screw seizes, and half of all visits pay %d", run.Price.P50)
	}
	shield.Risks[0].Times = 3
	if less := (estimate.Visit{Ops: []estimate.Op{shield}, Terms: terms}).Run(0); less.Price.P50 != 840*12/10 {
		t.Errorf("in 3 of 7 it seizes, and half of all visits pay %d", less.Price.P50)
	}
}

// TestWaiting: a wait that begins is filled by the work that follows; what is
// left is waited, costs the waiting rate, and is free for other work when it is
// long.
func TestWaiting(t *testing.T) {
	cool := op(1, 0)
	cool.Begins, cool.Wait = "engine", 60*time.Minute
	between := op(24, 0)
	between.People, between.Setup = 2, 3*time.Minute
	await := estimate.Op{Awaits: "engine"}
	v := estimate.Visit{Ops: []estimate.Op{cool, between, await, op(10, 0)}, Terms: terms}
	avg := v.Average()
	want := estimate.Times[time.Duration]{
		Hands: 38 * time.Minute, Waiting: 48 * time.Minute, Free: 48 * time.Minute,
		Elapsed: 1*time.Minute + 12*time.Minute + 3*time.Minute + 48*time.Minute + 10*time.Minute,
	}
	if avg != want {
		t.Errorf("%+v, want %+v", avg, want)
	}
	if run := v.Run(0); run.Waiting.P50 != want.Waiting || run.Elapsed.P95 != want.Elapsed {
		t.Errorf("certain times, and %+v", run.Times)
	}
	cool.Wait = 25 * time.Minute
	v.Ops[0] = cool
	if avg = v.Average(); avg.Waiting != 13*time.Minute || avg.Free != 0 {
		t.Errorf("a short wait: %+v", avg)
	}
	v.Ops[1] = op(24, 0.8)
	if run := v.Run(0); run.Waiting.P50 >= run.Waiting.P95 || run.Waiting.P95 > 25*time.Minute {
		t.Errorf("the slower the work, the shorter the wait: %+v", run.Waiting)
	}
}

// TestLimit: when a limit is reached on average, and how probably at all.
func TestLimit(t *testing.T) {
	v := estimate.Visit{Ops: []estimate.Op{op(60, 0.2), op(60, 0.2), op(60, 0.2)}, Common: 0.2, Terms: terms}
	run := v.Run(0)
	if len(run.Over) != 0 {
		t.Errorf("no limit, and %v", run.Over)
	}
	limit := estimate.Sum(8400 * 12 / 10 * 3 / 2) // an hour and a half, with tax
	run = v.Run(limit)
	got := v.Reach(limit, run)
	if got.Op != 1 || got.After != time.Hour || got.Odds < 0.99 {
		t.Errorf("%+v", got)
	}
	for i := 1; i < len(run.Over); i++ {
		if run.Over[i] < run.Over[i-1] {
			t.Errorf("less probable after more work: %v", run.Over)
		}
	}
	half := v.Reach(run.Price.P50, v.Run(run.Price.P50))
	if !near(half.Odds, 0.5, 0.01) {
		t.Errorf("a limit at the half point is reached with %.3f", half.Odds)
	}
	if far := v.Reach(10*run.Price.P95, v.Run(10*run.Price.P95)); far.Op != -1 || far.Odds > 0.001 {
		t.Errorf("a limit far off: %+v", far)
	}
}

// TestRunIsTheSame: nothing but the visit decides what comes out.
func TestRunIsTheSame(t *testing.T) {
	v := estimate.Visit{Ops: []estimate.Op{op(12, 0.4), op(30, 0.2)}, Common: 0.2, Terms: terms}
	a, b := v.Run(5000), v.Run(5000)
	if a.Times != b.Times || a.Price != b.Price || a.Over[1] != b.Over[1] {
		t.Error("two runs of one visit differ")
	}
}

// BenchmarkRun works out a visit of sixty operations with four risks.
func BenchmarkRun(b *testing.B) {
	var ops []estimate.Op
	for i := range 60 {
		o := op(float64(2+i%20), 0.35)
		if i%15 == 0 {
			o.Risks = []estimate.Risk{{Times: 2, Of: 9, Minutes: 10 * time.Minute, Price: money.Amount(1800)}}
		}
		ops = append(ops, o)
	}
	v := estimate.Visit{Ops: ops, Common: 0.23, Terms: terms}
	var run estimate.Run
	for b.Loop() {
		run = v.Run(90_000)
	}
	if run.Hands.P50 <= 0 || run.Hands.P95 <= run.Hands.P80 {
		b.Fatalf("%+v", run)
	}
}
