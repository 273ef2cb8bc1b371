package access

import (
	"cmp"
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
)

// router turns plans from a state into moves.
type router struct {
	m       *Moves
	from    moment
	lim     Limits
	stopped bool // not everything is known
}

// moves prices the only task of the model: by the best visit, then by every
// other way of the task.
func (r *router) moves(m *model) []Move {
	m.settle = true
	first, ok := r.route(m, r.lim)
	if !ok {
		return nil
	}
	list := []Move{first.Move}
	kept := []routed{first}
	var others []routed
	lim := Limits{Stop: r.lim.Stop, Nodes: max(1, r.lim.Nodes/otherShare)}
	for _, n := range m.tasks[0].ways {
		if int(m.ways[n].index) == first.Way {
			continue
		}
		cut := m.cut(func(o int32) bool { return o == n || m.ways[o].task == none }, every)
		if other, ok := r.route(cut, lim); ok {
			others = append(others, other)
		}
	}
	slices.SortStableFunc(others, func(a, b routed) int {
		return cmp.Or(cmp.Compare(a.Cost.Objective+a.Rest, b.Cost.Objective+b.Rest), cmp.Compare(a.Way, b.Way))
	})
	for _, o := range others {
		if !slices.ContainsFunc(kept, func(k routed) bool { return k.dominates(&o) }) {
			kept, list = append(kept, o), append(list, o.Move)
		}
	}
	return list
}

// routed is a move with the state it leads to.
type routed struct {
	Move
	after moment
}

// dominates reports whether the other move is at least as dear and leaves no
// less open: everything is as after this one, apart from items that have been
// cleared besides.
func (k *routed) dominates(o *routed) bool {
	if o.Cost.Objective < k.Cost.Objective || k.after.place != o.after.place || k.after.tool != o.after.tool ||
		!slices.Equal(k.after.conds, o.after.conds) || !slices.Equal(k.after.hired, o.after.hired) {
		return false
	}
	for _, x := range k.after.items {
		if !slices.Contains(o.after.items, x) {
			return false
		}
	}
	return true
}

// stubborn is how many times more states are looked at before a task is given
// up that nobody has proved to be impossible.
const stubborn = 100

// route solves the model and cuts the best visit off after the task.
func (r *router) route(m *model, lim Limits) (routed, bool) {
	o := solve(m, lim)
	if o.outcome() == plan.Limit && !stopped(lim.Stop) {
		lim.Nodes *= stubborn
		o = solve(m, lim)
	}
	r.stopped = r.stopped || o.outcome() != plan.Optimal && stopped(r.lim.Stop)
	if o.cost >= far {
		return routed{}, false
	}
	w := newMachine(m)
	acts, n := w.upToTask(o.acts)
	out := routed{}
	end := r.write(&out.Move, w, acts[:n])
	out.Way, out.Rest, out.Proved = int(m.ways[acts[n-1].way].index), o.cost-out.Cost.Objective, o.outcome() == plan.Optimal
	out.after = m.moment(end, r.from)
	var ok bool
	out.After, ok = r.m.meet(out.after)
	return out, ok
}

// close solves the model, which has no tasks.
func (r *router) close(m *model) (Move, bool) {
	o := solve(m, r.lim)
	if o.outcome() == plan.Limit && !stopped(r.lim.Stop) {
		o = solve(m, Limits{Stop: r.lim.Stop, Nodes: stubborn * r.lim.Nodes})
	}
	r.stopped = o.outcome() != plan.Optimal && stopped(r.lim.Stop)
	out := Move{Way: -1, Proved: o.outcome() == plan.Optimal}
	if o.cost >= far {
		return out, false
	}
	w := newMachine(m)
	end := r.write(&out, w, w.arrange(o.acts, r.lim.Stop))
	var ok bool
	out.After, ok = r.m.meet(m.moment(end, r.from))
	return out, ok
}

// write fills in steps and cost and returns the state at the end.
func (r *router) write(out *Move, w *machine, acts []act) state {
	t := w.newWriter()
	t.place, t.tool = indexOf(w.places, r.from.place), indexOf(w.tools, r.from.tool)
	for _, a := range acts {
		t.act(a)
	}
	out.Steps, out.Cost = t.finish()
	return t.s
}

