package joblog

import (
	"cmp"
	"fmt"
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
)

// folding is one run of Fold.
type folding struct {
	basis Basis
	s     *State
	order []*placed
	byID  map[ID]*placed
	plans map[ID]*taken
	now   *taken // the present plan
	rig   *rig

	steps  map[stepKey]*ticked
	keys   []stepKey // in the order of their first tick
	act    map[*placed]*ticked
	refs   map[ID]stepKey // events that tick a step of their own, and of plans
	struck map[ID]bool    // events that a correction has struck
	signed []*placed      // deviations
	read   map[ID]int     // readings, their places in the state
	closed heads[bool]
}

// taken is a plan of the log.
type taken struct {
	at   *placed
	body *PlanTaken
	r    *guide.Resolved // nil when the guide is not at hand
}

// ticked is a step with what is said of it.
type ticked struct {
	key   stepKey
	plan  *taken // nil when there is none
	act   Act
	heads heads[bool]

	counts  bool
	refused []string
	signed  *placed
	early   bool
}

// Fold works out what a log comes to. It depends on the set of events and on
// the basis alone; see the package comment for the order of events and the
// rules for disputes. It never fails: what cannot count is said in the state.
func Fold(l *Log, basis Basis) State {
	f := &folding{
		basis: basis, s: &State{Job: l.job}, byID: map[ID]*placed{}, plans: map[ID]*taken{},
		steps: map[stepKey]*ticked{}, act: map[*placed]*ticked{}, refs: map[ID]stepKey{}, struck: map[ID]bool{}, read: map[ID]int{},
	}
	f.arrange(l)
	f.correct()
	f.takePlans()
	f.tickSteps()
	f.decide()
	for _, p := range f.order {
		f.walk(p)
	}
	f.finish()
	return *f.s
}

func (f *folding) refuse(p *placed, why Why, format string, args ...any) {
	f.s.Refused = append(f.s.Refused, refuse(p.Event, why, format, args...))
}

// arrange puts the events in order and sets those aside that cannot count.
func (f *folding) arrange(l *Log) {
	var events []Event
	for _, id := range l.ids() {
		list := l.entries[id]
		events = append(events, list[0].record.Event)
		for _, e := range list[1:] {
			f.s.Refused = append(f.s.Refused, refuse(e.record.Event, IDClash,
				"%s of %s bears the id of another event, %s of %s; the other one counts",
				e.record.Event.Kind, e.record.Event.Author, list[0].record.Event.Kind, list[0].record.Event.Author))
		}
	}
	events = f.fewDevices(events)
	order, refused, gaps := sequence(events)
	f.order, f.s.Gaps = order, gaps
	f.s.Refused = append(f.s.Refused, refused...)
	numbers := map[Device]map[int64]*placed{}
	for _, p := range f.order {
		f.byID[p.ID] = p
		f.admit(p, numbers)
	}
}

// fewDevices drops the events of devices beyond the first MaxDevices, counted
// by their first event.
func (f *folding) fewDevices(events []Event) []Event {
	known := map[Device]bool{}
	return slices.DeleteFunc(events, func(e Event) bool { // events are sorted by id
		if !known[e.Device] && len(known) >= MaxDevices {
			f.s.Refused = append(f.s.Refused, refuse(e, BadForm, "a job has %d devices at most", MaxDevices))
			return true
		}
		known[e.Device] = true
		return false
	})
}

// admit refuses an event that cannot count whatever it says.
func (f *folding) admit(p *placed, numbers map[Device]map[int64]*placed) {
	if p.Foreign() {
		f.refuse(p, NewerProgram, "it was written by a newer program (schema %d, this one reads %d): bring this program up to date", p.Schema, Schema)
	}
	if len(f.basis.People) > 0 && !slices.Contains(f.basis.People, p.Author) {
		f.refuse(p, UnknownPerson, "nobody called %s works here", p.Author)
		p.body = nil
	}
	if numbers[p.Device] == nil {
		numbers[p.Device] = map[int64]*placed{}
	}
	if other := numbers[p.Device][p.Seq]; other != nil {
		f.s.Conflicts = append(f.s.Conflicts, Conflict{
			Sort: Numbered, Key: fmt.Sprintf("number %s %d", p.Device, p.Seq), Events: []ID{other.ID, p.ID}, Blocking: true,
			Says: fmt.Sprintf("two events of %s bear the number %d; both count", p.Device, p.Seq),
		})
	}
	numbers[p.Device][p.Seq] = p
	if d, ok := p.body.(*Deviation); ok && d.Signed != p.Author {
		f.refuse(p, WrongAuthor, "%s signs for %s; everybody signs for themselves", p.Author, d.Signed)
		p.body = nil
	}
}

// takePlans finds the plans and the revisions of the guides that they pin.
func (f *folding) takePlans() {
	for _, p := range f.order {
		b, ok := p.body.(*PlanTaken)
		if !ok {
			continue
		}
		t := &taken{at: p, body: b}
		f.plans[p.ID] = t
		i := slices.IndexFunc(f.basis.Editions, func(e Edition) bool { return e.Pin == b.Pin })
		if i < 0 || f.basis.Editions[i].Guide == nil {
			f.refuse(p, UnknownGuide, "the guide %s is not at hand; what is off cannot be worked out without it", b.Pin)
			continue
		}
		req, err := b.Asked()
		if err == nil {
			t.r, err = guide.Resolve(f.basis.Editions[i].Guide, req.Variant)
		}
		if err != nil {
			t.r = nil
			f.refuse(p, UnknownGuide, "the guide %s cannot be used: %v", b.Pin, err)
		}
	}
}

