package decide_test

import (
	"testing"

	"elbowroom/suspect/decide"
)

// simple are the policies that people follow, for comparison.
func simple(t testing.TB, p decide.Problem) map[string]decide.Policy {
	t.Helper()
	ignoring, err := decide.IgnoringAccess(p, decide.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return map[string]decide.Policy{
		"likeliest first":  decide.LikeliestFirst(),
		"cheapest first":   decide.CheapestFirst(.95),
		"most information": decide.MostInformation(.95),
		"ignoring access":  ignoring,
	}
}

// TestBoundOptimumPolicies: the bound is no more than the optimum, and that no
// more than what any policy costs; the answer's own tree costs what it says.
func TestBoundOptimumPolicies(t *testing.T) {
	for _, sh := range shapes {
		t.Run(sh.name, func(t *testing.T) {
			for seed := range seeds(sh.seeds) {
				p := problem(sh.shape, seed+1000)
				a, err := decide.Solve(p, decide.Limits{})
				if err != nil {
					t.Fatal(err)
				}
				if a.OneStep < a.Expected-1e-6 {
					t.Errorf("seed %d: one-step policy %.6f under the optimum %.6f", seed, a.OneStep, a.Expected)
				}
				early, err := decide.Solve(p, decide.Limits{Nodes: 5})
				if err != nil {
					t.Fatal(err)
				}
				if early.Bound > a.Expected+1e-6 || early.Expected < a.Expected-1e-6 {
					t.Errorf("seed %d: after 5 nodes %.6f to %.6f do not enclose %.6f", seed, early.Bound, early.Expected, a.Expected)
				}
				for name, policy := range simple(t, p) {
					c, err := decide.Evaluate(p, policy)
					if err != nil {
						t.Fatalf("seed %d, %s: %v", seed, name, err)
					}
					if c.Expected < a.Expected-1e-6 {
						t.Errorf("seed %d: %s costs %.6f, under the optimum %.6f", seed, name, c.Expected, a.Expected)
					}
					if x, err := decide.Price(p, policy); err != nil || !same(x, c.Expected) {
						t.Errorf("seed %d: %s costs %.6f on average, with quantiles %.6f, %v", seed, name, x, c.Expected, err)
					}
					if lo, hi := c.Quantile(.1), c.Quantile(.9); !(lo <= hi) {
						t.Errorf("seed %d, %s: quantiles %v > %v", seed, name, lo, hi)
					}
				}
				if got := treeCost(&p, a.Root()); !same(got, a.Expected) {
					t.Errorf("seed %d: the tree costs %.6f, the answer says %.6f", seed, got, a.Expected)
				}
				checkQuantiles(t, &p, a, seed)
			}
		})
	}
}

// treeCost adds up a decision tree from what its branches say.
func treeCost(p *decide.Problem, n *decide.Node) float64 {
	st := n.Step()
	sum := float64(st.Cost)
	if st.Kind == decide.Refer {
		for w, x := range n.Chances() {
			if extra := p.Escapes[st.Index].Extra; extra != nil {
				sum += x * float64(extra[w])
			}
		}
		return sum
	}
	for _, b := range n.Branches() {
		if b.Next == nil {
			sum += b.Chance * b.End
			continue
		}
		sum += b.Chance * treeCost(p, b.Next)
	}
	return sum
}

// checkQuantiles compares the quantiles with a count over the tree's leaves.
func checkQuantiles(t *testing.T, p *decide.Problem, a *decide.Answer, seed uint64) {
	t.Helper()
	if p.Proof.Comeback > 0 {
		return // the leaves say only the average of coming back
	}
	q := a.Quantiles(.1, .5, .9)
	for i, share := range []float64{.1, .5, .9} {
		under, upTo := leaves(p, a.Root(), 0, q[i])
		if under > share+1e-6 || upTo < share-1e-6 {
			t.Errorf("seed %d: %v is not the %v quantile: %.6f lies under it, %.6f up to it", seed, q[i], share, under, upTo)
		}
	}
}

// leaves returns the chances that the job costs less than limit, and at most
// limit, when paid has been spent before n.
func leaves(p *decide.Problem, n *decide.Node, paid, limit float64) (under, upTo float64) {
	count := func(cost, chance float64) {
		if cost < limit-.5 {
			under += chance
		}
		if cost < limit+.5 {
			upTo += chance
		}
	}
	st := n.Step()
	paid += float64(st.Cost)
	if st.Kind == decide.Refer {
		for w, x := range n.Chances() {
			extra := 0.0
			if e := p.Escapes[st.Index].Extra; e != nil {
				extra = float64(e[w])
			}
			count(paid+extra, x)
		}
		return under, upTo
	}
	for _, b := range n.Branches() {
		if b.Next == nil {
			count(paid+b.End, b.Chance)
			continue
		}
		u, e := leaves(p, b.Next, paid, limit)
		under += b.Chance * u
		upTo += b.Chance * e
	}
	return under, upTo
}
