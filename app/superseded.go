package app

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/joint"
)

// Tightened is what a job says of one joint that it opened: what its fasteners
// were tightened to, and which of them are still open.
type Tightened struct {
	Item   guide.ID
	Joint  JointName
	To     []TightenedTo
	Plan   joblog.Pin // revision that the joint was opened with
	Unsaid []int      // fasteners of which the revision at the time is not at hand
}

// TightenedTo is one value with the fasteners that it was ticked with, by one
// person, or that are still to be tightened to it.
type TightenedTo struct {
	Value     string      // as written: "22 N·m", "40 N·m + 90°"
	State     guide.State // of the threads, by the revision at the time
	Said      bool        // the value stands in the tick; else it is that of the revision at the time
	Open      bool        // not ticked: By and At are empty
	Fasteners []int       // numbers from 1
	By        joblog.Person
	At        joblog.Moment // of the last tick
}

// JointName is how a joint of an item is found in another revision.
type JointName struct {
	ID    guide.ID
	What  string // with the thread: "screw M8"
	Nth   int    // among those of the same name, from 0
	Alone bool   // the item has no other joint
}

// PlanAt is a plan of a job with the guide that it pins; nil when that revision is
// not at hand.
type PlanAt struct {
	Plan  joblog.ID
	Pin   joblog.Pin
	Guide *guide.Resolved
}

