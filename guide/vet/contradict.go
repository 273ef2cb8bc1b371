package vet

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
)

// eachWay visits every way of the guide: of kinds, items and checks.
func (e *examiner) eachWay(visit func(path string, owner guide.ID, w *guide.Way, cautions []guide.ID)) {
	for i := range e.g.Kinds {
		k := &e.g.Kinds[i]
		for j := range k.Ways {
			visit(nth(within("kinds", k.ID), "ways", j), "", &k.Ways[j], k.Cautions)
		}
	}
	for i := range e.g.Items {
		it := &e.g.Items[i]
		for j := range it.Ways {
			visit(nth(within("items", it.ID), "ways", j), it.ID, &it.Ways[j], it.Cautions)
		}
	}
	for i := range e.g.Checks {
		c := &e.g.Checks[i]
		for j := range c.Ways {
			visit(nth(within("checks", c.ID), "ways", j), "", &c.Ways[j], c.Cautions)
		}
	}
}

// asked is a demand on a condition and who makes it.
type asked struct {
	req guide.Req
	by  string
}

// atStart is the value that a change leaves. What that value demands is judged
// where the value stands, not once more at each change.
const atStart = "the start of the change"

// demand gathers what must hold at one moment.
type demand struct {
	reqs   []asked
	fitted []guide.ID
	fitBy  map[guide.ID]string
	needs  []guide.Need
}

func (d *demand) ask(reqs []guide.Req, by string) {
	for _, q := range reqs {
		d.reqs = append(d.reqs, asked{q, by})
	}
}

func (d *demand) fit(ids []guide.ID, by string) {
	for _, id := range ids {
		if _, ok := d.fitBy[id]; !ok {
			d.fitted = append(d.fitted, id)
			d.fitBy[id] = by
		}
	}
}

// demandOf gathers what a way asks for, its cautions included.
func (e *examiner) demandOf(w *guide.Way, cautions []guide.ID) *demand {
	d := &demand{needs: w.Needs, fitBy: map[guide.ID]string{}}
	d.ask(w.With, "the way")
	d.fit(w.Fitted, "the way")
	e.askCautions(d, slices.Concat(w.Cautions, cautions))
	return d
}

func (e *examiner) askCautions(d *demand, ids []guide.ID) {
	for _, id := range ids {
		if c := e.cautions[id]; c != nil {
			d.ask(c.Safe, "caution "+string(id))
		}
	}
}

// contradiction says why not everything that is demanded can hold at once; ""
// when it can. What a value demands for as long as it lasts is demanded too.
func (e *examiner) contradiction(d *demand) string {
	settled := map[guide.ID]asked{}
	for i := 0; i < len(d.reqs); i++ {
		a := d.reqs[i]
		if a.req.Not {
			continue
		}
		before, ok := settled[a.req.Condition]
		switch {
		case !ok:
			settled[a.req.Condition] = a
			if a.by != atStart {
				e.follow(d, a)
			}
		case before.req.Value != a.req.Value && before.by == a.by:
			return fmt.Sprintf("%s asks for both %s=%s and %s=%s", a.by, a.req.Condition, before.req.Value, a.req.Condition, a.req.Value)
		case before.req.Value != a.req.Value:
			return fmt.Sprintf("%s asks for %s=%s and %s for %s=%s at the same time",
				before.by, a.req.Condition, before.req.Value, a.by, a.req.Condition, a.req.Value)
		}
	}
	if says := e.excluded(d, settled); says != "" {
		return says
	}
	return d.misfit()
}

// follow adds what a value in force demands.
func (e *examiner) follow(d *demand, a asked) {
	v := e.value(a.req.Condition, a.req.Value)
	if v == nil {
		return
	}
	by := fmt.Sprintf("%s=%s", a.req.Condition, a.req.Value)
	d.ask(v.With, by)
	d.fit(v.Fitted, by)
}

func (e *examiner) value(cond, value guide.ID) *guide.Value {
	c := e.conds[cond]
	if c == nil {
		return nil
	}
	for i := range c.Values {
		if c.Values[i].ID == value {
			return &c.Values[i]
		}
	}
	return nil
}

