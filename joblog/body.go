package joblog

import (
	"elbowroom/guide"
	"elbowroom/money"
)

// Arrived says that the machine is in.
type Arrived struct {
	Machine   guide.ID `json:"machine"`
	Complaint string   `json:"complaint,omitempty"` // in the customer's own words
	Distance  string   `json:"distance,omitempty"`  // as read: "214300 km"
	Stands    string   `json:"stands,omitempty"`    // where: "lift 1"
}

// SignNoted is anything observed that speaks for or against faults.
type SignNoted struct {
	Says string `json:"says"`
}

// SignWithdrawn takes a sign or a code back: it was not so.
type SignWithdrawn struct {
	Of     ID     `json:"of"`
	Reason string `json:"reason"`
}

// CodeNoted is a trouble code as it was read.
type CodeNoted struct {
	Code   string `json:"code"`
	Status string `json:"status,omitempty"`
	Says   string `json:"says,omitempty"` // conditions stored with the code
}

// ReadingTaken is a reading as raw text; whoever judges it reads the text.
type ReadingTaken struct {
	Text       string   `json:"text"` // "38 kΩ", ">10 MΩ", "square wave, 58 pulses"
	Check      guide.ID `json:"check,omitempty"`
	What       string   `json:"what,omitempty"` // where no check says it: "insulation, right line"
	Point      string   `json:"point,omitempty"`
	Instrument string   `json:"instrument,omitempty"`
	Conditions []string `json:"conditions,omitempty"` // "coolant 21 °C", "EL01 unplugged"
}

// Verdict is the judgement of a reading.
type Verdict string

// The verdicts.
const (
	Conforming    Verdict = "conforming"
	NonConforming Verdict = "non-conforming"
	TooClose      Verdict = "too close to call"
	NotComparable Verdict = "not comparable"
)

// Verdicts lists every verdict.
var Verdicts = []Verdict{Conforming, NonConforming, TooClose, NotComparable}

// VerdictRecorded judges a reading against a limit.
type VerdictRecorded struct {
	Of      ID      `json:"of"` // the reading
	Verdict Verdict `json:"verdict"`
	Limit   string  `json:"limit,omitempty"`
	Why     string  `json:"why,omitempty"`
}

// StepDone ticks a step: one of a plan by its number, or, with Step 0, one
// that no plan has, described by Act.
type StepDone struct {
	Plan ID     `json:"plan,omitzero"` // the event that took the plan; zero means the present one
	Step int    `json:"step,omitempty"`
	Act  *Act   `json:"act,omitempty"`
	Lies string `json:"lies,omitempty"` // where what came off lies: "tray 2, bag 3"
}

// StepUndone takes a tick back: the step was not done, or does not count. A
// step of a plan is named by its number, any other by the event that ticked it.
type StepUndone struct {
	Plan   ID     `json:"plan,omitzero"`
	Step   int    `json:"step,omitempty"`
	Done   ID     `json:"done,omitzero"`
	Reason string `json:"reason,omitempty"`
}

// Fastener names one fastener of an item. Joint counts from 1 in the order of
// the guide; joint 0 is the item's connector. Index counts from 1; 0 stands
// for every fastener of the joint.
type Fastener struct {
	Item  guide.ID `json:"item"`
	Joint int      `json:"joint"`
	Index int      `json:"index,omitempty"`
}

// Ticked says that a fastener is in and tight.
type Ticked struct {
	Fastener
	Wrench guide.ID `json:"wrench,omitempty"` // of the workshop's tools
	Value  string   `json:"value,omitempty"`  // what it was tightened to: "20 N·m", "40 N·m + 90°"
}

// Unticked takes the tick of a fastener back.
type Unticked struct {
	Fastener
	Reason string `json:"reason,omitempty"`
}

// PartNew records that new single-use parts were fitted.
type PartNew struct {
	Part   guide.ID `json:"part,omitempty"` // empty where the guide names none: see Joint
	On     guide.ID `json:"on"`             // the item, check or condition whose way uses it
	Joint  int      `json:"joint,omitempty"`
	Count  int      `json:"count"`
	Number string   `json:"number,omitempty"` // as on the box, with the batch
}

// Laid says where an item that is off lies now.
type Laid struct {
	Item guide.ID `json:"item"`
	Lies string   `json:"lies"`
}

