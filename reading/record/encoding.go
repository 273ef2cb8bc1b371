package record

import (
	"bytes"
	"io"
	"unicode/utf16"
	"unicode/utf8"

	"elbowroom/span"
)

// Encoding is how the characters of a file are written.
type Encoding string

// The encodings that are read.
const (
	UTF8    Encoding = "UTF-8"
	UTF8BOM Encoding = "UTF-8 with a byte-order mark"
	UTF16LE Encoding = "UTF-16, low byte first"
	UTF16BE Encoding = "UTF-16, high byte first"
	Latin1  Encoding = "Latin-1"
)

// utf16Share is the share of zero bytes on one side of the byte pairs from
// which text without a byte-order mark is taken for UTF-16: nearly every
// character of a table is ASCII.
const utf16Share = 0.4

// encodingOf tells the encoding of a file by its head and the number of bytes
// of its mark; and a finding when it is no text or not UTF-8.
func encodingOf(head []byte) (Encoding, int, *span.Finding) {
	switch {
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		return UTF8BOM, 3, nil
	case bytes.HasPrefix(head, []byte("\xff\xfe")):
		return UTF16LE, 2, nil
	case bytes.HasPrefix(head, []byte("\xfe\xff")):
		return UTF16BE, 2, nil
	}
	if zeros := bytes.Count(head, []byte{0}); zeros > 0 {
		return zeroBytes(head)
	}
	if at := firstControl(head); at >= 0 {
		return UTF8, 0, notText(head, at)
	}
	if at := firstNotUTF8(head); at >= 0 {
		pos := placeOf(head, at)
		return Latin1, 0, &span.Finding{
			Pos: pos, Severity: span.Advice, Rule: "latin-1", Text: latin1(head[at : at+1]),
			Says: "the file is not UTF-8; it was read as Latin-1", Do: "look whether the names with letters beyond ASCII are right",
		}
	}
	return UTF8, 0, nil
}

// zeroBytes tells UTF-16 without a mark from binary data.
func zeroBytes(head []byte) (Encoding, int, *span.Finding) {
	var zeros [2]int
	for i, c := range head {
		if c == 0 {
			zeros[i&1]++
		}
	}
	half := float64(len(head)) / 2
	guess := span.Finding{
		Severity: span.Advice, Rule: "utf-16", Says: "the file has no byte-order mark; every other byte is zero, so it was read as UTF-16",
	}
	switch {
	case float64(zeros[1]) > utf16Share*half && zeros[0] == 0:
		return UTF16LE, 0, &guess
	case float64(zeros[0]) > utf16Share*half && zeros[1] == 0:
		return UTF16BE, 0, &guess
	}
	if at := bytes.IndexByte(head, 0); firstControl(head) >= 0 || !mostlyText(head) {
		return UTF8, 0, notText(head, at)
	}
	return UTF8, 0, nil // the lines with zero bytes are not used
}

// mostlyText reports whether more than half of the lines are free of zero
// bytes.
func mostlyText(head []byte) bool {
	clean, spoilt := 0, 0
	for _, l := range bytes.Split(bytes.TrimRight(head, "\n"), []byte{'\n'}) {
		if bytes.IndexByte(l, 0) < 0 {
			clean++
		} else {
			spoilt++
		}
	}
	return clean > spoilt
}

// firstControl returns the first byte that no text table has; -1 when none. A
// few are let pass as spoilt lines, so it looks at the first line alone.
func firstControl(head []byte) int {
	if end := bytes.IndexByte(head, '\n'); end >= 0 {
		head = head[:end]
	}
	for i, c := range head {
		if c < 0x20 && c != '\t' && c != '\r' && c != '\f' || c == 0x7f {
			return i
		}
	}
	return -1
}

func notText(head []byte, at int) *span.Finding {
	return &span.Finding{
		Pos: placeOf(head, at), Severity: span.Error, Rule: "not-text",
		Says: "this is not a text table: it holds bytes that no text has", Expect: "a file exported as CSV or text",
		Do: "export the recording as CSV from the logger's own program",
	}
}

