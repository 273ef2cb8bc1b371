package circuit

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"elbowroom/guide"
)

// brute returns the least expected nanoseconds times weight over all orders of
// tests, by trying every test everywhere, without remembering anything.
func brute(c Chain, i, j int) float64 {
	weight, weighing := 0.0, 0
	for k := i; k <= j; k++ {
		weight += c.Segments[k].Weight
		if c.Segments[k].Weight > 0 {
			weighing++
		}
	}
	if weighing < 2 {
		return 0
	}
	least := math.Inf(1)
	for k := i; k < j; k++ {
		least = min(least, weight*float64(c.Tests[k].Minutes)+brute(c, i, k)+brute(c, k+1, j))
	}
	return least
}

func anyChain(rnd *rand.Rand) Chain {
	var c Chain
	for i := range 1 + rnd.IntN(9) {
		w := float64(rnd.IntN(20))
		c.Segments = append(c.Segments, Segment{Weight: w})
		if i > 0 {
			c.Tests = append(c.Tests, Test{Minutes: time.Duration(rnd.IntN(40)) * time.Minute})
		}
	}
	return c
}

// expected walks the tree and sums what each segment costs to find.
func expected(c Chain, t *Cut, i, j int) (sum float64, leaves int) {
	if t == nil {
		return 0, 1
	}
	weight := 0.0
	for k := i; k <= j; k++ {
		weight += c.Segments[k].Weight
	}
	a, x := expected(c, t.Before, i, t.Test)
	b, y := expected(c, t.After, t.Test+1, j)
	return weight*float64(c.Tests[t.Test].Minutes) + a + b, x + y
}

// TestSplitAgainstBruteForce: the optimum, and a tree that costs what it says.
func TestSplitAgainstBruteForce(t *testing.T) {
	const cases = 3000
	for seed := range uint64(cases) {
		c := anyChain(rand.New(rand.NewPCG(seed, 3)))
		total, weighing := 0.0, 0
		for _, s := range c.Segments {
			total += s.Weight
			if s.Weight > 0 {
				weighing++
			}
		}
		got := c.Split()
		if total == 0 {
			continue // all alike, see TestSplitWithoutWeights
		}
		want := brute(c, 0, len(c.Segments)-1)
		if math.Abs(float64(got.Expected)-want/total) > 1 {
			t.Fatalf("seed %d: %v, brute force %v", seed, got.Expected, time.Duration(want/total))
		}
		sum, leaves := expected(c, got.First, 0, len(c.Segments)-1)
		if math.Abs(sum-want) > 1e-6*want || leaves != max(1, weighing) {
			t.Fatalf("seed %d: the tree costs %v and ends at %d leaves, want %v and %d", seed, sum, leaves, want, weighing)
		}
	}
}

// TestSplitEvenly: with tests that cost alike and weights alike the worst case
// is that of halving, ⌈log₂ n⌉ tests.
func TestSplitEvenly(t *testing.T) {
	for n := 1; n <= 33; n++ {
		c := Chain{Segments: make([]Segment, n), Tests: make([]Test, n-1)}
		for i := range c.Tests {
			c.Tests[i].Minutes = time.Minute
		}
		if got := c.Split().Worst; got != time.Duration(math.Ceil(math.Log2(float64(n))))*time.Minute {
			t.Errorf("%d segments: %v at worst", n, got)
		}
	}
	if s := (Chain{Segments: make([]Segment, 3)}).Split(); s.First != nil {
		t.Error("a chain without tests was split")
	}
}

// TestSplitFuelPump: on the feed of the fuel pump the fuse, three minutes away,
// comes first although it does not halve the weight.
func TestSplitFuelPump(t *testing.T) {
	g := wired(t, "fuel-pump")
	path, err := g.Main(g.must(t, "fuel-pump.pump", SupplySide).Node)
	if err != nil {
		t.Fatal(err)
	}
	weight := func(s Spot) float64 {
		if s.Node >= 0 && g.Nodes[s.Node].Sort == guide.LoadNode {
			return 0
		}
		return 1
	}
	c, err := g.Chain(path, weight, minutesTo)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Tests) != len(c.Segments)-1 || len(c.Tests) < 5 {
		t.Fatalf("%d tests for %d segments", len(c.Tests), len(c.Segments))
	}
	spots := 0
	for _, s := range c.Segments {
		spots += len(s.Spots)
	}
	if spots != len(path.Spots) {
		t.Errorf("%d of %d spots are in a segment", spots, len(path.Spots))
	}
	first := c.Split().First
	if on := g.Nodes[c.Tests[first.Test].At.Node].On; on != "EL05" {
		t.Errorf("first at %s", on)
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := g.Chain(path, func(Spot) float64 { return bad }, minutesTo); !errors.Is(err, ErrGraph) {
			t.Errorf("weight %v: %v", bad, err)
		}
	}
}

func BenchmarkSplit(b *testing.B) {
	for _, n := range []int{20, 200} {
		c := Chain{Segments: make([]Segment, n), Tests: make([]Test, n-1)}
		for i := range c.Tests {
			c.Segments[i].Weight, c.Tests[i].Minutes = float64(i%7), time.Duration(1+i%13)*time.Minute
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if c.Split().First == nil {
					b.Fatal("not split")
				}
			}
		})
	}
}
