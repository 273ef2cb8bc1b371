package access

import (
	"slices"
	"sync/atomic"

	"elbowroom/access/andor"
	"elbowroom/guide"
	"elbowroom/plan"
)

// Planner plans visits to the engine of one resolved guide. It holds nothing
// but the guide and may be used by several goroutines at once.
type Planner struct {
	r      *guide.Resolved
	lookup *lookup
}

// Limits say when to stop early. The zero value sets no limit of its own; the
// memory of a search is limited all the same, and a plan that is not proved
// best says so.
type Limits struct {
	Stop  func() bool // asked often; everything ends soon after it has returned true once
	Nodes int64       // states looked at in any one search, 0 for no limit
}

// latched returns limits whose Stop is not asked again once it has said yes.
func (l Limits) latched() Limits {
	if l.Stop == nil {
		return l
	}
	ask, said := l.Stop, &atomic.Bool{}
	l.Stop = func() bool {
		if !said.Load() && ask() {
			said.Store(true)
		}
		return said.Load()
	}
	return l
}

// New prepares planning for a guide. It returns an error that wraps
// ErrGuide when a time, price or count in the guide cannot be planned with.
func New(r *guide.Resolved) (*Planner, error) {
	p := &Planner{r: r, lookup: newLookup(r)}
	if err := checkGuide(r); err != nil {
		return nil, err
	}
	return p, nil
}

// Plan returns the best plan found for the request, with the proof of how good
// it is. Its outcome is Optimal, Bounded, Impossible or Limit; the error is an
// *InputError for a request that cannot be used.
func (p *Planner) Plan(req plan.Request, lim Limits) (plan.Plan, error) {
	if err := p.check(req); err != nil {
		return plan.Plan{}, err
	}
	return p.plan(req, lim.latched()), nil
}

func (p *Planner) plan(req plan.Request, lim Limits) plan.Plan {
	m := p.compile(req, false).m
	o := newOptimizer(m, lim)
	return o.answer(p)
}

// optimizer finds a best plan of one model.
type optimizer struct {
	m     *model
	w     *machine
	x     *relaxation // without set-ups
	y     *relaxation // with set-ups; x when they cost nothing
	lim   Limits
	base  int64
	bound int64
	pure  andor.Result // of x: the choice apart from set-ups
	acts  []act        // best plan found
	cost  int64        // far when none is known
	cases int64
	fills []*relaxation // bounds under the waits that every plan has

	impossible bool
	stopped    bool
}

func newOptimizer(m *model, lim Limits) *optimizer {
	m.stop = lim.Stop
	return &optimizer{m: m, w: newMachine(m), lim: lim, cost: far}
}

// run finds the best plan and the bound: the choice and a quick order first,
// which is the end of it when order costs nothing; then stronger bounds; then
// the search of everything that could still be better.
func (o *optimizer) run() error {
	defer o.tidy()
	if err := o.relax(); err != nil || o.impossible {
		return err
	}
	o.build(o.pure.Ops, o.x)
	for _, step := range []func(){
		o.relaxWaits,
		func() { o.trySet(o.pure.Ops, o.x, false) },
		o.relaxSetups,
		func() { o.trySet(o.pure.Ops, o.x, true) },
		o.findAny,
		o.refine,
		o.polish,
		o.prove,
	} {
		if o.impossible || o.cost <= o.bound {
			return nil
		}
		if stopped(o.lim.Stop) {
			o.stopped = true
			return nil
		}
		step()
	}
	return nil
}

func (o *optimizer) relax() error {
	var err error
	if o.x, err = o.w.relax(false); err != nil {
		return err
	}
	o.y = o.x
	if o.m.move > 0 || o.m.swap > 0 {
		if o.y, err = o.w.relax(true); err != nil {
			return err
		}
	}
	s := o.w.first()
	o.base = o.x.base(s)
	if o.base >= far {
		o.impossible = true
		return nil
	}
	o.pure = o.x.solver.SolveWith(o.x.query(s), o.limits())
	switch o.pure.Outcome {
	case andor.Impossible:
		o.impossible = true
	case andor.Invalid:
		return o.pure.Err
	}
	o.bound = o.base + o.pure.Bound*o.x.unit
	o.cases += o.pure.Nodes
	return nil
}

