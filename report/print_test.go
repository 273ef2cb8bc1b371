package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

func printed(t testing.TB, print func(*bytes.Buffer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := print(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func textOf(t testing.TB, d Document, columns int) string {
	return printed(t, func(b *bytes.Buffer) error { return d.Text(b, columns) })
}

func htmlOf(t testing.TB, d Document, o Web) string {
	return printed(t, func(b *bytes.Buffer) error { return d.HTML(b, o) })
}

func pdfOf(t testing.TB, d Document, p Paper) string {
	return printed(t, func(b *bytes.Buffer) error { return d.PDF(b, p) })
}

func TestTextForm(t *testing.T) {
	for name, columns := range map[string]int{"testdata/sample-80.txt": 0, "testdata/sample-40.txt": 40} {
		got := textOf(t, sample(), columns)
		if *update {
			if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(name)
		if err != nil {
			t.Fatalf("%v; write it with -update and read it", err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
		for i, l := range strings.Split(got, "\n") {
			if n := len([]rune(l)); columns > 0 && n > columns {
				t.Errorf("%s:%d: %d characters wide", name, i+1, n)
			}
		}
	}
}

func TestSampleIsWellMade(t *testing.T) {
	if err := sample().Check(); err != nil {
		t.Error(err)
	}
	if err := long(20).Check(); err != nil {
		t.Error(err)
	}
}

func TestJSONComesBack(t *testing.T) {
	d := sample()
	data := printed(t, func(b *bytes.Buffer) error { return d.JSON(b) })
	back, err := Read([]byte(data))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(d, back); diff != "" {
		t.Error(diff)
	}
	for name, bad := range map[string]string{
		"an unknown field":   strings.Replace(data, `"kind"`, `"sort"`, 1),
		"something after it": data + "{}",
		"half of it":         data[:len(data)/2],
		"nothing":            "",
	} {
		if _, err := Read([]byte(bad)); !errors.Is(err, ErrDocument) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestHTMLStandsUnderThePolicy: served with a style sheet of its own, the page
// holds no style and no script, and is well nested.
func TestHTMLStandsUnderThePolicy(t *testing.T) {
	got := htmlOf(t, sample(), Web{StyleHref: "/assets/paper.css", Links: []Link{{"Back", "/plan?task=a&b"}, {"bad", "javascript:alert(1)"}}})
	for _, not := range []string{"<style", " style=", "<script", "javascript:alert", "onclick"} {
		if strings.Contains(got, not) {
			t.Errorf("the page holds %q", not)
		}
	}
	for _, want := range []string{
		"Variant LHD A", "V1 plan, revision " + sample().Mark(), `datetime="2026-03-16T09:30:00Z"`, "Forbidden", "says: ISO 13732-1",
		`data-id="fastener AR04/1/6"`, "<s>12 N·m</s> until revision 2", "licensed practice come first", `rotate(90 96 30)`, "10 N·m dry",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	d := xml.NewDecoder(strings.NewReader(got))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		if _, err := d.Token(); err != nil {
			if err.Error() != "EOF" {
				t.Error(err)
			}
			break
		}
	}
	if alone := htmlOf(t, sample(), Web{}); !strings.Contains(alone, "<style>") || strings.Contains(alone, "<link") {
		t.Error("a file of its own must carry its style")
	}
}

func TestHTMLEscapes(t *testing.T) {
	evil := `<script>alert(1)</script>"'&` + "\x00\u202e"
	d := sample()
	d.Title, d.Variant, d.Number = evil, evil, evil
	d.Sections[0].Blocks[8].Drawing.Title = evil
	d.Sections[0].Blocks[8].Drawing.Shapes[2].Text = evil
	d.Sections[0].Blocks[8].Drawing.Shapes[0].Path = `M0 0"/><script>`
	got := htmlOf(t, d, Web{StyleHref: evil})
	if strings.Contains(got, "<script>") || strings.Contains(got, "\x00") {
		t.Error("a text came through unescaped")
	}
}

// TestSameBytes: the same document gives the same file, and the date is all
// that a later print changes of its mark.
func TestSameBytes(t *testing.T) {
	d := long(5)
	one, two := pdfOf(t, d, A4)+htmlOf(t, d, Web{}), pdfOf(t, long(5), A4)+htmlOf(t, long(5), Web{})
	if one != two {
		t.Error("not the same twice")
	}
	later := d
	later.Date = d.Date.Add(time.Hour)
	if later.Mark() != d.Mark() {
		t.Error("the date is part of the mark; a second print of the same would look like another paper")
	}
	other := sample()
	other.Sections[1].Blocks[1].Step.Figure = "12 N·m dry"
	if other.Mark() == sample().Mark() {
		t.Error("another torque gives the same mark; an old print would not be known as old")
	}
}

func TestEveryPageSize(t *testing.T) {
	for _, c := range []struct {
		paper Paper
		box   string
	}{{A4, "/MediaBox[0 0 595.276 841.89]"}, {Letter, "/MediaBox[0 0 612 792]"}, {"", "/MediaBox[0 0 595.276 841.89]"}} {
		d := long(3)
		got := pdfOf(t, d, c.paper)
		if n := strings.Count(got, c.box); n != d.Pages(c.paper) || n < 2 {
			t.Errorf("%s: %d pages of %s, want %d", c.paper, n, c.box, d.Pages(c.paper))
		}
	}
}

func TestTicksMapBack(t *testing.T) {
	d := sample()
	for _, k := range d.Ticks() {
		if got, ok := d.Tick(strings.ToUpper(" " + k.ID)); !ok || got.ID != k.ID {
			t.Errorf("%q does not map back", k.ID)
		}
	}
	if got, ok := d.Tick("ar04/1 #2"); !ok || got.ID != "fastener AR04/1/6" {
		t.Errorf("the second box of the row AR04/1: %v %v", got, ok)
	}
	if _, ok := d.Tick("AR04/1#3"); ok {
		t.Error("a box that is not there maps back")
	}
}

func TestCheckFinds(t *testing.T) {
	for _, c := range []struct {
		name, says string
		spoil      func(*Document)
	}{
		{"no variant", "variant is empty", func(d *Document) { d.Variant = " " }},
		{"no deference", "deference is empty", func(d *Document) { d.Deference = "" }},
		{"no date", "no date", func(d *Document) { d.Date = time.Time{} }},
		{"an id twice", `have the id "STEP 1"`, func(d *Document) { d.Sections[1].Blocks[1].Step.Done.ID = "STEP 1" }},
		{"no id", "has no id", func(d *Document) { d.Sections[1].Blocks[1].Step.Done.ID = "" }},
		{"an empty block", "it is 0 things", func(d *Document) { d.Sections[0].Blocks[0] = Block{} }},
		{"two in a block", "it is 2 things", func(d *Document) { d.Sections[0].Blocks[0].List = &List{} }},
		{"too many cells", "row 1 has 4 cells for 3 columns", func(d *Document) {
			r := &d.Sections[0].Blocks[6].Table.Rows[0]
			r.Cells = append(r.Cells, Cell{})
		}},
		{"a flat drawing", "large", func(d *Document) { d.Sections[0].Blocks[8].Drawing.H = 0 }},
		{"a broken path", "not path data", func(d *Document) { d.Sections[0].Blocks[8].Drawing.Shapes[0].Path = "L 1" }},
		{"a missing pattern", "there is no pattern 2", func(d *Document) { d.Sections[0].Blocks[8].Drawing.Shapes[0].Pattern = 2 }},
	} {
		d := sample()
		c.spoil(&d)
		if err := d.Check(); !errors.Is(err, ErrDocument) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want something about %q", c.name, err, c.says)
		}
		_ = pdfOf(t, d, A4) // prints all the same
	}
}
