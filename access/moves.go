package access

import (
	"encoding/binary"
	"sync"

	"elbowroom/guide"
	"elbowroom/plan"
)

// Moves prices single tasks from any state that the machine can be brought to,
// for whoever decides one step at a time: what it costs to reach and do the
// task from there, and in which state that leaves the machine. It is made by
// [Planner.Moves] and may be used by several goroutines at once.
//
// # States
//
// A state is how every item stands (with the ways by which it left its place,
// since by these it goes back), the value of every condition, the tools hired,
// and, where set-ups cost anything, the place and the tool in hand. States are
// numbered as they are met, the start being 0; equal states have one number.
// Which number a state gets depends on the order of the calls, what is said of
// it does not. Tasks leave no trace: the same task can be asked for again.
//
// # Routes
//
// The route to a task is the beginning, up to and including the task, of the
// best visit that does this one task and then puts everything back; so a way
// in that is quick to strip and slow to refit is not taken for cheap. Nothing
// is put back on the route that the task does not ask for, unless the visit
// would be dearer for it. A task is done only while no change waits: a change
// of a condition that was begun before the task is awaited before it, and what
// a wait costs belongs to the route on which it began.
//
// A task marked Before is open while every item stands as it was found, one
// marked Proof while every item stands as the visit must end. Tasks ordered
// before a task (After) mean nothing here. What follows a proof is the
// caller's business: nothing keeps a later move from stripping again.
//
// # Limits
//
// The limits given to [Planner.Moves] hold for each single answer. An answer
// that had to stop early says that it is not proved; one that was stopped
// before it found anything comes back empty and is not kept. At most
// [MaxMoveStates] states are numbered; moves to further ones are left out and
// [Moves.Full] says so.
type Moves struct {
	p    *Planner
	base plan.Request
	lim  Limits

	mu     sync.Mutex
	moment []moment
	number map[string]int
	full   bool
	moves  map[moveKey][]Move
	closes map[int]closing
	bounds map[string]bounded
}

// MaxMoveStates is how many states a [Moves] numbers.
const MaxMoveStates = 100_000

// Limits of one answer when the caller sets none, and of what is kept.
const (
	moveStates  = 500    // states of one search
	otherShare  = 4      // a way that is not the best gets so many times fewer
	keptAnswers = 20_000 // of a kind
)

// Move is one way to do a task from a state, or to put everything back.
type Move struct {
	// Cost is that of the steps: everything up to and including the task.
	Cost plan.Cost
	// Way is the way of the task, as in plan.Step; -1 for putting back.
	Way int
	// After is the state that the steps lead to.
	After int
	// Steps are those of a visit that is under way: they can be carried out
	// one after the other from the state on. Task is 0 in the step that does
	// the task.
	Steps []plan.Step
	// Rest is the objective of putting everything back afterwards, as the
	// visit that the route is taken from does it.
	Rest int64
	// Proved says that no visit with the task by this way, everything back at
	// the end, costs less than Cost.Objective and Rest together.
	Proved bool
}

type moveKey struct {
	state         int
	verb          guide.Verb
	on            guide.ID
	before, proof bool
}

type closing struct {
	move Move
	ok   bool
}

type bounded struct {
	least int64
	ok    bool
}

// Moves prepares pricing of single moves on a machine as the request finds it.
// The tasks of the request are ignored, and so are their order and marks. The
// error is an *InputError for a request that cannot be used.
func (p *Planner) Moves(base plan.Request, lim Limits) (*Moves, error) {
	base.Tasks = nil
	if err := p.check(base); err != nil {
		return nil, err
	}
	if lim.Nodes == 0 {
		lim.Nodes = moveStates
	}
	m := &Moves{p: p, base: base, lim: lim, number: map[string]int{}, moves: map[moveKey][]Move{}, closes: map[int]closing{}, bounds: map[string]bounded{}}
	m.meet(p.foundAs(base))
	return m, nil
}

// Start returns the state in which the visit begins.
func (m *Moves) Start() int { return 0 }

// Full reports whether moves have been left out because there were too many
// states.
func (m *Moves) Full() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.full
}

// Do returns the ways to do the task from the state: first the one of the best
// visit, then one for every other open way of the task, cheapest visit first.
// A way that is at least as dear as another one before it and leaves no less
// open is left out. There are none when the task cannot be done from there, and for
// a task that the guide does not have or a state that was never handed out.
func (m *Moves) Do(s int, t plan.Task) []Move {
	t.After = nil
	key := moveKey{s, t.Verb, t.On, t.Before, t.Proof}
	m.mu.Lock()
	known, ok := m.moves[key]
	at, exists := m.at(s)
	m.mu.Unlock()
	if ok || !exists {
		return known
	}
	req := m.base
	req.Tasks = []plan.Task{t}
	if m.p.check(req) != nil {
		return nil
	}
	r := &router{m: m, from: at, lim: m.lim.latched()}
	list := r.moves(m.p.compileFrom(req, at))
	if r.stopped {
		return list
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.moves) >= keptAnswers {
		clear(m.moves)
	}
	m.moves[key] = list
	return list
}

