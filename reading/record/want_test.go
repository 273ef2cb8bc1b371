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

// answerTo reads a table with every guessed channel taken as settled, the
// others settled as said, and returns the answer to one question.
func answerTo(t *testing.T, text string, settle map[string]string, q Question) Answer {
	t.Helper()
	format, list := Look([]byte(text), true, Says{})
	if len(list) > 0 {
		t.Fatal(list)
	}
	m := Map(&format, Mapping{}, nil)
	for _, c := range m.Channels {
		meaning, in := c.Meaning, c.In
		if s, ok := settle[c.Name]; ok {
			meaning, in, _ = strings.Cut(s, "|")
		}
		if err := m.Settle(c.Name, c.Unit, c.Nth, meaning, in); err != nil {
			t.Fatal(err)
		}
	}
	rec := Read(strings.NewReader(text), Request{Mapping: m, Questions: []Question{q}})
	if rec.Outcome != Whole {
		t.Fatalf("%s: %s", rec.Outcome, rec.Findings)
	}
	return rec.Answers[0]
}

func wanted(t *testing.T, text string, when ...string) Question {
	t.Helper()
	q := Question{Name: "test"}
	if err := q.Want(text, nil, nil); err != nil {
		t.Fatal(err)
	}
	for _, s := range when {
		c, err := guide.Parse[guide.Clause](s)
		if err != nil {
			t.Fatal(err)
		}
		q.When = append(q.When, c)
	}
	return q
}

func TestWantReadsWhatItPrints(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"a channel", "rail  pressure", "rail pressure"},
		{"two channels", "rail pressure commanded minus rail pressure", "rail pressure commanded minus rail pressure"},
		{"sides", "lambda right, lambda left", "lambda right, lambda left"},
		{"a time", "time until coolant is 82 °C", "time until coolant 82 °C"},
		{"a time downwards", "time until rail pressure <= 5 bar", "time until rail pressure <= 5 bar"},
		{"between two levels", "time from flap 5 % to flap 95 %", "time from flap >= 5 % to flap >= 95 %"},
		{"and back", "time from flap 95 % to flap 5 %", "time from flap <= 95 % to flap <= 5 %"},
		{"a figure", "Rate of vacuum", "rate of vacuum"},
		{"pulses", "pattern of crank signal", "pattern of crank signal"},
	} {
		q := Question{}
		if err := q.Want(c.text, nil, nil); err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := q.Wanted(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		again := Question{}
		if err := again.Want(q.Wanted(), nil, nil); err != nil || again.Wanted() != q.Wanted() {
			t.Errorf("%s: read back %q, %v", c.name, again.Wanted(), err)
		}
	}
	for _, c := range []struct{ name, text, want string }{
		{"nothing", " ", "nothing is named"},
		{"a time to nowhere", "time until coolant", "names no channel with a value"},
		{"no to", "time from flap 5 %", "no \" to \""},
		{"no way", "time from flap 5 % to flap 5 %", "no way to go"},
		{"half a difference", "minus coolant", ""},
		{"a comma too many", "lambda right,", "nothing behind"},
	} {
		q := Question{Judged: "kept"}
		err := q.Want(c.text, nil, nil)
		if c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want) || q.Judged != "kept") {
			t.Errorf("%s: %v, %+v", c.name, err, q)
		}
	}
}

// FuzzWant: nothing that is written makes it panic, and what is read prints so
// that it reads back the same.
func FuzzWant(f *testing.F) {
	for _, s := range []string{"coolant", "a minus b", "a, b", "time until coolant 82 °C", "time from a 5 % to b >= 3 V", "rate of x", "time until <= 5 bar", "pattern of", "a over  b over c", "time until x > 5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var q, again Question
		if q.Want(text, nil, nil) != nil {
			return
		}
		printed := q.Wanted()
		if err := again.Want(printed, nil, nil); err != nil || again.Wanted() != printed {
			t.Fatalf("%q prints %q and reads back %q, %v", text, printed, again.Wanted(), err)
		}
	})
}

