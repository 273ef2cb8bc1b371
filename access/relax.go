package access

import (
	"elbowroom/access/andor"
)

// relaxation is the problem of choice that is left when nothing is ever lost
// again. An operation stands for a clearing way with the price of its refit, a
// change of a condition with the price of the way back, a way of a task, the
// refit of an item that stands aside or off, the hire of a tool, or the visit
// of a place. Its optimum plus base is a lower bound for every plan.
type relaxation struct {
	w      *machine
	setups bool // places and tools count
	costs  pricing
	fill   *filling // nil for the plain relaxation
	facts  factMap
	prob   andor.Problem
	ops    []opRef
	clear  []int32 // by way: operation or none
	refit  []int32 // by way
	back   []int32 // by way: refit of an item found so
	change []int32 // by change
	do     []int32 // by way
	unit   int64   // objective of one unit of cost in prob
	userAt []int32 // by fact: where its users begin; made by index
	user   []int32 // operations that need a fact, as often as they name it
	solver *andor.Solver
}

// opRef says what an operation stands for.
type opRef struct {
	kind opKind
	n    int32 // way, change, hire, place or tool
}

type opKind int8

const (
	opClear opKind = iota
	opRefit
	opBack
	opChange
	opTask
	opHire
	opGo
	opTake
)

// pricing says what the relaxation charges.
type pricing struct {
	out, back []int64   // by way
	change    []int64   // by change
	toEnd     [][]int64 // by condition and value: the cheapest way to the end
	least     []int64   // by task: its cheapest way
}

// plainPricing charges what things cost.
func (w *machine) plainPricing() pricing {
	p := pricing{out: make([]int64, len(w.ways)), back: make([]int64, len(w.ways)), change: make([]int64, len(w.changes))}
	for n := range w.ways {
		p.out[n], p.back[n] = w.ways[n].out.objective, w.ways[n].back.objective
	}
	for k := range w.changes {
		p.change[k] = w.changes[k].cost.objective
	}
	p.finish(w)
	return p
}

// finish computes the cheapest ways of tasks and of conditions to their end.
func (p *pricing) finish(w *machine) {
	p.toEnd, p.least = nil, make([]int64, w.layout.tasks)
	for c := range w.model.conds {
		p.toEnd = append(p.toEnd, w.model.backOf(int32(c), p.change))
	}
	for t := range p.least {
		p.least[t] = far
		for _, n := range w.model.tasks[t].ways {
			p.least[t] = min(p.least[t], p.out[n])
		}
		if p.least[t] == far {
			p.least[t] = 0
		}
	}
}

// factMap numbers the facts.
type factMap struct {
	value, task, hire, place, tool, stack, found, size int32
	valueAt                                            []int32 // by condition
}

// Facts of an item, at perItem*item: it has stood aside or off, it has stood
// off, it has been on, it has been on or aside so that an off way can start.
const (
	factAway = int32(iota)
	factOff
	factOn
	factReady
	perItem
)

func (w *machine) factMap() factMap {
	f := factMap{value: perItem * int32(w.layout.items)}
	n := f.value
	for i := range w.model.conds {
		f.valueAt = append(f.valueAt, n)
		n += 2 * int32(len(w.model.conds[i].values))
	}
	f.task = n
	f.hire = f.task + int32(w.layout.tasks)
	f.place = f.hire + int32(w.layout.hires)
	f.tool = f.place + int32(len(w.places))
	f.stack = f.tool + int32(len(w.tools))
	f.found = f.stack + int32(len(w.ways))
	f.size = f.found + int32(w.layout.items)
	return f
}

// has is the fact that condition c has had value v; not that it has had
// another one.
func (f *factMap) has(c, v int32) int32 { return f.valueAt[c] + 2*v }
func (f *factMap) not(c, v int32) int32 { return f.valueAt[c] + 2*v + 1 }

// relax builds the relaxation; with setups it also charges the first visit of
// every place and the first use of every tool.
func (w *machine) relax(setups bool) (*relaxation, error) {
	return w.relaxPriced(setups, w.plainPricing())
}

