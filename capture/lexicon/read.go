package lexicon

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

// Bounds of a text that is read.
const (
	MaxSize   = 1 << 20 // bytes
	maxPhrase = 8       // words
)

// Classes that stand only in a text.
const (
	same Class = "name" // "same:" with an equals sign
	drop Class = "drop"
)

// values lists what may stand after a class, for those that take a value from
// a fixed set. An empty list takes any words.
var values = map[Class][]string{
	Thing: classNames(), Unit: nil, State: {"drained", "closed", "disconnected", "released", "open", "unplugged", "up", "warm", "cold", "hot", "running"},
	Measure: {"pressure", "pressure least", "voltage", "voltage least", "resistance", "current", "length", "volume", "temperature"},
	Side:    nil, Other: nil, From: nil, When: nil, For: nil, Bound: {">=", "<=", "<", ">", "after >=", "after <="},
	Sight: {"seen", "not seen", "by feel", "mirror"}, Access: nil, Threads: {"dry", "oiled", "thread-locked"}, Order: nil,
	Drive: {"T", "E", "hex key", "hex", "square", "slot", "PH"}, Variant: nil, Fixing: nil, Same: {"all", "drive", "torque"},
}

func classNames() []string {
	var out []string
	for _, c := range guide.Classes {
		out = append(out, string(c))
	}
	return out
}

// reader reads one text.
type reader struct {
	name string
	lex  *Lexicon
	list span.List
	seen map[string]int // class and phrase to the line
	line int
}

// Read reads a lexicon. When the list of findings has an error, what could be
// read is returned all the same, so that a caller may show both.
func Read(name string, text []byte) (*Lexicon, span.List) {
	r := &reader{name: name, lex: &Lexicon{first: map[string][]*Term{}, same: map[string]string{}}, seen: map[string]int{}}
	switch {
	case len(text) > MaxSize:
		r.refuse(1, 1, "size", fmt.Sprintf("the lexicon has %d bytes", len(text)), "", fmt.Sprintf("at most %d", MaxSize))
		return r.lex, r.list
	case !utf8.Valid(text):
		r.refuse(1, 1, "encoding", "the lexicon is no UTF-8 text", "", "save it as UTF-8")
		return r.lex, r.list
	}
	for i, line := range strings.Split(strings.TrimPrefix(string(text), "\ufeff"), "\n") {
		r.line = i + 1
		r.readLine(strings.TrimSuffix(line, "\r"))
	}
	r.lex.sort()
	return r.lex, r.list
}

func (r *reader) refuse(line, col int, rule, says, text, expect string) {
	r.list = append(r.list, span.Finding{
		Pos: span.Pos{File: r.name, Line: line, Col: col}, Severity: span.Error, Rule: rule, Says: says, Text: text, Expect: expect,
	})
}

// col is the column of a byte of a line.
func col(line string, at int) int { return utf8.RuneCountInString(line[:at]) + 1 }

func (r *reader) readLine(line string) {
	body, _, _ := strings.Cut(line, "#")
	if strings.TrimSpace(body) == "" {
		return
	}
	head, rest, ok := strings.Cut(body, ":")
	if !ok {
		r.refuse(r.line, 1, "colon", "a line without a colon", strings.TrimSpace(body), "a class, a colon and phrases: thing sensor: sensor, sender")
		return
	}
	at := len(head) + 1
	word, value, _ := strings.Cut(strings.TrimSpace(head), " ")
	switch {
	case word == "same" && strings.Contains(rest, "="):
		r.readSame(line, rest, at)
		return
	case word == string(drop):
		r.phrases(line, rest, at, drop, "")
		return
	case !slices.Contains(Classes, Class(word)):
		r.list = append(r.list, span.Finding{
			Pos: span.Pos{File: r.name, Line: r.line, Col: 1}, Severity: span.Error, Rule: "class", Says: "no class of words has this name", Text: word,
			Expect: "a class such as thing, fastener, unit, tool or filler", Nearest: span.Nearest(word, classWords()),
		})
		return
	}
	value = strings.TrimSpace(value)
	if !r.checkValue(Class(word), value, line) {
		return
	}
	r.phrases(line, rest, at, Class(word), value)
}

