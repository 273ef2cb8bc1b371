package access_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/plan"
)

// demoRows reads a table of the invented demo data.
func demoRows(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/demo/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) < 2 {
		t.Fatalf("%s is empty", name)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func minutes(t testing.TB, s string) time.Duration {
	t.Helper()
	n, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return time.Duration(n * float64(time.Minute))
}

// demoConditions are the rows of steps.csv that are states of the machine.
var demoConditions = map[string]guide.ID{"LIFT": "raised", "BATT": "battery-off", "FREL": "relieved", "DCOOL": "coolant-out", "DOIL": "oil-out"}

// demoGuide builds the guide of the invented engine from its tables.
func demoGuide(t testing.TB) *guide.Guide {
	t.Helper()
	g := &guide.Guide{
		Format: 1, ID: "v27p", Currency: "EUR",
		Axes: []guide.Axis{{ID: "drive", Question: "On which side is the steering wheel?", Values: []guide.AxisValue{{ID: "LHD"}, {ID: "RHD"}}}},
	}
	at := map[string]int{}
	for _, row := range demoRows(t, "items.csv") {
		at[row["id"]] = len(g.Items)
		g.Items = append(g.Items, guide.Item{ID: guide.ID(row["id"]), Name: row["name"], Class: guide.Class(row["class"])})
	}
	for _, row := range demoRows(t, "steps.csv") {
		out, back := minutes(t, row["open_min"]), minutes(t, row["close_min"])
		needs, with := demoNeeds(row["requires"])
		if id, ok := demoConditions[row["id"]]; ok {
			g.Conditions = append(g.Conditions, guide.Condition{
				ID: id, Name: row["name"], Values: []guide.Value{{ID: "no"}, {ID: "yes"}}, Start: "no",
				Changes: []guide.Change{
					{From: "no", To: "yes", Minutes: out, Needs: needs, With: with},
					{From: "yes", To: "no", Minutes: back, Needs: needs, With: with},
				},
			})
			continue
		}
		i, ok := at[row["id"]]
		if !ok {
			t.Fatalf("steps.csv names unknown item %s", row["id"])
		}
		verb := guide.Off
		if strings.Contains(row["hazard"], "swing aside") {
			verb = guide.Aside
		}
		g.Items[i].Ways = append(g.Items[i].Ways, guide.Way{Do: verb, Needs: needs, With: with, Out: out, Back: back})
	}
	places := map[guide.ID]bool{}
	for _, row := range demoRows(t, "routes.csv") {
		i, ok := at[row["target"]]
		if !ok {
			t.Fatalf("routes.csv names unknown item %s", row["target"])
		}
		needs, with := demoNeeds(row["needs"])
		place := guide.ID(strings.ReplaceAll(row["route"], " ", "-"))
		if !places[place] {
			places[place] = true
			g.Places = append(g.Places, guide.Place{ID: place, Name: row["route"]})
		}
		w := guide.Way{Do: demoVerb(row["purpose"]), From: place, Needs: needs, With: with, Out: minutes(t, row["work_min"])}
		if row["variant"] != "both" {
			w.For = guide.Selector{{Axis: "drive", Values: []guide.ID{guide.ID(row["variant"])}}}
		}
		g.Items[i].Ways = append(g.Items[i].Ways, w)
	}
	return g
}

func demoVerb(purpose string) guide.Verb {
	if purpose == "test" {
		return guide.Measure
	}
	return guide.Verb(purpose)
}

func demoNeeds(list string) (needs []guide.Need, with []guide.Req) {
	for _, id := range strings.Fields(list) {
		if c, ok := demoConditions[id]; ok {
			with = append(with, guide.Req{Condition: c, Value: "yes"})
		} else {
			needs = append(needs, guide.Need{Item: guide.ID(id)})
		}
	}
	return needs, with
}

// demoGoals says which tasks the goals of plans.csv are.
var demoGoals = map[string]string{
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

func tasksOf(words string) []plan.Task {
	var tasks []plan.Task
	for _, w := range strings.Fields(words) {
		verb, on, _ := strings.Cut(w, ":")
		tasks = append(tasks, plan.Task{Verb: guide.Verb(verb), On: guide.ID(on)})
	}
	return tasks
}

func resolved(t testing.TB, g *guide.Guide, variant string) *guide.Resolved {
	t.Helper()
	var sel guide.Selector
	if variant != "" {
		sel = guide.Selector{{Axis: "drive", Values: []guide.ID{guide.ID(variant)}}}
	}
	r, err := guide.Resolve(g, sel)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func planner(t testing.TB, r *guide.Resolved) *access.Planner {
	t.Helper()
	p, err := access.New(r)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestDemoPlans compares every row of the demo's check values.
func TestDemoPlans(t *testing.T) {
	g := demoGuide(t)
	for _, row := range demoRows(t, "plans.csv") {
		t.Run(row["goal"]+" "+row["variant"], func(t *testing.T) {
			words, ok := demoGoals[row["goal"]]
			if !ok {
				t.Fatal("no tasks are known for this goal")
			}
			r := resolved(t, g, row["variant"])
			req := plan.Request{Tasks: tasksOf(words), By: plan.ByMinutes}
			got, err := planner(t, r).Plan(req, access.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			audited(t, r, req, got)
			if got.Outcome != plan.Optimal {
				t.Errorf("outcome %s, want optimal", got.Outcome)
			}
			have := fmt.Sprint(got.Cost.Total().Minutes(), got.Cost.Strip.Minutes(), got.Cost.Refit.Minutes(), got.Cost.Work.Minutes())
			want := strings.Join([]string{row["total"], row["open"], row["close"], row["work"]}, " ")
			if have != want {
				t.Errorf("total, strip, refit, work are %s, want %s", have, want)
			}
		})
	}
}
