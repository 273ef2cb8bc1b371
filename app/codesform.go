package app

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"elbowroom/codes/answer"
	"elbowroom/codes/can"
	"elbowroom/codes/dump"
)

// CodeForm is the form in which codes were written down.
type CodeForm string

// The forms.
const (
	TextForm  CodeForm = "text"          // what a reader shows or exports
	RowsForm  CodeForm = "rows"          // rows of bytes in hexadecimal
	LogForm   CodeForm = "capture log"   // a CAN capture, "(1.0) can0 7E8#0341057B"
	PrintForm CodeForm = "capture print" // a CAN capture, "can0 7E8 [4] 03 41 05 7B"
)

// Limits of a text of codes. A capture is a stream and has none.
const (
	maxCodeText = 4 << 20   // bytes
	sniffed     = 64 << 10  // bytes looked at to tell the form
	oddShare    = 10        // one control character in so many makes a file no text
	captured    = 1.0 / 2.0 // share of lines that must be frames
)

// read decodes the input into units, series and findings.
func (c *CodesRead) read(in CodeInput, link answer.Link) error {
	b := bufio.NewReaderSize(in.Text, sniffed)
	head, err := b.Peek(sniffed)
	if err != nil && !errors.Is(err, io.EOF) {
		return fmt.Errorf("%w: %s: %w", ErrInput, in.name(), err)
	}
	wide := wideOrder(head)
	if wide == nil {
		if err := isText(in, head); err != nil {
			return err
		}
		c.Form = formOf(head)
	}
	if c.Form == LogForm || c.Form == PrintForm {
		return c.capture(in, b)
	}
	text, err := c.text(in, b, wide)
	if err != nil {
		return err
	}
	if wide != nil {
		c.Form = formOf([]byte(text[:min(len(text), sniffed)]))
	}
	if strings.TrimSpace(text) == "" {
		return in.nothing()
	}
	c.dumped(dump.Read(text, dump.Options{File: in.Name, Link: link}), strings.Count(strings.TrimRight(text, "\n"), "\n")+1)
	return nil
}

func (in CodeInput) name() string {
	if in.Name == "" {
		return "codes"
	}
	return in.Name
}

func (in CodeInput) nothing() error {
	return fmt.Errorf("%w: %s: nothing stands in it; give what the reader shows, rows of bytes, or a capture", ErrInput, in.name())
}

// wideOrder returns the order of bytes of a text in UTF-16, told by its mark.
func wideOrder(head []byte) binary.ByteOrder {
	switch {
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}):
		return binary.LittleEndian
	case bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return binary.BigEndian
	}
	return nil
}

// isText refuses what is empty or no text.
func isText(in CodeInput, head []byte) error {
	odd := 0
	for _, b := range head {
		if b == 0 {
			odd = len(head)
			break
		}
		if b < ' ' && b != '\n' && b != '\r' && b != '\t' && b != '\f' {
			odd++
		}
	}
	switch {
	case len(bytes.TrimSpace(head)) == 0 && len(head) < sniffed:
		return in.nothing()
	case odd*oddShare > len(head):
		return fmt.Errorf("%w: %s: this is no text; export the codes as text, or copy what the reader shows", ErrInput, in.name())
	}
	return nil
}

// formOf tells the form by the lines at the begin.
func formOf(head []byte) CodeForm {
	var lines can.Lines
	total, logged, printed, rows := 0, 0, 0, 0
	for line := range bytes.Lines(head) {
		if len(bytes.TrimSpace(line)) == 0 || len(line) > 0 && line[len(line)-1] != '\n' && total > 0 {
			continue // the last line may be cut
		}
		total++
		f, _, ok := lines.Frame(line, total)
		switch {
		case ok && bytes.IndexByte(line, '#') >= 0:
			logged++
		case ok && bytes.IndexByte(line, '[') >= 0 && (f.Timed || len(f.Data()) > 0):
			printed++
		case isRow(line):
			rows++
		}
	}
	least := captured * float64(total)
	switch {
	case total > 0 && logged >= printed && float64(logged+printed) >= least:
		return LogForm
	case total > 0 && float64(logged+printed) >= least:
		return PrintForm
	case total > 0 && float64(rows) >= least:
		return RowsForm
	}
	return TextForm
}

// leastRow is how many hexadecimal digits make a row of bytes.
const leastRow = 4

// isRow tells rows of bytes from words by their digits.
func isRow(line []byte) bool {
	n := 0
	for _, ch := range bytes.TrimSpace(line) {
		switch {
		case ch >= '0' && ch <= '9', ch >= 'A' && ch <= 'F', ch >= 'a' && ch <= 'f':
			n++
		case ch != ' ' && ch != '\t':
			return false
		}
	}
	return n >= leastRow
}

// text returns the whole text as UTF-8, and notes when it was another code.
func (c *CodesRead) text(in CodeInput, r io.Reader, wide binary.ByteOrder) (string, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxCodeText+1))
	if err != nil {
		return "", fmt.Errorf("%w: %s: %w", ErrInput, in.name(), err)
	}
	if len(data) > maxCodeText {
		return "", fmt.Errorf("%w: %s: longer than %d MB for a text; keep to what the reader shows, or give a capture, which may be of any length", ErrInput, in.name(), maxCodeText>>20)
	}
	if wide != nil {
		c.Notes = append(c.Notes, "The text is in UTF-16 and was read as that.")
		units := make([]uint16, len(data)/2)
		for i := range units {
			units[i] = wide.Uint16(data[2*i:])
		}
		return strings.ReplaceAll(strings.TrimPrefix(string(utf16.Decode(units)), "\uFEFF"), "\x00", "\uFFFD"), nil
	}
	if utf8.Valid(data) {
		return string(data), nil
	}
	c.Notes = append(c.Notes, "The text is not in UTF-8; it was read as ISO 8859-1. Signs such as ° may be wrong if it is neither.")
	wideText := make([]rune, len(data))
	for i, b := range data {
		wideText[i] = rune(b)
	}
	return string(wideText), nil
}

// capture reads a capture of a CAN bus as a stream.
func (c *CodesRead) capture(in CodeInput, r io.Reader) error {
	k, err := can.Read(r, can.Options{File: in.Name, Deltas: in.Deltas})
	if err != nil {
		return fmt.Errorf("%w: %s: %w", ErrInput, in.name(), err)
	}
	c.Says = fmt.Sprintf("Read as the %s of a CAN capture: %s, %s", strings.TrimPrefix(string(c.Form), "capture "), counted(k.Lines, "line"), counted(k.Frames, "frame"))
	if k.Timed {
		c.Says += fmt.Sprintf(", %.3f s", k.Seconds)
	}
	if len(k.Buses) > 0 {
		c.Says += " on " + join(k.Buses)
	}
	if k.Errors > 0 {
		c.Says += ", " + counted(k.Errors, "error frame")
	}
	if k.Remote > 0 {
		c.Says += ", " + counted(k.Remote, "remote frame")
	}
	c.Says += "."
	c.Series, c.Requests, c.Others, c.Findings = k.Series, k.Requests, k.Others, k.Findings
	for i := range k.Units {
		c.control(&k.Units[i])
	}
	c.latest()
	return nil
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
