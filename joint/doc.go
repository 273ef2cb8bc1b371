// Package joint answers what a fastener can stand and how it is tightened: the
// geometry of its thread, the strength of its property class, the preload and
// the torque that go together, whether a torque that somebody wrote down can be
// right, which wrench to take and what to set on it, in which order to go round,
// and whether the fastener may be used again.
//
// # How to use it
//
// Of turns a joint of a guide into a Fastener; Plausible and Assess say what a
// torque does to it. Choose holds the wrenches that are owned against a torque,
// through an Adapter or without; a Choice without a Best says what would do.
// Lay turns a pattern and a count into places with their order. ForState and
// NextTime are the two rules that keep people from harm: a torque is never
// carried over from dry to oiled threads, and what an angle turned past its
// yield point is not used again. An angle is turned as it is written; no
// function here takes one to change it.
//
// Show prints a torque in any unit and never lets rounding carry it across a
// limit or a mark without the exact value beside it.
//
// # Units
//
// Lengths are millimetres, areas square millimetres, stresses megapascals
// (N/mm²), forces newtons, torques newton metres; each has a type of its own.
//
// # Where the rules come from
//
// Thread geometry is ISO 68-1 and ISO 724, coarse pitches ISO 262, strength
// ISO 898-1 for carbon and alloy steel and ISO 3506-1 for stainless steel,
// preload and torque VDI 2230 with a hexagon head (ISO 4014) on a medium
// clearance hole (ISO 273). The range of a wrench begins at its lowest marked
// value (ISO 6789-1:2017); its permissible deviation is that of ISO 6789:2003.
// The stress area of this package is computed, not looked up; loads worked out
// from it agree with the printed ones within one per cent, the rounding of the
// print.
//
// # What it promises
//
// Everything is a pure function of its arguments. Nothing here changes a value
// that somebody entered: Plausible returns a band and the rule that made it,
// and the reader decides. A torque inside the band is not thereby right.
//
// The package knows metric ISO threads only. It does not know tapered, pipe or
// trapezoidal threads, screws that cut their own thread, or plastic. It does not
// compute the preload that an angle makes: that takes the stiffness of all that
// is clamped, which no guide knows.
package joint

// Millimetres is a length.
type Millimetres float64

// SquareMillimetres is an area.
type SquareMillimetres float64

// Megapascals is a stress, N/mm².
type Megapascals float64

// Newtons is a force.
type Newtons float64

// NewtonMetres is a torque.
type NewtonMetres float64
