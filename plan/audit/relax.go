package audit

import (
	"slices"

	"elbowroom/guide"
)

// reach is what can be brought about when nothing is ever lost again: once on,
// aside, off, a value or done, for ever. It holds at least everything that any
// visit can bring about, so what is out of reach here is out of reach for good.
type reach struct {
	m       *machine
	without []bool // by slot: acts that may not be used

	on, clear, off []bool
	value          [][]bool
	done           []bool
	usable         []bool // by slot: acts that could be done at some moment
	still          bool   // nothing may be cleared or refitted yet

	after  *followers
	queue  []int // conditions, items and tasks to be looked at
	queued []bool
}

// followers lists who may go further once something has been brought about:
// the conditions, items and tasks that ask for an item or a condition in any
// of their ways or changes. They are numbered in this order.
type followers struct {
	items, tasks   int     // numbers of the first item and task
	byItem, byCond [][]int // by item and condition
	byAll          []int   // they ask for every item
}

func (m *machine) followers() *followers {
	f := &followers{items: len(m.conds), tasks: len(m.conds) + len(m.items), byItem: make([][]int, len(m.items)), byCond: make([][]int, len(m.conds))}
	for i := range m.conds {
		c := &m.conds[i]
		for k := range c.changes {
			f.add(i, c.changes[k].act)
		}
		for v := range c.values {
			f.addAsked(i, c.values[v].with, c.values[v].fitted, c.values[v].all)
		}
		f.byCond[i] = append(f.byCond[i], i)
	}
	for i := range m.items {
		for _, a := range m.items[i].ways {
			if a != nil {
				f.add(f.items+i, a)
			}
		}
		f.byItem[i] = append(f.byItem[i], f.items+i)
	}
	for k := range m.tasks {
		for _, w := range m.tasks[k].ways {
			f.add(f.tasks+k, w.act)
		}
	}
	return f
}

func (f *followers) add(who int, a *act) {
	for _, n := range a.needs {
		f.byItem[n.item] = append(f.byItem[n.item], who)
	}
	for _, with := range a.together {
		f.byItem[with] = append(f.byItem[with], who)
	}
	f.addAsked(who, a.with, a.fitted, a.all)
}

func (f *followers) addAsked(who int, with []requirement, fitted []int, all bool) {
	for _, q := range with {
		if q.cond >= 0 {
			f.byCond[q.cond] = append(f.byCond[q.cond], who)
		}
	}
	for _, i := range fitted {
		f.byItem[i] = append(f.byItem[i], who)
	}
	if all {
		f.byAll = append(f.byAll, who)
	}
}

// key names an act of a landmark by index.
type key struct {
	sort  actSort
	owner int      // item, condition or gear
	name  guide.ID // owner of a task's way
	index int
}

type actSort int

const (
	byClearing actSort = iota
	byReturning
	byChanging
	byWorking
	byHiring
)

// slots returns where the acts of a key are noted: a task's way has one slot
// for every task that may use it.
func (m *machine) slots(k key) []int {
	switch k.sort {
	case byClearing:
		return []int{m.items[k.owner].ways[k.index].slot}
	case byReturning:
		return []int{m.items[k.owner].ways[k.index].slot + 1}
	case byChanging:
		return []int{m.conds[k.owner].changes[k.index].act.slot}
	case byHiring:
		return []int{m.gear[k.owner].slot}
	}
	var list []int
	for _, t := range m.tasks {
		for _, w := range t.ways {
			if w.owner == k.name && w.index == k.index {
				list = append(list, w.act.slot)
			}
		}
	}
	return list
}

// nextSlot hands out n slots in a row.
func (m *machine) nextSlot(n int) int {
	m.taken += n
	return m.taken - n
}

// newReach finds everything within reach without the given acts. Tasks that
// are wanted before anything is touched are reached with the items as found.
func (m *machine) newReach(without []int, after *followers) *reach {
	r := &reach{
		m: m, after: after, queued: make([]bool, len(m.conds)+len(m.items)+len(m.tasks)), without: make([]bool, m.taken), usable: make([]bool, m.taken),
		on: make([]bool, len(m.items)), clear: make([]bool, len(m.items)), off: make([]bool, len(m.items)),
		value: make([][]bool, len(m.conds)), done: make([]bool, len(m.tasks)),
	}
	for _, slot := range without {
		r.without[slot] = true
	}
	for i := range m.items {
		found := m.items[i].found
		r.on[i], r.clear[i], r.off[i] = found == "", found != "", found == guide.Off
	}
	for i := range m.conds {
		r.value[i] = make([]bool, len(m.conds[i].values))
		r.value[i][m.conds[i].start] = true
	}
	r.still = true
	r.grow()
	r.still = false
	r.grow()
	return r
}

