package pdf

import (
	"bytes"
	"fmt"
	"io"
	"time"
)

// Info says what a file is.
type Info struct {
	Title    string
	Subject  string
	Author   string
	Language string    // "en"
	Made     time.Time // left out when zero
}

// File is a file in the making.
type File struct {
	info     Info
	pages    []*Page
	used     [faces]*used
	states   []string // contents of graphics states
	patterns []tile
	marks    []mark
}

// mark is an entry of the list of contents.
type mark struct {
	title string
	page  int
	y     float64 // from the bottom
}

// tile is a pattern as it is used at one scale.
type tile struct {
	dict, body string
}

// New begins a file.
func New(info Info) *File {
	f := &File{info: info}
	for i, font := range fonts() {
		f.used[i] = newUsed(font)
	}
	return f
}

// Page adds a page of the given size.
func (f *File) Page(w, h float64) *Page {
	p := &Page{file: f, W: w, H: h}
	f.pages = append(f.pages, p)
	return p
}

// Pages returns how many pages there are.
func (f *File) Pages() int { return len(f.pages) }

// state returns the name of the graphics state with these opacities, "" when
// both are full.
func (f *File) state(fill, stroke float64) string {
	full := func(a float64) float64 {
		if !(a > 0) || a > 1 {
			return 1
		}
		return a
	}
	fill, stroke = full(fill), full(stroke)
	if fill == 1 && stroke == 1 {
		return ""
	}
	s := "<</Type/ExtGState/ca " + number(fill) + "/CA " + number(stroke) + ">>"
	for i, have := range f.states {
		if have == s {
			return fmt.Sprintf("G%d", i)
		}
	}
	f.states = append(f.states, s)
	return fmt.Sprintf("G%d", len(f.states)-1)
}

// pattern returns the name of a pattern as it looks on a canvas.
func (f *File) pattern(p *Pattern, c Canvas) string {
	in := Canvas{page: &Page{file: f, H: p.H}, scale: 1}
	for _, part := range p.Parts {
		paint := part.Paint
		paint.Pattern, paint.FillAlpha, paint.StrokeAlpha = nil, 0, 0
		in.Draw(part.Path, paint)
	}
	w, h := p.W, p.H
	if !(w > 0) || !(h > 0) || w > mostLength || h > mostLength {
		w, h = 1, 1
	}
	t := tile{
		dict: fmt.Sprintf("/Type/Pattern/PatternType 1/PaintType 1/TilingType 1/BBox[0 0 %[1]s %[2]s]/XStep %[1]s/YStep %[2]s/Matrix[%[3]s 0 0 %[3]s %[4]s %[5]s]/Resources<<>>",
			number(w), number(h), number(c.scale), number(c.x), number(c.page.H-c.y)),
		body: in.page.out.String(),
	}
	for i, have := range f.patterns {
		if have == t {
			return fmt.Sprintf("P%d", i)
		}
	}
	f.patterns = append(f.patterns, t)
	return fmt.Sprintf("P%d", len(f.patterns)-1)
}

// WriteTo writes the file. The error is the writer's. A file without pages
// gets an empty one.
func (f *File) WriteTo(w io.Writer) (int64, error) {
	if len(f.pages) == 0 {
		f.Page(595.28, 841.89)
	}
	var o objects
	f.build(&o)
	n, err := io.Copy(w, bytes.NewReader(o.finish()))
	return n, err
}
