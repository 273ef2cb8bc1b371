package transcript

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"elbowroom/span"
)

// Form is how a narration is written down.
type Form string

// The forms.
const (
	WebVTT    Form = "WebVTT"
	SubRip    Form = "SubRip"
	Bracketed Form = "lines with times"
	Notes     Form = "plain notes"
	Table     Form = "spreadsheet"
)

// Bounds of what is read.
const (
	MaxSize     = 2 << 20 // bytes: some thirty hours of speech
	maxFindings = 200
)

// Cue is a stretch of the narration that has one time and one speaker.
type Cue struct {
	Start, End time.Duration // End is Start or later
	Timed      bool          // the form gave a time
	Speaker    string
	Text       string
	pieces     []piece
}

// piece says where the bytes of a text from From on stand in the file.
type piece struct {
	from int
	pos  span.Pos
}

// Transcript is a narration as it was read.
type Transcript struct {
	Name string
	Form Form
	Cues []Cue
}

// At returns where a byte of the text of a cue stands in the file.
func (c *Cue) At(off int) span.Pos {
	i, _ := slices.BinarySearchFunc(c.pieces, off+1, func(p piece, o int) int { return cmp.Compare(p.from, o) })
	if i == 0 {
		return span.Pos{}
	}
	p := c.pieces[i-1]
	p.pos.Col += utf8.RuneCountInString(c.Text[min(p.from, len(c.Text)):min(off, len(c.Text))])
	return p.pos
}

// mostPiece is the longest piece, in bytes: finding a column counts at most so
// far.
const mostPiece = 1024

// add appends text that stands at a place of the file.
func (c *Cue) add(text string, pos span.Pos) {
	for from := 0; ; {
		c.pieces = append(c.pieces, piece{len(c.Text) + from, pos})
		to := from + mostPiece
		if to >= len(text) {
			break
		}
		for !utf8.RuneStart(text[to]) {
			to--
		}
		pos.Col += utf8.RuneCountInString(text[from:to])
		from = to
	}
	c.Text += text
}

// Length returns the time of the last word, zero without times.
func (t *Transcript) Length() time.Duration {
	var last time.Duration
	for i := range t.Cues {
		last = max(last, t.Cues[i].End, t.Cues[i].Start)
	}
	return last
}

// source is a text cut into lines, with what was found wrong.
type source struct {
	name  string
	lines []string
	list  span.List
}

func (s *source) pos(line, byteCol int) span.Pos {
	col := 1
	if line < len(s.lines) {
		col += utf8.RuneCountInString(s.lines[line][:min(byteCol, len(s.lines[line]))])
	}
	return span.Pos{File: s.name, Line: line + 1, Col: col}
}

func (s *source) warn(pos span.Pos, rule, says, text, do string) {
	s.list = append(s.list, span.Finding{Pos: pos, Severity: span.Warning, Rule: rule, Says: says, Text: text, Do: do})
}

func refuse(name string, line, col int, rule, says, do string) span.List {
	return span.List{{Pos: span.Pos{File: name, Line: line, Col: col}, Severity: span.Error, Rule: rule, Says: says, Do: do}}
}

