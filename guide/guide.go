package guide

import (
	"time"

	"elbowroom/cite"
	"elbowroom/money"
	"elbowroom/quantity"
)

// Format is the version of the guide format that this program writes.
const Format = 1

// ID names a thing inside a guide: a letter, then letters, digits, '-' or '_'.
type ID string

// Guide is everything written down about one engine variant family.
type Guide struct {
	Format   int    `yaml:"format"`
	ID       ID     `yaml:"guide"`
	Title    string `yaml:"title,omitempty"`
	About    string `yaml:"about,omitempty"`
	Revision string `yaml:"revision,omitempty"`
	Date     string `yaml:"date,omitempty"` // ISO 8601 date of the revision
	Licence  string `yaml:"licence,omitempty"`
	Currency string `yaml:"currency,omitempty"`            // ISO 4217
	Source   ID     `yaml:"source,omitempty" ref:"source"` // the source of every fact that names none

	Sources    []cite.Source `yaml:"sources,omitempty"`
	Axes       []Axis        `yaml:"variants,omitempty"`
	Places     []Place       `yaml:"places,omitempty"`
	Setup      Setup         `yaml:"setup,omitempty"`
	Conditions []Condition   `yaml:"conditions,omitempty"`
	Fluids     []Fluid       `yaml:"fluids,omitempty"`
	Tools      []Tool        `yaml:"tools,omitempty"`
	Parts      []Part        `yaml:"parts,omitempty"`
	Cautions   []Caution     `yaml:"cautions,omitempty"`
	Kinds      []Kind        `yaml:"kinds,omitempty"`
	Items      []Item        `yaml:"items,omitempty"`
	Laws       []Law         `yaml:"laws,omitempty"`
	Circuits   []Circuit     `yaml:"circuits,omitempty"`
	Checks     []Check       `yaml:"checks,omitempty"`
	Faults     []Fault       `yaml:"faults,omitempty"`
	Notes      []Note        `yaml:"notes,omitempty"`
	Revisions  []Revision    `yaml:"revisions,omitempty"`
	Tests      []Test        `yaml:"tests,omitempty"`
}

// Axis is one respect in which variants differ, such as the drive side.
type Axis struct {
	ID       ID          `yaml:",key"`
	Name     string      `yaml:"name,omitempty"`
	Question string      `yaml:"question"` // the one question that settles a doubt
	Values   []AxisValue `yaml:"values"`
}

// AxisValue is one value of an Axis.
type AxisValue struct {
	ID     ID     `yaml:",key"`
	Name   string `yaml:"name,omitempty"`
	When   string `yaml:"when,omitempty"`              // rule in words: plate, number, build date
	Mirror []ID   `yaml:"mirror,omitempty" ref:"item"` // items whose y is mirrored on this variant
}

// Selector limits a fact to variants: every named axis must have one of the
// values. Empty means every variant. Short form: "LHD", "LHD A", "A|B".
type Selector []Choice

// Choice is one axis with the values that are accepted.
type Choice struct {
	Axis   ID   `yaml:",key"`   // may be empty when Values name the axis uniquely
	Values []ID `yaml:",value"` // any of these
}

// Place is a direction of approach, such as top, below or cab. Its name reads
// on after a verb: "from the top", "through the cab hatch".
type Place struct {
	ID   ID     `yaml:",key"`
	Name string `yaml:"name"`
	View View   `yaml:"view,omitempty"` // from where one looks
}

// View is one of the six directions a bay is drawn from.
type View string

// The views. A view is named for where the eye is.
const (
	FromAbove View = "above"
	FromBelow View = "below"
	FromLeft  View = "left"
	FromRight View = "right"
	FromFront View = "front"
	FromRear  View = "rear"
)

// Setup holds the minutes lost when the worker changes place or tool between
// two steps. The first place and the first tool of a visit cost nothing.
type Setup struct {
	Move time.Duration `yaml:"move,omitempty"`
	Tool time.Duration `yaml:"tool,omitempty"`
}

// Fluid is a liquid or gas of the machine.
type Fluid struct {
	ID       ID           `yaml:",key"`
	Name     string       `yaml:"name"`
	Grade    string       `yaml:"grade,omitempty"`
	Amounts  []Amount     `yaml:"amounts,omitempty"`
	PerLitre money.Amount `yaml:"per-litre,omitempty"`
	Note     string       `yaml:"note,omitempty"`
	Source   ID           `yaml:"source,omitempty" ref:"source"`
}

