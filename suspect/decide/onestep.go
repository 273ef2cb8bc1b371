package decide

import (
	"math"
	"slices"
)

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
		sum += p[j] * log2(max(1, total/q))
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

const (
	// manyWorlds is how many living worlds make the guesses use sums that are
	// quick, at the price of taking worlds with the same repair for different
	// ones, and leave out worlds that are very unlikely.
	manyWorlds = 40
	// unlikely is the chance, in shares of the greatest, under which they do.
	unlikely = 3e-4
)

// thin is what guesses are made from: b, without very unlikely worlds where
// there are many.
func thin(b *belief) *belief {
	if len(b.world) <= manyWorlds {
		return b
	}
	least := unlikely * slices.Max(b.p)
	n := &belief{asked: b.asked, gone: b.gone}
	for j, x := range b.p {
		if x < least {
			continue
		}
		n.world = append(n.world, b.world[j])
		n.p = append(n.p, x)
		if b.fresh != nil {
			n.fresh = append(n.fresh, b.fresh[j])
		}
	}
	n.scale()
	return n
}

// look fills in what can be said of each option without the Ground.
func (s *search) look(n *node, b *belief, left leftover) []guess {
	opts := s.m.options(n.in)
	gs := make([]guess, len(opts))
	for i := range opts {
		o := &opts[i]
		g := &gs[i]
		g.o = o
		switch o.kind {
		case Ask:
			g.bits = s.bitsAfter(b, o.index, left)
			g.sure = s.sure(b.world, b.p, n.at)
		case Mend:
			wrong := s.mend(b, o.index)
			g.bits = s.bitsMended(b, left)
			g.sure = s.sure(s.worlds, b.p, n.at) + wrong*ownOf(s.m.p, s.m.p.Proof.Action)
		case Prove:
			sum, weight := s.m.split(b, s.m.proof, b.stands(s.m.proof), failed, s.buf)
			s.buf = weight
			if sum > 0 {
				g.bits = s.finding().bits(b.world, weight)
			}
			g.sure = s.sure(b.world, weight, n.at) + (1-sum)*n.at.close + s.m.comeback(b)
		}
		own := ownOf(s.m.p, o.act)
		g.least = own + max(0, s.gr.visit(o.act)-n.at.paid-n.at.close)
	}
	return gs
}

// mend puts the worlds after a repair into the scratch and returns the chance
// that the machine is not right then.
func (s *search) mend(b *belief, r int) float64 {
	s.worlds = s.worlds[:0]
	wrong := 0.0
	to := s.m.p.Repairs[r].To
	for j, w := range b.world {
		s.worlds = append(s.worlds, int32(to[w]))
		if !s.m.p.Right[to[w]] {
			wrong += b.p[j]
		}
	}
	return wrong
}

// leftover is how much there is to find out now, in all and by particle.
type leftover struct {
	bits float64
	of   []float64 // nil where there are few worlds
}

func (s *search) leftover(b *belief, many bool) leftover {
	l := leftover{bits: s.finding().bits(b.world, b.p)}
	if !many {
		return l
	}
	f := s.finding()
	f.weigh(b.world, b.p)
	l.of = make([]float64, len(b.world))
	for j, w := range b.world {
		q := b.p[j]
		for _, x := range f.k.fixes[w] {
			q = max(q, f.mass[x.set])
		}
		l.of[j] = -b.p[j] * log2(min(1, q))
	}
	f.unweigh()
	return l
}

