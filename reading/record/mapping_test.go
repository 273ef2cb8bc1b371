package record

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

func genChannel(t *rapid.T) Channel {
	word := rapid.OneOf(rapid.SampledFrom([]string{"ECT", "coolant", "a \"b\"", "x in V", "nothing", "t; u", "öl (2)", "[V]", "->", " edge "}), rapid.StringN(1, 8, -1))
	c := Channel{
		Name: word.Draw(t, "name"), Unit: rapid.OneOf(rapid.Just(""), word).Draw(t, "unit"), Nth: rapid.IntRange(1, 3).Draw(t, "nth"),
		Meaning: rapid.OneOf(rapid.Just(""), word).Draw(t, "meaning"), In: rapid.SampledFrom(append(quantity.Units(), "")).Draw(t, "in"),
	}
	if rapid.Bool().Draw(t, "guessed") {
		c.Guess = `"ect" is written for coolant; no unit`
	}
	return c
}

func TestMappingReadsBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		m := Mapping{Source: "0123456789abcdef", Channels: rapid.SliceOfN(rapid.Custom(genChannel), 0, 5).Draw(r, "channels")}
		back, err := ReadMapping(m.String())
		if err != nil {
			r.Fatalf("%v\n%s", err, m)
		}
		if len(m.Channels) == 0 {
			m.Channels = back.Channels
		}
		if !reflect.DeepEqual(m, back) {
			r.Fatalf("%q\nis read as\n%q\nfrom\n%s", m, back, m)
		}
	})
}

func TestMappingErrors(t *testing.T) {
	for _, c := range []struct{ reason, text, want string }{
		{"nothing at all", "", "no line that names the source"},
		{"a name without quotes", "source 1\nECT -> coolant", "2:1: error: the line does not begin with a name in quotes"},
		{"no arrow", "source 1\n\"ECT\" [°C] coolant", "no arrow"},
		{"no meaning", "source 1\n\"ECT\" ->", "no meaning"},
		{"an open bracket", "source 1\n\"ECT\" [°C -> coolant", "bracket of the unit"},
		{"an unknown unit", "source 1\n\"ECT\" -> coolant in furlongs", `the unit "furlongs" is not known`},
		{"an empty guess", "source 1\n\"ECT\" -> coolant; guess:", "neither a unit nor a guess"},
		{"zero as the order", "source 1\n\"ECT\" (0) -> coolant", "whole number from 1"},
		{"two lines wrong", "source 1\nx\ny", "3:1"},
	} {
		_, err := ReadMapping(c.text)
		var list span.List
		if !errors.As(err, &list) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.reason, err, c.want)
		}
	}
}

func FuzzMapping(f *testing.F) {
	f.Add("source 1\n\"ECT\" [°C] (2) -> coolant in °C; guess: why\n\"x\" -> nothing")
	f.Add("source 1\n\"a\" [\"]\"] -> \"in V\" in V")
	f.Fuzz(func(t *testing.T, text string) {
		m, err := ReadMapping(text)
		if err != nil {
			return
		}
		back, err := ReadMapping(m.String())
		if err != nil || !reflect.DeepEqual(m, back) {
			t.Fatalf("%q reads as %q, and printed as %q: %v", text, m, back, err)
		}
	})
}

func TestSuggestions(t *testing.T) {
	for _, c := range []struct{ reason, label, subject, want, in string }{
		{"a plain name", "Coolant temp (°C)", "", "coolant", "°C"},
		{"the short name of a public standard", "ECT [degF]", "", "coolant", "°F"},
		{"words run together", "EngineSpeed (1/min)", "", "speed", "rpm"},
		{"engine speed without a unit", "RPM", "", "speed", "rpm"},
		{"speed in km/h is the road's", "Speed (km/h)", "", "road speed", "km/h"},
		{"speed in turns is the engine's", "Speed (rpm)", "", "speed", "rpm"},
		{"oil pressure is no temperature", "Oil pressure (bar)", "", "oil pressure", "bar"},
		{"oil in °C", "Oil temperature (°C)", "", "oil", "°C"},
		{"German", "Öldruck [bar]", "", "oil pressure", "bar"},
		{"a subject of the guide wins by its words", "Radiator outlet temperature (°C)", "", "radiator outlet", "°C"},
		{"a word that only the guide knows", "knock ratio", "knock ratio", "knock ratio", ""},
		{"the unit speaks against the name", "Coolant temp (bar)", "", "", "bar"},
		{"nothing known", "Channel 17 (V)", "", "", "V"},
		{"pressures alone could be several", "pressure (bar)", "", "", "bar"},
	} {
		name, unit := nameAndUnit(c.label)
		var subjects []string
		if c.subject != "" {
			subjects = []string{c.subject}
		}
		got := suggest(Column{Name: name, Unit: unit, Is: unitOf(unit, name), Nth: 1, Sort: Numbers}, subjects)
		if got.Meaning != c.want || got.In != c.in {
			t.Errorf("%s: %q means %q in %q, want %q in %q (%s)", c.reason, c.label, got.Meaning, got.In, c.want, c.in, got.Guess)
		}
		if got.Guess == "" {
			t.Errorf("%s: the guess is not marked", c.reason)
		}
	}
}

