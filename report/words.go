package report

import (
	"strings"
	"unicode"
)

// clean returns a text as one line that can stand on paper: valid UTF-8, no
// controls, no runs of blanks.
func clean(s string) string {
	plain := true
	for i := range len(s) {
		if c := s[i]; c < ' ' || c >= 0x7f || c == ' ' && (i == 0 || s[i-1] == ' ') {
			plain = false
			break
		}
	}
	if plain && !strings.HasSuffix(s, " ") {
		return s
	}
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\t', r == '\r', r == '\v', r == '\f', r == 0x85, r == 0x2028, r == 0x2029:
			return ' '
		case unicode.IsControl(r), r == 0xfffe, r == 0xffff:
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }), " ")
}

// paragraphs splits a text at its line ends.
func paragraphs(s string) []string {
	var list []string
	for line := range strings.Lines(strings.ReplaceAll(s, "\r", "\n")) {
		if line = clean(line); line != "" {
			list = append(list, line)
		}
	}
	return list
}

// units are the words that stay with the number before them.
var units = map[string]bool{
	"N·m": true, "lbf·ft": true, "lbf·in": true, "kgf·m": true, "mm": true, "cm": true, "m": true, "km": true, "min": true, "h": true, "s": true,
	"ms": true, "days": true, "day": true, "V": true, "mV": true, "A": true, "mA": true, "Ω": true, "kΩ": true, "MΩ": true, "mΩ": true, "pF": true,
	"nF": true, "µF": true, "bar": true, "mbar": true, "kPa": true, "°C": true, "K": true, "rpm": true, "Hz": true, "kHz": true, "%": true, "L": true,
	"l": true, "ml": true, "mL": true, "g": true, "kg": true, "EUR": true, "GBP": true, "USD": true, "CHF": true, "N": true, "kN": true, "MPa": true, "of": true,
}

// glued reports whether a line must not be broken between two words: between
// a number and its unit, and around × and ±.
func glued(before, after string) bool {
	if before == "" || after == "" {
		return false
	}
	last := before[len(before)-1]
	figure := last >= '0' && last <= '9'
	switch {
	case before == "×" || before == "±" || before == "≥" || before == "≤" || before == "<" || before == ">":
		return true
	case figure && (after == "×" || after == "±"):
		return true
	}
	return figure && units[strings.TrimRight(after, ".,;:)")]
}

// piece is a stretch of text between two places where a line may end, with the
// blank after it.
type piece struct {
	text  string
	blank bool // a blank follows when the line goes on
}

// pieces splits a clean text where a line may be broken: at blanks that do not
// hold a number and its unit together, and after hyphens, slashes and
// zero-width spaces inside long words.
func pieces(s string) []piece {
	var list []piece
	words := strings.Split(s, " ")
	for i := 0; i < len(words); i++ {
		word := words[i]
		for i+1 < len(words) && glued(words[i], words[i+1]) {
			i++
			word += " " + words[i]
		}
		for _, part := range breakable(word) {
			list = append(list, piece{text: part})
		}
		if n := len(list); n > 0 {
			list[n-1].blank = true
		}
	}
	return list
}

// longWord is the length from which a word may be broken after - / _ , and =.
const longWord = 14

func breakable(word string) []string {
	if len(word) < longWord {
		return []string{word}
	}
	var parts []string
	from := 0
	for i, r := range word {
		if r == '-' && betweenFigures(word, i) { // of a date
			continue
		}
		if r == '\u200b' || strings.ContainsRune("-/_,=|", r) && i-from >= 4 && len(word)-i > 4 {
			end := i + len(string(r))
			parts = append(parts, word[from:end])
			from = end
		}
	}
	if from < len(word) {
		parts = append(parts, word[from:])
	}
	return parts
}

// betweenFigures reports whether figures stand on both sides of a byte.
func betweenFigures(s string, i int) bool {
	figure := func(k int) bool { return k >= 0 && k < len(s) && s[k] >= '0' && s[k] <= '9' }
	return figure(i-1) && figure(i+1)
}

// wrap breaks a clean text into lines no wider than the width by the given
// measure. A piece that is wider than a line is broken between characters.
func wrap(s string, width float64, measure func(string) float64) []string {
	if s == "" {
		return nil
	}
	var lines []string
	line, wide, pending := "", 0.0, false
	space := measure(" ")
	for _, p := range pieces(s) {
		w := measure(p.text)
		gap := 0.0
		if pending && line != "" {
			gap = space
		}
		switch {
		case line != "" && wide+gap+w > width:
			lines = append(lines, line)
			line, wide = "", 0
		case gap > 0:
			line, wide = line+" ", wide+gap
		}
		if w > width {
			lines, p.text, w = split(lines, line+p.text, width, measure)
			line, wide = "", 0
		}
		line, wide, pending = line+p.text, wide+w, p.blank
	}
	return append(lines, line)
}

// split breaks what is wider than a line between characters and returns the
// rest, which is narrow enough.
func split(lines []string, s string, width float64, measure func(string) float64) (full []string, rest string, w float64) {
	from, wide := 0, 0.0
	for i, r := range s {
		one := measure(string(r))
		if i > from && wide+one > width {
			lines = append(lines, s[from:i])
			from, wide = i, 0
		}
		wide += one
	}
	return lines, s[from:], wide
}
