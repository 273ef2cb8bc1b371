package joint

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Orders that a hand would write down; common practice in the trade, no
// source.
func TestOrders(t *testing.T) {
	for _, c := range []struct {
		pattern string
		count   int
		want    string
	}{
		{"crosswise", 2, "1 2"},
		{"crosswise", 4, "1 3 2 4"},
		{"crosswise", 5, "1 3 5 2 4"}, // a star
		{"crosswise", 6, "1 4 2 5 3 6"},
		{"crosswise", 8, "1 5 3 7 2 6 4 8"},
		{"crosswise", 12, "1 7 4 10 3 9 6 12 5 11 2 8"},
		{"outwards", 3, "2 1 3"},
		{"outwards", 8, "2 7 3 6 4 5 1 8"},
		{"inwards", 8, "8 1 5 4 6 3 7 2"},
		{"outwards", 10, "3 8 2 9 4 7 5 6 1 10"},
		{"spiral", 9, "5 2 8 4 6 1 9 3 7"},
		{"1-3-2-4", 4, "1 3 2 4"},
		{"", 1, "1"},
		{"", 4, ""},
	} {
		l := Lay(c.pattern, c.count)
		if got := strings.Trim(fmt.Sprint(l.Order), "[]"); got != c.want || l.Wrong != "" {
			t.Errorf("%s of %d: %s %s, want %s", c.pattern, c.count, got, l.Wrong, c.want)
		}
	}
	for _, c := range []struct{ pattern, wrong string }{
		{"1-2-3", "names 3 of the 4"}, {"1-2-3-3", "each of the 4 fasteners once"}, {"1-2-3-5", "each of the 4"}, {"0-1-2-3", "each of the 4"},
	} {
		if l := Lay(c.pattern, 4); !strings.Contains(l.Wrong, c.wrong) || l.Order != nil || len(l.Places) != 4 {
			t.Errorf("%s: %+v", c.pattern, l)
		}
	}
	if l := Lay("long ones first", 4); l.Wrong != "" || l.Order != nil || !strings.Contains(l.Says, "long ones first") {
		t.Errorf("words: %+v", l)
	}
	for _, n := range []int{0, -1, 201} {
		if l := Lay("crosswise", n); l.Wrong == "" || l.Places != nil {
			t.Errorf("%d: %+v", n, l)
		}
	}
}

// Laws of every pattern and count: each place once, inside the drawing, no two
// on one spot; crosswise pairs opposite; outwards never goes back in.
func TestLayoutLaws(t *testing.T) {
	for n := 1; n <= mostPlaces; n++ {
		for _, pattern := range []string{"crosswise", "spiral", "outwards", "inwards", ""} {
			l := Lay(pattern, n)
			if len(l.Places) != n || l.Wrong != "" {
				t.Fatalf("%s of %d: %d places, %s", pattern, n, len(l.Places), l.Wrong)
			}
			seen := map[string]bool{}
			for _, s := range l.Places {
				if seen[fmt.Sprintf("%.6f %.6f", s.X, s.Y)] || s.X < 0 || s.X > 1 || s.Y < 0 || s.Y > 1 {
					t.Fatalf("%s of %d: %v", pattern, n, l.Places)
				}
				seen[fmt.Sprintf("%.6f %.6f", s.X, s.Y)] = true
			}
			if pattern == "" && n > 1 {
				continue
			}
			sorted := slices.Sorted(slices.Values(l.Order))
			for i, p := range sorted {
				if p != i+1 || len(sorted) != n {
					t.Fatalf("%s of %d: order %v", pattern, n, l.Order)
				}
			}
		}
		order := Lay("crosswise", n).Order
		for i := 0; n%2 == 0 && i < n; i += 2 {
			if apart(order[i]-1, order[i+1]-1, n) != n/2 {
				t.Fatalf("crosswise of %d: %d and %d are not opposite", n, order[i], order[i+1])
			}
		}
		out := Lay("outwards", n)
		for i := 1; i < n; i++ {
			if a, b := reach(out, i-1), reach(out, i); b < a-1e-6 {
				t.Fatalf("outwards of %d goes back in at %d", n, i)
			}
		}
	}
}

// reach is how far from the middle the i-th fastener of the order lies along
// and across.
func reach(l Layout, i int) float64 {
	s := l.Places[l.Order[i]-1]
	rows := l.rows()
	wide, high := float64((len(l.Places)+rows-1)/rows-1), float64(rows-1)
	if rows == 1 {
		wide, high = 1, 1
	}
	return math.Hypot((s.X-0.5)*wide, (s.Y-0.5)*high)
}

// parsed reads an SVG as XML and returns its elements and texts.
func parsed(t *testing.T, svg string) (elements map[string]int, texts string) {
	t.Helper()
	elements = map[string]int{}
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return elements, texts
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		switch v := tok.(type) {
		case xml.StartElement:
			elements[v.Name.Local]++
			for _, a := range v.Attr {
				if a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Errorf("attribute %s=%q", a.Name.Local, a.Value)
				}
			}
		case xml.CharData:
			texts += string(v) + "|"
		}
	}
}

func TestLayoutDrawing(t *testing.T) {
	e, texts := parsed(t, Lay("crosswise", 4).SVG("p1", `cover <"&'>`))
	if e["circle"] != 4 || e["title"] != 1 || e["path"] != 1 || !strings.Contains(texts, `cover <"&'>|1|3|2|4`) {
		t.Errorf("%v %s", e, texts)
	}
	if e, _ := parsed(t, Lay("", 6).SVG("p2", "x")); e["circle"] != 6 || e["text"] != 0 {
		t.Errorf("without an order no numbers: %v", e)
	}
	if svg := Lay("", 0).SVG("p3", "x"); svg != "" {
		t.Error(svg)
	}
}

func TestAdapterDrawing(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := Adapter{Millimetres(rapid.Float64Range(50, 1500).Draw(rt, "arm")), Millimetres(rapid.Float64Range(0, 300).Draw(rt, "reach")), rapid.Float64Range(-180, 180).Draw(rt, "bend")}
		if a.Check() != nil {
			return
		}
		e, texts := parsed(t, a.SVG("a", "adapter"))
		if e["text"] != 4 || !strings.Contains(texts, "θ ") || !strings.Contains(texts, "L ") {
			rt.Fatalf("%v %s", e, texts)
		}
	})
}

// Whatever somebody writes for a pattern, the layout has its places and an
// order of all of them or none.
func FuzzLay(f *testing.F) {
	for _, s := range []string{"crosswise", "1-2-3", "4-3-2-1", "-", "1--2", "99999999999999999999-1", "spiral "} {
		f.Add(s, 4)
	}
	f.Fuzz(func(t *testing.T, pattern string, n int) {
		l := Lay(pattern, n)
		if n >= 1 && n <= mostPlaces && len(l.Places) != n || l.Order != nil && len(l.Order) != n || l.Order != nil && l.Wrong != "" {
			t.Errorf("%q of %d: %+v", pattern, n, l)
		}
		if len(l.Places) > 0 {
			parsed(t, l.SVG("x", "title"))
		}
	})
}

func BenchmarkLayCrosswise200(b *testing.B) {
	var l Layout
	for b.Loop() {
		l = Lay("crosswise", mostPlaces)
	}
	if len(l.Order) != mostPlaces {
		b.Fatal(l.Order)
	}
}

func BenchmarkChoose(b *testing.B) {
	var c Choice
	for b.Loop() {
		c = Choose(board, 24, Adapter{Reach: 55}, day)
	}
	if c.Use != Serves {
		b.Fatal(c)
	}
}
