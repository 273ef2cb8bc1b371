package app

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/quantity"
)

// torqueTerms is a TorqueAsk that has been read.
type torqueTerms struct {
	state guide.State
	day   string
	unit  string
	line  int
	via   joint.Adapter // as asked for; zero for none
	asked bool          // an adapter was asked for
	value *quantity.Value
}

// States of the threads that can be asked for.
var threadStates = []guide.State{guide.Dry, guide.Oiled, guide.Locked}

func (a *App) torqueTerms(q TorqueAsk) (torqueTerms, error) {
	k := torqueTerms{state: q.State, day: q.Day, unit: q.Unit, line: q.Line}
	if k.day == "" {
		k.day = a.today()
	}
	if _, err := time.Parse(time.DateOnly, k.day); err != nil {
		return k, fmt.Errorf("%w: day: %q is no day; write year, month and day, such as 2026-03-16", ErrInput, q.Day)
	}
	if q.State != "" && !slices.Contains(threadStates, q.State) {
		return k, fmt.Errorf("%w: state: %q: threads are dry, oiled or thread-locked", ErrInput, q.State)
	}
	if q.Unit != "" {
		v, err := quantity.Parse("1 " + q.Unit)
		if err != nil || !slices.Contains(joint.Units, v.Unit) {
			return k, fmt.Errorf("%w: unit: %q: write one of %s", ErrInput, q.Unit, join(joint.Units))
		}
		k.unit = v.Unit
	}
	if q.Value != "" {
		v, err := torqueValue(q.Value)
		if err != nil {
			return k, err
		}
		k.value = &v
	}
	return k, k.through(q.Through)
}

// torqueValue reads a torque that somebody gives. The error wraps ErrInput.
func torqueValue(text string) (quantity.Value, error) {
	if len(text) > maxText {
		return quantity.Value{}, fmt.Errorf("%w: torque: longer than %d characters", ErrInput, maxText)
	}
	v, err := quantity.Parse(text)
	if err != nil {
		return v, fmt.Errorf("%w: torque: %w; write it like 22 N·m or 16 lbf·ft", ErrInput, err)
	}
	if v.Unit == "1" {
		return v, fmt.Errorf("%w: torque: %q has no unit; write it like 22 N·m or 16 lbf·ft", ErrInput, text)
	}
	if t, err := joint.TorqueIn(v); err != nil || t <= 0 {
		return v, fmt.Errorf("%w: torque: %s is no torque above nothing; write it like 22 N·m or 16 lbf·ft", ErrInput, v)
	}
	return v, nil
}

// through reads the adapter.
func (k *torqueTerms) through(t Through) error {
	k.asked = t.Reach != "" || t.Bend != "" || t.Arm != ""
	if !k.asked {
		return nil
	}
	if t.Reach == "" {
		return fmt.Errorf("%w: adapter: its reach is missing: the distance from the square drive to the fastener, such as 60 mm", ErrInput)
	}
	var err error
	if k.via.Reach, err = adapterLength("adapter", t.Reach); err != nil {
		return err
	}
	if t.Arm != "" {
		if k.via.Arm, err = adapterLength("arm", t.Arm); err != nil {
			return err
		}
	}
	if t.Bend != "" {
		v, err := quantity.Parse(t.Bend)
		if err != nil || v.Unit != "1" && v.Unit != "°" {
			return fmt.Errorf("%w: bend: %q is no angle in degrees, such as 45", ErrInput, t.Bend)
		}
		k.via.Bend = v.Number
	}
	if k.via.Arm != 0 || !k.via.NeedsArm() {
		if err := k.via.Check(); err != nil {
			return adapterError(err)
		}
	} else if probe := (joint.Adapter{Arm: longArm, Reach: k.via.Reach, Bend: k.via.Bend}); probe.Check() != nil {
		return adapterError(probe.Check())
	}
	return nil
}

// longArm stands for a wrench whose length is not known yet, so that what is
// wrong with the adapter itself is found.
const longArm joint.Millimetres = 1e6

func adapterError(err error) error {
	return fmt.Errorf("%w: adapter: %s", ErrInput, strings.TrimPrefix(err.Error(), joint.ErrAdapter.Error()+": "))
}

// most is the longest wrench or adapter that is taken, in millimetres.
const mostLength = 5000

// adapterLength reads "60 mm", "2.5 in" or "60", which is millimetres.
func adapterLength(field, text string) (joint.Millimetres, error) {
	v, err := quantity.Parse(text)
	if err == nil && v.Unit == "1" {
		v.Unit = "mm"
	}
	mm, err2 := v.In("mm")
	if err = errors.Join(err, err2); err != nil || !(mm.Number > 0) || mm.Number > mostLength {
		return 0, fmt.Errorf("%w: %s: %q is no length up to %d mm, such as 60 mm", ErrInput, field, text, mostLength)
	}
	return joint.Millimetres(mm.Number), nil
}

// compare holds a value that somebody gives against a line.
func (k torqueTerms) compare(l *TorqueLine) {
	given, err := joint.TorqueIn(*k.value)
	if err != nil {
		return
	}
	unit := k.value.Unit
	add := func(sort TorqueFindingSort, says, do string) {
		l.Findings = append(l.Findings, TorqueFinding{sort, says, do})
	}
	if f, err := joint.Of(&l.Joint); err == nil {
		a := joint.Assess(f, given, l.Joint.State, joint.Angled(l.Joint.Stages), l.Joint.Into, usualDeviation)
		if says := a.Finding(unit); says != "" {
			add(TorqueDoubtful, says, "do not tighten to it; check the value and its unit")
		}
	}
	now := torqueStages(&l.Joint)
	if slices.ContainsFunc(joint.Torques(l.Joint.Stages), func(t joint.NewtonMetres) bool { return sameTorque(t, given) }) {
		return
	}
	for _, w := range l.Was {
		if v, err := quantity.Parse(w.Value); err == nil {
			if t, err := joint.TorqueIn(v); err == nil && sameTorque(t, given) {
				add(Superseded, fmt.Sprintf("%s was superseded%s%s", k.value, after(" by ", until(w)), after(": ", w.Reason)), "tighten to "+now)
				return
			}
		}
	}
	if now != "" {
		add(ValueDiffers, fmt.Sprintf("the guide says %s, not %s", now, k.value), "tighten to what the guide says, or have the guide corrected with its source")
	}
}

// sameTorque compares two torques up to the noise of converting them.
func sameTorque(a, b joint.NewtonMetres) bool {
	const noise = 1e-9
	return a-b <= noise*b && b-a <= noise*a
}

// until says by what a value was superseded: "revision 3 of 2026-03-02".
func until(w WasLine) string {
	if w.Date != "" {
		return w.Until + " of " + w.Date
	}
	return w.Until
}

// after puts a word before a text that may be missing.
func after(word, text string) string {
	if text == "" {
		return ""
	}
	return word + text
}

// torqueStages prints the stages of a joint: "40 N·m + 90° oiled".
func torqueStages(j *guide.Joint) string {
	var words []string
	for _, s := range j.Stages {
		words = append(words, s.String())
	}
	return strings.TrimSpace(strings.Join(words, " + ") + " " + string(j.State))
}

// degrees prints an angle: "90°".
func degrees(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) + "°" }
