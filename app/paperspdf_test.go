//go:build papers

package app_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/report"
)

// read extracts the text of a PDF, page by page, with a reader that is not
// ours (pdftotext of poppler). What it complains about fails the test.
func read(t *testing.T, d report.Document, size report.Paper) []string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "paper.pdf")
	var b bytes.Buffer
	if err := d.PDF(&b, size); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("pdftotext", "-layout", "-enc", "UTF-8", name, "-")
	var complaints bytes.Buffer
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	if err != nil || complaints.Len() > 0 {
		t.Fatalf("pdftotext: %v %s; it comes with the Debian package poppler-utils", err, complaints.String())
	}
	pages := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
	if len(pages) != d.Pages(size) {
		t.Errorf("%s: %d pages read, %d printed", d.Number, len(pages), d.Pages(size))
	}
	return pages
}

// squash leaves out blanks, so that line ends do not matter.
func squash(s string) string { return strings.Join(strings.Fields(s), "") }

// TestPapersReadBack: what stands on every page stands on every page, and every
// card, line of a table and caution of the document is on the paper.
func TestPapersReadBack(t *testing.T) {
	a := paperApp(t)
	var docs []report.Document
	for _, c := range paperCases {
		for _, kind := range app.AskedPapers {
			p, err := a.Paper(app.PaperAsk{Ask: c.ask, Kind: kind})
			if err != nil {
				t.Fatal(err)
			}
			docs = append(docs, p.Document)
		}
	}
	end := logOf(t, "case-a.jsonl")
	docs = append(docs, a.HandoverPaper(logOf(t, "case-a-evening.jsonl")), a.JobPaper(end, nil))
	for _, d := range docs {
		for _, size := range report.Papers {
			pages := read(t, d, size)
			for n, page := range pages {
				for _, want := range []string{
					"Variant " + d.Variant, d.Mark(), d.Guide, "2026-03-16 09:30 UTC", "licensed practice",
					"page " + itoa(n+1) + " of " + itoa(len(pages)),
				} {
					if !strings.Contains(squash(page), squash(want)) {
						t.Errorf("%s on %s: page %d lacks %q", d.Number, size, n+1, want)
					}
				}
			}
			all := squash(strings.Join(pages, ""))
			for _, want := range said(d) {
				if !strings.Contains(all, squash(want)) {
					t.Errorf("%s on %s lacks %q", d.Number, size, want)
				}
			}
		}
	}
}

// said lists texts of a document that stand on paper in one piece or broken at
// blanks only.
func said(d report.Document) []string {
	var list []string
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			switch {
			case b.Step != nil:
				list = append(list, firstWords(b.Step.Title), b.Step.Minutes, b.Step.Figure)
			case b.Caution != nil:
				list = append(list, firstWords(b.Caution.Says))
			case b.Text != nil:
				list = append(list, firstWords(b.Text.Says))
			}
		}
	}
	return list
}

// firstWords cuts a text so short that it stands in one line.
func firstWords(s string) string {
	words := strings.Fields(s)
	return strings.Join(words[:min(len(words), 4)], " ")
}

// TestSignsOfTheTradeReadBack: letters and signs come out of the PDF as they went
// in, also those that the letters do not have.
func TestSignsOfTheTradeReadBack(t *testing.T) {
	const text = "20 N·m 90 °C 10 kΩ ≥ 3 ± 0.5 ≤ × − µF ½ äöüß ÄÖÜ éèçñ łżő жЯ αβ → € “Größe” 中文 ⌀12"
	d := paperApp(t).HandoverPaper(logOf(t, "case-a.jsonl"))
	d.Sections = append(d.Sections, report.Section{Title: "Signs", Blocks: []report.Block{{Text: &report.Text{Says: text}}, {Text: &report.Text{Says: text, Big: true}}}})
	got := squash(strings.Join(read(t, d, report.A4), ""))
	if n := strings.Count(got, squash(text)); n != 2 {
		t.Errorf("%q stands there %d times, want twice:\n%s", text, n, got)
	}
}
