package suspect

import (
	"fmt"
	"math"
	"slices"
)

// mostFaults is the most faults that a world may hold.
const mostFaults = 3

// CallFactor is by how much a combination of faults must explain the evidence
// better than the best single fault before combinations are looked at. With
// the expected 0.05 further faults of Default, a combination that explains it
// less than twenty times better hardly ever holds a share worth a check.
const CallFactor = 20

// mostCandidates bounds the faults of which combinations are made when the
// evidence calls for them: those that explain something, best first.
const mostCandidates = 40

// mostWorlds bounds the worlds of Always.
const mostWorlds = 2_000_000

// world is a set of hypotheses that were present at arrival, rising.
type world struct {
	set []int
}

// singles returns the worlds of one fault.
func (m *model) singles() []world {
	out := make([]world, len(m.hyps))
	for h := range m.hyps {
		out[h] = world{[]int{h}}
	}
	return out
}

// sets adds to worlds every set of two up to most of the given hypotheses.
func sets(worlds []world, of []int, most int) []world {
	var grow func(set []int, from int)
	grow = func(set []int, from int) {
		for i := from; i < len(of); i++ {
			next := append(slices.Clone(set), of[i])
			if len(next) >= 2 {
				worlds = append(worlds, world{next})
			}
			if len(next) < most {
				grow(next, i+1)
			}
		}
	}
	grow(nil, 0)
	return worlds
}

// countSets returns how many sets of one up to most of n things there are.
func countSets(n, most int) int {
	sum := 0.0
	for k := 1; k <= most; k++ {
		sum += choose(n, k)
	}
	if sum > mostWorlds {
		return mostWorlds + 1
	}
	return int(sum)
}

// worlds returns the worlds to be looked at, and says why.
func (m *model) worlds() ([]world, *Combined) {
	single := m.singles()
	most := m.opt.MaxFaults
	all := make([]int, len(m.hyps))
	for h := range all {
		all[h] = h
	}
	switch {
	case most == 1 || m.opt.Combine == Never:
		return single, &Combined{Most: 1, Needed: CallFactor, Says: "Only one fault at a time was looked at, as asked."}
	case m.opt.Combine == Always:
		return sets(single, all, most), &Combined{Most: most, Needed: CallFactor, Says: fmt.Sprintf("Every combination of up to %d faults was looked at, as asked.", most)}
	}
	e := m.evaluator(setting{}, nil)
	alone := e.best(single)
	candidates := m.candidates(e)
	pairs := sets(nil, candidates, 2)
	c := &Combined{Most: 1, Factor: math.Exp(e.best(pairs) - alone), Needed: CallFactor}
	if len(pairs) == 0 || c.Factor < CallFactor {
		if len(pairs) == 0 {
			c.Factor = 0
		}
		c.Says = "One fault explains the evidence about as well as any combination would."
		return single, c
	}
	c.Most = 2
	c.Says = fmt.Sprintf("Two faults together explain the evidence %.3g times better than the best single one.", c.Factor)
	if most >= 3 {
		three := sets(nil, candidates, 3)
		if f := math.Exp(e.best(three) - e.best(pairs)); f >= CallFactor {
			c.Most, c.Factor = 3, math.Exp(e.best(three)-alone)
			c.Says = fmt.Sprintf("Three faults together explain the evidence %.3g times better than the best two.", f)
			return append(single, three...), c
		}
	}
	return append(single, pairs...), c
}

// candidates are the hypotheses that make some sign at least twice as likely
// as it is without any fault, or were repaired; best first, in rising order.
func (m *model) candidates(e *evaluator) []int {
	type scored struct {
		h     int
		score float64
	}
	var list []scored
	for h := range m.hyps {
		score, explains := 0.0, false
		e.each([]int{h}, func(i int, l float64) {
			none := e.like(i, nil)
			explains = explains || l > 2*none
			score += math.Log(max(l, math.SmallestNonzeroFloat64)) - math.Log(max(none, math.SmallestNonzeroFloat64))
		})
		if explains || slices.ContainsFunc(m.steps, func(s step) bool { return slices.Contains(s.repairs, h) }) {
			list = append(list, scored{h, score})
		}
	}
	slices.SortStableFunc(list, func(a, b scored) int {
		switch {
		case a.score > b.score:
			return -1
		case a.score < b.score:
			return 1
		}
		return 0
	})
	var out []int
	for _, s := range list[:min(len(list), mostCandidates)] {
		out = append(out, s.h)
	}
	slices.Sort(out)
	return out
}

