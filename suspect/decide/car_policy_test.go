package decide_test

import (
	"math"
	"testing"

	"elbowroom/suspect/decide"
)

// pair is an action of the source: look at a part and repair it if it is bad,
// or repair it unseen (check < 0).
type pair struct {
	part          int // bit of the world
	check, repair int // indices in the problem
	look, mend    float64
}

// pairs lists the pairs of a problem in the order of carParts.
func (p *carProblem) pairs() []pair {
	prices := p.Ground.(decide.Prices)
	var out []pair
	for r, name := range p.repairs {
		x := pair{check: -1, repair: r, mend: float64(prices[p.Repairs[r].Action])}
		for i, part := range carParts {
			if part == name {
				x.part = i
			}
		}
		for c, check := range p.checks {
			if check == "observe "+name {
				x.check, x.look = c, float64(prices[p.Checks[c].Action])
			}
		}
		out = append(out, x)
	}
	return out
}

// unseen is the pair without the look.
func (x pair) unseen() pair { x.check, x.look = -1, 0; return x }

func (p *carProblem) named(t *testing.T, names ...string) []pair {
	t.Helper()
	var out []pair
	for _, name := range names {
		for _, x := range p.pairs() {
			if p.repairs[x.repair] == name {
				out = append(out, x)
			}
		}
	}
	if len(out) != len(names) {
		t.Fatalf("not all of %v can be repaired", names)
	}
	return out
}

// share is the chance that a part is bad.
func share(chances []float64, part int) float64 {
	sum := 0.0
	for w, x := range chances[:1<<6] {
		if w>>part&1 == 1 {
			sum += x
		}
	}
	return sum
}

// sure is how near to 0 or 1 a chance counts as certain in these tests.
const sure = 1e-12

// sequence does pairs in a fixed order and then calls for help.
func sequence(list []pair) decide.Policy {
	return func(v *decide.View) (decide.Step, bool) {
		if v.Passes() > 0 {
			return v.Cheapest(decide.Prove, 0)
		}
		chances := v.Chances()
		for _, x := range list {
			switch bad := share(chances, x.part); {
			case bad < sure:
			case x.check < 0 || bad > 1-sure:
				return v.Cheapest(decide.Mend, x.repair)
			default:
				return v.Cheapest(decide.Ask, x.check)
			}
		}
		return v.Cheapest(decide.Refer, 0)
	}
}

// carRule is one of the two rules of repairing, with the problem under it.
type carRule struct {
	carProblem
	single bool
}

func (r *carRule) decide() decide.Problem {
	if r.single {
		return r.SingleFault()
	}
	return r.Problem
}

func (r *carRule) cost(t *testing.T, policy decide.Policy) float64 {
	t.Helper()
	c, err := decide.Evaluate(r.decide(), policy)
	if err != nil {
		t.Fatal(err)
	}
	return c.Expected
}

// mended is what is left of a belief, by world and not scaled, when part was
// bad and is repaired and the car still does not start.
func (r *carRule) mended(b []float64, part int) []float64 {
	out := make([]float64, len(b))
	for w, x := range b {
		if left := w &^ (1 << part); w>>part&1 == 1 && !r.single && left != 0 {
			out[left] += x
		}
	}
	return out
}

// good is what is left of a belief when part is good.
func good(b []float64, part int) []float64 {
	out := make([]float64, len(b))
	for w, x := range b {
		if w>>part&1 == 0 {
			out[w] = x
		}
	}
	return out
}

func total(b []float64) float64 {
	sum := 0.0
	for _, x := range b {
		sum += x
	}
	return sum
}

func plus(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] + b[i]
	}
	return out
}

// follow is the cost of a sequence of pairs and then the call, times the sum
// of b.
func (r *carRule) follow(b []float64, list []pair, call float64) float64 {
	z := total(b)
	if z < 1e-300 {
		return 0
	}
	if len(list) == 0 {
		return z * call
	}
	x, rest := list[0], list[1:]
	fixed, fine := r.mended(b, x.part), good(b, x.part)
	if x.check < 0 {
		return x.mend*z + r.follow(plus(fixed, fine), rest, call)
	}
	bad := z - total(fine)
	return x.look*z + x.mend*bad + r.follow(fixed, rest, call) + r.follow(fine, rest, call)
}

