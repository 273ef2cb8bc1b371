package record

import (
	"bytes"
	"math"
	"unicode/utf8"
)

// block is one chunk of a recording, read: the values of every column and what
// was seen beside them. Column c of row r stands at values[c*stride+r].
type block struct {
	text   []byte // whole lines, with slack behind
	length int    // of the text without the slack
	last   bool   // the last chunk of the file
	done   chan struct{}

	values  []float64
	stride  int
	rows    int
	lines   []int32 // line of each row within the chunk, from 0
	breaks  []int32 // rows before which a repeated header stood
	counts  Counts
	sights  sights
	tooLong bool  // the text stands for one line that was too long
	passed  int64 // its bytes
}

// column returns the values of a column.
func (b *block) column(c int) []float64 { return b.values[c*b.stride : c*b.stride+b.rows] }

// conflict is how many values further the next column begins beyond the room
// for the rows: columns that lie a power of two apart would share one set of a
// processor's cache.
const conflict = 8

// scanner reads chunks; it is the same for all and never changes.
type scanner struct {
	delimiter  byte
	decimal    byte // of quick; 0 where the delimiter is the decimal separator too
	careful    byte // of careful
	columns    int
	more       int
	clock      int // column that is a time of day or a date, -1 when there is none
	time       int // column of time in any form, -1
	in         []string
	header     []byte
	units      []byte
	latin      bool
	wordColumn []bool // columns of words by the head: their words are not counted as wrong
}

func newScanner(f *Format) *scanner {
	s := &scanner{
		delimiter: f.Delimiter, decimal: f.Decimal, careful: f.Decimal, columns: len(f.Columns), more: f.More,
		clock: -1, time: f.Clock.Column, header: f.header, units: f.units, latin: f.Encoding == Latin1,
	}
	if f.Decimal == f.Delimiter {
		s.decimal = 0
	}
	if f.Clock.Form == DayClock || f.Clock.Form == DateClock {
		s.clock = f.Clock.Column
	}
	for _, c := range f.Columns {
		s.in = append(s.in, c.In)
		s.wordColumn = append(s.wordColumn, c.Sort == Words || c.Sort == Times)
	}
	return s
}

// read reads a chunk into its block.
func (s *scanner) read(b *block) {
	text := b.text[:b.length]
	most := bytes.Count(text, []byte{'\n'}) + 1
	b.stride = most + conflict
	if need := b.stride * s.columns; cap(b.values) < need {
		b.values = make([]float64, need+need/8)
	} else {
		b.values = b.values[:cap(b.values)]
	}
	b.rows, b.lines, b.breaks = 0, b.lines[:0], b.breaks[:0]
	b.counts, b.sights = Counts{Bytes: int64(b.length)}, sights{}
	if b.tooLong {
		b.counts = Counts{Bytes: b.passed, Lines: 1, TooLong: 1}
		b.sights.see(oddTooLong, 1, 1, nil)
		return
	}
	lost := b.last && s.cutEnd(b)
	s.eachLine(b, bytes.IndexByte(text, 0) >= 0)
	if lost {
		b.counts.Lines++
		b.counts.Hollow++
	}
}

// cutEnd takes the last cell off a file that does not end with a line end: it
// may be cut off. The cells before it stand; lost says that there are none.
func (s *scanner) cutEnd(b *block) (lost bool) {
	text := b.text[:b.length]
	if b.length == 0 || text[b.length-1] == '\n' {
		return false
	}
	start := bytes.LastIndexByte(text, '\n') + 1
	if onlyBlank(text[start:]) {
		return false
	}
	at, n := start, 0
	for end := cellEnd(text, at, s.delimiter); end < len(text); end = cellEnd(text, at, s.delimiter) {
		at = end + 1
		n++
	}
	b.counts.Cut = 1
	line := bytes.Count(text[:start], []byte{'\n'}) + 1
	b.sights.see(oddCut, 1, line, func() (int, string) { return characters(text[start:], at-start) + 1, word(text[at:]) })
	for i := at; i < b.length+1; i++ {
		b.text[i] = '\n'
	}
	b.length = at
	return n == 0
}

