package record

import (
	"bytes"
	"fmt"
	"math"

	"elbowroom/span"
)

// guessed is one way of cutting the head into cells, and how well it fits.
type guessed struct {
	delimiter byte
	columns   int // of most rows of values
	rows      int // rows of values with that many cells
	covered   int // characters of cells that are values
	first     int // index of the first row of values
}

// table finds the delimiter, the decimal separator and the first row of
// values. It reports an error and returns false when there is no table.
func (s *sniffed) table(says Says) bool {
	var best guessed
	for _, d := range delimiters {
		if says.Delimiter != 0 && d != says.Delimiter {
			continue
		}
		if g := s.fit(d); g.rows > 0 && (g.covered > best.covered || g.covered == best.covered && g.columns > best.columns) {
			best = g
		}
	}
	if best.rows == 0 {
		return s.noTable()
	}
	best.first = s.earlier(best)
	first := s.lines[best.first]
	s.Delimiter, s.First, s.skip = best.delimiter, first.number, first.start
	s.Decimal = says.Decimal
	if s.Decimal == 0 {
		s.Decimal = s.decimal(best)
	}
	s.headline(best)
	if s.commasBetweenCommas(best) {
		return false
	}
	s.columns(best)
	return true
}

func (s *sniffed) noTable() bool {
	last := s.lines[len(s.lines)-1].number
	if bytes.IndexByte(s.lines[0].raw, 0) >= 0 {
		s.refuse(1, "not-text", "this is not a text table: it holds zero bytes", "a file exported as CSV or text", "export the recording as CSV from the logger's own program")
		return false
	}
	s.refuse(last, "no-values", "there is no row of values in the head of the file", "rows of numbers, cells parted by comma, semicolon, tab or bar", "export the recording as CSV, with a header and values")
	return false
}

// fit cuts the head with one delimiter and counts the rows of values.
func (s *sniffed) fit(d byte) guessed {
	counts := map[int]int{}
	type row struct{ index, cells, covered int }
	var rows []row
	for i, l := range s.lines {
		cells, n := cut(l.raw, d, MostColumns)
		values, filled, covered := 0, 0, 0
		for _, c := range cells {
			if c = trimCell(c); len(c) == 0 || isNothing(c) {
				continue
			}
			filled++
			if likeValue(c) {
				values++
				covered += len(c)
			}
		}
		if values > 0 && 2*values > filled && firstControl(l.raw) < 0 {
			counts[n]++
			rows = append(rows, row{i, n, covered + n - 1})
		}
	}
	g := guessed{delimiter: d}
	for _, r := range rows { // in order, so that a tie goes to the earlier
		if counts[r.cells] > counts[g.columns] {
			g.columns = r.cells
		}
	}
	for _, r := range rows {
		if r.cells == g.columns {
			if g.rows == 0 {
				g.first = r.index
			}
			g.rows++
			g.covered += r.covered
		}
	}
	return g
}

// likeValue reports whether a cell is a number in any spelling, or a time.
func likeValue(cell []byte) bool {
	if _, kind := careful(cell, '.', ""); kind == numberCell || kind == otherDecimal || kind == ambiguousCell && separators(cell) == 1 {
		return true
	}
	if _, form := anyTime(cell); form != "" {
		return true
	}
	if _, ok := date(cell); ok {
		return true
	}
	_, ok := unitBehind(cell)
	return ok
}

// separators counts points and commas.
func separators(cell []byte) int {
	return bytes.Count(cell, []byte{'.'}) + bytes.Count(cell, []byte{','})
}

// earlier returns the first row of values: rows right before the one found may
// be spoilt, but half their cells are values.
func (s *sniffed) earlier(g guessed) int {
	at := g.first
	for ; at > 0; at-- {
		cells, n := cut(s.lines[at-1].raw, g.delimiter, MostColumns)
		values, filled := 0, 0
		for _, c := range cells {
			if c = trimCell(c); len(c) > 0 && !isNothing(c) {
				filled++
				if likeValue(c) {
					values++
				}
			}
		}
		if n != g.columns || values == 0 || 2*values < filled {
			return at
		}
	}
	return at
}

