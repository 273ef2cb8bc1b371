package suspect

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/guide"
)

// brute is Bayes' rule over all worlds of up to three faults, written out from
// the definitions in the package comment and nothing else: it enumerates which
// causes act instead of multiplying.
type brute struct {
	rates  []float64 // of each fault; the unlisted suspect last
	worlds []uint    // sets of faults as bits
	weight []float64
}

func newBrute(g *guide.Guide, a Assumptions) *brute {
	n := len(g.Faults)
	sum := 0.0
	for _, f := range g.Faults {
		sum += f.Weight
	}
	b := &brute{}
	for _, f := range g.Faults {
		b.rates = append(b.rates, f.Weight/sum*(1-a.Unlisted.Middle)*a.Further.Middle)
	}
	b.rates = append(b.rates, a.Unlisted.Middle*a.Further.Middle)
	for w := uint(1); w < 1<<(n+1); w++ {
		p, size := 1.0, 0
		for h := range b.rates {
			if w>>h&1 == 1 {
				p *= b.rates[h]
				size++
			}
		}
		if size <= 3 {
			b.worlds = append(b.worlds, w)
			b.weight = append(b.weight, p)
		}
	}
	return b
}

// times multiplies by the likelihood of one sign. For a sign known at arrival
// the world of nothing but the unlisted suspect gets at least the average of
// the worlds without it.
func (b *brute) times(opening bool, like func(world uint) float64) {
	other := uint(1) << (len(b.rates) - 1)
	sum, mean := 0.0, 0.0
	for i, w := range b.worlds {
		if w&other == 0 {
			sum += b.weight[i]
			mean += b.weight[i] * like(w)
		}
	}
	for i, w := range b.worlds {
		l := like(w)
		if opening && w == other && sum > 0 {
			l = max(l, mean/sum)
		}
		b.weight[i] *= l
	}
}

// shares returns what is present now: repaired are the faults taken out.
func (b *brute) shares(repaired uint) (shares []float64, fixed float64) {
	total := 0.0
	for _, x := range b.weight {
		total += x
	}
	shares = make([]float64, len(b.rates))
	for i, w := range b.worlds {
		for h := range shares {
			if w&^repaired>>h&1 == 1 {
				shares[h] += b.weight[i] / total
			}
		}
		if w&^repaired == 0 {
			fixed += b.weight[i] / total
		}
	}
	return shares, fixed
}

// or is the probability that at least one of some independent causes acts,
// added up over every pattern of acting causes.
func or(causes []float64) float64 {
	sum := 0.0
	for pattern := 1; pattern < 1<<len(causes); pattern++ {
		p := 1.0
		for i, q := range causes {
			if pattern>>i&1 == 1 {
				p *= q
			} else {
				p *= 1 - q
			}
		}
		sum += p
	}
	return sum
}

// failing returns the distribution over the sets of parts that fail in a
// world: every cause present draws a set, the leak one of its own for each
// part, and the union fails.
func failing(n int, causes []partCause, leak float64) []float64 {
	dist := make([]float64, 1<<n)
	dist[0] = 1
	mix := func(draw []float64) {
		next := make([]float64, 1<<n)
		for have, p := range dist {
			for more, q := range draw {
				next[have|more] += p * q
			}
		}
		dist = next
	}
	for part := range n {
		draw := make([]float64, 1<<n)
		l := 1 - math.Pow(1-leak, 1/float64(n))
		draw[0], draw[1<<part] = 1-l, l
		mix(draw)
	}
	for _, c := range causes {
		draw := make([]float64, 1<<n)
		draw[0] = 1 - c.q
		reach := onesOf(c.hits)
		for set := 1; set < 1<<n; set++ {
			if uint(set)&^c.hits == 0 {
				size := onesOf(uint(set))
				ways := 0
				for other := 1; other < 1<<n; other++ {
					if uint(other)&^c.hits == 0 && onesOf(uint(other)) == size {
						ways++
					}
				}
				draw[set] += c.q / float64(reach) / float64(ways)
			}
		}
		mix(draw)
	}
	return dist
}

type partCause struct {
	q    float64
	hits uint
}

func onesOf(x uint) int {
	n := 0
	for ; x > 0; x >>= 1 {
		n += int(x & 1)
	}
	return n
}

func drawShare(t *rapid.T, name string, low, high float64) float64 {
	return low + (high-low)*float64(rapid.IntRange(0, 100).Draw(t, name))/100
}

