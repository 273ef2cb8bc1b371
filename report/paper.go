package report

import (
	"fmt"
	"io"
	"strings"

	"elbowroom/report/pdf"
)

// Paper is a size of paper.
type Paper string

// The sizes: A4 of ISO 216, Letter of ANSI/ASME Y14.1.
const (
	A4     Paper = "A4"
	Letter Paper = "letter"
)

// Papers lists every size.
var Papers = []Paper{A4, Letter}

// size returns width and height in points; any other paper is taken as A4.
func (p Paper) size() (w, h float64) {
	if p == Letter {
		return 612, 792
	}
	return 210 * mm, 297 * mm
}

// mm is a millimetre in points.
const mm = 72 / 25.4

// Margins. The left one is wide enough for the holes of a file.
const (
	marginLeft  = 20 * mm
	marginRight = 14 * mm
	marginTop   = 11 * mm
	marginFoot  = 10 * mm
	headAir     = 9.0 // between head and body
	footAir     = 9.0
)

// sheet is a document on paper of one size.
type sheet struct {
	d         Document
	w, h      float64
	wide      float64
	top       float64 // of the body
	foot      float64 // of the body
	deference []string
	id        string
}

// PDF writes the document as PDF on paper of the given size. The error is the
// writer's.
func (d Document) PDF(w io.Writer, p Paper) error {
	f, _ := d.setPages(p)
	_, err := f.WriteTo(w)
	return err
}

// Pages returns how many pages the PDF has.
func (d Document) Pages(p Paper) int {
	_, n := d.setPages(p)
	return n
}

func (d Document) setPages(p Paper) (*pdf.File, int) {
	s := newSheet(d, p)
	set := setter{wide: s.wide, room: s.foot - s.top}
	set.set(d)
	pages := paginate(set.strips, set.room)
	f := pdf.New(pdf.Info{Title: clean(d.Title), Subject: s.id, Author: clean(d.From), Language: "en", Made: d.Date})
	for i, list := range pages {
		c := f.Page(s.w, s.h).Canvas()
		s.frame(c, i+1, len(pages))
		for _, b := range list {
			if b.ruled && b.y > 0 {
				hair(c, marginLeft, marginLeft+s.wide, s.top+b.y-stepAir/2, 0.5, rule)
			}
			b.paint(c.At(marginLeft, s.top+b.y, 1))
		}
	}
	return f, len(pages)
}

func newSheet(d Document, p Paper) sheet {
	s := sheet{d: d, id: clean(d.Identity())}
	s.w, s.h = p.size()
	s.wide = s.w - marginLeft - marginRight
	s.deference = limit(tiny.lines(d.Deference, s.wide), 4)
	s.top = marginTop + large.leading + small.leading + 3 + headAir
	s.foot = s.h - marginFoot - small.leading - 4 - float64(len(s.deference))*tiny.leading - footAir
	return s
}

// limit keeps the first n lines and marks that there were more.
func limit(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	lines = lines[:n:n]
	lines[n-1] += " …"
	return lines
}

// frame draws what stands on every page.
func (s sheet) frame(c pdf.Canvas, page, pages int) {
	c = c.At(marginLeft, 0, 1)
	half := s.wide * 0.6
	variant := "Variant " + clean(s.d.Variant)
	large.draw(c, 0, marginTop, large.fit(variant, half))
	name := strong.fit(s.d.Title, s.wide-half-gutter)
	strong.draw(c, s.wide-strong.wide(name), marginTop+large.base()-strong.base(), name)
	y := marginTop + large.leading
	small.draw(c, 0, y, small.fit(s.d.About, half))
	id := small.fit(s.id, s.wide-half-gutter)
	small.draw(c, s.wide-small.wide(id), y, id)
	hair(c, 0, s.wide, y+small.leading+3, 1.1, pdf.Black)

	y = s.foot + footAir
	hair(c, 0, s.wide, y, 0.5, pdf.Black)
	y += 3
	count := fmt.Sprintf("page %d of %d", page, pages)
	right := strings.TrimSpace(s.d.day() + "   " + count)
	small.draw(c, s.wide-small.wide(right), y, right)
	small.draw(c, 0, y, small.fit(s.d.Guide, s.wide-small.wide(right)-gutter))
	y += small.leading + 1
	for i, l := range s.deference {
		tiny.draw(c, 0, y+float64(i)*tiny.leading, l)
	}
}
