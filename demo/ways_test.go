package demo

import (
	"slices"
	"testing"

	"elbowroom/guide"
)

// stepConditions are the rows of steps.csv that are no item but a state of the
// machine: the value that the step brings about.
var stepConditions = map[guide.ID]guide.Req{
	"LIFT":  {Condition: "position", Value: "raised"},
	"BATT":  {Condition: "battery", Value: "disconnected"},
	"FREL":  {Condition: "fuel-pressure", Value: "released"},
	"DCOOL": {Condition: "coolant", Value: "drained"},
	"DOIL":  {Condition: "oil", Value: "drained"},
}

// required splits the names of a cell into items and states of the machine.
func required(cell string) (items []guide.ID, states []guide.Req) {
	for _, id := range ids(cell) {
		if req, ok := stepConditions[id]; ok {
			states = append(states, req)
		} else {
			items = append(items, id)
		}
	}
	return items, states
}

// closure lists everything that has to be open for the names, themselves
// included, in the order in which it can be opened.
func closure(steps map[guide.ID]row, names []guide.ID) []guide.ID {
	var order []guide.ID
	var visit func(id guide.ID)
	visit = func(id guide.ID) {
		if slices.Contains(order, id) {
			return
		}
		for _, n := range ids(steps[id]["requires"]) {
			visit(n)
		}
		order = append(order, id)
	}
	for _, id := range names {
		visit(id)
	}
	return order
}

func stepTable(t *testing.T) map[guide.ID]row {
	steps := map[guide.ID]row{}
	for _, row := range table(t, "steps", 36) {
		steps[guide.ID(row["id"])] = row
	}
	return steps
}

// demands compares what a way asks for with what a table asks for: everything
// in the table must be asked for, and nothing beyond it but what the table's
// own requirements bring and the safe state in which a plan begins.
func demands(t *testing.T, what, cell string, needs []guide.Need, with []guide.Req, steps map[guide.ID]row) {
	t.Helper()
	items, states := required(cell)
	all := closure(steps, ids(cell))
	for _, id := range items {
		if !slices.ContainsFunc(needs, func(n guide.Need) bool { return n.Item == id && !n.Off }) {
			t.Errorf("%s: does not need %s", what, id)
		}
	}
	for _, n := range needs {
		if !slices.Contains(all, n.Item) {
			t.Errorf("%s: needs %s, which the table does not ask for", what, n)
		}
	}
	for _, req := range states {
		if !slices.Contains(with, req) {
			t.Errorf("%s: does not ask for %s", what, req)
		}
	}
	for _, req := range with {
		if !slices.ContainsFunc(all, func(id guide.ID) bool { return stepConditions[id] == req }) && !atStart[req] {
			t.Errorf("%s: asks for %s, which the table does not ask for", what, req)
		}
	}
}

// atStart holds in a cold, standing machine with the key off, so asking for it
// costs nothing. Raised costs nothing either where the way leads from below,
// because what is in the way there asks for it as well.
var atStart = map[guide.Req]bool{
	{Condition: "engine", Value: "cold"}:           true,
	{Condition: "engine", Value: "hot", Not: true}: true,
	{Condition: "running", Value: "no"}:            true,
	{Condition: "key", Value: "off"}:               true,
	{Condition: "battery", Value: "connected"}:     true,
}

// TestSteps compares every row of steps.csv: five conditions, 31 clearing
// ways.
func TestSteps(t *testing.T) {
	steps := stepTable(t)
	r := seen(t, "LHD")
	ways := 0
	for id, row := range steps {
		if req, ok := stepConditions[id]; ok {
			compareCondition(t, r, req, row, steps)
			continue
		}
		for _, w := range r.Item(id).Ways {
			if !w.Do.Clears() {
				continue
			}
			ways++
			if w.Out != row.minutes(t, "open_min") || w.Back != row.minutes(t, "close_min") {
				t.Errorf("%s: %v out and %v back, want %s and %s min", id, w.Out, w.Back, row["open_min"], row["close_min"])
			}
			if aside := id == "CO01"; aside != (w.Do == guide.Aside) {
				t.Errorf("%s: goes %s", id, w.Do)
			}
			demands(t, string(id), row["requires"], w.Needs, w.With, steps)
			consumes(t, string(id), row["consumes"], w.Uses)
		}
	}
	if all := countWays(r, guide.Verb.Clears); ways != 31 || all != 31 {
		t.Errorf("%d clearing ways stand in steps.csv and %d in the guide, want 31", ways, all)
	}
}

