package suspect

import (
	"elbowroom/guide"
	"elbowroom/quantity"
)

// Unlisted is the name of the suspect "something that the guide does not
// list". It stands where the ID of a fault would.
const Unlisted guide.ID = "not-listed"

// Case is what is known of one machine and its complaint.
type Case struct {
	Guide      *guide.Resolved  `json:"-"`
	Age        []quantity.Value `json:"age,omitempty"`        // distance, months, hours: whatever is known
	Complaint  string           `json:"complaint,omitempty"`  // in the customer's words
	Ticks      []Tick           `json:"ticks,omitempty"`      // signs of the guide, settled by a person
	Codes      []Code           `json:"codes,omitempty"`      // read at arrival
	CodesRead  bool             `json:"codes_read,omitempty"` // Codes is everything that is stored
	Touched    []guide.ID       `json:"touched,omitempty"`    // items worked on just before it began
	Conditions []string         `json:"conditions,omitempty"` // "wet week", "hot", "uphill"
	Events     []Event          `json:"events,omitempty"`     // in the order in which they happened
}

// Answer is what a person says to a sign.
type Answer string

// The answers. NotKnown takes back what the matcher found in the complaint.
const (
	Present  Answer = "yes"
	Absent   Answer = "no"
	NotKnown Answer = "not known"
)

// Tick settles one sign, written as the guide writes it.
type Tick struct {
	Sign string `json:"sign"`
	Is   Answer `json:"is"`
}

// Code is one trouble code, such as "P0327".
type Code struct {
	Code    string `json:"code"`
	Pending bool   `json:"pending,omitempty"` // seen, not confirmed
}

// Event is one thing that happened during the job: exactly one field is set.
type Event struct {
	Verdict *Verdict `json:"verdict,omitempty"`
	Repair  *Repair  `json:"repair,omitempty"`
	Proof   *Proof   `json:"proof,omitempty"`
}

// Verdict is the outcome of one check. Without parts it speaks of the check as
// a whole.
type Verdict struct {
	Check         guide.ID `json:"check"`
	Conforms      float64  `json:"conforms"` // probability that the value conforms: 1 passes, 0 fails
	Parts         []Part   `json:"parts,omitempty"`
	NotComparable bool     `json:"not_comparable,omitempty"` // says nothing; kept for the record
	Says          string   `json:"says,omitempty"`           // the reading in words: "right 38 kΩ, left > 10 MΩ"
}

// Part is the outcome for one of the items that a check looks at.
type Part struct {
	Name     string  `json:"name"` // ID of the item, its name, or its side where that is unique
	Conforms float64 `json:"conforms"`
}

// Repair is work that was done. Give the task, or the fault where the guide
// has no task for it.
type Repair struct {
	Task  *guide.TaskID `json:"task,omitempty"`
	Fault guide.ID      `json:"fault,omitempty"`
	Says  string        `json:"says,omitempty"`
}

// Proof is the outcome of the closing proof: the complaint looked for under
// its own conditions.
type Proof struct {
	Passed bool   `json:"passed"`
	Says   string `json:"says,omitempty"`
}

// Combine says when worlds of several faults are looked at.
type Combine string

// The ways to combine. The zero value is WhenCalled.
const (
	WhenCalled Combine = ""
	Always     Combine = "always"
	Never      Combine = "never"
)

// Options steer Believe. The zero value is ready for use.
type Options struct {
	Assume    *Assumptions `json:"assume,omitempty"`     // nil means Default
	Combine   Combine      `json:"combine,omitempty"`    // when worlds of several faults are looked at
	MaxFaults int          `json:"max_faults,omitempty"` // of a world, at most 3; 0 means 3
}
