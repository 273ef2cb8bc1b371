package decide

import (
	"math"
	"slices"
)

// told bounds own costs by a simpler problem, in which whoever works is told
// more than in truth: at first whether the machine is right already, and after
// each repair whether it changed anything, and if so, what the world is now.
// Then no answer is ever drawn anew, so that a state is only the shares of the
// worlds that no repair has changed and the checks that were not asked yet.
//
// Being told is not quite free. Before the work goes on, a repair that changed
// nothing is either followed by a proof that fails, or the next piece of work
// is done on a machine that may be right: with a proof of cost p and no other
// work cheaper than q, at least min(p x, q y) is paid beyond what is counted
// otherwise, x and y being the shares in which it changed nothing and in which
// the machine is right. (By induction over a course: each piece of work other than the
// proof costs q or more in the share y, where only the proof is counted.)
//
// It is used only where ending the job by a proof that passes too early never
// pays and tells nothing of what is wrong (known.tidy), so that the simpler
// problem may leave such ends out.
type told struct {
	m       *model
	sure    []float64   // by world: least cost if it is known
	refer   [][]float64 // [escape][world]
	checks  []toldCheck
	repairs []toldRepair
	twins   []uint64 // by check: others with the same rows that should be asked before it
	proof   float64
	cheap   float64 // no work other than the proof costs less

	at    map[uint64]int32 // by hash: the first state, of a chain
	next  []int32
	avail []uint64
	share []float64 // of all states, one after the other
	state []toldState
	big   float64 // what the problem costs about
	taken int     // how often a state was worked out
	steps int     // how often it may be before the bound is given
	out   bool    // that was not often enough
	level [][]float64
	hub   int      // the one world that no repair changes, or -1
	joins []uint64 // sets of worlds that a check tells from the hub or a repair changes
	end   float64  // what referring on costs at most in the hub
}

type toldCheck struct {
	own    float64
	chance [][]float64
	row    []int32
}

type toldRepair struct {
	own   float64
	moves []bool    // by world
	after []float64 // by world: least cost of the world that it leads to
	right []bool    // by world: that world is right
}

// toldState is what is known of a state, per unit of its chance.
type toldState struct {
	value float64
	need  float64 // fineness with which it was worked out
}

const (
	// toldSide is how many worlds and checks there may be.
	toldSide = 64
	// toldSteps is how often a state is worked out at most, toldFirst how often
	// for the first bound, and toldCall for each one after that.
	toldSteps = 60_000
	toldFirst = 45_000
	toldCall  = 30
	// toldGrain is the share of the whole cost that a state must be able to
	// change for being worked out.
	toldGrain = 1e-6
)

// newTold returns nil where the problem is too large for it.
func newTold(m *model, k *known, pr prices, f *finding) *told {
	n := len(m.p.Worlds)
	if n > toldSide || len(m.p.Checks) > toldSide || !k.tidy {
		return nil
	}
	t := &told{m: m, refer: pr.refer, at: map[uint64]int32{}, cheap: math.Inf(1)}
	t.sure = make([]float64, n)
	for w := range n {
		t.sure[w] = f.sure(w)
	}
	for _, w := range m.start.b.world {
		if math.IsInf(t.sure[w], 1) {
			return nil
		}
	}
	t.proof = ownOf(m.p, m.p.Proof.Action)
	for c := range m.p.Checks {
		tab := &m.tables[c]
		t.checks = append(t.checks, toldCheck{own: ownOf(m.p, tab.act), chance: tab.chance, row: tab.row})
		if slices.ContainsFunc(tab.row, func(r int32) bool { return r != tab.row[0] }) {
			t.cheap = min(t.cheap, t.checks[c].own)
		}
	}
	for r := range m.p.Repairs {
		t.repairs = append(t.repairs, t.repair(r))
		t.cheap = min(t.cheap, t.repairs[r].own)
	}
	for w, right := range m.p.Right {
		if right {
			t.cheap = max(0, min(t.cheap, pr.least[w]-t.proof))
		}
	}
	t.findTwins()
	t.findHub(pr)
	for j, w := range m.start.b.world {
		t.big += m.start.b.p[j] * t.sure[w]
	}
	return t
}