// bitsMended is what is left to find out after the repair in the scratch.
func (s *search) bitsMended(b *belief, left leftover) float64 {
	if left.of == nil {
		return s.finding().bits(s.worlds, b.p)
	}
	sum, wrong := 0.0, 0.0
	for j, w := range s.worlds {
		if !s.m.p.Right[w] {
			sum += left.of[j]
			wrong += b.p[j]
		}
	}
	if wrong > 0 {
		sum += wrong * log2(wrong)
	}
	return max(0, sum)
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
func (s *search) bitsAfter(b *belief, c int, left leftover) float64 {
	e := b.stands(c)
	if left.of != nil && e < 0 {
		return max(0, left.bits-s.heard(b, c))
	}
	sum := 0.0
	for out := range s.m.tables[c].chance {
		share, weight := s.m.split(b, c, e, out, s.buf)
		s.buf = weight
		if share > 0 {
			sum += s.finding().bits(b.world, weight)
		}
	}
	return sum
}

// heard is how many bits a check that was not asked before tells about the
// world: the entropy of its outcome less what is noise in each world.
func (s *search) heard(b *belief, c int) float64 {
	t := &s.m.tables[c]
	noise := t.entropy()
	gain := 0.0
	for _, row := range t.chance {
		share := 0.0
		for j, w := range b.world {
			share += b.p[j] * row[w]
		}
		if share > 0 {
			gain -= share * log2(share)
		}
	}
	for j, w := range b.world {
		gain -= b.p[j] * noise[w]
	}
	return gain
}

// entropy is, by world, how uncertain the outcome is when the world is known.
func (t *table) entropy() []float64 {
	if t.noise != nil {
		return t.noise
	}
	t.noise = make([]float64, len(t.row))
	for _, row := range t.chance {
		for w, x := range row {
			if x > 0 {
				t.noise[w] -= x * log2(x)
			}
		}
	}
	return t.noise
}

// easy chooses by the one-step policy and remembers the choice.
func (s *search) easy(n *node) {
	b := thin(&n.in.b)
	left := s.leftover(b, len(n.in.b.world) > manyWorlds)
	gs := s.look(n, b, left)
	perBit := math.Inf(1)
	for _, g := range gs {
		if gain := left.bits - g.bits; g.o.kind == Ask && gain > 0 {
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
	best := s.settleGuess(n, b, gs, perBit)
	if best == nil {
		n.left = 0
		return
	}
	n.easy = &cand{o: best.o, stage: priced, move: best.move, cost: best.cost, to: best.to}
	s.lead(n, n.easy)
}

// settleGuess prices the guesses in order until the best is known; nil means
// that referring on is best.
func (s *search) settleGuess(n *node, b *belief, gs []guess, perBit float64) *guess {
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
			est := float64(mv.Cost) + s.sureAfter(b, best.o, to) + perBit*best.bits
			if est < best.est {
				best.est, best.move, best.cost, best.to = est, k, float64(mv.Cost), to
			}
		}
	}
}

// sureAfter is what comes after an option if everything were known then, from
// the machine state that it leaves.
func (s *search) sureAfter(b *belief, o *option, to *place) float64 {
	switch o.kind {
	case Ask:
		return s.sure(b.world, b.p, to)
	case Mend:
		wrong := s.mend(b, o.index)
		return s.sure(s.worlds, b.p, to) + wrong*ownOf(s.m.p, s.m.p.Proof.Action)
	}
	sum, weight := s.m.split(b, s.m.proof, b.stands(s.m.proof), failed, s.buf)
	s.buf = weight
	return s.sure(b.world, weight, to) + (1-sum)*to.close + s.m.comeback(b)
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
	n.walks++
	c := n.easy
	var next *node
	most := 0.0
	for b, kid := range c.kids {
		if kid == nil || kid.left == 0 {
			continue
		}
		if x := c.o.next[b].prob * kid.gap() / float64(1+kid.walks); x > most {
			next, most = kid, x
		}
	}
	if next != nil {
		s.walk(next)
	}
	n.left = 0
	for b, kid := range c.kids {
		if kid != nil && !kid.solved() {
			n.left += c.o.next[b].prob * kid.left
		}
	}
	s.refresh(c)
	n.up = min(n.up, c.up)
}

// rollOuts is how often the one-step policy is followed from each node that is
// opened: so much that what a new choice leads to soon has a price, so little
// that opening stays cheap.
const rollOuts = 4

// rollOut prices n roughly by the one-step policy.
func (s *search) rollOut(n *node) {
	for range rollOuts {
		if n.left == 0 || n.solved() {
			return
		}
		s.walk(n)
	}
}
