package report

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"maps"
	"strings"

	"elbowroom/report/pdf"
)

// ErrSVG is wrapped by the errors of FromSVG.
var ErrSVG = errors.New("the picture cannot be read")

// FromSVG reads a picture that the program drew itself as SVG, with the style
// sheet that goes with it, into a drawing: paths, rectangles, circles, lines,
// polygons and text, groups, patterns and clipping with one level of each, and
// of the style what a print needs. It is no general reader of SVG: of transforms
// it knows the turning of a text about its own place, and gradients are left
// out. The error wraps ErrSVG.
func FromSVG(text, css string) (Drawing, error) {
	r := svgReader{rules: readRules(css), patterns: map[string]int{}, clips: map[string]Path{}}
	dec := xml.NewDecoder(strings.NewReader(text))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return Drawing{}, fmt.Errorf("%w: %w", ErrSVG, err)
		}
		switch t := token.(type) {
		case xml.StartElement:
			err = r.begin(t)
		case xml.CharData:
			r.words.Write(t)
		case xml.EndElement:
			r.end(t.Name.Local)
		}
		if err != nil {
			return Drawing{}, fmt.Errorf("%w: <%s>: %w", ErrSVG, token.(xml.StartElement).Name.Local, err)
		}
	}
	if !(r.d.W > 0 && r.d.H > 0) {
		return Drawing{}, fmt.Errorf("%w: it has no size; an svg element with a viewBox is needed", ErrSVG)
	}
	return r.d, nil
}

type svgReader struct {
	rules    []styleRule
	d        Drawing
	chain    []node
	props    []map[string]string
	clip     []Path // in force, by depth
	patterns map[string]int
	clips    map[string]Path
	in       string // id of the clipping path that is being defined
	tile     int    // the pattern that is being defined, counted from 1
	words    strings.Builder
	label    Shape // of the text element
}

// deepest bounds how far elements may be nested.
const deepest = 64

func (r *svgReader) begin(e xml.StartElement) error {
	if len(r.chain) >= deepest {
		return fmt.Errorf("nested deeper than %d", deepest)
	}
	attr := map[string]string{}
	for _, a := range e.Attr {
		attr[a.Name.Local] = a.Value
	}
	tag := e.Name.Local
	r.chain = append(r.chain, node{tag, strings.Fields(attr["class"])})
	r.props = append(r.props, r.style(attr))
	r.clip = append(r.clip, r.clipping(attr["clip-path"]))
	switch tag {
	case "svg":
		return r.size(attr["viewBox"])
	case "title", "desc", "style":
		r.words.Reset()
	case "clipPath":
		r.in = attr["id"]
	case "pattern":
		r.d.Patterns = append(r.d.Patterns, Pattern{W: length(attr["width"], 1), H: length(attr["height"], 1)})
		r.tile = len(r.d.Patterns)
		r.patterns[attr["id"]] = r.tile
	case "text":
		r.words.Reset()
		r.label = Shape{X: length(attr["x"], 0), Y: length(attr["y"], 0), Turn: rotation(attr["transform"])}
	case "path", "rect", "circle", "line", "polygon":
		return r.shape(tag, attr)
	}
	return nil
}

// style works out the properties of the element that was just begun.
func (r *svgReader) style(attr map[string]string) map[string]string {
	inherited := map[string]string{}
	if n := len(r.props); n > 0 {
		inherited = r.props[n-1]
	}
	given := maps.Clone(inherited)
	for _, name := range []string{"fill", "stroke", "stroke-width", "stroke-dasharray", "text-anchor", "font-size", "font-weight"} {
		if v, ok := attr[name]; ok {
			given[name] = v // an attribute counts less than any rule
		}
	}
	return cascade(r.rules, r.chain, given)
}

func (r *svgReader) size(box string) error {
	var x, y float64
	if _, err := fmt.Sscan(box, &x, &y, &r.d.W, &r.d.H); err != nil || x != 0 || y != 0 {
		return fmt.Errorf("viewBox %q: four numbers are needed, the first two 0", box)
	}
	return nil
}

func (r *svgReader) clipping(ref string) Path {
	if id, ok := strings.CutPrefix(ref, "url(#"); ok {
		return r.clips[strings.TrimSuffix(id, ")")]
	}
	if n := len(r.clip); n > 0 {
		return r.clip[n-1]
	}
	return ""
}

func (r *svgReader) shape(tag string, attr map[string]string) error {
	list, err := outlineOf(tag, attr)
	if err != nil {
		return err
	}
	path := NewPath(list)
	if r.in != "" {
		r.clips[r.in] = path
		return nil
	}
	s := Shape{Path: path, Clip: r.clip[len(r.clip)-1]}
	r.paint(&s, "#000000")
	if s.Fill == "" && s.Pattern == 0 && s.Stroke == "" {
		return nil
	}
	r.add(s)
	return nil
}

func (r *svgReader) add(s Shape) {
	if r.tile > 0 {
		t := &r.d.Patterns[r.tile-1]
		t.Shapes = append(t.Shapes, s)
		return
	}
	r.d.Shapes = append(r.d.Shapes, s)
}

