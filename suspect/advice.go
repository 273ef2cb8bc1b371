package suspect

import (
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/suspect/decide"
)

// StepSort is the sort of a step that is advised.
type StepSort string

// The sorts of step.
const (
	StepCheck  StepSort = "check"
	StepRepair StepSort = "repair"
	StepProof  StepSort = "proof"
	StepRefer  StepSort = "refer on"
)

// Outcome says how an Advice ended.
type Outcome string

// The outcomes.
const (
	Advised    Outcome = "advised"    // proved to be the least expected cost
	Bounded    Outcome = "bounded"    // advised; Advice.Gap says what another step could save at most
	Impossible Outcome = "impossible" // no course ends the job for certain
)

// Advice is the next step with its reasons.
type Advice struct {
	Outcome  Outcome      `json:"outcome"`
	Step     Offer        `json:"step"`   // what to do next
	Reason   string       `json:"reason"` // one sentence
	RunnerUp *Offer       `json:"runner_up,omitempty"`
	Offers   []Offer      `json:"offers"`   // every first step, the cheapest course first; Step among them
	Expected money.Amount `json:"expected"` // until the machine is proved right and closed up, or referred on
	Gap      money.Amount `json:"gap"`      // what any other course could save at most
	Falls    *Falls       `json:"falls,omitempty"`
	Comeback *Comeback    `json:"comeback,omitempty"`

	Results []Expect    `json:"results,omitempty"` // of a check: each result that can come
	Predict []Predicted `json:"predict,omitempty"` // what each suspect makes likely
	Learned []Learned   `json:"learned,omitempty"` // what the same opening gives
	Tree    *Branch     `json:"tree,omitempty"`

	Holds   []Hold   `json:"holds,omitempty"` // how far shares and assumed odds may move before the step changes
	Depends []string `json:"depends,omitempty"`
	Stop    Stop     `json:"stop"`
	Notes   []string `json:"notes,omitempty"`

	Problem *Problem    `json:"-"`
	First   decide.Step `json:"-"` // the step as the Ground knows it
}

// Offer is one step that could be next.
type Offer struct {
	Sort     StepSort     `json:"sort"`
	Action   *Action      `json:"action,omitempty"` // nil to refer on
	Says     string       `json:"says"`
	Cost     money.Amount `json:"cost"`               // of the step itself, reaching it included
	Expected money.Amount `json:"expected"`           // of the best course that begins with it
	Loses    money.Amount `json:"loses"`              // against the best
	AtLeast  bool         `json:"at_least,omitempty"` // Expected and Loses are at least so much: the course was not worked out
}

// Falls is how the remaining cost may fall: in 10, 50 and 90 of 100 such jobs
// it is at most so much. It is known only where the course is proved.
type Falls struct {
	Tenth      money.Amount `json:"tenth"`
	Half       money.Amount `json:"half"`
	NineTenths money.Amount `json:"nine_tenths"`
}

// Comeback is what the proof may miss on the advised course. It is known only
// where Work.Comeback says a price and the course is proved.
type Comeback struct {
	Price  money.Amount `json:"price"`  // of one machine that comes back
	Chance float64      `json:"chance"` // that it does, the proof having passed with a fault left
	Costs  money.Amount `json:"costs"`  // what that is on average; Expected contains it
}

// Expect is one result that the next step may have.
type Expect struct {
	Result   Result       `json:"result"`
	Chance   float64      `json:"chance"`
	Suspects []Now        `json:"suspects"` // the likeliest then, at most three
	Leader   float64      `json:"leader"`   // share then of the suspect that leads now
	Then     string       `json:"then"`     // the step after it
	Remains  money.Amount `json:"remains"`  // expected cost from there on
}

// Now is a suspect's share at some point.
type Now struct {
	Fault guide.ID `json:"fault"`
	Name  string   `json:"name"`
	Share float64  `json:"share"`
}

// Predicted is what one explanation makes the check show.
type Predicted struct {
	Faults []guide.ID `json:"faults"`
	Name   string     `json:"name"`
	Result Result     `json:"result"` // the likeliest
	Chance float64    `json:"chance"`
}

// Learned is a check that costs no opening any more after the step.
type Learned struct {
	Check  guide.ID     `json:"check"`
	Name   string       `json:"name"`
	Cost   money.Amount `json:"cost"`
	Before money.Amount `json:"before"` // what it would cost now, by itself
	About  []guide.ID   `json:"about"`  // suspects that it speaks of
}

// Branch is one place of the decision tree.
type Branch struct {
	Result   string       `json:"result,omitempty"` // what led here; empty at the root
	Chance   float64      `json:"chance"`           // of coming here from the branch above
	Step     string       `json:"step"`
	Cost     money.Amount `json:"cost"`
	Suspects []Now        `json:"suspects"`
	Remains  money.Amount `json:"remains"`
	Branches []Branch     `json:"branches,omitempty"`
	More     bool         `json:"more,omitempty"` // it goes on, but was not asked for
}

// Hold says between which values of one number the step stays the best: the
// share of a suspect, or odds of a check that are assumed.
type Hold struct {
	Fault guide.ID `json:"fault,omitempty"`
	Check guide.ID `json:"check,omitempty"`
	Now   float64  `json:"now"`
	Low   float64  `json:"low"`
	High  float64  `json:"high"`
	Below string   `json:"below,omitempty"` // the step when it is lower; empty where it changes nothing
	Above string   `json:"above,omitempty"`
	Rough bool     `json:"rough,omitempty"` // some step on the way was not settled within the limits
	Says  string   `json:"says"`
}

// Stop says whether it is time to stop checking.
type Stop struct {
	Quote bool   `json:"quote"` // enough is known to quote the repair: no check is worth its price
	Refer bool   `json:"refer"` // referring on is cheaper than anything here
	Says  string `json:"says"`
	// Replace is the likeliest suspect's repair done without a check: worth it
	// from the share BreakEven on.
	Replace   *Offer  `json:"replace,omitempty"`
	BreakEven float64 `json:"break_even,omitempty"` // 0 where it never pays, or was not asked for
	Share     float64 `json:"share,omitempty"`      // its share now
}
