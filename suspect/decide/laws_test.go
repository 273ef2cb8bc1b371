package decide_test

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"elbowroom/suspect/decide"
	"elbowroom/suspect/decide/decidetest"
)

// optimum solves a problem to the proof.
func optimum(t *testing.T, p decide.Problem) float64 {
	t.Helper()
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if a.Status == decide.Bounded {
		t.Fatalf("not proved: %+v", a.Work)
	}
	return a.Expected
}

// laws tries a law on random problems of every shape.
func laws(t *testing.T, try func(t *testing.T, seed uint64, p decide.Problem)) {
	t.Helper()
	for _, sh := range shapes {
		t.Run(sh.name, func(t *testing.T) {
			for seed := range seeds(min(sh.seeds, 12)) {
				try(t, seed, problem(sh.shape, seed+5000))
			}
		})
	}
}

// widen adds a work to the machine of p and returns its action and a problem on
// the wider machine; p keeps its own.
func widen(p decide.Problem, w decidetest.Work) (decide.Problem, decide.Action) {
	o := p.Ground.(*decidetest.Operations).Copy()
	o.Works = append(slices.Clone(o.Works), w)
	p.Ground = o
	return p, decide.Action(len(o.Works) - 1)
}

func TestUselessCheckChangesNothing(t *testing.T) {
	laws(t, func(t *testing.T, seed uint64, p decide.Problem) {
		before := optimum(t, p)
		q, act := widen(p, decidetest.Work{})
		half := slices.Repeat([]float64{.5}, len(p.Worlds))
		q.Checks = append(slices.Clone(p.Checks), decide.Check{Action: act, Chance: [][]float64{half, half}})
		if after := optimum(t, q); after != before {
			t.Errorf("seed %d: %.9f became %.9f", seed, before, after)
		}
	})
}

func TestImpossibleWorldChangesNothing(t *testing.T) {
	laws(t, func(t *testing.T, seed uint64, p decide.Problem) {
		before := optimum(t, p)
		r := rand.New(rand.NewPCG(seed, 7))
		q := p
		q.Worlds = append(slices.Clone(p.Worlds), 0)
		q.Right = append(slices.Clone(p.Right), false)
		q.Checks = slices.Clone(p.Checks)
		for i, c := range p.Checks {
			chance := make([][]float64, len(c.Chance))
			left := 1.0
			for o := range chance {
				x := left * r.Float64()
				if o == len(chance)-1 {
					x = left
				}
				left -= x
				chance[o] = append(slices.Clone(c.Chance[o]), x)
			}
			q.Checks[i].Chance = chance
		}
		q.Repairs = slices.Clone(p.Repairs)
		for i := range q.Repairs {
			to := len(p.Worlds)
			if r.Float64() < .5 {
				to = slices.Index(p.Right, true)
			}
			q.Repairs[i].To = append(slices.Clone(p.Repairs[i].To), to)
		}
		if p.Proof.Pass != nil {
			q.Proof.Pass = append(slices.Clone(p.Proof.Pass), r.Float64())
		}
		q.Escapes = slices.Clone(p.Escapes)
		for i, e := range p.Escapes {
			if e.Extra != nil {
				q.Escapes[i].Extra = append(slices.Clone(e.Extra), 1)
			}
		}
		if after := optimum(t, q); !same(before, after) {
			t.Errorf("seed %d: %.9f became %.9f", seed, before, after)
		}
	})
}

