package answer

import (
	"fmt"

	"elbowroom/codes"
	"elbowroom/codes/live"
	"elbowroom/span"
)

// Link is how the message travelled.
type Link int

// The links.
const (
	Unknown Link = iota
	CAN          // ISO 15765-4
	Older        // ISO 9141-2, ISO 14230-4, SAE J1850
)

// Kind is what a message is.
type Kind int

// The kinds of messages.
const (
	Foreign Kind = iota // no service that is read here
	Request             // something asked of a control unit
	Reply
	Refusal
)

// Note is something about a message that its reader should know: bytes that
// were not understood, or a doubt about those that were.
type Note struct {
	At       int    // first byte, counted from 0 at the service byte
	Bytes    []byte // the bytes in question
	Severity span.Severity
	Says     string
	Do       string
}

// Support is a bitmap of items that a control unit answers to.
type Support struct {
	Service byte       `json:"service"` // 01, 02 or 09
	Items   []live.PID `json:"items"`
}

// Ready is readiness with the item that it came in: 01 since the codes were
// cleared, 41 in this drive cycle.
type Ready struct {
	PID live.PID `json:"pid"`
	live.Readiness
}

// Info is one piece of vehicle information (service 09).
type Info struct {
	Type byte   `json:"type"`
	Name string `json:"name"`
	Text string `json:"text"`           // as text, or in hexadecimal digits
	Part int    `json:"part,omitempty"` // older links send long texts in numbered parts
}

// Answer is everything in one message.
type Answer struct {
	Kind      Kind
	Service   byte // as asked: 03 for a reply that begins with 43
	Asked     []byte
	Codes     []codes.Seen
	Either    [][]codes.Seen // readings between which the link decides; Codes is then empty
	Announced int            // number of codes that the message speaks of, -1 when it does not
	Values    []live.Value
	Frame     int // of service 02
	Support   []Support
	Ready     []Ready
	Fuel      []string
	Info      []Info
	Cleared   bool // codes were cleared (service 04 or 14)
	Refused   byte // the reason of a Refusal
	Notes     []Note
}

// The services and marks of the messages.
const (
	replyBit     = 0x40
	negative     = 0x7f
	serviceUDS   = 0x19
	clearUDS     = 0x14
	highestPlain = 0x0a // of SAE J1979
	stillAtIt    = 0x78 // refusal that only says: wait
)

// Decode reads one message from its service byte on. It never fails: what it
// cannot read it says in Notes.
func Decode(message []byte, link Link) Answer {
	a := Answer{Announced: -1}
	if len(message) == 0 {
		a.note(0, nil, span.Warning, "an empty message", "")
		return a
	}
	first := message[0]
	a.Service = first &^ replyBit
	switch {
	case first == negative:
		a.refusal(message)
	case first&replyBit == 0:
		a.request(message)
	case first == replyBit|serviceUDS:
		a.Kind = Reply
		a.report(message)
	case first == replyBit|clearUDS || first == replyBit|0x04:
		a.Kind, a.Cleared = Reply, true
		a.left(message, 1, "nothing is expected behind the answer to clearing codes")
	case a.Service >= 1 && a.Service <= highestPlain:
		a.Kind = Reply
		a.plain(message, link)
	default:
		a.note(0, message, span.Advice, fmt.Sprintf("service %02X is not read here", a.Service), "")
	}
	return a
}

func (a *Answer) note(at int, b []byte, sev span.Severity, says, do string) {
	a.Notes = append(a.Notes, Note{At: at, Bytes: b, Severity: sev, Says: says, Do: do})
}

// left notes the bytes from at on, when there are any.
func (a *Answer) left(message []byte, at int, says string) {
	if at < len(message) {
		a.note(at, message[at:], span.Warning, says, "")
	}
}

// plain reads the replies of SAE J1979.
func (a *Answer) plain(m []byte, link Link) {
	switch a.Service {
	case 0x01, 0x02:
		a.data(m, link)
	case 0x03, 0x07, 0x0a:
		a.list(m, link)
	case 0x09:
		a.info(m, link)
	default:
		a.left(m, 0, fmt.Sprintf("the answer to service %02X is not read here", a.Service))
	}
}

// request notes a request of the services that are recognised when asked.
func (a *Answer) request(m []byte) {
	if s := m[0]; s >= 1 && s <= highestPlain || s == serviceUDS || s == clearUDS {
		a.Kind, a.Asked = Request, m[1:]
		return
	}
	a.note(0, m, span.Advice, fmt.Sprintf("a request for service %02X, which is not read here", m[0]), "")
}

// reasons are why a control unit refuses (ISO 14229-1, negative response
// codes).
var reasons = map[byte]string{
	0x10: "general reject", 0x11: "service not supported", 0x12: "sub-function not supported",
	0x13: "wrong length or form of the request", 0x14: "the answer would be too long", 0x21: "busy, ask again",
	0x22: "conditions not met", 0x24: "asked in the wrong order", 0x31: "asked for something out of range",
	0x33: "access not granted", stillAtIt: "received, the answer will follow",
	0x7e: "sub-function not supported in this session", 0x7f: "service not supported in this session",
}

// Reason says in words why a control unit refused.
func Reason(code byte) string {
	if w, ok := reasons[code]; ok {
		return w
	}
	return fmt.Sprintf("reason %02X", code)
}

// Waiting reports whether a refusal only says that the answer will follow.
func (a Answer) Waiting() bool { return a.Kind == Refusal && a.Refused == stillAtIt }

func (a *Answer) refusal(m []byte) {
	a.Kind, a.Service = Refusal, 0
	if len(m) < 3 {
		a.note(0, m, span.Warning, "a refusal that is cut short", "")
		return
	}
	a.Service, a.Refused = m[1], m[2]
	a.left(m, 3, "nothing is expected behind a refusal")
}
