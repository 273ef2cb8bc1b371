package transcript

import (
	"fmt"
	"strings"
	"time"
	"unicode"
)

// readCaptions reads the cues of WebVTT and SubRip.
func (s *source) readCaptions(form Form) []Cue {
	var cues []Cue
	i := 0
	if form == WebVTT {
		for i < len(s.lines) && strings.TrimSpace(s.lines[i]) != "" {
			i++
		}
	}
	for i < len(s.lines) {
		block := i
		for i < len(s.lines) && strings.TrimSpace(s.lines[i]) != "" {
			i++
		}
		if block < i {
			cues = s.readBlock(cues, form, block, i)
		}
		i++
	}
	return cues
}

// readBlock reads the lines between two empty ones.
func (s *source) readBlock(cues []Cue, form Form, from, to int) []Cue {
	first := strings.TrimSpace(s.lines[from])
	if form == WebVTT && (first == "STYLE" || first == "REGION" || first == "NOTE" || strings.HasPrefix(first, "NOTE ")) {
		return cues
	}
	at := from
	for at < to && !strings.Contains(s.lines[at], "-->") {
		at++
	}
	if at == to {
		return s.strayLines(cues, from, to)
	}
	if at > from+1 { // more than the number of the cue stands above its time
		cues = s.strayLines(cues, from, at-1)
	}
	c := Cue{}
	c.Start, c.End, c.Timed = s.readTiming(at)
	for line := at + 1; line < to; line++ {
		if strings.Contains(s.lines[line], "-->") { // a time without an empty line above it
			cues = kept(cues, c)
			return s.readBlock(cues, form, line, to)
		}
		s.captionLine(&c, line)
	}
	return kept(cues, c)
}

func kept(cues []Cue, c Cue) []Cue {
	if strings.TrimSpace(c.Text) == "" {
		return cues
	}
	return append(cues, c)
}

// strayLines keeps words that stand outside any cue: they belong to the cue
// before, or make one without a time.
func (s *source) strayLines(cues []Cue, from, to int) []Cue {
	s.warn(s.pos(from, 0), "time", "words without a time", strings.TrimSpace(s.lines[from]), "they are read with the words above")
	if len(cues) == 0 {
		cues = append(cues, Cue{})
	}
	for line := from; line < to; line++ {
		s.captionLine(&cues[len(cues)-1], line)
	}
	return cues
}

// readTiming reads "00:00:03.000 --> 00:00:12,000 settings".
func (s *source) readTiming(line int) (start, end time.Duration, ok bool) {
	left, right, _ := strings.Cut(s.lines[line], "-->")
	start, okStart := clockTime(strings.TrimSpace(left))
	right, _, _ = strings.Cut(strings.TrimSpace(right), " ")
	end, okEnd := clockTime(right)
	switch {
	case !okStart || !okEnd:
		s.warn(s.pos(line, 0), "time", "not a time", strings.TrimSpace(s.lines[line]), "write 00:00:03.000 --> 00:00:12.000; the words are kept")
		return start, max(start, end), okStart
	case end < start:
		s.warn(s.pos(line, 0), "time", fmt.Sprintf("ends at %s before it begins at %s", Clock(end), Clock(start)), "", "the begin is used")
		return start, start, true
	}
	return start, end, true
}

// clockTime reads "1:02:03.500", "02:03,5" or "33".
func clockTime(text string) (time.Duration, bool) {
	whole, part, _ := strings.Cut(strings.ReplaceAll(text, ",", "."), ".")
	fields := strings.Split(whole, ":")
	if len(fields) > 3 || len(part) > 9 {
		return 0, false
	}
	var d time.Duration
	for _, f := range fields {
		n, ok := natural(f)
		if !ok || n > 99999 {
			return 0, false
		}
		d = d*60 + time.Duration(n)*time.Second
	}
	if part != "" {
		n, ok := natural((part + "000000000")[:9])
		if !ok {
			return 0, false
		}
		d += time.Duration(n)
	}
	return d, true
}

func natural(s string) (int, bool) {
	if s == "" || len(s) > 9 {
		return 0, false
	}
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' {
			return 0, false
		}
		n = n*10 + int(r-'0')
	}
	return n, true
}

// captionLine adds a line to a cue without its tags.
func (s *source) captionLine(c *Cue, line int) {
	text := s.lines[line]
	if c.Text != "" {
		c.add("\n", s.pos(line, 0))
	}
	for at := 0; at < len(text); {
		n, shown, voice := markup(text[at:])
		if voice != "" && c.Speaker == "" {
			c.Speaker = voice
		}
		if n > 0 {
			if shown != "" {
				c.add(shown, s.pos(line, at))
			}
			at += n
			continue
		}
		end := at + 1
		for end < len(text) && text[end] != '<' && text[end] != '&' {
			end++
		}
		c.add(text[at:end], s.pos(line, at))
		at = end
	}
}

