package access

import (
	"cmp"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// answer runs the optimizer and writes the plan.
func (o *optimizer) answer(p *Planner) plan.Plan {
	if err := o.run(); err != nil {
		return plan.Plan{Outcome: plan.Limit}
	}
	return o.written(p)
}

func (o *optimizer) written(p *Planner) plan.Plan {
	var out plan.Plan
	switch {
	case o.impossible:
		return plan.Plan{Outcome: plan.Impossible, Blockers: p.blockers(o)}
	case o.cost >= far:
		out.Outcome = plan.Limit
	case o.cost > o.bound:
		out.Outcome = plan.Bounded
	default:
		out.Outcome = plan.Optimal
	}
	out.Bound = min(o.bound, o.cost)
	out.Certificate = o.certificate()
	if o.cost < far {
		out.Steps, out.Cost = o.m.write(o.acts, o.lim.Stop)
	}
	return out
}

// certificate lists the landmarks of the choice.
func (o *optimizer) certificate() plan.Certificate {
	c := plan.Certificate{Base: o.base, Sum: o.base}
	shared, ends := o.m.sharedWays(), o.deadEnds()
	listed := o.listed()
	for i, l := range o.pure.Landmarks {
		if !listed[i] || slices.ContainsFunc(l.Ops, func(n int32) bool { r := o.x.ops[n]; return r.kind == opTask && shared[r.n] }) {
			continue // its weight would count for one task only
		}
		mark := plan.Landmark{Weight: l.Weight * o.x.unit}
		for _, n := range l.Ops {
			mark.Acts = append(mark.Acts, o.x.named(n))
		}
		mark.Acts = append(mark.Acts, ends...)
		c.Landmarks = append(c.Landmarks, mark)
		c.Sum += mark.Weight
	}
	if c.Sum < min(o.bound, o.cost) {
		c.Cases = max(1, o.cases)
	}
	return c
}

// certificateWork bounds the landmarks that a certificate lists, so that it
// can be read and checked in no time: landmarks times everything they may be
// about.
const certificateWork = 2_000_000

// listed marks the landmarks that the certificate lists: all, or the heaviest
// ones of a very large plan, what the others prove counting as cases.
func (o *optimizer) listed() []bool {
	list := make([]bool, len(o.pure.Landmarks))
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	most := max(1, certificateWork/(len(o.m.r.Items)+len(o.m.ways)+1))
	if len(order) > most {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(o.pure.Landmarks[b].Weight, o.pure.Landmarks[a].Weight) })
		order = order[:most]
	}
	for _, i := range order {
		list[i] = true
	}
	return list
}

// sharedWays marks the ways by which several tasks may be done.
func (m *model) sharedWays() []bool {
	type act struct {
		owner guide.ID
		verb  guide.Verb
		index int32
	}
	first := map[act]int32{}
	shared := make([]bool, len(m.ways))
	for n := range m.ways {
		y := &m.ways[n]
		if y.task == none {
			continue
		}
		a := act{y.owner, y.verb, y.index}
		if k, ok := first[a]; ok {
			shared[n], shared[k] = true, true
		} else {
			first[a] = int32(n)
		}
	}
	return shared
}

// deadEnds names the changes after which no way leads to the end of their
// condition any more: no plan uses them.
func (o *optimizer) deadEnds() []plan.Act {
	var acts []plan.Act
	for k := range o.m.changes {
		h := &o.m.changes[k]
		if back := o.m.conds[h.cond].back; back[h.from] < far && back[h.to] >= far {
			acts = append(acts, o.m.changeAct(int32(k)))
		}
	}
	return acts
}

func (m *model) changeAct(k int32) plan.Act {
	h := &m.changes[k]
	return plan.Act{Way: -1, Condition: m.conds[h.cond].id, Change: int(h.index)}
}

// named writes an operation as an act of the plan.
func (x *relaxation) named(n int32) plan.Act {
	m := x.w.model
	switch r := x.ops[n]; r.kind {
	case opChange:
		return m.changeAct(r.n)
	case opHire:
		return plan.Act{Way: -1, Change: -1, Tool: m.hires[r.n].tool}
	default:
		y := &m.ways[r.n]
		return plan.Act{Item: y.owner, Verb: y.verb, Way: int(y.index), Change: -1, Back: r.kind == opBack}
	}
}

