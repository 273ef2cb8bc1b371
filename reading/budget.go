package reading

import (
	"fmt"
	"math"

	"elbowroom/quantity"
)

// normalHalf is how many standard uncertainties half a 95 % interval is when
// nothing else is said (GUM 6.3.3: k = 2).
const normalHalf = 2

// component makes a component from a half width in its own unit; sensitivity is
// the change of the judged quantity for one unit of it.
func component(name string, shape Shape, half float64, own string, sensitivity float64) Component {
	u := math.Abs(half)
	switch shape {
	case Rectangular:
		u /= math.Sqrt(3)
	case Triangular:
		u /= math.Sqrt(6)
	case Normal95:
		u /= normalHalf
	}
	return Component{Name: name, Shape: shape, Half: math.Abs(half), Own: own, U: u, Sensitivity: sensitivity, Share: math.Abs(sensitivity) * u}
}

// Combine makes a budget of components: root of the sum of squares (GUM 5.1.2,
// inputs that do not depend on one another), degrees of freedom by
// Welch–Satterthwaite (GUM G.4.1), cut to a whole number for the factor.
func Combine(unit string, components []Component) Budget {
	b := Budget{Unit: unit, Components: components}
	var squares, fourths float64
	for _, c := range components {
		squares += c.Share * c.Share
		if c.Freedom > 0 {
			fourths += c.Share * c.Share * c.Share * c.Share / c.Freedom
		}
	}
	b.Standard = math.Sqrt(squares)
	if fourths > 0 && squares > 0 {
		b.Freedom = squares * squares / fourths
	}
	b.Factor = Coverage(coverage, wholeFreedom(b.Freedom))
	b.Expanded = b.Factor * b.Standard
	return b
}

// coverage is the share that an expanded uncertainty covers.
const coverage = 0.95

// wholeFreedom cuts degrees of freedom to a whole number of at least 1; 0
// stays without limit.
func wholeFreedom(f float64) float64 {
	if f <= 0 || math.IsInf(f, 0) {
		return 0
	}
	return math.Max(1, math.Floor(f))
}

// String prints the budget in one line, for an explanation.
func (b Budget) String() string {
	s := ""
	for i, c := range b.Components {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprintf("%s %s", c.Name, show(quantity.Value{Number: c.Share, Unit: b.Unit}))
	}
	return fmt.Sprintf("u = %s (%s)", show(quantity.Value{Number: b.Standard, Unit: b.Unit}), s)
}
