package joint

import (
	"errors"
	"fmt"
	"math"
)

// ErrAdapter is wrapped by every error about an adapter.
var ErrAdapter = errors.New("this adapter cannot be reckoned with")

// Adapter is what stands between a torque wrench and the fastener and moves
// the one away from the other: a crowfoot, an offset ring. The zero Adapter is
// none. An extension along the axis of the fastener is none either.
type Adapter struct {
	Arm   Millimetres // L: from the mark on the handle to the square drive
	Reach Millimetres // E: from the square drive to the fastener
	Bend  float64     // θ in degrees: 0 straight ahead, 90 square to the wrench, 180 back along the handle
}

// leastLever is the share of the arm that must be left between hand and
// fastener: below it a millimetre decides the torque.
const leastLever = 0.25

// Check returns an error that wraps ErrAdapter and says which length or angle
// is wrong.
func (a Adapter) Check() error {
	finite := func(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
	switch {
	case !finite(float64(a.Arm)) || !finite(float64(a.Reach)) || !finite(a.Bend):
		return fmt.Errorf("%w: lengths and angle must be numbers", ErrAdapter)
	case a.Reach < 0:
		return fmt.Errorf("%w: the reach of the adapter is %g mm; it is the distance from the square drive to the fastener, and an adapter that points back has an angle of 180°", ErrAdapter, a.Reach)
	case a.Bend < -180 || a.Bend > 180:
		return fmt.Errorf("%w: %g° is no angle between straight ahead (0°) and straight back (180°)", ErrAdapter, a.Bend)
	case a.NeedsArm() && a.Arm <= 0:
		return fmt.Errorf("%w: the length of the wrench from the mark on its handle to the square drive is not known; measure it", ErrAdapter)
	case a.NeedsArm() && a.Lever() < leastLever*a.Arm:
		return fmt.Errorf("%w: it brings the fastener within %g mm of the hand, a lever too short for a torque that can be relied on", ErrAdapter, round(float64(a.Lever()), usualFigures))
	}
	return nil
}

// cosine of an angle in degrees, exact at a right angle.
func cosine(degrees float64) float64 {
	if math.Abs(degrees) == 90 {
		return 0
	}
	return math.Cos(degrees * math.Pi / 180)
}

// NeedsArm reports whether the length of the wrench matters: not without an
// adapter, and not at a right angle.
func (a Adapter) NeedsArm() bool { return a.Reach != 0 && cosine(a.Bend) != 0 }

// Lever returns L + E·cos θ, the distance from hand to fastener along the
// wrench.
func (a Adapter) Lever() Millimetres {
	return a.Arm + a.Reach*Millimetres(cosine(a.Bend))
}

// Factor returns L/(L + E·cos θ), what the torque at the fastener is
// multiplied by to give the setting: 1 without an adapter and at a right
// angle. The hand is taken to pull at the mark, square to the handle; a
// flexible head or a second hand breaks the rule. Call Check first.
func (a Adapter) Factor() float64 {
	if !a.NeedsArm() {
		return 1
	}
	return float64(a.Arm) / float64(a.Lever())
}

// Setting returns what to set on the wrench so that the fastener gets want.
func (a Adapter) Setting(want NewtonMetres) NewtonMetres {
	return want * NewtonMetres(a.Factor())
}

// Gives returns what the fastener gets at a setting.
func (a Adapter) Gives(setting NewtonMetres) NewtonMetres {
	return setting / NewtonMetres(a.Factor())
}

// PerMillimetre returns the share by which the torque at the fastener changes
// with each millimetre of the reach, so that it shows how well it must be
// measured.
func (a Adapter) PerMillimetre() float64 {
	if !a.NeedsArm() {
		return 0
	}
	return math.Abs(cosine(a.Bend)) / float64(a.Lever())
}