// warming is a recording of a warm-up: still for some seconds, then the engine
// runs and the coolant rises by so much a minute.
func warming(still, minutes int, from, perMinute float64) string {
	var b strings.Builder
	b.WriteString("time (s),coolant temp (°C),engine speed (rpm),road speed (km/h)\n")
	for i := range still + 60*minutes {
		coolant, speed, road := from, 0.0, 0.0
		if i >= still {
			coolant += perMinute / 60 * float64(i-still)
			speed, road = 1800, 50
			if i < still+20 {
				road = 0
			}
		}
		fmt.Fprintf(&b, "%d,%.3f,%.0f,%.0f\n", i, coolant, speed, road)
	}
	return b.String()
}

// TestTimeUntil: T16 of the demonstration, from 20 °C to 82 °C in at most nine
// minutes. The answers follow from the straight lines that were written.
func TestTimeUntil(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A"}}})
	if err != nil {
		t.Fatal(err)
	}
	check := r.Check("T16")
	for _, c := range []struct {
		name      string
		text      string
		minutes   float64
		beyond    bool
		outcome   reading.Outcome
		stretches int
	}{
		{"sound: 7.75 min at 8 K a minute", warming(30, 12, 20, 8), 7.75, false, reading.Conforming, 1},
		{"slow: 12.4 min at 5 K a minute", warming(0, 15, 20, 5), 12.4, false, reading.NonConforming, 1},
		{"never reached, and longer than the limit", warming(30, 14, 20, 2), 14 - 1.0/60, true, reading.NonConforming, 1},
		{"never reached, but the recording is too short", warming(30, 5, 20, 8), 5 - 1.0/60, true, reading.NotComparable, 1},
		{"it began too warm", warming(30, 9, 45, 8), 0, false, reading.NotComparable, 0},
		{"the engine never ran", warming(300, 0, 20, 8), 0, false, reading.NotComparable, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			format, _ := Look([]byte(c.text), true, Says{})
			m := Map(&format, Mapping{}, nil)
			q := Ask(check, &check.Limits[0], m)
			if q.Run == nil || q.Wanted() != "time until coolant 82 °C" || q.Guess == "" {
				t.Fatalf("asked for %q: %+v", q.Wanted(), q)
			}
			a := answerTo(t, c.text, nil, q)
			all := Judge(r, check, a, nil, reading.Options{})
			if len(all) != c.stretches {
				t.Fatalf("%d runs: %s", len(all), a.Says)
			}
			if c.stretches == 0 {
				return
			}
			s := a.Stretches[0]
			if s.Judged.Unit != "min" || math.Abs(s.Judged.Mean-c.minutes) > 0.02 || s.Beyond != c.beyond {
				t.Errorf("%v %s, beyond %v; want %v min", s.Judged.Mean, s.Judged.Unit, s.Beyond, c.minutes)
			}
			if remarks := strings.Join(all[0].Verdict.Remarks, "; "); !strings.Contains(remarks, "road speed went from 0 to 50 km/h meanwhile") {
				t.Errorf("nothing says that the road speed is a mean: %s", remarks)
			}
			if all[0].Verdict.Outcome != c.outcome {
				t.Errorf("%s: %s", all[0].Verdict.Outcome, all[0].Verdict.Says)
			}
		})
	}
	if a := answerTo(t, warming(30, 9, 45, 8), nil, Ask(check, &check.Limits[0], mapOf(t, warming(1, 1, 20, 8)))); !strings.Contains(a.Says, "the nearest was 45 °C") {
		t.Error(a.Says)
	}
}

func mapOf(t *testing.T, text string) Mapping {
	t.Helper()
	f, list := Look([]byte(text), true, Says{})
	if len(list) > 0 {
		t.Fatal(list)
	}
	return Map(&f, Mapping{}, nil)
}

