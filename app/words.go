package app

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
)

// deference stands on every screen and paper that tells somebody to do work.
const deference = "This plan advises; it does not license. Local codes, the maker's instructions and licensed practice " +
	"(refrigerant, high voltage, pyrotechnics, gas) come first."

// Minutes prints a duration as people say it: "4 min", "1 h 05 min", "30 s".
func Minutes(d time.Duration) string {
	switch {
	case d < 0:
		return "-" + Minutes(-d)
	case d == 0:
		return "0 min"
	case d < time.Minute:
		return fmt.Sprintf("%d s", d.Round(time.Second)/time.Second)
	}
	total := d.Round(time.Minute) / time.Minute
	if d%time.Minute != 0 && d < 10*time.Minute {
		return strings.TrimSuffix(fmt.Sprintf("%.1f", d.Minutes()), ".0") + " min"
	}
	if total < 100 {
		return fmt.Sprintf("%d min", total)
	}
	return fmt.Sprintf("%d h %02d min", total/60, total%60)
}

// itemName returns "engine top cover (PN01)".
func itemName(r *guide.Resolved, id guide.ID) string {
	if it := r.Item(id); it != nil {
		return fmt.Sprintf("%s (%s)", guide.Uncapital(it.Name), id)
	}
	return string(id)
}

// title says what a step does.
func title(r *guide.Resolved, req plan.Request, s plan.Step) string {
	switch s.Kind {
	case plan.Clear:
		if s.Verb == guide.Aside {
			return "Move aside the " + itemName(r, s.Item)
		}
		return "Take off the " + itemName(r, s.Item)
	case plan.Refit:
		if s.Verb == guide.Aside {
			return "Move back the " + itemName(r, s.Item)
		}
		return "Refit the " + itemName(r, s.Item)
	case plan.Do:
		return taskText(r, req.Tasks[s.Task])
	case plan.Await:
		return "Wait for " + stateText(r, s.Condition, s.To)
	}
	return changeText(r, s)
}

func changeText(r *guide.Resolved, s plan.Step) string {
	if _, ch := changeOf(r, s); ch != nil && ch.Do != "" {
		return ch.Do
	}
	return fmt.Sprintf("Bring %s from %s to %s", conditionName(r, s.Condition),
		valueName(r, s.Condition, s.From), valueName(r, s.Condition, s.To))
}

// taskText says what a task is: "Replace the knock sensor, right (SE13)".
func taskText(r *guide.Resolved, t plan.Task) string {
	verb := guide.Capital(string(t.Verb))
	if c := r.Check(t.On); c != nil {
		return fmt.Sprintf("%s %s (%s): %s", verb, checkItems(r, c), t.On, c.Name)
	}
	return verb + " the " + itemName(r, t.On)
}

func checkItems(r *guide.Resolved, c *guide.Check) string {
	var names []string
	for _, id := range c.On {
		names = append(names, string(id))
	}
	if len(names) == 0 {
		return "the engine"
	}
	if len(names) == 1 {
		return "the " + itemName(r, c.On[0])
	}
	return join(names)
}

func conditionName(r *guide.Resolved, id guide.ID) string {
	if c := r.Condition(id); c != nil && c.Name != "" {
		return guide.Uncapital(c.Name)
	}
	return string(id)
}

func valueName(r *guide.Resolved, cond, id guide.ID) string {
	if c := r.Condition(cond); c != nil {
		for _, v := range c.Values {
			if v.ID == id && v.Name != "" {
				return guide.Uncapital(v.Name)
			}
		}
	}
	return string(id)
}

// stateText says a condition with its value: "position: raised". A value whose
// name says it all stands alone: "engine running", "coolant below 40 °C".
func stateText(r *guide.Resolved, cond, value guide.ID) string {
	c, v := conditionName(r, cond), valueName(r, cond, value)
	switch {
	case strings.HasSuffix(c, v):
		return c
	case strings.Contains(v, " "):
		return v
	}
	return c + ": " + v
}

func placeName(r *guide.Resolved, id guide.ID) string {
	for _, p := range r.Guide.Places {
		if p.ID == id {
			return p.Name
		}
	}
	return string(id)
}
