package vet

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"elbowroom/guide"
)

// doubtful is a word that means several things and what settles it.
type doubtful struct {
	word  string
	means string
	do    string
}

// bare are words that need another word before them that says which.
var bare = []doubtful{
	{"plug", "a spark plug, a drain plug or a connector", "say which: spark plug, drain plug, connector"},
	{"clip", "a connector lock, a hose clip or a trim clip", "say which: connector lock, hose clip, trim clip"},
	{"vent", "the tank vent, the purge valve or the crankcase", "say which circuit: tank vent, crankcase vent"},
	{"breather", "the tank vent, the purge valve or the crankcase", "say which circuit: crankcase breather"},
}

// fillers are words that say nothing about the one that follows.
var fillers = []string{
	"", "the", "a", "an", "of", "on", "at", "in", "to", "from", "with", "and", "or", "by", "for", "behind", "beside", "under",
	"this", "that", "each", "any", "both", "one", "two", "new", "old", "upper", "lower", "left", "right", "front", "rear",
}

// tokens cuts a text into lower-case words; punctuation becomes an empty word,
// so that it separates.
func tokens(text string) []string {
	var out []string
	var b strings.Builder
	flush := func() {
		if b.Len() > 0 {
			out = append(out, b.String())
			b.Reset()
		}
	}
	for _, r := range strings.ToLower(text) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-':
			b.WriteRune(r)
		case unicode.IsSpace(r):
			flush()
		default:
			flush()
			out = append(out, "")
		}
	}
	flush()
	return out
}

// bareWord returns the first doubtful word of a text that stands alone: no
// word that says which before it, and none after it that it belongs to.
func bareWord(text string) (doubtful, bool) {
	words := tokens(text)
	for i, w := range words {
		before, after := "", ""
		if i > 0 {
			before = words[i-1]
		}
		if i+1 < len(words) {
			after = words[i+1]
		}
		for _, d := range bare {
			if (w == d.word || w == d.word+"s") && slices.Contains(fillers, before) && slices.Contains(fillers, after) {
				return d, true
			}
		}
	}
	return doubtful{}, false
}

func lookBareWord(e *examiner) {
	look := func(path, text string) {
		if d, ok := bareWord(text); ok {
			e.report(path, text, fmt.Sprintf("%q can be %s", d.word, d.means), d.do)
		}
	}
	for _, k := range e.g.Kinds {
		look(within("kinds", k.ID)+".name", k.Name)
	}
	for _, it := range e.g.Items {
		look(within("items", it.ID)+".name", it.Name)
	}
	for _, c := range e.g.Checks {
		look(within("checks", c.ID)+".name", c.Name)
		look(within("checks", c.ID)+".at", c.At)
	}
	for _, p := range e.g.Parts {
		look(within("parts", p.ID)+".name", p.Name)
	}
}

// sided reports whether a text speaks of the left, of the right, or of both.
func sided(text string) (left, right bool) {
	for _, w := range tokens(text) {
		left = left || w == "left" || w == "left-hand"
		right = right || w == "right" || w == "right-hand"
	}
	return left, right
}

func lookSideOpen(e *examiner) {
	for i := range e.g.Items {
		it := &e.g.Items[i]
		left, right := sided(it.Name)
		if left != right && it.Side == "" && len(it.At) == 0 {
			e.report(within("items", it.ID)+".name", it.Name,
				"left or right of what? Neither side nor place of the item is written, and the engine seen from its pulley end has them the other way round",
				"write side: left or right of the vehicle seen from the driver's seat, or the place")
		}
	}
}

// nearMiddle is how far in mm an item may lie across the middle of the bay
// before its side can be doubted.
const nearMiddle = 25

func lookSideWrong(e *examiner) {
	for i := range e.g.Items {
		it := &e.g.Items[i]
		left, right := sided(it.Name)
		says := it.Side
		switch {
		case left && right:
			continue // "left and right", or the name tells variants apart
		case left && says == "":
			says = guide.Left
		case right && says == "":
			says = guide.Right
		case left && says == guide.Right || right && says == guide.Left:
			e.report(within("items", it.ID)+".side", string(it.Side), fmt.Sprintf("%s is named for one side and recorded on the other", e.named(it.ID)),
				"correct the name or the side")
			continue
		}
		if y, ok := middle(it.At); ok && (says == guide.Left && y < -nearMiddle || says == guide.Right && y > nearMiddle) {
			e.report(within("items", it.ID)+".at", fmt.Sprintf("y = %g", y), fmt.Sprintf("%s is said to be on the %s and lies at y = %g (left is positive)", e.named(it.ID), says, y),
				"correct the side or the sign of y")
		}
	}
}

// middle returns the mean y of an item's shapes in mm.
func middle(at []guide.Shape) (float64, bool) {
	sum, n := 0.0, 0
	for _, s := range at {
		if s.Form != guide.Path {
			sum, n = sum+s.Centre.Y, n+1
			continue
		}
		for _, p := range s.Path {
			sum, n = sum+p.Y, n+1
		}
	}
	return sum / float64(max(n, 1)), n > 0
}

// vague are conditions in words that need a number.
var vague = []doubtful{
	{"warm", "coolant at 60, 80 or 90 °C, or the oil", "write number and fluid: coolant >= 80 °C"},
	{"hot", "anything above a hand's comfort", "write number and fluid: coolant >= 80 °C, oil 90..100 °C"},
	{"operating temperature", "coolant or oil, and no number", "write number and fluid: coolant >= 80 °C"},
	{"idle", "another speed on every engine and at every temperature", "write the speed: engine 700..800 rpm"},
	{"ok", "no value at all", "write the limit as a number with its unit"},
	{"good", "no value at all", "write the limit as a number with its unit"},
}

func lookVague(e *examiner) {
	for _, c := range e.g.Checks {
		for i, cl := range c.When {
			e.vagueClause(nth(within("checks", c.ID), "when", i), c.ID, cl)
		}
		for i, l := range c.Limits {
			for k, cl := range l.When {
				e.vagueClause(nth(nth(within("checks", c.ID), "limits", i), "when", k), c.ID, cl)
			}
			if d, ok := vagueWord(l.Words); ok && len(tokens(l.Words)) <= shortWords {
				e.report(nth(within("checks", c.ID), "limits", i), l.Words, fmt.Sprintf("check %s: %q says %s", c.ID, d.word, d.means), d.do)
			}
		}
	}
}

// shortWords is the number of words up to which a text is taken for a bare
// verdict and not for a description.
const shortWords = 2

func (e *examiner) vagueClause(path string, check guide.ID, c guide.Clause) {
	if !c.Low.Zero() || !c.High.Zero() {
		return
	}
	if d, ok := vagueWord(c.Words); ok && len(tokens(c.Words)) <= shortWords {
		e.report(path, c.Words, fmt.Sprintf("check %s: %q can mean %s", check, d.word, d.means), d.do)
	}
}

func vagueWord(text string) (doubtful, bool) {
	words := tokens(text)
	for _, d := range vague {
		if slices.Contains(words, d.word) || strings.Contains(d.word, " ") && strings.Contains(strings.ToLower(text), d.word) {
			return d, true
		}
	}
	return doubtful{}, false
}
