package app

import (
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/workshop"
)

// Answer is a plan with everything a person wants to read beside it. A shell
// lays it out and adds nothing.
type Answer struct {
	Ask      Ask
	Guide    *guide.Guide
	Resolved *guide.Resolved
	Machine  *workshop.Machine // nil when asked for a guide alone
	Variant  string
	Request  plan.Request
	Plan     plan.Plan
	Took     time.Duration // search time

	Tasks      []TaskLine
	Steps      []StepLine
	Bands      []Band
	Tools      []Line
	Parts      []PartLine
	Fluids     []PartLine
	Cautions   []CautionLine
	Forbidden  []string // what must not be done at some time during the visit, in words
	Exceptions []string // in which respects this machine differs from its variant
	Deference  string   // local codes, the maker and licensed practice come first

	RunnersUp []Alternative
	Holds     []Sensitivity
	Avoided   []string // values only the maker knows that the plan goes round, each with what to do
}

// TaskLine is one task asked for.
type TaskLine struct {
	Task    plan.Task
	Text    string // "replace the right knock sensor (SE13)"
	Way     string // "from the top, seen, two hands"
	Minutes time.Duration
}

// StepLine is one step in words.
type StepLine struct {
	Number   int
	Step     plan.Step
	Title    string // "Take off the engine top cover"
	Item     *guide.Item
	Way      *guide.Way // nil for changes
	Place    string
	Sight    string
	Hands    int
	Tools    []string
	Joints   []string // fasteners, as written; torque for the refit
	Uses     []string
	Risks    []string
	Cautions []CautionLine
	Notes    []string
	Depth    int           // items off or aside after the step
	Starts   time.Duration // since the start of the visit
	Mirror   int           // number of the step that this one undoes or that undoes it; 0 for none
}

// Band is a stretch of the visit during which a condition has a value that
// differs from the one at the start.
type Band struct {
	Condition, Value string // names
	FromStep, ToStep int    // numbers, inclusive
	Forbids          string
}

// Line is a thing with where it is needed.
type Line struct {
	ID    guide.ID
	Name  string
	Steps []int
	Note  string
}

// PartLine is a part or fluid to have on the shelf.
type PartLine struct {
	ID        guide.ID
	Name      string
	Number    string
	Count     float64
	Litres    bool
	Price     money.Amount // of all of them
	Priced    bool
	LeadDays  int
	SingleUse bool
	Steps     []int
}

// CautionLine is a caution at the step where it matters.
type CautionLine struct {
	ID        guide.ID
	Text      string
	Authority string
	Answer    string // the maker's value, where one was asked for
	Steps     []int
}

// Alternative is another way to do the same tasks.
type Alternative struct {
	Differs string // "coil 3 from the top instead of through the cab hatch"
	Cost    plan.Cost
	Extra   time.Duration
	Money   money.Amount // extra
	Steps   int
	Ask     Ask // question that forces it; empty when it cannot be forced
}

// Sensitivity says how long a plan stays the best one.
type Sensitivity struct {
	Says string
}

// ReachRow is one other task with what it would add to the visit.
type ReachRow struct {
	Task    plan.Task
	Text    string
	Item    *guide.Item
	Outcome plan.Outcome
	Extra   time.Duration
	Money   money.Amount  // extra, parts and fluids of the way included
	Alone   time.Duration // what the task costs on its own visit
	Changes bool          // adding it changes the way in
	Reason  string        // when it cannot be added
}