// eachLine reads line by line; suspicious says that lines may hold zero bytes.
func (s *scanner) eachLine(b *block, suspicious bool) {
	for at := 0; at < b.length; {
		b.counts.Lines++
		if suspicious {
			if end := lineEnd(b.text[:b.length], at); bytes.IndexByte(b.text[at:end], 0) >= 0 {
				s.spoilt(b, b.text[at:end])
				at = end + 1
				continue
			}
		}
		at = s.line(b, at)
	}
}

func lineEnd(text []byte, at int) int {
	if n := bytes.IndexByte(text[at:], '\n'); n >= 0 {
		return at + n
	}
	return len(text)
}

// spoilt counts a line with bytes that no text has.
func (s *scanner) spoilt(b *block, line []byte) {
	b.counts.Spoilt++
	b.sights.see(oddSpoilt, 1, b.counts.Lines, func() (int, string) { return characters(line, max(0, firstControl(line))) + 1, "" })
}

// line reads the line that begins at the place and returns the beginning of
// the next. It writes the values behind the rows read so far and lets them
// stand when the line turns out to be a row.
func (s *scanner) line(b *block, start int) int {
	text, at, row := b.text, start, b.rows
	delimiter, decimal, ends := s.delimiter, s.decimal, uint64(s.delimiter)*ones
	slot := row
	column := 0
	var numbers, empty int
	var tally tally
	for ; column < s.columns; column++ {
		v, end := cell8(text, at, decimal, ends)
		if end == at {
			v, end = quick(text, at, decimal)
		}
		c := text[end]
		if c == '\r' && text[end+1] == '\n' {
			c = '\n'
		}
		switch {
		case end > at && (c == delimiter || c == '\n') && column != s.clock:
			numbers++
		case end == at && (c == delimiter || c == '\n'):
			v = nan
			empty++
		default:
			v, end = s.slow(b, &tally, start, at, column)
			c = text[end]
		}
		b.values[slot] = v
		slot += b.stride
		if text[end] == '\r' {
			end++
		}
		at = end + 1
		if c != delimiter || end >= b.length {
			column++
			break
		}
	}
	return s.endLine(b, &tally, start, at, column, numbers, empty)
}

// tally is what the careful reading of the cells of one line found.
type tally struct {
	numbers, other, empty, words, ambiguous, times int

	wrong    int             // words in columns of numbers
	quote    bool            // a quote stays open
	firstOdd [oddities]int32 // byte of the first cell of that sort, from 1
}

func (t *tally) see(o oddity, at int) {
	if t.firstOdd[o] == 0 {
		t.firstOdd[o] = int32(at + 1)
	}
}

// slow reads a cell that is no plain number and returns its value and end.
func (s *scanner) slow(b *block, t *tally, start, at, column int) (float64, int) {
	end := cellEndIn(b.text[:b.length], at, s.delimiter)
	if end < 0 {
		t.quote = true
		return nan, lineEnd(b.text[:b.length], at)
	}
	cell := b.text[at:end]
	if column == s.clock {
		if v, form := anyTime(trimCell(cell)); form != "" {
			t.times++
			return v, end
		}
	}
	v, kind := careful(cell, s.careful, s.in[column])
	if column == s.clock && kind != emptyCell || kind == ambiguousCell && s.wordColumn[column] {
		v, kind = nan, textCell
	}
	switch kind {
	case numberCell:
		t.numbers++
	case otherDecimal:
		t.other++
		t.see(oddOther, at-start)
	case emptyCell:
		t.empty++
	case ambiguousCell:
		t.ambiguous++
		t.see(oddAmbiguous, at-start)
	default:
		t.words++
		if !s.wordColumn[column] {
			t.wrong++
			t.see(oddWords, at-start)
		}
	}
	return v, end
}

// cellEndIn returns the end of the cell that begins at the place of a text of
// several lines; -1 when a quote stays open to the end of the line.
func cellEndIn(text []byte, at int, delimiter byte) int {
	i := at
	for i < len(text) && text[i] == ' ' {
		i++
	}
	if i < len(text) && text[i] == '"' {
		for i++; ; i++ {
			if i >= len(text) || text[i] == '\n' {
				return -1
			}
			if text[i] != '"' {
				continue
			}
			if i+1 < len(text) && text[i+1] == '"' {
				i++
				continue
			}
			break
		}
	}
	for i < len(text) && text[i] != delimiter && text[i] != '\n' {
		i++
	}
	return i
}

