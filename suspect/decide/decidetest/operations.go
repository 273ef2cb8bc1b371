// Package decidetest holds what tests and benchmarks of deciding need: a
// machine that is stripped by a few operations with known precedence, every
// state of which can be listed, and random problems on such machines.
package decidetest

import (
	"container/heap"
	"math"
	"math/bits"

	"elbowroom/suspect/decide"
)

// Operations is a machine that is stripped by operations. A state is the set
// of operations that are done, bit i for operation i; the machine starts with
// none done and must end so. It is a decide.Explicit.
type Operations struct {
	After  []uint32 // After[i]: operations that must be done before i, and undone after i is undone
	Remove []int64  // cost of doing i
	Refit  []int64  // cost of undoing i
	Works  []Work   // by action

	need map[needKey]int64
}

// Work is what an action asks of the machine.
type Work struct {
	Off  uint32 // operations that must be done
	In   uint32 // operations that must not be done
	Shut bool   // no operation may be done
	Cost int64
}

type needKey struct {
	state decide.State
	works string
}

// Copy is a machine of its own with the same operations and works.
func (o *Operations) Copy() *Operations {
	return &Operations{After: o.After, Remove: o.Remove, Refit: o.Refit, Works: o.Works}
}

// Start is the machine with nothing done.
func (o *Operations) Start() decide.State { return 0 }

// States is the number of sets of operations; some cannot be reached.
func (o *Operations) States() int { return 1 << len(o.After) }

func (o *Operations) stands(s uint32) bool {
	for i, a := range o.After {
		if s>>i&1 == 1 && a&^s != 0 {
			return false
		}
	}
	return true
}

// Steps does or undoes one operation.
func (o *Operations) Steps(s decide.State) []decide.Move {
	var steps []decide.Move
	if !o.stands(uint32(s)) {
		return nil
	}
	for i := range o.After {
		cost := o.Remove[i]
		if uint32(s)>>i&1 == 1 {
			cost = o.Refit[i]
		}
		if to := uint32(s) ^ 1<<i; o.stands(to) {
			steps = append(steps, decide.Move{Cost: cost, After: decide.State(to)})
		}
	}
	return steps
}

// Here prices an action in a state that allows it.
func (o *Operations) Here(s decide.State, a decide.Action) (decide.Move, bool) {
	w := &o.Works[a]
	if w.Off&^uint32(s) != 0 || w.In&uint32(s) != 0 || w.Shut && s != 0 || !o.stands(uint32(s)) {
		return decide.Move{}, false
	}
	return decide.Move{Cost: w.Cost, After: s}, true
}

// Do lists every state in which the action can be done, by the cheapest way
// there.
func (o *Operations) Do(s decide.State, a decide.Action) []decide.Move {
	var moves []decide.Move
	for to, d := range o.far(s) {
		if mv, ok := o.Here(decide.State(to), a); ok && d >= 0 {
			moves = append(moves, decide.Move{Cost: d + mv.Cost, After: mv.After})
		}
	}
	return moves
}

// Close undoes everything.
func (o *Operations) Close(s decide.State) (int64, bool) {
	sum := int64(0)
	for i := range o.After {
		if uint32(s)>>i&1 == 1 {
			sum += o.Refit[i]
		}
	}
	return sum, true
}

// Own is the cost of the action itself.
func (o *Operations) Own(a decide.Action) int64 { return o.Works[a].Cost }

// Access is exact: the least cost of operations on a course that brings about,
// in any order, a state for each of the actions and ends with nothing done.
func (o *Operations) Access(s decide.State, as []decide.Action) int64 {
	if o.need == nil {
		o.need = map[needKey]int64{}
	}
	key := needKey{state: s}
	for _, a := range as {
		key.works += string(rune(a))
	}
	if v, ok := o.need[key]; ok {
		return v
	}
	v := o.tour(s, as)
	o.need[key] = v
	return v
}

type place struct {
	state uint32
	done  uint32
	cost  int64
}

type places []place

func (p places) Len() int           { return len(p) }
func (p places) Less(i, j int) bool { return p[i].cost < p[j].cost }
func (p places) Swap(i, j int)      { p[i], p[j] = p[j], p[i] }
func (p *places) Push(x any)        { *p = append(*p, x.(place)) }
func (p *places) Pop() any {
	old := *p
	x := old[len(old)-1]
	*p = old[:len(old)-1]
	return x
}

// tour is Dijkstra's algorithm over state and actions met so far.
func (o *Operations) tour(s decide.State, as []decide.Action) int64 {
	type at struct{ state, done uint32 }
	all := uint32(1)<<len(as) - 1
	seen := map[at]bool{}
	q := places{{state: uint32(s)}}
	for len(q) > 0 {
		p := heap.Pop(&q).(place)
		for k, a := range as {
			if _, ok := o.Here(decide.State(p.state), a); ok {
				p.done |= 1 << k
			}
		}
		if p.done == all && p.state == 0 {
			return p.cost
		}
		if seen[at{p.state, p.done}] {
			continue
		}
		seen[at{p.state, p.done}] = true
		for _, st := range o.Steps(decide.State(p.state)) {
			heap.Push(&q, place{uint32(st.After), p.done, p.cost + st.Cost})
		}
	}
	return math.MaxInt64 / 4
}

// far is the least cost from s to every state, -1 where there is no way.
func (o *Operations) far(s decide.State) []int64 {
	d := make([]int64, o.States())
	for i := range d {
		d[i] = -1
	}
	if !o.stands(uint32(s)) {
		return d
	}
	for to := range d {
		if !o.stands(uint32(to)) {
			continue
		}
		// Between two sets that stand, undoing what only the first has and then
		// doing what only the second has is always possible and cheapest.
		sum := int64(0)
		for diff := uint32(s) ^ uint32(to); diff != 0; diff &= diff - 1 {
			i := bits.TrailingZeros32(diff)
			if uint32(s)>>i&1 == 1 {
				sum += o.Refit[i]
			} else {
				sum += o.Remove[i]
			}
		}
		d[to] = sum
	}
	return d
}