// TestTimeBetweenLevels: a flap goes from 0 to 100 % in two seconds and back in
// one, twice; the third time it sticks at 60 %.
func TestTimeBetweenLevels(t *testing.T) {
	var b strings.Builder
	b.WriteString("time (s),flap (%)\n")
	v := func(at float64) float64 {
		switch in := math.Mod(at, 10); {
		case in < 1:
			return 0
		case in < 3 && at < 20:
			return 50 * (in - 1)
		case in < 3:
			return min(60, 50*(in-1))
		case in < 5 && at < 20:
			return 100
		case in < 5 || at > 20:
			return 60
		default:
			return max(0, 100-100*(in-5))
		}
	}
	for i := range 2800 {
		fmt.Fprintf(&b, "%.2f,%.2f\n", float64(i)/100, v(float64(i)/100))
	}
	settle := map[string]string{"flap": "flap|%"}
	up := answerTo(t, b.String(), settle, wanted(t, "time from flap 5 % to flap 95 %"))
	if len(up.Stretches) != 3 || math.Abs(up.Stretches[0].Judged.Mean-1.8) > 0.001 || math.Abs(up.Stretches[1].Judged.Mean-1.8) > 0.001 || !up.Stretches[2].Beyond {
		t.Fatalf("%+v", up.Stretches)
	}
	if u := up.Stretches[0].Judged.Uncertainty; u < 0.003 || u > 0.02 { // 10 ms between rows
		t.Errorf("uncertainty %v s", u)
	}
	down := answerTo(t, b.String(), settle, wanted(t, "time from flap 95 % to flap 5 %"))
	if len(down.Stretches) != 2 || math.Abs(down.Stretches[0].Judged.Mean-0.9) > 0.001 {
		t.Errorf("%+v", down.Stretches)
	}
}

// TestTwoChannelsAsOne: the difference, sum and quotient of two channels that
// are written at different times and in different units.
func TestTwoChannelsAsOne(t *testing.T) {
	var b strings.Builder
	b.WriteString("time (s),commanded (bar),actual (kPa),housing (°F),coolant (°C)\n")
	rng := rand.New(rand.NewPCG(3, 4))
	for i := range 400 {
		b.WriteString(fmt.Sprintf("%.1f,", float64(i)/10))
		if i%2 == 0 {
			fmt.Fprintf(&b, "%.3f,", 200+0.01*rng.NormFloat64())
		} else {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, "%.2f,%.2f,%.2f\n", 15000+rng.NormFloat64(), 194+0.02*rng.NormFloat64(), 82+0.01*rng.NormFloat64())
	}
	settle := map[string]string{"commanded": "commanded|bar", "actual": "actual|kPa", "housing": "housing|°F", "coolant": "coolant|°C"}
	for _, c := range []struct {
		name, text, unit string
		want             float64
	}{
		{"bar less kPa", "commanded minus actual", "bar", 50},
		{"bar and kPa", "commanded plus actual", "bar", 350},
		{"bar over kPa", "commanded over actual", "1", 200.0 / 150},
		{"°F less °C is in kelvin", "housing minus coolant", "K", 8}, // 194 °F = 90 °C
		{"°C less °F", "coolant minus housing", "K", -8},
	} {
		a := answerTo(t, b.String(), settle, wanted(t, c.text))
		if len(a.Stretches) != 1 || a.Stretches[0].Judged.Unit != c.unit || math.Abs(a.Stretches[0].Judged.Mean-c.want) > 0.01 {
			t.Errorf("%s: %s %+v", c.name, a.Says, a.Stretches)
		}
	}
	if a := answerTo(t, b.String(), settle, wanted(t, "commanded minus coolant")); len(a.Stretches) != 0 || !strings.Contains(strings.Join(a.Missing, " "), "make nothing together") {
		t.Errorf("bar less °C: %s %q", a.Says, a.Missing)
	}
}

// TestGuessesFromTheNameOfACheck: what several channels, a time or pulses are
// judged by is told from the name of the check, and marked as a guess.
func TestGuessesFromTheNameOfACheck(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	m := Mapping{Channels: []Channel{
		{Name: "a", Nth: 1, Meaning: "coolant", In: "°C"},
		{Name: "b", Nth: 1, Meaning: "housing", In: "°C"},
		{Name: "c", Nth: 1, Meaning: "rail pressure", In: "bar"},
		{Name: "d", Nth: 1, Meaning: "rail pressure commanded", In: "bar"},
		{Name: "e", Nth: 1, Meaning: "lambda right", In: "1"},
		{Name: "f", Nth: 1, Meaning: "lambda left", In: "1"},
		{Name: "g", Nth: 1, Meaning: "oil", In: "°C"},
		{Name: "h", Nth: 1, Meaning: "intake air", In: "°C"},
		{Name: "i", Nth: 1, Meaning: "radiator outlet", In: "°C"},
		{Name: "j", Nth: 1, Meaning: "signal", In: "V"},
		{Name: "k", Nth: 1, Meaning: "oil pressure", In: "bar"},
		{Name: "l", Nth: 1, Meaning: "manifold pressure", In: "kPa"},
		{Name: "m", Nth: 1, Meaning: "barometer", In: "kPa"},
		{Name: "n", Nth: 1, Meaning: "vacuum", In: "hPa"},
	}}
	for check, want := range map[string]string{
		"T14": "housing minus coolant",
		"T56": "rail pressure commanded minus rail pressure",
		"T67": "lambda right, lambda left",
		"T13": "coolant, oil, intake air, radiator outlet",
		"T16": "time until coolant 82 °C",
		"T27": "pattern of signal",
		"T55": "rail pressure",
		"T41": "manifold pressure minus barometer",
		"T48": "drop of vacuum",
		"T40": "", // no channel of the noise level
	} {
		c := g.Checks[indexOf(t, g, guide.ID(check))]
		q := Ask(&c, &c.Limits[0], m)
		if q.Wanted() != want || want != "" && q.Guess == "" {
			t.Errorf("%s %q: %q, want %q", check, c.Name, q.Wanted(), want)
		}
	}
}

