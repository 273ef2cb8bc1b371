package app_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/demo"
	"elbowroom/report"
)

var (
	papersOut    = flag.String("papers.out", "", "folder into which the papers of the demonstration are written as PDF and HTML, to be looked at")
	papersUpdate = flag.Bool("papers.update", false, "write the text forms of the papers anew")
)

// paperDay is when the papers of these tests are printed.
var paperDay = time.Date(2026, 3, 16, 9, 30, 0, 0, time.UTC)

func paperApp(t testing.TB) *app.App {
	t.Helper()
	shop, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	a, err := app.Open(func() time.Time { return paperDay }, shop, app.Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// paperCase is a question of the demonstration whose papers are looked at.
type paperCase struct {
	name, why string
	ask       app.Ask
}

var paperCases = []paperCase{
	{"knock", "much comes off; gaskets are new each time", app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}},
	{"three", "three targets at once, one of them from below", app.Ask{Machine: "V4", Tasks: []string{"replace:IG03", "replace:SE02", "replace:AC15"}}},
	{"pump", "fuel line open: cautions, unions, parts with lead time", app.Ask{Machine: "V3", Tasks: []string{"replace:FU01"}}},
	{"thermostat", "coolant: fluids, waiting, conditions", app.Ask{Machine: "V2", Tasks: []string{"replace:CO02"}, Proof: []string{"check:T16"}}},
	{"hatch", "checks only", app.Ask{Variant: "LHD B", Tasks: []string{"check:X3", "check:SE03"}}},
	{"unknown", "a torque that nobody has written down", app.Ask{Variant: "LHD B", Tasks: []string{"replace:AC13"}}},
	{"impossible", "no plan: there is no way to polish it", app.Ask{Variant: "LHD B", Tasks: []string{"polish:SE13"}}},
}

func TestLookAtPapers(t *testing.T) {
	a := paperApp(t)
	for _, c := range paperCases {
		for _, kind := range app.AskedPapers {
			p, err := a.Paper(app.PaperAsk{Ask: c.ask, Kind: kind})
			if err != nil {
				t.Fatalf("%s %s: %v", c.name, kind, err)
			}
			if err := p.Check(); err != nil {
				t.Errorf("%s %s: %v", c.name, kind, err)
			}
			keepPaper(t, c.name+"-"+string(kind), p.Document)
		}
	}
}

// keepPaper compares the text form with the kept one, and writes the other forms
// for looking where that is asked for.
func keepPaper(t *testing.T, name string, d report.Document) {
	t.Helper()
	var text bytes.Buffer
	if err := d.Text(&text, 100); err != nil {
		t.Fatal(err)
	}
	kept := filepath.Join("testdata", "papers", name+".txt")
	if *papersUpdate {
		if err := os.MkdirAll(filepath.Dir(kept), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(kept, text.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(kept)
	if err != nil {
		t.Fatalf("%v; write it with -papers.update and read it", err)
	}
	if got := text.String(); got != string(want) {
		t.Errorf("%s differs from %s at line %s", name, kept, firstDifference(got, string(want)))
	}
	if *papersOut == "" {
		return
	}
	for _, f := range []struct {
		file  string
		write func(*bytes.Buffer) error
	}{
		{name + ".a4.pdf", func(b *bytes.Buffer) error { return d.PDF(b, report.A4) }},
		{name + ".letter.pdf", func(b *bytes.Buffer) error { return d.PDF(b, report.Letter) }},
		{name + ".html", func(b *bytes.Buffer) error { return d.HTML(b, report.Web{}) }},
	} {
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(*papersOut, f.file), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range max(len(x), len(y)) {
		var l, r string
		if i < len(x) {
			l = x[i]
		}
		if i < len(y) {
			r = y[i]
		}
		if l != r {
			return fmt.Sprintf("%d:\n got %q\nwant %q", i+1, l, r)
		}
	}
	return "none"
}

func itoa(n int) string { return fmt.Sprint(n) }
