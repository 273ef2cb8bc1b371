package record

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"elbowroom/internal/corpus"
)

// quantileRow is one row of the table of quantiles of R.
type quantileRow struct {
	rule  Steadiness
	share []float64
	want  []float64
	seen  string
}

func quantileTable(t *testing.T) []quantileRow {
	t.Helper()
	r := csv.NewReader(strings.NewReader(string(corpus.Read(t, "testdata/r_statistic_montecarlo.csv"))))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 7 {
		t.Fatalf("%d rows, want 6 and the names", len(all)-1)
	}
	var rows []quantileRow
	for _, cells := range all[1:] {
		n := make([]float64, 11)
		for i := range n {
			if n[i], err = strconv.ParseFloat(cells[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		rows = append(rows, quantileRow{
			rule:  Steadiness{Filter: n[0], Variance: n[1], Difference: n[2]},
			share: []float64{0.05, 0.10, 0.50, 0.90, 0.95, 0.99, 0.999}, want: n[4:], seen: cells[11],
		})
	}
	return rows
}

// Tolerances of the quantiles: values of R hang together over about 1/λ
// values, so that 300,000 of them hold some 10,000 independent ones; the far
// tail rests on the fewest.
var quantileTolerance = map[float64]float64{0.05: 0.015, 0.10: 0.012, 0.50: 0.01, 0.90: 0.015, 0.95: 0.02, 0.99: 0.035, 0.999: 0.08}

// TestRatioQuantiles repeats the Monte Carlo of the table with a seed of its
// own and fewer values.
func TestRatioQuantiles(t *testing.T) {
	for _, row := range quantileTable(t) {
		rng := rand.New(rand.NewPCG(1995, 5))
		var r Ratio
		values := make([]float64, 0, 300_000)
		for i := range 300_200 {
			if v := r.Add(&row.rule, 10+rng.NormFloat64(), 0); i >= 200 {
				values = append(values, v)
			}
		}
		slices.Sort(values)
		for i, share := range row.share {
			got := values[int(share*float64(len(values)))]
			if math.Abs(got/row.want[i]-1) > quantileTolerance[share] {
				t.Errorf("λ %g, %g, %g: the %g quantile is %.3f, the table has %g", row.rule.Filter, row.rule.Variance, row.rule.Difference, share, got, row.want[i])
			}
		}
	}
}

// TestPublishedThresholds holds the defaults against the thresholds printed in
// Rhinehart, American Control Conference 2013: 1.44 (5 %) for λ 0.2, 0.1, 0.1
// with 2.5 as the trigger of a transient, and 1.54 for λ 0.5, 0.1, 0.01.
func TestPublishedThresholds(t *testing.T) {
	d := DefaultSteadiness
	if d.Filter != 0.2 || d.Variance != 0.1 || d.Difference != 0.1 || math.Abs(d.Steady-1.44) > 0.005 || d.Transient != 2.5 {
		t.Errorf("the defaults are %+v", d)
	}
	seen := 0
	for _, row := range quantileTable(t) {
		for _, p := range []struct {
			filter, variance, difference, critical float64
		}{{0.2, 0.1, 0.1, 1.44}, {0.5, 0.1, 0.01, 1.54}} {
			if row.rule.Filter == p.filter && row.rule.Variance == p.variance && row.rule.Difference == p.difference {
				seen++
				if math.Abs(row.want[4]-p.critical) > 0.01 {
					t.Errorf("published %g, the table has %g", p.critical, row.want[4])
				}
			}
		}
	}
	if seen != 2 {
		t.Errorf("%d published rows found, want 2", seen)
	}
}

// TestRatioByHand works three values through by hand: the variance takes the
// filtered value as it was before, and the beginning is scaled.
func TestRatioByHand(t *testing.T) {
	s := Steadiness{Filter: 0.2, Variance: 0.1, Difference: 0.1}
	var r Ratio
	if got := r.Add(&s, 10, 0); got != 1 {
		t.Errorf("first: %g", got)
	}
	// ν² = 0.1·2²·(10/9)/2 = 2/9, δ² = 0.1·2² = 0.4, R = 1.8·(2/9)/0.4
	if got := r.Add(&s, 12, 0); math.Abs(got-1) > 1e-12 {
		t.Errorf("second: %g, want 1", got)
	}
	// xf = 11, its variance 1/2; ν² = 0.1·2²·(10/9)/(3/2) + 0.9·2/9, δ² = 0.1·1² + 0.9·0.4
	want := 1.8 * (0.4*(10.0/9)/1.5 + 0.2) / 0.46
	if got := r.Add(&s, 13, 0); math.Abs(got-want) > 1e-12 {
		t.Errorf("third: %g, want %g", got, want)
	}
}

// TestRatioIsThePublishedRecursion compares R with the recursion as published,
// begun at the first value, once both have forgotten their beginning.
func TestRatioIsThePublishedRecursion(t *testing.T) {
	for _, row := range quantileTable(t) {
		rng := rand.New(rand.NewPCG(4, 4))
		var r Ratio
		var xf, before, variance, different float64
		s := row.rule
		for i := range 2500 {
			x := 3 + rng.NormFloat64()
			got := r.Add(&s, x, 0)
			if i == 0 {
				xf, before = x, x
				continue
			}
			variance = s.Variance*(x-xf)*(x-xf) + (1-s.Variance)*variance
			xf = s.Filter*x + (1-s.Filter)*xf
			different = s.Difference*(x-before)*(x-before) + (1-s.Difference)*different
			before = x
			if want := (2 - s.Filter) * variance / different; i > 2000 && math.Abs(got/want-1) > 1e-6 {
				t.Fatalf("value %d: R = %g, the recursion has %g", i, got, want)
			}
		}
	}
}

// TestRatioSigns checks what R does on signals of known sort.
func TestRatioSigns(t *testing.T) {
	s := &DefaultSteadiness
	noise := rand.New(rand.NewPCG(2, 3))
	for _, c := range []struct {
		name      string
		step      float64
		at        func(i int) float64
		low, high float64
	}{
		{"a constant is steady, not 0/0", 0, func(int) float64 { return 5 }, 1, 1},
		{"a rounded constant is steady", 0.1, func(int) float64 { return 5 }, 1, 1},
		{"a ramp is no steady state", 0, func(i int) float64 { return float64(i) }, s.Transient, math.Inf(1)},
		{"a slow ramp in steps of the resolution", 1, func(i int) float64 { return math.Floor(float64(i) / 5) }, s.Steady, math.Inf(1)},
		{"neighbours that swing against each other", 0, func(i int) float64 { return float64(i%2) + 0.05*noise.NormFloat64() }, 0, s.Low},
		{"noise on a ramp as steep as the noise", 0, func(i int) float64 { return 2*float64(i) + noise.NormFloat64() }, s.Transient, math.Inf(1)},
	} {
		var r Ratio
		got := 0.0
		for i := range 200 {
			got = r.Add(s, c.at(i), c.step)
		}
		if !(got >= c.low && got <= c.high) {
			t.Errorf("%s: R = %g, want %g to %g", c.name, got, c.low, c.high)
		}
	}
}
