package reading_test

import (
	"testing"

	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/reading"
)

// engine is the demonstration's guide for one variant.
func engine(t testing.TB, variant string) *guide.Resolved {
	t.Helper()
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	s, err := guide.Parse[guide.Selector](variant)
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestDemoReadings: every reading that the guide carries as a test of itself
// comes out as it expects.
func TestDemoReadings(t *testing.T) {
	r := engine(t, "LHD A")
	n := 0
	for _, test := range r.Guide.Tests {
		if test.Reading == "" {
			continue
		}
		n++
		rd, err := reading.Read(r, test.Reading)
		if err != nil {
			t.Errorf("%s: %v", test.ID, err)
			continue
		}
		v := reading.Judge(r, r.Check(rd.Check), rd, reading.Options{})
		if string(v.Outcome) != test.Verdict {
			t.Errorf("%s: %s is %s, want %s\n%s", test.ID, test.Reading, v.Outcome, test.Verdict, v.Says)
		}
	}
	if n != 15 {
		t.Errorf("%d readings among the tests of the guide, want 15", n)
	}
}

// TestDemoReadingsWithInstruments: the instruments of the demonstration's
// workshop are good enough for the same verdicts.
func TestDemoReadingsWithInstruments(t *testing.T) {
	r := engine(t, "LHD A")
	n := 0
	for _, test := range r.Guide.Tests {
		if test.Reading == "" {
			continue
		}
		n++
		rd, err := reading.Read(r, test.Reading)
		if err != nil {
			t.Errorf("%s: %v", test.ID, err)
			continue
		}
		v := reading.Judge(r, r.Check(rd.Check), rd, reading.Options{Instruments: instruments(t), Today: demo.Day})
		if string(v.Outcome) != test.Verdict {
			t.Errorf("%s: %s is %s, want %s\n%s", test.ID, test.Reading, v.Outcome, test.Verdict, v.Says)
		}
	}
	if n != 15 {
		t.Errorf("%d readings", n)
	}
}

// BenchmarkJudge reads and judges the first reading of case A.
func BenchmarkJudge(b *testing.B) {
	r := engine(b, "LHD A")
	for b.Loop() {
		rd, err := reading.Read(r, "T35: right 38 kΩ, left > 10 MΩ, unplugged, meter 50 V, ambient 18 °C, dry")
		if err != nil {
			b.Fatal(err)
		}
		if v := reading.Judge(r, r.Check(rd.Check), rd, reading.Options{}); v.Outcome != reading.NonConforming {
			b.Fatal(v.Says)
		}
	}
}
