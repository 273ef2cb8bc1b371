package decide

import (
	"errors"
	"math"
	"slices"
)

// ErrBadStep says that a policy chose something that is not on offer.
var ErrBadStep = errors.New("decide: the policy chose a step that is not possible where it stands")

// Course is what following a policy comes to.
type Course struct {
	Expected float64 // +Inf if the policy does not end the job in every case
	Places   int     // pairs of information and machine state that it passes through
	spread   []mass
}

// mass is a chance of a cost.
type mass struct {
	cost   float64
	chance float64
}

// Quantile is the cost that is not exceeded with chance q, q between 0 and 1.
func (c *Course) Quantile(q float64) float64 { return quantile(c.spread, q) }

// Evaluate works out exactly what a policy costs on a problem. Only the
// quantiles are rounded, where a policy has more than [SpreadSize] different
// costs.
func Evaluate(p Problem, policy Policy) (Course, error) {
	e, start, err := newEvaluation(&p, policy)
	if err != nil {
		return Course{}, err
	}
	spread, err := e.spread(start)
	if err != nil {
		return Course{}, err
	}
	return Course{Expected: mean(spread), Places: len(e.memo), spread: spread}, nil
}

// Price is the expected cost that [Evaluate] gives, without how the cost may
// fall. It takes a small part of the time and room.
func Price(p Problem, policy Policy) (float64, error) {
	e, start, err := newEvaluation(&p, policy)
	if err != nil {
		return 0, err
	}
	return e.expected(start)
}

// newEvaluation makes a validated problem ready and returns where it starts.
func newEvaluation(p *Problem, policy Policy) (*evaluation, *node, error) {
	if err := p.Validate(); err != nil {
		return nil, nil, err
	}
	m := newModel(p)
	s := &search{m: m, k: &known{fixes: make([][]fix, len(p.Worlds))}, pr: newPrices(p, nil), nodes: map[spot]*node{}}
	s.gr = newGrounds(p.Ground, s.k, s.pr)
	e := &evaluation{s: s, memo: map[spot][]mass{}, costs: map[spot]float64{}}
	e.choose = func(n *node) (*cand, error) {
		st, ok := policy(&View{s: s, n: n})
		if !ok {
			return &cand{up: math.Inf(1)}, nil
		}
		return e.chosen(n, st)
	}
	return e, s.node(m.start, s.gr.root), nil
}

// Quantiles gives, for each q, the cost that is not exceeded with chance q
// when the policy of the answer is followed to the end.
func (a *Answer) Quantiles(qs ...float64) []float64 {
	out := make([]float64, len(qs))
	if a.Status == Impossible {
		for i := range out {
			out[i] = math.Inf(1)
		}
		return out
	}
	s := a.s
	e := evaluation{s: s, memo: map[spot][]mass{}}
	e.choose = func(n *node) (*cand, error) {
		(&Node{s: s, n: n}).ready()
		return s.best(n), nil
	}
	spread, _ := e.spread(a.root)
	for i, q := range qs {
		out[i] = quantile(spread, q)
	}
	return out
}

// Missed is the chance that the policy of the answer, followed to the end, ends
// by a proof that passes although the machine is not right.
func (a *Answer) Missed() float64 {
	if a.Status == Impossible || a.s.m.p.Proof.Pass == nil {
		return 0
	}
	s, memo := a.s, map[spot]float64{}
	var from func(n *node) float64
	from = func(n *node) float64 {
		key := spot{n.in.id, n.at.state}
		if x, ok := memo[key]; ok {
			return x
		}
		(&Node{s: s, n: n}).ready()
		c, sum := s.best(n), 0.0
		if c.o != nil && c.o.kind == Prove {
			sum = s.m.missed(&n.in.b)
		}
		for b, kid := range c.kids {
			if kid != nil {
				sum += c.o.next[b].prob * from(kid)
			}
		}
		memo[key] = sum
		return sum
	}
	return from(a.root)
}

type evaluation struct {
	s      *search
	choose func(*node) (*cand, error)
	memo   map[spot][]mass
	costs  map[spot]float64
}

// chosen is the choice that a step means; one without an option is to refer on.
func (e *evaluation) chosen(n *node, st Step) (*cand, error) {
	if st.Kind == Refer {
		if st.Index < 0 || st.Index >= len(e.s.pr.refer) {
			return nil, ErrBadStep
		}
		return &cand{by: st.Index}, nil
	}
	opts := e.s.m.options(n.in)
	for i := range opts {
		if opts[i].kind != st.Kind || opts[i].index != st.Index {
			continue
		}
		if moves := e.s.gr.do(n.at, opts[i].act); st.Move >= 0 && st.Move < len(moves) {
			return e.s.choice(n, &opts[i], st.Move, moves[st.Move]), nil
		}
	}
	return nil, ErrBadStep
}

