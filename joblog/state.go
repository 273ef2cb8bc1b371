package joblog

import (
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
)

// Stamp says which event a line of the state comes from.
type Stamp struct {
	ID     ID     `json:"id"`
	By     Person `json:"by"`
	Device Device `json:"device"`
	At     Moment `json:"at"` // by the clock of the device
}

func (p *placed) stamp() Stamp { return Stamp{p.ID, p.Author, p.Device, p.At} }

// State is what a log comes to. It is plain data in a fixed order: the same
// set of events and the same basis give the same state.
type State struct {
	Job        Job         `json:"job"`
	Arrivals   []Arrival   `json:"arrivals,omitempty"`
	Signs      []Sign      `json:"signs,omitempty"`
	Codes      []Code      `json:"codes,omitempty"`
	Readings   []Reading   `json:"readings,omitempty"`
	Proofs     []Proof     `json:"proofs,omitempty"`
	Notes      []Remark    `json:"notes,omitempty"`
	Pictures   []Picture   `json:"pictures,omitempty"`
	Pauses     []Pause     `json:"pauses,omitempty"`
	Handovers  []Passing   `json:"handovers,omitempty"`
	Deviations []Signature `json:"deviations,omitempty"`
	Prices     []Price     `json:"prices,omitempty"`
	Corrected  []Corrected `json:"corrected,omitempty"`

	Plan       *PlanState       `json:"plan,omitempty"`    // the present plan
	Earlier    []PlanState      `json:"earlier,omitempty"` // plans that another has replaced
	Extra      []StepState      `json:"extra,omitempty"`   // steps that no plan has
	Tray       []OffLine        `json:"tray,omitempty"`    // what is off or aside now, and what is in but not yet ticked
	Joints     []JointLine      `json:"joints,omitempty"`  // every joint that was opened
	Parts      []PartLine       `json:"parts,omitempty"`   // single-use parts that must be new
	Fasteners  Count            `json:"fasteners"`         // that came out, and those of them that are ticked
	Connectors Count            `json:"connectors"`        // that came apart, and those of them that are ticked
	Conditions []ConditionState `json:"conditions,omitempty"`
	Present    *Present         `json:"present,omitempty"` // the next step of the plan, nil when it has none left
	MustNot    []Prohibition    `json:"must_not,omitempty"`

	Worked   []Worked  `json:"worked,omitempty"`
	Silences []Silence `json:"silences,omitempty"`

	Conflicts []Conflict `json:"conflicts,omitempty"`
	Refused   []Refusal  `json:"refused,omitempty"`
	Gaps      []Gap      `json:"gaps,omitempty"`
	Lacks     []Lack     `json:"lacks,omitempty"`  // what keeps the job from being closed, signed for or not
	Closed    *Closing   `json:"closed,omitempty"` // set while the job is closed

	rig *rig
}

// Count compares what came apart with what is together again.
type Count struct {
	Out int `json:"out"`
	In  int `json:"in"`
}

// Arrival is the machine coming in.
type Arrival struct {
	Stamp
	Arrived
}

// Sign is a sign with its withdrawal, if any.
type Sign struct {
	Stamp
	Says      string      `json:"says"`
	Withdrawn *Withdrawal `json:"withdrawn,omitempty"`
}

// Code is a trouble code with its withdrawal, if any.
type Code struct {
	Stamp
	CodeNoted
	Withdrawn *Withdrawal `json:"withdrawn,omitempty"`
}

// Withdrawal says who took something back and why.
type Withdrawal struct {
	Stamp
	Reason string `json:"reason"`
}

// Reading is a reading with what was made of it.
type Reading struct {
	Stamp
	ReadingTaken
	Judged []Judged `json:"judged,omitempty"` // present verdicts; more than one when people disagree or judged twice
}

// Judged is a verdict on a reading.
type Judged struct {
	Stamp
	Verdict Verdict `json:"verdict"`
	Limit   string  `json:"limit,omitempty"`
	Why     string  `json:"why,omitempty"`
}

// Verdict returns the verdict that all who judged the reading agree on, or "".
func (r Reading) Verdict() Verdict {
	var v Verdict
	for _, j := range r.Judged {
		if v != "" && j.Verdict != v {
			return ""
		}
		v = j.Verdict
	}
	return v
}