// greedy orders pairs by share over cost, the shares taken anew after each, as
// if it had been found good; looked says which checks were asked.
func (r *carRule) greedy(b []float64, looked func(check int) bool) []pair {
	var out []pair
	left := r.pairs()
	for len(left) > 0 {
		z := total(b)
		best, ratio := -1, 0.0
		for i, x := range left {
			p := share(b, x.part) / z
			if p < 1e-15 || z == 0 {
				continue
			}
			if x.check >= 0 && (p > 1-sure || looked(x.check)) {
				x = x.unseen()
				left[i] = x
			}
			cost := x.look + p*x.mend
			if x.check < 0 {
				cost = x.mend
			}
			if p/cost > ratio+1e-15 {
				best, ratio = i, p/cost
			}
		}
		if best < 0 {
			return out
		}
		out = append(out, left[best])
		b = good(b, left[best].part)
		left = append(left[:best:best], left[best+1:]...)
	}
	return out
}

// ahead is the cost of the greedy order, cut where the call is cheaper, for a
// belief that is scaled; and that order.
func (r *carRule) ahead(b []float64, call float64, looked func(int) bool) (float64, []pair) {
	all := r.greedy(b, looked)
	best, list := call, []pair(nil)
	for k := 1; k <= len(all); k++ {
		if c := r.follow(b, all[:k], call); c < best-sure {
			best, list = c, all[:k]
		}
	}
	return best, list
}

// outcome is a belief after check c showed o, not scaled.
func (r *carRule) outcome(b []float64, c, o int) []float64 {
	out := make([]float64, len(b))
	for w, x := range b {
		out[w] = x * r.Checks[c].Chance[o][w]
	}
	return out
}

func scaled(b []float64) []float64 {
	z := total(b)
	out := make([]float64, len(b))
	for i := range b {
		out[i] = b[i] / z
	}
	return out
}

// tests are the checks that are not observations of a part.
func (p *carProblem) tests() []int {
	var out []int
	for c, name := range p.checks {
		if len(name) < 8 || name[:8] != "observe " {
			out = append(out, c)
		}
	}
	return out
}

// bestTest is the test, among those open, after which the greedy order costs
// less than it does now; -1 if there is none.
func (r *carRule) bestTest(b []float64, now, call float64, open func(int) bool, looked func(int) bool) int {
	prices := r.Ground.(decide.Prices)
	best := -1
	for _, c := range r.tests() {
		if !open(c) {
			continue
		}
		cost := float64(prices[r.Checks[c].Action])
		outcomes := 0
		for o := range r.Checks[c].Chance {
			x := r.outcome(b, c, o)
			if z := total(x); z > 0 {
				outcomes++
				a, _ := r.ahead(scaled(x), call, looked)
				cost += z * a
			}
		}
		if outcomes > 1 && cost < now-sure {
			best, now = c, cost
		}
	}
	return best
}

// myopic is the one-step policy of the source: ask the test after which the
// greedy order of pairs costs least, if that is less than it costs now, else
// do the first pair.
func (r *carRule) myopic(call float64) decide.Policy {
	return func(v *decide.View) (decide.Step, bool) {
		if v.Passes() > 0 {
			return v.Cheapest(decide.Prove, 0)
		}
		open := map[int]bool{}
		for _, c := range v.Checks() {
			open[c] = true
		}
		b := v.Chances()[:1<<6]
		looked := func(c int) bool { return !open[c] }
		now, list := r.ahead(b, call, looked)
		if c := r.bestTest(b, now, call, func(c int) bool { return open[c] }, looked); c >= 0 {
			return v.Cheapest(decide.Ask, c)
		}
		if len(list) == 0 {
			return v.Cheapest(decide.Refer, 0)
		}
		if x := list[0]; x.check >= 0 {
			return v.Cheapest(decide.Ask, x.check)
		}
		return v.Cheapest(decide.Mend, list[0].repair)
	}
}

func rules(c *car, size *carSize) (intervention, single carRule) {
	p := c.problem(size)
	return carRule{p, false}, carRule{p, true}
}

