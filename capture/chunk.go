package capture

import (
	"slices"
	"strings"

	"elbowroom/capture/lexicon"
	"elbowroom/capture/transcript"
)

// sort is what a chunk is.
type sort int

const (
	plainWord  sort = iota
	termChunk       // a phrase of the lexicon
	itemChunk       // the name of a thing
	fastChunk       // fasteners or small parts, counted or not
	gaugeChunk      // a measured quantity
	toolChunk
	oneChunk // "the right one", "the left exhaust one"
	threadChunk
	driveChunk
	waysChunk // "ten-way"
	amountChunk
	numberChunk
	variantChunk
	gone // taken back, or used up by another chunk
)

// chunk is a piece of a sentence that means one thing.
type chunk struct {
	sort     sort
	from, to int // words
	term     *lexicon.Term
	noun     noun
	amount   amount
	text     string // of a thread, a drive, a variant
	count    int    // of fasteners; -1 is not said
	lead     int    // words right before it that belong to it: its number
	was      string // what it took back
	hedged   bool
}

// noun is a noun phrase.
type noun struct {
	det    string // the word before it that points or counts: the, a, this, each
	side   string
	mods   string // what stands before the head, folded
	head   string // singular
	number int    // of cylinder; 0 is none
	plural bool
	class  lexicon.Class
	value  string // of the head's class
	owner  *noun  // the thing that the fastener or the measured quantity belongs to
	raw    string // as it was said, for showing
}

// name is the folded name without side and number.
func (n *noun) name() string { return strings.TrimSpace(n.mods + " " + n.head) }

// sided is the name with its side.
func (n *noun) sided() string { return strings.TrimSpace(n.side + " " + n.name()) }

// parser turns words into chunks.
type parser struct {
	lex    *lexicon.Lexicon
	t      *transcript.Transcript
	words  []word
	chunks []chunk
}

// term returns the longest phrase of a class at word i.
func (p *parser) term(i int, classes ...lexicon.Class) *lexicon.Term {
	if i >= len(p.words) {
		return nil
	}
	for _, t := range p.lex.At(p.words[i].text) {
		if slices.Contains(classes, t.Class) && matches(p.words, i, t.Words) {
			return t
		}
	}
	return nil
}

// known reports whether a word is any word of the lexicon by itself.
func (p *parser) known(i int) bool {
	for _, t := range p.lex.At(p.words[i].text) {
		if len(t.Words) == 1 {
			return true
		}
	}
	return p.below100(i).n > 0 || p.words[i].digits
}

// parse cuts all words into chunks.
func (p *parser) parse() {
	p.chunks = make([]chunk, 0, len(p.words))
	for i := 0; i < len(p.words); {
		c := p.chunkAt(i)
		c.from = i
		p.chunks = append(p.chunks, c)
		i = c.to
	}
	p.countFasteners()
	p.takeBack()
}

// chunkAt reads the chunk at word i.
func (p *parser) chunkAt(i int) chunk {
	if t := p.term(i, lexicon.Old); t != nil {
		return chunk{sort: termChunk, to: i + len(t.Words), term: t}
	}
	if c := p.thread(i); c.to > i {
		return c
	}
	if c := p.driveAt(i); c.to > i {
		return c
	}
	if c := p.variant(i); c.to > i {
		return c
	}
	phrase := p.phrase(i)
	if phrase != nil && (phrase.Class == lexicon.Bound || phrase.Class == lexicon.About) {
		if c := p.amountAt(i); c.to > i {
			return c
		}
	}
	if phrase != nil && len(phrase.Words) > 1 && !p.longerNoun(i, len(phrase.Words)) {
		return chunk{sort: termChunk, to: i + len(phrase.Words), term: phrase}
	}
	if c := p.amountAt(i); c.to > i {
		return c
	}
	if c := p.one(i); c.to > i {
		return c
	}
	if c := p.nounAt(i); c.to > i {
		return c
	}
	if phrase != nil {
		return chunk{sort: termChunk, to: i + len(phrase.Words), term: phrase}
	}
	return chunk{sort: plainWord, to: i + 1}
}