// TestHeldConditions: "held >= 3 s" is how long the others hold, not a channel.
func TestHeldConditions(t *testing.T) {
	q := wanted(t, "rail pressure", "held >= 3 s", "speed 3400..3600 rpm")
	if q.hold() != 3 {
		t.Errorf("hold %v s", q.hold())
	}
	d := newDrive(11)
	d.part(20, flat(90), flat(800), flat(300)).part(8, flat(90), flat(3500), flat(950)).part(10, flat(90), flat(800), flat(300))
	q.Judged = "manifold pressure"
	q.Demand = NoneSteady
	a := d.read(t, q).Answers[0]
	if len(a.Stretches) != 1 || len(a.Missing) != 0 {
		t.Fatalf("%s %q", a.Says, a.Missing)
	}
	if h, ok := held(a.Question, a.Stretches[0]); !ok || h.Value.Number < 3 {
		t.Errorf("%+v", h)
	}
}

// TestRates: a vacuum that is lost by one hPa a second.
func TestRates(t *testing.T) {
	var b strings.Builder
	b.WriteString("time (s),vacuum (hPa)\n")
	rng := rand.New(rand.NewPCG(5, 6))
	for i := range 600 {
		fmt.Fprintf(&b, "%.1f,%.1f\n", float64(i)/10, 400-float64(i)/10+0.3*rng.NormFloat64())
	}
	settle := map[string]string{"vacuum": "vacuum|hPa"}
	a := answerTo(t, b.String(), settle, wanted(t, "rate of vacuum"))
	if len(a.Stretches) != 1 {
		t.Fatal(a.Says)
	}
	s := a.Stretches[0]
	if math.Abs(s.Judged.Slope+1) > 4*s.Judged.SlopeU || s.Judged.SlopeU <= 0 || s.Judged.SlopeU > 0.01 {
		t.Errorf("%v ± %v hPa/s, want -1", s.Judged.Slope, 2*s.Judged.SlopeU)
	}
	limit, err := guide.Parse[guide.Limit]("rate <= 20 hPa per 30 s")
	if err != nil {
		t.Fatal(err)
	}
	check := &guide.Check{ID: "T48", Name: "loss of vacuum", Limits: []guide.Limit{limit}}
	r := &guide.Resolved{Guide: &guide.Guide{Checks: []guide.Check{*check}}}
	all := Judge(r, check, a, nil, reading.Options{})
	if all[0].Verdict.Outcome != reading.NonConforming || math.Abs(all[0].Verdict.Parts[0].Value.Number-30) > 0.5 {
		t.Errorf("30 hPa in 30 s: %s", all[0].Verdict.Says)
	}
	drop := answerTo(t, b.String(), settle, wanted(t, "drop of vacuum", "hold >= 30 s"))
	if p := drop.Stretches[0].change(drop.Question); math.Abs(p.Value.Number-30) > 0.5 || p.Value.Unit != "hPa" {
		t.Errorf("drop over the time that is asked for: %v", p.Value)
	}
	if len(s.odd()) != 0 {
		t.Errorf("a straight line: %q", s.odd())
	}
	var bend strings.Builder
	bend.WriteString("time (s),vacuum (hPa)\n")
	for i := range 600 {
		fmt.Fprintf(&bend, "%.1f,%.2f\n", float64(i)/10, 400*math.Exp(-float64(i)/100)+0.05*rng.NormFloat64())
	}
	bent := answerTo(t, bend.String(), settle, wanted(t, "rate of vacuum")).Stretches[0]
	if bent.Judged.SlopeU < 3*s.Judged.SlopeU || !strings.Contains(strings.Join(bent.odd(), " "), "not change evenly") {
		t.Errorf("a bent line: ± %v, %q", 2*bent.Judged.SlopeU, bent.odd())
	}
}

