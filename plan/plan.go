package plan

import (
	"time"

	"elbowroom/guide"
	"elbowroom/money"
)

// Objective says what a plan is best at.
type Objective string

// The objectives.
const (
	ByMoney   Objective = "money"
	ByMinutes Objective = "minutes"
)

// CentPerObjective is the objective value of one minor unit of money: the
// number of milliseconds in an hour (see the package comment).
const CentPerObjective = 3_600_000

// Task is one piece of work asked for.
type Task struct {
	Verb   guide.Verb `json:"verb"`
	On     guide.ID   `json:"on"`               // item or check
	Before bool       `json:"before,omitempty"` // as the machine is found, before anything is touched
	Proof  bool       `json:"proof,omitempty"`  // after everything is back
	After  []int      `json:"after,omitempty"`  // indexes of tasks that must be done first
}

// String returns the task as people type it: "replace:SE13".
func (t Task) String() string { return string(t.Verb) + ":" + string(t.On) }

// Standing is how an item is found or may be left.
type Standing struct {
	Item guide.ID `json:"item"`
	Off  bool     `json:"off"` // else aside
}

// Setting is the value of a condition.
type Setting struct {
	Condition guide.ID `json:"condition"`
	Value     guide.ID `json:"value"`
}

// Request is what is asked of the planner.
type Request struct {
	Tasks     []Task         `json:"tasks"`
	Variant   guide.Selector `json:"variant,omitempty"`    // one value per axis; axes may be missing where no way depends on them
	Found     []Standing     `json:"found,omitempty"`      // items that are not on at the start
	Given     []Setting      `json:"given,omitempty"`      // condition values at the start, where they differ from the guide's
	LeaveOpen []guide.ID     `json:"leave_open,omitempty"` // items and conditions that need not be put back; "all" for everything
	Missing   []guide.ID     `json:"missing,omitempty"`    // tools that are not at hand
	People    int            `json:"people,omitempty"`     // 0 means 1
	By        Objective      `json:"by,omitempty"`         // empty means ByMoney
	Rate      money.PerHour  `json:"rate,omitempty"`
	WaitRate  money.PerHour  `json:"wait_rate,omitempty"` // price of an hour that nothing fills; 0 means Rate
}

// StepKind is the sort of a Step.
type StepKind string

// The kinds of step.
const (
	Clear  StepKind = "clear"
	Refit  StepKind = "refit"
	Change StepKind = "change"
	Await  StepKind = "await"
	Do     StepKind = "do"
)

// Phase is the part of the visit that a step belongs to: Strip for clearing
// and for changes away from a condition's end value, Refit for putting back
// and for changes to it, Work for tasks.
type Phase string

// The phases.
const (
	StripPhase Phase = "strip"
	WorkPhase  Phase = "work"
	RefitPhase Phase = "refit"
)

// Step is one thing done.
type Step struct {
	Kind  StepKind `json:"kind"`
	Phase Phase    `json:"phase"`

	// Item and Way say what is cleared, refitted or worked on. Way is the
	// index of the way in Ways of the resolved item (or of the check that owns
	// its ways); -1 when none is involved.
	Item guide.ID   `json:"item,omitempty"`
	Verb guide.Verb `json:"verb,omitempty"`
	Way  int        `json:"way"`
	Task int        `json:"task"` // index in Request.Tasks; -1 when none

	// Condition, From, To and Change (index in Condition.Changes) say what is
	// changed or awaited.
	Condition guide.ID `json:"condition,omitempty"`
	From      guide.ID `json:"from,omitempty"`
	To        guide.ID `json:"to,omitempty"`
	Change    int      `json:"change"`

	Place guide.ID      `json:"place,omitempty"` // where the worker stands afterwards
	Tool  guide.ID      `json:"tool,omitempty"`
	Hands time.Duration `json:"-"` // hands-on, people counted
	Setup time.Duration `json:"-"`
	Wait  time.Duration `json:"-"`
}

