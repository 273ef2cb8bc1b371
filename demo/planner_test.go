package demo

import (
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// solve plans a request by minutes, has the plan checked and fails the test
// when the checker disagrees.
func solve(t *testing.T, r *guide.Resolved, req plan.Request) plan.Plan {
	t.Helper()
	planner, err := access.New(r)
	if err != nil {
		t.Fatal(err)
	}
	req.Variant, req.By = variant(r), plan.ByMinutes
	p, err := planner.Plan(req, access.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if err := audit.Check(r, req, p).Err(); err != nil {
		t.Error(err)
	}
	return p
}

func requestOf(test guide.Test) plan.Request {
	var req plan.Request
	for _, task := range test.Tasks {
		req.Tasks = append(req.Tasks, plan.Task{Verb: task.Verb, On: task.On})
	}
	for _, s := range test.Start {
		if c, v, ok := strings.Cut(s, "="); ok {
			req.Given = append(req.Given, plan.Setting{Condition: guide.ID(c), Value: guide.ID(v)})
		} else {
			req.Found = append(req.Found, plan.Standing{Item: guide.ID(s), Off: true})
		}
	}
	return req
}

// TestGuideTests: the planner keeps what the guide promises of its plans.
func TestGuideTests(t *testing.T) {
	planned := 0
	for _, test := range load(t).Tests {
		if len(test.Tasks) == 0 {
			continue
		}
		planned++
		t.Run(string(test.ID), func(t *testing.T) {
			p := solve(t, seen(t, test.For[0].Values[0]), requestOf(test))
			if test.Refused {
				if p.Outcome != plan.Impossible {
					t.Errorf("%s, want it refused", p.Outcome)
				}
				return
			}
			if p.Outcome != plan.Optimal {
				t.Fatalf("%s, want a proved plan", p.Outcome)
			}
			compareMinutes(t, p.Cost, *test.Minutes)
			for _, id := range test.Steps {
				if !slices.ContainsFunc(p.Steps, func(s plan.Step) bool { return s.Item == id || s.Condition == id }) {
					t.Errorf("the plan does not touch %s", id)
				}
			}
		})
	}
	if planned != 60 {
		t.Errorf("%d tests have tasks, want 54 of plans.csv and 6 more", planned)
	}
}

// compareMinutes compares what the test of the guide states.
func compareMinutes(t *testing.T, c plan.Cost, m guide.Minutes) {
	t.Helper()
	for _, x := range []struct {
		what string
		got  time.Duration
		want *float64
	}{
		{"total", c.Total(), m.Total}, {"strip", c.Strip, m.Strip}, {"work", c.Work, m.Work}, {"refit", c.Refit, m.Refit},
	} {
		if x.want != nil && x.got != minutes(*x.want) {
			t.Errorf("%s takes %v with a wait of %v, want %v min", x.what, x.got, c.Waiting, *x.want)
		}
	}
}

// TestEveryCheckHasAPlan: from a cold, closed vehicle to every check and back,
// on both drive sides.
func TestEveryCheckHasAPlan(t *testing.T) {
	for _, drive := range []guide.ID{"LHD", "RHD"} {
		r := seen(t, drive)
		for _, c := range r.Guide.Checks {
			p := solve(t, r, plan.Request{Tasks: []plan.Task{{Verb: guide.Measure, On: c.ID}}})
			if p.Outcome != plan.Optimal || p.Cost.Work < c.Minutes {
				t.Errorf("%s %s: %s, %v of work", drive, c.ID, p.Outcome, p.Cost.Work)
			}
		}
	}
}

// TestEveryTaskHasAPlan: every way of every task leads somewhere on the drive
// side for which it is written.
func TestEveryTaskHasAPlan(t *testing.T) {
	tasks := 0
	for _, drive := range []guide.ID{"LHD", "RHD"} {
		r := seen(t, drive)
		for _, it := range r.Items {
			for _, w := range it.Ways {
				if w.Do.Clears() || !r.Fits(w.For) {
					continue
				}
				tasks++
				p := solve(t, r, plan.Request{Tasks: []plan.Task{{Verb: w.Do, On: it.ID}}})
				if p.Outcome != plan.Optimal {
					t.Errorf("%s: %s:%s is %s", drive, w.Do, it.ID, p.Outcome)
				}
			}
		}
	}
	if tasks < 2*60 {
		t.Errorf("only %d tasks were planned", tasks)
	}
}
