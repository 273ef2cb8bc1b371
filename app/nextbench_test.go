package app

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/internal/engines"
	"elbowroom/suspect"
	"elbowroom/suspect/decide"
)

// How many random guides are tried; the default is for every day, 200 and
// more for a measurement.
var (
	guidesFlag = flag.Int("guides", 0, "random guides on which the next step is compared with simple policies; 0 is the short default, which takes small guides alone")
	bestFlag   = flag.Duration("guides.best", 3*time.Second, "processor time for the optimum of each guide")
	freshFlag  = flag.Uint64("guides.seed", engines.FreshSeeds, "first seed of the random guides")
)

const shortGuides = 8

// troubles are the random guides: of ten, five small, three medium, two large.
func troubles() []engines.Trouble {
	var list []engines.Trouble
	for i := range max(*guidesFlag, shortGuides) {
		size := engines.SmallTrouble
		switch {
		case *guidesFlag == 0 || i%10 < 5:
		case i%10 < 8:
			size = engines.MediumTrouble
		default:
			size = engines.LargeTrouble
		}
		list = append(list, engines.Troubled(*freshFlag+uint64(i), size))
	}
	return list
}

// troubleApp is the program with one random guide, and the job that came in.
func troubleApp(m engines.Trouble, clock func() time.Time) (*App, Job) {
	a := &App{Clock: clock, guides: []*Loaded{{Name: "troubled", Guide: m.Guide}}, resolved: map[string]*bench{}}
	j := Job{Ask: Ask{Guide: "troubled", Start: []string{}}, Codes: append([]string{}, m.Codes...), AllCodes: true}
	for _, s := range m.Signs {
		j.Ticks = append(j.Ticks, "yes: "+s)
	}
	for _, s := range m.Absent {
		j.Ticks = append(j.Ticks, "no: "+s)
	}
	for _, f := range m.Request.Found {
		how := " aside"
		if f.Off {
			how = " off"
		}
		j.Start = append(j.Start, string(f.Item)+how)
	}
	for _, g := range m.Request.Given {
		j.Start = append(j.Start, string(g.Condition)+"="+string(g.Value))
	}
	return a, j
}

// entered is a job that has come in: its guide is read and made ready.
type entered struct {
	m  engines.Trouble
	in *inquest
}

func enter(t *testing.T, m engines.Trouble) entered {
	t.Helper()
	a, j := troubleApp(m, time.Now)
	in, err := a.inquire(j)
	if err != nil {
		t.Fatalf("%s: %v", m.Name, err)
	}
	return entered{m, in}
}

// framed makes the decision problem of a job with nothing priced yet.
func (e entered) framed(t *testing.T) *suspect.Problem {
	t.Helper()
	moves, err := e.in.planner.Moves(e.in.req, access.Limits{})
	if err != nil {
		t.Fatalf("%s: %v", e.m.Name, err)
	}
	s := &shop{in: e.in, moves: moves, refer: e.in.req.Rate.For(referBlocks * time.Hour)}
	p, err := suspect.Frame(e.in.c, s, suspect.Work{Proof: e.m.Proof})
	if err != nil {
		t.Fatalf("%s: %v", e.m.Name, err)
	}
	return p
}

// solved is an answer with what it took.
type solved struct {
	*decide.Answer
	took time.Duration
}

// solveFor makes the problem afresh and solves it within a time of the processor.
func (e entered) solveFor(t *testing.T, limit time.Duration) (*suspect.Problem, solved) {
	t.Helper()
	runtime.GC()
	began := processorTime()
	p := e.framed(t)
	ans, err := decide.Solve(p.Decide, decide.Limits{Stop: func() bool { return processorTime()-began > limit }})
	if err != nil {
		t.Fatalf("%s: %v", e.m.Name, err)
	}
	return p, solved{ans, processorTime() - began}
}

// simple are the ways in which people go about it. Where a policy has a share
// at which it stops checking, it is given the best of several.
var simple = []struct {
	name string
	of   func(t *testing.T, p decide.Problem) []decide.Policy
}{
	{"replace the likeliest first", func(*testing.T, decide.Problem) []decide.Policy { return []decide.Policy{decide.LikeliestFirst()} }},
	{"cheapest check first", func(*testing.T, decide.Problem) []decide.Policy { return atShares(decide.CheapestFirst) }},
	{"largest information first", func(*testing.T, decide.Problem) []decide.Policy { return atShares(decide.MostInformation) }},
	{"ignoring access", func(t *testing.T, p decide.Problem) []decide.Policy {
		policy, err := decide.IgnoringAccess(p, decide.Limits{Nodes: 20_000})
		if err != nil {
			t.Fatal(err)
		}
		return []decide.Policy{policy}
	}},
}

