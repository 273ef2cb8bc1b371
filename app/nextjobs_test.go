package app

import (
	"flag"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/suspect"
	"elbowroom/suspect/decide"
)

// jobsFlag is how many whole jobs of each size are worked.
var jobsFlag = flag.Int("jobs", 0, "random jobs of each size that are followed from the complaint to the proof; 0 is the short default, which takes small guides alone")

const (
	shortJobs = 6
	mostSteps = 60 // of a job; a longer one goes in circles
	jobTime   = 300 * time.Millisecond
)

// job is a machine with one fault, which is known to the test alone: checks
// show what the fault makes them show, by the odds of the guide.
type job struct {
	entered
	dice     *rand.Rand
	repaired []guide.ID
	units    int64
}

func newJob(t *testing.T, m engines.Trouble, seed uint64) *job {
	t.Helper()
	return &job{entered: enter(t, m), dice: rand.New(rand.NewPCG(seed, 0x10b))}
}

func (k *job) cured() bool { return slices.Contains(k.repaired, k.m.Truth) }

// shop prices from where the machine stands now.
func (k *job) shop(t *testing.T) *shop {
	t.Helper()
	moves, err := k.in.planner.Moves(k.in.req, access.Limits{})
	if err != nil {
		t.Fatalf("%s: %v", k.m.Name, err)
	}
	return &shop{in: k.in, moves: moves, refer: k.in.req.Rate.For(referBlocks * time.Hour)}
}

// reading is what a check shows.
func (k *job) reading(id guide.ID) *suspect.Verdict {
	c := k.in.r.Check(id)
	fails := suspect.Default().CheckLeak.Middle
	if c.Otherwise != nil {
		fails = *c.Otherwise
	}
	if at := slices.IndexFunc(c.Fails, func(o guide.Odds) bool { return o.Fault == k.m.Truth }); at >= 0 && !k.cured() {
		fails = c.Fails[at].P
	}
	if c.Otherwise == nil && !k.cured() && slices.Contains(k.in.fault(k.m.Truth).FoundBy, id) {
		fails = suspect.Default().CheckFails.Middle
	}
	v := &suspect.Verdict{Check: id, Conforms: 1}
	if k.dice.Float64() < fails {
		v.Conforms = 0
	}
	return v
}

func (k *job) happened(e suspect.Event) { k.in.c.Events = append(slices.Clone(k.in.c.Events), e) }

// follow does what is advised until the proof passes or the machine is
// referred on, and reports whether it was put right, and after how many steps.
func (k *job) follow(t *testing.T) (put bool, steps int) {
	t.Helper()
	for steps < mostSteps {
		s := k.shop(t)
		began := processorTime()
		a, err := suspect.Next(k.in.c, s, suspect.Work{Proof: k.m.Proof, Depth: 1, Limits: decide.Limits{Stop: func() bool { return processorTime()-began > jobTime }}})
		if err != nil {
			t.Fatalf("%s, step %d: %v", k.m.Name, steps, err)
		}
		steps++
		k.units += a.First.Cost
		switch a.Step.Sort {
		case suspect.StepRefer:
			return false, steps
		case suspect.StepCheck:
			k.happened(suspect.Event{Verdict: k.reading(a.Step.Action.Check)})
		case suspect.StepRepair:
			k.repair(a.Step.Action)
		default:
			k.happened(suspect.Event{Proof: &suspect.Proof{Passed: k.cured()}})
			if k.cured() {
				shut, _ := s.moves.Close(int(a.First.After))
				k.units += shut.Cost.Objective
				return true, steps
			}
		}
		k.in.req.Found, k.in.req.Given = s.moves.State(int(a.First.After))
	}
	t.Errorf("%s: not done after %d steps", k.m.Name, steps)
	return false, steps
}

func (k *job) repair(act *suspect.Action) {
	k.repaired = append(k.repaired, act.Faults...)
	r := &suspect.Repair{Task: act.Task}
	if r.Task == nil {
		r.Fault = act.Faults[0]
	}
	k.happened(suspect.Event{Repair: r})
}

// replace puts the likeliest suspects in new one after the other, each with
// its proof, until the machine is right, and reports how many it took.
func (k *job) replace(t *testing.T) (parts int) {
	t.Helper()
	s := k.shop(t)
	at := decide.State(s.moves.Start())
	for !k.cured() {
		f := k.likeliest(t)
		act := suspect.Action{Sort: suspect.RepairAction, Task: f.Task, Faults: []guide.ID{f.ID}, On: f.On}
		proof := suspect.Action{Sort: suspect.ProofAction, Check: k.m.Proof}
		if f.Task == nil {
			act.Own = 30 * time.Minute
		}
		if k.m.Proof == "" {
			proof.Own = 20 * time.Minute
		}
		spares, _ := s.Spares(act)
		k.units += s.Units(spares)
		g, err := s.Ground([]suspect.Action{act, proof})
		if err != nil {
			t.Fatal(err)
		}
		for a := range decide.Action(2) {
			moves := g.Do(at, a)
			if len(moves) == 0 {
				t.Fatalf("%s: %s cannot be repaired", k.m.Name, f.ID)
			}
			k.units, at = k.units+moves[0].Cost, moves[0].After
		}
		parts++
		k.repair(&act)
		k.happened(suspect.Event{Proof: &suspect.Proof{Passed: k.cured()}})
		if shut, _ := g.Close(at); k.cured() {
			k.units += shut
		}
	}
	return parts
}

// likeliest is the likeliest fault that was not repaired.
func (k *job) likeliest(t *testing.T) *guide.Fault {
	t.Helper()
	b, err := suspect.Believe(k.in.c, suspect.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range b.Suspects {
		if s.Fault != suspect.Unlisted && !slices.Contains(k.repaired, s.Fault) {
			return k.in.fault(s.Fault)
		}
	}
	t.Fatalf("%s: nobody is suspected any more", k.m.Name)
	return nil
}

// TestJobsToTheEnd works whole jobs, every step advised afresh from what was
// found so far: each ends by a proof that passes because the fault was
// repaired, or by referring on, and all together cost less than replacing the
// likeliest suspects one after the other. TestNextAgainstSimplePolicies looks
// at the decision problem that the advice is made from, this at the machine.
func TestJobsToTheEnd(t *testing.T) {
	sizes := []engines.TroubleSize{engines.SmallTrouble, engines.MediumTrouble, engines.LargeTrouble}
	if *jobsFlag == 0 {
		sizes = sizes[:1]
	}
	for _, size := range sizes {
		n := max(*jobsFlag, shortJobs)
		var ours, parts int64
		right, steps, replaced := 0, 0, 0
		var s *shop
		for i := range n {
			seed := *freshFlag + 10_000 + uint64(i)
			m := engines.Troubled(seed, size)
			k := newJob(t, m, seed)
			put, took := k.follow(t)
			if put {
				right++
			}
			ours, steps = ours+k.units, steps+took
			k = newJob(t, m, seed)
			replaced += k.replace(t)
			parts, s = parts+k.units, k.shop(t)
		}
		if ours >= parts {
			t.Errorf("%s: advised %s, replacing the likeliest %s", size.Name, s.Money(float64(ours)), s.Money(float64(parts)))
		}
		each := func(units int64) string { return s.Money(float64(units) / float64(n)).String() }
		t.Logf("%d jobs, %s: advised %s each, %d put right, %d referred on, %.1f steps; replacing the likeliest %s each, %.1f parts",
			n, size.Name, each(ours), right, n-right, float64(steps)/float64(n), each(parts), float64(replaced)/float64(n))
	}
}
