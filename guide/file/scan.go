package file

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"elbowroom/span"
)

// The bounds of what is read.
const (
	// MaxFileSize is the largest file, in bytes: a guide of 50,000 items takes
	// about a third of it.
	MaxFileSize = 48 << 20
	// MaxFiles is the largest number of files in one guide.
	MaxFiles = 1000
	// MaxEntrySize is the largest single entry (an item with its ways, say).
	MaxEntrySize = 1 << 20
	// MaxDepth is how deep values may be nested; the deepest part of a guide
	// needs about ten.
	MaxDepth = 24
	// MaxWidth is the longest line of a file, in bytes.
	MaxWidth = 16 << 10
	// MaxLine is the longest text of a short form or of a list with commas, in
	// bytes.
	MaxLine = 4096
	// MaxFindings is how many findings are reported before the rest are only
	// counted.
	MaxFindings = 1000
	// maxOpen is how many brackets may be open before the parser is asked; it
	// counts those in quotes too and is therefore generous.
	maxOpen = 500
	// maxDashes is how many list dashes may follow one another on a line.
	maxDashes = 20
)

// scanned is one file ready for the parser.
type scanned struct {
	src    *source
	chunks []chunk
	list   span.List
}

// chunk is one entry of the file: a top-level key with its value, or one
// entry of a top-level mapping.
type chunk struct {
	under string // the top-level key that the entry belongs to
	upPos span.Pos
	first int // line, from 0
	lines []string
}

// refuse reports an error that makes the whole file unreadable or changes its
// meaning.
func refuse(pos span.Pos, rule, says, text, expect, do string) span.Finding {
	return span.Finding{Pos: pos, Severity: span.Error, Rule: rule, Says: says, Text: text, Expect: expect, Do: do}
}

