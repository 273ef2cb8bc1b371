package law

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

var (
	// ErrRange is wrapped when a value lies outside the range of a law.
	ErrRange = errors.New("outside the range of the law")
	// ErrLaw is wrapped when a law of a guide cannot be used as written.
	ErrLaw = errors.New("law cannot be used")
)

// RangeError says by how much a value lies outside the range of a law.
type RangeError struct {
	Law             string
	Value           quantity.Value
	Lowest, Highest quantity.Value // in the unit of Value
}

// Error implements error.
func (e *RangeError) Error() string {
	by, side := e.Lowest.Number-e.Value.Number, "below"
	if e.Value.Number > e.Highest.Number {
		by, side = e.Value.Number-e.Highest.Number, "above"
	}
	span := fmt.Sprintf("%s to %s", round(e.Lowest), round(e.Highest))
	switch {
	case math.IsInf(e.Highest.Number, 0):
		span = fmt.Sprintf("from %s up", round(e.Lowest))
	case math.IsInf(e.Lowest.Number, 0):
		span = fmt.Sprintf("up to %s", round(e.Highest))
	}
	return fmt.Sprintf("%s: %s is %s %s the range %s of the law", e.Law, round(e.Value), round(quantity.Value{Number: by, Unit: e.Value.Unit}), side, span)
}

// Unwrap returns ErrRange.
func (e *RangeError) Unwrap() error { return ErrRange }

// round keeps six figures, enough for words.
func round(v quantity.Value) quantity.Value {
	if v.Number == 0 || math.IsInf(v.Number, 0) || math.IsNaN(v.Number) {
		return v
	}
	p := math.Pow(10, math.Floor(math.Log10(math.Abs(v.Number)))-5)
	if n := math.Round(v.Number/p) * p; p > 0 && !math.IsInf(n, 0) {
		v.Number = math.Round(n*1e9) / 1e9
	}
	return v
}

// Curve is a law of a guide, ready to be used.
type Curve struct {
	name     string
	form     guide.LawForm
	of, from string                     // units
	lowest   float64                    // range of From, in its unit
	highest  float64                    //
	at       func(x, s float64) float64 // x in its unit, s volts of supply
	back     func(y, s float64) float64 // nil: by halving the range
}

// New makes a curve of a law of a guide. The error wraps ErrLaw and says what
// is wrong with the law: a missing or impossible number, a unit that is none.
func New(l *guide.Law) (*Curve, error) {
	c := &Curve{name: string(l.ID), form: l.Form}
	var err error
	if c.of, err = unitOf(l, "of", l.Of); err != nil {
		return nil, err
	}
	if c.from, err = unitOf(l, "from", l.From); err != nil {
		return nil, err
	}
	make, known := forms[l.Form]
	if !known {
		return nil, bad(l, "unknown form "+string(l.Form))
	}
	c.lowest, c.highest = math.Inf(-1), math.Inf(1)
	if err := make(c, params(l)); err != nil {
		return nil, bad(l, err.Error())
	}
	return c, c.narrow(l)
}

func bad(l *guide.Law, says string) error { return fmt.Errorf("%w: %s: %s", ErrLaw, l.ID, says) }

// unitOf returns the unit that ends "resistance Ω".
func unitOf(l *guide.Law, field, text string) (string, error) {
	words := strings.Fields(text)
	if len(words) > 0 {
		if v, err := quantity.Parse("1 " + words[len(words)-1]); err == nil && len(words) > 1 {
			return v.Unit, nil
		}
	}
	return "", bad(l, fmt.Sprintf("%s: %q does not end with a unit; write a quantity and its unit, like resistance Ω", field, text))
}

// narrow takes over the range that the law itself gives.
func (c *Curve) narrow(l *guide.Law) error {
	for _, b := range []struct {
		v   quantity.Value
		to  *float64
		cut func(a, b float64) float64
	}{{l.Lowest, &c.lowest, math.Max}, {l.Highest, &c.highest, math.Min}} {
		if b.v.Zero() {
			continue
		}
		v, err := b.v.In(c.from)
		if err != nil {
			return bad(l, err.Error())
		}
		*b.to = b.cut(*b.to, v.Number)
	}
	if !(c.lowest < c.highest) {
		return bad(l, "its range is empty")
	}
	return nil
}

// OfUnit returns the unit of what At returns.
func (c *Curve) OfUnit() string { return c.of }

// FromUnit returns the unit of what the law depends on.
func (c *Curve) FromUnit() string { return c.from }