func atShares(policy func(float64) decide.Policy) []decide.Policy {
	return []decide.Policy{policy(.5), policy(.8)}
}

// priced is what the best of the policies costs.
func priced(t *testing.T, p decide.Problem, policies []decide.Policy) float64 {
	t.Helper()
	best := math.Inf(1)
	for _, policy := range policies {
		x, err := decide.Price(p, policy)
		if err != nil {
			t.Fatal(err)
		}
		best = min(best, x)
	}
	return best
}

// trial is one random guide with everything that was found.
type trial struct {
	m              engines.Trouble
	lost           float64
	worlds, checks int
	quick, full    solved // within 200 ms and 1 s
	best           solved // within the time for the optimum
	simple         []float64
	simpleTook     []time.Duration
	exact          float64 // by plain dynamic programming; 0 where that was not tried
}

// Times of the processor that are tried.
const (
	quickTime = 200 * time.Millisecond
	fullTime  = time.Second
)

// exhaustWorlds and exhaustChecks bound what is solved a second time by plain
// dynamic programming, mostStates the information states that this may take.
const (
	exhaustWorlds = 6
	exhaustChecks = 4
	mostStates    = 1 << 14
)

func tried(t *testing.T, m engines.Trouble) trial {
	t.Helper()
	x := trial{m: m}
	e := enter(t, m)
	_, x.quick = e.solveFor(t, quickTime)
	_, x.full = e.solveFor(t, fullTime)
	var p *suspect.Problem
	p, x.best = e.solveFor(t, *bestFlag)
	x.lost, x.worlds, x.checks = p.Lost, len(p.Decide.Worlds), len(p.Decide.Checks)
	for _, s := range simple {
		began := processorTime()
		x.simple = append(x.simple, priced(t, p.Decide, s.of(t, p.Decide)))
		x.simpleTook = append(x.simpleTook, processorTime()-began)
	}
	if x.worlds <= exhaustWorlds && x.checks <= exhaustChecks {
		exact, err := decide.Exhaust(p.Decide, mostStates)
		switch {
		case errors.Is(err, decide.ErrTooLarge):
		case err != nil:
			t.Fatal(err)
		default:
			x.exact = exact.Expected
		}
	}
	return x
}

// slack is the relative difference under which two costs that were added up in
// another order are the same.
const slack = 1e-7

// TestNextAgainstSimplePolicies: on random guides no simple policy costs less
// than the bound, nor less than an answer that is proved; the bound is not above
// the answer; what the answer says it costs is what its tree costs; and plain
// dynamic programming finds the same optimum where it is small enough.
func TestNextAgainstSimplePolicies(t *testing.T) {
	all := troubles()
	if len(all) == 0 {
		t.Fatal("no guides")
	}
	var list []trial
	for _, m := range all {
		x := tried(t, m)
		list = append(list, x)
		for _, a := range []solved{x.quick, x.full, x.best} {
			x.holds(t, a)
		}
		if *guidesFlag > 0 {
			fmt.Println(x.line())
		}
	}
	if !slices.ContainsFunc(list, func(x trial) bool { return x.exact > 0 }) {
		t.Error("plain dynamic programming has answered none of the guides")
	}
	printTrials(t, list)
}

func (x *trial) holds(t *testing.T, a solved) {
	t.Helper()
	if a.Bound > a.Expected*(1+slack) || x.best.Bound > a.Expected*(1+slack) {
		t.Errorf("%s: bounds %g and %g, expected %g", x.m.Name, a.Bound, x.best.Bound, a.Expected)
	}
	if x.best.Status == decide.Proved && a.Bound > x.best.Expected*(1+slack) {
		t.Errorf("%s: bound %g above the optimum %g", x.m.Name, a.Bound, x.best.Expected)
	}
	if x.exact > 0 && (a.Bound > x.exact*(1+slack) || a.Expected < x.exact*(1-slack) || a.Status == decide.Proved && a.Expected > x.exact*(1+slack)) {
		t.Errorf("%s: %v, between %g and %g; plain dynamic programming says %g", x.m.Name, a.Status, a.Bound, a.Expected, x.exact)
	}
	for i, cost := range x.simple {
		least := a.Bound
		if a.Status == decide.Proved {
			least = a.Expected
		}
		if cost < least*(1-slack) {
			t.Errorf("%s: %s costs %g, less than %g (%v)", x.m.Name, simple[i].name, cost, least, a.Status)
		}
	}
}

