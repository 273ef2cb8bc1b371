package reading_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/quantity"
	"elbowroom/reading"
)

func near(t *testing.T, what string, got, want, to float64) {
	t.Helper()
	if !(math.Abs(got-want) <= to) {
		t.Errorf("%s: %.6g, want %.6g within %g", what, got, want, to)
	}
}

// TestQuantiles holds the factors that MIL-HDBK-338B prints beside one-sided
// confidence of a normal distribution, and two of Student's distribution that
// follow in closed form: one and two degrees of freedom.
func TestQuantiles(t *testing.T) {
	for p, z := range map[float64]float64{0.80: 0.8416, 0.85: 1.036, 0.90: 1.282, 0.95: 1.645, 0.99: 2.326} {
		near(t, "normal below z", reading.Normal(z), p, 2e-4)
		near(t, "two-sided factor", reading.Coverage(2*p-1, 0), z, 6e-4)
	}
	for _, p := range []float64{0.5, 0.9, 0.95, 0.99} {
		near(t, "one degree of freedom", reading.Coverage(p, 1), math.Tan(math.Pi*p/2), 1e-6*math.Tan(math.Pi*p/2))
		near(t, "two degrees of freedom", reading.Coverage(p, 2), p*math.Sqrt(2/(1-p*p)), 1e-8)
	}
	if !math.IsNaN(reading.Coverage(1, 5)) || !math.IsNaN(reading.Coverage(0, 0)) {
		t.Error("a factor for certainty")
	}
}

// TestStudent: symmetric, rising, heavier than normal, normal in the end.
func TestStudent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, nu := rapid.Float64Range(-40, 40).Draw(t, "t"), rapid.Float64Range(1, 300).Draw(t, "freedom")
		p := reading.Student(x, nu)
		if math.Abs(p+reading.Student(-x, nu)-1) > 1e-12 || p < 0 || p > 1 {
			t.Fatalf("%v", p)
		}
		if reading.Student(x+0.1, nu) < p {
			t.Fatal("it falls")
		}
		if x > 0 && p > reading.Normal(x)+1e-12 {
			t.Fatal("lighter than normal")
		}
	})
	for _, x := range []float64{-3, -1, 0, 0.5, 2} {
		near(t, "many degrees of freedom", reading.Student(x, 1e7), reading.Normal(x), 1e-6)
	}
}

// TestGaugeBlock is example H.1 of the GUM: its inputs as a public library of
// uncertainty calculus states them (MSLNZ/GTC, docs/API/GUM_H1.rst); the
// results follow from them by GUM 5.1.2, G.4.1 and table G.2.
func TestGaugeBlock(t *testing.T) {
	component := func(u, freedom float64) reading.Component {
		return reading.Component{U: u, Sensitivity: 1, Share: u, Freedom: freedom}
	}
	grouped := reading.Combine("m", []reading.Component{component(25, 18), component(9.7, 25.6), component(2.9, 50), component(16.6, 2)})
	near(t, "combined, nm", grouped.Standard, 31.67, 0.01)
	near(t, "effective degrees of freedom", grouped.Freedom, 16.76, 0.02)
	near(t, "t for 99 % and 16", reading.Coverage(0.99, math.Floor(grouped.Freedom)), 2.92, 0.005)
	near(t, "expanded for 99 %, nm", reading.Coverage(0.99, 16)*grouped.Standard, 92.5, 0.1)
	single := reading.Combine("m", []reading.Component{component(25, 18), component(5.8, 24), component(3.9, 5), component(6.7, 8), component(2.887, 50), component(16.599, 2)})
	near(t, "combined from six components, nm", single.Standard, 31.66, 0.01)
	if single.Factor <= reading.Coverage(0.95, 0) {
		t.Error("few degrees of freedom do not widen the interval")
	}
}

// TestConformance is the arithmetic of JCGM 106, 7.2 on numbers in the manner
// of its examples: one lower bound, one upper, and an interval.
func TestConformance(t *testing.T) {
	inf := math.Inf(1)
	near(t, "-5.47 V ± 0.05 V, at most -5.40 V", reading.Conformance(-5.47, 0.05, 0, -inf, -5.40), 0.9192, 1e-4)
	near(t, "509.7 kPa ± 8.6 kPa, at least 490 kPa", reading.Conformance(509.7, 8.6, 0, 490, inf), 0.9890, 1e-4)
	near(t, "13.6 ± 1.8 mm²/s in 12.5..16.3", reading.Conformance(13.6, 1.8, 0, 12.5, 16.3), 0.6626, 1e-4)
	for _, c := range []struct{ value, want float64 }{{1, 1}, {2, 1}, {2.001, 0}, {0.999, 0}} {
		near(t, "no uncertainty", reading.Conformance(c.value, 0, 0, 1, 2), c.want, 0)
	}
}

