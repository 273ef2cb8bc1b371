package reading

import (
	"math"
	"strconv"

	"elbowroom/quantity"
)

// figures is how many figures a value has in a sentence.
const figures = 4

// show prints a value with a few figures.
func show(v quantity.Value) string {
	v.Number = rounded(v.Number, figures)
	return v.String()
}

// rounded keeps so many significant figures; whole numbers stay whole.
func rounded(x float64, figures int) float64 {
	if x == 0 || math.IsInf(x, 0) || math.IsNaN(x) {
		return x
	}
	digits := max(figures, 1+int(math.Floor(math.Log10(math.Abs(x)))))
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', digits, 64), 64)
	if err != nil {
		return x
	}
	return r
}

// tidyFigures is how many figures of a computed number are kept as data: more
// are rounding of the computer.
const tidyFigures = 9

// tidy removes the noise of the last bits.
func tidy(v quantity.Value) quantity.Value {
	v.Number = rounded(v.Number, tidyFigures)
	return v
}

// scale returns how many SI units a difference of one unit is.
func scale(unit string) float64 {
	one, zero := quantity.Value{Number: 1, Unit: unit}, quantity.Value{Unit: unit}
	return one.SI() - zero.SI()
}

// difference returns a difference in SI as a value of the unit; differences of
// temperature are in K.
func difference(si float64, unit string) quantity.Value {
	if (quantity.Value{Unit: unit}).Dimension() == quantity.Temperature {
		unit = "K"
	}
	return tidy(quantity.Value{Number: si / scale(unit), Unit: unit})
}

// inUnit returns an SI value in the unit, temperatures with their zero.
func inUnit(si float64, unit string) quantity.Value {
	zero := quantity.Value{Unit: unit}
	return tidy(quantity.Value{Number: (si - zero.SI()) / scale(unit), Unit: unit})
}
