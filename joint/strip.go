package joint

import (
	"math"
	"strings"
)

// Flanks is where the two threads of a joint touch, with the worst of their
// tolerances.
type Flanks struct {
	Pitch Millimetres
	Outer Millimetres // Ds: least outer diameter of the screw
	Inner Millimetres // En: greatest pitch diameter of the nut thread
}

// rise is tan 30°, the slope of the flanks (ISO 68-1), to the figures that the
// handbooks print.
const rise = 0.57735

// area returns the sheared area of the nut thread for each millimetre of
// engagement, at the outer diameter of the screw.
func (f Flanks) area() float64 {
	return math.Pi / float64(f.Pitch) * float64(f.Outer) * float64(f.Pitch/2+rise*(f.Outer-f.Inner))
}

// StripLength returns the engagement at which a force just strips the nut
// thread: F / (τ·π/P·Ds·(P/2 + 0.57735·(Ds − En))), with τ the shear strength
// of its material (J. H. Bickford, Introduction to the Design and Behavior of
// Bolted Joints).
func StripLength(force Newtons, shear Megapascals, f Flanks) Millimetres {
	return Millimetres(float64(force) / (float64(shear) * f.area()))
}

// StripForce returns the force that strips so much engagement: the inverse of
// StripLength.
func StripForce(engaged Millimetres, shear Megapascals, f Flanks) Newtons {
	return Newtons(float64(engaged) * float64(shear) * f.area())
}

// IntoMaterial returns the row of Engagements that stands for a mating
// material as a guide writes it; false for one that was not tried. Of several
// rows it is the softest. A steel insert or a clip nut in something soft is
// none of them.
func IntoMaterial(into string) (Engagement, bool) {
	into = strings.ToLower(into)
	switch {
	case strings.Contains(into, "insert"), strings.Contains(into, "clip"):
		return Engagement{}, false
	case strings.Contains(into, "alumin"):
		return aluminium, true
	case strings.Contains(into, "iron"):
		return Engagements[3], true
	case into == "steel":
		return Engagements[0], true
	}
	return Engagement{}, false
}

// Of returns the engagement as a multiple of the diameter for a thread; 0
// where the source gives none.
func (e Engagement) Of(t Thread) float64 {
	if t.Coarse() {
		return e.Coarse
	}
	return e.Fine
}

// Needed returns the length of engagement that a torque asks for at the lowest
// friction of the range: the tabulated length at the breaking load of class
// 8.8, scaled to the preload. 0 where the source gives no length for the
// thread.
func (e Engagement) Needed(t Thread, torque NewtonMetres, f Friction) Millimetres {
	s, _ := StrengthOf(assumedClass, t.Diameter)
	share := float64(PreloadAt(t, torque, f.Low)) / float64(s.UltimateLoad(t))
	return Millimetres(e.Of(t)*share) * t.Diameter
}
