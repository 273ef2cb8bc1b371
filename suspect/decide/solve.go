package decide

import (
	"math"
	"slices"
)

// Solve finds a policy and a bound that none can beat. Without limits it goes
// on until the policy is proved best and the runner-up is known.
func Solve(p Problem, lim Limits) (*Answer, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	m := newModel(&p)
	s := newSearch(m, p.Ground, newKnown(m), newPrices(&p, nil), lim)
	root := s.node(m.start, s.gr.root)
	s.keep = root
	s.follow(root)
	a := &Answer{OneStep: root.up}
	for !root.solved() && !s.stop() && !(lim.FirstOnly && s.settled(root)) {
		s.work.Rounds++
		s.descend(root)
		if root.up-root.lo <= lim.Gap*root.up {
			break
		}
	}
	a.take(s, root)
	return a, nil
}

// follow works out the course of the one-step policy from n.
func (s *search) follow(n *node) {
	for n.left > 0 && !n.solved() && !s.stop() {
		s.walk(n)
	}
}

// settled reports whether the first step is certain: what it leads to is known
// to cost less than any other step.
func (s *search) settled(n *node) bool {
	if n.cands == nil {
		return false
	}
	best := s.best(n)
	if best.o == nil {
		return n.refer <= n.lo
	}
	if n.refer < best.up {
		return false
	}
	for i := range n.cands {
		c := &n.cands[i]
		if (c.o.kind != best.o.kind || c.o.index != best.o.index) && c.lo < best.up {
			return false
		}
	}
	return true
}

// best is the choice of the policy at n: the cheapest that was worked out, in
// the order of the package comment where several cost the same. A choice
// without an option is to refer on.
func (s *search) best(n *node) *cand {
	if n.plain == nil && n.up < n.refer && !s.backed(n) {
		s.plain(n)
	}
	up := n.refer
	all := n.cands
	for _, c := range []*cand{n.easy, n.plain} {
		if c != nil {
			all = append(all[:len(all):len(all)], *c)
		}
	}
	for i := range all {
		up = min(up, all[i].up)
	}
	refer := &cand{by: n.by, up: n.refer, lo: n.refer}
	if math.IsInf(up, 1) || n.refer <= up+tie(up) {
		return refer
	}
	var best *cand
	for i := range all {
		c := &all[i]
		if c.up <= up+tie(up) && (best == nil || before(c, best)) {
			best = c
		}
	}
	return best
}

// backed reports whether some choice of n that was worked out costs what n is
// known to cost.
func (s *search) backed(n *node) bool {
	enough := n.up + tie(n.up)
	if n.easy != nil && n.easy.up <= enough {
		return true
	}
	return slices.ContainsFunc(n.cands, func(c cand) bool { return c.up <= enough })
}

// before is the order among choices that cost the same.
func before(a, b *cand) bool {
	if a.o.kind != b.o.kind {
		return a.o.kind < b.o.kind
	}
	if a.o.index != b.o.index {
		return a.o.index < b.o.index
	}
	return a.move < b.move
}

// take copies what was found, and tightens the runner-up.
func (a *Answer) take(s *search, root *node) {
	a.s, a.root = s, root
	a.Expected, a.Bound = root.up, root.lo
	a.Refer = root.refer
	switch {
	case math.IsInf(root.lo, 1):
		a.Status = Impossible
	case !root.solved():
		a.Status = Bounded
	}
	if a.Status != Impossible {
		if !s.lim.FirstOnly {
			s.runnerUp(root)
		}
		a.Expected, a.Bound = root.up, root.lo
		a.First = s.step(root)
		a.Choices = s.choices(root)
	}
	a.Work = s.work
	a.Work.Beliefs = s.m.infos.n
	a.Work.Moves = s.gr.moves
}

// runnerUpNodes is how many nodes may be opened for the runner-up at least; it
// may take as many as the answer took.
const runnerUpNodes = 200

// runnerUp works out the best other first step.
func (s *search) runnerUp(root *node) {
	if root.cands == nil {
		s.open(root)
	}
	s.backup(root)
	end := s.work.Nodes + max(runnerUpNodes, s.work.Nodes)
	first := s.best(root)
	other := func(c *cand) bool {
		return first.o == nil || c.o.kind != first.o.kind || c.o.index != first.o.index
	}
	for s.work.Nodes < end && !s.stop() {
		next := -1
		for i := range root.cands {
			c := &root.cands[i]
			s.refresh(c)
			if other(c) && (next < 0 || c.lo < root.cands[next].lo) {
				next = i
			}
		}
		if next < 0 || math.IsInf(root.cands[next].lo, 1) {
			return
		}
		if root.cands[next].stage == guessed {
			s.price(root, next)
			continue
		}
		kid := s.widest(&root.cands[next])
		if kid == nil {
			return
		}
		s.follow(kid)
		s.descend(kid)
	}
}

// step is what the policy does at n.
func (s *search) step(n *node) Step {
	c := s.best(n)
	if c.o == nil {
		return Step{Kind: Refer, Index: n.by, Cost: s.referCost(n), After: n.at.state}
	}
	return Step{Kind: c.o.kind, Index: c.o.index, Move: c.move, Cost: int64(c.cost), After: c.to.state}
}

func (s *search) referCost(n *node) int64 {
	if n.by < 0 {
		return 0
	}
	return s.m.p.Escapes[n.by].Price + int64(n.at.close)
}

// choices lists the first steps, each once, the cheapest first.
func (s *search) choices(n *node) []Choice {
	var out []Choice
	add := func(st Step, up, lo float64) {
		for i := range out {
			if out[i].Step.Kind == st.Kind && out[i].Step.Index == st.Index {
				if up < out[i].Expected {
					out[i].Step, out[i].Expected = st, up
				}
				out[i].Bound = min(out[i].Bound, lo)
				return
			}
		}
		out = append(out, Choice{Step: st, Expected: up, Bound: lo})
	}
	if n.by >= 0 {
		add(Step{Kind: Refer, Index: n.by, Cost: s.referCost(n), After: n.at.state}, n.refer, n.refer)
	}
	for i := range n.cands {
		c := &n.cands[i]
		st := Step{Kind: c.o.kind, Index: c.o.index, Move: c.move, Cost: int64(c.cost)}
		if c.to != nil {
			st.After = c.to.state
		}
		add(st, c.up, c.lo)
	}
	for _, c := range []*cand{n.easy, n.plain} {
		if c != nil {
			add(Step{Kind: c.o.kind, Index: c.o.index, Move: c.move, Cost: int64(c.cost), After: c.to.state}, c.up, math.Inf(1))
		}
	}
	sortChoices(out)
	return out
}
