package access

import (
	"cmp"
	"encoding/binary"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
)

// moment is a state of the machine apart from any model: only what is not as
// at the start of a plain visit.
type moment struct {
	items       []placed // by item: what is not on
	conds       []valued // by condition: what is not as the visit found it
	place, tool guide.ID // only where set-ups cost anything
	hired       []guide.ID
}

// placed says how an item stands that is not on: by its own ways, along with
// another item (by, its way top), or as it was found (top -1).
type placed struct {
	item, low, top, by int32 // items in Resolved.Items, ways in Ways of the item
	off                bool
}

// valued is the value of a condition.
type valued struct{ cond, value int32 } // in Guide.Conditions and its Values

// key is the state as a string.
func (k *moment) key() string {
	var b []byte
	for _, x := range k.items {
		b = binary.AppendVarint(b, int64(x.item)+1)
		b = binary.AppendVarint(b, int64(x.low))
		b = binary.AppendVarint(b, int64(x.top))
		b = binary.AppendVarint(b, int64(x.by))
	}
	b = append(b, 0)
	for _, x := range k.conds {
		b = binary.AppendVarint(b, int64(x.cond)+1)
		b = binary.AppendVarint(b, int64(x.value))
	}
	b = append(append(append(append(b, 0), k.place...), 0), k.tool...)
	for _, id := range k.hired {
		b = append(append(b, 0), id...)
	}
	return string(b)
}

// foundAs is the state in which a visit begins.
func (p *Planner) foundAs(req plan.Request) moment {
	var k moment
	for _, s := range req.Found {
		k.items = append(k.items, placed{item: int32(p.lookup.items[s.Item]), low: none, top: none, by: none, off: s.Off})
	}
	slices.SortFunc(k.items, func(a, b placed) int { return cmp.Compare(a.item, b.item) })
	return k
}

// compileFrom builds the model of a visit that goes on from a state.
func (p *Planner) compileFrom(req plan.Request, k moment) *model {
	c := newCompiler(p.r, p.lookup, req)
	for _, x := range k.items {
		c.expand(c.track(p.r.Items[x.item].ID))
	}
	for i, t := range req.Tasks {
		c.addTask(i)
		for _, s := range req.Found {
			if t.Before { // the item has to stand as it was found
				c.track(s.Item)
			}
		}
	}
	for _, x := range k.conds {
		c.cond(p.r.Guide.Conditions[x.cond].ID)
	}
	c.addStandingConditions()
	c.drain()
	if k.place != "" {
		c.place(k.place)
	}
	if k.tool != "" {
		number(c.toolOf, &c.m.tools, k.tool)
	}
	c.finish()
	c.m.startAt(c, k)
	return c.m
}

// startAt makes the visits of the model begin in the state.
func (m *model) startAt(c *compiler, k moment) {
	for _, x := range k.conds {
		m.conds[c.condOf[c.r.Guide.Conditions[x.cond].ID]].start = x.value
	}
	w := newMachine(m)
	s := w.first()
	for i := range m.items {
		s[i] = standsOn
	}
	itemOf := func(n int32) int32 { return c.itemOf[c.r.Items[n].ID] }
	for _, x := range k.items {
		i := itemOf(x.item)
		switch {
		case x.by != none:
			s[i] = -1 - m.clearing(itemOf(x.by), x.top)
		case x.top == none:
			s[i] = standsFound
		default:
			s[i] = m.ways[m.clearing(i, x.top)].nth + firstWay
			if x.low != none {
				s[i] |= (m.ways[m.clearing(i, x.low)].nth + firstWay) << topBits
			}
		}
	}
	s[w.handAt], s[w.handAt+1] = indexOf(m.places, k.place), indexOf(m.tools, k.tool)
	for h := range m.hires {
		if slices.Contains(k.hired, m.hires[h].tool) {
			w.setHired(s, int32(h))
		}
	}
	m.from = s
}

// clearing finds the clearing way of an item by its number in the guide.
func (m *model) clearing(i, index int32) int32 {
	for _, n := range m.items[i].clear {
		if m.ways[n].index == index {
			return n
		}
	}
	return none
}

// moment writes a state of the model, reached from the one given.
func (m *model) moment(s state, from moment) moment {
	w := newMachine(m)
	k := moment{place: name(m.places, w.place(s)), tool: name(m.tools, w.tool(s))}
	for i := range m.items {
		if s[i] != standsOn {
			k.items = append(k.items, w.placed(s, int32(i)))
		}
	}
	slices.SortFunc(k.items, func(a, b placed) int { return cmp.Compare(a.item, b.item) })
	for c := range m.conds {
		v := s[w.condAt+c]
		if v < 0 {
			v = w.changes[-1-v].to
		}
		if v != m.conds[c].found {
			k.conds = append(k.conds, valued{m.conds[c].index, v})
		}
	}
	slices.SortFunc(k.conds, func(a, b valued) int { return cmp.Compare(a.cond, b.cond) })
	k.hired = slices.Clone(from.hired)
	for h := range m.hires {
		if w.hired(s, int32(h)) && !slices.Contains(k.hired, m.hires[h].tool) {
			k.hired = append(k.hired, m.hires[h].tool)
		}
	}
	slices.SortFunc(k.hired, func(a, b guide.ID) int { return strings.Compare(string(a), string(b)) })
	return k
}

func (w *machine) placed(s state, i int32) placed {
	x := placed{item: w.model.items[i].index, low: none, top: none, by: none, off: w.stands(s, i) == off}
	switch code := s[i]; {
	case code == standsFound:
	case code < 0:
		y := &w.ways[-1-code]
		x.by, x.top = w.model.items[y.item].index, y.index
	default:
		x.top = w.ways[w.topWay(s, i)].index
		if low := w.lowWay(s, i); low != none {
			x.low = w.ways[low].index
		}
	}
	return x
}
