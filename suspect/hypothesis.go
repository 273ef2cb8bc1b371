package suspect

import (
	"slices"

	"elbowroom/codes"
	"elbowroom/guide"
)

// hypothesis is one suspect of a case.
type hypothesis struct {
	id      guide.ID
	name    string
	on      guide.ID
	weight  float64 // by weight and age, before touching
	touched bool
	fault   *guide.Fault // nil for Unlisted
}

// model is a case made ready for computing: indexes instead of names.
type model struct {
	c        *Case
	r        *guide.Resolved
	a        Assumptions
	opt      Options
	hyps     []hypothesis // faults in guide order, Unlisted last
	byID     map[guide.ID]int
	up       map[guide.ID][]guide.ID // items that an item is fed, grounded or connected through
	steps    []step
	notes    []string
	found    []Match
	checks   map[guide.ID]*checkModel
	asked    map[guide.ID]bool // checks whose answer stands
	families [][]codes.Range   // codes of each fault, once they were asked for
}

// step is one thing that happened, in order: a sign, or a repair.
type step struct {
	sign    Sign
	about   []int      // hypotheses that the sign depends on, rising
	opening bool       // known at arrival: the unlisted suspect explains it as well as the rest
	like    likelihood // nil for repairs and for what was replaced
	seen    *observed  // of a verdict
	repairs []int      // hypotheses that the repair takes out
}

// likelihood is the probability of a sign in a world: those hypotheses present
// that the sign depends on, in rising order.
type likelihood func(present []int, s setting) float64

// other returns the index of the unlisted suspect.
func (m *model) other() int { return len(m.hyps) - 1 }

// suspects lists the faults of the guide that this variant can have. Faults of
// an item that the variant does not have are left out.
func (m *model) suspects() {
	m.byID = map[guide.ID]int{}
	g := m.r.Guide
	unaged := 0
	for i := range g.Faults {
		f := &g.Faults[i]
		if f.On != "" && m.r.Item(f.On) == nil || !(f.Weight > 0) {
			continue
		}
		h := hypothesis{id: f.ID, name: f.Name, on: f.On, weight: f.Weight, touched: m.wasTouched(f.On), fault: f}
		if f.Wear != nil {
			factor, ok := ageFactor(*f.Wear, m.c.Age)
			h.weight *= factor
			if !ok {
				unaged++
			}
		}
		m.byID[f.ID] = len(m.hyps)
		m.hyps = append(m.hyps, h)
	}
	m.hyps = append(m.hyps, hypothesis{id: Unlisted, name: "something that the guide does not list"})
	if _, taken := m.byID[Unlisted]; !taken {
		m.byID[Unlisted] = m.other()
	}
	if unaged > 0 {
		m.note("%d faults have a law of life, but the machine's age in its measure is not known: their weight is that of an average machine", unaged)
	}
}

func (m *model) wasTouched(on guide.ID) bool {
	if on == "" {
		return false
	}
	if slices.Contains(m.c.Touched, on) {
		return true
	}
	it := m.r.Item(on)
	return it != nil && it.PartOf != "" && slices.Contains(m.c.Touched, it.PartOf)
}

// shares returns the prior share of every hypothesis as the only one.
func (m *model) shares(s setting) []float64 {
	out := make([]float64, len(m.hyps))
	sum := 0.0
	for i, h := range m.hyps[:m.other()] {
		out[i] = h.weight
		if h.touched {
			out[i] *= s.given(groupTouched, m.a.Touched)
		}
		sum += out[i]
	}
	unlisted := s.leak(groupUnlisted, m.a.Unlisted)
	if sum == 0 {
		out[m.other()] = 1
		return out
	}
	for i := range out[:m.other()] {
		out[i] *= (1 - unlisted) / sum
	}
	out[m.other()] = unlisted
	return out
}