func TestRememberedMapping(t *testing.T) {
	f := &Format{Columns: []Column{
		{Name: "time", Unit: "s", Nth: 1, Sort: Times},
		{Name: "T1", Unit: "°C", Is: "°C", Nth: 1, Sort: Numbers},
		{Name: "RPM", Nth: 1, Sort: Numbers},
		{Name: "state", Nth: 1, Sort: Words},
	}}
	first := Map(f, Mapping{}, nil)
	if len(first.Channels) != 2 || first.Channels[0].Meaning != "" || first.Channels[1].Meaning != "speed" {
		t.Fatalf("%s", first)
	}
	if err := first.Settle("T1", "°C", 1, "oil", "°C"); err != nil {
		t.Fatal(err)
	}
	stored, err := ReadMapping(first.String())
	if err != nil {
		t.Fatal(err)
	}
	again := Map(f, stored, nil)
	if again.Source != stored.Source {
		t.Error("the same columns have another signature")
	}
	if c, ok, _ := again.Find("OIL"); !ok || c.Guess != "" || c.Name != "T1" {
		t.Errorf("what was settled is forgotten: %s", again)
	}
	if c, ok, _ := again.Find("speed"); !ok || c.Guess == "" {
		t.Errorf("a guess became certain by being stored: %s", again)
	}
	f.Columns[1].Unit, f.Columns[1].Is = "V", "V"
	if c := Map(f, stored, nil); c.Source == stored.Source || c.Channels[0].Meaning != "" {
		t.Errorf("another unit is another channel: %s", c)
	}
	if err := first.Settle("T9", "", 1, "oil", ""); err == nil {
		t.Error("a channel that is not there was settled")
	}
	if err := first.Settle("T1", "°C", 1, "oil", "parsec"); err == nil {
		t.Error("an unknown unit was settled")
	}
}

func TestTwoChannelsOfOneMeaning(t *testing.T) {
	m := Mapping{Channels: []Channel{{"a", "", 1, "coolant", "°C", "sounds like it"}, {"b", "", 1, "coolant", "°C", "sounds like it"}}}
	if _, ok, several := m.Find("coolant"); ok || len(several) != 2 {
		t.Error("one of two guesses was taken")
	}
	m.Channels[1].Guess = ""
	if c, ok, _ := m.Find("coolant"); !ok || c.Name != "b" {
		t.Error("what is settled does not win over a guess")
	}
}

func TestUnboundConditions(t *testing.T) {
	f := &Format{Columns: []Column{{Name: "ECT", Unit: "bar", Is: "bar", Nth: 1, Sort: Numbers}, {Name: "n", Nth: 1, Sort: Numbers}}}
	m := Mapping{Channels: []Channel{{"ECT", "bar", 1, "coolant", "bar", ""}, {"n", "", 1, "speed", "", ""}}}
	q := Question{Judged: "oil pressure", When: []guide.Clause{clause(t, "coolant >= 80 °C"), clause(t, "speed 700..800 rpm"), clause(t, "steady >= 3 min"), clause(t, "unplugged"), clause(t, "rest >= 2 h")}}
	got := q.tie(f, m, func(int) float64 { return 2 })
	want := []string{"logged in bar, the condition is in °C", "unit of \"n\" is not known", "rest >= 2 h: no channel", "oil pressure: no channel"}
	if len(got.missing) != len(want) {
		t.Fatalf("%q", got.missing)
	}
	for i, w := range want {
		if !strings.Contains(got.missing[i], w) {
			t.Errorf("%q, want %q", got.missing[i], w)
		}
	}
	if len(got.words) != 1 || got.words[0] != "unplugged" || q.hold() != 180 {
		t.Errorf("words %q, hold %g", got.words, q.hold())
	}
}
