package lexicon

import (
	_ "embed"
	"slices"
	"strings"
	"sync"
	"unicode"
)

// Class is what a phrase is used for.
type Class string

// The classes.
const (
	Thing       Class = "thing"
	Fluid       Class = "fluid"
	Fastener    Class = "fastener"
	Loose       Class = "loose"
	Small       Class = "small"
	Bolted      Class = "bolted"
	Measure     Class = "measure"
	Unit        Class = "unit"
	Metric      Class = "metric"
	Customary   Class = "customary"
	Side        Class = "side"
	Other       Class = "other"
	From        Class = "from"
	Through     Class = "through"
	Where       Class = "where"
	Sits        Class = "sits"
	Off         Class = "off"
	OffVerb     Class = "offverb"
	Aside       Class = "aside"
	AsideVerb   Class = "asideverb"
	On          Class = "on"
	OnVerb      Class = "onverb"
	Got         Class = "got"
	State       Class = "state"
	When        Class = "when"
	Must        Class = "must"
	First       Class = "first"
	Before      Class = "before"
	With        Class = "with"
	For         Class = "for"
	Bound       Class = "bound"
	About       Class = "about"
	Apart       Class = "apart"
	Hedge       Class = "hedge"
	Says        Class = "says"
	Who         Class = "who"
	Myself      Class = "myself"
	Failed      Class = "failed"
	Untried     Class = "untried"
	Unknown     Class = "unknown"
	Old         Class = "old"
	Correct     Class = "correct"
	New         Class = "new"
	EveryTime   Class = "everytime"
	Once        Class = "once"
	Again       Class = "again"
	Sight       Class = "sight"
	Access      Class = "access"
	Threads     Class = "threads"
	Hand        Class = "hand"
	TorqueWord  Class = "torqueword"
	Order       Class = "order"
	Drive       Class = "drive"
	Tool        Class = "tool"
	Lock        Class = "lock"
	Fixing      Class = "fixing"
	UnitOf      Class = "unitof"
	Together    Class = "together"
	Separate    Class = "separate"
	Elsewhere   Class = "elsewhere"
	OtherWay    Class = "otherway"
	Same        Class = "same"
	Otherwise   Class = "otherwise"
	Loses       Class = "loses"
	Holds       Class = "holds"
	Takes       Class = "takes"
	Time        Class = "time"
	Warn        Class = "warn"
	Trick       Class = "trick"
	Risk        Class = "risk"
	Variant     Class = "variant"
	VariantWord Class = "variantword"
	VariantName Class = "variantname"
	Noise       Class = "noise"
	Filler      Class = "filler"
	Plain       Class = "plain"
)

// Classes lists every class, in the order of the constants.
var Classes = []Class{
	Thing, Fluid, Fastener, Loose, Small, Bolted, Measure, Unit, Metric, Customary, Side, Other, From, Through, Where, Sits,
	Off, OffVerb, Aside, AsideVerb, On, OnVerb, Got, State, When, Must, First, Before, With, For, Bound, About, Apart, Hedge,
	Says, Who, Myself, Failed, Untried, Unknown, Old, Correct, New, EveryTime, Once, Again, Sight, Access, Threads, Hand,
	TorqueWord, Order, Drive, Tool, Lock, Fixing, UnitOf, Together, Separate, Elsewhere, OtherWay, Same, Otherwise, Loses, Holds, Takes,
	Time, Warn, Trick, Risk, Variant, VariantWord, VariantName, Noise, Filler, Plain,
}

// plural lists the classes whose phrases are known in the plural too.
var plural = []Class{Thing, Fastener, Loose, Small, Bolted, Tool, Fluid}

// Term is a phrase of a class.
type Term struct {
	Class  Class
	Value  string   // what the class line says before the colon: the unit, the side, the class of a thing
	Words  []string // folded
	Plural bool     // the phrase is the plural of the entry
	Single string   // the entry itself, as a phrase
}

