package capture

import (
	"strings"

	"elbowroom/capture/lexicon"
)

// standings finds what stands off, aside or in a state, and tells what the
// narrator has done already from what the work needs.
func (l *listener) standings() {
	for k := range l.cs {
		if l.used[k] {
			continue
		}
		switch {
		case l.is(k, lexicon.On):
			l.putBack(k)
		case l.is(k, lexicon.State):
			l.inState(k)
		case l.is(k, lexicon.Off):
			l.standsOff(k, "off")
		case l.is(k, lexicon.Aside):
			l.standsOff(k, "aside")
		}
	}
	for k := range l.cs {
		if !l.used[k] && l.is(k, lexicon.OffVerb) {
			l.takesOff(k)
		}
	}
}

// stateGoesOn hears "And the pad." after something was said to be off.
func (l *listener) stateGoesOn() bool {
	if len(l.facts) == 0 || len(l.cs) < 2 || l.text(0) != "and" {
		return false
	}
	last := l.facts[len(l.facts)-1]
	for k := 1; k < len(l.cs); k++ {
		if l.cs[k].sort != itemChunk && l.text(k) != "and" {
			return false
		}
	}
	if last.Kind != State || l.lastState != l.begin {
		return false
	}
	for k := 1; k < len(l.cs); k++ {
		if l.cs[k].sort == itemChunk {
			l.nowStands(k, last.Value.Text, k)
		}
	}
	return true
}

// between are words that may stand between a thing and how it stands.
var between = map[string]bool{
	"is": true, "are": true, "'s": true, "'re": true, "'ve": true, "be": true, "been": true, "was": true, "got": true, "come": true, "now": true, "already": true, "also": true, "just": true,
	"to": true, "all": true, "both": true, "straight": true, "again": true, "goes": true, "swung": true, "both of them": true, "well": true, "tilted": true, "up": true, "folded": true, "hinged": true, "pushed": true, "tied": true, "moved": true, "lifted": true, "turned": true, "as": true, "has": true, "have": true, "the": true,
}

// subjects returns the chunks of the things that stand before k: "the X and
// the Y are", the nearest first; nil when something else stands between.
func (l *listener) subjects(k int) []int {
	i := k - 1
	for i >= 0 && (l.cs[i].sort == gone || (l.cs[i].sort == plainWord || l.text(i) == "up") && between[l.text(i)] || l.is(i, lexicon.Must) || l.is(i, lexicon.OffVerb, lexicon.AsideVerb) && l.text(i) != "comes") && (l.adjacent(i+1) || i+1 == k && l.p.words[l.cs[i].to-1].stop == 0) {
		i--
	}
	if i < 0 || !(l.cs[i].sort == itemChunk || l.cs[i].sort == gaugeChunk) || !l.adjacent(i+1) || l.used[i] {
		return nil
	}
	list := []int{i}
	for i >= 2 && l.text(i-1) == "and" && l.cs[i-2].sort == itemChunk && !l.used[i-2] && l.adjacent(i) && l.adjacent(i-1) {
		i -= 2
		list = append(list, i)
	}
	return list
}

// comesOut reports whether the thing comes out by itself, as a way out of the
// bay, with nothing that demands it: "the starter comes out from underneath".
func (l *listener) comesOut(k int) bool {
	w := l.text(k)
	came := w == "comes" || w == "come" || w == "came"
	if w = l.text(k - 1); w == "come" || w == "comes" || w == "goes" {
		came = true
	}
	return came && !l.demanded(k)
}

// demanded reports whether the sentence says that it must be so.
func (l *listener) demanded(k int) bool {
	if l.any(lexicon.First, lexicon.For) {
		return true
	}
	from, to := l.clause(k)
	for i := from; i < to; i++ {
		if l.is(i, lexicon.Must, lexicon.With) && (i < k || !l.is(i, lexicon.With)) {
			return true
		}
	}
	for i := k; i < len(l.cs); i++ {
		if l.is(i, lexicon.Before) {
			return true
		}
	}
	return false
}

// standsOff hears "the X is off", "with the X off", "the X has to come off".
func (l *listener) standsOff(k int, how string) {
	subjects := l.subjects(k)
	if len(subjects) == 0 || l.comesOut(k) || l.p.words[l.cs[k].to-1].stop == ':' { // "Carburetor off:" opens how it is done
		return
	}
	from, _ := l.clause(subjects[len(subjects)-1])
	i := subjects[0]
	switch {
	case tapLike[lastWord(l.cs[i].noun.head)]: // "turn the fuel tap off"
		l.withState(k, l.cast.meant(&l.cs[i].noun).shown()+" closed")
	case l.cs[i].sort == gaugeChunk: // "pressure off first"
		l.withState(k, l.cs[i].noun.name()+" released")
		l.use(i, k+1)
		return
	case l.demanded(k), l.asideCommand(from, k) && !l.done(from, k):
		for n := len(subjects) - 1; n >= 0; n-- {
			l.need(subjects[n], how)
		}
	default:
		for n := len(subjects) - 1; n >= 0; n-- {
			l.nowStands(subjects[n], how, k)
		}
	}
	for _, s := range subjects {
		l.used[s] = true
	}
	l.used[k] = true
}

// tapLike are things that are off when they are shut.
var tapLike = map[string]bool{"tap": true, "cock": true, "stopcock": true}

func lastWord(s string) string { return s[strings.LastIndexByte(s, ' ')+1:] }

