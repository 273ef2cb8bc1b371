package codes

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"elbowroom/span"
)

// ErrForm is wrapped by every error of this package about a text.
var ErrForm = errors.New("not a trouble code")

// rule is the stable name of every finding of this package.
const rule = "code-form"

// Unclear is one thing that is wrong in a text, at a character.
type Unclear struct {
	Col     int    // counted from 1, in characters
	Text    string // the offending part
	Says    string
	Expect  string
	Nearest []string
	Do      string
}

// Malformed is the error of the parsers: everything that is wrong with a text.
// It wraps ErrForm.
type Malformed struct{ List span.List }

// Error prints one finding per line.
func (m *Malformed) Error() string { return m.List.Error() }

// Unwrap returns ErrForm.
func (m *Malformed) Unwrap() error { return ErrForm }

// Findings returns what an error of this package found, moved so that the
// first character of the parsed text stands at pos; nil for other errors.
func Findings(err error, pos span.Pos) span.List {
	var m *Malformed
	if !errors.As(err, &m) {
		return nil
	}
	list := make(span.List, len(m.List))
	for i, f := range m.List {
		f.Pos = span.Pos{File: pos.File, Line: pos.Line, Col: pos.Col + f.Pos.Col - 1}
		list[i] = f
	}
	return list
}

// one makes an error of one finding at a column.
func one(u Unclear, col int) error {
	u.Col = col
	return malformed([]Unclear{u})
}

func malformed(us []Unclear) error {
	m := &Malformed{}
	for _, u := range us {
		m.List = append(m.List, span.Finding{
			Pos: span.Pos{Line: 1, Col: u.Col}, Severity: span.Error, Rule: rule,
			Text: clip(u.Text), Says: u.Says, Expect: u.Expect, Nearest: u.Nearest, Do: u.Do,
		})
	}
	return m
}

// longestShown is how much of an offending text an error repeats, in
// characters.
const longestShown = 40

func clip(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	if utf8.RuneCountInString(s) <= longestShown {
		return s
	}
	return string([]rune(s)[:longestShown]) + "…"
}

// lookalike are characters that people and programs put where a digit belongs.
// They are never taken for it: the error names the code that would result.
var lookalike = map[rune]byte{'O': '0', 'o': '0', 'Q': '0', 'Ø': '0', 'О': '0', 'о': '0', 'I': '1', 'l': '1', '|': '1', 'i': '1', 'S': '5', 's': '5', 'Z': '2', 'z': '2', 'G': '6', 'g': '6'}

// foreign are letters of other alphabets that look like the first of a code.
var foreign = map[rune]byte{'Р': 'P', 'р': 'P', 'С': 'C', 'с': 'C', 'В': 'B', 'в': 'B', 'Ρ': 'P', 'ρ': 'P', 'Β': 'B', 'Ｐ': 'P', 'Ｃ': 'C', 'Ｂ': 'B', 'Ｕ': 'U'}

// digits behind the letter of a code, and with a failure type.
const (
	codeDigits = 4
	fullDigits = 6
)

// Parse reads a code as people type it: "P0327", "p0327", "P 0327", with a
// failure type "P0327-1C", "P0327:1C", "P0327 1C" or "P03271C", or the bytes as
// sent, "0x0327", "0x03271C". The error is a *Malformed, wraps ErrForm, and
// holds everything that is wrong; where only look-alikes stand in the way it
// names the code that was probably meant, but never takes it.
func Parse(text string) (Full, error) {
	runes := []rune(text)
	from, to := 0, len(runes)
	for from < to && unicode.IsSpace(runes[from]) {
		from++
	}
	for to > from && unicode.IsSpace(runes[to-1]) {
		to--
	}
	if from == to {
		return Full{}, one(Unclear{Says: "no code", Expect: "a code such as P0327"}, 1)
	}
	p := parser{runes: runes[from:to], off: from}
	if f, ok := p.bytes(); ok {
		return f, p.err()
	}
	return p.code()
}

// parser reads one trimmed text.
type parser struct {
	runes []rune
	off   int // characters in front of runes
	bad   []Unclear
}

func (p *parser) err() error {
	if len(p.bad) == 0 {
		return nil
	}
	return malformed(p.bad)
}

func (p *parser) fail(at int, u Unclear) {
	u.Col = p.off + at + 1
	p.bad = append(p.bad, u)
}

// bytes reads "0x0327"; false when the text does not begin so.
func (p *parser) bytes() (Full, bool) {
	if len(p.runes) < 2 || p.runes[0] != '0' || p.runes[1] != 'x' && p.runes[1] != 'X' {
		return Full{}, false
	}
	var hex []byte
	for i, r := range p.runes[2:] {
		switch {
		case isHex(r):
			hex = append(hex, byte(r))
		case r == ' ' || r == '_':
		default:
			p.fail(i+2, Unclear{Text: string(r), Says: "no hexadecimal digit", Expect: "0 to 9 or A to F"})
		}
	}
	if len(p.bad) == 0 && len(hex) != codeDigits && len(hex) != fullDigits {
		p.fail(0, Unclear{Text: string(p.runes), Says: "a code is two bytes, or three with its failure type", Expect: "0x0327 or 0x032700"})
	}
	if len(p.bad) > 0 {
		return Full{}, true
	}
	n, _ := strconv.ParseUint(string(hex), 16, 32)
	if len(hex) == codeDigits {
		return Full{Code: Code(n)}, true
	}
	return Full{Code: Code(n >> 8), Type: FailureType(n), Typed: true}, true
}

