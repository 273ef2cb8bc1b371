package dump

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"elbowroom/codes"
	"elbowroom/quantity"
	"elbowroom/span"
)

// mention is a code in a line, at bytes [from, to).
type mention struct {
	from, to, col int
	code          codes.Full
}

// isWord reports whether a character belongs to a word.
func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' }

// words calls f with the bytes [from, to) of every word of a line, and the
// column of its first character.
func words(text string, f func(from, to, col int)) {
	from, begin, col := -1, 0, 0
	for i, c := range text {
		col++
		switch w := isWord(c); {
		case w && from < 0:
			from, begin = i, col
		case !w && from >= 0:
			f(from, i, begin)
			from = -1
		}
	}
	if from >= 0 {
		f(from, len(text), begin)
	}
}

// Lengths of codes as words, in characters.
const (
	codeWord  = 5 // P0327
	typedWord = 7 // P03271C
)

// mentions finds the codes of a line, and notes words that are one but for
// look-alikes of digits.
func (r *reader) mentions(text string, line int) (found []mention, doubted bool) {
	words(text, func(from, to, col int) {
		w := text[from:to]
		n := utf8.RuneCountInString(w)
		if n != codeWord && n != typedWord && !(n == 6 && strings.HasPrefix(w, "0x")) {
			return
		}
		if c, _ := utf8.DecodeRuneInString(w); !unicode.IsLetter(c) && !strings.HasPrefix(w, "0x") {
			return
		}
		full, err := codes.Parse(w)
		if err != nil {
			doubted = r.doubt(w, err, line, col) || doubted
			return
		}
		m := mention{from, to, col, full}
		if !full.Typed && !(from > 0 && text[from-1] == '-') {
			m.takeType(text)
		}
		found = append(found, m)
	})
	for i := 1; i < len(found); i++ {
		if between := strings.TrimSpace(text[found[i-1].to:found[i].from]); between == "-" || between == "–" {
			r.find(span.Warning, ruleContent, line, found[i-1].col, text[found[i-1].from:found[i].to],
				"this is a family of codes; a reader lists single ones, and only its two ends are taken", "write the codes that were read")
		}
	}
	return found, doubted
}

// doubt reports a word that is a code but for look-alikes.
func (r *reader) doubt(w string, err error, line, col int) bool {
	digits := 0
	for _, c := range w {
		if c >= '0' && c <= '9' {
			digits++
		}
	}
	list := codes.Findings(err, r.pos(line, col))
	near := false
	for _, f := range list {
		near = near || len(f.Nearest) > 0
	}
	if digits < 2 || !near {
		return false
	}
	r.out.Findings = append(r.out.Findings, list...)
	return true
}

// takeType takes the failure type directly behind a code, "-1C" or ":1C".
func (m *mention) takeType(text string) {
	rest := text[m.to:]
	if len(rest) < 3 || rest[0] != '-' && rest[0] != ':' {
		return
	}
	if after, _ := utf8.DecodeRuneInString(rest[3:]); len(rest) > 3 && isWord(after) {
		return
	}
	if f, err := codes.Parse(text[m.from : m.to+3]); err == nil {
		m.code, m.to = f, m.to+3
	}
}

// listed reads a line with codes.
func (r *reader) listed(text string, line int) bool {
	found, doubted := r.mentions(text, line)
	if len(found) == 0 {
		if doubted {
			r.unread(text, line)
		}
		return doubted
	}
	for i, m := range found {
		end := len(text)
		if i+1 < len(found) {
			end = found[i+1].from
		}
		beside := text[m.to:end]
		if i == 0 {
			beside = text[:m.from] + " " + beside
		}
		s := codes.Seen{Code: m.code, Unit: r.unit, Memory: r.memory, Pos: r.pos(line, m.col)}
		if r.frozen {
			s.Memory = codes.Frozen
		}
		r.beside(&s, beside, line)
		r.out.Codes = append(r.out.Codes, s)
	}
	r.last = len(r.out.Codes) - 1
	return true
}