// Cost is what a plan costs, component by component.
type Cost struct {
	Strip   time.Duration `json:"-"` // hands-on of the strip phase
	Work    time.Duration `json:"-"`
	Refit   time.Duration `json:"-"`
	Setup   time.Duration `json:"-"`
	Waiting time.Duration `json:"-"`

	Labour money.Amount `json:"labour"`
	Idle   money.Amount `json:"idle"` // waiting at its rate
	Parts  money.Amount `json:"parts"`
	Fluids money.Amount `json:"fluids"`
	Hire   money.Amount `json:"hire"`
	Risk   money.Amount `json:"risk"` // expected: minutes at the rate and damage

	Objective int64 `json:"objective"` // exact, see the package comment
}

// Total returns hands-on, set-up and waiting minutes together.
func (c Cost) Total() time.Duration { return c.Strip + c.Work + c.Refit + c.Setup + c.Waiting }

// Money returns the sum of all money components.
func (c Cost) Money() money.Amount {
	return c.Labour + c.Idle + c.Parts + c.Fluids + c.Hire + c.Risk
}

// Outcome says what the planner could prove.
type Outcome string

// The outcomes.
const (
	Optimal    Outcome = "optimal"    // no cheaper plan exists
	Bounded    Outcome = "bounded"    // a plan, and a bound that no plan can beat
	Impossible Outcome = "impossible" // proved: no plan exists
	Limit      Outcome = "limit"      // stopped before any plan was found or ruled out
	BadInput   Outcome = "bad input"  // the request or the guide cannot be used
)

// Act names one thing that can be done, apart from any plan: a way of an item,
// a change of a condition, or the hire of a tool.
type Act struct {
	Item      guide.ID   `json:"item,omitempty"`
	Verb      guide.Verb `json:"verb,omitempty"`
	Way       int        `json:"way"`
	Condition guide.ID   `json:"condition,omitempty"`
	Change    int        `json:"change"`
	Tool      guide.ID   `json:"tool,omitempty"` // hire
	Back      bool       `json:"back,omitempty"` // the refit of an item that was found off
}

// Landmark is a reason for cost: every plan contains at least one of Acts, and
// Weight of the objective is charged to it. Weights never charge an act more
// than it costs, so that they add up to a bound.
type Landmark struct {
	Acts   []Act `json:"acts"`
	Weight int64 `json:"weight"`
}

// Certificate explains the bound.
type Certificate struct {
	Landmarks []Landmark `json:"landmarks"`
	Base      int64      `json:"base"`  // cost that every plan has: the tasks' own minutes and the like
	Sum       int64      `json:"sum"`   // Base and all weights
	Cases     int64      `json:"cases"` // further cases searched to prove the rest; 0 when the landmarks prove all
}

// Blocker is one fact of a smallest set that makes a request impossible.
type Blocker struct {
	Item      guide.ID `json:"item,omitempty"`
	Condition guide.ID `json:"condition,omitempty"`
	Tool      guide.ID `json:"tool,omitempty"`
	Caution   guide.ID `json:"caution,omitempty"`
	Says      string   `json:"says"` // one sentence, with what would unblock it
}

// Plan is the answer to a Request.
type Plan struct {
	Outcome     Outcome     `json:"outcome"`
	Steps       []Step      `json:"steps"`
	Cost        Cost        `json:"cost"`
	Bound       int64       `json:"bound"` // objective that no plan can beat
	Certificate Certificate `json:"certificate"`
	Blockers    []Blocker   `json:"blockers,omitempty"`
}

// Gap returns the share by which the plan may be dearer than the best one: 0
// when proved optimal.
func (p Plan) Gap() float64 {
	if p.Cost.Objective <= 0 || p.Bound >= p.Cost.Objective {
		return 0
	}
	return float64(p.Cost.Objective-p.Bound) / float64(p.Cost.Objective)
}
