package capture

import (
	"strconv"
	"strings"
	"time"

	"elbowroom/capture/transcript"
	"elbowroom/cite"
	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/span"
)

// Kind is what a fact says of its item.
type Kind string

// The kinds.
const (
	Count     Kind = "count"     // of fasteners or small parts: "2 bolts"
	Thread    Kind = "thread"    // "M8"
	Drive     Kind = "drive"     // "T30", "hex 19", "hex 9/16 in"
	Torque    Kind = "torque"    // "20 N·m", "140 N·m + 90°", "hand tight", "not applicable"
	Threads   Kind = "threads"   // dry, oiled, thread-locked
	Order     Kind = "order"     // of tightening
	Reuse     Kind = "reuse"     // "single-use bolt", "reusable gasket", "single-use"
	Fixing    Kind = "fixing"    // what holds it without a thread
	Sight     Kind = "sight"     // seen, not seen, by feel, mirror
	Access    Kind = "access"    // easy, hard
	From      Kind = "from"      // "below", "not below"
	Needs     Kind = "needs"     // what must be off or aside first
	With      Kind = "with"      // a state of the machine: "engine cold"
	LimitKind Kind = "limit"     // a value that a reading must have
	Loses     Kind = "loses"     // fluid lost by the work
	Holds     Kind = "holds"     // fluid that goes in
	Connector Kind = "connector" // "10-way", "slide lock"
	Tool      Kind = "tool"      // not found in every box
	Place     Kind = "place"     // where it sits, in words
	Trick     Kind = "trick"     // how it is done, in words
	Warning   Kind = "warning"   // in words
	Risk      Kind = "risk"      // what breaks, in words
	PartOf    Kind = "part-of"   // what it comes with; "separate", "together"
	Elsewhere Kind = "elsewhere" // said in another place
	Was       Kind = "was"       // an older value
	Minutes   Kind = "minutes"
	State     Kind = "state" // of the machine at the moment: off, aside, on
)

// Kinds lists every kind in the order in which a person reads of an item.
var Kinds = []Kind{
	State, Place, Sight, Access, From, Needs, With, Tool, Count, Thread, Drive, Torque, Threads, Order, Reuse, Fixing, Connector,
	LimitKind, Loses, Holds, Minutes, PartOf, Elsewhere, Was, Trick, Warning, Risk,
}

// Numeric reports whether the value of the kind is a number that a person
// would act on.
func (k Kind) Numeric() bool {
	switch k {
	case Count, Thread, Drive, Torque, LimitKind, Loses, Holds, Minutes, Was:
		return true
	}
	return false
}

// Wordy reports whether the value of the kind is the words themselves.
func (k Kind) Wordy() bool {
	switch k {
	case Place, Trick, Warning, Risk, Elsewhere:
		return true
	}
	return false
}

// Moment is where in the narration something was said.
type Moment struct {
	Start   time.Duration `json:"start"` // of the cue
	End     time.Duration `json:"end"`
	Timed   bool          `json:"timed"` // the narration has times
	Cue     int           `json:"cue"`   // from 0
	Pos     span.Pos      `json:"pos"`   // of the first word
	Said    string        `json:"said"`  // the words
	Speaker string        `json:"speaker,omitempty"`
}

// Clock writes the time of the cue, or the line where there are no times.
func (m Moment) Clock() string {
	if m.Timed {
		return transcript.Clock(m.Start)
	}
	return "line " + strconv.Itoa(m.Pos.Line)
}

// Item is the thing that a fact is about, as it was called.
type Item struct {
	Name   string      `json:"name"`             // with side and number: "left exhaust cam sensor", "coil 6"
	Side   string      `json:"side,omitempty"`   // as said; left and right are of the vehicle unless a question says otherwise
	Bare   string      `json:"bare"`             // without side and number
	Number int         `json:"number,omitempty"` // of cylinder
	Class  guide.Class `json:"class,omitempty"`
	Gauge  bool        `json:"gauge,omitempty"` // a measured quantity, not a thing: "oil pressure"
	Guide  []guide.ID  `json:"guide,omitempty"` // what it is in the guide, best first; empty when the guide has none or there is no guide
}