// firstNotUTF8 returns the first byte that is no UTF-8, -1 when all is. A
// character cut off at the end does not count.
func firstNotUTF8(b []byte) int {
	for i := 0; i < len(b); {
		if b[i] < utf8.RuneSelf {
			i++
			continue
		}
		if r, n := utf8.DecodeRune(b[i:]); r == utf8.RuneError && n <= 1 {
			if !utf8.FullRune(b[i:]) {
				return -1
			}
			return i
		} else {
			i += n
		}
	}
	return -1
}

// placeOf returns the line and column of a byte.
func placeOf(b []byte, at int) span.Pos {
	line := bytes.Count(b[:at], []byte("\n")) + 1
	start := bytes.LastIndexByte(b[:at], '\n') + 1
	return span.Pos{Line: line, Col: characters(b[start:], at-start) + 1}
}

// latin1 returns bytes as the characters that they are in Latin-1.
func latin1(b []byte) string {
	r := make([]rune, len(b))
	for i, c := range b {
		r[i] = rune(c)
	}
	return string(r)
}

// text returns bytes of the file as a string, whatever their encoding; what is
// not UTF-8 is taken as Latin-1.
func text(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	return latin1(b)
}

// wide turns a stream of UTF-16 into UTF-8; a half pair becomes the
// replacement character.
type wide struct {
	from  io.Reader
	big   bool
	in    []byte
	out   []byte
	place int // first byte of out that was not handed over
	end   error
}

func newWide(r io.Reader, big bool) *wide {
	return &wide{from: r, big: big, in: make([]byte, 0, 64<<10)}
}

// Read implements io.Reader.
func (w *wide) Read(p []byte) (int, error) {
	for w.place == len(w.out) {
		if w.end != nil {
			return 0, w.end
		}
		w.fill()
	}
	n := copy(p, w.out[w.place:])
	w.place += n
	return n, nil
}

func (w *wide) fill() {
	have := len(w.in)
	n, err := w.from.Read(w.in[have:cap(w.in)])
	w.in = w.in[:have+n]
	w.end = err
	w.out, w.place = w.out[:0], 0
	used := 0
	for used+2 <= len(w.in) {
		r := w.unit(used)
		size := 2
		if utf16.IsSurrogate(r) {
			if used+4 > len(w.in) && err == nil {
				break
			}
			second := rune(utf8.RuneError)
			if used+4 <= len(w.in) {
				second = w.unit(used + 2)
			}
			if r = utf16.DecodeRune(r, second); r != utf8.RuneError {
				size = 4
			}
		}
		w.out = utf8.AppendRune(w.out, r)
		used += size
	}
	if err != nil && used < len(w.in) {
		w.out = utf8.AppendRune(w.out, utf8.RuneError)
		used = len(w.in)
	}
	w.in = w.in[:copy(w.in, w.in[used:])]
}

func (w *wide) unit(i int) rune {
	if w.big {
		return rune(w.in[i])<<8 | rune(w.in[i+1])
	}
	return rune(w.in[i+1])<<8 | rune(w.in[i])
}

// returns turns the carriage returns that end the lines of very old machines
// into line ends.
type returns struct{ from io.Reader }

// Read implements io.Reader.
func (r returns) Read(p []byte) (int, error) {
	n, err := r.from.Read(p)
	returned(p[:n])
	return n, err
}

func returned(b []byte) {
	for i, c := range b {
		if c == '\r' {
			b[i] = '\n'
		}
	}
}

// onlyReturns reports whether lines end with carriage returns alone.
func onlyReturns(head []byte) bool {
	return bytes.IndexByte(head, '\n') < 0 && bytes.Count(head, []byte{'\r'}) > 1
}

// nothingMore is the rest of a head that is all there is to decode.
type nothingMore struct{}

// Read implements io.Reader.
func (nothingMore) Read([]byte) (int, error) { return 0, nil }