// excluded says which "not" demand leaves a condition without a value.
func (e *examiner) excluded(d *demand, settled map[guide.ID]asked) string {
	out := map[guide.ID][]guide.ID{}
	for _, a := range d.reqs {
		c := e.conds[a.req.Condition]
		if !a.req.Not || c == nil {
			continue
		}
		if s, ok := settled[c.ID]; ok && s.req.Value == a.req.Value {
			return fmt.Sprintf("%s asks for %s=%s and %s forbids it", s.by, c.ID, s.req.Value, a.by)
		}
		if !slices.Contains(out[c.ID], a.req.Value) {
			out[c.ID] = append(out[c.ID], a.req.Value)
		}
		if len(out[c.ID]) == len(c.Values) {
			return fmt.Sprintf("every value of %s is forbidden", c.ID)
		}
	}
	return ""
}

// misfit says which item must be fitted and out of the way at the same time.
func (d *demand) misfit() string {
	for _, n := range d.needs {
		for _, f := range d.fitted {
			if f == n.Item || f == "all" {
				return fmt.Sprintf("%s must be out of the way, and %s asks for it to be fitted", n.Item, d.fitBy[f])
			}
		}
	}
	return ""
}

func lookContradiction(e *examiner) {
	const do = "correct one of the two; as written nobody can ever do this"
	e.eachWay(func(path string, _ guide.ID, w *guide.Way, cautions []guide.ID) {
		if says := e.contradiction(e.demandOf(w, cautions)); says != "" {
			e.report(path, "", "the way contradicts itself: "+says, do)
		}
	})
	for i := range e.g.Checks {
		e.checkContradiction(&e.g.Checks[i], do)
	}
	for _, c := range e.g.Conditions {
		for j, v := range c.Values {
			d := &demand{fitBy: map[guide.ID]string{}}
			d.ask([]guide.Req{{Condition: c.ID, Value: v.ID}}, "the value itself")
			e.askCautions(d, v.Cautions)
			if says := e.contradiction(d); says != "" {
				e.report(nth(within("conditions", c.ID), "values", j), "", "the value can never hold: "+says, do)
			}
		}
		for j, ch := range c.Changes {
			d := &demand{needs: ch.Needs, fitBy: map[guide.ID]string{}}
			d.ask([]guide.Req{{Condition: c.ID, Value: ch.From}}, atStart)
			d.ask(ch.With, "the change")
			d.fit(ch.Fitted, "the change")
			e.askCautions(d, ch.Cautions)
			if says := e.contradiction(d); says != "" {
				e.report(nth(within("conditions", c.ID), "changes", j), "", "the change contradicts itself: "+says, do)
			}
		}
	}
}

// checkContradiction looks at what the check asks for while measuring and at
// each way that could lead to its point.
func (e *examiner) checkContradiction(c *guide.Check, do string) {
	d := &demand{fitBy: map[guide.ID]string{}}
	d.ask(c.With, "the check")
	e.askCautions(d, c.Cautions)
	if c.Closed {
		d.fit([]guide.ID{"all"}, "the check, closed,")
	}
	if says := e.contradiction(d); says != "" {
		e.report(within("checks", c.ID), "", "the check contradicts itself: "+says, do)
		return
	}
	ways, reasons := e.checkWays(c), []string{}
	for _, w := range ways {
		d := e.demandOf(&w, nil)
		d.ask(c.With, "the check")
		e.askCautions(d, c.Cautions)
		if c.Closed {
			d.fit([]guide.ID{"all"}, "the check, closed,")
		}
		if says := e.contradiction(d); says != "" {
			reasons = append(reasons, says)
		}
	}
	if len(ways) > 0 && len(reasons) == len(ways) {
		e.report(within("checks", c.ID), "", "no way to the measuring point agrees with the check: "+strings.Join(slices.Compact(reasons), "; "), do)
	}
}