// TestAddedOptionNeverRaises: one more check, repair, way to refer on, or a
// cheaper way to do something never raises the optimum.
func TestAddedOptionNeverRaises(t *testing.T) {
	laws(t, func(t *testing.T, seed uint64, p decide.Problem) {
		before := optimum(t, p)
		r := rand.New(rand.NewPCG(seed, 11))
		fewer := map[string]decide.Problem{}
		if len(p.Checks) > 0 {
			q := p
			i := r.IntN(len(p.Checks))
			q.Checks = slices.Delete(slices.Clone(p.Checks), i, i+1)
			fewer["a check"] = q
		}
		q := p
		i := r.IntN(len(p.Repairs))
		q.Repairs = slices.Delete(slices.Clone(p.Repairs), i, i+1)
		fewer["a repair"] = q
		if len(p.Escapes) > 0 {
			q := p
			q.Escapes = nil
			fewer["referring on"] = q
		}
		for name, q := range fewer {
			if without := optimum(t, q); without < before-1e-6 {
				t.Errorf("seed %d: %s raises the optimum from %.6f to %.6f", seed, name, without, before)
			}
		}
		o := p.Ground.(*decidetest.Operations).Copy()
		o.Works = slices.Clone(o.Works)
		o.Works[r.IntN(len(o.Works))].Off = 0
		q = p
		q.Ground = o
		if easier := optimum(t, q); easier > before+1e-6 {
			t.Errorf("seed %d: easier access raises the optimum from %.6f to %.6f", seed, before, easier)
		}
	})
}

