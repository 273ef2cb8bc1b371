package can

import (
	"fmt"
	"slices"

	"elbowroom/span"
)

// Message is what one sender sent as a whole.
type Message struct {
	Bus         string
	ID          uint32
	Extended    bool
	Timed       bool
	First, Last Micros
	Line        int // of the first frame
	Data        []byte
}

// Frame types of ISO 15765-2, the upper half of the first byte.
const (
	singleFrame = iota
	firstFrame
	consecutiveFrame
	flowControl
)

// Numbers of ISO 15765-2.
const (
	// pause is how long a receiver waits for the next frame (N_Cr).
	pause Micros = 1 * micro
	// longest is the longest message that is put together; the standard allows
	// more, no diagnostic answer comes near it.
	longest = 1 << 20
	// firstRoom is how much room a message gets before more of it has come.
	firstRoom = 128
	// noMore is the flow status by which a receiver refuses a message.
	noMore = 2
)

// address is where a message comes from.
type address struct {
	bus      string
	id       uint32
	extended bool
}

// part is a message on its way.
type part struct {
	Message
	want  int  // bytes
	next  byte // sequence number of the next frame, 0 to 15
	where address
}

// Assembler puts frames together to messages (ISO 15765-2, normal addressing).
// Use NewAssembler.
type Assembler struct {
	file  string
	pause Micros
	open  map[address]*part
	finds span.List
}

// NewAssembler returns an assembler that gives a message up when its next frame
// is later than timeout; 0 stands for the standard's one second. The findings
// name the file.
func NewAssembler(file string, timeout Micros) *Assembler {
	if timeout <= 0 {
		timeout = pause
	}
	return &Assembler{file: file, pause: timeout, open: map[address]*part{}}
}

// Findings returns what went wrong since it was last called.
func (a *Assembler) Findings() span.List {
	f := a.finds
	a.finds = nil
	return f
}

func (a *Assembler) say(f *Frame, sev span.Severity, rule, says, do string) {
	a.finds = append(a.finds, span.Finding{
		Pos: span.Pos{File: a.file, Line: f.Line, Col: 1}, Severity: sev, Rule: rule,
		Text: Name(f.ID, f.Extended), Says: says, Do: do,
	})
}

// Push takes the next frame. It returns a message when the frame completes one.
func (a *Assembler) Push(f *Frame) (Message, bool) {
	if f.n == 0 || f.Remote || f.Error {
		return Message{}, false
	}
	where := address{f.Bus, f.ID, f.Extended}
	switch kind := f.data[0] >> 4; kind {
	case singleFrame:
		a.drop(where, f)
		return a.single(f)
	case firstFrame:
		a.drop(where, f)
		a.first(f, where)
	case consecutiveFrame:
		return a.consecutive(f, where)
	case flowControl:
		if f.data[0]&15 == noMore {
			a.say(f, span.Warning, ruleLength, "the receiver refuses the message: it is too long for it", "")
		}
	default:
		a.say(f, span.Advice, ruleContent, fmt.Sprintf("a frame of type %X, which ISO 15765-2 does not have", kind), "")
	}
	return Message{}, false
}

// drop gives up what was on its way from the same sender.
func (a *Assembler) drop(where address, f *Frame) {
	if p := a.open[where]; p != nil {
		delete(a.open, where)
		a.say(f, span.Warning, ruleEnd, fmt.Sprintf("a new message begins; the one from line %d lacks %d of %d bytes and is not used", p.Line, p.want-len(p.Data), p.want), "read it again")
	}
}

func message(f *Frame) Message {
	return Message{Bus: f.Bus, ID: f.ID, Extended: f.Extended, Timed: f.Timed, First: f.Time, Last: f.Time, Line: f.Line}
}

func (a *Assembler) single(f *Frame) (Message, bool) {
	n, from := int(f.data[0]&15), 1
	if n == 0 && f.n > classicMax {
		n, from = int(f.data[1]), 2
	}
	if n == 0 || from+n > f.n {
		a.say(f, span.Warning, ruleLength, fmt.Sprintf("a single frame of %d bytes says that it carries %d", f.n, n), "")
		return Message{}, false
	}
	m := message(f)
	m.Data = slices.Clone(f.data[from : from+n])
	return m, true
}

func (a *Assembler) first(f *Frame, where address) {
	if f.n < classicMax {
		a.say(f, span.Warning, ruleLength, "the first frame of a long message is full; this one is not", "")
		return
	}
	n, from := int(f.data[0]&15)<<8|int(f.data[1]), 2
	if n == 0 {
		n, from = int(f.data[2])<<24|int(f.data[3])<<16|int(f.data[4])<<8|int(f.data[5]), 6
	}
	if n > longest || n <= f.n-from {
		a.say(f, span.Warning, ruleLength, fmt.Sprintf("a first frame announces %d bytes", n), "")
		return
	}
	p := &part{Message: message(f), want: n, next: 1, where: where}
	p.Data = append(make([]byte, 0, min(n, firstRoom)), f.data[from:f.n]...)
	a.open[where] = p
}

func (a *Assembler) consecutive(f *Frame, where address) (Message, bool) {
	p := a.open[where]
	if p == nil {
		a.say(f, span.Warning, ruleSequence, "a frame continues a message whose begin is not there", "")
		return Message{}, false
	}
	if wait := f.Time - p.Last; f.Timed && p.Timed && wait > a.pause {
		delete(a.open, where)
		a.say(f, span.Warning, rulePause, fmt.Sprintf("%.3f s after the frame before; the message from line %d was given up by then and is not used", wait.Seconds(), p.Line), "read it again")
		return Message{}, false
	}
	if got := f.data[0] & 15; got != p.next {
		delete(a.open, where)
		a.say(f, span.Warning, ruleSequence, fmt.Sprintf("frame %d of the message from line %d follows where %d is due; the message is not used", got, p.Line, p.next), "look whether the capture lost frames")
		return Message{}, false
	}
	p.next = (p.next + 1) & 15
	p.Last = f.Time
	p.Data = append(p.Data, f.data[1:min(f.n, 1+p.want-len(p.Data))]...)
	if len(p.Data) < p.want {
		return Message{}, false
	}
	delete(a.open, where)
	return p.Message, true
}

// Close reports every message that lacks its end.
func (a *Assembler) Close() {
	var left []*part
	for _, p := range a.open {
		left = append(left, p)
	}
	slices.SortFunc(left, func(p, q *part) int { return p.Line - q.Line })
	for _, p := range left {
		f := Frame{ID: p.ID, Extended: p.Extended, Line: p.Line}
		a.say(&f, span.Warning, ruleEnd, fmt.Sprintf("the message lacks %d of %d bytes and is not used", p.want-len(p.Data), p.want), "read it again")
	}
	a.open = map[address]*part{}
}