// expected is what the policy costs from n on.
func (e *evaluation) expected(n *node) (float64, error) {
	key := spot{n.in.id, n.at.state}
	if cost, ok := e.costs[key]; ok {
		return cost, nil
	}
	c, err := e.choose(n)
	if err != nil {
		return 0, err
	}
	cost := math.Inf(1)
	switch {
	case c.o != nil:
		cost = c.cost + c.ends
		for b, kid := range c.kids {
			if kid == nil {
				continue
			}
			then, err := e.expected(kid)
			if err != nil {
				return 0, err
			}
			cost += c.o.next[b].prob * then
		}
	case !math.IsInf(c.up, 1):
		cost = mean(e.referred(n, c))
	}
	e.costs[key] = cost
	return cost, nil
}

// spread is how the cost from n on may fall.
func (e *evaluation) spread(n *node) ([]mass, error) {
	key := spot{n.in.id, n.at.state}
	if d, ok := e.memo[key]; ok {
		return d, nil
	}
	c, err := e.choose(n)
	if err != nil {
		return nil, err
	}
	var d []mass
	switch {
	case c.o != nil:
		d, err = e.through(n, c)
	case math.IsInf(c.up, 1):
		d = []mass{{math.Inf(1), 1}}
	default:
		d = e.referred(n, c)
	}
	if err != nil {
		return nil, err
	}
	d = join(d)
	e.memo[key] = d
	return d, nil
}

// referred is the cost of referring on, by world.
func (e *evaluation) referred(n *node, c *cand) []mass {
	var d []mass
	for j, w := range n.in.b.world {
		d = append(d, mass{n.at.close + e.s.pr.refer[c.by][w], n.in.b.p[j]})
	}
	return d
}

// through is the cost of a choice and what follows.
func (e *evaluation) through(n *node, c *cand) ([]mass, error) {
	var d []mass
	for b, br := range e.s.m.branches(n.in, c.o) {
		if br.to == nil {
			end := c.cost + c.to.close
			if back := float64(e.s.m.p.Proof.Comeback); back > 0 && br.end > 0 {
				wrong := br.end / back
				d = append(d, mass{end, br.prob * (1 - wrong)}, mass{end + back, br.prob * wrong})
			} else {
				d = append(d, mass{end, br.prob})
			}
			continue
		}
		next, err := e.spread(c.kids[b])
		if err != nil {
			return nil, err
		}
		for _, x := range next {
			d = append(d, mass{c.cost + x.cost, br.prob * x.chance})
		}
	}
	return d, nil
}

// SpreadSize is how many different costs are kept apart; beyond it neighbours
// are joined at their mean, which leaves the expected cost as it is.
const SpreadSize = 4096

// join sorts masses by cost and puts equal ones together.
func join(d []mass) []mass {
	slices.SortStableFunc(d, func(a, b mass) int {
		switch {
		case a.cost < b.cost:
			return -1
		case a.cost > b.cost:
			return 1
		}
		return 0
	})
	out := d[:0]
	for _, x := range d {
		if last := len(out) - 1; last >= 0 && out[last].cost == x.cost {
			out[last].chance += x.chance
		} else if x.chance > 0 {
			out = append(out, x)
		}
	}
	for len(out) > SpreadSize {
		out = halve(out)
	}
	return slices.Clip(out)
}

// halve joins neighbours in pairs.
func halve(d []mass) []mass {
	out := d[:0]
	for i := 0; i < len(d); i += 2 {
		x := d[i]
		if i+1 < len(d) && !math.IsInf(d[i+1].cost, 1) {
			y := d[i+1]
			sum := x.chance + y.chance
			x = mass{(x.cost*x.chance + y.cost*y.chance) / sum, sum}
		} else if i+1 < len(d) {
			out = append(out, x)
			x = d[i+1]
		}
		out = append(out, x)
	}
	return out
}

func mean(d []mass) float64 {
	sum := 0.0
	for _, x := range d {
		sum += x.cost * x.chance
	}
	return sum
}

func quantile(d []mass, q float64) float64 {
	sum := 0.0
	for _, x := range d {
		sum += x.chance
		if sum >= q-Tie {
			return x.cost
		}
	}
	return d[len(d)-1].cost
}
