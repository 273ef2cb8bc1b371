package audit

import (
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// Effect is what one step did: the step with every field as it must be
// written, and what it cost.
type Effect struct {
	Step      plan.Step
	Parts     money.Amount
	Fluids    money.Amount
	Hire      money.Amount
	Risk      int64 // units of the objective by money
	Objective int64
}

// move is a step turned into indexes. act is nil for an Await step only.
type move struct {
	kind   plan.StepKind
	act    *act
	owner  guide.ID
	item   int
	way    int
	task   int
	cond   int
	change int
}

// Apply does one step. Only Kind and the choice of the step are read (Item and
// Way, Task and Way, Condition and Change); the other fields are filled in and
// returned. The error is a *Refusal and leaves the state as it was.
func (s *State) Apply(step plan.Step) (Effect, error) {
	next, effect, err := s.Next(step)
	if err == nil {
		*s = *next
	}
	return effect, err
}

// Next is Apply on a copy: s stays as it is.
func (s *State) Next(step plan.Step) (*State, Effect, error) {
	mv, why := s.resolve(step)
	if len(why) == 0 {
		why = s.blocked(mv)
	}
	if len(why) > 0 {
		return nil, Effect{}, &Refusal{step, why}
	}
	next := s.Clone()
	effect := next.perform(mv)
	if why := next.demands(); len(why) > 0 {
		return nil, Effect{}, &Refusal{effect.Step, why}
	}
	return next, effect, nil
}

// resolve finds what a step speaks of. The reasons say which name or index
// means nothing; the move is then not usable.
func (s *State) resolve(step plan.Step) (move, []Reason) {
	mv := move{kind: step.Kind, item: none, way: step.Way, task: none, cond: none, change: none}
	switch step.Kind {
	case plan.Clear, plan.Refit:
		return s.resolveItem(mv, step)
	case plan.Change:
		k, ok := s.m.condAt[step.Condition]
		if !ok || step.Change < 0 || step.Change >= len(s.m.conds[k].changes) {
			return mv, one("{a} has no change of that number", step.Condition, "")
		}
		mv.cond, mv.change, mv.act, mv.way = k, step.Change, s.m.conds[k].changes[step.Change].act, none
		if c := s.m.conds[k].changes[step.Change]; c.from < 0 || c.to < 0 {
			return mv, one("a change of {a} leads from or to a value that it does not have", step.Condition, "")
		}
		return mv, nil
	case plan.Await:
		k, ok := s.m.condAt[step.Condition]
		if !ok || s.conds[k].change < 0 {
			return mv, one("{a} is not changing, there is nothing to wait for", step.Condition, "")
		}
		mv.cond, mv.change, mv.way = k, int(s.conds[k].change), none
		return mv, nil
	case plan.Do:
		return s.resolveTask(mv, step)
	}
	return mv, one("there is no step of the kind {a}", guide.ID(step.Kind), "")
}

func one(says string, a, b guide.ID) []Reason { return []Reason{{says, a, b}} }

func (s *State) resolveItem(mv move, step plan.Step) (move, []Reason) {
	i, ok := s.m.itemAt[step.Item]
	if !ok {
		return mv, one("this variant has no item {a}", step.Item, "")
	}
	ways := s.m.items[i].ways
	if step.Way < 0 || step.Way >= len(ways) || ways[step.Way] == nil {
		return mv, one("{a} has no way of that number that takes it off or aside", step.Item, "")
	}
	mv.item, mv.owner, mv.act = i, step.Item, ways[step.Way]
	return mv, nil
}

func (s *State) resolveTask(mv move, step plan.Step) (move, []Reason) {
	if step.Task < 0 || step.Task >= len(s.m.tasks) {
		return mv, one("there is no task of that number", "", "")
	}
	t := &s.m.tasks[step.Task]
	for _, w := range t.ways {
		if w.index == step.Way {
			mv.task, mv.owner, mv.act = step.Task, w.owner, w.act
			return mv, nil
		}
	}
	return mv, one("{a} {b} has no way of that number", guide.ID(t.want.Verb), t.want.On)
}

// blocked returns every reason why a move cannot be done now.
func (s *State) blocked(mv move) []Reason {
	if mv.kind == plan.Await {
		return nil
	}
	return append(s.misplaced(mv), s.unmet(mv.act)...)
}

// misplaced returns what about the moment keeps the step from being done, apart
// from what its way asks for.
func (s *State) misplaced(mv move) []Reason {
	switch mv.kind {
	case plan.Clear:
		return append(s.proved(), s.notClearable(mv)...)
	case plan.Refit:
		return append(s.proved(), s.notRefittable(mv)...)
	case plan.Change:
		return s.notChangeable(mv)
	}
	return s.notDoable(mv.task)
}

func (s *State) proved() []Reason {
	if s.proving {
		return one("nothing may be cleared or refitted after a proof", "", "")
	}
	return nil
}

func (s *State) notClearable(mv move) []Reason {
	t := &s.items[mv.item]
	id := s.m.items[mv.item].id
	switch {
	case t.holder >= 0:
		return one("{a} came away with {b} and is not on", id, s.m.items[t.holder].id)
	case t.depth == 0:
		return nil
	case s.stands(mv.item) == guide.Off:
		return one("{a} is off already", id, "")
	case t.way[t.depth-1] == none:
		return one("{a} was found aside and must go back before it is taken off", id, "")
	case mv.act.verb != guide.Off:
		return one("{a} is aside already", id, "")
	}
	return nil
}

func (s *State) notRefittable(mv move) []Reason {
	t := &s.items[mv.item]
	it := &s.m.items[mv.item]
	switch {
	case t.holder >= 0:
		return one("{a} goes back with {b}, from which it was not parted", it.id, s.m.items[t.holder].id)
	case t.depth == 0:
		return one("{a} is on already", it.id, "")
	}
	top := t.way[t.depth-1]
	if top == none && mv.act.verb != it.found {
		return one("{a} was found {b}, the way back must be of that sort", it.id, guide.ID(it.found))
	}
	if top != none && int(top) != mv.way {
		return one("{a} must go back the way it came", it.id, "")
	}
	return nil
}

func (s *State) notChangeable(mv move) []Reason {
	c := &s.m.conds[mv.cond]
	now := s.conds[mv.cond]
	if now.change >= 0 {
		return one("{a} is still changing", c.id, "")
	}
	if from := c.changes[mv.change].from; int(now.value) != from {
		return one("{a} is not {b}", c.id, c.values[from].id)
	}
	return nil
}

func (s *State) notDoable(k int) []Reason {
	t := &s.m.tasks[k]
	var why []Reason
	if s.done[k] {
		why = append(why, reason("{a} {b} was done before", guide.ID(t.want.Verb), t.want.On))
	}
	for _, first := range t.after {
		if !s.done[first] {
			f := s.m.tasks[first].want
			why = append(why, reason("{a} {b} must be done first", guide.ID(f.Verb), f.On))
		}
	}
	if t.want.Before && s.touched {
		why = append(why, reason("{a} {b} is wanted as the machine was found, and something was moved already", guide.ID(t.want.Verb), t.want.On))
	}
	if t.want.Proof {
		why = append(why, s.notProvable()...)
	}
	return why
}

func (s *State) notProvable() []Reason {
	why := s.notBack()
	for k := range s.m.tasks {
		if w := s.m.tasks[k].want; !w.Proof && !s.done[k] {
			why = append(why, reason("a proof comes last, {a} {b} is still to be done", guide.ID(w.Verb), w.On))
		}
	}
	return why
}

// unmet returns what an act asks for and does not find.
func (s *State) unmet(a *act) []Reason {
	why := slices.Clip(a.closed)
	for _, n := range a.needs {
		switch v := s.stands(n.item); {
		case v == "":
			why = append(why, reason("{a} is in the way", s.m.items[n.item].id, ""))
		case n.off && v != guide.Off:
			why = append(why, reason("{a} must be off and is only aside", s.m.items[n.item].id, ""))
		}
	}
	return s.lacking(why, a.with, a.fitted, a.all)
}

// lacking appends the requirements and fitted items that are not met.
func (s *State) lacking(why []Reason, with []requirement, fitted []int, all bool) []Reason {
	for _, q := range with {
		if !s.met(q) {
			says := "{a} must be {b}"
			if q.req.Not {
				says = "{a} must not be {b}"
			}
			why = append(why, reason(says, q.req.Condition, q.req.Value))
		}
	}
	for _, i := range fitted {
		if s.stands(i) != "" {
			why = append(why, reason("{a} must be fitted", s.m.items[i].id, ""))
		}
	}
	if all {
		for i := range s.items {
			if s.stands(i) != "" {
				why = append(why, reason("{a} must be fitted, as everything must", s.m.items[i].id, ""))
			}
		}
	}
	return why
}

func (s *State) met(q requirement) bool {
	if q.cond < 0 || s.conds[q.cond].value < 0 {
		return false
	}
	return (int(s.conds[q.cond].value) == q.value) != q.req.Not
}

// demands returns what the values in force demand and do not find.
func (s *State) demands() []Reason {
	var why []Reason
	for i, c := range s.conds {
		if c.value < 0 {
			continue
		}
		v := &s.m.conds[i].values[c.value]
		before := len(why)
		why = s.lacking(why, v.with, v.fitted, v.all)
		for k := before; k < len(why); k++ {
			why[k].says += " while " + string(s.m.conds[i].id) + " is " + string(v.id)
		}
	}
	return why
}

// elapse lets time pass for every change in progress except one.
func (s *State) elapse(ms int64, except int) {
	for i := range s.conds {
		if s.conds[i].change >= 0 && i != except {
			s.conds[i].left = max(0, s.conds[i].left-ms)
		}
	}
}

// perform carries out a move whose indexes are good, whether or not it is
// allowed.
func (s *State) perform(mv move) Effect {
	e := Effect{Step: plan.Step{Kind: mv.kind, Way: none, Task: none, Change: none}}
	switch mv.kind {
	case plan.Clear:
		s.clear(mv, &e)
	case plan.Refit:
		s.refit(mv, &e)
	case plan.Change:
		s.alter(mv, &e)
	case plan.Await:
		s.await(mv, &e)
	case plan.Do:
		e.Step.Phase, e.Step.Item, e.Step.Verb = plan.WorkPhase, mv.owner, mv.act.verb
		e.Step.Way, e.Step.Task = mv.way, mv.task
		s.done[mv.task] = true
		s.proving = s.proving || s.m.tasks[mv.task].want.Proof
		s.charge(&e, mv.act, &mv.act.out, none)
	}
	e.Step.Place, e.Step.Tool = s.place, s.tool
	s.book(&e)
	return e
}

func (s *State) clear(mv move, e *Effect) {
	e.Step.Phase, e.Step.Item, e.Step.Verb, e.Step.Way = plan.StripPhase, mv.owner, mv.act.verb, mv.way
	t := &s.items[mv.item]
	layer := min(t.depth, layers-1)
	t.way[layer], t.depth = int32(mv.way), layer+1
	for _, k := range mv.act.together {
		if s.stands(k) == "" {
			s.items[k].holder, s.items[k].layer = int32(mv.item), layer
		}
	}
	s.touched = true
	s.charge(e, mv.act, &mv.act.out, none)
}

func (s *State) refit(mv move, e *Effect) {
	e.Step.Phase, e.Step.Item, e.Step.Verb, e.Step.Way = plan.RefitPhase, mv.owner, mv.act.verb, mv.way
	t := &s.items[mv.item]
	if t.depth > 0 {
		t.depth--
		t.way[t.depth] = 0
	}
	for k := range s.items {
		if h := &s.items[k]; int(h.holder) == mv.item && h.layer == t.depth {
			h.holder, h.layer = none, 0
		}
	}
	s.touched = true
	s.charge(e, mv.act, &mv.act.back, none)
}

func (s *State) alter(mv move, e *Effect) {
	c := &s.m.conds[mv.cond]
	ch := &c.changes[mv.change]
	s.name(mv, e)
	s.charge(e, mv.act, &mv.act.out, mv.cond)
	if ch.wait > 0 {
		s.conds[mv.cond] = setting{none, int32(mv.change), ch.wait}
	} else {
		s.conds[mv.cond] = setting{int32(ch.to), none, 0}
	}
}

func (s *State) await(mv move, e *Effect) {
	s.name(mv, e)
	left := s.conds[mv.cond].left
	e.Step.Wait = time.Duration(left) * time.Millisecond
	s.conds[mv.cond] = setting{int32(s.m.conds[mv.cond].changes[mv.change].to), none, 0}
	s.elapse(left, mv.cond)
}

// name fills in what a change step says of its change.
func (s *State) name(mv move, e *Effect) {
	c := &s.m.conds[mv.cond]
	ch := &c.changes[mv.change]
	e.Step.Condition, e.Step.Change = c.id, mv.change
	e.Step.From, e.Step.To = c.values[ch.from].id, c.values[ch.to].id
	e.Step.Phase = plan.StripPhase
	if ch.to == c.end {
		e.Step.Phase = plan.RefitPhase
	}
}

// charge moves the worker, lets the time pass and notes what one direction of
// an act costs.
func (s *State) charge(e *Effect, a *act, f *effort, except int) {
	e.Step.Hands = time.Duration(f.labour) * time.Millisecond
	e.Step.Setup = time.Duration(s.setup(a)) * time.Millisecond
	e.Parts, e.Fluids, e.Risk = f.parts, f.fluids, f.risk
	for _, g := range a.hire {
		if !s.hired[g] {
			s.hired[g] = true
			e.Hire += s.m.gear[g].price
		}
	}
	s.elapse(f.clock, except)
}

// setup moves the worker to the place and tool of an act and returns the
// minutes lost, in ms.
func (s *State) setup(a *act) int64 {
	var ms int64
	if a.place != "" {
		if s.place != "" && s.place != a.place {
			ms += s.m.move
		}
		s.place = a.place
	}
	if a.tool != "" {
		if s.tool != "" && s.tool != a.tool {
			ms += s.m.grip
		}
		s.tool = a.tool
	}
	return ms
}

// book adds an effect to what was spent and works out its objective.
func (s *State) book(e *Effect) {
	hands, setup, wait := e.Step.Hands.Milliseconds(), e.Step.Setup.Milliseconds(), e.Step.Wait.Milliseconds()
	e.Objective = hands + setup + wait
	if !s.m.byMinutes {
		bought := int64(e.Parts + e.Fluids + e.Hire)
		e.Objective = (hands+setup)*s.m.rate + wait*s.m.waitRate + bought*plan.CentPerObjective + e.Risk
	}
	t := &s.spent
	switch e.Step.Phase {
	case plan.StripPhase:
		t.strip += hands
	case plan.WorkPhase:
		t.work += hands
	case plan.RefitPhase:
		t.refit += hands
	}
	t.setup += setup
	t.waiting += wait
	t.parts += e.Parts
	t.fluids += e.Fluids
	t.hire += e.Hire
	t.risk += e.Risk
	t.objective += e.Objective
}
