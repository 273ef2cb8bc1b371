// Package andortest draws problems for measuring and checking package andor,
// and runs general-purpose solvers on them for comparison.
//
// Two families are drawn, both from seeds, so that any figure can be
// repeated. [EngineLike] is shallow and local, as real machines are: most
// items come off in one way, what is in the way is near, and a few cheap
// conditions are shared by many. [Hard] is made to be hard: deep layers, up to
// four ways of clearing each item, each needing up to three items of earlier
// layers, and several tasks over the deepest layers, so that the ways interact
// everywhere.
//
// In both, an item is cleared by one operation for each of its ways; its cost
// is the minutes out and back for that way in milliseconds. A task is one more
// operation, adding the goal.
//
// Seeds below [FreshSeeds] were used while tuning; seeds from FreshSeeds on
// are kept for evaluation.
package andortest

import (
	"math"
	"math/rand/v2"

	"elbowroom/access/andor"
)

// FreshSeeds is the first seed that was never used for tuning.
const FreshSeeds = 1_000_000

// msPerMinute turns minutes into the integer cost unit.
const msPerMinute = 60_000

// Family is one way of drawing problems.
type Family struct {
	Name string
	Draw func(items int, seed uint64) *andor.Problem
}

// Families lists the families in the order of the tables.
func Families() []Family {
	return []Family{{"engine-like", EngineLike}, {"hard", Hard}}
}

type generator struct {
	r *rand.Rand
	p *andor.Problem
}

func newGenerator(items int, seed, stream uint64) *generator {
	return &generator{r: rand.New(rand.NewPCG(seed, stream)), p: &andor.Problem{Facts: items}}
}

// minutes draws out-and-back minutes in tenths from low to high.
func (g *generator) minutes(low, high float64) int64 {
	tenths := math.Round((low + (high-low)*g.r.Float64()) * 10)
	return int64(tenths) * msPerMinute / 10
}

func (g *generator) fact() int32 {
	g.p.Facts++
	return int32(g.p.Facts - 1)
}

func (g *generator) op(cost int64, pre []int32, add int32) {
	g.p.Ops = append(g.p.Ops, andor.Op{Cost: cost, Pre: pre, Add: []int32{add}})
}

// task adds a task that needs the given items and makes it a goal.
func (g *generator) task(pre []int32) {
	f := g.fact()
	g.op(g.minutes(3, 20), pre, f)
	g.p.Goals = append(g.p.Goals, f)
}

// pick returns count different values of from, fewer if there are not enough.
func (g *generator) pick(from []int32, count int) []int32 {
	from = append([]int32(nil), from...)
	count = min(count, len(from))
	for i := range count {
		j := i + g.r.IntN(len(from)-i)
		from[i], from[j] = from[j], from[i]
	}
	return from[:count]
}

// Hard draws items in about items^0.37 layers: 4 for 30, 8 for 300, 19 for 3,000. Each item of a layer after the
// first has one to four ways, each needing one to three items of the three
// layers before, the nearest layer most often. Two to six tasks need one or
// two items each of the deepest quarter.
func Hard(items int, seed uint64) *andor.Problem {
	g := newGenerator(items, seed, 2)
	layers := max(4, int(math.Round(math.Pow(float64(items), 0.37))))
	layerAt := func(k int) int { return k * items / layers }
	for k := range layers {
		for i := layerAt(k); i < layerAt(k+1); i++ {
			if k == 0 {
				g.op(g.minutes(1, 20), nil, int32(i))
				continue
			}
			for range 1 + g.r.IntN(4) {
				var from []int32
				for range 1 + g.r.IntN(3) {
					back := 1 + g.r.IntN(2)*g.r.IntN(3)
					b := max(0, k-back)
					from = append(from, int32(layerAt(b)+g.r.IntN(layerAt(b+1)-layerAt(b))))
				}
				g.op(g.minutes(1, 20), from, int32(i))
			}
		}
	}
	var deep []int32
	for i := items - items/4; i < items; i++ {
		deep = append(deep, int32(i))
	}
	for range 2 + g.r.IntN(5) {
		g.task(g.pick(deep, 1+g.r.IntN(2)))
	}
	return g.p
}

// conditions is the number of cheap shared conditions of an engine-like
// problem.
const conditions = 12

// depthOf draws how deep an engine-like item sits, from 0 to 4.
func (g *generator) depthOf() int { return []int{0, 0, 1, 1, 1, 2, 2, 3, 3, 4}[g.r.IntN(10)] }

// EngineLike draws items along a line, each at a depth of 0 to 4. An item
// needs up to three nearby items of lesser depth; six in ten have one way,
// three in ten two, one in ten three. One op in six also needs one of twelve
// shared conditions. One to six tasks need one to three nearby items.
func EngineLike(items int, seed uint64) *andor.Problem {
	g := newGenerator(items, seed, 1)
	var cond []int32
	for i := range conditions {
		f := g.fact()
		var pre []int32
		if i >= conditions/2 && g.r.IntN(3) == 0 {
			pre = []int32{cond[g.r.IntN(conditions/2)]}
		}
		g.op(g.minutes(0.2, 4), pre, f)
		cond = append(cond, f)
	}
	depth := make([]int, items)
	for i := range depth {
		depth[i] = g.depthOf()
	}
	for i := range items {
		for range []int{1, 1, 1, 1, 1, 1, 2, 2, 2, 3}[g.r.IntN(10)] {
			pre := g.pick(g.near(depth, i), g.r.IntN(4))
			if g.r.IntN(6) == 0 {
				pre = append(pre, cond[g.r.IntN(conditions)])
			}
			g.op(g.minutes(1, 30), pre, int32(i))
		}
	}
	for range 1 + g.r.IntN(6) {
		g.task(g.pick(g.near(depth, g.r.IntN(items)), 1+g.r.IntN(3)))
	}
	return g.p
}

// reachOfHand is how far away along the line an item can be in the way.
const reachOfHand = 8

// near returns the items within reach of item i that are less deep, or item i
// itself when there is none and it is asked for a task.
func (g *generator) near(depth []int, i int) []int32 {
	var list []int32
	for j := max(0, i-reachOfHand); j <= min(len(depth)-1, i+reachOfHand); j++ {
		if depth[j] < depth[i] {
			list = append(list, int32(j))
		}
	}
	return list
}

// Cyclic draws a small problem whose items need each other in circles: every
// op needs up to two items anywhere, adds one or two, and every item can
// also be cleared from the start at a price. All goals can be reached.
func Cyclic(items int, seed uint64) *andor.Problem {
	g := newGenerator(items, seed, 3)
	any := func(most int) []int32 {
		var list []int32
		for range 1 + g.r.IntN(most) {
			list = append(list, int32(g.r.IntN(items)))
		}
		return list
	}
	for i := range items {
		g.p.Ops = append(g.p.Ops, andor.Op{Cost: g.minutes(0, 9), Pre: any(2), Add: append(any(1), int32(i))})
		g.op(g.minutes(1, 9), any(2), int32(i))
		g.op(g.minutes(20, 60), nil, int32(i))
	}
	g.p.Goals = any(3)
	return g.p
}
