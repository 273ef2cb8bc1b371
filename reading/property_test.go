package reading_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
)

func guideID(s string) guide.ID { return guide.ID(s) }

// firmness orders outcomes by how sure a verdict is that the item is good.
func firmness(o reading.Outcome) int {
	return slices.Index([]reading.Outcome{reading.NonConforming, reading.TooClose, reading.Conforming}, o)
}

// TestWiderUncertainty: a less certain value of the same size never gets a
// firmer verdict on the other side, whatever the value.
func TestWiderUncertainty(t *testing.T) {
	r := bench(t, "LHD A")
	for _, id := range []string{"volts", "rest", "nominal"} {
		check := r.Check(guideID(id))
		rapid.Check(t, func(t *rapid.T) {
			unit, at := "V", rapid.Float64Range(4, 14)
			if id == "nominal" {
				unit, at = "Ω", rapid.Float64Range(100, 140)
			}
			v, u := at.Draw(t, "value"), rapid.Float64Range(0.001, 2).Draw(t, "uncertainty")
			judge := func(within float64) reading.Verdict {
				rd := reading.Reading{Check: check.ID, Parts: []reading.Part{{Value: quantity.Of(v, unit), Within: quantity.Of(within, unit)}}}
				return reading.Judge(r, check, rd, reading.Options{})
			}
			fine, coarse := judge(u), judge(u*rapid.Float64Range(1, 20).Draw(t, "factor"))
			a, b := firmness(fine.Would), firmness(coarse.Would)
			if a < 0 || b < 0 || a == 0 && b == 2 || a == 2 && b == 0 || a == 1 && b != 1 {
				t.Fatalf("%v %s: %s becomes %s when it is less certain", v, unit, fine.Says, coarse.Says)
			}
		})
	}
}

// TestUnitsChangeNoVerdict: the same value in other units of its kind has the
// same outcome, margin and probability.
func TestUnitsChangeNoVerdict(t *testing.T) {
	r := bench(t, "LHD A")
	check := r.Check("nominal")
	rapid.Check(t, func(t *rapid.T) {
		ohm := float64(rapid.IntRange(110000, 130000).Draw(t, "mΩ")) / 1000
		v := quantity.Of(ohm, "Ω")
		unit := rapid.SampledFrom([]string{"Ω", "mΩ", "kΩ", "MΩ"}).Draw(t, "unit")
		w, err := v.In(unit)
		if err != nil {
			t.Fatal(err)
		}
		u, _ := quantity.Of(1, "Ω").In(unit)
		judge := func(v, within quantity.Value) reading.Judged {
			rd := reading.Reading{Check: check.ID, Parts: []reading.Part{{Value: v, Within: within}}}
			return reading.Judge(r, check, rd, reading.Options{}).Parts[0]
		}
		a, b := judge(v, quantity.Of(1, "Ω")), judge(w, u)
		if a.Outcome != b.Outcome || diff(a.Probability, b.Probability) > 1e-9 || diff(a.Margin.SI(), b.Margin.SI()) > 1e-6 {
			t.Fatalf("%v: %+v\n%v: %+v", v, a, w, b)
		}
	})
}

func diff(a, b float64) float64 {
	if a > b {
		return a - b
	}
	return b - a
}

// TestOrderOfClauses: in which order the clauses are typed does not matter,
// but for the first value where several could be it.
func TestOrderOfClauses(t *testing.T) {
	r := engine(t, "LHD A")
	clauses := []string{"right 38 kΩ", "left > 10 MΩ", "unplugged", "meter 50 V", "ambient 18 °C", "dry", "at EL01"}
	want := outcomes(t, r, clauses)
	rapid.Check(t, func(t *rapid.T) {
		perm := rapid.Permutation(clauses).Draw(t, "order")
		if got := outcomes(t, r, perm); got != want {
			t.Fatalf("%v:\n%s\nwant\n%s", perm, got, want)
		}
	})
}

func outcomes(t interface{ Fatal(...any) }, r *guide.Resolved, clauses []string) string {
	rd, err := reading.Read(r, "T35: "+strings.Join(clauses, ", "))
	if err != nil {
		t.Fatal(err)
	}
	v := reading.Judge(r, r.Check("T35"), rd, reading.Options{})
	var lines []string
	for _, d := range v.Parts {
		lines = append(lines, fmt.Sprint(d.Part, d.Item, d.Outcome, d.Margin))
	}
	slices.Sort(lines)
	return string(v.Outcome) + "\n" + strings.Join(lines, "\n") + fmt.Sprint(v.Unused)
}

