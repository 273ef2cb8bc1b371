package app

import (
	"time"

	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/workshop"
)

// MachineLine is one machine on Home.
type MachineLine struct {
	Machine    workshop.Machine
	GuideTitle string
	GuideName  string // name to ask for; empty when nothing is written down yet
	Variant    string
	Off        []string // what is off or aside now, in words
	Forbidden  []string // what must not be done in this state
	Next       []string // tasks in view, in words
	Ask        Ask      // opens its plan
}

// Found is the answer to "where is it".
type Found struct {
	Resolved *guide.Resolved
	Variant  string
	Hits     []guide.Hit
}

// ItemSheet is everything known of one item on one variant.
type ItemSheet struct {
	Resolved  *guide.Resolved
	Variant   string
	Item      *guide.Item
	Kind      string
	Where     bay.Where // directions in words
	Ways      []WayLine
	Joints    []FactLine
	Connector *guide.Connector
	Parts     []PartLine
	Cautions  []CautionLine
	Checks    []CheckLine
	Faults    []FactLine
	Notes     []FactLine
	Blocks    []guide.ID // items whose ways need this one out of the way
	Source    string
}

// WayLine is one way with its price when gone alone from the present state.
type WayLine struct {
	Way     guide.Way
	Verb    guide.Verb
	Text    string // "from the top, seen, two hands"
	Open    bool   // exists on this variant
	Best    bool   // the planner's choice among the ways of its verb
	Outcome plan.Outcome
	Total   time.Duration // the whole visit for this way alone
	Money   money.Amount
	First   []guide.ID // what must be off or aside, all of it
	Reason  string     // why it cannot be gone, or is dearer
	Task    string     // "replace:SE13" for task ways
}

// FactLine is one fact with who says so.
type FactLine struct {
	Text   string
	Was    []string // superseded values with until and reason
	Source string
	ID     guide.ID
}

// CheckLine is one check that examines the item.
type CheckLine struct {
	ID      guide.ID
	Name    string
	At      string
	Limits  []string
	When    []string
	Minutes time.Duration
	Source  string
}

// TestResult is the outcome of one of a guide's own tests.
type TestResult struct {
	ID     guide.ID `json:"id"`
	Passed bool     `json:"passed"`
	Says   string   `json:"says"` // what was expected and what came out
}