// valueRows calls f for the cells of every row of values in the head.
func (s *sniffed) valueRows(columns int, f func(l line, cells [][]byte)) {
	for _, l := range s.lines {
		if l.number < s.First {
			continue
		}
		if cells, n := cut(l.raw, s.Delimiter, MostColumns); n == columns {
			f(l, cells)
		}
	}
}

// decimal tells the file's decimal separator: the one that most cells have.
func (s *sniffed) decimal(g guessed) byte {
	points, commas := 0, 0
	s.valueRows(g.columns, func(_ line, cells [][]byte) {
		for _, c := range cells {
			c = trimCell(c)
			if _, kind := careful(c, '.', ""); kind == textCell {
				continue
			}
			points += bytes.Count(c, []byte("."))
			commas += bytes.Count(c, []byte(","))
		}
	})
	if commas > points {
		return ','
	}
	return '.'
}

// headline finds the lines of names and units: the last lines with words
// before the first values.
func (s *sniffed) headline(g guessed) {
	at := g.first - 1
	for at >= 0 && len(trimBlank(s.lines[at].raw)) == 0 {
		at--
	}
	if at < 0 || !s.words(at, g.columns) {
		return
	}
	if at > 0 && s.words(at-1, g.columns) && s.onlyUnits(at) {
		s.Units = s.lines[at].number
		at--
	}
	s.Header = s.lines[at].number
}

// words reports whether a line could be one of names for so many columns.
func (s *sniffed) words(at, columns int) bool {
	cells, n := cut(s.lines[at].raw, s.Delimiter, MostColumns)
	named, values := 0, 0
	for _, c := range cells {
		switch c = trimCell(c); {
		case len(c) == 0:
		case likeValue(c):
			values++
		default:
			named++
		}
	}
	return named > values && (n > 1 || columns == 1)
}

// onlyUnits reports whether most cells of a line are units.
func (s *sniffed) onlyUnits(at int) bool {
	cells, _ := cut(s.lines[at].raw, s.Delimiter, MostColumns)
	known, filled := 0, 0
	for _, c := range cells {
		w := word(c)
		if w == "" {
			continue
		}
		filled++
		if _, bracketed := bare(w); bracketed || unitOf(w, "") != "" {
			known++
		}
	}
	return known > 0 && 2*known > filled
}

// commasBetweenCommas refuses a table that has more cells in its rows than
// names and no decimal point at all: decimal commas between commas cannot be
// told apart.
func (s *sniffed) commasBetweenCommas(g guessed) bool {
	if s.Delimiter != ',' || s.Header == 0 {
		return false
	}
	_, names := cut(s.rawLine(s.Header), ',', 0)
	point := false
	s.valueRows(g.columns, func(l line, _ [][]byte) { point = point || bytes.IndexByte(l.raw, '.') >= 0 })
	if point || g.columns < names+(names+1)/2 {
		return false
	}
	s.refuse(s.First, "commas", fmt.Sprintf("the header names %d columns and the rows have %d cells: the comma stands both between cells and before decimals", names, g.columns),
		"another delimiter, or decimal points", "export again with semicolons or tabs between the cells")
	return true
}

// columns makes the columns with their sorts from the rows of values.
func (s *sniffed) columns(g guessed) {
	s.Columns = make([]Column, min(g.columns, MostColumns))
	s.More = g.columns - len(s.Columns)
	values, words, times := make([]int, len(s.Columns)), make([]int, len(s.Columns)), make([]int, len(s.Columns))
	s.valueRows(g.columns, func(_ line, cells [][]byte) {
		for i, c := range cells {
			c = trimCell(c)
			if len(c) == 0 || isNothing(c) {
				continue
			}
			switch v, t := s.sortCell(&s.Columns[i], c); {
			case t:
				times[i]++
			case v:
				values[i]++
			default:
				words[i]++
			}
		}
	})
	for i := range s.Columns {
		s.Columns[i].Sort = sortOf(values[i], words[i], times[i])
	}
}

