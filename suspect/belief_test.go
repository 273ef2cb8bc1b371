package suspect

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
	"elbowroom/span"
)

// TestSurvival holds the arithmetic of lives against a published example:
// Hasidi and Kalech, diagnosis with priors that know the age: S(t) =
// exp(-0.09 t); ages of 3, 12 and 5 months give failure probabilities .24, .66
// and .36.
func TestSurvival(t *testing.T) {
	w := guide.Wear{Life: quantity.Of(1/0.09, "months"), Shape: 1}
	for _, c := range []struct{ age, fails float64 }{{3, .24}, {12, .66}, {5, .36}} {
		s, err := Survival(w, quantity.Of(c.age, "months"))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(1-s-c.fails) > 0.005 {
			t.Errorf("%v months: fails with %.4f, want %v", c.age, 1-s, c.fails)
		}
		if f, err := AgeFactor(w, quantity.Of(c.age, "months")); err != nil || f != 1 {
			t.Errorf("%v months: factor %v (%v); a fault that does not age keeps its weight", c.age, f, err)
		}
	}
}

func TestAgeFactor(t *testing.T) {
	w := guide.Wear{Life: quantity.Of(200_000, "km"), Shape: 3}
	for _, c := range []struct {
		age  quantity.Value
		want float64
	}{
		{quantity.Of(100_000, "km"), 3 * 0.25},
		{quantity.Of(200_000, "km"), 3},
		{quantity.Of(0, "km"), leastAgeFactor},
		{quantity.Of(2_000_000, "km"), mostAgeFactor},
	} {
		if f, err := AgeFactor(w, c.age); err != nil || math.Abs(f-c.want) > 1e-12 {
			t.Errorf("%s: %v (%v), want %v", c.age, f, err, c.want)
		}
	}
	if _, err := AgeFactor(w, quantity.Of(90, "months")); err == nil {
		t.Error("months were compared with kilometres")
	}
	if _, err := Survival(w, quantity.Of(-1, "km")); err == nil {
		t.Error("a negative age was taken")
	}
}

