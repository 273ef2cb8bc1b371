package andor

// lists is a table of int32 lists stored in one piece: list i is
// item[at[i]:at[i+1]].
type lists struct {
	at   []int32
	item []int32
}

func (l *lists) of(i int32) []int32 { return l.item[l.at[i]:l.at[i+1]] }

// invert returns, for every value v < n, the ascending list of the indexes of
// the lists of l that contain v.
func (l *lists) invert(n int) lists {
	inv := lists{at: make([]int32, n+1), item: make([]int32, len(l.item))}
	for _, v := range l.item {
		inv.at[v+1]++
	}
	for v := range n {
		inv.at[v+1] += inv.at[v]
	}
	fill := make([]int32, n)
	for i := range len(l.at) - 1 {
		for _, v := range l.of(int32(i)) {
			inv.item[inv.at[v]+fill[v]] = int32(i)
			fill[v]++
		}
	}
	return inv
}

// graph is a problem in compressed form, without repeated facts in a list.
type graph struct {
	facts int
	cost  []int64
	pre   lists // by op
	add   lists // by op
	users lists // by fact: the ops that need it
	makes lists // by fact: the ops that add it
	start []int32
}

func newGraph(p *Problem) *graph {
	g := &graph{facts: p.Facts, cost: make([]int64, len(p.Ops)), start: p.Start}
	seen := make([]int32, p.Facts)
	mark := int32(0)
	appendUnique := func(l *lists, facts []int32) {
		mark++
		for _, f := range facts {
			if seen[f] != mark {
				seen[f] = mark
				l.item = append(l.item, f)
			}
		}
		l.at = append(l.at, int32(len(l.item)))
	}
	g.pre.at = append(g.pre.at, 0)
	g.add.at = append(g.add.at, 0)
	for i := range p.Ops {
		g.cost[i] = p.Ops[i].Cost
		appendUnique(&g.pre, p.Ops[i].Pre)
		appendUnique(&g.add, p.Ops[i].Add)
	}
	g.users = g.pre.invert(p.Facts)
	g.makes = g.add.invert(p.Facts)
	return g
}

// reach computes which facts can be made to hold by the ops that may be used.
// It returns them and the number of preconditions of each op still missing.
func (g *graph) reach(may []bool, start []int32) (holds []bool, missing []int32) {
	holds = make([]bool, g.facts)
	missing = make([]int32, len(g.cost))
	queue := make([]int32, 0, g.facts)
	set := func(f int32) {
		if !holds[f] {
			holds[f] = true
			queue = append(queue, f)
		}
	}
	for _, f := range g.start {
		set(f)
	}
	for _, f := range start {
		set(f)
	}
	for a := range missing {
		missing[a] = g.pre.at[a+1] - g.pre.at[a]
		if missing[a] == 0 && may[a] {
			for _, f := range g.add.of(int32(a)) {
				set(f)
			}
		}
	}
	for head := 0; head < len(queue); head++ {
		for _, a := range g.users.of(queue[head]) {
			if missing[a]--; missing[a] == 0 && may[a] {
				for _, f := range g.add.of(a) {
					set(f)
				}
			}
		}
	}
	return holds, missing
}
