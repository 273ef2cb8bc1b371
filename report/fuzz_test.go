package report

import (
	"strings"
	"testing"
	"unicode/utf8"
)

func FuzzParsePath(f *testing.F) {
	for _, s := range []string{"M10 10L20 20Z", "M0 0a1 1 0 1 0 2 0q1 1 2 2t1 1", "M1e308 1e308A1e308 1 45 11 2 2", "m.5.5-1-1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		list, err := ParsePath(Path(s))
		if err != nil {
			return
		}
		if again, err := ParsePath(NewPath(list)); err != nil || len(again) != len(list) {
			t.Errorf("%q: printed %q: %d of %d segments, %v", s, NewPath(list), len(again), len(list), err)
		}
	})
}

func FuzzFromSVG(f *testing.F) {
	f.Add(picture, looks)
	f.Add("<svg viewBox='0 0 1 1'><text>a</text></svg>", ".a .b{x:y}@media{")
	f.Fuzz(func(t *testing.T, text, css string) {
		d, err := FromSVG(text, css)
		if err != nil {
			return
		}
		if err := d.check(); err != nil {
			t.Errorf("read and cannot be drawn: %v", err)
		}
	})
}

func FuzzRead(f *testing.F) {
	var b strings.Builder
	if err := sample().JSON(&b); err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(b.String()))
	f.Add([]byte(`{"sections":[{"blocks":[{"table":{"columns":[{}],"rows":[{"cells":[{"ticks":[{}]},{}]}]}}]}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Read(data)
		if err != nil || len(data) > 20_000 {
			return
		}
		_ = d.Check()
		_ = pdfOf(t, d, Letter)
		_ = textOf(t, d, 60)
		if h := htmlOf(t, d, Web{StyleHref: "/x.css"}); strings.Contains(h, " style=") && !strings.Contains(string(data), "style") {
			t.Error("a style came in")
		}
	})
}

// FuzzTexts puts any text everywhere: every printer prints it, and what can be
// printed at all stands in the text form.
func FuzzTexts(f *testing.F) {
	f.Add("20 N·m dry", 3)
	f.Add(strings.Repeat("Donaudampfschifffahrtsgesellschaft", 40), 1)
	f.Add("\x00\xff\u202e\u200d中文العربية\U0001F9F0\n\r\t", 9)
	f.Add(strings.Repeat("word ", 500), 2)
	f.Fuzz(func(t *testing.T, s string, n int) {
		if len(s) > 30_000 {
			return
		}
		n = 1 + (n%7+7)%7
		d := sample()
		d.Title, d.Variant, d.About, d.Guide, d.Deference, d.Number = s, s, s, s, s, s
		d.Lead = []Fact{{s, s}}
		table := &Table{Says: s, Note: s}
		row := Row{}
		for range n {
			table.Columns = append(table.Columns, Column{Head: s})
			row.Cells = append(row.Cells, Cell{Text: s, Big: n%2 == 0, Struck: []string{s}, Ticks: []Tick{{ID: s, Says: s}}})
		}
		table.Rows = []Row{row, row}
		caution := Caution{Says: s, Because: s, Authority: s, MustNot: n%2 == 0}
		d.Sections = append(d.Sections, Section{Title: s, Blocks: []Block{
			{Text: &Text{Lead: s, Says: s, Big: n > 3}},
			{List: &List{Head: s, Points: []string{s, s}}},
			{Table: table},
			{Step: &Step{Number: n, Title: s, Minutes: s, Figure: s, Was: []string{s}, Cautions: []Caution{caution}, Lines: []Fact{{s, s}}, Picture: sampleDrawing(), Ticks: []Ticks{{Head: s, Ref: s, Flow: true, List: []Tick{{ID: s, Says: s}}}}}},
			{Ticks: &Ticks{Head: s, List: []Tick{{ID: s, Says: s, By: s}}}},
			{Drawing: &Drawing{Title: s, Says: s, W: 10, H: 1e6, Shapes: []Shape{{Text: s, Size: 4, Turn: 30}}}},
			{Sign: &Sign{Says: s, Lines: []SignLine{{s, s, s}}}},
		}})
		if len(pdfOf(t, d, A4)) < 5000 {
			t.Error("hardly anything was printed")
		}
		if text := textOf(t, d, 80); !utf8.ValidString(text) {
			t.Error("the text form is no UTF-8")
		}
		_ = htmlOf(t, d, Web{})
	})
}