// Read reads a narration. The findings are in the order of the text; when one
// is an error the transcript is nil. The name is that of the file and helps to
// tell a spreadsheet; it may be empty.
func Read(name string, data []byte) (*Transcript, span.List) {
	if list := unfit(name, data); list != nil {
		return nil, list
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	s := &source{name: name, lines: strings.Split(text, "\n")}
	t := &Transcript{Name: name, Form: formOf(name, s.lines)}
	switch t.Form {
	case WebVTT, SubRip:
		t.Cues = s.readCaptions(t.Form)
	case Bracketed:
		t.Cues = s.readBracketed()
	case Table:
		t.Cues = s.readTable(text)
	default:
		t.Cues = s.readNotes()
	}
	if t.Form != Notes && t.Form != Table {
		nameSpeakers(t.Cues)
		s.checkTimes(t.Cues)
	}
	if len(t.Cues) == 0 {
		return nil, append(s.list, refuse(name, 1, 1, "empty", "no word stands in it", "give a narration: captions, lines with times, notes or a spreadsheet")...)
	}
	if more := len(s.list) - maxFindings; more > 0 {
		s.list = append(s.list[:maxFindings:maxFindings], span.Finding{Pos: s.list[maxFindings].Pos, Severity: span.Warning, Rule: "more", Says: fmt.Sprintf("%d more findings from here on", more)})
	}
	return t, s.list
}

// unfit says why bytes are no text to read.
func unfit(name string, data []byte) span.List {
	switch {
	case len(data) > MaxSize:
		return refuse(name, 1, 1, "size", fmt.Sprintf("the narration has %d bytes, more than %d", len(data), MaxSize), "cut it into parts")
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return refuse(name, 1, 1, "encoding", "the narration is written in UTF-16", "save it as UTF-8")
	}
	line, start := 1, 0
	for i := 0; i < len(data); {
		r, n := utf8.DecodeRune(data[i:])
		col := 1
		if r == utf8.RuneError || r < ' ' && r != '\n' {
			col += utf8.RuneCount(data[max(start, i-mostLine):i])
		}
		switch {
		case r == utf8.RuneError && n == 1 && binary(data):
			return refuse(name, line, col, "binary", "this is no text: it looks like a recording, a picture or a program", "give the transcript; a recording must be turned into text first")
		case r == utf8.RuneError && n == 1:
			return refuse(name, line, col, "encoding", fmt.Sprintf("the byte %#02x is not UTF-8", data[i]), "save it as UTF-8")
		case r == 0 || r < ' ' && r != '\t' && r != '\n' && r != '\r' && r != '\f':
			return refuse(name, line, col, "binary", fmt.Sprintf("the character %#02x stands in no text", r), "give the transcript; a recording must be turned into text first")
		case r == '\n':
			line, start = line+1, i+1
		}
		i += n
	}
	return nil
}

// mostLine is how many bytes of a line are counted to name a column.
const mostLine = 4096

// binaryShare is the share of bytes of no text above which bytes are called
// binary rather than a text in another encoding.
const binaryShare = 0.02

func binary(data []byte) bool {
	odd := 0
	head := data[:min(len(data), 4096)]
	for _, b := range head {
		if b < ' ' && b != '\t' && b != '\n' && b != '\r' && b != '\f' {
			odd++
		}
	}
	return float64(odd) > binaryShare*float64(len(head))
}

// formOf tells the form by the first lines that say something.
func formOf(name string, lines []string) Form {
	timed, spoken := 0, 0
	for i, l := range lines {
		switch l = strings.TrimSpace(l); {
		case i == 0 && (l == "WEBVTT" || strings.HasPrefix(l, "WEBVTT ") || strings.HasPrefix(l, "WEBVTT\t")):
			return WebVTT
		case strings.Contains(l, "-->"):
			return SubRip
		case l == "":
			continue
		}
		spoken++
		if _, n := bracketTime(l); n > 0 {
			timed++
		}
		if spoken == 50 {
			break
		}
	}
	switch {
	case timed*3 > spoken:
		return Bracketed
	case isTable(name, lines):
		return Table
	}
	return Notes
}

// readNotes makes a cue of every line; its time is not known.
func (s *source) readNotes() []Cue {
	var cues []Cue
	for i, l := range s.lines {
		if text := strings.TrimSpace(l); text != "" {
			c := Cue{}
			c.add(text, s.pos(i, strings.Index(l, text)))
			cues = append(cues, c)
		}
	}
	return cues
}

// checkTimes warns of times that run backwards or overlap.
func (s *source) checkTimes(cues []Cue) {
	var last, end time.Duration
	for i := range cues {
		c := &cues[i]
		pos := c.At(0)
		switch {
		case !c.Timed:
			continue
		case c.Start < last:
			s.warn(pos, "order", fmt.Sprintf("the time %s comes after %s", Clock(c.Start), Clock(last)), "", "the words are kept in the order of the text; correct the times if that is wrong")
		case c.Start < end:
			s.warn(pos, "overlap", fmt.Sprintf("begins at %s, before the one above ends at %s", Clock(c.Start), Clock(end)), "", "the words are kept in the order of the text")
		}
		last, end = c.Start, max(end, c.End)
	}
	slices.SortStableFunc(s.list, func(a, b span.Finding) int { return a.Pos.Compare(b.Pos) })
}

// Clock prints a time as people read it from a player: 0:33, 12:05, 1:02:03.
func Clock(d time.Duration) string {
	n := int(d / time.Second)
	if n >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
	}
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}
