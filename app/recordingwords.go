package app

import (
	"fmt"
	"strconv"
	"strings"

	"elbowroom/reading/record"
)

// Counted is how many of something there were.
type Counted struct {
	What string
	N    int
	Used bool
}

// LinesOf says what became of the lines of a recording, without what there was
// none of; the numbers add up to the lines of the file.
func LinesOf(c record.Counts) []Counted {
	return present([]Counted{
		{"rows of values", c.Rows, true},
		{"with names or units", c.Headers + c.Repeated, true},
		{"before the table", c.Preamble, false},
		{"blank", c.Blank + c.Hollow, false},
		{"of words", c.Talk, false},
		{"spoilt", c.Spoilt, false},
		{"too long", c.TooLong, false},
	})
}

// CellsOf says what became of the cells of a recording.
func CellsOf(c record.Counts) []Counted {
	return present([]Counted{
		{"numbers", c.Numbers, true},
		{"numbers with the other decimal sign", c.Other, true},
		{"times", c.Times, true},
		{"empty", c.Empty, false},
		{"missing at the end of short rows", c.Short, false},
		{"in columns of words", c.Words, false},
		{"words where a number belongs", c.Wrong, false},
		{"that could be a decimal or thousands", c.Ambiguous, false},
		{"behind the last column", c.Extra, false},
		{fmt.Sprintf("beyond column %d", record.MostColumns), c.Unused, false},
		{"cut off at the end of the file", c.Cut, false},
	})
}

// TimesOf says what was odd about the times of a recording.
func TimesOf(c record.Counts) []Counted {
	return present([]Counted{
		{"gaps", c.Gaps, false},
		{"steps backwards", c.Backs, false},
		{"rows with the time of the row before", c.Same, false},
		{"rows without a time", c.Untimed, false},
	})
}

func present(list []Counted) []Counted {
	var out []Counted
	for _, c := range list {
		if c.N > 0 {
			out = append(out, c)
		}
	}
	return out
}

// ChannelText names a channel as a person settles it, what it is, and why that
// was guessed; guess is empty when a person settled it.
func ChannelText(c record.Channel) (name, is, guess string) {
	name = ChannelName(c)
	is = c.Meaning
	switch {
	case is == "":
		is = "not used"
	case c.In == "":
		is += ", unit not known"
	case c.In != "1":
		is += ", " + c.In
	}
	return name, is, c.Guess
}

// ChannelName names a channel so that RecordingAsk.Settled finds it again.
func ChannelName(c record.Channel) string {
	name := c.Name
	if strconv.Quote(name) != `"`+name+`"` || strings.ContainsAny(name, `="[]()`) {
		name = strconv.Quote(name)
	}
	if c.Unit != "" {
		name += " [" + c.Unit + "]"
	}
	if c.Nth > 1 {
		name += fmt.Sprintf(" (%d)", c.Nth)
	}
	return name
}

// SignText names a sign between cells or within a number.
func SignText(c byte) string {
	switch c {
	case ',':
		return "comma"
	case ';':
		return "semicolon"
	case '\t':
		return "tab"
	case '|':
		return "bar"
	case '.':
		return "point"
	}
	return strconv.Quote(string(rune(c)))
}

// ClockText says where the times of a recording stand, and what was guessed of
// them.
func ClockText(f record.Format) string {
	c, text := f.Clock, string(f.Clock.Form)
	if c.Column >= 0 && c.Column < len(f.Columns) {
		text = f.Columns[c.Column].Label() + ", " + text
	}
	if c.Form == record.NumberClock && c.Scale > 0 {
		text += fmt.Sprintf(" of %g s", c.Scale)
	}
	if c.Period > 0 {
		text += fmt.Sprintf(", a row every %.3g s", c.Period)
	}
	if c.Guess != "" {
		text += "; guessed: " + c.Guess
	}
	return text
}