// sortCell tells whether a cell is a value or a time; neither is words. It
// notes the unit that stands in the cells of the column.
func (s *sniffed) sortCell(c *Column, cell []byte) (value, time bool) {
	if _, ok := date(cell); ok {
		return false, true
	}
	if _, kind := careful(cell, s.Decimal, ""); kind != textCell {
		return true, false
	}
	if _, form := anyTime(cell); form != "" {
		return false, true
	}
	unit, ok := unitBehind(cell)
	if !ok || c.In != "" && c.In != unit {
		return false, false
	}
	c.In = unit
	return true, false
}

func sortOf(values, words, times int) ColumnSort {
	switch {
	case values+words+times == 0:
		return Nothing
	case times > values+words:
		return Times
	case values >= words:
		return Numbers
	}
	return Words
}

// reportHead says what was found that a person may want to know.
func (s *sniffed) reportHead() {
	for i, l := range s.lines {
		if l.number >= s.First || l.number == s.Header || l.number == s.Units || len(trimBlank(l.raw)) == 0 {
			continue
		}
		if s.lines[i].number > s.Header && s.Header > 0 {
			continue
		}
		if len(s.Preamble) < mostPreamble {
			s.Preamble = append(s.Preamble, short(word(l.raw)))
		}
	}
	if s.Header == 0 {
		s.advise(s.First, "no-header", "there is no line of names; the columns are called by their numbers", "say what each column is")
	}
	if s.More > 0 {
		s.findings = append(s.findings, span.Finding{
			Pos: span.Pos{Line: s.First, Col: s.columnAt(MostColumns)}, Severity: span.Warning, Rule: "many-columns",
			Says: fmt.Sprintf("the table has %d columns; the first %d are used, %d are not", MostColumns+s.More, MostColumns, s.More),
			Do:   "export fewer channels",
		})
	}
	if s.Header > 0 {
		if _, names := cut(s.rawLine(s.Header), s.Delimiter, 0); names != len(s.Columns)+s.More {
			s.advise(s.Header, "names", fmt.Sprintf("the header has %d cells and the rows have %d", names, len(s.Columns)+s.More), "look whether the names stand over their columns")
		}
	}
	for i, c := range s.Columns {
		if (c.Sort == Words || c.Sort == Times) && i != s.Clock.Column {
			s.advise(max(s.Header, s.First), "words", fmt.Sprintf("the column %q holds %s and is not used", c.Name, c.Sort), "")
		}
		if c.Nth > 1 {
			s.advise(max(s.Header, 1), "same-name", fmt.Sprintf("%q names several columns; they are told apart by their order", c.Name), "")
		}
	}
}

func (s *sniffed) advise(line int, rule, says, do string) {
	s.findings = append(s.findings, span.Finding{Pos: span.Pos{Line: line, Col: 1}, Severity: span.Advice, Rule: rule, Says: says, Do: do})
}

// columnAt returns the character at which the cell of an index begins in the
// first row of values.
func (s *sniffed) columnAt(index int) int {
	raw := s.rawLine(s.First)
	return characters(raw, cellStart(raw, index, s.Delimiter)) + 1
}

// cellStart returns the byte at which the cell of an index begins; the end of
// the line when there are fewer.
func cellStart(raw []byte, index int, delimiter byte) int {
	at := 0
	for range index {
		if at = cellEnd(raw, at, delimiter) + 1; at > len(raw) {
			return len(raw)
		}
	}
	return at
}

// nan is what a cell without a value reads as.
var nan = math.NaN()
