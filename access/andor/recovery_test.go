package andor

import (
	"math"
	"testing"
)

// Two published problems of taking products apart for what their parts are
// worth are AND/OR choices in disguise: a node is realised either as it is or
// by opening it, which realises its parts. Profits become costs by an offset
// per node that is large enough to keep every operation's cost above zero:
// realising node i costs offset(i) minus its worth.

// opening is one way of opening a node: what is earned and spent at once, and
// the parts that must then be realised, each with its share.
type opening struct {
	earn  float64
	parts []recoverable
}

// recoverable is one node in one context; share weighs its worth.
type recoverable struct {
	share    float64
	asIs     []float64 // what it is worth unopened, by option
	openings []opening
}

// scale makes the weights of the worked examples whole numbers.
const scale = 1_000_000

// recoveryProblem compiles the tree under root; offset is added back to get
// the worth: worth = offset - optimal cost.
func recoveryProblem(root recoverable) (p *Problem, offset float64) {
	p = &Problem{}
	var add func(n recoverable) (fact int32, offset float64)
	add = func(n recoverable) (int32, float64) {
		type opened struct {
			earn, sub float64
			facts     []int32
		}
		var all []opened
		highest := math.Inf(-1)
		for _, o := range n.openings {
			x := opened{earn: o.earn * n.share}
			for _, part := range o.parts {
				f, k := add(part)
				x.facts = append(x.facts, f)
				x.sub += k
			}
			highest = math.Max(highest, x.earn+x.sub)
			all = append(all, x)
		}
		for _, v := range n.asIs {
			highest = math.Max(highest, v*n.share)
		}
		fact := int32(p.Facts)
		p.Facts++
		for _, v := range n.asIs {
			p.Ops = append(p.Ops, Op{Cost: int64(math.Round((highest - v*n.share) * scale)), Add: []int32{fact}})
		}
		for _, x := range all {
			p.Ops = append(p.Ops, Op{Cost: int64(math.Round((highest - x.earn - x.sub) * scale)), Pre: x.facts, Add: []int32{fact}})
		}
		return fact, highest
	}
	goal, offset := add(root)
	p.Goals = []int32{goal}
	return p, offset
}

func worth(t *testing.T, root recoverable) float64 {
	t.Helper()
	p, offset := recoveryProblem(root)
	r := Solve(p, Limits{})
	if r.Outcome != Optimal {
		t.Fatalf("outcome %v, want optimal", r.Outcome)
	}
	return offset - float64(r.Cost)/scale
}

func sold(v float64) recoverable { return recoverable{share: 1, asIs: []float64{v}} }

func times(n int, r recoverable) []recoverable {
	out := make([]recoverable, n)
	for i := range out {
		out[i] = r
	}
	return out
}

// TestDisassemblyForComponents: Meacham et al. 1999, Example 1, with r2 = 40
// and r3 = 50 as in its running text (its Table 1 is also met with 140 and
// 150); published node values 6: 18, 5: 173, root 423.5.
func TestDisassemblyForComponents(t *testing.T) {
	// A part freed from node 5 or 6 costs its own release, 5 each.
	six := recoverable{share: 1, asIs: []float64{15}, openings: []opening{
		{earn: 3, parts: append(times(2, sold(10-5)), sold(10-5))},
	}}
	five := recoverable{share: 1, asIs: []float64{135}, openings: []opening{
		{earn: 3, parts: append(times(4, sold(25-5)), sold(50-5), sold(50-5))},
	}}
	two := recoverable{share: 1, asIs: []float64{40}, openings: []opening{
		{earn: -7.5, parts: []recoverable{sold(20), sold(4), sold(8)}},
	}}
	root := recoverable{share: 1, asIs: []float64{400}, openings: []opening{
		{earn: -7.5, parts: []recoverable{two, sold(50), sold(150), five, six}},
	}}
	for _, c := range []struct {
		name string
		node recoverable
		want float64
	}{
		{"node 6 is opened", six, 18},
		{"node 5 is opened", five, 173},
		{"node 2 is kept whole", two, 40},
		{"the product is opened", root, 423.5},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := worth(t, c.node); math.Abs(got-c.want) > 1e-6 {
				t.Errorf("worth %g, published %g", got, c.want)
			}
		})
	}
}

// class is the quality of a part.
type class int

const (
	high class = iota
	low
)

// subpart is a part that comes free, with its chance of being of high quality
// after careful work on a parent of high and of low quality.
type subpart struct {
	made   func(q class, share float64) recoverable
	ifHigh float64
	ifLow  float64
}

// freed returns both outcomes of a part's quality, each with its share. Rough
// work always leaves low quality.
func (s subpart) freed(parent class, careful bool, share float64) []recoverable {
	p := 0.0
	switch {
	case careful && parent == high:
		p = s.ifHigh
	case careful:
		p = s.ifLow
	}
	return []recoverable{s.made(high, share*p), s.made(low, share*(1-p))}
}

// TestRecoveryUnderUncertainQuality: Teunter, Omega 34 (2006), Tables 2-5:
// f(3,high)=8, f(3,low)=5, f(1,high)=2.7, f(1,low)=2.
func TestRecoveryUnderUncertainQuality(t *testing.T) {
	leaf := func(always []float64, ifHigh float64) func(class, float64) recoverable {
		return func(q class, share float64) recoverable {
			worth := always
			if q == high && ifHigh > 0 {
				worth = append(append([]float64{}, always...), ifHigh)
			}
			return recoverable{share: share, asIs: worth}
		}
	}
	two := subpart{leaf([]float64{-1, 2}, 0), .7, .5}
	four := subpart{leaf([]float64{-1, 1}, 5), .9, .6}
	five := subpart{leaf([]float64{2, 1}, 10), .8, .4}
	// A choice is what can be taken off: the best worth of the remainder, what
	// rough and careful work cost, and the parts that come free.
	type choice struct {
		remainder, rough, careful float64
		parts                     []subpart
	}
	node := func(asIs []float64, choices []choice) func(class, float64) recoverable {
		return func(q class, share float64) recoverable {
			n := recoverable{share: share, asIs: asIs}
			for _, c := range choices {
				for _, careful := range []bool{false, true} {
					o := opening{earn: c.remainder - c.rough}
					if careful {
						o.earn = c.remainder - c.careful
					}
					for _, part := range c.parts {
						o.parts = append(o.parts, part.freed(q, careful, share)...)
					}
					n.openings = append(n.openings, o)
				}
			}
			return n
		}
	}
	makeThree := node([]float64{0, 5}, []choice{
		{4, 1, 3, []subpart{four}}, {3, 1, 4, []subpart{five}}, {1, 2, 6, []subpart{four, five}},
	})
	three := subpart{makeThree, .9, .6}
	makeOne := node([]float64{-4}, []choice{
		{-3, 1, 2, []subpart{two}}, {-3, 2, 4, []subpart{three}}, {-2, 3, 5, []subpart{two, three}},
	})
	for _, c := range []struct {
		name string
		node recoverable
		want float64
	}{
		{"part 3 of high quality", makeThree(high, 1), 8},
		{"part 3 of low quality", makeThree(low, 1), 5},
		{"product of high quality", makeOne(high, 1), 2.7},
		{"product of low quality", makeOne(low, 1), 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := worth(t, c.node); math.Abs(got-c.want) > 1e-6 {
				t.Errorf("worth %g, published %g", got, c.want)
			}
		})
	}
}
