package estimate

import (
	"errors"
	"fmt"
	"math"
)

// Life is a Weibull law of life. Scale is the characteristic life: 63 % have
// failed by then. Shape is 1 where age does not matter, and the higher the
// closer together parts fail. The unit of Scale is the caller's.
type Life struct{ Scale, Shape float64 }

// ErrLife is wrapped by the errors about a life that cannot be one.
var ErrLife = errors.New("not a law of life")

// Limits of what is taken for a law of life.
const (
	leastShape = 0.2
	mostShape  = 50.0
)

// Valid returns an error that wraps ErrLife and says what is wrong.
func (l Life) Valid() error {
	switch {
	case !(l.Scale > 0) || math.IsInf(l.Scale, 0):
		return fmt.Errorf("%w: a life of %g; write one above nothing", ErrLife, l.Scale)
	case !(l.Shape >= leastShape && l.Shape <= mostShape):
		return fmt.Errorf("%w: a shape of %g; write one from %g to %g (1: age does not matter, 3: wears out)", ErrLife, l.Shape, leastShape, mostShape)
	}
	return nil
}

// earlyShare is the share that has failed by the early age of Entered.
const earlyShare = 0.1

// Entered returns the life of which a person says: half of them last longer
// than typical, one in ten is gone before early. The error wraps ErrLife.
func Entered(typical, early float64) (Life, error) {
	if !(early > 0 && early < typical) || math.IsInf(typical, 0) {
		return Life{}, fmt.Errorf("%w: one in ten gone before %g, half before %g: the first must be the smaller, both above nothing", ErrLife, early, typical)
	}
	shape := math.Log(math.Ln2/-math.Log(1-earlyShare)) / math.Log(typical/early)
	l := Life{typical / math.Pow(math.Ln2, 1/shape), shape}
	return l, l.Valid()
}

// Survival returns the probability to reach an age.
func (l Life) Survival(age float64) float64 {
	if age <= 0 {
		return 1
	}
	return math.Exp(-math.Pow(age/l.Scale, l.Shape))
}

// Failed returns the probability to fail before an age.
func (l Life) Failed(age float64) float64 {
	if age <= 0 {
		return 0
	}
	return -math.Expm1(-math.Pow(age/l.Scale, l.Shape))
}

// FailWithin returns the probability that a part of this age fails within a
// span from now.
func (l Life) FailWithin(age, span float64) float64 {
	if span <= 0 {
		return 0
	}
	age = max(0, age)
	return -math.Expm1(math.Pow(age/l.Scale, l.Shape) - math.Pow((age+span)/l.Scale, l.Shape))
}

// Hazard is how fast parts of this age fail, per unit of age.
func (l Life) Hazard(age float64) float64 {
	return l.Shape / l.Scale * math.Pow(max(0, age)/l.Scale, l.Shape-1)
}

// By returns the age by which a share has failed: By(0.5) is the typical life.
func (l Life) By(share float64) float64 {
	return l.Scale * math.Pow(-math.Log1p(-share), 1/l.Shape)
}

// Typical is the age that half of the parts outlast.
func (l Life) Typical() float64 { return l.By(0.5) }

// Mean is the average life.
func (l Life) Mean() float64 { return l.Scale * math.Gamma(1+1/l.Shape) }

// Deviation is the standard deviation of lives.
func (l Life) Deviation() float64 {
	m := math.Gamma(1 + 1/l.Shape)
	return l.Scale * math.Sqrt(math.Gamma(1+2/l.Shape)-m*m)
}

// grid is the number of steps in which a span is cut to count renewals.
const grid = 240

// Failures returns how often a part of this age is expected to fail within a
// span from now when each that fails is replaced by a new one.
func (l Life) Failures(age, span float64) float64 {
	if span <= 0 {
		return 0
	}
	m := l.renewals(span)
	sum, h := 0.0, span/grid
	before := 0.0
	for i := 1; i <= grid; i++ {
		f := l.FailWithin(age, float64(i)*h)
		// The first failure falls into step i; from its middle on, new parts fail.
		rest := (m[grid-i] + m[grid-i+1]) / 2
		sum += (f - before) * (1 + rest)
		before = f
	}
	return sum
}

// renewals returns the renewal function of new parts at the ends of the steps
// of a span (Xie's method of midpoint Riemann-Stieltjes sums, IEEE Trans. Reliability 38, 1989).
func (l Life) renewals(span float64) []float64 {
	h := span / grid
	half := make([]float64, grid+1) // F at the middle before step i
	for i := 1; i <= grid; i++ {
		half[i] = l.Failed((float64(i) - 0.5) * h)
	}
	m := make([]float64, grid+1)
	for i := 1; i <= grid; i++ {
		s := l.Failed(float64(i) * h)
		for k := 1; k < i; k++ {
			s += (m[k] - m[k-1]) * half[i-k+1]
		}
		m[i] = max(m[i-1], (s-m[i-1]*half[1])/(1-half[1]))
	}
	return m
}

// Block is the cost rate of replacing every span, whatever the age, and at
// each failure as well.
func (l Life) Block(span, planned, failed float64) float64 {
	return (planned + failed*l.Failures(0, span)) / span
}
