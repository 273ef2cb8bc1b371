package andor

import (
	"slices"
)

// Tuning of the reduction.
const (
	// reduceRounds: rounds of reductions, each of which can enable the next.
	reduceRounds = 6
	// reduceFacts: larger nets are searched as they are, because the table of
	// facts needed by facts grows with the square.
	reduceFacts = 12_000
)

// reducer rewrites a net into a smaller one with the same least cost. The
// rewriting keeps at least one cheapest solution:
//
//   - a precondition that another one needs anyway is dropped;
//   - a fact that every solution makes is demanded once, at the goal, and
//     dropped as a precondition of ops it does not depend on;
//   - a fact that must be made and has one way is made, and paid for;
//   - an op is dropped when another op for the same fact costs no more and
//     needs nothing that would not be there by then;
//   - a fact that only one op needs is merged into that op.
//
// Ops of excluded sets are not merged, and are not used to replace others.
type reducer struct {
	n       *net
	cost    []int64
	pre     [][]int32
	adds    []int32
	parts   [][]int32 // ops of the problem an op stands for
	dead    []bool
	guarded []bool
	makers  [][]int32
	users   [][]int32
	rank    []int32 // by fact: component, prerequisites first
	needs   []uint64
	words   int
	must    []uint64
	done    []bool // by fact: made and paid for
	base    int64
	forced  []int32 // ops of the problem
	changed bool
	stop    func() bool
}

// reduced returns an equivalent smaller net, or n itself when stop says so.
func (n *net) reduced(stop func() bool) *net {
	if n.facts > reduceFacts {
		return n
	}
	r := &reducer{n: n, cost: slices.Clone(n.cost), adds: n.adds, words: (n.facts + 63) / 64, stop: stop}
	for a := range n.cost {
		r.pre = append(r.pre, slices.Clone(n.pre.of(int32(a))))
		r.parts = append(r.parts, n.parts[a])
	}
	r.dead = make([]bool, len(n.cost))
	r.done = make([]bool, n.facts)
	r.guarded = make([]bool, len(n.cost))
	for _, set := range n.exclude {
		for _, a := range set {
			r.guarded[a] = true
		}
	}
	for range reduceRounds {
		r.changed = false
		r.sweep()
		r.trimPre()
		r.force()
		r.dominate()
		r.merge()
		if stop() {
			return n
		}
		if !r.changed {
			break
		}
	}
	r.sweep()
	if stop() {
		return n // the table of needs may be unfinished
	}
	return r.build()
}

func (r *reducer) goalOp() int32 { return int32(len(r.cost) - 1) }

// sweep drops ops that cannot be reached or do not matter, and recomputes who
// makes and needs what, the order of facts, and the facts each fact needs.
func (r *reducer) sweep() {
	r.link()
	r.dropUnreached()
	r.link()
	r.dropIrrelevant()
	r.link()
	r.rank = components(r.n.facts, []int32{r.n.goal}, func(f int32, visit func(int32)) {
		for _, a := range r.makers[f] {
			for _, p := range r.pre[a] {
				visit(p)
			}
		}
	})
	r.need()
}

func (r *reducer) link() {
	r.makers = make([][]int32, r.n.facts)
	r.users = make([][]int32, r.n.facts)
	for a := range r.cost {
		if r.dead[a] {
			continue
		}
		r.makers[r.adds[a]] = append(r.makers[r.adds[a]], int32(a))
		for _, p := range r.pre[a] {
			r.users[p] = append(r.users[p], int32(a))
		}
	}
}

func (r *reducer) dropUnreached() {
	made := make([]bool, r.n.facts)
	missing := make([]int, len(r.cost))
	var queue []int32
	fire := func(a int32) {
		if f := r.adds[a]; !r.dead[a] && !made[f] {
			made[f] = true
			queue = append(queue, f)
		}
	}
	for a := range r.cost {
		if missing[a] = len(r.pre[a]); missing[a] == 0 {
			fire(int32(a))
		}
	}
	for head := 0; head < len(queue); head++ {
		for _, a := range r.users[queue[head]] {
			if missing[a]--; missing[a] == 0 {
				fire(a)
			}
		}
	}
	for a := range r.cost {
		r.dead[a] = r.dead[a] || missing[a] > 0
	}
}

