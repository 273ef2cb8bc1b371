package access_test

import (
	"slices"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/internal/oracle"
	"elbowroom/plan"
)

// smallCases returns small machines that the brute force can plan, with its
// optimum.
func smallCases(t testing.TB, from uint64, n int) (cases []engines.Case, best []int64) {
	t.Helper()
	for seed := from; len(cases) < n && seed < from+20*uint64(n); seed++ {
		c := engines.Small(seed)
		r, err := c.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		if cost, _, outcome := oracle.Best(r, c.Request, oracleStates); outcome == plan.Optimal {
			cases, best = append(cases, c), append(best, cost)
		}
	}
	if len(cases) < n {
		t.Fatalf("only %d small machines with a plan", len(cases))
	}
	return cases, best
}

// TestReach compares every row of the table with the brute force: the extra is
// the optimum with the task less the optimum without.
func TestReach(t *testing.T) {
	cases, best := smallCases(t, 5000, 12)
	rows := 0
	for i, c := range cases {
		r, _ := c.Resolve()
		table, err := planner(t, r).Reach(c.Request, access.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range table {
			rows++
			req := c.Request
			req.Tasks = append(slices.Clip(req.Tasks), row.Task)
			want, _, outcome := oracle.Best(r, req, oracleStates)
			if outcome == plan.Limit {
				continue
			}
			if row.Outcome != outcome || outcome == plan.Optimal && (row.Extra.Objective != want-best[i] || row.AtLeast != want-best[i]) {
				t.Errorf("%s with %s: %s extra %d at least %d, want %s %d", c.Name, row.Task, row.Outcome, row.Extra.Objective, row.AtLeast, outcome, want-best[i])
			}
		}
	}
	if rows == 0 {
		t.Error("no rows")
	}
}

// TestReachDemo checks rows of the invented engine against the check values of
// plans.csv, and that adding a coil is known to change the way in.
func TestReachDemo(t *testing.T) {
	p := planner(t, resolved(t, demoGuide(t), "LHD"))
	table, err := p.Reach(plan.Request{Tasks: tasksOf("replace:IG03"), By: plan.ByMinutes}, access.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []struct {
		task    string
		extra   time.Duration
		changes bool
		reason  string
	}{
		{"replace:IG06", 25 * time.Minute, true, "60 for both less 35 for one; both from the top now, so the hatch stays shut"},
		{"check:X3", 4 * time.Minute, false, "the hatch is off already"},
		{"check:EL05", 3 * time.Minute, false, "reached without taking anything off"},
	} {
		i := slices.IndexFunc(table, func(r plan.Reach) bool { return r.Task.String() == want.task })
		if i < 0 {
			t.Errorf("no row for %s", want.task)
			continue
		}
		if row := table[i]; row.Outcome != plan.Optimal || row.Extra.Time != want.extra || row.Changes != want.changes {
			t.Errorf("%s: %s %v changes %v, want %v %v: %s", want.task, row.Outcome, row.Extra.Time, row.Changes, want.extra, want.changes, want.reason)
		}
	}
}

// withoutWays returns the guide without the ways that the function names.
func withoutWays(g *guide.Guide, drop func(owner guide.ID, w guide.Way) bool) *guide.Guide {
	h := *g
	h.Items = slices.Clone(g.Items)
	for i := range h.Items {
		it := &h.Items[i]
		it.Ways = slices.DeleteFunc(slices.Clone(it.Ways), func(w guide.Way) bool { return drop(it.ID, w) })
	}
	return &h
}

// TestWhyNotTask forces every way of every item task and compares with the
// brute force on a guide that has no other way of that task.
func TestWhyNotTask(t *testing.T) {
	cases, best := smallCases(t, 7000, 120)
	asked := 0
	for n, c := range cases {
		r, _ := c.Resolve()
		p := planner(t, r)
		for _, task := range c.Request.Tasks {
			it := r.Item(task.On)
			if it == nil || len(c.Request.Tasks) > 1 {
				continue
			}
			for k, w := range it.Ways {
				if w.Do != task.Verb {
					continue
				}
				asked++
				got, err := p.WhyNot(c.Request, plan.Act{Item: it.ID, Verb: w.Do, Way: k, Change: -1}, access.Limits{})
				if err != nil {
					t.Fatalf("%s: %v", c.Name, err)
				}
				only, err := guide.Resolve(withoutOthers(c.Guide, it.ID, w.Do, k), c.Request.Variant)
				if err != nil {
					t.Fatal(err)
				}
				want, _, outcome := oracle.Best(only, c.Request, oracleStates)
				if got.Outcome != outcome || outcome == plan.Optimal && (got.Plan.Cost.Objective != want || got.Extra.Objective != want-best[n]) {
					t.Errorf("%s %s way %d: %s %d extra %d, want %s %d", c.Name, task, k, got.Outcome, got.Plan.Cost.Objective, got.Extra.Objective, outcome, want)
				}
				if outcome == plan.Optimal {
					audited(t, r, c.Request, got.Plan)
				}
				if outcome == plan.Impossible && len(got.Blockers) == 0 {
					t.Errorf("%s %s way %d: impossible without a reason", c.Name, task, k)
				}
			}
		}
	}
	if asked < 20 {
		t.Errorf("only %d ways were asked about", asked)
	}
}

// withoutOthers puts the other ways of the task out of use without moving the
// numbers of ways: they get a verb that no task has.
func withoutOthers(g *guide.Guide, on guide.ID, verb guide.Verb, keep int) *guide.Guide {
	h := *g
	h.Items = slices.Clone(g.Items)
	for i := range h.Items {
		if h.Items[i].ID != on {
			continue
		}
		h.Items[i].Ways = slices.Clone(h.Items[i].Ways)
		for k := range h.Items[i].Ways {
			if w := &h.Items[i].Ways[k]; w.Do == verb && k != keep {
				w.Do = "unused"
			}
		}
	}
	return &h
}

// TestWhyNotClearing asks for a way in from the top that the invented engine's
// best plan leaves.
func TestWhyNotClearing(t *testing.T) {
	p := planner(t, resolved(t, demoGuide(t), "LHD"))
	req := plan.Request{Tasks: tasksOf("replace:IG03"), By: plan.ByMinutes}
	got, err := p.WhyNot(req, plan.Act{Item: "PN04", Verb: guide.Off, Way: 0, Change: -1}, access.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	// 55 by the top (plans.csv, coil 3 on RHD) against 35 by the cab.
	if got.Outcome != plan.Optimal || got.Extra.Time != 20*time.Minute || got.Taken {
		t.Errorf("%s extra %v taken %v, want 20 minutes more", got.Outcome, got.Extra.Time, got.Taken)
	}
	if len(got.Dear) == 0 || got.Dear[0].Item != "PN04" {
		t.Errorf("what makes it dear is %v, want the scuttle tray first", got.Dear)
	}
}

// TestRunnersUp checks that every alternative is a plan, that they come in
// order of cost, and that the first is the cheapest that does without
// something: the best of all guides that lack one way of the best plan.
func TestRunnersUp(t *testing.T) {
	g := demoGuide(t)
	r := resolved(t, g, "LHD")
	p := planner(t, r)
	for _, words := range []string{"replace:IG03", "replace:SE02", "replace:IG03 replace:SE02 replace:AC15", "replace:SE17 replace:SE18"} {
		req := plan.Request{Tasks: tasksOf(words), By: plan.ByMinutes}
		base, err := p.Plan(req, access.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		list, err := p.RunnersUp(req, 3, access.Limits{})
		if err != nil || len(list) == 0 {
			t.Fatalf("%s: %v, %d runners-up", words, err, len(list))
		}
		last := plan.Extra{}
		for _, a := range list {
			audited(t, r, req, a.Plan)
			if a.Extra.Objective < last.Objective || len(a.Differs) == 0 {
				t.Errorf("%s: extra %d after %d, differs in %v", words, a.Extra.Objective, last.Objective, a.Differs)
			}
			last = a.Extra
		}
		if want := bestWithoutOne(t, g, req, base); list[0].Plan.Cost.Objective > want {
			t.Errorf("%s: the first runner-up costs %d, a plan that lacks one way costs %d", words, list[0].Plan.Cost.Objective, want)
		}
	}
}

// bestWithoutOne plans once without each task way and each dear clearing way
// of the plan.
func bestWithoutOne(t *testing.T, g *guide.Guide, req plan.Request, base plan.Plan) int64 {
	t.Helper()
	best := int64(1) << 62
	for _, s := range base.Steps {
		if s.Kind != plan.Clear && s.Kind != plan.Do || s.Kind == plan.Clear && s.Hands < base.Cost.Total()/6 {
			continue
		}
		less := withoutWays(g, func(owner guide.ID, w guide.Way) bool {
			return owner == s.Item && w.Do == s.Verb && (s.Kind == plan.Clear || w.From == s.Place)
		})
		got, err := planner(t, resolved(t, less, "LHD")).Plan(req, access.Limits{})
		if err == nil && got.Outcome == plan.Optimal {
			best = min(best, got.Cost.Objective)
		}
	}
	return best
}

// TestHolds slows a step down to its limit and beyond: up to the limit the
// plan stays as good as any, beyond it another one is better; and a way not
// taken becomes worth while just below its limit.
func TestHolds(t *testing.T) {
	g := demoGuide(t)
	req := plan.Request{Tasks: tasksOf("replace:IG03 replace:SE02"), By: plan.ByMinutes}
	p := planner(t, resolved(t, g, "LHD"))
	base, err := p.Plan(req, access.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := p.Holds(req, access.Limits{})
	if err != nil || len(list) == 0 {
		t.Fatal(err, len(list))
	}
	limited := 0
	for _, h := range list {
		if h.Always || !h.Proved {
			continue
		}
		limited++
		at := replan(t, g, req, h.Act, h.Until)
		beyond := replan(t, g, req, h.Act, h.Until+time.Minute)
		below := time.Duration(0)
		if h.Until >= time.Minute {
			below = replan(t, g, req, h.Act, h.Until-time.Minute)
		}
		switch {
		case h.Taken && (at != base.Cost.Total()+h.Until-h.Now || beyond != at):
			t.Errorf("%s %s: %v at the limit %v, %v beyond it", h.Act.Verb, h.Act.Item, at, h.Until, beyond)
		case !h.Taken && (at != base.Cost.Total() || below >= at):
			t.Errorf("%s %s: %v at the limit %v, %v below it", h.Act.Verb, h.Act.Item, at, h.Until, below)
		}
	}
	if limited < 3 {
		t.Errorf("only %d limits were found", limited)
	}
}

// replan plans with the way taking so many minutes in all.
func replan(t *testing.T, g *guide.Guide, req plan.Request, a plan.Act, total time.Duration) time.Duration {
	t.Helper()
	h := *g
	h.Items = slices.Clone(g.Items)
	for i := range h.Items {
		if h.Items[i].ID == a.Item {
			h.Items[i].Ways = slices.Clone(h.Items[i].Ways)
			h.Items[i].Ways[a.Way].Out, h.Items[i].Ways[a.Way].Back = total, 0
		}
	}
	got, err := planner(t, resolved(t, &h, "LHD")).Plan(req, access.Limits{})
	if err != nil || got.Outcome != plan.Optimal {
		t.Fatal(got.Outcome, err)
	}
	return got.Cost.Total()
}
