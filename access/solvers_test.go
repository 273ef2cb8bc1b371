//go:build solvers

package access_test

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"testing"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/plan"
)

// withSolvers: the written programs are confirmed by glpsol (GNU Linear
// Programming Kit), which must be installed.
const withSolvers = true

// choiceHead is how a written choice says what its optimum means.
var choiceHead = regexp.MustCompile(`Objective of the plan = (\d+) \* \(optimum of this program\) \+ (\d+)\.`)

// TestGeneratedEnginesBySolver: on generated engines of 30 to 300 items the
// plan costs what a general-purpose solver finds for the exported program,
// wherever order costs nothing beyond the choice, and never less anywhere.
func TestGeneratedEnginesBySolver(t *testing.T) {
	type family struct {
		name  string
		make  func(seed uint64, items int) engines.Case
		items []int
		seeds uint64
	}
	compared, equal := 0, 0
	for _, f := range []family{
		{"engine-like", engines.Like, []int{30, 60, 100, 200, 300}, 50},
		{"hard", engines.Hard, []int{30, 60}, 20},
	} {
		for _, items := range f.items {
			for seed := range f.seeds {
				name := fmt.Sprintf("%s of %d items, seed %d", f.name, items, engines.FreshSeeds+seed)
				compared++
				c := f.make(engines.FreshSeeds+seed, items)
				sameBySolver(t, name, c)
				c.Guide.Setup = guide.Setup{} // without set-ups order costs nothing on most engines
				if sameBySolver(t, name+" without set-ups", c) {
					equal++
				}
			}
		}
	}
	t.Logf("%d engines compared, %d equal, in the others order costs more than the choice", compared, equal)
	if compared < 200 || equal < 200 {
		t.Errorf("%d engines compared and %d equal; 200 are asked for", compared, equal)
	}
}

func sameBySolver(t *testing.T, name string, c engines.Case) bool {
	t.Helper()
	r, err := c.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	p := planner(t, r)
	got, err := p.Plan(c.Request, access.Limits{Nodes: 20_000})
	if err != nil {
		t.Fatal(err)
	}
	var mps bytes.Buffer
	if err := p.WriteMPS(&mps, c.Request); err != nil {
		t.Fatal(err)
	}
	m := choiceHead.FindStringSubmatch(mps.String())
	if m == nil {
		t.Fatalf("%s: the head does not say how to read the optimum", name)
	}
	unit, _ := strconv.ParseInt(m[1], 10, 64)
	base, _ := strconv.ParseInt(m[2], 10, 64)
	choice := unit*solved(t, "--freemps", mps.String()) + base
	switch {
	case got.Outcome == plan.Impossible || got.Cost.Objective == 0 && len(got.Steps) == 0:
		t.Errorf("%s: %s, the solver finds %d", name, got.Outcome, choice)
	case got.Cost.Objective < choice:
		t.Errorf("%s: the plan costs %d, less than the solver's optimum %d of the choice", name, got.Cost.Objective, choice)
	case got.Bound < choice:
		t.Errorf("%s: the bound %d lies below the solver's optimum %d of the choice", name, got.Bound, choice)
	}
	return got.Cost.Objective == choice
}
