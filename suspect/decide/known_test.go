package decide_test

import (
	"fmt"
	"testing"

	"elbowroom/suspect/decide"
)

// identify builds the problem of finding out which world is true when every
// world has a repair of its own that costs much: what is left of the optimum
// beside that cost is what checks cost. A repair in the wrong world is a
// repair for nothing.
func identify(weights []float64, rows [][]int, costs []int64) (decide.Problem, float64) {
	const dear = 1 << 20
	n := len(weights)
	p := decide.Problem{Worlds: append(append([]float64(nil), weights...), 0), Right: make([]bool, n+1)}
	p.Right[n] = true
	var prices decide.Prices
	for c, cost := range costs {
		pass := make([]float64, n+1)
		fail := make([]float64, n+1)
		for w := range rows {
			fail[w] = float64(rows[w][c])
		}
		for w := range pass {
			pass[w] = 1 - fail[w]
		}
		p.Checks = append(p.Checks, decide.Check{Action: decide.Action(c), Chance: [][]float64{pass, fail}})
		prices = append(prices, cost)
	}
	for w := range rows {
		to := make([]int, n+1)
		for i := range to {
			to[i] = i
		}
		to[w] = n
		p.Repairs = append(p.Repairs, decide.Repair{Action: decide.Action(len(prices)), To: to})
		prices = append(prices, dear)
	}
	p.Proof.Action = decide.NoWork
	p.Ground = prices
	return p, dear
}

// unit is what one check costs in problems that are published in units, so
// that whole numbers are exact.
const unit = 100

func units(n int) []int64 {
	out := make([]int64, n)
	for i := range out {
		out[i] = unit
	}
	return out
}

// TestSixStatesFiveTests is a consistency check, not a published value: the
// data of this example of the test-sequencing literature are from memory, and
// their exact optimum comes out as remembered, 2.18 tests.
func TestSixStatesFiveTests(t *testing.T) {
	weights := []float64{.70, .01, .02, .10, .05, .12}
	rows := [][]int{{0, 0, 0, 0, 0}, {0, 1, 0, 0, 1}, {0, 0, 1, 1, 0}, {1, 0, 0, 1, 1}, {1, 1, 0, 0, 0}, {1, 1, 1, 1, 0}}
	p, dear := identify(weights, rows, units(5))
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "optimum", (a.Expected-dear)/unit, 2.18, 1e-6)
	near(t, "Huffman bound", decide.Huffman(weights), 1.59, 1e-12)
	near(t, "largest information first", (expected(t, p, decide.MostInformation(1))-dear)/unit, 2.86, 1e-6)
	second := a.Root().Branches()
	if a.First.Index != 1 || second[1].Next.Step().Index != 2 || second[0].Next.Step().Index != 3 {
		t.Errorf("the tree is %v, then %v after a fail and %v after a pass; want tests 2, 3 and 4", a.First, second[1].Next.Step(), second[0].Next.Step())
	}
}

// thresholds is Table 1 of the case base of five defects and four tests:
// defect k makes the last k-1 tests fail; a dash is an outcome not known.
var thresholds = [][]int{{0, 0, 0, 0}, {0, 0, 0, 1}, {0, 0, 1, 1}, {0, 1, 1, 1}, {1, 1, 1, 1}}

// trace asks tests in an order, skipping those that tell nothing, until one
// defect is left; unknown outcomes (-1) exclude nothing. It returns how many
// were asked.
func trace(t *testing.T, rows [][]int, defect int, answers, order []int) int {
	t.Helper()
	p := decide.Problem{Right: make([]bool, len(rows))}
	p.Right[0] = true // any; only what is asked matters here
	for range rows {
		p.Worlds = append(p.Worlds, 1)
	}
	var prices decide.Prices
	for c := range rows[0] {
		pass, fail := make([]float64, len(rows)), make([]float64, len(rows))
		for w := range rows {
			switch rows[w][c] {
			case -1:
				pass[w], fail[w] = .5, .5
			case 0:
				pass[w] = 1
			default:
				fail[w] = 1
			}
		}
		p.Checks = append(p.Checks, decide.Check{Action: decide.Action(c), Chance: [][]float64{pass, fail}})
		prices = append(prices, unit)
	}
	p.Proof.Action = decide.NoWork
	p.Escapes = []decide.Escape{{Price: unit}}
	p.Ground = prices
	a, err := decide.Solve(p, decide.Limits{Nodes: 1})
	if err != nil {
		t.Fatal(err)
	}
	n, asked := a.Root(), 0
	for _, c := range order {
		left := 0
		for _, x := range n.Chances() {
			if x > 0 {
				left++
			}
		}
		if left == 1 {
			break
		}
		for _, b := range n.Follow(decide.Step{Kind: decide.Ask, Index: c}) {
			if b.Outcome == answers[c] {
				n = b.Next
				asked++
				break
			}
		}
	}
	for w, x := range n.Chances() {
		if (x > 0) != (w == defect) {
			t.Errorf("defect %d is not singled out: %v", defect+1, n.Chances())
		}
	}
	return asked
}