// relaxPriced builds the relaxation with other costs than the plain ones.
func (w *machine) relaxPriced(setups bool, costs pricing) (*relaxation, error) {
	x := &relaxation{w: w, setups: setups && (w.move > 0 || w.swap > 0), costs: costs, facts: w.factMap()}
	x.prob.Facts = int(x.facts.size)
	x.addWays()
	x.addChanges()
	x.addExtras()
	x.rescale()
	var err error
	x.solver, err = andor.NewSolver(&x.prob)
	return x, err
}

// add stores an operation and returns its number.
func (x *relaxation) add(kind opKind, n int32, cost int64, pre, add []int32) int32 {
	x.prob.Ops = append(x.prob.Ops, andor.Op{Cost: cost, Pre: pre, Add: add})
	x.ops = append(x.ops, opRef{kind, n})
	return int32(len(x.ops) - 1)
}

func (x *relaxation) addWays() {
	w := x.w
	x.clear, x.refit, x.back, x.do = noneList(len(w.ways)), noneList(len(w.ways)), noneList(len(w.ways)), noneList(len(w.ways))
	for n := range w.ways {
		y := &w.ways[n]
		if y.task != none {
			x.addTaskWay(int32(n))
		} else {
			x.addClearing(int32(n))
		}
	}
}

func noneList(n int) []int32 {
	list := make([]int32, n)
	for i := range list {
		list[i] = none
	}
	return list
}

func (x *relaxation) addClearing(n int32) {
	w := x.w
	y := &w.ways[n]
	pre, ok := x.asks(&y.terms, y.hires, y.place, y.tool)
	if !ok {
		return
	}
	start := perItem*y.item + factOn
	add := []int32{perItem*y.item + factAway}
	if y.takesOff {
		start = perItem*y.item + factReady
		add = append(add, perItem*y.item+factOff)
	}
	returned := []int32{perItem*y.item + factOn, perItem*y.item + factReady}
	for _, i := range y.together {
		add = append(add, perItem*i+factAway, perItem*i+factOff)
		returned = append(returned, perItem*i+factOn, perItem*i+factReady)
	}
	back, later := int64(0), x.costs.back[n]
	if w.mustReturn[y.item] {
		back, later = later, 0
	}
	x.clear[n] = x.add(opClear, n, x.costs.out[n]+back, appended(pre, start), add)
	x.refit[n] = x.add(opRefit, n, later, appended(pre, x.facts.stack+n), returned)
	if it := &w.model.items[y.item]; it.found == standingOf(y.verb) {
		x.back[n] = x.add(opBack, n, x.costs.back[n], appended(pre, x.facts.found+y.item), returned[:2])
	}
}

func appended(list []int32, more ...int32) []int32 {
	return append(append(make([]int32, 0, len(list)+len(more)), list...), more...)
}

func (x *relaxation) addTaskWay(n int32) {
	w := x.w
	y := &w.ways[n]
	k := &w.model.tasks[y.task]
	if k.before && !w.allowsAsFound(&y.terms) {
		return
	}
	pre, ok := x.asks(&y.terms, y.hires, y.place, y.tool)
	if !ok {
		return
	}
	for _, a := range k.after {
		pre = append(pre, x.facts.task+a)
	}
	if k.proof {
		for t := range w.model.tasks {
			if !w.model.tasks[t].proof {
				pre = append(pre, x.facts.task+int32(t))
			}
		}
		for i := range w.layout.items {
			if w.mustReturn[i] {
				pre = append(pre, perItem*int32(i)+factOn)
			}
		}
	}
	x.do[n] = x.add(opTask, n, x.costs.out[n]-x.costs.least[y.task], pre, []int32{x.facts.task + y.task})
}

// allowsAsFound judges needs and fitted items while every item stands as
// found.
func (w *machine) allowsAsFound(t *terms) bool {
	s := w.first()
	return w.allows(s, &terms{needs: t.needs, fitted: t.fitted, all: t.all})
}