// NeedsSupply reports whether the supply voltage matters (ratiometric laws).
func (c *Curve) NeedsSupply() bool { return c.form == guide.Ratiometric }

// Range returns between which values of From the law holds; infinite where it
// has no bound.
func (c *Curve) Range() (lowest, highest quantity.Value) {
	return quantity.Value{Number: c.lowest, Unit: c.from}, quantity.Value{Number: c.highest, Unit: c.from}
}

// Span returns the least and greatest value that the law can give in its
// range; infinite where it has no bound. Supply is as for At.
func (c *Curve) Span(supply quantity.Value) (least, greatest quantity.Value) {
	s := volts(supply)
	a, b := c.at(c.lowest, s), c.at(c.highest, s)
	if math.IsNaN(a) {
		a = math.Inf(-1)
	}
	if math.IsNaN(b) {
		b = math.Inf(1)
	}
	return quantity.Value{Number: math.Min(a, b), Unit: c.of}, quantity.Value{Number: math.Max(a, b), Unit: c.of}
}

// At returns what the law gives for x. Supply is the supply voltage of a
// ratiometric law and otherwise not looked at; zero stands for NominalSupply.
// Errors wrap ErrRange, or quantity.ErrDimension for a unit of another kind.
func (c *Curve) At(x, supply quantity.Value) (quantity.Value, error) {
	v, err := c.argument(x)
	if err != nil {
		return quantity.Value{}, err
	}
	return quantity.Value{Number: c.at(v, volts(supply)), Unit: c.of}, nil
}

// Slope returns how much the law's value changes for one unit of x, in
// OfUnit per FromUnit. Errors are those of At.
func (c *Curve) Slope(x, supply quantity.Value) (float64, error) {
	v, err := c.argument(x)
	if err != nil {
		return 0, err
	}
	h := slopeStep * (math.Abs(v) + 1)
	s := volts(supply)
	return (c.at(v+h, s) - c.at(v-h, s)) / (2 * h), nil
}

// slopeStep is the step of the central difference, relative to the argument:
// the cube root of the rounding error, where truncation and rounding balance.
const slopeStep = 6e-6

func (c *Curve) argument(x quantity.Value) (float64, error) {
	v, err := x.In(c.from)
	if err != nil {
		return 0, err
	}
	slack := argumentSlack * (1 + math.Abs(v.Number))
	if !(v.Number >= c.lowest-slack && v.Number <= c.highest+slack) {
		low, high := c.Range()
		return 0, &RangeError{c.name, v, low, high}
	}
	return math.Min(math.Max(v.Number, c.lowest), c.highest), nil
}

// argumentSlack lets the ends of a range in that a change of unit has moved by
// their last bits.
const argumentSlack = 1e-12

// Inverse returns the x for which At gives y, within inverseTo of its range
// where it is found by halving. Errors are those of At.
func (c *Curve) Inverse(y, supply quantity.Value) (quantity.Value, error) {
	v, err := y.In(c.of)
	if err != nil {
		return quantity.Value{}, err
	}
	s := volts(supply)
	least, greatest := c.Span(supply)
	slack := spanSlack * math.Max(math.Abs(least.Number), math.Abs(greatest.Number))
	if math.IsInf(slack, 0) {
		slack = 0
	}
	if !(v.Number >= least.Number-slack && v.Number <= greatest.Number+slack) {
		return quantity.Value{}, &RangeError{c.name, v, least, greatest}
	}
	var x float64
	if c.back != nil {
		x = c.back(v.Number, s)
	} else {
		x = c.halve(v.Number, s)
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return quantity.Value{}, &RangeError{c.name, v, least, greatest}
	}
	return quantity.Value{Number: math.Min(math.Max(x, c.lowest), c.highest), Unit: c.from}, nil
}

const (
	// spanSlack lets what At gave at an end of the range come back.
	spanSlack = 1e-12
	// halvings bring the range of any law to the last bit of its argument.
	halvings = 80
)

// halve finds x by halving the range; the law must rise or fall throughout.
func (c *Curve) halve(y, s float64) float64 {
	a, b := c.lowest, c.highest
	rising := c.at(b, s) >= c.at(a, s)
	for range halvings {
		m := a + (b-a)/2
		if (c.at(m, s) < y) == rising {
			a = m
		} else {
			b = m
		}
	}
	return a + (b-a)/2
}

// NominalSupply is the supply of sensors when nobody measured it, in volts.
const NominalSupply = 5.0

func volts(supply quantity.Value) float64 {
	if v, err := supply.In("V"); err == nil && !supply.Zero() {
		return v.Number
	}
	return NominalSupply
}