// entities are the character references of WebVTT.
var entities = []struct{ name, is string }{
	{"&amp;", "&"}, {"&lt;", "<"}, {"&gt;", ">"}, {"&nbsp;", " "}, {"&lrm;", ""}, {"&rlm;", ""}, {"&#39;", "'"}, {"&quot;", "\""},
}

// markup reads a tag or a character reference at the begin of a text: how many
// bytes it takes, what is shown of it, and the speaker of a voice tag.
func markup(text string) (n int, shown, voice string) {
	for _, e := range entities {
		if strings.HasPrefix(text, e.name) {
			return len(e.name), e.is, ""
		}
	}
	end := strings.IndexByte(text, '>')
	if len(text) < 3 || text[0] != '<' || end < 0 || !(text[1] == '/' || unicode.IsLetter(rune(text[1])) || unicode.IsDigit(rune(text[1]))) {
		return 0, "", ""
	}
	name, rest, _ := strings.Cut(text[1:end], " ")
	if name == "v" || strings.HasPrefix(name, "v.") {
		voice = strings.TrimSpace(rest)
	}
	return end + 1, "", voice
}

// bracketTime reads a time at the begin of a line, "[0:02]", "(1:02:03)" or
// "0:02 ", and returns how many bytes it takes.
func bracketTime(line string) (time.Duration, int) {
	if line == "" {
		return 0, 0
	}
	end, skip := 0, 0
	switch line[0] {
	case '[':
		end, skip = strings.IndexByte(line, ']'), 1
	case '(':
		end, skip = strings.IndexByte(line, ')'), 1
	default:
		end = strings.IndexAny(line, " \t")
	}
	if end < 0 || end > 16 || !strings.Contains(line[:end], ":") {
		return 0, 0
	}
	d, ok := clockTime(line[skip:end])
	if !ok {
		return 0, 0
	}
	return d, end + skip
}

// readBracketed reads lines that begin with a time; a line without one goes on
// with the line above.
func (s *source) readBracketed() []Cue {
	var cues []Cue
	for i, l := range s.lines {
		indent := len(l) - len(strings.TrimLeft(l, " \t"))
		d, n := bracketTime(l[indent:])
		text := strings.TrimSpace(l[indent+n:])
		switch {
		case text == "" && n == 0:
			continue
		case n == 0 && len(cues) > 0:
			c := &cues[len(cues)-1]
			c.add("\n", s.pos(i, indent))
			c.add(text, s.pos(i, indent))
			continue
		case n == 0:
			s.warn(s.pos(i, indent), "time", "words before the first time", text, "they are read without a time")
		}
		c := Cue{Start: d, End: d, Timed: n > 0}
		c.add(text, s.pos(i, indent+n+strings.Index(l[indent+n:], text)))
		cues = kept(cues, c)
	}
	for i := range cues {
		if i+1 < len(cues) && cues[i].Timed && cues[i+1].Start > cues[i].Start {
			cues[i].End = cues[i+1].Start
		}
	}
	return cues
}

// mostLabel is the longest name of a speaker, in bytes.
const mostLabel = 24

// label returns the name before a colon at the begin of a text and where the
// words after it begin.
func label(text string) (string, int) {
	at := strings.IndexByte(text, ':')
	if at <= 0 || at > mostLabel || at+1 >= len(text) || text[at+1] != ' ' {
		return "", 0
	}
	name := strings.TrimSpace(text[:at])
	for i, r := range name {
		if i == 0 && !unicode.IsUpper(r) || !(unicode.IsLetter(r) || r == ' ' || r == '.' || r == '-' || unicode.IsDigit(r)) {
			return "", 0
		}
	}
	return name, at + 1 + len(text[at+1:]) - len(strings.TrimLeft(text[at+1:], " "))
}

// nameSpeakers moves names before a colon from the words to the speaker, when
// the names that come more than once open most of the cues.
func nameSpeakers(cues []Cue) {
	count := map[string]int{}
	for i := range cues {
		if name, n := label(cues[i].Text); n > 0 {
			count[name]++
		}
	}
	open := 0
	for _, n := range count {
		if n > 1 {
			open += n
		}
	}
	if open*10 < len(cues)*6 {
		return
	}
	for i := range cues {
		c := &cues[i]
		name, n := label(c.Text)
		if n == 0 || count[name] < 2 {
			continue
		}
		c.Speaker = name
		pos := c.At(n)
		rest := Cue{}
		rest.add(c.Text[n:], pos)
		for _, p := range c.pieces {
			if p.from > n {
				rest.pieces = append(rest.pieces, piece{p.from - n, p.pos})
			}
		}
		c.Text, c.pieces = rest.Text, rest.pieces
	}
}
