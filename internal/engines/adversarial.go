package engines

import (
	"fmt"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// Adversarial returns a machine of 20 to 60 items on which order matters:
// checks with the engine running or hot against a strip that wants it stopped
// and cold after a long wait, ways from four places with dear moves and tool
// changes, each item reachable from two of them, covers that running demands
// to be fitted, and tasks in a given order so that one strip may not be enough.
func Adversarial(seed uint64) Case {
	a := &adversarial{dice: newDice(0xadef, seed)}
	a.size, a.closed = a.between(20, 60), a.chance(0.3)
	a.stock()
	for i := range a.size {
		a.item(i)
	}
	a.conditions()
	a.checks()
	a.request()
	return Case{Name: fmt.Sprintf("adversarial %d", seed), Guide: &a.g, Request: a.req}
}

type adversarial struct {
	dice
	size   int
	closed bool // the engine runs only with everything fitted
	g      guide.Guide
	req    plan.Request
}

var adversarialPlaces = []guide.ID{"top", "below", "left", "right"}

func (a *adversarial) stock() {
	a.g.Format, a.g.ID, a.g.Currency = guide.Format, "adversarial", "EUR"
	for _, p := range adversarialPlaces {
		a.g.Places = append(a.g.Places, guide.Place{ID: p, Name: string(p)})
	}
	a.g.Setup = guide.Setup{Move: a.minutes(1, 6), Tool: a.minutes(0, 3)}
	hire := money.Amount(a.between(0, 4000))
	for _, t := range []guide.ID{"T1", "T2", "T3"} {
		a.g.Tools = append(a.g.Tools, guide.Tool{ID: t, Name: string(t), Hire: &hire})
	}
}

// item adds an item with a way from one place and, mostly, another from a
// second one, each through other items.
func (a *adversarial) item(i int) {
	it := guide.Item{ID: itemID(i), Name: "item"}
	for k := range a.between(1, 3) {
		w := a.way(i, guide.Off)
		if k > 0 && a.chance(0.4) {
			w.Do = guide.Aside
		}
		w.Back = a.minutes(0, 8)
		it.Ways = append(it.Ways, w)
	}
	it.Ways = append(it.Ways, a.way(i, guide.Replace), a.way(i, guide.Measure))
	a.g.Items = append(a.g.Items, it)
}

func (a *adversarial) way(i int, verb guide.Verb) guide.Way {
	w := guide.Way{Do: verb, Out: a.minutes(1, 8), From: pick(a.dice, adversarialPlaces), Tools: []guide.ID{pick(a.dice, []guide.ID{"T1", "T2", "T3"})}}
	if i >= 4 {
		var ids []guide.ID
		for _, k := range some(a.dice, indexes(max(0, i-12), i), 1, 3) {
			ids = append(ids, itemID(k))
		}
		w.Needs = needs(ids, func() bool { return a.chance(0.15) })
	}
	if w.From == "below" {
		w.With = append(w.With, on("raised", "yes"))
	}
	if a.chance(0.25) {
		w.With = append(w.With, on("engine", "cold"))
	}
	w.With = append(w.With, guide.Req{Condition: "running", Value: "yes", Not: true})
	return w
}

func (a *adversarial) conditions() {
	raised := condition("raised", "no", "yes", 4, 3, 0)
	engine := condition("engine", "hot", "cold", 0, 2, time.Duration(a.between(20, 90)))
	engine.Changes[1].With = []guide.Req{on("running", "yes")}
	engine.Changes[1].Wait = time.Duration(a.between(5, 20)) * time.Minute
	engine.End = guide.AnyEnd
	running := condition("running", "no", "yes", 1, 1, 0)
	running.Values[1].With = []guide.Req{on("raised", "no")}
	running.Values[1].Fitted = a.covers()
	if a.closed {
		running.Values[1].Fitted = []guide.ID{"all"}
	}
	a.g.Conditions = []guide.Condition{raised, engine, running}
}

func (a *adversarial) covers() []guide.ID {
	var ids []guide.ID
	for _, k := range some(a.dice, indexes(4, a.size), 2, 5) {
		ids = append(ids, itemID(k))
	}
	return ids
}

func (a *adversarial) checks() {
	hot := []guide.Req{on("running", "yes"), on("engine", "hot")}
	a.g.Checks = []guide.Check{
		{ID: "idle", Name: "idle speed", At: "data link", With: hot[:1], Minutes: 3 * time.Minute},
		{ID: "hot", Name: "pressure", At: "gallery", With: hot, Minutes: 4 * time.Minute, Ways: []guide.Way{{
			Do: guide.Measure, From: "top", Out: 2 * time.Minute, Needs: a.port(), Tools: []guide.ID{"T1"},
		}}},
		{ID: "cold", Name: "compression", At: "plug", With: []guide.Req{on("engine", "cold")}, Point: itemID(a.between(4, a.size-1)), Minutes: 6 * time.Minute},
		{ID: "closed", Name: "tightness", At: "everywhere", With: hot, Closed: true, Minutes: 5 * time.Minute},
	}
}

// port is what must be clear to measure with the engine running: one of the
// first four items, which running never demands by name.
func (a *adversarial) port() []guide.Need {
	if a.closed {
		return nil
	}
	return needs([]guide.ID{itemID(a.between(0, 3))}, never)
}

func (a *adversarial) request() {
	a.req = plan.Request{Rate: hardRate, WaitRate: money.PerHour(a.between(1, hardRate)), By: pick(a.dice, []plan.Objective{plan.ByMoney, plan.ByMinutes})}
	for _, i := range some(a.dice, indexes(a.size/2, a.size), 1, 3) {
		a.req.Tasks = append(a.req.Tasks, plan.Task{Verb: pick(a.dice, []guide.Verb{guide.Replace, guide.Measure}), On: itemID(i)})
	}
	items := len(a.req.Tasks)
	for _, id := range some(a.dice, []guide.ID{"idle", "hot", "cold", "closed"}, 1, 3) {
		t := plan.Task{Verb: guide.Measure, On: id}
		switch a.IntN(4) {
		case 0:
			t.Before = id == "idle" || id == "closed"
		case 1:
			t.Proof = id != "hot" && id != "cold"
		case 2:
			t.After = []int{a.IntN(items)}
		}
		a.req.Tasks = append(a.req.Tasks, t)
	}
	if a.chance(0.3) {
		a.req.Missing = []guide.ID{"T3"}
	}
}
