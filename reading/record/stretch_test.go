package record

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
)

// drive writes a recording of an engine at ten rows a second: every part of
// it says for how long, and what coolant, speed and manifold pressure do.
type drive struct {
	b    strings.Builder
	rng  *rand.Rand
	now  float64
	line int
}

func newDrive(seed uint64) *drive {
	d := &drive{rng: rand.New(rand.NewPCG(seed, 9)), line: 1}
	d.b.WriteString("time (s),coolant temp (°C),engine speed (rpm),manifold pressure (hPa)\n")
	return d
}

// part goes on for some seconds from the first to the second of each pair,
// with noise of a tenth of a kelvin, 4 rpm and 2 hPa.
func (d *drive) part(seconds float64, coolant, speed, pressure [2]float64) *drive {
	n := int(seconds * 10)
	for i := range n {
		f := float64(i) / float64(n)
		at := func(p [2]float64, noise float64) float64 { return p[0] + f*(p[1]-p[0]) + noise*d.rng.NormFloat64() }
		fmt.Fprintf(&d.b, "%.1f,%.1f,%.0f,%.1f\n", d.now, at(coolant, 0.1), at(speed, 4), at(pressure, 2))
		d.now += 0.1
		d.line++
	}
	return d
}

func flat(v float64) [2]float64 { return [2]float64{v, v} }

func (d *drive) read(t *testing.T, questions ...Question) *Recording {
	t.Helper()
	first := Read(strings.NewReader(d.b.String()), Request{})
	m := Map(&first.Format, Mapping{}, nil)
	for _, c := range m.Channels {
		if err := m.Settle(c.Name, c.Unit, c.Nth, c.Meaning, c.In); err != nil {
			t.Fatal(err)
		}
	}
	rec := Read(strings.NewReader(d.b.String()), Request{Mapping: m, Questions: questions})
	if rec.Outcome != Whole {
		t.Fatalf("%s: %s", rec.Outcome, rec.Findings)
	}
	return rec
}

func idleQuestion(t *testing.T) Question {
	t.Helper()
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	check := g.Checks[indexOf(t, g, "T42")]
	return Question{Name: "T42", Judged: "manifold pressure", When: check.When, Hold: 20}
}

func indexOf(t *testing.T, g *guide.Guide, id guide.ID) int {
	t.Helper()
	for i, c := range g.Checks {
		if c.ID == id {
			return i
		}
	}
	t.Fatalf("the demonstration has no check %s", id)
	return 0
}

