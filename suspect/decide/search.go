package decide

import "math"

// search finds bounds from both sides for pairs of information and machine
// state, deepening them where it matters.
type search struct {
	m     *model
	k     *known
	pr    prices
	gr    *grounds
	find  *finding
	told  *told   // nil where it is not used
	base  *search // the same problem with free access; nil in that one, or where access is free anyway
	nodes map[spot]*node
	own   map[int]float64 // by information state: bound of own costs
	lim   Limits
	work  Work
	since int // nodes opened when Stop was last asked
	halt  bool
	keep  *node // whose choices are all kept

	buf    []float64 // scratch
	worlds []int32   // scratch
	cures  [][]int32 // by world: repairs that make it right
	cured  []float64 // scratch, by repair
}

// node is an information state in a machine state.
type node struct {
	in    *info
	at    *place
	lo    float64 // no course from here costs less
	up    float64 // the course found costs this
	refer float64 // cheapest way to refer on, with putting back
	by    int     // the escape that is; -1 for none
	cands []cand  // nil until opened
	rest  float64 // least lo of choices that were dropped because they cannot be best
	easy  *cand   // choice of the one-step policy; nil if not asked for, or to refer on
	plain *cand   // choice of replacing the likeliest; nil if not asked for
	walks int     // how often the one-step policy was followed through here
	downs int     // how often the search went down through here
	left  float64 // how much of the one-step policy's course is not worked out, 0 to 1
}

// cand is a choice at a node.
type cand struct {
	o     *option // nil to refer on
	by    int     // the escape, if o is nil
	move  int
	cost  float64 // of the move
	to    *place
	lo    float64
	up    float64
	stage stage
	kids  []*node // one per branch, nil where the job ends
	ends  float64 // expected cost of the branches that end the job
}

// stage is how far a choice has been worked out.
type stage uint8

const (
	guessed stage = iota // only bounds that need no Ground
	priced               // one alternative, with the nodes that it leads to
)

func newSearch(m *model, g Ground, k *known, pr prices, lim Limits) *search {
	s := &search{m: m, k: k, pr: pr, lim: lim, nodes: map[spot]*node{}, own: map[int]float64{}}
	s.gr = newGrounds(g, k, pr)
	s.find = newFinding(m, k, pr)
	s.told = newTold(m, k, pr, s.find)
	if _, free := g.(ownPrices); free {
		return s
	}
	if _, flat := g.(Prices); flat {
		return s
	}
	s.base = newSearch(m, ownPrices{g}, k, newPrices(m.p, m.p.carried(s.gr.share)), lim)
	s.told = s.base.told
	return s
}

// ownPrices is a ground without access: every action costs its own part.
type ownPrices struct{ g Ground }

func (o ownPrices) Start() State { return 0 }
func (o ownPrices) Do(_ State, a Action) []Move {
	return []Move{{Cost: o.g.Own(a)}}
}
func (o ownPrices) Close(State) (int64, bool)    { return 0, true }
func (o ownPrices) Own(a Action) int64           { return o.g.Own(a) }
func (o ownPrices) Access(State, []Action) int64 { return 0 }

// tie is the difference under which costs of about x count as the same.
func tie(x float64) float64 { return Tie * max(1, math.Abs(x)) }

func (n *node) solved() bool {
	if math.IsInf(n.up, 1) {
		return math.IsInf(n.lo, 1)
	}
	return n.up-n.lo <= tie(n.up)
}

// gap is how much is unknown.
func (n *node) gap() float64 {
	if n.solved() {
		return 0
	}
	return min(n.up-n.lo, math.MaxFloat64)
}

// node returns the node of in at pl, new if need be.
func (s *search) node(in *info, pl *place) *node {
	key := spot{in.id, pl.state}
	if n, ok := s.nodes[key]; ok {
		return n
	}
	n := &node{in: in, at: pl, by: -1, refer: math.Inf(1), rest: math.Inf(1), left: 1}
	for e, price := range s.pr.refer {
		c := pl.close
		for j, w := range in.b.world {
			c += in.b.p[j] * price[w]
		}
		if c < n.refer {
			n.refer, n.by = c, e
		}
	}
	n.up = n.refer
	if s.worthPlain(n) {
		n.up = s.plainCost(n)
	}
	if s.find != nil {
		n.lo = min(s.floor(in, pl), n.up)
	}
	s.nodes[key] = n
	return n
}

// floor is the greatest of the bounds of a node that need no opening.
func (s *search) floor(in *info, pl *place) float64 {
	acc, all := 0.0, 0.0
	for j, w := range in.b.world {
		acc += in.b.p[j] * pl.acc[w]
		all += in.b.p[j] * pl.all[w]
	}
	return max(all, acc+s.ownBound(in))
}

