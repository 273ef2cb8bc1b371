package demo

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
)

// wholeEngine are the targets of tests.csv that are no item of the bay.
var wholeEngine = []string{"engine", "intake", "any plug", "any harness"}

// targets are the items of the target column.
func targets(cell string) []guide.ID {
	if slices.Contains(wholeEngine, cell) {
		return nil
	}
	if from, to, ok := strings.Cut(cell, ".."); ok {
		var out []guide.ID
		prefix := from[:2]
		for n := figures(from)[0]; n <= figures(to)[0]; n++ {
			out = append(out, guide.ID(prefix+string(rune('0'+int(n)/10))+string(rune('0'+int(n)%10))))
		}
		return out
	}
	return ids(cell)
}

// TestChecks compares every row of tests.csv with the checks.
func TestChecks(t *testing.T) {
	g := load(t)
	rows := table(t, "tests", 76)
	if len(g.Checks) < len(rows) {
		t.Fatalf("%d checks, want %d", len(g.Checks), len(rows))
	}
	for _, c := range g.Checks[len(rows):] {
		if c.Source != fromCases {
			t.Errorf("%s is neither in the table nor from the customer cases", c.ID)
		}
	}
	for i, row := range rows {
		c := g.Checks[i]
		if string(c.ID) != row["id"] {
			t.Fatalf("check %d is %s, want %s", i, c.ID, row["id"])
		}
		if !slices.Equal(c.On, targets(row["target"])) {
			t.Errorf("%s is on %v, want %s", c.ID, c.On, row["target"])
		}
		if c.Minutes != row.minutes(t, "min") {
			t.Errorf("%s takes %v, want %s min", c.ID, c.Minutes, row["min"])
		}
		if len(c.Tells) != strings.Count(row["tells_apart"], "|")+1 {
			t.Errorf("%s tells %q, want %q", c.ID, c.Tells, row["tells_apart"])
		}
		if len(c.Instrument) == 0 || len(c.Limits) == 0 || len(c.With) == 0 && len(c.When) == 0 {
			t.Errorf("%s lacks an instrument, a limit or its conditions", c.ID)
		}
		compareFigures(t, g, c, row)
	}
}

// compareFigures looks up every number of the expected value and of the
// conditions in what the check says.
func compareFigures(t *testing.T, g *guide.Guide, c guide.Check, row row) {
	said := figures(wordsOf(g, c))
	for _, column := range []string{"expected", "conditions"} {
		for _, f := range figures(row[column]) {
			if !slices.ContainsFunc(said, func(x float64) bool { return math.Abs(x-f) < 1e-9 }) && !roundAbout(said, row[column], f) {
				t.Errorf("%s: %v of %q is nowhere in %q", c.ID, f, row[column], wordsOf(g, c))
			}
		}
	}
}

// tolerances are the ranges that the guide gives to a condition that the table
// states as one number: a speed holds within 100 rpm, a temperature within
// 5 K, and so on.
var tolerances = []struct {
	word   string
	within float64
}{
	{"rpm", 100},
	{"rpm", 50},
	{"250 rpm", 20},
	{"degC +-5", 5},
	{"from 20 degC", 2},
	{"km/h", 5},
	{"14.0 V", 0.1},
	{"13.5 V", 0.2},
	{"hPa vacuum", 10},
	{"1.2 bar", 0.05},
}

func roundAbout(said []float64, text string, f float64) bool {
	for _, tol := range tolerances {
		if !strings.Contains(text, tol.word) {
			continue
		}
		low := slices.ContainsFunc(said, func(x float64) bool { return math.Abs(x-(f-tol.within)) < 1e-9 })
		high := slices.ContainsFunc(said, func(x float64) bool { return math.Abs(x-(f+tol.within)) < 1e-9 })
		if low && high || f == tol.within {
			return true
		}
	}
	return false
}

