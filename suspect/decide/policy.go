package decide

import "math"

// Policy chooses a step from what it sees; false means that it has none, which
// makes its cost infinite. It must be deterministic and choose only what View
// offers.
type Policy func(v *View) (Step, bool)

// View is what a policy sees.
type View struct {
	s *search
	n *node
}

// Chances is what is believed, by world.
func (v *View) Chances() []float64 { return v.s.m.chances(&v.n.in.b) }

// State is the machine state.
func (v *View) State() State { return v.n.at.state }

// Checks lists the checks that tell something.
func (v *View) Checks() []int { return v.list(Ask) }

// Repairs lists the repairs that change some living world.
func (v *View) Repairs() []int { return v.list(Mend) }

func (v *View) list(k Kind) []int {
	var out []int
	for _, o := range v.s.m.options(v.n.in) {
		if o.kind == k {
			out = append(out, o.index)
		}
	}
	return out
}

// Passes is the chance that the proof passes now.
func (v *View) Passes() float64 {
	m := v.s.m
	sum, _ := m.split(&v.n.in.b, m.proof, v.n.in.b.stands(m.proof), passed, nil)
	return sum
}

// Cures is the chance that the proof passes after a repair.
func (v *View) Cures(repair int) float64 {
	m, b := v.s.m, &v.n.in.b
	proof, e := &m.tables[m.proof], b.stands(m.proof)
	sum := 0.0
	for j, w := range b.world {
		if to := m.p.Repairs[repair].To[w]; proof.row[to] != proof.row[w] {
			sum += b.p[j] * proof.chance[passed][to]
		} else {
			sum += b.p[j] * m.chance(b, j, m.proof, e, passed)
		}
	}
	return sum
}

// Split is the chance of each outcome of a check.
func (v *View) Split(check int) []float64 {
	m := v.s.m
	b := &v.n.in.b
	out := make([]float64, len(m.tables[check].chance))
	for o := range out {
		out[o], _ = m.split(b, check, b.stands(check), o, nil)
	}
	return out
}

// Gain is how many bits a check tells about the world, on average.
func (v *View) Gain(check int) float64 {
	m := v.s.m
	b := &v.n.in.b
	gain := 0.0
	e := b.stands(check)
	for o := range m.tables[check].chance {
		sum, weight := m.split(b, check, e, o, nil)
		for j, x := range weight {
			if x > 0 {
				gain += x * math.Log2(x/(sum*b.p[j]))
			}
		}
	}
	return gain
}

// Cheapest is the step of the given kind that costs least to do from here, and
// whether it can be done.
func (v *View) Cheapest(k Kind, index int) (Step, bool) {
	if k == Refer {
		return v.refer(index)
	}
	best, ok := Step{}, false
	for _, o := range v.s.m.options(v.n.in) {
		if o.kind != k || o.index != index {
			continue
		}
		for i, mv := range v.s.gr.do(v.n.at, o.act) {
			if !ok || mv.Cost < best.Cost {
				best, ok = Step{Kind: k, Index: index, Move: i, Cost: mv.Cost, After: mv.After}, true
			}
		}
	}
	return best, ok
}

func (v *View) refer(e int) (Step, bool) {
	if e < 0 || e >= len(v.s.m.p.Escapes) || math.IsInf(v.n.at.close, 1) {
		return Step{}, false
	}
	return Step{Kind: Refer, Index: e, Cost: v.s.m.p.Escapes[e].Price + int64(v.n.at.close), After: v.n.at.state}, true
}

// Best is the least that one of the indices costs to do from here.
func (v *View) cheapest(k Kind, indices []int) (Step, bool) {
	best, ok := Step{}, false
	for _, i := range indices {
		if st, can := v.Cheapest(k, i); can && (!ok || st.Cost < best.Cost) {
			best, ok = st, true
		}
	}
	return best, ok
}

// LikeliestFirst replaces the likeliest suspect without checking anything,
// proves, and goes on to the next; where no repair can help it refers on.
func LikeliestFirst() Policy {
	return func(v *View) (Step, bool) {
		if v.Passes() > 0 {
			return v.Cheapest(Prove, 0)
		}
		if st, ok := v.likeliest(); ok {
			return st, true
		}
		return v.giveUp()
	}
}

// likeliest is the repair with the greatest chance to make the machine right,
// the cheaper of equals.
func (v *View) likeliest() (Step, bool) {
	best, ok, chance := Step{}, false, 0.0
	for _, r := range v.Repairs() {
		x := v.Cures(r)
		st, can := v.Cheapest(Mend, r)
		if !can || x <= 0 {
			continue
		}
		if !ok || x > chance+Tie || x > chance-Tie && st.Cost < best.Cost {
			best, ok, chance = st, true, x
		}
	}
	return best, ok
}

// giveUp refers on, or does whatever is left.
func (v *View) giveUp() (Step, bool) {
	if v.n.by >= 0 {
		return v.refer(v.n.by)
	}
	if st, ok := v.cheapest(Mend, v.Repairs()); ok {
		return st, true
	}
	return v.cheapest(Ask, v.Checks())
}

// CheapestFirst asks the check that costs least from where the machine stands,
// until some repair is at least sure to help or nothing is left to ask, and
// then replaces the likeliest.
func CheapestFirst(sure float64) Policy {
	return checking(sure, func(v *View) (Step, bool) {
		return v.cheapest(Ask, v.Checks())
	})
}

// MostInformation asks the check that tells most, whatever it costs, until
// some repair is at least sure to help or nothing is left to ask, and then
// replaces the likeliest.
func MostInformation(sure float64) Policy {
	return checking(sure, func(v *View) (Step, bool) {
		best, ok, gain := Step{}, false, 0.0
		for _, c := range v.Checks() {
			x := v.Gain(c)
			st, can := v.Cheapest(Ask, c)
			if can && (!ok || x > gain+Tie || x > gain-Tie && st.Cost < best.Cost) {
				best, ok, gain = st, true, x
			}
		}
		return best, ok
	})
}

func checking(sure float64, ask Policy) Policy {
	last := LikeliestFirst()
	return func(v *View) (Step, bool) {
		if v.Passes() > 0 {
			return v.Cheapest(Prove, 0)
		}
		for _, r := range v.Repairs() {
			if v.Cures(r) >= sure {
				return last(v)
			}
		}
		if st, ok := ask(v); ok {
			return st, true
		}
		return last(v)
	}
}

// IgnoringAccess plans as if every piece of work cost its own part only, and
// then pays what the Ground asks. The plan is best of its kind if lim allows.
func IgnoringAccess(p Problem, lim Limits) (Policy, error) {
	p.Ground = ownPrices{p.Ground}
	a, err := Solve(p, lim)
	if err != nil {
		return nil, err
	}
	return func(v *View) (Step, bool) {
		own := a.s
		t := Node{s: own, n: own.node(own.m.intern(v.n.in.b, v.n.in.chance), own.gr.root)}
		st := t.Step()
		if st.Kind == Refer && t.n.by < 0 {
			return Step{}, false
		}
		return v.Cheapest(st.Kind, st.Index)
	}, nil
}
