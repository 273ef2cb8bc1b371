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
		t.Logf("%s\n   %s\n   %s\n   anyway: %s\n   missing %q unused %q remarks %q corr %v", test.Reading, v.Outcome, v.Says, v.Anyway, v.Missing, v.Unused, v.Remarks, v.Corrections)
	}
	if n != 15 {
		t.Errorf("%d readings among the tests of the guide, want 15", n)
	}
}
