// Package law answers how one quantity follows from another: the curves of a
// guide (NTC, platinum, linear, ratiometric, copper, table, thermocouple),
// forward, backward and with their slope; resistance of wires; pressure of the
// air at an altitude.
//
// # Units
//
// A Curve takes and returns quantity.Value in the units that the guide's law
// names ("resistance Ω" from "temperature °C"). The plain functions of this
// package say their units in their names and comments.
//
// # What it promises
//
// A value outside the range of a law is an error that wraps ErrRange and says
// by how much, never an extrapolation. Inverse returns what At would have been
// given, within the tolerance named there. Everything is a pure function.
//
// Sources stand at each formula.
package law