// TightenedIn returns what a job says of the joints that it opened. The plans
// are all that the job has followed, in order.
func TightenedIn(plans []PlanAt, lines []joblog.JointLine) []Tightened {
	var out []Tightened
	for _, l := range lines {
		if l.Joint == 0 || len(plans) == 0 {
			continue // a connector has no torque
		}
		t := Tightened{Item: l.Item}
		for i, ticks := range l.Ticks {
			t.fastener(plans, &l, i+1, ticks)
		}
		if len(t.To)+len(t.Unsaid) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// fastener adds what is said of one fastener.
func (t *Tightened) fastener(plans []PlanAt, l *joblog.JointLine, number int, ticks []joblog.Tick) {
	said := false
	for _, k := range ticks {
		if !k.Done {
			continue
		}
		said = true
		t.add(planAt(plans, k.ID), l, number, TightenedTo{Value: k.Value, Said: k.Value != "", By: k.By, At: k.At})
	}
	if !said {
		t.add(plans[len(plans)-1], l, number, TightenedTo{Open: true})
	}
}

// planAt returns the plan that was followed when an event was written.
func planAt(plans []PlanAt, id joblog.ID) PlanAt {
	at := plans[0]
	for _, p := range plans[1:] {
		if p.Plan.Compare(id) <= 0 {
			at = p
		}
	}
	return at
}

// add puts a fastener to those of the same value and person.
func (t *Tightened) add(p PlanAt, l *joblog.JointLine, number int, to TightenedTo) {
	j := jointNumber(p.Guide, l.Item, l.Joint)
	if j == nil {
		t.Unsaid = append(t.Unsaid, number)
		return
	}
	t.Joint, t.Plan = jointName(p.Guide, p.Guide.Item(l.Item), l.Joint), p.Pin
	to.State = j.State
	if to.Value == "" {
		to.Value = bareStages(j.Stages)
	}
	if to.Value == "" {
		return // nothing is tightened
	}
	i := slices.IndexFunc(t.To, func(o TightenedTo) bool {
		return o.Value == to.Value && o.State == to.State && o.Said == to.Said && o.Open == to.Open && o.By == to.By
	})
	if i < 0 {
		i, t.To = len(t.To), append(t.To, to)
	}
	o := &t.To[i]
	if !slices.Contains(o.Fasteners, number) {
		o.Fasteners = append(o.Fasteners, number)
	}
	o.At = max(o.At, to.At)
}

// jointNumber returns a joint as jobs count them, or nil.
func jointNumber(r *guide.Resolved, item guide.ID, number int) *guide.Joint {
	if r == nil {
		return nil
	}
	it := r.Item(item)
	if it == nil || number < 1 || number > len(it.Joints) {
		return nil
	}
	return &it.Joints[number-1]
}

// jointName names the joint of a number.
func jointName(r *guide.Resolved, it *guide.Item, number int) JointName {
	what := func(j *guide.Joint) string { return strings.TrimSpace(cmp.Or(j.What, "screw") + " " + j.Thread) }
	j := &it.Joints[number-1]
	n := JointName{ID: j.ID, What: what(j), Alone: true}
	for i := range it.Joints {
		o := &it.Joints[i]
		if i == number-1 || !r.Fits(o.For) {
			continue
		}
		n.Alone = false
		if i < number-1 && what(o) == n.What {
			n.Nth++
		}
	}
	return n
}

// find returns the joint of the name in another revision, or nil.
func (n JointName) find(r *guide.Resolved, it *guide.Item) *guide.Joint {
	var byWhat *guide.Joint
	for i := range it.Joints {
		j := &it.Joints[i]
		if !r.Fits(j.For) {
			continue
		}
		o := jointName(r, it, i+1)
		if n.ID != "" && n.ID == o.ID || n.Alone && o.Alone {
			return j
		}
		if (n.ID == "" || o.ID == "") && n.What == o.What && n.Nth == o.Nth {
			byWhat = j
		}
	}
	return byWhat
}

// OldValue is a superseded value with the fasteners of a job that were
// tightened to it, or are still to be.
type OldValue struct {
	TightenedTo
	Item    guide.ID
	Name    string // of the item
	What    string // the fasteners: "1 × M8x30 E10 8.8 into aluminium"
	Plan    joblog.Pin
	Present string // "20 N·m dry"
	Was     WasLine
}

// OldValues returns the superseded values that a job used, by the revision of
// the guide that holds now. A value that holds now is not among them.
func OldValues(now *guide.Resolved, list []Tightened) []OldValue {
	var out []OldValue
	for _, t := range list {
		it := now.Item(t.Item)
		if it == nil {
			continue
		}
		j := t.Joint.find(now, it)
		if j == nil || len(j.Was) == 0 {
			continue
		}
		for _, to := range t.To {
			if w, ok := supersededBy(now.Guide, j, to); ok {
				out = append(out, OldValue{
					TightenedTo: to, Item: it.ID, Name: it.Name, What: fastenerText(j), Plan: t.Plan,
					Present: cmp.Or(torqueStages(j), "torque "+string(cmp.Or(j.Torque, guide.Unknown))), Was: w,
				})
			}
		}
	}
	return out
}

// supersededBy looks for the superseded value that something was tightened to.
func supersededBy(g *guide.Guide, j *guide.Joint, to TightenedTo) (WasLine, bool) {
	if sameTightening(bareStages(j.Stages), j.State, to.Value, to.State) {
		return WasLine{}, false
	}
	for _, w := range wasLines(g, []guide.Joint{*j}) {
		if sameTightening(w.Value, "", to.Value, to.State) {
			return w, true
		}
	}
	return WasLine{}, false
}

// sameTightening compares two values as written, in whatever units. A state of
// the threads that is not said is no difference.
func sameTightening(a string, as guide.State, b string, bs guide.State) bool {
	x, xs, ok := readTightening(a)
	y, ys, also := readTightening(b)
	if !ok || !also {
		return a != "" && strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
	}
	as, bs = cmp.Or(xs, as), cmp.Or(ys, bs)
	return slices.EqualFunc(x, y, sameStage) && (as == "" || bs == "" || as == bs)
}

func sameStage(a, b guide.Stage) bool {
	if a.Torque.Zero() || b.Torque.Zero() {
		return a == b
	}
	s, err := joint.TorqueIn(a.Torque)
	t, err2 := joint.TorqueIn(b.Torque)
	return err == nil && err2 == nil && sameTorque(s, t)
}

// readTightening reads "40 N·m + 90° oiled".
func readTightening(text string) ([]guide.Stage, guide.State, bool) {
	j, err := guide.Parse[guide.Joint](fmt.Sprintf("1 x M1, %s", text))
	return j.Stages, j.State, err == nil && len(j.Stages) > 0
}

// bareStages prints stages as a tick has them: "40 N·m + 90°".
func bareStages(stages []guide.Stage) string {
	return torqueStages(&guide.Joint{Stages: stages})
}

// HasOldValues reports whether any joint of a guide has a superseded value, so
// that jobs need to be looked at.
func HasOldValues(g *guide.Guide) bool {
	old := func(list []guide.Joint) bool {
		return slices.ContainsFunc(list, func(j guide.Joint) bool { return len(j.Was) > 0 })
	}
	return slices.ContainsFunc(g.Items, func(it guide.Item) bool { return old(it.Joints) }) ||
		slices.ContainsFunc(g.Kinds, func(k guide.Kind) bool { return old(k.Joints) })
}
