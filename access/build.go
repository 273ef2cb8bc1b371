package access

import "slices"

// builder makes a plan straight from a choice of operations, without
// searching: for each task it brings about what the task asks for, in turn
// what that asks for, and at the end puts everything back in the reverse
// order. It is quick on machines of any size and may fail or find a plan that
// is not the best.
type builder struct {
	w      *machine
	stop   func() bool
	s      state
	acts   []act
	cost   int64
	needs  bool      // items before conditions
	clears [][]int32 // by item: chosen ways that clear it or take it along
	do     []int32   // by task: chosen way
	backs  []int32   // by item: chosen way back of an item found aside or off
	uses   []bool    // by change: chosen
	depth  int
	steps  int
	seen   []int32 // by item: round in which it was last put into a queue
	round  int32
}

// Limits of the builder: how deep one thing may be wanted for another, items
// out of the way not counted; how often conditions that exclude each other are
// tried; how many steps are taken for each way and change of the model.
const (
	buildDepth  = 40
	buildRounds = 4
	buildSteps  = 8
)

// build tries both orders of items and conditions and keeps a better plan.
func (o *optimizer) build(ops []int32, x *relaxation) {
	if len(ops) == 0 && len(o.m.tasks) > 0 {
		return
	}
	for _, needs := range []bool{false, true} {
		b := o.w.newBuilder(ops, x, needs, o.lim.Stop)
		if b.all() && b.cost < o.cost {
			o.cost, o.acts = b.cost, b.acts
		}
		if o.cost <= o.bound {
			return
		}
	}
}

func (w *machine) newBuilder(ops []int32, x *relaxation, needs bool, stop func() bool) *builder {
	b := &builder{
		w: w, stop: stop, s: w.first(), needs: needs, clears: make([][]int32, w.layout.items), do: noneList(w.layout.tasks),
		backs: noneList(w.layout.items), uses: make([]bool, len(w.changes)), seen: make([]int32, w.layout.items),
	}
	for _, n := range ops {
		switch r := x.ops[n]; r.kind {
		case opClear:
			y := &w.ways[r.n]
			b.clears[y.item] = append(b.clears[y.item], r.n)
			for _, i := range y.together {
				b.clears[i] = append(b.clears[i], r.n)
			}
		case opBack:
			b.backs[w.ways[r.n].item] = r.n
		case opTask:
			b.do[w.ways[r.n].task] = r.n
		case opChange:
			b.uses[r.n] = true
		}
	}
	return b
}

// all does the tasks and puts everything back.
func (b *builder) all() bool {
	for _, t := range b.order() {
		if !b.task(t) {
			return false
		}
	}
	return b.putBack() && b.w.atEnd(b.s)
}

// order lists the tasks that are not proofs, those before anything is touched
// first, each after those that it waits for, and then the proofs.
func (b *builder) order() []int32 {
	w := b.w
	var list []int32
	placed := make([]bool, w.layout.tasks)
	rank := func(t int32) int {
		switch k := &w.model.tasks[t]; {
		case k.before:
			return 0
		case k.proof:
			return 2
		}
		return 1
	}
	for range w.model.tasks {
		next := none
		for t := range int32(w.layout.tasks) {
			waits := slices.ContainsFunc(w.model.tasks[t].after, func(a int32) bool { return !placed[a] })
			if !placed[t] && !waits && (next == none || rank(t) < rank(next)) {
				next = t
			}
		}
		if next == none {
			break
		}
		placed[next] = true
		list = append(list, next)
	}
	return list
}

func (b *builder) task(t int32) bool {
	w, n := b.w, b.do[t]
	if n == none {
		return false
	}
	if w.model.tasks[t].proof && !b.itemsBack() {
		return false
	}
	return b.achieve(&w.ways[n].terms) && (!w.settle || b.settle()) && b.take(act{kind: doTask, way: n})
}

// settle awaits every change under way.
func (b *builder) settle() bool {
	for c := range int32(b.w.layout.conds) {
		if !b.await(c) {
			return false
		}
	}
	return true
}

func (b *builder) await(c int32) bool {
	v := b.w.value(b.s, c)
	return v >= 0 || b.take(act{kind: doAwait, cond: c, chg: -1 - v})
}