// Proof is a proof as made.
type Proof struct {
	Stamp
	ProofMade
	Stale bool `json:"stale,omitempty"` // something was taken off or put back after it
}

// Remark is a note.
type Remark struct {
	Stamp
	Note
}

// Picture is a picture as added.
type Picture struct {
	Stamp
	PictureAdded
}

// Pause is a time in which a person did not work on the job.
type Pause struct {
	Stamp
	Reason string `json:"reason,omitempty"`
	Until  Moment `json:"until,omitzero"` // by the same clock; zero while it lasts
}

// Passing is a handover.
type Passing struct {
	Stamp
	HandedOver
}

// Signature is a deviation that was signed.
type Signature struct {
	Stamp
	Deviation
}

// Price is what was agreed.
type Price struct {
	Stamp
	PriceAgreed
}

// Corrected says that an event was put right.
type Corrected struct {
	Stamp         // of the correction
	Of     ID     `json:"of"`
	Kind   Kind   `json:"kind"` // of the event that was put right
	Struck bool   `json:"struck,omitempty"`
	Reason string `json:"reason"`
}

// PlanState is a plan with how far it got.
type PlanState struct {
	Stamp
	Pin     Pin         `json:"pin"`
	Variant []string    `json:"variant,omitempty"`
	Steps   []StepState `json:"steps"`
}

// StepState is how a step stands.
type StepState struct {
	Step     int      `json:"step,omitempty"` // number in the plan from 1; 0 for a step that no plan has
	Act      Act      `json:"act"`
	Says     string   `json:"says"`
	Done     bool     `json:"done"`               // ticked, not disputed, and possible or signed for
	Counts   bool     `json:"counts"`             // taken as done in what is off now; differs from Done only in a dispute
	Disputed bool     `json:"disputed,omitempty"` // one says done, another not
	Refused  []string `json:"refused,omitempty"`  // ticked, but not possible at that moment: why
	Signed   *Stamp   `json:"signed,omitempty"`   // the deviation that lets it count all the same
	Early    bool     `json:"early,omitempty"`    // done before a step that stands earlier in the plan, which was possible
	Ticks    []Tick   `json:"ticks,omitempty"`    // who said so: the present opinions
	Lies     string   `json:"lies,omitempty"`
}

// Tick is one opinion on a step or fastener.
type Tick struct {
	Stamp
	Done   bool     `json:"done"`
	Wrench guide.ID `json:"wrench,omitempty"`
	Value  string   `json:"value,omitempty"`
}

// OffLine is one line of the tray.
type OffLine struct {
	Item    guide.ID   `json:"item"`
	Name    string     `json:"name"`
	Stands  guide.Verb `json:"stands,omitempty"` // off, aside, or "" when on with fasteners still to tick
	With    guide.ID   `json:"with,omitempty"`   // came away with this item as one assembly
	Lies    string     `json:"lies,omitempty"`
	Found   bool       `json:"found,omitempty"`   // was so when the machine came
	Unsure  bool       `json:"unsure,omitempty"`  // disputed, or ticked although the guide does not allow it
	Left    bool       `json:"left,omitempty"`    // may stay so
	Out     int        `json:"out"`               // its fasteners and connectors that are not ticked
	Removed *Stamp     `json:"removed,omitempty"` // who took it off
}

// JointLine is a joint that was opened.
type JointLine struct {
	Item    guide.ID `json:"item"`
	Name    string   `json:"name"`
	Joint   int      `json:"joint"` // 0 is the connector
	Says    string   `json:"says"`
	Count   int      `json:"count"`
	In      int      `json:"in"`
	Missing []int    `json:"missing,omitempty"` // numbers of those that are not in
	Ticks   [][]Tick `json:"ticks,omitempty"`   // by fastener, what is said of it now
}

// PartLine is a single-use part that must be new.
type PartLine struct {
	On    guide.ID `json:"on"` // item, check or condition whose way uses it
	Part  guide.ID `json:"part,omitempty"`
	Joint int      `json:"joint,omitempty"`
	Says  string   `json:"says"`
	Need  int      `json:"need"`
	New   int      `json:"new"`
	By    []Stamp  `json:"by,omitempty"`
}

