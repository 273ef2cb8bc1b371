package pdf

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// Canvas is a page, or a part of one with its own origin and scale.
type Canvas struct {
	page  *Page
	x, y  float64
	scale float64
}

// Page is one page in the making.
type Page struct {
	file *File
	W, H float64
	out  bytes.Buffer
}

// Canvas returns the whole page to draw on.
func (p *Page) Canvas() Canvas { return Canvas{p, 0, 0, 1} }

// At returns a canvas whose origin lies at x, y and whose unit is scale units
// of this one.
func (c Canvas) At(x, y, scale float64) Canvas {
	return Canvas{c.page, c.x + x*c.scale, c.y + y*c.scale, c.scale * scale}
}

// mostLength bounds every number in a file; nothing of use lies beyond it.
const mostLength = 1e6

// number prints a length with three decimals at most.
func number(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "0"
	}
	x = math.Round(min(max(x, -mostLength), mostLength)*1000) / 1000
	if x == 0 {
		return "0"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func (c Canvas) point(p Point) string {
	return number(c.x+p.X*c.scale) + " " + number(c.page.H-c.y-p.Y*c.scale)
}

func (c Canvas) write(format string, args ...any) { fmt.Fprintf(&c.page.out, format, args...) }

// Text writes a line of text; x, y is the left end of its base line.
func (c Canvas) Text(x, y float64, face Face, size float64, colour Colour, text string) {
	c.text(x, y, face, size, text, func() { c.write("%s rg", rgb(colour)) })
}

// Halo writes the outline of a text, to stand under it on a busy ground.
func (c Canvas) Halo(x, y float64, face Face, size float64, colour Colour, width float64, text string) {
	c.write("q 1 j\n")
	c.text(x, y, face, size, text, func() { c.write("%s RG %s w 1 Tr", rgb(colour), number(width*c.scale)) })
	c.write("Q\n")
}

func (c Canvas) text(x, y float64, face Face, size float64, text string, begin func()) {
	if text == "" {
		return
	}
	u := c.page.file.used[face]
	c.write("BT ")
	begin()
	c.write(" /F%d %s Tf %s Td <", face, number(size*c.scale), c.point(Point{x, y}))
	const digits = "0123456789ABCDEF"
	for _, r := range text {
		if !unseen(r) {
			g := u.glyph(r)
			c.page.out.Write([]byte{digits[g>>12], digits[g>>8&15], digits[g>>4&15], digits[g&15]})
		}
	}
	c.write("> Tj ET\n")
}

func rgb(c Colour) string {
	return number(float64(c.R)/255) + " " + number(float64(c.G)/255) + " " + number(float64(c.B)/255)
}

// Draw draws a path.
func (c Canvas) Draw(path []Segment, p Paint) {
	if len(path) == 0 || p.Fill == nil && p.Pattern == nil && p.Stroke == nil {
		return
	}
	c.write("q\n")
	if name := c.page.file.state(p.FillAlpha, p.StrokeAlpha); name != "" {
		c.write("/%s gs\n", name)
	}
	if p.Stroke != nil {
		c.pen(p)
	}
	segments := c.segments(path)
	if p.Fill != nil {
		c.write("%s rg\n", rgb(*p.Fill))
	}
	if p.Pattern != nil && p.Fill != nil {
		c.write("%sf\n", segments)
	}
	if p.Pattern != nil {
		c.write("/Pattern cs /%s scn\n", c.page.file.pattern(p.Pattern, c))
	}
	c.write("%s%s\nQ\n", segments, painting(p))
}

// painting returns the operator that fills and strokes.
func painting(p Paint) string {
	fills := p.Fill != nil || p.Pattern != nil
	switch {
	case fills && p.Stroke != nil:
		return "B"
	case fills:
		return "f"
	}
	return "S"
}

func (c Canvas) pen(p Paint) {
	c.write("%s RG %s w\n", rgb(*p.Stroke), number(p.Width*c.scale))
	if p.Round {
		c.write("1 J 1 j\n")
	}
	sum := 0.0
	for _, d := range p.Dash {
		sum += math.Max(d, 0)
	}
	if !(sum > 0) || math.IsInf(sum, 0) {
		return
	}
	c.write("[")
	for _, d := range p.Dash {
		c.write("%s ", number(math.Max(d, 0)*c.scale))
	}
	c.write("] 0 d\n")
}

// segments prints a path. One that does not begin with M begins at its first
// point.
func (c Canvas) segments(path []Segment) string {
	var b bytes.Buffer
	begun := false
	for _, s := range path {
		switch {
		case s.Op == 'M' || !begun && (s.Op == 'L' || s.Op == 'C'):
			b.WriteString(c.point(s.P[0]) + " m\n")
			begun = true
		case s.Op == 'L':
			b.WriteString(c.point(s.P[0]) + " l\n")
		case s.Op == 'C':
			b.WriteString(c.point(s.P[0]) + " " + c.point(s.P[1]) + " " + c.point(s.P[2]) + " c\n")
		case s.Op == 'Z' && begun:
			b.WriteString("h\n")
		}
	}
	if !begun {
		b.WriteString("0 0 m\n")
	}
	return b.String()
}

// Clip calls draw and shows of what it draws only what lies inside the path.
func (c Canvas) Clip(path []Segment, draw func()) {
	c.write("q\n%sW n\n", c.segments(path))
	draw()
	c.write("Q\n")
}

// Turn calls draw with everything it draws turned clockwise about a point.
func (c Canvas) Turn(x, y, degrees float64, draw func()) {
	sin, cos := math.Sincos(-degrees * math.Pi / 180)
	px, py := c.x+x*c.scale, c.page.H-c.y-y*c.scale
	c.write("q 1 0 0 1 %[1]s %[2]s cm %[3]s %[4]s %[5]s %[3]s 0 0 cm 1 0 0 1 %[6]s %[7]s cm\n",
		number(px), number(py), fine(cos), fine(sin), fine(-sin), number(-px), number(-py))
	draw()
	c.write("Q\n")
}

// fine prints a number between -1 and 1 with six decimals.
func fine(x float64) string {
	if math.IsNaN(x) {
		return "0"
	}
	return strconv.FormatFloat(math.Round(x*1e6)/1e6+0, 'f', -1, 64)
}

// Mark makes the place a target of the list of contents that readers show
// beside the pages.
func (c Canvas) Mark(y float64, title string) {
	f := c.page.file
	f.marks = append(f.marks, mark{title, len(f.pages) - 1, c.page.H - c.y - y*c.scale})
}
