package access_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/plan"
)

// lawSeeds is how many machines each law is tried on.
const lawSeeds = 250

// planned plans a case and audits the plan.
func planned(t testing.TB, c engines.Case) plan.Plan {
	t.Helper()
	r, err := c.Resolve()
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	got, err := planner(t, r).Plan(c.Request, access.Limits{})
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	audited(t, r, c.Request, got)
	return got
}

// TestLawMoreWays: another way of clearing an item never makes a visit dearer
// or impossible.
func TestLawMoreWays(t *testing.T) {
	cheaper := 0
	for seed := range uint64(lawSeeds) {
		c := engines.Small(20_000 + seed)
		before := planned(t, c)
		if before.Outcome != plan.Optimal {
			continue
		}
		g := *c.Guide
		g.Items = slices.Clone(g.Items)
		from, to := int(seed)%len(g.Items), int(seed/3)%len(g.Items)
		for _, w := range g.Items[from].Ways {
			if w.Do.Clears() && len(w.Together) == 0 {
				g.Items[to].Ways = append(slices.Clone(g.Items[to].Ways), w)
			}
		}
		after := planned(t, engines.Case{Name: c.Name, Guide: &g, Request: c.Request})
		if after.Outcome != plan.Optimal || after.Cost.Objective > before.Cost.Objective {
			t.Errorf("%s: %s %d with more ways, %d before", c.Name, after.Outcome, after.Cost.Objective, before.Cost.Objective)
		}
		if after.Cost.Objective < before.Cost.Objective {
			cheaper++
		}
	}
	if cheaper == 0 {
		t.Error("no way ever helped: the machines cover too little")
	}
}

// TestLawHalfOpen: a visit that finds an item off which it would have taken
// off anyway never costs more. This holds where being off earlier hinders
// nothing: no value, way or check wants items fitted, nothing is to be done
// before anything is touched, and the item comes off alone and once.
func TestLawHalfOpen(t *testing.T) {
	tried := 0
	for seed := range uint64(3 * lawSeeds) {
		c := engines.Small(30_000 + seed)
		if wantsFitted(c) || len(c.Request.Found) > 0 {
			continue
		}
		closed := planned(t, c)
		s, ok := clearedOnce(c, closed)
		if !ok {
			continue
		}
		tried++
		half := c
		half.Request.Found = []plan.Standing{{Item: s.Item, Off: s.Verb == guide.Off}}
		open := planned(t, half)
		if open.Outcome != plan.Optimal || open.Cost.Objective > closed.Cost.Objective {
			t.Errorf("%s: %s %d with %s found %s, %d closed", c.Name, open.Outcome, open.Cost.Objective, s.Item, s.Verb, closed.Cost.Objective)
		}
	}
	if tried < 20 {
		t.Errorf("the law was tried on %d machines only", tried)
	}
}

func wantsFitted(c engines.Case) bool {
	for _, k := range c.Guide.Conditions {
		if slices.ContainsFunc(k.Values, func(v guide.Value) bool { return len(v.Fitted) > 0 }) || slices.ContainsFunc(k.Changes, func(h guide.Change) bool { return len(h.Fitted) > 0 }) {
			return true
		}
	}
	fitted := func(w guide.Way) bool { return len(w.Fitted) > 0 || len(w.Together) > 0 }
	for _, it := range c.Guide.Items {
		if slices.ContainsFunc(it.Ways, fitted) {
			return true
		}
	}
	for _, k := range c.Guide.Checks {
		if k.Closed || slices.ContainsFunc(k.Ways, fitted) {
			return true
		}
	}
	return slices.ContainsFunc(c.Request.Tasks, func(t plan.Task) bool { return t.Before })
}

// clearedOnce finds a clearing step whose item the plan clears only once.
func clearedOnce(c engines.Case, p plan.Plan) (plan.Step, bool) {
	for _, s := range p.Steps {
		n := 0
		for _, o := range p.Steps {
			if o.Kind == plan.Clear && o.Item == s.Item {
				n++
			}
		}
		if s.Kind == plan.Clear && n == 1 {
			return s, true
		}
	}
	return plan.Step{}, false
}

// TestLawTogether: two jobs in one visit never cost more than two visits, on
// an engine where every condition is put back as found and changing place or
// tool costs nothing.
func TestLawTogether(t *testing.T) {
	r := resolved(t, demoGuide(t), "RHD")
	p := planner(t, r)
	jobs := []string{"replace:SE13", "replace:IG03", "replace:SE02", "replace:AC15", "replace:SE18", "check:SE03", "replace:CO02", "replace:FU12", "replace:SE12", "replace:AC05"}
	cost := func(words string) int64 {
		req := plan.Request{Tasks: tasksOf(words), By: plan.ByMinutes}
		got, err := p.Plan(req, access.Limits{})
		if err != nil || got.Outcome != plan.Optimal {
			t.Fatal(words, got.Outcome, err)
		}
		audited(t, r, req, got)
		return got.Cost.Objective
	}
	saved := 0
	for i, a := range jobs {
		for _, b := range jobs[:i] {
			both, apart := cost(a+" "+b), cost(a)+cost(b)
			if both > apart {
				t.Errorf("%s and %s: %d together, %d apart", a, b, both, apart)
			}
			if both < apart {
				saved++
			}
		}
	}
	if saved == 0 {
		t.Error("no two jobs ever shared anything")
	}
}

// TestLawReverse: what a visit takes off by a way it puts back by that way,
// later and in the end everything, unless something is left open.
func TestLawReverse(t *testing.T) {
	clears := 0
	for seed := range uint64(lawSeeds) {
		c := engines.Small(40_000 + seed)
		if len(c.Request.LeaveOpen)+len(c.Request.Found) > 0 {
			continue
		}
		type part struct {
			item guide.ID
			way  int
		}
		out := map[part]int{}
		for _, s := range planned(t, c).Steps {
			switch s.Kind {
			case plan.Clear:
				clears++
				out[part{s.Item, s.Way}]++
			case plan.Refit:
				if out[part{s.Item, s.Way}]--; out[part{s.Item, s.Way}] < 0 {
					t.Errorf("%s: %s goes back by way %d before it came off by it", c.Name, s.Item, s.Way)
				}
			}
		}
		for k, n := range out {
			if n != 0 {
				t.Errorf("%s: %s stays off", c.Name, k.item)
			}
		}
	}
	if clears == 0 {
		t.Error("nothing was ever taken off")
	}
}

// TestSameAgain: the same request gives the same answer, to the last step.
func TestSameAgain(t *testing.T) {
	for seed := range uint64(60) {
		c := engines.Small(50_000 + seed)
		if diff := cmp.Diff(planned(t, c), planned(t, c)); diff != "" {
			t.Errorf("%s differs the second time:\n%s", c.Name, diff)
		}
	}
	c := engines.Like(3, 100)
	if diff := cmp.Diff(planned(t, c), planned(t, c)); diff != "" {
		t.Errorf("%s differs the second time:\n%s", c.Name, diff)
	}
}
