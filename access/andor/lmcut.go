package andor

import "math"

// never is the distance of a fact that cannot be reached.
const never = int64(math.MaxInt64 / 4)

// cutter computes landmarks of a net by repeated cuts in the cheapest-cost
// graph: the max-cost distance of each fact gives each op one decisive
// precondition; the ops that enter the zone from which the goal is free of
// charge form a landmark, whose cheapest op gives the weight (Helmert and
// Domshlak 2009).
type cutter struct {
	n       *net
	left    []int64 // remaining cost by op
	dist    []int64 // by fact
	opDist  []int64 // by op: largest distance of its preconditions
	missing []int32
	support []int32 // by op: decisive precondition, -1 when there is none
	zone    []bool  // by fact: the goal follows at no further cost
	reached []bool
	by      []int32     // by fact: the op that gives its distance
	stop    func() bool // may be nil; ends the cutting early
	heap    factHeap[int64]
	stack   []int32
}

func newCutter(n *net) *cutter {
	return &cutter{
		n: n, left: make([]int64, len(n.cost)), dist: make([]int64, n.facts),
		opDist: make([]int64, len(n.cost)), missing: make([]int32, len(n.cost)),
		support: make([]int32, len(n.cost)), zone: make([]bool, n.facts), reached: make([]bool, n.facts),
		by: make([]int32, n.facts),
	}
}

// run fills in left from cost, where an op of cost [never] cannot be used,
// and cuts until the goal is free. It returns the sum of the weights, or
// [never] when the goal cannot be reached, and calls cut for each landmark.
// Stopped early, it returns the sum so far.
func (c *cutter) run(cost []int64, cut func(ops []int32, weight int64)) int64 {
	copy(c.left, cost)
	sum := c.certain(cut)
	var ops []int32
	c.distances()
	for {
		d := c.dist[c.n.goal]
		if d >= never {
			return never
		}
		if d == 0 || c.stop != nil && c.stop() {
			return sum
		}
		c.markZone()
		ops = c.entering(ops[:0])
		w := c.left[ops[0]]
		for _, a := range ops {
			w = min(w, c.left[a])
		}
		sum += w
		cut(ops, w)
		for _, a := range ops {
			c.left[a] -= w
			c.offer(a, c.opDist[a]+c.left[a])
		}
		c.lower()
	}
}

// certain cuts at every op that alone makes the goal or a precondition of
// another such op: each is a landmark by itself, whatever else is done. Long
// chains come apart in linear time so. It returns the sum of the weights.
func (c *cutter) certain(cut func(ops []int32, weight int64)) int64 {
	n, sum := c.n, int64(0)
	clear(c.reached)
	c.reached[n.goal] = true
	c.stack = append(c.stack[:0], n.goal)
	for len(c.stack) > 0 {
		f := c.stack[len(c.stack)-1]
		c.stack = c.stack[:len(c.stack)-1]
		makers := n.makes.of(f)
		if len(makers) != 1 || c.left[makers[0]] >= never {
			continue
		}
		if w := c.left[makers[0]]; w > 0 {
			sum += w
			c.left[makers[0]] = 0
			cut(makers, w)
		}
		for _, p := range n.pre.of(makers[0]) {
			if !c.reached[p] {
				c.reached[p] = true
				c.stack = append(c.stack, p)
			}
		}
	}
	return sum
}

// distances computes the max-cost distance of all facts and the decisive
// precondition of every op, under the remaining costs.
func (c *cutter) distances() {
	n := c.n
	for f := range c.dist {
		c.dist[f] = never
	}
	c.heap.reset(n.facts)
	for a := range c.left {
		k := n.pre.at[a+1] - n.pre.at[a]
		c.missing[a], c.support[a], c.opDist[a] = k, -1, never
		if k == 0 {
			c.opDist[a] = 0
			c.offer(int32(a), c.left[a])
		}
	}
	for !c.heap.empty() {
		f := c.heap.pop(c.dist)
		for _, a := range n.users.of(f) {
			if c.missing[a]--; c.missing[a] == 0 {
				c.support[a], c.opDist[a] = f, c.dist[f]
				c.offer(a, c.dist[f]+c.left[a])
			}
		}
	}
}

// lower spreads the distances that have been offered: when the decisive
// precondition of an op has come nearer, the op may be possible at less.
func (c *cutter) lower() {
	n := c.n
	for !c.heap.empty() {
		f := c.heap.pop(c.dist)
		for _, a := range n.users.of(f) {
			if c.support[a] != f || c.opDist[a] == c.dist[f] {
				continue
			}
			far := f
			for _, p := range n.pre.of(a) {
				if c.dist[p] > c.dist[far] {
					far = p
				}
			}
			c.support[a], c.opDist[a] = far, c.dist[far]
			c.offer(a, c.dist[far]+c.left[a])
		}
	}
}

// offer lowers the distance of the fact that op a adds to d, if d is less.
func (c *cutter) offer(a int32, d int64) {
	if f := c.n.adds[a]; d < c.dist[f] {
		c.dist[f], c.by[f] = d, a
		c.heap.push(f, c.dist)
	}
}

// markZone marks the facts from which the goal follows through free ops along
// decisive preconditions.
func (c *cutter) markZone() {
	clear(c.zone)
	c.zone[c.n.goal] = true
	c.stack = append(c.stack[:0], c.n.goal)
	for len(c.stack) > 0 {
		f := c.stack[len(c.stack)-1]
		c.stack = c.stack[:len(c.stack)-1]
		for _, a := range c.n.makes.of(f) {
			s := c.support[a]
			if c.left[a] == 0 && s >= 0 && !c.zone[s] {
				c.zone[s] = true
				c.stack = append(c.stack, s)
			}
		}
	}
}

// entering returns the ops through which the zone can be entered first: all
// their preconditions can hold while no fact of the zone does.
func (c *cutter) entering(ops []int32) []int32 {
	n := c.n
	clear(c.reached)
	c.stack = c.stack[:0]
	fire := func(a int32) {
		f := n.adds[a]
		if c.left[a] >= never {
			return
		}
		if c.zone[f] {
			ops = append(ops, a)
		} else if !c.reached[f] {
			c.reached[f] = true
			c.stack = append(c.stack, f)
		}
	}
	for a := range c.missing {
		if c.missing[a] = n.pre.at[a+1] - n.pre.at[a]; c.missing[a] == 0 {
			fire(int32(a))
		}
	}
	for len(c.stack) > 0 {
		f := c.stack[len(c.stack)-1]
		c.stack = c.stack[:len(c.stack)-1]
		for _, a := range n.users.of(f) {
			if c.missing[a]--; c.missing[a] == 0 {
				fire(a)
			}
		}
	}
	return ops
}
