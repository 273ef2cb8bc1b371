package app_test

import (
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/plan"
)

// TestWaysHavePrices: the sheet of the left exhaust cam sensor prices each way
// as plans.csv does (114 min LHD through the hatch, 8 min RHD from the top),
// and coil 3 shows both ways with the hatch as the better one on LHD.
func TestWaysHavePrices(t *testing.T) {
	a := open(t)
	total := func(variant, item, task, place string) (app.WayLine, bool) {
		sheet, err := a.Item(app.Ask{Guide: "demo", Variant: variant, By: "minutes"}, "IG03")
		if item != "IG03" {
			sheet, err = a.Item(app.Ask{Guide: "demo", Variant: variant, By: "minutes"}, "SE12")
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range sheet.Ways {
			if string(w.Verb) == task && string(w.Way.From) == place && w.Open {
				return w, true
			}
		}
		return app.WayLine{}, false
	}
	for _, c := range []struct {
		name, variant, item, place string
		minutes                    int
		best                       bool
	}{
		{"left exhaust cam sensor behind the pump on LHD", "LHD", "SE12", "cab", 114, true},
		{"left exhaust cam sensor in the open on RHD", "RHD", "SE12", "top", 8, true},
		{"coil 3 through the hatch on LHD", "LHD", "IG03", "cab", 35, true},
		{"coil 3 from the top costs the scuttle tray", "LHD", "IG03", "top", 55, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			w, ok := total(c.variant, c.item, "replace", c.place)
			if !ok {
				t.Fatal("no such way on the sheet")
			}
			if w.Total != time.Duration(c.minutes)*time.Minute || w.Best != c.best {
				t.Errorf("total %v best %v, want %d min and %v (%s)", w.Total, w.Best, c.minutes, c.best, w.Reason)
			}
		})
	}
}

// TestInstead: a runner-up can be shown in full, is dearer than the best plan,
// and says so.
func TestInstead(t *testing.T) {
	a := open(t)
	q := app.Ask{Machine: "V4", Tasks: []string{"replace:IG03", "replace:SE02", "replace:AC15"}, By: "minutes"}
	best, err := a.Plan(q)
	if err != nil {
		t.Fatal(err)
	}
	if len(best.RunnersUp) == 0 {
		t.Fatal("no runners-up; the case has two ways to coil 3")
	}
	for _, o := range best.RunnersUp {
		other, err := a.Plan(o.Ask)
		if err != nil {
			t.Fatal(err)
		}
		if other.Plan.Cost.Total()-best.Plan.Cost.Total() != o.Extra || other.Plan.Outcome != plan.Bounded {
			t.Errorf("%s: shown in full it costs %v more and is %s, announced %v more", o.Differs,
				other.Plan.Cost.Total()-best.Plan.Cost.Total(), other.Plan.Outcome, o.Extra)
		}
	}
	q.Instead = 99
	if _, err := a.Plan(q); err == nil {
		t.Error("runner-up 99 is shown")
	}
}

// TestToolsFromJoints: what the fasteners ask for is laid out: the drives of
// everything that comes off, and the torques of everything that goes back,
// smallest first (right knock sensor: hose clamps 3, bracket and plenum 10,
// lower manifold and sensor 20 N·m, as in items.csv of the demo).
func TestToolsFromJoints(t *testing.T) {
	ans, err := open(t).Plan(app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:SE13"}})
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]string{}
	for _, l := range ans.Tools {
		have[l.Name] = l.Note
	}
	for _, name := range []string{"driver T30", "driver E10", "torque wrench"} {
		if _, ok := have[name]; !ok {
			t.Errorf("%s is not laid out: %v", name, have)
		}
	}
	if have["torque wrench"] != "for 3 N·m, 10 N·m, 20 N·m" {
		t.Errorf("torque wrench: %q", have["torque wrench"])
	}
}
