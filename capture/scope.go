package capture

import (
	"strings"
	"unicode"

	"elbowroom/capture/lexicon"
)

// variants finds what variant the sentence, or the rest of it, is about. A
// variant that opens the sentence holds for all of it; one that closes a
// clause holds from the last "or", full stop or comma before it.
func (l *listener) variants() {
	for k := range l.cs {
		c := &l.cs[k]
		if c.sort != variantChunk || k > 0 && l.text(k-1) == "this" {
			continue
		}
		l.used[k] = true
		if k <= 1 {
			l.forWhat = c.text
		}
	}
}

// variantAfter returns the variant that follows a value in its clause.
func (l *listener) variantAfter(k int) string {
	for i := k + 1; i < len(l.cs) && l.adjacent(i); i++ {
		if l.cs[i].sort == variantChunk {
			return l.cs[i].text
		}
		if numeric(&l.cs[i]) || l.cs[i].sort == fastChunk {
			return ""
		}
	}
	return ""
}

// hearsay finds who is quoted and from which chunk on.
func (l *listener) hearsay() {
	for k := range l.cs {
		if !l.is(k, lexicon.Says) {
			continue
		}
		if who := l.quoted(k); who != "" {
			l.who = who
			for i := range l.cs[:k+1] {
				if l.is(i, lexicon.Who) {
					l.used[i] = true
				}
			}
			l.used[k] = true
			return
		}
	}
}

// quoted returns who stands before a verb of saying.
func (l *listener) quoted(k int) string {
	if l.cs[k].term.Single == "according to" {
		return l.quotedAfter(k)
	}
	for i := k - 1; i >= 0; i-- {
		c := &l.cs[i]
		if l.is(i, lexicon.Who) && !l.atPlace(i) {
			name := l.p.joinWords(c.from, c.to)
			if i > 0 && l.text(i-1) == "the" {
				return "the " + name
			}
			return name
		}
		w := &l.p.words[c.from]
		raw := l.p.t.Cues[w.cue].Text[w.from:w.to]
		if c.sort == plainWord && !l.p.known(c.from) && unicode.IsUpper([]rune(raw)[0]) {
			return raw
		}
		if w.text == "i" || w.text == "we" || w.text == "it" || w.text == "that" {
			return ""
		}
	}
	if k > 0 {
		return "somebody"
	}
	return ""
}

// atPlace reports whether somebody is only named for where another was:
// "Fenwick at the yard".
func (l *listener) atPlace(k int) bool {
	if l.text(k-1) == "the" {
		k--
	}
	return l.text(k-1) == "at" || l.text(k-1) == "from" || l.is(k-1, lexicon.Where)
}

// quotedAfter returns who is named after "according to".
func (l *listener) quotedAfter(k int) string {
	the := ""
	for i := k + 1; i < len(l.cs) && i < k+4; i++ {
		c := &l.cs[i]
		switch {
		case l.is(i, lexicon.Who):
			l.used[i] = true
			return the + l.p.joinWords(c.from, c.to)
		case l.text(i) == "the":
			the = "the "
		case c.sort == plainWord && !l.p.known(c.from):
			w := &l.p.words[c.from]
			return the + l.p.t.Cues[w.cue].Text[w.from:w.to]
		}
	}
	return ""
}

// whoAt returns who is quoted at chunk k: from the verb of saying to the end
// of the sentence or to where the narrator speaks for himself again.
func (l *listener) whoAt(k int) string {
	if l.who == "" {
		return ""
	}
	said := l.find(0, lexicon.Says)
	if k < said {
		return ""
	}
	for i := said + 1; i <= k; i++ {
		if l.is(i, lexicon.Myself) || l.text(i) == "but" && l.text(i+1) == "i" || (l.text(i) == "i" || l.text(i) == "we") && !l.adjacent(i) {
			return ""
		}
	}
	return l.who
}

// hedgedAt reports whether a number is said unsurely: a hedge in front of it
// in the sentence, with no other number between, or after it in its clause.
func (l *listener) hedgedAt(k int) bool {
	c := &l.cs[k]
	if c.hedged || c.amount.hedged {
		return true
	}
	if !numeric(c) && c.sort != fastChunk {
		return false
	}
	for i := k - 1; i >= 0; i-- {
		if numeric(&l.cs[i]) || l.cs[i].sort == fastChunk || l.cs[i].sort == threadChunk || l.cs[i].sort == driveChunk {
			break
		}
		if l.is(i, lexicon.Hedge) {
			return !l.is(i, lexicon.Unknown) || k-i <= 2
		}
	}
	for i := k + 1; i < len(l.cs); i++ {
		x := &l.cs[i]
		if numeric(x) || x.sort == itemChunk || x.sort == fastChunk || l.p.words[x.from-1].stop == '-' {
			return false
		}
		if l.is(i, lexicon.Hedge) && !l.is(i, lexicon.Unknown) {
			return l.text(i) != "what" && l.noNumberAfter(i)
		}
	}
	return false
}

func (l *listener) noNumberAfter(k int) bool {
	for i := k + 1; i < len(l.cs); i++ {
		if numeric(&l.cs[i]) {
			return false
		}
	}
	return true
}

// choices finds what the narrator leaves open: "new seal or no seal".
func (l *listener) choices() {
	for k := range l.cs {
		if !l.is(k, lexicon.New) || k+2 >= len(l.cs) {
			continue
		}
		a := k + 1
		if l.cs[a].sort != fastChunk && l.cs[a].sort != itemChunk {
			continue
		}
		for b := a + 1; b <= a+4 && b < len(l.cs); b++ {
			x := &l.cs[b]
			none := x.sort == fastChunk && (x.count == 0 || l.text(b-1) == "no") || l.is(b, lexicon.New) && l.text(b-1) == "no"
			same := x.noun.head == l.cs[a].noun.head || l.is(b, lexicon.New)
			if none && same {
				what := l.cs[a].noun.head
				l.gap(gap{sort: "choice", of: l.focus, at: l.moment(l.cs[k].from, x.to), text: "new " + what + " or no " + what})
				l.use(k, b+1)
				if l.is(b, lexicon.New) {
					l.use(b+1, b+2)
				}
				for i := range l.cs {
					if l.is(i, lexicon.Unknown) {
						l.used[i] = true
					}
				}
				return
			}
		}
	}
}

// words returns what was said from chunk a up to chunk b, in small letters and
// without the mark at the end.
func (l *listener) words(a, b int) string {
	s := strings.Join(strings.Fields(l.p.said(l.cs[a].from-l.cs[a].lead, l.cs[b-1].to)), " ")
	for _, lead := range []string{"and ", "And ", "then ", "but ", "so ", "or "} {
		s = strings.TrimPrefix(s, lead)
	}
	if first, _, _ := strings.Cut(s, " "); !abbreviation(first) && first != "I" {
		s = strings.ToLower(s[:1]) + s[1:]
	}
	return s
}
