package access_test

import (
	"errors"
	"testing"

	"elbowroom/access"
	"elbowroom/internal/engines"
	"elbowroom/plan"
)

// TestKnown compares the machines with a known optimum.
func TestKnown(t *testing.T) {
	cases := engines.Known()
	if len(cases) == 0 {
		t.Fatal("no known machines")
	}
	for _, c := range cases {
		t.Run(c.Name, func(t *testing.T) {
			r, err := c.Resolve()
			if err != nil {
				t.Fatal(err)
			}
			got, err := planner(t, r).Plan(c.Request, access.Limits{})
			if err != nil {
				var bad *access.InputError
				if !errors.As(err, &bad) || c.Outcome != plan.BadInput {
					t.Errorf("%v, want %s: %s", err, c.Outcome, c.Reason)
				}
				return
			}
			audited(t, r, c.Request, got)
			if got.Outcome != c.Outcome || c.Outcome == plan.Optimal && got.Cost.Objective != c.Objective {
				t.Errorf("%s %d, want %s %d: %s", got.Outcome, got.Cost.Objective, c.Outcome, c.Objective, c.Reason)
			}
		})
	}
}