// memoryWords are the words for where a code is stored.
var memoryWords = map[string]codes.Memory{
	"stored": codes.Stored, "confirmed": codes.Stored, "pending": codes.Waiting, "permanent": codes.Permanent,
}

// fields splits what stands beside a code.
func fields(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune("\t;|,()[]\"", r) })
}

// beside takes what stands beside a code: where it is stored, its status, the
// distance, how often. The text is kept as it is in any case.
func (r *reader) beside(s *codes.Seen, text string, line int) {
	s.Words = strings.Join(strings.Fields(strings.Trim(text, " \t-–:;,|*•.#")), " ")
	found := map[codes.Memory]bool{}
	lower := strings.ToLower(text)
	before := ""
	words(lower, func(from, to, _ int) {
		w := lower[from:to]
		if m, ok := memoryWords[w]; ok && before != "not" {
			found[m] = true
		}
		before = w
	})
	if len(found) == 1 && s.Memory != codes.Frozen {
		for m := range found {
			s.Memory = m
		}
	}
	for _, part := range fields(text) {
		r.mark(s, part, line)
	}
}

// mark reads one part of what stands beside or below a code, and reports
// whether it was understood.
func (r *reader) mark(s *codes.Seen, part string, line int) bool {
	name, rest := cut(part)
	low := strings.ToLower(name)
	switch {
	case strings.HasSuffix(low, "status") || strings.HasSuffix(low, "status byte"):
		if b, ok := status(rest); ok {
			s.Status, s.HasStatus = b, true
			if s.Memory == codes.Unsaid {
				s.Memory = codes.Reported
			}
			return true
		}
	case isDistance(low) || low == "" || strings.HasSuffix(low, " at") || low == "at":
		if r.distance(s, rest, line) {
			return true
		}
	case isTimes(low):
		if n, err := strconv.Atoi(strings.TrimSpace(rest)); err == nil && n >= 0 {
			s.Times = n
			return true
		}
	}
	if w := strings.Fields(part); len(w) == 2 && isTimes(strings.ToLower(w[1])) {
		if n, err := strconv.Atoi(w[0]); err == nil && n >= 0 {
			s.Times = n
			return true
		}
	}
	return false
}

// distance takes a distance driven.
func (r *reader) distance(s *codes.Seen, text string, line int) bool {
	v, q, ok := measured(text)
	if !ok || q == nil && v.Dimension() != quantity.Distance {
		return false
	}
	if q != nil {
		if low := strings.ToLower(text); strings.Contains(low, "km") || strings.Contains(low, "mi") {
			r.find(span.Error, ruleNumber, line, 1, clip(strings.TrimSpace(text)), q.says, q.do)
			return true
		}
		return false
	}
	s.Distance = v
	return true
}

// cut splits "name: rest", "name = rest" or "name 123 km" in front of the
// figure.
func cut(part string) (name, rest string) {
	part = strings.TrimSpace(part)
	if i := strings.IndexAny(part, ":="); i >= 0 {
		return strings.TrimSpace(part[:i]), strings.TrimSpace(part[i+1:])
	}
	if i := strings.IndexFunc(part, unicode.IsDigit); i >= 0 {
		return strings.TrimSpace(part[:i]), part[i:]
	}
	return part, ""
}

// status reads a status byte: two hexadecimal digits, with or without 0x.
func status(s string) (codes.Status, bool) {
	s = strings.TrimPrefix(strings.TrimPrefix(strings.TrimSpace(s), "0x"), "0X")
	if len(s) != 2 {
		return 0, false
	}
	n, err := strconv.ParseUint(s, 16, 8)
	return codes.Status(n), err == nil
}

func isDistance(name string) bool {
	switch strings.TrimSuffix(name, " reading") {
	case "odometer", "mileage", "distance", "km", "km stand", "first seen", "last seen":
		return true
	}
	return false
}

func isTimes(name string) bool {
	switch name {
	case "times", "occurrences", "occurrence", "occurred", "count", "counter", "occurrence counter", "fault counter", "seen":
		return true
	}
	return false
}