// Lexicon is a set of terms. It is not changed once made and may be shared.
type Lexicon struct {
	first map[string][]*Term // by first word, longest phrase first
	same  map[string]string  // any name of a thing to the one that is kept
	all   []*Term            // in the order of reading
}

//go:embed trade.txt
var trade []byte

// Default returns the lexicon that comes with the program. Its text is proved
// by a test to have no error.
var Default = sync.OnceValue(func() *Lexicon {
	l, _ := Read("trade.txt", trade)
	return l
})

// With returns a lexicon with the terms of both; a nil one adds nothing. What
// m drops is dropped from l too.
func (l *Lexicon) With(m *Lexicon) *Lexicon {
	if m == nil {
		return l
	}
	n := &Lexicon{first: map[string][]*Term{}, same: map[string]string{}}
	dropped := map[string]bool{}
	for _, t := range m.all {
		if t.Class == drop {
			dropped[strings.Join(t.Words, " ")] = true
		}
	}
	for _, t := range l.all {
		if !dropped[strings.Join(t.Words, " ")] {
			n.add(t)
		}
	}
	for _, t := range m.all {
		n.add(t)
	}
	for _, s := range []map[string]string{l.same, m.same} {
		for from, to := range s {
			n.same[from] = to
		}
	}
	n.sort()
	return n
}

func (l *Lexicon) add(t *Term) {
	l.all = append(l.all, t)
	if t.Class != drop {
		l.first[t.Words[0]] = append(l.first[t.Words[0]], t)
	}
}

// sort puts the longest phrase first; equal ones keep the order of reading.
func (l *Lexicon) sort() {
	for _, list := range l.first {
		slices.SortStableFunc(list, func(a, b *Term) int { return len(b.Words) - len(a.Words) })
	}
}

// At returns the terms whose phrase may begin with a word, longest first. The
// caller compares the other words and must not change the list.
func (l *Lexicon) At(word string) []*Term { return l.first[word] }

// Name returns the name that is kept of all those for the same thing.
func (l *Lexicon) Name(folded string) string {
	if to, ok := l.same[folded]; ok {
		return to
	}
	return folded
}

// Values returns the values of a class with the phrases of each, for those who
// describe the lexicon.
func (l *Lexicon) Values(c Class) map[string][]string {
	out := map[string][]string{}
	for _, t := range l.all {
		if t.Class == c && !t.Plural {
			out[t.Value] = append(out[t.Value], t.Single)
		}
	}
	return out
}

// clitics lean on the word before them and count as words of their own; a
// negation stays with its verb.
var clitics = []string{"'s", "'ve", "'ll", "'re", "'d", "'m"}

// Clitic returns where the clitic of a folded word begins, or -1.
func Clitic(word string) int {
	for _, c := range clitics {
		if len(word) > len(c) && strings.HasSuffix(word, c) {
			return len(word) - len(c)
		}
	}
	return -1
}

// Words returns the words of a phrase as they are compared.
func Words(phrase string) []string {
	var out []string
	for _, w := range strings.Fields(Fold(phrase)) {
		if at := Clitic(w); at > 0 {
			out = append(out, w[:at], w[at:])
			continue
		}
		out = append(out, w)
	}
	return out
}

// Fold lowers the case, turns hyphens and typographic marks into what a
// keyboard has, and single-spaces a phrase.
func Fold(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '-' || r == '‐' || r == '‑' || unicode.IsSpace(r):
			return ' '
		case r == '’' || r == 'ʼ':
			return '\''
		}
		return unicode.ToLower(r)
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// Plural returns the plural of an English noun of the trade.
func Plural(s string) string {
	switch {
	case strings.HasSuffix(s, "s") || strings.HasSuffix(s, "x") || strings.HasSuffix(s, "ch") || strings.HasSuffix(s, "sh"):
		return s + "es"
	case strings.HasSuffix(s, "y") && len(s) > 1 && !strings.ContainsRune("aeiou", rune(s[len(s)-2])):
		return s[:len(s)-1] + "ies"
	case strings.HasSuffix(s, "af"):
		return s + "s"
	}
	return s + "s"
}
