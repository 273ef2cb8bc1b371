package money

import (
	"errors"
	"math"
	"math/big"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text   string
		want   Amount
		reason string
	}{
		{"64", 6400, "whole"},
		{"64.5", 6450, "one decimal is tenths"},
		{"64.05", 6405, "two decimals"},
		{"0.01", 1, "the smallest sum"},
		{"-3.50", -350, "owed"},
		{" 7 ", 700, "white space around"},
		{"1000000000", Max, "the largest sum"},
		{"-0.01", -1, "less than one, owed"},
	} {
		if got, err := Parse(c.text); err != nil || got != c.want {
			t.Errorf("%s: %q is %d, %v; want %d", c.reason, c.text, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, reason string }{
		{"", "nothing"},
		{"1.255", "three decimals would be rounded"},
		{"1,50", "a comma"},
		{"1 000", "grouped digits"},
		{"1e3", "a power"},
		{"12 EUR", "a currency"},
		{"64.", "a point without decimals"},
		{".5", "decimals without a point of reference"},
		{"--1", "two signs"},
		{"+1", "a plus"},
		{"1000000000.01", "above the largest sum"},
		{"99999999999999999999", "beyond any number"},
		{"NaN", "no number"},
	} {
		if got, err := Parse(c.text); !errors.Is(err, ErrForm) || got != 0 {
			t.Errorf("%s: %q is %d, %v", c.reason, c.text, got, err)
		}
	}
}

func TestPerHourFor(t *testing.T) {
	// 84.00 an hour is 1.40 a minute; the check values of the demo workshop
	// follow (156 min are 218.40).
	const rate PerHour = 8400
	for _, c := range []struct {
		d    time.Duration
		want Amount
	}{
		{time.Hour, 8400},
		{time.Minute, 140},
		{156 * time.Minute, 21840},
		{0, 0},
		{-time.Minute, -140},
	} {
		if got := rate.For(c.d); got != c.want {
			t.Errorf("%v at %v is %v, want %v", c.d, rate, got, c.want)
		}
	}
}

func TestHalfACent(t *testing.T) {
	const rate PerHour = 1800 // half a cent in a second
	for d, want := range map[time.Duration]Amount{
		time.Second:       1, // half goes up
		time.Second - 1:   0,
		-time.Second:      -1, // and away from zero below it
		3 * time.Second:   2,
		3*time.Second - 1: 1,
		math.MaxInt64:     4611686018,
		-math.MaxInt64:    -4611686018,
	} {
		if got := rate.For(d); got != want {
			t.Errorf("%v at %v is %v, want %v", d, rate, got, want)
		}
	}
	if got := PerHour(math.MaxInt64).For(math.MaxInt64); got != Max {
		t.Errorf("beyond all measure is %v", got)
	}
}

// TestPerHourAgainstExact compares with whole-number arithmetic without limit.
func TestPerHourAgainstExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Int64Range(0, 1_000_000).Draw(t, "rate")
		ms := rapid.Int64Range(0, 7*24*3_600_000).Draw(t, "ms")
		got := PerHour(rate).For(time.Duration(ms) * time.Millisecond)
		num := new(big.Int).Mul(big.NewInt(rate), big.NewInt(ms))
		num.Mul(num, big.NewInt(2)).Add(num, big.NewInt(3_600_000))
		want := num.Div(num, big.NewInt(7_200_000)).Int64() // half up, and none is below zero
		if int64(got) != want {
			t.Fatalf("%d ms at %d an hour is %d, want %d", ms, rate, got, want)
		}
	})
}

func TestTextThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := Amount(rapid.Int64Range(-int64(Max), int64(Max)).Draw(t, "cents"))
		back, err := Parse(a.String())
		if err != nil || back != a {
			t.Fatalf("%d prints %q and reads as %d, %v", a, a, back, err)
		}
		var r PerHour
		b, _ := PerHour(a).MarshalText()
		if err := r.UnmarshalText(b); err != nil || Amount(r) != a {
			t.Fatalf("a rate of %d reads back as %d, %v", a, r, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"64.50", "-0", "00.1", "9999999999", "1.00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		a, err := Parse(text)
		if err != nil {
			return
		}
		if math.Abs(float64(a)) > float64(Max) {
			t.Fatalf("%q is %d", text, a)
		}
		if back, err := Parse(a.String()); err != nil || back != a {
			t.Fatalf("%q is %v, printed and read again %v, %v", text, a, back, err)
		}
	})
}