func (o *optimizer) limits() andor.Limits {
	return andor.Limits{Stop: o.lim.Stop, Nodes: o.lim.Nodes}
}

// relaxSetups raises the bound by what places and tools cost at least.
func (o *optimizer) relaxSetups() {
	if o.y == o.x {
		return
	}
	ops, ok := o.boundSetups()
	if !ok {
		return
	}
	o.build(ops, o.y)
	if o.cost > o.bound {
		o.trySet(ops, o.y, false)
	}
}

// boundSetups is relaxSetups without a plan; it returns the operations chosen.
func (o *optimizer) boundSetups() (ops []int32, ok bool) {
	s := o.w.first()
	res := o.y.solver.SolveWith(o.y.query(s), o.limits())
	if res.Outcome == andor.Impossible || res.Outcome == andor.Invalid {
		return nil, false
	}
	o.cases += res.Nodes
	o.bound = max(o.bound, o.base+res.Bound*o.y.unit-o.y.firstFree(s))
	return res.Ops, true
}

func (o *optimizer) hasWaits() bool {
	return slices.ContainsFunc(o.m.changes, func(h change) bool { return h.wait > 0 })
}

// relaxWaits raises the bound by what waits cost that nothing can fill.
func (o *optimizer) relaxWaits() {
	if !o.hasWaits() {
		return
	}
	o.fills = o.w.fillings(o.x)
	s := o.w.first()
	for _, x := range o.fills {
		if stopped(o.lim.Stop) {
			return
		}
		o.bound = max(o.bound, x.bound(s, far))
	}
}

// Limits of the searches that only look for a good plan, in states, and the
// weights they put on what is left.
const (
	boldStates   = 600
	carefulLimit = 1200
	anyStates    = 60_000
	betterStates = 4_000
	boldWeight   = 5
	anyWeight    = 1000
)

// trySet looks for a good order of a chosen set of operations: boldly, or with
// all orders of steps that can fill a wait.
func (o *optimizer) trySet(ops []int32, x *relaxation, careful bool) {
	sub, err := o.w.only(x.chosen(ops))
	if err != nil || len(ops) == 0 && o.pure.Outcome != andor.Optimal {
		return
	}
	e := newSearch(sub.w, sub.x, sub.fills, o.lim.Stop, min(boldStates, o.nodes()))
	if e.bold = !careful; careful {
		e.nodes = min(carefulLimit, o.nodes())
	}
	o.search(e, sub)
	if !e.stopped || careful {
		return
	}
	e = newSearch(sub.w, sub.x, nil, o.lim.Stop, min(boldStates, o.nodes()))
	e.bold, e.weight = true, boldWeight
	o.search(e, sub)
}

// search runs e on the whole model or a subset and keeps a better plan.
func (o *optimizer) search(e *search, sub *subset) {
	e.run(o.cost)
	o.cases += e.count
	if e.last == none {
		return
	}
	acts := e.path(e.last)
	if sub != nil {
		acts = sub.original(acts)
	}
	if e.best < o.cost {
		o.cost, o.acts = e.best, acts
	}
}

// findAny looks for any plan at all among all ways, when none is known, and
// then for better ones with less and less haste.
func (o *optimizer) findAny() {
	if o.cost < far {
		return
	}
	for _, weight := range []int64{anyWeight, boldWeight, 2} {
		e := newSearch(o.w, o.y, nil, o.lim.Stop, min(anyStates, o.nodes()))
		if o.cost < far {
			e.nodes = min(betterStates, o.nodes())
		}
		e.weight = weight
		o.search(e, nil)
		if o.cost >= far {
			o.impossible = !e.stopped
			return
		}
	}
}

