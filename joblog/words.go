package joblog

import (
	"fmt"
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
)

// itemName returns "engine top cover (PN01)".
func itemName(r *guide.Resolved, id guide.ID) string {
	if r != nil {
		if it := r.Item(id); it != nil {
			return fmt.Sprintf("%s (%s)", guide.Uncapital(it.Name), id)
		}
	}
	return string(id)
}

func conditionName(r *guide.Resolved, id guide.ID) string {
	if c := r.Condition(id); c != nil && c.Name != "" {
		return guide.Uncapital(c.Name)
	}
	return string(id)
}

func valueOf(c *guide.Condition, id guide.ID) *guide.Value {
	for i := range c.Values {
		if c.Values[i].ID == id {
			return &c.Values[i]
		}
	}
	return nil
}

// valueWords says a condition with its value: "engine oil: drained".
func valueWords(r *guide.Resolved, cond, value guide.ID) string {
	name, v := conditionName(r, cond), string(value)
	if c := r.Condition(cond); c != nil {
		if x := valueOf(c, value); x != nil && x.Name != "" {
			v = guide.Uncapital(x.Name)
		}
	}
	return name + ": " + v
}

// changeOf returns a change of a condition, nil when there is none of that
// number.
func changeOf(r *guide.Resolved, cond guide.ID, n int) *guide.Change {
	c := r.Condition(cond)
	if c == nil || n < 0 || n >= len(c.Changes) {
		return nil
	}
	return &c.Changes[n]
}

// changeWords says what a change does: "Start the engine".
func changeWords(r *guide.Resolved, cond guide.ID, ch *guide.Change) string {
	if ch.Do != "" {
		return ch.Do
	}
	return "Bring " + valueWords(r, cond, ch.To)
}

// actWords says what an act does; r may be nil when the guide is not at hand.
func actWords(r *guide.Resolved, a Act) string {
	switch a.Kind {
	case plan.Clear:
		if wayVerb(r, a) == guide.Aside {
			return "Move aside the " + itemName(r, a.Item)
		}
		return "Take off the " + itemName(r, a.Item)
	case plan.Refit:
		if wayVerb(r, a) == guide.Aside {
			return "Move back the " + itemName(r, a.Item)
		}
		return "Refit the " + itemName(r, a.Item)
	case plan.Do:
		return taskWords(r, a.Verb, a.Item)
	case plan.Await:
		return "Wait for a change of " + conditionWords(r, a.Condition)
	}
	if r != nil {
		if ch := changeOf(r, a.Condition, a.Change); ch != nil {
			return changeWords(r, a.Condition, ch)
		}
	}
	return "Change " + string(a.Condition)
}

func conditionWords(r *guide.Resolved, id guide.ID) string {
	if r == nil {
		return string(id)
	}
	return conditionName(r, id)
}

func wayVerb(r *guide.Resolved, a Act) guide.Verb {
	if r == nil {
		return guide.Off
	}
	if it := r.Item(a.Item); it != nil && a.Way >= 0 && a.Way < len(it.Ways) {
		return it.Ways[a.Way].Do
	}
	return guide.Off
}

func taskWords(r *guide.Resolved, verb guide.Verb, on guide.ID) string {
	if r != nil {
		if c := r.Check(on); c != nil && verb == guide.Measure {
			return fmt.Sprintf("Check %s: %s", on, c.Name)
		}
	}
	return guide.Capital(string(verb)) + " the " + itemName(r, on)
}

// jointWords says a joint of an item: "11 x M6x45 T30 8.8 into aluminium".
func jointWords(it *guide.Item, joint int) string {
	if joint == 0 {
		return "connector"
	}
	if joint < 1 || joint > len(it.Joints) {
		return fmt.Sprintf("joint %d", joint)
	}
	return it.Joints[joint-1].String()
}

func partWords(r *guide.Resolved, id guide.ID) string {
	for i := range r.Guide.Parts {
		if p := &r.Guide.Parts[i]; p.ID == id {
			return p.Name
		}
	}
	return string(id)
}

func numbers(list []int) string {
	words := make([]string, len(list))
	for i, n := range list {
		words[i] = fmt.Sprint(n)
	}
	return strings.Join(words, ", ")
}