// TestLostVacuum: T48 of the demonstration. A vacuum of 400 hPa is pumped up,
// watched for 30 s and let go, twice: it loses 12 hPa, then 45.
func TestLostVacuum(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A"}}})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("time (s),vacuum (hPa)\n")
	now := 0.0
	part := func(seconds, from, to float64) {
		for i := range int(seconds * 5) {
			fmt.Fprintf(&b, "%.1f,%.1f\n", now, from+(to-from)*float64(i)/(seconds*5))
			now += 0.2
		}
	}
	for _, loss := range []float64{12, 45} {
		part(4, 0, 400)
		part(36, 400, 400-1.2*loss)
		part(2, 300, 0)
		part(5, 0, 0)
	}
	check := r.Check("T48")
	q := Ask(check, &check.Limits[0], Mapping{Channels: []Channel{{Name: "vacuum", Unit: "hPa", Nth: 1, Meaning: "vacuum", In: "hPa"}}})
	a := answerTo(t, b.String(), map[string]string{"vacuum": "vacuum|hPa"}, q)
	all := Judge(r, check, a, []reading.Stated{{Text: "without current"}}, reading.Options{})
	if len(all) != 2 {
		t.Fatalf("%d stretches: %s", len(all), a.Says)
	}
	for i, want := range []struct {
		lost    float64
		outcome reading.Outcome
	}{{12, reading.Conforming}, {45, reading.NonConforming}} {
		v := all[i].Verdict
		if v.Outcome != want.outcome || math.Abs(v.Parts[0].Value.Number-want.lost) > 0.3 || math.Abs(all[i].Stretch.Start.Number-400) > 1 {
			t.Errorf("%d: %s from %s", i, v.Says, all[i].Stretch.Start)
		}
	}
}

// crank is the signal of a sensor at a wheel of so many teeth of which some are
// missing, sampled at 20 kHz while it turns unevenly, as when cranking. Teeth
// named in lost give no pulse in every turn, those in moved come late.
func crank(teeth, missing, turns int, rpm float64, lost, moved []int) string {
	var b strings.Builder
	b.WriteString("time (s),signal (V)\n")
	rng := rand.New(rand.NewPCG(7, 8))
	angle := 0.0
	for i := 0; angle < float64(turns); i++ {
		now := float64(i) / 20000
		angle += rpm / 60 / 20000 * (1 + 0.2*math.Sin(2*math.Pi*3*angle))
		tooth := math.Mod(angle, 1) * float64(teeth)
		n, in := int(tooth), tooth-math.Floor(tooth)
		for _, k := range moved {
			if k == n {
				in -= 0.3
			}
		}
		v := 0.12
		if in >= 0 && in < 0.5 && n < teeth-missing && !slicesContain(lost, n) {
			v = 4.9
		}
		fmt.Fprintf(&b, "%.5f,%.2f\n", now, v+0.02*rng.NormFloat64())
	}
	return b.String()
}

func slicesContain(list []int, x int) bool {
	for _, k := range list {
		if k == x {
			return true
		}
	}
	return false
}

