package access

import "slices"

// wants says what may still be of use on the way from a state to the end.
type wants struct {
	w *machine

	away, off []bool // by item: something may need it out of the way
	on        []bool // by item: something may need it fitted before the end
	allOn     bool
	back      []bool // as on, also what only the end and the proofs need
	backAll   bool
	values    [][]bool // by condition and value: something may need it
	others    [][]bool // by condition and value: something may need another one
	named     []bool   // by condition: something may need something of it
	active    []level  // by condition: whether its changes may be of use
	opened    []bool   // by item: its ways have been looked into

	must      []bool // by item: every way to the end needs it out of the way
	mustOff   []bool
	now       state
	mustValue []int32
	queue     []int32
	condQueue []int32
	mustQueue []int32
	mustConds []int32
	insisted  [][]bool // by condition and value: already taken in
}

// level says who may want a condition changed.
type level int8

const (
	idle level = iota
	late       // only the end of the visit and the proofs, when every item is back
	soon
)

func newWants(w *machine) *wants {
	n, c := w.layout.items, w.layout.conds
	v := &wants{
		w: w, away: make([]bool, n), off: make([]bool, n), on: make([]bool, n), back: make([]bool, n), opened: make([]bool, n), must: make([]bool, n), mustOff: make([]bool, n),
		values: make([][]bool, c), insisted: make([][]bool, c), others: make([][]bool, c), named: make([]bool, c), active: make([]level, c), mustValue: make([]int32, c),
	}
	for i := range c {
		v.insisted[i] = make([]bool, len(w.model.conds[i].values))
		v.values[i] = make([]bool, len(w.model.conds[i].values))
		v.others[i] = make([]bool, len(w.model.conds[i].values))
	}
	return v
}

func (v *wants) reset() {
	clear(v.away)
	clear(v.off)
	clear(v.on)
	clear(v.back)
	clear(v.opened)
	clear(v.must)
	clear(v.mustOff)
	clear(v.named)
	clear(v.active)
	for i := range v.values {
		clear(v.values[i])
		clear(v.others[i])
		clear(v.insisted[i])
		v.mustValue[i] = none
	}
	v.allOn, v.backAll = false, false
	v.queue, v.condQueue, v.mustQueue, v.mustConds = v.queue[:0], v.condQueue[:0], v.mustQueue[:0], v.mustConds[:0]
}

// look computes everything for the state s.
func (v *wants) look(s state) {
	v.reset()
	v.now = s
	w := v.w
	for t := range int32(w.layout.tasks) {
		if w.done(s, t) {
			continue
		}
		k := &w.model.tasks[t]
		for _, n := range k.ways {
			v.want(&w.ways[n].terms, levelOf(k.proof))
		}
		if len(k.ways) == 1 {
			v.insist(&w.ways[k.ways[0]].terms)
		}
	}
	for i := range w.layout.items {
		v.lookAtStack(s, int32(i))
	}
	for c := range w.model.conds {
		k := &w.model.conds[c]
		x := s[w.condAt+c]
		if x < 0 {
			v.open(int32(c), late)
		}
		if k.end != none && x != k.end {
			v.open(int32(c), late)
		}
		if x >= 0 {
			v.want(&terms{reqs: k.demand[x].reqs}, soon)
		}
	}
	for v.drain(); v.openConflicts(s); {
		v.drain()
	}
	v.drainMust(s)
}

// openConflicts opens the conditions whose present value demands what something
// else may want otherwise: leaving the value can be of use.
func (v *wants) openConflicts(s state) bool {
	opened := false
	for _, c := range v.w.demanding {
		if x := v.w.value(s, c); x >= 0 && v.active[c] < soon && v.conflicts(&v.w.model.conds[c].demand[x]) {
			v.open(c, soon)
			opened = true
		}
	}
	return opened
}

func (v *wants) conflicts(t *terms) bool {
	for _, r := range t.reqs {
		if r.cond != none && v.active[r.cond] > idle {
			return true
		}
	}
	for _, i := range t.fitted {
		if v.opened[i] || len(v.w.model.items[i].taken) > 0 {
			return true
		}
	}
	return t.all && slices.Contains(v.opened, true)
}

// lookAtStack takes in what the way back of an item needs.
func (v *wants) lookAtStack(s state, i int32) {
	w := v.w
	switch code := s[i]; {
	case code == standsFound:
		for _, n := range w.model.items[i].back {
			v.want(&w.ways[n].terms, soon)
		}
	case code >= firstWay:
		v.want(&w.ways[w.topWay(s, i)].terms, soon)
		if low := w.lowWay(s, i); low != none {
			v.want(&w.ways[low].terms, soon)
		}
	}
}

func levelOf(proof bool) level {
	if proof {
		return late
	}
	return soon
}

