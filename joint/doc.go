// Package joint answers what a fastener can stand: the geometry of its thread,
// the strength of its property class, the preload and the torque that go
// together, and whether a torque that somebody wrote down can be right.
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
// clearance hole (ISO 273). The stress area of this package is computed, not
// looked up; loads worked out from it agree with the printed ones within
// one per cent, the rounding of the print.
//
// # What it promises
//
// Everything is a pure function of its arguments. Nothing here changes a value
// that somebody entered: Plausible returns a band and the rule that made it,
// and the reader decides. A torque inside the band is not thereby right.
//
// The package knows metric ISO threads only. It does not know tapered, pipe or
// trapezoidal threads, screws that cut their own thread, or plastic.
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
