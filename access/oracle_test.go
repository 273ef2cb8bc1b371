package access_test

import (
	"flag"
	"testing"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/internal/oracle"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

var (
	oracleSeeds = flag.Uint64("oracle.seeds", 300, "number of small machines to compare with brute force")
	oracleFrom  = flag.Uint64("oracle.from", 0, "seed of the first small machine")
)

// oracleStates is where the brute force gives up; every small machine is
// smaller.
const oracleStates = 300_000

// TestOracle compares optimum and outcome with a brute force over all states,
// on small random machines with every feature of a guide.
func TestOracle(t *testing.T) {
	counts := map[plan.Outcome]int{}
	for seed := *oracleFrom; seed < *oracleFrom+*oracleSeeds; seed++ {
		compareWithOracle(t, engines.Small(seed), counts)
	}
	if counts[plan.Optimal] == 0 || counts[plan.Impossible] == 0 {
		t.Errorf("the seeds cover too little: %v", counts)
	}
	t.Log(counts)
}

// TestOracleOrder does the same on machines on which order matters, each also
// with its last task as a proof and an item found off.
func TestOracleOrder(t *testing.T) {
	counts := map[plan.Outcome]int{}
	for seed := *oracleFrom; seed < *oracleFrom+*oracleSeeds/20; seed++ {
		c := engines.SmallOrder(seed)
		compareWithOracle(t, c, counts)
		c.Request.Tasks = []plan.Task{c.Request.Tasks[len(c.Request.Tasks)-1]}
		c.Request.Tasks[0].Proof, c.Request.Tasks[0].Before, c.Request.Tasks[0].After = true, false, nil
		for _, it := range c.Guide.Items[:len(c.Guide.Items)-1] {
			c.Name += " found"
			c.Request.Found = []plan.Standing{{Item: it.ID, Off: it.Ways[0].Do == guide.Off}}
			compareWithOracle(t, c, counts)
		}
	}
	if counts[plan.Optimal] == 0 {
		t.Errorf("the seeds cover too little: %v", counts)
	}
	t.Log(counts)
}

func compareWithOracle(t *testing.T, c engines.Case, counts map[plan.Outcome]int) {
	t.Helper()
	r, err := guide.Resolve(c.Guide, c.Request.Variant)
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	want, _, outcome := oracle.Best(r, c.Request, oracleStates)
	if outcome == plan.Limit {
		counts[outcome]++
		return
	}
	got, err := planner(t, r).Plan(c.Request, access.Limits{})
	if err != nil {
		t.Errorf("%s: %v", c.Name, err)
		return
	}
	if err := audit.Check(r, c.Request, got).Err(); err != nil {
		t.Errorf("%s: %v", c.Name, err)
	}
	counts[got.Outcome]++
	if got.Outcome != outcome || outcome == plan.Optimal && got.Cost.Objective != want {
		t.Errorf("%s: %s %d (bound %d), brute force says %s %d", c.Name, got.Outcome, got.Cost.Objective, got.Bound, outcome, want)
	}
}

// TestOracleAgain compares machines on which the planner was once wrong.
func TestOracleAgain(t *testing.T) {
	for _, c := range []struct {
		seed   uint64
		reason string
	}{
		{1009503, "an item found off goes back only to come off again and take another one along"},
		{2007605, "an item comes off alone so that another does not hold it, goes back, and comes off by the way that counts"},
		{3011446, "the dearer way round through a third value saves waiting"},
		{5006426, "the first of two waits of a condition is over once the change to the second has begun"},
	} {
		m := engines.Small(c.seed)
		r, err := m.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		want, _, outcome := oracle.Best(r, m.Request, oracleStates)
		if got := planned(t, m); got.Outcome != outcome || got.Cost.Objective != want {
			t.Errorf("%s: %s %d, brute force says %s %d: %s", m.Name, got.Outcome, got.Cost.Objective, outcome, want, c.reason)
		}
	}
	c := engines.SmallOrder(9390)
	c.Name += ": an item found off is back only after a wait, which is over for good then"
	c.Request.Tasks = []plan.Task{{Verb: guide.Measure, On: "hot", Proof: true}}
	compareWithOracle(t, c, map[plan.Outcome]int{})
}
