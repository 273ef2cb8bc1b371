package codes

import (
	"elbowroom/quantity"
	"elbowroom/span"
)

// Memory is where a control unit kept a code that was read.
type Memory string

// The memories. The first three are services of SAE J1979 (ISO 15031-5); a
// code that ISO 14229 reports carries its own Status instead.
const (
	Unsaid    Memory = ""          // the source does not say
	Stored    Memory = "stored"    // service 03: confirmed, emission-related
	Waiting   Memory = "pending"   // service 07: failed in this or the last cycle
	Permanent Memory = "permanent" // service 0A: a reader cannot clear it
	Reported  Memory = "reported"  // ISO 14229 service 19, see Status
	Frozen    Memory = "frozen"    // the code that stored a freeze frame
)

// Seen is a code as it was found in what somebody read from a machine.
type Seen struct {
	Code      Full           `json:"code"`
	Unit      string         `json:"unit,omitempty"` // control unit, as identifier "7E8" or in words
	Memory    Memory         `json:"memory,omitempty"`
	Status    Status         `json:"status"`
	HasStatus bool           `json:"has_status,omitempty"`
	Words     string         `json:"words,omitempty"` // text beside the code, as written
	Distance  quantity.Value `json:"distance,omitzero"`
	Times     int            `json:"times,omitempty"` // how often it occurred, as the source says; 0 when it does not
	Pos       span.Pos       `json:"pos"`             // where it was read first
	First     float64        `json:"first,omitempty"` // seconds from the begin of a capture
	Last      float64        `json:"last,omitempty"`
	Before    bool           `json:"before,omitempty"` // read before the codes were cleared in the same source
}

// Present reports whether the source says that the failure is there now; known
// is false where it does not say.
func (s Seen) Present() (present, known bool) {
	if s.HasStatus {
		return s.Status.Has(TestFailed), true
	}
	return false, false
}
