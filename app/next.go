package app

import (
	"fmt"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/plan/audit"
	"elbowroom/reading"
	"elbowroom/suspect"
	"elbowroom/suspect/decide"
)

// NextStep is a job with what to do next.
type NextStep struct {
	Inquiry
	Advice suspect.Advice
	Took   time.Duration // search time

	// What the step is on the machine. Task is empty for a step that has no
	// way in the guide (a road test, referring on).
	Task        string // "check:T36"
	Visit       Answer // from where it stands now to the step: steps, tools, cautions; nothing is put back that the step does not ask for
	After       []string
	AfterSays   []string             // the same in words: what stands off, aside or in another condition then
	Check       *guide.Check         // to measure next, else nil
	Fitness     []reading.Fitness    // whether an instrument here is good enough for it
	Instruments []reading.Instrument // here, serving the check
}

// Detail is how much of the answer is worked out.
type Detail struct {
	Depth int    // of the decision tree; 0 means two steps
	Flips bool   // also how far shares and assumed odds may move before the step changes; takes longer
	Proof string // check that proves the repair; empty leaves it to the job
	// Comeback is what it costs when the machine comes back because the proof
	// passed with a fault left; 0 takes the proof to miss nothing.
	Comeback money.Amount
}

// Next says what to do next: the check, repair, proof or referral that begins
// the course with the least expected cost until the machine is proved right
// and closed up. Errors wrap ErrInput, ErrUnknown or ErrAudit.
func (a *App) Next(j Job, d Detail) (*NextStep, error) {
	in, err := a.inquire(j)
	if err != nil {
		return nil, err
	}
	began := a.Clock()
	s, err := a.shop(in)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	w := suspect.Work{Options: in.options(), Depth: d.Depth, Flips: d.Flips, Proof: guide.ID(d.Proof), Comeback: d.Comeback, Limits: decide.Limits{Stop: a.stopAfter(j.Budget).Stop}}
	advice, err := suspect.Next(in.c, s, w)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	n := &NextStep{Inquiry: *in.answer(advice.Problem.Belief), Advice: *advice, Took: a.Clock().Sub(began)}
	if advice.Step.Action == nil {
		return n, nil
	}
	return n, a.wayTo(in, s, *advice.Step.Action, n)
}

// wayTo lays out how the step is reached from where the machine stands, each
// step of it replayed by the independent check.
func (a *App) wayTo(in *inquest, s *shop, act suspect.Action, n *NextStep) error {
	work := s.work(act)
	if act.Check != "" {
		n.Check = in.r.Check(act.Check)
		opt := a.judging(in.machine)
		n.Instruments = serving(opt.Instruments, n.Check)
		n.Fitness = reading.Adequate(in.r, n.Check, opt.Instruments, opt)
	}
	move, ok := s.firstMove(work)
	if !ok {
		return nil
	}
	req := in.req
	req.Tasks = nil
	if work.task != nil {
		n.Task = string(work.task.Verb) + ":" + string(work.task.On)
		req.Tasks = []plan.Task{*work.task}
	}
	if err := replay(in.r, req, move.Steps); err != nil {
		return err
	}
	n.Visit = Answer{Ask: in.job.Ask, Guide: n.Guide, Resolved: in.r, Machine: in.machine, Variant: n.Variant, Request: req}
	n.Visit.Plan = plan.Plan{Outcome: plan.Bounded, Steps: move.Steps, Cost: move.Cost}
	(&builder{r: in.r, req: req, a: &n.Visit}).build()
	n.After, n.AfterSays = s.standsAfter(move.After)
	return nil
}

// firstMove is the way to a piece of work that the best visit takes.
func (s *shop) firstMove(w work) (access.Move, bool) {
	switch {
	case w.closed:
		return s.moves.Close(s.moves.Start())
	case w.task == nil:
		return access.Move{}, false
	}
	moves := s.moves.Do(s.moves.Start(), *w.task)
	if len(moves) == 0 {
		return access.Move{}, false
	}
	return moves[0], true
}

// replay checks steps one by one from the definition of a valid plan.
func replay(r *guide.Resolved, req plan.Request, steps []plan.Step) error {
	state, err := audit.NewState(r, req)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrAudit, err)
	}
	for i, step := range steps {
		if _, err := state.Apply(step); err != nil {
			return fmt.Errorf("%w: step %d: %w", ErrAudit, i+1, err)
		}
	}
	return nil
}

// standsAfter says how the machine stands in a state, as a start to plan from
// and in words.
func (s *shop) standsAfter(state int) (start, says []string) {
	found, given := s.moves.State(state)
	start = []string{}
	for _, f := range found {
		text := string(f.Item) + " aside"
		if f.Off {
			text = string(f.Item) + " off"
		}
		start = append(start, text)
		says = append(says, standsText(s.in.r, text))
	}
	for _, g := range given {
		text := string(g.Condition) + "=" + string(g.Value)
		start = append(start, text)
		says = append(says, standsText(s.in.r, text))
	}
	return start, says
}
