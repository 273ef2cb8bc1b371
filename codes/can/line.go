package can

import (
	"bytes"
	"strings"
	"time"
	"unicode/utf8"

	"elbowroom/span"
)

// Lines reads frames from lines of text. It keeps the names of buses, so that
// a long capture does not store them again for every frame. The zero Lines is
// ready.
type Lines struct {
	File  string // for the findings
	buses map[string]string
}

// cursor walks through one line.
type cursor struct {
	text  []byte
	at    int
	file  string
	line  int
	finds span.List
}

func (c *cursor) fail(at int, rule, says, do string) {
	c.warn(span.Error, at, rule, says, do)
}

func (c *cursor) warn(sev span.Severity, at int, rule, says, do string) {
	end := min(len(c.text), at+longestShown)
	c.finds = append(c.finds, span.Finding{
		Pos: span.Pos{File: c.file, Line: c.line, Col: utf8.RuneCount(c.text[:at]) + 1}, Severity: sev,
		Rule: rule, Text: strings.ToValidUTF8(string(c.text[at:end]), "\uFFFD"), Says: says, Do: do,
	})
}

// longestShown is how many bytes of an offending text a finding repeats.
const longestShown = 40

// The rules of the findings of this package.
const (
	ruleLine     = "capture-line"
	ruleTime     = "capture-time"
	ruleSequence = "message-sequence"
	ruleLength   = "message-length"
	ruleEnd      = "message-end"
	rulePause    = "message-pause"
	ruleContent  = "message-content"
)

func (c *cursor) spaces() {
	for c.at < len(c.text) && (c.text[c.at] == ' ' || c.text[c.at] == '\t') {
		c.at++
	}
}

// word returns what stands up to the next space.
func (c *cursor) word() []byte {
	c.spaces()
	from := c.at
	for c.at < len(c.text) && c.text[c.at] != ' ' && c.text[c.at] != '\t' {
		c.at++
	}
	return c.text[from:c.at]
}

// peek returns the next word without taking it.
func (c *cursor) peek() []byte {
	at := c.at
	w := c.word()
	c.at = at
	return w
}

// Frame reads one line. It returns false when the line holds no frame that can
// be used; the findings say why, and are empty for an empty line.
func (l *Lines) Frame(text []byte, line int) (Frame, span.List, bool) {
	c := cursor{text: bytes.TrimRight(text, "\r\n \t"), file: l.File, line: line}
	c.spaces()
	if c.at == len(c.text) {
		return Frame{}, nil, false
	}
	f := Frame{Line: line}
	if c.text[c.at] == '(' && !c.time(&f) {
		return Frame{}, c.finds, false
	}
	start := c.at
	bus := c.word()
	if !busName(bus) {
		c.spaces()
		c.fail(min(start, len(c.text)), ruleLine, "this is no line of a capture", "")
		return Frame{}, c.finds, false
	}
	f.Bus = l.intern(bus)
	if w := c.peek(); bytes.IndexByte(w, '#') >= 0 {
		c.logged(&f)
	} else {
		c.print(&f)
	}
	return f, c.finds, len(c.finds) == 0
}

// longestBus is how long the name of a bus may be (a Linux interface has 15
// characters).
const longestBus = 15

func busName(b []byte) bool {
	if len(b) == 0 || len(b) > longestBus {
		return false
	}
	for _, ch := range b {
		if ch <= ' ' || ch > '~' || ch == '#' || ch == '[' || ch == '(' {
			return false
		}
	}
	return true
}

func (l *Lines) intern(b []byte) string {
	if s, ok := l.buses[string(b)]; ok {
		return s
	}
	if l.buses == nil {
		l.buses = map[string]string{}
	}
	s := string(b)
	l.buses[s] = s
	return s
}