// Amount is a quantity that can depend on the variant.
type Amount struct {
	For      Selector       `yaml:"for,omitempty"`
	Quantity quantity.Value `yaml:"quantity"`
	What     string         `yaml:"what,omitempty"` // "full", "at the drain tap"
}

// Tool is anything held in the hand: wrench, gauge, meter, special tool.
type Tool struct {
	ID      ID             `yaml:",key"`
	Name    string         `yaml:"name"`
	Lowest  quantity.Value `yaml:"lowest,omitempty"`  // lowest marked value of its range
	Highest quantity.Value `yaml:"highest,omitempty"` // full scale
	Special bool           `yaml:"special,omitempty"` // not found in every workshop
	Hire    *money.Amount  `yaml:"hire,omitempty"`    // price of hiring it for a visit, when it can be hired
	Note    string         `yaml:"note,omitempty"`
	Source  ID             `yaml:"source,omitempty" ref:"source"`
}

// Part is something bought: a spare, a seal, a single-use screw.
type Part struct {
	ID        ID           `yaml:",key"`
	Name      string       `yaml:"name"`
	Number    string       `yaml:"number,omitempty"`
	For       Selector     `yaml:"for,omitempty"`
	Price     money.Amount `yaml:"price,omitempty"`
	LeadDays  int          `yaml:"lead-days,omitempty"`
	SingleUse bool         `yaml:"single-use,omitempty"`
	Note      string       `yaml:"note,omitempty"`
	Source    ID           `yaml:"source,omitempty" ref:"source"`
}

// Caution is a warning in our own words with its authority.
type Caution struct {
	ID        ID     `yaml:",key"`
	Text      string `yaml:"text"`
	Authority string `yaml:"authority,omitempty"`
	Safe      []Req  `yaml:"safe,omitempty"` // the conditions that make the work safe
	// Ask names a value that only the maker can give, such as a waiting time.
	// While Answer is empty a plan that needs this caution stops.
	Ask    string `yaml:"ask,omitempty"`
	Answer string `yaml:"answer,omitempty"`
	Source ID     `yaml:"source,omitempty" ref:"source"`
}

// Note is a remark with provenance.
type Note struct {
	On         ID       `yaml:"on,omitempty" ref:"item check condition"` // item, check or condition
	Text       string   `yaml:"text"`
	For        Selector `yaml:"for,omitempty"`
	Contradict int      `yaml:"contradicts,omitempty"` // number (from 1) of the note it disagrees with
	Source     ID       `yaml:"source,omitempty" ref:"source"`
}

// Revision is one released state of the guide.
type Revision struct {
	ID   ID     `yaml:",key"`
	Date string `yaml:"date"`
	By   string `yaml:"by,omitempty"`
	Says string `yaml:"says"` // what changed, in trade terms
}

// Was is a superseded value: kept, struck through, never used.
type Was struct {
	Value  string `yaml:"value"`
	Until  string `yaml:"until,omitempty"` // revision or date
	Reason string `yaml:"reason,omitempty"`
	Source ID     `yaml:"source,omitempty" ref:"source"`
}

// Test is an expectation that a guide carries about itself.
type Test struct {
	ID      ID       `yaml:",key"`
	Tasks   []TaskID `yaml:"tasks,omitempty"`
	For     Selector `yaml:"for,omitempty"`
	Start   []string `yaml:"start,omitempty"` // as on the command line: "AR04", "AR04 aside", "engine=hot"
	Minutes *Minutes `yaml:"minutes,omitempty"`
	Refused bool     `yaml:"refused,omitempty"`                    // the plan must be impossible
	Steps   []ID     `yaml:"steps,omitempty" ref:"item condition"` // items and conditions that the plan must use, any order
	Reading string   `yaml:"reading,omitempty"`                    // "T11: 249 Ω, coolant 90 °C"
	Verdict string   `yaml:"verdict,omitempty"`
	Note    string   `yaml:"note,omitempty"`
}

// Minutes is what a Test expects of a plan, in pure minutes; nil fields are
// not compared.
type Minutes struct {
	Total  *float64 `yaml:"total,omitempty"`
	AtMost *float64 `yaml:"at-most,omitempty"`
	Strip  *float64 `yaml:"strip,omitempty"`
	Work   *float64 `yaml:"work,omitempty"`
	Refit  *float64 `yaml:"refit,omitempty"`
}

// TaskID names a task as people type it: "replace:SE13".
type TaskID struct {
	Verb Verb `yaml:"verb"`
	On   ID   `yaml:"on" ref:"item check"` // item or check
}