// PictureAdded names a picture by its content; the picture itself is kept
// elsewhere.
type PictureAdded struct {
	Hash string   `json:"hash"` // SHA-256, 64 digits in lower case
	Type string   `json:"type"` // "image/jpeg"
	Size int64    `json:"size"` // bytes
	On   guide.ID `json:"on,omitempty"`
	Plan ID       `json:"plan,omitzero"`
	Step int      `json:"step,omitempty"`
	Says string   `json:"says,omitempty"`
}

// Note is a remark.
type Note struct {
	Text string   `json:"text"`
	On   guide.ID `json:"on,omitempty"`
}

// Paused says that its author stops working; Resumed that work goes on. Any
// other event of the same author ends a pause too.
type Paused struct {
	Reason string `json:"reason,omitempty"`
}

// Resumed ends a pause.
type Resumed struct{}

// HandedOver passes the job on.
type HandedOver struct {
	To   Person `json:"to,omitempty"` // empty: whoever comes
	Says string `json:"says,omitempty"`
}

// Deviation is a rule left aside on purpose by a named person who gives the
// reason. It covers what it names and nothing else: keys of lacks (Lack.Key)
// and steps that are not possible by the guide.
type Deviation struct {
	Signed Person   `json:"signed"` // must be the author
	Reason string   `json:"reason"`
	Lacks  []string `json:"lacks,omitempty"`
	Done   []ID     `json:"done,omitempty"`  // events that tick a step which the guide does not allow
	Steps  []StepNo `json:"steps,omitempty"` // or the steps of a plan, before they are ticked
}

// StepNo is a step of a plan.
type StepNo struct {
	Plan ID  `json:"plan"`
	Step int `json:"step"`
}

// PriceAgreed is what the customer authorised.
type PriceAgreed struct {
	Amount   money.Amount `json:"amount,omitempty"`
	Limit    money.Amount `json:"limit,omitempty"` // up to which work goes on without asking again
	Currency string       `json:"currency"`        // ISO 4217
	Who      string       `json:"who"`             // who agreed
	How      string       `json:"how"`             // "by telephone", "signed on paper"
	For      string       `json:"for,omitempty"`   // "diagnosis up to X3"
}

// ProofMade is a check after refit that shows the complaint gone, or does not.
type ProofMade struct {
	Check      guide.ID `json:"check,omitempty"`
	What       string   `json:"what,omitempty"` // where no check says it: "hill drive, 20 min"
	Readings   []ID     `json:"readings,omitempty"`
	Verdict    Verdict  `json:"verdict"`
	Conditions []string `json:"conditions,omitempty"`
}

// Closed says that the job is finished. It counts only when nothing is lacking
// or what is lacking was signed for.
type Closed struct {
	Says string `json:"says,omitempty"`
}

// Reopened takes a closing back.
type Reopened struct {
	Reason string `json:"reason"`
}

// Correction puts an earlier event right: it is struck, or what it says is
// replaced by something of the same kind. A correction is taken back by
// striking it.
type Correction struct {
	Of     ID       `json:"of"`
	Strike bool     `json:"strike,omitempty"`
	With   *Content `json:"with,omitempty"`
	Reason string   `json:"reason"`
}

// Content is a body with its kind.
type Content struct {
	Kind Kind
	Body Body
}

func (*Arrived) kind() Kind         { return KindArrived }
func (*SignNoted) kind() Kind       { return KindSign }
func (*SignWithdrawn) kind() Kind   { return KindSignWithdrawn }
func (*CodeNoted) kind() Kind       { return KindCode }
func (*ReadingTaken) kind() Kind    { return KindReading }
func (*VerdictRecorded) kind() Kind { return KindVerdict }
func (*PlanTaken) kind() Kind       { return KindPlan }
func (*StepDone) kind() Kind        { return KindDone }
func (*StepUndone) kind() Kind      { return KindUndone }
func (*Ticked) kind() Kind          { return KindTick }
func (*Unticked) kind() Kind        { return KindUntick }
func (*PartNew) kind() Kind         { return KindPart }
func (*Laid) kind() Kind            { return KindLaid }
func (*PictureAdded) kind() Kind    { return KindPicture }
func (*Note) kind() Kind            { return KindNote }
func (*Paused) kind() Kind          { return KindPause }
func (*Resumed) kind() Kind         { return KindResume }
func (*HandedOver) kind() Kind      { return KindHandover }
func (*Deviation) kind() Kind       { return KindDeviation }
func (*PriceAgreed) kind() Kind     { return KindPrice }
func (*ProofMade) kind() Kind       { return KindProof }
func (*Closed) kind() Kind          { return KindClose }
func (*Reopened) kind() Kind        { return KindReopen }
func (*Correction) kind() Kind      { return KindCorrect }