func (r *reducer) dropIrrelevant() {
	seen := make([]bool, r.n.facts)
	seen[r.n.goal] = true
	queue := []int32{r.n.goal}
	for head := 0; head < len(queue); head++ {
		for _, a := range r.makers[queue[head]] {
			for _, p := range r.pre[a] {
				if !seen[p] {
					seen[p] = true
					queue = append(queue, p)
				}
			}
		}
	}
	for a := range r.cost {
		r.dead[a] = r.dead[a] || !seen[r.adds[a]]
	}
}

func (r *reducer) row(f int32) []uint64 { return r.needs[int(f)*r.words : int(f+1)*r.words] }

func has(set []uint64, f int32) bool { return set[f>>6]>>(f&63)&1 != 0 }

// need computes, for every fact, the facts made before it in every solution,
// itself included: the largest sets such that what all makers need is needed.
func (r *reducer) need() {
	r.needs, r.must = make([]uint64, r.n.facts*r.words), make([]uint64, r.words)
	var order []int32
	for f := range int32(r.n.facts) {
		if r.rank[f] > 0 {
			order = append(order, f)
		}
	}
	slices.SortStableFunc(order, func(a, b int32) int { return int(r.rank[a] - r.rank[b]) })
	for i := range r.needs {
		r.needs[i] = ^uint64(0)
	}
	all, one := make([]uint64, r.words), make([]uint64, r.words)
	for again := true; again; {
		again = false
		for _, f := range order {
			if r.stop() {
				return
			}
			for i := range all {
				all[i] = ^uint64(0)
			}
			for _, a := range r.makers[f] {
				r.before(a, one)
				for i := range all {
					all[i] &= one[i]
				}
			}
			all[f>>6] |= 1 << (f & 63)
			if row := r.row(f); !slices.Equal(row, all) {
				copy(row, all)
				again = true
			}
		}
	}
	r.must = slices.Clone(r.row(r.n.goal))
}

// before sets one to the facts that every solution with op a makes before it.
func (r *reducer) before(a int32, one []uint64) {
	clear(one)
	for _, p := range r.pre[a] {
		for i, v := range r.row(p) {
			one[i] |= v
		}
	}
}

// trimPre drops ops that need what they make, and preconditions that are
// implied; it demands every fact that must be made at the goal.
func (r *reducer) trimPre() {
	one := make([]uint64, r.words)
	for a := range int32(len(r.cost) - 1) {
		if r.stop() {
			return
		}
		if r.dead[a] {
			continue
		}
		f := r.adds[a]
		r.before(a, one)
		if has(one, f) {
			r.dead[a], r.changed = true, true
			continue
		}
		pre := r.pre[a]
		kept := slices.DeleteFunc(slices.Clone(pre), func(p int32) bool {
			if has(r.must, p) && r.rank[p] < r.rank[f] {
				return true
			}
			return slices.ContainsFunc(pre, func(q int32) bool { return q != p && has(r.row(q), p) })
		})
		if len(kept) < len(pre) {
			r.pre[a], r.changed = kept, true
		}
	}
	var demands []int32
	for f := range r.n.goal {
		if has(r.must, f) {
			demands = append(demands, f)
		}
	}
	r.pre[r.goalOp()] = demands
}

// force pays for facts that must be made and have one way.
func (r *reducer) force() {
	r.link()
	goal := r.goalOp()
	kept := r.pre[goal][:0]
	for _, f := range r.pre[goal] {
		if len(r.makers[f]) != 1 || r.guarded[r.makers[f][0]] || len(r.users[f]) > 1 || len(r.pre[r.makers[f][0]]) > 0 {
			kept = append(kept, f)
			continue
		}
		a := r.makers[f][0]
		r.base += r.cost[a]
		r.forced = append(r.forced, r.parts[a]...)
		r.dead[a], r.changed = true, true
	}
	r.pre[goal] = kept
}

