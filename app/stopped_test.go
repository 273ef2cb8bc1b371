package app_test

import (
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/demo"
)

// TestNextStoppedAnywhere gives the search less and less time by a clock that
// moves on with every look at it: whatever was reached must be a whole answer.
func TestNextStoppedAnywhere(t *testing.T) {
	shop, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 3, 16, 9, 0, 0, 0, time.UTC)
	looks := 0
	a, err := app.Open(func() time.Time { looks++; return now.Add(time.Duration(looks) * time.Millisecond) }, shop,
		app.Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir})
	if err != nil {
		t.Fatal(err)
	}
	bounded := 0
	for _, j := range []app.Job{
		{Ask: app.Ask{Machine: "V1"}, Codes: []string{"P0332"}},
		{Ask: app.Ask{Machine: "V3"}},
	} {
		for ms := 1; ms < 3000; ms += 1 + ms/3 {
			j.Budget = time.Duration(ms) * time.Millisecond
			n, err := a.Next(j, app.Detail{Depth: 3})
			if err != nil {
				t.Fatalf("%d looks: %v", ms, err)
			}
			if n.Advice.Outcome == "bounded" {
				bounded++
			}
			if n.Advice.Outcome != "impossible" && n.Advice.Step.Says == "" {
				t.Errorf("%d looks: no step", ms)
			}
		}
	}
	if bounded == 0 {
		t.Error("no search was stopped early; this test checks nothing")
	}
}
