package guide

import (
	"slices"
	"strings"
)

const expectShape = "box x y z size dx dy dz [turn rx ry rz], cylinder x y z length l width w along x|y|z [turn rx ry rz], or path x y z, x y z thick t (mm)"

// ReadShort reads one of the three forms given at Shape.
func (s *Shape) ReadShort(text string) error {
	*s = Shape{}
	p := whole(text)
	first, rest := p.word()
	var errs FormErrors
	switch Form(first.s) {
	case Box:
		errs = s.readBox(rest)
	case Cylinder:
		errs = s.readCylinder(rest)
	case Path:
		errs = s.readPath(rest)
	default:
		return FormErrors{{Offset: p.off, Text: p.s, Says: "not a shape", Expect: expectShape, Known: []string{"box", "cylinder", "path"}}}
	}
	if errs == nil {
		errs = shift(s.Complete(), 0)
	}
	return errs.orNil()
}

func (s *Shape) readBox(p piece) (errs FormErrors) {
	s.Form = Box
	r := reader{rest: p}
	s.Centre = r.point()
	r.keyword("size")
	s.Size = r.point()
	s.readTurn(&r)
	return r.finish()
}

func (s *Shape) readCylinder(p piece) FormErrors {
	s.Form = Cylinder
	r := reader{rest: p}
	s.Centre = r.point()
	r.keyword("length")
	s.Size.X = r.number()
	r.keyword("width")
	s.Size.Y = r.number()
	r.keyword("along")
	s.Along = r.oneOf("x", "y", "z")
	s.readTurn(&r)
	return r.finish()
}

func (s *Shape) readTurn(r *reader) {
	if first, _ := r.rest.word(); first.s == "turn" {
		r.keyword("turn")
		s.Turn = r.point()
	}
}

func (s *Shape) readPath(p piece) FormErrors {
	s.Form = Path
	parts := p.split(",")
	var errs FormErrors
	for i, part := range parts {
		r := reader{rest: part}
		s.Path = append(s.Path, r.point())
		if i == len(parts)-1 {
			r.keyword("thick")
			s.Thick = r.number()
		}
		errs = append(errs, r.finish()...)
	}
	return errs
}

// Complete reports sizes that cannot be.
func (s Shape) Complete() error {
	bad := func(says, expect string) error { return FormErrors{{Says: says, Expect: expect}} }
	switch {
	case s.Form == Box && (s.Size.X <= 0 || s.Size.Y <= 0 || s.Size.Z <= 0):
		return bad("a box needs three sizes above 0", expectShape)
	case s.Form == Cylinder && (s.Size.X <= 0 || s.Size.Y <= 0):
		return bad("a cylinder needs a length and a width above 0", expectShape)
	case s.Form == Cylinder && !slices.Contains([]string{"x", "y", "z"}, s.Along):
		return bad("a cylinder lies along an axis", "along x, y or z")
	case s.Form == Path && (s.Thick <= 0 || len(s.Path) < 2):
		return bad("a path needs two points or more and a thickness above 0", expectShape)
	}
	return nil
}

// Short returns the shape as ReadShort reads it.
func (s Shape) Short() (string, bool) {
	t := s.String()
	back, err := Parse[Shape](t)
	return t, err == nil && back.same(s)
}

func (s Shape) same(t Shape) bool {
	return s.Form == t.Form && s.Centre == t.Centre && s.Size == t.Size && s.Turn == t.Turn &&
		s.Along == t.Along && s.Thick == t.Thick && slices.Equal(s.Path, t.Path)
}

// String prints the shape in its short form.
func (s Shape) String() string {
	var b strings.Builder
	b.WriteString(string(s.Form) + " ")
	switch s.Form {
	case Cylinder:
		b.WriteString(s.Centre.String() + " length " + formatNumber(s.Size.X) + " width " + formatNumber(s.Size.Y) + " along " + s.Along)
	case Path:
		for i, p := range s.Path {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(p.String())
		}
		b.WriteString(" thick " + formatNumber(s.Thick))
	default:
		b.WriteString(s.Centre.String() + " size " + s.Size.String())
	}
	if s.Turn != (Point{}) {
		b.WriteString(" turn " + s.Turn.String())
	}
	return b.String()
}

// String prints "x y z".
func (p Point) String() string {
	return formatNumber(p.X) + " " + formatNumber(p.Y) + " " + formatNumber(p.Z)
}

// ReadShort reads "x y z".
func (p *Point) ReadShort(text string) error {
	r := reader{rest: whole(text)}
	*p = r.point()
	return r.finish().orNil()
}

// Short returns the point as ReadShort reads it.
func (p Point) Short() (string, bool) {
	s := p.String()
	back, err := Parse[Point](s)
	return s, err == nil && back == p
}

// reader takes words from a text one after the other and keeps the first
// error.
type reader struct {
	rest piece
	errs FormErrors
}

func (r *reader) number() float64 {
	var w piece
	w, r.rest = r.rest.word()
	n, errs := w.number()
	r.keep(errs)
	if errs == nil && (n > farthest || n < -farthest) {
		r.keep(w.errorf("too large for a bay", "at most 100000 mm"))
	}
	return n
}

// farthest is the largest coordinate or size in a bay, mm.
const farthest = 100_000

func (r *reader) point() Point { return Point{r.number(), r.number(), r.number()} }

func (r *reader) keyword(word string) {
	var w piece
	w, r.rest = r.rest.word()
	if w.s != word {
		r.keep(w.errorf("missing word", `"`+word+`"`))
	}
}

func (r *reader) oneOf(words ...string) string {
	var w piece
	w, r.rest = r.rest.word()
	if !slices.Contains(words, w.s) {
		r.keep(w.errorf("unexpected word", "one of "+strings.Join(words, ", ")))
	}
	return w.s
}

func (r *reader) keep(errs FormErrors) {
	if r.errs == nil {
		r.errs = errs
	}
}

func (r *reader) finish() FormErrors {
	if r.rest.s != "" {
		r.keep(r.rest.errorf("unexpected words at the end", "nothing more"))
	}
	return r.errs
}