// outlineOf returns the path of an element.
func outlineOf(tag string, attr map[string]string) ([]pdf.Segment, error) {
	n := func(name string) float64 { return length(attr[name], 0) }
	switch tag {
	case "rect":
		if rx := min(n("rx"), n("width")/2, n("height")/2); rx > 0 {
			return ParsePath(Path(fmt.Sprintf("M%g %gh%ga%g %g 0 0 1 %g %gv%ga%g %g 0 0 1 %g %gh%ga%g %g 0 0 1 %g %gv%ga%g %g 0 0 1 %g %gZ",
				n("x")+rx, n("y"), n("width")-2*rx, rx, rx, rx, rx, n("height")-2*rx, rx, rx, -rx, rx, 2*rx-n("width"), rx, rx, -rx, -rx, 2*rx-n("height"), rx, rx, rx, -rx)))
		}
		return pdf.Rect(n("x"), n("y"), n("width"), n("height")), nil
	case "circle":
		return Circle(n("cx"), n("cy"), n("r")), nil
	case "line":
		return pdf.Line(n("x1"), n("y1"), n("x2"), n("y2")), nil
	case "polygon":
		return ParsePath(Path("M" + attr["points"] + "Z"))
	}
	return ParsePath(Path(attr["d"]))
}

// rotation reads the angle of "rotate(90 12 40)", where the point is that of
// the text itself.
func rotation(transform string) float64 {
	inner, ok := strings.CutPrefix(transform, "rotate(")
	words := strings.Fields(strings.TrimSuffix(inner, ")"))
	if !ok || len(words) == 0 {
		return 0
	}
	return length(words[0], 0)
}

// Circle returns the path of a circle.
func Circle(x, y, radius float64) []pdf.Segment {
	p := pathReader{at: pdf.Point{X: x - radius, Y: y}}
	p.line('M', p.at)
	p.sweep(radius, radius, 0, false, true, pdf.Point{X: x + radius, Y: y})
	p.sweep(radius, radius, 0, false, true, pdf.Point{X: x - radius, Y: y})
	return append(p.out, pdf.Segment{Op: 'Z'})
}

// paint puts the looks of the present element on a shape.
func (r *svgReader) paint(s *Shape, plain Ink) {
	p := r.props[len(r.props)-1]
	v := func(name string) string { return value(p, name) }
	fill := v("fill")
	if id, ok := strings.CutPrefix(fill, "url(#"); ok {
		s.Pattern = r.patterns[strings.TrimSuffix(id, ")")]
	} else {
		s.Fill, s.FillShare = ink(fill, plain)
	}
	s.Stroke, s.LineShare = ink(v("stroke"), "")
	if s.Pattern > 0 {
		s.FillShare = 1
	}
	s.FillShare *= length(v("fill-opacity"), 1) * length(v("opacity"), 1)
	s.LineShare *= length(v("stroke-opacity"), 1) * length(v("opacity"), 1)
	if s.FillShare < leastShare {
		s.Fill, s.Pattern = "", 0
	}
	if s.LineShare < leastShare {
		s.Stroke = ""
	}
	s.FillShare, s.LineShare = share(s.FillShare), share(s.LineShare)
	if s.Stroke == "" {
		s.LineShare = 0
		return
	}
	s.Width = length(v("stroke-width"), 1)
	s.Round = v("stroke-linecap") == "round" || v("stroke-linejoin") == "round"
	for word := range strings.FieldsFuncSeq(v("stroke-dasharray"), func(c rune) bool { return c == ' ' || c == ',' }) {
		if x := length(word, -1); x >= 0 {
			s.Dash = append(s.Dash, x)
		}
	}
}

// leastShare is the opacity below which a fill cannot be seen.
const leastShare = 0.002

// share returns an opacity as shapes keep it: 0 when it is full.
func share(x float64) float64 {
	if x >= 1 || x < leastShare { // what cannot be seen has no paint to be thin
		return 0
	}
	return x
}

// ink reads a colour: #rgb, #rrggbb, #rrggbbaa, none, transparent; plain for no
// word at all.
func ink(v string, plain Ink) (Ink, float64) {
	switch {
	case v == "":
		return plain, 1
	case len(v) == 4 && v[0] == '#':
		return Ink([]byte{'#', v[1], v[1], v[2], v[2], v[3], v[3]}), 1
	case len(v) == 7 && v[0] == '#':
		return Ink(v), 1
	case len(v) == 9 && v[0] == '#':
		var a uint8
		if _, err := fmt.Sscanf(v[7:], "%02x", &a); err == nil {
			return Ink(v[:7]), float64(a) / 255
		}
	}
	return "", 1
}

func (r *svgReader) end(tag string) {
	if len(r.chain) == 0 {
		return
	}
	switch tag {
	case "title":
		if r.d.Title == "" && len(r.chain) == 2 {
			r.d.Title = clean(r.words.String())
		}
	case "desc":
		if r.d.Says == "" {
			r.d.Says = clean(r.words.String())
		}
	case "clipPath":
		r.in = ""
	case "pattern":
		r.tile = 0
	case "text":
		r.text()
	}
	n := len(r.chain) - 1
	r.chain, r.props, r.clip = r.chain[:n], r.props[:n], r.clip[:n]
}

// text adds the words of the element that ends.
func (r *svgReader) text() {
	s := r.label
	s.Text = clean(r.words.String())
	s.Clip = r.clip[len(r.clip)-1]
	r.paint(&s, "#000000")
	p := r.props[len(r.props)-1]
	s.Size = length(value(p, "font-size"), 16)
	s.Bold = length(value(p, "font-weight"), 400) >= 600
	if a := value(p, "text-anchor"); a == "middle" || a == "end" {
		s.Anchor = a
	}
	s.Dash, s.Round = nil, false
	if s.Text != "" {
		r.add(s)
	}
}