// TestSettleOnce: a settled reading settles to itself.
func TestSettleOnce(t *testing.T) {
	r := engine(t, "LHD A")
	n := 0
	for _, test := range r.Guide.Tests {
		if test.Reading == "" {
			continue
		}
		n++
		rd, err := reading.Read(r, test.Reading)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(rd, reading.Settle(r, r.Check(rd.Check), rd)); d != "" {
			t.Errorf("%s: %s", test.Reading, d)
		}
	}
	if n == 0 {
		t.Fatal("no readings")
	}
}

// TestReadingsKeep: a reading and a verdict come back from JSON as they were.
func TestReadingsKeep(t *testing.T) {
	r := engine(t, "LHD A")
	for _, text := range []string{"T35: right OL, left > 10 MΩ, unplugged, meter 50 V ± 1 V, dry", "T31: AC01 8.4 Ω, AC03 9.1 Ω, coil 35 °C ± 2 K, using low-ohm, at AC01, by I. P., 2026-03-16"} {
		rd, err := reading.Read(r, text)
		if err != nil {
			t.Fatal(err)
		}
		v := reading.Judge(r, r.Check(rd.Check), rd, reading.Options{Instruments: instruments(t)})
		var again reading.Reading
		var verdict reading.Verdict
		for _, c := range []struct{ from, to any }{{rd, &again}, {v, &verdict}} {
			data, err := json.Marshal(c.from)
			if err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(data, c.to); err != nil {
				t.Fatalf("%s: %v", data, err)
			}
		}
		if d := cmp.Diff(rd, again) + cmp.Diff(v, verdict); d != "" {
			t.Errorf("%s: %s", text, d)
		}
	}
}

// FuzzParse: what reads prints to a text that reads to the same reading; errors
// say where; nothing panics.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"T35: right 38 kΩ, left > 10 MΩ, unplugged, meter 50 V, ambient 18 °C ± 2 K, dry", "T27: 58 pulses and a gap, low 0.2 V",
		"T49: 5.7 bar absolute, speed 740..760 rpm, at EL01, using gauge, by I., 2026-03-16", "T35: right OL", "T1: 2,71 V; x", ":", "T1:1e400 V", "T1: 3±", "T35 at X3 sensor half, apart: 3 V", "T1 at X2: 3 V, at X3", "T1 at : 3 V", "T1: ..", "Ω: ±", "T: <>=1 V", "a: 5 % ± 5 %",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		rd, err := reading.Parse(text)
		if err != nil {
			findings(t, err)
			return
		}
		again, err := reading.Parse(rd.String())
		if err != nil {
			t.Fatalf("%q prints as %q, and that does not read: %v", text, rd, err)
		}
		if d := cmp.Diff(rd, again, cmpopts.IgnoreFields(reading.Part{}, "Column"), cmpopts.IgnoreFields(reading.Stated{}, "Column")); d != "" {
			t.Fatalf("%q prints as %q:\n%s", text, rd, d)
		}
	})
}

// FuzzJudge: no text about any check makes Read, Judge or their sentences
// panic, and a verdict always says something.
func FuzzJudge(f *testing.F) {
	r := engine(f, "LHD A")
	b := bench(f, "LHD A")
	tools := instruments(f)
	for i, c := range r.Guide.Checks {
		f.Add(uint8(i), string(c.ID)+": 1.5 V, unplugged, coolant 90 °C ± 2 K, leads 0.2 Ω, at X3")
	}
	f.Add(uint8(0), "T35: right OL, cable 2.6 m, altitude 500 m, barometer 1000 hPa, supply 4.9 V, over 30 s")
	f.Fuzz(func(t *testing.T, which uint8, text string) {
		_, body, _ := strings.Cut(text, ":")
		for _, g := range []*guide.Resolved{r, b} {
			check := &g.Guide.Checks[int(which)%len(g.Guide.Checks)]
			rd, err := reading.Read(g, string(check.ID)+":"+body)
			if err != nil {
				findings(t, err)
				continue
			}
			v := reading.Judge(g, check, rd, reading.Options{Instruments: tools, Today: "2026-03-16"})
			if v.Says == "" || v.Outcome == "" || v.Would == "" {
				t.Fatalf("%q: %+v", text, v)
			}
			for _, d := range v.Parts {
				if !(d.Probability >= 0 && d.Probability <= 1) {
					t.Fatalf("%q: probability %v", text, d.Probability)
				}
			}
		}
	})
}
