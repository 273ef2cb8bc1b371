package decide_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"elbowroom/suspect/decide"
	"elbowroom/suspect/decide/decidetest"
)

// within returns a Stop that ends a search after d. The clock is the
// benchmark's, not the package's.
func within(d time.Duration) func() bool {
	end := time.Now().Add(d)
	return func() bool { return time.Now().After(end) }
}

func solved(b *testing.B, p decide.Problem, lim decide.Limits) *decide.Answer {
	b.Helper()
	a, err := decide.Solve(p, lim)
	if err != nil {
		b.Fatal(err)
	}
	if a.Bound > a.Expected+1e-6 || math.IsInf(a.Expected, 1) {
		b.Fatalf("%v to %v", a.Bound, a.Expected)
	}
	return a
}

// BenchmarkCar solves the published problem of the car that will not start.
func BenchmarkCar(b *testing.B) {
	c := readCar(b)
	p := c.problem(&c.Full).Problem
	for b.Loop() {
		if a := solved(b, p, decide.Limits{}); math.Abs(a.Expected-c.Full.Exact) > places4 {
			b.Fatal(a.Expected)
		}
	}
}

// BenchmarkCarExhaust solves it without bounds.
func BenchmarkCarExhaust(b *testing.B) {
	c := readCar(b)
	p := c.problem(&c.Full).Problem
	for b.Loop() {
		if x, err := decide.Exhaust(p, 1<<20); err != nil || math.Abs(x.Expected-c.Full.Exact) > places4 {
			b.Fatal(x, err)
		}
	}
}

// BenchmarkStrips solves the forty instances with strip states.
func BenchmarkStrips(b *testing.B) {
	strips := readStrips(b)
	for b.Loop() {
		for i := range strips {
			if a := solved(b, strips[i].problem(), decide.Limits{}); math.Abs(a.Expected/tenth-strips[i].Opt) > places9 {
				b.Fatal(i, a.Expected)
			}
		}
	}
}

// sizes are random problems of growing size.
var sizes = []struct {
	name  string
	shape decidetest.Shape
}{
	{"6 faults, 10 checks", decidetest.Shape{Faults: 6, Together: 1, Checks: 10, Operations: 5, Noise: .5}},
	{"10 faults, 15 checks, one unlisted", decidetest.Shape{Faults: 10, Together: 1, Checks: 15, Operations: 6, Noise: .5, Unlisted: true}},
	{"6 faults and pairs, 10 checks", decidetest.Shape{Faults: 6, Together: 2, Checks: 10, Operations: 5, Noise: .7, Escape: true}},
	{"15 faults, 30 checks, one unlisted", decidetest.Shape{Faults: 15, Together: 1, Checks: 30, Operations: 6, Noise: .5, Unlisted: true}},
}

// longNodes is how many nodes a search may open that others are compared with.
const longNodes = 30000

// BenchmarkQuality reports, over 20 seeds of each size, how far the answer
// after so many nodes is from the best one known after a long search (which is
// the optimum where that was proved), and how long that takes. Ratios are
// geometric means.
func BenchmarkQuality(b *testing.B) {
	const n = 20
	for _, size := range sizes {
		best := make([]float64, n)
		proved := 0.0
		for seed := range best {
			a := solved(b, decidetest.Random(uint64(seed), size.shape), decide.Limits{Nodes: longNodes})
			best[seed] = a.Expected
			if a.Status == decide.Proved {
				proved++
			}
		}
		for _, nodes := range []int{100, 400, 1600} {
			b.Run(fmt.Sprintf("%s/%d nodes", size.name, nodes), func(b *testing.B) {
				sum, oneStep, bound, worst := 0.0, 0.0, 0.0, 0.0
				for b.Loop() {
					sum, oneStep, bound, worst = 0, 0, 0, 0
					for seed := range best {
						a := solved(b, decidetest.Random(uint64(seed), size.shape), decide.Limits{Nodes: nodes})
						over := math.Log(a.Expected / best[seed])
						sum += over
						worst = max(worst, over)
						oneStep += math.Log(a.OneStep / best[seed])
						bound += a.Bound / best[seed]
					}
				}
				b.ReportMetric(100*(math.Exp(sum/n)-1), "%over")
				b.ReportMetric(100*(math.Exp(worst)-1), "%worst")
				b.ReportMetric(100*(math.Exp(oneStep/n)-1), "%onestep")
				b.ReportMetric(100*bound/n, "%bound")
				b.ReportMetric(proved, "proved")
				b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N)/n, "ms/answer")
			})
		}
	}
}

