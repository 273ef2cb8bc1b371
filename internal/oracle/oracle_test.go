package oracle_test

import (
	"slices"
	"testing"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/internal/oracle"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// maxStates is far above what any machine in these tests has.
const maxStates = 2_000_000

// TestKnown: the oracle finds every known optimum, and the audit, which shares
// the machine but not the search, accepts its plan.
func TestKnown(t *testing.T) {
	cases := engines.Known()
	if len(cases) < 60 {
		t.Fatalf("only %d known machines", len(cases))
	}
	for _, c := range cases {
		t.Run(c.Name, func(t *testing.T) {
			r, err := c.Resolve()
			if err != nil {
				t.Fatal(err)
			}
			p := oracle.Plan(r, c.Request, maxStates)
			if p.Outcome != c.Outcome || p.Cost.Objective != c.Objective {
				t.Errorf("%s: got %s at %d, want %s at %d; steps %s", c.Reason, p.Outcome, p.Cost.Objective, c.Outcome, c.Objective, words(p))
			}
			if cleared := clears(p); c.Clears != nil && !slices.Equal(cleared, c.Clears) {
				t.Errorf("%s: cleared %v, want %v", c.Reason, cleared, c.Clears)
			}
			if err := audit.Check(r, c.Request, p).Err(); err != nil {
				t.Errorf("%s: the audit refuses the oracle's plan: %v", c.Reason, err)
			}
		})
	}
}

func clears(p plan.Plan) []guide.ID {
	var ids []guide.ID
	for _, s := range p.Steps {
		if s.Kind == plan.Clear {
			ids = append(ids, s.Item)
		}
	}
	return ids
}

func words(p plan.Plan) []string {
	var list []string
	for _, s := range p.Steps {
		list = append(list, audit.Words(s))
	}
	return list
}
