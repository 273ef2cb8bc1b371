package demo

import (
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// strip works out how to reach a set of ways by following their needs: what is
// opened, in which order. It takes the only way of each item and the only
// change of each condition, so it knows nothing of clever orders.
type strip struct {
	r     *guide.Resolved
	state map[guide.ID]guide.ID // conditions
	off   map[guide.ID]bool
	steps []plan.Step
}

func newStrip(r *guide.Resolved) *strip {
	s := &strip{r: r, state: map[guide.ID]guide.ID{}, off: map[guide.ID]bool{}}
	for _, c := range r.Guide.Conditions {
		s.state[c.ID] = c.Start
	}
	return s
}

func (s *strip) open(needs []guide.Need, with []guide.Req) {
	for _, q := range with {
		if (s.state[q.Condition] == q.Value) != q.Not {
			continue
		}
		c := s.r.Condition(q.Condition)
		i := slices.IndexFunc(c.Changes, func(ch guide.Change) bool { return ch.From == s.state[c.ID] && ch.To == q.Value })
		ch := c.Changes[i]
		s.open(ch.Needs, ch.With)
		s.state[c.ID] = q.Value
		s.steps = append(s.steps, plan.Step{Kind: plan.Change, Condition: c.ID, From: ch.From, To: ch.To, Change: i, Way: -1, Task: -1})
	}
	for _, n := range needs {
		if s.off[n.Item] {
			continue
		}
		ways := s.r.Item(n.Item).Ways
		i := slices.IndexFunc(ways, func(w guide.Way) bool { return w.Do.Clears() })
		s.open(ways[i].Needs, ways[i].With)
		s.off[n.Item] = true
		s.steps = append(s.steps, plan.Step{Kind: plan.Clear, Item: n.Item, Verb: ways[i].Do, Way: i, Task: -1, Change: -1})
	}
}

// back is the steps undone in reverse.
func (s *strip) back() []plan.Step {
	var out []plan.Step
	for _, st := range slices.Backward(s.steps) {
		if st.Kind == plan.Clear {
			st.Kind = plan.Refit
		} else {
			st.From, st.To = st.To, st.From
			st.Change = slices.IndexFunc(s.r.Condition(st.Condition).Changes, func(ch guide.Change) bool {
				return ch.From == st.From && ch.To == st.To
			})
		}
		out = append(out, st)
	}
	return out
}

// best tries every combination of ways of the tasks and returns the cost of
// the cheapest, as the independent replay counts it.
func best(t *testing.T, r *guide.Resolved, tasks []guide.TaskID) (least plan.Cost, steps []plan.Step) {
	t.Helper()
	req := plan.Request{Variant: variant(r), By: plan.ByMinutes}
	for _, task := range tasks {
		req.Tasks = append(req.Tasks, plan.Task{Verb: task.Verb, On: task.On})
	}
	choice := make([]int, len(tasks))
	var try func(k int)
	try = func(k int) {
		if k < len(tasks) {
			for i, w := range r.Item(tasks[k].On).Ways {
				if w.Do == tasks[k].Verb && r.Fits(w.For) {
					choice[k] = i
					try(k + 1)
				}
			}
			return
		}
		cost, done := replay(t, r, req, choice)
		if steps == nil || cost.Total() < least.Total() {
			least, steps = cost, done
		}
	}
	try(0)
	return least, steps
}

func variant(r *guide.Resolved) guide.Selector {
	var s guide.Selector
	for _, a := range r.Guide.Axes {
		s = append(s, guide.Choice{Axis: a.ID, Values: []guide.ID{r.Variant[a.ID]}})
	}
	return s
}

// replay strips for the chosen ways, does the tasks, refits in reverse, and
// has every step and the end judged by package audit.
func replay(t *testing.T, r *guide.Resolved, req plan.Request, choice []int) (plan.Cost, []plan.Step) {
	t.Helper()
	s := newStrip(r)
	var work []plan.Step
	for k, task := range req.Tasks {
		w := r.Item(task.On).Ways[choice[k]]
		s.open(w.Needs, w.With)
		work = append(work, plan.Step{Kind: plan.Do, Item: task.On, Verb: task.Verb, Way: choice[k], Task: k, Change: -1})
	}
	steps := slices.Concat(s.steps, work, s.back())
	state, err := audit.NewState(r, req)
	if err != nil {
		t.Fatal(err)
	}
	for _, st := range steps {
		if _, err := state.Apply(st); err != nil {
			t.Fatalf("%v: step %v: %v", req.Tasks, audit.Words(st), err)
		}
	}
	if left := state.Unfinished(); len(left) > 0 {
		t.Fatalf("%v: unfinished: %v", req.Tasks, left)
	}
	return state.Cost(), steps
}

// stepNames are the conditions that stand for the steps of plans.csv which are
// no items.
var stepNames = map[string]guide.ID{"LIFT": "position", "BATT": "battery", "FREL": "fuel-pressure", "DCOOL": "coolant", "DOIL": "oil"}

// TestPlans compares the tests that the guide carries with plans.csv, row by
// row, and proves every row again by trying all combinations of ways.
func TestPlans(t *testing.T) {
	g := load(t)
	rows := table(t, "plans", 54)
	for i, row := range rows {
		test := g.Tests[i]
		if !strings.HasSuffix(string(test.ID), "-"+row["variant"]) || test.For.String() != row["variant"] {
			t.Fatalf("test %d is %s for %s, want %s for %s", i, test.ID, test.For, row["goal"], row["variant"])
		}
		m := test.Minutes
		if *m.Total != row.number(t, "total") || *m.Strip != row.number(t, "open") || *m.Refit != row.number(t, "close") || *m.Work != row.number(t, "work") {
			t.Errorf("%s: %v %v %v %v, want %v", test.ID, *m.Total, *m.Strip, *m.Work, *m.Refit, row)
		}
		if want := stepsOf(row["steps"]); !sameSet(test.Steps, want) {
			t.Errorf("%s: steps %v, want %v", test.ID, test.Steps, want)
		}
		if routes := strings.Count(row["routes"], "+") + 1; routes != len(test.Tasks) {
			t.Errorf("%s: %d tasks, want %d", test.ID, len(test.Tasks), routes)
		}
		t.Run(string(test.ID), func(t *testing.T) { prove(t, seen(t, guide.ID(row["variant"])), test) })
	}
}

func stepsOf(cell string) []guide.ID {
	var out []guide.ID
	for _, s := range strings.Fields(strings.Trim(cell, "—")) {
		if c, ok := stepNames[s]; ok {
			out = append(out, c)
		} else {
			out = append(out, guide.ID(s))
		}
	}
	return out
}

// prove compares the cheapest plan that following the needs can find with what
// the test of the guide expects.
func prove(t *testing.T, r *guide.Resolved, test guide.Test) {
	cost, steps := best(t, r, test.Tasks)
	if steps == nil {
		t.Fatal("no way")
	}
	for what, pair := range map[string][2]time.Duration{
		"total": {cost.Total(), minutes(*test.Minutes.Total)},
		"strip": {cost.Strip, minutes(*test.Minutes.Strip)},
		"work":  {cost.Work, minutes(*test.Minutes.Work)},
		"refit": {cost.Refit, minutes(*test.Minutes.Refit)},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%s takes %v, want %v", what, pair[0], pair[1])
		}
	}
	var used []guide.ID
	for _, st := range steps {
		switch {
		case st.Kind == plan.Clear:
			used = append(used, st.Item)
		case st.Kind == plan.Change && !slices.Contains(used, st.Condition):
			used = append(used, st.Condition)
		}
	}
	if !sameSet(used, test.Steps) {
		t.Errorf("the plan uses %v, want %v", used, test.Steps)
	}
}

func minutes(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }
