package file

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"elbowroom/span"
)

// parsed is one file as a tree, with the names of entries that could not be
// read: they are known to exist, so that nothing else complains of them.
type parsed struct {
	root   *node // nil when nothing can be said of the file
	broken []string
	list   span.List
}

// parse reads one file into a tree. The tree holds every entry that could be
// read.
func parse(name string, data []byte) parsed {
	s := scan(name, data)
	p := parsed{list: s.list}
	if s.src == nil {
		return p
	}
	p.root = &node{kind: mapping, pos: span.Pos{File: name, Line: 1, Col: 1}, src: s.src}
	for _, c := range s.chunks {
		p.chunk(s.src, c)
	}
	return p
}

// chunk parses one entry and hangs it into the tree.
func (p *parsed) chunk(src *source, c chunk) {
	b := builder{src: src, first: c.first}
	n := b.parse(strings.Join(c.lines, "\n"))
	p.list = append(p.list, b.list...)
	if b.failed {
		p.lost(c)
	}
	if n == nil {
		return
	}
	switch {
	case c.under == "" && n.kind == mapping && !(n.braces && c.first > 0 && len(p.root.fields) > 0):
		p.root.fields = append(p.root.fields, n.fields...)
	case c.under == "":
		p.list = append(p.list, refuse(n.pos, "syntax", "text without a key", n.text, "a key and a colon, such as items:", ""))
	default:
		p.under(c, n)
	}
}

// lost remembers the names of an entry that cannot be read: the key itself
// and, for a whole top-level key, whatever looks like a key in it.
func (p *parsed) lost(c chunk) {
	for i, l := range c.lines {
		if m := anyKey.FindStringSubmatch(l); m != nil && (i == 0 || c.under == "") {
			p.broken = append(p.broken, keyName(m))
		}
	}
}

// under adds the entries of one chunk to the value of their top-level key.
func (p *parsed) under(c chunk, n *node) {
	last := len(p.root.fields) - 1
	if last < 0 || p.root.fields[last].name != c.under || p.root.fields[last].pos != c.upPos {
		p.root.fields = append(p.root.fields, field{c.under, c.upPos, n})
		return
	}
	up := p.root.fields[last].value
	switch {
	case n.braces || up.braces:
		p.list = append(p.list, refuse(n.pos, "syntax", "brackets among the entries of "+c.under, "", "entries of one sort, each with its key or its dash", "check indentation, dashes and colons"))
	case up.kind == mapping && n.kind == mapping:
		up.fields = append(up.fields, n.fields...)
	case up.kind == list && n.kind == list:
		up.items = append(up.items, n.items...)
	default:
		p.list = append(p.list, refuse(n.pos, "syntax", n.kind.String()+" among the entries of "+c.under, n.text, "entries of one sort, each with its key or its dash", "check indentation, dashes and colons"))
	}
}

// builder turns the parser's tree of one chunk into nodes.
type builder struct {
	src    *source
	first  int // line of the file at which the chunk begins, from 0
	list   span.List
	failed bool

	last    span.Pos // the last place asked for, and its byte offset
	lastOff int
	key     span.Pos // the key whose value is being read; zero in a list
}

// parse returns nil when the text holds nothing or cannot be read.
func (b *builder) parse(text string) (n *node) {
	defer func() {
		// The parser is not ours; whatever it stumbles over is a fault of the
		// text for the person who wrote it.
		if r := recover(); r != nil {
			n = nil
			b.refuse(b.pos(1, 1), "the text cannot be understood", "", "YAML", "write it in a simpler way")
		}
	}()
	f, err := parser.ParseBytes([]byte(text+"\n"), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		b.syntax(err)
		return nil
	}
	for _, d := range f.Docs {
		if d.Body == nil || d.Body.Type() == ast.CommentType || d.Body.Type() == ast.CommentGroupType {
			continue
		}
		if n != nil {
			b.refuse(b.tokenPos(d.Body.GetToken()), "several documents in one file", "", "one document", "")
			return nil
		}
		n = b.node(d.Body, 0, false)
	}
	return n
}

