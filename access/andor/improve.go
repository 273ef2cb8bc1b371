package andor

// planner finds good solutions of a net quickly. A plan is the op that makes
// each fact, by fact, -1 for facts not made; each op of a plan is needed.
type planner struct {
	n       *net
	value   []float64 // by fact: additive estimate of the cost to make it
	sum     []float64 // by op
	missing []int32
	by      []int32
	weight  []float64
	banned  []bool
	heap    factHeap[float64]
	plan    []int32
	needed  []int32
	stop    func() bool
}

func newPlanner(n *net, stop func() bool) *planner {
	return &planner{
		n: n, value: make([]float64, n.facts), sum: make([]float64, len(n.cost)),
		missing: make([]int32, len(n.cost)), by: make([]int32, n.facts),
		weight: make([]float64, len(n.cost)), banned: make([]bool, len(n.cost)),
		plan: make([]int32, n.facts), stop: stop,
	}
}

// unreached is the value of a fact that cannot be made.
const unreached = 1e300

// estimate computes the additive values under weight, where banned ops cannot
// be used, and reports whether the goal can be made.
func (pl *planner) estimate() bool {
	n := pl.n
	for f := range pl.value {
		pl.value[f] = unreached
	}
	pl.heap.reset(n.facts)
	for a := range pl.sum {
		k := n.pre.at[a+1] - n.pre.at[a]
		pl.missing[a], pl.sum[a] = k, pl.weight[a]
		if k == 0 {
			pl.offer(int32(a))
		}
	}
	for !pl.heap.empty() {
		f := pl.heap.pop(pl.value)
		if f == n.goal {
			return true
		}
		for _, a := range n.users.of(f) {
			pl.sum[a] += pl.value[f]
			if pl.missing[a]--; pl.missing[a] == 0 {
				pl.offer(a)
			}
		}
	}
	return pl.value[n.goal] < unreached
}

func (pl *planner) offer(a int32) {
	f := pl.n.adds[a]
	if !pl.banned[a] && pl.sum[a] < pl.value[f] {
		pl.value[f], pl.by[f] = pl.sum[a], a
		pl.heap.push(f, pl.value)
	}
}

// extract collects the ops that the estimate uses for the goal, and returns
// their cost.
func (pl *planner) extract() int64 {
	n := pl.n
	for f := range pl.plan {
		pl.plan[f] = -1
	}
	cost := int64(0)
	pl.needed = append(pl.needed[:0], n.goal)
	pl.plan[n.goal] = pl.by[n.goal]
	for head := 0; head < len(pl.needed); head++ {
		a := pl.by[pl.needed[head]]
		cost += n.cost[a]
		for _, p := range n.pre.of(a) {
			if pl.plan[p] < 0 {
				pl.plan[p] = pl.by[p]
				pl.needed = append(pl.needed, p)
			}
		}
	}
	return cost
}

// ops lists the ops of the plan last extracted.
func (pl *planner) ops() []int32 {
	ops := make([]int32, 0, len(pl.needed))
	for _, f := range pl.needed {
		ops = append(ops, pl.plan[f])
	}
	return ops
}

// follow estimates under the weights given and extracts a plan. It reports
// false when the goal cannot be made.
func (pl *planner) follow(weight func(a int32) float64) (int64, bool) {
	for a := range pl.weight {
		pl.weight[a] = weight(int32(a))
	}
	if !pl.estimate() {
		return never, false
	}
	return pl.extract(), true
}

// descend improves the plan of the given ops: it bans each op in turn, takes
// the others as paid, and keeps what is cheaper, until nothing is. It returns
// the ops and their cost.
func (pl *planner) descend(ops []int32, cost int64) ([]int32, int64) {
	n := pl.n
	for a, c := range n.cost {
		pl.weight[a] = float64(c)
	}
	for again := true; again; {
		again = false
		for i := 0; i < len(ops) && !pl.stop(); i++ {
			a := ops[i]
			if n.cost[a] == 0 {
				continue
			}
			if c, better := pl.without(ops, a, cost); better {
				ops, cost, again = pl.ops(), c, true
				i = min(i, len(ops)) - 1
			}
		}
	}
	return ops, cost
}

// without looks for a plan cheaper than cost that does not use op a.
func (pl *planner) without(ops []int32, a int32, cost int64) (int64, bool) {
	for _, b := range ops {
		pl.weight[b] = 0
	}
	pl.banned[a] = true
	ok := pl.estimate()
	c := never
	if ok {
		c = pl.extract()
	}
	pl.banned[a] = false
	for _, b := range ops {
		pl.weight[b] = float64(pl.n.cost[b])
	}
	return c, c < cost
}