// time reads "(1436509052.249713)" or "(2015-07-10 06:17:32.249713)".
func (c *cursor) time(f *Frame) bool {
	end := bytes.IndexByte(c.text[c.at:], ')')
	if end < 0 {
		c.fail(c.at, ruleTime, "the bracket of the time is not closed", "")
		return false
	}
	inner := bytes.TrimSpace(c.text[c.at+1 : c.at+end])
	var whole int64
	rest := inner
	if i := bytes.IndexByte(inner, ' '); i > 0 {
		day, err := time.Parse(time.DateTime, string(inner[:min(len(inner), len(time.DateTime))]))
		if err != nil {
			c.fail(c.at, ruleTime, "no time", "")
			return false
		}
		whole, rest = day.Unix(), inner[len(time.DateTime):]
	} else {
		n := 0
		for ; n < len(rest) && isDigit(rest[n]) && n < mostSeconds; n++ {
			whole = whole*10 + int64(rest[n]-'0')
		}
		if n == 0 {
			c.fail(c.at, ruleTime, "no time", "")
			return false
		}
		rest = rest[n:]
	}
	part, ok := fraction(rest)
	if !ok {
		c.fail(c.at, ruleTime, "no time", "")
		return false
	}
	f.Time, f.Timed = Micros(whole*micro+part), true
	c.at += end + 1
	return true
}

// mostSeconds is how many digits the seconds of a time may have.
const mostSeconds = 12

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// fraction reads ".249713"; digits beyond microseconds are cut off.
func fraction(b []byte) (int64, bool) {
	if len(b) == 0 {
		return 0, true
	}
	if b[0] != '.' || len(b) < 2 {
		return 0, false
	}
	n, scale := int64(0), int64(micro)
	for _, d := range b[1:] {
		if !isDigit(d) {
			return 0, false
		}
		if scale > 1 {
			n = n*10 + int64(d-'0')
			scale /= 10
		}
	}
	return n * scale, true
}

// identifier reads 3 or 8 hexadecimal digits.
func (c *cursor) identifier(b []byte, at int, f *Frame) bool {
	var id uint32
	for _, ch := range b {
		v := nibble[ch]
		if v > 15 {
			c.fail(at, ruleLine, "no identifier", "")
			return false
		}
		id = id<<4 | uint32(v)
	}
	switch {
	case len(b) == 3 && id <= standardMax:
	case len(b) == 8 && id&errorFlag != 0:
		f.Error, id = true, id&^errorFlag
	case len(b) == 8 && id <= extendedMax:
		f.Extended = true
	default:
		c.fail(at, ruleLine, "an identifier has 3 digits up to 7FF or 8 digits up to 1FFFFFFF", "")
		return false
	}
	f.ID = id
	return true
}

// nibble is the value of a hexadecimal digit, 0xff for everything else.
var nibble = func() (t [256]byte) {
	for i := range t {
		t[i] = 0xff
	}
	for i := range 10 {
		t['0'+i] = byte(i)
	}
	for i := range 6 {
		t['A'+i], t['a'+i] = byte(10+i), byte(10+i)
	}
	return t
}()

// logged reads "7E8#0641…" and what may follow it.
func (c *cursor) logged(f *Frame) {
	c.spaces()
	at := c.at
	w := c.word()
	i := bytes.IndexByte(w, '#')
	if !c.identifier(w[:i], at, f) {
		return
	}
	body := w[i+1:]
	at += i + 1
	switch {
	case len(body) > 0 && body[0] == '#':
		f.FD = true
		if len(body) < 2 || nibble[body[1]] > 15 {
			c.fail(at, ruleLine, "the flags of a CAN FD frame are one hexadecimal digit", "")
			return
		}
		body, at = body[2:], at+2
	case len(body) > 0 && (body[0] == 'R' || body[0] == 'r'):
		f.Remote = true
		if len(body) > 2 || len(body) == 2 && nibble[body[1]] > 15 {
			c.fail(at, ruleLine, "behind R stands at most one digit", "")
		}
		return
	}
	if n := len(body); n > 2 && body[n-2] == '_' { // a length code above 8 for 8 bytes
		body = body[:n-2]
	}
	c.packed(body, at, f)
	if d := c.word(); len(d) > 0 && !(len(d) == 1 && (d[0] == 'R' || d[0] == 'T')) {
		c.fail(c.at-len(d), ruleLine, "nothing but R or T may follow the frame", "")
	}
}

