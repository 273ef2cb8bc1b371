package engines

import (
	"fmt"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// smallStates is the estimated number of states above which Small draws again.
const smallStates = 6_000

// Small returns a tiny machine with a request: three to seven items, up to
// three conditions of two or three values, up to three tasks, and any feature
// that a guide can have. Many requests are impossible.
func Small(seed uint64) Case {
	d := newDice(0x5a11, seed)
	for {
		s := &small{dice: d}
		s.build()
		if s.estimate() <= smallStates {
			return Case{Name: fmt.Sprintf("small %d", seed), Guide: &s.g, Request: s.req}
		}
	}
}

// small is a tiny machine in the making. Every rate is a probability drawn once
// for the machine, so that some machines lack a feature and some are full of it.
type small struct {
	dice
	g                                 guide.Guide
	req                               plan.Request
	items                             []guide.ID
	places, tools                     []guide.ID
	pWith, pFitted, pTool, pPlace     float64
	pUse, pRisk, pTogether, pPeople   float64
	pCaution, pAside, pCycle, pZero   float64
	pOff, pDemand, pWait, pChangeNeed float64
	variants                          bool
}

// rate returns 0 half of the time, else something up to top.
func (s *small) rate(top float64) float64 {
	if s.chance(0.5) {
		return 0
	}
	return top * s.Float64()
}

func (s *small) build() {
	s.pWith, s.pFitted, s.pTool, s.pPlace = s.rate(1), s.rate(0.12), s.rate(1), s.rate(0.9)
	s.pUse, s.pRisk, s.pTogether, s.pPeople = s.rate(0.5), s.rate(0.4), s.rate(0.4), s.rate(0.08)
	s.pCaution, s.pAside, s.pCycle, s.pZero = s.rate(0.08), s.rate(0.7), s.rate(0.25), s.rate(0.3)
	s.pOff, s.pDemand, s.pWait, s.pChangeNeed = s.rate(0.25), s.rate(0.5), s.rate(0.8), s.rate(0.5)
	s.variants = s.chance(0.15)
	for i := range s.between(3, 7) {
		s.items = append(s.items, itemID(i))
	}
	s.stock()
	conditions := s.IntN(4)
	for k := range conditions {
		s.condition(k, conditions)
	}
	for i := range s.items {
		s.item(i)
	}
	s.checks()
	s.request()
}

// stock lays in places, tools, parts, a fluid and cautions.
func (s *small) stock() {
	s.g.Format, s.g.ID, s.g.Currency = guide.Format, "small", "EUR"
	if s.variants {
		s.g.Axes = []guide.Axis{{ID: "drive", Question: "Which side is the wheel?", Values: []guide.AxisValue{{ID: "LHD"}, {ID: "RHD"}}}}
	}
	s.places = []guide.ID{"top", "below"}
	for _, p := range s.places {
		s.g.Places = append(s.g.Places, guide.Place{ID: p, Name: string(p)})
	}
	if s.chance(0.6) {
		s.g.Setup = guide.Setup{Move: s.minutes(0, 4), Tool: s.minutes(0, 2)}
	}
	s.tools = []guide.ID{"T1", "T2"}
	hire := money.Amount(s.between(0, 40) * 50)
	s.g.Tools = []guide.Tool{{ID: "T1", Name: "wrench"}, {ID: "T2", Name: "puller", Hire: &hire}}
	s.g.Parts = []guide.Part{{ID: "seal", Name: "seal", Price: money.Amount(s.between(0, 900))}}
	s.g.Fluids = []guide.Fluid{{ID: "coolant", Name: "coolant", PerLitre: money.Amount(s.between(0, 1200))}}
	s.g.Cautions = []guide.Caution{{ID: "scald", Text: "hot"}, {ID: "charge", Text: "wait", Ask: "discharge time"}, {ID: "said", Text: "wait", Ask: "wait", Answer: "5 min"}}
}

func (s *small) time(high int) time.Duration {
	if s.chance(s.pZero) {
		return 0
	}
	return s.minutes(0, high)
}

func (s *small) condition(k, of int) {
	c := guide.Condition{ID: conditionID(k), Name: "condition"}
	values := 2
	if s.chance(0.25) {
		values = 3
	}
	for v := range values {
		c.Values = append(c.Values, s.value(k, v, of))
	}
	c.Start = c.Values[0].ID
	if s.chance(0.3) {
		c.Start = pick(s.dice, c.Values).ID
	}
	switch s.IntN(6) {
	case 0:
		c.End = guide.AnyEnd
	case 1:
		c.End = guide.End(pick(s.dice, c.Values).ID)
	case 2:
		c.End = guide.AsFound
	}
	for from := range values {
		for to := range values {
			if from != to && s.chance(0.92) {
				c.Changes = append(c.Changes, s.change(c, from, to, of))
			}
		}
	}
	if k == 0 && s.chance(0.5) {
		s.g.Cautions[0].Safe = []guide.Req{{Condition: c.ID, Value: c.Values[0].ID}}
	}
	s.g.Conditions = append(s.g.Conditions, c)
}

func conditionID(k int) guide.ID { return guide.ID(fmt.Sprintf("C%d", k)) }
func valueID(v int) guide.ID     { return guide.ID(fmt.Sprintf("v%d", v)) }

func (s *small) value(k, v, of int) guide.Value {
	out := guide.Value{ID: valueID(v)}
	if s.chance(s.pDemand * 0.6) {
		out.Fitted = s.fitted()
	}
	if of > 1 && s.chance(s.pDemand*0.4) {
		if other := s.IntN(of); other != k {
			out.With = []guide.Req{{Condition: conditionID(other), Value: valueID(s.IntN(2)), Not: s.chance(0.3)}}
		}
	}
	if s.chance(s.pCaution * 0.4) {
		out.Cautions = []guide.ID{pick(s.dice, s.g.Cautions).ID}
	}
	return out
}

func (s *small) fitted() []guide.ID {
	if s.chance(0.3) {
		return []guide.ID{"all"}
	}
	return some(s.dice, s.items, 1, 2)
}

func (s *small) change(c guide.Condition, from, to, of int) guide.Change {
	ch := guide.Change{From: c.Values[from].ID, To: c.Values[to].ID, Minutes: s.time(6), People: s.people(), Tools: s.gear()}
	if s.chance(s.pWait) {
		ch.Wait = s.minutes(0, 25)
	}
	ch.WaitUnknown = s.chance(s.pCaution * 0.2)
	if s.chance(s.pPlace * 0.5) {
		ch.Place = pick(s.dice, s.places)
	}
	if s.chance(s.pChangeNeed) {
		ch.Needs = needs(some(s.dice, s.items, 1, 1), s.strictly)
	}
	if s.chance(s.pChangeNeed * 0.5) {
		ch.Fitted = s.fitted()
	}
	if of > 1 && s.chance(s.pWith*0.5) {
		ch.With = []guide.Req{s.requirement(of)}
	}
	ch.Uses, ch.Cautions = s.uses(), s.cautions(0.3)
	return ch
}

func (s *small) requirement(of int) guide.Req {
	return guide.Req{Condition: conditionID(s.IntN(of)), Value: valueID(1 - s.IntN(4)/3), Not: s.chance(0.25)}
}

func (s *small) strictly() bool { return s.chance(s.pOff) }

func (s *small) people() int {
	if s.chance(s.pPeople) {
		return 2
	}
	return s.IntN(2)
}

func (s *small) gear() []guide.ID {
	if s.chance(s.pTool) {
		return some(s.dice, s.tools, 1, 2)
	}
	return nil
}

func (s *small) uses() []guide.Use {
	if !s.chance(s.pUse) {
		return nil
	}
	all := []guide.Use{{Count: float64(s.between(1, 3)), What: "seal"}, {Count: float64(s.between(1, 30)) / 10, Litres: true, What: "coolant"}, {Count: 1, Words: "a rag"}}
	return some(s.dice, all, 1, 2)
}

func (s *small) cautions(share float64) []guide.ID {
	if s.chance(s.pCaution * share) {
		return []guide.ID{pick(s.dice, s.g.Cautions).ID}
	}
	return nil
}

// way returns a way with the needs and other demands of this machine. Items
// below i are easier to reach; a cycle needs one above.
func (s *small) way(i int, verb guide.Verb) guide.Way {
	w := guide.Way{Do: verb, Out: s.time(9), People: s.people(), Tools: s.gear(), Uses: s.uses(), Cautions: s.cautions(1)}
	from := s.items[:i]
	if s.chance(s.pCycle) {
		from = s.items
	}
	least := 0
	if !verb.Clears() && s.chance(0.85) { // work that needs nothing out of the way is too easy
		least = 1
	}
	w.Needs = needs(some(s.dice, from, least, pick(s.dice, []int{1, 1, 2})), s.strictly)
	if s.chance(s.pPlace) {
		w.From = pick(s.dice, s.places)
	}
	if n := len(s.g.Conditions); n > 0 && s.chance(s.pWith) {
		w.With = append(w.With, s.requirement(n))
	}
	if s.chance(s.pFitted) {
		w.Fitted = s.fitted()
	}
	if s.chance(s.pRisk) {
		of := s.between(0, 7)
		w.Risks = []guide.Risk{{What: "clip breaks", Times: s.IntN(of + 1), Of: of, Minutes: s.minutes(0, 5), Price: money.Amount(s.between(0, 800))}}
	}
	if s.variants && s.chance(0.25) {
		w.For = guide.Selector{{Values: []guide.ID{pick(s.dice, []guide.ID{"LHD", "RHD"})}}}
	}
	return w
}

func (s *small) item(i int) {
	it := guide.Item{ID: s.items[i], Name: "item", Cautions: s.cautions(0.3)}
	ways := pick(s.dice, []int{1, 1, 1, 2, 2, 3})
	if i > 0 && s.chance(0.04) {
		ways = 0
	}
	for range ways {
		verb := guide.Off
		if s.chance(s.pAside) {
			verb = guide.Aside
		}
		w := s.way(i, verb)
		w.Back = s.time(9)
		if s.chance(s.pTogether) {
			w.Together = some(s.dice, s.items, 1, 2)
		}
		it.Ways = append(it.Ways, w)
	}
	for _, verb := range []guide.Verb{guide.Replace, guide.Measure} {
		for range s.between(1, 2) {
			it.Ways = append(it.Ways, s.way(i, verb))
		}
	}
	s.g.Items = append(s.g.Items, it)
}

// checks adds two checks: with a point, with ways of its own, or with neither.
func (s *small) checks() {
	for k := range 2 {
		c := guide.Check{ID: guide.ID(fmt.Sprintf("K%d", k)), Name: "voltage", At: "pin 1", Minutes: s.time(4), Closed: s.chance(0.1), Cautions: s.cautions(0.3)}
		switch s.IntN(5) {
		case 0:
			c.Ways = append(c.Ways, s.way(len(s.items)-1, guide.Measure), s.way(len(s.items)-1, guide.Measure))
		case 1:
		default:
			c.Point = pick(s.dice, s.items)
		}
		if s.chance(s.pTool) {
			c.Instrument = some(s.dice, s.tools, 1, 1)
		}
		if n := len(s.g.Conditions); n > 0 && s.chance(0.4) {
			c.With = []guide.Req{s.requirement(n)}
		}
		s.g.Checks = append(s.g.Checks, c)
	}
}

func (s *small) request() {
	r := &s.req
	n := pick(s.dice, []int{1, 1, 2, 2, 3})
	for k := range n {
		r.Tasks = append(r.Tasks, s.task(k, n))
	}
	if s.variants {
		r.Variant = guide.Selector{{Axis: "drive", Values: []guide.ID{pick(s.dice, []guide.ID{"LHD", "RHD"})}}}
	}
	if s.chance(0.25) {
		for _, id := range some(s.dice, s.items, 1, 2) {
			r.Found = append(r.Found, s.found(id))
		}
	}
	for _, c := range s.g.Conditions {
		if s.chance(0.15) {
			r.Given = append(r.Given, plan.Setting{Condition: c.ID, Value: pick(s.dice, c.Values).ID})
		}
	}
	s.leaveOpen()
	if s.chance(0.3) {
		r.Missing = pick(s.dice, [][]guide.ID{{"T1"}, {"T2"}, {"T2"}, {"T1", "T2"}})
	}
	r.People = s.IntN(3)
	r.By = pick(s.dice, []plan.Objective{"", plan.ByMoney, plan.ByMinutes})
	r.Rate = money.PerHour(s.between(1, 120) * 100)
	if s.chance(0.5) {
		r.WaitRate = money.PerHour(s.between(0, int(r.Rate)))
	}
}

// found has an item stand as one of its ways would leave it, rarely otherwise.
func (s *small) found(id guide.ID) plan.Standing {
	f := plan.Standing{Item: id, Off: s.chance(0.6)}
	for _, it := range s.g.Items {
		if it.ID == id && len(it.Ways) > 0 && it.Ways[0].Do.Clears() && !s.chance(0.1) {
			f.Off = it.Ways[0].Do == guide.Off
		}
	}
	return f
}

func (s *small) leaveOpen() {
	switch s.IntN(12) {
	case 0:
		s.req.LeaveOpen = []guide.ID{"all"}
	case 1, 2:
		s.req.LeaveOpen = some(s.dice, s.items, 1, 2)
		for _, c := range s.g.Conditions {
			if s.chance(0.3) {
				s.req.LeaveOpen = append(s.req.LeaveOpen, c.ID)
			}
		}
	}
}

// task asks for something that has a way where it can.
func (s *small) task(k, n int) plan.Task {
	t := plan.Task{Verb: guide.Measure, On: pick(s.dice, s.g.Checks).ID}
	if s.chance(0.65) {
		t.On = s.items[len(s.items)-1-s.IntN(2)]
		t.Verb = pick(s.dice, []guide.Verb{guide.Replace, guide.Measure})
		if !s.hasWay(t) {
			t.Verb, t.On = guide.Measure, pick(s.dice, s.g.Checks).ID
		}
	}
	t.Before, t.Proof = s.chance(0.05), s.chance(0.12)
	if n > 1 && s.chance(0.25) {
		if other := s.IntN(n); other != k || s.chance(0.1) {
			t.After = []int{other}
		}
	}
	return t
}

func (s *small) hasWay(t plan.Task) bool {
	for _, it := range s.g.Items {
		for _, w := range it.Ways {
			if it.ID == t.On && w.Do == t.Verb {
				return true
			}
		}
	}
	return false
}

// estimate bounds the number of states from above, roughly.
func (s *small) estimate() int {
	n := 1 << len(s.req.Tasks)
	for _, it := range s.g.Items {
		stands, asides, offs := 1, 0, 0
		for _, w := range it.Ways {
			switch w.Do {
			case guide.Off:
				offs++
			case guide.Aside:
				asides++
			}
		}
		stands += asides + offs + asides*offs
		n *= stands
	}
	for _, c := range s.g.Conditions {
		waits := 0
		for _, ch := range c.Changes {
			if ch.Wait > 0 {
				waits++
			}
		}
		n *= len(c.Values) + 8*waits
	}
	n <<= len(s.req.Missing)
	if s.g.Setup.Move > 0 && s.pPlace > 0 {
		n *= 2
	}
	if s.g.Setup.Tool > 0 && s.pTool > 0 {
		n *= 2
	}
	return n
}