// ConditionState is how a condition stands.
type ConditionState struct {
	Condition guide.ID `json:"condition"`
	Says      string   `json:"says"`
	Value     guide.ID `json:"value,omitempty"` // "" while a change is in progress
	Coming    guide.ID `json:"coming,omitempty"`
	End       guide.ID `json:"end,omitempty"`    // value that it must have when the job is closed; "" for any
	Unsure    bool     `json:"unsure,omitempty"` // a change of it is disputed, or was ticked although the guide does not allow it
}

// Present is the next step.
type Present struct {
	Plan ID       `json:"plan"`
	Step int      `json:"step"`
	Says string   `json:"says"`
	Why  []string `json:"why,omitempty"` // why it cannot be done now; empty when it can
}

// Prohibition is something that must not be done in this state.
type Prohibition struct {
	Says    string     `json:"says"` // "Do not start the engine"
	Because []string   `json:"because"`
	Caution []guide.ID `json:"caution,omitempty"`
	Cond    guide.ID   `json:"condition,omitempty"` // the change that must not be made
	From    guide.ID   `json:"from,omitempty"`
	To      guide.ID   `json:"to,omitempty"`
}

// Worked is the time that a person worked up to the tick of a step.
type Worked struct {
	By      Person        `json:"by"`
	Plan    ID            `json:"plan,omitzero"`
	Step    int           `json:"step,omitempty"`
	Done    ID            `json:"done"` // the event that ticked the step
	Act     Act           `json:"act"`
	Time    time.Duration `json:"time"`
	Unclear bool          `json:"unclear,omitempty"` // not to be learned from: no beginning, a clock set back, a long silence
}

// Silence is a time that cannot be told from work or rest, and is not counted.
type Silence struct {
	By   Person `json:"by"`
	From Moment `json:"from"`
	To   Moment `json:"to"` // before From when the clock was set back
}

// ConflictSort is the sort of a Conflict.
type ConflictSort string

// The sorts of conflict.
const (
	Twice    ConflictSort = "twice"    // two said the same, neither knowing of the other
	Disputed ConflictSort = "disputed" // two differ
	Differs  ConflictSort = "differs"  // a plan takes something to stand otherwise than the log says
	Numbered ConflictSort = "numbered" // two events of a device bear the same number
)

// Conflict is something that people, or phones, do not agree on. A blocking
// one keeps the job from being closed until somebody who has seen both sides
// says which holds.
type Conflict struct {
	Sort     ConflictSort `json:"sort"`
	Key      string       `json:"key"` // what it is about: "step 3", "fastener AR04/1/7"
	Says     string       `json:"says"`
	Events   []ID         `json:"events,omitempty"`
	Blocking bool         `json:"blocking,omitempty"`
}

// Lack is one thing that keeps the job from being closed. A deviation that
// names its key signs for it.
type Lack struct {
	Key    string `json:"key"`
	Says   string `json:"says"`
	Signed *Stamp `json:"signed,omitempty"`
	Reason string `json:"reason,omitempty"` // of the deviation

	since *placed // a deviation counts only when it is later
}

// Closing says who closed the job.
type Closing struct {
	Stamp
	Says string `json:"says,omitempty"`
}

// Edition is a guide with the pin by which jobs name it.
type Edition struct {
	Pin   Pin
	Guide *guide.Guide
}

// Basis is what a log is read against.
type Basis struct {
	Editions []Edition
	People   []Person // who works here; empty means that nobody is asked
}

// stepKey names a step: one of a plan, or one of none by the event that ticked
// it.
type stepKey struct {
	plan ID
	step int
	own  ID
}

// phaseOf says to which part of the visit an act belongs, for the rule that
// what is disputed counts as open.
func phaseOf(r *guide.Resolved, a Act) plan.Phase {
	switch a.Kind {
	case plan.Clear:
		return plan.StripPhase
	case plan.Refit:
		return plan.RefitPhase
	case plan.Do:
		return plan.WorkPhase
	}
	c := r.Condition(a.Condition)
	if c == nil || a.Change < 0 || a.Change >= len(c.Changes) {
		return plan.StripPhase
	}
	end := guide.ID(c.End)
	if c.End == "" || c.End == guide.AsFound || c.End == guide.AnyEnd {
		end = c.Start
	}
	if c.Changes[a.Change].To == end {
		return plan.RefitPhase
	}
	return plan.StripPhase
}
