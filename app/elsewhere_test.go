package app_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/reading"
	"elbowroom/suspect"
)

// TestJudgedByTheCheckThere: a reading named after one check and taken where
// the guide has another of the same parts is judged by that one.
func TestJudgedByTheCheckThere(t *testing.T) {
	a := open(t)
	for _, c := range []struct {
		name, text string
		check      guide.ID
		want       reading.Outcome
	}{
		{"capacitance at the control unit", "T38 at EL01: right 1400 pF, engine still, EL01 unplugged", "T39", reading.Conforming},
		{"the point as a clause", "T38: right 1400 pF, engine still, EL01 unplugged, at EL01", "T39", reading.Conforming},
		{"insulation at one half of a connector", "T35 at X3 sensor half: right 38 kΩ, X3 apart, meter 50 V", "T36", reading.NonConforming},
		{"at its own point", "T38 at X3: right 1400 pF, engine still, X3 apart", "T38", reading.NonConforming},
		{"two halves and not said which", "T35 at X3: right 38 kΩ, unplugged, meter 50 V, ambient 18 °C, dry", "T35", reading.NotComparable},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, err := a.Judge(app.Ask{Machine: "V1"}, c.text)
			if err != nil {
				t.Fatal(err)
			}
			if j.Check.ID != c.check || j.Verdict.Check != c.check || j.Verdict.Outcome != c.want {
				t.Errorf("%s: %s: %s", j.Check.ID, j.Verdict.Outcome, j.Verdict.Says)
			}
			if own := strings.HasPrefix(c.text, string(c.check)); own != (j.Elsewhere == nil) {
				t.Errorf("elsewhere: %+v", j.Elsewhere)
			}
		})
	}
	j, _ := a.Judge(app.Ask{Machine: "V1"}, "T35 at X3: right 38 kΩ, unplugged, meter 50 V, ambient 18 °C, dry")
	if !strings.Contains(j.Verdict.Says, "T36") || !strings.Contains(j.Verdict.Says, "T37") {
		t.Errorf("both checks that are there must be offered: %s", j.Verdict.Says)
	}
}

// TestLimitIsCarried: the coil of the metering valve at the control unit, by
// 2 x 1.6 m of 0.75 mm²: IEC 60228 class 5 permits 26 Ω/km, 83.2 mΩ in all;
// ρ·l/A of copper (0.017241 Ω·mm²/m, IEC 60028) is 73.56 mΩ.
func TestLimitIsCarried(t *testing.T) {
	a := open(t)
	j, err := a.Judge(app.Ask{Machine: "V1"}, "T58 at EL01: 0.62 Ω, unplugged, leads zeroed together, valve 20 °C, using low-ohm")
	if err != nil {
		t.Fatal(err)
	}
	p := j.Verdict.Parts
	if j.Elsewhere == nil || !j.Elsewhere.Carried || len(p) != 1 || p[0].Outcome != reading.Conforming {
		t.Fatalf("%+v: %s", j.Elsewhere, j.Verdict.Says)
	}
	if math.Abs(p[0].Low.Number-0.5832) > 1e-9 || math.Abs(p[0].High.Number-0.6832) > 1e-9 {
		t.Errorf("carried to %v..%v", p[0].Low, p[0].High)
	}
	var half []float64
	for _, c := range p[0].Budget.Components {
		if strings.Contains(c.Name, "class 5") || strings.Contains(c.Name, "temperature") {
			half = append(half, c.Half)
		}
	}
	want := []float64{0.0832 - 0.017241*3.2/0.75, 0.0832 * 0.00393 * 20}
	if len(half) != 2 || math.Abs(half[0]-want[0]) > 1e-6 || math.Abs(half[1]-want[1]) > 1e-6 {
		t.Errorf("uncertainty of the carrying: %v, want %v", half, want)
	}
	if says := strings.Join(j.Elsewhere.Says, "\n"); !strings.Contains(says, "0.5832..0.6832") || !strings.Contains(says, "IEC 60228") {
		t.Error(says)
	}
	hot, err := a.Judge(app.Ask{Machine: "V1"}, "T58 at EL01: 0.62 Ω, unplugged, leads zeroed together, valve 20 °C, wires 80 °C")
	if err != nil || hot.Verdict.Parts[0].Low.Number <= p[0].Low.Number {
		t.Errorf("warm wires have more: %v, %+v", err, hot.Verdict.Parts)
	}
}

// TestWhatCannotBeCarried stays judged at its own point, with the reason.
func TestWhatCannotBeCarried(t *testing.T) {
	a := open(t)
	for _, c := range []struct{ name, text, want string }{
		{"no line leads there", "T58: 0.55 Ω, at G5", "no line leads"},
		{"no such item", "T58 at ZZ9: 0.55 Ω", "ZZ9"},
		{"a limit of pressure", "T49: 5 bar, at EL05", "cannot be carried"},
	} {
		j, err := a.Judge(app.Ask{Machine: "V1"}, c.text)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if j.Verdict.Outcome != reading.NotComparable || j.Elsewhere != nil || !strings.Contains(strings.Join(j.Verdict.Remarks, "\n"), c.want) {
			t.Errorf("%s: %s, %q", c.name, j.Verdict.Says, j.Verdict.Remarks)
		}
	}
}

// TestCarriedReadingsAreEvidence: measured at the control unit the coil of the
// metering valve speaks for its plug X5 too, which lies on the line; at the
// valve itself it speaks for what the guide names alone.
func TestCarriedReadingsAreEvidence(t *testing.T) {
	a := open(t)
	share := func(fault guide.ID, log ...string) (was, is float64, spoke bool) {
		q, err := a.Suspects(app.Job{Ask: app.Ask{Machine: "V3"}, Codes: []string{"P0087"}, Log: log})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range q.Belief.Suspects {
			if s.Fault == fault {
				return s.Prior, s.Share, slices.ContainsFunc(append(s.For, s.Against...), func(x suspect.Spoke) bool { return strings.Contains(x.Says, "T58") })
			}
		}
		t.Fatalf("no suspect %s", fault)
		return 0, 0, false
	}
	_, before, _ := share("F11")
	_, after, spoke := share("F11", "T58 at EL01: 4.2 Ω, unplugged, leads zeroed together, valve 20 °C")
	if !spoke || after < 2*before {
		t.Errorf("too much resistance at the control unit: F11 %.3f to %.3f, spoke %v", before, after, spoke)
	}
	_, good, _ := share("F11", "T58 at EL01: 0.63 Ω, unplugged, leads zeroed together, valve 20 °C, using low-ohm")
	if good > before/2 {
		t.Errorf("a good value at the control unit: F11 %.3f to %.3f", before, good)
	}
	n, err := a.Next(app.Job{Ask: app.Ask{Machine: "V3"}, Codes: []string{"P0087"}, Log: []string{"T58 at EL01: 4.2 Ω, unplugged, leads zeroed together, valve 20 °C"}}, app.Detail{})
	if err != nil || n.Log[0].Verdict.Outcome != reading.NonConforming {
		t.Fatalf("next: %v", err)
	}
	w, err := a.Circuit(app.Job{Ask: app.Ask{Machine: "V3"}, Log: []string{"T58 at EL01: 4.2 Ω, unplugged, leads zeroed together, valve 20 °C"}}, app.Wires{Of: "AC07"})
	if err != nil || len(w.Elsewhere) != 0 {
		t.Errorf("drawing: %v, %d readings without a place", err, len(w.Elsewhere))
	}
}