func indexOf(list []guide.ID, id guide.ID) int32 {
	if id == "" {
		return none
	}
	return int32(slices.Index(list, id))
}

// quickBound bounds the visit of the model without searching.
func quickBound(m *model, lim Limits) (int64, bool) {
	o := newOptimizer(m, lim)
	if err := o.relax(); err != nil {
		return 0, true
	}
	if o.impossible {
		return 0, false
	}
	if o.y != o.x {
		o.boundSetups()
	}
	return max(0, o.bound), true
}

// upToTask moves what the task can do without from before it to after it, as
// far as the visit costs no more, and returns the acts with the number of
// those up to and including the task.
func (w *machine) upToTask(acts []act) ([]act, int) {
	at := slices.IndexFunc(acts, func(a act) bool { return a.kind == doTask })
	cost, ok := w.replay(acts)
	if !ok {
		return acts, at + 1
	}
	idle := w.idleBefore(acts[:at+1])
	early, late := make([]act, 0, at+1), []act(nil)
	for i, a := range acts[:at] {
		if idle[i] {
			late = append(late, a)
		} else {
			early = append(early, a)
		}
	}
	if len(late) == 0 {
		return acts, at + 1
	}
	early = append(early, acts[at])
	if all := slices.Concat(early, late, acts[at+1:]); w.costs(all, cost) {
		return all, len(early)
	}
	return w.oneByOne(acts, at, idle, cost)
}

// costs reports whether the acts lead to the end at no more than the cost.
func (w *machine) costs(acts []act, most int64) bool {
	cost, ok := w.replay(acts)
	return ok && cost <= most
}

// mostPostponed limits how many acts are tried one by one.
const mostPostponed = 60

// oneByOne moves idle acts behind the task singly, the last one first.
func (w *machine) oneByOne(acts []act, at int, idle []bool, cost int64) ([]act, int) {
	tried := 0
	for i := at - 1; i >= 0 && tried < mostPostponed; i-- {
		if !idle[i] {
			continue
		}
		tried++
		moved := slices.Insert(slices.Delete(slices.Clone(acts), i, i+1), at, acts[i])
		if w.costs(moved, cost) {
			acts, at = moved, at-1
		}
	}
	return acts, at + 1
}

// idleBefore marks the acts that bring about nothing that the last one, a
// task, asks for, nor what they themselves ask for in turn.
func (w *machine) idleBefore(acts []act) []bool {
	u := &needed{w: w, items: make([]bool, w.layout.items), conds: make([]bool, w.layout.conds)}
	idle := make([]bool, len(acts))
	for i := len(acts) - 1; i >= 0; i-- {
		if idle[i] = i < len(acts)-1 && !u.serves(acts[i]); !idle[i] {
			u.add(acts[i])
		}
	}
	return idle
}

// needed is what acts ask for, whatever the standing or value.
type needed struct {
	w     *machine
	items []bool
	conds []bool
	all   bool
}

func (u *needed) serves(a act) bool {
	switch a.kind {
	case doClear, doRefit:
		y := &u.w.ways[a.way]
		return u.all || u.items[a.item] || slices.ContainsFunc(y.together, func(i int32) bool { return u.items[i] })
	case doTask:
		return true
	}
	return u.conds[a.cond]
}

func (u *needed) add(a act) {
	switch a.kind {
	case doChange:
		h := &u.w.changes[a.chg]
		u.terms(&h.terms)
		u.conds[h.cond] = true
		u.terms(&u.w.model.conds[h.cond].demand[h.to])
	case doAwait:
		u.conds[a.cond] = true
	case doTask:
		y := &u.w.ways[a.way]
		u.terms(&y.terms)
		if k := &u.w.model.tasks[y.task]; k.proof || k.before {
			u.all = true
		}
	default:
		u.terms(&u.w.ways[a.way].terms)
		u.items[a.item] = true
	}
}

func (u *needed) terms(t *terms) {
	for _, n := range t.needs {
		u.items[n.item] = true
	}
	for _, i := range t.fitted {
		u.items[i] = true
	}
	for _, r := range t.reqs {
		if r.cond != none {
			u.conds[r.cond] = true
		}
	}
	u.all = u.all || t.all
}
