package guide

import "elbowroom/quantity"

// Joint is a set of equal fasteners that holds one thing to another. Short
// form, commas between clauses:
//
//	3 x M6x25 T30 8.8 into aluminium, 9 N·m dry, crosswise
//	2 x M10x40 E12 10.9, 40 N·m + 90°, single-use
//	1 x M6, torque unknown
//	2 clips, torque not applicable
//
// The other clauses are oiled, thread-locked, to shoulder, pattern, reusable,
// part, for, id, source and note. A thread may carry its pitch and its length,
// or one length for each position: M12x1.25x40, M6x25/25/40.
type Joint struct {
	ID      ID        `yaml:"id,omitempty"`
	For     Selector  `yaml:"for,omitempty"`
	Count   int       `yaml:"count"`
	Thread  string    `yaml:"thread,omitempty"`  // "M6", "M12x1.25"
	Lengths []float64 `yaml:"lengths,omitempty"` // mm; one, or one per position
	Drive   string    `yaml:"drive,omitempty"`   // "T30", "hex 10", "E12"
	What    string    `yaml:"what,omitempty"`    // "screw", "stud", "nut", "union", "clip"; empty is screw
	Class   string    `yaml:"class,omitempty"`   // property class "8.8" or material "A2-70", "plastic"
	Into    string    `yaml:"into,omitempty"`    // mating material
	State   State     `yaml:"state,omitempty"`
	Torque  Known     `yaml:"torque,omitempty"`
	Stages  []Stage   `yaml:"stages,omitempty"`
	Pattern string    `yaml:"pattern,omitempty"` // "crosswise", "spiral", "1-2-3-4"
	Reuse   Reuse     `yaml:"reuse,omitempty"`
	Part    ID        `yaml:"part,omitempty" ref:"part"` // what replaces a single-use fastener
	Note    string    `yaml:"note,omitempty"`
	Was     []Was     `yaml:"was,omitempty"`
	Source  ID        `yaml:"source,omitempty" ref:"source"`
}

// State is the condition of the threads when tightened.
type State string

// The states. Empty means that nobody has said.
const (
	Dry    State = "dry"
	Oiled  State = "oiled"
	Locked State = "thread-locked"
)

// Known tells a missing torque from one that does not exist.
type Known string

// How a torque is known. Given is the default where stages are written.
const (
	Given         Known = "given"
	Unknown       Known = "unknown"        // there is one and nobody has written it down
	NotApplicable Known = "not applicable" // nothing is tightened
	OutOfScope    Known = "out of scope"   // deliberately not covered by this guide
)

// Stage is one step of tightening: exactly one of the fields is set.
type Stage struct {
	Torque   quantity.Value `yaml:"torque,omitempty"`   // N·m
	Angle    float64        `yaml:"angle,omitempty"`    // degrees
	Shoulder bool           `yaml:"shoulder,omitempty"` // down to the shoulder
}

// Reuse says what happens to the fastener next time.
type Reuse string

// The rules of re-use. Empty means that nobody has said.
const (
	Reusable  Reuse = "reusable"
	SingleUse Reuse = "single-use"
)