// want takes in terms that may have to be met. What is wanted late only needs
// no item fitted that would not be back by then.
func (v *wants) want(t *terms, l level) {
	for _, n := range t.needs {
		v.away[n.item] = true
		v.off[n.item] = v.off[n.item] || n.off
		v.openItem(n.item)
	}
	for _, r := range t.reqs {
		if r.cond != none {
			v.wantValue(r, l)
		}
	}
	v.backAll = v.backAll || t.all
	for _, i := range t.fitted {
		v.back[i] = true
		v.on[i] = v.on[i] || l == soon
	}
	v.allOn = v.allOn || t.all && l == soon
}

// wantValue takes in a requirement. A condition whose value is the only one
// wanted, and its end, need not be changed at all.
func (v *wants) wantValue(r req, l level) {
	v.named[r.cond] = true
	x := v.w.value(v.now, r.cond)
	if x < 0 || (x == r.value) == r.not {
		v.open(r.cond, l)
	}
	switch {
	case r.value == none:
	case r.not:
		v.others[r.cond][r.value] = true
	default:
		v.values[r.cond][r.value] = true
	}
}

func (v *wants) openItem(i int32) {
	if !v.opened[i] {
		v.opened[i] = true
		v.queue = append(v.queue, i)
	}
}

func (v *wants) open(c int32, l level) {
	if v.active[c] < l {
		v.active[c] = l
		v.condQueue = append(v.condQueue, c)
	}
}

func (v *wants) drain() {
	w := v.w
	for len(v.queue)+len(v.condQueue) > 0 {
		if n := len(v.queue) - 1; n >= 0 {
			i := v.queue[n]
			v.queue = v.queue[:n]
			v.openWays(i)
			continue
		}
		n := len(v.condQueue) - 1
		c := &w.model.conds[v.condQueue[n]]
		v.condQueue = v.condQueue[:n]
		for _, k := range c.changes {
			v.want(&w.changes[k].terms, soon)
		}
		for x := range c.demand {
			v.want(&c.demand[x], soon)
		}
	}
}

func (v *wants) openWays(i int32) {
	w := v.w
	for _, n := range w.model.items[i].clear {
		y := &w.ways[n]
		v.want(&y.terms, soon)
		for _, o := range y.together {
			if w.model.items[o].demands {
				v.away[o] = true
				v.openItem(o)
			}
		}
	}
	for _, n := range w.model.items[i].taken {
		v.want(&w.ways[n].terms, soon)
		v.openItem(w.ways[n].item)
	}
	for _, n := range w.model.items[i].back {
		v.want(&w.ways[n].terms, soon)
	}
}

// insist takes in terms that have to be met on every way to the end.
func (v *wants) insist(t *terms) {
	for _, n := range t.needs {
		if !v.must[n.item] || n.off && !v.mustOff[n.item] {
			v.must[n.item] = true
			v.mustOff[n.item] = v.mustOff[n.item] || n.off
			v.mustQueue = append(v.mustQueue, n.item)
		}
	}
	for _, r := range t.reqs {
		if r.cond != none && !r.not && r.value != none && !v.insisted[r.cond][r.value] {
			v.insisted[r.cond][r.value] = true
			v.mustValue[r.cond] = r.value
			v.mustConds = append(v.mustConds, r.cond)
		}
	}
}

// insistOnValue takes in what the only change to a value that has to come
// about asks for.
func (v *wants) insistOnValue(c int32) {
	k := &v.w.model.conds[c]
	value := v.mustValue[c]
	if v.w.value(v.now, c) == value || v.w.value(v.now, c) < 0 {
		return
	}
	only := none
	for _, n := range k.changes {
		if v.w.changes[n].to != value {
			continue
		}
		if only != none {
			return
		}
		only = n
	}
	if only != none {
		v.insist(&v.w.changes[only].terms)
		v.insist(&terms{reqs: k.demand[value].reqs})
	}
}

func (v *wants) drainMust(s state) {
	for len(v.mustQueue)+len(v.mustConds) > 0 {
		if n := len(v.mustConds) - 1; n >= 0 {
			c := v.mustConds[n]
			v.mustConds = v.mustConds[:n]
			v.insistOnValue(c)
			continue
		}
		n := len(v.mustQueue) - 1
		i := v.mustQueue[n]
		v.mustQueue = v.mustQueue[:n]
		if way := v.onlyWay(i); way != none && s[i] == standsOn {
			v.insist(&v.w.ways[way].terms)
		}
	}
}

// onlyWay returns the one way by which the item can serve what has to be done
// with it, or none when there are several.
func (v *wants) onlyWay(i int32) int32 {
	only := none
	if len(v.w.model.items[i].taken) > 0 {
		return none
	}
	for _, n := range v.w.model.items[i].clear {
		if v.mustOff[i] && !v.w.ways[n].takesOff {
			continue
		}
		if only != none {
			return none
		}
		only = n
	}
	return only
}
