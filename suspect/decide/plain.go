package decide

import "math"

// The plain course does what needs no thought: prove if the machine may be
// right, else do the repair that most likely makes it right, from repair to
// repair, and refer on where that is cheaper. It prices a node from above
// before anything below it has been worked out.

const (
	// plainRepairs is how many repairs a plain course tries at most.
	plainRepairs = 8
	// plainShare is the share of worlds that the first repair must make right
	// for a plain course to be worth asking the Ground, where there is another
	// way to end the job.
	plainShare = .3
)

// course is a belief that is not interned, on its way down a plain course.
type course struct {
	world []int32
	p     []float64
	pass  []float64 // chance that a proof made now passes there
	at    *place
	paid  float64 // expected, so far
}

// worthPlain reports whether the plain course from n is likely to be good
// enough to ask the Ground for it.
func (s *search) worthPlain(n *node) bool {
	if s.find == nil {
		return false
	}
	_, share := s.likeliest(n.in.b.world, n.in.b.p)
	return share >= plainShare || math.IsInf(n.refer, 1)
}

// plainCost is the expected cost of the plain course from n, or of referring
// on; +Inf where there is neither.
func (s *search) plainCost(n *node) float64 {
	best := n.refer
	b := &n.in.b
	c := course{world: append([]int32(nil), b.world...), p: append([]float64(nil), b.p...), at: n.at}
	for j, e := 0, b.stands(s.m.proof); j < len(b.world); j++ {
		c.pass = append(c.pass, s.m.chance(b, j, s.m.proof, e, passed))
	}
	if s.mayProve(b) && !s.prove(&c) {
		return best
	}
	for tried := 0; len(c.world) > 0; tried++ {
		best = min(best, c.paid+s.referAll(&c))
		if tried == plainRepairs && !math.IsInf(best, 1) || c.paid >= best {
			return best
		}
		r, _ := s.likeliest(c.world, c.p)
		if r < 0 || !s.do(&c, s.m.p.Repairs[r].Action) {
			return best
		}
		s.mended(&c, r)
		if !s.prove(&c) {
			return best
		}
	}
	return min(best, c.paid)
}

// mended moves the worlds along a repair.
func (s *search) mended(c *course, r int) {
	proof := &s.m.tables[s.m.proof]
	for j, w := range c.world {
		to := s.m.p.Repairs[r].To[w]
		if c.world[j] = int32(to); proof.row[w] != proof.row[to] {
			c.pass[j] = proof.chance[passed][to]
		}
	}
}

// mayProve reports whether the machine may be right and the proof show it.
func (s *search) mayProve(b *belief) bool {
	e := b.stands(s.m.proof)
	for j, w := range b.world {
		if s.m.p.Right[w] && s.m.chance(b, j, s.m.proof, e, passed) > 0 {
			return true
		}
	}
	return false
}

// likeliest is the repair that makes most worlds right, and their share; -1 if
// none makes any right.
func (s *search) likeliest(world []int32, p []float64) (int, float64) {
	if s.cured == nil {
		s.cured = make([]float64, len(s.m.p.Repairs))
		s.cures = make([][]int32, len(s.m.p.Worlds))
		for r := range s.m.p.Repairs {
			for w, to := range s.m.p.Repairs[r].To {
				if to != w && s.m.p.Right[to] {
					s.cures[w] = append(s.cures[w], int32(r))
				}
			}
		}
	}
	best, share := -1, 0.0
	for j, w := range world {
		for _, r := range s.cures[w] {
			s.cured[r] += p[j]
		}
	}
	for _, w := range world {
		for _, r := range s.cures[w] {
			if x := s.cured[r]; x > share || x == share && x > 0 && int(r) < best {
				best, share = int(r), x
			}
		}
	}
	for _, w := range world {
		for _, r := range s.cures[w] {
			s.cured[r] = 0
		}
	}
	return best, share
}

// nearest is the alternative that costs least together with putting back after
// it; -1 if there is none.
func (s *search) nearest(pl *place, a Action) (int, Move, *place) {
	best, least := -1, math.Inf(1)
	var move Move
	var at *place
	own := ownOf(s.m.p, a)
	for k, mv := range s.gr.do(pl, a) {
		to := s.gr.place(mv.After, pl.paid+max(0, float64(mv.Cost)-own))
		if c := float64(mv.Cost) + to.close; c < least {
			best, least, move, at = k, c, mv, to
		}
	}
	return best, move, at
}

// do moves the course on by an action.
func (s *search) do(c *course, a Action) bool {
	k, mv, at := s.nearest(c.at, a)
	if k < 0 {
		return false
	}
	mass := 0.0
	for _, x := range c.p {
		mass += x
	}
	c.paid += mass * float64(mv.Cost)
	c.at = at
	return true
}

// prove ends the course where the proof passes. Where it fails, it goes on
// failing until something is changed.
func (s *search) prove(c *course) bool {
	if !s.do(c, s.m.p.Proof.Action) {
		return false
	}
	kept := 0
	for j, w := range c.world {
		ends := c.p[j] * c.pass[j]
		c.paid += ends * c.at.close
		if !s.m.p.Right[w] {
			c.paid += ends * float64(s.m.p.Proof.Comeback)
		}
		if c.pass[j] == 1 {
			continue
		}
		c.world[kept], c.p[kept], c.pass[kept] = w, c.p[j]-ends, 0
		kept++
	}
	c.world, c.p, c.pass = c.world[:kept], c.p[:kept], c.pass[:kept]
	return true
}

// referAll is the expected cost of referring on from where the course stands.
func (s *search) referAll(c *course) float64 {
	best := math.Inf(1)
	for _, price := range s.pr.refer {
		sum := 0.0
		for j, w := range c.world {
			sum += c.p[j] * (price[w] + c.at.close)
		}
		best = min(best, sum)
	}
	return best
}

// plain writes the first step of the plain course down as a choice of n, so
// that it can be followed. What comes after it is priced by its own plain
// course, which costs no more.
func (s *search) plain(n *node) {
	kind, index, act := Prove, 0, s.m.p.Proof.Action
	if !s.mayProve(&n.in.b) {
		kind = Mend
		if index, _ = s.likeliest(n.in.b.world, n.in.b.p); index < 0 {
			return
		}
		act = s.m.p.Repairs[index].Action
	}
	k, mv, _ := s.nearest(n.at, act)
	opts := s.m.options(n.in)
	for i := range opts {
		if k >= 0 && opts[i].kind == kind && opts[i].index == index {
			n.plain = s.choice(n, &opts[i], k, mv)
			for _, kid := range n.plain.kids {
				if kid != nil {
					kid.up = min(kid.up, s.plainCost(kid))
				}
			}
			s.refresh(n.plain)
		}
	}
}
