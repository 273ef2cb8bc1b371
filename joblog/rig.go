package joblog

import (
	"errors"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// rig is the machine as far as the log has got: the replay by plan/audit, and
// what lies in the tray.
type rig struct {
	r     *guide.Resolved
	pin   Pin
	req   plan.Request
	state *audit.State
	ends  map[guide.ID]guide.ID // value that a condition must have when the job is closed; missing for any

	// held names, for items that came away with another, the other. The replay
	// knows it too, until a step that it does not allow makes it start afresh.
	held     map[guide.ID]guide.ID
	openings map[guide.ID]*opening // the last of each item
	order    []guide.ID            // of openings
	needs    []*need
	lies     map[guide.ID]string
	removed  map[guide.ID]*placed
	unsure   map[guide.ID]bool // items and conditions of disputed or refused steps
	touched  *placed           // the last step that took something off or put it back
	worked   bool              // a task other than a check was done
}

// newRig sets up the machine for a plan. before is the rig of the plan that it
// replaces, nil for the first: what the log knows of it holds on.
func newRig(r *guide.Resolved, pin Pin, req plan.Request, before *rig) (*rig, error) {
	g := &rig{
		r: r, pin: pin, req: req, ends: map[guide.ID]guide.ID{}, held: map[guide.ID]guide.ID{},
		openings: map[guide.ID]*opening{}, lies: map[guide.ID]string{},
		removed: map[guide.ID]*placed{}, unsure: map[guide.ID]bool{},
	}
	if before != nil {
		g.inherit(before)
	}
	state, err := audit.NewState(r, g.req)
	if err != nil {
		return nil, err
	}
	g.state = state
	g.findEnds(before)
	for _, f := range g.req.Found {
		if g.openings[f.Item] == nil {
			g.open(nil, f.Item, f.Off)
		}
	}
	return g, nil
}

// inherit takes over what the log knows: how items stand that it has touched,
// and values of conditions that the plan does not give itself.
func (g *rig) inherit(before *rig) {
	g.held, g.openings, g.order, g.needs = before.held, before.openings, before.order, before.needs
	g.lies, g.removed, g.unsure = before.lies, before.removed, before.unsure
	g.touched, g.worked = before.touched, before.worked
	g.req.Found = slices.DeleteFunc(slices.Clone(g.req.Found), func(s plan.Standing) bool {
		return before.knows(s.Item)
	})
	for _, it := range g.r.Items {
		if v := before.state.Standing(it.ID); v != "" && before.knows(it.ID) {
			g.req.Found = append(g.req.Found, plan.Standing{Item: it.ID, Off: v == guide.Off})
		}
	}
	g.req.Given = slices.Clone(g.req.Given)
	for i := range g.r.Guide.Conditions {
		c := &g.r.Guide.Conditions[i]
		given := slices.ContainsFunc(g.req.Given, func(s plan.Setting) bool { return s.Condition == c.ID })
		if v := before.value(c.ID); !given && v != "" && valueOf(c, v) != nil {
			g.req.Given = append(g.req.Given, plan.Setting{Condition: c.ID, Value: v})
		}
	}
}

// knows reports whether the log, or the plan before, has said how an item
// stands.
func (g *rig) knows(id guide.ID) bool {
	_, held := g.held[id]
	return g.removed[id] != nil || held || g.state.Standing(id) != ""
}

// value returns the value of a condition; while it changes, the one it leaves.
func (g *rig) value(id guide.ID) guide.ID {
	if v := g.state.Value(id); v != "" {
		return v
	}
	c := g.r.Condition(id)
	to, _ := g.state.Coming(id)
	if c == nil || to == "" {
		return ""
	}
	for _, ch := range c.Changes {
		if ch.To == to {
			return ch.From
		}
	}
	return c.Start
}

// findEnds notes how conditions must stand when the job is closed: by the
// guide, and where it says "as found", as they were when the first plan began.
func (g *rig) findEnds(before *rig) {
	for i := range g.r.Guide.Conditions {
		c := &g.r.Guide.Conditions[i]
		if slices.Contains(g.req.LeaveOpen, c.ID) || slices.Contains(g.req.LeaveOpen, everything) || c.End == guide.AnyEnd {
			continue
		}
		end := guide.ID(c.End)
		if c.End == guide.AsFound || c.End == "" {
			end = g.state.Value(c.ID)
			if before != nil && before.ends[c.ID] != "" {
				end = before.ends[c.ID]
			}
		}
		g.ends[c.ID] = end
	}
}

// everything is the name that stands for all items and conditions.
const everything guide.ID = "all"

func (g *rig) left(id guide.ID) bool {
	return slices.Contains(g.req.LeaveOpen, id) || slices.Contains(g.req.LeaveOpen, everything)
}

// step turns an act into a step of the present request. A task that nobody
// asked for has the number -1: see asked.
func (g *rig) step(a Act) plan.Step {
	s := plan.Step{Kind: a.Kind, Item: a.Item, Verb: a.Verb, Way: a.Way, Task: none, Condition: a.Condition, Change: a.Change}
	if a.Kind != plan.Do {
		return s
	}
	number := func(done bool) int {
		for i, t := range g.req.Tasks {
			if t.Verb == a.Verb && t.On == a.Item && g.state.Done(i) == done {
				return i
			}
		}
		return none
	}
	if s.Task = number(false); s.Task < 0 {
		s.Task = number(true)
	}
	return s
}

// asked returns the state in which an act can be tried and its step there. For
// a task that nobody asked for it is a state of its own, which begins as
// everything stands now: such a task leaves the machine as it is. The error
// tells that the guide has no such task.
func (g *rig) asked(a Act) (*audit.State, plan.Step, error) {
	s := g.step(a)
	if a.Kind != plan.Do || s.Task >= 0 {
		return g.state, s, nil
	}
	apart := *g
	err := apart.restart(nil, none, func(req *plan.Request) {
		req.Tasks = append(req.Tasks, plan.Task{Verb: a.Verb, On: a.Item})
	})
	return apart.state, apart.step(a), err
}

// try says why an act is not possible now; nil when it is.
func (g *rig) try(a Act) []string {
	state, step, err := g.asked(a)
	if err == nil {
		_, _, err = state.Next(step)
	}
	return reasons(err)
}

func reasons(err error) []string {
	if err == nil {
		return nil
	}
	var refusal *audit.Refusal
	if !errors.As(err, &refusal) {
		return []string{err.Error()}
	}
	words := make([]string, len(refusal.Reasons))
	for i, why := range refusal.Reasons {
		words[i] = why.String()
	}
	return words
}

// do carries out an act. The reasons say why it is not possible; nothing has
// changed then.
func (g *rig) do(at *placed, a Act) []string {
	state, step, err := g.asked(a)
	if err != nil {
		return reasons(err)
	}
	effect, err := state.Apply(step)
	if err != nil {
		return reasons(err)
	}
	g.settle(at, a, effect.Step)
	return g.release(a)
}

// settle keeps the books of the tray after a step.
func (g *rig) settle(at *placed, a Act, s plan.Step) {
	switch s.Kind {
	case plan.Clear:
		g.touched, g.removed[a.Item] = at, at
		for _, it := range g.r.Items {
			if h := g.state.Holder(it.ID); h != "" && g.held[it.ID] == "" {
				g.held[it.ID] = h
			}
		}
		way := g.wayOf(s)
		g.open(at, a.Item, g.state.Standing(a.Item) == guide.Off)
		g.require(at, a.Item, way)
	case plan.Refit:
		g.touched, g.removed[a.Item] = at, at
		g.close(at, a.Item, g.wayOf(s))
	case plan.Do:
		g.settleTask(at, a, s)
	case plan.Change:
		if ch := changeOf(g.r, a.Condition, a.Change); ch != nil {
			g.requireUses(at, a.Condition, ch.Uses)
		}
	}
}

func (g *rig) settleTask(at *placed, a Act, s plan.Step) {
	if a.Verb != guide.Measure && g.r.Item(a.Item) != nil {
		g.worked = true
	}
	if a.Verb == guide.Replace {
		g.touched = at
		g.open(at, a.Item, true)
		if it := g.r.Item(a.Item); it != nil {
			g.requireUses(at, a.Item, it.Parts)
		}
	}
	g.require(at, a.Item, g.wayOf(s))
	if c := g.r.Check(a.Item); c != nil && a.Verb == guide.Measure {
		for _, clause := range c.When {
			g.unplug(at, clause.Words, c.Point)
		}
	}
}

// unplug opens the connector that a check is made at, when its conditions say
// so: "unplugged" or "apart" for the measuring point, "EL01 unplugged" for an
// item by its id.
func (g *rig) unplug(at *placed, words string, point guide.ID) {
	fields := strings.Fields(words)
	if n := len(fields); n == 0 || n > 2 || fields[n-1] != "unplugged" && fields[n-1] != "apart" {
		return
	} else if n == 2 {
		point = guide.ID(fields[0])
	}
	if g.r.Item(point) != nil {
		g.openConnector(at, point)
	}
}

// wayOf returns the way that a step takes, nil when it has none.
func (g *rig) wayOf(s plan.Step) *guide.Way {
	if it := g.r.Item(s.Item); it != nil && s.Way >= 0 && s.Way < len(it.Ways) {
		return &it.Ways[s.Way]
	}
	if c := g.r.Check(s.Item); c != nil && s.Way >= 0 && s.Way < len(c.Ways) {
		return &c.Ways[s.Way]
	}
	return nil
}

// release puts back what came away with an item that is on again and that the
// replay no longer knows to belong to it.
func (g *rig) release(a Act) []string {
	if a.Kind != plan.Refit || g.state.Standing(a.Item) != "" {
		return nil
	}
	var stuck []guide.ID
	for _, it := range g.r.Items {
		if g.held[it.ID] != a.Item {
			continue
		}
		delete(g.held, it.ID)
		if g.state.Standing(it.ID) != "" && g.state.Holder(it.ID) == "" {
			stuck = append(stuck, it.ID)
		}
	}
	if len(stuck) == 0 {
		return nil
	}
	on := map[guide.ID]guide.Verb{}
	for _, id := range stuck {
		on[id] = ""
	}
	return reasons(g.restart(on, none, nil))
}

// force carries out an act that the guide does not allow and that was signed
// for: the replay starts afresh from how the machine then stands.
func (g *rig) force(at *placed, a Act) []string {
	_, s, err := g.asked(a)
	if err != nil {
		return reasons(err)
	}
	switch a.Kind {
	case plan.Clear, plan.Refit:
		err = g.forceItem(a)
	case plan.Change, plan.Await:
		err = g.forceChange(a)
	case plan.Do:
		if s.Task = g.step(a).Task; s.Task >= 0 {
			err = g.restart(nil, s.Task, nil)
		}
	}
	if err != nil {
		return reasons(err)
	}
	if owner := g.r.Check(a.Item); a.Kind == plan.Do && owner != nil && len(owner.Ways) == 0 {
		s.Item = owner.Point
	}
	g.settle(at, a, s)
	return g.release(a)
}

func (g *rig) forceItem(a Act) error {
	it := g.r.Item(a.Item)
	if it == nil || a.Way < 0 || a.Way >= len(it.Ways) || !it.Ways[a.Way].Do.Clears() {
		return errors.New("the guide has no such way")
	}
	set := map[guide.ID]guide.Verb{a.Item: ""}
	if a.Kind == plan.Clear {
		w := &it.Ways[a.Way]
		set[a.Item] = w.Do
		for _, id := range w.Together {
			if id != a.Item && g.r.Item(id) != nil && g.state.Standing(id) == "" {
				set[id], g.held[id] = guide.Off, a.Item
			}
		}
	}
	return g.restart(set, none, nil)
}

func (g *rig) forceChange(a Act) error {
	to, _ := g.state.Coming(a.Condition)
	if ch := changeOf(g.r, a.Condition, a.Change); ch != nil && (to == "" || a.Kind == plan.Change) {
		to = ch.To
	}
	if to == "" {
		return errors.New("the guide has no such change")
	}
	return g.restart(nil, none, func(req *plan.Request) {
		req.Given = slices.DeleteFunc(req.Given, func(s plan.Setting) bool { return s.Condition == a.Condition })
		req.Given = append(req.Given, plan.Setting{Condition: a.Condition, Value: to})
	})
}

// restart begins the replay afresh from how everything stands now, with the
// items of set standing as it says, without the tasks that are done and the one
// of number drop, and the request changed by edit, which may add tasks.
func (g *rig) restart(set map[guide.ID]guide.Verb, drop int, edit func(*plan.Request)) error {
	req := g.req
	req.Tasks = slices.Clone(req.Tasks)
	req.Found, req.Given = nil, nil
	for _, it := range g.r.Items {
		v, told := set[it.ID]
		if !told {
			v = g.state.Standing(it.ID)
		}
		if v != "" {
			req.Found = append(req.Found, plan.Standing{Item: it.ID, Off: v == guide.Off})
		}
	}
	for _, c := range g.r.Guide.Conditions {
		if v := g.value(c.ID); v != "" {
			req.Given = append(req.Given, plan.Setting{Condition: c.ID, Value: v})
		}
	}
	if edit != nil {
		edit(&req)
	}
	for i := len(g.req.Tasks) - 1; i >= 0; i-- {
		if g.state.Done(i) || i == drop {
			dropTask(&req, i)
		}
	}
	state, err := audit.NewState(g.r, req)
	if err != nil {
		return err
	}
	g.req, g.state = req, state
	return nil
}

// none is the number of no task.
const none = -1

// dropTask takes a task out of a request; what was to come after it need not
// wait for it any more.
func dropTask(req *plan.Request, i int) {
	req.Tasks = slices.Delete(req.Tasks, i, i+1)
	for k := range req.Tasks {
		var after []int
		for _, n := range req.Tasks[k].After {
			if n > i {
				after = append(after, n-1)
			} else if n < i {
				after = append(after, n)
			}
		}
		req.Tasks[k].After = after
	}
}
