package andor

// components numbers the strongly connected components of the nodes that can
// be reached from roots, from 1, a component after all components it can
// reach; nodes not reached have 0. next calls visit for each successor.
// Cost: linear, without recursion (Tarjan 1972).
func components(nodes int, roots []int32, next func(node int32, visit func(int32))) []int32 {
	t := tarjan{
		group: make([]int32, nodes), low: make([]int32, nodes), order: make([]int32, nodes),
		next: next,
	}
	for _, r := range roots {
		if t.order[r] == 0 {
			t.walk(r)
		}
	}
	return t.group
}

type tarjan struct {
	group, low, order []int32
	next              func(int32, func(int32))
	open, todo        []int32
	count, groups     int32
}

// frame is a node under way with its successors still to be looked at.
type frame struct {
	node int32
	from int // start of its successors in todo
}

func (t *tarjan) walk(root int32) {
	frames := []frame{t.enter(root)}
	for len(frames) > 0 {
		top := frames[len(frames)-1]
		if len(t.todo) > top.from {
			s := t.todo[len(t.todo)-1]
			t.todo = t.todo[:len(t.todo)-1]
			if t.order[s] == 0 {
				frames = append(frames, t.enter(s))
			} else if t.group[s] == 0 {
				t.low[top.node] = min(t.low[top.node], t.order[s])
			}
			continue
		}
		frames = frames[:len(frames)-1]
		t.leave(top.node)
		if len(frames) > 0 {
			up := frames[len(frames)-1].node
			t.low[up] = min(t.low[up], t.low[top.node])
		}
	}
}

func (t *tarjan) enter(f int32) frame {
	t.count++
	t.order[f], t.low[f] = t.count, t.count
	t.open = append(t.open, f)
	fr := frame{node: f, from: len(t.todo)}
	t.next(f, func(s int32) { t.todo = append(t.todo, s) })
	return fr
}

// leave closes the component of f when f is the first node of it.
func (t *tarjan) leave(f int32) {
	if t.low[f] != t.order[f] {
		return
	}
	t.groups++
	for {
		g := t.open[len(t.open)-1]
		t.open = t.open[:len(t.open)-1]
		t.group[g] = t.groups
		if g == f {
			return
		}
	}
}