// ownBound is a bound of own costs: by information, or what the search with
// free access has proved.
func (s *search) ownBound(in *info) float64 {
	b, ok := s.own[in.id]
	if !ok {
		b = s.finding().bound(in.b.world, in.b.p, 1, s.rate(in))
		if s.told != nil {
			b = max(b, s.told.bound(&in.b, in.b.p, nil, -1, in.chance))
		}
		s.own[in.id] = b
	}
	if s.base != nil {
		if n, ok := s.base.nodes[spot{in.id, 0}]; ok {
			b = max(b, n.lo)
		}
	}
	return b
}

// finding uses the prices that go with own costs alone.
func (s *search) finding() *finding {
	if s.base != nil {
		return s.base.find
	}
	return s.find
}

// rate is the greatest number of bits per cost of a check that may still be
// asked from in on.
func (s *search) rate(in *info) float64 {
	f := s.finding()
	if !f.simple {
		return f.top
	}
	// Not the options: ProveFirst may only put a check off.
	r := 0.0
	for c := range s.m.p.Checks {
		if f.rate[c] > r && s.m.differs(&in.b, c) {
			r = f.rate[c]
		}
	}
	return r
}

// open lists the choices of a node with bounds that need no Ground.
func (s *search) open(n *node) {
	s.work.Nodes++
	opts := s.m.options(n.in)
	n.cands = make([]cand, 0, len(opts))
	if s.base != nil && n == s.keep {
		s.base.deepen(n.in)
	}
	acc, all := 0.0, 0.0
	for j, w := range n.in.b.world {
		acc += n.in.b.p[j] * n.at.acc[w]
		all += n.in.b.p[j] * n.at.all[w]
	}
	rate := s.rate(n.in)
	for i := range opts {
		o := &opts[i]
		own := ownOf(s.m.p, o.act)
		c := cand{o: o, up: math.Inf(1)}
		c.lo = own + s.afterwards(n, o, acc, all, rate)
		c.lo = max(c.lo, n.lo)
		n.cands = append(n.cands, c)
	}
}

// afterwards bounds what comes after the own cost of o, access to o included.
func (s *search) afterwards(n *node, o *option, acc, all, rate float64) float64 {
	b := &n.in.b
	reach := max(0, s.gr.visit(o.act)-n.at.paid)
	switch o.kind {
	case Ask:
		info := 0.0
		e := b.stands(o.index)
		for out := range s.m.tables[o.index].chance {
			sum, weight := s.m.split(b, o.index, e, out, s.buf)
			s.buf = weight
			if sum > 0 {
				x := s.finding().bound(b.world, weight, sum, rate)
				if s.told != nil {
					x = max(x, s.told.bound(b, weight, nil, o.index, n.in.chance))
				}
				info += x
			}
		}
		return max(all, max(acc, reach)+info)
	case Mend:
		return s.afterMend(n, o, reach, rate)
	}
	return s.afterProof(n, reach, rate)
}

func (s *search) afterMend(n *node, o *option, reach, rate float64) float64 {
	b := &n.in.b
	to := s.m.p.Repairs[o.index].To
	acc, all := 0.0, 0.0
	s.worlds = s.worlds[:0]
	for j, w := range b.world {
		acc += b.p[j] * n.at.acc[to[w]]
		all += b.p[j] * n.at.all[to[w]]
		s.worlds = append(s.worlds, int32(to[w]))
	}
	x := s.finding().bound(s.worlds, b.p, 1, rate)
	if s.told != nil {
		x = max(x, s.told.bound(b, b.p, to, -1, n.in.chance))
	}
	return max(all, max(acc, reach)+x)
}

func (s *search) afterProof(n *node, reach, rate float64) float64 {
	b := &n.in.b
	e := b.stands(s.m.proof)
	sum, weight := s.m.split(b, s.m.proof, e, failed, s.buf)
	s.buf = weight
	acc, all := 0.0, 0.0
	for j, w := range b.world {
		acc += weight[j] * n.at.acc[w]
		all += weight[j] * n.at.all[w]
	}
	if sum == 0 {
		return reach
	}
	back := s.m.comeback(b)
	x := s.finding().bound(b.world, weight, sum, rate)
	if s.told != nil {
		x = max(x, s.told.bound(b, weight, nil, -1, n.in.chance))
	}
	return max(all, max(acc, reach)+x) + back
}

