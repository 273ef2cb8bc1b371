package access

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/access/andor"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/span"
)

// blockers names a smallest set of facts that makes the request impossible:
// what closes ways, what nothing brings about, or tasks that exclude each
// other.
func (p *Planner) blockers(o *optimizer) []plan.Blocker {
	if o.pure.Outcome != andor.Impossible && o.base < far {
		return p.clashing(o)
	}
	c := p.compile(o.m.req, true)
	b := &blocking{p: p, c: c, m: c.m, w: newMachine(c.m)}
	if list := b.unending(); len(list) > 0 {
		return list
	}
	if list := b.smallest(o.lim); len(list) > 0 {
		return list
	}
	return p.clashing(o)
}

// blocking explains an impossible choice on the model with its closed ways.
type blocking struct {
	p *Planner
	c *compiler
	m *model
	w *machine
	x *relaxation
}

// unending names conditions that no chain of changes brings to their end.
func (b *blocking) unending() []plan.Blocker {
	for i := range b.m.conds {
		k := &b.m.conds[i]
		if k.end != none && k.back[k.start] >= far {
			return []plan.Blocker{{Condition: k.id, Says: fmt.Sprintf("no change leads %s from %s to %s, where it has to end; add one to the guide or leave the condition open", k.id, k.values[k.start], k.values[k.end])}}
		}
	}
	return nil
}

// smallest solves for the fewest facts that would have to be given.
func (b *blocking) smallest(lim Limits) []plan.Blocker {
	var err error
	if b.x, err = b.w.relax(false); err != nil {
		return nil
	}
	prob := b.x.prob
	first := prob.Facts
	prob.Facts += len(b.c.blocks)
	prob.Ops = slices.Clone(prob.Ops)
	shut := func(op int32, blocks []int32) {
		if op == none {
			return
		}
		pre := slices.Clone(prob.Ops[op].Pre)
		for _, n := range blocks {
			pre = append(pre, int32(first)+n)
		}
		prob.Ops[op].Pre = pre
	}
	for n, blocks := range b.c.wayBlocks {
		shut(b.x.clear[n], blocks)
		shut(b.x.back[n], blocks)
		shut(b.x.do[n], blocks)
	}
	for k, blocks := range b.c.chgBlocks {
		shut(b.x.change[k], blocks)
	}
	q := b.x.query(b.w.first())
	prob.Start, prob.Goals = q.Start, q.Goals
	res := andor.Blockers(&prob, nil, andor.Limits{Stop: lim.Stop, Nodes: lim.Nodes})
	var list []plan.Blocker
	for _, f := range res.Facts {
		if int(f) >= first {
			list = append(list, b.p.said(b.c.blocks[int(f)-first]))
		} else {
			list = append(list, b.fact(f))
		}
	}
	return list
}

// said puts what closes a way into words.
func (p *Planner) said(k block) plan.Blocker {
	switch {
	case k.tool != "":
		return plan.Blocker{Tool: k.tool, Says: fmt.Sprintf("%s is not at hand and cannot be hired; get it", p.toolName(k.tool))}
	case k.caution != "":
		c := p.lookup.cautions[k.caution]
		return plan.Blocker{Caution: k.caution, Says: fmt.Sprintf("caution %s asks for a value that only the maker knows: %s; write the answer into the guide", k.caution, c.Ask)}
	case k.unknownWait:
		return plan.Blocker{Condition: k.condition, Says: fmt.Sprintf("only the maker knows how long the change of %s takes; write the wait into the guide", k.condition)}
	}
	return plan.Blocker{Says: fmt.Sprintf("%d people are needed at once; say that so many are there", k.people)}
}

func (p *Planner) toolName(id guide.ID) string {
	if t := p.lookup.tools[id]; t != nil && t.Name != "" {
		return t.Name + " (" + string(id) + ")"
	}
	return string(id)
}

// fact puts a fact that cannot be brought about into words.
func (b *blocking) fact(n int32) plan.Blocker {
	f := &b.x.facts
	switch {
	case n < f.value:
		return b.itemFact(&b.m.items[n/perItem], n%perItem)
	case n < f.task:
		return b.valueFact(n)
	case n < f.hire:
		return b.taskFact(n - f.task)
	}
	return plan.Blocker{Says: "something that nothing provides is needed"}
}

func (b *blocking) itemFact(it *item, sort int32) plan.Blocker {
	k := plan.Blocker{Item: it.id}
	switch {
	case sort == factOn || sort == factReady:
		k.Says = fmt.Sprintf("%s was not found on and no way of this variant brings it back", it.id)
	case len(it.clear) == 0 && len(it.taken) == 0:
		k.Says = fmt.Sprintf("%s is in the way and nothing takes it aside or off on this variant", it.id)
	case sort == factOff:
		k.Says = fmt.Sprintf("%s has to come off and no way gets there without it being off already", it.id)
	default:
		k.Says = fmt.Sprintf("%s is in the way of everything that would clear it", it.id)
	}
	return k
}

func (b *blocking) valueFact(n int32) plan.Blocker {
	f := &b.x.facts
	for c := len(f.valueAt) - 1; c >= 0; c-- {
		if n < f.valueAt[c] {
			continue
		}
		k := &b.m.conds[c]
		v := k.values[(n-f.valueAt[c])/2]
		if (n-f.valueAt[c])%2 == 1 {
			return plan.Blocker{Condition: k.id, Says: fmt.Sprintf("%s has to be something else than %s and no change leads there", k.id, v)}
		}
		return plan.Blocker{Condition: k.id, Says: fmt.Sprintf("%s has to be %s and no change leads there", k.id, v)}
	}
	return plan.Blocker{}
}

