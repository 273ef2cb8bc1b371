package audit_test

import (
	"math"
	"math/big"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// step does one step. It returns the step as it must be written and whether it
// was allowed; when not, nothing else may be asked of the referee.
func (f *referee) step(s plan.Step) (plan.Step, bool) {
	j, owner, verb := f.jobOf(s)
	if j == nil || s.Kind != plan.Await && !f.allows(*j) || !f.timely(s, verb) {
		return s, false
	}
	w := plan.Step{Kind: s.Kind, Item: owner, Verb: verb, Way: -1, Task: -1, Change: s.Change}
	self := guide.ID("")
	switch s.Kind {
	case plan.Clear:
		w.Phase, w.Way, f.moved = plan.StripPhase, s.Way, true
		f.clear(s, verb)
	case plan.Refit:
		w.Phase, w.Way, f.moved = plan.RefitPhase, s.Way, true
		top := f.stack[s.Item][len(f.stack[s.Item])-1]
		for _, id := range top.holds {
			f.held[id] = false
		}
		f.stack[s.Item] = f.stack[s.Item][:len(f.stack[s.Item])-1]
	case plan.Do:
		w.Phase, w.Way, w.Task = plan.WorkPhase, s.Way, s.Task
		f.done[s.Task] = true
		f.proof = f.proof || f.req.Tasks[s.Task].Proof
	case plan.Change, plan.Await:
		self = s.Condition
		f.turn(s, &w)
	}
	f.pay(j, &w, self)
	return w, f.bears()
}

// timely reports whether the moment is right, apart from what a way asks for.
func (f *referee) timely(s plan.Step, verb guide.Verb) bool {
	stack := f.stack[s.Item]
	switch s.Kind {
	case plan.Clear:
		return !f.proof && !f.held[s.Item] &&
			(len(stack) == 0 || len(stack) == 1 && stack[0].verb == guide.Aside && stack[0].way >= 0 && verb == guide.Off)
	case plan.Refit:
		if f.proof || f.held[s.Item] || len(stack) == 0 {
			return false
		}
		top := stack[len(stack)-1]
		return top.way == s.Way || top.way == -1 && top.verb == verb
	case plan.Change:
		return f.under[s.Condition] == nil && f.value[s.Condition] == f.r.Condition(s.Condition).Changes[s.Change].From
	case plan.Await:
		return f.under[s.Condition] != nil
	case plan.Do:
		return f.taskTimely(s.Task)
	}
	return false
}

func (f *referee) taskTimely(k int) bool {
	t := f.req.Tasks[k]
	ok := !f.done[k] && !(t.Before && f.moved)
	for _, a := range t.After {
		ok = ok && f.done[a]
	}
	if t.Proof {
		ok = ok && f.closed()
		for i, other := range f.req.Tasks {
			ok = ok && (other.Proof || f.done[i])
		}
	}
	return ok
}

// closed reports whether every item stands as the visit must end.
func (f *referee) closed() bool {
	for i := range f.r.Items {
		if id := f.r.Items[i].ID; f.stands(id) != "" && !f.leaves(id) {
			return false
		}
	}
	return true
}

func (f *referee) clear(s plan.Step, verb guide.Verb) {
	l := layer{verb: verb, way: s.Way}
	for _, id := range f.r.Item(s.Item).Ways[s.Way].Together {
		if id != s.Item && f.r.Item(id) != nil && f.stands(id) == "" {
			f.held[id] = true
			l.holds = append(l.holds, id)
		}
	}
	f.stack[s.Item] = append(slices.Clone(f.stack[s.Item]), l)
}

// turn begins or ends a change.
func (f *referee) turn(s plan.Step, w *plan.Step) {
	c := f.r.Condition(s.Condition)
	w.Condition, w.Change = c.ID, s.Change
	if s.Kind == plan.Await {
		w.Change = f.under[c.ID].change
		w.Wait = f.under[c.ID].left
		delete(f.under, c.ID)
	}
	h := c.Changes[w.Change]
	w.From, w.To, w.Phase = h.From, h.To, plan.StripPhase
	if end, any := f.end(c); !any && end == h.To {
		w.Phase = plan.RefitPhase
	}
	if wait := h.Wait.Round(time.Millisecond); s.Kind == plan.Change && wait > 0 {
		f.value[c.ID] = ""
		f.under[c.ID] = &underway{w.Change, wait}
		return
	}
	f.value[c.ID] = h.To
}

func (f *referee) end(c *guide.Condition) (value guide.ID, any bool) {
	switch {
	case f.leaves(c.ID) || c.End == guide.AnyEnd:
		return "", true
	case c.End == "" || c.End == guide.AsFound:
		return f.start(c.ID), false
	}
	return guide.ID(c.End), false
}

// pay fills in place, tool and minutes, lets the time pass and adds the cost.
func (f *referee) pay(j *job, w *plan.Step, self guide.ID) {
	if j.place != "" {
		if f.place != "" && f.place != j.place {
			w.Setup += f.r.Guide.Setup.Move.Round(time.Millisecond)
		}
		f.place = j.place
	}
	if len(j.tools) > 0 {
		if f.tool != "" && f.tool != j.tools[0] {
			w.Setup += f.r.Guide.Setup.Tool.Round(time.Millisecond)
		}
		f.tool = j.tools[0]
	}
	w.Place, w.Tool = f.place, f.tool
	clock := j.minutes.Round(time.Millisecond)
	w.Hands = clock * time.Duration(max(j.people, 1))
	for id, u := range f.under {
		if id != self {
			u.left = max(0, u.left-clock-w.Wait)
		}
	}
	switch w.Phase {
	case plan.StripPhase:
		f.cost.Strip += w.Hands
	case plan.WorkPhase:
		f.cost.Work += w.Hands
	case plan.RefitPhase:
		f.cost.Refit += w.Hands
	}
	f.cost.Setup += w.Setup
	f.cost.Waiting += w.Wait
	f.buy(j)
}

// buy adds uses, hire and risk.
func (f *referee) buy(j *job) {
	for _, u := range j.uses {
		for _, p := range f.r.Guide.Parts {
			if p.ID == u.What && !u.Litres {
				f.cost.Parts += money.Amount(math.Round(u.Count * float64(p.Price)))
			}
		}
		for _, l := range f.r.Guide.Fluids {
			if l.ID == u.What && u.Litres {
				f.cost.Fluids += money.Amount(math.Round(u.Count * float64(l.PerLitre)))
			}
		}
	}
	for _, id := range j.tools {
		if slices.Contains(f.req.Missing, id) && !f.hired[id] {
			f.hired[id] = true
			f.cost.Hire += *f.hire(id)
		}
	}
	for _, r := range j.risks {
		if r.Of > 0 {
			each := new(big.Rat).SetInt64(r.Minutes.Round(time.Millisecond).Milliseconds()*int64(f.req.Rate) + int64(r.Price)*plan.CentPerObjective)
			f.risk.Add(f.risk, roundRat(each.Mul(each, big.NewRat(int64(r.Times), int64(r.Of)))))
		}
	}
}

// roundRat rounds a number that is not negative to the nearest whole one,
// halves up.
func roundRat(x *big.Rat) *big.Rat {
	twice := new(big.Int).Add(new(big.Int).Mul(x.Num(), big.NewInt(2)), x.Denom())
	return new(big.Rat).SetInt(twice.Div(twice, new(big.Int).Mul(x.Denom(), big.NewInt(2))))
}

// ended reports whether the visit may end here.
func (f *referee) ended() bool {
	ok := f.closed()
	for i := range f.req.Tasks {
		ok = ok && f.done[i]
	}
	for i := range f.r.Guide.Conditions {
		c := &f.r.Guide.Conditions[i]
		if end, any := f.end(c); !any {
			ok = ok && f.value[c.ID] == end
		}
	}
	return ok
}

// total returns the cost with everything worked out.
func (f *referee) total() plan.Cost {
	c := f.cost
	wait := f.req.WaitRate
	if wait == 0 {
		wait = f.req.Rate
	}
	hands := c.Strip + c.Work + c.Refit + c.Setup
	c.Labour, c.Idle = f.req.Rate.For(hands), wait.For(c.Waiting)
	risk := roundRat(new(big.Rat).Quo(f.risk, new(big.Rat).SetInt64(plan.CentPerObjective)))
	c.Risk = money.Amount(risk.Num().Int64())
	if f.req.By == plan.ByMinutes {
		c.Objective = (hands + c.Waiting).Milliseconds()
		return c
	}
	c.Objective = hands.Milliseconds()*int64(f.req.Rate) + c.Waiting.Milliseconds()*int64(wait) +
		int64(c.Parts+c.Fluids+c.Hire)*plan.CentPerObjective + f.risk.Num().Int64()
	return c
}

// replay judges a whole plan: whether it is allowed to its end, and the plan
// as it must be written.
func replay(r *guide.Resolved, req plan.Request, p plan.Plan) (right plan.Plan, valid bool) {
	f := newReferee(r, req)
	right, valid = p, true
	right.Steps = nil
	for _, s := range p.Steps {
		w, ok := f.step(s)
		if !ok {
			return p, false
		}
		right.Steps = append(right.Steps, w)
	}
	right.Cost = f.total()
	return right, f.ended()
}
