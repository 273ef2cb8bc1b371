package report

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// laid returns the strips of a document with its pages.
func laid(d Document, p Paper) (list []strip, pages [][]placed, room float64) {
	s := newSheet(d, p)
	set := setter{wide: s.wide, room: s.foot - s.top}
	set.set(d)
	return set.strips, paginate(set.strips, set.room), set.room
}

// TestPagesHoldTogether: on papers of many pages nothing lies below the foot,
// what is firmly held stays on one page, and nothing is lost or changes places.
func TestPagesHoldTogether(t *testing.T) {
	for _, paper := range Papers {
		list, pages, room := laid(long(60), paper)
		if len(pages) < 20 {
			t.Fatalf("%s: %d pages; the test would check little", paper, len(pages))
		}
		next := 0
		for n, page := range pages {
			for i, b := range page {
				if b.y+b.high > room+0.01 {
					t.Errorf("%s: page %d: a strip ends at %.1f of %.1f", paper, n+1, b.y+b.high, room)
				}
				if i > 0 && page[i-1].y+page[i-1].high > b.y+0.01 {
					t.Errorf("%s: page %d: strips lie over one another at %.1f", paper, n+1, b.y)
				}
				if b.again != nil || i == 0 || next < len(list) && same(b.strip, list[next]) {
					if next < len(list) && same(b.strip, list[next]) {
						next++
					}
				}
			}
			if n == len(pages)-1 || len(page) == 0 {
				continue
			}
			if last := page[len(page)-1]; last.hold == firm {
				t.Errorf("%s: page %d ends with a strip that holds firmly to the next", paper, n+1)
			}
		}
		if next != len(list) {
			t.Errorf("%s: %d of %d strips placed in order", paper, next, len(list))
		}
	}
}

// same reports whether two strips are one, by what decides where they go.
func same(a, b strip) bool {
	return a.high == b.high && a.hold == b.hold && a.again == b.again && a.before == b.before
}

// TestPaginateNeverLosesAStrip: random strips, also ones larger than a page.
func TestPaginateNeverLosesAStrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		again := []*repeated{nil, {[]strip{{high: 10}}}, {[]strip{{high: 90}}}}
		list := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) strip {
			return strip{
				high: rapid.Float64Range(0, 130).Draw(t, "high"), before: rapid.Float64Range(0, 20).Draw(t, "before"),
				hold: hold(rapid.IntRange(0, 2).Draw(t, "hold")), again: again[rapid.IntRange(0, 2).Draw(t, "again")], apart: rapid.IntRange(0, 9).Draw(t, "apart") == 0,
			}
		}), 0, 60).Draw(t, "strips")
		for i := range list { // so that each can be told from the others
			list[i].high += float64(i) * 1e-6
		}
		pages := paginate(list, 100)
		next := 0
		for n, page := range pages {
			end := 0.0
			for _, b := range page {
				if b.y < end-1e-9 {
					t.Fatalf("page %d: strips overlap", n)
				}
				end = b.y + b.high
				if end > 100.001 && b.high <= 100 {
					t.Fatalf("page %d: ends at %v", n, end)
				}
				if next < len(list) && b.high == list[next].high {
					next++
				}
			}
		}
		if next != len(list) {
			t.Fatalf("%d of %d strips placed", next, len(list))
		}
	})
}

// TestFirmlyHeldStripsPart only where they are larger than a page.
func TestFirmlyHeldStripsPart(t *testing.T) {
	list := []strip{{high: 40, hold: loose}, {high: 40, hold: firm}, {high: 40, hold: firm}, {high: 10}}
	pages := paginate(list, 100)
	if len(pages) != 2 || len(pages[0]) != 1 || len(pages[1]) != 3 {
		t.Errorf("90 held together after 40 on pages of 100: %d pages, first with %d strips", len(pages), len(pages[0]))
	}
	list = []strip{{high: 60, hold: firm}, {high: 60, hold: firm}, {high: 60}}
	if pages = paginate(list, 100); len(pages) != 3 {
		t.Errorf("180 held together on pages of 100: %d pages, want 3", len(pages))
	}
}