func TestStretches(t *testing.T) {
	for _, c := range []struct {
		name, reason string
		drive        *drive
		want         [][2]float64 // earliest beginning, and end within three seconds
		says         string       // part of the sentence
		ended        string       // part of why the first ended
	}{
		{
			"warm idle", "a minute of steady idle after a drive is found without its transients",
			newDrive(1).part(40, [2]float64{85, 90}, flat(2500), flat(450)).part(5, flat(90), [2]float64{2500, 750}, [2]float64{450, 330}).part(60, flat(90), flat(750), flat(330)).part(20, flat(90), flat(2500), flat(450)),
			[][2]float64{{56, 104}},
			"once", "left speed",
		},
		{
			"cold", "the coolant never gets warm: no stretch, and that is said",
			newDrive(2).part(90, [2]float64{20, 60}, flat(750), flat(330)), nil, "coolant >= 80 °C was never met: it was", "",
		},
		{
			"too short", "warm idle for twelve seconds only",
			newDrive(3).part(30, flat(90), flat(2500), flat(450)).part(22, flat(90), flat(750), flat(330)).part(30, flat(90), flat(2500), flat(450)),
			nil, "20 s are needed", "",
		},
		{
			"drifting", "idle in range, but the pressure drifts all the time",
			newDrive(4).part(60, flat(90), flat(750), [2]float64{300, 900}), nil, "never steadily", "",
		},
		{
			"two", "a snap of the throttle parts two stretches",
			newDrive(5).part(60, flat(90), flat(750), flat(330)).part(2, flat(90), flat(1900), flat(500)).part(60, flat(90), flat(750), flat(330)),
			[][2]float64{{12, 59}, {74, 121}},
			"2 times", "left speed",
		},
		{
			"step within range", "a step of the judged channel parts two stretches although every condition holds",
			newDrive(6).part(60, flat(90), flat(750), flat(300)).part(60, flat(90), flat(750), flat(360)),
			[][2]float64{{12, 59}, {72, 119}},
			"2 times", "was not steady",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := c.drive.read(t, idleQuestion(t)).Answers[0]
			if len(a.Stretches) != len(c.want) || !strings.Contains(a.Says, c.says) {
				t.Fatalf("%s: %d stretches, want %d: %s\n%+v", c.reason, len(a.Stretches), len(c.want), a.Says, a.Stretches)
			}
			for i, s := range a.Stretches {
				if s.From < c.want[i][0] || s.From > c.want[i][0]+14 || math.Abs(s.To-c.want[i][1]) > 3 {
					t.Errorf("%s: stretch %.1f to %.1f s, want %v", c.reason, s.From, s.To, c.want[i])
				}
				if s.Rows < 150 || s.Last-s.First != s.Rows-1 {
					t.Errorf("%s: %d rows from line %d to %d", c.reason, s.Rows, s.First, s.Last)
				}
				if s.Judged.Scatter > 3 {
					t.Errorf("%s: the transient is within: scatter %.1f", c.reason, s.Judged.Scatter)
				}
			}
			if len(a.Stretches) > 0 && !strings.Contains(a.Stretches[0].Ended, c.ended) {
				t.Errorf("%s: ended because %q, want %q", c.reason, a.Stretches[0].Ended, c.ended)
			}
			if want := []string{"no loads"}; len(a.Confirm) != 1 || a.Confirm[0] != want[0] {
				t.Errorf("to confirm: %q, want %q", a.Confirm, want)
			}
			if len(a.Missing) != 1 || !strings.Contains(a.Missing[0], "altitude") {
				t.Errorf("missing: %q, want the altitude", a.Missing)
			}
		})
	}
}

func TestGapEndsAStretch(t *testing.T) {
	d := newDrive(7).part(60, flat(90), flat(750), flat(330))
	d.now += 25
	d.part(60, flat(90), flat(750), flat(330))
	a := d.read(t, idleQuestion(t)).Answers[0]
	if len(a.Stretches) != 2 || !strings.Contains(a.Stretches[0].Ended, "without a row") {
		t.Fatalf("%s %+v", a.Says, a.Stretches)
	}
	if s := a.Stretches[1]; s.From < 85 {
		t.Errorf("the second begins at %.1f s, before the rows do", s.From)
	}
}

func TestSwingIsReported(t *testing.T) {
	var b strings.Builder
	b.WriteString("time (s),speed (rpm),pressure (bar)\n")
	rng := rand.New(rand.NewPCG(5, 5))
	for i := range 900 {
		fmt.Fprintf(&b, "%d,%.1f,%.3f\n", i, 750+rng.NormFloat64(), 2+0.1*float64(i%2*2-1)+0.01*rng.NormFloat64())
	}
	m := Mapping{Channels: []Channel{{"speed", "rpm", 1, "speed", "rpm", ""}, {"pressure", "bar", 1, "oil pressure", "bar", ""}}}
	rec := Read(strings.NewReader(b.String()), Request{Mapping: m, Questions: []Question{{Name: "Q", Judged: "oil pressure", When: []guide.Clause{clause(t, "speed 700..800 rpm")}}}})
	a := rec.Answers[0]
	if len(a.Stretches) == 0 || !a.Stretches[0].Judged.Swings() || a.Stretches[0].Others[0].Swings() {
		t.Fatalf("%s %+v", a.Says, a.Stretches)
	}
	if !strings.Contains(strings.Join(a.Stretches[0].remarks(), "\n"), "oil pressure swings") {
		t.Errorf("remarks: %q", a.Stretches[0].remarks())
	}
}

// TestFalseAlarms lets 20,000 s of steady noise pass: the time lost to false
// transients must stay small, as P(R > 2.5) = 1.9e-4 of steady values.
func TestFalseAlarms(t *testing.T) {
	a := newDrive(8).part(6000, flat(90), flat(750), flat(330)).read(t, idleQuestion(t)).Answers[0]
	kept := 0.0
	for _, s := range a.Stretches {
		kept += s.Seconds()
	}
	if kept < 0.95*6000 || len(a.Stretches) > 12 {
		t.Errorf("%d stretches with %.0f of 6000 s", len(a.Stretches), kept)
	}
}

