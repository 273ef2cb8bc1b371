package engines

import (
	"fmt"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// SmallOrder returns a tiny machine on which the order of things is all that
// matters: two to four items with a way or two, an engine that cools and
// warms up by waiting, that runs only with covers fitted and stands on the
// floor, dear set-ups, and two to four tasks, some before anything is touched,
// some as proofs, some in a given order. Waits can be filled, a second strip
// can be needed, and some requests are impossible. Small enough for brute
// force.
func SmallOrder(seed uint64) Case {
	o := &order{dice: newDice(0x0dde, seed)}
	o.stock()
	for i := range o.between(2, 4) {
		o.item(i)
	}
	o.conditions()
	o.checks()
	o.request()
	return Case{Name: fmt.Sprintf("small order %d", seed), Guide: &o.g, Request: o.req}
}

type order struct {
	dice
	g   guide.Guide
	req plan.Request
}

func (o *order) stock() {
	o.g.Format, o.g.ID, o.g.Currency = guide.Format, "order", "EUR"
	o.g.Places = []guide.Place{{ID: "top", Name: "top"}, {ID: "below", Name: "below"}}
	if o.chance(0.7) {
		o.g.Setup.Move = o.whole(1, 4)
	}
	if o.chance(0.3) {
		o.g.Setup.Tool = o.whole(0, 2)
	}
	o.g.Tools = []guide.Tool{{ID: "T1", Name: "wrench"}, {ID: "T2", Name: "pliers"}}
}

// whole returns whole minutes: states differ by the wait that is left, and
// brute force should meet few of them.
func (o *order) whole(low, high int) time.Duration {
	return time.Duration(o.between(low, high)) * time.Minute
}

// item adds an item that most often lies behind the one before it.
func (o *order) item(i int) {
	it := guide.Item{ID: itemID(i), Name: "item"}
	for k := range o.between(1, 2) {
		w := o.way(i, guide.Off)
		if k > 0 && o.chance(0.4) {
			w.Do = guide.Aside
		}
		w.Back = o.whole(0, 6)
		it.Ways = append(it.Ways, w)
	}
	it.Ways = append(it.Ways, o.way(i, guide.Replace), o.way(i, guide.Measure))
	o.g.Items = append(o.g.Items, it)
}

func (o *order) way(i int, verb guide.Verb) guide.Way {
	w := guide.Way{Do: verb, Out: o.whole(0, 8), From: pick(o.dice, []guide.ID{"top", "below", ""}), People: o.IntN(2)}
	if o.chance(0.4) {
		w.Tools = []guide.ID{pick(o.dice, []guide.ID{"T1", "T2"})}
	}
	if i > 0 && o.chance(0.9) {
		w.Needs = needs([]guide.ID{itemID(o.between(max(0, i-2), i-1))}, never)
	}
	if w.From == "below" && o.chance(0.5) {
		w.With = append(w.With, on("lift", "up"))
	}
	if o.chance(0.3) {
		w.With = append(w.With, on("engine", "cold"))
	}
	w.With = append(w.With, on("running", "no"))
	return w
}

func (o *order) conditions() {
	engine := condition("engine", "hot", "cold", 0, 0, time.Duration(o.between(3, 12)))
	engine.Changes[1].With = []guide.Req{on("running", "yes")}
	engine.Changes[1].Wait = o.whole(1, 5)
	if o.chance(0.8) {
		engine.End = guide.AnyEnd
	}
	running := condition("running", "no", "yes", 1, 0, 0)
	running.Values[1].Fitted = []guide.ID{itemID(o.IntN(2))}
	if o.chance(0.2) {
		running.Values[1].Fitted = []guide.ID{"all"}
	}
	lift := condition("lift", "down", "up", 2, 1, time.Duration(o.IntN(3)))
	running.Values[1].With = []guide.Req{on("lift", "down")}
	o.g.Conditions = []guide.Condition{engine, running, lift}
}

func (o *order) checks() {
	hot := []guide.Req{on("running", "yes"), on("engine", "hot")}
	o.g.Checks = []guide.Check{
		{ID: "idle", Name: "idle speed", At: "data link", With: hot[:1], Minutes: o.whole(0, 4)},
		{ID: "hot", Name: "pressure", At: "gallery", With: hot, Minutes: o.whole(0, 4)},
		{ID: "tight", Name: "tightness", At: "everywhere", With: hot[:1], Closed: true, Minutes: o.whole(0, 4)},
	}
}

func (o *order) request() {
	o.req = plan.Request{Rate: hardRate, WaitRate: money.PerHour(o.between(0, hardRate)), By: pick(o.dice, []plan.Objective{plan.ByMoney, plan.ByMinutes})}
	ids := some(o.dice, indexes(1, len(o.g.Items)), 1, 2)
	for _, i := range ids {
		o.req.Tasks = append(o.req.Tasks, plan.Task{Verb: pick(o.dice, []guide.Verb{guide.Replace, guide.Measure}), On: itemID(i)})
	}
	for _, id := range some(o.dice, []guide.ID{"idle", "hot", "tight"}, 1, 2) {
		t := plan.Task{Verb: guide.Measure, On: id}
		switch o.IntN(4) {
		case 0:
			t.Before = true
		case 1:
			t.Proof = true
		case 2:
			t.After = []int{o.IntN(len(ids))}
			if o.chance(0.5) && len(ids) == 2 { // look, check, work: one strip is not enough
				t.After = []int{0}
				o.req.Tasks[1].After = []int{len(o.req.Tasks)}
			}
		}
		o.req.Tasks = append(o.req.Tasks, t)
	}
	if o.chance(0.2) {
		o.req.Given = []plan.Setting{{Condition: "engine", Value: "cold"}}
	}
	if o.chance(0.15) {
		o.req.LeaveOpen = []guide.ID{pick(o.dice, []guide.ID{"lift", "all", "running"})}
	}
	if o.chance(0.15) {
		o.req.Found = []plan.Standing{{Item: itemID(o.IntN(len(o.g.Items))), Off: true}}
	}
}
