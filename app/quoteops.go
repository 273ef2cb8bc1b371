package app

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// operations turns the steps of the plan into operations with expected times,
// goods and risks, charged where the plan charges them.
func (c *quoter) operations() error {
	state, err := audit.NewState(c.r, c.req)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrAudit, err)
	}
	c.visit.Terms = c.q.Terms
	for _, line := range c.q.Answer.Steps {
		effect, err := state.Apply(line.Step)
		if err != nil {
			return fmt.Errorf("%w: %w", ErrAudit, err)
		}
		op := c.operation(line)
		if effect.Hire > 0 {
			op.Hire = []estimate.Good{{Sort: estimate.Hired, Name: "Hire: " + c.hired(line), Count: 1, Price: effect.Hire, Known: true}}
		}
		c.visit.Ops = append(c.visit.Ops, op)
	}
	return nil
}

// operation is one step as an operation; its expected time is noted beside.
func (c *quoter) operation(line StepLine) estimate.Op {
	s := line.Step
	op := estimate.Op{Name: line.Title, Step: line.Number, Phase: phaseOf(s), Setup: s.Setup, People: 1}
	if s.Kind == plan.Await {
		op.Awaits = string(s.Condition)
		return op
	}
	if cond, ch := changeOf(c.r, s); ch != nil {
		op.People = max(1, ch.People)
		if ch.Wait > 0 {
			op.Begins, op.Wait = string(cond.ID), ch.Wait
		}
		op.Goods = c.goods(ch.Uses, false)
	}
	if w := line.Way; w != nil {
		op.People = max(1, w.People)
		c.wayGoods(&op, line, w)
	}
	t := c.expected(line)
	if c.visit.Common < t.Common {
		c.visit.Common = t.Common
	}
	op.Hands = t.Spread
	c.q.Times = append(c.q.Times, t)
	return op
}

// wayGoods adds what a way uses, with the refit where it clears, and what may
// break, with the clearing.
func (c *quoter) wayGoods(op *estimate.Op, line StepLine, w *guide.Way) {
	s := line.Step
	if s.Kind != plan.Clear {
		op.Goods = append(op.Goods, c.goods(w.Uses, false)...)
	}
	if s.Kind == plan.Do && s.Verb == guide.Replace && line.Item != nil {
		op.Goods = append(op.Goods, c.goods(line.Item.Parts, true)...)
	}
	if s.Kind == plan.Refit {
		return
	}
	for _, k := range w.Risks {
		op.Risks = append(op.Risks, estimate.Risk{What: k.What, Step: line.Number, Times: k.Times, Of: k.Of, Minutes: k.Minutes, Price: k.Price})
	}
}

// goods are parts and fluids with their prices.
func (c *quoter) goods(uses []guide.Use, spare bool) []estimate.Good {
	var out []estimate.Good
	for _, u := range uses {
		p := partLine(c.r, u)
		g := estimate.Good{Sort: estimate.OnceOnly, Name: guide.Capital(p.Name), Count: p.Count, Litre: p.Litres, Price: p.Price, Known: p.Priced}
		switch {
		case p.Litres:
			g.Sort = estimate.Liquid
		case spare && !p.SingleUse, p.Priced && !p.SingleUse:
			g.Sort = estimate.Spare
		}
		out = append(out, g)
	}
	return out
}

// hired names the tools that a step has to hire.
func (c *quoter) hired(line StepLine) string {
	var ids []guide.ID
	if line.Way != nil {
		ids = append(ids, line.Way.Tools...)
	}
	if _, ch := changeOf(c.r, line.Step); ch != nil {
		ids = append(ids, ch.Tools...)
	}
	if s := line.Step; s.Kind == plan.Do {
		if k := c.r.Check(c.req.Tasks[s.Task].On); k != nil {
			ids = append(ids, k.Instrument...)
		}
	}
	var names []string
	for _, id := range ids {
		if slices.Contains(c.req.Missing, id) {
			names = append(names, toolName(c.r.Guide, id))
		}
	}
	return join(names)
}

// expected says how long a step takes: as measured here, else as the guide has
// it, else built up from what holds the item.
func (c *quoter) expected(line StepLine) StepTime {
	s := line.Step
	t := StepTime{Step: line.Number, Title: line.Title, Setup: s.Setup, Key: stepKey(c.r, c.req, s)}
	person := c.q.Ask.Person
	if s.Hands > 0 {
		t.Expected = c.norm.Expect(t.Key, person, s.Hands)
		return t
	}
	if line.Way == nil || line.Item == nil {
		t.Basis = estimate.FromGuide // a step that takes no time of its own
		return t
	}
	built, _ := estimate.Built(joints(c.r, line.Item), line.Item.Connector, reachOf(c.r, s, line.Way))
	t.Expected = c.norm.ExpectBuilt(t.Key, person, built)
	return t
}

