package report

import (
	"bytes"
	"testing"
)

// benchPaper is what the benchmarks print: a paper of about a hundred pages with
// steps, tables, paragraphs and drawings.
func benchPaper() Document { return long(110) }

func perPage(b *testing.B, print func(*bytes.Buffer) error, pages int) {
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := print(&out); err != nil {
			b.Fatal(err)
		}
	}
	if out.Len() < 20_000 || pages < 50 {
		b.Fatalf("%d bytes, %d pages: hardly anything was printed", out.Len(), pages)
	}
	b.ReportMetric(float64(pages)*float64(b.N)/b.Elapsed().Seconds(), "pages/s")
	b.ReportMetric(float64(out.Len())/float64(pages), "B/page")
}

func BenchmarkPDF(b *testing.B) {
	d := benchPaper()
	perPage(b, func(w *bytes.Buffer) error { return d.PDF(w, A4) }, d.Pages(A4))
}

func BenchmarkHTML(b *testing.B) {
	d := benchPaper()
	perPage(b, func(w *bytes.Buffer) error { return d.HTML(w, Web{StyleHref: "/paper.css"}) }, d.Pages(A4))
}

func BenchmarkText(b *testing.B) {
	d := benchPaper()
	perPage(b, func(w *bytes.Buffer) error { return d.Text(w, 80) }, d.Pages(A4))
}