// consumes compares how much is used up. A count of one is often not written.
func consumes(t *testing.T, what, cell string, uses []guide.Use) {
	t.Helper()
	var counts []float64
	for _, u := range uses {
		counts = append(counts, u.Count)
		if u.Count != 1 && !slices.Contains(figures(cell), u.Count) {
			t.Errorf("%s: uses %v, the table says %q", what, u, cell)
		}
	}
	for _, f := range figures(cell) {
		if !slices.Contains(counts, f) {
			t.Errorf("%s: does not use %v of %q", what, f, cell)
		}
	}
}

func compareCondition(t *testing.T, r *guide.Resolved, to guide.Req, row row, steps map[guide.ID]row) {
	c := r.Condition(to.Condition)
	found := 0
	var uses []guide.Use
	for _, ch := range c.Changes {
		uses = append(uses, ch.Uses...)
		what := string(c.ID) + " " + string(ch.From) + " to " + string(ch.To)
		minutes := "close_min"
		if ch.To == to.Value {
			minutes = "open_min"
		}
		found++
		if ch.Minutes != row.minutes(t, minutes) || ch.Wait != 0 {
			t.Errorf("%s: %v and a wait of %v, want %s min", what, ch.Minutes, ch.Wait, row[minutes])
		}
		demands(t, what, row["requires"], ch.Needs, ch.With, steps)
	}
	consumes(t, string(c.ID), row["consumes"], uses)
	if found != 2 || string(c.End) != string(c.Start) || c.Start == to.Value {
		t.Errorf("%s: %d changes, from %s to the end %s", c.ID, found, c.Start, c.End)
	}
}

// countWays counts the ways of the tables: all but those that the customer
// cases added.
func countWays(r *guide.Resolved, which func(guide.Verb) bool) int {
	n := 0
	for _, it := range r.Items {
		for _, w := range it.Ways {
			if which(w.Do) && w.Source != fromCases {
				n++
			}
		}
	}
	return n
}

var (
	verbs  = map[string]guide.Verb{"replace": guide.Replace, "test": guide.Measure, "wiggle": guide.Wiggle}
	places = map[string]guide.ID{"top": "top", "cab": "cab", "below": "below", "left arch": "left-arch", "right arch": "right-arch"}
)

// TestRoutes compares every row of routes.csv with the task ways.
func TestRoutes(t *testing.T) {
	steps := stepTable(t)
	rows := table(t, "routes", 73)
	r := seen(t, "LHD") // Ways holds the ways of both drive sides
	for _, row := range rows {
		what := row["target"] + " " + row["purpose"] + " " + row["variant"] + " " + row["route"]
		variant := row["variant"]
		if variant == "both" {
			variant = ""
		}
		var found []guide.Way
		for _, w := range r.Item(guide.ID(row["target"])).Ways {
			if w.Do == verbs[row["purpose"]] && w.From == places[row["route"]] && w.For.String() == variant {
				found = append(found, w)
			}
		}
		if len(found) != 1 {
			t.Errorf("%s: %d ways", what, len(found))
			continue
		}
		w := found[0]
		if w.Out != row.minutes(t, "work_min") || w.Back != 0 || float64(w.Hands) != row.number(t, "hands") || string(w.Sight) != row["sight"] {
			t.Errorf("%s: %v, %d hands, %s; want %v", what, w.Out, w.Hands, w.Sight, row)
		}
		demands(t, what, row["needs"], w.Needs, w.With, steps)
		for _, u := range w.Uses {
			if u.Litres && !slices.Contains(figures(row["remark"]), u.Count) {
				t.Errorf("%s: uses %v, the table says %q", what, u, row["remark"])
			}
		}
		for _, f := range figures(row["remark"]) {
			if !slices.Contains(figures(remarks(r, w, row)), f) {
				t.Errorf("%s: the guide does not repeat %v of the remark %q", what, f, row["remark"])
			}
		}
	}
	if n := countWays(r, func(v guide.Verb) bool { return !v.Clears() }); n != len(rows) {
		t.Errorf("%d task ways, want %d", n, len(rows))
	}
}

// remarks is all that a way and its item say in words.
func remarks(r *guide.Resolved, w guide.Way, row row) string {
	it := r.Item(guide.ID(row["target"]))
	text := w.Note + " " + w.Then + " " + it.Note
	for _, j := range it.Joints {
		text += " " + j.String()
	}
	for _, q := range w.With {
		text += " " + r.Condition(q.Condition).Values[0].Name
	}
	return text
}