// smallGuide draws a guide of a few faults on items, with signs and checks.
func smallGuide(t *rapid.T) *guide.Guide {
	g := &guide.Guide{ID: "small"}
	for i := range 3 {
		g.Items = append(g.Items, guide.Item{ID: guide.ID(fmt.Sprintf("P%d", i)), Name: fmt.Sprintf("part %d", i)})
	}
	n := rapid.IntRange(1, 5).Draw(t, "faults")
	for i := range n {
		f := guide.Fault{ID: guide.ID(fmt.Sprintf("F%d", i)), Name: fmt.Sprintf("fault %d", i), Weight: 1 + float64(rapid.IntRange(0, 30).Draw(t, "weight"))}
		if on := rapid.IntRange(-1, 2).Draw(t, "on"); on >= 0 {
			f.On = g.Items[on].ID
		}
		for _, s := range []string{"rattle", "smoke", "hunting"} {
			if rapid.Bool().Draw(t, s) {
				f.Signs = append(f.Signs, s)
			}
		}
		g.Faults = append(g.Faults, f)
	}
	for c := range 2 {
		leak := drawShare(t, "leak", 0.01, 0.2)
		check := guide.Check{ID: guide.ID(fmt.Sprintf("T%d", c)), Name: "check", Otherwise: &leak}
		if c == 1 {
			check.On = []guide.ID{"P0", "P1", "P2"}[:rapid.IntRange(2, 3).Draw(t, "parts")]
		}
		for _, f := range g.Faults {
			if rapid.Bool().Draw(t, "names") {
				check.Fails = append(check.Fails, guide.Odds{Fault: f.ID, P: drawShare(t, "fails", leak, 1)})
			}
		}
		g.Checks = append(g.Checks, check)
	}
	return g
}

// reachOf returns the parts of a check that a fault can make fail.
func reachOf(c *guide.Check, f guide.Fault) uint {
	if i := slices.Index(c.On, f.On); f.On != "" && i >= 0 {
		return 1 << i
	}
	return 1<<len(c.On) - 1
}

// TestAgainstBruteForce compares Believe with Bayes' rule over every world on
// random small cases: signs, soft verdicts with and without parts, a repair
// between verdicts, and a proof.
func TestAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := smallGuide(t)
		r, err := guide.Resolve(g, nil)
		if err != nil {
			t.Fatal(err)
		}
		a := Default()
		a.Further = Exactly(drawShare(t, "further", 0.01, 1))
		a.Unlisted = Exactly(drawShare(t, "unlisted", 0.01, 0.5))
		b := newBrute(g, a)
		k := Case{Guide: r}
		signsOf(t, g, a, b, &k)
		repaired := uint(0)
		for i := range rapid.IntRange(0, 4).Draw(t, "events") {
			repaired = happen(t, g, a, b, &k, i, repaired)
		}
		got, err := Believe(k, Options{Assume: &a, Combine: Always})
		if err != nil {
			t.Fatal(err)
		}
		want, fixed := b.shares(repaired)
		const near = 1e-9
		for _, s := range got.Suspects {
			h := len(g.Faults)
			if s.Fault != Unlisted {
				h = slices.IndexFunc(g.Faults, func(f guide.Fault) bool { return f.ID == s.Fault })
			}
			if math.Abs(s.Share-want[h]) > near {
				t.Fatalf("%s has %.12f, by all worlds %.12f", s.Fault, s.Share, want[h])
			}
		}
		if math.Abs(got.Fixed-fixed) > near {
			t.Fatalf("fixed %.12f, by all worlds %.12f", got.Fixed, fixed)
		}
	})
}

// signsOf ticks signs in the case and in the brute force.
func signsOf(t *rapid.T, g *guide.Guide, a Assumptions, b *brute, k *Case) {
	for _, sign := range []string{"rattle", "smoke", "hunting"} {
		if !slices.ContainsFunc(g.Faults, func(f guide.Fault) bool { return slices.Contains(f.Signs, sign) }) {
			continue
		}
		is := rapid.SampledFrom([]Answer{Present, Absent, NotKnown}).Draw(t, "is")
		k.Ticks = append(k.Ticks, Tick{Sign: sign, Is: is})
	}
	// Signs speak in the order of the faults that name them first.
	var order []string
	for _, f := range g.Faults {
		for _, s := range f.Signs {
			if !slices.Contains(order, s) {
				order = append(order, s)
			}
		}
	}
	for _, sign := range order {
		i := slices.IndexFunc(k.Ticks, func(t Tick) bool { return t.Sign == sign })
		if k.Ticks[i].Is == NotKnown {
			continue
		}
		b.times(true, func(w uint) float64 {
			causes := []float64{a.SignLeak.Middle}
			for h, f := range g.Faults {
				if w>>h&1 == 1 && slices.Contains(f.Signs, sign) {
					causes = append(causes, a.SignGiven.Middle)
				}
			}
			if w>>len(g.Faults)&1 == 1 {
				causes = append(causes, a.UnlistedSign.Middle)
			}
			if k.Ticks[i].Is == Present {
				return or(causes)
			}
			return 1 - or(causes)
		})
	}
}