// dominate drops ops that another op for the same fact can replace.
func (r *reducer) dominate() {
	r.link()
	one := make([]uint64, r.words)
	for f := range int32(r.n.facts) {
		if r.stop() {
			return
		}
		if len(r.makers[f]) < 2 {
			continue
		}
		for _, a := range r.makers[f] {
			r.before(a, one)
			for _, b := range r.makers[f] {
				if a != b && !r.dead[a] && !r.dead[b] && r.replaces(b, a, one, f) {
					r.dead[a], r.changed = true, true
				}
			}
		}
	}
}

// replaces reports whether op b can take the place of op a in any solution;
// before holds what is made before a.
func (r *reducer) replaces(b, a int32, before []uint64, f int32) bool {
	if r.guarded[b] || r.cost[b] > r.cost[a] {
		return false
	}
	for _, p := range r.pre[b] {
		if !has(before, p) && !(has(r.must, p) && r.rank[p] < r.rank[f]) {
			return false
		}
	}
	return true
}

// merge joins the makers of a fact that one op needs with that op.
func (r *reducer) merge() {
	r.link()
	for p := range r.n.goal {
		if r.stop() {
			return
		}
		if len(r.users[p]) != 1 {
			continue
		}
		b := r.users[p][0]
		if b == r.goalOp() || r.dead[b] || r.guarded[b] || !slices.Contains(r.pre[b], p) {
			continue
		}
		makers := r.makers[p]
		if slices.ContainsFunc(makers, func(a int32) bool { return r.guarded[a] }) || slices.Contains(makers, b) {
			continue
		}
		rest := slices.DeleteFunc(slices.Clone(r.pre[b]), func(q int32) bool { return q == p })
		f, cost, parts := r.adds[b], r.cost[b], r.parts[b]
		for _, a := range makers {
			if r.dead[a] {
				continue
			}
			// a now stands for both; it is rewritten in place.
			r.adds = r.ownAdds()
			r.pre[a] = uniqueSorted(slices.Concat(r.pre[a], rest))
			r.cost[a] += cost
			r.parts[a] = uniqueSorted(slices.Concat(r.parts[a], parts))
			r.adds[a] = f
		}
		r.dead[b], r.changed = true, true
		r.link()
	}
}

func (r *reducer) ownAdds() []int32 {
	if &r.adds[0] == &r.n.adds[0] {
		return slices.Clone(r.adds)
	}
	return r.adds
}

// build makes the net that is left, with new numbers.
func (r *reducer) build() *net {
	old := r.n
	n := &net{g: old.g, q: old.q, start: old.start, opOf: old.opOf, price: old.price, base: old.base + r.base}
	n.forced = slices.Concat(old.forced, r.forced)
	number := make([]int32, old.facts)
	for f := range old.goal {
		if len(r.makers[f]) > 0 {
			n.facts++
			number[f] = int32(n.facts - 1)
		}
	}
	number[old.goal] = int32(n.facts)
	n.goal = int32(n.facts)
	n.facts++
	n.pre.at = []int32{0}
	opNow := make([]int32, len(r.cost))
	for a := range r.cost {
		opNow[a] = -1
		if r.dead[a] {
			continue
		}
		opNow[a] = int32(len(n.cost))
		for _, p := range r.pre[a] {
			n.pre.item = append(n.pre.item, number[p])
		}
		n.push(r.parts[a], r.cost[a], number[r.adds[a]])
	}
	n.index()
	n.setGrain()
	for _, set := range old.exclude {
		now := make([]int32, len(set))
		for i, a := range set {
			now[i] = opNow[a]
		}
		if !slices.Contains(now, -1) {
			n.exclude = append(n.exclude, now)
		}
	}
	return n
}
