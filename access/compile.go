package access

import (
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
)

// compiler builds a model from a request, following what the tasks can need.
type compiler struct {
	m      *model
	r      *guide.Resolved
	lookup *lookup
	people int

	keepClosed bool      // keep ways that are not open, with what closes them
	blocks     []block   // what closes ways, in order of discovery
	wayBlocks  [][]int32 // by way, when keepClosed
	chgBlocks  [][]int32 // by change

	itemOf   map[guide.ID]int32
	condOf   map[guide.ID]int32
	placeOf  map[guide.ID]int32
	toolOf   map[guide.ID]int32
	hireOf   map[guide.ID]int32
	found    map[guide.ID]standing
	open     map[guide.ID]bool // left open
	openAll  bool
	given    map[guide.ID]guide.ID
	missing  map[guide.ID]bool
	expanded []bool
	taken    []bool // by item: some way takes it along
	queue    []int32
}

// lookup finds the parts of a guide by name.
type lookup struct {
	tools    map[guide.ID]*guide.Tool
	parts    map[guide.ID]*guide.Part
	fluids   map[guide.ID]*guide.Fluid
	cautions map[guide.ID]*guide.Caution
	items    map[guide.ID]int
	takers   map[guide.ID][]guide.ID // items with a way that takes the item along
}

func newLookup(r *guide.Resolved) *lookup {
	g := r.Guide
	l := &lookup{
		tools: map[guide.ID]*guide.Tool{}, parts: map[guide.ID]*guide.Part{}, fluids: map[guide.ID]*guide.Fluid{},
		cautions: map[guide.ID]*guide.Caution{}, items: map[guide.ID]int{}, takers: map[guide.ID][]guide.ID{},
	}
	for i := range g.Tools {
		l.tools[g.Tools[i].ID] = &g.Tools[i]
	}
	for i := range g.Parts {
		l.parts[g.Parts[i].ID] = &g.Parts[i]
	}
	for i := range g.Fluids {
		l.fluids[g.Fluids[i].ID] = &g.Fluids[i]
	}
	for i := range g.Cautions {
		l.cautions[g.Cautions[i].ID] = &g.Cautions[i]
	}
	for i := range r.Items {
		l.items[r.Items[i].ID] = i
		l.addTaker(&r.Items[i])
	}
	return l
}

func (l *lookup) addTaker(it *guide.Item) {
	for k := range it.Ways {
		for _, id := range it.Ways[k].Together {
			if it.Ways[k].Do.Clears() && !slices.Contains(l.takers[id], it.ID) {
				l.takers[id] = append(l.takers[id], it.ID)
			}
		}
	}
}

// compile builds the model of a request that has been checked.
func (p *Planner) compile(req plan.Request, keepClosed bool) *compiler {
	c := newCompiler(p.r, p.lookup, req)
	c.keepClosed = keepClosed
	for _, s := range req.Found {
		c.track(s.Item)
	}
	for i := range req.Tasks {
		c.addTask(i)
	}
	c.addStandingConditions()
	c.drain()
	c.finish()
	return c
}

func newCompiler(r *guide.Resolved, l *lookup, req plan.Request) *compiler {
	c := &compiler{
		m: &model{r: r, req: req}, r: r, lookup: l, people: max(req.People, 1),
		itemOf: map[guide.ID]int32{}, condOf: map[guide.ID]int32{}, placeOf: map[guide.ID]int32{},
		toolOf: map[guide.ID]int32{}, hireOf: map[guide.ID]int32{}, found: map[guide.ID]standing{},
		open: map[guide.ID]bool{}, given: map[guide.ID]guide.ID{}, missing: map[guide.ID]bool{},
	}
	for _, s := range req.Found {
		c.found[s.Item] = aside
		if s.Off {
			c.found[s.Item] = off
		}
	}
	for _, s := range req.Given {
		c.given[s.Condition] = s.Value
	}
	for _, id := range req.LeaveOpen {
		c.open[id] = true
		c.openAll = c.openAll || id == everything
	}
	for _, id := range req.Missing {
		c.missing[id] = true
	}
	c.setPrices()
	return c
}

// everything is the name that stands for every item or condition.
const everything = guide.ID("all")

func (c *compiler) setPrices() {
	m, req := c.m, c.m.req
	m.cost = pricer{byMoney: req.By != plan.ByMinutes, rate: int64(req.Rate)}
	m.moveTime, m.swapTime = ms(c.r.Guide.Setup.Move), ms(c.r.Guide.Setup.Tool)
	m.move, m.swap = m.cost.time(m.moveTime), m.cost.time(m.swapTime)
	m.waitPrice = 1
	if m.cost.byMoney {
		m.waitPrice = int64(req.WaitRate)
		if req.WaitRate == 0 {
			m.waitPrice = int64(req.Rate)
		}
	}
}

// track gives the item a number, or none when the variant does not have it.
func (c *compiler) track(id guide.ID) int32 {
	if i, ok := c.itemOf[id]; ok {
		return i
	}
	index, ok := c.lookup.items[id]
	if !ok {
		c.itemOf[id] = none
		return none
	}
	i := int32(len(c.m.items))
	c.itemOf[id] = i
	c.m.items = append(c.m.items, item{id: id, index: int32(index), found: c.found[id], open: c.openAll || c.open[id]})
	c.expanded = append(c.expanded, false)
	c.taken = append(c.taken, false)
	if c.found[id] != on {
		c.expand(i)
	}
	return i
}

