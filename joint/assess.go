package joint

import (
	"fmt"
	"math"

	"elbowroom/guide"
)

// Place says where a torque lies in its band.
type Place string

// The places.
const (
	Within    Place = "within"
	TooHigh   Place = "above" // the fastener would yield at any friction of the range
	TooLow    Place = "below" // it would be left nearly idle
	NoVerdict Place = "not known"
)

// Assessment is what a torque does to a fastener. It never changes the torque.
type Assessment struct {
	Torque   NewtonMetres
	Band     Band // empty where neither standard covers the material
	Place    Place
	Friction Friction
	Preload  [2]Newtons // at the highest and at the lowest friction of the range
	Use      [2]float64 // the same as shares of the yield point; 0 where the strength is not known
	Proof    float64    // the higher preload as a share of the proof load; 0 where the standard gives none
	Assumed  bool       // the class was not given and 8.8 was taken
	Angled   bool       // an angle follows, which makes the preload; Preload is that of the snug torque alone
	Nominal  Newtons    // at the mean friction of the range
	Scatter  Scatter
	Spread   [2]Newtons // of Nominal with the scatter and the wrench; that of the snug torque when Angled
	Material string     // mating material that Needed is for; empty where none applies
	Needed   Millimetres
}

// Assess works out what a torque does to a fastener whose threads are in a
// state, held by something into a mating material ("" when not known). The
// deviation is that of the wrench, a share.
func Assess(f Fastener, torque NewtonMetres, state guide.State, angled bool, into string, deviation float64) Assessment {
	t := f.Thread
	a := Assessment{
		Torque: torque, Place: NoVerdict, Friction: f.Friction, Angled: angled, Scatter: ScatterOf(state, angled),
		Preload: [2]Newtons{PreloadAt(t, torque, f.Friction.High), PreloadAt(t, torque, f.Friction.Low)},
		Nominal: PreloadAt(t, torque, (f.Friction.Low+f.Friction.High)/2),
	}
	a.Spread[0], a.Spread[1] = a.Scatter.Spread(a.Nominal, deviation)
	if e, ok := IntoMaterial(into); ok {
		if n := e.Needed(t, torque, f.Friction); n > 0 {
			a.Material, a.Needed = e.Material, n
		}
	}
	a.strength(f)
	return a
}

func (a *Assessment) strength(f Fastener) {
	class := f.Class
	if class == "" {
		class, a.Assumed = assumedClass, true
	}
	s, ok := StrengthOf(class, f.Thread.Diameter)
	if !ok {
		a.Assumed = false
		return
	}
	a.Use[0] = float64(a.Preload[0]) / float64(Preload(f.Thread, s, f.Friction.High, 1))
	a.Use[1] = float64(a.Preload[1]) / float64(Preload(f.Thread, s, f.Friction.Low, 1))
	if proof := s.ProofLoad(f.Thread); proof > 0 {
		a.Proof = float64(a.Preload[1]) / float64(proof)
	}
	b, ok := Plausible(f)
	if !ok {
		return
	}
	a.Band = b
	switch {
	case a.Torque > b.High:
		a.Place = TooHigh
	case a.Torque < b.Low && !a.Angled:
		a.Place = TooLow
	default:
		a.Place = Within
	}
}

// Finding says in a sentence what is wrong with the torque; "" when nothing
// is. The torque is printed in the unit it was written in, with the end of the
// band beside it.
func (a Assessment) Finding(unit string) string {
	switch a.Place {
	case TooHigh:
		return fmt.Sprintf("%s is above the %s that this fastener can stand (%s)", Show(a.Torque, unit, a.Band.High), Show(a.Band.High, unit, a.Torque), a.Band.Rule)
	case TooLow:
		return fmt.Sprintf("%s is below %s and would leave this fastener nearly idle (%s)", Show(a.Torque, unit, a.Band.Low), Show(a.Band.Low, unit, a.Torque), a.Band.Rule)
	}
	return ""
}

// Short says in a sentence that the screw is too short for the torque in its
// mating material, given its length or its engagement; "" when it is not, or
// nothing is known.
func (a Assessment) Short(engaged Millimetres) string {
	if a.Needed <= 0 || engaged <= 0 || engaged >= a.Needed {
		return ""
	}
	return fmt.Sprintf("%.1f mm of thread are needed in %s and there are %g mm at most: the thread may strip before the screw is tight",
		math.Ceil(float64(a.Needed)*10)/10, a.Material, float64(engaged)) // up: rounding must not make it look enough
}