// code reads a letter, digits and perhaps a failure type.
func (p *parser) code() (Full, error) {
	letter, ok := p.letter()
	if !ok {
		return Full{}, p.err()
	}
	at := 1
	for at < len(p.runes) && p.runes[at] == ' ' {
		at++
	}
	end := at
	for end < len(p.runes) && !isBreak(p.runes[end]) {
		end++
	}
	digits := p.digits(letter, at, end)
	typed := p.failure(digits, end)
	if len(p.bad) > 0 {
		return Full{}, p.err()
	}
	n, err := strconv.ParseUint(digits[:codeDigits], 16, 16)
	if err != nil {
		return Full{}, one(Unclear{Text: string(p.runes), Says: "no code"}, p.off+1)
	}
	f := Full{Code: Code(strings.IndexByte(letters, letter))<<14 | Code(n)}
	if typed != "" {
		t, _ := strconv.ParseUint(typed, 16, 8)
		f.Type, f.Typed = FailureType(t), true
	}
	return f, nil
}

func isBreak(r rune) bool { return r == '-' || r == ':' || r == ' ' || r == '–' || r == '\t' }

// letter reads the first character.
func (p *parser) letter() (byte, bool) {
	r := p.runes[0]
	if up := unicode.ToUpper(r); up < utf8.RuneSelf && strings.ContainsRune(letters, up) {
		return byte(up), true
	}
	u := Unclear{Text: string(r), Says: "a code begins with P, C, B or U", Do: "write the letter; for two bytes as sent write 0x in front"}
	if want, ok := foreign[r]; ok {
		u.Says = "this letter of another alphabet only looks like " + string(rune(want))
		u.Do = "type it on a Latin keyboard"
		if s := string(p.runes[1:]); len(s) == codeDigits && strings.TrimFunc(s, isHex) == "" && s[0] < '4' {
			u.Nearest = []string{string(rune(want)) + strings.ToUpper(s)}
		}
	} else if s := string(p.runes); len(s) == codeDigits && strings.TrimFunc(s, isHex) == "" && s[0] < '4' {
		u.Text, u.Says, u.Nearest = s, "the letter in front is missing", []string{"P" + strings.ToUpper(s)}
	}
	p.fail(0, u)
	return 0, false
}

// digits reads what stands behind the letter; it returns text of the right
// length even when something was wrong.
func (p *parser) digits(letter byte, at, end int) string {
	var wrong []int
	hex := make([]byte, 0, fullDigits)
	sure := true // every wrong character looks like a digit
	for i := at; i < end; i++ {
		r := p.runes[i]
		want, alike := lookalike[r]
		switch {
		case isHex(r):
			hex = append(hex, byte(unicode.ToUpper(r)))
		case alike:
			hex, wrong = append(hex, want), append(wrong, i)
		default:
			hex, wrong, sure = append(hex, '0'), append(wrong, i), false
		}
	}
	fits := len(hex) == codeDigits || len(hex) == fullDigits
	var nearest []string
	if fits && sure && len(wrong) > 0 && hex[0] < '4' {
		nearest = []string{string(letter) + string(hex[:codeDigits])}
	}
	for _, i := range wrong {
		p.wrongDigit(i, nearest)
	}
	if !fits {
		p.wrongLength(letter, hex, at, end, len(wrong) == 0)
	} else if !slices.Contains(wrong, at) && hex[0] > '3' {
		p.fail(at, Unclear{Text: string(p.runes[at]), Says: "the digit behind the letter is 0, 1, 2 or 3"})
	}
	return (string(hex) + "000000")[:max(codeDigits, min(len(hex), fullDigits))]
}

func (p *parser) wrongDigit(i int, nearest []string) {
	r := p.runes[i]
	u := Unclear{Text: string(r), Says: "no digit of a code", Expect: "0 to 9 or A to F", Nearest: nearest}
	if want, ok := lookalike[r]; ok {
		u.Says = "this is the letter " + string(r) + ", not the digit " + string(rune(want))
		if r == '|' || r == 'Ø' {
			u.Says = "this is " + string(r) + ", not the digit " + string(rune(want))
		}
		u.Do = "look at the reader again and type the digit"
	}
	p.fail(i, u)
}

func (p *parser) wrongLength(letter byte, hex []byte, at, end int, clean bool) {
	u := Unclear{Text: string(p.runes[:end]), Says: "a code has four digits behind its letter, this has " + strconv.Itoa(end-at)}
	if clean && len(hex) == codeDigits-1 {
		u.Nearest = []string{string(letter) + "0" + string(hex)}
		u.Do = "write all four digits; a nought in front is one of them"
	}
	p.fail(at, u)
}

// failure reads the failure type from the digits or from what follows them.
func (p *parser) failure(digits string, end int) string {
	rest := p.runes[end:]
	if len(digits) == fullDigits {
		if len(rest) > 0 {
			p.fail(end, Unclear{Text: string(rest), Says: "nothing may follow the failure type"})
		}
		return digits[codeDigits:]
	}
	if len(rest) == 0 {
		return ""
	}
	from := 0
	for from < len(rest) && isBreak(rest[from]) {
		from++
	}
	typed := rest[from:]
	if len(typed) == 2 && isHex(typed[0]) && isHex(typed[1]) {
		return string(typed)
	}
	u := Unclear{Text: string(rest), Says: "behind a code only a failure type may follow", Expect: "two hexadecimal digits, such as P0327-1C"}
	if len(typed) > 0 && strings.ContainsRune(letters, unicode.ToUpper(typed[0])) && len(typed) > 2 {
		u.Do = "for a family of codes use a range, where one is asked for"
	}
	p.fail(end, u)
	return ""
}

func isHex(r rune) bool {
	return r >= '0' && r <= '9' || r >= 'A' && r <= 'F' || r >= 'a' && r <= 'f'
}
