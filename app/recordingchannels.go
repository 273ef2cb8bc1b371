package app

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading/record"
	"elbowroom/span"
)

// book keeps the mappings of several sources, each once.
type book []record.Mapping

// sourceLine begins the mapping of one source.
const sourceLine = "source "

// readBook reads what String prints. The error wraps ErrInput, with a
// span.List of every line that cannot be read.
func readBook(text string) (book, error) {
	var b book
	var list span.List
	lines := strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n")
	for from := 0; from < len(lines); {
		to := from + 1
		for to < len(lines) && !strings.HasPrefix(strings.TrimSpace(lines[to]), sourceLine) {
			to++
		}
		part := strings.Join(lines[from:to], "\n")
		if strings.TrimSpace(part) != "" {
			m, err := record.ReadMapping(part)
			if more, ok := err.(span.List); ok {
				for _, f := range more {
					f.Pos.File, f.Pos.Line = "channels", f.Pos.Line+from
					list = append(list, f)
				}
			}
			b = b.with(m)
		}
		from = to
	}
	if len(list) > 0 {
		return nil, fmt.Errorf("%w: what was settled of the channels:\n%w", ErrInput, list)
	}
	return b, nil
}

// String prints the sources, one empty line between them.
func (b book) String() string {
	var parts []string
	for _, m := range b {
		parts = append(parts, m.String())
	}
	return strings.Join(parts, "\n")
}

// of returns what is settled of a source.
func (b book) of(source string) record.Mapping {
	if i := slices.IndexFunc(b, func(m record.Mapping) bool { return m.Source == source }); i >= 0 {
		return b[i]
	}
	return record.Mapping{Source: source}
}

// with returns the book with the mapping of a source put in or replaced.
func (b book) with(m record.Mapping) book {
	out := slices.Clone(b)
	if i := slices.IndexFunc(out, func(k record.Mapping) bool { return k.Source == m.Source }); i >= 0 {
		out[i] = m
		return out
	}
	return append(out, m)
}

// elsewhere returns what a channel of that name and unit is in every other
// source that has it settled; ok is false when they differ or none has it.
func (b book) elsewhere(source string, c record.Channel) (found record.Channel, ok bool) {
	for _, m := range b {
		if m.Source == source {
			continue
		}
		for _, k := range m.Channels {
			if k.Guess != "" || k.Name != c.Name || k.Unit != c.Unit || k.Nth != c.Nth {
				continue
			}
			if ok && k != found {
				return record.Channel{}, false
			}
			found, ok = k, true
		}
	}
	return found, ok
}

// settledChannel is what a person says of a channel.
type settledChannel struct {
	text        string
	name, unit  string
	anyUnit     bool // no unit was said
	nth         int  // 0: not said
	meaning, in string
	used        bool // a channel of that name was there
}

const expectSettled = `the name in the file, =, what it is and its unit, such as "ECT = coolant °C", or "ECT = nothing"`

// readSettled reads "ECT = coolant °C". The error wraps ErrInput.
func readSettled(texts []string) ([]settledChannel, error) {
	var all []settledChannel
	var list span.List
	for i, text := range texts {
		if strings.TrimSpace(text) == "" {
			continue
		}
		c, says := settledOf(strings.TrimSpace(text))
		if says != "" || len(text) > maxEntry {
			list = append(list, span.Finding{Pos: span.Pos{Line: i + 1, Col: 1}, Rule: "channel", Text: text[:min(len(text), maxEntry)], Says: says, Expect: expectSettled})
			continue
		}
		all = append(all, c)
	}
	if len(list) > 0 {
		return nil, fmt.Errorf("%w: channels:\n%w", ErrInput, placed(list, "channel"))
	}
	return all, nil
}

func settledOf(text string) (c settledChannel, says string) {
	c.text = text
	name, is, ok := cutChannel(text)
	if !ok {
		return c, "there is no = between the channel and what it is"
	}
	if c.name, c.unit, c.nth, says = channelName(name); says != "" {
		return c, says
	}
	c.anyUnit = c.unit == ""
	is = strings.TrimSpace(is)
	if is == "" {
		return c, "nothing stands behind the ="
	}
	c.meaning, c.in = meaningAndUnit(is)
	if strings.EqualFold(c.meaning, "nothing") {
		c.meaning, c.in = "", ""
	}
	return c, ""
}

// cutChannel parts a text at its =, which may also stand inside quotes.
func cutChannel(text string) (name, is string, ok bool) {
	quoted, err := strconv.QuotedPrefix(text)
	if err != nil {
		return strings.Cut(text, "=")
	}
	rest, is, ok := strings.Cut(text[len(quoted):], "=")
	return quoted + rest, is, ok
}