// checkWays returns the ways that lead to the measuring point of a check.
func (e *examiner) checkWays(c *guide.Check) []guide.Way {
	var out []guide.Way
	from := c.Ways
	if !slices.ContainsFunc(from, func(w guide.Way) bool { return w.Do == guide.Measure }) {
		from = nil
		if it := e.items[c.Point]; it != nil {
			from = e.waysOf(it)
		}
	}
	for _, w := range from {
		if w.Do == guide.Measure {
			out = append(out, w)
		}
	}
	return out
}

func lookOwnItem(e *examiner) {
	e.eachWay(func(path string, owner guide.ID, w *guide.Way, _ []guide.ID) {
		for _, n := range w.Needs {
			if n.Item == owner && w.Do.Clears() {
				e.report(path, string(w.Do), fmt.Sprintf("to clear %s this way needs %s itself out of the way", e.named(owner), owner),
					"drop the need, or name the item that is meant")
			}
			if slices.Contains(w.Together, n.Item) {
				e.report(path, string(n.Item), fmt.Sprintf("%s must be out of the way first and comes off together with the item", n.Item),
					"keep one of the two")
			}
		}
	})
}

func lookUnattainable(e *examiner) {
	for i := range e.g.Conditions {
		c := &e.g.Conditions[i]
		to := map[guide.ID]bool{c.Start: true}
		for _, ch := range c.Changes {
			to[ch.To] = true
		}
		for j, v := range c.Values {
			if by := e.askers[guide.Req{Condition: c.ID, Value: v.ID}]; !to[v.ID] && len(by) > 0 {
				e.report(nth(within("conditions", c.ID), "values", j), string(v.ID),
					fmt.Sprintf("no change brings %s to %s, which is asked for by %s", c.ID, v.ID, list(by)),
					"write the change that leads there, or take the demand away")
			}
		}
	}
}

func lookNoWayBack(e *examiner) {
	for i := range e.g.Conditions {
		c := &e.g.Conditions[i]
		end := guide.ID(c.End)
		switch c.End {
		case guide.AnyEnd:
			continue
		case "", guide.AsFound:
			end = c.Start
		}
		back := backTo(c, end)
		for j, ch := range c.Changes {
			if back[ch.From] && !back[ch.To] {
				e.report(nth(within("conditions", c.ID), "changes", j), string(ch.To),
					fmt.Sprintf("once %s is %s no change leads back to %s, where the visit must end", c.ID, ch.To, end),
					"write the change back, or end: any where it may stay so")
			}
		}
	}
}

// backTo returns the values from which changes lead to end.
func backTo(c *guide.Condition, end guide.ID) map[guide.ID]bool {
	back := map[guide.ID]bool{end: true}
	for grown := true; grown; {
		grown = false
		for _, ch := range c.Changes {
			if back[ch.To] && !back[ch.From] {
				back[ch.From], grown = true, true
			}
		}
	}
	return back
}

// gatherAskers notes who asks for each value of a condition.
func (e *examiner) gatherAskers() map[guide.Req][]string {
	out := map[guide.Req][]string{}
	note := func(reqs []guide.Req, by string) {
		for _, q := range reqs {
			if n := len(out[q]); !q.Not && (n == 0 || out[q][n-1] != by) {
				out[q] = append(out[q], by)
			}
		}
	}
	for i := range e.g.Items {
		it := &e.g.Items[i]
		for _, w := range e.waysOf(it) {
			note(w.With, string(it.ID))
		}
	}
	for _, c := range e.g.Checks {
		note(c.With, string(c.ID))
		for _, w := range c.Ways {
			note(w.With, string(c.ID))
		}
	}
	for _, c := range e.g.Cautions {
		note(c.Safe, "caution "+string(c.ID))
	}
	for _, c := range e.g.Conditions {
		for _, ch := range c.Changes {
			note(ch.With, "a change of "+string(c.ID))
		}
		for _, v := range c.Values {
			note(v.With, fmt.Sprintf("%s=%s", c.ID, v.ID))
		}
	}
	return out
}
