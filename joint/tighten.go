package joint

import "math"

// Utilisation is the share of the yield point that tightening may use.
const Utilisation = 0.9 // ν of VDI 2230, the value behind its tables

// Preload returns the force at which thread and shank together reach the share
// of the yield point (VDI 2230, assembly preload): tension and the torsion
// that thread friction leaves in the shank.
func Preload(t Thread, s Strength, friction, share float64) Newtons {
	d2, d0 := float64(t.PitchDiameter()), float64(t.stressDiameter())
	twist := 1.5 * (d2 / d0) * (float64(t.Pitch)/(math.Pi*d2) + 1.155*friction)
	return Newtons(float64(t.StressArea()) * share * float64(s.Yield) / math.Sqrt(1+3*twist*twist))
}

// arm returns torque over preload in mm: pitch, thread friction and head
// friction (VDI 2230, tightening torque).
func arm(t Thread, friction float64) float64 {
	return 0.16*float64(t.Pitch) + friction*(0.58*float64(t.PitchDiameter())+float64(t.BearingDiameter())/2)
}

// Torque returns the torque that makes the preload at the given coefficient of
// friction in thread and under the head (VDI 2230).
func Torque(t Thread, preload Newtons, friction float64) NewtonMetres {
	return NewtonMetres(float64(preload) * arm(t, friction) / 1000)
}

// PreloadAt returns the preload that a torque makes: the inverse of Torque.
func PreloadAt(t Thread, torque NewtonMetres, friction float64) Newtons {
	return Newtons(float64(torque) * 1000 / arm(t, friction))
}

// ShortForm returns T = K·F·d, with K one of NutFactors or a measured one.
func ShortForm(k float64, preload Newtons, d Millimetres) NewtonMetres {
	return NewtonMetres(k * float64(preload) * float64(d) / 1000)
}

// NutFactor is the K of the short form for one condition of the threads.
type NutFactor struct {
	Condition string
	K         float64
}

// NutFactors are those of Shigley's table of torque factors.
var NutFactors = []NutFactor{
	{"non-plated black", 0.30},
	{"zinc plated", 0.20},
	{"lubricated", 0.18},
	{"cadmium plated", 0.16},
	{"anti-seize", 0.12},
	{"locknut grip type", 0.09},
	{"unknown", 0.20},
}