// BenchmarkPolicies reports what the simple policies cost beside the answer
// after 1600 nodes, over 20 seeds.
func BenchmarkPolicies(b *testing.B) {
	const n = 20
	for _, size := range sizes[:3] {
		b.Run(size.name, func(b *testing.B) {
			for b.Loop() {
				sum := map[string]float64{}
				for seed := range uint64(n) {
					p := decidetest.Random(seed, size.shape)
					a := solved(b, p, decide.Limits{Nodes: 1600})
					ignoring, err := decide.IgnoringAccess(p, decide.Limits{Nodes: 1600})
					if err != nil {
						b.Fatal(err)
					}
					for name, policy := range map[string]decide.Policy{
						"%likeliest":       decide.LikeliestFirst(),
						"%cheapest":        decide.CheapestFirst(.95),
						"%informed":        decide.MostInformation(.95),
						"%ignoring-access": ignoring,
					} {
						c, err := decide.Evaluate(p, policy)
						if err != nil {
							b.Fatal(err)
						}
						sum[name] += math.Log(c.Expected / a.Expected)
					}
				}
				for name, x := range sum {
					b.ReportMetric(100*(math.Exp(x/n)-1), name)
				}
			}
		})
	}
}

// BenchmarkProof times the search until the proof.
func BenchmarkProof(b *testing.B) {
	for _, size := range sizes[:2] {
		b.Run(size.name, func(b *testing.B) {
			problems := make([]decide.Problem, 10)
			for seed := range problems {
				problems[seed] = decidetest.Random(uint64(seed), size.shape)
			}
			for b.Loop() {
				for _, p := range problems {
					if a := solved(b, p, decide.Limits{}); a.Status != decide.Proved {
						b.Fatal(a.Status)
					}
				}
			}
		})
	}
}

// slowly is a ground that takes so long for each question, as a planner of
// ways in does.
type slowly struct {
	decide.Ground
	wait time.Duration
}

func (s slowly) pause() {
	for end := time.Now().Add(s.wait); time.Now().Before(end); {
	}
}

func (s slowly) Do(st decide.State, a decide.Action) []decide.Move {
	s.pause()
	return s.Ground.Do(st, a)
}

func (s slowly) Access(st decide.State, as []decide.Action) int64 {
	s.pause()
	return s.Ground.Access(st, as)
}

// BenchmarkLarge gives the first step of large problems one second.
func BenchmarkLarge(b *testing.B) {
	for _, tc := range []struct {
		name                  string
		faults, checks, pairs int
		wait                  time.Duration
	}{
		{"200 faults, 300 checks", 200, 300, 0, 0},
		{"200 faults, 300 checks, 0.3 ms a question", 200, 300, 0, 300 * time.Microsecond},
		{"54 faults, 74 checks", 54, 74, 0, 0},
		{"54 faults and 1400 pairs, 74 checks", 54, 74, 1400, 0},
	} {
		b.Run(tc.name, func(b *testing.B) {
			p := decidetest.Large(1, tc.faults, tc.checks, tc.pairs)
			if tc.wait > 0 {
				p.Ground = slowly{p.Ground, tc.wait}
			}
			for b.Loop() {
				a := solved(b, p, decide.Limits{Stop: within(time.Second)})
				b.ReportMetric(a.Expected, "expected")
				b.ReportMetric(100*(1-a.Bound/a.Expected), "%gap")
				b.ReportMetric(100*a.Refer/a.Expected, "%refer")
			}
		})
	}
}
