package capture

import (
	"elbowroom/capture/lexicon"
)

// How much speaks for a passage being noise. A noise word alone is enough; so
// are two stutters, or one with a broken end.
const (
	noiseWeight   = 3
	stutterWeight = 2
	brokenWeight  = 1
	garbledAt     = 3
)

// dangling are words that no sentence ends with.
var dangling = map[string]bool{
	"the": true, "a": true, "an": true, "of": true, "in": true, "on": true, "at": true, "to": true, "with": true, "and": true, "or": true, "but": true, "says": true, "my": true,
}

// garbled reports whether the words of a sentence are noise of a recogniser or
// a broken-off stammer, and says why.
func (p *parser) garbled(chunks []chunk) string {
	from, to := chunks[0].from, chunks[len(chunks)-1].to
	score := 0
	why := ""
	for i := from; i < to; i++ {
		if p.term(i, lexicon.Noise) != nil {
			score += noiseWeight
			why = "noise"
		}
	}
	if n := p.stutters(from, to); n > 0 {
		score += n * stutterWeight
		if why == "" {
			why = "words repeated without sense"
		}
	}
	if score > 0 && p.harped(from, to) {
		score++
	}
	if to > from && dangling[p.words[to-1].text] && to-from > 2 {
		score += brokenWeight
		if why == "" {
			why = "broken off"
		}
	}
	if n := p.jumble(chunks); n > 0 {
		score += n
		if why == "" {
			why = "words without sense"
		}
	}
	if score < garbledAt {
		return ""
	}
	return why
}

// harped reports whether one long word comes three times in a sentence.
func (p *parser) harped(from, to int) bool {
	count := map[string]int{}
	for i := from; i < to; i++ {
		w := p.words[i].text
		if len(w) <= 3 {
			continue
		}
		count[w]++
		if count[w] == 3 {
			return true
		}
	}
	return false
}

// stutters counts stretches of one to three words that are said twice in a
// row. A single word said twice counts only when it happens again: everybody
// stammers once.
func (p *parser) stutters(from, to int) int {
	long, short := 0, 0
	for i := from; i < to; i++ {
		for n := 3; n >= 1; n-- {
			if i+2*n > to || !p.repeats(i, n) {
				continue
			}
			if n == 1 {
				short++
			} else {
				long++
			}
			i += n - 1
			break
		}
	}
	if short > 1 {
		long += short - 1
	}
	return long
}

func (p *parser) repeats(i, n int) bool {
	for k := range n {
		w := p.words[i+k]
		if w.text != p.words[i+n+k].text || w.digits || w.ends() || ones[w.text] > 0 {
			return false
		}
	}
	return true
}

// mostJumble is the share of words unknown to the lexicon above which a
// sentence with a broken correction is no sentence.
const mostJumble = 0.2

// jumble scores a sentence that takes something back without putting anything
// in its place, names nothing, and is full of words of no trade.
func (p *parser) jumble(chunks []chunk) int {
	from, to := chunks[0].from, chunks[len(chunks)-1].to
	unknown, named, taken := 0, false, false
	for i := range chunks {
		c := &chunks[i]
		switch {
		case c.sort == itemChunk || c.sort == fastChunk || c.sort == gaugeChunk || c.sort == oneChunk:
			named = true
		case c.sort == termChunk && p.is(c, lexicon.Correct):
			taken = true
		case c.sort == plainWord && !p.known(c.from):
			unknown++
		}
	}
	if named || !taken || float64(unknown) < mostJumble*float64(to-from) {
		return 0
	}
	return 2 + unknown/2
}
