package guide

import (
	"time"

	"elbowroom/quantity"
)

// Law ties one quantity to another: a sensor curve or a temperature law.
type Law struct {
	ID        ID             `yaml:",key"`
	Name      string         `yaml:"name,omitempty"`
	Form      LawForm        `yaml:"form"`
	Of        string         `yaml:"of"`   // quantity read, with unit: "resistance Ω"
	From      string         `yaml:"from"` // quantity it depends on, with unit: "temperature °C"
	Params    []Param        `yaml:"params,omitempty"`
	Points    [][2]float64   `yaml:"points,omitempty"` // table: from, of
	Tolerance string         `yaml:"tolerance,omitempty"`
	Lowest    quantity.Value `yaml:"lowest,omitempty"` // range of From over which it holds
	Highest   quantity.Value `yaml:"highest,omitempty"`
	Source    ID             `yaml:"source,omitempty" ref:"source"`
}

// LawForm is the sort of formula.
type LawForm string

// The forms.
const (
	NTCBeta       LawForm = "ntc-beta"       // r0, beta, t0 (°C)
	SteinhartHart LawForm = "steinhart-hart" // a, b, c
	Platinum      LawForm = "platinum"       // r0, IEC 60751
	Linear        LawForm = "linear"         // offset, slope
	Ratiometric   LawForm = "ratiometric"    // offset and slope as shares of the supply
	CopperLaw     LawForm = "copper"         // r20, alpha
	TableLaw      LawForm = "table"
	TypeK         LawForm = "type-k" // thermocouple, ITS-90, reference junction at 0 °C
)

// Param is one named number of a law.
type Param struct {
	ID    ID      `yaml:",key"`
	Value float64 `yaml:",value"`
}

// Circuit is a piece of wiring as a graph.
type Circuit struct {
	ID     ID     `yaml:",key"`
	Name   string `yaml:"name"`
	Nodes  []Node `yaml:"nodes"`
	Wires  []Wire `yaml:"wires,omitempty"`
	Note   string `yaml:"note,omitempty"`
	Source ID     `yaml:"source,omitempty" ref:"source"`
}

// Node is a point of a circuit.
type Node struct {
	ID   ID             `yaml:",key"`
	Sort NodeSort       `yaml:"sort"`
	On   ID             `yaml:"on,omitempty" ref:"item"` // item it sits on
	Pin  string         `yaml:"pin,omitempty"`
	Says string         `yaml:"says,omitempty"`
	Ohm  quantity.Value `yaml:"ohm,omitempty"`  // resistance through the node, where it has one
	Volt quantity.Value `yaml:"volt,omitempty"` // voltage of a supply

	Against ID `yaml:"against,omitempty"`       // node that the voltage of a supply is held against; empty is the negative of the battery
	Law     ID `yaml:"law,omitempty" ref:"law"` // how a sensor answers to what it senses
}

// NodeSort is the sort of a node.
type NodeSort string

// The sorts of node.
const (
	SupplyNode  NodeSort = "supply"
	FuseNode    NodeSort = "fuse"
	RelayNode   NodeSort = "relay"
	GroundNode  NodeSort = "ground"
	SpliceNode  NodeSort = "splice"
	InlineNode  NodeSort = "in-line connector"
	PinNode     NodeSort = "pin"
	LoadNode    NodeSort = "load"
	SensingNode NodeSort = "sensor"
)

// Wire joins two nodes. Short form
// "F14 -> X1-12; 1.4 m; 2.5 mm²; red-white", with the capacitance of the whole
// length of a shielded cable where it matters: "EL01 -> X3; 2.6 m; 260 pF".
type Wire struct {
	From    ID             `yaml:"from"`
	To      ID             `yaml:"to"`
	Length  quantity.Value `yaml:"length,omitempty"`
	Section quantity.Value `yaml:"section,omitempty"`
	Farad   quantity.Value `yaml:"farad,omitempty"` // capacitance of its whole length
	Colour  string         `yaml:"colour,omitempty"`
}

