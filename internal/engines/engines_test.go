package engines_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// families lists every generator at a few sizes.
var families = map[string]func(seed uint64) engines.Case{
	"small":       engines.Small,
	"small order": engines.SmallOrder,
	"like 30":     func(seed uint64) engines.Case { return engines.Like(seed, 30) },
	"like 300":    func(seed uint64) engines.Case { return engines.Like(seed, 300) },
	"like 1500":   func(seed uint64) engines.Case { return engines.Like(seed, 1500) },
	"hard 30":     func(seed uint64) engines.Case { return engines.Hard(seed, 30) },
	"hard 300":    func(seed uint64) engines.Case { return engines.Hard(seed, 300) },
	"hard 1500":   func(seed uint64) engines.Case { return engines.Hard(seed, 1500) },
	"adversarial": engines.Adversarial,
}

// TestUsable: every machine of every family can be planned with, is the same
// when made again, and differs from its neighbour.
func TestUsable(t *testing.T) {
	for name, family := range families {
		for _, from := range []uint64{0, engines.FreshSeeds} {
			for seed := from; seed < from+2; seed++ {
				c := family(seed)
				r, err := c.Resolve()
				if err != nil {
					t.Fatalf("%s, seed %d: %v", name, seed, err)
				}
				if _, err := audit.NewState(r, c.Request); err != nil {
					t.Errorf("%s, seed %d: %v", name, seed, err)
				}
				if !reflect.DeepEqual(c, family(seed)) {
					t.Errorf("%s, seed %d: another machine the second time", name, seed)
				}
				if reflect.DeepEqual(c.Guide, family(seed+1).Guide) {
					t.Errorf("%s, seeds %d and %d: the same machine", name, seed, seed+1)
				}
			}
		}
	}
}

// TestSizes: the families are as large as asked for, and as narrow as they say.
func TestSizes(t *testing.T) {
	for _, n := range []int{30, 100, 1000} {
		if c := engines.Like(1, n); len(c.Guide.Items) != n || len(c.Guide.Conditions) != 12 {
			t.Errorf("like: %d items, %d conditions", len(c.Guide.Items), len(c.Guide.Conditions))
		}
		c := engines.Hard(1, n)
		if len(c.Guide.Items) != n || len(c.Request.Tasks) < 1 || len(c.Request.Tasks) > 6 {
			t.Errorf("hard: %d items, %d tasks", len(c.Guide.Items), len(c.Request.Tasks))
		}
	}
	for seed := range uint64(50) {
		if c := engines.Small(seed); len(c.Guide.Items) < 3 || len(c.Guide.Items) > 7 || len(c.Guide.Conditions) > 3 || len(c.Request.Tasks) > 3 {
			t.Errorf("%s: %d items, %d conditions, %d tasks", c.Name, len(c.Guide.Items), len(c.Guide.Conditions), len(c.Request.Tasks))
		}
		if c := engines.Adversarial(seed); len(c.Guide.Items) < 20 || len(c.Guide.Items) > 60 {
			t.Errorf("%s: %d items", c.Name, len(c.Guide.Items))
		}
	}
}

// TestPossible: machines of the families that promise a plan have one. A
// visit that clears everything there is, does the work and puts it all back
// is a plan, though a dear one.
func TestPossible(t *testing.T) {
	for _, name := range []string{"like 30", "like 300", "hard 30", "hard 300"} {
		for seed := range uint64(20) {
			c := families[name](seed)
			r, err := c.Resolve()
			if err != nil {
				t.Fatal(err)
			}
			s, err := audit.NewState(r, c.Request)
			if err != nil {
				t.Fatal(err)
			}
			v := &visit{s, r, c.Request, nil}
			v.everything()
			if why := s.Unfinished(); len(why) > 0 {
				t.Errorf("%s: %v", c.Name, why)
			}
		}
	}
}

// visit works without thinking: whatever can be done is done.
type visit struct {
	*audit.State
	r       *guide.Resolved
	req     plan.Request
	cleared []plan.Step
}

func (v *visit) everything() {
	v.running("yes")
	v.tasks(func(t plan.Task) bool { return t.Before })
	v.running("no")
	for range 4 { // conditions need items and other conditions
		v.changes(1)
		v.strip()
	}
	v.tasks(func(t plan.Task) bool { return !t.Before && !t.Proof })
	v.refit()
	for range 4 {
		v.changes(0)
	}
	v.running("yes")
	v.tasks(func(t plan.Task) bool { return t.Proof })
	v.running("no")
}

// changes brings every condition but running to its value of that number.
func (v *visit) changes(to int) {
	for _, c := range v.r.Guide.Conditions {
		if c.ID != "running" {
			v.change(c, c.Values[to].ID)
		}
	}
}

func (v *visit) running(to guide.ID) {
	if c := v.r.Condition("running"); c != nil {
		v.change(*c, to)
	}
}

func (v *visit) change(c guide.Condition, to guide.ID) {
	for k, ch := range c.Changes {
		if ch.To == to {
			_, _ = v.Apply(plan.Step{Kind: plan.Change, Condition: c.ID, Change: k})
		}
	}
	_, _ = v.Apply(plan.Step{Kind: plan.Await, Condition: c.ID})
}

// strip clears everything; what was found off goes back first, so that
// everything can be put back in the reverse order.
func (v *visit) strip() {
	for grew := true; grew; {
		grew = false
		for i := range v.r.Items {
			id := v.r.Items[i].ID
			if _, left := v.OnTop(id); v.Standing(id) != "" && !left {
				v.any(plan.Refit, i)
			}
			grew = v.any(plan.Clear, i) || grew
		}
	}
}

func (v *visit) refit() {
	for _, step := range slices.Backward(v.cleared) {
		step.Kind = plan.Refit
		_, _ = v.Apply(step)
	}
}

// any clears or refits an item by any way.
func (v *visit) any(kind plan.StepKind, i int) bool {
	return slices.ContainsFunc(indexes(v.r.Items[i].Ways), func(w int) bool {
		step := plan.Step{Kind: kind, Item: v.r.Items[i].ID, Way: w}
		_, err := v.Apply(step)
		if err == nil && kind == plan.Clear {
			v.cleared = append(v.cleared, step)
		}
		return err == nil
	})
}

func indexes(ways []guide.Way) []int {
	list := make([]int, len(ways))
	for i := range list {
		list[i] = i
	}
	return list
}

// tasks does the tasks of a kind by any way.
func (v *visit) tasks(of func(plan.Task) bool) {
	for k, t := range v.req.Tasks {
		for w := -1; w < 8 && of(t); w++ {
			_, _ = v.Apply(plan.Step{Kind: plan.Do, Task: k, Way: w})
		}
	}
}

// TestKnownTable: every known machine has a name of its own, a reason, and a
// request that is as usable as it says.
func TestKnownTable(t *testing.T) {
	names := map[string]bool{}
	for _, k := range engines.Known() {
		if k.Name == "" || names[k.Name] || strings.TrimSpace(k.Reason) == "" {
			t.Errorf("%q: no name of its own, or no reason", k.Name)
		}
		names[k.Name] = true
		r, err := k.Resolve()
		if err != nil {
			t.Errorf("%s: %v", k.Name, err)
			continue
		}
		if _, err := audit.NewState(r, k.Request); (err != nil) != (k.Outcome == plan.BadInput) {
			t.Errorf("%s: outcome %s, and the request: %v", k.Name, k.Outcome, err)
		}
	}
	if len(names) < 60 {
		t.Errorf("only %d known machines", len(names))
	}
}
