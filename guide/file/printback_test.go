package file

import (
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"elbowroom/guide"
)

// TestPrintBack: a guide made in memory that could not be read is refused when
// it is printed, with the reason.
func TestPrintBack(t *testing.T) {
	made := func(w guide.Way) *guide.Guide {
		return &guide.Guide{
			Format: 1, ID: "made", Title: "Made", Currency: "EUR", Places: []guide.Place{{ID: "top", Name: "top"}},
			Items: []guide.Item{{ID: "A1", Name: "Cover", Ways: []guide.Way{w}}},
		}
	}
	for _, c := range []struct {
		name string
		way  guide.Way
		want string // empty: it reads back
	}{
		{"both ways", guide.Way{Do: "off", From: "top", Out: 312 * time.Second, Back: 4 * time.Minute}, ""},
		{"no minutes back", guide.Way{Do: "off", From: "top", Out: 312 * time.Second}, "5.2/0 min"},
		{"a task with minutes back", guide.Way{Do: "check", From: "top", Out: 4 * time.Minute, Back: time.Minute}, "no minutes back"},
		{"negative", guide.Way{Do: "off", From: "top", Out: -time.Minute, Back: time.Minute}, "negative"},
		{"longer than a guide may say", guide.Way{Do: "check", From: "top", Out: 200 * time.Hour}, "too long"},
		{"a place that is none", guide.Way{Do: "check", From: "attic", Out: time.Minute}, "attic"},
		{"three hands", guide.Way{Do: "check", From: "top", Out: time.Minute, Hands: 3}, "out of range"},
	} {
		text, list := PrintBack(made(c.way))
		if len(text) == 0 || c.want == "" && len(list) > 0 || c.want != "" && !strings.Contains(list.Error(), c.want) {
			t.Errorf("%s: %v\n%s", c.name, list, text)
		}
	}
	g, _, list := Read(os.DirFS("."), frozen)
	if g == nil {
		t.Fatal(list)
	}
	if _, list := PrintBack(g); len(list) > 0 {
		t.Errorf("the frozen sample: %v", list)
	}
	g.Laws = append(g.Laws, guide.Law{ID: "odd", Form: guide.Linear, Of: "resistance Ω", From: "temperature °C", Params: []guide.Param{{ID: "offset", Value: math.NaN()}}})
	if _, list := PrintBack(g); len(list) == 0 {
		t.Error("a law of no number prints without a word")
	}
}