func (b *builder) refuse(pos span.Pos, says, text, expect, do string) {
	b.failed = true
	b.list = append(b.list, refuse(pos, "syntax", says, text, expect, do))
}

func (b *builder) pos(line, col int) span.Pos {
	line = min(max(line+b.first, 1), len(b.src.lines))
	return span.Pos{File: b.src.name, Line: line, Col: max(col, 1)}
}

func (b *builder) tokenPos(t *token.Token) span.Pos {
	if t == nil || t.Position == nil {
		return b.pos(1, 1)
	}
	return b.pos(t.Position.Line, t.Position.Column)
}

// syntaxError is what the parser tells of an error.
type syntaxError interface {
	GetToken() *token.Token
	GetMessage() string
}

// messages gives the parser's messages in our words.
var messages = []struct{ part, says, expect, do string }{
	{"mapping value is not allowed in this context", "a second colon in one entry", "one key with one value", `put text that holds ": " in quotes`},
	{"value is not allowed in this context", "text where none can stand", "entries of one list or mapping at the same indentation", "check indentation, dashes and quotes"},
	{"could not find end character of", "a quote that is never closed", "a closing quote", ""},
	{"',' or ']' must be specified", "a list that is never closed", "a comma or ]", `put text that holds brackets, commas or ": " in quotes`},
	{"',' or '}' must be specified", "a mapping that is never closed", "a comma or }", `put text that holds brackets, commas or ": " in quotes`},
	{"could not find '[' character corresponding to ']'", "a ] without its [", "brackets in pairs", ""},
	{"could not find '{' character corresponding to '}'", "a } without its {", "brackets in pairs", ""},
	{"sequence end token ']' not found", "a list that is never closed", "a comma or ]", ""},
	{"could not find flow map content", "a mapping that is never closed", "a comma or }", ""},
	{"could not find flow mapping end token", "a mapping that is never closed", "a comma or }", ""},
	{"is a reserved character", "text cannot begin with this character", "", "put the text in quotes"},
	{"block sequence entries are not allowed", "a list that begins beside its key", "the first dash on a line of its own", ""},
	{"unexpected key name", "a key or its colon is missing", "a name and a colon on one line", ""},
	{"invalid header option", "text cannot begin with > or |", "", `put the text in quotes, like ">= 3 V"`},
	{"found unknown escape character", "unknown escape in double quotes", expectEscape, doEscape},
	{"for escaped UTF-", "unknown escape in double quotes", expectEscape, doEscape},
	{"found an invalid key for this map", "a key that is no text", "a name", ""},
	{"unexpected directive value", "text cannot begin with %", "", "put the text in quotes"},
	{"non-map value is specified", "an entry without a key among entries with keys", "a key and a colon, such as name:", "check the indentation"},
	{"unexpected map value", "a key is missing", "a name before the colon", ""},
}

func (b *builder) syntax(err error) {
	se, ok := err.(syntaxError)
	if !ok {
		b.refuse(b.pos(1, 1), "the text cannot be understood", "", "YAML", "")
		return
	}
	t, text := se.GetToken(), ""
	if t != nil {
		text = clip(strings.TrimSpace(t.Value))
	}
	for _, m := range messages {
		if strings.Contains(se.GetMessage(), m.part) {
			b.refuse(b.tokenPos(t), m.says, text, m.expect, m.do)
			return
		}
	}
	b.refuse(b.tokenPos(t), "the text cannot be understood ("+se.GetMessage()+")", text, "YAML", "")
}

// longestQuote is how many characters of an offending text are shown.
const longestQuote = 60

func clip(s string) string {
	s = strings.ToValidUTF8(s, "�")
	if utf8.RuneCountInString(s) <= longestQuote {
		return s
	}
	return string([]rune(s)[:longestQuote]) + "…"
}

