package guide

import (
	"time"

	"elbowroom/money"
)

// Kind is what several items have in common, written once. An item takes from
// its kind everything that it does not say itself.
type Kind struct {
	ID        ID         `yaml:",key"`
	Name      string     `yaml:"name"`
	Class     Class      `yaml:"class,omitempty"`
	Joints    []Joint    `yaml:"joints,omitempty"`
	Connector *Connector `yaml:"connector,omitempty"`
	Ways      []Way      `yaml:"ways,omitempty"`
	Cautions  []ID       `yaml:"cautions,omitempty" ref:"caution"`
	Parts     []Use      `yaml:"parts,omitempty"`
	Note      string     `yaml:"note,omitempty"`
	Source    ID         `yaml:"source,omitempty" ref:"source"`
}

// Class is the coarse sort of an item; it decides how it is drawn.
type Class string

// The classes.
const (
	Structure Class = "structure"
	Panel     Class = "panel"
	Air       Class = "air"
	Fuel      Class = "fuel"
	Ignition  Class = "ignition"
	Sensor    Class = "sensor"
	Actuator  Class = "actuator"
	Electric  Class = "electric"
	Connect   Class = "connector"
	Ground    Class = "ground"
	Cooling   Class = "cooling"
	Oil       Class = "oil"
	Exhaust   Class = "exhaust"
	Drive     Class = "drive"
	Body      Class = "body"
	Hose      Class = "hose"
)

// Classes lists every class.
var Classes = []Class{
	Structure, Panel, Air, Fuel, Ignition, Sensor, Actuator, Electric, Connect,
	Ground, Cooling, Oil, Exhaust, Drive, Body, Hose,
}

// Item is any physical thing that a guide names.
type Item struct {
	ID        ID         `yaml:",key"`
	Name      string     `yaml:"name"`
	Also      []string   `yaml:"also,omitempty"` // other names people use
	Kind      ID         `yaml:"kind,omitempty" ref:"kind"`
	Class     Class      `yaml:"class,omitempty"`
	Side      Side       `yaml:"side,omitempty"`
	For       Selector   `yaml:"for,omitempty"`
	At        []Shape    `yaml:"at,omitempty"`
	Landmark  bool       `yaml:"landmark,omitempty"`           // easy to find by eye
	PartOf    ID         `yaml:"part-of,omitempty" ref:"item"` // assembly it is replaced with
	Inside    []ID       `yaml:"inside,omitempty" ref:"item"`  // items that its envelope overlaps on purpose
	Seen      []Seen     `yaml:"seen,omitempty"`
	Fixing    string     `yaml:"fixing,omitempty"` // how it is held, where no joint says so
	Joints    []Joint    `yaml:"joints,omitempty"`
	Connector *Connector `yaml:"connector,omitempty"`
	Ways      []Way      `yaml:"ways,omitempty"`
	Parts     []Use      `yaml:"parts,omitempty"` // what a replacement takes
	Cautions  []ID       `yaml:"cautions,omitempty" ref:"caution"`
	Pictures  []Picture  `yaml:"pictures,omitempty"`
	Note      string     `yaml:"note,omitempty"`
	Was       []Was      `yaml:"was,omitempty"`
	Source    ID         `yaml:"source,omitempty" ref:"source"`
}

// Side is left or right of the vehicle seen from the driver's seat.
type Side string

// The sides.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Sight says how a hand is guided.
type Sight string

// The kinds of sight.
const (
	InSight  Sight = "seen"
	ByMirror Sight = "mirror"
	ByFeel   Sight = "by feel"
)

// Seen says how an item is seen from a place.
type Seen struct {
	From  ID    `yaml:"from" ref:"place"`
	Sight Sight `yaml:"sight"`
}

// Picture is a file beside the text, with pins.
type Picture struct {
	File string `yaml:"file"`
	Says string `yaml:"says,omitempty"`
	From ID     `yaml:"from,omitempty" ref:"place"` // place
	Pins []Pin  `yaml:"pins,omitempty"`
}

// Pin marks an item on a picture; X and Y are shares of width and height.
type Pin struct {
	On ID      `yaml:"on" ref:"item"`
	X  float64 `yaml:"x"`
	Y  float64 `yaml:"y"`
}

// Connector is a plug and how it opens.
type Connector struct {
	Pins  int    `yaml:"pins,omitempty"`
	Lock  string `yaml:"lock,omitempty"`
	Trick string `yaml:"trick,omitempty"` // how to open it without breaking it
}