// happen draws one event. Checks are asked once between repairs: T0 as event
// 0, T1 as event 1, a repair as event 2, a proof as event 3.
func happen(t *rapid.T, g *guide.Guide, a Assumptions, b *brute, k *Case, i int, repaired uint) uint {
	switch i {
	case 0, 1:
		c := &g.Checks[i]
		v := Verdict{Check: c.ID, Conforms: drawShare(t, "conforms", 0, 1)}
		if i == 1 && rapid.Bool().Draw(t, "by part") {
			for _, on := range c.On {
				v.Parts = append(v.Parts, Part{Name: string(on), Conforms: drawShare(t, "part conforms", 0, 1)})
			}
		}
		k.Events = append(k.Events, Event{Verdict: &v})
		b.times(false, func(w uint) float64 { return bruteVerdict(g, c, v, w&^repaired) })
	case 2:
		h := rapid.IntRange(0, len(g.Faults)-1).Draw(t, "repaired")
		k.Events = append(k.Events, Event{Repair: &Repair{Fault: g.Faults[h].ID}})
		repaired |= 1 << h
	case 3:
		passed := rapid.Bool().Draw(t, "passed")
		k.Events = append(k.Events, Event{Proof: &Proof{Passed: passed}})
		b.times(false, func(w uint) float64 {
			pass := 1 - a.ProofFailed.Middle
			if w&^repaired != 0 {
				pass = a.ProofMissed.Middle
			}
			if passed {
				return pass
			}
			return 1 - pass
		})
	}
	return repaired
}

// bruteVerdict is the probability of a verdict in a world, from the
// distribution of what fails.
func bruteVerdict(g *guide.Guide, c *guide.Check, v Verdict, world uint) float64 {
	var causes []partCause
	whole := []float64{*c.Otherwise}
	for _, o := range c.Fails {
		h := slices.IndexFunc(g.Faults, func(f guide.Fault) bool { return f.ID == o.Fault })
		if world>>h&1 == 1 {
			q := 1 - (1-o.P)/(1-*c.Otherwise)
			causes = append(causes, partCause{q, reachOf(c, g.Faults[h])})
			whole = append(whole, q)
		}
	}
	if len(v.Parts) == 0 {
		fails := or(whole)
		return v.Conforms*(1-fails) + (1-v.Conforms)*fails
	}
	sum := 0.0
	for set, p := range failing(len(c.On), causes, *c.Otherwise) {
		for i := range v.Parts {
			if set>>i&1 == 1 {
				p *= 1 - v.Parts[i].Conforms
			} else {
				p *= v.Parts[i].Conforms
			}
		}
		sum += p
	}
	return sum
}

// TestFactorsMultiply: prior odds times the factors of what spoke are the odds
// now, for every suspect.
func TestFactorsMultiply(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := smallGuide(t)
		r, err := guide.Resolve(g, nil)
		if err != nil {
			t.Fatal(err)
		}
		k := Case{Guide: r, Complaint: "it smokes, it hunts"}
		for i := range g.Checks {
			k.Events = append(k.Events, Event{Verdict: &Verdict{Check: g.Checks[i].ID, Conforms: drawShare(t, "conforms", 0, 1)}})
		}
		m, err := prepare(k, Options{Combine: Always})
		if err != nil {
			t.Fatal(err)
		}
		worlds, _ := m.worlds()
		run := m.run(worlds, m.evaluator(setting{}, nil), true)
		for h := range m.hyps {
			odds := run.prior[h] / (1 - run.prior[h])
			for _, factors := range run.spoke {
				odds *= factors[h]
			}
			now := run.shares[h] / (1 - run.shares[h])
			if math.Abs(odds/now-1) > 1e-9 {
				t.Fatalf("%s: prior odds and factors make %.12g, the share says %.12g", m.hyps[h].id, odds, now)
			}
		}
	})
}

// TestNoisyOrOfTwo holds the arithmetic of a noisy OR against its closed form:
// 1 - (1-leak)(1-q1)(1-q2) with 1-p = (1-leak)(1-q).
func TestNoisyOrOfTwo(t *testing.T) {
	leak := 0.1
	g := &guide.Guide{
		Faults: []guide.Fault{{ID: "A", Name: "a", Weight: 1}, {ID: "B", Name: "b", Weight: 1}},
		Checks: []guide.Check{{ID: "T", Name: "t", Fails: []guide.Odds{{Fault: "A", P: 0.55}, {Fault: "B", P: 0.82}}, Otherwise: &leak}},
	}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		t.Fatal(err)
	}
	m, err := prepare(Case{Guide: r}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	k := m.checkOf("T")
	for _, c := range []struct {
		present []int
		pass    float64
	}{
		{nil, 0.9},
		{[]int{0}, 0.45},
		{[]int{1}, 0.18},
		{[]int{0, 1}, 0.9 * (0.45 / 0.9) * (0.18 / 0.9)}, // 0.09
	} {
		if got := k.avoids(c.present, setting{}, 0, true); math.Abs(got-c.pass) > 1e-12 {
			t.Errorf("passes with %v at %v, want %v", c.present, got, c.pass)
		}
	}
}
