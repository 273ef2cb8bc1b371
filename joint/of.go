package joint

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
)

// FrictionOf returns the range taken for a state of the threads. What
// thread-locking liquid does while it is wet no standard says, so it counts as
// not known.
func FrictionOf(s guide.State) Friction {
	switch s {
	case guide.Dry:
		return DryFriction
	case guide.Oiled:
		return OiledFriction
	}
	return AnyFriction
}

// tightened are the words for fasteners that somebody tightens.
var tightened = []string{"screw", "bolt", "nut", "stud", "union"}

// Tightened reports whether the words for a fastener name one that is
// tightened: a screw, bolt, nut, stud or union.
func Tightened(what string) bool {
	return slices.ContainsFunc(tightened, func(w string) bool { return strings.Contains(what, w) })
}

// Of describes the fasteners of a guide's joint. The thread must be a metric
// one; the error wraps ErrThread.
func Of(j *guide.Joint) (Fastener, error) {
	t, err := ParseThread(j.Thread)
	f := Fastener{Thread: t, Class: j.Class, Friction: FrictionOf(j.State)}
	if j.Class == "steel" || j.Class == "stainless" {
		f.Class = "" // a material, not a property class
	}
	f.Soft = strings.Contains(j.Into, "plastic")
	f.Fitted = strings.Contains(j.What, "union") || j.What != "" && !Tightened(j.What) ||
		j.What == "" && j.Count == 1 && j.Class == "" && !t.Coarse()
	return f, err
}

// SamePlace reports whether two joints describe the same fasteners, perhaps in
// another state of their threads.
func SamePlace(a, b *guide.Joint) bool {
	return a.ID == b.ID && a.Count == b.Count && a.Thread == b.Thread && a.Drive == b.Drive && a.What == b.What &&
		a.Into == b.Into && slices.Equal(a.Lengths, b.Lengths)
}

// Angled reports whether an angle is among the stages. The angle is turned as
// it is written, whatever the friction and whatever stands between wrench and
// fastener.
func Angled(stages []guide.Stage) bool {
	return slices.ContainsFunc(stages, func(s guide.Stage) bool { return s.Angle != 0 })
}

// Torques returns the torques of the stages in order, without angles.
func Torques(stages []guide.Stage) []NewtonMetres {
	var out []NewtonMetres
	for _, s := range stages {
		if t, err := TorqueIn(s.Torque); err == nil {
			out = append(out, t)
		}
	}
	return out
}

// Next says what happens to the fasteners when they are fitted again.
type Next struct {
	Renew  bool   // they are not used again
	Known  bool   // the guide says so, or the way of tightening does
	Says   string // the rule in words
	Differ bool   // the guide calls fasteners reusable that are turned by an angle
}

// NextTime returns the rule of re-use. Fasteners that an angle turns past
// their yield point are used once, whatever else is written; a guide that
// calls them reusable all the same is contradicted, not silently followed.
func NextTime(said guide.Reuse, stages []guide.Stage) Next {
	switch {
	case said == guide.SingleUse:
		return Next{Renew: true, Known: true, Says: "single-use: fit new ones"}
	case Angled(stages) && said == guide.Reusable:
		return Next{Renew: true, Differ: true, Says: "tightened by angle, and the guide calls them reusable: fit new ones unless the maker says how often, and to which length, they may be used again"}
	case Angled(stages):
		return Next{Renew: true, Known: true, Says: "tightened by angle, past the yield point: fit new ones"}
	case said == guide.Reusable:
		return Next{Known: true, Says: "reusable"}
	}
	return Next{Says: "nobody has written down whether they may be used again"}
}

// ForState returns, of the joints that a guide gives for the same fasteners,
// the one for a state of the threads. A torque is never carried over from one
// state to another: where the guide has none for the state asked, the result is
// nil and the sentence says why. An empty state takes the first joint.
func ForState(want guide.State, given []guide.Joint) (*guide.Joint, string) {
	if len(given) == 0 {
		return nil, "no torque is written down"
	}
	if want == "" {
		return &given[0], ""
	}
	for i := range given {
		if given[i].State == want {
			return &given[i], ""
		}
	}
	first := &given[0]
	if first.State == "" {
		return nil, fmt.Sprintf("the guide does not say for which threads its torque is; whether it holds %s nobody has written down", want)
	}
	return nil, fmt.Sprintf("the guide gives a torque for %s threads only; it says nothing about %s ones%s", first.State, want, unlike(first, want))
}

// unlike tells what one torque would do in two states of the threads.
func unlike(j *guide.Joint, want guide.State) string {
	t, err := ParseThread(j.Thread)
	a, b := FrictionOf(j.State), FrictionOf(want)
	if err != nil || a == b {
		return ", and a torque does not carry over"
	}
	share := func(f Friction) (least, most float64) { return 1 / arm(t, f.High), 1 / arm(t, f.Low) }
	low, high := share(a)
	low2, high2 := share(b)
	return fmt.Sprintf(", and a torque does not carry over: the same one would make %.2f to %.2f times the preload (friction %.2f to %.2f instead of %.2f to %.2f)",
		min(low2/low, high2/high), max(low2/low, high2/high), b.Low, b.High, a.Low, a.High)
}