// Shape is a rough envelope in millimetres. Short forms:
//
//	box -150 -40 200 size 30 30 25 [turn rx ry rz]
//	cylinder -150 -40 200 length 80 width 30 along z
//	path 0 0 0, 100 0 0, 100 50 0 thick 20
type Shape struct {
	Form   Form    `yaml:"form"`
	Centre Point   `yaml:"centre,omitempty"`
	Size   Point   `yaml:"size,omitempty"`  // box: full size; cylinder: X length, Y diameter
	Turn   Point   `yaml:"turn,omitempty"`  // degrees about x, y, z, applied in that order
	Along  string  `yaml:"along,omitempty"` // cylinder axis: x, y or z
	Path   []Point `yaml:"path,omitempty"`  // path only
	Thick  float64 `yaml:"thick,omitempty"` // path only: diameter
}

// Form is the sort of a Shape.
type Form string

// The forms.
const (
	Box      Form = "box"
	Cylinder Form = "cylinder"
	Path     Form = "path"
)

// Point is a place or a size in millimetres.
type Point struct {
	X float64 `yaml:"x"`
	Y float64 `yaml:"y"`
	Z float64 `yaml:"z"`
}

// Verb is what a way does: Off and Aside clear the item, the rest are tasks.
type Verb string

// The verbs. A guide may use other task verbs of the same form.
const (
	Off     Verb = "off"
	Aside   Verb = "aside"
	Measure Verb = "check"
	Replace Verb = "replace"
	Clean   Verb = "clean"
	Repair  Verb = "repair"
	Wiggle  Verb = "wiggle"
)

// Clears reports whether the verb takes the item off or aside.
func (v Verb) Clears() bool { return v == Off || v == Aside }

// Way is one manner of clearing an item, or of doing a task on it. Short form,
// clauses separated by semicolons, in any order after the first:
//
//	off from top; needs PN01, AR02; 10/14 min; seen; 2 hands; uses 1 housing-seal
//	replace from cab; for LHD; needs FU01; with engine=cold; 8 min; by feel; 1 hand
//
// The other clauses are fitted, tools, 2 people, together, opens, risk (one
// each), cautions, then, note, id and source. Off and aside take minutes out and
// back, a task its work minutes alone.
type Way struct {
	ID       ID            `yaml:"id,omitempty"` // needed only where two ways have the same verb, place and selector
	Do       Verb          `yaml:"do"`
	From     ID            `yaml:"from,omitempty" ref:"place"` // place
	For      Selector      `yaml:"for,omitempty"`
	Needs    []Need        `yaml:"needs,omitempty"`
	With     []Req         `yaml:"with,omitempty"`                  // conditions that must hold
	Fitted   []ID          `yaml:"fitted,omitempty" ref:"item all"` // items that must be on; "all" for every item
	Tools    []ID          `yaml:"tools,omitempty" ref:"tool"`
	Hands    int           `yaml:"hands,omitempty"`  // 1 or 2; 0 is not known
	People   int           `yaml:"people,omitempty"` // 0 means 1
	Sight    Sight         `yaml:"sight,omitempty"`
	Out      time.Duration `yaml:"out"`                           // strip minutes; for a task its work minutes
	Back     time.Duration `yaml:"back,omitempty"`                // refit minutes; zero for a task
	Together []ID          `yaml:"together,omitempty" ref:"item"` // items that come off with it as one assembly
	Opens    []ID          `yaml:"opens,omitempty" ref:"item"`    // items that stay and whose fasteners it undoes and tightens again: a test port
	Uses     []Use         `yaml:"uses,omitempty"`
	Risks    []Risk        `yaml:"risks,omitempty"`
	Cautions []ID          `yaml:"cautions,omitempty" ref:"caution"`
	Then     string        `yaml:"then,omitempty"` // what must be learned or bled afterwards, in words
	Note     string        `yaml:"note,omitempty"`
	Source   ID            `yaml:"source,omitempty" ref:"source"`
}

// Need is an item that must not stand in the way. Short form "PN01" (aside or
// off) or "PN01 off" (strictly off).
type Need struct {
	Item ID   `yaml:"item" ref:"item"`
	Off  bool `yaml:"off,omitempty"`
}

// Req demands a value of a condition. Short form "engine=cold" or
// "running!=yes"; "raised" alone where one condition only has that value.
type Req struct {
	Condition ID   `yaml:"condition,omitempty"`
	Value     ID   `yaml:"value"`
	Not       bool `yaml:"not,omitempty"`
}

// Use is what a way consumes. Short form "2 lower-gasket" or "0.4 L coolant".
// Words that name no part or fluid stay words and have no price.
type Use struct {
	Count  float64 `yaml:"count"`
	Litres bool    `yaml:"litres,omitempty"`
	What   ID      `yaml:"what,omitempty"`  // part or fluid
	Words  string  `yaml:"words,omitempty"` // instead of What
}

// Risk is something that breaks now and then. Short form
// "trim tab breaks 3 of 11, 5 min, 12.00".
type Risk struct {
	What    string        `yaml:"what"`
	Times   int           `yaml:"times"` // it happened this often
	Of      int           `yaml:"of"`    // in so many visits
	Minutes time.Duration `yaml:"minutes,omitempty"`
	Price   money.Amount  `yaml:"price,omitempty"`
}
