package circuit

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Segment is a stretch of a line that no test point divides.
type Segment struct {
	Spots  []Spot
	Weight float64 // how likely the fault is in it, relative to the others
}

// Test is a measuring point between two segments: what is read there tells
// whether the fault lies before it or behind it.
type Test struct {
	At      Point
	Minutes time.Duration
}

// Chain is a line with a single fault somewhere along it. Tests[i] lies between
// Segments[i] and Segments[i+1].
type Chain struct {
	Segments []Segment
	Tests    []Test
}

// Chain cuts a path into the segments between the points that can be reached
// and whose minutes are known. Weight gives the share of a node or wire. The
// error wraps ErrGraph for a weight that is negative or no number.
func (g *Graph) Chain(p Path, weight func(Spot) float64, minutes Minutes) (Chain, error) {
	var c Chain
	open := Segment{}
	for i, spot := range p.Spots {
		w := weight(spot)
		if !(w >= 0) || math.IsInf(w, 1) {
			return Chain{}, fmt.Errorf("%w: the share of %s is %v; zero or above", ErrGraph, g.SaySpot(spot), w)
		}
		open.Spots = append(open.Spots, spot)
		open.Weight += w
		at := p.Points[i+1]
		if i == len(p.Spots)-1 || !g.Reachable(at) {
			continue
		}
		took, ok := minutes(g.Nodes[at.Node].On)
		if !ok {
			continue
		}
		c.Segments = append(c.Segments, open)
		c.Tests = append(c.Tests, Test{at, max(0, took)})
		open = Segment{}
	}
	if len(open.Spots) > 0 {
		c.Segments = append(c.Segments, open)
	}
	c.Tests = c.Tests[:max(0, len(c.Segments)-1)]
	return c, nil
}

// Cut is one test of a splitting and what follows it: Before when the fault
// lies before the test point, After when behind. A nil Cut is a single segment.
type Cut struct {
	Test          int // of the chain
	First, Last   int // segments still in question
	Before, After *Cut
}

// Splitting is the best order of tests along a chain.
type Splitting struct {
	First    *Cut          // nil when there is nothing to test
	Expected time.Duration // mean of the minutes until one segment is left
	Worst    time.Duration
}

// Split returns the order of tests that finds the faulty segment with the
// least expected minutes, exactly, by dynamic programming over the stretches of
// the chain. Each test costs its minutes each time it comes to it; work that
// two tests share is not known here. Segments without weight cannot hold the
// fault; when none has weight all count alike. Of equally good tests the one
// that halves the weight better is taken, then the first. The cost is n³/6
// steps for n segments.
func (c Chain) Split() Splitting {
	n := len(c.Segments)
	if n < 2 || len(c.Tests) != n-1 {
		return Splitting{}
	}
	s := newSplitter(c)
	for size := 2; size <= n; size++ {
		for i := 0; i+size <= n; i++ {
			s.settle(i, i+size-1)
		}
	}
	out := Splitting{First: s.cut(0, n-1)}
	if total := s.sum[n] - s.sum[0]; total > 0 {
		out.Expected = time.Duration(math.Round(s.cost[0][n-1] / total))
	}
	out.Worst = c.worst(out.First)
	return out
}

// splitter holds the least cost (weight times nanoseconds) of every stretch.
type splitter struct {
	chain Chain
	sum   []float64 // weights before each segment
	cost  [][]float64
	best  [][]int // test, -1 for none needed
}

func newSplitter(c Chain) *splitter {
	n := len(c.Segments)
	s := &splitter{chain: c, sum: make([]float64, n+1), cost: matrix(n, n), best: make([][]int, n)}
	none := !slices.ContainsFunc(c.Segments, func(g Segment) bool { return g.Weight > 0 })
	for i, g := range c.Segments {
		w := g.Weight
		if none {
			w = 1
		}
		s.sum[i+1] = s.sum[i] + w
		s.best[i] = make([]int, n)
		for k := range s.best[i] {
			s.best[i][k] = -1
		}
	}
	return s
}

// weighing reports whether at least two segments of a stretch have weight.
func (s *splitter) weighing(i, j int) bool {
	count := 0
	for k := i; k <= j; k++ {
		if s.sum[k+1] > s.sum[k] {
			count++
		}
	}
	return count > 1
}

func (s *splitter) settle(i, j int) {
	if !s.weighing(i, j) {
		return
	}
	weight := s.sum[j+1] - s.sum[i]
	least, uneven := math.Inf(1), math.Inf(1)
	for k := i; k < j; k++ {
		if s.sum[k+1] == s.sum[i] || s.sum[j+1] == s.sum[k+1] {
			continue // tells nothing
		}
		cost := weight*float64(s.chain.Tests[k].Minutes) + s.cost[i][k] + s.cost[k+1][j]
		odd := math.Abs(2*(s.sum[k+1]-s.sum[i]) - weight)
		if cost < least || cost == least && odd < uneven {
			least, uneven, s.best[i][j] = cost, odd, k
		}
	}
	s.cost[i][j] = least
}

func (s *splitter) cut(i, j int) *Cut {
	k := s.best[i][j]
	if k < 0 {
		return nil
	}
	return &Cut{Test: k, First: i, Last: j, Before: s.cut(i, k), After: s.cut(k+1, j)}
}

func (c Chain) worst(t *Cut) time.Duration {
	if t == nil {
		return 0
	}
	return c.Tests[t.Test].Minutes + max(c.worst(t.Before), c.worst(t.After))
}
