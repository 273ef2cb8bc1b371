package reading

import (
	"elbowroom/guide"
	"elbowroom/quantity"
)

// Reading is what was measured or seen on one check, as a person or a logger
// wrote it down.
type Reading struct {
	Check      guide.ID    `json:"check"`
	Parts      []Part      `json:"parts,omitempty"`  // the measured values
	Stated     []Stated    `json:"stated,omitempty"` // conditions and observations
	Point      string      `json:"point,omitempty"`  // where it was taken, when it was said: "EL01"
	Tool       string      `json:"tool,omitempty"`   // name or ID of the instrument, when it was said
	Instrument *Instrument `json:"instrument,omitempty"`
	By         string      `json:"by,omitempty"`
	Day        string      `json:"day,omitempty"` // ISO 8601 date
	Picture    string      `json:"picture,omitempty"`
}

// Part is one measured value of a reading.
type Part struct {
	Name     string         `json:"name,omitempty"` // "right", "IG03", "closed"; empty for the reading itself
	Item     guide.ID       `json:"item,omitempty"` // item it is of, where Name leads to one
	Value    quantity.Value `json:"value,omitzero"` // zero for a display that shows over range
	Bound    Bound          `json:"bound,omitempty"`
	Within   quantity.Value `json:"within,omitzero"`    // stated ±, about 95 % (k = 2)
	Step     float64        `json:"step,omitempty"`     // one of the last digit written, in the unit of Value; 0 is not known
	Pressure Pressure       `json:"pressure,omitempty"` // where it was said
	Repeats  *Repeats       `json:"repeats,omitempty"`  // Value is the mean of several
	Text     string         `json:"text,omitempty"`     // as written
	Column   int            `json:"column,omitempty"`   // where it began in the text, from 1
}

// Repeats says that a value is the mean of several readings.
type Repeats struct {
	Number    int     `json:"number"`    // at least 2
	Deviation float64 `json:"deviation"` // standard deviation of one reading, in the unit of the value
}

// Bound says that a value is not known itself but lies above or below what was
// written, as when a display shows over range.
type Bound string

// The bounds.
const (
	Exact Bound = ""
	Above Bound = "above"
	Below Bound = "below"
)

// Pressure says against what a pressure was measured.
type Pressure string

// The kinds of pressure.
const (
	GaugePressure    Pressure = "gauge"    // against the air around
	AbsolutePressure Pressure = "absolute" // against nothing
)

// Stated is one condition or observation that came with a reading: a number
// with its subject ("coolant 90 °C"), or words ("unplugged").
type Stated struct {
	Subject string         `json:"subject,omitempty"`
	Value   quantity.Value `json:"value,omitzero"` // zero for words
	Bound   Bound          `json:"bound,omitempty"`
	Within  quantity.Value `json:"within,omitzero"` // stated ±, half width
	Moved   bool           `json:"moved,omitempty"` // it moved over Within to either side: 740..760 rpm
	Step    float64        `json:"step,omitempty"`
	Text    string         `json:"text"` // as written
	Column  int            `json:"column,omitempty"`
}
