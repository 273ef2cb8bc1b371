package app_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/plan"
)

func open(t testing.TB) *app.App {
	t.Helper()
	shop, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	a, err := app.Open(time.Now, shop, app.Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// goals says which tasks each goal of plans.csv means.
var goals = map[string]string{
	"Right knock sensor":                    "replace:SE13",
	"Both knock sensors":                    "replace:SE13 replace:SE14",
	"Measure at valley connector X3":        "check:X3",
	"Measure at coolant temperature sensor": "check:SE03",
	"Thermostat housing":                    "replace:CO02",
	"High-pressure pump":                    "replace:FU01",
	"Measure F14 feed":                      "check:EL05",
	"Coil 3":                                "replace:IG03",
	"Coil 6":                                "replace:IG06",
	"Coils 3 + 6":                           "replace:IG03 replace:IG06",
	"All six coils":                         "replace:IG01 replace:IG02 replace:IG03 replace:IG04 replace:IG05 replace:IG06",
	"Injector 2":                            "replace:FU09",
	"Injector 5":                            "replace:FU12",
	"Injectors 2 + 5":                       "replace:FU09 replace:FU12",
	"Rail pressure sensor":                  "replace:SE15",
	"Rail pressure sensor + right knock sensor": "replace:SE15 replace:SE13",
	"Crank sensor":                                  "replace:SE08",
	"Left exhaust cam sensor":                       "replace:SE12",
	"Left exhaust cam sensor + high-pressure pump":  "replace:SE12 replace:FU01",
	"Right upstream oxygen sensor":                  "replace:SE17",
	"Left upstream oxygen sensor":                   "replace:SE18",
	"Both upstream oxygen sensors":                  "replace:SE17 replace:SE18",
	"MAP sensor":                                    "replace:SE02",
	"MAP + coolant temperature sensor":              "replace:SE02 replace:SE03",
	"Oil level sensor + oil pressure control valve": "replace:SE07 replace:AC05",
	"Starter":                    "replace:AC15",
	"V4: coil 3 + MAP + starter": "replace:IG03 replace:SE02 replace:AC15",
}

// pseudo are the steps of plans.csv that are conditions in the guide.
var pseudo = map[string]string{
	"position=raised": "LIFT", "battery=disconnected": "BATT", "fuel-pressure=released": "FREL",
	"coolant=drained": "DCOOL", "oil=drained": "DOIL",
}

type row struct {
	goal, variant             string
	total, strip, refit, work time.Duration
	steps                     []string
}

func rows(t testing.TB) []row {
	t.Helper()
	f, err := os.Open("testdata/plans.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	minutes := func(s string) time.Duration {
		n, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		return time.Duration(n) * time.Minute
	}
	var out []row
	for _, c := range all[1:] {
		out = append(out, row{c[0], c[1], minutes(c[2]), minutes(c[3]), minutes(c[4]), minutes(c[5]), strings.Fields(strings.Trim(c[7], "—"))})
	}
	if len(out) != 54 {
		t.Fatalf("%d rows in plans.csv, want 54", len(out))
	}
	return out
}

// TestDemoRows reproduces every row of plans.csv in pure minutes from an empty
// start; the audit has passed each plan before it gets here.
func TestDemoRows(t *testing.T) {
	a := open(t)
	for _, want := range rows(t) {
		t.Run(want.goal+" "+want.variant, func(t *testing.T) {
			tasks := goals[want.goal]
			if tasks == "" {
				t.Fatalf("no tasks known for goal %q", want.goal)
			}
			ans, err := a.Plan(app.Ask{Guide: "demo", Variant: want.variant, Tasks: strings.Fields(tasks), By: "minutes"})
			if err != nil {
				t.Fatal(err)
			}
			c := ans.Plan.Cost
			if ans.Plan.Outcome != plan.Optimal {
				t.Errorf("outcome %s, want optimal", ans.Plan.Outcome)
			}
			if c.Total() != want.total || c.Strip != want.strip || c.Refit != want.refit || c.Work != want.work {
				t.Errorf("total %v strip %v refit %v work %v, want %v %v %v %v",
					c.Total(), c.Strip, c.Refit, c.Work, want.total, want.strip, want.refit, want.work)
			}
			if got := opened(ans); !slices.Equal(got, sorted(want.steps)) {
				t.Errorf("opened %v, want %v", got, sorted(want.steps))
			}
		})
	}
}

// opened lists what the plan takes off or changes, under the names of
// plans.csv, sorted.
func opened(ans *app.Answer) []string {
	var out []string
	for _, s := range ans.Plan.Steps {
		switch {
		case s.Phase != plan.StripPhase:
		case s.Kind == plan.Clear:
			out = append(out, string(s.Item))
		case s.Kind == plan.Change:
			out = append(out, pseudo[fmt.Sprintf("%s=%s", s.Condition, s.To)])
		}
	}
	return sorted(out)
}

func sorted(list []string) []string {
	list = slices.Clone(list)
	slices.Sort(list)
	return list
}

// TestRefusals: traps of the demo that must not be planned around.
func TestRefusals(t *testing.T) {
	a := open(t)
	cases := []struct {
		name string
		ask  app.Ask
		err  string
	}{
		{"an item nobody knows, with the nearest name", app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:SE131"}}, "SE13"},
		{"a variant nobody knows", app.Ask{Guide: "demo", Variant: "MHD", Tasks: []string{"replace:SE13"}}, "LHD"},
		{"a variant left open asks its one question", app.Ask{Guide: "demo", Tasks: []string{"replace:SE13"}}, "?"},
		{"the same task twice", app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:SE13", "replace:SE13"}}, "twice"},
		{"a machine nobody knows", app.Ask{Machine: "V9", Tasks: []string{"replace:SE13"}}, "V1"},
		{"a machine without a guide", app.Ask{Machine: "V5", Tasks: []string{"replace:SE13"}}, "nothing is written down"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := a.Plan(c.ask)
			if err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("error %v, want one that contains %q", err, c.err)
			}
			t.Log(err)
		})
	}
}

// TestHotCoolant: draining is never planned on a hot engine without cooling
// down first (trap 14), and the hatch is never a way to coil 6 on LHD (trap 13).
func TestHotCoolant(t *testing.T) {
	a := open(t)
	ans, err := a.Plan(app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:CO02"}, Start: []string{"engine=hot"}})
	if err != nil {
		t.Fatal(err)
	}
	if ans.Plan.Outcome == plan.Impossible {
		return
	}
	cold := false
	for _, s := range ans.Plan.Steps {
		if s.Condition == "engine" && (s.Kind == plan.Await || s.Kind == plan.Change) && s.To == "cold" {
			cold = true
		}
		if s.Condition == "coolant" && s.To == "drained" && !cold {
			t.Fatal("coolant is drained before the engine is cold")
		}
	}
	ans, err = a.Plan(app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:IG06"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range ans.Steps {
		if s.Step.Kind == plan.Do && s.Step.Place == guide.ID("cab") {
			t.Error("coil 6 through the cab hatch on LHD")
		}
	}
}

// TestNoWorkToPassTheTime: a wait of hours is not filled with taking the
// intake off a second time, although that costs no minute more.
func TestNoWorkToPassTheTime(t *testing.T) {
	a := open(t)
	alone, err := a.Plan(app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:SE13"}, By: "minutes"})
	if err != nil {
		t.Fatal(err)
	}
	soaked, err := a.Plan(app.Ask{Guide: "demo", Variant: "LHD", Tasks: []string{"replace:SE13", "check:T13"}, By: "minutes"})
	if err != nil {
		t.Fatal(err)
	}
	if soaked.Plan.Cost.Strip > alone.Plan.Cost.Strip || soaked.Plan.Cost.Waiting == 0 {
		t.Errorf("with the soak the strip takes %v (%v without) and waiting %v", soaked.Plan.Cost.Strip, alone.Plan.Cost.Strip, soaked.Plan.Cost.Waiting)
	}
}
