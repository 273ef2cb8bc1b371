package estimate_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"elbowroom/estimate"
)

// nist are the failure times of NIST/SEMATECH e-Handbook 8.4.1.3 (apr413): ten
// failures, ten units removed unfailed at 500 hours.
func nist() []estimate.Seen {
	var seen []estimate.Seen
	for _, h := range []float64{54, 187, 216, 240, 244, 335, 361, 373, 375, 386} {
		seen = append(seen, estimate.Seen{Age: h, Failed: true})
	}
	return append(seen, estimate.Seen{Age: 500, Count: 10})
}

// TestNISTWeibull: characteristic life, shape, log-likelihood, AIC, mean and
// deviation as printed there.
func TestNISTWeibull(t *testing.T) {
	f, err := estimate.FitLife(nist())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name           string
		got, want, tol float64
	}{
		{"characteristic life", f.Scale, 606.5280, 1e-3},
		{"shape", f.Shape, 1.7208, 5e-5},
		{"log-likelihood", f.LogLik, -75.135, 5e-4},
		{"AIC", f.AIC, 154.27, 5e-3},
		{"mean life", f.Mean(), 540.737, 1e-3},
		{"deviation", f.Deviation(), 323.806, 1e-2},
		{"one in ten gone by (computed from the fit)", f.By(0.1), 164.02, 0.01},
	} {
		if !near(c.got, c.want, c.tol) {
			t.Errorf("%s: %.5f, printed %g", c.name, c.got, c.want)
		}
	}
	if f.Failures != 10 || f.Sound != 10 {
		t.Errorf("%d failures and %d sound", f.Failures, f.Sound)
	}
}

// TestNISTKaplanMeier: NIST/SEMATECH e-Handbook 8.2.1.5 (apr215), 20 units.
func TestNISTKaplanMeier(t *testing.T) {
	var seen []estimate.Seen
	for _, h := range []float64{10, 32, 56, 98, 122, 181} {
		seen = append(seen, estimate.Seen{Age: h, Failed: true})
	}
	for _, h := range []float64{50, 100, 125, 150} {
		seen = append(seen, estimate.Seen{Age: h})
	}
	seen = append(seen, estimate.Seen{Age: 200, Count: 10})
	got := estimate.KaplanMeier(seen)
	want := []estimate.Lasting{
		{Age: 10, AtRisk: 20, Share: .95},
		{Age: 32, AtRisk: 19, Share: .90},
		{Age: 56, AtRisk: 17, Share: .8471},
		{Age: 98, AtRisk: 16, Share: .7941},
		{Age: 122, AtRisk: 14, Share: .7374},
		{Age: 181, AtRisk: 11, Share: .6704},
	}
	if len(got) != len(want) {
		t.Fatalf("%d steps: %+v", len(got), got)
	}
	for i, w := range want {
		if got[i].Age != w.Age || got[i].AtRisk != w.AtRisk || got[i].Failed != 1 || !near(got[i].Share, w.Share, 5e-5) {
			t.Errorf("%+v, printed %+v", got[i], w)
		}
	}
}

