package access_test

import (
	"testing"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/plan"
)

// TestAdversarial: where order matters most a plan is found all the same, it
// holds, and what is not proved is said. Few states are allowed, so that the
// test is short.
func TestAdversarial(t *testing.T) {
	found := 0
	for seed := range uint64(6) {
		c := engines.Adversarial(seed)
		r, err := c.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		got, err := planner(t, r).Plan(c.Request, access.Limits{Nodes: 400})
		if err != nil {
			t.Fatal(err)
		}
		audited(t, r, c.Request, got)
		if got.Outcome == plan.Bounded {
			found++
			if got.Bound <= 0 || got.Bound >= got.Cost.Objective || got.Gap() <= 0 {
				t.Errorf("%s: bounded with bound %d of %d", c.Name, got.Bound, got.Cost.Objective)
			}
		}
	}
	if found == 0 {
		t.Error("no machine was hard: the limit is too high or the machines too easy")
	}
}

// TestLike: engine-like machines are planned to the proof.
func TestLike(t *testing.T) {
	for _, size := range []int{30, 100, 300} {
		for seed := range uint64(6) {
			if got := planned(t, engines.Like(seed, size)); got.Outcome != plan.Optimal && got.Outcome != plan.Impossible {
				t.Errorf("like %d of %d: %s, gap %.3f", seed, size, got.Outcome, got.Gap())
			}
		}
	}
}

// TestStop: a planner that is told to stop at once says that it knows nothing,
// or gives what it has.
func TestStop(t *testing.T) {
	c := engines.Adversarial(1)
	r, err := c.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	got, err := planner(t, r).Plan(c.Request, access.Limits{Stop: func() bool { return true }, Nodes: 1})
	if err != nil {
		t.Fatal(err)
	}
	audited(t, r, c.Request, got)
	if got.Outcome == plan.Optimal || got.Outcome == plan.Impossible {
		t.Errorf("outcome %s after no time at all", got.Outcome)
	}
}

// TestTradeOrder: among orders that cost the same, the engine is stopped
// before covers come off, the machine is raised before the strip, the refit
// mirrors the strip, and it is lowered last.
func TestTradeOrder(t *testing.T) {
	r := resolved(t, demoGuide(t), "LHD")
	req := plan.Request{Tasks: tasksOf("replace:AC15"), By: plan.ByMinutes}
	got, err := planner(t, r).Plan(req, access.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	want := []guide.ID{"raised", "battery-off", "PN08", "PN09", "AC15", "PN09", "PN08", "battery-off", "raised"}
	if len(got.Steps) != len(want) {
		t.Fatalf("%d steps, want %d", len(got.Steps), len(want))
	}
	for i, s := range got.Steps {
		if s.Item != want[i] && s.Condition != want[i] {
			t.Errorf("step %d is %s %s%s, want %s", i+1, s.Kind, s.Item, s.Condition, want[i])
		}
	}
}

// FuzzPlan spoils names and numbers of small machines: whatever comes out is
// an error or a plan that holds, never a panic.
func FuzzPlan(f *testing.F) {
	for seed := range uint64(20) {
		f.Add(seed, uint16(seed*7), "I1")
	}
	f.Fuzz(func(t *testing.T, seed uint64, where uint16, name string) {
		c := engines.Small(seed)
		spoil(c, int(where), guide.ID(name))
		r, err := c.Resolve()
		if err != nil {
			return
		}
		p, err := access.New(r)
		if err != nil {
			return
		}
		got, err := p.Plan(c.Request, access.Limits{Nodes: 500})
		if err == nil {
			audited(t, r, c.Request, got)
		}
	})
}

// spoil puts the name where it may not belong.
func spoil(c engines.Case, where int, name guide.ID) {
	it := &c.Guide.Items[where%len(c.Guide.Items)]
	w := &it.Ways
	switch where / 16 % 9 {
	case 0:
		it.ID = name
	case 1:
		c.Request.Tasks[where%len(c.Request.Tasks)].On = name
	case 2:
		c.Request.LeaveOpen = append(c.Request.LeaveOpen, name)
	case 3:
		c.Request.Found = append(c.Request.Found, plan.Standing{Item: name})
	}
	if len(*w) > 0 {
		k := &(*w)[where%len(*w)]
		switch where / 16 % 9 {
		case 4:
			k.Needs = append(k.Needs, guide.Need{Item: name})
		case 5:
			k.With = append(k.With, guide.Req{Condition: name, Value: name})
		case 6:
			k.Together = append(k.Together, name, it.ID)
		case 7:
			k.Fitted = append(k.Fitted, name)
		}
	}
	if n := len(c.Guide.Conditions); n > 0 && where/16%9 == 8 {
		k := &c.Guide.Conditions[where%n]
		k.End = guide.End(name)
		if len(k.Changes) > 0 {
			k.Changes[0].To = name
		}
	}
}
