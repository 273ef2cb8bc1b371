package file

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"elbowroom/span"
)

// kind is the sort of a node.
type kind int

const (
	empty kind = iota // a key or dash with nothing behind it
	scalar
	list
	mapping
	unread // reported already; nothing more is to be said of it
)

func (k kind) String() string {
	return [...]string{"nothing", "text", "a list", "a mapping", "something unreadable"}[k]
}

// style is how a scalar was written.
type style int

const (
	plain style = iota
	single
	double
	block
)

// node is one value of the text with its place. It is our own small tree, so
// that nothing beyond syntax.go depends on the parser's.
type node struct {
	kind   kind
	style  style
	cut    bool // written inside brackets where a comma may have cut it short
	flow   bool // written inside brackets
	braces bool // a list or mapping written with brackets
	pos    span.Pos
	text   string // scalar
	src    *source
	items  []*node // list
	fields []field // mapping
	index  map[string]int
}

// field is one key of a mapping.
type field struct {
	name  string
	pos   span.Pos
	value *node
}

// source is the text of one file by lines.
type source struct {
	name  string
	lines []string
}

// fewFields is the number of keys up to which a mapping is searched in line.
const fewFields = 8

// field returns the value of a key, or nil.
func (n *node) field(name string) *node {
	if n == nil || n.kind != mapping {
		return nil
	}
	if n.index == nil && len(n.fields) > fewFields {
		n.index = make(map[string]int, len(n.fields))
		for i, f := range n.fields {
			if _, twice := n.index[f.name]; !twice {
				n.index[f.name] = i
			}
		}
	}
	if n.index != nil {
		if i, ok := n.index[name]; ok {
			return n.fields[i].value
		}
		return nil
	}
	for _, f := range n.fields {
		if f.name == name {
			return f.value
		}
	}
	return nil
}

// append adds a key to a mapping that may have been searched before.
func (n *node) append(f field) {
	if _, twice := n.index[f.name]; n.index != nil && !twice {
		n.index[f.name] = len(n.fields)
	}
	n.fields = append(n.fields, f)
}

// child returns the node in which a field is said: its own value, else the
// line that stands for it, else n itself.
func (n *node) child(name, shortKey string) *node {
	if c := n.field(name); c != nil {
		return c
	}
	if c := n.field(shortKey); shortKey != "" && c != nil {
		return c
	}
	return n
}

// item returns the node in which an element of a list is said.
func (n *node) item(i int) *node {
	if n != nil && n.kind == list && i < len(n.items) {
		return n.items[i]
	}
	return n
}

// word returns where a word stands in a scalar, else where the node begins.
func (n *node) word(w string) span.Pos {
	if n == nil {
		return span.Pos{}
	}
	if n.kind != scalar || w == "" {
		return n.pos
	}
	for from := 0; ; {
		i := strings.Index(n.text[from:], w)
		if i < 0 {
			return n.pos
		}
		i += from
		if !wordCharAt(n.text, i+len(w)) && !wordCharBefore(n.text, i) {
			return n.at(i)
		}
		from = i + len(w)
	}
}

func wordCharAt(s string, i int) bool {
	c, _ := utf8.DecodeRuneInString(s[i:])
	return i < len(s) && wordChar(c)
}

func wordCharBefore(s string, i int) bool {
	c, _ := utf8.DecodeLastRuneInString(s[:i])
	return i > 0 && wordChar(c)
}

func wordChar(c rune) bool {
	return unicode.IsLetter(c) || unicode.IsDigit(c) || c == '-' || c == '_'
}

// trail is the way from the root to a value, kept as a chain so that nothing
// is put together before it is needed.
type trail struct {
	up    *trail
	name  string
	index int // when name is empty
}

func (p *trail) key(name string) *trail { return &trail{up: p, name: name} }

func (p *trail) at(i int) *trail { return &trail{up: p, index: i} }

// String prints "items.SE13.ways[0]".
func (p *trail) String() string {
	switch {
	case p == nil:
		return ""
	case p.name == "":
		return p.up.String() + "[" + strconv.Itoa(p.index) + "]"
	case p.up == nil:
		return p.name
	}
	return p.up.String() + "." + p.name
}

// Positions tells where in its files each part of a guide was written.
type Positions struct {
	root *node
}

// At returns where the part with the given path stands, such as
// "items.SE13.ways[0].needs[1]". When the part has no place of its own (it is
// said inside a short form, or not at all) it returns the place of the
// nearest part around it; for an empty guide, the zero Pos.
func (p *Positions) At(path string) span.Pos {
	if p == nil || p.root == nil {
		return span.Pos{}
	}
	n, at := p.root, p.root.pos
	for _, step := range strings.FieldsFunc(path, func(c rune) bool { return c == '.' || c == '[' || c == ']' }) {
		next, pos := n.step(step)
		if next == nil {
			return at
		}
		n, at = next, pos
	}
	return at
}

// step follows one key or index and returns where it is written.
func (n *node) step(name string) (*node, span.Pos) {
	switch n.kind {
	case mapping:
		if v := n.field(name); v != nil {
			for _, f := range n.fields {
				if f.value == v {
					return v, f.pos
				}
			}
		}
	case list:
		if i, err := strconv.Atoi(name); err == nil && i >= 0 && i < len(n.items) {
			return n.items[i], n.items[i].pos
		}
	case scalar:
		if name == "0" {
			return n, n.pos
		}
	}
	return nil, span.Pos{}
}
