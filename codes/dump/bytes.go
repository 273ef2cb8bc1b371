package dump

import (
	"encoding/hex"
	"fmt"
	"strings"
	"unicode/utf8"

	"elbowroom/codes"
	"elbowroom/codes/answer"
	"elbowroom/codes/can"
	"elbowroom/span"
)

// captured reads a line of a capture.
func (r *reader) captured(text string, line int) bool {
	if !strings.ContainsAny(text, "#[") {
		return false
	}
	f, _, ok := r.lines.Frame([]byte(text), line)
	if !ok || !f.Timed && len(f.Data()) == 0 {
		return false
	}
	r.frame(&f)
	return true
}

func (r *reader) frame(f *can.Frame) {
	if r.bus == nil {
		r.bus = can.NewDecoder(can.Options{File: r.opt.File})
	}
	r.bus.Frame(f)
}

// row is a row of hexadecimal bytes.
type row struct {
	id       uint32
	named    bool // has an identifier
	extended bool
	data     []byte
}

// Lengths of identifiers in digits.
const (
	shortID = 3
	longID  = 8
)

// parseRow reads "7E8 06 41 00", "18DAF110 06 41 00", "18 DA F1 10 06 41 00",
// "41 05 7B", or any of them without spaces.
func parseRow(text string) (row, bool) {
	words := strings.Fields(text)
	var w row
	digits := strings.Join(words, "")
	if strings.TrimLeft(digits, "0123456789ABCDEFabcdef") != "" || len(digits) < 4 {
		return w, false
	}
	for _, s := range words[1:] {
		if len(s) != 2 {
			return w, false
		}
	}
	n := idDigits(words, digits)
	if n > 0 {
		if _, err := fmt.Sscanf(digits[:n], "%x", &w.id); err != nil {
			return w, false
		}
		w.named, w.extended = true, n == longID
	}
	data, err := hex.DecodeString(digits[n:])
	w.data = data
	return w, err == nil && len(data) > 0
}

// idDigits returns how many digits in front are an identifier: those of a
// diagnostic identifier only, so that a row of bytes is not beheaded.
func idDigits(words []string, digits string) int {
	first := len(words[0])
	lone := len(words) == 1
	if (first == shortID || lone && first%2 == 1) && digits[0] == '7' {
		return shortID
	}
	if (first == longID || first == 2 || lone) && len(digits) > longID {
		up := strings.ToUpper(digits[:4])
		if up == "18DA" || up == "18DB" {
			return longID
		}
	}
	return 0
}

// replies are the first bytes of messages that are read.
func isReply(b byte) bool {
	return b >= 0x41 && b <= 0x4a || b == 0x59 || b == 0x54 || b == 0x7f
}

// isRequest tells whether bytes without identifier are a request.
func isRequest(data []byte) bool {
	return data[0] >= 1 && data[0] <= 0x0a && len(data) <= 7 || data[0] == 0x19 && len(data) <= 6
}

// bytes reads a row of bytes.
func (r *reader) bytes(text string, line int) bool {
	w, ok := parseRow(text)
	if !ok {
		return false
	}
	if w.named {
		return r.named(w, text, line)
	}
	d := w.data
	switch {
	case isReply(d[0]):
		r.message(d, r.opt.Link, "", text, line)
	case len(d) > 1 && d[0] <= 7 && isReply(d[1]) && len(d) > int(d[0]):
		r.message(d[1:1+int(d[0])], answer.CAN, "", text, line)
	case len(d) == 8 && (d[0]>>4 == 1 && isReply(d[2]) || d[0]>>4 == 2):
		f, err := can.NewFrame(0, false, d)
		if err != nil {
			return false
		}
		f.Line = line
		if m, ok := r.joined.Push(&f); ok {
			r.message(m.Data, answer.CAN, "", text, line)
		}
	case isRequest(d):
		r.out.Asked = append(r.out.Asked, Line{r.pos(line, 1), text})
	default:
		return false
	}
	return true
}

// named reads a row with an identifier: a frame, or a whole message that the
// reader put together itself.
func (r *reader) named(w row, text string, line int) bool {
	role := can.RoleOf(w.id, w.extended)
	if role == can.Other {
		return false
	}
	if role == can.Unit && isReply(w.data[0]) {
		r.message(w.data, answer.CAN, can.Name(w.id, w.extended), text, line)
		return true
	}
	f, err := can.NewFrame(w.id, w.extended, w.data)
	if err != nil {
		r.find(span.Error, ruleContent, line, 1, clip(text), "more bytes than a frame carries", "")
		r.unread(text, line)
		return true
	}
	f.Line = line
	r.frame(&f)
	return true
}

// message takes a whole message.
func (r *reader) message(data []byte, link answer.Link, unit, text string, line int) {
	a := answer.Decode(data, link)
	if unit == "" {
		unit = r.unit
	}
	for _, n := range a.Notes {
		r.find(n.Severity, ruleContent, line, 1, fmt.Sprintf("% X", n.Bytes[:min(len(n.Bytes), 20)]), n.Says, n.Do)
	}
	for _, c := range a.Codes {
		c.Unit, c.Pos = unit, r.pos(line, 1)
		r.out.Codes = append(r.out.Codes, c)
	}
	for _, e := range a.Either {
		for i := range e {
			e[i].Unit, e[i].Pos = unit, r.pos(line, 1)
		}
		r.out.Either = append(r.out.Either, e)
	}
	for _, v := range a.Values {
		if v.Unused {
			r.find(span.Advice, ruleContent, line, 1, v.Channel, "the control unit says that it makes no use of this value", "")
			continue
		}
		r.out.Values = append(r.out.Values, Value{Name: v.Channel, Channel: v.Channel, Value: v.Value, Frozen: a.Service == 0x02, Unit: unit, Pos: r.pos(line, 1)})
	}
	for _, w := range a.Fuel {
		r.find(span.Advice, ruleContent, line, 1, "", "fuel system: "+w, "")
	}
	r.out.Ready = append(r.out.Ready, a.Ready...)
	r.out.Support = append(r.out.Support, a.Support...)
	r.out.Info = append(r.out.Info, a.Info...)
	switch {
	case a.Kind == answer.Refusal:
		r.find(span.Advice, ruleContent, line, 1, clip(text), fmt.Sprintf("service %02X is refused: %s", a.Service, answer.Reason(a.Refused)), "")
	case a.Cleared:
		r.find(span.Warning, ruleContent, line, 1, clip(text), "the codes were cleared here", "what was stored before is gone unless it was written down")
		r.out.Cleared = append(r.out.Cleared, Line{r.pos(line, 1), text})
		for i := range r.out.Codes {
			r.out.Codes[i].Before = r.out.Codes[i].Before || r.out.Codes[i].Unit == unit
		}
	case a.Announced == 0 && memoryOf(a.Service) != codes.Unsaid:
		r.out.None = append(r.out.None, memoryOf(a.Service))
	}
}

func memoryOf(service byte) codes.Memory {
	switch service {
	case 0x03:
		return codes.Stored
	case 0x07:
		return codes.Waiting
	case 0x0a:
		return codes.Permanent
	}
	return codes.Unsaid
}

// longestShown is how much of a text a finding repeats, in characters.
const longestShown = 40

func clip(s string) string {
	if utf8.RuneCountInString(s) <= longestShown {
		return s
	}
	return string([]rune(s)[:longestShown]) + "…"
}