func (b *blocking) taskFact(t int32) plan.Blocker {
	task := b.m.req.Tasks[t]
	k := plan.Blocker{Item: task.On}
	own := &b.m.tasks[t]
	switch {
	case len(own.ways) == 0:
		k.Says = fmt.Sprintf("no way of this variant does %s", task) + b.p.otherVerbs(task)
	case len(own.after) > 0:
		k.Says = fmt.Sprintf("%s waits for tasks that wait for it", task)
	case own.before:
		k.Says = fmt.Sprintf("no way does %s as the machine is found, before anything is touched", task)
	default:
		k.Says = fmt.Sprintf("every way of %s asks for a condition or value that the guide does not have", task)
	}
	return k
}

// otherVerbs says what can be done on the item of a task, or which verb was
// meant.
func (p *Planner) otherVerbs(t plan.Task) string {
	it := p.r.Item(t.On)
	if it == nil {
		return ""
	}
	var own []string
	for _, w := range it.Ways {
		if v := string(w.Do); !w.Do.Clears() && p.r.Fits(w.For) && !slices.Contains(own, v) {
			own = append(own, v)
		}
	}
	if len(own) > 0 {
		return "; there are ways to " + strings.Join(own, ", ") + " it"
	}
	if near := span.Nearest(string(t.Verb), p.verbs()); len(near) > 0 && near[0] != string(t.Verb) {
		return "; did you mean " + near[0] + "?"
	}
	return "; add one to the guide"
}

// clashing names a smallest set of tasks that no order of steps does in one
// visit, found by leaving out one task after the other.
func (p *Planner) clashing(o *optimizer) []plan.Blocker {
	lim := Limits{Stop: o.lim.Stop, Nodes: clashStates}
	keep := make([]bool, len(o.m.req.Tasks))
	for i := range keep {
		keep[i] = true
	}
	for i := range keep {
		keep[i] = false
		if !p.impossible(withTasks(o.m.req, keep), lim) {
			keep[i] = true
		}
	}
	var words []string
	for i, t := range o.m.req.Tasks {
		if keep[i] {
			words = append(words, t.String())
		}
	}
	if len(words) == 0 {
		return []plan.Blocker{{Says: "no order of steps brings the machine from how it was found to how it has to end"}}
	}
	return p.clashWords(withTasks(o.m.req, keep), words, lim)
}

// clashStates limits each search for clashing tasks.
const clashStates = 20_000

func (p *Planner) clashWords(req plan.Request, words []string, lim Limits) []plan.Blocker {
	says := strings.Join(words, " and ") + " exclude each other in one visit: what one needs the other forbids"
	if len(words) == 1 {
		says = words[0] + " cannot be done: what its ways need at once excludes each other"
		req.LeaveOpen = []guide.ID{everything}
		if !p.impossible(req, lim) {
			says = words[0] + " can be done, and then no order of steps puts everything back; leave the machine open or look for what keeps it from closing"
		}
	}
	var list []plan.Blocker
	for _, t := range req.Tasks {
		list = append(list, plan.Blocker{Item: t.On, Says: says})
	}
	return list
}

func (p *Planner) impossible(req plan.Request, lim Limits) bool {
	return solve(p.compile(req, false).m, lim).outcome() == plan.Impossible
}

// withTasks returns the request with only the tasks kept; orders among them
// stay.
func withTasks(req plan.Request, keep []bool) plan.Request {
	newIndex := make([]int, len(keep))
	var tasks []plan.Task
	for i := range keep {
		if keep[i] {
			newIndex[i] = len(tasks)
			tasks = append(tasks, req.Tasks[i])
		}
	}
	for i := range tasks {
		var after []int
		for _, a := range tasks[i].After {
			if keep[a] {
				after = append(after, newIndex[a])
			}
		}
		tasks[i].After = after
	}
	req.Tasks = tasks
	return req
}

// whyClosed says why a way cannot be used.
func (p *Planner) whyClosed(req plan.Request, a plan.Act) []plan.Blocker {
	c := newCompiler(p.r, p.lookup, req)
	c.keepClosed = true
	for i := range req.Tasks {
		c.addTask(i)
	}
	if a.Verb.Clears() {
		c.expand(c.track(a.Item))
	}
	c.drain()
	n := c.m.wayOf(a)
	if n == none {
		return []plan.Blocker{{Item: a.Item, Says: fmt.Sprintf("this way of %s is for another variant", a.Item)}}
	}
	var list []plan.Blocker
	for _, k := range c.wayBlocks[n] {
		list = append(list, p.said(c.blocks[k]))
	}
	return list
}

// Avoided names the maker's values that nobody has written down and that close
// ways or changes which could have served the request. A plan goes round them;
// with the answer it may become cheaper.
func (p *Planner) Avoided(req plan.Request) ([]plan.Blocker, error) {
	if err := p.check(req); err != nil {
		return nil, err
	}
	var list []plan.Blocker
	for _, k := range p.compile(req, true).blocks {
		if k.caution != "" || k.unknownWait {
			list = append(list, p.said(k))
		}
	}
	return list, nil
}
