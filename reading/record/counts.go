package record

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"elbowroom/span"
)

// Counts says what became of every line and every cell of a recording.
//
// Lines is the sum of Preamble, Headers, Rows, Blank, Hollow, Talk, Repeated,
// Spoilt and TooLong. For a recording with n used columns, n times Rows is the
// sum of Numbers, Other, Empty, Short, Words, Wrong, Ambiguous and Times.
type Counts struct {
	Bytes int64 // as decoded

	Lines    int
	Preamble int // before the first row of values, blank ones too, without Headers
	Headers  int // lines of names and units at the head
	Rows     int // with at least one value
	Blank    int
	Hollow   int // only empty cells
	Talk     int // words without a value: marks, comments
	Repeated int // names or units again
	Spoilt   int // with bytes that no text has, or a quote left open
	TooLong  int

	Numbers   int // used
	Other     int // used, with the separator that is not the file's
	Empty     int
	Short     int // missing at the end of short rows
	Words     int // in columns that hold words, not used
	Wrong     int // words where a number was expected
	Ambiguous int // could be a decimal or grouped thousands
	Times     int // read as a time of day or a date
	Untimed   int // rows whose time could not be read

	Extra  int // cells behind the last column, not used
	Unused int // cells of columns beyond MostColumns, not used

	Gaps  int // steps of the time longer than usual
	Backs int // steps of the time backwards
	Same  int // rows with the time of the row before
	Cut   int // 1 when the last cell of the file may be cut off and was not used
}

// Says puts the counts into sentences: what was used, what was not, and what
// is missing.
func (c *Counts) Says() string {
	used := []string{amount(c.Rows, "row", "rows"), amount(c.Numbers+c.Other, "value", "values")}
	if c.Times > 0 {
		used = append(used, amount(c.Times, "time", "times"))
	}
	var not []string
	for _, k := range []struct {
		n         int
		one, many string
	}{
		{c.Talk, "line of words", "lines of words"},
		{c.Spoilt, "spoilt line", "spoilt lines"},
		{c.TooLong, "line that is too long", "lines that are too long"},
		{c.Hollow, "line of empty cells", "lines of empty cells"},
		{c.Words, "cell in a column of words", "cells in columns of words"},
		{c.Wrong, "cell with words instead of a number", "cells with words instead of numbers"},
		{c.Ambiguous, "cell that could be a decimal or thousands", "cells that could be decimals or thousands"},
		{c.Extra, "cell behind the last column", "cells behind the last column"},
		{c.Unused, "cell of a column beyond those that are read", "cells of columns beyond those that are read"},
		{c.Cut, "cell that may be cut off", "cells that may be cut off"},
	} {
		if k.n > 0 {
			not = append(not, amount(k.n, k.one, k.many))
		}
	}
	if len(not) == 0 {
		not = []string{"nothing"}
	}
	says := "Used: " + strings.Join(used, ", ") + ". Not used: " + strings.Join(not, ", ") + "."
	if c.Short > 0 {
		says += " Missing in short rows: " + amount(c.Short, "cell", "cells") + "."
	}
	return says
}

