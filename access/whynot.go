package access

import (
	"fmt"
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/span"
)

// WhyNot says what the visit would cost if a way were taken that the best plan
// leaves: a way of one of the tasks (of its item or check), or a clearing way
// of an item. Dear lists the steps that make it so. A way that cannot be used
// at all comes back Impossible with what stands in its way; one that does not
// exist is an *InputError.
func (p *Planner) WhyNot(req plan.Request, a plan.Act, lim Limits) (plan.WhyNot, error) {
	if err := p.check(req); err != nil {
		return plan.WhyNot{}, err
	}
	if err := p.checkAct(req, a); err != nil {
		return plan.WhyNot{}, err
	}
	lim = lim.latched()
	best := solve(p.compile(req, false).m, lim)
	out := plan.WhyNot{Act: a}
	forced := p.forced(req, a)
	if forced == nil {
		out.Outcome, out.Blockers = plan.Impossible, p.whyClosed(req, a)
		return out, nil
	}
	s := solve(forced, lim).solution()
	out.Outcome = s.outcome
	if s.cost >= far {
		if s.outcome == plan.Impossible {
			out.Blockers = []plan.Blocker{{Item: a.Item, Says: fmt.Sprintf("no order of steps takes %s by that way, does the work and puts everything back", a.Item)}}
		}
		return out, nil
	}
	s.acts = s.realActs(len(req.Tasks))
	out.Plan = s.plan(lim.Stop)
	if best.cost < far {
		old := best.solution()
		was := old.plan(lim.Stop)
		out.Extra = out.Plan.Cost.Less(was.Cost)
		uses := best.m.uses(best.acts)
		out.Taken = slices.ContainsFunc(uses, func(u use) bool { return u.item == a.Item && u.verb == a.Verb && int(u.way) == a.Way })
		for _, d := range differences(s.m.uses(s.acts), uses) {
			if d.Sort == plan.OtherWay || d.Sort == plan.AlsoClear || d.Sort == plan.AlsoSet {
				out.Dear = append(out.Dear, d)
			}
		}
	}
	return out, nil
}

// realActs leaves out the tasks that were only added to force something.
func (s *solution) realActs(tasks int) []act {
	return slices.DeleteFunc(slices.Clone(s.acts), func(a act) bool {
		return a.kind == doTask && int(s.m.ways[a.way].task) >= tasks
	})
}

// checkAct refuses a way that the guide does not have.
func (p *Planner) checkAct(req plan.Request, a plan.Act) error {
	ways, ok := p.waysOf(a.Item)
	says := ""
	switch {
	case !ok:
		says = "no item or check of this variant has that name"
	case a.Way < 0 || a.Way >= len(ways):
		says = fmt.Sprintf("there are ways 0 to %d", len(ways)-1)
	case ways[a.Way].Do != a.Verb:
		says = fmt.Sprintf("way %d is %s", a.Way, ways[a.Way].Do)
	case !a.Verb.Clears() && len(p.tasksBy(req, a)) == 0:
		says = "no task of the visit is done by that way"
	default:
		return nil
	}
	return &InputError{Findings: span.List{{Severity: span.Error, Rule: "unknown-way", Where: "act", Text: fmt.Sprintf("%s %s way %d", a.Verb, a.Item, a.Way), Says: says, Do: "name a way of the guide"}}}
}

func (p *Planner) waysOf(id guide.ID) ([]guide.Way, bool) {
	if it := p.r.Item(id); it != nil {
		return it.Ways, true
	}
	if c := p.r.Check(id); c != nil {
		return c.Ways, true
	}
	return nil, false
}

// tasksBy lists the tasks that may be done by the way.
func (p *Planner) tasksBy(req plan.Request, a plan.Act) []int {
	c := newCompiler(p.r, p.lookup, req)
	var list []int
	for i, t := range req.Tasks {
		if src := c.sourceOf(t); src.owner == a.Item && t.Verb == a.Verb {
			list = append(list, i)
		}
	}
	return list
}

// forced returns the model of the request in which the way has to be taken:
// for a clearing way the other ways of the item are shut and a task without
// minutes waits for the item; for a task way the other ways of the task are
// shut. It is nil when the way is not open.
func (p *Planner) forced(req plan.Request, a plan.Act) *model {
	c := newCompiler(p.r, p.lookup, req)
	for _, s := range req.Found {
		c.track(s.Item)
	}
	for i := range req.Tasks {
		c.addTask(i)
	}
	if a.Verb.Clears() {
		c.expand(c.track(a.Item))
	}
	c.addStandingConditions()
	c.drain()
	c.finish()
	m := c.m
	only := m.wayOf(a)
	if only == none {
		return nil
	}
	y := &m.ways[only]
	if y.task != none {
		return m.cut(func(n int32) bool {
			o := &m.ways[n]
			return n == only || o.task != y.task
		}, every)
	}
	item := y.item
	extra := way{item: none, task: int32(len(m.tasks)), owner: a.Item, index: -1, place: none, tool: none}
	extra.needs = []need{{item: item, off: y.takesOff}}
	m.tasks = append(m.tasks, task{ways: []int32{int32(len(m.ways))}})
	m.ways = append(m.ways, extra)
	return m.cut(func(n int32) bool {
		return n == only || m.ways[n].item != item && !slices.Contains(m.ways[n].together, item)
	}, every)
}

// wayOf finds the way of the model that the act names, or none.
func (m *model) wayOf(a plan.Act) int32 {
	for n := range m.ways {
		y := &m.ways[n]
		if y.owner == a.Item && y.verb == a.Verb && int(y.index) == a.Way {
			return int32(n)
		}
	}
	return none
}