// TestPulses: the wheel of 60-2 is that of a published data sheet of a Hall
// speed sensor (HA-Di: target wheel 60-2). The check is T27.
func TestPulses(t *testing.T) {
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	r, err := guide.Resolve(g, guide.Selector{{Values: []guide.ID{"LHD"}}, {Values: []guide.ID{"A"}}})
	if err != nil {
		t.Fatal(err)
	}
	check := r.Check("T27")
	for _, c := range []struct {
		name    string
		text    string
		perTurn int
		missing int
		differ  int
		odd     bool
		outcome reading.Outcome
	}{
		{"60-2, uneven as in cranking", crank(60, 2, 8, 220, nil, nil), 58, 2, 0, false, reading.Conforming},
		{"36-1", crank(36, 1, 8, 220, nil, nil), 35, 1, 0, false, reading.NonConforming},
		{"a lost tooth in every turn", crank(60, 2, 8, 220, []int{20}, nil), 37, 2, 0, false, reading.NonConforming},
		{"a tooth out of place", crank(60, 2, 8, 220, nil, []int{30}), 58, 2, 0, true, reading.Conforming},
		{"too slow", crank(60, 2, 5, 100, nil, nil), 58, 2, 0, false, reading.NotComparable},
	} {
		t.Run(c.name, func(t *testing.T) {
			q := Ask(check, nil, mapOf(t, c.text))
			if err := q.Want("pattern of signal", check, nil); err != nil {
				t.Fatal(err)
			}
			a := answerTo(t, c.text, map[string]string{"signal": "signal|V"}, q)
			if len(a.Stretches) != 1 || a.Stretches[0].Pattern == nil {
				t.Fatal(a.Says)
			}
			p := a.Stretches[0].Pattern
			if p.PerTurn != c.perTurn && p.Other != c.perTurn || p.Missing != c.missing || p.Odd > 0 != c.odd || !p.Square || p.Turns < 3 {
				t.Errorf("%d (%d differ: %d) per turn, gap of %d, %d odd, %d turns, square %v", p.PerTurn, p.Differ, p.Other, p.Missing, p.Odd, p.Turns, p.Square)
			}
			if math.Abs(p.Low.Mean-0.12) > 0.01 || math.Abs(p.High.Mean-4.9) > 0.01 || math.Abs(p.Duty.Mean-50) > 3 {
				t.Errorf("levels %v and %v V, duty %v %%", p.Low.Mean, p.High.Mean, p.Duty.Mean)
			}
			v := Judge(r, check, a, nil, reading.Options{})[0].Verdict
			if v.Outcome != c.outcome {
				t.Errorf("%s: %s", v.Outcome, v.Says)
			}
		})
	}
}

// TestSignalsWithoutPulses: a flat line, a slow slope and a signal that begins
// late are told apart from a square wave.
func TestSignalsWithoutPulses(t *testing.T) {
	settle := map[string]string{"signal": "signal|V"}
	table := func(v func(i int) float64) string {
		var b strings.Builder
		b.WriteString("time (s),signal (V)\n")
		for i := range 60000 {
			fmt.Fprintf(&b, "%.4f,%.3f\n", float64(i)/10000, v(i))
		}
		return b.String()
	}
	square := func(i int) float64 { return 5 * float64(i/50%2) }
	for _, c := range []struct {
		name   string
		v      func(i int) float64
		square bool
		pulses int
		words  string
	}{
		{"flat", func(int) float64 { return 5 }, false, 0, "0 pulses and no gap"},
		{"a slope", func(i int) float64 { return float64(i) / 12000 }, false, 0, "no square wave"},
		{"square", square, true, 600, "600 pulses and no gap"},
		{"it begins after three seconds", func(i int) float64 { return square(i) * float64(i/30000) }, true, 300, "pulses and no gap"},
	} {
		p := answerTo(t, table(c.v), settle, wanted(t, "pattern of signal")).Stretches[0].Pattern
		if p.Square != c.square || c.pulses != 0 && abs(float64(p.Pulses-c.pulses)) > 2 || !strings.Contains(strings.Join(p.Words(), "; "), c.words) {
			t.Errorf("%s: %d pulses, square %v, %q", c.name, p.Pulses, p.Square, p.Words())
		}
	}
	duty := answerTo(t, table(func(i int) float64 {
		if i%100 < 30 {
			return 12
		}
		return 0
	}), settle, wanted(t, "duty of signal")).Stretches[0]
	if duty.Judged.Unit != "%" || math.Abs(duty.Judged.Mean-30) > 1 {
		t.Errorf("duty %v %s", duty.Judged.Mean, duty.Judged.Unit)
	}
	f := answerTo(t, table(square), settle, wanted(t, "frequency of signal")).Stretches[0]
	if f.Judged.Value(f.Judged.Mean).Dimension() != quantity.Frequency || math.Abs(f.Judged.Mean-100) > 0.5 {
		t.Errorf("%v %s", f.Judged.Mean, f.Judged.Unit)
	}
}
