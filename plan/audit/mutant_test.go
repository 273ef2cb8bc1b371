package audit_test

import (
	"flag"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/internal/oracle"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// Numbers of the mutation test.
const (
	mutantsPerPlan = 60 // spoilt copies of each
	leastMutants   = 5000
	oracleStates   = 100_000
)

var (
	mutantSeeds = flag.Uint64("mutants.seeds", 200, "number of small machines whose plans are spoilt")
	mutantsFrom = flag.Uint64("mutants.from", 0, "seed of the first of them")
)

// TestMutants spoils good plans in many ways and compares the audit's word with
// the referee's: everything that is really not allowed or priced otherwise must
// be refused, everything else accepted.
func TestMutants(t *testing.T) {
	tally := map[string]int{}
	for _, c := range plans(t) {
		d := rand.New(rand.NewPCG(c.seed, 0x307a))
		for range mutantsPerPlan {
			m := spoil(d, c)
			judge(t, c, m, tally)
		}
	}
	if tally["wrong"] < leastMutants || tally["not allowed"] < leastMutants/3 || tally["good"] < leastMutants/50 {
		t.Errorf("too few mutants to say anything: %v", tally)
	}
	t.Logf("%d mutants, %d of them wrong (%d not allowed, %d written wrongly), %d caught; %d good ones accepted",
		tally["all"], tally["wrong"], tally["not allowed"], tally["wrong"]-tally["not allowed"], tally["caught"], tally["good"])
}

// sound is a machine with its best plan.
type sound struct {
	engines.Case
	seed uint64
	r    *guide.Resolved
	plan plan.Plan
}

// plans returns the best plans of small and known machines, as far as there
// are any.
func plans(t *testing.T) []sound {
	t.Helper()
	var cases []engines.Case
	for k := range *mutantSeeds {
		cases = append(cases, engines.Small(*mutantsFrom+k))
		if k%8 == 0 {
			cases = append(cases, engines.SmallOrder(*mutantsFrom+k))
		}
	}
	for _, k := range engines.Known() {
		if !strings.HasPrefix(k.Name, "seed") { // a second each to search, and nothing special to replay
			cases = append(cases, k.Case)
		}
	}
	var list []sound
	for i, c := range cases {
		r, err := c.Resolve()
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		if p := oracle.Plan(r, c.Request, oracleStates); p.Outcome == plan.Optimal && len(p.Steps) > 0 && len(r.Items) > 0 {
			list = append(list, sound{c, uint64(i), r, p})
		}
	}
	return list
}

// judge compares audit and referee on one mutant.
func judge(t *testing.T, c sound, m plan.Plan, tally map[string]int) {
	t.Helper()
	tally["all"]++
	right, allowed := replay(c.r, c.Request, m)
	good := allowed && same(m, right) && m.Bound == m.Cost.Objective && m.Outcome == plan.Optimal
	rep := audit.Check(c.r, c.Request, m)
	switch {
	case good:
		tally["good"]++
		if !rep.OK() {
			t.Errorf("%s: a good plan is refused: %v", c.Name, rep.Err())
		}
		return
	case rep.OK():
		t.Errorf("%s: accepted although allowed=%t\n%+v", c.Name, allowed, m)
	default:
		tally["caught"]++
	}
	tally["wrong"]++
	if !allowed {
		tally["not allowed"]++
		if !slices.ContainsFunc(rep.Findings, forbids) {
			t.Errorf("%s: the step that is not allowed is not named: %v", c.Name, rep.Err())
		}
		return
	}
	// Written as it must be, the same steps are accepted.
	right.Outcome, right.Bound = plan.Bounded, c.plan.Bound
	if right.Cost.Objective < c.plan.Bound {
		t.Errorf("%s: a mutant is cheaper than the best plan: %d, %d", c.Name, right.Cost.Objective, c.plan.Bound)
	}
	if rep := audit.Check(c.r, c.Request, right); !rep.OK() {
		t.Errorf("%s: a plan that is allowed and written well is refused: %v", c.Name, rep.Err())
	}
}

// forbids reports whether a finding is about what may be done, not about what
// is written.
func forbids(f audit.Finding) bool {
	return !strings.Contains(f.Says, " is written ") && !strings.HasPrefix(f.Says, "the cost says") && !strings.Contains(f.Says, "bound")
}

// same compares what the definition says must be written.
func same(a, b plan.Plan) bool {
	if a.Cost != b.Cost || len(a.Steps) != len(b.Steps) {
		return false
	}
	for i := range a.Steps {
		x, y := a.Steps[i], b.Steps[i]
		if x.Kind != plan.Change && x.Kind != plan.Await {
			x.Change, y.Change = 0, 0 // means nothing for other steps
		}
		if x != y {
			return false
		}
	}
	return true
}

// spoil returns a copy of the plan with one or, now and then, two changes.
func spoil(d *rand.Rand, c sound) plan.Plan {
	m := c.plan
	m.Steps = slices.Clone(m.Steps)
	for range 1 + d.IntN(4)/3 {
		if d.IntN(4) > 0 && len(m.Steps) > 0 {
			m.Steps = disorder(d, c, m.Steps)
		} else {
			miswrite(d, &m)
		}
	}
	return m
}

// disorder changes which steps there are, or their order.
func disorder(d *rand.Rand, c sound, steps []plan.Step) []plan.Step {
	i, j := d.IntN(len(steps)), d.IntN(len(steps))
	s := &steps[i]
	switch d.IntN(10) {
	case 0:
		return slices.Delete(steps, i, i+1)
	case 1:
		return slices.Insert(steps, j, *s)
	case 2:
		if i+1 < len(steps) {
			steps[i], steps[i+1] = steps[i+1], steps[i]
		}
	case 3:
		steps[i], steps[j] = steps[j], steps[i]
	case 4: // a refit too early, a strip too late
		moved := *s
		return slices.Insert(slices.Delete(steps, i, i+1), j, moved)
	case 5:
		s.Way += 1 - 2*d.IntN(2)
	case 6:
		s.Item = c.r.Items[d.IntN(len(c.r.Items))].ID
	case 7:
		s.Task += 1 - 2*d.IntN(2)
	case 8:
		s.Change += 1 - 2*d.IntN(2)
	default:
		return slices.Insert(steps, j, anyStep(d, c))
	}
	return steps
}

// anyStep makes up a step of any kind.
func anyStep(d *rand.Rand, c sound) plan.Step {
	kinds := []plan.StepKind{plan.Clear, plan.Refit, plan.Change, plan.Await, plan.Do}
	s := plan.Step{Kind: kinds[d.IntN(len(kinds))], Way: d.IntN(4) - 1, Task: d.IntN(3), Change: d.IntN(3)}
	s.Item = c.r.Items[d.IntN(len(c.r.Items))].ID
	if n := len(c.r.Guide.Conditions); n > 0 {
		s.Condition = c.r.Guide.Conditions[d.IntN(n)].ID
	}
	return s
}

// miswrite changes a figure or a word.
func miswrite(d *rand.Rand, m *plan.Plan) {
	off := time.Duration(1-2*d.IntN(2)) * time.Duration(1+d.IntN(1000)) * time.Millisecond
	cents := 1 - 2*d.Int64N(2)
	spoilCost := []func(){
		func() { m.Cost.Strip += off }, func() { m.Cost.Work += off }, func() { m.Cost.Refit += off },
		func() { m.Cost.Setup += off }, func() { m.Cost.Waiting += off }, func() { m.Cost.Objective += cents },
		func() { m.Cost.Parts++ }, func() { m.Cost.Fluids++ }, func() { m.Cost.Hire++ },
		func() { m.Cost.Risk-- }, func() { m.Cost.Labour++ }, func() { m.Cost.Idle-- },
		func() { m.Bound -= cents },
	}
	if len(m.Steps) == 0 || d.IntN(2) == 0 {
		spoilCost[d.IntN(len(spoilCost))]()
		return
	}
	s := &m.Steps[d.IntN(len(m.Steps))]
	spoilStep := []func(){
		func() { s.Hands += off }, func() { s.Setup += off }, func() { s.Wait += off },
		func() { s.Phase = plan.WorkPhase }, func() { s.Phase = plan.StripPhase }, func() { s.Phase = plan.RefitPhase },
		func() { s.Place = "cellar" }, func() { s.Tool = "spoon" }, func() { s.Verb = "bend" },
		func() { s.From += "x" }, func() { s.To += "x" }, func() { s.Condition += "x" }, func() { s.Kind = "ponder" },
	}
	spoilStep[d.IntN(len(spoilStep))]()
}
