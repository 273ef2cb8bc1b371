package reading

import (
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"elbowroom/quantity"
	"elbowroom/span"
)

// number is a decimal number as people type it.
var number = regexp.MustCompile(`^[-+−]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][-+]?[0-9]+)?`)

// found is a value in the midst of a text.
type found struct {
	value  quantity.Value
	start  int     // where the number begins, in bytes
	end    int     // behind the unit
	step   float64 // one of the last digit
	bare   bool    // no unit stood there
	broken string  // a word that stands where a unit belongs and is none
}

// valueAt reads a number with its unit at the start of s; ok is false when
// there is no number. A number without a unit has the unit "1".
func valueAt(s string) (f found, ok bool) {
	digits := number.FindString(s)
	if digits == "" {
		return found{}, false
	}
	if strings.HasSuffix(digits, ".") && strings.HasPrefix(s[len(digits):], ".") {
		digits = digits[:len(digits)-1] // 740..760
	}
	after := s[len(digits):]
	space := len(after) - len(strings.TrimLeft(after, " \u00a0"))
	plain := strings.Replace(digits, "−", "-", 1)
	for _, unit := range unitsAt(after[space:]) {
		v, err := quantity.Parse(plain + " " + unit)
		if err != nil {
			continue
		}
		return found{value: v, end: len(digits) + space + len(unit), step: stepOf(digits)}, true
	}
	v, err := quantity.Parse(plain)
	if err != nil {
		return found{}, false
	}
	f = found{value: v, end: len(digits), step: stepOf(digits), bare: true}
	if word := firstWord(after[space:]); word != "" && (space > 0 || !strings.ContainsAny(word[:1], "-./,0123456789")) {
		f.broken = word
	}
	return f, true
}

// unitsAt returns what at the start of s may be a unit, the longest first.
func unitsAt(s string) []string {
	first := firstWord(s)
	if first == "" {
		return nil
	}
	var out []string
	if rest := s[len(first):]; strings.HasPrefix(rest, " ") {
		if second := firstWord(rest[1:]); second != "" {
			out = append(out, first+" "+second)
		}
	}
	return append(out, first)
}

// firstWord returns the first word of s, without commas, brackets or bounds
// behind it; empty when s begins with a space.
func firstWord(s string) string {
	end := strings.IndexAny(s, " \u00a0\t,;()±=<>")
	if end < 0 {
		end = len(s)
	}
	if i := strings.Index(s[:end], ".."); i >= 0 {
		end = i
	}
	return s[:end]
}

// stepOf returns one of the last digit written: 0.01 for "2.71", 1 for "750".
func stepOf(digits string) float64 {
	mantissa, exponent := digits, 0
	if i := strings.IndexAny(digits, "eE"); i >= 0 {
		mantissa = digits[:i]
		if v, err := quantity.Parse(digits[i+1:]); err == nil {
			exponent = int(v.Number)
		}
	}
	places := 0
	if i := strings.IndexByte(mantissa, '.'); i >= 0 {
		places = len(mantissa) - i - 1
	}
	return tenTo(exponent - places)
}

// tenTo returns 10 to the n, within the range of numbers that matter.
func tenTo(n int) float64 {
	n = max(-30, min(30, n))
	f := 1.0
	for range max(n, -n) {
		f *= 10
	}
	if n < 0 {
		return 1 / f
	}
	return f
}

// find returns the first value with a known unit that stands by itself in s;
// failing that the last number by itself. ok is false when there is none.
func find(s string) (f found, ok bool) {
	for i, c := range s {
		if c != '-' && c != '+' && c != '−' && c != '.' && (c < '0' || c > '9') || !alone(s[:i]) {
			continue
		}
		g, is := valueAt(s[i:])
		if !is {
			continue
		}
		g.start, g.end = i, g.end+i
		if g.bare && !endsWord(s[g.end:]) {
			continue // the digits of 1-2-3, 60-2 or 5x
		}
		if !g.bare || opens(s[g.end:]) {
			return g, true
		}
		f, ok = g, true
	}
	return f, ok
}

// opens reports whether a number without a unit begins a range or a value with
// its tolerance, whose unit stands at the end: 740..760 rpm, 18 ± 2 °C.
func opens(after string) bool {
	after = strings.TrimSpace(after)
	for _, sign := range []string{"..", "±", "+-", "+/-"} {
		if rest, ok := strings.CutPrefix(after, sign); ok {
			f, is := valueAt(strings.TrimSpace(rest))
			return is && !f.bare
		}
	}
	return false
}

// alone reports whether what stands before a number lets it begin there.
func alone(before string) bool {
	if before == "" {
		return true
	}
	c, _ := utf8.DecodeLastRuneInString(before)
	return strings.ContainsRune(" \u00a0\t<>=≤≥~±(", c) || strings.HasSuffix(before, "..")
}

// endsWord reports whether a word may end where s begins.
func endsWord(s string) bool {
	c, _ := utf8.DecodeRuneInString(s)
	return s == "" || strings.ContainsRune(" \u00a0\t,;)±", c) || strings.HasPrefix(s, "..")
}

// spelt are ways of writing units beside their printed names, to offer the
// nearest.
var spelt = append(quantity.Units(), "ohm", "kohm", "Mohm", "Nm", "degC", "degF")

// ohmLike are letters that are typed for Ω.
const ohmLike = "QqOoRrwW0"

// nearestUnit returns the units that a word may have been meant as.
func nearestUnit(word string) []string {
	var out []string
	if last, size := utf8.DecodeLastRuneInString(word); strings.ContainsRune(ohmLike, last) {
		if v, err := quantity.Parse("1 " + word[:len(word)-size] + "Ω"); err == nil {
			out = append(out, v.Unit)
		}
	}
	for _, near := range span.Nearest(word, spelt) {
		if n := utf8.RuneCountInString(word); len(out) < 3 && span.Distance(word, near, n) < n && !slices.Contains(out, near) {
			out = append(out, near)
		}
	}
	return out
}