// wordsOf is all that a check says in words and figures, its laws included.
func wordsOf(g *guide.Guide, c guide.Check) string {
	var b strings.Builder
	say := func(s string) { b.WriteString(s + "; ") }
	say(c.Name)
	say(c.At)
	say(c.Note)
	for _, id := range c.Instrument {
		for _, tool := range g.Tools {
			if tool.ID == id {
				say(tool.Name)
			}
		}
	}
	for _, cl := range c.When {
		say(cl.String())
	}
	for _, l := range c.Limits {
		say(l.String())
		for _, law := range g.Laws {
			if law.ID == l.Law {
				say(lawWords(law))
			}
		}
	}
	for _, q := range c.With {
		for _, cond := range g.Conditions {
			for _, v := range cond.Values {
				if cond.ID == q.Condition && v.ID == q.Value {
					say(v.Name)
				}
			}
		}
	}
	return b.String()
}

// lawWords says a law as tests.csv writes it.
func lawWords(law guide.Law) string {
	value := map[guide.ID]float64{}
	for _, p := range law.Params {
		value[p.ID] = p.Value
	}
	switch law.Form {
	case guide.NTCBeta:
		return fmt.Sprintf("%v*exp(%v*(1/(T+273.15)-1/%v))", value["r0"], value["beta"], value["t0"]+273.15)
	case guide.CopperLaw:
		return fmt.Sprintf("%v at 20 degC, +%.3f %%/K", value["r20"], 100*value["alpha"])
	}
	return ""
}

// TestOpenFirst compares the last column of the way: what has to be open for
// a check.
func TestOpenFirst(t *testing.T) {
	steps := stepTable(t)
	r := seen(t, "LHD")
	for _, row := range table(t, "tests", 76) {
		c := r.Check(guide.ID(row["id"]))
		if row["open_first"] == "rear access hatch" { // outside the bay
			if len(c.Ways) != 1 || c.Ways[0].From != "rear-floor" {
				t.Errorf("%s: ways %v", c.ID, c.Ways)
			}
			continue
		}
		ways := c.Ways
		if c.Point != "" {
			for _, w := range r.Item(c.Point).Ways {
				if w.Do == guide.Measure && (w.From != "top" || c.Point != "SE03") {
					ways = append(slices.Clip(ways), w)
				}
			}
			if len(ways) == 0 {
				t.Errorf("%s: no check way leads to %s", c.ID, c.Point)
			}
		}
		cell := row["open_first"]
		if len(ways) == 0 && cell != "" {
			t.Errorf("%s: has no way, want %s open", c.ID, cell)
		}
		for _, w := range ways {
			demands(t, string(c.ID), strings.ReplaceAll(cell, "FREL", ""), w.Needs, w.With, steps)
		}
		if strings.Contains(cell, "FREL") && !slices.Contains(c.With, stepConditions["FREL"]) {
			t.Errorf("%s: works under fuel pressure", c.ID)
		}
	}
}

// TestChecksCanBeMade: what a check, its way, their cautions and the values
// they ask for demand of the machine never contradicts itself.
func TestChecksCanBeMade(t *testing.T) {
	for _, drive := range []guide.ID{"LHD", "RHD"} {
		r := seen(t, drive)
		for _, c := range r.Guide.Checks {
			ways := c.Ways
			if c.Point != "" {
				ways = r.Item(c.Point).Ways
			}
			if len(ways) == 0 {
				ways = []guide.Way{{Do: guide.Measure}}
			}
			tried, possible := 0, 0
			var why string
			for _, w := range ways {
				if w.Do != guide.Measure || !r.Fits(w.For) {
					continue
				}
				tried++
				if s := contradiction(r, c, w); s == "" {
					possible++
				} else {
					why = s
				}
			}
			if tried == 0 || possible == 0 {
				t.Errorf("%s: check %s cannot be made by any of %d ways: %s", drive, c.ID, tried, why)
			}
		}
	}
}

