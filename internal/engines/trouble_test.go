package engines_test

import (
	"reflect"
	"slices"
	"testing"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/plan/audit"
)

// TestTroubled: machines with a complaint have as many faults and checks as
// asked for, name only what there is, are the same when made again, and show
// something of their fault.
func TestTroubled(t *testing.T) {
	for _, size := range []engines.TroubleSize{engines.SmallTrouble, engines.MediumTrouble, engines.LargeTrouble} {
		for seed := engines.FreshSeeds; seed < engines.FreshSeeds+3; seed++ {
			m := engines.Troubled(seed, size)
			r, err := guide.Resolve(m.Guide, nil)
			if err != nil {
				t.Fatalf("%s: %v", m.Name, err)
			}
			if _, err := audit.NewState(r, m.Request); err != nil {
				t.Errorf("%s: %v", m.Name, err)
			}
			checks := len(m.Guide.Checks)
			if m.Proof != "" {
				checks--
			}
			if len(m.Guide.Items) != size.Items || len(m.Guide.Faults) != size.Faults || checks != size.Checks {
				t.Errorf("%s: %d items, %d faults, %d checks", m.Name, len(m.Guide.Items), len(m.Guide.Faults), checks)
			}
			if !reflect.DeepEqual(m, engines.Troubled(seed, size)) || reflect.DeepEqual(m.Guide, engines.Troubled(seed+1, size).Guide) {
				t.Errorf("%s: not the same again, or the same with another seed", m.Name)
			}
			named(t, m, r)
		}
	}
}

// named checks that whatever a machine names is there.
func named(t *testing.T, m engines.Trouble, r *guide.Resolved) {
	t.Helper()
	fault := func(id guide.ID) int {
		return slices.IndexFunc(m.Guide.Faults, func(f guide.Fault) bool { return f.ID == id })
	}
	truth := fault(m.Truth)
	if truth < 0 || len(m.Signs) == 0 || !slices.ContainsFunc(m.Signs, func(s string) bool { return slices.Contains(m.Guide.Faults[truth].Signs, s) }) {
		t.Errorf("%s: nothing shows of %s", m.Name, m.Truth)
	}
	if m.Proof != "" && r.Check(m.Proof) == nil {
		t.Errorf("%s: no check %s", m.Name, m.Proof)
	}
	for _, c := range m.Guide.Checks {
		if c.Point != "" && r.Item(c.Point) == nil {
			t.Errorf("%s: %s is made at %s, which is not there", m.Name, c.ID, c.Point)
		}
		for _, o := range c.Fails {
			if fault(o.Fault) < 0 || o.P <= 0 || o.P >= 1 {
				t.Errorf("%s: %s fails with %s in %g", m.Name, c.ID, o.Fault, o.P)
			}
		}
	}
	for _, f := range m.Guide.Faults {
		if r.Item(f.On) == nil || f.Weight < 1 || f.Weight > 100 {
			t.Errorf("%s: %s on %s weighs %g", m.Name, f.ID, f.On, f.Weight)
		}
	}
}
