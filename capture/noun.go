package capture

import (
	"slices"
	"strings"

	"elbowroom/capture/lexicon"
)

// dets are the words that may open a noun phrase.
var dets = map[string]bool{
	"the": true, "a": true, "an": true, "this": true, "that": true, "these": true, "those": true, "each": true, "every": true, "its": true, "their": true,
	"my": true, "your": true, "our": true, "both": true, "all": true, "another": true,
}

// colours and sizes say nothing that a name keeps.
var faint = map[string]bool{
	"grey": true, "gray": true, "black": true, "white": true, "red": true, "green": true, "blue": true, "yellow": true, "brown": true, "orange": true,
	"little": true, "big": true, "small": true, "whole": true, "old": true, "same": true, "main": true, "other": true, "first": true, "large": true,
}

// most of the words of a name, and of those the lexicon does not know.
const (
	mostParts   = 6
	mostUnknown = 3
)

// part is a piece of a noun phrase.
type part struct {
	from, to int
	term     *lexicon.Term // nil for a word that the lexicon does not know
}

// nounAt reads a noun phrase at word i: an item, fasteners, a measured
// quantity or a tool, told by the last noun.
func (p *parser) nounAt(i int) chunk {
	at, det := i, ""
	for dets[p.text(at)] && (at == i || p.run(at)) && p.run(at+1) {
		det = p.text(at)
		at++
	}
	for faint[p.text(at)] && p.run(at+1) {
		at++
	}
	parts := p.parts(at)
	for len(parts) > 0 && (parts[len(parts)-1].term == nil || !slices.Contains(nouns, parts[len(parts)-1].term.Class)) {
		parts = parts[:len(parts)-1]
	}
	if len(parts) == 0 {
		return chunk{}
	}
	last := parts[len(parts)-1]
	n := p.makeNoun(parts, det)
	c := chunk{to: last.to, noun: n, count: -1, sort: itemChunk}
	switch last.term.Class {
	case lexicon.Fastener, lexicon.Loose, lexicon.Small:
		c.sort = fastChunk
	case lexicon.Measure:
		c.sort = gaugeChunk
	case lexicon.Tool:
		c.sort = toolChunk
	}
	if c.sort == itemChunk {
		c.to = p.numbered(&c.noun, c.to)
	}
	return c
}

// parts collects the words that can belong to one name.
func (p *parser) parts(i int) []part {
	var list []part
	unknown := 0
	for at := i; at < len(p.words) && len(list) < mostParts && (at == i || p.run(at)); {
		if f := p.term(at, lexicon.Fixing); f != nil && len(f.Words) > 1 {
			break
		}
		if t := p.term(at, inner...); t != nil {
			list = append(list, part{at, at + len(t.Words), t})
			at += len(t.Words)
			continue
		}
		if p.text(at) == "and" && len(list) == 1 && at == i+1 && p.coordinated(at+1, list[0]) {
			list = append(list, part{at, at + 1, nil})
			at++
			continue
		}
		if n := p.compound(at); n > 0 && unknown < mostUnknown {
			list = append(list, part{at, at + n, nil})
			at += n
			unknown++
			continue
		}
		if p.known(at) && !fuels[p.text(at)] || unknown == mostUnknown || !wordy(p.text(at)) {
			break
		}
		unknown++
		list = append(list, part{at, at + 1, nil})
		at++
	}
	return list
}

// fuels tell engines apart and things of one engine too: "gas pressure".
var fuels = map[string]bool{"gas": true, "diesel": true, "petrol": true, "propane": true, "electric": true}

// compound returns how many words hyphens join at a word that is no noun:
// "leak-off", "hold-down".
func (p *parser) compound(at int) int {
	n := 1
	for p.run(at+n) && p.words[at+n].glued {
		if p.number(at+n-1).n > 0 || p.number(at+n).n > 0 || dets[p.text(at+n-1)] {
			return 0
		}
		n++
	}
	if n == 1 || p.run(at) && p.words[at].glued {
		return 0
	}
	return n
}

// coordinated reports whether a name goes on after "and" as in "intake and
// exhaust manifold": what stands before is no whole name by the look of it.
func (p *parser) coordinated(at int, first part) bool {
	if !p.run(at) || first.to-first.from != 1 {
		return false
	}
	second := p.term(at, inner...)
	if second == nil || first.term == nil || len(second.Words) < 2 || second.Class != lexicon.Thing {
		return false
	}
	joint := p.text(first.from) + " " + second.Words[len(second.Words)-1]
	for _, t := range p.lex.At(p.text(first.from)) {
		if t.Single == joint {
			return true
		}
	}
	return false
}