// expand asks for the clearing ways of the item and of those that take it along.
func (c *compiler) expand(i int32) {
	if i == none || c.expanded[i] {
		return
	}
	c.expanded[i] = true
	c.queue = append(c.queue, i)
	for _, id := range c.lookup.takers[c.m.items[i].id] {
		c.expand(c.track(id))
	}
}

// drain compiles the ways of all items asked for, which may ask for more.
func (c *compiler) drain() {
	for head := 0; head < len(c.queue); head++ {
		c.addClearingWays(c.queue[head])
	}
	c.queue = nil
}

func (c *compiler) addClearingWays(i int32) {
	it := &c.r.Items[c.m.items[i].index]
	for k := range it.Ways {
		g := &it.Ways[k]
		if !g.Do.Clears() || !c.r.Fits(g.For) {
			continue
		}
		w, closed := c.way(g, it.ID, it.Cautions, nil)
		w.item, w.task, w.index, w.takesOff = i, none, int32(k), g.Do == guide.Off
		n, kept := c.keepWay(w, closed)
		if !kept {
			continue
		}
		c.m.ways[n].nth = int32(len(c.m.items[i].clear))
		c.m.items[i].clear = append(c.m.items[i].clear, n)
		for _, o := range c.m.ways[n].together {
			c.m.items[o].taken = append(c.m.items[o].taken, n)
		}
		if c.m.items[i].found == standingOf(g.Do) {
			c.m.items[i].back = append(c.m.items[i].back, n)
		}
	}
}

func standingOf(v guide.Verb) standing {
	if v == guide.Off {
		return off
	}
	return aside
}

// keepWay stores the way unless something closes it.
func (c *compiler) keepWay(w way, closed []block) (int32, bool) {
	if len(closed) > 0 && !c.keepClosed {
		return none, false
	}
	c.m.ways = append(c.m.ways, w)
	if c.keepClosed {
		c.wayBlocks = append(c.wayBlocks, c.blockNumbers(closed))
	}
	return int32(len(c.m.ways) - 1), true
}

func (c *compiler) addTask(n int) {
	t := c.m.req.Tasks[n]
	own := task{before: t.Before, proof: t.Proof}
	for _, a := range t.After {
		own.after = append(own.after, int32(a))
	}
	c.m.tasks = append(c.m.tasks, own)
	src := c.sourceOf(t)
	for k := range src.ways {
		g := &src.ways[k]
		if g.Do != t.Verb || !c.r.Fits(g.For) {
			continue
		}
		c.addTaskWay(n, src, g, int32(k))
	}
	if src.bare {
		c.addTaskWay(n, src, &guide.Way{Do: guide.Measure}, -1)
	}
}

func (c *compiler) addTaskWay(n int, src source, g *guide.Way, index int32) {
	w, closed := c.way(g, src.owner, src.cautions, src.check)
	w.item, w.task, w.index = none, int32(n), index
	if i, kept := c.keepWay(w, closed); kept {
		c.m.tasks[n].ways = append(c.m.tasks[n].ways, i)
	}
}

// source says where the ways of a task come from.
type source struct {
	owner    guide.ID
	ways     []guide.Way
	cautions []guide.ID
	check    *guide.Check
	bare     bool // a check with neither ways nor a point
}

func (c *compiler) sourceOf(t plan.Task) source {
	check := c.r.Check(t.On)
	if t.Verb != guide.Measure || check == nil {
		if it := c.r.Item(t.On); it != nil {
			return source{owner: it.ID, ways: it.Ways, cautions: it.Cautions}
		}
		return source{}
	}
	if slices.ContainsFunc(check.Ways, func(w guide.Way) bool { return w.Do == guide.Measure }) {
		return source{owner: check.ID, ways: check.Ways, check: check}
	}
	if check.Point == "" {
		return source{owner: check.ID, check: check, bare: true}
	}
	if it := c.r.Item(check.Point); it != nil {
		return source{owner: it.ID, ways: it.Ways, cautions: it.Cautions, check: check}
	}
	return source{}
}

// addStandingConditions takes in every condition that has to change by the end
// or whose value at the start demands something.
func (c *compiler) addStandingConditions() {
	for i := range c.r.Guide.Conditions {
		g := &c.r.Guide.Conditions[i]
		start := g.Start
		if v, ok := c.given[g.ID]; ok {
			start = v
		}
		if end := c.endOf(g, start); end != "" && end != start {
			c.cond(g.ID)
			continue
		}
		for _, v := range g.Values {
			if v.ID == start && c.demandsAnything(&v) {
				c.cond(g.ID)
			}
		}
	}
}

func (c *compiler) demandsAnything(v *guide.Value) bool {
	return len(v.Fitted) > 0 || len(v.With) > 0 || slices.ContainsFunc(v.Cautions, func(id guide.ID) bool {
		k := c.lookup.cautions[id]
		return k != nil && len(k.Safe) > 0
	})
}

// endOf returns the value that the condition must end with, or "" for any.
func (c *compiler) endOf(g *guide.Condition, start guide.ID) guide.ID {
	switch {
	case c.openAll || c.open[g.ID] || g.End == guide.AnyEnd:
		return ""
	case g.End == "" || g.End == guide.AsFound:
		return start
	}
	return guide.ID(g.End)
}

// finish fills in what needs the whole model.
func (c *compiler) finish() {
	m := c.m
	m.mustReturn = make([]bool, len(m.items))
	for i := range m.items {
		it := &m.items[i]
		m.mustReturn[i] = !it.open
	}
	for i := range m.tasks {
		if m.tasks[i].before {
			m.before = append(m.before, int32(i))
		}
		if m.tasks[i].proof {
			m.proof = append(m.proof, int32(i))
		}
	}
	for i := range m.conds {
		m.setBack(int32(i))
	}
}
