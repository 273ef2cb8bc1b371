package andor

import "slices"

// net is what is left of a query: the facts and ops that can be reached and
// can matter. Every op adds exactly one fact; an op that adds several is
// represented by itself, adding an auxiliary fact, and free auxiliary ops from
// that fact. The last op needs all goals and adds the last fact, the goal.
type net struct {
	cost        []int64
	pre         lists
	users       lists
	makes       lists
	adds        []int32   // by op: the one fact it adds
	parts       [][]int32 // by op: the ops of the problem it stands for
	base        int64     // cost already decided
	forced      []int32   // ops of the problem already decided
	price       []int64   // by op of the problem: its cost in this query
	grain       int64
	typical     float64 // mean cost
	goal        int32   // the last fact
	facts       int
	exclude     [][]int32 // in ops of the net
	g           *graph
	q           *Query
	start       []bool  // facts of the problem that hold at the start
	opOf        []int32 // by op of the problem: op of the net or -1
	unreachable []int32
}

// newNet applies the query to g, drops what cannot be reached or cannot
// matter, and lists the goals that cannot be reached.
func newNet(g *graph, q *Query) *net {
	n := &net{g: g, q: q}
	may := make([]bool, len(g.cost))
	for a := range may {
		may[a] = true
	}
	for _, a := range q.Forbid {
		may[a] = false
	}
	for _, set := range q.Exclude {
		if set := uniqueSorted(set); len(set) == 1 {
			may[set[0]] = false
		}
	}
	holds, missing := g.reach(may, q.Start)
	for _, f := range uniqueSorted(q.Goals) {
		if !holds[f] {
			n.unreachable = append(n.unreachable, f)
		}
	}
	if len(n.unreachable) > 0 {
		return n
	}
	n.start = make([]bool, g.facts)
	for _, f := range g.start {
		n.start[f] = true
	}
	for _, f := range q.Start {
		n.start[f] = true
	}
	for a := range may {
		may[a] = may[a] && missing[a] == 0
	}
	b := netBuilder{n: n, may: may}
	b.relevant()
	b.build()
	return n
}

func uniqueSorted(list []int32) []int32 {
	list = slices.Clone(list)
	slices.Sort(list)
	return slices.Compact(list)
}

// netBuilder numbers the relevant facts and ops.
type netBuilder struct {
	n      *net
	may    []bool
	factOf []int32 // by fact of the problem: 1 + its number, 0 when irrelevant
	facts  []int32 // relevant facts, in order of discovery
	opSeen []bool
	adds   []int32
}

// relevant walks back from the goals over facts that do not hold at the start.
func (b *netBuilder) relevant() {
	g := b.n.g
	b.factOf = make([]int32, g.facts)
	b.opSeen = make([]bool, len(g.cost))
	want := func(f int32) {
		if b.factOf[f] == 0 && !b.n.start[f] {
			b.facts = append(b.facts, f)
			b.factOf[f] = int32(len(b.facts))
		}
	}
	for _, f := range b.n.q.Goals {
		want(f)
	}
	for head := 0; head < len(b.facts); head++ {
		for _, a := range g.makes.of(b.facts[head]) {
			if b.opSeen[a] || !b.may[a] {
				continue
			}
			b.opSeen[a] = true
			for _, f := range g.pre.of(a) {
				want(f)
			}
		}
	}
}

func (b *netBuilder) build() {
	n, g := b.n, b.n.g
	n.opOf = make([]int32, len(g.cost))
	n.price = slices.Clone(g.cost)
	for _, a := range n.q.Free {
		n.price[a] = 0
	}
	b.reserve()
	n.pre.at = append(n.pre.at, 0)
	next := int32(len(b.facts)) // next auxiliary fact
	self := make([]int32, len(n.opOf))
	for a := range n.opOf {
		n.opOf[a] = -1
		if !b.opSeen[a] {
			continue
		}
		n.opOf[a] = int32(len(n.cost))
		adds := b.useful(int32(a))
		self[a] = int32(a)
		for _, f := range g.pre.of(int32(a)) {
			if !n.start[f] {
				n.pre.item = append(n.pre.item, b.factOf[f]-1)
			}
		}
		if len(adds) == 1 {
			n.push(self[a:a+1:a+1], n.price[a], adds[0])
			continue
		}
		n.push(self[a:a+1:a+1], n.price[a], next)
		for _, f := range adds {
			n.pre.item = append(n.pre.item, next)
			n.push(nil, 0, f)
		}
		next++
	}
	for _, f := range uniqueSorted(n.q.Goals) {
		if !n.start[f] {
			n.pre.item = append(n.pre.item, b.factOf[f]-1)
		}
	}
	n.goal = next
	n.push(nil, 0, n.goal)
	n.facts = int(next) + 1
	n.index()
	n.setGrain()
	n.mapExcludes()
}

