package suspect

import (
	"math"
	"strings"
	"testing"

	"elbowroom/guide"
)

// FuzzBelieve feeds what people type: a complaint, conditions, codes, names of
// parts. Nothing panics, and shares stay shares.
func FuzzBelieve(f *testing.F) {
	f.Add("Lamp on, weak uphill.", "wet week", "P0327 P0332", "right", "rattle", 0.0)
	f.Add("", "\x00", "p0327-1c,U0100", "", "", 0.5)
	f.Add("misfire; misfire; misfire and misfire", "–", "P0", "A", "smoke", 1.0)
	f.Add(strings.Repeat("it rattles and ", 300), "İ", "C0035", "LEFT PART", "rattle", math.NaN())
	g := twoFaults(f)
	f.Fuzz(func(t *testing.T, said, condition, codes, part, sign string, conforms float64) {
		k := Case{
			Guide: g, Complaint: said, Conditions: []string{condition}, CodesRead: len(said)%2 == 0,
			Ticks:  []Tick{{Sign: sign, Is: Present}},
			Events: []Event{parts("TAB", said, Part{part, conforms}), verdict("TF", conforms), {Repair: &Repair{Fault: "FA"}}, verdict("TF", conforms)},
		}
		for c := range strings.FieldsSeq(codes) {
			k.Codes = append(k.Codes, Code{Code: c, Pending: len(c)%2 == 0})
		}
		b, err := Believe(k, Options{Combine: Always})
		if err != nil {
			return
		}
		for _, s := range b.Suspects {
			if !(s.Share >= 0 && s.Share <= 1+1e-9) || !(s.Low <= s.Share && s.Share <= s.High) {
				t.Fatalf("%+v", s)
			}
		}
	})
}

// FuzzMatcher: whatever is typed, the words are split without a panic, and a
// text matches itself.
func FuzzMatcher(f *testing.F) {
	for _, s := range []string{"weak uphill", "more fuel", "İstanbul", "misfire 1-2-3", "ﬁne", "\xff\xfe"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		words := concepts(s)
		if len(words) > 0 && matches(words, concepts(s)) != 1 {
			t.Fatalf("%q does not match itself", s)
		}
		for _, c := range clauses(s) {
			if len(concepts(c)) == 0 {
				t.Fatalf("%q: the clause %q says nothing", s, c)
			}
		}
	})
}

// wide is a guide of many faults and checks with everything that costs time:
// shared codes, signs, checks of several parts.
func wide(faults, checks int) *guide.Guide {
	g := &guide.Guide{ID: "wide"}
	word := func(n int) string { return string(rune('a'+n%26)) + string(rune('a'+n/26%26)) + "rattle" }
	for i := range faults {
		id := guide.ID("I" + word(i))
		g.Items = append(g.Items, guide.Item{ID: id, Name: word(i)})
		f := guide.Fault{ID: guide.ID("F" + word(i)), On: id, Name: word(i), Weight: float64(1 + i%17)}
		f.Signs = []string{word(i / 3), word(i / 5)}
		f.Codes = []string{"P0" + string(rune('0'+i%4)) + "00-P0" + string(rune('0'+i%4)) + "FF"}
		f.FoundBy = []guide.ID{guide.ID("T" + word(i%checks)), guide.ID("T" + word((i*7)%checks))}
		g.Faults = append(g.Faults, f)
	}
	for i := range checks {
		c := guide.Check{ID: guide.ID("T" + word(i)), Name: word(i)}
		for p := range i % 5 {
			c.On = append(c.On, g.Items[(i+p)%len(g.Items)].ID)
		}
		g.Checks = append(g.Checks, c)
	}
	return g
}

// BenchmarkBelieveWide is 200 faults and 300 checks, ten of them made, with
// combinations called.
func BenchmarkBelieveWide(b *testing.B) {
	r, err := guide.Resolve(wide(200, 300), nil)
	if err != nil {
		b.Fatal(err)
	}
	k := Case{Guide: r, Complaint: "aarattle, barattle, carattle", Codes: []Code{{Code: "P0102"}, {Code: "P0203"}}, CodesRead: true}
	for i := range 10 {
		k.Events = append(k.Events, verdict(r.Guide.Checks[i*3].ID, float64(i%3)/2))
	}
	for b.Loop() {
		got, err := Believe(k, Options{})
		if err != nil || len(got.Suspects) != 201 {
			b.Fatal(err)
		}
	}
}

// BenchmarkBelieveDemo is case A after two readings.
func BenchmarkBelieveDemo(b *testing.B) {
	k := caseA(b)
	k.Events = []Event{parts("T35", "", Part{"right", 0}, Part{"left", 1}), parts("T36", "", Part{"right", 1}, Part{"left", 1})}
	for b.Loop() {
		if got, err := Believe(k, Options{}); err != nil || got.Suspects[0].Fault != "F10" {
			b.Fatal(err)
		}
	}
}
