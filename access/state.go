package access

import "slices"

// state is the machine at one moment of a visit, laid out flat so that it can
// be copied, hashed and compared quickly. See layout for the places.
type state []int32

// How an item stands in a state:
//
//	0           on
//	1           found aside or off
//	2+k         cleared by its k-th clearing way
//	(2+j)<<15 | 2+k  cleared aside by its j-th way, then off by its k-th
//	-1-w        taken along by way w of another item
const (
	standsOn    = int32(0)
	standsFound = int32(1)
	firstWay    = int32(2)
	topBits     = 15
	topMask     = int32(1)<<topBits - 1
	// maxWays is the largest number of ways of one item that a standing can hold.
	maxWays = int(topMask) - int(firstWay)
)

// A condition with a change in progress has the value -1-change.
func inProgress(change int32) int32 { return -1 - change }

// layout says where in a state things are.
type layout struct {
	items, conds, tasks, hires int
	condAt, leftAt, handAt     int
	doneAt, hireAt, size       int
}

const doneBits = 31

func (m *model) layout() layout {
	l := layout{items: len(m.items), conds: len(m.conds), tasks: len(m.tasks), hires: len(m.hires)}
	l.condAt = l.items
	l.leftAt = l.condAt + l.conds
	l.handAt = l.leftAt + l.conds
	l.doneAt = l.handAt + 2
	l.hireAt = l.doneAt + (l.tasks+doneBits-1)/doneBits
	l.size = l.hireAt + (l.hires+doneBits-1)/doneBits
	return l
}

// machine runs steps on states of a model.
type machine struct {
	*model
	layout
	demanding []int32 // conditions with a value that demands something
}

func newMachine(m *model) *machine {
	w := &machine{model: m, layout: m.layout()}
	for i := range m.conds {
		for v := range m.conds[i].demand {
			if d := &m.conds[i].demand[v]; d.all || len(d.fitted) > 0 || len(d.reqs) > 0 {
				w.demanding = append(w.demanding, int32(i))
				break
			}
		}
	}
	return w
}

// first returns the state at the start of the visit.
func (w *machine) first() state {
	if w.from != nil {
		return slices.Clone(w.from)
	}
	s := make(state, w.size)
	for i := range w.model.items {
		if w.model.items[i].found != on {
			s[i] = standsFound
		}
	}
	for i := range w.model.conds {
		s[w.condAt+i] = w.model.conds[i].start
	}
	s[w.handAt], s[w.handAt+1] = none, none
	return s
}

// waiting reports whether a change is under way.
func (w *machine) waiting(s state) bool {
	for _, v := range s[w.condAt : w.condAt+w.layout.conds] {
		if v < 0 {
			return true
		}
	}
	return false
}

func (w *machine) value(s state, c int32) int32 { return s[w.condAt+int(c)] }
func (w *machine) place(s state) int32          { return s[w.handAt] }
func (w *machine) tool(s state) int32           { return s[w.handAt+1] }

func (w *machine) done(s state, t int32) bool {
	return s[w.doneAt+int(t)/doneBits]>>(uint(t)%doneBits)&1 != 0
}

func (w *machine) setDone(s state, t int32) {
	s[w.doneAt+int(t)/doneBits] |= 1 << (uint(t) % doneBits)
}

func (w *machine) hired(s state, h int32) bool {
	return s[w.hireAt+int(h)/doneBits]>>(uint(h)%doneBits)&1 != 0
}

func (w *machine) setHired(s state, h int32) {
	s[w.hireAt+int(h)/doneBits] |= 1 << (uint(h) % doneBits)
}

// topWay returns the way on top of the item's stack, or none.
func (w *machine) topWay(s state, i int32) int32 {
	code := s[i]
	if code < firstWay {
		return none
	}
	return w.model.items[i].clear[code&topMask-firstWay]
}

// lowWay returns the way under the top one, or none.
func (w *machine) lowWay(s state, i int32) int32 {
	code := s[i]
	if code < firstWay || code>>topBits == 0 {
		return none
	}
	return w.model.items[i].clear[code>>topBits-firstWay]
}

// stands tells how the item stands.
func (w *machine) stands(s state, i int32) standing {
	switch code := s[i]; {
	case code == standsOn:
		return on
	case code == standsFound:
		return w.model.items[i].found
	case code < 0:
		return off
	case w.ways[w.topWay(s, i)].takesOff:
		return off
	}
	return aside
}

// allows reports whether everything that t asks for holds in s.
func (w *machine) allows(s state, t *terms) bool {
	for _, n := range t.needs {
		if st := w.stands(s, n.item); st == on || n.off && st != off {
			return false
		}
	}
	return w.holds(s, t)
}

// holds judges conditions and fitted items.
func (w *machine) holds(s state, t *terms) bool {
	for _, r := range t.reqs {
		if !w.meets(s, r) {
			return false
		}
	}
	for _, i := range t.fitted {
		if s[i] != standsOn {
			return false
		}
	}
	if t.all {
		for i := range w.layout.items {
			if s[i] != standsOn {
				return false
			}
		}
	}
	return true
}

func (w *machine) meets(s state, r req) bool {
	if r.cond == none {
		return false
	}
	v := w.value(s, r.cond)
	return v >= 0 && (v == r.value) != r.not
}

// demandsMet reports whether every value in force has what it demands.
func (w *machine) demandsMet(s state) bool {
	for _, c := range w.demanding {
		if v := w.value(s, c); v >= 0 && !w.holds(s, &w.model.conds[c].demand[v]) {
			return false
		}
	}
	return true
}

// atEnd reports whether the visit may end in s.
func (w *machine) atEnd(s state) bool {
	return w.allDone(s) && w.itemsBack(s) && w.condsBack(s)
}

// allDone reports whether every task is done.
func (w *machine) allDone(s state) bool {
	for t := range w.model.tasks {
		if !w.done(s, int32(t)) {
			return false
		}
	}
	return true
}

// itemsBack reports whether every item stands as the visit must end.
func (w *machine) itemsBack(s state) bool {
	for i := range w.layout.items {
		if s[i] != standsOn && w.mustReturn[i] {
			return false
		}
	}
	return true
}

func (w *machine) condsBack(s state) bool {
	for i := range w.model.conds {
		if end := w.model.conds[i].end; end != none && s[w.condAt+i] != end {
			return false
		}
	}
	return true
}