// scan checks the characters of a file and cuts it into chunks. A file with a
// nil source cannot be read at all.
func scan(name string, data []byte) scanned {
	if len(data) > MaxFileSize {
		return scanned{list: span.List{refuse(span.Pos{File: name}, "file-size",
			fmt.Sprintf("the file has %d bytes", len(data)), "", fmt.Sprintf("at most %d", MaxFileSize), "spread it over several files")}}
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	if !utf8.ValidString(text) {
		return scanned{list: span.List{refuse(badByte(name, text), "encoding", "not UTF-8 text", "", "a text file saved as UTF-8", "save the file again as UTF-8")}}
	}
	s := scanned{src: &source{name: name, lines: strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")}}
	s.characters()
	s.markers()
	s.cut()
	return s
}

// badByte finds the first byte that is no UTF-8.
func badByte(name, text string) span.Pos {
	pos := span.Pos{File: name, Line: 1, Col: 1}
	for i := 0; i < len(text); {
		c, size := utf8.DecodeRuneInString(text[i:])
		if c == utf8.RuneError && size <= 1 {
			break
		}
		if pos.Col++; c == '\n' {
			pos.Line, pos.Col = pos.Line+1, 1
		}
		i += size
	}
	return pos
}

func (s *scanned) pos(line, col int) span.Pos {
	return span.Pos{File: s.src.name, Line: line + 1, Col: col + 1}
}

// characters reports tabs and control characters and replaces them, so that
// one slip of the keyboard is one finding.
func (s *scanned) characters() {
	for i, l := range s.src.lines {
		if len(l) > MaxWidth {
			s.list = append(s.list, refuse(s.pos(i, 0), "line-width", fmt.Sprintf("a line of %d bytes", len(l)), "", fmt.Sprintf("at most %d", MaxWidth), "break it"))
			l = strings.ToValidUTF8(l[:MaxWidth], "")
			s.src.lines[i] = l
		}
		j := strings.IndexFunc(l, forbidden)
		if j < 0 {
			continue
		}
		c, _ := utf8.DecodeRuneInString(l[j:])
		says, do := fmt.Sprintf("control character U+%04X", c), "delete it"
		if c == '\t' {
			says, do = "tab", "indent and separate with spaces"
		}
		s.list = append(s.list, refuse(s.pos(i, utf8.RuneCountInString(l[:j])), "character", says, "", "spaces and printable characters", do))
		s.src.lines[i] = strings.Map(func(c rune) rune {
			if forbidden(c) {
				return ' '
			}
			return c
		}, l)
	}
}

// forbidden reports characters that a file may not hold: controls, and the
// line and paragraph separators that some programs take for a line break.
func forbidden(c rune) bool {
	return c < ' ' || c >= 0x7f && c < 0xa0 || c == '\u2028' || c == '\u2029' || c == '\ufeff'
}

// markers handles document markers and directives: one leading "---" is
// nothing, all else is refused.
func (s *scanned) markers() {
	started := false
	for i, l := range s.src.lines {
		word, _, _ := strings.Cut(l, " ")
		switch {
		case word == "---" && !started && strings.TrimSpace(l) == "---":
			s.src.lines[i] = ""
		case word == "---" || word == "...":
			s.list = append(s.list, refuse(s.pos(i, 0), "documents", "several documents in one file", word, "one document per file", "delete the line, or put what follows into a file of its own"))
			s.src.lines[i] = ""
		case strings.HasPrefix(l, "%"):
			s.list = append(s.list, refuse(s.pos(i, 0), "directive", "directive", l, "no directives", "delete the line"))
			s.src.lines[i] = ""
		}
		started = started || content(s.src.lines[i])
	}
}

// content reports whether a line holds more than white space and a comment.
func content(l string) bool {
	t := strings.TrimLeft(l, " ")
	return t != "" && t[0] != '#'
}

func indent(l string) int { return len(l) - len(strings.TrimLeft(l, " ")) }

// bareKey matches a key with nothing behind it on its line.
var bareKey = regexp.MustCompile(`^ *("[^"]*"|'[^']*'|[^\s:#"'\[\]{},&*!|>%@-][^:#]*?) *:(?: *| +#.*)$`)

// anyKey matches a line that begins with a key.
var anyKey = regexp.MustCompile(`^ *("[^"]*"|'[^']*'|[^\s:#"'\[\]{},&*!|>%@-][^:#]*?) *:(?: |$)`)

// keyName returns the name in a matched key.
func keyName(m []string) string { return strings.Trim(m[1], `"'`) }

// cut splits the file at its top-level keys, and the long ones at their
// entries. Lines before the first key that say something are a chunk too.
func (s *scanned) cut() {
	starts := s.starts(0, len(s.src.lines), 0, false)
	for i, from := range starts {
		to := len(s.src.lines)
		if i+1 < len(starts) {
			to = starts[i+1]
		}
		s.entries(from, to)
	}
}

// starts returns the lines in [from, to) that begin an entry at the depth:
// keys, or dashes.
func (s *scanned) starts(from, to, depth int, dash bool) []int {
	var out []int
	for i := from; i < to; i++ {
		l := s.src.lines[i]
		if !content(l) {
			continue
		}
		begins := indent(l) == depth && dashed(l) == dash && !strings.ContainsRune("]}", rune(l[indent(l)]))
		if begins || len(out) == 0 {
			out = append(out, i)
		}
	}
	return out
}

// dashed reports whether a line begins with the dash of a list.
func dashed(l string) bool {
	t := strings.TrimLeft(l, " ")
	return t == "-" || strings.HasPrefix(t, "- ")
}

// entries adds one top-level key: whole, or entry by entry where its value is
// a block mapping or list.
func (s *scanned) entries(from, to int) {
	if n := indent(s.src.lines[from]); n > 0 {
		s.list = append(s.list, refuse(s.pos(from, n), "syntax", "the first key is indented", "", "the keys of the top at the left edge", "delete the spaces before it"))
	}
	m := bareKey.FindStringSubmatch(s.src.lines[from])
	next := from + 1
	for next < to && !content(s.src.lines[next]) {
		next++
	}
	if m == nil || next >= to || indent(s.src.lines[from]) > 0 || !s.block(next) {
		s.add(chunk{first: from, lines: s.src.lines[from:to]})
		return
	}
	first := s.src.lines[next]
	starts := s.starts(next, to, indent(first), dashed(first))
	for i, at := range starts {
		end := to
		if i+1 < len(starts) {
			end = starts[i+1]
		}
		s.add(chunk{under: keyName(m), upPos: s.pos(from, 0), first: at, lines: s.src.lines[at:end]})
	}
}

// block reports whether a line begins a block list, or a block mapping below
// its key.
func (s *scanned) block(line int) bool {
	l := s.src.lines[line]
	return dashed(l) || indent(l) > 0 && anyKey.MatchString(l)
}

// add takes a chunk after looking at what would cost the parser too much.
func (s *scanned) add(c chunk) {
	size, open, most := 0, 0, 0
	for i, l := range c.lines {
		size += len(l) + 1
		open += strings.Count(l, "[") + strings.Count(l, "{") - strings.Count(l, "]") - strings.Count(l, "}")
		most = max(most, open, strings.Count(l, "[")+strings.Count(l, "{"))
		if dashes(l) > maxDashes || most > maxOpen {
			s.list = append(s.list, refuse(s.pos(c.first+i, 0), "depth", "nested too deeply", "", fmt.Sprintf("at most %d levels", MaxDepth), "write it flatter"))
			return
		}
	}
	if size > MaxEntrySize {
		s.list = append(s.list, refuse(s.pos(c.first, 0), "entry-size", fmt.Sprintf("an entry of %d bytes", size), "", fmt.Sprintf("at most %d", MaxEntrySize), "divide it"))
		return
	}
	s.chunks = append(s.chunks, c)
}

// dashes counts the list dashes (and "?" and ":") that a line begins with.
func dashes(l string) int {
	n := 0
	for _, c := range l {
		switch c {
		case '-', '?', ':':
			n++
		case ' ':
		default:
			return n
		}
	}
	return n
}
