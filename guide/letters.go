package guide

import (
	"unicode"
	"unicode/utf8"
)

// Capital returns s with its first letter in upper case.
func Capital(s string) string { return first(s, unicode.ToUpper) }

// Uncapital returns s with its first letter in lower case.
func Uncapital(s string) string { return first(s, unicode.ToLower) }

func first(s string, to func(rune) rune) string {
	c, n := utf8.DecodeRuneInString(s)
	if n == 0 || c == utf8.RuneError {
		return s
	}
	return string(to(c)) + s[n:]
}
