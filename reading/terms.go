package reading

import (
	"slices"
	"strings"
	"unicode"
)

// plainWords returns the words of a text in lower case, without punctuation.
func plainWords(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(c rune) bool {
		return !unicode.IsLetter(c) && !unicode.IsDigit(c) && !unicode.IsMark(c) && !strings.ContainsRune("°%.+-/", c)
	})
}

// filler are words that do not tell two conditions apart.
var filler = []string{"the", "a", "an", "of", "is", "are", "was", "were", "its", "at", "reading", "temperature", "temp"}

// content returns the words of a text that tell it apart, sorted by where they
// stand, without filler.
func content(s string) []string {
	words := plainWords(s)
	for i, w := range words {
		words[i] = strings.Trim(w, ".+-/")
	}
	words = slices.DeleteFunc(words, func(w string) bool { return w == "" || slices.Contains(filler, w) })
	for i := 1; i < len(words); i++ {
		if words[i] == "in" && words[i-1] == "plugged" { // plugged in is the opposite of unplugged
			words = slices.Delete(words, i, i+1)
		}
	}
	return words
}

// denials turn what they stand before into its opposite.
var denials = []string{"not", "no", "without", "never", "isn't", "aren't", "wasn't"}

// opposites are pairs of words of which one denies the other.
var opposites = [][2]string{
	{"on", "off"},
	{"unplugged", "plugged"},
	{"dry", "wet"},
	{"dry", "damp"},
	{"dry", "moist"},
	{"open", "closed"},
	{"open", "shut"},
	{"hot", "cold"},
	{"warm", "cold"},
	{"full", "empty"},
	{"connected", "disconnected"},
	{"running", "stopped"},
	{"still", "running"},
	{"still", "turning"},
	{"engine-off", "running"},
	{"off", "running"},
	{"active", "passive"},
	{"in", "out"},
	{"zeroed", "unzeroed"},
	{"apart", "together"},
	{"loaded", "unloaded"},
	{"moves", "stays"},
	{"follows", "stays"},
	{"visible", "invisible"},
	{"steady", "unsteady"},
}

func opposite(a, b string) bool {
	return slices.ContainsFunc(opposites, func(p [2]string) bool {
		return a == p[0] && b == p[1] || a == p[1] && b == p[0]
	})
}

// likeness is how what was said stands to what was asked.
type likeness int

const (
	unrelated likeness = iota
	same
	contrary
)

// compareWords compares what was said with what a clause asks for: the same
// when every word of the clause was said, contrary when that is so but for a
// denial or one word that is the opposite.
func compareWords(clause, said string) likeness {
	want, have := content(clause), content(said)
	wantNo, want := countDenials(want)
	haveNo, have := countDenials(have)
	if len(want) == 0 && wantNo == 0 {
		return unrelated
	}
	differs := 0
	for _, w := range want {
		switch {
		case slices.Contains(have, w):
		case slices.ContainsFunc(have, func(h string) bool { return opposite(w, h) && !slices.Contains(want, h) }):
			differs++
		default:
			return unrelated
		}
	}
	if (wantNo+haveNo+differs)%2 == 1 {
		return contrary
	}
	return same
}

func countDenials(words []string) (n int, rest []string) {
	for _, w := range words {
		if slices.Contains(denials, w) {
			n++
			continue
		}
		rest = append(rest, w)
	}
	return n, rest
}

// sameSubject reports whether two names of a measured quantity mean the same:
// one has all the words of the other.
func sameSubject(a, b string) bool {
	x, y := content(a), content(b)
	if len(x) == 0 || len(y) == 0 {
		return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
	}
	return within(x, y) || within(y, x)
}

// sameWhole reports whether two names have the same words.
func sameWhole(a, b string) bool { return sameSubject(a, b) && len(content(a)) == len(content(b)) }

func within(part, all []string) bool {
	return !slices.ContainsFunc(part, func(w string) bool { return !slices.Contains(all, w) })
}