// evaluator computes likelihoods under one setting and remembers them: most
// worlds look alike to a sign.
type evaluator struct {
	m       *model
	s       setting
	base    *evaluator  // for signs that the setting does not concern; nil for all
	matters [][]bool    // by step, by hypothesis: the sign depends on it, and it is not repaired
	none    []float64   // by step: likelihood with none of them; NaN before it was asked for
	one     [][]float64 // and with one
	more    []map[[mostFaults]int]float64
}

func (m *model) evaluator(s setting, base *evaluator) *evaluator {
	e := &evaluator{m: m, s: s, base: base, more: make([]map[[mostFaults]int]float64, len(m.steps))}
	gone := make([]bool, len(m.hyps))
	for i, st := range m.steps {
		matters, one := make([]bool, len(m.hyps)), make([]float64, len(m.hyps))
		for _, h := range st.about {
			matters[h] = !gone[h]
		}
		for h := range one {
			one[h] = math.NaN()
		}
		for _, h := range st.repairs {
			gone[h] = true
		}
		e.matters, e.none, e.one = append(e.matters, matters), append(e.none, math.NaN()), append(e.one, one)
		e.more[i] = map[[mostFaults]int]float64{}
	}
	return e
}

// gonelast returns what all repairs together have taken out.
func (m *model) gonelast() []int {
	var gone []int
	for _, st := range m.steps {
		gone = append(gone, st.repairs...)
	}
	slices.Sort(gone)
	return slices.Compact(gone)
}

// like returns the likelihood of step i in the world of the given faults.
func (e *evaluator) like(i int, set []int) float64 {
	if e.base != nil && !e.m.steps[i].concerns(e.s.group) {
		return e.base.like(i, set)
	}
	key := [mostFaults]int{-1, -1, -1}
	n := 0
	for _, h := range set {
		if e.matters[i][h] {
			key[n] = h
			n++
		}
	}
	switch n {
	case 0:
		return e.once(&e.none[i], i, nil)
	case 1:
		return e.once(&e.one[i][key[0]], i, key[:1])
	}
	l, ok := e.more[i][key]
	if !ok {
		l = e.m.steps[i].like(slices.Clone(key[:n]), e.s)
		e.more[i][key] = l
	}
	return l
}

// concerns reports whether a group of assumptions moves the odds of a sign.
func (s *step) concerns(g Group) bool {
	switch s.sign.Sort {
	case ComplaintSign:
		return g == groupSigns || g == groupUnlisted
	case CodeSign:
		return g == groupCodes || g == groupPending || g == groupVictim || g == groupUnlisted
	case NoCodeSign:
		return g == groupNoCode
	case VerdictSign:
		return g == s.seen.k.group
	case ProofSign:
		return g == groupProof
	}
	return false
}

// once computes a likelihood where it is not yet known.
func (e *evaluator) once(at *float64, i int, present []int) float64 {
	if math.IsNaN(*at) {
		*at = e.m.steps[i].like(slices.Clone(present), e.s)
	}
	return *at
}

// each calls f with the likelihood of every sign in a world.
func (e *evaluator) each(set []int, f func(i int, l float64)) {
	for i := range e.m.steps {
		if e.m.steps[i].like != nil {
			f(i, e.like(i, set))
		}
	}
}

// best returns the logarithm of the largest likelihood of all evidence among
// worlds; minus infinity when there is none.
func (e *evaluator) best(worlds []world) float64 {
	top := math.Inf(-1)
	for _, w := range worlds {
		sum := 0.0
		e.each(w.set, func(_ int, l float64) { sum += math.Log(l) })
		top = max(top, sum)
	}
	return top
}
