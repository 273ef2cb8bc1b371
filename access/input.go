package access

import (
	"errors"
	"fmt"
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/span"
)

// ErrGuide is wrapped by the error of New.
var ErrGuide = errors.New("the guide cannot be planned with")

// InputError says what is wrong with a request, every fault at once. Where of
// each finding is the field of plan.Request.
type InputError struct{ Findings span.List }

// Error prints one finding per line.
func (e *InputError) Error() string { return e.Findings.Error() }

// Unwrap gives the findings to whoever lays out findings of all kinds alike.
func (e *InputError) Unwrap() error { return e.Findings }

// checker collects what is wrong with a request.
type checker struct {
	p    *Planner
	req  plan.Request
	list span.List
}

// check returns nil or an *InputError.
func (p *Planner) check(req plan.Request) error {
	c := &checker{p: p, req: req}
	c.variant()
	c.tasks()
	c.found()
	c.given()
	c.openAndMissing()
	c.numbers()
	if len(c.list) > 0 {
		return &InputError{Findings: c.list}
	}
	return nil
}

func (c *checker) add(rule, where, text, says, do string, known []string) {
	f := span.Finding{Severity: span.Error, Rule: rule, Where: where, Text: text, Says: says, Do: do}
	if known != nil {
		f.Nearest = span.Nearest(text, known)
	}
	c.list = append(c.list, f)
}

// variant compares the variant asked for with the one that was resolved.
func (c *checker) variant() {
	for i, choice := range c.req.Variant {
		if len(choice.Values) != 1 || !c.p.r.Fits(guide.Selector{choice}) {
			c.add("other-variant", fmt.Sprintf("variant[%d]", i), choice.String(), "this planner was prepared for another variant",
				"resolve the guide for the variant of the request first", nil)
		}
	}
}

func (c *checker) tasks() {
	for i, t := range c.req.Tasks {
		where := fmt.Sprintf("tasks[%d]", i)
		switch {
		case t.Verb == "":
			c.add("no-verb", where, t.String(), "the task has no verb", "write it like replace:"+string(t.On), nil)
		case t.Verb.Clears():
			c.add("clearing-task", where, t.String(), "clearing an item is not a task of its own", "ask for work on an item, or leave the item open", nil)
		default:
			c.taskName(where, t)
		}
		for _, a := range t.After {
			if a < 0 || a >= len(c.req.Tasks) {
				c.add("after-range", where+".after", fmt.Sprint(a), fmt.Sprintf("there are tasks 0 to %d", len(c.req.Tasks)-1), "name another task", nil)
			}
		}
	}
}

// Remarks returns what is good input and still looks like a slip: a task that
// is asked for twice in the same way. It will be done twice.
func (p *Planner) Remarks(req plan.Request) span.List {
	c := &checker{p: p, req: req}
	for i, t := range req.Tasks {
		for k := range i {
			if sameTask(req.Tasks[k], t) {
				c.add("repeated-task", fmt.Sprintf("tasks[%d]", i), t.String(), fmt.Sprintf("the task is the same as tasks[%d] and will be done twice", k), "ask for it once, or mark one of them before or proof", nil)
				c.list[len(c.list)-1].Severity = span.Warning
				break
			}
		}
	}
	return c.list
}

func sameTask(a, b plan.Task) bool {
	return a.Verb == b.Verb && a.On == b.On && a.Before == b.Before && a.Proof == b.Proof && slices.Equal(a.After, b.After)
}

func (c *checker) taskName(where string, t plan.Task) {
	if c.p.r.Item(t.On) != nil {
		return
	}
	if c.p.r.Check(t.On) != nil {
		if t.Verb != guide.Measure {
			c.add("check-verb", where, t.String(), "only check can be done with a check", "write check:"+string(t.On), nil)
		}
		return
	}
	known := c.p.itemNames()
	for _, k := range c.p.r.Guide.Checks {
		known = append(known, string(k.ID))
	}
	says := "no item or check of this guide has that name"
	if slices.ContainsFunc(c.p.r.Guide.Items, func(it guide.Item) bool { return it.ID == t.On }) {
		says = "the variant does not have this item"
	}
	c.add("unknown-task", where, string(t.On), says, "name an item or a check", known)
}

