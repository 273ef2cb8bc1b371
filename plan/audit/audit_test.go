package audit_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/internal/oracle"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// best returns a known machine with its best plan.
func best(t *testing.T, name string) (engines.KnownCase, *guide.Resolved, plan.Plan) {
	t.Helper()
	k := knownCase(t, name)
	r, err := k.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	return k, r, oracle.Plan(r, k.Request, oracleStates)
}

// TestWords: what the audit says to typical mistakes, so that a technician
// knows which step and why.
func TestWords(t *testing.T) {
	drop := func(i int) func(p *plan.Plan) {
		return func(p *plan.Plan) { p.Steps = slices.Delete(p.Steps, i, i+1) }
	}
	swap := func(i, j int) func(p *plan.Plan) {
		return func(p *plan.Plan) { p.Steps[i], p.Steps[j] = p.Steps[j], p.Steps[i] }
	}
	tests := []struct {
		name, reason, machine string
		spoil                 func(p *plan.Plan)
		says                  string
	}{
		{"in the way", "the cover was not taken off", "cover and coil", drop(0), "step 1, replace X: A is in the way"},
		{"still off", "the cover stays off", "cover and coil", drop(2), "the visit cannot end here: A is still off"},
		{"not done", "the work is missing", "cover and coil", drop(1), "the task replace X is not done"},
		{"refit too early", "the cover goes back before the work", "cover and coil", swap(1, 2), "step 3, replace X: A is in the way"},
		{"on already", "refitted twice", "cover and coil", func(p *plan.Plan) { p.Steps = append(p.Steps, p.Steps[2]) }, "step 4, refit A: A is on already"},
		{"aside only", "the second clearing is missing", "aside, then off", drop(2), "A must be off and is only aside"},
		{"other way back", "it came away by another way", "way back", func(p *plan.Plan) { p.Steps[2].Way = 0 }, "A must go back the way it came"},
		{"no such way", "", "way back", func(p *plan.Plan) { p.Steps[0].Way = 7 }, "A has no way of that number"},
		{"no such item", "", "way back", func(p *plan.Plan) { p.Steps[0].Item = "Q" }, "this variant has no item Q"},
		{"held", "the bracket is refitted without what it came away with", "assembly", func(p *plan.Plan) {
			p.Steps = slices.Insert(p.Steps, 2, plan.Step{Kind: plan.Refit, Item: "B", Way: 0, Task: -1})
		}, "B goes back with A"},
		{"does not wait", "the engine is worked on while it cools", "wait", drop(1), "engine must be cold"},
		{"still changing", "cooling is begun twice", "wait", func(p *plan.Plan) { p.Steps = slices.Insert(p.Steps, 1, p.Steps[0]) }, "engine is still changing"},
		{"wait twice", "", "wait", func(p *plan.Plan) { p.Steps = slices.Insert(p.Steps, 2, p.Steps[1]) }, "engine is not changing"},
		{"demand", "the cover comes off while the engine runs", "running before the strip", swap(2, 3), "COVER must be fitted while running is yes"},
		{"not as found", "the first check comes too late", "running before the strip", func(p *plan.Plan) {
			p.Steps = append(p.Steps[3:], p.Steps[:3]...)
		}, "wanted as the machine was found"},
		{"proof too early", "the proof is done before the cover is back", "proof after the refit", func(p *plan.Plan) {
			p.Steps[2], p.Steps[4] = p.Steps[4], p.Steps[2]
		}, "COVER must be fitted, as everything must"},
		{"end value", "the lift stays up", "by steps", func(p *plan.Plan) { p.Steps = p.Steps[:3] }, "lift must be floor at the end"},
		{"order", "the work comes before what must be done first", "second strip", func(p *plan.Plan) { p.Steps = slices.Delete(p.Steps, 3, 6) }, "check IDLE must be done first"},
		{"minutes", "a step is written too short", "cover and coil", func(p *plan.Plan) { p.Steps[1].Hands -= time.Minute }, "hands-on time is written 7m0s and must be 8m0s"},
		{"set-up", "the move is forgotten", "one move out, one back", func(p *plan.Plan) { p.Steps[1].Setup = 0 }, "set-up time is written 0s and must be 2m0s"},
		{"cost", "the refit minutes are wrong", "cover and coil", func(p *plan.Plan) { p.Cost.Refit = time.Minute }, "the cost says refit 1m0s, and the steps come to 2m0s"},
		{"bound", "the bound is above the plan", "cover and coil", func(p *plan.Plan) { p.Bound++ }, "no plan can beat its own cost"},
		{"outcome", "", "cover and coil", func(p *plan.Plan) { p.Outcome = "fine" }, `there is no outcome "fine"`},
		{"limit with steps", "an outcome without a plan has no steps", "cover and coil", func(p *plan.Plan) { p.Outcome = plan.Limit }, "yet there are 3 steps"},
		{"impossible without reason", "a blocker must be named", "circle", func(p *plan.Plan) { p.Blockers = nil }, "nothing is named that blocks it"},
		{"silent blocker", "", "circle", func(p *plan.Plan) { p.Blockers[0].Says = " " }, "blocker 1 says nothing"},
		{"bad input", "a plan for a request that cannot be used", "unknown item", func(p *plan.Plan) { p.Outcome = plan.Impossible }, "this variant has no item Z"},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			k, r, p := best(t, c.machine)
			expect(t, audit.Check(r, k.Request, p), "", "before it is spoilt")
			p.Steps = slices.Clone(p.Steps)
			c.spoil(&p)
			expect(t, audit.Check(r, k.Request, p), c.says, c.reason)
		})
	}
}