func (t *told) repair(r int) toldRepair {
	rep := &t.m.p.Repairs[r]
	x := toldRepair{own: ownOf(t.m.p, rep.Action), moves: make([]bool, len(rep.To)), after: make([]float64, len(rep.To)), right: make([]bool, len(rep.To))}
	for w, to := range rep.To {
		x.moves[w], x.after[w], x.right[w] = to != w, t.sure[to], t.m.p.Right[to]
	}
	return x
}

// findHub looks for the hub and for what joins other worlds.
func (t *told) findHub(pr prices) {
	t.hub = -1
	for _, w := range t.m.start.b.world {
		if t.m.p.Right[w] || slices.ContainsFunc(t.repairs, func(r toldRepair) bool { return r.moves[w] }) {
			continue
		}
		if t.hub >= 0 {
			t.hub = -1
			return
		}
		t.hub = int(w)
	}
	if t.hub < 0 {
		return
	}
	for _, price := range pr.refer {
		t.end = max(t.end, price[t.hub])
	}
	for c := range t.checks {
		join := uint64(0)
		for w, row := range t.checks[c].row {
			if row != t.checks[c].row[t.hub] {
				join |= 1 << w
			}
		}
		t.joins = append(t.joins, join)
	}
	for r := range t.repairs {
		join := uint64(0)
		for w, moves := range t.repairs[r].moves {
			if moves {
				join |= 1 << w
			}
		}
		t.joins = append(t.joins, join)
	}
}

// findTwins marks checks that behave alike in every world. The cheaper one may
// as well be asked first: where a course asks them the other way round, let
// them change places.
func (t *told) findTwins() {
	t.twins = make([]uint64, len(t.checks))
	for c := range t.checks {
		for d := range t.checks {
			x, y := &t.checks[c], &t.checks[d]
			sooner := y.own < x.own || y.own == x.own && d < c
			if sooner && slices.EqualFunc(x.chance, y.chance, func(a, b []float64) bool { return slices.Equal(a, b) }) {
				t.twins[c] |= 1 << d
			}
		}
	}
}

// bound is a lower bound of own costs from belief b when its particles weigh
// so much, their worlds are moved along to (nil: not at all), and check asked
// (-1: none) has just been asked. chance is that of coming here with weights
// that sum to 1.
func (t *told) bound(b *belief, weight []float64, to []int, asked int, chance float64) float64 {
	n := len(t.sure)
	x := t.scratch(0)[:n]
	clear(x)
	sum, right, still := 0.0, 0.0, 0.0
	for j, w := range b.world {
		p := weight[j]
		now := int(w)
		if to != nil {
			now = to[w]
		}
		if t.m.p.Right[now] || now != int(w) || b.fresh != nil && b.fresh[j] != 0 {
			sum += p * t.sure[now]
			if t.m.p.Right[now] {
				right += p
			}
			continue
		}
		still += p
		x[now] += p
	}
	if still <= 0 {
		return sum
	}
	for w := range x {
		x[w] /= still
	}
	least := sum + min(t.proof*still, t.cheap*right)
	t.out = false
	t.steps = min(toldCall, toldSteps-t.taken)
	if t.taken == 0 {
		t.steps = toldFirst
	}
	t.taken += t.steps
	least += still * t.value(x, t.left(b, asked), still*chance, 1)
	t.taken -= t.steps
	return least
}

// left is the set of checks that were not asked.
func (t *told) left(b *belief, asked int) uint64 {
	left := uint64(1)<<len(t.checks) - 1
	if len(t.checks) == toldSide {
		left = math.MaxUint64
	}
	if asked >= 0 {
		left &^= 1 << asked
	}
	for _, a := range b.asked {
		if int(a.table) < len(t.checks) {
			left &^= 1 << a.table
		}
	}
	for _, g := range b.gone {
		if int(g) < len(t.checks) {
			left &^= 1 << g
		}
	}
	return left
}

// scratch is room for the worlds of one level of the recursion.
func (t *told) scratch(level int) []float64 {
	for len(t.level) <= level {
		t.level = append(t.level, make([]float64, len(t.sure)))
	}
	return t.level[level]
}
