package oracle_test

import (
	"testing"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/internal/oracle"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// smallSeeds is how many small machines the tests below search.
const smallSeeds = 150

// solve returns the best plan of a small machine, or fails.
func solve(t *testing.T, c engines.Case) plan.Plan {
	t.Helper()
	r, err := c.Resolve()
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	p := oracle.Plan(r, c.Request, maxStates)
	if p.Outcome != plan.Optimal && p.Outcome != plan.Impossible {
		t.Fatalf("%s: outcome %s", c.Name, p.Outcome)
	}
	return p
}

// TestSmall: every plan of the oracle passes the audit, and the family has
// enough of everything to be worth testing with.
func TestSmall(t *testing.T) {
	seen := map[string]int{}
	for seed := range uint64(smallSeeds) {
		c := engines.Small(seed)
		p := solve(t, c)
		r, _ := c.Resolve()
		if err := audit.Check(r, c.Request, p).Err(); err != nil {
			t.Errorf("%s: %v", c.Name, err)
		}
		note(seen, p)
	}
	for what, least := range map[string]int{
		"optimal": smallSeeds / 3, "impossible": smallSeeds / 5, "set-up": 5,
		"hire": 1, "parts": 5, "fluids": 2, "risk": 5, "clear": 60, "refit": 60, "change": 20, "await": 1, "do": 90,
	} {
		if seen[what] < least {
			t.Errorf("%d of %d small machines have %s, want at least %d", seen[what], smallSeeds, what, least)
		}
	}
}

// TestSmallOrder does the same for the family in which order matters.
func TestSmallOrder(t *testing.T) {
	const seeds = 40
	seen := map[string]int{}
	for seed := range uint64(seeds) {
		c := engines.SmallOrder(seed)
		p := solve(t, c)
		r, _ := c.Resolve()
		if err := audit.Check(r, c.Request, p).Err(); err != nil {
			t.Errorf("%s: %v", c.Name, err)
		}
		note(seen, p)
	}
	for what, least := range map[string]int{"optimal": seeds / 2, "waiting": seeds / 8, "set-up": seeds / 8, "clear": seeds / 2, "await": seeds / 2} {
		if seen[what] < least {
			t.Errorf("%d of %d machines have %s, want at least %d", seen[what], seeds, what, least)
		}
	}
}

func note(seen map[string]int, p plan.Plan) {
	seen[string(p.Outcome)]++
	for what, yes := range map[string]bool{
		"waiting": p.Cost.Waiting > 0, "set-up": p.Cost.Setup > 0, "hire": p.Cost.Hire > 0,
		"parts": p.Cost.Parts > 0, "fluids": p.Cost.Fluids > 0, "risk": p.Cost.Risk > 0,
	} {
		if yes {
			seen[what]++
		}
	}
	for _, s := range p.Steps {
		seen[string(s.Kind)]++
	}
}

// lawSeeds begins where TestSmall ends.
const lawSeeds = 25

// TestFreedomNeverCosts: leaving everything open, owning every tool, dropping
// the order of tasks or adding a way never makes the best plan dearer.
func TestFreedomNeverCosts(t *testing.T) {
	ease := map[string]func(c *engines.Case){
		"leave everything open": func(c *engines.Case) { c.Request.LeaveOpen = []guide.ID{"all"} },
		"own every tool":        func(c *engines.Case) { c.Request.Missing = nil },
		"no order of tasks": func(c *engines.Case) {
			for i := range c.Request.Tasks {
				c.Request.Tasks[i] = plan.Task{Verb: c.Request.Tasks[i].Verb, On: c.Request.Tasks[i].On}
			}
		},
		"one task fewer": func(c *engines.Case) {
			last := len(c.Request.Tasks) - 1
			c.Request.Tasks = c.Request.Tasks[:last]
			for i := range c.Request.Tasks {
				c.Request.Tasks[i].After = nil
			}
		},
		"one more way": func(c *engines.Case) {
			for i := range c.Guide.Items {
				it := &c.Guide.Items[i]
				it.Ways = append(it.Ways, guide.Way{Do: guide.Aside, Out: 1, Back: 1})
			}
		},
	}
	compared := 0
	for seed := uint64(smallSeeds); seed < smallSeeds+lawSeeds; seed++ {
		base := solve(t, engines.Small(seed))
		if base.Outcome != plan.Optimal {
			continue
		}
		for name, f := range ease {
			c := engines.Small(seed)
			f(&c)
			p := solve(t, c)
			compared++
			if p.Outcome != plan.Optimal || p.Cost.Objective > base.Cost.Objective {
				t.Errorf("%s: %s: %s at %d, before %d", c.Name, name, p.Outcome, p.Cost.Objective, base.Cost.Objective)
			}
		}
	}
	if compared < lawSeeds {
		t.Errorf("only %d comparisons", compared)
	}
}

// TestDeterministic: the same machine gives the same plan, step by step.
func TestDeterministic(t *testing.T) {
	for seed := range uint64(30) {
		a, b := solve(t, engines.Small(seed)), solve(t, engines.Small(seed))
		if len(a.Steps) != len(b.Steps) {
			t.Fatalf("seed %d: %d and %d steps", seed, len(a.Steps), len(b.Steps))
		}
		for i := range a.Steps {
			if a.Steps[i] != b.Steps[i] {
				t.Errorf("seed %d, step %d: %v and %v", seed, i+1, a.Steps[i], b.Steps[i])
			}
		}
	}
}

// TestLimit: a search that may not meet enough states says so and has no plan.
func TestLimit(t *testing.T) {
	c := engines.Hard(1, 40)
	r, err := c.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	if _, steps, outcome := oracle.Best(r, c.Request, 100); outcome != plan.Limit || steps != nil {
		t.Errorf("got %s with %d steps", outcome, len(steps))
	}
}