// TestThresholds reproduces the published traces of a threshold case base of
// five defects and four tests (full text seen, Table 1), and its optimum.
func TestThresholds(t *testing.T) {
	third := thresholds[2]
	if n := trace(t, thresholds, 2, third, []int{0, 1, 2, 3}); n != 3 {
		t.Errorf("in order, %d tests, want 3", n)
	}
	if n := trace(t, thresholds, 2, third, []int{1, 2, 0, 3}); n != 2 {
		t.Errorf("from test 2 on, %d tests, want 2", n)
	}
	unknown := [][]int{{-1, -1, -1, 0}, {-1, -1, 0, 1}, {-1, 0, 1, 1}, {0, 1, 1, 1}, {1, 1, 1, 1}}
	if n := trace(t, unknown, 2, third, []int{0, 1, 2, 3}); n != 4 {
		t.Errorf("with unknown outcomes, %d tests, want 4", n)
	}
	equal := []float64{1, 1, 1, 1, 1}
	p, dear := identify(equal, thresholds, units(4))
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "optimum", (a.Expected-dear)/unit, 2.4, 1e-6)
	static := func(v *decide.View) (decide.Step, bool) {
		if v.Passes() > 0 {
			return v.Cheapest(decide.Prove, 0)
		}
		if cs := v.Checks(); len(cs) > 0 {
			return v.Cheapest(decide.Ask, cs[0])
		}
		return v.Cheapest(decide.Mend, v.Repairs()[0])
	}
	near(t, "tests 1 to 4 in order", (expected(t, p, static)-dear)/unit, 2.8, 1e-6)
}

// cures builds a problem of repairs alone, each of which makes some worlds
// right and shows at once whether it did.
func cures(weights []float64, sets [][]int, costs []int64) decide.Problem {
	n := len(weights)
	p := decide.Problem{Worlds: append(append([]float64(nil), weights...), 0), Right: make([]bool, n+1)}
	p.Right[n] = true
	var prices decide.Prices
	for r, set := range sets {
		to := make([]int, n+1)
		for w := range to {
			to[w] = w
		}
		for _, w := range set {
			to[w] = n
		}
		p.Repairs = append(p.Repairs, decide.Repair{Action: decide.Action(r), To: to})
		prices = append(prices, costs[r])
	}
	p.Proof.Action = decide.NoWork
	p.Ground = prices
	return p
}

// byRatio repairs first what has the greatest chance to help for its price.
func byRatio(prices []int64) decide.Policy {
	return func(v *decide.View) (decide.Step, bool) {
		if v.Passes() > 0 {
			return v.Cheapest(decide.Prove, 0)
		}
		best, ratio := -1, -1.0
		for _, r := range v.Repairs() {
			if x := v.Cures(r) / float64(prices[r]); x > ratio+1e-12 {
				best, ratio = r, x
			}
		}
		return v.Cheapest(decide.Mend, best)
	}
}

// TestDependentActions is a consistency check: the data are from memory, the
// figures recomputed. Chance over cost, taken anew at each step, costs 1.50;
// the optimum 1.45.
func TestDependentActions(t *testing.T) {
	p := cures([]float64{.20, .25, .40, .15}, [][]int{{0, 1}, {1, 2}, {2, 3}}, units(3))
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "optimum", a.Expected/unit, 1.45, 1e-9)
	near(t, "chance over cost", expected(t, p, byRatio(units(3)))/unit, 1.50, 1e-9)
	second := a.Root().Branches()[0].Next.Branches()[1].Next.Step()
	if a.First.Index != 2 || second.Index != 0 {
		t.Errorf("repairs %d then %d, want the third and then the first", a.First.Index, second.Index)
	}
}

// TestOddsRule: independent faults, any number of which may be present; the
// one repair at a time that costs least follows odds over cost (constructed,
// brute force over the six orders).
func TestOddsRule(t *testing.T) {
	q, costs := []float64{.3, .5, .2}, []int64{2, 6, 1}
	orders := map[[3]int]float64{{2, 0, 1}: 6.9722, {0, 2, 1}: 7, {2, 1, 0}: 7.25, {0, 1, 2}: 7.2778, {1, 2, 0}: 7.4444, {1, 0, 2}: 7.5}
	for i := range costs {
		costs[i] *= unit
	}
	p := independent(q, costs)
	a, err := decide.Solve(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "optimum", a.Expected/unit, 6.972222, 1e-6)
	for order, want := range orders {
		near(t, fmt.Sprint(order), expected(t, p, inOrder(order[:]))/unit, want, 1e-4)
	}
}

// independent builds the problem of independent faults with chances q, any
// number of which may be present, given that the machine fails; a repair takes
// away one and shows at once whether the machine is right.
func independent(q []float64, costs []int64) decide.Problem {
	n := 1 << len(q)
	p := decide.Problem{Worlds: make([]float64, n), Right: make([]bool, n)}
	p.Right[0] = true
	for w := 1; w < n; w++ {
		p.Worlds[w] = 1
		for i, x := range q {
			if w>>i&1 == 1 {
				p.Worlds[w] *= x
			} else {
				p.Worlds[w] *= 1 - x
			}
		}
	}
	for i := range costs {
		to := make([]int, n)
		for w := range to {
			to[w] = w &^ (1 << i)
		}
		p.Repairs = append(p.Repairs, decide.Repair{Action: decide.Action(i), To: to})
	}
	p.Proof.Action = decide.NoWork
	p.Ground = decide.Prices(costs)
	return p
}

// inOrder repairs in a fixed order.
func inOrder(order []int) decide.Policy {
	return func(v *decide.View) (decide.Step, bool) {
		if v.Passes() > 0 {
			if st, ok := v.Cheapest(decide.Prove, 0); ok {
				return st, true
			}
		}
		for _, r := range order {
			if st, ok := v.Cheapest(decide.Mend, r); ok {
				return st, true
			}
		}
		return decide.Step{}, false
	}
}
