package app_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/suspect"
	"elbowroom/workshop"
)

// TestNamesOfFigures: a workshop may name exactly what is assumed.
func TestNamesOfFigures(t *testing.T) {
	var names, factors []guide.ID
	for _, f := range suspect.Default().Figures() {
		names = append(names, guide.ID(f.Name))
		if f.Most > 1 {
			factors = append(factors, guide.ID(f.Name))
		}
	}
	if !slices.Equal(names, workshop.Assumed) || !slices.Equal(factors, workshop.Factors) {
		t.Errorf("assumed: %v\nof which factors: %v", names, factors)
	}
}

// TestOwnFigures: what a workshop counted takes the place of what is assumed,
// moves the shares, and is said.
func TestOwnFigures(t *testing.T) {
	shop, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	source := app.Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir}
	j := app.Job{Ask: app.Ask{Machine: "V1"}}
	share := func(shop *workshop.Workshop) (float64, *app.Inquiry) {
		a, err := app.Open(time.Now, shop, source)
		if err != nil {
			t.Fatal(err)
		}
		q, err := a.Suspects(j)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range q.Belief.Suspects {
			if s.Fault == suspect.Unlisted {
				return s.Share, q
			}
		}
		t.Fatal("nothing unlisted")
		return 0, nil
	}
	before, q := share(shop)
	if len(q.Own) != 0 {
		t.Errorf("%+v", q.Own)
	}
	own := *shop
	own.Figures = []workshop.Figure{{ID: "unlisted", Seen: 20, Of: 50, Says: "proved faults of 2025"}}
	after, q := share(&own)
	if after < 2*before {
		t.Errorf("0.06 assumed gives %.3f, 20 of 50 counted gives %.3f", before, after)
	}
	if len(q.Own) != 1 || !strings.Contains(q.Own[0].Text(), "0.4 (0.276 to 0.538) instead of 0.06 (0.02 to 0.15); seen 20 times in 50: proved faults of 2025") {
		t.Errorf("%+v", q.Own) // the ends are those of Wilson's interval, see package suspect
	}
	a, err := app.Open(time.Now, &own, source)
	if err != nil {
		t.Fatal(err)
	}
	if n, err := a.Next(j, app.Detail{}); err != nil || len(n.Own) != 1 {
		t.Errorf("next: %v", err)
	}
}