func classWords() []string {
	out := []string{"same", "drop"}
	for _, c := range Classes {
		out = append(out, string(c))
	}
	return out
}

// checkValue says what is wrong with the value of a class.
func (r *reader) checkValue(c Class, value, line string) bool {
	known, takes := values[c]
	at := col(line, len(c))
	switch {
	case !takes && value != "":
		r.refuse(r.line, at, "value", "the class takes no value", value, string(c)+":")
		return false
	case takes && value == "":
		r.refuse(r.line, at, "value", "the class needs a value before the colon", string(c), "for example: "+string(c)+" "+example(c)+":")
		return false
	case len(known) > 0 && !slices.Contains(known, value):
		r.list = append(r.list, span.Finding{
			Pos: span.Pos{File: r.name, Line: r.line, Col: at + 1}, Severity: span.Error, Rule: "value", Says: "the class does not know this value", Text: value,
			Expect: strings.Join(known, ", "), Nearest: span.Nearest(value, known),
		})
		return false
	case c == Unit && !unitKnown(value):
		r.refuse(r.line, at+1, "value", "no such unit", value, "a unit such as N·m or bar, and a factor where the word means so many of it: unit L 0.946352946")
		return false
	}
	return true
}

func example(c Class) string {
	if known := values[c]; len(known) > 0 {
		return known[0]
	}
	return map[Class]string{Unit: "N·m", Side: "left", From: "below", When: "idle", Variant: "RHD", Order: "crosswise", Fixing: "rubber"}[c]
}

// unitKnown reports whether a value of the class unit names one.
func unitKnown(value string) bool {
	name, factor, has := strings.Cut(value, " ")
	if has {
		if f, err := strconv.ParseFloat(factor, 64); err != nil || !(f > 0 && f < 1e9) {
			return false
		}
	}
	return name == "turn" && !has || slices.Contains(quantity.Units(), name)
}

// readSame reads "same: kept = other, other".
func (r *reader) readSame(line, rest string, at int) {
	kept, others, _ := strings.Cut(rest, "=")
	to := Fold(kept)
	if to == "" {
		r.refuse(r.line, col(line, at), "phrase", "the name that is kept is missing", "", "same: map sensor = manifold pressure sensor")
		return
	}
	for _, p := range strings.Split(others, ",") {
		from := Fold(p)
		if from == "" {
			r.refuse(r.line, col(line, at), "phrase", "an empty name", "", "names between commas, and no comma at the end")
			continue
		}
		r.lex.same[from] = to
	}
}

// phrases reads what stands after the colon.
func (r *reader) phrases(line, rest string, at int, c Class, value string) {
	for _, p := range strings.Split(rest, ",") {
		here := at + len(p) - len(strings.TrimLeft(p, " \t"))
		at += len(p) + 1
		phrase := Fold(p)
		words := Words(phrase)
		key := string(c) + " " + phrase
		switch {
		case phrase == "":
			r.refuse(r.line, col(line, min(here, len(line))), "phrase", "an empty phrase", "", "phrases between commas, and no comma at the end")
			continue
		case len(words) > maxPhrase:
			r.refuse(r.line, col(line, here), "phrase", "a phrase of more than "+strconv.Itoa(maxPhrase)+" words", phrase, "a shorter one")
			continue
		case r.seen[key] > 0:
			r.refuse(r.line, col(line, here), "twice", fmt.Sprintf("the phrase stood in this class before, in line %d", r.seen[key]), phrase, "each phrase once in a class")
			continue
		}
		r.seen[key] = r.line
		r.lex.add(&Term{Class: c, Value: value, Words: words, Single: phrase})
		if slices.Contains(plural, c) {
			many := slices.Clone(words)
			many[len(many)-1] = Plural(many[len(many)-1])
			r.lex.add(&Term{Class: c, Value: value, Words: many, Plural: true, Single: phrase})
		}
	}
}