// wordy reports whether a word can be part of a name.
func wordy(s string) bool {
	return len(s) > 1 && !strings.ContainsAny(s, "'") || len(s) == 1 && s >= "a" && s <= "z"
}

// makeNoun builds the noun phrase of parts, the last being its head.
func (p *parser) makeNoun(parts []part, det string) noun {
	last := parts[len(parts)-1]
	n := noun{det: det, head: last.term.Single, plural: last.term.Plural, class: last.term.Class, value: last.term.Value}
	var mods []string
	for _, x := range parts[:len(parts)-1] {
		switch {
		case x.term != nil && x.term.Class == lexicon.Side && n.side == "":
			n.side = x.term.Value
		case x.term != nil && x.term.Class == lexicon.Thing:
			mods = append(mods, x.term.Single)
		default:
			mods = append(mods, p.joinWords(x.from, x.to))
		}
	}
	n.mods = strings.Join(mods, " ")
	n.raw = p.shown(parts, n)
	if last.term.Class != lexicon.Thing && last.term.Class != lexicon.Fluid && last.term.Class != lexicon.Tool {
		n.owner = p.ownerOf(parts[:len(parts)-1])
	}
	if n.owner != nil || last.term.Class == lexicon.Measure && generic[n.mods] {
		n.mods, n.side, n.raw = "", "", n.head
	}
	return n
}

// ownerOf returns the thing whose fastener or measured quantity it is: the
// parts up to the last thing.
func (p *parser) ownerOf(parts []part) *noun {
	for k := len(parts) - 1; k >= 0; k-- {
		if t := parts[k].term; t != nil && t.Class == lexicon.Thing && !(generic[t.Single] && k == 0) {
			n := p.makeNoun(parts[:k+1], "")
			return &n
		}
	}
	return nil
}

func (p *parser) joinWords(from, to int) string {
	var s []string
	for k := from; k < to; k++ {
		s = append(s, p.words[k].text)
	}
	return strings.Join(s, " ")
}

// shown writes a name as it was said, without its side, with the hyphens.
func (p *parser) shown(parts []part, n noun) string {
	var b strings.Builder
	for i, x := range parts {
		if x.term != nil && x.term.Class == lexicon.Side && x.term.Value == n.side {
			continue
		}
		last := i == len(parts)-1
		for k := x.from; k < x.to; k++ {
			if b.Len() > 0 {
				if p.words[k].glued {
					b.WriteByte('-')
				} else {
					b.WriteByte(' ')
				}
			}
			w := p.words[k]
			raw := p.t.Cues[w.cue].Text[w.from:w.to]
			if last && k == x.to-1 && n.plural {
				single := strings.Fields(n.head)
				raw = single[len(single)-1]
			}
			if !abbreviation(raw) {
				raw = strings.ToLower(raw)
			}
			b.WriteString(raw)
		}
	}
	return b.String()
}

// abbreviation reports whether a word is written in capitals.
func abbreviation(s string) bool { return len(s) > 1 && strings.ToUpper(s) == s }

// mostCylinders is the largest number that can end a name.
const mostCylinders = 16

// numbered reads the number of "injector four" and returns where it ends.
func (p *parser) numbered(n *noun, at int) int {
	if !p.run(at) || n.plural || n.value == "fluid" {
		return at
	}
	x := p.below100(at)
	if p.words[at].digits {
		x = number{value: p.words[at].num, n: 1}
	}
	if x.n == 0 || x.value < 1 || x.value > mostCylinders || x.value != float64(int(x.value)) || valveSides[n.name()] {
		return at
	}
	end := at + x.n
	if p.words[end-1].stop == 0 && p.run(end) {
		next := p.text(end)
		if p.term(end, lexicon.Unit, lexicon.Drive, lexicon.Correct, lexicon.VariantName, lexicon.Tool) != nil || p.number(end).n > 0 || next == "no" || next == "to" || next == "of" || next == "point" || next == "m" || next == "way" || next == "pin" || next == "and" {
			return at
		}
		if c := p.nounAt(end); c.to > end {
			return at
		}
	}
	n.number = int(x.value)
	return end
}

