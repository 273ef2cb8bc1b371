package report

import (
	"strings"

	"elbowroom/report/pdf"
)

// mostHigh is the share of a page that a picture may fill.
const mostHigh = 0.8

// drawing sets a picture with its caption.
func (s *setter) drawing(d Drawing) {
	if d.check() != nil {
		s.text(Text{Lead: d.Title, Says: d.Says})
		return
	}
	wide := s.wide
	if w := d.Wide * mm; w > 0 && w < wide {
		wide = w
	}
	scale := min(wide/d.W, s.room*mostHigh/d.H)
	s.add(strip{before: aboveBlock, high: d.H * scale, hold: firm, paint: func(c pdf.Canvas) { d.paint(c.At(0, 0, scale)) }})
	caption := small.lines(d.Title, s.wide)
	if len(caption) == 0 {
		caption = []string{""}
	}
	s.lines(caption, small, 0, 2, loose)
}

// paint draws the shapes in order.
func (d Drawing) paint(c pdf.Canvas) {
	patterns := make([]*pdf.Pattern, len(d.Patterns))
	for i, p := range d.Patterns {
		patterns[i] = p.tile()
	}
	for _, s := range d.Shapes {
		draw := func() { s.paint(c, patterns) }
		if clip, err := ParsePath(s.Clip); err == nil && len(clip) > 0 {
			c.Clip(clip, draw)
		} else {
			draw()
		}
	}
}

func (p Pattern) tile() *pdf.Pattern {
	t := &pdf.Pattern{W: p.W, H: p.H}
	for _, s := range p.Shapes {
		if path, err := ParsePath(s.Path); err == nil {
			t.Parts = append(t.Parts, pdf.Part{Path: path, Paint: s.look(nil)})
		}
	}
	return t
}

func (s Shape) look(patterns []*pdf.Pattern) pdf.Paint {
	p := pdf.Paint{
		Fill: s.Fill.colour(), FillAlpha: s.FillShare, Stroke: s.Stroke.colour(), StrokeAlpha: s.LineShare,
		Width: s.Width, Dash: s.Dash, Round: s.Round,
	}
	if s.Pattern > 0 && s.Pattern <= len(patterns) {
		p.Pattern = patterns[s.Pattern-1]
	}
	return p
}

func (s Shape) paint(c pdf.Canvas, patterns []*pdf.Pattern) {
	if s.Text == "" {
		if path, err := ParsePath(s.Path); err == nil {
			c.Draw(path, s.look(patterns))
		}
		return
	}
	face := pdf.Regular
	if s.Bold {
		face = pdf.Bold
	}
	if s.Turn != 0 {
		flat := s
		flat.Turn = 0
		c.Turn(s.X, s.Y, s.Turn, func() { flat.paint(c, patterns) })
		return
	}
	x, words := s.X, clean(s.Text)
	switch s.Anchor {
	case "middle":
		x -= pdf.Width(face, s.Size, words) / 2
	case "end":
		x -= pdf.Width(face, s.Size, words)
	}
	if k := s.Stroke.colour(); k != nil {
		c.Halo(x, s.Y, face, s.Size, *k, s.Width, words)
	}
	colour := s.Fill.colour()
	if colour == nil {
		colour = &pdf.Colour{}
	}
	c.Text(x, s.Y, face, s.Size, *colour, words)
}

// cutBar splits a superseded value from when and why it ended.
func cutBar(text string) (value, why string) {
	value, why, _ = strings.Cut(text, "|")
	return value, why
}