// take carries out an act.
func (b *builder) take(a act) bool {
	b.steps++
	if b.steps > buildSteps*(len(b.w.ways)+len(b.w.changes)+buildDepth) || b.steps > patience && b.steps%64 == 0 && stopped(b.stop) {
		return false
	}
	p, ok := b.w.step(b.s, a)
	b.cost += p.objective
	b.acts = append(b.acts, a)
	return ok
}

// achieve brings the terms about.
func (b *builder) achieve(t *terms) bool {
	if b.w.allows(b.s, t) {
		return true
	}
	if b.depth++; b.depth > buildDepth {
		return false
	}
	defer func() { b.depth-- }()
	for range buildRounds {
		first, second := b.values, b.items
		if b.needs {
			first, second = second, first
		}
		if !first(t) || !second(t) {
			return false
		}
		if b.w.allows(b.s, t) {
			return true
		}
	}
	return false
}

// items brings fitted items on and needed ones out of the way.
func (b *builder) items(t *terms) bool {
	if t.all {
		for i := range int32(b.w.layout.items) {
			if !b.on(i) {
				return false
			}
		}
	}
	for _, i := range t.fitted {
		if !b.on(i) {
			return false
		}
	}
	return b.outOfTheWay(t.needs)
}

// outOfTheWay clears the items by their chosen ways, what these need first.
// It uses no recursion for that: needs may be thousands deep.
func (b *builder) outOfTheWay(needs []need) bool {
	w := b.w
	var stack, order []need
	b.round++
	push := func(list []need) {
		for k := len(list) - 1; k >= 0; k-- {
			if st := w.stands(b.s, list[k].item); st == on || list[k].off && st != off {
				stack = append(stack, list[k])
			}
		}
	}
	for push(needs); len(stack) > 0; {
		n := stack[len(stack)-1]
		if b.seen[n.item] == b.round {
			stack = stack[:len(stack)-1]
			order = append(order, n) // again when it is wanted twice; by then it is done
			continue
		}
		b.seen[n.item] = b.round
		way := b.clearing(n)
		if way == none {
			return false
		}
		push(w.ways[way].needs)
	}
	for _, n := range order {
		if !b.clear(n) {
			return false
		}
	}
	return true
}

// clearing returns the way to bring the item out of the way: the first chosen
// one, else, for an item that was out of the way already when the choice was
// made, the cheapest of all; or none.
func (b *builder) clearing(n need) int32 {
	for _, way := range b.clears[n.item] {
		if b.serves(way, n) {
			return way
		}
	}
	best, least := none, far
	it := &b.w.model.items[n.item]
	for _, list := range [2][]int32{it.clear, it.taken} {
		for _, way := range list {
			y := &b.w.ways[way]
			if cost := y.out.objective + y.back.objective; cost < least && b.serves(way, n) {
				best, least = way, cost
			}
		}
	}
	return best
}

// serves reports whether the way brings the item to where it is needed from
// where it stands.
func (b *builder) serves(way int32, n need) bool {
	y := &b.w.ways[way]
	if y.item != n.item || y.takesOff {
		return true
	}
	return !n.off && b.w.stands(b.s, n.item) == on
}

func (b *builder) clear(n need) bool {
	w := b.w
	if st := w.stands(b.s, n.item); st != on && (!n.off || st == off) {
		return true
	}
	way := b.clearing(n)
	if way == none {
		return false
	}
	y := &w.ways[way]
	if b.s[n.item] == standsFound || y.item != n.item && w.stands(b.s, y.item) != on {
		return false // it would have to go back first
	}
	return b.achieve(&y.terms) && b.take(act{kind: doClear, way: way, item: y.item})
}

// on brings the item back on.
func (b *builder) on(i int32) bool {
	w := b.w
	for range 2 { // an item may be aside under being off
		code := b.s[i]
		n := w.topWay(b.s, i)
		switch {
		case code == standsOn:
			return true
		case code == standsFound:
			if n = b.backs[i]; n == none {
				n = w.cheapestBack(i)
			}
		case code < 0:
			i = w.ways[-1-code].item
			n = w.topWay(b.s, i)
		}
		if n == none {
			return false
		}
		if b.depth++; b.depth > buildDepth {
			return false
		}
		ok := b.achieve(&w.ways[n].terms) && b.take(act{kind: doRefit, way: n, item: i})
		if b.depth--; !ok {
			return false
		}
	}
	return b.s[i] == standsOn
}

