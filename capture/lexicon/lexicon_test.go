package lexicon

import (
	"strings"
	"testing"
)

func TestDefaultReadsWithoutError(t *testing.T) {
	l, list := Read("trade.txt", trade)
	if len(list) > 0 {
		t.Fatal(list.Error())
	}
	if len(l.all) < 1000 {
		t.Fatalf("only %d terms: the lexicon was not read", len(l.all))
	}
}

func TestErrorsNameTheirPlace(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"a line without a colon says nothing", "thing sensor\n", "t:1:1: "},
		{"an unknown class has its nearest", "thing sensor: x\nthimg: y\n", "t:2:1: "},
		{"a comma too many is an empty phrase", "fastener: bolt, , nut\n", "t:1:17: "},
		{"a unit must be one", "unit Nmm: newts\n", "t:1:6: "},
		{"a class without a value that needs one", "unit: newts\n", "t:1:5: "},
		{"a class with a value that takes none", "filler um: er\n", "t:1:7: "},
		{"a phrase twice in a class", "filler: um, er, um\n", "t:1:17: "},
		{"bytes that are no text", "filler: \xff\n", "t:1:1: "},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, list := Read("t", []byte(c.text))
			if len(list) != 1 || !strings.HasPrefix(list[0].String(), c.want) {
				t.Errorf("got %v, want one finding at %s", list, c.want)
			}
		})
	}
}

func TestWithAddsAndDrops(t *testing.T) {
	own, list := Read("own", []byte("thing actuator: swirl flap box\ndrop: doghouse\nsame: map sensor = manifold pressure sensor\n"))
	if len(list) > 0 {
		t.Fatal(list)
	}
	l := Default().With(own)
	has := func(l *Lexicon, phrase string) bool {
		for _, t := range l.At(strings.Fields(phrase)[0]) {
			if strings.Join(t.Words, " ") == phrase {
				return true
			}
		}
		return false
	}
	if !has(l, "swirl flap boxes") || has(l, "doghouse") || !has(Default(), "doghouse") {
		t.Error("a lexicon laid over another must add its terms with their plurals, drop what it drops, and leave the other one alone")
	}
	if got := l.Name("manifold pressure sensor"); got != "map sensor" {
		t.Errorf("the name that is kept is %q", got)
	}
}

func FuzzRead(f *testing.F) {
	f.Add("thing sensor: sensor\nsame: a = b\ndrop: c\n")
	f.Add("unit L 0.9: quart\n# x\nbound after >=: minimum")
	f.Fuzz(func(t *testing.T, text string) {
		l, list := Read("f", []byte(text))
		for _, f := range list {
			if f.Pos.Line < 1 || f.Pos.Col < 1 {
				t.Fatalf("a finding without a place: %v", f)
			}
		}
		Default().With(l)
	})
}
