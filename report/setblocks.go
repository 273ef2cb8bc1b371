package report

import (
	"strconv"

	"elbowroom/report/pdf"
)

// setter turns the blocks of a document into strips of a column.
type setter struct {
	wide   float64 // of the column
	room   float64 // height of a page
	strips []strip
}

func (s *setter) add(list ...strip) { s.strips = append(s.strips, list...) }

// Distances between things, in points.
const (
	aboveBlock   = 6.0
	aboveSection = 16.0
	tickSide     = 9.0
	stepIndent   = 46.0
	factColumn   = 0.3 // most share of the column for the names of facts
)

// set lays a whole document out.
func (s *setter) set(d Document) {
	s.title(d)
	for i, sec := range d.Sections {
		from := len(s.strips)
		s.heading(sec, i)
		for _, b := range sec.Blocks {
			s.block(b)
		}
		if sec.Apart && from < len(s.strips) {
			s.strips[from].apart = true
		}
	}
}

func (s *setter) title(d Document) {
	s.lines(title.lines(d.Title, s.wide), title, 0, 0, firm)
	if len(d.Lead) > 0 {
		s.facts(d.Lead)
	}
}

func (s *setter) heading(sec Section, i int) {
	name := clean(sec.Title)
	if name == "" {
		return
	}
	from := len(s.strips)
	s.lines(heading.lines(name, s.wide), heading, 0, aboveSection, firm)
	first := &s.strips[from]
	inner := first.paint
	first.paint = func(c pdf.Canvas) {
		c.Mark(0, name)
		inner(c)
	}
}

func (s *setter) block(b Block) {
	switch {
	case b.Text != nil:
		s.text(*b.Text)
	case b.List != nil:
		s.list(*b.List)
	case b.Facts != nil:
		s.facts(b.Facts.List)
	case b.Table != nil:
		s.table(*b.Table)
	case b.Caution != nil:
		s.caution(*b.Caution, 0, loose)
	case b.Step != nil:
		s.step(*b.Step)
	case b.Ticks != nil:
		s.ticks(*b.Ticks, 0, nil)
	case b.Drawing != nil:
		s.drawing(*b.Drawing)
	case b.Sign != nil:
		s.sign(*b.Sign)
	}
}

// line returns a strip with one line of text.
func line(f font, x float64, words string) strip {
	return strip{high: f.leading, paint: func(c pdf.Canvas) { f.draw(c, x, 0, words) }}
}

// lines adds the lines of a paragraph, the first two and the last two of them
// held together; end is how the last one holds on to what comes.
func (s *setter) lines(words []string, f font, x, before float64, end hold) {
	for i, w := range words {
		l := line(f, x, w)
		l.hold = lineHold(i, len(words), end)
		if i == 0 {
			l.before = before
		}
		s.add(l)
	}
}

// lineHold keeps the first and the last line of n from standing alone.
func lineHold(i, n int, end hold) hold {
	switch {
	case i == n-1:
		return end
	case i == 0 || i == n-2:
		return firm
	}
	return loose
}

func (s *setter) text(t Text) {
	f := body
	if t.Big {
		f = large
	}
	if clean(t.Lead) != "" {
		b := f
		b.face = pdf.Bold
		s.lines(b.lines(t.Lead, s.wide), b, 0, aboveBlock, firm)
		s.lines(f.lines(t.Says, s.wide), f, 0, 0, loose)
		return
	}
	s.lines(f.lines(t.Says, s.wide), f, 0, aboveBlock, loose)
}

func (s *setter) list(l List) {
	const indent = 12
	s.lines(strong.lines(l.Head, s.wide), strong, 0, aboveBlock, firm)
	for _, p := range l.Points {
		from := len(s.strips)
		s.lines(body.lines(p, s.wide-indent), body, indent, 2, loose)
		if from < len(s.strips) {
			inner := s.strips[from].paint
			s.strips[from].paint = func(c pdf.Canvas) {
				body.draw(c, 2, 0, "•")
				inner(c)
			}
		}
	}
}

// facts sets names and what they stand for in two columns.
func (s *setter) facts(list []Fact) {
	s.namedLines(list, 0, body, aboveBlock)
}

