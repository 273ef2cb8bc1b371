package capture

import (
	"strings"

	"elbowroom/capture/lexicon"
)

// item hears a thing named: it is spoken of from here on, unless it only says
// where something else is.
func (l *listener) item(k int) {
	n := &l.cs[k].noun
	before := l.text(k - 1)
	switch {
	case l.is(k-1, lexicon.Through):
		l.fromPlace(k, l.cast.meant(n).shown())
		return
	case l.isNumber(k-1) && l.text(k-2) == "number" && small(&l.cs[k-1].amount):
		n.number = int(l.cs[k-1].amount.low)
	case generic[n.head] && n.side == "" && n.number == 0, n.name() == "steps" && l.isNumber(k-1):
		return
	case l.asked && l.any(lexicon.State, lexicon.When):
		return
	case l.landmark(k), l.valveSide(k), l.isNumber(k-1) && l.text(k-2) == "all":
		return
	case l.gauge != nil && l.text(k-1) == "'s" && l.text(k-2) == "there":
		return
	case l.text(k+1) == "on" && l.cs[k+1].sort == plainWord && !l.adjacent(k+2): // "hoses on"
		return
	case l.besides(k), handled[before] && l.adjacent(k):
		return
	case n.class == lexicon.Fluid && (before == "of" || l.is(k-1, lexicon.Holds) || l.gauge != nil):
		return
	}
	l.setFocus(l.cast.meant(n))
	if s := l.lonelySide(k + 1); s != "" && l.focus.side == "" {
		l.cast.rename(l.focus, func(e *entity) { e.side = s })
	}
	if before == "see" || l.is(k-1, lexicon.Sight) {
		l.seen(k - 1)
	}
}

// handled are verbs of what is done with a thing while another is spoken of:
// "turn the lead to the front".
var handled = map[string]bool{"turn": true, "route": true, "hold": true, "keep": true, "fish": true, "bend": true}

// besides hears a thing that only places another: "the sensor before the
// catalyst".
func (l *listener) besides(k int) bool {
	w := l.text(k - 1)
	if w != "before" && w != "after" || k < 2 || !l.adjacent(k) || !l.adjacent(k-1) || l.cs[k-2].sort != itemChunk && l.cs[k-2].sort != oneChunk && l.text(k-2) != "one" {
		return false
	}
	l.laterSpan(k-1, k+1, Place, Value{Text: l.words(k-1, k+1)})
	return true
}

func (l *listener) isNumber(k int) bool { return k >= 0 && l.cs[k].sort == numberChunk }

// valveSides tell the valves of a cylinder apart.
var valveSides = map[string]bool{"inlet": true, "intake": true, "exhaust": true}

// valveSide reports whether a thing only says which valves a clearance is for:
// "inlet 0.15 mm, exhaust 0.2 mm".
func (l *listener) valveSide(k int) bool {
	if valveSides[l.cs[k].noun.name()] && l.text(k-1) == "and" && valveSides[l.text(k-2)] {
		return true
	}
	return (l.gauge != nil && l.gauge.of.head == "valve" || l.focus != nil && l.focus.head == "valve") && valveSides[l.cs[k].noun.name()] && k+1 < len(l.cs) && l.adjacent(k+1) && numeric(&l.cs[k+1])
}

// lonelySide reads a side that stands alone after a name: "Crank pulley,
// front", "oxygen sensor, the upper one".
func (l *listener) lonelySide(k int) string {
	if k >= len(l.cs) {
		return ""
	}
	c := &l.cs[k]
	if c.sort == oneChunk && c.noun.mods == "" && c.noun.side != "" && l.p.words[c.from-1].stop == ',' {
		l.use(k, k+1)
		return c.noun.side
	}
	t := l.p.term(c.from, lexicon.Side)
	alone := k+1 >= len(l.cs) || !l.adjacent(k+1)
	if c.sort == plainWord && t != nil && alone && !l.adjacent(k) && len(t.Words) == 1 {
		l.use(k, k+1)
		return t.Value
	}
	return ""
}

// landmarks are words before a thing that only say where something is or
// belongs.
var landmarkWords = map[string]bool{
	"past": true, "by": true, "off": true, "of": true, "from": true, "along": true, "on": true, "in": true, "at": true, "behind": true, "towards": true, "into": true, "onto": true,
	"as": true, "above": true, "below": true, "over": true, "around": true, "between": true, "than": true, "hits": true, "fouls": true, "against": true,
}

// begins are verbs that lead over to the next thing: "start with the pump".
var begins = map[string]bool{"begin": true, "start": true, "starting": true, "beginning": true, "on": true, "continue": true, "finish": true}

// landmark reports whether a thing is only named to place another.
func (l *listener) landmark(k int) bool {
	if k == 0 || !l.adjacent(k) {
		return false
	}
	if l.text(k-1) == "at" && l.text(k-2) == "get" {
		return false
	}
	if w := l.text(k - 1); (w == "with" || w == "without") && !begins[l.text(k-2)] {
		return true
	}
	return l.is(k-1, lexicon.Where, lexicon.Same, lexicon.Fixing) || l.cs[k-1].sort == plainWord && landmarkWords[l.text(k-1)] || l.is(k-1, lexicon.UnitOf)
}

// one hears "the right one".
func (l *listener) one(k int) {
	n := &l.cs[k].noun
	if l.focus == nil || l.landmark(k) && !l.is(k-1, lexicon.Where) {
		return
	}
	if l.text(k-1) == "'s" && l.text(k-2) == "that" && n.mods != "" && !strings.Contains(l.focus.name, n.mods) {
		l.cast.rename(l.focus, func(e *entity) { e.name, e.raw = n.mods+" "+e.name, n.mods+" "+e.raw })
		return
	}
	if w := l.text(k - 1); (w == "for" || w == "on") && l.fastened() || l.countedBefore(k) {
		return // "four nuts, the lower ones by feel"
	}
	if n.side == "" && (l.focus.name == "" || n.mods != "" && l.longOne(n.mods)) {
		return
	}
	group := l.focus
	if l.group != nil {
		group = l.group
	}
	l.setFocus(l.cast.one(n, l.focus))
	l.group = group
	if group == l.focus {
		l.group = nil
	}
}

// countedBefore reports whether several fasteners stand before chunk k in the
// sentence.
func (l *listener) countedBefore(k int) bool {
	for i := range l.cs[:k] {
		if l.cs[i].sort == fastChunk && l.cs[i].count > 1 {
			return true
		}
	}
	return false
}

// fastened reports whether the sentence before or this one counts several
// fasteners of what is spoken of.
func (l *listener) fastened() bool {
	said := l.focus.said
	for i := len(said) - 1; i >= 0 && i > len(said)-6; i-- {
		if f := said[i]; f.Kind == Count && f.Value.Count > 1 && said[len(said)-1].At.Cue-f.At.Cue <= 1 {
			return true
		}
	}
	return false
}

// longOne reports whether "the long one" is one of the fasteners rather than
// one of the things.
func (l *listener) longOne(mods string) bool {
	switch mods {
	case "long", "short", "longer", "shorter", "middle":
		return true
	case "top", "bottom", "last":
		for i := range l.cs {
			if l.cs[i].sort == fastChunk {
				return true
			}
		}
	}
	return false
}