// TestHeadsAreRepeated: a table of several pages has its head on each of them.
func TestHeadsAreRepeated(t *testing.T) {
	d := sample()
	d.Sections = []Section{{Title: "Prices", Blocks: []Block{{Table: untickable(sampleTable(200))}}}}
	_, pages, _ := laid(d, A4)
	if len(pages) < 4 {
		t.Fatalf("%d pages", len(pages))
	}
	for n, page := range pages[1:] {
		if len(page) > 1 && page[1].again != nil && page[0].again != nil {
			t.Errorf("page %d begins with a row, not with the head", n+2)
		}
	}
}

func TestCautionStandsWithItsStep(t *testing.T) {
	s := setter{wide: 400, room: 600}
	s.step(Step{Number: 1, Title: "Drain", Cautions: []Caution{{Says: "Hot"}, {Says: "Under pressure", Authority: "HSE"}}, Lines: []Fact{{"a", "b"}, {"c", "d"}}})
	for i, l := range s.strips[:len(s.strips)-2] {
		if l.hold == loose {
			t.Errorf("strip %d of the card does not hold to the next", i)
		}
	}
	firmly := 0
	for firmly < len(s.strips) && s.strips[firmly].hold == firm {
		firmly++
	}
	if firmly < 6 { // two heads, two texts, one authority, the title
		t.Errorf("only %d strips of cautions and title hold firmly", firmly)
	}
}

func TestCautionStaysInOnePiece(t *testing.T) {
	s := setter{wide: 400, room: 600}
	s.caution(Caution{Says: "Do not crank", Because: "The fuel line is open", Authority: "HSE", MustNot: true}, 0, loose)
	for i, l := range s.strips {
		if last := i == len(s.strips)-1; (l.hold == firm) == last {
			t.Errorf("strip %d of %d: hold %d", i+1, len(s.strips), l.hold)
		}
	}
}

func TestNoLineStandsAlone(t *testing.T) {
	for n := 1; n < 9; n++ {
		for i := range n {
			got := lineHold(i, n, loose)
			want := loose
			if n > 1 && (i == 0 || i == n-2) {
				want = firm
			}
			if got != want {
				t.Errorf("line %d of %d: %d, want %d", i+1, n, got, want)
			}
		}
	}
}

func TestColumnsFill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "columns")
		table := Table{}
		for range n {
			table.Columns = append(table.Columns, Column{Head: rapid.String().Draw(t, "head")})
		}
		table.Rows = []Row{{Cells: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Cell {
			return Cell{Text: rapid.String().Draw(t, "text"), Big: rapid.Bool().Draw(t, "big")}
		}), 0, 14).Draw(t, "cells")}}
		s := setter{wide: 490, room: 700}
		sum := gutter * float64(n-1)
		for i, w := range s.columns(table) {
			if w <= 0 || math.IsNaN(w) {
				t.Fatalf("column %d is %v wide", i, w)
			}
			sum += w
		}
		if math.Abs(sum-490) > 0.01 {
			t.Fatalf("the columns are %v wide together, want 490", sum)
		}
	})
}

// TestWrap: every line is narrow enough, and together they say the same.
func TestWrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := clean(rapid.String().Draw(t, "text") + " 20 N·m " + rapid.String().Draw(t, "more"))
		width := rapid.Float64Range(12, 300).Draw(t, "width")
		all := ""
		for _, l := range wrap(text, width, body.wide) {
			if w := body.wide(l); w > width+0.01 && len([]rune(l)) > 1 {
				t.Fatalf("line %q is %v wide, want at most %v", l, w, width)
			}
			all += l
		}
		strip := func(s string) string {
			out := []rune{}
			for _, r := range s {
				if r != ' ' {
					out = append(out, r)
				}
			}
			return string(out)
		}
		if strip(all) != strip(text) {
			t.Fatalf("%q became %q", text, all)
		}
	})
}

func TestNumberKeepsItsUnit(t *testing.T) {
	for _, c := range []struct{ text, unbroken string }{
		{"tighten to 20 N·m dry", "20 N·m"},
		{"after 4 min, then", "4 min,"},
		{"at ≥ 10 MΩ and more", "≥ 10 MΩ"},
		{"4 × M6x20", "4 × M6x20"},
		{"250 Ω ± 5 %", "250 Ω"},
		{"seen 2026-03-16\u00a007:37 here", "2026-03-16\u00a007:37"},
	} {
		found := false
		for _, p := range pieces(c.text) {
			found = found || p.text == c.unbroken
		}
		if !found {
			t.Errorf("%q can be broken inside %q: %+v", c.text, c.unbroken, pieces(c.text))
		}
	}
}