// tickSteps collects what is said of every step, and who signed for what.
func (f *folding) tickSteps() {
	var now *taken
	for _, p := range f.order {
		switch b := p.body.(type) {
		case *PlanTaken:
			now = f.plans[p.ID]
		case *Deviation:
			f.signed = append(f.signed, p)
		case *StepDone:
			if t := f.stepOf(p, b, now); t != nil {
				f.refs[p.ID] = t.key
				t.heads = t.heads.put(p, true)
			}
		case *StepUndone:
			if t := f.stepUndone(p, b, now); t != nil {
				t.heads = t.heads.put(p, false)
			}
		}
	}
}

func (f *folding) planOf(p *placed, id ID, now *taken) *taken {
	if id.Zero() {
		if now == nil {
			f.refuse(p, UnknownPlan, "no plan was taken before it")
		}
		return now
	}
	t := f.plans[id]
	if t == nil {
		f.refuse(p, UnknownPlan, "the plan %s was not taken, or has not arrived", id)
	}
	return t
}

func (f *folding) step(key stepKey, t *taken, a Act) *ticked {
	s := f.steps[key]
	if s == nil {
		s = &ticked{key: key, plan: t, act: a}
		f.steps[key] = s
		f.keys = append(f.keys, key)
	}
	return s
}

func (f *folding) stepOf(p *placed, b *StepDone, now *taken) *ticked {
	if b.Step == 0 {
		t := now
		if !b.Plan.Zero() {
			t = f.planOf(p, b.Plan, now)
		}
		if t == nil {
			f.refuse(p, UnknownPlan, "no plan was taken before it, so that no guide says what the step is")
			return nil
		}
		return f.step(stepKey{own: p.ID}, t, *b.Act)
	}
	t := f.planOf(p, b.Plan, now)
	return f.numbered(p, t, b.Step)
}

func (f *folding) numbered(p *placed, t *taken, n int) *ticked {
	if t == nil {
		return nil
	}
	if n > len(t.body.Steps) {
		f.refuse(p, UnknownStep, "the plan has %d steps and no step %d", len(t.body.Steps), n)
		return nil
	}
	return f.step(stepKey{plan: t.at.ID, step: n}, t, t.body.act(n-1))
}

func (f *folding) stepUndone(p *placed, b *StepUndone, now *taken) *ticked {
	if b.Step > 0 {
		return f.numbered(p, f.planOf(p, b.Plan, now), b.Step)
	}
	key, ok := f.refs[b.Done]
	if !ok {
		f.refuse(p, UnknownEvent, "no event %s ticks a step before it", b.Done)
		return nil
	}
	return f.steps[key]
}

// decide says of every step whether it counts: as its ticks agree, and where
// they do not, as open. What takes apart counts as done then, everything else
// as not done.
func (f *folding) decide() {
	for _, key := range f.keys {
		t := f.steps[key]
		done, agreed := t.heads.agreed()
		if agreed && len(t.heads) > 1 {
			f.conflict(Twice, t, "was ticked by %s, neither knowing of the other")
		}
		if t.heads.disputed() {
			f.conflict(Disputed, t, "was ticked and taken back by %s, neither knowing of the other; until somebody settles it, it counts as open")
			done = t.plan.r == nil || phaseOf(t.plan.r, t.act) == plan.StripPhase
		}
		if t.counts = done; !done {
			continue
		}
		for _, h := range t.heads {
			if h.value {
				f.act[h.since] = t
				break
			}
		}
	}
}

func (t *ticked) name() string {
	if t.key.step > 0 {
		return fmt.Sprintf("step %d", t.key.step)
	}
	return "step " + t.key.own.String()
}

func (f *folding) conflict(sort ConflictSort, t *ticked, format string) {
	f.s.Conflicts = append(f.s.Conflicts, Conflict{
		Sort: sort, Key: t.name(), Events: t.heads.events(), Blocking: sort == Disputed,
		Says: fmt.Sprintf("%s, %s, "+format, t.name(), guide.Uncapital(actWords(t.plan.r, t.act)), people(t.heads)),
	})
}

// people names who holds the opinions.
func people[T comparable](h heads[T]) string {
	s := ""
	for i, o := range h {
		switch {
		case i > 0 && i == len(h)-1:
			s += " and "
		case i > 0:
			s += ", "
		}
		s += fmt.Sprintf("%s (%s)", o.at.Author, o.at.Device)
	}
	return s
}

// finish puts what was collected into the state.
func (f *folding) finish() {
	f.work()
	f.planStates()
	f.rigState()
	f.next()
	f.staleProofs()
	f.s.Refused = slices.DeleteFunc(f.s.Refused, func(r Refusal) bool { return f.struck[r.Event] && r.Why != IDClash })
	slices.SortStableFunc(f.s.Refused, func(a, b Refusal) int { return a.Event.Compare(b.Event) })
	slices.SortStableFunc(f.s.Conflicts, func(a, b Conflict) int {
		return cmp.Or(cmp.Compare(a.Key, b.Key), slices.CompareFunc(a.Events, b.Events, ID.Compare))
	})
	f.lacks()
	f.s.rig = f.rig
}
