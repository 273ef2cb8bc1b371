package audit

import (
	"errors"
	"fmt"
	"math"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// ErrRequest is wrapped by the errors about a request or a guide that cannot
// be used (the outcome "bad input").
var ErrRequest = errors.New("the request cannot be used")

// faults collects what is wrong with a guide and a request.
type faults struct{ list []error }

func (f *faults) add(format string, args ...any) {
	f.list = append(f.list, fmt.Errorf("%w: "+format, append([]any{ErrRequest}, args...)...))
}

func (f *faults) err() error { return errors.Join(f.list...) }

// guide finds what makes a guide unfit for planning.
func (f *faults) guide(r *guide.Resolved) {
	items := map[guide.ID]bool{}
	for i := range r.Items {
		it := &r.Items[i]
		if items[it.ID] {
			f.add("the guide has two items %s", it.ID)
		}
		items[it.ID] = true
		f.ways(it.ID, it.Ways)
	}
	for i := range r.Guide.Checks {
		c := &r.Guide.Checks[i]
		f.ways(c.ID, c.Ways)
		f.minutes(c.ID, c.Minutes)
	}
	conditions := map[guide.ID]bool{}
	for i := range r.Guide.Conditions {
		c := &r.Guide.Conditions[i]
		if conditions[c.ID] {
			f.add("the guide has two conditions %s", c.ID)
		}
		conditions[c.ID] = true
		f.condition(c)
	}
	f.prices(r.Guide)
	f.minutes("set-up", r.Guide.Setup.Move, r.Guide.Setup.Tool)
}

func (f *faults) condition(c *guide.Condition) {
	values := map[guide.ID]bool{}
	for _, v := range c.Values {
		if values[v.ID] {
			f.add("condition %s has two values %s", c.ID, v.ID)
		}
		values[v.ID] = true
	}
	if !values[c.Start] {
		f.add("condition %s starts at %q, which is none of its values", c.ID, c.Start)
	}
	if c.End != "" && c.End != guide.AsFound && c.End != guide.AnyEnd && !values[guide.ID(c.End)] {
		f.add("condition %s ends at %q, which is none of its values", c.ID, c.End)
	}
	for _, ch := range c.Changes {
		f.minutes(c.ID, ch.Minutes, ch.Wait)
		f.uses(c.ID, ch.Uses)
		f.people(c.ID, ch.People)
	}
}

func (f *faults) ways(owner guide.ID, ways []guide.Way) {
	for i := range ways {
		w := &ways[i]
		f.minutes(owner, w.Out, w.Back)
		f.uses(owner, w.Uses)
		f.people(owner, w.People)
		for _, r := range w.Risks {
			f.minutes(owner, r.Minutes)
			f.price(owner, r.Price)
			if r.Times < 0 || r.Of < 0 {
				f.add("%s: the odds of %q are negative", owner, r.What)
			}
		}
	}
}

func (f *faults) minutes(owner guide.ID, list ...time.Duration) {
	for _, d := range list {
		if d < 0 {
			f.add("%s: negative minutes %v", owner, d)
		}
	}
}

func (f *faults) people(owner guide.ID, n int) {
	if n < 0 {
		f.add("%s: negative number of people %d", owner, n)
	}
}

func (f *faults) uses(owner guide.ID, uses []guide.Use) {
	for _, u := range uses {
		if !(u.Count >= 0) || math.IsInf(u.Count, 0) {
			f.add("%s: %v is no count", owner, u.Count)
		}
	}
}

func (f *faults) price(owner guide.ID, a money.Amount) {
	if a < 0 {
		f.add("%s: negative price %s", owner, a)
	}
}

func (f *faults) prices(g *guide.Guide) {
	for _, x := range g.Fluids {
		f.price(x.ID, x.PerLitre)
	}
	for _, x := range g.Parts {
		f.price(x.ID, x.Price)
	}
	for _, x := range g.Tools {
		if x.Hire != nil {
			f.price(x.ID, *x.Hire)
		}
	}
}

// request finds what is wrong with a request on this variant.
func (f *faults) request(r *guide.Resolved, req plan.Request) {
	for i, t := range req.Tasks {
		f.task(r, req, i, t)
	}
	f.start(r, req)
	for _, id := range req.LeaveOpen {
		if id != everything && r.Item(id) == nil && r.Condition(id) == nil {
			f.add("left open: %s is no item of this variant and no condition", id)
		}
	}
	tools := map[guide.ID]bool{}
	for _, t := range r.Guide.Tools {
		tools[t.ID] = true
	}
	for _, id := range req.Missing {
		if !tools[id] {
			f.add("missing: the guide has no tool %s", id)
		}
	}
	f.numbers(req)
	f.variant(r, req)
}

func (f *faults) task(r *guide.Resolved, req plan.Request, i int, t plan.Task) {
	switch {
	case t.Verb.Clears():
		f.add("task %d, %s: %s is a way in, not a task", i+1, t, t.Verb)
	case t.Verb == guide.Measure && r.Check(t.On) != nil:
	case r.Item(t.On) == nil:
		f.add("task %d, %s: this variant has no item %s", i+1, t, t.On)
	}
	for _, k := range t.After {
		if k < 0 || k >= len(req.Tasks) {
			f.add("task %d, %s: it comes after a task %d, which does not exist", i+1, t, k+1)
		}
	}
}

func (f *faults) start(r *guide.Resolved, req plan.Request) {
	items := map[guide.ID]bool{}
	for _, s := range req.Found {
		if r.Item(s.Item) == nil {
			f.add("found: this variant has no item %s", s.Item)
		}
		if items[s.Item] {
			f.add("found: %s is named twice", s.Item)
		}
		items[s.Item] = true
	}
	given := map[guide.ID]bool{}
	for _, s := range req.Given {
		c := r.Condition(s.Condition)
		if c == nil {
			f.add("given: the guide has no condition %s", s.Condition)
		} else if valueAt(c, s.Value) < 0 {
			f.add("given: condition %s has no value %s", s.Condition, s.Value)
		}
		if given[s.Condition] {
			f.add("given: %s is named twice", s.Condition)
		}
		given[s.Condition] = true
	}
}

func (f *faults) numbers(req plan.Request) {
	if req.By != "" && req.By != plan.ByMoney && req.By != plan.ByMinutes {
		f.add("%q is no objective: say %s or %s", req.By, plan.ByMoney, plan.ByMinutes)
	}
	if req.People < 0 || req.Rate < 0 || req.WaitRate < 0 {
		f.add("people and rates cannot be negative")
	}
	if req.WaitRate > req.Rate {
		f.add("waiting at %s an hour is dearer than working at %s", req.WaitRate, req.Rate)
	}
}

// variant finds a guide that was resolved for another variant than the
// request names.
func (f *faults) variant(r *guide.Resolved, req plan.Request) {
	for _, c := range req.Variant {
		if !r.Fits(guide.Selector{c}) {
			f.add("the guide was resolved for another variant than %s", c)
		}
	}
}
