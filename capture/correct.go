package capture

import (
	"elbowroom/capture/lexicon"
	"elbowroom/quantity"
)

// takeBack carries out what narrators correct themselves: "twenty-four - no,
// twenty-two", "M six, sorry, M eight", "One tab. No, two tabs."
func (p *parser) takeBack() {
	for k := range p.chunks {
		c := &p.chunks[k]
		no := c.sort == plainWord && p.text(c.from) == "no"
		if !no && !p.is(c, lexicon.Correct) {
			continue
		}
		a, b := p.before(k), p.after(k)
		if a < 0 || b < 0 || !p.replaces(&p.chunks[a], &p.chunks[b]) {
			continue
		}
		old, now := &p.chunks[a], &p.chunks[b]
		now.was = p.said(old.from-old.lead, old.to)
		inherit(now, old)
		if p.words[old.to-1].stop == '?' || p.words[old.to-1].ends() {
			p.words[old.to-1].stop = ','
		}
		if w := &p.words[c.to-1]; w.ends() {
			w.stop = ','
		}
		old.sort, c.sort = gone, gone
	}
}

// before and after return the chunk beside k that means something.
func (p *parser) before(k int) int {
	for i := k - 1; i >= 0 && i > k-4; i-- {
		if c := &p.chunks[i]; c.sort != gone && !p.is(c, lexicon.Hedge, lexicon.Correct) {
			return i
		}
	}
	return -1
}

func (p *parser) after(k int) int {
	for i := k + 1; i < len(p.chunks) && i < k+4; i++ {
		c := &p.chunks[i]
		if p.words[c.from].fresh {
			return -1
		}
		if c.sort != gone && !p.is(c, lexicon.Hedge, lexicon.Correct) && !(c.sort == plainWord && p.text(c.from) == "it" || p.text(c.from) == "'s") {
			return i
		}
	}
	return -1
}

// replaces reports whether b can stand in the place of a.
func (p *parser) replaces(a, b *chunk) bool {
	switch {
	case numeric(a) && numeric(b):
		return a.amount.unit == "" || b.amount.unit == "" || sameDimension(a.amount.unit, b.amount.unit)
	case a.sort != b.sort:
		return false
	case a.sort == fastChunk:
		return a.count >= 0 && b.count >= 0 && (a.noun.head == b.noun.head || b.noun.head == "" || a.noun.head == "")
	case a.sort == termChunk:
		for _, c := range []lexicon.Class{lexicon.Threads, lexicon.Sight, lexicon.Order, lexicon.From, lexicon.When} {
			if x, y := p.as(a, c), p.as(b, c); x != nil && y != nil {
				return x.Value != y.Value
			}
		}
		return false
	case a.sort == itemChunk:
		return a.noun.head == b.noun.head && a.noun.name() == b.noun.name() && a.noun.side != b.noun.side
	}
	return a.sort == threadChunk || a.sort == driveChunk || a.sort == waysChunk || a.sort == oneChunk
}

func numeric(c *chunk) bool { return c.sort == amountChunk || c.sort == numberChunk }

func sameDimension(a, b string) bool {
	if a == b {
		return true
	}
	if a == "turn" || b == "turn" {
		return false
	}
	return quantity.Of(1, a).Dimension() == quantity.Of(1, b).Dimension()
}

// inherit gives the corrected value the unit and the bound that were said
// with the first.
func inherit(now, old *chunk) {
	if now.sort == numberChunk && old.amount.unit != "" {
		now.sort, now.amount.unit, now.amount.said = amountChunk, old.amount.unit, old.amount.said
	}
	if numeric(now) && now.amount.bound == "" {
		now.amount.bound = old.amount.bound
	}
	if now.sort == fastChunk && now.noun.head == "" {
		now.noun = old.noun
	}
	now.hedged = now.hedged || old.hedged
}

// said returns the words of the narration from one word to another.
func (p *parser) said(from, to int) string {
	if from >= to || from >= len(p.words) {
		return ""
	}
	first, last := p.words[from], p.words[min(to, len(p.words))-1]
	if first.cue == last.cue {
		return p.t.Cues[first.cue].Text[first.from:last.to]
	}
	s := p.t.Cues[first.cue].Text[first.from:]
	for c := first.cue + 1; c < last.cue; c++ {
		s += " " + p.t.Cues[c].Text
	}
	return s + " " + p.t.Cues[last.cue].Text[:last.to]
}
