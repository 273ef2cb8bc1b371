package app

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/workshop"
)

// TorqueAsk asks how joints are tightened: those of a visit, or those of one
// item. The zero fields take what the guide and the workshop say.
type TorqueAsk struct {
	Ask
	Item  string      // ID or words for an item: only its joints, without a visit
	Value string      // a torque that somebody gives for the item: "22 N·m"
	State guide.State // of the threads; a torque for another one is never carried over
	Day   string      // ISO 8601 date on which tools must be in date; today when empty
	Unit  string      // a second unit beside that of the guide; none when empty
	Through
}

// Through is an adapter as a user writes it. Every field may be empty.
type Through struct {
	Line  int    // number of the joint on the sheet that it is for; 0 for the only one
	Reach string // from the square drive to the fastener: "60 mm"
	Bend  string // degrees from straight ahead
	Arm   string // from the mark on the handle to the square drive; the wrench's own when empty
}

// TorqueSheet says how every joint of a visit is tightened, in the order of the
// refit. It is plain data: whoever holds it needs neither planner nor audit.
type TorqueSheet struct {
	Guide      *guide.Guide
	Resolved   *guide.Resolved
	Machine    *workshop.Machine // nil when asked for a guide alone
	Variant    string
	Day        string // on which the tools were looked at
	Unit       string // second unit; empty for none
	Tasks      []string
	Joints     []TorqueLine
	Open       []TorqueLine // undone in this visit and not tightened again
	Bare       []BareLine   // goes back, and nobody tightens anything on it
	Tools      []TorqueTool // every torque tool that is owned
	Exceptions []string     // in which respects this machine differs from its variant
	Blocked    string       // why there is no plan, and so no joint
	Deference  string
}

// Needs reports whether a line of the sheet has a finding of the sort.
func (s *TorqueSheet) Needs(sort TorqueFindingSort) bool {
	return slices.ContainsFunc(s.Joints, func(l TorqueLine) bool { return l.Has(sort) })
}

// Troubled counts the lines with a finding.
func (s *TorqueSheet) Troubled() int {
	n := 0
	for _, l := range s.Joints {
		if len(l.Findings) > 0 {
			n++
		}
	}
	return n
}

// BareLine is an item that is undone without a joint being written down for
// it: held by clips, by hand, by another item.
type BareLine struct {
	Step   int
	Item   *guide.Item
	Fixing string // empty when nothing is written down at all
}

// TorqueTool is one torque tool that is owned.
type TorqueTool struct {
	Wrench  joint.Wrench
	Overdue bool
	Lines   []int // of the sheet that it is taken for
}

// TorqueLine is one joint.
type TorqueLine struct {
	Number   int // on the sheet, from 1
	Undone   int // step that undoes it; 0 when it was found undone, or without a visit
	Step     int // step that tightens it; 0 without a visit
	Item     *guide.Item
	Joint    guide.Joint // the one that holds for the state asked
	Ordinal  int         // of the joint among those of its item on this variant, from 1
	Fastener string      // "4 × M6x35 T30 8.8 into aluminium"
	Stages   []TorqueStage
	Layout   joint.Layout
	Next     joint.Next
	Part     *PartLine // what replaces a fastener that is not used again
	Was      []WasLine
	Others   []string // what the guide gives for other states of the threads
	Source   string
	Use      *joint.Assessment // of the last torque; nil when nothing can be reckoned
	Findings []TorqueFinding
}

// Has reports whether the line has a finding of the sort.
func (l *TorqueLine) Has(sort TorqueFindingSort) bool {
	return slices.ContainsFunc(l.Findings, func(f TorqueFinding) bool { return f.Sort == sort })
}

// TorqueStage is one stage of tightening. An angle is turned as it is written.
type TorqueStage struct {
	Text   string             // "20 N·m", "90°", "to shoulder"
	Torque joint.NewtonMetres // 0 for an angle and for a shoulder
	Angle  float64            // degrees
	Also   string             // the torque in the second unit
	Choice joint.Choice       // of the wrench
	Tool   string             // what serves: the wrench, or the angle gauge; empty when nothing does
	Set    string             // "19.8 N·m": what to set on the scale
	Marks  []string           // "19.5 gives 23.9 N·m": both marks, where the setting lies between two
	Foot   *workshop.Tool     // adapter of the workshop that was taken
}

// WasLine is a superseded value. It is shown struck through, and never used.
type WasLine struct {
	Value  string
	Until  string // revision or date
	Date   string // of that revision, when it is known
	Reason string
	Source string
}

