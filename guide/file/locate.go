package file

import (
	"strings"
	"unicode/utf8"

	"elbowroom/span"
)

// at returns where the byte offset of a scalar's text stands in the file. It
// walks the raw text beside the decoded one: quotes, escapes and folded lines
// make the two differ.
func (n *node) at(offset int) span.Pos { return n.places([]int{offset})[0] }

// places returns where several offsets stand, given in ascending order, in
// one walk.
func (n *node) places(offsets []int) []span.Pos {
	out := make([]span.Pos, len(offsets))
	for i := range out {
		out[i] = n.pos
	}
	if n.src == nil || n.pos.Line < 1 || n.pos.Line > len(n.src.lines) {
		return out
	}
	w := walker{src: n.src, line: n.pos.Line, col: n.pos.Col, style: n.style}
	if n.style == single || n.style == double {
		w.col++
	}
	w.load()
	if n.style == block {
		w.literal = strings.HasPrefix(w.rest, "|")
		w.nextLine()
	}
	i := 0
	for k, offset := range offsets {
		for i < offset && i < len(n.text) {
			_, size := utf8.DecodeRuneInString(n.text[i:])
			w.step(n.text[i] == ' ' || n.text[i] == '\n')
			i += size
		}
		out[k] = span.Pos{File: n.pos.File, Line: w.line, Col: w.col}
	}
	return out
}

// walker is a place in the raw text.
type walker struct {
	src   *source
	line  int
	col   int
	style style
	rest  string // of the line, from col on

	literal bool // every line break counts
	indent  int  // of a literal block, once known
}

func (w *walker) load() {
	w.rest = ""
	if w.line > len(w.src.lines) {
		return
	}
	s := w.src.lines[w.line-1]
	for i := 1; i < w.col && s != ""; i++ {
		_, size := utf8.DecodeRuneInString(s)
		s = s[size:]
	}
	w.rest = s
}

// step moves over the raw text of one character. A space of the text may be a
// line break with its white space in the file.
func (w *walker) step(space bool) {
	if space && strings.TrimRight(w.rest, " ") == "" {
		w.nextLine()
		return
	}
	n := 1
	switch {
	case w.style == single && strings.HasPrefix(w.rest, "''"):
		n = 2
	case w.style == double && strings.HasPrefix(w.rest, `\`):
		n = escapeLength(w.rest)
	}
	for range n {
		_, size := utf8.DecodeRuneInString(w.rest)
		w.rest = w.rest[size:]
		w.col++
	}
}

// escapeLength returns the characters of the escape at the start of s.
func escapeLength(s string) int {
	if len(s) < 2 {
		return 1
	}
	switch s[1] {
	case 'x':
		return 4
	case 'u':
		return 6
	case 'U':
		return 10
	}
	return 2
}

// nextLine goes to the next line that holds text; in a literal block to the
// next line.
func (w *walker) nextLine() {
	if w.indent > 0 {
		w.line, w.col = w.line+1, w.indent
		w.load()
		return
	}
	for w.line < len(w.src.lines) {
		w.line++
		s := w.src.lines[w.line-1]
		if trimmed := strings.TrimLeft(s, " "); trimmed != "" {
			w.col, w.rest = len(s)-len(trimmed)+1, trimmed
			if w.literal {
				w.indent = w.col
			}
			return
		}
	}
}
