package access

import (
	"math"
	"math/bits"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// ms rounds a time of the guide to whole milliseconds.
func ms(d time.Duration) int64 { return d.Round(time.Millisecond).Milliseconds() }

// way compiles what a way asks and costs, and says what closes it. For a check
// the minutes, instruments, conditions and cautions of the check come on top.
func (c *compiler) way(g *guide.Way, owner guide.ID, itemCautions []guide.ID, check *guide.Check) (way, []block) {
	w := way{verb: g.Do, owner: owner}
	reqs, tools, cautions := g.With, g.Tools, slices.Concat(g.Cautions, itemCautions)
	out := ms(g.Out)
	if check != nil {
		out += ms(check.Minutes)
		reqs, tools = slices.Concat(reqs, check.With), slices.Concat(tools, check.Instrument)
		cautions = slices.Concat(cautions, check.Cautions)
		w.all = check.Closed
	}
	w.needs = c.needs(g.Needs)
	c.addFitted(&w.terms, g.Fitted)
	c.addReqs(&w.terms, reqs)
	c.addSafe(&w.terms, cautions)
	for _, id := range g.Together {
		if i := c.track(id); i != none && id != owner {
			w.together = append(w.together, i)
			c.taken[i] = true
			if it := &c.m.items[i]; !it.open && (c.openAll || c.open[owner]) {
				it.demands = true // it has to come back while the owner may stay off
			}
			c.expandIfDemanded(i)
		}
	}
	w.place, w.tool, w.hires = c.place(g.From), c.firstTool(tools), c.hires(tools)
	people := int64(max(g.People, 1))
	w.out = c.price(out, people, nil, g.Risks)
	if g.Do.Clears() {
		w.back = c.price(ms(g.Back), people, g.Uses, nil)
	} else {
		w.out = c.price(out, people, g.Uses, g.Risks)
	}
	return w, slices.Concat(c.closedByTools(tools), c.closedByPeople(g.People), c.closedByCautions(cautions))
}

func (c *compiler) needs(list []guide.Need) []need {
	var needs []need
	for _, n := range list {
		if i := c.track(n.Item); i != none {
			c.expand(i)
			needs = append(needs, need{item: i, off: n.Off})
		}
	}
	return needs
}

// addFitted adds items that must be on.
func (c *compiler) addFitted(t *terms, list []guide.ID) {
	for _, id := range list {
		if id == everything {
			t.all = true
			continue
		}
		if i := c.track(id); i != none {
			t.fitted = append(t.fitted, i)
			c.m.items[i].demands = true
			c.expandIfDemanded(i)
		}
	}
}

// expandIfDemanded asks for the ways of an item that some way takes along and
// that something else wants fitted: clearing it first keeps it out of the
// assembly.
func (c *compiler) expandIfDemanded(i int32) {
	if c.taken[i] && c.m.items[i].demands {
		c.expand(i)
	}
}

func (c *compiler) addReqs(t *terms, list []guide.Req) {
	for _, r := range list {
		q := req{cond: c.cond(r.Condition), value: none, not: r.Not}
		if q.cond != none {
			q.value = int32(slices.Index(c.m.conds[q.cond].values, r.Value))
		}
		t.reqs = append(t.reqs, q)
	}
}

// addSafe adds the conditions that make the cautions safe.
func (c *compiler) addSafe(t *terms, cautions []guide.ID) {
	for _, id := range cautions {
		if k := c.lookup.cautions[id]; k != nil {
			c.addReqs(t, k.Safe)
		}
	}
}

func (c *compiler) place(id guide.ID) int32 {
	if id == "" {
		return none
	}
	return number(c.placeOf, &c.m.places, id)
}

func (c *compiler) firstTool(tools []guide.ID) int32 {
	if len(tools) == 0 {
		return none
	}
	return number(c.toolOf, &c.m.tools, tools[0])
}

func number(of map[guide.ID]int32, list *[]guide.ID, id guide.ID) int32 {
	i, ok := of[id]
	if !ok {
		i = int32(len(*list))
		of[id] = i
		*list = append(*list, id)
	}
	return i
}

// hires lists the tools that have to be hired.
func (c *compiler) hires(tools []guide.ID) []int32 {
	var list []int32
	for _, id := range tools {
		t := c.lookup.tools[id]
		if !c.missing[id] || t == nil || t.Hire == nil {
			continue
		}
		h, ok := c.hireOf[id]
		if !ok {
			h = int32(len(c.m.hires))
			c.hireOf[id] = h
			c.m.hires = append(c.m.hires, hire{tool: id, price: *t.Hire, objective: c.m.cost.money(*t.Hire)})
		}
		if !slices.Contains(list, h) {
			list = append(list, h)
		}
	}
	return list
}

// cond gives the condition a number, compiling its values and changes, or none
// when the guide does not have it.
func (c *compiler) cond(id guide.ID) int32 {
	if i, ok := c.condOf[id]; ok {
		return i
	}
	g := c.r.Condition(id)
	if g == nil {
		c.condOf[id] = none
		return none
	}
	i := int32(len(c.m.conds))
	c.condOf[id] = i
	start := g.Start
	if v, ok := c.given[id]; ok {
		start = v
	}
	own := cond{id: id, index: int32(slices.IndexFunc(c.r.Guide.Conditions, func(x guide.Condition) bool { return x.ID == id })), end: none}
	for _, v := range g.Values {
		own.values = append(own.values, v.ID)
	}
	own.start = int32(slices.Index(own.values, start))
	own.found = own.start
	if end := c.endOf(g, start); end != "" {
		own.end = int32(slices.Index(own.values, end))
	}
	own.demand = make([]terms, len(g.Values))
	c.m.conds = append(c.m.conds, own)
	for v := range g.Values {
		var t terms
		c.addFitted(&t, g.Values[v].Fitted)
		c.addReqs(&t, g.Values[v].With)
		c.addSafe(&t, g.Values[v].Cautions)
		c.m.conds[i].demand[v] = t
	}
	for k := range g.Changes {
		c.addChange(i, g, k)
	}
	return i
}

func (c *compiler) addChange(i int32, g *guide.Condition, k int) {
	h := &g.Changes[k]
	own := change{
		cond: i, index: int32(k), wait: ms(h.Wait),
		from: int32(slices.Index(c.m.conds[i].values, h.From)), to: int32(slices.Index(c.m.conds[i].values, h.To)),
	}
	if own.from < 0 || own.to < 0 || own.from == own.to {
		return
	}
	cautions := slices.Concat(h.Cautions, g.Values[own.to].Cautions)
	closed := slices.Concat(c.closedByTools(h.Tools), c.closedByPeople(h.People), c.closedByCautions(cautions))
	if h.WaitUnknown {
		closed = append(closed, block{condition: g.ID, change: k, unknownWait: true})
	}
	if len(closed) > 0 && !c.keepClosed {
		return
	}
	own.needs = c.needs(h.Needs)
	c.addFitted(&own.terms, h.Fitted)
	c.addReqs(&own.terms, h.With)
	c.addSafe(&own.terms, h.Cautions)
	own.place, own.tool, own.hires = c.place(h.Place), c.firstTool(h.Tools), c.hires(h.Tools)
	own.cost = c.price(ms(h.Minutes), int64(max(h.People, 1)), h.Uses, nil)
	c.m.conds[i].changes = append(c.m.conds[i].changes, int32(len(c.m.changes)))
	c.m.changes = append(c.m.changes, own)
	if c.keepClosed {
		c.chgBlocks = append(c.chgBlocks, c.blockNumbers(closed))
	}
}

// price computes what a step costs.
func (c *compiler) price(elapsed, people int64, uses []guide.Use, risks []guide.Risk) price {
	p := price{elapsed: elapsed, hands: elapsed * people}
	for _, u := range uses {
		part, fluid := c.lookup.parts[u.What], c.lookup.fluids[u.What]
		switch {
		case u.Litres && fluid != nil:
			p.fluids += times(u.Count, fluid.PerLitre)
		case !u.Litres && part != nil:
			p.parts += times(u.Count, part.Price)
		}
	}
	rate := int64(c.m.req.Rate)
	for _, k := range risks {
		p.risk += expected(int64(k.Times), int64(k.Of), int64(k.Price)*plan.CentPerObjective+rate*ms(k.Minutes))
	}
	p.objective = c.m.cost.total(p.hands, p.parts, p.fluids, p.risk)
	return p
}

// times multiplies a price by a count, rounded half away from zero.
func times(count float64, a money.Amount) money.Amount {
	return money.Amount(math.Round(count * float64(a)))
}

// expected returns n/of of the value, rounded to the nearest whole number,
// halves up. Of 0 is no risk.
func expected(n, of, value int64) int64 {
	if of <= 0 || n <= 0 || value <= 0 {
		return 0
	}
	hi, lo := bits.Mul64(uint64(n), uint64(value))
	lo, carry := bits.Add64(lo, uint64(of)/2, 0)
	hi += carry
	if hi >= uint64(of) {
		return far
	}
	q, _ := bits.Div64(hi, lo, uint64(of))
	return int64(min(q, uint64(far)))
}

// setBack computes the cheapest way from every value to the end of the
// condition, waits not counted.
func (m *model) setBack(i int32) {
	costs := make([]int64, len(m.changes))
	for k := range m.changes {
		costs[k] = m.changes[k].cost.objective
	}
	m.conds[i].back = m.backOf(i, costs)
}

// backOf computes the cheapest way from every value of a condition to its end
// under the given costs of changes.
func (m *model) backOf(i int32, costs []int64) []int64 {
	c := &m.conds[i]
	back := make([]int64, len(c.values))
	if c.end == none {
		return back
	}
	for v := range back {
		back[v] = far
	}
	back[c.end] = 0
	for range c.values {
		for _, k := range c.changes {
			h := &m.changes[k]
			back[h.from] = min(back[h.from], back[h.to]+costs[k])
		}
	}
	return back
}
