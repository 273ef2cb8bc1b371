package law

import (
	"fmt"
	"math"

	"elbowroom/quantity"
)

// Type K, reference function of ITS-90 (NIST Monograph 175): millivolts from
// degrees Celsius with the reference junction at 0 °C.
var (
	typeKBelow = [...]float64{ // -270..0 °C
		0, 0.394501280250e-1, 0.236223735980e-4, -0.328589067840e-6, -0.499048287770e-8, -0.675090591730e-10,
		-0.574103274280e-12, -0.310888728940e-14, -0.104516093650e-16, -0.198892668780e-19, -0.163226974860e-22,
	}
	typeKAbove = [...]float64{ // 0..1372 °C
		-0.176004136860e-1, 0.389212049750e-1, 0.185587700320e-4, -0.994575928740e-7, 0.318409457190e-9,
		-0.560728448890e-12, 0.560750590590e-15, -0.320207200030e-18, 0.971511471520e-22, -0.121047212750e-25,
	}
	typeKBell = [...]float64{0.118597600000, -0.118343200000e-3, 0.126968600000e3}
)

const (
	// typeKLowest is where the reference function can still be inverted with
	// sense: below it the voltage hardly changes.
	typeKLowest  = -200.0 // °C
	typeKHighest = 1372.0 // °C
)

func polynomial(c []float64, x float64) (y float64) {
	for i := len(c) - 1; i >= 0; i-- {
		y = y*x + c[i]
	}
	return y
}

func typeKMillivolt(t float64) float64 {
	if t < 0 {
		return polynomial(typeKBelow[:], t)
	}
	d := t - typeKBell[2]
	return polynomial(typeKAbove[:], t) + typeKBell[0]*math.Exp(typeKBell[1]*d*d)
}

// typeK: the thermocouple's voltage, reference junction at 0 °C.
func (c *Curve) typeK(*given) error {
	one, err := quantity.Of(1, "mV").In(c.of)
	if err != nil {
		return fmt.Errorf("a thermocouple gives a voltage, not %s", c.of)
	}
	return c.thermal(typeKLowest, typeKHighest, func(t float64) float64 { return one.Number * typeKMillivolt(t) }, nil)
}