func amount(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// add adds what was counted in one chunk.
func (c *Counts) add(d *Counts) {
	c.Bytes += d.Bytes
	c.Lines += d.Lines
	c.Rows += d.Rows
	c.Blank += d.Blank
	c.Hollow += d.Hollow
	c.Talk += d.Talk
	c.Repeated += d.Repeated
	c.Spoilt += d.Spoilt
	c.TooLong += d.TooLong
	c.Numbers += d.Numbers
	c.Other += d.Other
	c.Empty += d.Empty
	c.Short += d.Short
	c.Words += d.Words
	c.Wrong += d.Wrong
	c.Ambiguous += d.Ambiguous
	c.Times += d.Times
	c.Untimed += d.Untimed
	c.Extra += d.Extra
	c.Unused += d.Unused
	c.Cut += d.Cut
}

// oddity is one sort of thing that was met while reading and is reported once
// with its number and first place.
type oddity uint8

const (
	oddTalk oddity = iota
	oddRepeated
	oddSpoilt
	oddQuote
	oddTooLong
	oddShort
	oddExtra
	oddOther
	oddWords
	oddAmbiguous
	oddUntimed
	oddCut
	oddGap
	oddBack
	oddSame
	oddMidnight
	oddities
)

// sayings are how the oddities are reported: of one, and of several with their
// number.
var sayings = [oddities]struct {
	severity            span.Severity
	rule, one, many, do string
}{
	oddTalk:      {span.Advice, "talk", "a line among the values holds words only and was not used", "%d lines among the values hold words only and were not used; the first", ""},
	oddRepeated:  {span.Advice, "repeated-header", "the names stand again among the values; what comes before and after counts as apart", "the names stand %d more times among the values; what comes before and after counts as apart; the first", ""},
	oddSpoilt:    {span.Warning, "spoilt", "a line holds bytes that no text has and was not used", "%d lines hold bytes that no text has and were not used", "copy the file from the logger again"},
	oddQuote:     {span.Warning, "open-quote", "a line holds a quote that is never closed and was not used", "%d lines hold a quote that is never closed and were not used; the first", ""},
	oddTooLong:   {span.Warning, "long-line", "a line is longer than 16 MiB and was not used", "%d lines are longer than 16 MiB and were not used", ""},
	oddShort:     {span.Warning, "short-row", "a row has fewer cells than columns; what is missing counts as empty", "%d rows have fewer cells than columns; what is missing counts as empty", ""},
	oddExtra:     {span.Warning, "long-row", "a row has more cells than columns; the cells behind the last column were not used", "%d rows have more cells than columns; the cells behind the last column were not used", "look whether a decimal comma stands between commas"},
	oddOther:     {span.Warning, "mixed-decimals", "a cell has the decimal separator that is not the file's; it was read as a decimal", "%d cells have the decimal separator that is not the file's; they were read as decimals; the first", ""},
	oddWords:     {span.Warning, "no-number", "a cell holds words where numbers stand and was not used", "%d cells hold words where numbers stand and were not used; the first", ""},
	oddAmbiguous: {span.Warning, "grouped", "a cell could be a decimal or grouped thousands and was not used", "%d cells could be decimals or grouped thousands and were not used; the first", "export without grouping of thousands"},
	oddUntimed:   {span.Warning, "no-row-time", "the time of a row could not be read; it serves the totals of the channels, no stretch", "the time of %d rows could not be read; they serve the totals of the channels, no stretch", ""},
	oddCut:       {span.Advice, "cut-off", "the file does not end with a line end; its last cell may be cut off and was not used", "", ""},
	oddGap:       {span.Warning, "gap", "the clock goes on by much more than a row: nothing was written, or the clock was set forwards; no stretch runs across", "the clock goes on by much more than a row %d times: nothing was written, or the clock was set forwards; no stretch runs across; the first", ""},
	oddBack:      {span.Warning, "clock-back", "the clock goes back; what comes before and after counts as apart", "the clock goes back %d times; what comes before and after counts as apart; the first", ""},
	oddSame:      {span.Advice, "same-time", "a row has the time of the row before; it was used", "%d rows have the time of the row before; all were used", ""},
	oddMidnight:  {span.Advice, "midnight", "the time of day begins anew; taken for midnight", "the time of day begins anew %d times; taken for midnight; the first", ""},
}

// sight is the first place of an oddity.
type sight struct {
	line, col int // from 1; line within a chunk until it is merged
	text      string
}

// sights collects the oddities of a chunk or of a whole recording.
type sights struct {
	number [oddities]int
	first  [oddities]sight
}

// see counts an oddity; where and what are asked for the first only.
func (s *sights) see(o oddity, n, line int, where func() (col int, text string)) {
	if s.number[o] == 0 {
		col, text := 1, ""
		if where != nil {
			col, text = where()
		}
		s.first[o] = sight{line, col, text}
	}
	s.number[o] += n
}

// add adds the oddities of a chunk that begins behind so many lines.
func (s *sights) add(d *sights, lines int) {
	for o := range d.number {
		if d.number[o] == 0 {
			continue
		}
		if s.number[o] == 0 {
			s.first[o] = d.first[o]
			s.first[o].line += lines
		}
		s.number[o] += d.number[o]
	}
}

// findings says what was seen, in the order of the file.
func (s *sights) findings() span.List {
	var list span.List
	for o, n := range s.number {
		if n == 0 {
			continue
		}
		say, at := sayings[o], s.first[o]
		says := say.one
		if n > 1 {
			says = fmt.Sprintf(say.many, n)
		}
		list = append(list, span.Finding{
			Pos: span.Pos{Line: at.line, Col: at.col}, Severity: say.severity, Rule: say.rule, Text: short(at.text), Says: says, Do: say.do,
		})
	}
	slices.SortStableFunc(list, func(a, b span.Finding) int { return cmp.Compare(a.Pos.Line, b.Pos.Line) })
	return list
}
