package engines

import (
	"fmt"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// Like returns a machine built as real engines are. Items lie in zones; a zone
// is reached from one place, through a few covers that everything below them
// needs, and has three or four layers. Most items have one way, some a second
// one through a neighbouring zone. A dozen conditions are asked for where they
// belong: raised from below, fuel pressure released in the fuel zone, coolant
// drained (which needs it raised and cold), battery disconnected near the
// starter. One to six tasks lie deep; some are checks with the engine running
// before anything is touched, or proofs. items is the number of items, at
// least 12.
func Like(seed uint64, items int) Case {
	l := &like{dice: newDice(0x11fe, seed), size: max(items, 12)}
	l.stock()
	for len(l.g.Items) < l.size {
		l.zone()
	}
	l.conditions()
	l.checks()
	l.request()
	return Case{Name: fmt.Sprintf("like %d of %d", seed, l.size), Guide: &l.g, Request: l.req}
}

type like struct {
	dice
	size  int
	g     guide.Guide
	req   plan.Request
	zones [][]guide.ID // items by zone, covers first
	deep  []guide.ID   // items of the lowest layers

	demanded []guide.ID // items without which the engine does not run
}

// zoneSort is what kind of zone it is: where it is reached from, and what
// working there asks for.
type zoneSort struct {
	place guide.ID
	with  []guide.Req
	share float64 // share of ways that ask for with
}

func on(c, v guide.ID) guide.Req { return guide.Req{Condition: c, Value: v} }

var zoneSorts = []zoneSort{
	{place: "top"},
	{place: "top", with: []guide.Req{on("fuel", "released")}, share: 0.4},
	{place: "top", with: []guide.Req{on("coolant", "drained")}, share: 0.25},
	{place: "top", with: []guide.Req{on("engine", "cold")}, share: 0.3},
	{place: "below", with: []guide.Req{on("raised", "yes")}, share: 1},
	{place: "below", with: []guide.Req{on("raised", "yes"), on("oil", "drained")}, share: 1},
	{place: "arch", with: []guide.Req{on("raised", "yes")}, share: 1},
	{place: "cab"},
	{place: "cab", with: []guide.Req{on("battery", "off")}, share: 0.5},
	{place: "front", with: []guide.Req{on("gas", "recovered")}, share: 0.15},
}

func (l *like) stock() {
	l.g.Format, l.g.ID, l.g.Currency = guide.Format, "like", "EUR"
	for _, p := range []guide.ID{"top", "below", "arch", "cab", "front"} {
		l.g.Places = append(l.g.Places, guide.Place{ID: p, Name: string(p)})
	}
	l.g.Setup = guide.Setup{Move: time.Minute, Tool: 0}
	hire := money.Amount(1500)
	l.g.Tools = []guide.Tool{{ID: "ratchet", Name: "ratchet"}, {ID: "puller", Name: "puller", Hire: &hire}, {ID: "meter", Name: "meter"}}
	l.g.Parts = []guide.Part{{ID: "seal", Name: "seal", Price: 350}, {ID: "screw", Name: "single-use screw", Price: 120}}
	l.g.Fluids = []guide.Fluid{{ID: "coolant", Name: "coolant", PerLitre: 600}, {ID: "oil", Name: "oil", PerLitre: 900}}
}

// zone adds one zone of eight to sixteen items in layers.
func (l *like) zone() {
	sort := zoneSorts[len(l.zones)%len(zoneSorts)]
	n := min(l.between(8, 16), l.size-len(l.g.Items))
	var ids []guide.ID
	layers := l.between(3, 4)
	for k := range n {
		layer := layers * k / max(n, 1)
		it := guide.Item{ID: itemID(len(l.g.Items)), Name: "item"}
		upper := ids[:min(len(ids), n*layer/layers)]
		it.Ways = l.ways(sort, layer, upper)
		if layer >= layers-2 {
			l.deep = append(l.deep, it.ID)
		}
		l.g.Items = append(l.g.Items, it)
		ids = append(ids, it.ID)
	}
	l.zones = append(l.zones, ids)
}

// ways returns one or two ways of clearing and two tasks.
func (l *like) ways(sort zoneSort, layer int, upper []guide.ID) []guide.Way {
	ways := []guide.Way{l.clearing(sort, layer, upper)}
	if ways[0].Do == guide.Aside { // what can be moved aside can also come off
		off := ways[0]
		off.Do, off.Out, off.Back = guide.Off, off.Out+l.minutes(2, 6), off.Back+l.minutes(2, 8)
		ways = append(ways, off)
	}
	if l.chance(0.15) && layer > 0 {
		ways = append(ways, l.clearing(sort, layer, upper))
	}
	if l.chance(0.15) && len(l.zones) > 0 && layer > 0 {
		near := l.zones[len(l.zones)-1]
		other := zoneSorts[(len(l.zones)-1)%len(zoneSorts)]
		ways = append(ways, l.clearing(other, layer, near[:max(1, len(near)/2)]))
	}
	for _, verb := range []guide.Verb{guide.Replace, guide.Measure} {
		w := l.clearing(sort, layer, upper)
		w.Do, w.Out, w.Back, w.Together, w.Uses = verb, l.minutes(2, 8), 0, nil, nil
		ways = append(ways, w)
	}
	return ways
}

func (l *like) clearing(sort zoneSort, layer int, upper []guide.ID) guide.Way {
	w := guide.Way{Do: guide.Off, From: sort.place, Out: l.minutes(1, 10+4*layer), Tools: []guide.ID{"ratchet"}}
	w.Back = w.Out + l.minutes(0, 5)
	if layer == 0 && l.chance(0.3) {
		w.Do = guide.Aside
	}
	if layer > 0 {
		w.Needs = needs(l.local(upper), func() bool { return l.chance(0.1) })
	}
	if l.chance(sort.share) {
		w.With = sort.with
	}
	if l.chance(0.05) {
		w.Tools = []guide.ID{"puller"}
	}
	if l.chance(0.15) {
		w.Uses = []guide.Use{{Count: float64(l.between(1, 6)), What: pick(l.dice, []guide.ID{"seal", "screw"})}}
	}
	if l.chance(0.1) {
		w.Risks = []guide.Risk{{What: "clip breaks", Times: l.between(1, 3), Of: 11, Minutes: l.minutes(2, 10), Price: 450}}
	}
	return w
}

// local picks the cover of the zone and up to two more of the nearest items
// above.
func (l *like) local(upper []guide.ID) []guide.ID {
	if len(upper) == 0 {
		return nil
	}
	near := upper[max(0, len(upper)-5):]
	ids := some(l.dice, near, 1, 2)
	if ids[0] != upper[0] && l.chance(0.7) {
		ids = append([]guide.ID{upper[0]}, ids...)
	}
	return ids
}

// condition is a two-valued condition that is put back as found.
func condition(id, from, to guide.ID, out, back, wait time.Duration) guide.Condition {
	return guide.Condition{
		ID: id, Name: string(id), Start: from,
		Values: []guide.Value{{ID: from}, {ID: to}},
		Changes: []guide.Change{
			{From: from, To: to, Minutes: out * time.Minute, Wait: wait * time.Minute},
			{From: to, To: from, Minutes: back * time.Minute},
		},
	}
}

func (l *like) conditions() {
	raised := condition("raised", "no", "yes", 4, 3, 0)
	battery := condition("battery", "on", "off", 2, 4, 0)
	fuel := condition("fuel", "pressed", "released", 9, 4, 5)
	cold := condition("engine", "hot", "cold", 0, 10, 60)
	cold.End = guide.AnyEnd
	coolant := condition("coolant", "full", "drained", 15, 32, 0)
	coolant.Changes[0].With = []guide.Req{on("engine", "cold"), on("raised", "yes")}
	coolant.Changes[0].Needs = []guide.Need{{Item: l.zones[0][0]}}
	coolant.Changes[1].Uses = []guide.Use{{Count: 0.5, Litres: true, What: "coolant"}}
	oil := condition("oil", "full", "drained", 12, 10, 10)
	oil.Changes[0].With = []guide.Req{on("raised", "yes")}
	oil.Changes[1].Uses = []guide.Use{{Count: 1, What: "seal"}}
	running := condition("running", "no", "yes", 1, 0, 0)
	l.demanded = []guide.ID{l.zones[0][0], itemID(len(l.g.Items) / 2)}
	running.Values[1].Fitted = l.demanded
	running.Values[1].With = []guide.Req{on("battery", "on"), on("fuel", "pressed"), on("coolant", "full"), on("oil", "full"), on("raised", "no")}
	gas := condition("gas", "full", "recovered", 25, 30, 0)
	l.g.Conditions = []guide.Condition{
		raised, battery, fuel, cold, coolant, oil, running, gas,
		condition("key", "out", "in", 0, 0, 0), condition("bonnet", "shut", "open", 1, 1, 0),
		condition("seat", "back", "out", 6, 8, 0), condition("wheels", "straight", "turned", 1, 1, 0),
	}
}

// checks adds a check with the engine running and a few at points.
func (l *like) checks() {
	l.g.Checks = []guide.Check{
		{ID: "idle", Name: "idle speed", At: "data link", With: []guide.Req{on("running", "yes")}, Minutes: 3 * time.Minute},
		{ID: "leak", Name: "tightness", At: "everywhere", With: []guide.Req{on("running", "yes")}, Closed: true, Minutes: 5 * time.Minute},
	}
	for k := range 3 {
		l.g.Checks = append(l.g.Checks, guide.Check{
			ID: guide.ID(fmt.Sprintf("K%d", k)), Name: "resistance", At: "pins 1 and 2",
			Point: pick(l.dice, l.deep), Instrument: []guide.ID{"meter"}, Minutes: l.minutes(1, 4),
		})
	}
}

func (l *like) request() {
	l.req = plan.Request{Rate: hardRate, WaitRate: hardRate / 2, By: plan.ByMoney}
	for _, id := range some(l.dice, l.deep, 1, 4) {
		l.req.Tasks = append(l.req.Tasks, plan.Task{Verb: pick(l.dice, []guide.Verb{guide.Replace, guide.Measure}), On: id})
	}
	if l.chance(0.3) {
		l.req.Tasks = append(l.req.Tasks, plan.Task{Verb: guide.Measure, On: "idle", Before: true})
	}
	if l.chance(0.3) {
		l.req.Tasks = append(l.req.Tasks, plan.Task{Verb: guide.Measure, On: "leak", Proof: true})
	}
	if l.chance(0.15) {
		found := pick(l.dice, l.deep)
		if slices.Contains(l.demanded, found) { // the engine could not have been driven in
			found = l.deep[len(l.deep)-1]
		}
		l.req.Found = []plan.Standing{{Item: found, Off: true}}
	}
	if l.chance(0.15) {
		l.req.Given = []plan.Setting{{Condition: "engine", Value: "cold"}}
	}
	if l.chance(0.2) {
		l.req.Missing = []guide.ID{"puller"}
	}
}