// node converts one value and everything below it.
func (b *builder) node(a ast.Node, depth int, flow bool) *node {
	n := &node{src: b.src, flow: flow, pos: b.tokenPos(a.GetToken())}
	if depth > MaxDepth {
		b.refuse(n.pos, "nested too deeply", "", fmt.Sprintf("at most %d levels", MaxDepth), "write it flatter")
		n.kind = unread
		return n
	}
	switch a := a.(type) {
	case *ast.MappingNode:
		n.braces = a.IsFlowStyle
		b.mapping(n, a.Values, depth, a.IsFlowStyle)
	case *ast.MappingValueNode:
		n.braces = a.IsFlowStyle
		b.mapping(n, []*ast.MappingValueNode{a}, depth, a.IsFlowStyle)
	case *ast.SequenceNode:
		n.kind, n.braces = list, a.IsFlowStyle
		for _, v := range a.Values {
			b.key = span.Pos{}
			item := b.value(v, n.pos, depth+1, a.IsFlowStyle)
			item.cut = a.IsFlowStyle && len(a.Values) > 1
			n.items = append(n.items, item)
		}
	case *ast.LiteralNode:
		n.kind, n.style, n.text = scalar, block, a.Value.GetToken().Value
	case *ast.NullNode:
		if a.GetToken().Type != token.ImplicitNullType {
			n.text = a.GetToken().Value
		}
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		b.scalar(n, a.GetToken())
	default:
		b.unwanted(n, a)
	}
	return n
}

// value converts a value that may be missing altogether.
func (b *builder) value(a ast.Node, near span.Pos, depth int, flow bool) *node {
	if a == nil {
		return &node{src: b.src, flow: flow, pos: near}
	}
	return b.node(a, depth, flow)
}

func (b *builder) scalar(n *node, t *token.Token) {
	n.kind, n.text = scalar, t.Value
	switch {
	case t.Type == token.SingleQuoteType:
		n.style = single
	case t.Type == token.DoubleQuoteType:
		n.style = double
		b.escapes(n)
	default:
		b.settle(n)
	}
	if n.style == plain && (strings.HasPrefix(n.text, "- ") || n.text != "" && strings.ContainsRune("%@`&*!|>]},", rune(n.text[0]))) {
		b.refuse(n.pos, "text cannot begin with this character", clip(n.text), "", "put the text in quotes")
	}
	if b.failed {
		return // an escape, most likely; one slip is one finding
	}
	if !utf8.ValidString(n.text) || strings.ContainsFunc(n.text, func(c rune) bool { return c != '\n' && forbidden(c) }) {
		b.refuse(n.pos, "control character in a text", clip(n.text), "printable characters", "")
	}
}

// escape matches the escapes that are read: a quote, a backslash, a slash, a
// line break, or a character by its number.
var escape = regexp.MustCompile(`^\\(?:["\\/n]|x[0-9a-fA-F]{2}|u(?:[0-9a-cefA-CEF][0-9a-fA-F]{3}|[dD][0-7][0-9a-fA-F]{2})|U000[0-9a-fA-F]{5}|U0010[0-9a-fA-F]{4})`)

// escapes checks the escapes of a text in double quotes: the parser takes
// wrong digits for right ones.
func (b *builder) escapes(n *node) {
	if n.pos.Line > len(b.src.lines) {
		return
	}
	line, off := n.pos.Line-1, b.offset(n.pos)+1
	for ; line < len(b.src.lines); line, off = line+1, 0 {
		l := b.src.lines[line]
		for off < len(l) && l[off] != '"' {
			if l[off] != '\\' {
				off++
				continue
			}
			m := escape.FindString(l[off:])
			if m == "" {
				pos := span.Pos{File: n.pos.File, Line: line + 1, Col: utf8.RuneCountInString(l[:off]) + 1}
				b.refuse(pos, "unknown escape in double quotes", clip(l[off:]), expectEscape, doEscape)
				return
			}
			off += len(m)
		}
		if off < len(l) {
			return
		}
	}
}

const (
	expectEscape = `\" \\ \n or \u00b0`
	doEscape     = `single quotes take \ as it is`
)

// settleWindow is how far, in bytes, an entry of a list may stand from where
// the parser says.
const settleWindow = 200