// verbs lists the task verbs of the guide.
func (p *Planner) verbs() []string {
	verbs := []string{string(guide.Measure)}
	for i := range p.r.Items {
		for _, w := range p.r.Items[i].Ways {
			if !w.Do.Clears() && !slices.Contains(verbs, string(w.Do)) {
				verbs = append(verbs, string(w.Do))
			}
		}
	}
	return verbs
}

func (p *Planner) itemNames() []string {
	names := make([]string, len(p.r.Items))
	for i := range p.r.Items {
		names[i] = string(p.r.Items[i].ID)
	}
	return names
}

func (p *Planner) condNames() []string {
	names := make([]string, len(p.r.Guide.Conditions))
	for i := range names {
		names[i] = string(p.r.Guide.Conditions[i].ID)
	}
	return names
}

func (c *checker) found() {
	seen := map[guide.ID]bool{}
	for i, s := range c.req.Found {
		where := fmt.Sprintf("found[%d]", i)
		if c.p.r.Item(s.Item) == nil {
			c.add("unknown-item", where, string(s.Item), "the variant has no such item", "name an item of the guide", c.p.itemNames())
		}
		if seen[s.Item] {
			c.add("found-twice", where, string(s.Item), "the item is named twice", "say once how it was found", nil)
		}
		seen[s.Item] = true
	}
}

func (c *checker) given() {
	seen := map[guide.ID]guide.ID{}
	for i, s := range c.req.Given {
		where := fmt.Sprintf("given[%d]", i)
		k := c.p.r.Condition(s.Condition)
		if k == nil {
			c.add("unknown-condition", where, string(s.Condition), "the guide has no such condition", "name a condition of the guide", c.p.condNames())
			continue
		}
		if !slices.ContainsFunc(k.Values, func(v guide.Value) bool { return v.ID == s.Value }) {
			c.add("unknown-value", where, string(s.Value), fmt.Sprintf("%s has no such value", k.ID), "name one of its values", valueNames(k))
		}
		if old, ok := seen[s.Condition]; ok {
			says := "the condition is named twice"
			if old != s.Value {
				says = fmt.Sprintf("the condition cannot be both %s and %s", old, s.Value)
			}
			c.add("given-twice", where, string(s.Condition), says, "say once how the machine stands", nil)
		}
		seen[s.Condition] = s.Value
	}
}

func valueNames(k *guide.Condition) []string {
	names := make([]string, len(k.Values))
	for i := range k.Values {
		names[i] = string(k.Values[i].ID)
	}
	return names
}

func (c *checker) openAndMissing() {
	for i, id := range c.req.LeaveOpen {
		if id != everything && c.p.r.Item(id) == nil && c.p.r.Condition(id) == nil {
			c.add("unknown-name", fmt.Sprintf("leave_open[%d]", i), string(id), "no item or condition has that name", `name an item, a condition or "all"`,
				append(c.p.itemNames(), c.p.condNames()...))
		}
	}
	var tools []string
	for _, t := range c.p.r.Guide.Tools {
		tools = append(tools, string(t.ID))
	}
	for i, id := range c.req.Missing {
		if c.p.lookup.tools[id] == nil {
			c.add("unknown-tool", fmt.Sprintf("missing[%d]", i), string(id), "the guide has no such tool", "name a tool of the guide", tools)
		}
	}
}

func (c *checker) numbers() {
	req := c.req
	if req.By != "" && req.By != plan.ByMoney && req.By != plan.ByMinutes {
		c.add("unknown-objective", "by", string(req.By), "a plan is best by money or by minutes", "write money or minutes", []string{string(plan.ByMoney), string(plan.ByMinutes)})
	}
	if req.People < 0 || req.People > maxPeople {
		c.add("people", "people", fmt.Sprint(req.People), fmt.Sprintf("people are from 1 to %d", maxPeople), "say how many are there", nil)
	}
	for _, r := range []struct {
		name string
		rate int64
	}{{"rate", int64(req.Rate)}, {"wait_rate", int64(req.WaitRate)}} {
		if r.rate < 0 || r.rate > maxRate {
			c.add("rate", r.name, fmt.Sprint(r.rate), fmt.Sprintf("an hour costs from 0 to %d minor units", maxRate), "give the price of an hour", nil)
		}
	}
	if req.WaitRate > req.Rate {
		c.add("wait-rate", "wait_rate", req.WaitRate.String(), "waiting cannot cost more than working", "give a price up to the rate", nil)
	}
}
