package answer

import (
	"fmt"
	"strings"

	"elbowroom/codes/live"
	"elbowroom/span"
)

// information are the types of service 09 that are read (SAE J1979).
var information = map[byte]struct {
	name string
	text bool // else hexadecimal digits
}{
	0x02: {"vehicle identification number", true},
	0x04: {"calibration identification", true},
	0x06: {"calibration verification number", false},
	0x0a: {"control unit name", true},
}

const (
	identification = 0x02 // information type of the vehicle's number
	numberLength   = 17   // of a vehicle identification number, ISO 3779
	olderPart      = 7    // length of one part on an older link, service byte included
)

// info reads a reply of service 09.
func (a *Answer) info(m []byte, link Link) {
	if len(m) < 3 {
		a.note(0, m, span.Warning, "vehicle information that is cut short", "")
		return
	}
	kind := m[1]
	if kind%0x20 == 0 {
		a.infoSupport(m)
		return
	}
	known, ok := information[kind]
	if !ok {
		a.note(2, m[2:], span.Advice, fmt.Sprintf("information type %02X is not read here", kind), "")
		return
	}
	if part := int(m[2]); len(m) == olderPart && link != CAN && known.text {
		a.Info = append(a.Info, Info{Type: kind, Name: known.name, Text: readable(m[3:]), Part: part})
		return
	}
	n, body := int(m[2]), m[3:]
	if n == 0 || len(body) == 0 || len(body)%n != 0 {
		a.note(2, m[2:], span.Warning, fmt.Sprintf("%d bytes cannot be %d times a %s", len(body), n, known.name), "")
		return
	}
	size := len(body) / n
	for i := range n {
		piece := body[i*size : (i+1)*size]
		text := fmt.Sprintf("%X", piece)
		if known.text {
			text = readable(piece)
		}
		a.Info = append(a.Info, Info{Type: kind, Name: known.name, Text: text})
		if kind == identification && (len(text) != numberLength || strings.ContainsAny(text, "IOQ")) {
			a.note(3, piece, span.Warning, "this is no vehicle identification number: 17 characters, never I, O or Q", "read it from the vehicle's plate")
		}
	}
}

func (a *Answer) infoSupport(m []byte) {
	body := m[2:]
	if len(body) == 5 {
		body = body[1:] // number of items
	}
	if len(body) != 4 {
		a.note(2, m[2:], span.Warning, "a list of supported information types is four bytes long", "")
		return
	}
	a.Support = append(a.Support, Support{0x09, live.Supported(live.PID(m[1]), [4]byte(body))})
}

// readable returns the printable characters; filler at either end is left out,
// any other byte is written as \x and two digits.
func readable(b []byte) string {
	var s strings.Builder
	for _, c := range trimZero(b) {
		if c >= ' ' && c <= '~' {
			s.WriteByte(c)
		} else {
			fmt.Fprintf(&s, `\x%02X`, c)
		}
	}
	return strings.TrimSpace(s.String())
}

func trimZero(b []byte) []byte {
	for len(b) > 0 && (b[0] == 0 || b[0] == 0xff) {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == 0 || b[len(b)-1] == 0xff) {
		b = b[:len(b)-1]
	}
	return b
}