// twoFaults is a guide with a fault on either of two items, a sign and two
// checks.
func twoFaults(t testing.TB) *guide.Resolved {
	t.Helper()
	leak := 0.02
	g := &guide.Guide{
		ID:    "two",
		Items: []guide.Item{{ID: "A", Name: "left part", Side: guide.Left}, {ID: "B", Name: "right part", Side: guide.Right}, {ID: "C", Name: "cover"}},
		Faults: []guide.Fault{
			{ID: "FA", On: "A", Name: "worn left part", Weight: 1, Signs: []string{"rattle"}, Codes: []string{"P0101"}, FoundBy: []guide.ID{"TF"}},
			{ID: "FB", On: "B", Name: "worn right part", Weight: 1, Signs: []string{"rattle", "smoke"}, Codes: []string{"P0102"}},
		},
		Checks: []guide.Check{
			{ID: "TA", Name: "look at the left part", Fails: []guide.Odds{{Fault: "FA", P: 0.9}}, Otherwise: &leak},
			{ID: "TF", Name: "feel"},
			{ID: "TAB", Name: "both", On: []guide.ID{"A", "B"}, Fails: []guide.Odds{{Fault: "FA", P: 0.9}, {Fault: "FB", P: 0.9}}, Otherwise: &leak},
		},
	}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestNoiseIsPersistent: the same check again is no further news, and the
// later verdict counts.
func TestNoiseIsPersistent(t *testing.T) {
	k := Case{Guide: twoFaults(t), Events: []Event{verdict("TA", 0)}}
	once := believe(t, k, Options{})
	k.Events = append(k.Events, verdict("TA", 0))
	twice := believe(t, k, Options{})
	if share(t, once, "FA") != share(t, twice, "FA") {
		t.Errorf("asked twice: %v, once: %v", share(t, twice, "FA"), share(t, once, "FA"))
	}
	if len(twice.Signs) != 1 || !strings.Contains(strings.Join(twice.Notes, "\n"), "replaces") {
		t.Errorf("%d signs, notes %q: nothing says that the first verdict was replaced", len(twice.Signs), twice.Notes)
	}
	k.Events = append(k.Events, verdict("TA", 1))
	if b := believe(t, k, Options{}); share(t, b, "FA") > share(t, b, "FB")/5 {
		t.Errorf("the last verdict passes, and yet FA has %v", share(t, b, "FA"))
	}
}

// TestRepairIsAnIntervention: what was read before a repair stays attached to
// the world before it, and the check may speak again.
func TestRepairIsAnIntervention(t *testing.T) {
	k := Case{Guide: twoFaults(t), Events: []Event{verdict("TA", 0), {Repair: &Repair{Fault: "FA"}}}}
	b := believe(t, k, Options{})
	if s := share(t, b, "FA"); s != 0 {
		t.Errorf("FA was repaired and has %v", s)
	}
	if b.Fixed < 0.9 {
		t.Errorf("FA was as good as certain, it was repaired, and the machine is right with %v", b.Fixed)
	}
	if b.Worlds[0].Faults == nil || len(b.Worlds[0].Faults) != 0 {
		t.Errorf("the likeliest world is %v", b.Worlds[0])
	}
	k.Events = append(k.Events, verdict("TAB", 1))
	before := b.Fixed
	b = believe(t, k, Options{})
	if len(b.Signs) != 3 || b.Fixed <= before {
		t.Errorf("%d signs, fixed %v before both parts were looked at and %v after it", len(b.Signs), before, b.Fixed)
	}
	k.Events = append(k.Events, verdict("TA", 1))
	if b = believe(t, k, Options{}); len(b.Signs) != 4 || len(b.Notes) != 0 {
		t.Errorf("after the repair the check speaks anew: %d signs, notes %q", len(b.Signs), b.Notes)
	}
	k.Events = append(k.Events, Event{Proof: &Proof{}})
	if b = believe(t, k, Options{}); b.Fixed > 0.5 {
		t.Errorf("the proof failed, and the machine is right with %v", b.Fixed)
	}
}

// TestCombinationsAreCalled: two faults are looked at when one does not
// explain the evidence, and only then.
func TestCombinationsAreCalled(t *testing.T) {
	k := Case{Guide: twoFaults(t), Events: []Event{parts("TAB", "left fails", Part{"left", 0}, Part{"right", 1})}}
	if b := believe(t, k, Options{}); b.Combined.Most != 1 || b.Combined.Says == "" {
		t.Errorf("one part failed: %+v", b.Combined)
	}
	k.Events = []Event{parts("TAB", "both fail", Part{"left", 0}, Part{"right", 0})}
	b := believe(t, k, Options{})
	if b.Combined.Most != 2 || b.Combined.Factor < CallFactor {
		t.Errorf("both parts failed: %+v", b.Combined)
	}
	if len(b.Worlds[0].Faults) != 2 {
		t.Errorf("both parts failed, and the likeliest world is %v", b.Worlds[0])
	}
	if b := believe(t, k, Options{Combine: Never}); b.Combined.Most != 1 || len(b.Worlds[0].Faults) != 1 {
		t.Errorf("asked for single faults: %+v, %v", b.Combined, b.Worlds[0])
	}
}

// TestPartsByName: a part is named by its item, its name, or a side that only
// it is on; a name that means nothing makes it a verdict of the whole.
func TestPartsByName(t *testing.T) {
	var shares []float64
	for _, name := range []string{"left", "A", "Left part"} {
		k := Case{Guide: twoFaults(t), Events: []Event{parts("TAB", "", Part{name, 0}, Part{"B", 1})}}
		shares = append(shares, share(t, believe(t, k, Options{}), "FA"))
	}
	if shares[0] != shares[1] || shares[1] != shares[2] || shares[0] < 0.9 {
		t.Errorf("FA has %v by its three names", shares)
	}
	k := Case{Guide: twoFaults(t), Events: []Event{parts("TAB", "", Part{"no such part", 0}, Part{"B", 1})}}
	b := believe(t, k, Options{})
	if a, other := share(t, b, "FA"), share(t, b, "FB"); a != other {
		t.Errorf("the name means no part, and FA has %v, FB %v", a, other)
	}
}

// TestSoftVerdict: a value near its limit speaks less, one on it says nothing.
func TestSoftVerdict(t *testing.T) {
	last := 1.0
	for _, conforms := range []float64{0, 0.1, 0.3, 0.5, 0.8, 1} {
		b := believe(t, Case{Guide: twoFaults(t), Events: []Event{verdict("TA", conforms)}}, Options{})
		s := share(t, b, "FA")
		if s >= last {
			t.Errorf("conforms with %v: FA has %v, before %v", conforms, s, last)
		}
		last = s
		if conforms == 0.5 && math.Abs(s-b.Suspects[slices.IndexFunc(b.Suspects, func(x Suspect) bool { return x.Fault == "FA" })].Prior) > 1e-12 {
			t.Errorf("a value on its limit moved FA to %v", s)
		}
	}
}

// TestTouchedAndCodes: what was touched, codes, missing codes.
func TestTouchedAndCodes(t *testing.T) {
	r := twoFaults(t)
	base := share(t, believe(t, Case{Guide: r}, Options{}), "FA")
	if s := share(t, believe(t, Case{Guide: r, Touched: []guide.ID{"A"}}, Options{}), "FA"); s <= base {
		t.Errorf("touched: %v, else %v", s, base)
	}
	with := Case{Guide: r, Codes: []Code{{Code: "p 0101"}, {Code: "P0101", Pending: true}}}
	b := believe(t, with, Options{})
	if len(b.Signs) != 1 || share(t, b, "FA") < 0.9 {
		t.Errorf("%d signs, FA has %v: a code counts once, as confirmed", len(b.Signs), share(t, b, "FA"))
	}
	with.Codes = []Code{{Code: "P0101", Pending: true}}
	if p := believe(t, with, Options{}); share(t, p, "FA") >= share(t, b, "FA") {
		t.Error("a code that is not confirmed counts as much as one that is")
	}
	with.CodesRead = true
	if p := believe(t, with, Options{}); share(t, p, "FB") >= share(t, believe(t, Case{Guide: r, Codes: with.Codes}, Options{}), "FB") {
		t.Error("the code of FB is missing, and that says nothing")
	}
	b = believe(t, Case{Guide: r, Codes: []Code{{Code: "P0999"}}}, Options{})
	if !strings.Contains(strings.Join(b.Notes, "\n"), "P0999") || share(t, b, Unlisted) <= 0.06 {
		t.Errorf("no fault lists P0999: notes %q, not listed %v", b.Notes, share(t, b, Unlisted))
	}
}

// TestUpstream: two codes of parts that hang on one ground make the ground the
// best explanation, although it lists neither.
func TestUpstream(t *testing.T) {
	g := &guide.Guide{
		ID: "ground",
		Items: []guide.Item{
			{ID: "S1", Name: "sensor 1"},
			{ID: "S2", Name: "sensor 2"},
			{ID: "G", Name: "ground"},
			{ID: "ECU", Name: "control unit"},
			{ID: "X", Name: "connector of sensor 1"},
		},
		Faults: []guide.Fault{
			{ID: "F1", On: "S1", Name: "sensor 1", Weight: 10, Codes: []string{"P0101"}},
			{ID: "F2", On: "S2", Name: "sensor 2", Weight: 10, Codes: []string{"P0106"}},
			{ID: "FG", On: "G", Name: "ground", Weight: 5},
			{ID: "FX", On: "X", Name: "connector", Weight: 5},
		},
		Circuits: []guide.Circuit{{
			ID: "c", Name: "c",
			Nodes: []guide.Node{
				{ID: "v", Sort: guide.SupplyNode, On: "ECU"},
				{ID: "x", Sort: guide.InlineNode, On: "X"},
				{ID: "a", Sort: guide.SensingNode, On: "S1"},
				{ID: "b", Sort: guide.LoadNode, On: "S2"},
				{ID: "g", Sort: guide.GroundNode, On: "G"},
			},
			Wires: []guide.Wire{{From: "v", To: "x"}, {From: "x", To: "a"}, {From: "v", To: "b"}, {From: "a", To: "g"}, {From: "b", To: "g"}},
		}},
	}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := map[guide.ID][]guide.ID{"S1": {"X", "ECU", "G"}, "S2": {"ECU", "G"}}
	if up := upstream(g); !reflect.DeepEqual(up, want) {
		t.Errorf("upstream %v, want %v", up, want)
	}
	one := believe(t, Case{Guide: r, Codes: []Code{{Code: "P0101"}}}, Options{})
	if one.Suspects[0].Fault != "F1" {
		t.Errorf("one code: %s leads", one.Suspects[0].Fault)
	}
	both := believe(t, Case{Guide: r, Codes: []Code{{Code: "P0101"}, {Code: "P0106"}}}, Options{})
	if both.Suspects[0].Fault != "FG" || share(t, both, "FX") > 0.1 {
		t.Errorf("both codes: %s leads, the connector of one sensor has %v", both.Suspects[0].Fault, share(t, both, "FX"))
	}
}

// TestMatches: which signs of the guide the words of a complaint are taken for.
func TestMatches(t *testing.T) {
	for _, c := range []struct {
		name, reason string
		sign, said   string
		matched      bool
	}{
		{"endings", "misfires, misfiring and misfired are one", "misfire", "it misfires badly", true},
		{"everyday words", "weak means loss of power", "power loss", "weak when overtaking", true},
		{"everyday words in a row", "more fuel means consumption", "consumption", "uses more fuel", true},
		{"half a sign", "one word of three is no match", "rail pressure low", "low", false},
		{"what is right", "a clause that says what is fine speaks for nothing", "idle hunts", "idle is fine", false},
		{"two things", "what is right in one clause does not silence another", "power loss", "idle is fine, but it loses power", true},
		{"order", "the order of words does not count", "power loss", "loss of power", true},
		{"a part named by its pressure", "a high-pressure pump says nothing of a high pressure", "high pressure always", "the high-pressure pump is new", false},
		{"the same without the hyphen", "it is the same part", "high pressure always", "high pressure fuel pump is new", false},
		{"its opposite", "a low-pressure line is none that reads low", "low pressure at idle", "low-pressure line replaced", false},
		{"the pressure itself", "without a part behind it the pressure is meant", "high pressure always", "the oil gauge shows high pressure", true},
		{"the part itself", "a sign that names the part is still found", "high-pressure pump is loud", "loud high pressure pump", true},
		{"stop words", "words that say nothing do not match", "as it was", "it was as it is", false},
	} {
		g := &guide.Guide{Faults: []guide.Fault{{ID: "F", Name: "f", Weight: 1, Signs: []string{c.sign}}}}
		r, err := guide.Resolve(g, nil)
		if err != nil {
			t.Fatal(err)
		}
		b := believe(t, Case{Guide: r, Complaint: c.said}, Options{})
		if got := len(b.Matches) == 1; got != c.matched {
			t.Errorf("%s (%s): %q in %q: matched %v", c.name, c.reason, c.sign, c.said, got)
		}
	}
}

// TestTicks: a person ticks and unticks what was matched.
func TestTicks(t *testing.T) {
	k := Case{Guide: twoFaults(t), Complaint: "Rattles, and it smokes."}
	b := believe(t, k, Options{})
	if len(b.Matches) != 2 || len(b.Signs) != 2 {
		t.Fatalf("%+v", b.Matches)
	}
	smokes := share(t, b, "FB")
	k.Ticks = []Tick{{Sign: "smoke", Is: NotKnown}}
	b = believe(t, k, Options{})
	if len(b.Signs) != 1 || share(t, b, "FB") >= smokes || share(t, b, "FB") != share(t, b, "FA") {
		t.Errorf("unticked: %d signs, FB %v", len(b.Signs), share(t, b, "FB"))
	}
	k.Ticks = []Tick{{Sign: "smoke", Is: Absent}}
	if b = believe(t, k, Options{}); share(t, b, "FB") >= share(t, b, "FA") {
		t.Errorf("it does not smoke, and FB has %v", share(t, b, "FB"))
	}
	k.Complaint, k.Ticks = "", []Tick{{Sign: "smoke", Is: Present}}
	if b = believe(t, k, Options{}); share(t, b, "FB") <= share(t, b, "FA") || len(b.Matches) != 1 {
		t.Errorf("ticked by hand: FB has %v", share(t, b, "FB"))
	}
}

// TestAssumedOddsAreSaid: odds that the guide does not state are marked, and
// the share says how far it depends on them.
func TestAssumedOddsAreSaid(t *testing.T) {
	b := believe(t, Case{Guide: twoFaults(t), Events: []Event{verdict("TF", 0)}}, Options{})
	s := b.Suspects[0]
	if s.Fault != "FA" || !b.Signs[0].Assumed || len(s.For) != 1 || !s.For[0].Assumed {
		t.Fatalf("%+v", s)
	}
	if !(s.Low < s.Share && s.Share < s.High) {
		t.Errorf("share %v lies between %v and %v", s.Share, s.Low, s.High)
	}
	if !slices.ContainsFunc(b.Swings, func(w Swing) bool { return w.Group == "check TF" && w.Weak < w.Strong }) {
		t.Errorf("nothing says that the odds of TF matter: %+v", b.Swings)
	}
	b = believe(t, Case{Guide: twoFaults(t), Events: []Event{verdict("TA", 0)}}, Options{})
	if b.Signs[0].Assumed || slices.ContainsFunc(b.Swings, func(w Swing) bool { return strings.HasPrefix(string(w.Group), "check") }) {
		t.Errorf("the odds of TA stand in the guide: %+v", b.Swings)
	}
}

// TestExcluded: a suspect that a reading ruled out names that reading.
func TestExcluded(t *testing.T) {
	k := caseC(t)
	k.Events = []Event{verdict("T50", 0), verdict("T52", 0)}
	b := believe(t, k, Options{})
	i := slices.IndexFunc(b.Suspects, func(s Suspect) bool { return s.Fault == "F44" })
	if e := b.Suspects[i].Excluded; e == nil || b.Signs[e.Sign].Check != "T50" {
		t.Errorf("the high-pressure pump was excluded by %+v, want T50", e)
	}
	if b.Suspects[0].Excluded != nil {
		t.Errorf("%s leads and is excluded", b.Suspects[0].Fault)
	}
}

// TestNothingExplains: evidence that no world explains is left out and said.
func TestNothingExplains(t *testing.T) {
	never := 0.0
	g := &guide.Guide{
		Faults: []guide.Fault{{ID: "F", Name: "f", Weight: 1}},
		Checks: []guide.Check{{ID: "T", Name: "t", Otherwise: &never}},
	}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		t.Fatal(err)
	}
	b := believe(t, Case{Guide: r, Events: []Event{verdict("T", 0)}}, Options{})
	if len(b.Notes) == 0 || math.Abs(share(t, b, "F")-0.94) > 1e-12 {
		t.Errorf("notes %q, F has %v", b.Notes, share(t, b, "F"))
	}
}

