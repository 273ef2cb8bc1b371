package access

import "slices"

// choice names the ways and changes of a model that may be used.
type choice struct {
	ways    []bool
	changes []bool
}

// chosen turns operations into the choice of exactly these, with the cheapest
// way of every condition to its end.
func (x *relaxation) chosen(ops []int32) choice {
	w := x.w
	c := choice{ways: make([]bool, len(w.ways)), changes: make([]bool, len(w.changes))}
	for _, n := range ops {
		switch r := x.ops[n]; r.kind {
		case opClear, opRefit, opBack, opTask:
			c.ways[r.n] = true
		case opChange:
			c.changes[r.n] = true
		}
	}
	for k := range w.changes {
		h := &w.changes[k]
		if d := &w.model.conds[h.cond]; d.end != none && d.back[h.from] == h.cost.objective+d.back[h.to] {
			c.changes[k] = true
		}
	}
	return c
}

// subset is a machine with only the chosen ways and changes.
type subset struct {
	w       *machine
	x       *relaxation
	fills   []*relaxation
	ways    []int32 // by way of the subset: way of the whole
	changes []int32
	items   []int32
}

// only builds the machine and the relaxation of a choice.
func (w *machine) only(c choice) (*subset, error) {
	u := w.restrict(c)
	var err error
	if u.x, err = u.w.relax(true); err != nil {
		return nil, err
	}
	if slices.ContainsFunc(u.w.changes, func(h change) bool { return h.wait > 0 }) {
		plain, err := u.w.relax(false)
		if err != nil {
			return nil, err
		}
		u.fills = u.w.fillings(plain)
	}
	return u, nil
}

func (u *subset) model() *model { return u.w.model }

// restrict builds the machine of a choice. Items that nothing can move any
// more and nothing needs out of the way are left out.
func (w *machine) restrict(c choice) *subset {
	u := &subset{}
	m := *w.model
	w.keepStacks(c)
	newItem := u.keepItems(w, c)
	m.items, m.ways, m.changes = nil, nil, nil
	m.mustReturn = nil
	wayOf := noneList(len(w.ways))
	for n := range w.ways {
		if c.ways[n] {
			wayOf[n] = int32(len(u.ways))
			u.ways = append(u.ways, int32(n))
			m.ways = append(m.ways, renumbered(w.ways[n], newItem))
		}
	}
	for _, i := range u.items {
		it := w.model.items[i]
		it.clear, it.back, it.taken = kept(it.clear, wayOf), kept(it.back, wayOf), kept(it.taken, wayOf)
		for k, n := range it.clear {
			m.ways[n].nth = int32(k)
		}
		m.items = append(m.items, it)
		m.mustReturn = append(m.mustReturn, w.mustReturn[i])
	}
	m.tasks = slices.Clone(w.model.tasks)
	for t := range m.tasks {
		m.tasks[t].ways = kept(m.tasks[t].ways, wayOf)
	}
	u.keepChanges(w, &m, c, newItem)
	m.from = nil
	u.w = newMachine(&m)
	if w.from != nil {
		m.from = u.startFrom(w, wayOf)
	}
	return u
}

// keepStacks adds the ways by which items have left their place: they go back
// by them.
func (w *machine) keepStacks(c choice) {
	for i, code := range w.from[:min(len(w.from), w.layout.items)] {
		switch {
		case code < 0:
			c.ways[-1-code] = true
		case code >= firstWay:
			c.ways[w.topWay(w.from, int32(i))] = true
			if low := w.lowWay(w.from, int32(i)); low != none {
				c.ways[low] = true
			}
		}
	}
}

// startFrom writes the state that visits begin in as one of the subset.
func (u *subset) startFrom(w *machine, wayOf []int32) state {
	s := make(state, u.w.size)
	for k, i := range u.items {
		switch code := w.from[i]; {
		case code < 0:
			s[k] = -1 - wayOf[-1-code]
		case code < firstWay:
			s[k] = code
		default:
			s[k] = u.w.ways[wayOf[w.topWay(w.from, i)]].nth + firstWay
			if low := w.lowWay(w.from, i); low != none {
				s[k] |= (u.w.ways[wayOf[low]].nth + firstWay) << topBits
			}
		}
	}
	copy(s[u.w.condAt:], w.from[w.condAt:])
	return s
}

// keepItems numbers the items that still can leave their place. An item that
// something needs out of the way but nothing moves makes its ways impossible,
// so it is kept too.
func (u *subset) keepItems(w *machine, c choice) []int32 {
	keep := make([]bool, len(w.model.items))
	for i := range w.model.items {
		keep[i] = w.model.items[i].found != on || w.from != nil && w.from[i] != standsOn
	}
	mark := func(t *terms) {
		for _, n := range t.needs {
			keep[n.item] = true
		}
	}
	for n := range w.ways {
		if c.ways[n] {
			mark(&w.ways[n].terms)
			if w.ways[n].item != none {
				keep[w.ways[n].item] = true
			}
			for _, i := range w.ways[n].together {
				keep[i] = true
			}
		}
	}
	for k := range w.changes {
		if c.changes[k] {
			mark(&w.changes[k].terms)
		}
	}
	newItem := noneList(len(keep))
	for i := range keep {
		if keep[i] {
			newItem[i] = int32(len(u.items))
			u.items = append(u.items, int32(i))
		}
	}
	return newItem
}

func kept(list, newOf []int32) []int32 {
	var out []int32
	for _, n := range list {
		if newOf[n] != none {
			out = append(out, newOf[n])
		}
	}
	return out
}

func renumbered(y way, newItem []int32) way {
	if y.item != none {
		y.item = newItem[y.item]
	}
	y.together = kept(y.together, newItem)
	y.terms = renumberedTerms(y.terms, newItem)
	return y
}

func renumberedTerms(t terms, newItem []int32) terms {
	needs := make([]need, len(t.needs))
	for i, n := range t.needs {
		needs[i] = need{item: newItem[n.item], off: n.off}
	}
	t.needs, t.fitted = needs, kept(t.fitted, newItem)
	return t
}

func (u *subset) keepChanges(w *machine, m *model, c choice, newItem []int32) {
	newChange := noneList(len(w.changes))
	for k := range w.changes {
		if c.changes[k] {
			newChange[k] = int32(len(u.changes))
			u.changes = append(u.changes, int32(k))
			h := w.changes[k]
			h.terms = renumberedTerms(h.terms, newItem)
			m.changes = append(m.changes, h)
		}
	}
	m.conds = slices.Clone(w.model.conds)
	for i := range m.conds {
		d := &m.conds[i]
		d.changes = kept(d.changes, newChange)
		d.demand = slices.Clone(d.demand)
		for v := range d.demand {
			d.demand[v] = renumberedTerms(d.demand[v], newItem)
		}
	}
	for i := range m.conds {
		m.setBack(int32(i))
	}
}

// original writes acts of the subset as acts of the whole.
func (u *subset) original(acts []act) []act {
	out := make([]act, len(acts))
	for i, a := range acts {
		switch a.kind {
		case doClear, doRefit:
			a.way, a.item = u.ways[a.way], u.items[a.item]
		case doTask:
			a.way = u.ways[a.way]
		default:
			a.chg = u.changes[a.chg]
		}
		out[i] = a
	}
	return out
}