func (x *trial) line() string {
	s := fmt.Sprintf("%-22s worlds %2d checks %2d lost %4.1f%% | 200ms %v %.3f 1s %v %.3f gap %.3f | best %v %v", x.m.Name, x.worlds, x.checks, 100*x.lost,
		x.quick.took.Round(time.Millisecond), x.quick.Expected/x.best.Expected, x.full.took.Round(time.Millisecond), x.full.Expected/x.best.Expected,
		1-x.full.Bound/x.full.Expected, x.best.took.Round(time.Millisecond), x.best.Status == decide.Proved)
	for i, c := range x.simple {
		s += fmt.Sprintf(" %.2f in %v", c/x.full.Expected, x.simpleTook[i].Round(time.Millisecond))
	}
	return s + fmt.Sprintf(" first %v %d nodes %d moves %d", x.best.First.Kind, x.best.First.Index, x.best.Work.Nodes, x.best.Work.Moves)
}

// printTrials prints the figures by size.
func printTrials(t *testing.T, list []trial) {
	var b strings.Builder
	for _, size := range []engines.TroubleSize{engines.SmallTrouble, engines.MediumTrouble, engines.LargeTrouble} {
		part := slices.DeleteFunc(slices.Clone(list), func(x trial) bool { return len(x.m.Guide.Items) != size.Items })
		if len(part) > 0 {
			reportSize(&b, size.Name, part)
		}
	}
	reportSize(&b, "all", list)
	t.Log("\n" + b.String())
}

func reportSize(b *strings.Builder, name string, list []trial) {
	fmt.Fprintf(b, "%s: %d guides\n", name, len(list))
	for i, s := range simple {
		ratios := collect(list, func(x trial) float64 { return x.simple[i] / x.full.Expected })
		fmt.Fprintf(b, "  %-28s mean %.3f  worst %.2f  dearer than ours on %d, cheaper on %d\n", s.name, mean(ratios), slices.Max(ratios), above(ratios, 1+slack), len(list)-above(ratios, 1-slack))
	}
	for _, lim := range []struct {
		name string
		of   func(x trial) solved
	}{{"200 ms", func(x trial) solved { return x.quick }}, {"1 s", func(x trial) solved { return x.full }}, {"optimum", func(x trial) solved { return x.best }}} {
		known := slices.DeleteFunc(slices.Clone(list), func(x trial) bool { return x.best.Status != decide.Proved })
		over := collect(known, func(x trial) float64 { return lim.of(x).Expected/x.best.Expected - 1 })
		gaps := collect(list, func(x trial) float64 { return 1 - lim.of(x).Bound/lim.of(x).Expected })
		times := collect(list, func(x trial) float64 { return lim.of(x).took.Seconds() * 1000 })
		fmt.Fprintf(b, "  within %-7s proved %d; over the optimum (%d known) mean %.2f %%, worst %.1f %%; own gap mean %.1f %%, worst %.1f %%; time median %.0f ms, worst %.0f ms\n",
			lim.name, len(list)-above(gaps, slack), len(known), 100*mean(over), 100*worst(over), 100*mean(gaps), 100*worst(gaps), median(times), worst(times))
	}
}

func collect(list []trial, of func(trial) float64) []float64 {
	out := make([]float64, len(list))
	for i := range list {
		out[i] = of(list[i])
	}
	return out
}

func above(xs []float64, least float64) (n int) {
	for _, x := range xs {
		if x > least {
			n++
		}
	}
	return n
}

func mean(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(max(1, len(xs)))
}

func worst(xs []float64) float64 {
	if len(xs) == 0 {
		return 0
	}
	return slices.Max(xs)
}

func median(xs []float64) float64 {
	xs = slices.Sorted(slices.Values(xs))
	if len(xs) == 0 {
		return 0
	}
	return xs[len(xs)/2]
}
