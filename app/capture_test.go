package app

import (
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"elbowroom/capture/draft"
	"elbowroom/demo"
	"elbowroom/span"
)

// narrate listens to a narration beside the demonstration's guide.
func narrate(t *testing.T, q NarrationAsk) (*Narrated, error) {
	t.Helper()
	a, err := Open(time.Now, nil, Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir})
	if err != nil {
		t.Fatal(err)
	}
	return a.Narration(q)
}

// The demonstration's own narration: pressures get the unit that the guide's
// checks have, agree with them, and nothing contradicts the guide.
func TestNarrationOfTheDemo(t *testing.T) {
	text, err := os.ReadFile("../capture/testdata/open/ambulance.txt")
	if err != nil {
		t.Fatal(err)
	}
	n, err := narrate(t, NarrationAsk{Name: "ambulance.txt", Text: text, Guide: "demo"})
	if err != nil {
		t.Fatal(err)
	}
	limits := 0
	for i := range n.Report.Facts {
		f := &n.Report.Facts[i]
		if f.Item.Name != "oil pressure" || f.Kind != "limit" {
			continue
		}
		limits++
		p := n.Sheet.Proposal(f.ID)
		if f.Value.Low.Unit != "bar" || p.Status != draft.Agrees {
			t.Errorf("%s: %s, %s", f, p.Status, p.Line)
		}
		if len(f.When) == 0 || f.When[0] != "oil 90..100 °C" {
			t.Errorf("%s: the oil's temperature is missing or in another unit", f)
		}
	}
	if limits != 2 || len(n.Sheet.Contradicting()) > 0 || len(n.Report.Conflicts) != 2 || len(n.Report.Garbled) != 1 {
		t.Errorf("%d limits, contradicting the guide %v, %d contradictions, %d passages rejected", limits, n.Sheet.Contradicting(), len(n.Report.Conflicts), len(n.Report.Garbled))
	}
}

// What cannot be used is refused with its place.
func TestNarrationRefused(t *testing.T) {
	for _, c := range []struct {
		name, want string
		q          NarrationAsk
	}{
		{"a text in another encoding", "walk.txt:1:2", NarrationAsk{Name: "walk.txt", Text: []byte("f\xfcnf")}},
		{"a lexicon with an error", "own:1:1", NarrationAsk{Name: "walk.txt", Text: []byte("one bolt"), Lexicon: []NamedText{{"own", []byte("thimg: x\n")}}}},
		{"a guide that nobody loaded", "guide", NarrationAsk{Name: "walk.txt", Text: []byte("one bolt"), Guide: "demp"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := narrate(t, c.q)
			if err == nil || !errors.Is(err, ErrInput) && !errors.Is(err, ErrUnknown) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%v, want %s", err, c.want)
			}
			var list span.List
			if c.q.Guide == "" && !errors.As(err, &list) {
				t.Error("the error carries no places")
			}
		})
	}
}
