package report

import "elbowroom/report/pdf"

// Distances in a table.
const (
	gutter   = 10.0
	cellAir  = 3.0
	mostCell = 0.45 // share of the table that one unbreakable word may claim
	mostRow  = 0.35 // share of a page up to which a row is never broken
)

// cellLine is one line of a cell.
type cellLine struct {
	high  float64
	wide  float64
	paint func(c pdf.Canvas, x, y float64)
}

// table sets a table with its head repeated on every page.
func (s *setter) table(t Table) {
	s.lines(body.lines(t.Says, s.wide), body, 0, aboveBlock, firm)
	if len(t.Columns) == 0 {
		return
	}
	widths := s.columns(t)
	head := s.headRow(t, widths)
	head.before, head.hold = aboveBlock, firm
	again := &repeated{[]strip{head}}
	s.add(head)
	for i, r := range t.Rows {
		list := s.row(t, r, widths)
		last := len(list) - 1
		switch {
		case r.Hold && i < len(t.Rows)-1:
			list[last].hold = firm
		case i == 0 && len(t.Rows) > 1, i == len(t.Rows)-2:
			list[last].hold = weak
		}
		for k := range list {
			list[k].again = again
		}
		s.add(list...)
	}
	s.add(strip{high: 1, paint: func(c pdf.Canvas) { hair(c, 0, s.wide, 0, 0.7, pdf.Black) }})
	if n := len(s.strips); n > 1 {
		s.strips[n-2].hold = firm
	}
	s.lines(small.lines(t.Note, s.wide), small, 0, 2, loose)
}

// columns shares the width out: every column gets what its longest word needs,
// and of the rest in proportion to what it would like.
func (s *setter) columns(t Table) []float64 {
	n := len(t.Columns)
	least, most := make([]float64, n), make([]float64, n)
	room := s.wide - gutter*float64(n-1)
	for i, c := range t.Columns {
		least[i], most[i] = wordWide(headCol, c.Head), headCol.wide(clean(c.Head))
	}
	for _, r := range t.Rows {
		for i, c := range r.Cells[:min(n, len(r.Cells))] {
			l, m := c.wants(r.Sum)
			least[i], most[i] = max(least[i], l), max(most[i], m)
		}
	}
	sumLeast, sumMost := 0.0, 0.0
	for i := range n {
		least[i] = min(least[i]+0.5, room*mostCell)
		most[i] = max(most[i]+0.5, least[i])
		sumLeast, sumMost = sumLeast+least[i], sumMost+most[i]
	}
	widths := shareOut(least, most, sumLeast, sumMost, room)
	if rest := room - sumMost; rest > 0 {
		widths[t.roomiest(most)] += rest
	}
	return widths
}

// roomiest returns the column that takes what is left: the widest one whose
// text stands to the left, so that numbers stay close to what they belong to.
func (t Table) roomiest(most []float64) int {
	best := -1
	for i, c := range t.Columns {
		if c.Align != Right && (best < 0 || most[i] > most[best]) {
			best = i
		}
	}
	return max(best, 0)
}

// shareOut gives each column something between least and most.
func shareOut(least, most []float64, sumLeast, sumMost, room float64) []float64 {
	out := make([]float64, len(least))
	for i := range out {
		switch {
		case sumMost <= room:
			out[i] = most[i]
		case sumLeast >= room:
			out[i] = least[i] * room / sumLeast
		default:
			out[i] = least[i] + (most[i]-least[i])*(room-sumLeast)/(sumMost-sumLeast)
		}
	}
	return out
}

func wordWide(f font, text string) float64 {
	w := 0.0
	for _, p := range pieces(clean(text)) {
		w = max(w, f.wide(p.text))
	}
	return w
}

// font returns the letters of a cell.
func (c Cell) font(sum bool) font {
	switch {
	case c.Big:
		return figures
	case c.Strong || sum:
		return strong
	}
	return body
}

// wants returns the least and the most width of a cell.
func (c Cell) wants(sum bool) (least, most float64) {
	f := c.font(sum)
	least, most = wordWide(f, c.Text), f.wide(clean(c.Text))
	for _, w := range c.Struck {
		least, most = max(least, wordWide(small, w)), max(most, small.wide(clean(w)))
	}
	all := 0.0
	for _, t := range c.Ticks {
		least = max(least, tickWide(t))
		all += tickWide(t)
	}
	return least, max(most, all)
}

