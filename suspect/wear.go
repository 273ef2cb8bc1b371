package suspect

import (
	"fmt"
	"math"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Bounds of the factor by which age moves the weight of a fault. A fitted law
// of life says little about machines far outside the ages it was fitted to.
const (
	leastAgeFactor = 0.1
	mostAgeFactor  = 10
)

// Survival returns the probability that an item lives to the age, by its law
// of life (Weibull: exp(-(age/life)^shape)). The error wraps
// quantity.ErrDimension when age and life measure different things, and tells
// of a law without a positive life and shape and of a negative age.
func Survival(w guide.Wear, age quantity.Value) (float64, error) {
	x, err := lives(w, age)
	if err != nil {
		return 0, err
	}
	return math.Exp(-math.Pow(x, w.Shape)), nil
}

// AgeFactor returns the hazard at the age over the mean hazard of one
// characteristic life, shape × (age/life)^(shape-1), kept between 0.1 and 10.
// It is 1 at every age for a fault that does not age (shape 1). Errors are
// those of Survival.
func AgeFactor(w guide.Wear, age quantity.Value) (float64, error) {
	x, err := lives(w, age)
	if err != nil {
		return 0, err
	}
	f := w.Shape * math.Pow(x, w.Shape-1)
	return min(max(f, leastAgeFactor), mostAgeFactor), nil
}

// lives returns the age in characteristic lives.
func lives(w guide.Wear, age quantity.Value) (float64, error) {
	if _, err := age.Compare(w.Life); err != nil {
		return 0, fmt.Errorf("age %s against a life of %s: %w", age, w.Life, err)
	}
	life, t := w.Life.SI(), age.SI()
	if !(life > 0) || !(w.Shape > 0) || math.IsInf(w.Shape, 0) {
		return 0, fmt.Errorf("a law of life needs a positive life and shape, not %s and %g", w.Life, w.Shape)
	}
	if !(t >= 0) {
		return 0, fmt.Errorf("an age of %s is negative", age)
	}
	return t / life, nil
}

// ageFactor returns the factor by the first age that measures what the law
// measures, and whether there was one.
func ageFactor(w guide.Wear, ages []quantity.Value) (float64, bool) {
	for _, age := range ages {
		if f, err := AgeFactor(w, age); err == nil {
			return f, true
		}
	}
	return 1, false
}
