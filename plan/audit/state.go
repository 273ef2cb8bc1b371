package audit

import (
	"encoding/binary"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// layers is the greatest depth of an item's stack: aside, then off.
const layers = 2

// standing is how one item stands: the ways by which it left its place, and
// who holds it when it came away with another.
type standing struct {
	depth  int8
	layer  int8          // of the holder's stack
	way    [layers]int32 // none for "found"
	holder int32         // none unless it came away with another
}

// setting is how one condition stands.
type setting struct {
	value  int32 // none while a change is in progress
	change int32 // the change in progress, else none
	left   int64 // wait still left, ms
}

// State is a moment of a visit: how everything stands, and what the visit has
// cost so far. Make one with NewState. A State is not safe for concurrent use;
// states of one visit share only what never changes.
type State struct {
	m       *machine
	items   []standing
	conds   []setting
	done    []bool // tasks
	hired   []bool // gear
	touched bool   // something was cleared or refitted
	proving bool   // a proof was done
	place   guide.ID
	tool    guide.ID
	spent   tally
}

// tally adds up what steps cost.
type tally struct {
	strip, work, refit, setup, waiting int64 // ms
	parts, fluids, hire                money.Amount
	risk                               int64
	objective                          int64
}

// NewState returns the state in which the visit begins. The error wraps
// ErrRequest and lists everything that makes the request or the guide unusable
// (see plan: Requests that cannot be used).
func NewState(r *guide.Resolved, req plan.Request) (*State, error) {
	m, err := newMachine(r, req)
	if err != nil {
		return nil, err
	}
	s := &State{
		m: m, items: make([]standing, len(m.items)), conds: make([]setting, len(m.conds)),
		done: make([]bool, len(m.tasks)), hired: make([]bool, len(m.gear)),
	}
	for i := range s.items {
		s.items[i].holder = none
		if m.items[i].found != "" {
			s.items[i].depth, s.items[i].way[0] = 1, none
		}
	}
	for i := range s.conds {
		s.conds[i] = setting{value: int32(m.conds[i].start), change: none}
	}
	return s, nil
}

// Clone returns a copy that shares nothing that changes.
func (s *State) Clone() *State {
	c := *s
	c.items, c.conds = slices.Clone(s.items), slices.Clone(s.conds)
	c.done, c.hired = slices.Clone(s.done), slices.Clone(s.hired)
	return &c
}

// Key is the state as a string: two states of the same visit with the same key
// allow the same steps from here on, at the same cost. What was spent so far,
// and a place or tool that cannot matter, are not part of it.
func (s *State) Key() string {
	b := make([]byte, 0, 4*len(s.items)+4*len(s.conds)+len(s.done)+16)
	for i := range s.items {
		t := &s.items[i]
		b = append(b, byte(t.depth), byte(t.layer))
		b = binary.AppendVarint(b, int64(t.holder))
		for k := range t.depth {
			b = binary.AppendVarint(b, int64(t.way[k]))
		}
	}
	for _, c := range s.conds {
		b = binary.AppendVarint(b, int64(c.value))
		b = binary.AppendVarint(b, int64(c.change))
		b = binary.AppendVarint(b, c.left)
	}
	b = appendBits(b, s.done)
	b = appendBits(b, s.hired)
	b = appendBits(b, []bool{s.touched && s.m.anyBefore})
	if s.m.move > 0 {
		b = append(append(b, s.place...), 0)
	}
	if s.m.grip > 0 {
		b = append(append(b, s.tool...), 0)
	}
	return string(b)
}

func appendBits(b []byte, bits []bool) []byte {
	for _, x := range bits {
		if x {
			b = append(b, 1)
		} else {
			b = append(b, 0)
		}
	}
	return b
}

// Standing returns how an item stands: "" when it is on or not part of the
// variant, else guide.Aside or guide.Off.
func (s *State) Standing(id guide.ID) guide.Verb {
	if i, ok := s.m.itemAt[id]; ok {
		return s.stands(i)
	}
	return ""
}

// stands returns "" for on.
func (s *State) stands(i int) guide.Verb {
	t := &s.items[i]
	switch {
	case t.holder >= 0:
		return guide.Off
	case t.depth == 0:
		return ""
	case t.way[t.depth-1] == none:
		return s.m.items[i].found
	}
	return s.m.items[i].ways[t.way[t.depth-1]].verb
}

// Holder returns the item with which an item came away as one assembly, or "".
func (s *State) Holder(id guide.ID) guide.ID {
	if i, ok := s.m.itemAt[id]; ok && s.items[i].holder >= 0 {
		return s.m.items[s.items[i].holder].id
	}
	return ""
}

// OnTop returns the index of the way by which an item left its place last, and
// whether it has left it by a way on this visit.
func (s *State) OnTop(id guide.ID) (way int, ok bool) {
	i, known := s.m.itemAt[id]
	if !known || s.items[i].depth == 0 {
		return none, false
	}
	t := &s.items[i]
	w := int(t.way[t.depth-1])
	return w, w != none
}

// Value returns the value of a condition, "" while a change is in progress or
// when the guide has no such condition.
func (s *State) Value(id guide.ID) guide.ID {
	if k, ok := s.m.condAt[id]; ok && s.conds[k].value >= 0 {
		return s.m.conds[k].values[s.conds[k].value].id
	}
	return ""
}

// Coming returns the value that a change in progress leads to with the wait
// that is left, or "" and 0.
func (s *State) Coming(id guide.ID) (guide.ID, time.Duration) {
	k, ok := s.m.condAt[id]
	if !ok || s.conds[k].change < 0 {
		return "", 0
	}
	c := &s.m.conds[k]
	return c.values[c.changes[s.conds[k].change].to].id, time.Duration(s.conds[k].left) * time.Millisecond
}

// Done reports whether the task of that index was done.
func (s *State) Done(task int) bool { return task >= 0 && task < len(s.done) && s.done[task] }

// Unfinished returns what keeps the visit from ending here, nil when nothing
// does.
func (s *State) Unfinished() []Reason {
	var why []Reason
	for i, ok := range s.done {
		if !ok {
			t := s.m.tasks[i].want
			why = append(why, reason("the task {a} {b} is not done", guide.ID(t.Verb), t.On))
		}
	}
	why = append(why, s.notBack()...)
	for i, c := range s.conds {
		want := s.m.conds[i].end
		if want < 0 || int(c.value) == want {
			continue
		}
		id := s.m.conds[i].id
		if c.change >= 0 {
			why = append(why, reason("{a} is still on its way to {b}", id, s.m.conds[i].values[s.m.conds[i].changes[c.change].to].id))
		} else {
			why = append(why, reason("{a} must be {b} at the end", id, s.m.conds[i].values[want].id))
		}
	}
	return why
}

// notBack lists the items that must be on at the end and are not.
func (s *State) notBack() []Reason {
	var why []Reason
	for i := range s.items {
		if v := s.stands(i); v != "" && !s.m.items[i].leave {
			why = append(why, reason("{a} is still {b}", s.m.items[i].id, guide.ID(v)))
		}
	}
	return why
}

// Cost returns what the visit has cost so far.
func (s *State) Cost() plan.Cost {
	t := &s.spent
	d := func(ms int64) time.Duration { return time.Duration(ms) * time.Millisecond }
	return plan.Cost{
		Strip: d(t.strip), Work: d(t.work), Refit: d(t.refit), Setup: d(t.setup), Waiting: d(t.waiting),
		Labour: s.m.req.Rate.For(d(t.strip + t.work + t.refit + t.setup)),
		Idle:   money.PerHour(s.m.waitRate).For(d(t.waiting)),
		Parts:  t.parts, Fluids: t.fluids, Hire: t.hire,
		Risk:      nearest(t.risk, plan.CentPerObjective),
		Objective: t.objective,
	}
}

// nearest divides n, which is not negative, by unit and rounds halves up.
func nearest(n, unit int64) money.Amount {
	q := n / unit
	if rest := n % unit; rest >= unit-rest {
		q++
	}
	return money.Amount(q)
}
