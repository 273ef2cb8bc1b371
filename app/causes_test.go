package app_test

import (
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/codes"
)

// TestNothingNearIsShared: two codes that only a ground of half the engine has
// in common are not put down to it.
func TestNothingNearIsShared(t *testing.T) {
	q, err := open(t).Suspects(app.Job{Ask: app.Ask{Machine: "V1"}, Codes: []string{"P0327", "P0128"}})
	if err != nil {
		t.Fatal(err)
	}
	if len(q.Shared) != 1 || !strings.HasPrefix(q.Shared[0], "Nothing near them is shared") || !strings.Contains(q.Shared[0], "(G5)") {
		t.Errorf("said: %q", q.Shared)
	}
}

// TestSharedCauseComesFirst: what a technician would look at first for several
// codes at once, by the wiring and the faults of the demonstration.
func TestSharedCauseComesFirst(t *testing.T) {
	a := open(t)
	for _, c := range []struct {
		name, reason string
		codes        []string
		first, kind  string
		explains     int
	}{
		{"both knock sensors", "they meet in the valley connector; the control unit and the battery explain them too, and everything else", []string{"P0327", "P0332"}, "X3", "connector", 2},
		{"knock sensors and rail pressure", "all three go through the valley connector", []string{"P0327", "P0332", "P0191"}, "X3", "connector", 3},
		{"two codes of one knock sensor", "the sensor itself: nothing of the other one, which hangs on the same connector", []string{"P0325", "P0327"}, "SE13", "item", 2},
		{"misfire of the right bank", "the ground of its coils lists exactly these", []string{"P0300", "P0301", "P0302", "P0303"}, "G2", "ground", 4},
		{"injector and misfire of cylinder 2", "the injector itself before the connector that it alone hangs on", []string{"P0202", "P0302"}, "FU09", "item", 2},
		{"coolant and low fuel pressure circuits", "two sensors of different connectors return through one ground", []string{"P0117", "P0190"}, "G5", "ground", 2},
		{"knock sensors and a warm-up code", "the connector of two, with one silent part, before a ground of all three, with four", []string{"P0327", "P0332", "P0128"}, "X3", "connector", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			q, err := a.Suspects(app.Job{Ask: app.Ask{Machine: "V1"}, Codes: c.codes})
			if err != nil {
				t.Fatal(err)
			}
			if len(q.Causes.Shared) == 0 {
				t.Fatalf("nothing in common: %s", c.reason)
			}
			first := q.Causes.Shared[0]
			if first.Node.Name != c.first || first.Node.Kind != c.kind || len(first.Explains) != c.explains {
				for _, s := range q.Causes.Shared {
					t.Log(s.Node, s.Says)
				}
				t.Errorf("%s leads, want %s %s: %s", first.Node, c.kind, c.first, c.reason)
			}
			for i, s := range q.Causes.Shared[1:] {
				if s.Node.Kind == "control unit" && slices.ContainsFunc(q.Causes.Shared[i+2:], func(o codes.Cause) bool { return len(o.Explains) == len(s.Explains) }) {
					t.Errorf("the control unit stands before %s", q.Causes.Shared[i+2].Node)
				}
			}
			if !strings.HasPrefix(q.Shared[0], first.Says) || len(q.Shared) > 5 {
				t.Errorf("said: %q", q.Shared)
			}
		})
	}
}