// endLine settles what a line is, after its cells up to at were read, and
// returns the beginning of the next line.
func (s *scanner) endLine(b *block, t *tally, start, at, column, numbers, empty int) int {
	end := at - 1 // the line end or a delimiter
	extra := 0
	if end < b.length && b.text[end] == s.delimiter && column == s.columns {
		end = lineEnd(b.text[:b.length], at)
		if !onlyBlank(b.text[at:end]) {
			_, extra = cut(b.text[at:end], s.delimiter, 0)
		}
	}
	line := b.text[start:min(end, b.length)]
	next := end + 1
	switch {
	case t.quote:
		b.counts.Spoilt++
		b.sights.see(oddQuote, 1, b.counts.Lines, func() (int, string) { return 1, text(line) })
	case numbers+t.numbers+t.other+t.times == 0:
		s.noRow(b, t, line)
	case numbers+t.numbers+t.other <= t.words && s.again(line):
		s.repeated(b, line)
	default:
		s.row(b, t, line, column, numbers, empty, extra)
	}
	return next
}

func onlyBlank(b []byte) bool { return len(trimBlank(b)) == 0 }

// noRow counts a line without a value.
func (s *scanner) noRow(b *block, t *tally, line []byte) {
	switch {
	case onlyBlank(line):
		b.counts.Blank++
	case s.again(line):
		s.repeated(b, line)
	case t.words+t.ambiguous == 0:
		b.counts.Hollow++
	case firstControl(line) >= 0:
		s.spoilt(b, line)
	default:
		b.counts.Talk++
		b.sights.see(oddTalk, 1, b.counts.Lines, func() (int, string) { return 1, text(line) })
	}
}

func (s *scanner) repeated(b *block, line []byte) {
	b.counts.Repeated++
	if bytes.Equal(trimBlank(line), trimBlank(s.header)) {
		b.sights.see(oddRepeated, 1, b.counts.Lines, func() (int, string) { return 1, text(line) })
	}
	if n := len(b.breaks); n == 0 || b.breaks[n-1] != int32(b.rows) {
		b.breaks = append(b.breaks, int32(b.rows))
	}
}

// again reports whether a line is the header or the line of units once more.
func (s *scanner) again(line []byte) bool {
	line = trimBlank(line)
	return len(s.header) > 0 && bytes.Equal(line, trimBlank(s.header)) || len(s.units) > 0 && bytes.Equal(line, trimBlank(s.units))
}

// row keeps a line as a row of values.
func (s *scanner) row(b *block, t *tally, line []byte, column, numbers, empty, extra int) {
	c := &b.counts
	c.Rows++
	for i := column; i < s.columns; i++ {
		b.values[i*b.stride+b.rows] = nan
	}
	missing := s.columns - column
	c.Short += missing
	if missing > 0 {
		b.sights.see(oddShort, 1, c.Lines, func() (int, string) { return utf8.RuneCount(line) + 1, "" })
	}
	if s.more > 0 {
		c.Unused += min(extra, s.more)
		extra = max(extra-s.more, 0)
	}
	if extra > 0 {
		c.Extra += extra
		b.sights.see(oddExtra, 1, c.Lines, func() (int, string) {
			return characters(line, cellStart(line, s.columns+s.more, s.delimiter)) + 1, ""
		})
	}
	if s.time >= 0 && math.IsNaN(b.values[s.time*b.stride+b.rows]) {
		c.Untimed++
		b.sights.see(oddUntimed, 1, c.Lines, nil)
	}
	c.Numbers += numbers + t.numbers
	c.Other += t.other
	c.Empty += empty + t.empty
	c.Words += t.words - t.wrong
	c.Wrong += t.wrong
	c.Ambiguous += t.ambiguous
	c.Times += t.times
	s.oddCell(b, line, oddOther, t.other, t)
	s.oddCell(b, line, oddAmbiguous, t.ambiguous, t)
	s.oddCell(b, line, oddWords, t.wrong, t)
	b.lines = append(b.lines, int32(c.Lines-1))
	b.rows++
}

// oddCell reports n cells of one line that were read oddly or not at all.
func (s *scanner) oddCell(b *block, line []byte, o oddity, n int, t *tally) {
	if n == 0 {
		return
	}
	at := int(t.firstOdd[o]) - 1
	b.sights.see(o, n, b.counts.Lines, func() (int, string) {
		return characters(line, at) + 1, word(line[at:cellEnd(line, at, s.delimiter)])
	})
}
