package estimate

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"time"

	"elbowroom/money"
)

// Sum is money in whole minor units of one currency: 33640 is 336.40 EUR or
// 33 640 JPY.
type Sum int64

// Currency is a currency with the number of its decimals.
type Currency struct {
	Code   string
	Digits int
}

// usualDigits holds for every currency that is not listed.
const usualDigits = 2

// unusualDigits are the currencies of ISO 4217 with other than two decimals
// (list of 2025-02-04 as used by the internationalisation code of Firefox,
// js/src/builtin/intl/CurrencyDataGenerated.js).
var unusualDigits = map[string]int{
	"BIF": 0, "CLP": 0, "DJF": 0, "GNF": 0, "ISK": 0, "JPY": 0, "KMF": 0, "KRW": 0, "PYG": 0, "RWF": 0,
	"UGX": 0, "UYI": 0, "VND": 0, "VUV": 0, "XAF": 0, "XOF": 0, "XPF": 0,
	"BHD": 3, "IQD": 3, "JOD": 3, "KWD": 3, "LYD": 3, "OMR": 3, "TND": 3,
	"CLF": 4, "UYW": 4,
}

// CurrencyOf returns a currency by its code of ISO 4217. A code that is not
// known, or none, has two decimals.
func CurrencyOf(code string) Currency {
	code = strings.ToUpper(strings.TrimSpace(code))
	if d, ok := unusualDigits[code]; ok {
		return Currency{code, d}
	}
	return Currency{code, usualDigits}
}

// From turns an amount of a guide or workshop, which is written with two
// decimals in every currency, into minor units.
func (c Currency) From(a money.Amount) Sum {
	if c.Digits >= usualDigits {
		return Sum(a) * Sum(math.Pow10(c.Digits-usualDigits))
	}
	return round(big.NewInt(int64(a)), int64(math.Pow10(usualDigits-c.Digits)))
}

// Whole is one whole unit of the currency, such as one euro.
func (c Currency) Whole() Sum { return Sum(math.Pow10(c.Digits)) }

// Text prints a sum without the code of its currency: "336.40", "33640".
func (c Currency) Text(s Sum) string {
	digits := strconv.FormatInt(int64(s), 10)
	sign := ""
	if s < 0 {
		sign, digits = "-", digits[1:]
	}
	if c.Digits == 0 {
		return sign + digits
	}
	for len(digits) <= c.Digits {
		digits = "0" + digits
	}
	return sign + digits[:len(digits)-c.Digits] + "." + digits[len(digits)-c.Digits:]
}

// Labour prices time at a rate, rounded once.
func (c Currency) Labour(rate money.PerHour, d time.Duration) Sum {
	n := new(big.Int).Mul(big.NewInt(int64(rate)), big.NewInt(int64(d)))
	n.Mul(n, big.NewInt(int64(math.Pow10(c.Digits))))
	return round(n, int64(time.Hour)*int64(math.Pow10(usualDigits)))
}

// Split prices several times at a rate so that the prices add up to the price
// of their sum: each is the difference of two rounded running totals.
func (c Currency) Split(rate money.PerHour, parts []time.Duration) []Sum {
	out := make([]Sum, len(parts))
	var sofar time.Duration
	var paid Sum
	for i, d := range parts {
		sofar += d
		whole := c.Labour(rate, sofar)
		out[i], paid = whole-paid, whole
	}
	return out
}

// Percent is a share in thousandths of a per cent: 20 % is 20 000.
type Percent int64

// PercentOf reads a number of per cent; finer than a thousandth is rounded.
func PercentOf(n float64) Percent { return Percent(math.Round(n * 1000)) }

// wholePercent is the whole, in thousandths of a per cent.
const wholePercent = 100_000

// Of returns the share of a sum, rounded once.
func (p Percent) Of(s Sum) Sum {
	return round(new(big.Int).Mul(big.NewInt(int64(p)), big.NewInt(int64(s))), wholePercent)
}

// Factor is 1 for 0 % and 1.2 for 20 %.
func (p Percent) Factor() float64 { return 1 + float64(p)/wholePercent }

// String prints "20 %" or "7.7 %".
func (p Percent) String() string {
	return strconv.FormatFloat(float64(p)/1000, 'f', -1, 64) + " %"
}

// mostSum bounds what rounding returns, far above any repair and far below
// overflow when sums are added.
const mostSum = 1_000_000_000_000_000

// round divides and rounds half away from zero: the one rounding rule.
func round(n *big.Int, by int64) Sum {
	d := big.NewInt(by)
	half := new(big.Int).Abs(n)
	half.Add(half.Lsh(half, 1), d) // 2|n| + d
	q := half.Quo(half, new(big.Int).Lsh(d, 1))
	v := int64(mostSum)
	if q.IsInt64() && q.Int64() < mostSum {
		v = q.Int64()
	}
	if n.Sign() < 0 {
		v = -v
	}
	return Sum(v)
}

// rounded rounds a sum that was worked out in floating point.
func rounded(x float64) Sum {
	switch {
	case math.IsNaN(x):
		return 0
	case math.Abs(x) > mostSum:
		return Sum(math.Copysign(mostSum, x))
	}
	return Sum(math.Round(x)) // half away from zero
}