// cheapestBack returns the cheapest way back of an item that was found aside
// or off, or none.
func (w *machine) cheapestBack(i int32) int32 {
	best := none
	for _, n := range w.model.items[i].back {
		if best == none || w.ways[n].back.objective < w.ways[best].back.objective {
			best = n
		}
	}
	return best
}

// values brings conditions to what the terms ask for.
func (b *builder) values(t *terms) bool {
	for _, r := range t.reqs {
		if !b.value(r) {
			return false
		}
	}
	return true
}

func (b *builder) value(r req) bool {
	w := b.w
	if r.cond == none || r.value == none && !r.not {
		return false
	}
	if w.meets(b.s, r) {
		return true
	}
	if b.depth++; b.depth > buildDepth {
		return false
	}
	defer func() { b.depth-- }()
	for range w.model.conds[r.cond].values {
		if !b.await(r.cond) {
			return false
		}
		if w.meets(b.s, r) {
			return true
		}
		k := b.towards(r)
		if k == none || !b.change(k) {
			return false
		}
	}
	return b.await(r.cond) && w.meets(b.s, r)
}

func (b *builder) change(k int32) bool {
	h := &b.w.changes[k]
	d := &b.w.model.conds[h.cond].demand[h.to]
	t := h.terms
	if len(d.reqs) > 0 || len(d.fitted) > 0 || d.all {
		t.reqs = slices.Concat(t.reqs, othersThan(d.reqs, h))
		t.fitted = slices.Concat(t.fitted, d.fitted)
		t.all = t.all || d.all
	}
	return b.achieve(&t) && b.take(act{kind: doChange, chg: k, cond: h.cond})
}

// towards returns the first change of a cheapest chain that meets the
// requirement, changes that were chosen first, or none.
func (b *builder) towards(r req) int32 {
	w := b.w
	c := &w.model.conds[r.cond]
	left, first := make([]int64, len(c.values)), noneList(len(c.values))
	for v := range left {
		if left[v] = far; (int32(v) == r.value) != r.not {
			left[v] = 0
		}
	}
	for range c.values {
		for _, k := range c.changes {
			h := &w.changes[k]
			cost := 1 + h.cost.objective + h.wait*w.waitPrice
			if b.uses[k] {
				cost = 1
			}
			if !b.possible(&h.terms, r.cond) {
				cost += far / 1000
			}
			if left[h.to]+cost < left[h.from] {
				left[h.from], first[h.from] = left[h.to]+cost, k
			}
		}
	}
	if v := w.value(b.s, r.cond); v >= 0 {
		return first[v]
	}
	return none
}

// possible reports whether the terms ask for nothing of another value of the
// condition than the one in force, and for values of others that are in force:
// such a change can be made at once.
func (b *builder) possible(t *terms, c int32) bool {
	for _, r := range t.reqs {
		if r.cond != c && r.cond != none && !b.w.meets(b.s, r) {
			return false
		}
	}
	return true
}

// putBack brings every item and condition to where the visit must end, last
// out first in.
func (b *builder) putBack() bool {
	if len(b.w.proof) == 0 && !b.itemsBack() {
		return false
	}
	w := b.w
	for k := len(b.acts) - 1; k >= 0; k-- {
		if a := b.acts[k]; a.kind == doChange && !b.ended(a.cond) {
			return false
		}
	}
	for c := range int32(w.layout.conds) {
		if !b.ended(c) {
			return false
		}
	}
	return true
}

func (b *builder) ended(c int32) bool {
	end := b.w.model.conds[c].end
	return end == none || b.value(req{cond: c, value: end})
}

// itemsBack brings every item on that has to be, last out first in.
func (b *builder) itemsBack() bool {
	for k := len(b.acts) - 1; k >= 0; k-- {
		if a := b.acts[k]; a.kind == doClear && b.w.mustReturn[a.item] && !b.on(a.item) {
			return false
		}
	}
	for i := range int32(b.w.layout.items) {
		if b.w.mustReturn[i] && !b.on(i) {
			return false
		}
	}
	return true
}
