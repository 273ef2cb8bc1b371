package suspect

import (
	"fmt"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/suspect/decide"
)

// bench is a plain workshop for tests: it prices work by opening what a way
// needs, item by item, and never looks at conditions, set-ups, people or
// tools. A state is the set of items that are off. Costs are in tenths of a
// cent at 84.00 an hour.
type bench struct {
	r       *guide.Resolved
	refer   money.Amount
	found   []guide.ID // items that are off at the start
	actions []Action
	states  [][]guide.ID
	number  map[string]decide.State
}

const (
	perMinute = 1400 // tenths of a cent
	perCent   = 10
)

func (b *bench) Ground(actions []Action) (decide.Ground, error) {
	b.actions = actions
	b.states, b.number = nil, map[string]decide.State{}
	b.state(b.found)
	return b, nil
}

func (b *bench) Spares(a Action) (money.Amount, bool) { return SparesOf(b.r, a) }
func (b *bench) Refer() money.Amount                  { return b.refer }
func (b *bench) Units(m money.Amount) int64           { return int64(m) * perCent }
func (b *bench) Money(units float64) money.Amount     { return money.Amount(units/perCent + 0.5) }
func (b *bench) Start() decide.State                  { return 0 }

// state numbers a set of items.
func (b *bench) state(off []guide.ID) decide.State {
	off = slices.Clone(off)
	slices.Sort(off)
	off = slices.Compact(off)
	key := fmt.Sprint(off)
	if s, ok := b.number[key]; ok {
		return s
	}
	b.number[key] = decide.State(len(b.states))
	b.states = append(b.states, off)
	return b.number[key]
}

// clears returns the first way that clears an item.
func (b *bench) clears(id guide.ID) *guide.Way {
	it := b.r.Item(id)
	if it == nil {
		return nil
	}
	for i := range it.Ways {
		if it.Ways[i].Do.Clears() && b.r.Fits(it.Ways[i].For) {
			return &it.Ways[i]
		}
	}
	return nil
}

// open lists what has to come off for the needs, what they need included.
func (b *bench) open(needs []guide.Need, into []guide.ID) []guide.ID {
	for _, n := range needs {
		w := b.clears(n.Item)
		if w == nil || slices.Contains(into, n.Item) {
			continue
		}
		into = append(into, n.Item)
		into = b.open(w.Needs, into)
	}
	return into
}

// course is one manner of doing an action.
type course struct {
	opens []guide.ID
	own   int64
}

func (b *bench) courses(a Action) []course {
	var ways []guide.Way
	extra := a.Own
	on := a.On
	verb := guide.Measure
	switch {
	case a.Task != nil:
		on, verb = a.Task.On, a.Task.Verb
	case a.Check != "":
		c := b.r.Check(a.Check)
		extra += c.Minutes
		on = c.Point
		ways = c.Ways
	}
	if it := b.r.Item(on); it != nil && len(ways) == 0 {
		ways = it.Ways
	}
	var out []course
	for _, w := range ways {
		if w.Do != verb || !b.r.Fits(w.For) {
			continue
		}
		own := minutes(w.Out + extra)
		for _, u := range w.Uses {
			for _, p := range b.r.Guide.Parts {
				if p.ID == u.What {
					own += int64(u.Count * float64(p.Price) * perCent)
				}
			}
		}
		out = append(out, course{b.open(w.Needs, nil), own})
	}
	if len(out) == 0 && a.Task == nil {
		out = append(out, course{own: minutes(extra)})
	}
	return out
}

func minutes(d time.Duration) int64 { return int64(d.Minutes() * perMinute) }

func (b *bench) Do(s decide.State, a decide.Action) []decide.Move {
	var out []decide.Move
	for _, c := range b.courses(b.actions[a]) {
		cost := c.own
		for _, id := range c.opens {
			if !slices.Contains(b.states[s], id) {
				cost += minutes(b.clears(id).Out)
			}
		}
		out = append(out, decide.Move{Cost: cost, After: b.state(append(slices.Clone(b.states[s]), c.opens...))})
	}
	return out
}

func (b *bench) Close(s decide.State) (int64, bool) {
	cost := int64(0)
	for _, id := range b.states[s] {
		cost += minutes(b.clears(id).Back)
	}
	return cost, true
}

func (b *bench) Own(a decide.Action) int64 {
	least := int64(-1)
	for _, c := range b.courses(b.actions[a]) {
		if least < 0 || c.own < least {
			least = c.own
		}
	}
	return max(least, 0)
}

// Access is what closing costs anyway, and the least opening of any action.
func (b *bench) Access(s decide.State, as []decide.Action) int64 {
	shut, _ := b.Close(s)
	most := int64(0)
	for _, a := range as {
		least := int64(-1)
		for _, c := range b.courses(b.actions[a]) {
			cost := int64(0)
			for _, id := range c.opens {
				if !slices.Contains(b.states[s], id) {
					w := b.clears(id)
					cost += minutes(w.Out + w.Back)
				}
			}
			if least < 0 || cost < least {
				least = cost
			}
		}
		most = max(most, least)
	}
	return shut + most
}