// Check is a procedure on the machine that yields a reading or an observation.
type Check struct {
	ID         ID            `yaml:",key"`
	Name       string        `yaml:"name"` // quantity in words: "open-circuit voltage"
	On         []ID          `yaml:"on,omitempty" ref:"item"`
	Instrument []ID          `yaml:"instrument,omitempty" ref:"tool"` // tools
	At         string        `yaml:"at"`                              // measuring point in words
	Point      ID            `yaml:"point,omitempty" ref:"item"`      // item whose check ways lead to the measuring point
	Ways       []Way         `yaml:"ways,omitempty"`                  // or ways of its own, verb check
	With       []Req         `yaml:"with,omitempty"`                  // states of the machine while measuring
	When       []Clause      `yaml:"when,omitempty"`                  // numbers and words that must hold
	Closed     bool          `yaml:"closed,omitempty"`                // everything must be fitted
	Limits     []Limit       `yaml:"limits,omitempty"`
	Minutes    time.Duration `yaml:"minutes"` // of the measurement itself
	Tells      []string      `yaml:"tells,omitempty"`
	Fails      []Odds        `yaml:"fails,omitempty"`     // with which faults it fails, how surely
	Otherwise  *float64      `yaml:"otherwise,omitempty"` // share of failing with any other fault
	Cautions   []ID          `yaml:"cautions,omitempty" ref:"caution"`
	Note       string        `yaml:"note,omitempty"`
	Source     ID            `yaml:"source,omitempty" ref:"source"`
}

// Odds is the probability that a check fails when the fault is present.
type Odds struct {
	Fault ID      `yaml:",key" ref:"fault"`
	P     float64 `yaml:",value"`
}

// Clause is a condition of a reading: a number with its permitted range, or
// words. Short forms "coolant >= 80 °C", "oil 90..100 °C", "unplugged".
type Clause struct {
	Subject string         `yaml:"subject,omitempty"`
	Low     quantity.Value `yaml:"low,omitempty"`
	High    quantity.Value `yaml:"high,omitempty"`
	Words   string         `yaml:"words,omitempty"`
}

// Limit is the permitted range of a reading. Short forms:
//
//	12.4..12.8 V
//	<= 0.30 V            >= 1 MΩ
//	1.55 Ω ± 0.10 Ω      law ntc-2k5 ± 5 %
//	spread <= 0.12 Ω     left-right <= 0.4 Ω
//	rate <= 30 hPa per 30 s
//	words: square wave, 58 pulses and a gap per turn
//
// followed by "; for LHD A" and by any number of "; when" with a clause.
type Limit struct {
	Of      string         `yaml:"of,omitempty"` // what is compared: empty is the reading itself; "spread", "left-right", "rate", "sum", "before-after"
	Low     quantity.Value `yaml:"low,omitempty"`
	High    quantity.Value `yaml:"high,omitempty"`
	Nominal quantity.Value `yaml:"nominal,omitempty"`
	Law     ID             `yaml:"law,omitempty" ref:"law"`
	Within  string         `yaml:"within,omitempty"` // tolerance about Nominal or Law: "5 %", "0.10 Ω"
	Per     quantity.Value `yaml:"per,omitempty"`    // of a rate: the time that Low and High are the change in
	Words   string         `yaml:"words,omitempty"`
	For     Selector       `yaml:"for,omitempty"` // variants for which it holds; empty for all
	When    []Clause       `yaml:"when,omitempty"`
}

// Fault is one way an item can be wrong.
type Fault struct {
	ID      ID       `yaml:",key"`
	On      ID       `yaml:"on,omitempty" ref:"item"` // item; empty for "not listed"
	Name    string   `yaml:"name"`
	Weight  float64  `yaml:"weight"` // how often, relative to the others
	Wear    *Wear    `yaml:"wear,omitempty"`
	Signs   []string `yaml:"signs,omitempty"`                // complaints in words
	Codes   []string `yaml:"codes,omitempty"`                // "P0562", "P0560-P0563"
	FoundBy []ID     `yaml:"found-by,omitempty" ref:"check"` // checks
	Repair  string   `yaml:"repair,omitempty"`
	Task    *TaskID  `yaml:"task,omitempty"`
	Source  ID       `yaml:"source,omitempty" ref:"source"`
}

// Wear is a Weibull law of life.
type Wear struct {
	Life  quantity.Value `yaml:"life"`  // characteristic life, km, h or months
	Shape float64        `yaml:"shape"` // Weibull shape
}
