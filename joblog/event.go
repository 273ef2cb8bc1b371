package joblog

import (
	"errors"

	"elbowroom/guide"
)

// ErrForm is wrapped by every error about an event that is not well formed.
var ErrForm = errors.New("the event cannot be read")

// Schema is the version of events that this program writes and understands.
const Schema = 1

// Limits of what one event and one log may hold.
const (
	MaxEvent    = 256 << 10 // bytes of one event
	MaxEvents   = 20_000    // events of one job
	MaxText     = 4000      // characters of a text
	MaxName     = 200       // characters of a name or a short remark
	MaxList     = 2000      // entries of a list
	MaxDevices  = 64        // devices on one job
	MaxSequence = 1 << 40   // events of one device
)

// Job, Person and Device are names given by the workshop: a letter, then
// letters, digits and any of _ - . @, 64 characters at most.
type (
	Job    string
	Person string
	Device string
)

// Event is one thing that happened on a job, as its author wrote it. It never
// changes: what was wrong is put right by a later event of the kind Correct.
type Event struct {
	Schema int
	ID     ID
	Job    Job
	Author Person
	Device Device
	Seq    int64  // number of the event among those of the device on this job, from 1
	At     Moment // what the clock of the device said
	// Seen says of the other devices how many of their events, without a gap
	// from the first, the device had when it wrote this one. What it said of
	// them earlier holds on and need not be said again.
	Seen map[Device]int64
	Kind Kind
	Body Body // nil when the event is foreign

	foreign []byte // the event as it came, when only a newer program can read it
}

// Foreign reports whether the event was written by a newer program: it can be
// carried but not understood.
func (e Event) Foreign() bool { return e.foreign != nil }

// Record is an event with the time at which it was received, which is no part
// of the event: two servers may receive the same one at different times.
type Record struct {
	Received Moment
	Event    Event
}

// Kind is the sort of an event.
type Kind string

// The kinds.
const (
	KindArrived       Kind = "arrived"
	KindSign          Kind = "sign"
	KindSignWithdrawn Kind = "sign-withdrawn"
	KindCode          Kind = "code"
	KindReading       Kind = "reading"
	KindVerdict       Kind = "verdict"
	KindPlan          Kind = "plan"
	KindDone          Kind = "done"
	KindUndone        Kind = "undone"
	KindTick          Kind = "tick"
	KindUntick        Kind = "untick"
	KindPart          Kind = "part"
	KindLaid          Kind = "laid"
	KindPicture       Kind = "picture"
	KindNote          Kind = "note"
	KindPause         Kind = "pause"
	KindResume        Kind = "resume"
	KindHandover      Kind = "handover"
	KindDeviation     Kind = "deviation"
	KindPrice         Kind = "price"
	KindProof         Kind = "proof"
	KindClose         Kind = "close"
	KindReopen        Kind = "reopen"
	KindCorrect       Kind = "correct"
)

// Body is what an event says beyond its envelope. The types of this package
// are all there are.
type Body interface {
	kind() Kind
	check(f *form)
}

// KindOf returns the kind of a body.
func KindOf(b Body) Kind { return b.kind() }

// newBody returns an empty body of a kind, nil for a kind that does not exist.
func newBody(k Kind) Body {
	for _, b := range bodies {
		if b().kind() == k {
			return b()
		}
	}
	return nil
}

// bodies makes one of each.
var bodies = []func() Body{
	func() Body { return new(Arrived) },
	func() Body { return new(SignNoted) },
	func() Body { return new(SignWithdrawn) },
	func() Body { return new(CodeNoted) },
	func() Body { return new(ReadingTaken) },
	func() Body { return new(VerdictRecorded) },
	func() Body { return new(PlanTaken) },
	func() Body { return new(StepDone) },
	func() Body { return new(StepUndone) },
	func() Body { return new(Ticked) },
	func() Body { return new(Unticked) },
	func() Body { return new(PartNew) },
	func() Body { return new(Laid) },
	func() Body { return new(PictureAdded) },
	func() Body { return new(Note) },
	func() Body { return new(Paused) },
	func() Body { return new(Resumed) },
	func() Body { return new(HandedOver) },
	func() Body { return new(Deviation) },
	func() Body { return new(PriceAgreed) },
	func() Body { return new(ProofMade) },
	func() Body { return new(Closed) },
	func() Body { return new(Reopened) },
	func() Body { return new(Correction) },
}

// Kinds lists every kind in a fixed order.
func Kinds() []Kind {
	list := make([]Kind, len(bodies))
	for i, b := range bodies {
		list[i] = b().kind()
	}
	return list
}

// Pin names one revision of one guide.
type Pin struct {
	Guide    guide.ID `json:"guide"`
	Revision string   `json:"revision,omitempty"`
	Date     string   `json:"date,omitempty"`
	Hash     string   `json:"hash,omitempty"` // of the content, as the keeper of guides works it out
}

// String prints "v27p revision 3, 2026-03-02".
func (p Pin) String() string {
	s := string(p.Guide)
	if p.Revision != "" {
		s += " " + p.Revision
	}
	if p.Date != "" {
		s += ", " + p.Date
	}
	return s
}