// Value is what a fact says. Text is always set; the other fields hold the
// same for programs.
type Value struct {
	Text  string         `json:"text"`
	Low   quantity.Value `json:"low,omitzero"`
	High  quantity.Value `json:"high,omitzero"` // equal to Low for a single value without bound
	Angle float64        `json:"angle,omitempty"`
	Count int            `json:"count,omitempty"`
	What  string         `json:"what,omitempty"` // the fastener, the measured quantity, the thing needed
	On    string         `json:"on,omitempty"`   // which of several fasteners a torque is for
}

// Fact is one thing said of one item.
type Fact struct {
	ID         string     `json:"id"`
	Item       Item       `json:"item"`
	Kind       Kind       `json:"kind"`
	Value      Value      `json:"value"`
	For        string     `json:"for,omitempty"`  // variant in words
	When       []string   `json:"when,omitempty"` // conditions of a reading
	Grade      cite.Grade `json:"grade"`
	Who        string     `json:"who,omitempty"`        // whom the narrator quotes
	Confidence float64    `json:"confidence"`           // 0 to 1, see confidence.go
	Because    []string   `json:"because,omitempty"`    // what lowers the confidence
	TookBack   string     `json:"took_back,omitempty"`  // what the narrator said first
	In         []string   `json:"in,omitempty"`         // what stood off, aside or open at that moment
	At         Moment     `json:"at"`                   // where it was said
	Again      []Moment   `json:"again,omitempty"`      // where it was said again
	Contradict []string   `json:"contradict,omitempty"` // IDs of facts that say otherwise

	of   *entity
	word int // where it begins
}

// String is the fact on one line, without its time: "knock sensor: torque
// 20 N·m; hearsay Tomasz".
func (f *Fact) String() string {
	var b strings.Builder
	b.WriteString(f.Item.Name)
	b.WriteString(": ")
	b.WriteString(f.Statement())
	return b.String()
}

// Statement is the fact without its item.
func (f *Fact) Statement() string {
	s := string(f.Kind) + " " + f.Value.Text
	if f.For != "" {
		s += "; for " + f.For
	}
	if len(f.When) > 0 {
		s += "; when " + strings.Join(f.When, ", ")
	}
	switch f.Grade {
	case cite.Hearsay:
		s += "; hearsay " + f.Who
	case cite.Guess:
		s += "; guess"
	}
	return s
}

// Question is something that only a person can answer.
type Question struct {
	ID   string   `json:"id"`
	Item string   `json:"item,omitempty"`
	Gap  string   `json:"gap"` // torque, count, choice, number, unit, alternative, detail, side, contradiction
	Asks string   `json:"asks"`
	At   *Moment  `json:"at,omitempty"`
	On   []string `json:"on,omitempty"` // IDs of facts concerned
}

// Conflict is two facts that cannot both hold.
type Conflict struct {
	A    string `json:"a"` // IDs of facts
	B    string `json:"b"`
	Says string `json:"says"`
}

// Passage is a stretch of words that gave no fact.
type Passage struct {
	At  Moment `json:"at"`
	Why string `json:"why"`
}

// Report is everything that a narration gave.
type Report struct {
	Name      string          `json:"name,omitempty"`
	Form      transcript.Form `json:"form"`
	Words     int             `json:"words"`
	Length    time.Duration   `json:"length"`
	Speakers  []string        `json:"speakers,omitempty"`
	Items     []Item          `json:"items"`
	Facts     []Fact          `json:"facts"`
	Questions []Question      `json:"questions"`
	Conflicts []Conflict      `json:"conflicts"`
	Garbled   []Passage       `json:"garbled"` // nothing was taken from these
	Left      []Passage       `json:"left"`    // numbers that belong to nothing
}

// Fact returns the fact of an ID, or nil.
func (r *Report) Fact(id string) *Fact {
	for i := range r.Facts {
		if r.Facts[i].ID == id {
			return &r.Facts[i]
		}
	}
	return nil
}
