package law

import (
	"fmt"
	"math"
	"slices"

	"elbowroom/quantity"
)

// Numbers of copper, with where they come from.
const (
	CopperAlpha = 0.00393  // per kelvin at 20 °C, annealed copper (IEC 60028)
	CopperRho   = 0.017241 // Ω·mm²/m at 20 °C (IEC 60028)
	// CableAlpha is the rounder number behind the temperature factors that
	// IEC 60228 prints for conductors.
	CableAlpha = 0.004
)

// class5 is IEC 60228, class 5, plain copper: greatest resistance at 20 °C in
// Ω/km by section in mm².
var class5 = [...][2]float64{
	{0.5, 39.0},
	{0.75, 26.0},
	{1, 19.5},
	{1.5, 13.3},
	{2.5, 7.98},
	{4, 4.95},
	{6, 3.30},
	{10, 1.91},
	{16, 1.21},
	{25, 0.780},
	{35, 0.554},
	{50, 0.386},
}

// CopperAt returns the resistance at a temperature of what has r20 at 20 °C.
// The error wraps quantity.ErrDimension for a unit of another kind.
func CopperAt(r20, temperature quantity.Value) (quantity.Value, error) {
	f, err := copperFactor(temperature, CopperAlpha)
	return quantity.Value{Number: r20.Number * f, Unit: r20.Unit}, err
}

// CopperTo20 returns the resistance at 20 °C of what has r at a temperature.
// The error is that of CopperAt, or wraps ErrRange below the temperature at
// which the straight line meets zero.
func CopperTo20(r, temperature quantity.Value) (quantity.Value, error) {
	f, err := copperFactor(temperature, CopperAlpha)
	if err == nil && f <= 0 {
		err = fmt.Errorf("%w: copper at %s", ErrRange, temperature)
	}
	return quantity.Value{Number: r.Number / f, Unit: r.Unit}, err
}

// CableFactor returns by what a conductor's resistance is multiplied to have
// it at 20 °C, as the table of IEC 60228 does.
func CableFactor(temperature quantity.Value) (float64, error) {
	f, err := copperFactor(temperature, CableAlpha)
	return 1 / f, err
}

func copperFactor(temperature quantity.Value, alpha float64) (float64, error) {
	t, err := temperature.In("°C")
	return 1 + alpha*(t.Number-20), err
}

// Class5 returns the greatest resistance of one kilometre of flexible copper
// conductor at 20 °C (IEC 60228, class 5, plain). The error wraps ErrRange for
// a section that the standard does not list and names the neighbours.
func Class5(section quantity.Value) (perKilometre quantity.Value, err error) {
	s, err := section.In("mm²")
	if err != nil {
		return quantity.Value{}, err
	}
	i := slices.IndexFunc(class5[:], func(row [2]float64) bool { return row[0] >= s.Number*(1-sectionSlack) })
	if i >= 0 && class5[i][0] <= s.Number*(1+sectionSlack) {
		return quantity.Of(class5[i][1], "Ω"), nil
	}
	return quantity.Value{}, fmt.Errorf("%w: %s is no section of IEC 60228 class 5; it lists 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35 and 50 mm²", ErrRange, s)
}

// sectionSlack is how far a section may be off a listed one: the rounding of
// a conversion.
const sectionSlack = 1e-9

// Wire returns the least and the greatest resistance of a copper wire at a
// temperature: that of solid copper of the section, and that which IEC 60228
// class 5 permits. For a section that the standard does not list the greatest
// is the least times the largest excess of the list. Errors wrap ErrRange for a
// section or length that is not above zero.
func Wire(section, length, temperature quantity.Value) (least, greatest quantity.Value, err error) {
	s, err := section.In("mm²")
	if err != nil {
		return least, greatest, err
	}
	l, err := length.In("m")
	if err != nil {
		return least, greatest, err
	}
	f, err := copperFactor(temperature, CopperAlpha)
	if err != nil {
		return least, greatest, err
	}
	if !(s.Number > 0) || l.Number < 0 || !(f > 0) {
		return least, greatest, fmt.Errorf("%w: a wire of %s and %s at %s", ErrRange, section, length, temperature)
	}
	ideal := CopperRho / s.Number * l.Number
	most := ideal * largestExcess()
	if per, err := Class5(section); err == nil {
		most = per.Number / 1000 * l.Number
	}
	return quantity.Of(ideal*f, "Ω"), quantity.Of(math.Max(ideal, most)*f, "Ω"), nil
}

// largestExcess is the greatest ratio of the list to solid copper.
func largestExcess() float64 {
	most := 1.0
	for _, row := range class5 {
		most = math.Max(most, row[1]/1000/(CopperRho/row[0]))
	}
	return most
}

// GaugeSection returns the section of a wire of the American wire gauge
// (ASTM B258): diameter 0.127 mm × 92^((36-n)/39). 0 is 1/0, -1 is 2/0, down
// to -3 for 4/0. The error wraps ErrRange outside -3..40.
func GaugeSection(n int) (quantity.Value, error) {
	if n < -3 || n > 40 {
		return quantity.Value{}, fmt.Errorf("%w: gauge %d; from -3 (4/0) to 40", ErrRange, n)
	}
	d := 0.127 * math.Pow(92, float64(36-n)/39)
	return quantity.Of(math.Pi/4*d*d, "mm²"), nil
}
