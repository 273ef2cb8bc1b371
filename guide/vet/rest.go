package vet

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
)

// Bounds of what one step can take; more is a slip of the pen, or work that
// should be cut into steps.
const (
	longestStep = 600 * time.Minute
	longestWait = 48 * time.Hour
)

func lookMinutes(e *examiner) {
	const do = "check the figure and its unit: 10/14 min is ten out and fourteen back"
	e.eachWay(func(path string, owner guide.ID, w *guide.Way, _ []guide.ID) {
		name := e.named(owner)
		switch {
		case w.Out < 0 || w.Back < 0:
			e.report(path, minutes(w), "negative minutes on "+name, do)
		case w.Out > longestStep || w.Back > longestStep:
			e.report(path, minutes(w), fmt.Sprintf("%s on %s is longer than any one step", minutes(w), name), do)
		case w.Do.Clears() && w.Out > 0 && w.Back == 0:
			e.report(path, minutes(w), fmt.Sprintf("%s comes %s in %s and goes back in no time", name, w.Do, w.Out), "write the minutes for putting it back: 10/14 min")
		case w.Do.Clears() && w.Out == 0 && w.Back == 0:
			e.report(path, minutes(w), fmt.Sprintf("%s comes %s and goes back in no time", name, w.Do), "write the minutes out and back: 10/14 min")
		case !w.Do.Clears() && w.Out == 0 && owner != "": // a check has minutes of its own
			e.report(path, minutes(w), fmt.Sprintf("to %s %s takes no time", w.Do, name), "write the minutes at the point, without opening and closing")
		}
	})
	for _, c := range e.g.Conditions {
		for i, ch := range c.Changes {
			if ch.Minutes < 0 || ch.Wait < 0 || ch.Minutes > longestStep || ch.Wait > longestWait {
				e.report(nth(within("conditions", c.ID), "changes", i), fmt.Sprintf("%s, wait %s", ch.Minutes, ch.Wait),
					fmt.Sprintf("%s from %s to %s takes longer than any visit, or less than nothing", c.ID, ch.From, ch.To), "check the figures and their units")
			}
		}
	}
	for _, c := range e.g.Checks {
		if c.Minutes <= 0 || c.Minutes > longestStep {
			e.report(within("checks", c.ID)+".minutes", c.Minutes.String(), fmt.Sprintf("check %s takes %s", c.ID, c.Minutes), "write the minutes of the measurement itself")
		}
	}
}

func minutes(w *guide.Way) string { return fmt.Sprintf("%g/%g min", w.Out.Minutes(), w.Back.Minutes()) }

// words that name things which are new at every refit.
var consumables = []string{"seal", "gasket", "o-ring", "ring", "rivet", "bolt", "screw", "pipe", "washer"}

func lookUnpriced(e *examiner) {
	e.eachWay(func(path string, owner guide.ID, w *guide.Way, _ []guide.ID) {
		for i, u := range w.Uses {
			if u.What == "" && slices.ContainsFunc(tokens(u.Words), func(t string) bool {
				return slices.Contains(consumables, strings.TrimSuffix(t, "s"))
			}) {
				e.report(nth(path, "uses", i), u.Words, fmt.Sprintf("%q is used up and is no part of this guide: it has no price and is on no list", u.Words),
					"enter it under parts and name its id here")
			}
		}
	})
}

func lookOverlap(e *examiner) {
	if e.options.Overlaps == nil || len(e.views) == 0 {
		return
	}
	for _, o := range e.options.Overlaps(e.views[0].variant) {
		e.report(within("items", o.B)+".at", fmt.Sprintf("%.0f mm", o.Millimetres),
			fmt.Sprintf("%s and %s share room, %.0f mm deep, and neither is said to be inside the other", e.named(o.A), e.named(o.B), o.Millimetres),
			fmt.Sprintf("correct a place or a size, or write inside: %s", o.A))
	}
}

func lookCircuit(e *examiner) {
	for _, c := range e.g.Circuits {
		ends := map[guide.ID]int{}
		for _, w := range c.Wires {
			ends[w.From]++
			ends[w.To]++
		}
		for _, n := range c.Nodes {
			path := within(within("circuits", c.ID)+".nodes", n.ID)
			switch {
			case ends[n.ID] == 0:
				e.report(path, string(n.ID), fmt.Sprintf("circuit %s: nothing is connected to %s %s", c.ID, n.Sort, n.ID), "write its wires, or drop the node")
			case ends[n.ID] == 1 && through(n.Sort):
				e.report(path, string(n.ID), fmt.Sprintf("circuit %s: the current enters %s %s and does not leave it", c.ID, n.Sort, n.ID), "write the wire on its other side")
			}
		}
	}
}

// through reports whether a sort of node only makes sense with two sides.
func through(s guide.NodeSort) bool {
	return slices.Contains([]guide.NodeSort{guide.FuseNode, guide.SpliceNode, guide.InlineNode}, s)
}

func lookOwnTest(e *examiner) {
	for i := range e.g.Tests {
		t := &e.g.Tests[i]
		path := within("tests", t.ID)
		for n, id := range t.Tasks {
			if e.items[id.On] == nil && e.checks[id.On] == nil {
				e.report(nth(path, "tasks", n), string(id.On), fmt.Sprintf("test %s asks for %s:%s, and there is no such item or check", t.ID, id.Verb, id.On), "correct the test")
			}
		}
		for n, id := range t.Steps {
			if e.items[id] == nil && e.conds[id] == nil {
				e.report(nth(path, "steps", n), string(id), fmt.Sprintf("test %s waits for a step on %s, and there is no such item or condition", t.ID, id), "correct the test")
			}
		}
		for n, text := range t.Start {
			if what := e.startUnknown(text); what != "" {
				e.report(nth(path, "start", n), text, fmt.Sprintf("test %s starts from %s", t.ID, what), "correct the test")
			}
		}
	}
}

// startUnknown says what a start such as "AR04 aside" or "engine=hot" speaks
// of that does not exist; "" when it does.
func (e *examiner) startUnknown(text string) string {
	if cond, value, ok := strings.Cut(text, "="); ok {
		if e.value(guide.ID(strings.TrimSpace(cond)), guide.ID(strings.TrimSpace(value))) == nil {
			return fmt.Sprintf("%s, which is no value of a condition", text)
		}
		return ""
	}
	id, _, _ := strings.Cut(strings.TrimSpace(text), " ")
	if e.items[guide.ID(id)] == nil {
		return fmt.Sprintf("%s, which is no item", id)
	}
	return ""
}
