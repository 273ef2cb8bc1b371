package report

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"elbowroom/report/pdf"
)

// Drawing is a picture made of paths and words, in its own units; x goes to
// the right, y down.
type Drawing struct {
	Title    string    `json:"title"`          // under the picture
	Says     string    `json:"says,omitempty"` // what it shows, for whom does not see it
	W        float64   `json:"w"`              // its size in its own units
	H        float64   `json:"h"`
	Wide     float64   `json:"wide,omitempty"` // width on paper in mm; 0 means the whole column
	Patterns []Pattern `json:"patterns,omitempty"`
	Shapes   []Shape   `json:"shapes"`
}

// Pattern is a tile that fills areas.
type Pattern struct {
	W      float64 `json:"w"`
	H      float64 `json:"h"`
	Shapes []Shape `json:"shapes"`
}

// Path is path data of SVG 1.1 as a drawing keeps it: absolute M, L, C and Z.
type Path string

// Ink is a colour as "#rrggbb"; empty means none.
type Ink string

// Shape is a path, or with Text a line of words at X, Y.
type Shape struct {
	Path      Path      `json:"path,omitempty"`
	Fill      Ink       `json:"fill,omitempty"`
	Pattern   int       `json:"pattern,omitempty"` // counted from 1, over Fill
	FillShare float64   `json:"fill_opacity,omitempty"`
	Stroke    Ink       `json:"stroke,omitempty"`
	LineShare float64   `json:"stroke_opacity,omitempty"`
	Width     float64   `json:"width,omitempty"` // of the stroke
	Dash      []float64 `json:"dash,omitempty"`
	Round     bool      `json:"round,omitempty"`

	Text   string  `json:"text,omitempty"`
	X      float64 `json:"x,omitempty"`
	Y      float64 `json:"y,omitempty"`
	Size   float64 `json:"size,omitempty"`
	Bold   bool    `json:"bold,omitempty"`
	Anchor string  `json:"anchor,omitempty"` // "middle", "end"; else the words begin at X
	Turn   float64 `json:"turn,omitempty"`   // of the words about X, Y: degrees clockwise
	Clip   Path    `json:"clip,omitempty"`   // show only what lies inside
}

// ErrPath is wrapped by the errors of ParsePath.
var ErrPath = errors.New("not path data")

// ParsePath reads path data as SVG 1.1 defines it (section 8.3), every command,
// and returns it absolute, with all curves as cubic ones. An empty path is good.
// Arcs are drawn as curves that leave the true arc by less than 0.03 % of its
// radius.
func ParsePath(d Path) ([]pdf.Segment, error) {
	p := pathReader{rest: string(d)}
	for {
		p.blanks()
		if p.rest == "" {
			return p.out, nil
		}
		if err := p.command(); err != nil {
			return nil, fmt.Errorf("%w: %w near %q", ErrPath, err, head(p.rest, 20))
		}
	}
}

func head(s string, n int) string { return s[:min(n, len(s))] }

// NewPath prints segments as path data with two decimals.
func NewPath(list []pdf.Segment) Path {
	var b strings.Builder
	for _, s := range list {
		b.WriteByte(s.Op)
		n := map[byte]int{'M': 1, 'L': 1, 'C': 3}[s.Op]
		for i, p := range s.P[:n] {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(short(p.X) + " " + short(p.Y))
		}
	}
	return Path(b.String())
}

// farthest bounds the coordinates of a drawing; nothing of use lies beyond it.
const farthest = 1e9