// done reports whether the narrator says that he has done it.
func (l *listener) done(from, k int) bool {
	for i := from; i < k; i++ {
		if l.is(i, lexicon.Got) || between[l.text(i)] && l.text(i) != "the" && l.text(i) != "to" {
			return true
		}
	}
	return false
}

// asideCommand reports whether a verb of moving opens the clause.
func (l *listener) asideCommand(from, k int) bool {
	for i := from; i < k; i++ {
		if l.is(i, lexicon.AsideVerb, lexicon.OffVerb) {
			return true
		}
	}
	return false
}

// takesOff hears "remove the X", "take the fan off to get at it".
func (l *listener) takesOff(k int) {
	i := k + 1
	if !l.adjacent(i) || l.cs[i].sort != itemChunk || l.used[i] || l.text(k) == "get" || l.text(k) == "takes" || l.text(k) == "take" && !l.demanded(k) {
		return
	}
	from, _ := l.clause(k)
	if l.done(from, k+1) && !l.demanded(k) {
		l.nowStands(i, "off", k)
	} else {
		l.need(i, "off")
	}
	l.use(k, i+1)
}

// need notes that a thing must be off or aside first.
func (l *listener) need(i int, how string) {
	e := l.cast.meant(&l.cs[i].noun)
	l.lastNeed, l.needAt = e, l.begin+len(l.cs)
	text := e.shown()
	if how == "aside" {
		text += " aside"
	}
	l.later(i, Needs, Value{Text: text, What: e.shown()})
}

// nowStands notes how a thing stands from here on.
func (l *listener) nowStands(i int, how string, k int) {
	if l.asked {
		return
	}
	n := l.cs[i].noun
	n.det = "the" // "hatch closed again" is a hatch that was named
	e := l.cast.meant(&n)
	f := l.make(i, 1, State, Value{Text: how, What: how})
	f.At = l.moment(l.cs[min(i, k)].from, l.cs[max(i, k)].to)
	l.stands(f, e, how)
	if l.focus == nil {
		l.setFocus(e)
	}
}

// stands stores how a thing stands from here on.
func (l *listener) stands(f *Fact, e *entity, how string) {
	f.of, f.Kind, f.Value = e, State, Value{Text: how, What: how}
	l.keepState(f)
	keep := l.off[:0]
	for _, s := range l.off {
		if s.of != e {
			keep = append(keep, s)
		}
	}
	l.off = keep
	switch how {
	case "off", "aside", "open", "disconnected", "drained", "up", "unplugged":
		if len(l.off) < mostOff {
			l.off = append(l.off, &standing{e, how})
		}
	}
	l.offNames = nil
	for _, s := range l.off {
		l.offNames = append(l.offNames, s.of.shown())
	}
}

// mostOff is how many things can stand off at a time.
const mostOff = 200

// keepState stores an announcement; the same state can be announced again.
func (l *listener) keepState(f *Fact) {
	l.store(f)
	l.lastState = l.begin + len(l.cs)
}

// putBack hears "the X is back on".
func (l *listener) putBack(k int) {
	for _, i := range l.subjects(k) {
		l.nowStands(i, "on", k)
		l.used[i] = true
		l.setFocus(l.cast.meant(&l.cs[i].noun))
	}
	l.used[k] = true
}

// inState hears "coolant drained first", "disconnect the battery", "on a cold
// engine", "the hatch is open now".
func (l *listener) inState(k int) {
	state := l.p.as(&l.cs[k], lexicon.State).Value
	temperature := state == "cold" || state == "warm" || state == "hot"
	subjects := l.subjects(k)
	if len(subjects) == 0 && l.adjacent(k+1) && (l.cs[k+1].sort == itemChunk || l.cs[k+1].sort == gaugeChunk) && !l.used[k+1] {
		subjects = []int{k + 1}
	}
	if state == "up" && (l.text(k+1) == "there" || l.is(k+1, lexicon.Aside)) {
		l.used[k] = true
		return
	}
	if len(subjects) == 0 {
		if state == "running" || state == "open" || state == "up" {
			l.used[k] = true
		}
		return
	}
	i := subjects[0]
	n := &l.cs[i].noun
	if temperature && n.class != lexicon.Fluid && !generic[n.name()] {
		return
	}
	switch {
	case l.measuring() && !temperature && state == "unplugged":
		l.condition(k, "other", l.cast.meant(n).shown()+" "+state)
	case l.announced(min(i, k), k, i) && !temperature && n.class != lexicon.Fluid:
		for j := len(subjects) - 1; j >= 0; j-- {
			l.nowStands(subjects[j], state, k)
		}
	case temperature && (l.measuring() || l.limitPending()):
		l.condition(k, "temperature", state)
	default:
		e := l.cast.meant(n)
		l.withState(k, e.shown()+" "+state)
	}
	for _, s := range subjects {
		l.used[s] = true
	}
	l.used[k] = true
}

// announced reports whether a state is what the narrator finds or has made,
// not what the work needs.
func (l *listener) announced(from, k, i int) bool {
	if l.demanded(k) {
		return false
	}
	first, last := l.clause(k)
	for j := first; j < last; j++ {
		w := l.text(j)
		if j < k && i < j && (w == "is" || w == "are" || w == "'s") || w == "now" || w == "again" || w == "already" || l.is(j, lexicon.Got) && j < k {
			return true
		}
	}
	return i < k && l.p.as(&l.cs[k], lexicon.State).Value == "up"
}

// withState notes a state of the machine that the work needs.
func (l *listener) withState(k int, text string) { l.later(k, With, Value{Text: text}) }
