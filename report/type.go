package report

import (
	"strings"

	"elbowroom/report/pdf"
)

// font is a way of setting text.
type font struct {
	face    pdf.Face
	size    float64
	leading float64 // from one line to the next
	colour  pdf.Colour
}

// The sizes of type in points, on one scale so that lines agree.
var (
	body    = font{pdf.Regular, 9.5, 13, pdf.Black}
	strong  = font{pdf.Bold, 9.5, 13, pdf.Black}
	small   = font{pdf.Regular, 8, 11, soft}
	tiny    = font{pdf.Regular, 7, 9, soft}
	figures = font{pdf.Bold, 17, 20, pdf.Black} // capitals 4.3 mm high
	large   = font{pdf.Bold, 14, 18, pdf.Black}
	title   = font{pdf.Bold, 22, 26, pdf.Black}
	heading = font{pdf.Bold, 13, 17, pdf.Black}
	headCol = font{pdf.Bold, 8, 11, soft}
)

var (
	soft = pdf.Grey(75)
	rule = pdf.Grey(150)
)

func (f font) wide(s string) float64 { return pdf.Width(f.face, f.size, s) }

// lines breaks a text to a width; it returns nothing for an empty text.
func (f font) lines(s string, width float64) []string {
	var list []string
	for _, p := range paragraphs(s) {
		list = append(list, wrap(p, width, f.wide)...)
	}
	return list
}

// draw writes one line whose top is at y.
func (f font) draw(c pdf.Canvas, x, y float64, s string) {
	c.Text(x, y+f.base(), f.face, f.size, f.colour, s)
}

// base returns how far the base line lies below the top of a line.
func (f font) base() float64 { return (f.leading-f.size)/2 + f.size*0.82 }

// mostBytes is how many bytes a text can hardly have for each point of its
// width, so that very long ones need not be measured whole.
const mostBytes = 16

// fit returns the text, shortened where it is wider than the room.
func (f font) fit(s string, room float64) string {
	if most := mostBytes * (1 + int(max(room, 0))); len(s) > most {
		s = strings.ToValidUTF8(s[:most], "")
	}
	if s = clean(s); f.wide(s) <= room {
		return s
	}
	lines := wrap(s, room-f.wide("…"), f.wide)
	if len(lines) == 0 {
		return ""
	}
	return lines[0] + "…"
}

// hair draws a line of the given width across a column.
func hair(c pdf.Canvas, x1, x2, y, width float64, colour pdf.Colour) {
	c.Draw(pdf.Line(x1, y, x2, y), pdf.Paint{Stroke: &colour, Width: width})
}
