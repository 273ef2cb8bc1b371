package record

import (
	"bytes"
	"fmt"
	"strings"

	"elbowroom/span"
)

// Limits of what is read, so that memory stays bounded whatever comes in.
const (
	// MostColumns is how many columns of a recording are used; further ones
	// are counted and reported.
	MostColumns = 4096
	// longestLine is the longest line that is read, in bytes: a million
	// columns of eight characters fit.
	longestLine = 16 << 20
	// headBytes is how much of a file Look wants to see; more when that holds
	// fewer than headLines lines.
	headBytes = 256 << 10
	headLines = 4
	// wideHead is a head from which wideLines lines, names and values, are
	// enough.
	wideHead  = 4 << 20
	wideLines = 2
	// mostHead bounds the head when lines are long.
	mostHead = 2*longestLine + 1
	// linesLooked is how many lines of the head decide on the format.
	linesLooked = 200
	// mostPreamble is how many lines of talk before the header are kept.
	mostPreamble = 50
	// textKept is how many characters of an offending text a finding keeps.
	textKept = 60
)

// Format is how a recording is written, as found in its head or as a person
// said.
type Format struct {
	Encoding  Encoding
	Delimiter byte // ',', ';', '\t' or '|'
	Decimal   byte // '.' or ','
	Preamble  []string
	Header    int // line of the names, 0 when there is none
	Units     int // line of the units, 0 when there is none
	First     int // line of the first values
	Columns   []Column
	More      int // columns beyond MostColumns, not used
	Clock     Clock

	skip          int // bytes of the decoded head before the first values
	header, units []byte
	short         bool      // the head is the whole file
	every         []float64 // usual seconds between the values of each column, 0 when not known
}

// Column is one column of the table.
type Column struct {
	Name string // without its unit
	Unit string // as written; empty when none is
	Is   string // the unit's name in package quantity; empty when it is not known
	Nth  int    // 1, or 2 and more for further columns of the same name and unit
	Sort ColumnSort
	In   string // unit written behind every number
}

// ColumnSort is what the cells of a column hold, by the head of the file.
type ColumnSort string

// The sorts of column.
const (
	Numbers ColumnSort = "numbers"
	Words   ColumnSort = "words" // not used
	Times   ColumnSort = "times"
	Nothing ColumnSort = "nothing" // no value in the head
)

// Label returns the name with the unit, as a person would write it.
func (c Column) Label() string {
	label := c.Name
	if c.Nth > 1 {
		label = fmt.Sprintf("%s (%d)", label, c.Nth)
	}
	if c.Unit != "" {
		label += " [" + c.Unit + "]"
	}
	return label
}

// Says is what a person knows better than Look. Zero fields are found.
type Says struct {
	Delimiter byte
	Decimal   byte
	Time      string    // name of the column of time
	Scale     float64   // seconds for one unit of a time written as a number
	Period    float64   // seconds between rows, for recordings without a column of time
	Form      ClockForm // how the time is written
}

// sniffed is what Look works on.
type sniffed struct {
	Format
	lines    []line
	findings span.List
}

// line is one line of the head.
type line struct {
	start  int    // byte in the head
	number int    // from 1
	raw    []byte // without its end
}

// delimiters in the order in which they win a tie.
var delimiters = []byte{',', ';', '\t', '|'}

// Look tells how a recording is written from its beginning; whole says that
// the head is all there is. Findings hold what was guessed and what hinders;
// with an Error among them the file cannot be read. Look sees at most a few
// hundred lines, so that more findings can come from Read.
func Look(head []byte, whole bool, says Says) (Format, span.List) {
	s := &sniffed{}
	s.short = whole
	encoding, mark, finding := encodingOf(head)
	s.note(encoding, finding)
	if !s.findings.Has(span.Error) {
		head = decoded(head[mark:], encoding)
		if onlyReturns(head) {
			head = bytes.Clone(head)
			returned(head)
		}
		s.look(head, says)
	}
	return s.Format, s.findings
}

