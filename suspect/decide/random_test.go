package decide_test

import (
	"flag"
	"testing"

	"elbowroom/suspect/decide"
	"elbowroom/suspect/decide/decidetest"
)

// seedsFlag raises the number of random problems of each shape.
var seedsFlag = flag.Int("decide.seeds", 0, "random problems of each shape; 0 is the short default")

// seeds is how many problems of a shape to try.
func seeds(short int) uint64 {
	if *seedsFlag > 0 {
		return uint64(*seedsFlag)
	}
	return uint64(short)
}

// shapes are the kinds of random problem that every law is tried on, each with
// the reason.
var shapes = []struct {
	name, reason string
	shape        decidetest.Shape
	seeds        int
}{
	{"plain", "one fault, sharp checks, a machine to strip", decidetest.Shape{Faults: 4, Together: 1, Checks: 4, Operations: 3}, 100},
	{"flat", "no strip states: only information counts", decidetest.Shape{Faults: 4, Together: 1, Checks: 4, Noise: .5, Escape: true}, 10},
	{"noisy", "answers that may be wrong", decidetest.Shape{Faults: 3, Together: 1, Checks: 3, Operations: 3, Noise: 1}, 10},
	{"unlisted", "a cause that no repair cures", decidetest.Shape{Faults: 3, Together: 1, Checks: 4, Operations: 3, Noise: .5, Unlisted: true}, 20},
	{"two at once", "repairs that leave a second fault; answers asked anew", decidetest.Shape{Faults: 3, Together: 2, Checks: 3, Operations: 3, Noise: .6, Escape: true}, 15},
	{"three at once, no strip", "long courses", decidetest.Shape{Faults: 3, Together: 3, Checks: 3, Noise: .6, Unlisted: true}, 5},
	{"joined repairs", "repairs that cure several faults", decidetest.Shape{Faults: 4, Together: 2, Joined: 2, Checks: 2, Operations: 2, Noise: .5}, 15},
	{"odds", "a proof that passes too early, at a price", decidetest.Shape{Faults: 3, Together: 1, Checks: 3, Operations: 2, Noise: .5, Odds: true, Escape: true}, 10},
	{"missed", "a proof that misses any fault as often, at a price", decidetest.Shape{Faults: 3, Together: 1, Checks: 3, Operations: 2, Noise: .6, Missed: true}, 20},
	{"missed, two at once", "the same with a second fault left", decidetest.Shape{Faults: 3, Together: 2, Checks: 2, Operations: 2, Noise: .6, Missed: true, Right: true}, 8},
	{"perhaps right", "a machine that may be right already", decidetest.Shape{Faults: 3, Together: 2, Checks: 3, Operations: 2, Noise: .5, Right: true, Escape: true}, 10},
	{"prove first", "no checks before the proof", decidetest.Shape{Faults: 4, Together: 2, Checks: 3, Operations: 2, Noise: .5, ProveFirst: true, Escape: true}, 15},
	{"prove first, one fault", "checks that the proof only puts off", decidetest.Shape{Faults: 4, Together: 1, Checks: 4, ProveFirst: true}, 200},
	{"many outcomes, once", "more than two answers, asked once", decidetest.Shape{Faults: 4, Together: 2, Checks: 3, Operations: 2, Noise: .5, Once: true, Outcomes: 4, Escape: true}, 40},
}

// problem makes every other problem one of very unequal shares.
func problem(sh decidetest.Shape, seed uint64) decide.Problem {
	if seed%2 == 1 {
		sh.Skew = 2.5
	}
	return decidetest.Random(seed, sh)
}

func same(a, b float64) bool {
	return a == b || a-b < 1e-7*max(1, a) && b-a < 1e-7*max(1, a)
}

// TestSearchEqualsExhaust: search and plain dynamic programming agree, the
// latter by sweeps and by alternatives.
func TestSearchEqualsExhaust(t *testing.T) {
	for _, sh := range shapes {
		t.Run(sh.name, func(t *testing.T) {
			for seed := range seeds(sh.seeds) {
				p := problem(sh.shape, seed)
				x, err := decide.Exhaust(p, 1<<20)
				if err != nil {
					t.Fatal(err)
				}
				a, err := decide.Solve(p, decide.Limits{})
				if err != nil {
					t.Fatal(err)
				}
				if a.Status != decide.Proved || !same(a.Expected, x.Expected) || !same(a.Bound, x.Expected) {
					t.Errorf("seed %d (%s): search says %v %.9f >= %.9f, every state %.9f", seed, sh.reason, a.Status, a.Expected, a.Bound, x.Expected)
				}
				if seed%10 == 0 {
					p.Ground = listed{p.Ground}
					y, err := decide.Exhaust(p, 1<<20)
					if err != nil || !same(x.Expected, y.Expected) {
						t.Errorf("seed %d: sweeps %.9f, alternatives %.9f, %v", seed, x.Expected, y.Expected, err)
					}
				}
			}
		})
	}
}
