package desk

import (
	"encoding/json"

	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Sheet is a job with its plan as a phone keeps it: nothing else is needed to
// work through the plan. It is JSON as the field tags say.
type Sheet struct {
	Job       joblog.Job    `json:"job"`
	Title     string        `json:"title"` // "V1 Kestrel van: misfire when hot"
	Machine   string        `json:"machine"`
	Plate     string        `json:"plate,omitempty"`
	Complaint string        `json:"complaint,omitempty"`
	Stands    string        `json:"stands,omitempty"`
	Variant   string        `json:"variant"`  // on every view; a sheet for another machine must be seen to be one
	Revision  string        `json:"revision"` // of the guide, in words
	Newer     []string      `json:"newer,omitempty"`
	Deference string        `json:"deference"` // local codes, the maker and licensed practice come first
	Me        joblog.Person `json:"me"`
	MayWrite  bool          `json:"may_write"`
	People    []SheetPerson `json:"people"`

	Plan    joblog.ID     `json:"plan,omitzero"` // the event that took the plan; zero when there is none yet
	Steps   []SheetStep   `json:"steps,omitempty"`
	Wrench  []SheetWrench `json:"wrenches,omitempty"`
	MustNot [][]MustNot   `json:"must_not,omitempty"` // by the number of steps done from the first on: 0 to len(Steps)

	State  joblog.State            `json:"state"` // as the server knows it at Cursor
	Has    map[joblog.Device]int64 `json:"has"`   // events of every device that the server has, without a gap
	Latest joblog.ID               `json:"latest,omitzero"`
	Cursor store.Cursor            `json:"cursor"`
	At     joblog.Moment           `json:"at"`
}

// SheetPerson is somebody who works here.
type SheetPerson struct {
	ID   joblog.Person `json:"id"`
	Name string        `json:"name"`
}

// SheetWrench is a torque wrench that the workshop owns.
type SheetWrench struct {
	ID   guide.ID `json:"id"`
	Name string   `json:"name"`
	Note string   `json:"note,omitempty"` // "due since 2026-03-01"
}

// SheetStep is one step of the plan, numbered from 1.
type SheetStep struct {
	Step     int            `json:"step"`
	Kind     string         `json:"kind"`  // clear, refit, change, await, do
	Phase    string         `json:"phase"` // strip, work, refit
	Title    string         `json:"title"`
	Item     guide.ID       `json:"item,omitempty"`
	Name     string         `json:"name,omitempty"`
	Where    string         `json:"where,omitempty"` // directions in words
	Place    string         `json:"place,omitempty"` // "from below"
	Sight    string         `json:"sight,omitempty"`
	Hands    int            `json:"hands,omitempty"`
	Minutes  float64        `json:"minutes"`
	Wait     float64        `json:"wait,omitempty"` // minutes; a step of kind await counts down
	Tools    []string       `json:"tools,omitempty"`
	Cautions []SheetCaution `json:"cautions,omitempty"` // come first, before anything is tapped
	Notes    []string       `json:"notes,omitempty"`
	Risks    []string       `json:"risks,omitempty"`

	Off    []guide.ID   `json:"off,omitempty"` // items that leave their place in this step; Names tells them
	On     []guide.ID   `json:"on,omitempty"`  // items that come back in this step
	Names  []string     `json:"names,omitempty"`
	Joints []SheetJoint `json:"joints,omitempty"` // strip: to be opened; otherwise: to be ticked one by one
	Parts  []SheetPart  `json:"parts,omitempty"`  // single-use parts to be recorded as new
	Check  guide.ID     `json:"check,omitempty"`  // a reading is to be entered
	Limit  string       `json:"limit,omitempty"`  // what the check wants, in words
	Proof  bool         `json:"proof,omitempty"`
	Undoes int          `json:"undoes,omitempty"` // number of the step that this one mirrors
}

// SheetCaution is a caution with who says so.
type SheetCaution struct {
	ID        guide.ID `json:"id"`
	Text      string   `json:"text"`
	Authority string   `json:"authority,omitempty"`
}

// SheetJoint is a joint or, with Joint 0, the connector of an item.
type SheetJoint struct {
	Item    guide.ID   `json:"item"`
	Name    string     `json:"name"`
	Joint   int        `json:"joint"`
	Count   int        `json:"count"`
	Says    string     `json:"says"`             // "3 × M6×25, T30, 9 N·m dry, crosswise"
	Big     string     `json:"big,omitempty"`    // what is read at arm's length: "9 N·m", "40 N·m + 90°", "torque unknown: ask the maker"
	Stages  []string   `json:"stages,omitempty"` // when there are several
	State   string     `json:"state,omitempty"`  // dry, oiled, thread-locked
	Drive   string     `json:"drive,omitempty"`
	Was     []string   `json:"was,omitempty"`     // superseded values with date and reason: shown struck through
	Wrench  guide.ID   `json:"wrench,omitempty"`  // of the workshop's tools
	Setting string     `json:"setting,omitempty"` // "small wrench at 9 N·m", or why none can do it
	Doubts  []string   `json:"doubts,omitempty"`  // what is wrong or open: no tool, a doubtful value, the state not said
	Reuse   string     `json:"reuse,omitempty"`   // "single-use"
	Dots    []SheetDot `json:"dots,omitempty"`    // one for each fastener, in the order of tightening
	Note    string     `json:"note,omitempty"`
	Trick   string     `json:"trick,omitempty"` // of a connector: how its lock opens
	Unknown bool       `json:"unknown,omitempty"`
	Source  string     `json:"source,omitempty"`
}

// SheetDot is a fastener in the drawing of its joint; x to the right and y
// down, both 0 to 1.
type SheetDot struct {
	Index int     `json:"index"` // number of the fastener, from 1
	X     float64 `json:"x"`
	Y     float64 `json:"y"`
}

// SheetPart is a single-use part.
type SheetPart struct {
	On    guide.ID `json:"on"`
	Part  guide.ID `json:"part,omitempty"`
	Joint int      `json:"joint,omitempty"`
	Says  string   `json:"says"`
	Count int      `json:"count"`
}

// MustNot is something that must not be done, with the reason.
type MustNot struct {
	Says    string   `json:"says"`
	Because []string `json:"because,omitempty"`
}

// SyncIn is what a phone sends: the events that it has written and that were
// not acknowledged yet, oldest first, and how far it has read.
type SyncIn struct {
	Device joblog.Device     `json:"device"`
	Cursor store.Cursor      `json:"cursor"`
	Events []json.RawMessage `json:"events,omitempty"`
}

// SyncOut is the answer. Every event that was sent is among Accepted, which is
// kept for ever, among Refused, which never will be, or among Waiting: another
// person wrote it on this phone, and the phone keeps it until they sign in.
type SyncOut struct {
	Accepted []joblog.ID             `json:"accepted,omitempty"`
	Refused  []SyncRefusal           `json:"refused,omitempty"`
	Waiting  []SyncRefusal           `json:"waiting,omitempty"`
	Events   []json.RawMessage       `json:"events,omitempty"` // of others and of this phone, after the cursor
	State    joblog.State            `json:"state"`
	Has      map[joblog.Device]int64 `json:"has"`
	Latest   joblog.ID               `json:"latest,omitzero"`
	Cursor   store.Cursor            `json:"cursor"`
	Plan     joblog.ID               `json:"plan,omitzero"` // differs from the sheet's: fetch the sheet again
	At       joblog.Moment           `json:"at"`
}

// SyncRefusal says why an event is not kept. The phone shows it with what it
// was about, and never sends it again.
type SyncRefusal struct {
	Index int       `json:"index"` // in SyncIn.Events
	ID    joblog.ID `json:"id,omitzero"`
	Why   string    `json:"why"`
	Says  string    `json:"says"`
}