// Close returns how everything is put back from the state as the visit must
// end, and false when it cannot be.
func (m *Moves) Close(s int) (Move, bool) {
	m.mu.Lock()
	known, ok := m.closes[s]
	at, exists := m.at(s)
	m.mu.Unlock()
	if ok || !exists {
		return known.move, known.ok
	}
	r := &router{m: m, from: at, lim: m.lim.latched()}
	move, ok := r.close(m.p.compileFrom(m.base, at))
	if r.stopped {
		return move, ok
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.closes) >= keptAnswers {
		clear(m.closes)
	}
	m.closes[s] = closing{move, ok}
	return move, ok
}

// Bound returns a lower bound on what it costs from the state to do all the
// tasks, in an order that their marks and After allow, and to put everything
// back as the visit must end; false when that is impossible. It is quick: it
// leaves out that anything is ever lost again, and most of what order and
// waiting cost. No sequence of moves that does the tasks and ends with Close
// costs less.
func (m *Moves) Bound(s int, tasks []plan.Task) (int64, bool) {
	key := boundKey(s, tasks)
	m.mu.Lock()
	known, ok := m.bounds[key]
	at, exists := m.at(s)
	m.mu.Unlock()
	if ok || !exists {
		return known.least, known.ok
	}
	req := m.base
	req.Tasks = tasks
	if m.p.check(req) != nil {
		return 0, false
	}
	least, ok := quickBound(m.p.compileFrom(req, at), m.lim.latched())
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.bounds) >= keptAnswers {
		clear(m.bounds)
	}
	m.bounds[key] = bounded{least, ok}
	return least, ok
}

func boundKey(s int, tasks []plan.Task) string {
	b := binary.AppendVarint(nil, int64(s))
	for _, t := range tasks {
		b = append(append(append(b, t.Verb...), 0), t.On...)
		b = append(b, 0, mark(t.Before), mark(t.Proof))
		for _, a := range t.After {
			b = binary.AppendVarint(b, int64(a))
		}
		b = append(b, 0)
	}
	return string(b)
}

func mark(b bool) byte {
	if b {
		return 1
	}
	return 0
}

// AtLeast returns a cost, own minutes, uses and risks included, below which
// the task is done from no state at all: that of its cheapest open way when
// everything that it needs is out of the way and set up. It is 0 for a task
// that cannot be done.
func (m *Moves) AtLeast(t plan.Task) int64 {
	t.After = nil
	req := m.base
	req.Tasks = []plan.Task{t}
	if m.p.check(req) != nil {
		return 0
	}
	c := newCompiler(m.p.r, m.p.lookup, req)
	c.addTask(0)
	least := far
	for _, n := range c.m.tasks[0].ways {
		least = min(least, c.m.ways[n].out.objective)
	}
	if least == far {
		return 0
	}
	return least
}

// State says how the machine stands: what is aside or off, in guide order, and
// which conditions have another value than the guide says at the start, in
// guide order.
func (m *Moves) State(s int) (found []plan.Standing, given []plan.Setting) {
	m.mu.Lock()
	at, ok := m.at(s)
	m.mu.Unlock()
	if !ok {
		return nil, nil
	}
	for _, x := range at.items {
		found = append(found, plan.Standing{Item: m.p.r.Items[x.item].ID, Off: x.off})
	}
	for i := range m.p.r.Guide.Conditions {
		c := &m.p.r.Guide.Conditions[i]
		if v := m.value(at, int32(i)); v != c.Start {
			given = append(given, plan.Setting{Condition: c.ID, Value: v})
		}
	}
	return found, given
}

// value returns the value of a condition.
func (m *Moves) value(at moment, c int32) guide.ID {
	g := &m.p.r.Guide.Conditions[c]
	for _, x := range at.conds {
		if x.cond == c {
			return g.Values[x.value].ID
		}
	}
	for _, s := range m.base.Given {
		if s.Condition == g.ID {
			return s.Value
		}
	}
	return g.Start
}

// at returns the state of a number; the caller holds the lock.
func (m *Moves) at(s int) (moment, bool) {
	if s < 0 || s >= len(m.moment) {
		return moment{}, false
	}
	return m.moment[s], true
}

// meet returns the number of a state, and false when there is no more room.
func (m *Moves) meet(k moment) (int, bool) {
	key := k.key()
	m.mu.Lock()
	defer m.mu.Unlock()
	if n, ok := m.number[key]; ok {
		return n, true
	}
	if len(m.moment) >= MaxMoveStates {
		m.full = true
		return 0, false
	}
	n := len(m.moment)
	m.number[key] = n
	m.moment = append(m.moment, k)
	return n, true
}