// note takes down the encoding and what is to be said of it.
func (s *sniffed) note(e Encoding, finding *span.Finding) {
	s.Encoding = e
	if finding != nil {
		s.findings = append(s.findings, *finding)
	}
}

// decoded returns bytes as UTF-8, unless they are Latin-1: those are turned
// cell by cell where a text is kept.
func decoded(head []byte, e Encoding) []byte {
	if e != UTF16LE && e != UTF16BE {
		return head
	}
	w := &wide{from: nothingMore{}, big: e == UTF16BE, in: head[:len(head):len(head)]}
	w.fill()
	return w.out
}

func (s *sniffed) look(head []byte, says Says) {
	s.split(head)
	if len(s.lines) == 0 {
		s.refuse(1, "empty", "the file is empty", "a header and rows of values", "record again, or choose another file")
		return
	}
	if !s.table(says) {
		return
	}
	s.names()
	s.clock(says)
	s.header, s.units = bytes.Clone(s.rawLine(s.Header)), bytes.Clone(s.rawLine(s.Units))
	s.reportHead()
}

// split cuts the head into lines; a last line without an end counts only when
// the head is the whole file or there is no other line.
func (s *sniffed) split(head []byte) {
	at := 0
	for number := 1; at < len(head) && len(s.lines) < linesLooked+mostPreamble; number++ {
		end := bytes.IndexByte(head[at:], '\n')
		next := at + end + 1
		if end < 0 {
			if len(s.lines) > 0 && !s.short {
				break
			}
			end, next = len(head)-at, len(head)
		}
		raw := head[at : at+end]
		if len(raw) > 0 && raw[len(raw)-1] == '\r' {
			raw = raw[:len(raw)-1]
		}
		s.lines = append(s.lines, line{at, number, raw})
		at = next
	}
	blank := true
	for _, l := range s.lines {
		blank = blank && len(trimBlank(l.raw)) == 0
	}
	if blank {
		s.lines = nil
	}
}

func (s *sniffed) rawLine(number int) []byte {
	if number == 0 {
		return nil
	}
	return s.lines[number-1].raw
}

func (s *sniffed) refuse(line int, rule, says, expect, do string) {
	s.findings = append(s.findings, span.Finding{
		Pos: span.Pos{Line: line, Col: 1}, Severity: span.Error, Rule: rule, Says: says, Expect: expect, Do: do,
	})
}

// cut returns the cells of a line, at most most of them, and how many there
// are. A quoted cell may hold the delimiter and doubled quotes.
func cut(raw []byte, delimiter byte, most int) ([][]byte, int) {
	var cells [][]byte
	n := 0
	for at := 0; ; {
		end := cellEnd(raw, at, delimiter)
		if n < most {
			cells = append(cells, raw[at:end])
		}
		n++
		if end >= len(raw) {
			return cells, n
		}
		at = end + 1
	}
}

// cellEnd returns the end of the cell that begins at the place: the next
// delimiter outside quotes, or the end of the line.
func cellEnd(raw []byte, at int, delimiter byte) int {
	i := at
	for i < len(raw) && raw[i] == ' ' {
		i++
	}
	if i < len(raw) && raw[i] == '"' {
		for i++; i < len(raw); i++ {
			if raw[i] == '"' {
				if i+1 < len(raw) && raw[i+1] == '"' {
					i++
					continue
				}
				break
			}
		}
	}
	for i < len(raw) && raw[i] != delimiter {
		i++
	}
	return min(i, len(raw))
}

// word returns a cell of text without its quotes.
func word(cell []byte) string {
	return strings.ReplaceAll(text(trimCell(cell)), `""`, `"`)
}

// short cuts a text that a finding shows.
func short(s string) string {
	n := 0
	for i := range s {
		if n++; n > textKept {
			return s[:i] + "…"
		}
	}
	return s
}