// joints are those of an item that hold on the variant.
func joints(r *guide.Resolved, it *guide.Item) []guide.Joint {
	var out []guide.Joint
	for _, j := range it.Joints {
		if r.Fits(j.For) {
			out = append(out, j)
		}
	}
	return out
}

func reachOf(r *guide.Resolved, s plan.Step, w *guide.Way) estimate.Reach {
	view := guide.FromAbove
	for _, p := range r.Guide.Places {
		if p.ID == w.From && p.View != "" {
			view = p.View
		}
	}
	return estimate.Reach{
		Sight: w.Sight, Hands: w.Hands, Dirty: view == guide.FromBelow, Far: view != guide.FromAbove,
		Refit: s.Kind == plan.Refit, People: w.People,
	}
}

func phaseOf(s plan.Step) estimate.Phase {
	switch s.Phase {
	case plan.WorkPhase:
		return estimate.Work
	case plan.RefitPhase:
		return estimate.PutBack
	}
	return estimate.WayIn
}

// stepKey names the operation of a step as workshop files write it: "off AR04
// from top", "refit AR04 from top", "check T36 from cab", "position=raised".
func stepKey(r *guide.Resolved, req plan.Request, s plan.Step) string {
	switch s.Kind {
	case plan.Change:
		return fmt.Sprintf("%s=%s", s.Condition, s.To)
	case plan.Await:
		return ""
	}
	verb, on := string(s.Verb), s.Item
	switch s.Kind {
	case plan.Refit:
		verb = "refit"
	case plan.Do:
		verb, on = string(req.Tasks[s.Task].Verb), req.Tasks[s.Task].On
	}
	return wayKey(verb, on, way(r, req, s))
}

func wayKey(verb string, on guide.ID, w *guide.Way) string {
	key := verb + " " + string(on)
	if w != nil && w.From != "" {
		key += " from " + string(w.From)
	}
	return key
}

// guideTimes lists every operation of the guide by its key with its person-time;
// ways that share a key keep the first.
func guideTimes(r *guide.Resolved) map[string]time.Duration {
	out := map[string]time.Duration{}
	add := func(key string, d time.Duration, people int) {
		if _, ok := out[key]; !ok && d > 0 {
			out[key] = d * time.Duration(max(1, people))
		}
	}
	for i := range r.Items {
		it := &r.Items[i]
		for k := range it.Ways {
			w := &it.Ways[k]
			if !r.Fits(w.For) {
				continue
			}
			add(wayKey(string(w.Do), it.ID, w), w.Out, w.People)
			if w.Do.Clears() {
				add(wayKey("refit", it.ID, w), w.Back, w.People)
			}
		}
	}
	for i := range r.Guide.Checks {
		addCheck(r, &r.Guide.Checks[i], add)
	}
	for _, cond := range r.Guide.Conditions {
		for _, ch := range cond.Changes {
			add(fmt.Sprintf("%s=%s", cond.ID, ch.To), ch.Minutes, ch.People)
		}
	}
	return out
}

func addCheck(r *guide.Resolved, k *guide.Check, add func(string, time.Duration, int)) {
	ways := k.Ways
	if it := r.Item(k.Point); len(ways) == 0 && it != nil {
		ways = it.Ways
	}
	for i := range ways {
		if w := &ways[i]; w.Do == guide.Measure && r.Fits(w.For) {
			add(wayKey(string(guide.Measure), k.ID, w), w.Out+k.Minutes, w.People)
		}
	}
	add(wayKey(string(guide.Measure), k.ID, nil), k.Minutes, 1)
}

// fullKey finds the operation that a shortened key means: the key itself, or
// the only one that begins with it and goes on with a place.
func fullKey(times map[string]time.Duration, key string) (string, bool) {
	key = strings.Join(strings.Fields(key), " ")
	if _, ok := times[key]; ok {
		return key, true
	}
	found := ""
	for k := range times {
		if strings.HasPrefix(k, key+" from ") {
			if found != "" {
				return "", false
			}
			found = k
		}
	}
	return found, found != ""
}
