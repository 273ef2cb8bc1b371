package record

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strconv"
	"strings"

	"elbowroom/quantity"
	"elbowroom/span"
)

// Channel says what one column of a source means.
type Channel struct {
	Name    string // in the file, without its unit
	Unit    string // in the file; empty when none is written
	Nth     int    // 1, or 2 and more for further columns of that name and unit
	Meaning string // the word that conditions and checks use: "coolant"; empty: not to be used
	In      string // unit in package quantity; empty when it is not known
	Guess   string // why Meaning or In was guessed; empty when a person settled it
}

// Mapping is what the columns of a source mean. It is kept as text and used
// again for every file of the same logger; see ReadMapping.
type Mapping struct {
	Source   string // Signature of the format that it was made for
	Channels []Channel
}

// Signature tells one source from another by the names and units of its
// columns in their order: sixteen hexadecimal digits (FNV-1a, 64 bit).
func (f *Format) Signature() string {
	h := fnv.New64a()
	for _, c := range f.Columns {
		fmt.Fprintf(h, "%s\x00%s\x00", c.Name, c.Unit)
	}
	return fmt.Sprintf("%016x", h.Sum64())
}

// String prints the mapping, one line for each channel:
//
//	source 1f2e3d4c5b6a7988
//	"ECT" [°C] -> coolant in °C
//	"RPM" -> speed in rpm; guess: "rpm" is written for speed
//	"Temp" [°C] (2) -> nothing
//
// ReadMapping reads it back to an equal Mapping.
func (m Mapping) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "source %s\n", m.Source)
	for _, c := range m.Channels {
		b.WriteString(c.label())
		b.WriteString(" -> ")
		b.WriteString(plain(c.Meaning, "nothing"))
		if c.In != "" {
			b.WriteString(" in " + c.In)
		}
		if c.Guess != "" {
			b.WriteString("; guess: " + strings.Join(strings.Fields(c.Guess), " "))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func (c Channel) label() string {
	s := strconv.Quote(c.Name)
	if c.Unit != "" {
		s += " [" + plain(c.Unit, "") + "]"
	}
	if c.Nth > 1 {
		s += fmt.Sprintf(" (%d)", c.Nth)
	}
	return s
}

// plain prints a word as it is, or quoted when reading it back would not give
// the same; empty is what stands for no word.
func plain(s, empty string) string {
	if s == "" {
		return empty
	}
	if s == empty || strings.ContainsAny(s, "\";[]()\\") || strings.Contains(s, " in ") || s != strings.Join(strings.Fields(s), " ") || strconv.Quote(s) != `"`+s+`"` {
		return strconv.Quote(s)
	}
	return s
}

// value returns a number of the channel with its unit.
func (c Channel) value(number float64) quantity.Value {
	if c.In == "" {
		return quantity.Value{}
	}
	return quantity.Of(rounded(number), c.In)
}

const expectChannel = `a line like "ECT" [°C] -> coolant in °C, or one ending in -> nothing`

// ReadMapping reads what Mapping.String prints. The error is a span.List with
// every line that cannot be read.
func ReadMapping(text string) (Mapping, error) {
	var m Mapping
	var list span.List
	for i, l := range strings.Split(text, "\n") {
		l = strings.TrimSpace(l)
		if l == "" {
			continue
		}
		if source, ok := strings.CutPrefix(l, "source "); ok && m.Source == "" {
			m.Source = strings.TrimSpace(source)
			continue
		}
		c, says := readChannel(l)
		if says != "" {
			list = append(list, span.Finding{Pos: span.Pos{Line: i + 1, Col: 1}, Rule: "channel", Text: short(l), Says: says, Expect: expectChannel})
			continue
		}
		m.Channels = append(m.Channels, c)
	}
	if m.Source == "" {
		list = append(list, span.Finding{Pos: span.Pos{Line: 1, Col: 1}, Rule: "source", Says: "there is no line that names the source", Expect: "source and sixteen digits"})
	}
	if len(list) > 0 {
		list.Sort()
		return Mapping{}, list
	}
	return m, nil
}

func readChannel(l string) (c Channel, says string) {
	c.Nth = 1
	quoted, err := strconv.QuotedPrefix(l)
	if err != nil {
		return c, "the line does not begin with a name in quotes"
	}
	c.Name, _ = strconv.Unquote(quoted)
	rest := strings.TrimSpace(l[len(quoted):])
	if strings.HasPrefix(rest, "[") {
		unit, after, ok := word1(rest[1:], "]")
		if !ok {
			return c, "the bracket of the unit is not closed"
		}
		c.Unit, rest = unit, strings.TrimSpace(after)
	}
	if inside, after, ok := strings.Cut(rest, ")"); ok && strings.HasPrefix(rest, "(") {
		if c.Nth, err = strconv.Atoi(inside[1:]); err != nil || c.Nth < 1 {
			return c, "the number in brackets is no whole number from 1"
		}
		rest = strings.TrimSpace(after)
	}
	rest, ok := strings.CutPrefix(rest, "->")
	if !ok {
		return c, "there is no arrow behind the name"
	}
	return c, c.readMeaning(strings.TrimSpace(rest))
}

// word1 reads a plain or quoted word up to a mark.
func word1(s, mark string) (w, after string, ok bool) {
	if quoted, err := strconv.QuotedPrefix(s); err == nil {
		w, _ = strconv.Unquote(quoted)
		after, ok = strings.CutPrefix(s[len(quoted):], mark)
		return w, after, ok
	}
	w, after, ok = strings.Cut(s, mark)
	return w, after, ok
}

func (c *Channel) readMeaning(s string) (says string) {
	if quoted, err := strconv.QuotedPrefix(s); err == nil {
		c.Meaning, _ = strconv.Unquote(quoted)
		s = s[len(quoted):]
		if s != "" && s[0] != ' ' && s[0] != ';' {
			return "something stands right behind the quoted meaning"
		}
	} else {
		end := len(s)
		for _, mark := range []string{" in ", ";"} {
			if at := strings.Index(s, mark); at >= 0 {
				end = min(end, at)
			}
		}
		c.Meaning, s = strings.TrimSpace(s[:end]), s[end:]
		if c.Meaning == "" {
			return "no meaning stands behind the arrow"
		}
		if c.Meaning == "nothing" {
			c.Meaning = ""
		}
	}
	s = strings.TrimSpace(s)
	if rest, ok := strings.CutPrefix(s, "in "); ok {
		unit, after, _ := strings.Cut(rest, ";")
		c.In = unitOf(strings.TrimSpace(unit), "")
		if c.In == "" {
			return fmt.Sprintf("the unit %q is not known", strings.TrimSpace(unit))
		}
		if s = strings.TrimSpace(after); s == "" {
			return ""
		}
	} else if s != "" {
		s = strings.TrimSpace(strings.TrimPrefix(s, ";"))
	}
	if s == "" {
		return ""
	}
	guess, ok := strings.CutPrefix(s, "guess:")
	if !ok || strings.TrimSpace(guess) == "" {
		return "what stands behind the meaning is neither a unit nor a guess"
	}
	c.Guess = strings.Join(strings.Fields(guess), " ")
	return ""
}

// Map gives every column of numbers of a format its channel: as remembered
// where a column of the same name and unit was settled, a marked guess where
// the name suggests a meaning, and no meaning otherwise. Subjects are the
// words that conditions use.
func Map(f *Format, remembered Mapping, subjects []string) Mapping {
	m := Mapping{Source: f.Signature()}
	for i, c := range f.Columns {
		if i == f.Clock.Column || c.Sort == Words || c.Sort == Times {
			continue
		}
		at := slices.IndexFunc(remembered.Channels, func(r Channel) bool { return r.Name == c.Name && r.Unit == c.Unit && r.Nth == c.Nth })
		if at >= 0 && remembered.Channels[at].Guess == "" {
			m.Channels = append(m.Channels, remembered.Channels[at])
			continue
		}
		m.Channels = append(m.Channels, suggest(c, subjects))
	}
	return m
}

// Settle says that a person confirmed a channel, with its meaning and unit.
func (m *Mapping) Settle(name, unit string, nth int, meaning, in string) error {
	if in != "" {
		if _, err := quantity.Parse("1 " + in); err != nil {
			return fmt.Errorf("the unit of %q: %w", name, err)
		}
	}
	for i := range m.Channels {
		c := &m.Channels[i]
		if c.Name == name && c.Unit == unit && c.Nth == max(nth, 1) {
			c.Meaning, c.In, c.Guess = meaning, in, ""
			return nil
		}
	}
	return fmt.Errorf("the recording has no channel %q", name)
}

// Find returns the channel that a word means. When several could be meant and
// none is settled, it returns none and says which.
func (m Mapping) Find(meaning string) (Channel, bool, []string) {
	var settled, guessed []Channel
	for _, c := range m.Channels {
		if !strings.EqualFold(c.Meaning, meaning) || meaning == "" {
			continue
		}
		if c.Guess == "" {
			settled = append(settled, c)
		} else {
			guessed = append(guessed, c)
		}
	}
	found := settled
	if len(found) == 0 {
		found = guessed
	}
	if len(found) == 1 {
		return found[0], true, nil
	}
	var several []string
	for _, c := range found {
		several = append(several, c.label())
	}
	return Channel{}, false, several
}

// column returns the index of a channel's column, -1 when the format has none.
func (f *Format) column(c Channel) int {
	return slices.IndexFunc(f.Columns, func(k Column) bool { return k.Name == c.Name && k.Unit == c.Unit && k.Nth == c.Nth })
}
