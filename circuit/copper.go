package circuit

import (
	"fmt"
	"math"

	"elbowroom/quantity"
	"elbowroom/reading/law"
)

// Basis is how the resistance of a wire is reckoned from its section.
type Basis uint8

// The bases. ClassFive is the greatest resistance that IEC 60228 permits a
// flexible conductor of that nominal section; for a section that the standard
// does not list it falls back on the metal. Metal is ρ·l/A of copper.
const (
	ClassFive Basis = iota
	Metal
)

// Copper says how wires are reckoned. The zero Copper is ClassFive at 20 °C.
type Copper struct {
	Basis Basis
	At    quantity.Value // temperature; not given is 20 °C
}

// Resistance returns the resistance of a length of copper of a section, and in
// words how it was reckoned. The error wraps ErrGraph: a dimension that does
// not fit, a section not above zero, a length below zero, a temperature outside
// coldest to hottest.
func (c Copper) Resistance(length, section quantity.Value) (Ohms, string, error) {
	if length.Dimension() != quantity.Length || section.Dimension() != quantity.Area || !(length.SI() >= 0) || !(section.SI() > 0) {
		return 0, "", fmt.Errorf("%w: length %q and section %q make no wire; like 2.6 m of 0.5 mm²", ErrGraph, length, section)
	}
	celsius, err := c.celsius()
	if err != nil {
		return 0, "", err
	}
	perMetre, how := law.CopperRho/(section.SI()*1e6), "ρ·l/A of copper"
	if most, err := law.Class5(section); err == nil && c.Basis == ClassFive {
		perMetre, how = most.SI()/1000, "the most that IEC 60228 class 5 permits"
	}
	ohm := Ohms(perMetre * length.SI() * (1 + law.CopperAlpha*(celsius-20)))
	if !isOhms(ohm) {
		return 0, "", fmt.Errorf("%w: %s of %s has no resistance that can be reckoned with", ErrGraph, length, section)
	}
	return ohm, fmt.Sprintf("%s of %s at %.4g °C: %s, by %s", length, section, celsius, ohm, how), nil
}

// Between these temperatures in °C a wire is reckoned; outside no insulation
// of a vehicle lasts.
const (
	coldest = -80
	hottest = 300
)

func (c Copper) celsius() (float64, error) {
	if c.At.Zero() {
		return 20, nil
	}
	v, err := c.At.In("°C")
	if err != nil {
		return 0, fmt.Errorf("%w: temperature of the wires: %w", ErrGraph, err)
	}
	if v.Number < coldest || v.Number > hottest || math.IsNaN(v.Number) {
		return 0, fmt.Errorf("%w: wires at %s; they are reckoned between %d and %d °C", ErrGraph, c.At, coldest, hottest)
	}
	return v.Number, nil
}

// ohm returns the resistance of a wire of the graph; without length or section
// nothing is known and it counts as none.
func (c Copper) ohm(w *Wire) (ohm Ohms, known bool) {
	if w.Length.Zero() || w.Section.Zero() {
		return 0, false
	}
	ohm, _, err := c.Resistance(w.Length, w.Section)
	return ohm, err == nil
}