// TestRequests: requests and guides that cannot be used are named, all of them
// at once.
func TestRequests(t *testing.T) {
	tests := []struct {
		name, says string
		spoil      func(g *guide.Guide, req *plan.Request)
	}{
		{"verb off", "off is a way in, not a task", func(_ *guide.Guide, req *plan.Request) { req.Tasks[0].Verb = guide.Off }},
		{"no item", "this variant has no item Q", func(_ *guide.Guide, req *plan.Request) { req.Tasks[0].On = "Q" }},
		{"after", "it comes after a task 9", func(_ *guide.Guide, req *plan.Request) { req.Tasks[0].After = []int{8} }},
		{"found", "found: this variant has no item Q", func(_ *guide.Guide, req *plan.Request) { req.Found = []plan.Standing{{Item: "Q"}} }},
		{"found twice", "found: X is named twice", func(_ *guide.Guide, req *plan.Request) { req.Found = []plan.Standing{{Item: "X"}, {Item: "X"}} }},
		{"given", "the guide has no condition Q", func(_ *guide.Guide, req *plan.Request) { req.Given = []plan.Setting{{Condition: "Q"}} }},
		{"given value", "condition running has no value maybe", func(_ *guide.Guide, req *plan.Request) {
			req.Given = []plan.Setting{{Condition: "running", Value: "maybe"}}
		}},
		{"given twice", "running is named twice", func(_ *guide.Guide, req *plan.Request) {
			req.Given = []plan.Setting{{Condition: "running", Value: "yes"}, {Condition: "running", Value: "no"}}
		}},
		{"left open", "left open: Q is", func(_ *guide.Guide, req *plan.Request) { req.LeaveOpen = []guide.ID{"Q"} }},
		{"missing", "the guide has no tool Q", func(_ *guide.Guide, req *plan.Request) { req.Missing = []guide.ID{"Q"} }},
		{"objective", "no objective", func(_ *guide.Guide, req *plan.Request) { req.By = "beauty" }},
		{"people", "cannot be negative", func(_ *guide.Guide, req *plan.Request) { req.People = -1 }},
		{"rates", "dearer than working", func(_ *guide.Guide, req *plan.Request) { req.Rate, req.WaitRate = 1, 2 }},
		{"variant", "another variant", func(_ *guide.Guide, req *plan.Request) {
			req.Variant = guide.Selector{{Axis: "drive", Values: []guide.ID{"LHD"}}}
		}},
		{"minutes", "negative minutes", func(g *guide.Guide, _ *plan.Request) { g.Items[0].Ways[0].Out = -1 }},
		{"wait", "negative minutes", func(g *guide.Guide, _ *plan.Request) { g.Conditions[0].Changes[0].Wait = -1 }},
		{"way people", "negative number of people", func(g *guide.Guide, _ *plan.Request) { g.Items[0].Ways[0].People = -1 }},
		{"start", "none of its values", func(g *guide.Guide, _ *plan.Request) { g.Conditions[0].Start = "maybe" }},
		{"end", "none of its values", func(g *guide.Guide, _ *plan.Request) { g.Conditions[0].End = "maybe" }},
		{"value twice", "two values no", func(g *guide.Guide, _ *plan.Request) { g.Conditions[0].Values[1].ID = "no" }},
		{"item twice", "two items X", func(g *guide.Guide, _ *plan.Request) { g.Items[0].ID = "X" }},
		{"condition twice", "two conditions running", func(g *guide.Guide, _ *plan.Request) { g.Conditions = append(g.Conditions, g.Conditions[0]) }},
		{"odds", "odds of", func(g *guide.Guide, _ *plan.Request) { g.Items[0].Ways[0].Risks = []guide.Risk{{Times: -1, Of: 2}} }},
		{"count", "is no count", func(g *guide.Guide, _ *plan.Request) { g.Items[0].Ways[0].Uses = []guide.Use{{Count: -1}} }},
		{"price", "negative price", func(g *guide.Guide, _ *plan.Request) { g.Parts = []guide.Part{{ID: "seal", Price: -1}} }},
	}
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			k := knownCase(t, "running before the strip")
			c.spoil(k.Guide, &k.Request)
			r, err := guide.Resolve(k.Guide, nil)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := audit.NewState(r, k.Request); !errors.Is(err, audit.ErrRequest) {
				t.Errorf("got %v, want an error that wraps ErrRequest", err)
			}
			expect(t, audit.Check(r, k.Request, plan.Plan{Outcome: plan.Impossible, Blockers: []plan.Blocker{{Says: "x"}}}), c.says, c.name)
			expect(t, audit.Check(r, k.Request, plan.Plan{Outcome: plan.BadInput}), "", c.name)
		})
	}
}

