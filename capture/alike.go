package capture

import (
	"slices"

	"elbowroom/capture/lexicon"
)

// copied are the kinds that "the same on the other side" repeats.
var copied = []Kind{Count, Thread, Drive, Torque, Threads, Order, Reuse, Tool, LimitKind, Fixing}

// alike hears "same on the right", "left one the same but forty-eight", "same
// on the older one": the facts of one thing for another.
func (l *listener) alike(k int) {
	if l.used[k] || l.focus == nil || l.asked {
		return
	}
	how := l.p.as(&l.cs[k], lexicon.Same).Value
	if how != "all" {
		l.sameOf(k, Kind(how))
		return
	}
	if k+1 < len(l.cs) && l.adjacent(k+1) && l.text(k+1) == "as" {
		l.sameAs(k)
		return
	}
	from := l.focus
	to, what, end := l.target(k)
	if to == nil && what == "" {
		return
	}
	if to == nil {
		to = from
	}
	l.copyFacts(from, to, what)
	l.use(k, k+1)
	if end > 0 {
		l.use(end, end+1)
	}
	if what == "" {
		l.setFocus(to)
	}
	l.override(k)
}

// target finds what "the same" is for: another side, one of them, or a
// variant. The chunk that names it is returned too.
func (l *listener) target(k int) (to *entity, variant string, at int) {
	for i := range l.cs {
		c := &l.cs[i]
		switch {
		case c.sort == variantChunk:
			return nil, c.text, i
		case l.p.as(c, lexicon.Other) != nil && c.sort == termChunk:
			return l.flipped(), "", i
		case c.sort == oneChunk && (c.noun.side != "" || c.noun.mods != ""):
			return l.cast.one(&c.noun, l.focus), "", i
		case c.sort == itemChunk && c.noun.side != "" && i < k:
			return l.cast.meant(&c.noun), "", i
		case l.is(i, lexicon.Where) && i != k:
			if side := l.sideIn(c); side != "" && side != l.focus.side {
				return l.cast.sibling(l.focus, side, l.focus.number), "", i
			}
		}
		if t := l.p.term(c.from, lexicon.Side); c.sort == plainWord && t != nil && t.Value != l.focus.side {
			return l.cast.sibling(l.focus, t.Value, l.focus.number), "", i
		}
	}
	return nil, "", -1
}

// sideIn returns the side that a phrase of place names.
func (l *listener) sideIn(c *chunk) string {
	for w := c.from; w < c.to; w++ {
		if t := l.p.term(w, lexicon.Side); t != nil {
			return t.Value
		}
	}
	return ""
}

// flipped returns the thing on the opposite side of the one spoken of.
func (l *listener) flipped() *entity {
	side, ok := opposite[l.focus.side]
	if !ok {
		l.gap(gap{sort: "side", of: l.focus, at: l.moment(l.cs[0].from, l.cs[len(l.cs)-1].to), text: "the same on the other side, but no side was said"})
		return nil
	}
	return l.cast.sibling(l.focus, side, l.focus.number)
}

// copyFacts repeats the facts of one thing for another, or for a variant, at
// the moment of the words that say so.
func (l *listener) copyFacts(from, to *entity, variant string) {
	moment := l.moment(l.cs[0].from, l.cs[len(l.cs)-1].to)
	for _, f := range slices.Clone(from.said) {
		if !slices.Contains(copied, f.Kind) || f.For != "" {
			continue
		}
		c := *f
		c.word = l.cs[0].from
		c.of, c.At, c.Again, c.TookBack = to, moment, nil, ""
		if variant != "" {
			c.For = variant
		}
		c.Because = append(slices.Clone(f.Because), "said to be the same as "+from.shown())
		l.keep(&c)
	}
}

// override replaces a copied value where the sentence gives another: "the same
// but forty-eight".
func (l *listener) override(k int) {
	for i := k + 1; i < len(l.cs); i++ {
		c := &l.cs[i]
		switch {
		case numeric(c):
			l.dropCopied(Torque)
		case c.sort == driveChunk:
			l.dropCopied(Drive)
		case c.sort == threadChunk:
			l.dropCopied(Thread)
		case c.sort == fastChunk && c.count > 0:
			l.dropCopied(Count)
		}
	}
}

// dropCopied removes the facts of a kind that the sentence just copied.
func (l *listener) dropCopied(kind Kind) {
	keep := l.facts[:l.first]
	for _, f := range l.facts[l.first:] {
		if f.Kind != kind {
			keep = append(keep, f)
			continue
		}
		f.of.said = slices.DeleteFunc(f.of.said, func(g *Fact) bool { return g == f })
	}
	l.facts = keep
}

// sameOf hears "same drive": the value of the thing before, unless the
// sentence says it in full.
func (l *listener) sameOf(k int, kind Kind) {
	l.used[k] = true
	for i := range l.cs {
		if kind == Drive && l.cs[i].sort == driveChunk || kind == Torque && l.torqueIn(i, i+1) {
			return
		}
	}
	for i := len(l.facts) - 1; i >= 0; i-- {
		if f := l.facts[i]; f.Kind == kind {
			l.laterSpan(k, k+1, kind, f.Value)
			return
		}
	}
}

// sameAs hears "same as the coils": the facts of another thing, when the
// sentence gives none of its own.
func (l *listener) sameAs(k int) {
	l.used[k] = true
	for i := k + 2; i < len(l.cs); i++ {
		if l.cs[i].sort != itemChunk {
			continue
		}
		n := &l.cs[i].noun
		from := l.cast.find((&entity{side: n.side, name: l.lex.Name(n.name()), number: n.number}).key())
		l.used[i] = true
		if from == nil || l.ownValues(k) {
			return
		}
		to := l.focus
		for j := range l.cs[:k] {
			if l.cs[j].sort == itemChunk {
				to = l.cast.meant(&l.cs[j].noun)
			}
		}
		if from != to {
			l.copyFacts(from, to, "")
		}
		return
	}
}

// ownValues reports whether a value stands before chunk k in the sentence.
func (l *listener) ownValues(k int) bool {
	for i := range l.cs[:k] {
		if numeric(&l.cs[i]) || l.cs[i].sort == driveChunk || l.cs[i].sort == threadChunk {
			return true
		}
	}
	return false
}
