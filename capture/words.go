package capture

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"elbowroom/capture/lexicon"
	"elbowroom/capture/transcript"
)

// word is one word of the narration, folded, with its place.
type word struct {
	text     string // folded: small letters, no hyphen, no clitic
	cue      int
	from, to int  // bytes of the cue's text
	stop     byte // what parts it from the next word: 0 , ; : . ? ! or - for a dash
	glued    bool // a hyphen joined it to the word before
	fresh    bool // the speaker changed before it, or a cue without punctuation began
	digits   bool // it was written in digits
	num      float64
}

// ends reports whether a sentence ends after the word.
func (w *word) ends() bool { return w.stop == '.' || w.stop == '?' || w.stop == '!' }

// split cuts the cues into words.
func split(t *transcript.Transcript, lex *lexicon.Lexicon) []word {
	var words []word
	total := 0
	for i := range t.Cues {
		total += len(t.Cues[i].Text)/5 + 1
	}
	words = make([]word, 0, total)
	bare := unpunctuated(t)
	speaker := ""
	for i := range t.Cues {
		c := &t.Cues[i]
		first := len(words)
		words = splitCue(words, c.Text, i)
		alone := bare || t.Form == transcript.Notes || t.Form == transcript.Table
		if len(words) > first && first > 0 && (c.Speaker != speaker || alone) {
			words[first].fresh = true
		}
		speaker = c.Speaker
	}
	return unfilled(words, lex)
}

// wordsPerStop is how many words a sentence has at most on average before a
// narration counts as one without punctuation.
const wordsPerStop = 40

// unpunctuated reports whether a narration has no marks to speak of; its cues
// then count as sentences.
func unpunctuated(t *transcript.Transcript) bool {
	words, stops := 0, 0
	for i := range t.Cues {
		words += strings.Count(t.Cues[i].Text, " ") + 1
		stops += strings.Count(t.Cues[i].Text, ". ") + strings.Count(t.Cues[i].Text, "? ")
		if s := t.Cues[i].Text; s != "" && strings.IndexByte(".?!", s[len(s)-1]) >= 0 {
			stops++
		}
	}
	return words > wordsPerStop*stops
}

// splitCue appends the words of one cue.
func splitCue(words []word, text string, cue int) []word {
	glued := false
	for at := 0; at < len(text); {
		r, n := utf8.DecodeRuneInString(text[at:])
		switch {
		case unicode.IsSpace(r):
			glued = false
			at += n
		case r == '-' || r == '–' || r == '—' || r == '‑':
			at = dash(words, text, at, n, cue, &glued)
		case unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("½¼¾°%Ω", r):
			before := len(words)
			words, at = takeWord(words, text, at, cue)
			words[before].glued, glued = glued, false
		case r == '.' && at+1 < len(text) && text[at+1] == '.':
			words = append(words, word{text: "to", cue: cue, from: at, to: at + 2})
			for at < len(text) && text[at] == '.' {
				at++
			}
		case strings.ContainsRune(",.;:?!", r):
			stopAt(words, cue, byte(r))
			at += n
		case strings.ContainsRune("([{)]}\"", r):
			stopAt(words, cue, ',')
			at += n
		default:
			at += n
		}
	}
	return words
}

// stopAt puts a mark after the last word of the cue; the stronger one stays.
func stopAt(words []word, cue int, stop byte) {
	if len(words) == 0 || words[len(words)-1].cue != cue {
		return
	}
	w := &words[len(words)-1]
	if strength(stop) > strength(w.stop) {
		w.stop = stop
	}
}

// strength orders the marks.
func strength(stop byte) int { return strings.IndexByte("\x00,-;:!.?", stop) }

// dash reads a hyphen: between letters it joins, between digits it is a range,
// between spaces it parts.
func dash(words []word, text string, at, n, cue int, glued *bool) int {
	next := at + n
	for next < len(text) && (text[next] == '-' || text[next] == ' ') {
		next++
	}
	tight := at > 0 && text[at-1] != ' ' && next == at+n
	if tight && next < len(text) && len(words) > 0 {
		*glued = true
		return next
	}
	stopAt(words, cue, '-')
	return next
}