// TestState follows a visit step by step, as a run sheet does.
func TestState(t *testing.T) {
	k := knownCase(t, "two waits at once")
	r, err := k.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	s, err := audit.NewState(r, k.Request)
	if err != nil {
		t.Fatal(err)
	}
	cool := plan.Step{Kind: plan.Change, Condition: "engine", Change: 0}
	release := plan.Step{Kind: plan.Change, Condition: "fuel", Change: 0}
	before := s.Key()
	if _, err := s.Apply(plan.Step{Kind: plan.Do, Task: 0, Way: 0}); err == nil || s.Key() != before {
		t.Errorf("a refused step must leave the state: %v", err)
	}
	var refusal *audit.Refusal
	if _, err := s.Apply(plan.Step{Kind: plan.Do, Task: 0, Way: 0}); !errors.As(err, &refusal) || len(refusal.Reasons) != 2 {
		t.Errorf("both conditions must be named: %v", err)
	}
	for _, step := range []plan.Step{cool, release} {
		if _, err := s.Apply(step); err != nil {
			t.Fatal(err)
		}
	}
	if to, left := s.Coming("engine"); to != "cold" || left != 28*time.Minute || s.Value("engine") != "" {
		t.Errorf("after two minutes the engine needs 28 more: %s, %v", to, left)
	}
	e, err := s.Apply(plan.Step{Kind: plan.Await, Condition: "engine"})
	if err != nil || e.Step.Wait != 28*time.Minute || e.Step.From != "hot" || e.Objective != 28*minute {
		t.Errorf("got %+v, %v", e, err)
	}
	if _, left := s.Coming("fuel"); left != 0 {
		t.Errorf("the fuel waited along, %v left", left)
	}
	if len(s.Unfinished()) != 2 || s.Done(0) {
		t.Errorf("fuel and task are unfinished: %v", s.Unfinished())
	}
	if got := s.Cost(); got.Waiting != 28*time.Minute || got.Strip != 2*time.Minute {
		t.Errorf("spent so far: %+v", got)
	}
}

// TestStanding: how items stand, who holds them and by which way they left.
func TestStanding(t *testing.T) {
	k := knownCase(t, "assembly")
	r, err := k.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	s, err := audit.NewState(r, k.Request)
	if err != nil {
		t.Fatal(err)
	}
	start := s.Key()
	next, _, err := s.Next(plan.Step{Kind: plan.Clear, Item: "A", Way: 0})
	if err != nil || s.Key() != start {
		t.Fatalf("Next must leave the state: %v", err)
	}
	if next.Standing("A") != guide.Off || next.Standing("B") != guide.Off || next.Holder("B") != "A" || next.Standing("X") != "" {
		t.Errorf("A %q, B %q held by %q", next.Standing("A"), next.Standing("B"), next.Holder("B"))
	}
	if way, ok := next.OnTop("A"); way != 0 || !ok {
		t.Errorf("A left by way %d, %t", way, ok)
	}
	if _, ok := next.OnTop("B"); ok {
		t.Error("B left by no way of its own")
	}
	if _, err := next.Apply(plan.Step{Kind: plan.Refit, Item: "A", Way: 0}); err != nil || next.Holder("B") != "" {
		t.Errorf("B must be back with A: %v", err)
	}
}
