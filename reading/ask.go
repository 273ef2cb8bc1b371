package reading

import (
	"fmt"
	"math"

	"elbowroom/guide"
	"elbowroom/quantity"
)

const (
	// thousand is the least factor by which a value must lie off its limit
	// before the unit is doubted: prefixes differ by a thousand, and a good
	// value of the mistaken unit lies close to that.
	thousand = 100.0
	// doubtWidth widens a limit, in its own widths to each side, for the value
	// in the unit that was perhaps meant.
	doubtWidth = 1.0
)

// families are units that are mistaken for one another.
var families = [][]string{
	{"mΩ", "Ω", "kΩ", "MΩ"},
	{"mV", "V"},
	{"mA", "A"},
	{"pF", "nF", "µF"},
	{"Hz", "kHz"},
	{"ms", "s"},
}

// pairs are units of one kind that people mix up although no prefix parts
// them, with the factor a value must be off before the unit is doubted.
var pairs = []struct {
	a, b string
	off  float64
}{{"psi", "bar", 5}, {"kPa", "bar", 30}, {"°C", "°F", 1}}

// ask asks back when a value lies far outside a two-sided limit and the same
// number in another unit would lie in it: kΩ typed as Ω.
func (j *judge) ask(m *guide.Limit, q measured, i interval) {
	if q.part.Value.Zero() || q.bound != Exact || math.IsInf(i.low, 0) || math.IsInf(i.high, 0) || m.Of != "" {
		return
	}
	for _, unit := range mistakable(q.part.Value.Unit) {
		other := quantity.Value{Number: q.part.Value.Number, Unit: unit}
		wide := doubtWidth * (i.high - i.low)
		if si := other.SI(); si < i.low-wide || si > i.high+wide || !farOff(q, i, unit) {
			continue
		}
		j.question(fmt.Sprintf("did you mean %s? %s lies far from %s, and %s would not", other, q.part.Value, bandOf(i, unit), other))
		return
	}
}

func bandOf(i interval, unit string) string {
	return bandWords(Judged{Low: inUnit(i.low, unit), High: inUnit(i.high, unit)})
}

// mistakable returns the units that are mistaken for a unit.
func mistakable(unit string) (out []string) {
	for _, f := range families {
		for _, u := range f {
			if u != unit && contains(f, unit) {
				out = append(out, u)
			}
		}
	}
	for _, p := range pairs {
		switch unit {
		case p.a:
			out = append(out, p.b)
		case p.b:
			out = append(out, p.a)
		}
	}
	return out
}

func contains(units []string, unit string) bool {
	for _, u := range units {
		if u == unit {
			return true
		}
	}
	return false
}

// farOff reports whether a value is so far off its range that a wrong unit is
// likelier than a fault.
func farOff(q measured, i interval, unit string) bool {
	need := thousand
	for _, p := range pairs {
		if p.a == unit && p.b == q.unit || p.b == unit && p.a == q.unit {
			need = p.off
		}
	}
	if q.dim == quantity.Temperature {
		return true // the scales cross: a value that fits in the other unit and not in this one is asked about
	}
	if q.si == 0 || i.low <= 0 {
		return false
	}
	return q.si*need <= i.low || q.si >= i.high*need
}