func TestSeveralRates(t *testing.T) {
	var b strings.Builder
	b.WriteString("time (s),speed (rpm),coolant (°C)\n")
	for i := range 1200 {
		coolant := ""
		if i%50 == 0 {
			coolant = "90.0"
		}
		fmt.Fprintf(&b, "%.1f,%d,%s\n", float64(i)/10, 750+i%3, coolant)
	}
	m := Mapping{Channels: []Channel{{"speed", "rpm", 1, "speed", "rpm", ""}, {"coolant", "°C", 1, "coolant", "°C", ""}}}
	rec := Read(strings.NewReader(b.String()), Request{Mapping: m, Questions: []Question{{Name: "Q", Judged: "speed", When: []guide.Clause{clause(t, "coolant >= 80 °C")}}}})
	a := rec.Answers[0]
	if len(a.Stretches) != 1 || a.Stretches[0].Seconds() < 90 || a.Stretches[0].Others[0].N > 24 {
		t.Errorf("a channel that is written every five seconds counts as known between: %s %+v", a.Says, a.Stretches)
	}
}

// TestHandOver judges stretches of good and bad idles on the demonstration.
func TestHandOver(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A"}}})
	if err != nil {
		t.Fatal(err)
	}
	check := r.Check("T42")
	said := []reading.Stated{{Text: "no loads"}, {Subject: "altitude", Value: quantity.Of(120, "m"), Text: "altitude 120 m"}}
	for _, c := range []struct {
		name     string
		pressure float64
		said     []reading.Stated
		want     reading.Outcome
	}{
		{"well inside 280..380 hPa", 330, said, reading.Conforming},
		{"well above", 420, said, reading.NonConforming},
		{"on the bound", 380, said, reading.TooClose},
		{"nobody confirmed the words", 330, nil, reading.NotComparable},
	} {
		d := newDrive(11).part(90, flat(90), flat(750), flat(c.pressure))
		all := Judge(r, check, d.read(t, idleQuestion(t)).Answers[0], c.said, reading.Options{})
		if len(all) == 0 {
			t.Fatalf("%s: no stretch", c.name)
		}
		outcome, says := Agree(all)
		if outcome != c.want {
			t.Errorf("%s: %s: %s\n%+v", c.name, says, all[0].Verdict.Says, all[0].Verdict.Conditions)
		}
		if c.want == reading.Conforming {
			b := all[0].Verdict.Parts[0].Budget
			if u := all[0].Stretch.Judged.Uncertainty; math.Abs(b.Standard-u) > 0.02*u {
				t.Errorf("%s: the budget has %g, the stretch %g: %+v", c.name, b.Standard, u, b)
			}
		}
	}
}

func TestLeastIsHandedOver(t *testing.T) {
	var b strings.Builder
	b.WriteString("time (s),battery (V)\n")
	for i := range 300 {
		v := 12.4
		if i > 100 && i < 200 {
			v = 10.2 + 0.3*math.Sin(float64(i))
		}
		fmt.Fprintf(&b, "%.2f,%.2f\n", float64(i)/20, v)
	}
	m := Mapping{Channels: []Channel{{"battery", "V", 1, "battery voltage", "V", ""}}}
	check := &guide.Check{ID: "T02", Name: "minimum battery voltage while cranking"}
	q := Ask(check, nil, m)
	if q.Judged != "battery voltage" || q.Use != UseLeast || q.Guess == "" || q.demand() != NoneSteady {
		t.Fatalf("%+v", q)
	}
	q.Hold = 3
	a := Read(strings.NewReader(b.String()), Request{Mapping: m, Questions: []Question{q}}).Answers[0]
	if len(a.Stretches) != 1 {
		t.Fatalf("%s", a.Says)
	}
	rd := a.Stretches[0].Reading("T02", q)
	if p := rd.Parts[0]; p.Value != quantity.Of(9.9, "V") || p.Within.Zero() || p.Repeats != nil {
		t.Errorf("%+v", p)
	}
	if len(a.Stretches[0].Guesses) != 1 {
		t.Errorf("what was guessed is not marked: %q", a.Stretches[0].Guesses)
	}
}

