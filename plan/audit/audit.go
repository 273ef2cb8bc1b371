// Package audit checks plans independently of whoever made them.
//
// It replays a plan step by step on the machine that package plan defines and
// reports everything that is wrong: a step that cannot be done at that moment,
// minutes or a phase written down wrongly, a cost that does not add up, a
// visit that cannot end there, a bound that its own landmarks do not support,
// an outcome that the rest contradicts. It knows the definition in package
// plan and nothing of how plans are found; it never imports access.
//
// # What it answers
//
// [Check] judges a whole plan and returns a [Report]; a report without
// findings means that every figure of the plan was worked out a second time
// and agreed. That no cheaper plan exists is checked as far as the landmarks of
// the certificate carry: their sum is a bound that needs no trust. What was
// proved beyond that by searching cases cannot be checked by replaying.
//
// [State] is the machine itself: [NewState] sets it up, [State.Apply] does one
// step, fills in its minutes and returns what it cost, or says in words why it
// cannot be done. Run sheets follow a visit with it, and the brute force that
// planners are measured against searches on it.
//
// # Units and guarantees
//
// Times are whole milliseconds, money is minor units, the objective is that of
// package plan. Same input, same report. No input makes the package panic: a
// request or guide that cannot be used is an error that wraps [ErrRequest].
package audit

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
)

// Finding is one thing that is wrong with a plan. Step counts from 1; 0 is the
// plan as a whole.
type Finding struct {
	Step int
	Says string
}

// String prints "step 3, refit AR02: AR01 is in the way".
func (f Finding) String() string {
	if f.Step == 0 {
		return f.Says
	}
	return fmt.Sprintf("step %d, %s", f.Step, f.Says)
}

// Report is what Check found. Cost is what the steps really cost, as far as
// they could be replayed.
type Report struct {
	Findings []Finding
	Cost     plan.Cost
}

// OK reports whether nothing is wrong.
func (r Report) OK() bool { return len(r.Findings) == 0 }

// Err returns nil when nothing is wrong, else an error with every finding.
func (r Report) Err() error {
	if r.OK() {
		return nil
	}
	lines := make([]string, len(r.Findings))
	for i, f := range r.Findings {
		lines[i] = f.String()
	}
	return fmt.Errorf("the plan does not hold: %s", strings.Join(lines, "\n"))
}

func (r *Report) add(step int, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{step, fmt.Sprintf(format, args...)})
}

// Check replays p against the guide and the request and reports every
// violation of the definition in package plan.
func Check(r *guide.Resolved, req plan.Request, p plan.Plan) Report {
	var rep Report
	s, err := NewState(r, req)
	if err != nil {
		if p.Outcome != plan.BadInput {
			rep.add(0, "%v; the outcome says %q", err, p.Outcome)
		}
		rep.noSteps(p)
		return rep
	}
	switch p.Outcome {
	case plan.Optimal, plan.Bounded:
		rep.replay(s, p)
		rep.bound(p)
		rep.certificate(s.m, p)
	case plan.Impossible:
		rep.noSteps(p)
		rep.blockers(p)
	case plan.Limit, plan.BadInput:
		rep.noSteps(p)
	default:
		rep.add(0, "there is no outcome %q", p.Outcome)
	}
	return rep
}

func (r *Report) noSteps(p plan.Plan) {
	if len(p.Steps) > 0 {
		r.add(0, "the outcome is %q and yet there are %d steps", p.Outcome, len(p.Steps))
	}
}

func (r *Report) blockers(p plan.Plan) {
	if len(p.Blockers) == 0 {
		r.add(0, "the plan is called impossible and nothing is named that blocks it")
	}
	for i, b := range p.Blockers {
		if strings.TrimSpace(b.Says) == "" {
			r.add(0, "blocker %d says nothing", i+1)
		}
	}
}

// replay does the steps one by one. A step that is not allowed is reported and
// done all the same where it can be, so that one mistake is reported once.
func (r *Report) replay(s *State, p plan.Plan) {
	for i, step := range p.Steps {
		mv, why := s.resolve(step)
		if len(why) > 0 {
			r.add(i+1, "%s: %s", Words(step), join(why))
			continue
		}
		if why := s.blocked(mv); len(why) > 0 {
			r.add(i+1, "%s: %s", Words(step), join(why))
		}
		effect := s.perform(mv)
		if why := s.demands(); len(why) > 0 {
			r.add(i+1, "%s: afterwards %s", Words(step), join(why))
		}
		r.fields(i+1, step, effect.Step)
	}
	if why := s.Unfinished(); len(why) > 0 {
		r.add(0, "the visit cannot end here: %s", join(why))
	}
	r.Cost = s.Cost()
	r.cost(p.Cost, r.Cost)
}

// fields compares a step as written with the step as it must be written.
func (r *Report) fields(n int, got, want plan.Step) {
	words := Words(want)
	text := func(name string, got, want string) {
		if got != want {
			r.add(n, "%s: %s is written %q and must be %q", words, name, got, want)
		}
	}
	text("phase", string(got.Phase), string(want.Phase))
	text("item", string(got.Item), string(want.Item))
	text("verb", string(got.Verb), string(want.Verb))
	text("condition", string(got.Condition), string(want.Condition))
	text("from", string(got.From), string(want.From))
	text("to", string(got.To), string(want.To))
	text("place", string(got.Place), string(want.Place))
	text("tool", string(got.Tool), string(want.Tool))
	index := func(name string, got, want int) {
		if got != want {
			r.add(n, "%s: the number of the %s is written %d and must be %d", words, name, got, want)
		}
	}
	index("way", got.Way, want.Way)
	index("task", got.Task, want.Task)
	if want.Condition != "" {
		index("change", got.Change, want.Change)
	}
	minutes := func(name string, got, want time.Duration) {
		if got != want {
			r.add(n, "%s: %s time is written %v and must be %v", words, name, got, want)
		}
	}
	minutes("hands-on", got.Hands, want.Hands)
	minutes("set-up", got.Setup, want.Setup)
	minutes("waiting", got.Wait, want.Wait)
}

// cost compares every component.
func (r *Report) cost(got, want plan.Cost) {
	line := func(name string, got, want any) {
		if got != want {
			r.add(0, "the cost says %s %v, and the steps come to %v", name, got, want)
		}
	}
	line("strip", got.Strip, want.Strip)
	line("work", got.Work, want.Work)
	line("refit", got.Refit, want.Refit)
	line("set-up", got.Setup, want.Setup)
	line("waiting", got.Waiting, want.Waiting)
	line("labour", got.Labour, want.Labour)
	line("idle", got.Idle, want.Idle)
	line("parts", got.Parts, want.Parts)
	line("fluids", got.Fluids, want.Fluids)
	line("hire", got.Hire, want.Hire)
	line("risk", got.Risk, want.Risk)
	line("objective", got.Objective, want.Objective)
}

// bound compares the bound with the objective and the outcome.
func (r *Report) bound(p plan.Plan) {
	if p.Bound > p.Cost.Objective {
		r.add(0, "the bound %d is above the objective %d: no plan can beat its own cost", p.Bound, p.Cost.Objective)
	}
	if p.Outcome == plan.Optimal && p.Bound != p.Cost.Objective {
		r.add(0, "the plan is called optimal and its bound %d is not its objective %d", p.Bound, p.Cost.Objective)
	}
}
