package bay

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
)

// sheet collects SVG text. Attribute values and text are escaped on the way
// in, so that no name in a guide can break the drawing.
type sheet struct{ text []byte }

// open begins an element with attributes in name, value pairs; attributes with
// an empty value are left out.
func (s *sheet) open(tag string, pairs ...string) {
	s.begin(tag, pairs)
	s.text = append(s.text, '>')
}

// empty writes an element without content.
func (s *sheet) empty(tag string, pairs ...string) {
	s.begin(tag, pairs)
	s.text = append(s.text, '/', '>')
}

func (s *sheet) begin(tag string, pairs []string) {
	s.text = append(append(s.text, '<'), tag...)
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] == "" {
			continue
		}
		s.text = append(append(append(s.text, ' '), pairs[i]...), '=', '"')
		s.write(pairs[i+1])
		s.text = append(s.text, '"')
	}
}

func (s *sheet) close(tag string) {
	s.text = append(append(append(s.text, '<', '/'), tag...), '>')
	if tag == "g" || tag == "a" {
		s.text = append(s.text, '\n')
	}
}

// write appends text with everything escaped that XML gives a meaning; what
// XML does not allow at all becomes U+FFFD.
func (s *sheet) write(text string) {
	plain := true
	for i := range len(text) {
		c := text[i]
		if c < ' ' || c >= 0x7f || c == '<' || c == '>' || c == '&' || c == '"' || c == '\'' {
			plain = false
			break
		}
	}
	if plain {
		s.text = append(s.text, text...)
		return
	}
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(text)) // a Buffer does not fail
	s.text = append(s.text, b.Bytes()...)
}

// element writes an element that holds only text.
func (s *sheet) element(tag, text string, pairs ...string) {
	s.open(tag, pairs...)
	s.write(text)
	s.close(tag)
}

// words writes a line of text at f.
func (s *sheet) words(text string, f flat, class string, more ...string) {
	s.element("text", text, append([]string{"x", num(f.u), "y", num(f.v), "class", class}, more...)...)
}

// line writes a straight line.
func (s *sheet) line(a, b flat, class string) {
	s.empty("path", "class", class, "d", "M"+pair(a)+"L"+pair(b))
}

// box writes a rectangle with rounded corners.
func (s *sheet) box(r rect, round float64, class string) {
	s.empty("rect", "class", class, "x", num(r.u0), "y", num(r.v0), "width", num(r.wide()), "height", num(r.high()), "rx", zeroless(round))
}

// ring writes a circle.
func (s *sheet) ring(c flat, r float64, class string) {
	s.empty("circle", "class", class, "cx", num(c.u), "cy", num(c.v), "r", num(r))
}

func zeroless(x float64) string {
	if x == 0 {
		return ""
	}
	return num(x)
}

// num prints a number with at most one decimal. What is not finite cannot
// occur, since shapes are checked; it would print as 0.
func num(x float64) string {
	x = math.Round(x*10) / 10
	if math.IsNaN(x) || math.IsInf(x, 0) || x == 0 {
		return "0"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

func pair(f flat) string { return num(f.u) + " " + num(f.v) }

// outline returns path data for a closed line through the points.
func outline(points []flat) string {
	if len(points) == 0 {
		return ""
	}
	if r, ok := upright(points); ok {
		return "M" + pair(flat{r.u0, r.v0}) + "H" + num(r.u1) + "V" + num(r.v1) + "H" + num(r.u0) + "Z"
	}
	b := []byte("M" + pair(points[0]))
	for _, p := range points[1:] {
		b = append(append(b, 'L'), pair(p)...)
	}
	return string(append(b, 'Z'))
}

// upright reports whether four points are an upright rectangle.
func upright(p []flat) (r rect, ok bool) {
	if len(p) != 4 {
		return rect{}, false
	}
	r = rect{p[0].u, p[0].v, p[0].u, p[0].v}
	for _, q := range p[1:] {
		r = r.join(rect{q.u, q.v, q.u, q.v})
	}
	for _, q := range p {
		if math.Min(q.u-r.u0, r.u1-q.u) > 0.05 || math.Min(q.v-r.v0, r.v1-q.v) > 0.05 {
			return rect{}, false
		}
	}
	return r, true
}

// name turns any text into letters, digits, '-' and '_' for an id; different
// texts stay different.
func name(text string) string {
	out := make([]byte, 0, len(text))
	for i := range len(text) {
		c := text[i]
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-', c == '_':
			out = append(out, c)
		default:
			out = append(out, fmt.Sprintf(".%02x", c)...)
		}
	}
	return string(out)
}

// Widths of letters as shares of the font size, estimated high for the wide
// sans-serif faces that machines fall back to.
const (
	narrowLetter = 0.38
	usualLetter  = 0.61
	wideLetter   = 0.95
	capital      = 0.72
	foreign      = 1.0
)

// wide estimates the width of a line of text in pixels.
func wide(text string, size float64) float64 {
	sum := 0.0
	for _, r := range text {
		switch {
		case r > 0x2e80:
			sum += foreign
		case r >= 'A' && r <= 'Z' && r != 'I':
			sum += capital
		case r == 'm' || r == 'w' || r == '%' || r == '@':
			sum += wideLetter
		case r == 'i' || r == 'j' || r == 'l' || r == 'I' || r == '.' || r == ',' || r == ' ' || r == '\'' || r == '|' || r == ':':
			sum += narrowLetter
		default:
			sum += usualLetter
		}
	}
	return sum * size
}