// refine looks for a better order of what the best plan does, as long as that
// helps.
func (o *optimizer) refine() {
	for range refineRounds {
		was := o.cost
		if stopped(o.lim.Stop) {
			return
		}
		sub, err := o.w.only(o.used())
		if err != nil {
			return
		}
		for _, weight := range []int64{2, 0} {
			e := newSearch(sub.w, sub.x, sub.fills, o.lim.Stop, min(carefulLimit, o.nodes()))
			e.weight = weight
			o.search(e, sub)
		}
		if o.cost == was || o.cost <= o.bound {
			return
		}
	}
}

// refineRounds limits how often a plan is refined.
const refineRounds = 4

// used is the choice of what the best plan does, with the cheapest ways of
// every condition to its end.
func (o *optimizer) used() choice {
	c := o.y.chosen(nil)
	for _, a := range o.acts {
		switch a.kind {
		case doClear, doRefit, doTask:
			c.ways[a.way] = true
		default:
			c.changes[a.chg] = true
		}
	}
	return c
}

// prove searches all states that could still be part of a better plan.
func (o *optimizer) prove() {
	sub, err := o.w.only(o.worthwhile())
	if err != nil {
		o.stopped = true
		return
	}
	e := newSearch(sub.w, sub.x, sub.fills, o.lim.Stop, o.nodes())
	e.run(o.cost)
	o.cases += e.count
	if e.last != none {
		o.cost, o.acts = e.best, sub.original(e.path(e.last))
	}
	switch {
	case e.stopped:
		o.stopped = true
		o.bound = max(o.bound, min(e.low, o.cost))
	case o.cost >= far:
		o.impossible = true
	default:
		o.bound = o.cost
	}
}

// worthwhile leaves out every way and change of which each use makes a plan at
// least as dear as the best one known.
func (o *optimizer) worthwhile() choice {
	c := choice{ways: make([]bool, len(o.w.ways)), changes: make([]bool, len(o.w.changes))}
	for n := range c.ways {
		y := o.y
		c.ways[n] = o.mayUse(y.clear[n]) || o.mayUse(y.back[n]) || o.mayUse(y.do[n])
	}
	for k := range c.changes {
		c.changes[k] = o.mayUse(o.y.change[k])
	}
	return c
}

// mayUse reports whether a plan that uses the operation might be cheaper than
// the best one known.
func (o *optimizer) mayUse(op int32) bool {
	if op == none || o.cost >= far || stopped(o.lim.Stop) {
		return op != none
	}
	s := o.w.first()
	if b, ok := o.y.boundWith(s, op, o.cost); !ok || b >= o.cost {
		return false
	}
	for _, x := range o.fills {
		if left, holds := x.left(s); holds {
			wait := left * o.w.waitPrice
			if b, ok := x.boundWith(s, x.twin(o.y, op), o.cost-wait); !ok || b+wait >= o.cost {
				return false
			}
		}
	}
	return true
}

// boundWith bounds the cost of the plans that use the operation, by some bound
// that is enough or the best one; ok is false when there are none.
func (x *relaxation) boundWith(s state, op int32, enough int64) (bound int64, ok bool) {
	q := x.query(s)
	q.Goals = append(q.Goals, x.prob.Ops[op].Pre...)
	q.Free = []int32{op}
	base := x.base(s) + x.prob.Ops[op].Cost*x.unit - x.firstFree(s)
	res := x.solver.SolveWith(q, andor.Limits{Nodes: judgeNodes, Stop: x.w.stop, Enough: x.enough(enough - base)})
	if res.Outcome == andor.Impossible || res.Outcome == andor.Invalid {
		return 0, false
	}
	return max(x.base(s), base+res.Bound*x.unit), true
}

// twin finds the operation of x that stands for the same act as op of y.
func (x *relaxation) twin(y *relaxation, op int32) int32 {
	switch r := y.ops[op]; r.kind {
	case opClear:
		return x.clear[r.n]
	case opBack:
		return x.back[r.n]
	case opTask:
		return x.do[r.n]
	default:
		return x.change[r.n]
	}
}

func (o *optimizer) nodes() int64 {
	if o.lim.Nodes > 0 {
		return o.lim.Nodes
	}
	return far
}