// price replaces a guessed choice by its alternatives.
func (s *search) price(n *node, i int) {
	c := n.cands[i]
	var alts []cand
	for k, mv := range s.gr.do(n.at, c.o.act) {
		a := *s.choice(n, c.o, k, mv)
		a.lo = max(a.lo, c.lo)
		alts = append(alts, a)
	}
	if len(alts) == 0 {
		n.cands[i].stage, n.cands[i].lo = priced, math.Inf(1)
		return
	}
	n.cands[i] = alts[0]
	n.cands = append(n.cands, alts[1:]...)
}

// lead finds the nodes that a priced choice leads to.
func (s *search) lead(n *node, c *cand) {
	next := s.m.branches(n.in, c.o)
	c.kids = make([]*node, len(next))
	for b, br := range next {
		if br.to == nil {
			c.ends += br.prob * (br.end + c.to.close)
			continue
		}
		c.kids[b] = s.node(br.to, c.to)
	}
	s.refresh(c)
}

// refresh takes over what is known of the nodes that a choice leads to.
func (s *search) refresh(c *cand) {
	if c.stage != priced || c.kids == nil {
		return
	}
	lo, up := c.cost+c.ends, c.cost+c.ends
	for b, kid := range c.kids {
		if kid != nil {
			lo += c.o.next[b].prob * kid.lo
			up += c.o.next[b].prob * kid.up
		}
	}
	c.lo = max(c.lo, lo)
	c.up = up
}

// least returns the choice with the least bound, worked out and up to date, or
// -1 if referring on is no dearer than any bound.
func (s *search) least(n *node) int {
	for {
		best := -1
		lo := n.refer
		for i := range n.cands {
			if n.cands[i].lo < lo {
				best, lo = i, n.cands[i].lo
			}
		}
		if best < 0 {
			return -1
		}
		c := &n.cands[best]
		if c.stage == guessed {
			s.price(n, best)
			continue
		}
		s.refresh(c)
		if c.lo <= lo {
			return best
		}
	}
}

// backup takes the bounds of the choices over to the node.
func (s *search) backup(n *node) {
	lo, up := min(n.refer, n.rest), n.refer
	for i := range n.cands {
		lo = min(lo, n.cands[i].lo)
		up = min(up, n.cands[i].up)
	}
	for _, c := range []*cand{n.easy, n.plain} {
		if c != nil {
			s.refresh(c)
			up = min(up, c.up)
		}
	}
	n.lo = max(n.lo, lo)
	n.up = min(n.up, up)
	if n.lo > n.up {
		n.lo = n.up
	}
}

// descend goes down from n once, choosing by the least bound and then where
// most is unknown, until a solved node, and takes what was found back up.
func (s *search) descend(n *node) {
	if n.solved() || s.stop() {
		return
	}
	if n.cands == nil {
		s.open(n)
		s.rollOut(n)
	}
	n.downs++
	if i := s.least(n); i >= 0 {
		if kid := s.widest(&n.cands[i]); kid != nil {
			s.descend(kid)
			s.refresh(&n.cands[i])
		}
	}
	s.backup(n)
	s.prune(n)
}

// widest is the node under c where most is unknown, weighted by its chance.
func (s *search) widest(c *cand) *node {
	var best *node
	most := 0.0
	for b, kid := range c.kids {
		if kid == nil {
			continue
		}
		if g := c.o.next[b].prob * kid.gap() / float64(1+kid.downs); g > most {
			best, most = kid, g
		}
	}
	return best
}

// prune drops choices that cannot be best.
func (s *search) prune(n *node) {
	if n == s.keep || math.IsInf(n.up, 1) {
		return
	}
	cut := n.up + tie(n.up)
	kept := n.cands[:0]
	for _, c := range n.cands {
		if c.lo > cut {
			n.rest = min(n.rest, c.lo)
			continue
		}
		kept = append(kept, c)
	}
	clear(n.cands[len(kept):])
	n.cands = kept
}

// stopEvery is how many nodes are opened between two questions to Stop.
const stopEvery = 16

// stop reports whether the search is to end.
func (s *search) stop() bool {
	if s.halt {
		return true
	}
	if s.lim.Nodes > 0 && s.work.Nodes >= s.lim.Nodes {
		s.halt = true
	}
	if s.lim.Stop != nil && s.work.Nodes-s.since >= stopEvery {
		s.since = s.work.Nodes
		s.halt = s.halt || s.lim.Stop()
	}
	return s.halt
}

// baseRounds is how often the search with free access goes down from the start
// before the real one does. More of it, or from other information states too,
// was tried and costs more than its better bounds save.
const baseRounds = 60

// deepen improves the bound of own costs of an information state.
func (s *search) deepen(in *info) {
	n := s.node(in, s.gr.root)
	for range baseRounds {
		if n.solved() {
			return
		}
		s.descend(n)
	}
}