// TestCarPolicies reproduces the figures of the policies of both tables.
func TestCarPolicies(t *testing.T) {
	c := readCar(t)
	smallA, smallB := rules(&c, &c.Small)
	fullA, fullB := rules(&c, &c.Full)
	call := float64(c.Small.Call)
	order := func(r *carRule) []pair {
		return r.greedy(scaled(r.Worlds), func(int) bool { return false })
	}
	unseen := func(list []pair) []pair {
		var out []pair
		for _, x := range list {
			out = append(out, x.unseen())
		}
		return out
	}
	short := unseen(fullA.named(t, "flat", "oil", "tank"))
	inTurn := unseen(fullA.named(t, "flat", "oil", "tank", "starter", "fuel"))
	for _, tc := range []struct {
		name   string
		rule   *carRule
		policy decide.Policy
		want   float64
	}{
		{"small, myopic, intervention", &smallA, smallA.myopic(call), c.Small.Myopic},
		{"small, myopic, single fault", &smallB, smallB.myopic(call), c.Small.SingleFault.Myopic},
		{"small, greedy pairs without dipstick", &smallA, sequence(order(&smallA)), c.Small.GreedyNoTests},
		{"full, greedy pairs, intervention", &fullA, sequence(order(&fullA)), c.Full.GreedyPairs},
		{"full, greedy pairs, single fault", &fullB, sequence(order(&fullB)), c.Full.SingleFault.GreedyPairs},
		{"full, flat oil tank unseen, intervention", &fullA, sequence(short), c.Full.ShortSequence},
		{"full, flat oil tank unseen, single fault", &fullB, sequence(short), c.Full.SingleFault.SimpleSequence},
		{"full, repairs only in greedy order, intervention", &fullA, sequence(inTurn), c.Full.RepairsOnly},
		{"full, repairs only in greedy order, single fault", &fullB, sequence(inTurn), c.Full.SingleFault.RepairsOnlyGreedy},
		{"full, myopic, single fault, all readings kept", &fullB, fullB.myopic(call), c.Full.SingleFault.MyopicKeep},
	} {
		near(t, tc.name, tc.rule.cost(t, tc.policy), tc.want, places4)
	}
	// The source's figure for the myopic policy under intervention treats
	// readings made stale by a repair in a way that is not written down; with
	// all readings kept it comes out within one part in ten thousand.
	near(t, "full, myopic, intervention", fullA.cost(t, fullA.myopic(call)), c.Full.Myopic, 1e-4*c.Full.Myopic)
	near(t, "full, myopic, single fault, stale readings forgotten", fullB.forgetful(scaled(fullB.Worlds), nil, 0, call), c.Full.SingleFault.Myopic, places4)
}

// evidence is a reading that is remembered.
type evidence struct{ check, outcome int }

// forgetful is the myopic policy under the single-fault rule as the source
// simulates it: after each pair, the readings that depend on its part are
// forgotten, and their chances with them.
func (r *carRule) forgetful(prior []float64, known []evidence, fine int, call float64) float64 {
	b := make([]float64, len(prior))
	for w, x := range prior {
		if w&fine == 0 {
			b[w] = x
			for _, e := range known {
				b[w] *= r.Checks[e.check].Chance[e.outcome][w]
			}
		}
	}
	if total(b) == 0 {
		return 0
	}
	b = scaled(b)
	has := func(c int) bool {
		for _, e := range known {
			if e.check == c {
				return true
			}
		}
		return false
	}
	now, list := r.ahead(b, call, has)
	if c := r.bestTest(b, now, call, func(c int) bool { return !has(c) }, has); c >= 0 {
		cost := float64(r.Ground.(decide.Prices)[r.Checks[c].Action])
		for o := range r.Checks[c].Chance {
			if z := total(r.outcome(b, c, o)); z > 0 {
				cost += z * r.forgetful(prior, append(known[:len(known):len(known)], evidence{c, o}), fine, call)
			}
		}
		return cost
	}
	if len(list) == 0 {
		return call
	}
	x := list[0]
	bad := share(append(b, 0), x.part)
	cost := x.look + bad*x.mend
	if x.check < 0 {
		cost = x.mend
	}
	if 1-bad < sure {
		return cost
	}
	var kept []evidence
	for _, e := range known {
		if !r.depends(e.check, x.part) {
			kept = append(kept, e)
		}
	}
	return cost + (1-bad)*r.forgetful(prior, kept, fine|1<<x.part, call)
}

