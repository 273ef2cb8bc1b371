package decide_test

import (
	"slices"
	"testing"

	"elbowroom/suspect/decide"
	"elbowroom/suspect/decide/decidetest"
)

// TestAlikeAndApart: the optimum is that of plain dynamic programming where
// checks behave alike but cost differently, and where what is suspected falls
// into groups that no check joins, beside a cause that no repair cures.
func TestAlikeAndApart(t *testing.T) {
	for _, sh := range []struct {
		name, reason string
		shape        decidetest.Shape
	}{
		{"alike", "each check twice, at another price and place", decidetest.Shape{Faults: 3, Together: 1, Checks: 2, Operations: 2, Noise: 1, Unlisted: true}},
		{"apart", "each check for one fault", decidetest.Shape{Faults: 4, Together: 1, Operations: 2, Unlisted: true}},
		{"apart, missed", "the same with a proof that may miss a fault", decidetest.Shape{Faults: 3, Together: 1, Operations: 2, Unlisted: true, Missed: true}},
		{"apart, in pairs", "two faults at once, each check for one", decidetest.Shape{Faults: 3, Together: 2, Operations: 2, Unlisted: true}},
	} {
		t.Run(sh.name, func(t *testing.T) {
			for seed := range seeds(10) {
				p := decidetest.Random(seed, sh.shape)
				if sh.shape.Checks > 0 {
					p = twice(p)
				} else {
					p = oneEach(p, seed)
				}
				x, err := decide.Exhaust(p, 1<<20)
				if err != nil {
					t.Fatal(err)
				}
				if got := optimum(t, p); !same(got, x.Expected) {
					t.Errorf("seed %d (%s): search says %.9f, every state %.9f", seed, sh.reason, got, x.Expected)
				}
			}
		})
	}
}

// twice adds a second check beside each, which is made elsewhere.
func twice(p decide.Problem) decide.Problem {
	for i, c := range slices.Clone(p.Checks) {
		p, c.Action = widen(p, decidetest.Work{Cost: 15 + 20*int64(i), Off: 1})
		p.Checks = append(slices.Clone(p.Checks), c)
	}
	return p
}

// oneEach adds a check for each repair, which shows what that cures.
func oneEach(p decide.Problem, seed uint64) decide.Problem {
	for r, rep := range p.Repairs {
		c := decide.Check{Chance: [][]float64{make([]float64, len(p.Worlds)), make([]float64, len(p.Worlds))}}
		for w := range p.Worlds {
			c.Chance[0][w] = .95 - .02*float64(r)
			if rep.To[w] != w {
				c.Chance[0][w] = .1 + .05*float64(seed%4)
			}
			c.Chance[1][w] = 1 - c.Chance[0][w]
		}
		p, c.Action = widen(p, decidetest.Work{Cost: 10 + 8*int64(r)})
		p.Checks = append(slices.Clone(p.Checks), c)
	}
	return p
}