// settle corrects the place of a plain text: the parser counts white space
// and line breaks behind some texts to their front.
func (b *builder) settle(n *node) {
	words := strings.Fields(n.text)
	if len(words) == 0 || n.pos.Line > len(b.src.lines) || b.behindKey(n, words[0]) {
		return
	}
	line, off := b.src.lines[n.pos.Line-1], b.offset(n.pos)
	if strings.HasPrefix(line[off:], words[0]) {
		return
	}
	low, high := max(0, off-settleWindow), min(len(line), off+settleWindow)
	best := -1
	for i := low; i < high; i++ {
		if strings.HasPrefix(line[i:], words[0]) && (best < 0 || abs(i-off) < abs(best-off)) {
			best = i
		}
	}
	switch {
	case best < 0:
	case best < off:
		n.pos.Col -= utf8.RuneCountInString(line[best:off])
	default:
		n.pos.Col += utf8.RuneCountInString(line[off:best])
	}
}

// behindKey places a text at the first word behind the colon of its key.
func (b *builder) behindKey(n *node, word string) bool {
	k := b.key
	if k.Line == 0 || k.Line > n.pos.Line {
		return false
	}
	line := b.src.lines[k.Line-1]
	_, rest, _ := strings.Cut(line[b.offset(k):], ":")
	for i := k.Line; ; i++ {
		if content(rest) {
			at := len(line) - len(strings.TrimLeft(rest, " "))
			if !strings.HasPrefix(line[at:], word) {
				return false
			}
			n.pos.Line, n.pos.Col = i, utf8.RuneCountInString(line[:at])+1
			return true
		}
		if i >= n.pos.Line {
			return false
		}
		line = b.src.lines[i]
		rest = line
	}
}

// offset returns the byte offset of a place in its line. Places mostly come in
// order, so it goes on from the last one.
func (b *builder) offset(p span.Pos) int {
	if b.last.Line != p.Line || b.last.Col > p.Col {
		b.last, b.lastOff = span.Pos{Line: p.Line, Col: 1}, 0
	}
	line := b.src.lines[p.Line-1]
	for b.last.Col < p.Col && b.lastOff < len(line) {
		_, size := utf8.DecodeRuneInString(line[b.lastOff:])
		b.lastOff += size
		b.last.Col++
	}
	return b.lastOff
}

func abs(n int) int { return max(n, -n) }

func (b *builder) mapping(n *node, values []*ast.MappingValueNode, depth int, flow bool) {
	n.kind = mapping
	for i, v := range values {
		name, ok := b.keyOf(v.Key)
		pos := b.tokenPos(v.Key.GetToken())
		if i == 0 && !flow {
			n.pos = pos
		}
		if !ok {
			n.kind = unread
			continue
		}
		b.key = pos
		n.fields = append(n.fields, field{name, pos, b.value(v.Value, pos, depth+1, flow)})
		if last := len(n.fields) - 1; flow && last > 0 && n.fields[last].value.kind == empty {
			n.fields[last-1].value.cut = true
		}
	}
}

func (b *builder) keyOf(k ast.MapKeyNode) (string, bool) {
	switch k := k.(type) {
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.NullNode:
		return k.GetToken().Value, true
	case *ast.MergeKeyNode:
		b.refuse(b.tokenPos(k.GetToken()), "merge key", "<<", "every entry written out", "what several items share belongs in a kind")
	default:
		b.refuse(b.tokenPos(k.GetToken()), "a key that is no plain name", clip(k.GetToken().Value), "a name and a colon", "")
	}
	return "", false
}

func (b *builder) unwanted(n *node, a ast.Node) {
	n.kind = unread
	switch a.(type) {
	case *ast.AnchorNode, *ast.AliasNode:
		b.refuse(n.pos, "anchors and aliases are not part of this format", clip(a.GetToken().Value), "every entry written out",
			"what several items share belongs in a kind; put text that begins with & or * in quotes")
	case *ast.TagNode:
		b.refuse(n.pos, "tags are not part of this format", clip(a.GetToken().Value), "a plain value", "put text that begins with ! in quotes")
	default:
		b.refuse(n.pos, "this cannot stand here", clip(a.GetToken().Value), "text, a list or a mapping", "")
	}
}
