package plan

import (
	"time"

	"elbowroom/guide"
	"elbowroom/money"
)

// Extra is what one plan costs more than another. Negative values are savings.
type Extra struct {
	Time      time.Duration `json:"-"` // hands-on, set-up and waiting together
	Money     money.Amount  `json:"money"`
	Objective int64         `json:"objective"`
}

// Less returns what c costs more than base.
func (c Cost) Less(base Cost) Extra {
	return Extra{Time: c.Total() - base.Total(), Money: c.Money() - base.Money(), Objective: c.Objective - base.Objective}
}

// Difference is one thing in which a plan differs from another.
type Difference struct {
	Sort      DifferenceSort `json:"sort"`
	Task      int            `json:"task"` // index of the task done by another way; else -1
	Item      guide.ID       `json:"item,omitempty"`
	Verb      guide.Verb     `json:"verb,omitempty"`
	Way       int            `json:"way"`            // way that the plan takes; -1 when none
	From      guide.ID       `json:"from,omitempty"` // place of that way
	Was       guide.ID       `json:"was,omitempty"`  // place of the way it replaces
	Condition guide.ID       `json:"condition,omitempty"`
	Time      time.Duration  `json:"-"` // hands-on minutes, out and back
}

// DifferenceSort says in what respect plans differ.
type DifferenceSort string

// The sorts of difference.
const (
	OtherWay  DifferenceSort = "other way"  // a task or an item by another way
	AlsoClear DifferenceSort = "also clear" // an item that the other plan leaves on
	LeftOn    DifferenceSort = "left on"    // an item that the other plan clears
	AlsoSet   DifferenceSort = "also set"   // a condition that the other plan leaves as it is
	NotSet    DifferenceSort = "not set"    // a condition that the other plan changes
)

// Alternative is a plan that differs from the best one in a way a person would
// call different, with what it costs more and wherein it differs. The outcome
// and bound of its plan speak of the plans that differ so, not of all plans.
type Alternative struct {
	Plan    Plan         `json:"plan"`
	Extra   Extra        `json:"extra"`
	Differs []Difference `json:"differs"`
}

// Reach is the price of one more task in the same visit.
type Reach struct {
	Task    Task    `json:"task"`
	Outcome Outcome `json:"outcome"`  // Impossible together with the rest, or how well Extra is proved
	Extra   Extra   `json:"extra"`    // of the visit with the task over the visit without
	AtLeast int64   `json:"at_least"` // proved lower bound of Extra.Objective; equal to it when proved
	// Changes says that the rest of the visit is done differently with the
	// task: some way or item of the plan without it is given up.
	Changes bool         `json:"changes,omitempty"`
	Differs []Difference `json:"differs,omitempty"` // from the plan without the task
}

// WhyNot says what a way that was not taken would cost.
type WhyNot struct {
	Act     Act          `json:"act"` // the way asked about
	Outcome Outcome      `json:"outcome"`
	Plan    Plan         `json:"plan"` // the best plan that takes it; outcome and bound speak of such plans
	Extra   Extra        `json:"extra"`
	Taken   bool         `json:"taken,omitempty"` // the best plan takes it already
	Dear    []Difference `json:"dear,omitempty"`  // what makes it dear: steps that the best plan does without, dearest first
	// Blockers name what stands in its way when it is impossible.
	Blockers []Blocker `json:"blockers,omitempty"`
}

// Hold says within which minutes of one step the plan stays the best.
type Hold struct {
	Act   Act           `json:"act"`
	Taken bool          `json:"taken"` // the plan does it
	Now   time.Duration `json:"-"`     // hands-on minutes that the guide gives, out and back
	// Until is, for a step of the plan, the most that it may take before
	// another plan is better; for a way not taken, the minutes below which it
	// becomes worth while. Proved says that it is exact; otherwise the plan
	// holds at least so far.
	Until  time.Duration `json:"-"`
	Always bool          `json:"always,omitempty"` // no number of minutes changes the plan
	Proved bool          `json:"proved"`
}
