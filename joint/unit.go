package joint

import (
	"fmt"
	"math"
	"strconv"

	"elbowroom/quantity"
)

// Units are the units of torque that wrenches and guides are marked in, as
// package quantity names them. Its factors are exact (NIST SP 811, B.8).
var Units = []string{"N·m", "lbf·ft", "lbf·in", "kgf·m"}

// newtonMetre is the unit behind NewtonMetres.
const newtonMetre = "N·m"

// noise is the relative error that arithmetic may leave in a converted value:
// two torques that differ by less are the same.
const noise = 1e-9

// TorqueIn returns a value as a torque. The error wraps quantity.ErrDimension
// when it is not one, quantity.ErrForm when it is not finite.
func TorqueIn(v quantity.Value) (NewtonMetres, error) {
	n, err := v.In(newtonMetre)
	if err != nil {
		return 0, err
	}
	if math.IsNaN(n.Number) || math.IsInf(n.Number, 0) {
		return 0, fmt.Errorf("%w: %s is no torque", quantity.ErrForm, v)
	}
	return NewtonMetres(n.Number), nil
}

// In returns the torque in a unit. It panics on a unit that is none of torque,
// which is a mistake in the program: TorqueIn reads what people write.
func (t NewtonMetres) In(unit string) quantity.Value {
	v, err := quantity.Of(float64(t), newtonMetre).In(unit)
	if err != nil {
		panic("joint: " + err.Error())
	}
	return v
}

// Figure is a torque as it is printed: rounded, and exact beside it where the
// rounded one would lie on the other side of a bound.
type Figure struct {
	Text  string // "14.8 lbf·ft"
	Exact string // "14.751 lbf·ft"; empty unless rounding crosses a bound
}

// String prints "14.8 lbf·ft", or "14.8 lbf·ft (exactly 14.751 lbf·ft)".
func (f Figure) String() string {
	if f.Exact == "" {
		return f.Text
	}
	return f.Text + " (exactly " + f.Exact + ")"
}

// Figures that a torque is printed to, and up to which more of them are tried
// before a bound counts as met exactly.
const (
	usualFigures = 3
	mostFigures  = 12
)

// Show prints a torque to three figures in a unit. The bounds are values that
// the reader compares it with: limits of a band, ends of a scale, marks. Where
// rounding would carry it across one, or onto one that it does not meet, the
// exact value stands beside it with as many figures as it takes to see that.
// It panics on a unit that is none of torque.
func Show(t NewtonMetres, unit string, bounds ...NewtonMetres) Figure {
	v := t.In(unit)
	f := Figure{Text: printed(v, usualFigures)}
	if crosses(v, usualFigures, bounds) {
		n := usualFigures + 1
		for n < mostFigures && crosses(v, n, bounds) {
			n++
		}
		f.Exact = printed(v, n)
	}
	return f
}

// crosses reports whether v rounded to so many figures lies on another side of
// a bound than v itself.
func crosses(v quantity.Value, figures int, bounds []NewtonMetres) bool {
	rounded := round(v.Number, figures)
	for _, b := range bounds {
		at := b.In(v.Unit).Number
		if side(v.Number, at) != side(rounded, at) {
			return true
		}
	}
	return false
}

// side is -1, 0 or +1 for a below, on or above the bound.
func side(a, bound float64) int {
	switch {
	case math.Abs(a-bound) <= noise*math.Abs(bound):
		return 0
	case a < bound:
		return -1
	}
	return 1
}

func printed(v quantity.Value, figures int) string {
	return quantity.Value{Number: round(v.Number, figures), Unit: v.Unit}.String()
}

// round keeps so many significant figures.
func round(x float64, figures int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', figures, 64), 64)
	if err != nil {
		return x // not a finite number
	}
	return r
}