// namedLines sets facts beginning at x; all names are as wide as the widest.
func (s *setter) namedLines(list []Fact, x float64, f font, before float64) {
	col := 0.0
	for _, e := range list {
		col = max(col, small.wide(clean(e.Name)))
	}
	col = min(col+10, s.wide*factColumn)
	for _, e := range list {
		names, says := small.lines(e.Name, col-8), f.lines(e.Says, s.wide-x-col)
		n := max(len(names), len(says))
		for i := range n {
			l := strip{high: f.leading, hold: lineHold(i, n, loose), paint: func(c pdf.Canvas) {
				if i < len(names) {
					small.draw(c, x, f.base()-small.base(), names[i])
				}
				if i < len(says) {
					f.draw(c, x+col, 0, says[i])
				}
			}}
			if i == 0 {
				l.before = before
			}
			s.add(l)
		}
		before = 1
	}
}

// Sizes of the bar beside a caution.
const (
	barWide    = 4.0
	barIndent  = 14.0
	cautionAir = 3.0
)

// caution sets a caution with a bar down its left side, which never relies on
// colour; end is how it holds on to what comes.
func (s *setter) caution(c Caution, x float64, end hold) {
	head := "CAUTION"
	if c.MustNot {
		head = "FORBIDDEN"
	}
	var list []strip
	put := func(f font, words []string) {
		for _, w := range words {
			list = append(list, line(f, x+barIndent, w))
		}
	}
	put(headCol.black(), []string{head})
	put(strong, strong.lines(c.Says, s.wide-x-barIndent))
	put(body, body.lines(c.Because, s.wide-x-barIndent))
	if a := clean(c.Authority); a != "" {
		put(small, small.lines("says: "+a, s.wide-x-barIndent))
	}
	for i := range list {
		list[i] = barred(list[i], x, c.MustNot)
		list[i].hold = firm
	}
	list[0].before, list[len(list)-1].hold = aboveBlock, end
	s.add(list...)
}

func (f font) black() font {
	f.colour = pdf.Black
	return f
}

// barred draws the bar beside a strip: solid for a caution, of oblique strokes
// for what must not be done.
func barred(l strip, x float64, mustNot bool) strip {
	inner, high, black := l.paint, l.high, pdf.Black
	l.paint = func(c pdf.Canvas) {
		area := pdf.Rect(x, 0, barWide, high+0.2)
		if mustNot {
			c.Clip(area, func() {
				for y := -barWide; y < high+barWide; y += 4 {
					c.Draw(pdf.Line(x-1, y+barWide+2, x+barWide+1, y), pdf.Paint{Stroke: &black, Width: 2})
				}
			})
		} else {
			c.Draw(area, pdf.Paint{Fill: &black})
		}
		inner(c)
	}
	return l
}

// box draws a tick box whose upper left corner is at x, y, with its tick.
func box(c pdf.Canvas, x, y, side float64, done bool) {
	black := pdf.Black
	c.Draw(pdf.Rect(x, y, side, side), pdf.Paint{Stroke: &black, Width: 0.9})
	if done {
		c.Draw([]pdf.Segment{
			{Op: 'M', P: [3]pdf.Point{{X: x + side*.18, Y: y + side*.52}}},
			{Op: 'L', P: [3]pdf.Point{{X: x + side*.42, Y: y + side*.8}}},
			{Op: 'L', P: [3]pdf.Point{{X: x + side*.86, Y: y + side*.12}}},
		}, pdf.Paint{Stroke: &black, Width: 1.6, Round: true})
	}
}

// sign sets lines to sign on.
func (s *setter) sign(g Sign) {
	const high = 42
	s.lines(body.lines(g.Says, s.wide), body, 0, aboveSection, firm)
	for i, l := range g.Lines {
		end := firm
		if i == len(g.Lines)-1 {
			end = loose
		}
		s.add(strip{high: high, hold: end, paint: func(c pdf.Canvas) {
			hair(c, 0, s.wide*0.62, high-13, 0.7, pdf.Black)
			hair(c, s.wide*0.68, s.wide, high-13, 0.7, pdf.Black)
			strong.draw(c, 2, high-27, strong.fit(l.Name, s.wide*0.6))
			body.draw(c, s.wide*0.68+2, high-27, body.fit(l.When, s.wide*0.3))
			small.draw(c, 0, high-12, small.fit(l.Role, s.wide*0.6))
			small.draw(c, s.wide*0.68, high-12, "date")
		}})
	}
}

func (t Tick) label() string {
	if t.Says == "" {
		return clean(t.ID)
	}
	return clean(t.Says)
}

func number(n int) string { return strconv.Itoa(n) }