// reserve makes room for what build will add.
func (b *netBuilder) reserve() {
	n, g := b.n, b.n.g
	ops, items := 1, len(n.q.Goals)
	for a, seen := range b.opSeen {
		if seen {
			adds := len(g.add.of(int32(a)))
			ops += 1 + adds
			items += len(g.pre.of(int32(a))) + adds
		}
	}
	n.pre.at, n.pre.item = make([]int32, 0, ops+1), make([]int32, 0, items)
	n.cost, n.parts, n.adds = make([]int64, 0, ops), make([][]int32, 0, ops), make([]int32, 0, ops)
}

// useful returns the numbers of the relevant facts that op a adds, until it is
// asked again.
func (b *netBuilder) useful(a int32) []int32 {
	adds := b.adds[:0]
	for _, f := range b.n.g.add.of(a) {
		if b.factOf[f] > 0 {
			adds = append(adds, b.factOf[f]-1)
		}
	}
	b.adds = adds
	return adds
}

// push ends the op whose preconditions have just been appended.
func (n *net) push(parts []int32, cost int64, add int32) {
	n.pre.at = append(n.pre.at, int32(len(n.pre.item)))
	n.cost = append(n.cost, cost)
	n.parts = append(n.parts, parts)
	n.adds = append(n.adds, add)
}

// setGrain finds the largest number that divides all costs: all sums are
// multiples of it.
func (n *net) setGrain() {
	n.grain = 0
	for _, c := range n.cost {
		for c != 0 {
			n.grain, c = c, n.grain%c
		}
	}
	n.grain = max(1, n.grain)
	for _, c := range n.cost {
		n.typical += float64(c) / float64(len(n.cost))
	}
}

func (n *net) index() {
	n.users = n.pre.invert(n.facts)
	one := lists{at: make([]int32, len(n.adds)+1), item: n.adds}
	for i := range one.at {
		one.at[i] = int32(i)
	}
	n.makes = one.invert(n.facts)
}

// mapExcludes keeps the excluded sets that could still be used as a whole.
func (n *net) mapExcludes() {
	for _, set := range n.q.Exclude {
		var ops []int32
		for _, a := range uniqueSorted(set) {
			if n.opOf[a] < 0 {
				ops = nil
				break
			}
			ops = append(ops, n.opOf[a])
		}
		if ops != nil {
			n.exclude = append(n.exclude, ops)
		}
	}
}

// solution puts ops of the problem that reach the goals in an order that can
// be carried out, without any that is not needed. Ops are tried for removal
// from the dearest to the cheapest.
func (n *net) solution(set []int32) (ops []int32, cost int64) {
	return n.g.trim(uniqueSorted(set), n.q.Start, n.q.Goals, func(a int32) int64 { return n.price[a] })
}

// excludedBy returns the excluded set that the ops of the problem use as a
// whole, or nil.
func (n *net) excludedBy(ops []int32) []int32 {
	if len(n.q.Exclude) == 0 {
		return nil
	}
	used := make([]bool, len(n.g.cost))
	for _, a := range ops {
		used[a] = true
	}
	for _, set := range n.q.Exclude {
		if !slices.ContainsFunc(set, func(a int32) bool { return !used[a] }) {
			return set
		}
	}
	return nil
}

// missingCut returns nil when the ops reach the goal; otherwise a landmark
// that they do not meet: the ops that could go beyond what they reach and
// matter to the goal.
func (n *net) missingCut(ops []int32) []int32 {
	may := make([]bool, len(n.cost))
	for _, a := range ops {
		may[a] = true
	}
	made := make([]bool, n.facts)
	missing := make([]int32, len(n.cost))
	var queue []int32
	fire := func(a int32) {
		if f := n.adds[a]; may[a] && !made[f] {
			made[f] = true
			queue = append(queue, f)
		}
	}
	for a := range missing {
		if missing[a] = n.pre.at[a+1] - n.pre.at[a]; missing[a] == 0 {
			fire(int32(a))
		}
	}
	for head := 0; head < len(queue); head++ {
		for _, a := range n.users.of(queue[head]) {
			if missing[a]--; missing[a] == 0 {
				fire(a)
			}
		}
	}
	if made[n.goal] {
		return nil
	}
	seen := make([]bool, n.facts)
	seen[n.goal] = true
	queue = append(queue[:0], n.goal)
	var cut []int32
	for head := 0; head < len(queue); head++ {
		for _, a := range n.makes.of(queue[head]) {
			if missing[a] == 0 {
				cut = append(cut, a)
				continue
			}
			for _, p := range n.pre.of(a) {
				if !made[p] && !seen[p] {
					seen[p] = true
					queue = append(queue, p)
				}
			}
		}
	}
	return cut
}