// writer turns acts into the steps of a plan.
type writer struct {
	w           *machine
	s           state
	place, tool int32
	steps       []plan.Step
	cost        plan.Cost
	labour      int64 // ms
	risk        int64
	hired       []bool
}

// write puts the acts in order, replays them from the start and adds up what
// they cost.
func (m *model) write(acts []act, stop func() bool) ([]plan.Step, plan.Cost) {
	w := newMachine(m)
	r := w.newWriter()
	for _, a := range w.arrange(acts, stop) {
		r.act(a)
	}
	return r.finish()
}

func (w *machine) newWriter() *writer {
	r := &writer{w: w, s: w.first(), place: none, tool: none, hired: make([]bool, len(w.model.hires))}
	for h := range r.hired {
		r.hired[h] = w.hired(r.s, int32(h))
	}
	return r
}

// act carries out an act and writes its step.
func (r *writer) act(a act) {
	p, _ := r.w.step(r.s, a)
	r.step(a, p)
}

func (r *writer) finish() ([]plan.Step, plan.Cost) {
	m, c := r.w.model, &r.cost
	c.Setup = c.Setup.Round(time.Millisecond)
	c.Labour = m.req.Rate.For(millis(r.labour))
	c.Idle = m.waitRate().For(c.Waiting)
	c.Risk = money.Amount((r.risk + plan.CentPerObjective/2) / plan.CentPerObjective)
	return r.steps, r.cost
}

func millis(n int64) time.Duration { return time.Duration(n) * time.Millisecond }

func (m *model) waitRate() money.PerHour {
	if m.req.WaitRate == 0 {
		return m.req.Rate
	}
	return m.req.WaitRate
}

func (r *writer) step(a act, p paid) {
	w := r.w
	s := plan.Step{Way: -1, Task: -1, Change: -1, Setup: millis(p.setup), Wait: millis(p.wait)}
	place, tool := none, none
	var c *price
	switch a.kind {
	case doChange, doAwait:
		h := &w.changes[a.chg]
		k := &w.model.conds[h.cond]
		s.Kind, s.Phase, s.Condition, s.Change = plan.Change, plan.StripPhase, k.id, int(h.index)
		s.From, s.To = k.values[h.from], k.values[h.to]
		if h.to == k.end {
			s.Phase = plan.RefitPhase
		}
		if a.kind == doAwait {
			s.Kind, c = plan.Await, &price{}
			break
		}
		c, place, tool = &h.cost, h.place, h.tool
		r.hire(h.hires)
	default:
		y := &w.ways[a.way]
		s.Item, s.Verb, s.Way, place, tool = y.owner, y.verb, int(y.index), y.place, y.tool
		c = &y.out
		s.Kind, s.Phase = plan.Clear, plan.StripPhase
		if a.kind == doRefit {
			s.Kind, s.Phase, c = plan.Refit, plan.RefitPhase, &y.back
		}
		if a.kind == doTask {
			s.Kind, s.Phase, s.Task = plan.Do, plan.WorkPhase, int(y.task)
		}
		r.hire(y.hires)
	}
	r.stand(&s, place, tool)
	s.Hands = millis(c.hands)
	r.account(&s, c, p)
	r.steps = append(r.steps, s)
}

// stand notes where the worker is after the step.
func (r *writer) stand(s *plan.Step, place, tool int32) {
	if place != none {
		r.place = place
	}
	if tool != none {
		r.tool = tool
	}
	s.Place, s.Tool = name(r.w.places, r.place), name(r.w.tools, r.tool)
}

func name(list []guide.ID, n int32) guide.ID {
	if n == none {
		return ""
	}
	return list[n]
}

func (r *writer) hire(hires []int32) {
	for _, h := range hires {
		if !r.hired[h] {
			r.hired[h] = true
			r.cost.Hire += r.w.model.hires[h].price
		}
	}
}

func (r *writer) account(s *plan.Step, c *price, p paid) {
	k := &r.cost
	switch s.Phase {
	case plan.StripPhase:
		k.Strip += s.Hands
	case plan.WorkPhase:
		k.Work += s.Hands
	case plan.RefitPhase:
		k.Refit += s.Hands
	}
	k.Setup += s.Setup
	k.Waiting += s.Wait
	k.Parts += c.parts
	k.Fluids += c.fluids
	k.Objective += p.objective
	r.labour += c.hands + p.setup
	r.risk += c.risk
}
