package record

import (
	"fmt"
	"strings"

	"elbowroom/quantity"
)

// operand is the second of two channels that are judged as one.
type operand struct {
	op     Op
	column int
	scale  float64 // into the unit of the first
	offset float64
	stale  float64
	a, b   float64 // newest values
	aAt    float64
	bAt    float64
	out    float64 // into the unit of a difference
}

// form ties the second channel of a question to the judged one. The channel is
// then what both make together.
func (t *tied) form(f *Format, m Mapping, stale func(column int) float64) *operand {
	if t.Op == "" || t.judged < 0 {
		return nil
	}
	at, c := t.find(t.With, f, m)
	if at < 0 {
		t.judged = -1
		return nil
	}
	o := &operand{op: t.Op, column: at, scale: 1, out: 1, stale: stale(at), a: nan, b: nan}
	unit, why := o.units(t.channel, c)
	if why != "" {
		t.missing = append(t.missing, why)
		t.judged = -1
		return nil
	}
	name := fmt.Sprintf("%s %s %s", t.Judged, t.Op, t.With)
	var guesses []string
	for _, k := range []Channel{t.channel, c} {
		if k.Guess != "" {
			guesses = append(guesses, k.label()+": "+k.Guess)
		}
	}
	t.channel = Channel{Name: name, Nth: 1, Meaning: name, In: unit, Guess: strings.Join(guesses, "; ")}
	return o
}

// units works out the unit of what two channels make and how the second gets
// into the unit of the first.
func (o *operand) units(a, b Channel) (unit, why string) {
	if a.In == "" || b.In == "" {
		return "", fmt.Sprintf("the units of %s and %s are not both known", a.label(), b.label())
	}
	zero, err := quantity.Of(0, b.In).In(a.In)
	one, err2 := quantity.Of(1, b.In).In(a.In)
	if err != nil || err2 != nil {
		return "", fmt.Sprintf("%s is in %s and %s in %s, which make nothing together", a.label(), a.In, b.label(), b.In)
	}
	o.offset, o.scale = zero.Number, one.Number-zero.Number
	switch o.op {
	case Over:
		return "1", ""
	case Minus:
		d := difference(1, a.In)
		o.out = d.Number
		return d.Unit, ""
	}
	return a.In, ""
}

// value is what both channels make in a row: NaN where neither was written or
// one of them is not known.
func (o *operand) value(now, a float64, columns [][]float64, r int, stale float64) float64 {
	b := columns[o.column][r]
	fresh := false
	if a == a {
		o.a, o.aAt, fresh = a, now, true
	}
	if b == b {
		o.b, o.bAt, fresh = b*o.scale+o.offset, now, true
	}
	if !fresh || o.a != o.a || o.b != o.b || now-o.aAt > stale || now-o.bAt > o.stale {
		return nan
	}
	switch o.op {
	case Minus:
		return (o.a - o.b) * o.out
	case Plus:
		return o.a + o.b
	}
	if o.b == 0 {
		return nan
	}
	return o.a / o.b
}
