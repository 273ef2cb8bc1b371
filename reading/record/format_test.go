package record

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"elbowroom/guide"
	"elbowroom/internal/corpus"
)

func clause(t testing.TB, text string) guide.Clause {
	t.Helper()
	c, err := guide.Parse[guide.Clause](text)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// describe prints what was read of a recording, for people to compare.
func describe(rec *Recording) string {
	var b strings.Builder
	f := &rec.Format
	fmt.Fprintf(&b, "%s: %s", rec.Outcome, f.Encoding)
	if f.Delimiter != 0 {
		fmt.Fprintf(&b, ", delimiter %q, decimal %q", f.Delimiter, f.Decimal)
		fmt.Fprintf(&b, ", names in line %d, units in line %d, values from line %d", f.Header, f.Units, f.First)
	}
	b.WriteByte('\n')
	for _, p := range f.Preamble {
		fmt.Fprintf(&b, "before: %s\n", p)
	}
	for i, c := range f.Columns {
		if len(f.Columns) > 12 {
			fmt.Fprintf(&b, "%d columns\n", len(f.Columns))
			break
		}
		fmt.Fprintf(&b, "%s: %s", c.Label(), c.Sort)
		if c.Is != "" && c.Is != c.Unit {
			fmt.Fprintf(&b, ", is %s", c.Is)
		}
		if i == f.Clock.Column {
			fmt.Fprintf(&b, ", the time as %s x %g s", f.Clock.Form, f.Clock.Scale)
		}
		if i < len(rec.Channels) && rec.Channels[i].N > 0 {
			s := rec.Channels[i]
			fmt.Fprintf(&b, ", %d values %.8g to %.8g", s.N, s.Least, s.Most)
		}
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "lines %s; cells %s\n", lines(&rec.Counts), cells(&rec.Counts))
	if rec.Outcome == Partly {
		fmt.Fprintf(&b, "%s\n", rec.Counts.Says())
	}
	if rec.Outcome != Refused {
		fmt.Fprintf(&b, "%.6g s, parts: %d\n", rec.Seconds, rec.Segments)
	}
	for _, x := range rec.Findings {
		fmt.Fprintf(&b, "%s\n", x)
	}
	return b.String()
}

func counted(pairs ...any) string {
	var parts []string
	for i := 0; i < len(pairs); i += 2 {
		if pairs[i+1] != 0 {
			parts = append(parts, fmt.Sprintf("%v %v", pairs[i], pairs[i+1]))
		}
	}
	return strings.Join(parts, ", ")
}

func lines(c *Counts) string {
	return counted("all", c.Lines, "before", c.Preamble, "names", c.Headers, "rows", c.Rows, "blank", c.Blank, "hollow", c.Hollow,
		"talk", c.Talk, "repeated", c.Repeated, "spoilt", c.Spoilt, "too long", c.TooLong)
}

func cells(c *Counts) string {
	return counted("numbers", c.Numbers, "other decimal", c.Other, "empty", c.Empty, "short", c.Short, "words", c.Words, "wrong", c.Wrong,
		"ambiguous", c.Ambiguous, "times", c.Times, "untimed", c.Untimed, "extra", c.Extra, "unused", c.Unused, "cut", c.Cut)
}

// written turns the input of a case into the bytes of a file: every line gets
// its end unless the last ends with ⌁; ␀ is a zero byte, ␛ an escape, ␍ a
// carriage return and ⇥ a tab.
func written(input, how string) []byte {
	text := strings.NewReplacer("␀", "\x00", "␛", "\x1b", "␍", "\r", "⇥", "\t", "⌁\n", "").Replace(input + "\n")
	if input == "" {
		text = ""
	}
	return encode(text, how)
}

// encode writes a text with a mark or in another encoding.
func encode(text, how string) []byte {
	switch how {
	case "bom":
		return []byte("\ufeff" + text)
	case "latin-1":
		var b []byte
		for _, r := range text {
			b = append(b, byte(r))
		}
		return b
	case "utf-16le", "utf-16le-bom", "utf-16be", "utf-16be-bom":
		if strings.HasSuffix(how, "-bom") {
			text = "\ufeff" + text
		}
		var b []byte
		for _, u := range utf16.Encode([]rune(text)) {
			if strings.HasPrefix(how, "utf-16le") {
				b = append(b, byte(u), byte(u>>8))
			} else {
				b = append(b, byte(u>>8), byte(u))
			}
		}
		return b
	}
	return []byte(text)
}

// TestCorpus reads small files of every sort and compares what is said of
// them. The invariants of Counts are checked on each.
func TestCorpus(t *testing.T) {
	for _, name := range corpus.Files(t, "testdata/*.txt") {
		corpus.Run(t, name, corpusCase)
	}
}

func corpusCase(t *testing.T, c corpus.Case) string {
	data := written(c.Input, c.Args)
	rec := Read(strings.NewReader(string(data)), Request{})
	checkCounts(t, rec)
	return describe(rec)
}

// checkCounts checks that every line and every cell is counted exactly once.
func checkCounts(t testing.TB, rec *Recording) {
	t.Helper()
	c := &rec.Counts
	if sum := c.Preamble + c.Headers + c.Rows + c.Blank + c.Hollow + c.Talk + c.Repeated + c.Spoilt + c.TooLong; sum != c.Lines {
		t.Errorf("%d lines, but the sorts sum up to %d: %+v", c.Lines, sum, *c)
	}
	if sum, want := c.Numbers+c.Other+c.Empty+c.Short+c.Words+c.Wrong+c.Ambiguous+c.Times, c.Rows*len(rec.Format.Columns); sum != want {
		t.Errorf("%d cells of rows, but the sorts sum up to %d: %+v", want, sum, *c)
	}
}