// short prints a number with two decimals at most.
func short(x float64) string {
	if math.IsNaN(x) {
		return "0"
	}
	x = min(max(x, -farthest), farthest)
	if x = math.Round(x*100) / 100; x == 0 {
		return "0"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// pathReader reads path data.
type pathReader struct {
	rest  string
	op    byte
	at    pdf.Point // the current point
	start pdf.Point // of the subpath
	ctrl  pdf.Point // last point of control, for S and T
	last  byte      // command that set ctrl
	out   []pdf.Segment
}

func (p *pathReader) blanks() { p.rest = strings.TrimLeft(p.rest, " \t\r\n,") }

// number reads one number; "1-2" is two and ".5.5" too.
func (p *pathReader) number() (float64, error) {
	p.blanks()
	end, dot, exp := 0, false, false
	for end < len(p.rest) {
		c := p.rest[end]
		switch {
		case c >= '0' && c <= '9':
		case (c == '-' || c == '+') && (end == 0 || p.rest[end-1] == 'e' || p.rest[end-1] == 'E'):
		case c == '.' && !dot && !exp:
			dot = true
		case (c == 'e' || c == 'E') && !exp && end > 0:
			exp = true
		default:
			return p.parse(end)
		}
		end++
	}
	return p.parse(end)
}

func (p *pathReader) parse(end int) (float64, error) {
	x, err := strconv.ParseFloat(p.rest[:end], 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return 0, errors.New("a number is expected")
	}
	p.rest = p.rest[end:]
	return x, nil
}

// flag reads the 0 or 1 of an arc, which may stand without a blank after it.
func (p *pathReader) flag() (bool, error) {
	p.blanks()
	if p.rest == "" || p.rest[0] != '0' && p.rest[0] != '1' {
		return false, errors.New("0 or 1 is expected")
	}
	set := p.rest[0] == '1'
	p.rest = p.rest[1:]
	return set, nil
}

// points reads n points, relative to the current one for small letters.
func (p *pathReader) points(n int) (list [3]pdf.Point, err error) {
	for i := range n {
		if list[i].X, err = p.number(); err != nil {
			return list, err
		}
		if list[i].Y, err = p.number(); err != nil {
			return list, err
		}
		if p.op >= 'a' {
			list[i].X += p.at.X
			list[i].Y += p.at.Y
		}
	}
	return list, nil
}

// command reads one command with one set of numbers.
func (p *pathReader) command() error {
	c := p.rest[0]
	switch {
	case strings.IndexByte("MmLlHhVvCcSsQqTtAaZz", c) >= 0:
		p.op, p.rest = c, p.rest[1:]
	case p.op == 0 || p.op == 'Z' || p.op == 'z':
		return errors.New("a command is expected")
	case p.op == 'M':
		p.op = 'L' // further points of a move are lines
	case p.op == 'm':
		p.op = 'l'
	}
	if len(p.out) == 0 && p.op != 'M' && p.op != 'm' {
		return errors.New("a path begins with M")
	}
	return p.carryOut()
}

func (p *pathReader) carryOut() error {
	switch p.op {
	case 'M', 'm', 'L', 'l':
		list, err := p.points(1)
		if err != nil {
			return err
		}
		p.line(p.op&^0x20, list[0])
	case 'H', 'h', 'V', 'v':
		return p.straight()
	case 'C', 'c', 'S', 's', 'Q', 'q', 'T', 't':
		return p.curve()
	case 'A', 'a':
		return p.arc()
	default: // Z
		p.out = append(p.out, pdf.Segment{Op: 'Z'})
		p.at, p.last = p.start, 0
	}
	return nil
}

func (p *pathReader) line(op byte, to pdf.Point) {
	p.out = append(p.out, pdf.Segment{Op: op, P: [3]pdf.Point{to}})
	p.at, p.last = to, 0
	if op == 'M' {
		p.start = to
	}
}

func (p *pathReader) straight() error {
	x, err := p.number()
	if err != nil {
		return err
	}
	to := p.at
	switch p.op {
	case 'H':
		to.X = x
	case 'h':
		to.X += x
	case 'V':
		to.Y = x
	case 'v':
		to.Y += x
	}
	p.line('L', to)
	return nil
}

// curve reads C, S, Q and T. S and T begin with the mirror of the last point
// of control, where the command before had one of the same sort.
func (p *pathReader) curve() error {
	op := p.op &^ 0x20
	list, err := p.points(map[byte]int{'C': 3, 'S': 2, 'Q': 2, 'T': 1}[op])
	if err != nil {
		return err
	}
	mirror := p.at
	if (op == 'S' && p.last == 'C') || (op == 'T' && p.last == 'Q') {
		mirror = pdf.Point{X: 2*p.at.X - p.ctrl.X, Y: 2*p.at.Y - p.ctrl.Y}
	}
	switch op {
	case 'C':
		p.cubic(list[0], list[1], list[2])
	case 'S':
		p.cubic(mirror, list[0], list[1])
	case 'Q':
		p.quadratic(list[0], list[1])
	default:
		p.quadratic(mirror, list[0])
	}
	return nil
}

func (p *pathReader) cubic(a, b, to pdf.Point) {
	p.out = append(p.out, pdf.Segment{Op: 'C', P: [3]pdf.Point{a, b, to}})
	p.at, p.ctrl, p.last = to, b, 'C'
}

func (p *pathReader) quadratic(c, to pdf.Point) {
	toward := func(from pdf.Point) pdf.Point {
		return pdf.Point{X: from.X + (c.X-from.X)*2/3, Y: from.Y + (c.Y-from.Y)*2/3}
	}
	a, b := toward(p.at), toward(to)
	p.cubic(a, b, to)
	p.ctrl, p.last = c, 'Q'
}

// arc reads an elliptical arc (SVG 1.1, appendix F.6) and draws it as curves of
// at most a quarter turn.
func (p *pathReader) arc() error {
	var n [3]float64
	for i := range n {
		var err error
		if n[i], err = p.number(); err != nil {
			return err
		}
	}
	large, err := p.flag()
	if err != nil {
		return err
	}
	sweep, err := p.flag()
	if err != nil {
		return err
	}
	list, err := p.points(1)
	if err != nil {
		return err
	}
	p.sweep(math.Abs(n[0]), math.Abs(n[1]), n[2]*math.Pi/180, large, sweep, list[0])
	return nil
}

func (p *pathReader) sweep(rx, ry, turn float64, large, sweep bool, to pdf.Point) {
	if rx == 0 || ry == 0 || p.at == to {
		p.line('L', to)
		return
	}
	sin, cos := math.Sincos(turn)
	dx, dy := (p.at.X-to.X)/2, (p.at.Y-to.Y)/2
	x, y := cos*dx+sin*dy, cos*dy-sin*dx
	if l := x*x/(rx*rx) + y*y/(ry*ry); l > 1 {
		rx, ry = rx*math.Sqrt(l), ry*math.Sqrt(l)
	}
	k := math.Sqrt(math.Max(0, (rx*rx*ry*ry-rx*rx*y*y-ry*ry*x*x)/(rx*rx*y*y+ry*ry*x*x)))
	if large == sweep {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	from, end := math.Atan2((y-cy)/ry, (x-cx)/rx), math.Atan2((-y-cy)/ry, (-x-cx)/rx)
	angle := end - from
	switch {
	case sweep && angle < 0:
		angle += 2 * math.Pi
	case !sweep && angle > 0:
		angle -= 2 * math.Pi
	}
	mx, my := (p.at.X+to.X)/2+cos*cx-sin*cy, (p.at.Y+to.Y)/2+sin*cx+cos*cy
	parts := max(int(math.Ceil(math.Abs(angle)/(math.Pi/2)-1e-9)), 1)
	step := angle / float64(parts)
	h := 4.0 / 3 * math.Tan(step/4)
	at := func(s, c float64) pdf.Point {
		return pdf.Point{X: mx + cos*rx*c - sin*ry*s, Y: my + sin*rx*c + cos*ry*s}
	}
	for i := range parts {
		s1, c1 := math.Sincos(from + float64(i)*step)
		s2, c2 := math.Sincos(from + float64(i+1)*step)
		end := at(s2, c2)
		if i == parts-1 {
			end = to
		}
		p.cubic(at(s1+h*c1, c1-h*s1), at(s2-h*c2, c2+h*s2), end)
	}
	p.last = 0
}

// colour returns the colour of an ink; nil for none or for what is none.
func (k Ink) colour() *pdf.Colour {
	if len(k) != 7 || k[0] != '#' {
		return nil
	}
	n, err := strconv.ParseUint(string(k[1:]), 16, 24)
	if err != nil {
		return nil
	}
	return &pdf.Colour{R: uint8(n >> 16), G: uint8(n >> 8), B: uint8(n)}
}
