package capture

import (
	"strconv"
	"strings"

	"elbowroom/capture/lexicon"
)

// fasteners hears "two M8 bolts", "one nut each", "no screws", "the unions".
func (l *listener) fasteners(k int) {
	c := &l.cs[k]
	n := &c.noun
	l.belongs(k)
	switch {
	case l.renewed(k):
		return
	case c.count < 0 && l.loose(k):
		return
	case c.count < 0:
		if c.count = l.single(k); c.count < 0 {
			return
		}
	}
	what := n.name()
	text := strconv.Itoa(c.count)
	if what != "" {
		text += " " + countNoun(what, c.count)
	}
	v := Value{Text: text, Count: c.count, What: what}
	if f := l.add(k, Count, v); f != nil {
		f.For = l.orVariant(k, f.For)
	}
	if c.count == 0 && l.bolted(what) {
		l.add(k, Torque, Value{Text: "not applicable"})
	}
	if (c.count == 0 || c.count > 0) && l.renewedAfter(k) {
		l.reuse(k, "single-use", what)
	}
}

func countNoun(what string, n int) string {
	if n == 1 {
		return what
	}
	words := strings.Fields(what)
	words[len(words)-1] = lexicon.Plural(words[len(words)-1])
	return strings.Join(words, " ")
}

// bolted reports whether a fastener is one that is tightened.
func (l *listener) bolted(what string) bool {
	words := strings.Fields(what)
	return len(words) > 0 && has(l.lex.Values(lexicon.Bolted)[""], words[len(words)-1])
}

// belongs moves on to the thing that the fasteners are named with: "flywheel
// nut", "six screws on the cover plate".
func (l *listener) belongs(k int) {
	c := &l.cs[k]
	n := &c.noun
	if n.owner != nil {
		l.setFocus(l.cast.meant(n.owner))
		return
	}
	i := k + 1
	if l.lastNeed != nil && l.needAt == l.begin && l.text(i) == "there" && l.adjacent(i) {
		l.setFocus(l.lastNeed)
		return
	}
	on := l.adjacent(i) && (l.is(i, lexicon.Where) && (l.text(i) == "on" || c.noun.class == lexicon.Small) || l.cs[i].sort == plainWord && (l.text(i) == "on" || l.text(i) == "for" || l.text(i) == "of"))
	if on && l.adjacent(i+1) && l.cs[i+1].sort == itemChunk && !l.used[i+1] {
		l.setFocus(l.cast.meant(&l.cs[i+1].noun))
		l.use(i, i+2)
	}
}

// single returns 1 for fasteners named in the singular that open a sentence or
// stand with "a": "Pinch bolt on the ball joint", "a nut". -1 is not counted.
func (l *listener) single(k int) int {
	c := &l.cs[k]
	if l.denied(k) {
		return 0
	}
	thread := k > 0 && l.cs[k-1].sort == threadChunk
	if c.noun.plural || c.noun.owner != nil || c.noun.class != lexicon.Fastener || !thread && c.noun.head == c.noun.name() && c.noun.det == "" {
		return -1
	}
	if w := l.text(k - 2); l.cs[max(k-1, 0)].sort == threadChunk && l.adjacent(k) && (w == "a" || w == "an") {
		return 1
	}
	if c.noun.det == "a" || c.noun.det == "an" || k == 0 && c.noun.det == "" {
		return 1
	}
	return -1
}

// denied reports whether the narrator says that there is none: "you don't need
// a gasket", "I don't use a washer".
func (l *listener) denied(k int) bool {
	verb := l.text(k - 1)
	if not := l.text(k - 2); not != "don't" && not != "doesn't" && not != "never" {
		return false
	}
	return l.is(k-1, lexicon.Must) || verb == "use" || verb == "have" || verb == "fit" || verb == "put"
}

// loose hears what holds without a thread: "held by a clip", "slide lock".
func (l *listener) loose(k int) bool {
	c := &l.cs[k]
	if c.noun.class != lexicon.Loose || c.noun.owner != nil {
		return false
	}
	if t := l.p.term(c.to-1, lexicon.Fixing); t != nil {
		l.add(k, Fixing, Value{Text: t.Value})
		return true
	}
	return false
}

// renewed hears "new gasket", "the copper washer under it is new every time".
func (l *listener) renewed(k int) bool {
	if !l.renewedBefore(k) && !l.renewedAfter(k) || l.cs[k].count >= 0 {
		return false
	}
	verb := ""
	if l.is(k-1, lexicon.New) {
		verb = l.text(k - 1)
	}
	if (verb == "replace" || verb == "renew") && !l.any(lexicon.EveryTime) {
		return false
	}
	l.reuse(k, "single-use", l.cs[k].noun.name())
	return true
}

// renewedBefore reports whether "new" stands right before the noun, or a new
// one of the noun before: "new gasket", "a new copper washer".
func (l *listener) renewedBefore(k int) bool { return l.is(k-1, lexicon.New) && l.adjacent(k) }

// renewedAfter reports whether the noun is said to be new every time.
func (l *listener) renewedAfter(k int) bool {
	if !l.any(lexicon.New) || !l.any(lexicon.EveryTime) && !l.any(lexicon.Once) {
		return false
	}
	for i := k + 1; i < len(l.cs); i++ {
		c := &l.cs[i]
		switch {
		case l.is(i, lexicon.New) && !(i+1 < len(l.cs) && l.adjacent(i+1) && (l.cs[i+1].sort == fastChunk || l.cs[i+1].sort == itemChunk)):
			return true
		case c.sort == itemChunk || c.sort == fastChunk || c.sort == amountChunk:
			return false
		}
	}
	return false
}

// reuse notes whether something is used once.
func (l *listener) reuse(k int, how, what string) {
	text := how
	if what != "" {
		text += " " + what
	}
	l.used[k] = true
	l.add(k, Reuse, Value{Text: text, What: what})
}
