package capture

import (
	"elbowroom/capture/lexicon"
	"elbowroom/quantity"
)

// lead is how many words may stand before the verb of a remark.
const lead = 5

// remarks takes out the clauses that are warnings, tricks, and what breaks, so
// that numbers and things inside them are not taken for facts.
func (l *listener) remarks() {
	for from := 0; from < len(l.cs); {
		to := from + 1
		for to < len(l.cs) && (l.adjacent(to) && !l.opensRemark(from, to)) {
			to++
		}
		switch {
		case l.remark(from, to, Warning, lexicon.Warn):
			to = l.goesOn(from, to, true)
			l.keepRemark(from, to, Warning)
		case l.remark(from, to, Trick, lexicon.Trick) && !l.movesThing(from, to):
			to = l.goesOn(from, to, false)
			l.keepRemark(from, to, Trick)
		case l.free(from, to, lexicon.Sight, lexicon.Fixing) && !l.torqueIn(from, to) && l.breaks(from, to):
			l.keepRemark(from, to, Risk)
		}
		from = to
	}
}

// opensRemark reports whether a new clause begins with "and" and the verb of a
// remark.
func (l *listener) opensRemark(from, k int) bool {
	return k > from && l.text(k) == "and" && (l.is(k+1, lexicon.Trick, lexicon.Warn) || l.is(k+2, lexicon.Trick))
}

// remark reports whether a clause begins with a verb of the class.
func (l *listener) remark(from, to int, kind Kind, class lexicon.Class) bool {
	if l.torqueIn(from, to) {
		return false
	}
	for k := from; k < to && k < from+lead; k++ {
		c := &l.cs[k]
		if c.sort == termChunk && l.p.as(c, class) != nil {
			if kind == Warning && (l.is(k+1, lexicon.Must) || l.text(k-1) == "i" || l.text(k-1) == "we") { // "you don't need a gasket"
				return false
			}
			return !(kind == Warning && k > from+1 && c.term.Single != "don't" && c.term.Single != "do not")
		}
		switch c.sort {
		case itemChunk, amountChunk, numberChunk, gaugeChunk, toolChunk, threadChunk, driveChunk:
			return false
		case fastChunk:
			if c.count >= 0 {
				return false
			}
		case termChunk:
			if !l.is(k, lexicon.Where, lexicon.Hedge, lexicon.Myself, lexicon.Before, lexicon.Takes, lexicon.Must) {
				return false
			}
		}
	}
	return false
}

func (l *listener) torqueIn(from, to int) bool {
	for k := from; k < to; k++ {
		if c := &l.cs[k]; c.sort == amountChunk && c.amount.unit != "turn" && quantity.Of(1, c.amount.unit).Dimension() == quantity.Torque {
			return true
		}
	}
	return false
}

// free reports whether none of the classes stands in the clause.
func (l *listener) free(from, to int, classes ...lexicon.Class) bool {
	for k := from; k < to; k++ {
		if l.is(k, classes...) {
			return false
		}
	}
	return true
}

func (l *listener) breaks(from, to int) bool {
	for k := from; k < to; k++ {
		if l.is(k, lexicon.Risk) {
			return true
		}
	}
	return false
}

// movesThing reports whether the clause takes a thing off, aside or back on.
func (l *listener) movesThing(from, to int) bool {
	if !l.free(from, to, lexicon.Must) {
		return true
	}
	for k := from; k < to; k++ {
		if l.cs[k].sort == itemChunk {
			return !l.free(from, to, lexicon.Off, lexicon.Aside, lexicon.On)
		}
	}
	return false
}

// goesOn returns the end of a remark that runs over a comma: "pull it towards
// you, then squeeze"; one that begins with "if" runs to the end.
func (l *listener) goesOn(from, to int, warning bool) int {
	if w := l.text(from); w == "if" {
		return len(l.cs)
	}
	for to < len(l.cs) && (l.text(to) == "then" || !warning && (l.is(to, lexicon.Trick) || l.text(to) == "and" && l.is(to+1, lexicon.Trick))) {
		to++
		for to < len(l.cs) && l.adjacent(to) {
			to++
		}
	}
	return to
}

// empty are remarks that say nothing.
var empty = map[string]bool{"don't forget": true, "careful": true, "be careful": true, "watch out": true, "don't worry": true, "never mind": true}

// keepRemark stores the words of a clause; a condition before it belongs to
// it: "if it's green, clean it".
func (l *listener) keepRemark(from, to int, kind Kind) {
	start := from
	if start > 0 {
		if a, _ := l.clause(start - 1); l.text(a) == "if" && !l.used[a] {
			start = a
		}
	}
	text := l.words(start, to)
	if empty[l.p.joinWords(l.cs[start].from, l.cs[to-1].to)] {
		l.use(start, to)
		return
	}
	l.laterSpan(start, to, kind, Value{Text: text})
	l.use(start, to)
}

// laterSpan is later for several chunks.
func (l *listener) laterSpan(from, to int, kind Kind, v Value) {
	if l.asked {
		return
	}
	f := l.make(from, to-from, kind, v)
	l.deferred = append(l.deferred, f)
}