// TestSameAnswer: equal cases give equal answers.
func TestSameAnswer(t *testing.T) {
	k := caseA(t)
	k.Events = []Event{parts("T35", "", Part{"right", 0}, Part{"left", 1})}
	first := believe(t, k, Options{})
	for range 5 {
		if again := believe(t, k, Options{}); !reflect.DeepEqual(first, again) {
			t.Fatal("the same case was answered differently")
		}
	}
}

// TestBadCases: every field that cannot be used is named, all at once.
func TestBadCases(t *testing.T) {
	r := twoFaults(t)
	bad := Default()
	bad.Further = Range{1, 0.5, 2}
	for _, c := range []struct {
		name, field string
		k           Case
		o           Options
	}{
		{"no guide", "guide", Case{}, Options{}},
		{"unknown check", "events[0].verdict.check", Case{Guide: r, Events: []Event{verdict("T99", 1)}}, Options{}},
		{"probability", "events[0].verdict.conforms", Case{Guide: r, Events: []Event{verdict("TA", math.NaN())}}, Options{}},
		{"probability of a part", "events[0].verdict.parts[0].conforms", Case{Guide: r, Events: []Event{parts("TA", "", Part{"A", 2})}}, Options{}},
		{"empty event", "events[0]", Case{Guide: r, Events: []Event{{}}}, Options{}},
		{"unknown fault", "events[0].repair.fault", Case{Guide: r, Events: []Event{{Repair: &Repair{Fault: "FZ"}}}}, Options{}},
		{"empty repair", "events[0].repair", Case{Guide: r, Events: []Event{{Repair: &Repair{}}}}, Options{}},
		{"unknown item", "touched[0]", Case{Guide: r, Touched: []guide.ID{"Z"}}, Options{}},
		{"no code", "codes[0]", Case{Guide: r, Codes: []Code{{Code: "PO327"}}}, Options{}},
		{"negative age", "age[0]", Case{Guide: r, Age: []quantity.Value{quantity.Of(-1, "km")}}, Options{}},
		{"unknown sign", "ticks[0].sign", Case{Guide: r, Ticks: []Tick{{Sign: "sings", Is: Present}}}, Options{}},
		{"no answer", "ticks[0].is", Case{Guide: r, Ticks: []Tick{{Sign: "smoke", Is: "maybe"}}}, Options{}},
		{"four faults", "options.max_faults", Case{Guide: r}, Options{MaxFaults: 4}},
		{"unknown way to combine", "options.combine", Case{Guide: r}, Options{Combine: "sometimes"}},
		{"range in disorder", "options.assume.further", Case{Guide: r}, Options{Assume: &bad}},
		{"long complaint", "complaint", Case{Guide: r, Complaint: strings.Repeat("x ", mostText)}, Options{}},
	} {
		_, err := Believe(c.k, c.o)
		if err == nil {
			t.Errorf("%s: was taken", c.name)
			continue
		}
		if !strings.Contains(fmt.Sprint(err), c.field) && !wherein(err, c.field) {
			t.Errorf("%s: %v does not name %s", c.name, err, c.field)
		}
	}
}

