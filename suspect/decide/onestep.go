package decide

import "math"

// The one-step policy looks one answer ahead. What comes after it is taken to
// cost what it would if the true world were known, and for finding that out so
// much per bit as the best check of the moment costs. It is quick and usually
// good, and gives the search a course to improve on.

// bits is how much there is to find out: which repairs make the machine right.
// Worlds in which it is right already count for nothing, because the proof
// will show them.
func (f *finding) bits(world []int32, p []float64) float64 {
	f.weigh(world, p)
	total, lost := 0.0, 0.0
	for j, w := range world {
		if !f.m.p.Right[w] {
			total += p[j]
			if len(f.k.fixes[w]) == 0 {
				lost += p[j]
			}
		}
	}
	sum := 0.0
	for j, w := range world {
		if p[j] <= 0 || f.m.p.Right[w] {
			continue
		}
		q := lost
		for i, x := range f.k.fixes[w] {
			if i == 0 || f.mass[x.set] > q {
				q = f.mass[x.set]
			}
		}
		sum += p[j] * math.Log2(max(1, total/q))
	}
	f.unweigh()
	return sum
}

// guess is what a one-step look says of a choice.
type guess struct {
	o    *option
	bits float64 // expected to be left to find out after it
	sure float64 // cost if everything were known after it, access from here
	least,
	est float64
	move int
	cost float64
	to   *place
}

// look fills in what can be said of each option without the Ground.
func (s *search) look(n *node) []guess {
	opts := s.m.options(n.in)
	gs := make([]guess, len(opts))
	b := &n.in.b
	for i := range opts {
		o := &opts[i]
		g := &gs[i]
		g.o = o
		switch o.kind {
		case Ask:
			g.bits = s.bitsAfter(b, o.index)
			g.sure = s.sure(b.world, b.p, n.at)
		case Mend:
			s.worlds = s.worlds[:0]
			wrong := 0.0
			to := s.m.p.Repairs[o.index].To
			for j, w := range b.world {
				s.worlds = append(s.worlds, int32(to[w]))
				if !s.m.p.Right[to[w]] {
					wrong += b.p[j]
				}
			}
			g.bits = s.finding().bits(s.worlds, b.p)
			g.sure = s.sure(s.worlds, b.p, n.at) + wrong*ownOf(s.m.p, s.m.p.Proof.Action)
		case Prove:
			sum, weight := s.m.split(b, s.m.proof, b.stands(s.m.proof), failed, s.buf)
			s.buf = weight
			if sum > 0 {
				g.bits = s.finding().bits(b.world, weight)
			}
			g.sure = s.sure(b.world, weight, n.at) + (1-sum)*n.at.close
		}
		own := ownOf(s.m.p, o.act)
		g.least = own + max(0, s.gr.visit(o.act)-n.at.paid-n.at.close)
	}
	return gs
}

// sure is the expected cost if the true world were known.
func (s *search) sure(world []int32, p []float64, pl *place) float64 {
	sum := 0.0
	for j, w := range world {
		if p[j] > 0 {
			sum += p[j] * pl.all[w]
		}
	}
	return sum
}

// bitsAfter is what is left to find out after a check, on average.
func (s *search) bitsAfter(b *belief, c int) float64 {
	left := 0.0
	e := b.stands(c)
	for out := range s.m.tables[c].chance {
		sum, weight := s.m.split(b, c, e, out, s.buf)
		s.buf = weight
		if sum > 0 {
			left += s.finding().bits(b.world, weight)
		}
	}
	return left
}

// easy chooses by the one-step policy and remembers the choice.
func (s *search) easy(n *node) {
	gs := s.look(n)
	now := s.finding().bits(n.in.b.world, n.in.b.p)
	perBit := math.Inf(1)
	for _, g := range gs {
		if gain := now - g.bits; g.o.kind == Ask && gain > 0 {
			perBit = min(perBit, g.least/gain)
		}
	}
	if math.IsInf(perBit, 1) {
		perBit = 0
	}
	for i := range gs {
		g := &gs[i]
		g.est = g.least + g.sure + perBit*g.bits
	}
	best := s.settleGuess(n, gs, perBit)
	if best == nil {
		n.left = 0
		return
	}
	n.easy = &cand{o: best.o, stage: priced, move: best.move, cost: best.cost, to: best.to}
	s.lead(n, n.easy)
}

// settleGuess prices the guesses in order until the best is known; nil means
// that referring on is best.
func (s *search) settleGuess(n *node, gs []guess, perBit float64) *guess {
	for {
		var best *guess
		least := n.refer
		for i := range gs {
			if gs[i].est < least {
				best, least = &gs[i], gs[i].est
			}
		}
		if best == nil || best.to != nil {
			return best
		}
		best.est = math.Inf(1)
		for k, mv := range s.gr.do(n.at, best.o.act) {
			own := ownOf(s.m.p, best.o.act)
			to := s.gr.place(mv.After, n.at.paid+max(0, float64(mv.Cost)-own))
			est := float64(mv.Cost) + s.sureAfter(n, best.o, to) + perBit*best.bits
			if est < best.est {
				best.est, best.move, best.cost, best.to = est, k, float64(mv.Cost), to
			}
		}
	}
}

// sureAfter is what comes after an option if everything were known then, from
// the machine state that it leaves.
func (s *search) sureAfter(n *node, o *option, to *place) float64 {
	b := &n.in.b
	switch o.kind {
	case Ask:
		return s.sure(b.world, b.p, to)
	case Mend:
		s.worlds = s.worlds[:0]
		wrong := 0.0
		for j, w := range b.world {
			v := s.m.p.Repairs[o.index].To[w]
			s.worlds = append(s.worlds, int32(v))
			if !s.m.p.Right[v] {
				wrong += b.p[j]
			}
		}
		return s.sure(s.worlds, b.p, to) + wrong*ownOf(s.m.p, s.m.p.Proof.Action)
	}
	sum, weight := s.m.split(b, s.m.proof, b.stands(s.m.proof), failed, s.buf)
	s.buf = weight
	return s.sure(b.world, weight, to) + (1-sum)*to.close
}

// walk follows the one-step policy down once, to where most of its course is
// not yet worked out.
func (s *search) walk(n *node) {
	if n.left == 0 || n.solved() || s.stop() {
		if n.solved() {
			n.left = 0
		}
		return
	}
	if n.easy == nil {
		s.work.Nodes++
		s.easy(n)
		if n.easy == nil {
			return
		}
	}
	c := n.easy
	var next *node
	most := 0.0
	for b, kid := range c.kids {
		if kid != nil && c.o.next[b].prob*kid.left > most {
			next, most = kid, c.o.next[b].prob*kid.left
		}
	}
	if next != nil {
		s.walk(next)
	}
	n.left = 0
	for b, kid := range c.kids {
		if kid != nil {
			n.left += c.o.next[b].prob * kid.left
		}
	}
	s.refresh(c)
	n.up = min(n.up, c.up)
}
