package suspect

import (
	"cmp"
	"slices"

	"elbowroom/guide"
)

// Believe returns what is believed of a case. The error is a span.List that
// names every field that cannot be used; it is nil for every case that can,
// also for one whose evidence no world explains (Belief.Suspects is then as
// before the sign that no world explains, and a note says so).
func Believe(c Case, o Options) (*Belief, error) {
	m, err := prepare(c, o)
	if err != nil {
		return nil, err
	}
	worlds, combined := m.worlds()
	e := m.evaluator(setting{}, nil)
	r := m.run(worlds, e, true)
	b := &Belief{Combined: combined, Matches: m.found, Signs: m.signs()}
	b.Fixed = r.fixed
	b.Worlds = m.left(worlds, r.weights)
	b.Suspects = m.explain(r)
	m.sway(b, worlds, e)
	b.Notes = m.notes
	return b, nil
}

// prepare checks a case and makes its model.
func prepare(c Case, o Options) (*model, error) {
	m := &model{c: &c, opt: o, checks: map[guide.ID]*checkModel{}}
	if err := m.validate(); err != nil {
		return nil, err
	}
	m.up = upstream(m.r.Guide)
	m.suspects()
	m.complaint()
	m.codes()
	m.events()
	m.steps = slices.DeleteFunc(m.steps, func(s step) bool { return s.like == nil && s.sign.Sort != RepairDone })
	return m, nil
}

func (m *model) signs() []Sign {
	out := make([]Sign, len(m.steps))
	for i, s := range m.steps {
		out[i] = s.sign
	}
	return out
}

// run is one pass over the evidence.
type run struct {
	weights []float64   // of the worlds, sum 1
	shares  []float64   // of the hypotheses: present now
	fixed   float64     // nothing is present now
	prior   []float64   // of the hypotheses, before anything spoke
	spoke   [][]float64 // by step, by hypothesis: factor on the odds; nil for repairs and unless recorded
	trace   [][]float64 // by step, by hypothesis: share after it, as present at arrival
	broken  int         // step that no world explains; -1
}

// run passes over the evidence once. Each sign multiplies the weight of every
// world by its likelihood there; weights are scaled to 1 after each.
func (m *model) run(worlds []world, e *evaluator, record bool) *run {
	s := e.s
	r := &run{weights: m.priors(worlds, s), broken: -1}
	r.prior = m.marginal(worlds, r.weights)
	likes := make([]float64, len(worlds))
	for i := range m.steps {
		st := &m.steps[i]
		var factors []float64
		if st.like != nil {
			m.likes(e, i, worlds, r.weights, likes)
			if record {
				factors = m.factors(worlds, r.weights, likes)
			}
			if !apply(r.weights, likes) {
				r.broken = i
				if record {
					m.note("nothing explains %q together with what was read before: it is left out; look at that reading again", st.sign.Says)
				}
				factors = nil
			}
		}
		if record {
			r.spoke = append(r.spoke, factors)
			r.trace = append(r.trace, m.marginal(worlds, r.weights))
		}
	}
	m.now(r, worlds)
	return r
}

// priors returns the weights of the worlds before anything spoke: the product
// of the rates of their faults, scaled to sum 1.
func (m *model) priors(worlds []world, s setting) []float64 {
	share := m.shares(s)
	further := s.leak(groupFurther, m.a.Further)
	out := make([]float64, len(worlds))
	sum := 0.0
	for i, w := range worlds {
		p := 1.0
		for n, h := range w.set {
			p *= share[h]
			if n > 0 {
				p *= further
			}
		}
		out[i] = p
		sum += p
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// likes fills in the likelihood of step i in every world. What is not listed,
// alone, explains a sign known at arrival as well as the other worlds do on
// average, and never worse than its own noisy OR: that the machine is here
// with this complaint tells nothing about whether the guide lists the cause,
// except where nothing in it explains the sign.
func (m *model) likes(e *evaluator, i int, worlds []world, weights, likes []float64) {
	alone, sum, mean := -1, 0.0, 0.0
	for w := range worlds {
		likes[w] = e.like(i, worlds[w].set)
		switch {
		case len(worlds[w].set) == 1 && worlds[w].set[0] == m.other():
			alone = w
		case !contains(worlds[w].set, m.other()):
			sum += weights[w]
			mean += weights[w] * likes[w]
		}
	}
	if m.steps[i].opening && alone >= 0 && sum > 0 {
		likes[alone] = max(likes[alone], mean/sum)
	}
}

// apply multiplies and scales; false, and nothing changed, when nothing is
// left.
func apply(weights, likes []float64) bool {
	sum := 0.0
	for w := range weights {
		sum += weights[w] * likes[w]
	}
	if !(sum > 0) {
		return false
	}
	for w := range weights {
		weights[w] *= likes[w] / sum
	}
	return true
}

// marginal returns the share of every hypothesis: the weight of the worlds
// that hold it.
func (m *model) marginal(worlds []world, weights []float64) []float64 {
	out := make([]float64, len(m.hyps))
	for w := range worlds {
		for _, h := range worlds[w].set {
			out[h] += weights[w]
		}
	}
	return out
}

// factors returns, for every hypothesis, the likelihood of the sign with it
// over that without it: what its odds are multiplied by.
func (m *model) factors(worlds []world, weights, likes []float64) []float64 {
	with, without := make([]float64, len(m.hyps)), make([]float64, len(m.hyps))
	here := make([]float64, len(m.hyps))
	all, total := 0.0, 0.0
	for w := range worlds {
		total += weights[w]
		all += weights[w] * likes[w]
		for _, h := range worlds[w].set {
			here[h] += weights[w]
			with[h] += weights[w] * likes[w]
		}
	}
	for h := range m.hyps {
		without[h] = 1
		if rest := total - here[h]; rest > 0 && all > with[h] {
			without[h] = (all - with[h]) / rest
		}
		if here[h] > 0 {
			with[h] /= here[h]
		}
		with[h] /= without[h]
	}
	return with
}

// now fills in the shares after all repairs.
func (m *model) now(r *run, worlds []world) {
	gone := m.gonelast()
	r.shares = make([]float64, len(m.hyps))
	for w := range worlds {
		left := 0
		for _, h := range worlds[w].set {
			if !contains(gone, h) {
				left++
				r.shares[h] += r.weights[w]
			}
		}
		if left == 0 {
			r.fixed += r.weights[w]
		}
	}
}

// left returns what may be wrong now, likeliest first: worlds that a repair
// has made equal are one.
func (m *model) left(worlds []world, weights []float64) []World {
	gone := m.gonelast()
	type pile struct {
		set   []int
		share float64
	}
	var piles []pile
	at := map[[mostFaults]int]int{}
	for w := range worlds {
		key := [mostFaults]int{-1, -1, -1}
		n := 0
		for _, h := range worlds[w].set {
			if !contains(gone, h) {
				key[n] = h
				n++
			}
		}
		i, ok := at[key]
		if !ok {
			i = len(piles)
			at[key] = i
			piles = append(piles, pile{set: slices.Clone(key[:n])})
		}
		piles[i].share += weights[w]
	}
	slices.SortStableFunc(piles, func(a, b pile) int { return cmp.Compare(b.share, a.share) })
	out := make([]World, 0, len(piles))
	for _, p := range piles {
		if p.share > 0 {
			out = append(out, World{Faults: m.names(p.set), Share: p.share})
		}
	}
	return out
}