// TestFromReading: verdicts of readings become probabilities by item.
func TestFromReading(t *testing.T) {
	judged := func(item guide.ID, p float64) reading.Judged {
		o := reading.Conforming
		if p < 0.5 {
			o = reading.NonConforming
		}
		return reading.Judged{Item: item, Outcome: o, Probability: p}
	}
	v := FromReading(reading.Verdict{Check: "TAB", Outcome: reading.NonConforming, Parts: []reading.Judged{judged("A", 0.01), judged("A", 0.9), judged("B", 0.98)}}, "as read", false)
	if want := (Verdict{Check: "TAB", Conforms: 0.01, Parts: []Part{{"A", 0.01}, {"B", 0.98}}, Says: "as read"}); !reflect.DeepEqual(v, want) {
		t.Errorf("%+v, want %+v", v, want)
	}
	v = FromReading(reading.Verdict{Check: "TAB", Outcome: reading.NonConforming, Parts: []reading.Judged{judged("A", 0.9), judged("", 0.05)}}, "", false)
	if v.Parts != nil || v.Conforms != 0.05 {
		t.Errorf("a difference between parts failed: %+v", v)
	}
	off := reading.Verdict{Check: "TA", Outcome: reading.NotComparable, Would: reading.Conforming, Parts: []reading.Judged{{Outcome: reading.NotComparable, Probability: 1}}}
	if v = FromReading(off, "", false); !v.NotComparable {
		t.Errorf("conditions did not hold: %+v", v)
	}
	if v = FromReading(off, "", true); v.NotComparable || math.Abs(v.Conforms-0.9) > 1e-12 {
		t.Errorf("counted anyway: %+v", v)
	}
}

// wherein reports whether a finding of the list names the field.
func wherein(err error, field string) bool {
	list, ok := err.(span.List)
	return ok && slices.ContainsFunc(list, func(f span.Finding) bool { return f.Where == field })
}
