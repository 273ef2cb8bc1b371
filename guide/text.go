package guide

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// FormError is one thing wrong in the text of a short form.
type FormError struct {
	Offset int      // bytes from the start of the text
	Field  string   // yaml name of the field concerned, where it is known
	Text   string   // the offending piece
	Says   string   // what is wrong
	Expect string   // what was expected
	Known  []string // words that would have been right, to look for the nearest
}

// Error implements error.
func (e FormError) Error() string {
	s := e.Says
	if e.Text != "" {
		s += ": " + strconv.Quote(e.Text)
	}
	if e.Expect != "" {
		s += "; expected " + e.Expect
	}
	return s
}

// FormErrors is everything that is wrong in one text, in the order of the text.
type FormErrors []FormError

// Error implements error: one line per fault.
func (es FormErrors) Error() string {
	lines := make([]string, len(es))
	for i, e := range es {
		lines[i] = e.Error()
	}
	return strings.Join(lines, "\n")
}

// orNil returns es as an error, nil when there is none.
func (es FormErrors) orNil() error {
	if len(es) == 0 {
		return nil
	}
	return es
}

// Parse reads the short form of any type of this package that has one:
//
//	way, err := guide.Parse[guide.Way]("off from top; needs PN01; 10/14 min")
//
// Every error is a FormErrors. A text that reads without error may still be
// incomplete (a way without minutes); Complete of the type says so.
func Parse[T any, P interface {
	*T
	ReadShort(text string) error
}](text string) (T, error) {
	var v T
	if err := P(&v).ReadShort(text); err != nil {
		var zero T
		return zero, err
	}
	return v, nil
}

// Check returns an error when the ID is not a letter followed by letters,
// digits, '-' or '_'.
func (id ID) Check() error {
	if !isID(string(id)) {
		return FormErrors{{Text: string(id), Says: "not a name", Expect: expectID}}
	}
	return nil
}

const expectID = "a letter, then letters, digits, '-' or '_'"

// maxID is the longest name that is read; no person types a longer one.
const maxID = 64

func isID(s string) bool {
	if len(s) > maxID {
		return false
	}
	for i, c := range s {
		switch {
		case unicode.IsLetter(c):
		case i > 0 && (unicode.IsDigit(c) || c == '-' || c == '_' || unicode.IsMark(c)):
		default:
			return false
		}
	}
	return s != ""
}

// piece is a part of a text that knows where it began.
type piece struct {
	s   string
	off int
}

func whole(s string) piece { return piece{s, 0}.trim() }

func (p piece) trim() piece {
	left := strings.TrimLeftFunc(p.s, unicode.IsSpace)
	p.off += len(p.s) - len(left)
	p.s = strings.TrimRightFunc(left, unicode.IsSpace)
	return p
}

// split cuts at every sep and trims the parts.
func (p piece) split(sep string) []piece {
	var out []piece
	for {
		i := strings.Index(p.s, sep)
		if i < 0 {
			return append(out, p.trim())
		}
		out = append(out, piece{p.s[:i], p.off}.trim())
		p = piece{p.s[i+len(sep):], p.off + i + len(sep)}
	}
}

// words cuts at white space.
func (p piece) words() []piece {
	var out []piece
	for p = p.trim(); p.s != ""; {
		var w piece
		w, p = p.word()
		out = append(out, w)
	}
	return out
}

// word cuts off the first word.
func (p piece) word() (first, rest piece) {
	p = p.trim()
	i := strings.IndexFunc(p.s, unicode.IsSpace)
	if i < 0 {
		i = len(p.s)
	}
	return piece{p.s[:i], p.off}, piece{p.s[i:], p.off + i}.trim()
}

// after returns what follows a leading word, which must be followed by space.
func (p piece) after(word string) (piece, bool) {
	first, rest := p.word()
	return rest, first.s == word
}

func (p piece) errorf(says, expect string) FormErrors {
	return FormErrors{{Offset: p.off, Text: p.s, Says: says, Expect: expect}}
}

// shift moves errors found in a part of a text to where the part stands.
func shift(err error, off int) FormErrors {
	es, _ := err.(FormErrors)
	for i := range es {
		es[i].Offset += off
	}
	return es
}

func (p piece) id() (ID, FormErrors) {
	if p.s == "" {
		return "", p.errorf("a name is missing", expectID)
	}
	if !isID(p.s) {
		return "", p.errorf("not a name", expectID)
	}
	return ID(p.s), nil
}

func (p piece) ids() (ids []ID, errs FormErrors) {
	for _, w := range p.split(",") {
		id, e := w.id()
		ids, errs = append(ids, id), append(errs, e...)
	}
	return ids, errs
}

var decimal = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?$`)

// number reads a plain decimal number: no exponent, no leading zero.
func (p piece) number() (float64, FormErrors) {
	if !decimal.MatchString(p.s) {
		return 0, p.errorf("not a number", "a number like 12 or 12.5, without leading zeros")
	}
	f, err := strconv.ParseFloat(p.s, 64)
	if err != nil || math.Abs(f) > largest {
		return 0, p.errorf("number too large", "at most "+formatNumber(largest))
	}
	return f, nil
}

// largest is the largest number that a short form accepts, in any unit.
const largest = 1e12

// whole number between low and high.
func (p piece) count(low, high int) (int, FormErrors) {
	expect := "a whole number from " + strconv.Itoa(low) + " to " + strconv.Itoa(high)
	if !decimal.MatchString(p.s) {
		return 0, p.errorf("not a whole number", expect)
	}
	n, err := strconv.Atoi(p.s)
	if err != nil || n < low || n > high {
		return 0, p.errorf("out of range", expect)
	}
	return n, nil
}

func formatNumber(f float64) string {
	if f == 0 {
		return "0" // also for minus zero
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

// line builds the text of a short form and remembers whether the text says
// everything.
type line struct {
	b    strings.Builder
	sep  string
	part bool // something could not be said
}

func (l *line) add(words ...string) {
	if l.b.Len() > 0 {
		l.b.WriteString(l.sep)
	}
	for _, w := range words {
		l.b.WriteString(w)
	}
}

// text adds free words, which must survive reading: no character of stop.
func (l *line) text(keyword, words, stop string) {
	if words == "" {
		return
	}
	if !plain(words, stop) {
		l.part = true
		return
	}
	l.add(keyword, words)
}

// list adds "keyword a, b" when there is anything to list.
func list[T any](l *line, keyword string, vs []T, short func(T) (string, bool)) {
	if len(vs) == 0 {
		return
	}
	words := make([]string, len(vs))
	for i, v := range vs {
		s, ok := short(v)
		if !ok || s == "" {
			l.part = true
			return
		}
		words[i] = s
	}
	l.add(keyword, strings.Join(words, ", "))
}

func (l *line) done() (string, bool) { return l.b.String(), !l.part }

// plain reports whether words read back unchanged between separators.
func plain(words, stop string) bool {
	if words == "" || strings.TrimFunc(words, unicode.IsSpace) != words || !utf8.ValidString(words) {
		return false
	}
	return !strings.ContainsAny(words, stop) && !strings.ContainsFunc(words, unicode.IsControl)
}

func shortID(id ID) (string, bool) { return string(id), isID(string(id)) }

// shorter is what has a short form of its own.
type shorter interface{ Short() (string, bool) }

func shortOf[T shorter](v T) (string, bool) { return v.Short() }