// TestFitRefuses: what cannot be fitted is said, and nothing divides by zero.
func TestFitRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		seen []estimate.Seen
		want error
	}{
		"nothing":            {nil, estimate.ErrFew},
		"one failure":        {[]estimate.Seen{{Age: 5, Failed: true}, {Age: 9}}, estimate.ErrFew},
		"one age only":       {[]estimate.Seen{{Age: 5, Failed: true}, {Age: 5, Failed: true}}, estimate.ErrFew},
		"no age":             {[]estimate.Seen{{Age: 0, Failed: true}}, estimate.ErrLife},
		"not a number":       {[]estimate.Seen{{Age: math.NaN(), Failed: true}}, estimate.ErrLife},
		"almost to the hour": {[]estimate.Seen{{Age: 1000, Failed: true}, {Age: 1000.001, Failed: true}}, estimate.ErrLife},
	} {
		if _, err := estimate.FitLife(c.seen); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// TestLifeAgainstGonum: survival, hazard, quantiles and moments.
func TestLifeAgainstGonum(t *testing.T) {
	for _, l := range []estimate.Life{{1000, 0.7}, {1000, 1}, {606.5, 1.72}, {150_000, 3}, {9, 12}} {
		ref := distuv.Weibull{K: l.Shape, Lambda: l.Scale}
		for _, x := range []float64{0.1, 0.5, 1, 1.7} {
			age := x * l.Scale
			if !near(l.Survival(age), ref.Survival(age), 1e-12) || !near(l.Failed(age), ref.CDF(age), 1e-12) {
				t.Errorf("%+v at %g: survival %g, gonum %g", l, age, l.Survival(age), ref.Survival(age))
			}
			if h := ref.Prob(age) / ref.Survival(age); !near(l.Hazard(age), h, 1e-9*h) {
				t.Errorf("%+v at %g: hazard %g, gonum %g", l, age, l.Hazard(age), h)
			}
			if w := 1 - ref.Survival(age+l.Scale/3)/ref.Survival(age); !near(l.FailWithin(age, l.Scale/3), w, 1e-9) {
				t.Errorf("%+v at %g: within %g, gonum %g", l, age, l.FailWithin(age, l.Scale/3), w)
			}
		}
		if !near(l.Mean(), ref.Mean(), 1e-9*ref.Mean()) || !near(l.Deviation(), ref.StdDev(), 1e-9*ref.StdDev()) || !near(l.Typical(), ref.Quantile(.5), 1e-9*l.Scale) {
			t.Errorf("%+v: mean %g, deviation %g, typical %g", l, l.Mean(), l.Deviation(), l.Typical())
		}
	}
}

// TestEntered: what a person says comes back, and what cannot be is refused.
func TestEntered(t *testing.T) {
	l, err := estimate.Entered(160_000, 90_000)
	if err != nil || !near(l.Typical(), 160_000, 1e-6) || !near(l.By(0.1), 90_000, 1e-6) {
		t.Errorf("%+v, %v: typical %g, early %g", l, err, l.Typical(), l.By(.1))
	}
	for _, c := range [][2]float64{{100, 100}, {100, 200}, {100, 0}, {100, -1}, {math.Inf(1), 5}, {math.NaN(), 5}, {100, 99.9999}} {
		if _, err := estimate.Entered(c[0], c[1]); !errors.Is(err, estimate.ErrLife) {
			t.Errorf("%v: %v", c, err)
		}
	}
}

// TestTemper: without history the entered life stays, with much it is left
// behind, and parts that simply run on draw it up.
func TestTemper(t *testing.T) {
	entered := estimate.Life{Scale: 100, Shape: 3}
	if got := estimate.Temper(entered, 4, nil); got != entered {
		t.Errorf("no history: %+v", got)
	}
	old := estimate.Temper(entered, 4, []estimate.Seen{{Age: 150, Count: 8}})
	if old.Scale <= 100 || old.Shape != 3 {
		t.Errorf("eight ran to 150 and are sound: %+v", old)
	}
	var many []estimate.Seen
	for p := 0.005; p < 1; p += 0.01 {
		many = append(many, estimate.Seen{Age: estimate.Life{Scale: 60, Shape: 3}.By(p), Failed: true, Count: 20})
	}
	if got := estimate.Temper(entered, 4, many); !near(got.Scale, 60, 1) {
		t.Errorf("two thousand failures around 60: %+v", got)
	}
	// Half way between prior and data on the scale to the power of the shape.
	mid := estimate.Temper(entered, 1, []estimate.Seen{{Age: 50, Failed: true}})
	if want := 100 * math.Cbrt((1+0.125)/2); !near(mid.Scale, want, 1e-9) {
		t.Errorf("one failure at 50 beside one entered: %g, want %g", mid.Scale, want)
	}
}

// TestMedianRanks: the table of exact ranks and Bernard's.
func TestMedianRanks(t *testing.T) {
	for _, r := range table(t, "testdata/median_ranks.csv", 30) {
		n, i := int(r[0]), int(r[1])
		if got := estimate.MedianRank(i, n); !near(got, r[2], 6e-7) {
			t.Errorf("rank %d of %d: %.6f, want %.6f", i, n, got, r[2])
		}
		if got := estimate.BernardRank(i, n); !near(got, r[3], 6e-7) {
			t.Errorf("rank %d of %d by Bernard: %.6f, want %.6f", i, n, got, r[3])
		}
	}
	if !math.IsNaN(estimate.MedianRank(0, 3)) || !math.IsNaN(estimate.MedianRank(4, 3)) {
		t.Error("a rank that does not exist has a value")
	}
}

// TestRenewals: where age does not matter failures come evenly (exactly t/life);
// over long spans the count follows t/mean + (sd²-mean²)/(2 mean²) (Smith's
// limit theorem); a part that is new fails less often than an old one.
func TestRenewals(t *testing.T) {
	even := estimate.Life{Scale: 100, Shape: 1}
	for _, span := range []float64{1, 50, 100, 400} {
		for _, age := range []float64{0, 80} {
			if got := even.Failures(age, span); !near(got, span/100, 1e-3*span/100) {
				t.Errorf("age %g, span %g: %g failures, want %g", age, span, got, span/100)
			}
		}
	}
	for _, l := range []estimate.Life{{100, 1.5}, {100, 2.5}, {100, 4}} {
		m, s := l.Mean(), l.Deviation()
		want := 900/m + (s*s-m*m)/(2*m*m)
		if got := l.Failures(0, 900); !near(got, want, 0.01*want) {
			t.Errorf("%+v: %g failures in 900, limit theorem %g", l, got, want)
		}
		if l.Failures(80, 60) <= l.Failures(0, 60) {
			t.Errorf("%+v: old parts fail no more often than new ones", l)
		}
		if got, want := l.Failures(80, 1), l.FailWithin(80, 1); !near(got, want, 1e-3*want) {
			t.Errorf("%+v: within a short span %g, probability %g", l, got, want)
		}
	}
}

// table reads a file of numbers of at least so many rows.
func table(t *testing.T, name string, least int) [][]float64 {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) <= least {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	var out [][]float64
	for _, row := range rows[1:] {
		var nums []float64
		for _, cell := range row {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			nums = append(nums, x)
		}
		out = append(out, nums)
	}
	return out
}