// depends reports whether the chances of a check change with a part.
func (r *carRule) depends(check, part int) bool {
	row := r.Checks[check].Chance[0]
	for w := range row {
		if math.Abs(row[w]-row[w&^(1<<part)]) > 0 {
			return true
		}
	}
	return false
}

// TestCarRestricted reproduces the best policies within a restricted choice.
func TestCarRestricted(t *testing.T) {
	c := readCar(t)
	call := float64(c.Small.Call)
	small, _ := rules(&c, &c.Small)
	full, _ := rules(&c, &c.Full)
	for _, tc := range []struct {
		name string
		rule carRule
		want float64
	}{{"small", small, c.Small.RepairsOnly}, {"full", full, c.Full.RepairsOnly}} {
		p := tc.rule.Problem
		p.Checks = nil
		x, err := decide.Exhaust(p, 1<<16)
		if err != nil {
			t.Fatal(err)
		}
		near(t, tc.name+", repairs only", x.Expected, tc.want, places4)
	}
	best := math.Inf(1)
	permute(full.pairs(), func(order []pair) {
		for k := range len(order) + 1 {
			best = min(best, full.follow(scaled(full.Worlds), order[:k], call))
		}
	})
	near(t, "full, best order of pairs", best, c.Full.PairsOptimum, .005) // two places are given
	near(t, "small, pairs forced, dipstick allowed", small.pairsAndTests(scaled(small.Worlds), small.pairs(), small.tests(), call), c.Small.PairsOnly, places4)
}

// permute calls f with every order of list.
func permute(list []pair, f func([]pair)) {
	var rec func(k int)
	rec = func(k int) {
		if k == len(list) {
			f(list)
			return
		}
		for i := k; i < len(list); i++ {
			list[k], list[i] = list[i], list[k]
			rec(k + 1)
			list[k], list[i] = list[i], list[k]
		}
	}
	rec(0)
}

// pairsAndTests is the least cost, times the sum of b, if parts may be repaired
// only after looking where that is possible, and tests may be asked in between.
func (r *carRule) pairsAndTests(b []float64, left []pair, tests []int, call float64) float64 {
	z := total(b)
	if z < 1e-300 {
		return 0
	}
	best := z * call
	for i, x := range left {
		rest := append(left[:i:i], left[i+1:]...)
		fixed, fine := r.mended(b, x.part), good(b, x.part)
		q := x.mend*z + r.pairsAndTests(plus(fixed, fine), rest, tests, call)
		if x.check >= 0 {
			q = x.look*z + x.mend*(z-total(fine)) + r.pairsAndTests(fixed, rest, tests, call) + r.pairsAndTests(fine, rest, tests, call)
		}
		best = min(best, q)
	}
	for i, c := range tests {
		rest := append(tests[:i:i], tests[i+1:]...)
		q := z * float64(r.Ground.(decide.Prices)[r.Checks[c].Action])
		for o := range r.Checks[c].Chance {
			q += r.pairsAndTests(r.outcome(b, c, o), left, rest, call)
		}
		best = min(best, q)
	}
	return best
}

// TestCarFirstSteps: the optimum begins as the source's optimum does: oil lamp;
// off, then lights; dead, then the battery unseen; working, then the starter;
// lamp on, then the oil unseen.
func TestCarFirstSteps(t *testing.T) {
	c := readCar(t)
	p := c.problem(&c.Full)
	a, err := decide.Solve(p.Problem, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	name := func(n *decide.Node) string {
		switch st := n.Step(); st.Kind {
		case decide.Ask:
			return p.checks[st.Index]
		case decide.Mend:
			return "repair " + p.repairs[st.Index]
		}
		return "?"
	}
	lamp := a.Root()
	off, on := lamp.Branches()[0].Next, lamp.Branches()[1].Next
	lights := off.Branches()
	got := []string{name(lamp), name(on), name(off), name(lights[1].Next), name(lights[0].Next)}
	want := []string{"oillight", "repair oil", "lights", "repair flat", "observe starter"}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("got %v, want %v", got, want)
		}
	}
}
