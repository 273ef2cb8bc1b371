package reading

import (
	"elbowroom/guide"
	"elbowroom/quantity"
)

// Outcome is a verdict in one word.
type Outcome string

// The outcomes.
const (
	Conforming    Outcome = "conforming"
	NonConforming Outcome = "non-conforming"
	TooClose      Outcome = "too close to call"
	NotComparable Outcome = "not comparable"
)

// Options is how a reading is judged.
type Options struct {
	Confidence  float64      // probability that a clear verdict needs, between 0.5 and 1; else DefaultConfidence
	Simple      bool         // judge the value alone (JCGM 106, 8.2.1, simple acceptance): no value is too close to call
	Today       string       // ISO 8601 date against which instruments are due; empty: not looked at
	Strict      bool         // a reading of an overdue instrument is not comparable
	Assume      bool         // words among the conditions that nobody spoke of count as met
	Instruments []Instrument // to find the one that the reading names, or one that serves as the check's
	Exceptions  []Exception  // respects in which this machine differs from its variant
	Carried     []Component  // of limits that were carried to another measuring point: what is uncertain about them; see Within
}

// Within makes a component of what is known to lie within a half width either
// way and nothing more (GUM 4.3.7), for Options.Carried.
func Within(name string, half quantity.Value) Component {
	return component(name, Rectangular, half.Number*scale(half.Unit), half.Unit, 1)
}

// Exception says that facts of another variant hold for an item.
type Exception struct {
	Item    guide.ID
	Variant guide.Selector
}

// DefaultConfidence is the probability of conformance that a clear verdict
// needs when nothing else is said: the 95 % of ISO 14253-1.
const DefaultConfidence = 0.95

// Verdict is what a reading says about the limits of its check.
type Verdict struct {
	Check       guide.ID     `json:"check"`
	Outcome     Outcome      `json:"outcome"`
	Would       Outcome      `json:"would"` // what it would be if every condition held; Outcome itself when comparable
	Says        string       `json:"says"`  // one sentence
	Rule        string       `json:"rule"`  // how it was decided
	Parts       []Judged     `json:"parts,omitempty"`
	Partial     bool         `json:"partial,omitempty"` // a limit of the check could not be judged with what was read
	Conditions  []Condition  `json:"conditions,omitempty"`
	Corrections []Correction `json:"corrections,omitempty"`
	Refused     []string     `json:"refused,omitempty"`  // limits of another point or variant, by name
	Question    string       `json:"question,omitempty"` // "did you mean 2.5 kΩ?"
	Missing     []string     `json:"missing,omitempty"`  // what to say or measure for a full verdict
	Unused      []string     `json:"unused,omitempty"`   // what was said and served for nothing
	Anyway      string       `json:"anyway,omitempty"`   // what is learned although it is not comparable
	Remarks     []string     `json:"remarks,omitempty"`
}

// Judged is one limit held against one value.
type Judged struct {
	Limit       string         `json:"limit"`          // short form
	Part        string         `json:"part,omitempty"` // name of the part; of a comparison, the parts compared
	Item        guide.ID       `json:"item,omitempty"`
	Outcome     Outcome        `json:"outcome"`
	Value       quantity.Value `json:"value,omitzero"` // as judged, after corrections; zero for words
	Bound       Bound          `json:"bound,omitempty"`
	Low         quantity.Value `json:"low,omitzero"` // permitted range, in the unit of Value
	High        quantity.Value `json:"high,omitzero"`
	Margin      quantity.Value `json:"margin,omitzero"` // to the nearest bound, negative outside
	Probability float64        `json:"probability"`     // of conformance; words are 0 or 1
	Budget      Budget         `json:"budget"`
	Says        string         `json:"says"`
}

// Condition is how one clause of a check stands.
type Condition struct {
	Clause string  `json:"clause"` // as the guide has it
	State  Holding `json:"state"`
	Stated string  `json:"stated,omitempty"` // what the reading says of it
	Off    string  `json:"off,omitempty"`    // by how much it is missed: "5 K below 85 °C"
	Limit  string  `json:"limit,omitempty"`  // when the clause belongs to one limit only
}

// Holding says whether a condition is met.
type Holding string

// The states of a condition.
const (
	Met     Holding = "met"
	NotMet  Holding = "not met"
	Unknown Holding = "not known"
	Assumed Holding = "assumed" // asked of the machine by the check, or by Options.Assume
)

// Correction is what was done to a value before it was judged.
type Correction struct {
	Name string         `json:"name"` // "leads", "supply", "cable", "air pressure"
	Part string         `json:"part,omitempty"`
	From quantity.Value `json:"from"`
	To   quantity.Value `json:"to"`
	Says string         `json:"says"`
}

// Budget is an uncertainty budget (JCGM 100). All numbers but Freedom and
// Factor are in Unit.
type Budget struct {
	Unit       string      `json:"unit,omitempty"`
	Components []Component `json:"components,omitempty"`
	Standard   float64     `json:"standard"`          // combined standard uncertainty
	Freedom    float64     `json:"freedom,omitempty"` // effective degrees of freedom (Welch–Satterthwaite); 0 is without limit
	Factor     float64     `json:"factor,omitempty"`  // coverage factor for 95 %
	Expanded   float64     `json:"expanded"`          // Factor times Standard
}

// Component is one source of uncertainty.
type Component struct {
	Name        string  `json:"name"`
	Shape       Shape   `json:"shape"`
	Half        float64 `json:"half,omitempty"`    // half width of a rectangle or triangle, in its own unit
	Own         string  `json:"own,omitempty"`     // unit of Half and U
	U           float64 `json:"u"`                 // standard uncertainty, in its own unit
	Sensitivity float64 `json:"sensitivity"`       // change of the judged quantity for one unit of it
	Share       float64 `json:"share"`             // |Sensitivity| × U, in the budget's unit
	Freedom     float64 `json:"freedom,omitempty"` // degrees of freedom; 0 is without limit
}

// Shape is the distribution that a component is taken from.
type Shape string

// The shapes.
const (
	Normal95    Shape = "normal"      // half a 95 % interval (k = 2)
	Given       Shape = "standard"    // U itself is given
	Rectangular Shape = "rectangular" // limits, nothing known between (GUM 4.3.7)
	Triangular  Shape = "triangular"  // limits, the middle likelier (GUM 4.3.9)
	Statistical Shape = "type A"      // standard deviation of repeated readings
)