// TestFirstReaches takes the value at the moment the conditions are met: the
// demonstration's check of the radiator outlet, in an engine whose coolant gets
// there and in one whose coolant never does.
func TestFirstReaches(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A"}}})
	if err != nil {
		t.Fatal(err)
	}
	check := r.Check("T15")
	m := Mapping{Channels: []Channel{{"ECT", "°C", 1, "coolant", "°C", ""}, {"ROT", "°C", 1, "radiator outlet", "°C", ""}}}
	warmUp := func(top float64) string {
		var b strings.Builder
		b.WriteString("time (s),ECT (°C),ROT (°C)\n")
		for i := range 900 {
			fmt.Fprintf(&b, "%d,%.1f,%.1f\n", i, min(top, 20+0.1*float64(i)), 18+0.02*float64(i))
		}
		return b.String()
	}
	q := Ask(check, nil, m)
	q.Judged = "radiator outlet"
	if q.Use != UseFirst {
		t.Fatalf("%+v", q)
	}
	a := Read(strings.NewReader(warmUp(95)), Request{Mapping: m, Questions: []Question{q}}).Answers[0]
	if len(a.Stretches) != 1 || a.Stretches[0].Judged.First != 31 {
		t.Fatalf("%s %+v", a.Says, a.Stretches)
	}
	if all := Judge(r, check, a, nil, reading.Options{}); len(all) != 1 || all[0].Verdict.Would != reading.Conforming {
		t.Errorf("%+v", all)
	}
	a = Read(strings.NewReader(warmUp(81.8)), Request{Mapping: m, Questions: []Question{q}}).Answers[0]
	if len(a.Stretches) != 0 || !strings.Contains(a.Says, "coolant >= 85 °C was never met: it was 20 °C to 81.8 °C") {
		t.Errorf("%s", a.Says)
	}
}

// TestSidesAreHandedOver judges the ratio of two channels, the demonstration's
// check of the knock sensors.
func TestSidesAreHandedOver(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A"}}})
	if err != nil {
		t.Fatal(err)
	}
	check := r.Check("T40")
	m := Mapping{Channels: []Channel{
		{"n", "rpm", 1, "speed", "rpm", ""}, {"ECT", "°C", 1, "coolant", "°C", ""}, {"KR", "V", 1, "knock right", "V", ""}, {"KL", "V", 1, "knock left", "V", ""},
	}}
	record := func(right, left float64) string {
		rng := rand.New(rand.NewPCG(40, 1))
		var b strings.Builder
		b.WriteString("time (s),n (rpm),ECT (°C),KR (V),KL (V)\n")
		for i := range 800 {
			fmt.Fprintf(&b, "%.1f,%.0f,90.0,%.3f,%.3f\n", float64(i)/10, 3000+5*rng.NormFloat64(), right+0.02*rng.NormFloat64(), left+0.02*rng.NormFloat64())
		}
		return b.String()
	}
	q := Question{Name: "T40", Judged: "knock right", Part: "right", Beside: []Target{{"left", "knock left"}}, When: check.When}
	said := []reading.Stated{{Text: "no load"}}
	for _, c := range []struct {
		right, left float64
		want        reading.Outcome
	}{{1, 1, reading.Conforming}, {0.4, 1, reading.NonConforming}} {
		a := Read(strings.NewReader(record(c.right, c.left)), Request{Mapping: m, Questions: []Question{q}}).Answers[0]
		all := Judge(r, check, a, said, reading.Options{})
		if len(all) == 0 || len(all[0].Reading.Parts) != 2 || all[0].Verdict.Outcome != c.want {
			t.Errorf("right %g, left %g: %s %+v", c.right, c.left, a.Says, all)
		}
	}
	m.Channels = m.Channels[:3]
	if a := Read(strings.NewReader(record(1, 1)), Request{Mapping: m, Questions: []Question{q}}).Answers[0]; len(a.Stretches) != 0 || len(a.Missing) != 1 {
		t.Errorf("one side is missing: %s %q", a.Says, a.Missing)
	}
}