// grow looks at everything once, and again at whoever follows what has been
// brought about, until nothing new comes of it.
func (r *reach) grow() {
	for who := range r.queued {
		r.look(who)
	}
	for head := 0; head < len(r.queue); head++ {
		who := r.queue[head]
		r.queued[who] = false
		switch {
		case who < r.after.items:
			r.growCondition(who)
		case who >= r.after.tasks:
			r.growTask(who - r.after.tasks)
		case !r.still:
			r.growItem(who - r.after.items)
		}
	}
	r.queue = r.queue[:0]
}

func (r *reach) look(who int) {
	if !r.queued[who] {
		r.queued[who] = true
		r.queue = append(r.queue, who)
	}
}

func (r *reach) lookAll(list []int) {
	for _, who := range list {
		r.look(who)
	}
}

// setItem notes a fact of an item.
func (r *reach) setItem(facts []bool, i int) {
	if facts[i] {
		return
	}
	facts[i] = true
	r.lookAll(r.after.byItem[i])
}

// setOn notes that an item that was found aside or off has been on.
func (r *reach) setOn(i int) {
	if !r.on[i] {
		r.setItem(r.on, i)
		r.lookAll(r.after.byAll)
		r.lookAtTasks() // a proof may be possible now
	}
}

func (r *reach) lookAtTasks() {
	for k := range r.m.tasks {
		if r.m.tasks[k].want.Proof || len(r.m.tasks[k].after) > 0 {
			r.look(r.after.tasks + k)
		}
	}
}

func (r *reach) growCondition(i int) {
	c := &r.m.conds[i]
	for k := range c.changes {
		ch := &c.changes[k]
		if ch.from < 0 || ch.to < 0 || !r.value[i][ch.from] || !r.can(ch.act.slot, ch.act) {
			continue
		}
		if r.bearable(i, ch.to) {
			r.setValue(i, ch.to)
		}
	}
}

func (r *reach) setValue(i, v int) {
	if !r.value[i][v] {
		r.value[i][v] = true
		r.lookAll(r.after.byCond[i])
	}
}

// bearable reports whether what a value demands is within reach.
func (r *reach) bearable(i, v int) bool {
	val := &r.m.conds[i].values[v]
	for _, q := range val.with {
		if q.cond == i && (q.value == v) == q.req.Not || q.cond != i && !r.met(q) {
			return false
		}
	}
	return r.fitted(val.fitted, val.all)
}

func (r *reach) growItem(i int) {
	it := &r.m.items[i]
	for _, a := range it.ways {
		if a == nil {
			continue
		}
		if r.on[i] && r.can(a.slot, a) {
			r.setItem(r.clear, i)
			if a.verb == guide.Off {
				r.setItem(r.off, i)
			}
			for _, with := range a.together {
				if r.on[with] {
					r.setItem(r.clear, with)
					r.setItem(r.off, with)
				}
			}
		}
		if it.found == a.verb && r.can(a.slot+1, a) {
			r.setOn(i)
		}
	}
}

func (r *reach) growTask(k int) {
	t := &r.m.tasks[k]
	if t.want.Before && !r.still || !r.allDone(t.after) || t.want.Proof && !r.provable() {
		return
	}
	for _, w := range t.ways {
		if r.can(w.act.slot, w.act) && !r.done[k] {
			r.done[k] = true
			r.lookAtTasks()
		}
	}
}

func (r *reach) allDone(tasks []int) bool {
	for _, k := range tasks {
		if !r.done[k] {
			return false
		}
	}
	return true
}

func (r *reach) provable() bool {
	for k := range r.m.tasks {
		if !r.m.tasks[k].want.Proof && !r.done[k] {
			return false
		}
	}
	for i := range r.m.items {
		if !r.m.items[i].leave && !r.on[i] {
			return false
		}
	}
	return true
}

// can reports whether an act may be used and finds what it asks for.
func (r *reach) can(slot int, a *act) bool {
	if r.without[slot] || len(a.closed) > 0 {
		return false
	}
	for _, g := range a.hire {
		if r.without[r.m.gear[g].slot] {
			return false
		}
	}
	for _, n := range a.needs {
		if !r.clear[n.item] || n.off && !r.off[n.item] {
			return false
		}
	}
	for _, q := range a.with {
		if !r.met(q) {
			return false
		}
	}
	if !r.fitted(a.fitted, a.all) {
		return false
	}
	r.usable[slot] = true
	return true
}

func (r *reach) met(q requirement) bool {
	if q.cond < 0 {
		return false
	}
	for v, ok := range r.value[q.cond] {
		if ok && (v == q.value) != q.req.Not {
			return true
		}
	}
	return false
}

func (r *reach) fitted(items []int, all bool) bool {
	for _, i := range items {
		if !r.on[i] {
			return false
		}
	}
	return !all || !slices.Contains(r.on, false)
}

// goals reports whether the end of the visit is within reach.
func (r *reach) goals() bool {
	for _, ok := range r.done {
		if !ok {
			return false
		}
	}
	for i := range r.m.items {
		if !r.m.items[i].leave && !r.on[i] {
			return false
		}
	}
	for i := range r.m.conds {
		if end := r.m.conds[i].end; end >= 0 && !r.value[i][end] {
			return false
		}
	}
	return true
}