// TorqueFindingSort says what a finding of a joint is about.
type TorqueFindingSort string

// The sorts of finding.
const (
	TorqueMissing  TorqueFindingSort = "torque missing"   // nobody has written it down
	TorqueDoubtful TorqueFindingSort = "torque doubtful"  // outside the plausible band
	NoTool         TorqueFindingSort = "no tool"          // no owned tool reaches it
	ToolOverdue    TorqueFindingSort = "tool overdue"     // only a tool that was due for its check does
	OtherState     TorqueFindingSort = "other state"      // no value for the state of the threads that was asked
	StateUnsaid    TorqueFindingSort = "state not said"   // dry or oiled nobody has written down
	ReuseDoubtful  TorqueFindingSort = "re-use doubtful"  // angle and reusable contradict each other, or nothing is said
	PartMissing    TorqueFindingSort = "part missing"     // single-use, and no part replaces it
	ThreadShort    TorqueFindingSort = "thread too short" // it may strip
	OrderWrong     TorqueFindingSort = "order not usable" // the pattern does not fit the count
	Superseded     TorqueFindingSort = "superseded"       // the value that was given is an old one
	ValueDiffers   TorqueFindingSort = "value differs"    // the value that was given is not the guide's
)

// TorqueFinding is something wrong or open about a joint.
type TorqueFinding struct {
	Sort TorqueFindingSort
	Says string
	Do   string
}

// Torque returns the torque sheet of a visit, or of one item. Errors wrap
// ErrInput, ErrUnknown or ErrAudit and name the field.
func (a *App) Torque(q TorqueAsk) (*TorqueSheet, error) {
	k, err := a.torqueTerms(q)
	if err != nil {
		return nil, err
	}
	if q.Item != "" {
		return a.itemTorque(q, k)
	}
	ans, err := a.Plan(q.Ask)
	if err != nil {
		return nil, err
	}
	return a.torqueOf(ans, k)
}

// TorqueOf returns the torque sheet of a plan. Ask, Item and Value of the
// question are not used. The error wraps ErrInput and names the field.
func (a *App) TorqueOf(ans *Answer, q TorqueAsk) (*TorqueSheet, error) {
	k, err := a.torqueTerms(q)
	if err != nil {
		return nil, err
	}
	return a.torqueOf(ans, k)
}

func (a *App) torqueOf(ans *Answer, k torqueTerms) (*TorqueSheet, error) {
	m := a.torqueMaker(ans.Resolved, ans.Machine, ans.Variant, k)
	for _, t := range ans.Tasks {
		m.s.Tasks = append(m.s.Tasks, t.Text)
	}
	if len(ans.Steps) == 0 && len(ans.Tasks) > 0 {
		m.s.Blocked = "There is no plan for these tasks, so no joint is opened."
	}
	m.steps(ans)
	return m.done()
}

// oneItem finds the item that a name means: an ID, or words that one item
// answers to best. The error wraps ErrUnknown and offers the nearest.
func oneItem(r *guide.Resolved, name string) (*guide.Item, error) {
	if len(name) > maxText {
		return nil, fmt.Errorf("%w: item: longer than %d characters", ErrInput, maxText)
	}
	for _, id := range []string{name, strings.ToUpper(name)} {
		if it := r.Item(guide.ID(id)); it != nil {
			return it, nil
		}
	}
	hits := r.Find(name)
	if len(hits) == 1 || len(hits) > 1 && hits[0].Exact() && !hits[1].Exact() {
		return hits[0].Item, nil
	}
	return nil, fmt.Errorf("item %q is %w: %s", name, ErrUnknown, notOne(r, name, hits))
}

// itemTorque returns the sheet of the joints of one item.
func (a *App) itemTorque(q TorqueAsk, k torqueTerms) (*TorqueSheet, error) {
	s, b, err := a.look(q.Ask)
	if err != nil {
		return nil, err
	}
	it, err := oneItem(b.r, q.Item)
	if err != nil {
		return nil, err
	}
	m := a.torqueMaker(b.r, s.machine, s.variant.String(), k)
	m.s.Exceptions = nil
	m.except(it.ID)
	m.tighten(it, 0, 0)
	sheet, err := m.done()
	if err == nil && k.value != nil {
		for i := range sheet.Joints {
			k.compare(&sheet.Joints[i])
		}
	}
	return sheet, err
}

// today returns the date of the clock.
func (a *App) today() string { return a.Clock().Format(time.DateOnly) }