func (s *setter) headRow(t Table, widths []float64) strip {
	cols := make([][]string, len(widths))
	n := 0
	for i, c := range t.Columns {
		cols[i] = headCol.lines(c.Head, widths[i])
		n = max(n, len(cols[i]))
	}
	high := float64(n)*headCol.leading + 2*cellAir
	return strip{high: high, paint: func(c pdf.Canvas) {
		hair(c, 0, s.wide, high, 1.1, pdf.Black)
		x := 0.0
		for i, lines := range cols {
			for k, w := range lines {
				at := x
				if t.Columns[i].Align == Right {
					at += widths[i] - headCol.wide(w)
				}
				headCol.draw(c, at, high-cellAir-float64(len(lines)-k)*headCol.leading, w)
			}
			x += widths[i] + gutter
		}
	}}
}

// row sets a row: as one strip, or line by line where it is very high.
func (s *setter) row(t Table, r Row, widths []float64) []strip {
	cells := make([][]cellLine, len(widths))
	high, lines := 0.0, 1
	for i := range widths {
		if i < len(r.Cells) {
			cells[i] = r.Cells[i].set(widths[i], r.Sum)
		}
		h := 0.0
		for _, l := range cells[i] {
			h += l.high
		}
		high, lines = max(high, h), max(lines, len(cells[i]))
	}
	if high <= s.room*mostRow {
		return []strip{s.rowStrip(t, r, widths, cells, max(high, body.leading)+2*cellAir, true)}
	}
	var list []strip
	for k := range lines {
		part := make([][]cellLine, len(widths))
		h := 0.0
		for i := range cells {
			if k < len(cells[i]) {
				part[i] = cells[i][k : k+1]
				h = max(h, cells[i][k].high)
			}
		}
		l := s.rowStrip(t, r, widths, part, h, k == 0)
		l.hold = lineHold(k, lines, loose)
		list = append(list, l)
	}
	return list
}

func (s *setter) rowStrip(t Table, r Row, widths []float64, cells [][]cellLine, high float64, first bool) strip {
	return strip{high: high, paint: func(c pdf.Canvas) {
		switch {
		case first && r.Sum:
			hair(c, 0, s.wide, 0, 1.1, pdf.Black)
		case first:
			hair(c, 0, s.wide, 0, 0.4, rule)
		}
		x := 0.0
		for i, lines := range cells {
			y := cellAir
			for _, l := range lines {
				at := x
				if t.Columns[i].Align == Right {
					at += widths[i] - l.wide
				}
				l.paint(c, at, y)
				y += l.high
			}
			x += widths[i] + gutter
		}
	}}
}

// set breaks a cell into lines.
func (c Cell) set(width float64, sum bool) []cellLine {
	f := c.font(sum)
	var list []cellLine
	for _, w := range f.lines(c.Text, width) {
		list = append(list, cellLine{f.leading, f.wide(w), func(k pdf.Canvas, x, y float64) { f.draw(k, x, y, w) }})
	}
	for _, old := range c.Struck {
		list = append(list, struck(old, width)...)
	}
	for rest := c.Ticks; len(rest) > 0; {
		n, wide := 0, 0.0
		for n < len(rest) && (n == 0 || wide+tickWide(rest[n]) <= width) {
			wide += tickWide(rest[n])
			n++
		}
		row := rest[:n]
		list = append(list, cellLine{flowHigh, wide, func(k pdf.Canvas, x, y float64) { drawTicks(k, x, y-2, row, width) }})
		rest = rest[n:]
	}
	return list
}

// struck sets a superseded value with a line through it; what stands after "|",
// when and why it ended, has none.
func struck(text string, width float64) []cellLine {
	var list []cellLine
	value, why := cutBar(text)
	for _, w := range body.lines(value, width) {
		list = append(list, cellLine{body.leading, body.wide(w), func(k pdf.Canvas, x, y float64) {
			body.draw(k, x, y, w)
			hair(k, x, x+body.wide(w), y+body.base()-body.size*0.28, 0.9, pdf.Black)
		}})
	}
	for _, w := range small.lines(why, width) {
		list = append(list, cellLine{small.leading, small.wide(w), func(k pdf.Canvas, x, y float64) { small.draw(k, x, y, w) }})
	}
	return list
}