// contradiction follows all demands of a check by one way and returns the
// first two that cannot hold together.
func contradiction(r *guide.Resolved, c guide.Check, w guide.Way) string {
	want := map[guide.ID]guide.ID{}
	fitted := map[guide.ID]bool{}
	queue := slices.Concat(c.With, w.With, safe(r, w.Cautions), safe(r, c.Cautions))
	if c.Closed && len(w.Needs) > 0 {
		return "closed, but needs " + w.Needs[0].String()
	}
	for len(queue) > 0 {
		q := queue[0]
		queue = queue[1:]
		if q.Not {
			if want[q.Condition] == q.Value {
				return q.String()
			}
			continue
		}
		if old := want[q.Condition]; old != "" {
			if old != q.Value {
				return string(q.Condition) + " both " + string(old) + " and " + string(q.Value)
			}
			continue
		}
		want[q.Condition] = q.Value
		for _, v := range r.Condition(q.Condition).Values {
			if v.ID == q.Value {
				queue = slices.Concat(queue, v.With, safe(r, v.Cautions))
				for _, id := range v.Fitted {
					fitted[id] = true
				}
			}
		}
	}
	steps := newStrip(r)
	steps.open(w.Needs, nil)
	for id := range steps.off {
		if fitted[id] {
			return string(id) + " must be on and off"
		}
	}
	return ""
}

func safe(r *guide.Resolved, cautions []guide.ID) []guide.Req {
	var out []guide.Req
	for _, c := range r.Guide.Cautions {
		if slices.Contains(cautions, c.ID) {
			out = append(out, c.Safe...)
		}
	}
	return out
}

// TestCaseMinutes adds up the checks of the three customer cases: the minutes
// of the checks, plus those of each opening once.
func TestCaseMinutes(t *testing.T) {
	r := seen(t, "LHD")
	reach := func(point guide.ID, places ...guide.ID) float64 {
		for _, w := range r.Item(point).Ways {
			if w.Do != guide.Measure || len(places) > 0 && !slices.Contains(places, w.From) {
				continue
			}
			s := newStrip(r)
			s.open(w.Needs, w.With)
			total := w.Out
			for id := range s.off {
				for _, cw := range r.Item(id).Ways {
					if cw.Do.Clears() {
						total += cw.Out + cw.Back
					}
				}
			}
			return total.Minutes()
		}
		t.Fatalf("no check way to %s", point)
		return 0
	}
	checks := func(list ...guide.ID) (sum float64) {
		for _, id := range list {
			sum += r.Check(id).Minutes.Minutes()
		}
		return sum
	}
	for _, c := range []struct {
		name       string
		got, want  float64
		whereItIs1 string
	}{
		{"A", reach("EL01") + checks("T35", "T39") + reach("X3") + checks("T36", "T37"), 45, "EL01 and X3"},
		{"B", checks("T13", "T15", "T14") + reach("EL01") + checks("T10") + reach("SE03", "cab") + checks("T12", "T11"), 67, "EL01 and the hatch"},
		{"C", checks("T56") + reach("FU07") + checks("T49", "T50") + reach("EL05") + checks("T53", "T52"), 37, "FU07 and EL05"},
	} {
		if c.got != c.want {
			t.Errorf("case %s: %v min at %s, want %v", c.name, c.got, c.whereItIs1, c.want)
		}
	}
}

// TestLikelihoods holds the only probabilities that the demonstration gives.
func TestLikelihoods(t *testing.T) {
	r := seen(t, "LHD")
	want := map[guide.ID]map[guide.ID]float64{
		"T35": {"F35": .85, "F36": .85, "F10": .95, "F55": .90, "": .02},
		"T36": {"F35": .85, "F36": .85, "F55": .90, "": .02},
		"T37": {"F10": .95, "": .02},
		"T13": {"F12": .55, "F13": .05, "": .03},
		"T15": {"F14": .95, "F58": .10, "F59": .15, "": .05},
		"T14": {"F12": .85, "F13": .95, "F58": .35, "F14": .03, "": .03},
		"T12": {"F13": .97, "": .03},
		"T50": {"F47": .92, "F08": .92, "F60": .90, "F61": .08, "": .03},
		"T52": {"F08": .80, "": .02},
	}
	for _, c := range r.Guide.Checks {
		got := map[guide.ID]float64{}
		for _, o := range c.Fails {
			got[o.Fault] = o.P
		}
		if c.Otherwise != nil {
			got[""] = *c.Otherwise
		}
		if len(got) != len(want[c.ID]) {
			t.Errorf("%s fails with %v, want %v", c.ID, got, want[c.ID])
		}
		for f, p := range want[c.ID] {
			if got[f] != p {
				t.Errorf("%s fails with %s at %v, want %v", c.ID, f, got[f], p)
			}
		}
	}
}
