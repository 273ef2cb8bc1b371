package answer

import (
	"fmt"

	"elbowroom/codes"
	"elbowroom/span"
)

// memories are the services that list codes.
var memories = map[byte]codes.Memory{0x03: codes.Stored, 0x07: codes.Waiting, 0x0a: codes.Permanent}

// olderLength is how many bytes an older link sends behind the service: three
// codes, filled up with noughts.
const olderLength = 6

// list reads the replies of services 03, 07 and 0A.
func (a *Answer) list(m []byte, link Link) {
	body := m[1:]
	switch {
	case link == CAN:
		a.counted(m)
	case link == Older:
		a.filled(m)
	case len(body)%2 == 1:
		a.counted(m)
	case len(body) == olderLength && a.couldBeCounted(body):
		a.either(m)
	default:
		a.filled(m)
	}
}

// couldBeCounted reports whether a number of codes in front would make sense:
// as many codes as it says, none of them nought, and only filler behind.
func (a *Answer) couldBeCounted(body []byte) bool {
	n := int(body[0])
	if n == 0 || 1+2*n > len(body) {
		return false
	}
	for i := 1; i < 1+2*n; i += 2 {
		if body[i] == 0 && body[i+1] == 0 {
			return false
		}
	}
	rest := body[1+2*n:]
	return len(rest) == 0 || padding(rest)
}

// either returns both readings of a message whose link is not known.
func (a *Answer) either(m []byte) {
	b := Answer{Service: a.Service, Announced: -1}
	b.counted(m)
	c := Answer{Service: a.Service, Announced: -1}
	c.filled(m)
	a.Either = [][]codes.Seen{b.Codes, c.Codes}
	a.note(1, m[1:], span.Error, fmt.Sprintf("on CAN these bytes are %s, on an older link %s; neither is taken", names(b.Codes), names(c.Codes)),
		"say over which link they were read; a reader shows the link it found")
}

func names(seen []codes.Seen) string {
	s := ""
	for i, c := range seen {
		if i > 0 {
			s += ", "
		}
		s += c.Code.String()
	}
	if s == "" {
		return "no code"
	}
	return s
}

// counted reads a list with the number of codes in front.
func (a *Answer) counted(m []byte) {
	if len(m) < 2 {
		a.note(0, m, span.Warning, "the number of codes is missing", "")
		return
	}
	a.Announced = int(m[1])
	at := 2
	for ; at+1 < len(m) && at < 2+2*a.Announced; at += 2 {
		a.add(m, at)
	}
	if got := (at - 2) / 2; got < a.Announced {
		a.note(1, m[1:], span.Warning, fmt.Sprintf("%d codes are announced, %d are there: the end is missing", a.Announced, got), "read the codes again")
	}
	a.left(m, at, "more bytes than the announced codes take")
}

// filled reads codes up to the end; noughts are filler.
func (a *Answer) filled(m []byte) {
	at := 1
	for ; at+1 < len(m); at += 2 {
		if m[at] != 0 || m[at+1] != 0 {
			a.add(m, at)
		}
	}
	a.left(m, at, "half a code")
}

func (a *Answer) add(m []byte, at int) {
	c := codes.FromBytes(m[at], m[at+1])
	if c == 0 {
		a.note(at, m[at:at+2], span.Warning, "a code of noughts among those announced", "read the codes again")
		return
	}
	a.Codes = append(a.Codes, codes.Seen{Code: codes.Full{Code: c}, Memory: memories[a.Service]})
}

// Parts of a reply of ISO 14229-1 service 19.
const (
	recordLength = 4 // three bytes of code, one of status
	formatJ2012  = 0 // SAE J2012-DA
	formatISO    = 1 // ISO 14229-1: the same bytes
	formatWWH    = 4 // SAE J2012-DA, world-wide harmonised
)

// report reads a reply of ISO 14229-1 service 19.
func (a *Answer) report(m []byte) {
	if len(m) < 3 {
		a.note(0, m, span.Warning, "a list of codes that is cut short", "")
		return
	}
	switch sub := m[1]; sub {
	case 0x02, 0x0a, 0x0b, 0x0c, 0x0d, 0x0e, 0x0f, 0x13, 0x15:
		a.records(m, codes.Status(m[2]), memoryOf(sub))
	case 0x01, 0x07, 0x11, 0x12:
		a.number(m)
	case 0x04, 0x06:
		if len(m) < 2+recordLength {
			a.left(m, 2, "a code with its status that is cut short")
			return
		}
		a.record(m[2:], 0xff, codes.Reported)
		a.left(m, 2+recordLength, "data stored with the code: its layout is the maker's")
	default:
		a.note(1, m[1:], span.Advice, fmt.Sprintf("report %02X of service 19 is not read here", sub), "")
	}
}

func memoryOf(sub byte) codes.Memory {
	if sub == 0x15 {
		return codes.Permanent
	}
	return codes.Reported
}

// records reads codes with their status to the end of the message.
func (a *Answer) records(m []byte, mask codes.Status, memory codes.Memory) {
	at := 3
	for ; at+recordLength <= len(m); at += recordLength {
		if outside := a.record(m[at:], mask, memory); outside != 0 {
			a.note(at+3, m[at+3:at+4], span.Warning, fmt.Sprintf("status bits %s are set that this control unit says it does not keep (%s)", outside, mask), "do not rely on them")
		}
	}
	a.left(m, at, "part of a code")
}

// record adds one code and returns the status bits outside of mask.
func (a *Answer) record(b []byte, mask codes.Status, memory codes.Memory) codes.Status {
	s := codes.Status(b[3])
	a.Codes = append(a.Codes, codes.Seen{
		Code:   codes.Full{Code: codes.FromBytes(b[0], b[1]), Type: codes.FailureType(b[2]), Typed: true},
		Memory: memory, Status: s & mask, HasStatus: true,
	})
	return s &^ mask
}

// number reads how many codes there are.
func (a *Answer) number(m []byte) {
	if len(m) < 6 {
		a.left(m, 2, "a number of codes that is cut short")
		return
	}
	if f := m[3]; f != formatJ2012 && f != formatISO && f != formatWWH {
		a.note(3, m[3:4], span.Warning, fmt.Sprintf("this control unit numbers its codes in format %02X, which is not that of SAE J2012", f), "do not read its codes as P, C, B or U codes")
	}
	a.Announced = int(m[4])<<8 | int(m[5])
	a.left(m, 6, "nothing is expected behind the number of codes")
}
