package report

import "elbowroom/report/pdf"

// mostHeld is the share of a page up to which a step is kept whole.
const mostHeld = 0.4

// step sets a card: cautions, then what to do, then everything about it. The
// cautions, the title and the first line below it never part.
func (s *setter) step(t Step) {
	from := len(s.strips)
	for _, c := range t.Cautions {
		s.caution(c, stepIndent, firm)
	}
	s.stepTitle(t)
	firmly := len(s.strips)
	again := &repeated{[]strip{line(small, stepIndent, small.fit(number(t.Number)+" goes on: "+t.Title, s.wide-stepIndent))}}
	s.beside(t.Picture, func() {
		if f := clean(t.Figure); f != "" {
			s.lines(figures.lines(f, s.wide-stepIndent), figures, stepIndent, 1, firm)
			firmly = len(s.strips)
		}
		for _, w := range t.Was {
			s.struck(w)
		}
		s.namedLines(t.Lines, stepIndent, body, 1)
	})
	for _, g := range t.Ticks {
		s.ticks(g, stepIndent, again)
	}
	s.bind(from, firmly, again)
}

// struck adds a superseded value with a line through it.
func (s *setter) struck(text string) {
	for _, l := range struck(text, s.wide-stepIndent) {
		s.add(strip{high: l.high, hold: firm, paint: func(c pdf.Canvas) { l.paint(c, stepIndent, 0) }})
	}
}

// besideWide is the width of a picture beside a step that gives none.
const besideWide = 32 * mm

// beside sets what fill adds with a picture to its right. The strips along the
// picture hold together.
func (s *setter) beside(d *Drawing, fill func()) {
	if d == nil || d.check() != nil {
		fill()
		return
	}
	wide := d.Wide * mm
	if !(wide > 0) || wide > s.wide/3 {
		wide = min(besideWide, s.wide/3)
	}
	scale := min(wide/d.W, s.room*mostHeld/d.H)
	full, from := s.wide, len(s.strips)
	s.wide -= wide + gutter
	fill()
	s.wide = full
	if need := d.H*scale + 4 - height(s.strips[from:]); need > 0 || len(s.strips) == from {
		s.add(strip{high: max(need, 1), paint: func(pdf.Canvas) {}})
	}
	first := &s.strips[from]
	inner := first.paint
	first.paint = func(c pdf.Canvas) {
		inner(c)
		d.paint(c.At(full-d.W*scale, 0, scale))
	}
	for h, i := 0.0, from; i < len(s.strips)-1 && h < d.H*scale; i++ {
		h += s.strips[i].high + s.strips[i].before
		s.strips[i].hold = firm
	}
}

// bind holds the strips of a card together and draws the line above it.
func (s *setter) bind(from, firmly int, again *repeated) {
	card := s.strips[from:]
	for i := range card {
		last := i == len(card)-1
		switch {
		case last:
			card[i].hold = loose
		case from+i < firmly, i == len(card)-2:
			card[i].hold = firm
		case card[i].hold != firm:
			card[i].hold = weak
		}
		if i > 0 {
			card[i].again = again
		}
	}
	if height(card) > s.room*mostHeld {
		for i := range card {
			if card[i].hold == weak {
				card[i].hold = loose
			}
		}
	}
	card[0].before, card[0].ruled = stepAir, true
}

// stepAir is the room between two steps; the line runs in its middle.
const stepAir = 9.0

func (s *setter) stepTitle(t Step) {
	const stepSize = 11.0
	f := font{pdf.Bold, stepSize, 15, pdf.Black}
	minutes := clean(t.Minutes)
	words := f.lines(t.Title, s.wide-stepIndent-max(50, body.wide(minutes)+12))
	if len(words) == 0 {
		words = []string{""}
	}
	for i, w := range words {
		l := strip{high: f.leading, hold: firm, paint: func(c pdf.Canvas) {
			f.draw(c, stepIndent, 0, w)
			if i > 0 {
				return
			}
			if t.Done != nil {
				box(c, 0, 2, tickSide+2, t.Done.Done)
			}
			f.draw(c, stepIndent-8-f.wide(number(t.Number)), 0, number(t.Number))
			body.draw(c, s.wide-body.wide(minutes), f.base()-body.base(), minutes)
		}}
		if i == 0 && len(t.Cautions) > 0 {
			l.before = 3
		}
		s.add(l)
	}
	if t.Done != nil && t.Done.By != "" {
		s.add(line(small, stepIndent, small.fit("done: "+t.Done.By, s.wide-stepIndent)))
	}
}

// ticks sets boxes beginning at x.
func (s *setter) ticks(t Ticks, x float64, again *repeated) {
	head := t.Head
	if t.Flow && t.Ref != "" {
		head = t.Ref + "#  " + head
	}
	s.lines(body.lines(head, s.wide-x), body, x, 2, firm)
	if t.Flow {
		s.flow(t.List, x, again)
		return
	}
	for i, k := range t.List {
		s.tickLine(k, x, i == 0 && clean(t.Head) == "")
	}
}

func (s *setter) tickLine(k Tick, x float64, first bool) {
	const indent = tickSide + 8
	id := clean(k.ID)
	if k.Says == "" {
		id = ""
	}
	words := body.lines(k.label(), s.wide-x-indent-min(tiny.wide(id), s.wide/4)-10)
	if len(words) == 0 {
		words = []string{""}
	}
	for i, w := range words {
		l := strip{high: body.leading, hold: lineHold(i, len(words), loose), before: 0, paint: func(c pdf.Canvas) {
			body.draw(c, x+indent, 0, w)
			if i == 0 {
				box(c, x, 2, tickSide, k.Done)
				tag := tiny.fit(id, s.wide/4)
				tiny.draw(c, s.wide-tiny.wide(tag), body.base()-tiny.base(), tag)
			}
		}}
		if i == 0 {
			l.before = 2
			if first {
				l.before = aboveBlock
			}
		}
		s.add(l)
	}
	if k.By != "" {
		s.strips[len(s.strips)-1].hold = firm
		s.add(line(small, x+indent, small.fit(k.By, s.wide-x-indent)))
	}
}

// flowHigh is the height of a row of boxes that a finger or pencil can hit.
const flowHigh = 18.0

// flow sets boxes in rows.
func (s *setter) flow(list []Tick, x float64, again *repeated) {
	for len(list) > 0 {
		n, wide := 0, 0.0
		for n < len(list) && (n == 0 || wide+tickWide(list[n]) <= s.wide-x) {
			wide += tickWide(list[n])
			n++
		}
		row := list[:n]
		s.add(strip{high: flowHigh, again: again, paint: func(c pdf.Canvas) { drawTicks(c, x, 0, row, s.wide-x) }})
		list = list[n:]
	}
}

// tickWide is the room that a box with its words takes in a row.
func tickWide(t Tick) float64 { return tickSide + 4 + 4 + max(16, body.wide(clean(t.Says))+8) }

// drawTicks draws boxes side by side.
func drawTicks(c pdf.Canvas, x, y float64, list []Tick, room float64) {
	for _, t := range list {
		box(c, x, y+4, tickSide+2, t.Done)
		body.draw(c, x+tickSide+6, y+3, body.fit(t.Says, room))
		x += tickWide(t)
	}
}