// channelName reads `ECT`, `"ECT" [°C]` and `Temp [°C] (2)`.
func channelName(s string) (name, unit string, nth int, says string) {
	s = strings.TrimSpace(s)
	if open := strings.LastIndexByte(s, '('); open > 0 && strings.HasSuffix(s, ")") {
		if n, err := strconv.Atoi(s[open+1 : len(s)-1]); err == nil && n > 0 {
			nth, s = n, strings.TrimSpace(s[:open])
		}
	}
	if open := strings.LastIndexByte(s, '['); open > 0 && strings.HasSuffix(s, "]") {
		unit, s = strings.TrimSpace(s[open+1:len(s)-1]), strings.TrimSpace(s[:open])
	}
	if unquoted, err := strconv.Unquote(s); err == nil {
		s = unquoted
	}
	if s == "" {
		return "", "", 0, "no name stands before the ="
	}
	return s, unit, nth, ""
}

// meaningAndUnit parts "coolant °C" and "coolant in °C". A lone word is never
// a unit.
func meaningAndUnit(s string) (meaning, unit string) {
	words := strings.Fields(s)
	if n := len(words); n > 1 {
		if v, err := quantity.Parse("1 " + words[n-1]); err == nil {
			unit, words = v.Unit, words[:n-1]
		}
	}
	if n := len(words); unit != "" && n > 1 && words[n-1] == "in" {
		words = words[:n-1]
	}
	return strings.Join(words, " "), unit
}

// channels maps the columns of a file: as settled before, as said now, and
// guesses for the rest. What was settled goes into the book.
func (u *recorder) channels(f *record.Format, file string, subjects []string) (record.Mapping, error) {
	source := f.Signature()
	m := record.Map(f, u.book.of(source), subjects)
	for i, c := range m.Channels {
		if k, ok := u.book.elsewhere(source, c); ok && c.Guess != "" {
			m.Channels[i].Meaning, m.Channels[i].In = k.Meaning, k.In
			m.Channels[i].Guess = "settled so for another source, which has other columns"
		}
	}
	for i := range u.settled {
		s := &u.settled[i]
		err := s.apply(&m, file)
		s.used = s.used || err == nil
		switch {
		case err == nil:
		case errors.Is(err, errNoChannel) && u.q.After != nil:
			// it may be one of the other recording
		default:
			return m, err
		}
	}
	u.book = u.book.with(m)
	return m, nil
}

// errNoChannel is wrapped when a file has no channel of a name.
var errNoChannel = errors.New("no such channel")

// unused is the error about something said of a channel that no file has.
func (u *recorder) unused() error {
	for _, s := range u.settled {
		if !s.used {
			return fmt.Errorf("%w: channel %q: no recording has a channel of that name", ErrInput, s.text)
		}
	}
	return nil
}

// apply settles the one channel that is meant.
func (s settledChannel) apply(m *record.Mapping, file string) error {
	var found []record.Channel
	var known []string
	for _, c := range m.Channels {
		known = append(known, c.Name)
		if c.Name == s.name && (s.anyUnit || c.Unit == s.unit) && (s.nth == 0 || c.Nth == s.nth) {
			found = append(found, c)
		}
	}
	switch len(found) {
	case 1:
	case 0:
		near := span.Nearest(s.name, known)
		if len(near) == 0 {
			near = known[:min(len(known), mostKnown)]
		}
		return fmt.Errorf("%w: channel %q: %w: %s has none of that name; near: %s", ErrInput, s.text, errNoChannel, file, join(near))
	default:
		return fmt.Errorf("%w: channel %q: %s has %d of that name; write the unit or the number too, as in \"%s [%s] (%d) = ...\"", ErrInput, s.text, file, len(found), s.name, found[1].Unit, found[1].Nth)
	}
	c := found[0]
	in := s.in
	if in == "" && s.meaning != "" {
		in = c.In
	}
	if err := m.Settle(c.Name, c.Unit, c.Nth, s.meaning, in); err != nil {
		return fmt.Errorf("%w: channel %q: %w", ErrInput, s.text, err)
	}
	return nil
}

// mostKnown bounds the names listed when none is near.
const mostKnown = 12

// subjects lists the words of numeric conditions of a guide, in its order.
func subjects(r *guide.Resolved) []string {
	var all []string
	add := func(list []guide.Clause) {
		for _, c := range list {
			if isNumeric(c) && !slices.ContainsFunc(all, func(s string) bool { return strings.EqualFold(s, c.Subject) }) {
				all = append(all, c.Subject)
			}
		}
	}
	for i := range r.Guide.Checks {
		add(r.Guide.Checks[i].When)
		for _, l := range r.Guide.Checks[i].Limits {
			add(l.When)
		}
	}
	return all
}

// isNumeric reports whether a condition is a number that a channel can tell;
// how long others hold is not one.
func isNumeric(c guide.Clause) bool {
	if c.Subject == "" || c.Low.Zero() && c.High.Zero() {
		return false
	}
	return !record.IsHold(c)
}
