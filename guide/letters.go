package guide

import (
	"unicode"
	"unicode/utf8"
)

// Capital returns s with its first letter in upper case.
func Capital(s string) string { return first(s, unicode.ToUpper) }

// Uncapital returns s with its first letter in lower case, as a name stands
// inside a sentence; an abbreviation, known by its second letter, stays.
func Uncapital(s string) string {
	_, n := utf8.DecodeRuneInString(s)
	if second, _ := utf8.DecodeRuneInString(s[n:]); !unicode.IsLower(second) {
		return s
	}
	return first(s, unicode.ToLower)
}

func first(s string, to func(rune) rune) string {
	c, n := utf8.DecodeRuneInString(s)
	if n == 0 || c == utf8.RuneError {
		return s
	}
	return string(to(c)) + s[n:]
}
