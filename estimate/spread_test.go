package estimate_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"elbowroom/estimate"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// TestHandbookRepairTimes: MIL-HDBK-338B, 5.6.2.1, 46 repair times whose
// logarithms have the mean 0.65879 and the standard deviation 1.11435 (both
// printed), and the questions that it asks of them (T5).
func TestHandbookRepairTimes(t *testing.T) {
	s := estimate.SpreadOf(0.65879, 1.11435)
	for _, c := range []struct {
		name      string
		got, want float64
		tol       float64
	}{
		{"mean time to repair, h", s.Mean.Hours(), 3.5955, 2e-4},
		{"median, h", s.Median().Hours(), 1.9325, 2e-4},
		// The handbook rounds the normal quantiles to 1.282 and 1.645.
		{"90 % within, h", s.Within(0.90).Hours(), 8.064, 5e-3},
		{"95 % within, h", s.Within(0.95).Hours(), 12.084, 5e-3},
		{"share done in 8.064 h, by its quantile", s.Kept(8064 * time.Second * 3600 / 1000), 0.9000795, 1e-5},
		{"share done in 20 h", s.Kept(20 * time.Hour), 0.9820, 5e-5},
		{"rate at 20 h, per hour", s.EndingRate(20 * time.Hour), 0.1104, 5e-5},
	} {
		if !near(c.got, c.want, c.tol) {
			t.Errorf("%s: %.5f, want %.5f", c.name, c.got, c.want)
		}
	}
	// A mean of one hour with the standard deviation 0.55.
	one := estimate.Spread{Mean: time.Hour, Sigma: 0.55}
	if !near(one.Median().Hours(), 0.8596, 1e-4) || !near(one.Within(0.95).Hours(), 2.1244, 2e-4) {
		t.Errorf("median %.4f, 95 %% %.4f h; want 0.8596 and 2.1244", one.Median().Hours(), one.Within(0.95).Hours())
	}
}

// TestSpreadAgainstGonum: quantiles and shares as the log-normal of gonum has
// them.
func TestSpreadAgainstGonum(t *testing.T) {
	for _, sigma := range []float64{0.1, 0.3, 0.8, 1.2} {
		s := estimate.Spread{Mean: 40 * time.Minute, Sigma: sigma}
		ref := distuv.LogNormal{Mu: math.Log(s.Mean.Hours()) - sigma*sigma/2, Sigma: sigma}
		for _, p := range []float64{0.01, 0.2, 0.5, 0.8, 0.95, 0.999} {
			if got, want := s.Within(p).Hours(), ref.Quantile(p); !near(got, want, 1e-6*want) {
				t.Errorf("sigma %g, p %g: %.8f h, gonum %.8f", sigma, p, got, want)
			}
			if got := s.Kept(s.Within(p)); !near(got, p, 1e-6) {
				t.Errorf("sigma %g: kept with %.8f, want %g", sigma, got, p)
			}
		}
	}
}

// TestFitSpread: the parameters of a large seeded sample are found again, and
// too few times are refused.
func TestFitSpread(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var times []time.Duration
	for range 20_000 {
		times = append(times, time.Duration(math.Exp(0.5+0.7*r.NormFloat64())*float64(time.Hour)))
	}
	mu, sigma, err := estimate.FitSpread(times)
	if err != nil || !near(mu, 0.5, 0.02) || !near(sigma, 0.7, 0.02) {
		t.Errorf("mu %.3f, sigma %.3f, %v; want 0.5 and 0.7", mu, sigma, err)
	}
	if _, _, err := estimate.FitSpread([]time.Duration{time.Hour, 0, -time.Hour}); !errors.Is(err, estimate.ErrFew) {
		t.Errorf("one time: %v", err)
	}
}

// TestWeightedMean: T4, mean times to repair weighted by failure rates, as
// printed (14.3 and 18.6 min).
func TestWeightedMean(t *testing.T) {
	for _, c := range []struct {
		rates []float64
		times []time.Duration
		want  float64
	}{
		{[]float64{100, 50, 200}, []time.Duration{15 * time.Minute, 30 * time.Minute, 10 * time.Minute}, 14.3},
		{[]float64{100, 200, 50}, []time.Duration{20 * time.Minute, 15 * time.Minute, 30 * time.Minute}, 18.6},
	} {
		if got := estimate.WeightedMean(c.times, c.rates).Minutes(); !near(got, c.want, 0.05) {
			t.Errorf("%v: %.2f min, printed %.1f", c.rates, got, c.want)
		}
	}
	if estimate.WeightedMean(nil, nil) != 0 {
		t.Error("nothing has a mean")
	}
}