// asks turns terms into preconditions; ok is false when they can never hold.
func (x *relaxation) asks(t *terms, hires []int32, place, tool int32) (pre []int32, ok bool) {
	w := x.w
	pre = make([]int32, 0, len(t.needs)+len(t.reqs)+len(t.fitted)+len(hires)+6)
	for _, n := range t.needs {
		if n.off {
			pre = append(pre, perItem*n.item+factOff)
		} else {
			pre = append(pre, perItem*n.item+factAway)
		}
	}
	if pre, ok = x.asksOf(pre, t); !ok {
		return nil, false
	}
	for _, h := range hires {
		pre = append(pre, x.facts.hire+h)
	}
	if x.setups && place != none && w.move > 0 {
		pre = append(pre, x.facts.place+place)
	}
	if x.setups && tool != none && w.swap > 0 {
		pre = append(pre, x.facts.tool+tool)
	}
	return pre, true
}

// asksOf adds the conditions and fitted items of t.
func (x *relaxation) asksOf(pre []int32, t *terms) ([]int32, bool) {
	for _, r := range t.reqs {
		switch {
		case r.cond == none || r.value == none && !r.not:
			return nil, false
		case r.value == none:
		case r.not:
			pre = append(pre, x.facts.not(r.cond, r.value))
		default:
			pre = append(pre, x.facts.has(r.cond, r.value))
		}
	}
	for _, i := range t.fitted {
		pre = append(pre, perItem*i+factOn)
	}
	if t.all {
		for i := range x.w.layout.items {
			pre = append(pre, perItem*int32(i)+factOn)
		}
	}
	return pre, true
}

func (x *relaxation) addChanges() {
	w := x.w
	x.change = noneList(len(w.changes))
	for k := range w.changes {
		h := &w.changes[k]
		c := &w.model.conds[h.cond]
		if c.back[h.to] >= far || c.back[h.from] >= far {
			continue
		}
		pre, ok := x.asks(&h.terms, h.hires, h.place, h.tool)
		if !ok {
			continue
		}
		if pre, ok = x.asksOf(pre, &terms{reqs: othersThan(c.demand[h.to].reqs, h), fitted: c.demand[h.to].fitted, all: c.demand[h.to].all}); !ok {
			continue
		}
		add := x.gained(nil, h.cond, h.to)
		cost := x.costs.change[k] + x.costs.toEnd[h.cond][h.to] - x.costs.toEnd[h.cond][h.from]
		x.change[k] = x.add(opChange, int32(k), cost, appended(pre, x.facts.has(h.cond, h.from)), add)
	}
}

// othersThan leaves out what the change itself brings about.
func othersThan(reqs []req, h *change) []req {
	var list []req
	for _, r := range reqs {
		if r.cond == h.cond && (r.value == h.to) != r.not {
			continue
		}
		list = append(list, r)
	}
	return list
}

// gained adds the facts of condition c having value v.
func (x *relaxation) gained(facts []int32, c, v int32) []int32 {
	facts = append(facts, x.facts.has(c, v))
	for u := range x.w.model.conds[c].values {
		if int32(u) != v {
			facts = append(facts, x.facts.not(c, int32(u)))
		}
	}
	return facts
}

func (x *relaxation) addExtras() {
	w := x.w
	for h := range w.model.hires {
		x.add(opHire, int32(h), w.model.hires[h].objective, nil, []int32{x.facts.hire + int32(h)})
	}
	if !x.setups {
		return
	}
	for p := range w.places {
		x.add(opGo, int32(p), w.move, nil, []int32{x.facts.place + int32(p)})
	}
	for t := range w.tools {
		x.add(opTake, int32(t), w.swap, nil, []int32{x.facts.tool + int32(t)})
	}
}

// rescale divides all costs by their greatest common divisor and, should the
// sum still be too large, rounds them down to a coarser unit: a bound stays a
// bound.
func (x *relaxation) rescale() {
	g := int64(0)
	for i := range x.prob.Ops {
		g = gcd(g, x.prob.Ops[i].Cost)
	}
	x.unit = max(g, 1)
	for !x.fits() {
		x.unit *= 2
	}
	for i := range x.prob.Ops {
		x.prob.Ops[i].Cost /= x.unit
	}
}

func (x *relaxation) fits() bool {
	sum := int64(0)
	for i := range x.prob.Ops {
		sum += x.prob.Ops[i].Cost / x.unit
		if sum > andor.MaxTotalCost {
			return false
		}
	}
	return true
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
