// Package money holds sums of money as whole minor units (cents), so that
// adding never rounds.
//
// It answers "how much" for one currency at a time; the currency's name is
// kept beside the sums, in the guide or the workshop, never inside them. The
// one rounding rule of the project stands here: half away from zero, applied
// once, at the end of a multiplication by time (PerHour.For).
//
// The package does not convert currencies and does not know any tax.
package money

import (
	"errors"
	"fmt"
	"math/bits"
	"strconv"
	"strings"
	"time"
)

// Amount is a sum in minor units: 6400 is 64.00.
type Amount int64

// Max is the largest amount that Parse accepts: one billion, far above any
// repair and far below overflow.
const Max Amount = 100_000_000_000

// ErrForm is returned (wrapped) by Parse for text that is no amount.
var ErrForm = errors.New("not an amount of money")

// Parse reads "64", "64.00" or "-3.5". It refuses more than two decimals,
// exponents, thousands separators and anything above Max, with an error that
// wraps ErrForm and says what is wrong.
func Parse(s string) (Amount, error) {
	text := strings.TrimSpace(s)
	digits := strings.TrimPrefix(text, "-")
	whole, frac, dot := strings.Cut(digits, ".")
	if whole == "" || !allDigits(whole) || (dot && (frac == "" || !allDigits(frac))) {
		return 0, fmt.Errorf("%q: %w: write it like 64 or 64.50", s, ErrForm)
	}
	if len(frac) > 2 {
		return 0, fmt.Errorf("%q: %w: at most two decimals", s, ErrForm)
	}
	for len(frac) < 2 {
		frac += "0"
	}
	n, err := strconv.ParseInt(whole+frac, 10, 64)
	if err != nil || Amount(n) > Max {
		return 0, fmt.Errorf("%q: %w: larger than %s", s, ErrForm, Max)
	}
	if strings.HasPrefix(text, "-") {
		n = -n
	}
	return Amount(n), nil
}

func allDigits(s string) bool {
	for _, c := range s {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

// String prints the amount with two decimals: "64.00".
func (a Amount) String() string {
	sign := ""
	n := int64(a)
	if n < 0 {
		sign, n = "-", -n
	}
	return fmt.Sprintf("%s%d.%02d", sign, n/100, n%100)
}

// MarshalText implements encoding.TextMarshaler with String.
func (a Amount) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with Parse.
func (a *Amount) UnmarshalText(b []byte) error {
	v, err := Parse(string(b))
	if err != nil {
		return err
	}
	*a = v
	return nil
}

// PerHour is a rate: minor units for an hour of work.
type PerHour int64

// For returns the price of d at the rate, rounded half away from zero to a
// whole minor unit. It is exact, and never above Max in size.
func (r PerHour) For(d time.Duration) Amount {
	over, under := bits.Mul64(magnitude(int64(r)), magnitude(int64(d)))
	under, carry := bits.Add64(under, uint64(time.Hour)/2, 0)
	over += carry
	if over >= uint64(time.Hour) {
		return Max
	}
	n, _ := bits.Div64(over, under, uint64(time.Hour))
	if n > uint64(Max) {
		n = uint64(Max)
	}
	if (r < 0) != (d < 0) {
		return -Amount(n)
	}
	return Amount(n)
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// String prints the rate with two decimals: "84.00".
func (r PerHour) String() string { return Amount(r).String() }

// MarshalText implements encoding.TextMarshaler with String.
func (r PerHour) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with Parse.
func (r *PerHour) UnmarshalText(b []byte) error {
	v, err := Parse(string(b))
	if err != nil {
		return err
	}
	*r = PerHour(v)
	return nil
}