// TestSameAnswerAgain: the same problem gives the same answer, step by step.
func TestSameAnswerAgain(t *testing.T) {
	laws(t, func(t *testing.T, seed uint64, p decide.Problem) {
		a, _ := decide.Solve(p, decide.Limits{})
		b, err := decide.Solve(p, decide.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		if a.Expected != b.Expected || a.First != b.First || a.Work != b.Work || !slices.Equal(a.Choices, b.Choices) {
			t.Errorf("seed %d: %+v, then %+v", seed, a, b)
		}
	})
}

// TestRunnerUp: what the runner-up loses is what forbidding the first step
// costs, when only the first move counts; here it is checked from below and
// above by solving what follows each choice.
func TestRunnerUp(t *testing.T) {
	laws(t, func(t *testing.T, seed uint64, p decide.Problem) {
		a, err := decide.Solve(p, decide.Limits{})
		if err != nil || a.Status == decide.Impossible {
			t.Fatal(seed, err)
		}
		for i, c := range a.Choices {
			if c.Bound < a.Expected-1e-6 {
				t.Errorf("seed %d: choice %d may cost %.6f, less than the optimum %.6f", seed, i, c.Bound, a.Expected)
			}
			if c.Step.Kind == decide.Refer || math.IsInf(c.Expected, 1) {
				continue
			}
			sum := float64(c.Step.Cost)
			for _, b := range a.Root().Follow(c.Step) {
				if b.Next == nil {
					sum += b.Chance * b.End
				} else {
					sum += b.Chance * b.Next.Expected()
				}
			}
			if sum > c.Expected+1e-6 {
				t.Errorf("seed %d: choice %d is said to cost %.6f, its branches cost %.6f", seed, i, c.Expected, sum)
			}
		}
		if up, ok := a.RunnerUp(); ok && up.Expected-up.Bound > 1e-6*up.Expected {
			t.Logf("seed %d: the runner-up is known between %.3f and %.3f only", seed, up.Bound, up.Expected)
		}
	})
}

// TestChanceOverCost: for one fault, repairs that cure one each and show at
// once whether they helped, the best order is that of chance over cost.
func TestChanceOverCost(t *testing.T) {
	for seed := range seeds(60) {
		r := rand.New(rand.NewPCG(seed, 1))
		n := 2 + r.IntN(6)
		weights, costs, sets := make([]float64, n), make([]int64, n), make([][]int, n)
		for i := range n {
			weights[i], costs[i], sets[i] = .05+r.Float64(), 10+r.Int64N(200), []int{i}
		}
		p := cures(weights, sets, costs)
		if got, want := expected(t, p, byRatio(costs)), optimum(t, p); !same(got, want) {
			t.Errorf("seed %d: chance over cost %.9f, optimum %.9f", seed, got, want)
		}
	}
}

// TestOddsOverCost: for independent faults, any number of which may be present,
// the best order is that of odds over cost.
func TestOddsOverCost(t *testing.T) {
	for seed := range seeds(40) {
		r := rand.New(rand.NewPCG(seed, 2))
		n := 2 + r.IntN(3)
		q, costs := make([]float64, n), make([]int64, n)
		order := make([]int, n)
		for i := range n {
			q[i], costs[i], order[i] = .05+.9*r.Float64(), 10+r.Int64N(200), i
		}
		p := independent(q, costs)
		ratio := func(i int) float64 { return q[i] / (1 - q[i]) / float64(costs[i]) }
		slices.SortFunc(order, func(a, b int) int {
			if ratio(a) > ratio(b) {
				return -1
			}
			return 1
		})
		if got, want := expected(t, p, inOrder(order)), optimum(t, p); !same(got, want) {
			t.Errorf("seed %d: odds over cost %.9f, optimum %.9f", seed, got, want)
		}
	}
}

// TestChanceOverCostOnTrees: covers that lie in each other like a tree, one
// fault, and a proof that can be made with covers open. Chance over cost from
// the bottom up is best: a cover is worth what the best repairs under it are
// worth together, for their price and its own.
func TestChanceOverCostOnTrees(t *testing.T) {
	for seed := range seeds(80) {
		r := rand.New(rand.NewPCG(seed, 3))
		covers, n := 1+r.IntN(4), 2+r.IntN(5)
		o := &decidetest.Operations{}
		jobs := []treeJob{}
		for i := range covers {
			j := treeJob{up: r.IntN(i+1) - 1}
			under := uint32(0)
			if j.up >= 0 {
				under = 1<<j.up | o.After[j.up]
			}
			o.After = append(o.After, under)
			o.Remove = append(o.Remove, 10+r.Int64N(60))
			o.Refit = append(o.Refit, 10+r.Int64N(60))
			j.cost = float64(o.Remove[i] + o.Refit[i])
			jobs = append(jobs, j)
		}
		weights, costs, sets := make([]float64, n), make([]int64, n), make([][]int, n)
		for i := range n {
			weights[i], costs[i], sets[i] = .05+r.Float64(), 10+r.Int64N(100), []int{i}
			j := treeJob{up: r.IntN(covers+1) - 1, chance: weights[i], cost: float64(costs[i])}
			w := decidetest.Work{Cost: costs[i]}
			if j.up >= 0 {
				w.Off = 1<<j.up | o.After[j.up]
			}
			o.Works = append(o.Works, w)
			jobs = append(jobs, j)
		}
		p := cures(weights, sets, costs)
		p.Ground = o
		if got, want := bottomUp(jobs), optimum(t, p); !same(got, want) {
			t.Errorf("seed %d: chance over cost from the bottom up %.9f, optimum %.9f", seed, got, want)
		}
	}
}

// treeJob is a cover (without a chance) or a repair, under another cover or -1.
type treeJob struct {
	up           int
	chance, cost float64
}

// bottomUp is the expected cost of that order.
func bottomUp(jobs []treeJob) float64 {
	total := 0.0
	for _, j := range jobs {
		total += j.chance
	}
	cost, spent := 0.0, 0.0
	for _, c := range blocks(jobs, -1) {
		for _, j := range c.jobs {
			spent += j.cost
			cost += j.chance * spent
		}
	}
	return cost / total
}

// block is a run of jobs that is best done together.
type block struct {
	chance, cost float64
	jobs         []treeJob
}

// blocks are what lies under a cover, in the best order, in blocks of falling
// chance over cost.
func blocks(jobs []treeJob, under int) []block {
	var out []block
	for i, j := range jobs {
		if j.up != under {
			continue
		}
		top := block{j.chance, j.cost, []treeJob{j}}
		var rest []block
		if j.chance == 0 {
			rest = blocks(jobs, i)
		}
		for len(rest) > 0 && rest[0].chance*top.cost >= top.chance*rest[0].cost {
			top = block{top.chance + rest[0].chance, top.cost + rest[0].cost, append(top.jobs, rest[0].jobs...)}
			rest = rest[1:]
		}
		out = append(append(out, top), rest...)
	}
	slices.SortStableFunc(out, func(a, b block) int { return cmp.Compare(b.chance*a.cost, a.chance*b.cost) })
	return out
}

// TestNoisePersists: an answer is repeated until a repair has really changed
// what it depends on.
func TestNoisePersists(t *testing.T) {
	// Worlds: A, B, C, right. The check shows A by four to one and C surely; the
	// repairs cure one each.
	p := cures([]float64{.45, .45, .1}, [][]int{{0}, {1}, {2}}, []int64{100, 100, 10})
	p.Checks = []decide.Check{{Action: 3, Chance: [][]float64{{.8, .2, 0, .2}, {.2, .8, 1, .8}}}}
	p.Ground = decide.Prices{100, 100, 10, 5}
	p.Proof.Action = decide.NoWork
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	ask := decide.Step{Kind: decide.Ask}
	second := a.Root().Follow(ask)[1].Next
	if second.Follow(ask) != nil {
		t.Error("the check may be asked twice in a row")
	}
	cured := second.Follow(decide.Step{Kind: decide.Mend, Index: 2})[0].Next
	if cured.Follow(ask) == nil {
		t.Error("after the repair of C the check may show something new where C was the cause, and cannot be asked")
	}
	after := cured.Follow(decide.Step{Kind: decide.Prove})
	if after[1].Next.Follow(ask) != nil {
		t.Error("the repair of C proved useless, so that the old answer stands; it may be asked anew")
	}
	again := cured.Follow(ask)
	if len(again) != 2 {
		t.Fatalf("got %d outcomes, want 2", len(again))
	}
	// It showed the second outcome; in A and B it repeats that. A new first
	// outcome can only come from the machine that was cured.
	if c := again[0].Next.Chances(); c[3] != 1 {
		t.Errorf("after a new answer the machine is certainly right, got %v", c)
	}
}

// TestOnce: a check that may be asked once stays so after repairs.
func TestOnce(t *testing.T) {
	p := cures([]float64{.45, .45, .1}, [][]int{{0}, {1}, {2}}, []int64{100, 100, 10})
	p.Checks = []decide.Check{{Action: 3, Once: true, Chance: [][]float64{{.8, .2, 0, .2}, {.2, .8, 1, .8}}}}
	p.Ground = decide.Prices{100, 100, 10, 5}
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	n := a.Root().Follow(decide.Step{Kind: decide.Ask})[1].Next
	if n.Follow(decide.Step{Kind: decide.Mend, Index: 2})[0].Next.Follow(decide.Step{Kind: decide.Ask}) != nil {
		t.Error("it is asked a second time")
	}
}

// TestCarAskedAnew: asking anew after a repair that may have changed the answer
// is worth a little under intervention, and nothing where a repair ends the job
// or changes nothing.
func TestCarAskedAnew(t *testing.T) {
	c := readCar(t)
	p := c.problem(&c.Full).Problem
	for i := range p.Checks {
		p.Checks[i].Once = false
	}
	near(t, "intervention", optimum(t, p), 130.1788, places4) // by an independent recursion, see BENCHMARKS.md
	near(t, "single fault", optimum(t, p.SingleFault()), c.Full.SingleFault.Exact, places4)
}

func TestImpossible(t *testing.T) {
	p := cures([]float64{.5, .5}, [][]int{{0}}, []int64{100})
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if a.Status != decide.Impossible || a.Root() != nil || !math.IsInf(a.Quantiles(.5)[0], 1) {
		t.Errorf("got %+v; a world without a repair and no way to refer on cannot end", a)
	}
	x, err := decide.Exhaust(p, 100)
	if err != nil || !math.IsInf(x.Expected, 1) {
		t.Errorf("got %v, %v", x, err)
	}
}

func TestBadProblems(t *testing.T) {
	for _, tc := range []struct {
		name, says string
		spoil      func(p *decide.Problem)
	}{
		{"negative weight", "Worlds[1]", func(p *decide.Problem) { p.Worlds[1] = -1 }},
		{"not a number", "Worlds[0]", func(p *decide.Problem) { p.Worlds[0] = math.NaN() }},
		{"nothing can be true", "sum to 0", func(p *decide.Problem) { clear(p.Worlds) }},
		{"right too short", "Right has 2", func(p *decide.Problem) { p.Right = p.Right[:2] }},
		{"no prices", "no Ground", func(p *decide.Problem) { p.Ground = nil }},
		{"one outcome", "Checks[0] has 1", func(p *decide.Problem) { p.Checks[0].Chance = p.Checks[0].Chance[:1] }},
		{"outcome too short", "Chance[1] has 2", func(p *decide.Problem) { p.Checks[0].Chance[1] = p.Checks[0].Chance[1][:2] }},
		{"chance over 1", "Chance[0][1] is 1.5", func(p *decide.Problem) { p.Checks[0].Chance[0][1] = 1.5 }},
		{"outcomes do not sum", "sum to", func(p *decide.Problem) { p.Checks[0].Chance[0][1] = .5 }},
		{"wrong action", "Checks[0].Action", func(p *decide.Problem) { p.Checks[0].Action = -2 }},
		{"repair of nowhere", "To[0] is 9", func(p *decide.Problem) { p.Repairs[0].To[0] = 9 }},
		{"repair too short", "Repairs[0].To has 1", func(p *decide.Problem) { p.Repairs[0].To = p.Repairs[0].To[:1] }},
		{"repair that does more the second time", "doing it twice", func(p *decide.Problem) { p.Repairs[0].To = []int{1, 2, 2} }},
		{"repairs in a circle", "back to itself", func(p *decide.Problem) {
			p.Repairs[0].To = []int{1, 1, 2}
			p.Repairs[1].To = []int{0, 0, 2}
		}},
		{"proof too short", "Pass has 1", func(p *decide.Problem) { p.Proof.Pass = []float64{1} }},
		{"proof over 1", "Pass[2]", func(p *decide.Problem) { p.Proof.Pass = []float64{0, 0, 2} }},
		{"negative comeback", "Comeback", func(p *decide.Problem) { p.Proof.Comeback = -1 }},
		{"negative escape", "Escapes[0].Price", func(p *decide.Problem) { p.Escapes = []decide.Escape{{Price: -1}} }},
		{"escape too short", "Extra has 1", func(p *decide.Problem) { p.Escapes = []decide.Escape{{Extra: []int64{1}}} }},
		{"negative extra", "Extra[1]", func(p *decide.Problem) { p.Escapes = []decide.Escape{{Extra: []int64{1, -1, 0}}} }},
		{"bracket of no check", "Unsure[0] names outcome", func(p *decide.Problem) { p.Unsure = []decide.Bracket{{Check: 3}} }},
		{"bracket the wrong way round", "the lower first", func(p *decide.Problem) { p.Unsure = []decide.Bracket{{Low: .5, High: .4}} }},
		{"bracket of no world", "names world 7", func(p *decide.Problem) { p.Unsure = []decide.Bracket{{Worlds: []int{7}}} }},
	} {
		p := twoParts(.5, .9)
		tc.spoil(&p)
		_, err := decide.Solve(p, decide.Limits{})
		if err == nil || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s: got %v; the error should name %q", tc.name, err, tc.says)
		}
	}
}

// TestReferredOnHalfDone: where referring on is cheaper with one fault out, the
// job is repaired that far first: 10 and 50 against 150.
func TestReferredOnHalfDone(t *testing.T) {
	p := decide.Problem{
		Worlds:  []float64{1, 0, 0}, // two faults, the second of them, none
		Right:   []bool{false, false, true},
		Repairs: []decide.Repair{{Action: 0, To: []int{1, 1, 2}}},
		Proof:   decide.Proof{Action: 1},
		Escapes: []decide.Escape{{Price: 50, Extra: []int64{100, 0, 0}}},
		Ground:  decide.Prices{10, 5},
	}
	if got := optimum(t, p); got != 60 {
		t.Errorf("%v, want 60", got)
	}
}
