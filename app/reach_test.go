package app_test

import (
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/plan"
)

// TestReach: a task's extra minutes are exactly what a plan with it takes
// longer, and the joint price is never above the two visits apart.
func TestReach(t *testing.T) {
	a := open(t)
	base := app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:SE02"}, By: "minutes"}
	ans, rows, err := a.Reach(base)
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 100 {
		t.Fatalf("%d rows; the demo has more tasks than that", len(rows))
	}
	seen := 0
	for _, r := range rows {
		if r.Outcome != plan.Optimal {
			continue
		}
		more := base
		more.Tasks = append([]string{r.Task.String()}, base.Tasks...)
		joint, err := a.Plan(more)
		if err != nil {
			t.Fatal(err)
		}
		if want := joint.Plan.Cost.Total() - ans.Plan.Cost.Total(); r.Extra != want {
			t.Errorf("%s: extra %v, a plan of its own says %v", r.Task, r.Extra, want)
		}
		if r.Task.String() == "replace:SE03" {
			seen++
			if r.Alone != 31*time.Minute { // hatch 12 and 13, work 6
				t.Errorf("coolant sensor on its own visit: %v, want 31 min", r.Alone)
			}
			// plans.csv: MAP alone 9 min from the top, with the coolant sensor 35 via the hatch
			if r.Extra != 26*time.Minute || !r.Changes {
				t.Errorf("coolant sensor: extra %v changes %v, want 26 min and a changed way in", r.Extra, r.Changes)
			}
		}
	}
	if seen != 1 {
		t.Errorf("coolant sensor met %d times", seen)
	}
}

func BenchmarkReach(b *testing.B) {
	a := open(b)
	q := app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:SE13"}}
	for b.Loop() {
		if _, rows, err := a.Reach(q); err != nil || len(rows) < 100 {
			b.Fatal(len(rows), err)
		}
	}
}