// one reads "the right one", "the left exhaust one": modifiers and the word
// one.
func (p *parser) one(i int) chunk {
	at := i
	for dets[p.text(at)] && p.run(at+1) {
		at++
	}
	n := noun{det: p.text(i)}
	var mods []string
	start, plural := at, false
	for p.text(at) != "one" && p.text(at) != "ones" {
		t := p.term(at, inner...)
		switch {
		case t != nil && t.Class == lexicon.Side:
			n.side = t.Value
		case t != nil && (t.Class == lexicon.Thing || t.Class == lexicon.Fluid):
			mods = append(mods, t.Single)
		case t == nil && at < len(p.words) && !p.known(at) && wordy(p.text(at)):
			mods = append(mods, p.text(at))
		default:
			return chunk{}
		}
		if t != nil {
			plural = t.Plural
			at += len(t.Words)
		} else {
			at++
		}
		if at-start > 3 || !p.run(at) {
			return chunk{}
		}
	}
	if at == start || plural || p.run(at+1) && (p.number(at+1).n > 0 || p.driveAt(at+1).to > 0) {
		return chunk{}
	}
	if p.run(at+1) && (p.term(at+1, lexicon.Fastener, lexicon.Small, lexicon.Loose, lexicon.Unit) != nil || p.thread(at+1).to > 0) {
		return chunk{}
	}
	n.mods, n.plural = strings.Join(mods, " "), p.text(at) == "ones"
	return chunk{sort: oneChunk, to: at + 1, noun: n}
}

// variant reads "on the right-hand drive", "on the older engine", "on the B
// engine", "on the trucks with air conditioning".
func (p *parser) variant(i int) chunk {
	at := i
	led := false
	if w := p.text(at); w == "on" || w == "for" || w == "in" {
		led = true
		at++
	}
	if p.text(at) == "the" && (at == i || p.run(at)) {
		at++
	}
	if at > i && !p.run(at) {
		return chunk{}
	}
	if t := p.term(at, lexicon.Variant); t != nil {
		end := at + len(t.Words)
		if led && p.run(end) && p.term(end, lexicon.VariantWord) != nil {
			end += len(p.term(end, lexicon.VariantWord).Words)
		}
		if !led {
			return chunk{}
		}
		return chunk{sort: variantChunk, to: end, text: t.Value}
	}
	if !led || at == i+1 {
		return chunk{}
	}
	return p.variantNamed(at)
}

// variantNamed reads the name of a variant and the word after it.
func (p *parser) variantNamed(at int) chunk {
	name := p.term(at, lexicon.VariantName)
	end := at
	switch {
	case name != nil:
		end = at + len(name.Words)
	case p.term(at, lexicon.VariantWord) != nil && len(p.next(at+1)) > 0 && p.next(at+1) == "with":
		c := p.withoutThe(at + 2)
		return c
	case at < len(p.words) && wordy(p.text(at)) && (!p.known(at) || p.run(at+1) && p.words[at+1].glued):
		end = at + 1
		for p.run(end) && p.words[end].glued {
			end++
		}
	default:
		return chunk{}
	}
	text := p.hyphened(at, end)
	if p.run(end) {
		if w := p.term(end, lexicon.VariantWord); w != nil {
			noun := w.Words[0]
			end += len(w.Words)
			if (noun == "engine") && name != nil && len(text) > 1 {
				text += " engine"
			}
			return chunk{sort: variantChunk, to: end, text: variantText(text)}
		}
	}
	if name != nil && (text == "diesel" || text == "petrol" || text == "automatic") && (!p.run(end) || p.term(end, nouns...) == nil && !p.unknownNoun(end)) {
		return chunk{sort: variantChunk, to: end, text: text}
	}
	return chunk{}
}

// hyphened writes words as they were said, hyphens kept.
func (p *parser) hyphened(from, to int) string {
	s := ""
	for k := from; k < to; k++ {
		switch {
		case k > from && p.words[k].glued:
			s += "-"
		case k > from:
			s += " "
		}
		s += p.words[k].text
	}
	return s
}

// unknownNoun reports whether a noun phrase begins at the word.
func (p *parser) unknownNoun(at int) bool { return p.nounAt(at).to > at }

// withoutThe reads what follows "with" in the name of a variant.
func (p *parser) withoutThe(at int) chunk {
	end := at
	for end < at+3 && p.run(end) && (!p.known(end) || end == at) && p.term(end, nouns...) == nil {
		end++
	}
	if end == at {
		return chunk{}
	}
	return chunk{sort: variantChunk, to: end, text: p.joinWords(at, end)}
}

// variantText writes a variant as a guide would: a single letter large.
func variantText(s string) string {
	if len(s) == 1 {
		return strings.ToUpper(s)
	}
	return s
}
