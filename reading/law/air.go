package law

import (
	"fmt"
	"math"

	"elbowroom/quantity"
)

// The standard atmosphere of ICAO (Doc 7488) and ISO 2533 below 11 km.
const (
	seaLevel   = 1013.25   // hPa
	seaKelvin  = 288.15    // K
	lapse      = 0.0065    // K/m
	gravity    = 9.80665   // m/s²
	gasOfAir   = 287.05287 // J/(kg·K)
	lowestAir  = -5000.0   // m, ISO 2533 addendum 2
	highestAir = 11000.0   // m, the lowest layer ends here
)

// Air returns the pressure of the standard atmosphere at an altitude. The
// error wraps ErrRange outside -5000..11000 m.
func Air(altitude quantity.Value) (quantity.Value, error) {
	h, err := altitude.In("m")
	if err != nil && altitude.Dimension() == quantity.Distance {
		h, err = quantity.Of(altitude.SI(), "m"), nil // kilometres are distances driven
	}
	if err != nil {
		return quantity.Value{}, err
	}
	if !(h.Number >= lowestAir && h.Number <= highestAir) {
		return quantity.Value{}, fmt.Errorf("%w: altitude %s; from %g to %g m", ErrRange, altitude, lowestAir, highestAir)
	}
	return quantity.Of(seaLevel*math.Pow(1-lapse*h.Number/seaKelvin, gravity/(gasOfAir*lapse)), "hPa"), nil
}

// Divider is a sensor of unknown resistance to ground below a pull-up
// resistor.
type Divider struct {
	PullUp quantity.Value
	Supply quantity.Value // zero stands for NominalSupply
}

// Volt returns the voltage at a sensor of that resistance. The error wraps
// quantity.ErrDimension, or ErrRange for a negative resistance.
func (d Divider) Volt(sensor quantity.Value) (quantity.Value, error) {
	r, err := sensor.In("Ω")
	if err != nil {
		return quantity.Value{}, err
	}
	up, err := d.PullUp.In("Ω")
	if err != nil {
		return quantity.Value{}, err
	}
	if r.Number < 0 || !(up.Number > 0) {
		return quantity.Value{}, fmt.Errorf("%w: %s below %s", ErrRange, sensor, d.PullUp)
	}
	return quantity.Of(volts(d.Supply)*r.Number/(r.Number+up.Number), "V"), nil
}

// Ohm returns the resistance of the sensor at that voltage. The error wraps
// quantity.ErrDimension, or ErrRange outside 0 to just under the supply: there
// the line is open or shorted.
func (d Divider) Ohm(signal quantity.Value) (quantity.Value, error) {
	v, err := signal.In("V")
	if err != nil {
		return quantity.Value{}, err
	}
	up, err := d.PullUp.In("Ω")
	if err != nil {
		return quantity.Value{}, err
	}
	s := volts(d.Supply)
	if !(v.Number >= 0 && v.Number < s) {
		return quantity.Value{}, fmt.Errorf("%w: %s at a supply of %g V: open or short circuit", ErrRange, signal, s)
	}
	return quantity.Of(up.Number*v.Number/(s-v.Number), "Ω"), nil
}

// Zone is what the share of the supply at a ratiometric sensor says of it.
type Zone string

// The zones, as makers of sensor interfaces publish them.
const (
	ZoneFault Zone = "open or short circuit" // below 4 % or above 96 %
	ZoneUnder Zone = "under range"           // 4..10 %
	ZoneIn    Zone = "in range"
	ZoneOver  Zone = "over range" // 90..96 %
)

// ZoneOf returns the zone of a signal at a supply.
func ZoneOf(signal, supply quantity.Value) Zone {
	share := signal.SI() / volts(supply)
	switch {
	case !(share >= 0.04 && share <= 0.96):
		return ZoneFault
	case share < 0.10-zoneSlack:
		return ZoneUnder
	case share > 0.90+zoneSlack:
		return ZoneOver
	}
	return ZoneIn
}

// zoneSlack keeps the ends of the range, 0.5 V and 4.5 V of 5 V, inside it
// whatever the last bit says.
const zoneSlack = 1e-12
