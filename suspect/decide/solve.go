package decide

import "math"

// Solve finds a policy and a bound that none can beat. Without limits it goes
// on until the policy is proved best.
func Solve(p Problem, lim Limits) (*Answer, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	m := newModel(&p)
	k := newKnown(m)
	s := newSearch(m, p.Ground, k, newPrices(&p, nil), lim)
	root := s.node(m.start, s.gr.root)
	s.keep = root
	for !root.solved() && !s.halt {
		s.work.Rounds++
		s.descend(root)
		if root.up-root.lo <= lim.Gap*root.up {
			break
		}
	}
	return newAnswer(s, root), nil
}

// Answer is what Solve found.
type Answer struct {
	Status   Status
	Expected float64 // cost of the policy found
	Bound    float64 // no policy costs less
	First    Step
	Work     Work

	s    *search
	root *node
}

func newAnswer(s *search, root *node) *Answer {
	a := &Answer{s: s, root: root, Expected: root.up, Bound: root.lo}
	switch {
	case math.IsInf(root.lo, 1):
		a.Status = Impossible
		return a
	case !root.solved():
		a.Status = Bounded
	}
	a.Work = s.work
	a.Work.Beliefs = s.m.infos.n
	a.Work.Moves = s.gr.moves
	return a
}
