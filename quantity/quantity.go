// Package quantity reads, keeps and converts physical values with their units.
//
// A Value keeps the number and the unit as a person wrote them ("22 N·m",
// "300 mV", "95 °C") and gives its SI value on request. Two values can be
// compared only when their units have the same dimension. Temperatures are
// absolute ("°C", "°F", "K"); differences of temperature are written in K.
// Gauge and absolute pressure are told apart by words beside the value, not by
// the unit.
//
// Factors are exact where their definition is (NIST SP 811, appendix B: foot
// 0.3048 m, pound-force 4.448 221 615 260 5 N, standard gravity 9.806 65 m/s²).
package quantity

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ErrForm is wrapped by every error of Parse.
var ErrForm = errors.New("not a value with a unit")

// ErrDimension is wrapped when two values of different dimension meet.
var ErrDimension = errors.New("units of different kind")

// Dimension names what a unit measures.
type Dimension string

// unit is one row of the table of units: SI = number*factor + offset.
type unit struct {
	name   string // as printed
	dim    Dimension
	factor float64
	offset float64
}

// Value is a number with its unit as written. The zero Value is "not given".
type Value struct {
	Number float64
	Unit   string // printed name of a known unit; empty for the zero Value
}

// Zero reports whether v is not given.
func (v Value) Zero() bool { return v.Unit == "" }

// IsZero is Zero under the name that printers of optional fields look for.
func (v Value) IsZero() bool { return v.Zero() }

// Of returns number in the named unit. It panics on an unknown unit: use Parse
// for what people type.
func Of(number float64, name string) Value {
	u, ok := lookup(name)
	if !ok {
		panic("quantity: unknown unit " + strconv.Quote(name))
	}
	return Value{number, u.name}
}

// Parse reads "22 N·m", "22Nm", "0.5 V", "-10 °C", "5 %" or "60". A number
// alone has the unit "1". It refuses digits grouped by commas, leading zeros
// such as 010, NaN, infinities and unknown units; the error wraps ErrForm and
// names what was wrong.
func Parse(s string) (Value, error) {
	text := strings.TrimSpace(s)
	end := numberEnd(text)
	if end == 0 {
		return Value{}, fmt.Errorf("%q: %w: it must begin with a number", s, ErrForm)
	}
	digits := text[:end]
	if bare := strings.TrimLeft(digits, "+-"); len(bare) > 1 && bare[0] == '0' && bare[1] >= '0' && bare[1] <= '9' {
		return Value{}, fmt.Errorf("%q: %w: leading zero", s, ErrForm)
	}
	n, err := strconv.ParseFloat(digits, 64)
	if err != nil || math.IsInf(n, 0) || math.IsNaN(n) {
		return Value{}, fmt.Errorf("%q: %w: %q is no number", s, ErrForm, digits)
	}
	name := strings.TrimSpace(text[end:])
	if name == "" {
		name = "1"
	}
	u, ok := lookup(name)
	if !ok {
		return Value{}, fmt.Errorf("%q: %w: unknown unit %q", s, ErrForm, name)
	}
	return Value{n, u.name}, nil
}

// numberEnd returns the length of the decimal number at the start of s.
func numberEnd(s string) int {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	digits := 0
	for ; i < len(s) && (s[i] >= '0' && s[i] <= '9' || s[i] == '.'); i++ {
		if s[i] == '.' && strings.HasPrefix(s[i:], "..") {
			break
		}
		if s[i] != '.' {
			digits++
		}
	}
	if digits == 0 {
		return 0
	}
	if j := exponentEnd(s, i); j > i {
		return j
	}
	return i
}

func exponentEnd(s string, i int) int {
	if i >= len(s) || s[i] != 'e' && s[i] != 'E' {
		return i
	}
	j := i + 1
	if j < len(s) && (s[j] == '+' || s[j] == '-') {
		j++
	}
	k := j
	for k < len(s) && s[k] >= '0' && s[k] <= '9' {
		k++
	}
	if k == j {
		return i
	}
	return k
}

// SI returns the value in the base unit of its dimension. A Value that is not
// given returns NaN.
func (v Value) SI() float64 {
	u, ok := lookup(v.Unit)
	if !ok {
		return math.NaN()
	}
	return v.Number*u.factor + u.offset
}

// Dimension returns what the value measures; "" when not given.
func (v Value) Dimension() Dimension {
	u, _ := lookup(v.Unit)
	return u.dim
}

// In returns the value in another unit, or an error that wraps ErrForm or
// ErrDimension.
func (v Value) In(name string) (Value, error) {
	to, ok := lookup(name)
	if !ok {
		return Value{}, fmt.Errorf("%w: unknown unit %q", ErrForm, name)
	}
	if to.dim != v.Dimension() {
		return Value{}, fmt.Errorf("%w: %s is %s, %s is %s", ErrDimension, v, v.Dimension(), name, to.dim)
	}
	return Value{(v.SI() - to.offset) / to.factor, to.name}, nil
}

// Compare returns -1, 0 or +1 for v below, equal to or above w, or an error
// that wraps ErrDimension.
func (v Value) Compare(w Value) (int, error) {
	if v.Dimension() != w.Dimension() || v.Zero() || w.Zero() {
		return 0, fmt.Errorf("%w: %s and %s", ErrDimension, v, w)
	}
	a, b := v.SI(), w.SI()
	switch {
	case a < b:
		return -1, nil
	case a > b:
		return 1, nil
	}
	return 0, nil
}

// String prints number and unit; a bare number for the unit "1"; "" when not
// given. Parse reads it back to an equal Value.
func (v Value) String() string {
	n := strconv.FormatFloat(v.Number, 'f', -1, 64)
	switch v.Unit {
	case "":
		return ""
	case "1":
		return n
	}
	return n + " " + v.Unit
}

// MarshalText implements encoding.TextMarshaler with String.
func (v Value) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with Parse.
func (v *Value) UnmarshalText(b []byte) error {
	w, err := Parse(string(b))
	if err != nil {
		return err
	}
	*v = w
	return nil
}
