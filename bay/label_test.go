package bay

import (
	"math/rand/v2"
	"strings"
	"testing"

	"elbowroom/guide"
)

// crowded returns a scene of many boxes in a small room.
func crowded(seed uint64, n int) (*Scene, []guide.ID) {
	r := rand.New(rand.NewPCG(seed, 2))
	g := &guide.Resolved{Guide: &guide.Guide{}}
	var ids []guide.ID
	for i := range n {
		id := guide.ID("N" + num(float64(i)))
		ids = append(ids, id)
		g.Items = append(g.Items, guide.Item{ID: id, Name: "Thing with a name " + string(id), At: []guide.Shape{{
			Centre: p(1000*r.Float64(), 1000*r.Float64(), 500*r.Float64()),
			Size:   p(10+200*r.Float64(), 10+200*r.Float64(), 10+100*r.Float64()),
		}}})
	}
	return New(g), ids
}

func TestMarksNeverCoverOneAnother(t *testing.T) {
	placed := 0
	for seed := range uint64(40) {
		s, ids := crowded(seed, 60)
		for _, width := range []float64{340, 720, 1200} {
			d := newDrawing(s, Options{
				View: Views[seed%6], Width: width, Labels: true, Highlight: ids[:4], Path: ids[10:18],
				Cleared: map[guide.ID]State{ids[30]: Aside, ids[31]: Off},
			})
			d.placeMarks(d.shown())
			var boxes []rect
			for _, list := range [][]mark{d.marks.cards, d.marks.balloons, d.marks.labels} {
				for _, k := range list {
					boxes = append(boxes, k.box)
				}
			}
			for i, a := range boxes {
				if !a.within(d.field.grow(balloon)) {
					t.Fatalf("seed %d width %v: mark %v outside the picture %v", seed, width, a, d.field)
				}
				for _, b := range boxes[:i] {
					if a.meets(b) {
						t.Fatalf("seed %d width %v: marks %v and %v cover one another", seed, width, a, b)
					}
				}
			}
			for i, a := range d.marks.leaders {
				for _, b := range d.marks.leaders[:i] {
					if crosses(a[0], a[1], b[0], b[1]) {
						t.Fatalf("seed %d width %v: leaders cross", seed, width)
					}
				}
			}
			placed += len(boxes)
		}
	}
	if placed < 40*3*5 {
		t.Fatalf("only %d marks placed", placed)
	}
}

func TestNamesAreBrokenAtASpace(t *testing.T) {
	cases := []struct{ text, want string }{
		{"Throttle body", "Throttle body"},
		{"Engine coolant temperature sensor", "Engine coolant|temperature sensor"},
		{"Donaudampfschifffahrtsgesellschaft", "Donaudampfschifffahrtsg…"},
		{"In-line connector starter alternator battery and much else besides", "In-line connector|starter alternator batt…"},
	}
	for _, c := range cases {
		if got := strings.Join(breakLine(c.text, 24), "|"); got != c.want {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
}

func TestRoundBar(t *testing.T) {
	for most, want := range map[float64]float64{150: 100, 199: 100, 200: 200, 620: 500, 49: 20, 7: 5, 0.3: 0.2} {
		if got := roundBar(most); got != want {
			t.Errorf("at most %v: %v, want %v", most, got, want)
		}
	}
}