// packed reads bytes without spaces, perhaps with dots between them.
func (c *cursor) packed(b []byte, at int, f *Frame) {
	for i := 0; i < len(b); {
		if b[i] == '.' {
			i++
			continue
		}
		if i+1 >= len(b) || nibble[b[i]] > 15 || nibble[b[i+1]] > 15 {
			c.fail(at+i, ruleLine, "a byte is two hexadecimal digits", "look whether the line is cut short")
			return
		}
		if f.n == fdMax {
			c.fail(at+i, ruleLine, "more than 64 bytes", "")
			return
		}
		f.data[f.n] = nibble[b[i]]<<4 | nibble[b[i+1]]
		f.n++
		i += 2
	}
	if !fits(f.n, f.FD) {
		c.fail(at, ruleLine, "a frame cannot have this many bytes", "")
	}
}

// print reads "7E8   [8]  06 41 …".
func (c *cursor) print(f *Frame) {
	w := c.word()
	if d := string(w); d == "RX" || d == "TX" {
		for w = c.word(); len(w) == 1 && (w[0] == '-' || w[0] == 'B' || w[0] == 'E'); {
			w = c.word()
		}
	}
	if next := c.peek(); !f.Timed && (len(next) == 0 || next[0] != '[' && next[0] != '{') {
		c.fail(0, ruleLine, "this is no line of a capture", "")
		return
	}
	if !c.identifier(w, c.at-len(w), f) {
		return
	}
	c.spaces()
	at := c.at
	length, ok := c.length(f)
	if !ok {
		c.fail(at, ruleLine, "behind the identifier stands the number of bytes in brackets, such as [8]", "")
		return
	}
	swapped := c.apart(f, length)
	if f.Remote {
		return
	}
	if f.n != length {
		c.fail(at, ruleLine, "the number of bytes is not the one in brackets", "look whether the line is cut short or printed in binary digits")
		return
	}
	if swapped {
		for i, j := 0, f.n-1; i < j; i, j = i+1, j-1 {
			f.data[i], f.data[j] = f.data[j], f.data[i]
		}
	}
	if rest := c.peek(); len(rest) > 0 && rest[0] != '\'' && rest[0] != '`' && string(rest) != "ERRORFRAME" {
		c.spaces()
		c.fail(c.at, ruleLine, "more stands behind the bytes than their number in brackets", "")
	}
}

// length reads "[8]", or "[08]" for CAN FD, or a raw length code "{8}".
func (c *cursor) length(f *Frame) (int, bool) {
	w := c.word()
	if len(w) < 3 || w[0] != '[' && w[0] != '{' || w[len(w)-1] != ']' && w[len(w)-1] != '}' {
		return 0, false
	}
	n := 0
	for _, d := range w[1 : len(w)-1] {
		if w[0] == '{' && nibble[d] < 16 {
			n = min(int(nibble[d]), classicMax)
			continue
		}
		if !isDigit(d) || n > fdMax {
			return 0, false
		}
		n = n*10 + int(d-'0')
	}
	f.FD = w[0] == '[' && len(w) == 4
	return n, fits(n, f.FD)
}

// pair reports whether two hexadecimal digits, and no third, stand here.
func (c *cursor) pair() bool {
	t := c.text[c.at:]
	return len(t) >= 2 && nibble[t[0]] < 16 && nibble[t[1]] < 16 && (len(t) == 2 || nibble[t[2]] > 15)
}

// apart reads up to length bytes that stand apart, and reports whether they
// are printed last first, which a ` between them marks.
func (c *cursor) apart(f *Frame, length int) (swapped bool) {
	if c.spaces(); bytes.HasPrefix(c.text[c.at:], []byte("remote request")) {
		f.Remote = true
		return false
	}
	for f.n < length {
		for c.at < len(c.text) && (c.text[c.at] == ' ' || c.text[c.at] == '`' || c.text[c.at] == '\t') {
			swapped = swapped || c.text[c.at] == '`'
			c.at++
		}
		if !c.pair() {
			return swapped
		}
		f.data[f.n] = nibble[c.text[c.at]]<<4 | nibble[c.text[c.at+1]]
		f.n++
		c.at += 2
	}
	return swapped
}
