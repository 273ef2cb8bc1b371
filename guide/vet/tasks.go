package vet

import (
	"fmt"

	"elbowroom/guide"
)

// work is a task on an item with what becomes of it on each variant.
type work struct {
	item   guide.ID
	verb   guide.Verb
	none   []string // variants on which no way of the verb is written
	closed []string // variants on which there are ways and none can be gone
	why    string   // why the first of those cannot be gone
}

// works lists every task for which some way is written, in guide order.
func (e *examiner) works() []work {
	var out []work
	for i := range e.g.Items {
		it := &e.g.Items[i]
		seen := map[guide.Verb]bool{}
		for _, w := range e.waysOf(it) {
			if !w.Do.Clears() && !seen[w.Do] {
				seen[w.Do] = true
				out = append(out, work{item: it.ID, verb: w.Do})
			}
		}
	}
	type key struct {
		item guide.ID
		verb guide.Verb
	}
	at := map[key]int{}
	for i, w := range out {
		at[key{w.item, w.verb}] = i
	}
	for _, v := range e.views {
		ways, free := map[key]int{}, map[key]bool{}
		for i, a := range v.reached.acts {
			if a.item == "" || a.verb.Clears() {
				continue
			}
			k := key{a.item, a.verb}
			ways[k]++
			free[k] = free[k] || v.reached.open[i]
			if f, lack := v.reached.lacks(a); lack && ways[k] == 1 && out[at[k]].why == "" {
				out[at[k]].why = e.say(f)
			}
		}
		for i := range out {
			w := &out[i]
			k := key{w.item, w.verb}
			switch {
			case v.r.Item(w.item) == nil || free[k]:
			case ways[k] == 0:
				w.none = append(w.none, v.name())
			default:
				w.closed = append(w.closed, v.name())
			}
		}
	}
	return out
}

func lookNoWay(e *examiner) {
	for _, w := range e.works() {
		if len(w.none) > 0 {
			e.report(within("items", w.item), "", fmt.Sprintf("there is no way to %s %s%s, though there is on other variants", w.verb, e.named(w.item), e.on(w.none)),
				"write the way for this variant, or limit the item to the variants that have it")
		}
		if len(w.closed) > 0 {
			e.report(within("items", w.item), "", fmt.Sprintf("nobody can %s %s%s: %s", w.verb, e.named(w.item), e.on(w.closed), w.why),
				"write another way, or correct what this one asks for")
		}
	}
	for _, f := range e.g.Faults {
		if f.Task != nil && !e.canDo(*f.Task) {
			e.report(within("faults", f.ID)+".task", fmt.Sprintf("%s:%s", f.Task.Verb, f.Task.On),
				fmt.Sprintf("the repair of fault %s is %s:%s, and no way does that", f.ID, f.Task.Verb, f.Task.On), "write the way, or name the task that repairs it")
		}
	}
	for _, c := range e.g.Checks {
		if c.Point != "" && e.items[c.Point] != nil && len(e.checkWays(&c)) == 0 {
			e.report(within("checks", c.ID)+".point", string(c.Point), fmt.Sprintf("check %s is measured at %s, and no way leads there to check it", c.ID, e.named(c.Point)),
				"write a way with the verb check on that item, or ways of the check's own")
		}
	}
}

// canDo reports whether a way for the task is written anywhere.
func (e *examiner) canDo(t guide.TaskID) bool {
	if e.checks[t.On] != nil {
		return t.Verb == guide.Measure
	}
	return e.hasWay(t.On, t.Verb)
}