// nouns are the classes that end a noun phrase; modifiers those that may stand
// inside it.
var (
	nouns  = []lexicon.Class{lexicon.Thing, lexicon.Fastener, lexicon.Loose, lexicon.Small, lexicon.Measure, lexicon.Tool, lexicon.Fluid}
	inner  = append(slices.Clone(nouns), lexicon.Side)
	silent = []lexicon.Class{
		lexicon.Plain, lexicon.Side, lexicon.Unit, lexicon.Metric, lexicon.Customary, lexicon.VariantName, lexicon.VariantWord, lexicon.Bolted,
	}
)

// phrase returns the longest phrase at word i that is neither a noun nor
// merely plain.
func (p *parser) phrase(i int) *lexicon.Term {
	var best *lexicon.Term
	for _, t := range p.lex.At(p.words[i].text) {
		if best != nil && len(t.Words) < len(best.Words) {
			break
		}
		if slices.Contains(nouns, t.Class) || slices.Contains(silent, t.Class) || !matches(p.words, i, t.Words) {
			continue
		}
		if best == nil {
			best = t
		}
	}
	return best
}

// longerNoun reports whether a name of the lexicon at word i is longer than n
// words.
func (p *parser) longerNoun(i, n int) bool {
	t := p.term(i, nouns...)
	return t != nil && len(t.Words) > n
}

// is reports whether a chunk is a phrase of one of the classes. A word that
// stands in several classes counts for each.
func (p *parser) is(c *chunk, classes ...lexicon.Class) bool {
	if c.sort != termChunk {
		return false
	}
	if slices.Contains(classes, c.term.Class) {
		return true
	}
	return p.as(c, classes...) != nil
}

// as returns the term of one of the classes that fills the chunk.
func (p *parser) as(c *chunk, classes ...lexicon.Class) *lexicon.Term {
	for _, t := range p.lex.At(p.words[c.from].text) {
		if len(t.Words) == c.to-c.from && slices.Contains(classes, t.Class) && matches(p.words, c.from, t.Words) {
			return t
		}
	}
	return nil
}

// countFasteners joins a number with the fasteners right after it: "two M8
// bolts", "two T30", "no screws".
func (p *parser) countFasteners() {
	for i := range p.chunks {
		c := &p.chunks[i]
		none := c.to-c.from == 1 && (p.text(c.from) == "no" || p.text(c.from) == "without") && p.words[c.from].stop == 0
		if c.sort != numberChunk && !none {
			continue
		}
		k := i + 1
		if k < len(p.chunks) && p.adjacent(k) && (p.text(p.chunks[k].from) == "x" || p.text(p.chunks[k].from) == "×") {
			k++
		}
		start := k
		for k < len(p.chunks) && k < i+5 && p.adjacent(k) && (p.chunks[k].sort == threadChunk || p.chunks[k].sort == driveChunk || p.is(&p.chunks[k], lexicon.New) || p.chunks[k].sort == amountChunk && p.chunks[k].amount.unit == "mm" || p.chunks[k].sort == plainWord && sized[p.text(p.chunks[k].from)]) {
			k++
		}
		switch {
		case k < len(p.chunks) && p.adjacent(k) && p.chunks[k].sort == fastChunk && p.chunks[k].noun.det == "":
			p.chunks[k].count = whole(c, none)
		case k > start && !none && p.is(&p.chunks[k-1], lexicon.New):
			continue
		case k > start && !none:
			p.chunks[i] = chunk{sort: fastChunk, from: c.from, to: c.to, count: whole(c, false), hedged: c.hedged}
			continue
		default:
			continue
		}
		if p.chunks[k].count < 0 {
			continue
		}
		p.chunks[k].hedged = c.hedged
		if k == i+1 {
			p.chunks[k].lead = c.to - c.from
		}
		c.sort = gone
	}
}

// sized are adjectives that stand between a count and its fasteners.
var sized = map[string]bool{"long": true, "short": true, "small": true, "big": true, "little": true, "large": true, "special": true, "collared": true}

func whole(c *chunk, none bool) int {
	if none {
		return 0
	}
	n := int(c.amount.low)
	if float64(n) != c.amount.low || n < 0 || n > mostFasteners || c.amount.high != c.amount.low {
		return -1
	}
	return n
}

// mostFasteners is the largest count that is believed.
const mostFasteners = 200

// adjacent reports whether chunk k goes on from the one before without a mark.
func (p *parser) adjacent(k int) bool {
	return k > 0 && p.run(p.chunks[k].from)
}