// TestGuardBands: the risk at the acceptance limit for a guard band of r times
// the expanded uncertainty (k = 2); ILAC-G8:09/2019 states less than 50 % for
// r = 0 and less than 2.5 % for r = 1, the others are computed.
func TestGuardBands(t *testing.T) {
	for r, risk := range map[float64]float64{0: 0.5, 0.83: 0.0485, 1: 0.0228, 1.5: 0.00135} {
		const limit, u = 10.0, 0.1
		near(t, "risk at the acceptance limit", 1-reading.Conformance(limit-r*2*u, u, 0, math.Inf(-1), limit), risk, 1e-4)
	}
}

// TestRisks: global risks of a resistor within ± 0.2 that scatters by 0.12 and
// is measured with 0.04, without and with a guard band of 0.04; computed by
// another program from the integrals of JCGM 106, 9.5.
func TestRisks(t *testing.T) {
	consumer, producer := reading.Risks(-0.2, 0.2, 0, 0, 0.12, 0.04)
	near(t, "consumer's risk", consumer, 0.0189, 1e-4)
	near(t, "producer's risk", producer, 0.0372, 1e-4)
	consumer, producer = reading.Risks(-0.2, 0.2, 0.04, 0, 0.12, 0.04)
	near(t, "consumer's risk behind a guard band", consumer, 0.0043, 1e-4)
	near(t, "producer's risk behind a guard band", producer, 0.115, 1e-3)
}

// TestProbabilityLaws: a value further inside is likelier to conform, a wider
// interval takes in more, and no scale matters.
func TestProbabilityLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-10, 10).Draw(t, "low")
		high := low + rapid.Float64Range(0, 10).Draw(t, "width")
		v, u := rapid.Float64Range(-15, 15).Draw(t, "value"), rapid.Float64Range(0.01, 5).Draw(t, "uncertainty")
		nu := rapid.SampledFrom([]float64{0, 1, 2, 9, 50}).Draw(t, "freedom")
		p := reading.Conformance(v, u, nu, low, high)
		if p < 0 || p > 1 {
			t.Fatalf("probability %v", p)
		}
		mid := (low + high) / 2
		if inner := reading.Conformance(v+(mid-v)/4, u, nu, low, high); inner < p-1e-12 {
			t.Fatalf("nearer to the middle: %v falls to %v", p, inner)
		}
		if wide := reading.Conformance(v, u, nu, low-1, high+1); wide < p-1e-12 {
			t.Fatalf("a wider limit: %v falls to %v", p, wide)
		}
		if scaled := reading.Conformance(1000*v, 1000*u, nu, 1000*low, 1000*high); math.Abs(scaled-p) > 1e-9 {
			t.Fatalf("in thousandths: %v and %v", p, scaled)
		}
		if v < low || v > high { // outside, a wider uncertainty never makes it surely good
			if q := reading.Conformance(v, 2*u, nu, low, high); q > 0.5+1e-12 {
				t.Fatalf("outside, and %v likely to conform", q)
			}
		}
	})
}

// TestMeterSpecification: 4.83 V on a meter of ±(0.5 % + 3 digits of 10 mV) is
// ± 0.0542 V, a standard uncertainty of 0.0313 V (rectangular, GUM 4.3.7).
func TestMeterSpecification(t *testing.T) {
	r := bench(t, "LHD A")
	var m reading.Range
	if err := m.ReadShort("0..60 V ± (0.5 % + 3 x 0.01 V)"); err != nil {
		t.Fatal(err)
	}
	rd, err := reading.Read(r, "volts: 4.83 V")
	if err != nil {
		t.Fatal(err)
	}
	rd.Instrument = &reading.Instrument{Name: "meter", Ranges: []reading.Range{m}}
	v := reading.Judge(r, r.Check("volts"), rd, reading.Options{})
	b := v.Parts[0].Budget
	near(t, "half width", b.Components[0].Half, 0.05415, 1e-9)
	near(t, "standard uncertainty", b.Standard, 0.0313, 5e-5)
	if b.Components[0].Shape != reading.Rectangular || b.Unit != "V" {
		t.Errorf("%+v", b)
	}
}

