package audit

import (
	"math"
	"slices"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// everything is the name that stands for all items, or all items and conditions.
const everything guide.ID = "all"

// clearing makes the act of a way that takes item i off or aside.
func (m *machine) clearing(w *guide.Way, i int, cautions []guide.ID) *act {
	a := m.wayOf(w, cautions)
	a.out, a.back = m.effort(w.Out, w.People), m.effort(w.Back, w.People)
	m.consume(&a.back, w.Uses)
	a.out.risk = m.risk(w.Risks)
	for _, id := range w.Together {
		if k, ok := m.itemAt[id]; ok && k != i && !slices.Contains(a.together, k) {
			a.together = append(a.together, k)
		}
	}
	return a
}

// wayOf collects what a way asks for; its costs differ by use and are left out.
func (m *machine) wayOf(w *guide.Way, cautions []guide.ID) *act {
	a := &act{slot: m.nextSlot(2), verb: w.Do, place: w.From}
	if !m.r.Fits(w.For) {
		a.closed = append(a.closed, Reason{says: "this way is not for this variant"})
	}
	m.demand(a, w.Needs, w.With, w.Fitted)
	m.equip(a, w.Tools, w.People)
	m.heed(a, slices.Concat(w.Cautions, cautions))
	return a
}

func (m *machine) changing(c *guide.Condition, ch *guide.Change) *act {
	a := &act{slot: m.nextSlot(1), place: ch.Place}
	if ch.WaitUnknown {
		a.closed = append(a.closed, reason("how long to wait for {a}={b} is known to the maker only", c.ID, ch.To))
	}
	m.demand(a, ch.Needs, ch.With, ch.Fitted)
	m.equip(a, ch.Tools, ch.People)
	m.heed(a, ch.Cautions)
	if k := valueAt(c, ch.To); k >= 0 {
		m.unanswered(a, c.Values[k].Cautions)
	}
	a.out = m.effort(ch.Minutes, ch.People)
	m.consume(&a.out, ch.Uses)
	return a
}

// value collects what a value demands for as long as it lasts.
func (m *machine) value(v *guide.Value) value {
	var a act
	m.demand(&a, nil, v.With, v.Fitted)
	for _, id := range v.Cautions {
		if c := m.caution(id); c != nil {
			m.demand(&a, nil, c.Safe, nil)
		}
	}
	return value{id: v.ID, fitted: a.fitted, all: a.all, with: a.with}
}

// demand adds needs, requirements and fitted items. Items that are not part of
// the variant ask for nothing.
func (m *machine) demand(a *act, needs []guide.Need, with []guide.Req, fitted []guide.ID) {
	for _, n := range needs {
		if k, ok := m.itemAt[n.Item]; ok {
			a.needs = append(a.needs, need{k, n.Off})
		}
	}
	for _, q := range with {
		a.with = append(a.with, m.requirement(q))
	}
	for _, id := range fitted {
		if id == everything {
			a.all = true
		} else if k, ok := m.itemAt[id]; ok {
			a.fitted = append(a.fitted, k)
		}
	}
}

func (m *machine) requirement(q guide.Req) requirement {
	k, ok := m.condAt[q.Condition]
	if !ok {
		return requirement{q, none, none}
	}
	return requirement{q, k, valueAt(&m.r.Guide.Conditions[k], q.Value)}
}

// equip adds tools and people, and closes the act where they cannot be had.
func (m *machine) equip(a *act, tools []guide.ID, people int) {
	if len(tools) > 0 {
		a.tool = tools[0]
	}
	for _, id := range tools {
		if !slices.Contains(m.req.Missing, id) {
			continue
		}
		k := slices.IndexFunc(m.gear, func(g gear) bool { return g.id == id })
		if k < 0 {
			a.closed = append(a.closed, reason("the tool {a} is missing and cannot be hired", id, ""))
		} else if !slices.Contains(a.hire, k) {
			a.hire = append(a.hire, k)
		}
	}
	if people > m.people {
		a.closed = append(a.closed, Reason{says: "more people are needed than are there"})
	}
}

// heed adds what makes the cautions safe, and closes the act while one of them
// lacks its answer.
func (m *machine) heed(a *act, cautions []guide.ID) {
	m.unanswered(a, cautions)
	for _, id := range cautions {
		if c := m.caution(id); c != nil {
			m.demand(a, nil, c.Safe, nil)
		}
	}
}

func (m *machine) unanswered(a *act, cautions []guide.ID) {
	for _, id := range cautions {
		if c := m.caution(id); c != nil && c.Ask != "" && c.Answer == "" {
			a.closed = append(a.closed, reason("the caution {a} asks for a value that nobody has given", id, ""))
		}
	}
}

func (m *machine) caution(id guide.ID) *guide.Caution {
	k := slices.IndexFunc(m.r.Guide.Cautions, func(c guide.Caution) bool { return c.ID == id })
	if k < 0 {
		return nil
	}
	return &m.r.Guide.Cautions[k]
}

func (m *machine) effort(d time.Duration, people int) effort {
	ms := milliseconds(d)
	return effort{clock: ms, labour: ms * int64(max(people, 1))}
}

// consume adds the price of what is used.
func (m *machine) consume(e *effort, uses []guide.Use) {
	for _, u := range uses {
		if u.Litres {
			e.fluids += priced(u.Count, m.litre(u.What))
		} else {
			e.parts += priced(u.Count, m.piece(u.What))
		}
	}
}

func priced(count float64, each money.Amount) money.Amount {
	return money.Amount(math.Round(count * float64(each)))
}

func (m *machine) litre(id guide.ID) money.Amount {
	for _, f := range m.r.Guide.Fluids {
		if f.ID == id {
			return f.PerLitre
		}
	}
	return 0
}

func (m *machine) piece(id guide.ID) money.Amount {
	for _, p := range m.r.Guide.Parts {
		if p.ID == id {
			return p.Price
		}
	}
	return 0
}

// risk returns the expected price of risks in units of the objective by money.
func (m *machine) risk(risks []guide.Risk) int64 {
	var sum int64
	for _, r := range risks {
		if r.Of <= 0 {
			continue
		}
		n := int64(r.Times) * (milliseconds(r.Minutes)*m.rate + int64(r.Price)*plan.CentPerObjective)
		of := int64(r.Of)
		q := n / of
		if rest := n % of; rest >= of-rest {
			q++
		}
		sum += q
	}
	return sum
}
