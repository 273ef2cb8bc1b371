package audit

import (
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// none marks an index that names nothing.
const none = -1

// machine is the request and the guide made ready for replaying: names turned
// into indexes, requirements collected, times in whole milliseconds.
type machine struct {
	r      *guide.Resolved
	req    plan.Request
	items  []item
	itemAt map[guide.ID]int
	conds  []condition
	condAt map[guide.ID]int
	tasks  []task
	gear   []gear // tools that must be hired before use
	people int
	taken  int // slots handed out to acts and gear

	move, grip     int64 // set-up, ms
	rate, waitRate int64 // minor units an hour
	byMinutes      bool
	anyBefore      bool
}

type item struct {
	id    guide.ID
	ways  []*act     // index as in Ways; nil where the way does not clear
	found guide.Verb // Aside or Off when found so, empty when found on
	leave bool       // need not be put back
}

type condition struct {
	id      guide.ID
	values  []value
	changes []change
	start   int
	end     int // none when any value will do
}

type value struct {
	id     guide.ID
	fitted []int
	all    bool
	with   []requirement
}

type change struct {
	from, to int
	wait     int64 // ms
	act      *act
}

type task struct {
	want  plan.Task
	after []int
	ways  []taskWay
}

// taskWay is one way of doing a task: the way of that index of its owner.
type taskWay struct {
	owner guide.ID
	index int
	act   *act
}

type gear struct {
	id    guide.ID
	price money.Amount
	slot  int
}

// act is what a way or a change asks for and costs.
type act struct {
	slot        int      // numbers the act; slot+1 is its way back
	closed      []Reason // why it is never open on this visit
	verb        guide.Verb
	needs       []need
	with        []requirement
	fitted      []int
	all         bool // every item must be on
	place, tool guide.ID
	hire        []int // gear
	together    []int
	out, back   effort
}

// effort is what one direction of an act costs, set-up apart.
type effort struct {
	clock  int64 // ms that pass
	labour int64 // ms of all people
	parts  money.Amount
	fluids money.Amount
	risk   int64 // objective by money
}

type need struct {
	item int
	off  bool
}

// requirement asks for a value of a condition. cond or value is none where the
// guide has no such thing, and the requirement is then never met.
type requirement struct {
	req         guide.Req
	cond, value int
}

// milliseconds rounds to whole milliseconds, halves away from zero.
func milliseconds(d time.Duration) int64 { return d.Round(time.Millisecond).Milliseconds() }

func newMachine(r *guide.Resolved, req plan.Request) (*machine, error) {
	m := &machine{r: r, req: req, itemAt: map[guide.ID]int{}, condAt: map[guide.ID]int{}}
	var f faults
	f.guide(r)
	f.request(r, req)
	if err := f.err(); err != nil {
		return nil, err
	}
	m.people = max(req.People, 1)
	m.rate, m.waitRate = int64(req.Rate), int64(req.WaitRate)
	if req.WaitRate == 0 {
		m.waitRate = m.rate
	}
	m.byMinutes = req.By == plan.ByMinutes
	m.move, m.grip = milliseconds(r.Guide.Setup.Move), milliseconds(r.Guide.Setup.Tool)
	for i := range r.Items {
		m.itemAt[r.Items[i].ID] = i
	}
	for i := range r.Guide.Conditions {
		m.condAt[r.Guide.Conditions[i].ID] = i
	}
	m.fillGear()
	m.fillItems()
	m.fillConditions()
	m.fillTasks()
	return m, nil
}

// fillGear lists the missing tools that can be hired.
func (m *machine) fillGear() {
	for _, t := range m.r.Guide.Tools {
		known := slices.ContainsFunc(m.gear, func(g gear) bool { return g.id == t.ID })
		if t.Hire != nil && slices.Contains(m.req.Missing, t.ID) && !known {
			m.gear = append(m.gear, gear{t.ID, *t.Hire, m.nextSlot(1)})
		}
	}
}

func (m *machine) leaves(id guide.ID) bool {
	return slices.Contains(m.req.LeaveOpen, id) || slices.Contains(m.req.LeaveOpen, everything)
}

func (m *machine) fillItems() {
	m.items = make([]item, len(m.r.Items))
	for i := range m.r.Items {
		from := &m.r.Items[i]
		it := item{id: from.ID, leave: m.leaves(from.ID), ways: make([]*act, len(from.Ways))}
		for k := range from.Ways {
			if w := &from.Ways[k]; w.Do.Clears() {
				it.ways[k] = m.clearing(w, i, from.Cautions)
			}
		}
		m.items[i] = it
	}
	for _, f := range m.req.Found {
		verb := guide.Aside
		if f.Off {
			verb = guide.Off
		}
		m.items[m.itemAt[f.Item]].found = verb
	}
}

func (m *machine) fillConditions() {
	m.conds = make([]condition, len(m.r.Guide.Conditions))
	for i := range m.r.Guide.Conditions {
		from := &m.r.Guide.Conditions[i]
		c := condition{id: from.ID, values: make([]value, len(from.Values)), changes: make([]change, len(from.Changes))}
		for k := range from.Values {
			c.values[k] = m.value(&from.Values[k])
		}
		for k := range from.Changes {
			ch := &from.Changes[k]
			c.changes[k] = change{valueAt(from, ch.From), valueAt(from, ch.To), milliseconds(ch.Wait), m.changing(from, ch)}
		}
		c.start = valueAt(from, from.Start)
		for _, g := range m.req.Given {
			if g.Condition == from.ID {
				c.start = valueAt(from, g.Value)
			}
		}
		c.end = m.endOf(from, c.start)
		m.conds[i] = c
	}
}

// endOf returns the value that a condition must have at the end, or none. An
// end that the condition does not have is found out by faults.guide.
func (m *machine) endOf(c *guide.Condition, start int) int {
	switch {
	case m.leaves(c.ID) || c.End == guide.AnyEnd:
		return none
	case c.End == guide.AsFound || c.End == "":
		return start
	}
	return valueAt(c, guide.ID(c.End))
}

func valueAt(c *guide.Condition, id guide.ID) int {
	return slices.IndexFunc(c.Values, func(v guide.Value) bool { return v.ID == id })
}

func (m *machine) fillTasks() {
	for _, t := range m.req.Tasks {
		k := task{want: t, after: t.After}
		if c := m.r.Check(t.On); c != nil && t.Verb == guide.Measure {
			k.ways = m.waysOfCheck(c)
		} else {
			k.ways = m.waysOfItem(m.itemAt[t.On], t.Verb)
		}
		m.anyBefore = m.anyBefore || t.Before
		m.tasks = append(m.tasks, k)
	}
}

func (m *machine) waysOfItem(i int, verb guide.Verb) []taskWay {
	var ways []taskWay
	it := &m.r.Items[i]
	for k := range it.Ways {
		if w := &it.Ways[k]; w.Do == verb {
			a := m.wayOf(w, it.Cautions)
			a.out = m.effort(w.Out, w.People)
			m.consume(&a.out, w.Uses)
			a.out.risk = m.risk(w.Risks)
			ways = append(ways, taskWay{it.ID, k, a})
		}
	}
	return ways
}

// waysOfCheck returns the ways of a check: its own, else those of its point,
// else one that asks for nothing of its own.
func (m *machine) waysOfCheck(c *guide.Check) []taskWay {
	var ways []taskWay
	for k := range c.Ways {
		if w := &c.Ways[k]; w.Do == guide.Measure {
			ways = append(ways, m.checkWay(c, w, c.ID, k, nil))
		}
	}
	if len(ways) > 0 {
		return ways
	}
	if c.Point == "" {
		return []taskWay{m.checkWay(c, &guide.Way{Do: guide.Measure}, c.ID, none, nil)}
	}
	it := m.r.Item(c.Point)
	if it == nil {
		return nil
	}
	for k := range it.Ways {
		if w := &it.Ways[k]; w.Do == guide.Measure {
			ways = append(ways, m.checkWay(c, w, it.ID, k, it.Cautions))
		}
	}
	return ways
}

// checkWay adds to a way what the check itself asks for.
func (m *machine) checkWay(c *guide.Check, way *guide.Way, owner guide.ID, index int, cautions []guide.ID) taskWay {
	w := *way
	w.Tools = slices.Concat(w.Tools, c.Instrument)
	w.With = slices.Concat(w.With, c.With)
	a := m.wayOf(&w, slices.Concat(cautions, c.Cautions))
	a.all = a.all || c.Closed
	a.out = m.effort(w.Out, w.People)
	extra := m.effort(c.Minutes, w.People)
	a.out.clock += extra.clock
	a.out.labour += extra.labour
	m.consume(&a.out, w.Uses)
	a.out.risk = m.risk(w.Risks)
	return taskWay{owner, index, a}
}