func TestRanges(t *testing.T) {
	for _, text := range []string{
		"0..600 Ω ± (0.5 % + 3 x 0.1 Ω)", "-600..600 mV ± (0.5 % + 3 x 0.1 mV)", "0..10 bar ± (0.6 % of full scale), step 0.05 bar",
		"-40..500 °C ± (1.5 K), step 0.1 K", "0..50 V, standard uncertainty 0.02 V", "0..40 MΩ", "100 mV..2 V ± (1 %)",
	} {
		var r, again reading.Range
		if err := r.ReadShort(text); err != nil || r.String() != text {
			t.Errorf("%s reads as %v, %v", text, r, err)
		}
		if err := again.ReadShort(r.String()); err != nil || again != r {
			t.Errorf("%s: and back %v, %v", text, again, err)
		}
	}
	for text, why := range map[string]string{
		"600 Ω":                                    "no range",
		"600..0 Ω":                                 "downwards",
		"0 V..600 Ω":                               "of two kinds",
		"0..600 Ω ± 3 V":                           "accuracy of another kind",
		"0..600 Ω ± 1 % + 2 %":                     "said twice",
		"0..600 Ω ± about":                         "no accuracy",
		"0..600 Ω ± (3 x 0 Ω)":                     "a step of nothing",
		"0..600 Ω, every day":                      "strange words",
		"0..6 V, step 0.1 V, step 1 V":             "step said twice",
		"0..6 V ± 1 %, standard uncertainty 0.1 V": "two accuracies",
	} {
		var r reading.Range
		if err := r.ReadShort(text); err == nil {
			t.Errorf("%s (%s) reads as %v", text, why, r)
		}
	}
}

func FuzzRange(f *testing.F) {
	f.Add("0..600 Ω ± (0.5 % + 3 x 0.1 Ω)")
	f.Add("-40..500 °C ± 1.5 K, step 0.1 K")
	f.Fuzz(func(t *testing.T, text string) {
		var r, again reading.Range
		if r.ReadShort(text) != nil {
			return
		}
		if err := again.ReadShort(r.String()); err != nil || again != r {
			t.Fatalf("%q reads as %q, and that as %q, %v", text, r, again, err)
		}
	})
}

// TestAdequate: before the walk, what the instruments of the demonstration can
// do for its checks.
func TestAdequate(t *testing.T) {
	r, have := engine(t, "LHD A"), instruments(t)
	for _, c := range []struct {
		check, tool, reason string
		enough              bool
		ratio, to           float64
	}{
		{"T58", "low-ohm", "thousandths of an ohm for a tenth", true, 0.13, 0.01},
		{"T35", "insulation", "a decade would do", true, 0.04, 0.005},
		{"T39", "capacitance", "2 % for ± 14 %", true, 0.20, 0.01},
		{"T63", "scope", "0.15 V of full scale for 0.10 V", false, 1.70, 0.01},
		{"T11", "meter", "a temperature within 2 K is too coarse when it is cold", false, 1.63, 0.01},
		{"T74", "", "the clamp ends at 60 A, nothing serves", false, 0, 0},
	} {
		fits := reading.Adequate(r, r.Check(guideID(c.check)), have, reading.Options{})
		if len(fits) == 0 {
			t.Errorf("%s: nothing said", c.check)
			continue
		}
		f := fits[0]
		if string(f.ID) != c.tool || f.Enough != c.enough || math.Abs(f.Ratio-c.ratio) > c.to || f.Says == "" || f.Enough != (f.Clear >= 0.8) {
			t.Errorf("%s (%s): %+v", c.check, c.reason, f)
		}
	}
	for _, check := range r.Guide.Checks {
		for _, f := range reading.Adequate(r, &check, have, reading.Options{Today: "2026-03-16"}) {
			if f.Says == "" || f.Clear < 0 || f.Clear > 1 {
				t.Errorf("%s: %+v", check.ID, f)
			}
		}
	}
}

// TestBetterInstrument: a finer instrument is never called worse.
func TestBetterInstrument(t *testing.T) {
	r := bench(t, "LHD A")
	clear := func(percent float64) float64 {
		m := reading.Range{Lowest: quantity.Of(0, "V"), Highest: quantity.Of(20, "V"), Percent: percent}
		return reading.Adequate(r, r.Check("volts"), []reading.Instrument{{Name: "m", Ranges: []reading.Range{m}}}, reading.Options{})[0].Clear
	}
	last := 1.0
	for p := 0.01; p < 10; p *= 1.3 {
		if c := clear(p); c > last+1e-9 {
			t.Fatalf("%g %%: %g good items clear, and %g with a finer one", p, c, last)
		} else {
			last = c
		}
	}
	if last > 0.01 {
		t.Errorf("10 %% of 5 V still tells ± 0.1 V: %g", last)
	}
}
