package app

import (
	"slices"
	"testing"

	"elbowroom/guide"
)

// TestOddsOfCarriedChecks: odds that the guide states are kept for what is
// measured at both points, dropped for what is not measured at the other, and
// assumed for what is measured there alone; found-by is carried likewise.
func TestOddsOfCarriedChecks(t *testing.T) {
	g := guide.Guide{Faults: []guide.Fault{
		{ID: "both", On: "S1"}, {ID: "near", On: "X1"}, {ID: "far", On: "X2", FoundBy: []guide.ID{"T1"}}, {ID: "none", On: "Y1"}, {ID: "unplaced", FoundBy: []guide.ID{"T1"}},
	}}
	leak := 0.02
	asked := &guide.Check{ID: "T1", Fails: []guide.Odds{{Fault: "both", P: 0.9}, {Fault: "near", P: 0.8}}, Otherwise: &leak}
	e := Entry{Check: &guide.Check{ID: "T1-at-X2", Fails: asked.Fails, Otherwise: asked.Otherwise}, Elsewhere: &Elsewhere{Asked: asked, Carried: true, More: []guide.ID{"X2"}, Less: []guide.ID{"X1"}}}
	c := evidence(&g, e, 0.7)
	if want := []guide.Odds{{Fault: "both", P: 0.9}, {Fault: "far", P: 0.7}}; !slices.Equal(c.Fails, want) || c.Otherwise != &leak {
		t.Errorf("stated odds: %v", c.Fails)
	}
	asked.Fails, asked.Otherwise, e.Check.Fails, e.Check.Otherwise = nil, nil, nil, nil
	g.Faults[1].FoundBy = []guide.ID{"T1"}
	c = evidence(&g, e, 0.7)
	var found []guide.ID
	for _, f := range g.Faults {
		if slices.Contains(f.FoundBy, "T1-at-X2") {
			found = append(found, f.ID)
		}
	}
	if len(c.Fails) != 0 || !slices.Equal(found, []guide.ID{"far", "unplaced"}) {
		t.Errorf("found by: %v, odds %v", found, c.Fails)
	}
}

// FuzzJudgeElsewhere: whatever is written of a reading and where it was taken,
// it is judged or refused in words.
func FuzzJudgeElsewhere(f *testing.F) {
	for _, s := range []string{
		"T58 at EL01: 0.62 Ω, unplugged, wires 80 °C", "T38 at EL01: 1400 pF", "T35 at X3 sensor half: OL", "T49 at EL05: 5 bar", "T12 at G5: 3 mV", "T58 at : 1 Ω",
		"T58 at EL01: 0.62 Ω, at X5", "T17 at X1: 15 Ω ± 3 Ω", "T75 at EL01: yes", "T58 at el01 pin 3: 4.2 Ω, wires 9999 °C",
	} {
		f.Add(s)
	}
	a := onDemo(f)
	f.Fuzz(func(t *testing.T, text string) {
		j, err := a.Judge(Ask{Machine: "V3"}, text)
		if err != nil {
			if err.Error() == "" {
				t.Error("refused without a word")
			}
			return
		}
		if j.Verdict.Says == "" || j.Verdict.Check != j.Check.ID || j.Elsewhere != nil && len(j.Elsewhere.Says) == 0 {
			t.Errorf("%q: %+v, %+v", text, j.Verdict, j.Elsewhere)
		}
		if _, err := a.Suspects(Job{Ask: Ask{Machine: "V3"}, Log: []string{text}}); err != nil && len(text) <= maxEntry {
			t.Errorf("%q is judged, but not as an entry of a log: %v", text, err)
		}
	})
}