// takeWord reads one word and its clitic, or a number with what is written
// against it: 7Nm, M8x25, 1,200, 8.5, 3/8.
func takeWord(words []word, text string, at, cue int) ([]word, int) {
	start := at
	r, n := utf8.DecodeRuneInString(text[at:])
	if unicode.IsDigit(r) || strings.ContainsRune("½¼¾", r) {
		end := numeral(text, at)
		words = append(words, word{text: strings.ReplaceAll(text[at:end], ",", ""), cue: cue, from: at, to: end, digits: true})
		words[len(words)-1].num, words[len(words)-1].digits = digitValue(words[len(words)-1].text)
		return words, end
	}
	if strings.ContainsRune("°%", r) {
		at += n
		if r == '°' && at < len(text) && (text[at] == 'C' || text[at] == 'F') {
			at++
		}
		return append(words, word{text: lexicon.Fold(text[start:at]), cue: cue, from: start, to: at}), at
	}
	for at < len(text) {
		r, n = utf8.DecodeRuneInString(text[at:])
		if !unicode.IsLetter(r) && !strings.ContainsRune("'’·²", r) {
			break
		}
		at += n
	}
	full := strings.TrimRight(lexicon.Fold(text[start:at]), "'")
	if k := lexicon.Clitic(full); k > 0 && at-len(full)+k > start && utf8.RuneStart(text[at-len(full)+k]) {
		cut := at - len(full) + k
		return append(words, word{text: full[:k], cue: cue, from: start, to: cut}, word{text: full[k:], cue: cue, from: cut, to: at}), at
	}
	return append(words, word{text: full, cue: cue, from: start, to: at}), at
}

// numeral returns the end of a number written in digits: one point, groups of
// three after commas, a fraction.
func numeral(text string, at int) int {
	end := at
	for end < len(text) {
		r, n := utf8.DecodeRuneInString(text[end:])
		next := byte(0)
		if end+n < len(text) {
			next = text[end+n]
		}
		digit := next >= '0' && next <= '9'
		switch {
		case r >= '0' && r <= '9', strings.ContainsRune("½¼¾", r):
		case (r == '.' || r == '/') && digit && !strings.ContainsAny(text[at:end], "./"):
		case r == ',' && digit && groupOfThree(text[end+1:]):
		default:
			return end
		}
		end += n
	}
	return end
}

func groupOfThree(s string) bool {
	for i := range 4 {
		digit := i < len(s) && s[i] >= '0' && s[i] <= '9'
		if digit != (i < 3) {
			return false
		}
	}
	return true
}

// unfilled drops what only fills a pause. A mark after a dropped word moves to
// the word before.
func unfilled(words []word, lex *lexicon.Lexicon) []word {
	out := words[:0]
	fresh := false
	for i := 0; i < len(words); {
		n := fillerAt(words, i, lex)
		if n == 0 {
			w := words[i]
			w.fresh = w.fresh || fresh
			fresh = false
			out = append(out, w)
			i++
			continue
		}
		last := words[i+n-1]
		fresh = fresh || words[i].fresh
		if len(out) > 0 && !fresh && strength(last.stop) > strength(out[len(out)-1].stop) && (last.ends() || out[len(out)-1].stop != 0) {
			out[len(out)-1].stop = last.stop
		}
		i += n
	}
	return out
}

// fillerAt returns how many words at i only fill a pause.
func fillerAt(words []word, i int, lex *lexicon.Lexicon) int {
	for _, t := range lex.At(words[i].text) {
		if t.Class == lexicon.Filler && matches(words, i, t.Words) {
			return len(t.Words)
		}
	}
	start := i == 0 || words[i].fresh || words[i-1].ends()
	if start && words[i].stop == ',' && (words[i].text == "right" || words[i].text == "so" || words[i].text == "now") {
		return 1
	}
	return 0
}

// matches reports whether a phrase stands at i, not across a mark.
func matches(words []word, i int, phrase []string) bool {
	if i+len(phrase) > len(words) {
		return false
	}
	for k, p := range phrase {
		w := &words[i+k]
		if w.text != p || k > 0 && (words[i+k-1].stop != 0 || w.fresh) {
			return false
		}
	}
	return true
}
