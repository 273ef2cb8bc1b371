package record

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestGatherIsExact compares what a stretch gathers with a direct sum.
func TestGatherIsExact(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.SampledFrom([]int{1, 2, 127, 128, 129, 255, 1023, 1024, 1025, 2500}).Draw(r, "n")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(r, "seed"), 1))
		values := make([]float64, n)
		for i := range values {
			values[i] = 1000 * rng.NormFloat64()
		}
		var g gather
		g.reset()
		sum := 0.0
		for _, v := range values {
			g.add(v)
			sum += v
		}
		s := g.stats(0)
		mean := sum / float64(len(values))
		squares := 0.0
		for _, v := range values {
			squares += (v - mean) * (v - mean)
		}
		if s.N != len(values) || s.Least != slices.Min(values) || s.Most != slices.Max(values) {
			r.Fatalf("%+v", s)
		}
		if math.Abs(s.Mean-mean) > 1e-9 || len(values) > 1 && math.Abs(s.Scatter-math.Sqrt(squares/float64(len(values)-1))) > 1e-7 {
			r.Fatalf("mean %g, scatter %g; want %g, %g", s.Mean, s.Scatter, mean, math.Sqrt(squares/float64(len(values)-1)))
		}
		if len(values) <= kept {
			sorted := slices.Sorted(slices.Values(values))
			if want := (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2; s.Median != want {
				r.Fatalf("median %g, want %g", s.Median, want)
			}
		}
	})
}

// TestMeanOfHangingValues simulates values that hang together, x ← φx + e, and
// compares the uncertainty that a stretch claims with how its mean really
// scatters. For such values the variance of the mean of n is close to
// σ²/n·(1+φ)/(1−φ) (Priestley, Spectral Analysis and Time Series, 1981, 5.3).
func TestMeanOfHangingValues(t *testing.T) {
	for _, c := range []struct {
		phi       float64
		n         int
		low, high float64 // permitted mean of claimed over true uncertainty
	}{
		{0, 300, 0.95, 1.25}, {0, 5000, 0.9, 1.25}, {0.5, 1000, 0.9, 1.25}, {0.9, 1000, 0.8, 1.25}, {0.9, 20000, 0.85, 1.25}, {0.98, 20000, 0.8, 1.3},
	} {
		rng := rand.New(rand.NewPCG(uint64(c.n), 17))
		const runs = 300
		claimed, covered := 0.0, 0
		true2 := 1 / float64(c.n) / ((1 - c.phi) * (1 - c.phi)) // long-run variance of x over n, e of variance 1
		for range runs {
			var g gather
			g.reset()
			x := rng.NormFloat64() / math.Sqrt(1-c.phi*c.phi)
			for range c.n {
				g.add(x)
				x = c.phi*x + rng.NormFloat64()
			}
			s := g.stats(0)
			claimed += s.Uncertainty * s.Uncertainty / runs
			if math.Abs(s.Mean) <= 2*s.Uncertainty {
				covered++
			}
		}
		if ratio := math.Sqrt(claimed / true2); ratio < c.low || ratio > c.high {
			t.Errorf("φ %g, %d values: claims %.3f of the true uncertainty", c.phi, c.n, ratio)
		}
		if share := float64(covered) / runs; share < 0.88 {
			t.Errorf("φ %g, %d values: only %.3f of the means lie within two standard uncertainties", c.phi, c.n, share)
		}
	}
}

func TestSpikesAndRounding(t *testing.T) {
	var g gather
	g.reset()
	for i := range 400 {
		v := 5 + 0.1*float64(i%3)
		if i%100 == 50 {
			v = 500
		}
		g.add(v)
	}
	s := g.stats(0.1)
	if s.Median != 5.1 || s.Robust > 0.2 || s.Scatter < 10 {
		t.Errorf("four spikes: median %g, robust scatter %g, scatter %g", s.Median, s.Robust, s.Scatter)
	}
	g.reset()
	for range 50 {
		g.add(88.5)
	}
	if s := g.stats(0.5); math.Abs(s.Uncertainty-0.5/math.Sqrt(12)) > 1e-12 || s.Batch != 0 || s.Effective != 50 {
		t.Errorf("a constant in steps of 0.5: %+v", s)
	}
}
