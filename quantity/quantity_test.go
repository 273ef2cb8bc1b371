package quantity

import (
	"bytes"
	"encoding/csv"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"elbowroom/internal/corpus"
)

// near is the relative error that rounding may leave in a conversion.
const near = 1e-12

func relative(got, want float64) float64 {
	if want == 0 {
		return math.Abs(got)
	}
	return math.Abs(got-want) / math.Abs(want)
}

// seenRounded is the relative error allowed for rows that are not exact. The
// last row prints 8.850745767, which by definition is 8.850745791.
const seenRounded = 1e-8

// TestFactors compares every row of the table of factors.
func TestFactors(t *testing.T) {
	r := csv.NewReader(bytes.NewReader(corpus.Read(t, "testdata/unit_factors.csv")))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 8 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		factor, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		tolerance := near
		if row[3] == "" {
			tolerance = seenRounded
		}
		v, err := Parse("1 " + row[0])
		if err != nil {
			t.Errorf("unit of the table: %v", err)
			continue
		}
		w, err := v.In(row[1])
		if err != nil || relative(w.Number, factor) > tolerance {
			t.Errorf("1 %s is %v %s, %v; the table says %v", row[0], w.Number, row[1], err, factor)
		}
	}
}

func TestTemperatures(t *testing.T) {
	// Fixed points by definition: 0 °C is 273.15 K; 32 °F and 212 °F are 0 °C
	// and 100 °C.
	for _, c := range []struct {
		from string
		unit string
		want float64
	}{
		{"0 °C", "K", 273.15},
		{"32 °F", "°C", 0},
		{"212 °F", "°C", 100},
		{"-40 °C", "°F", -40},
		{"0 K", "°C", -273.15},
	} {
		v, err := Parse(c.from)
		if err != nil {
			t.Fatal(err)
		}
		if w, err := v.In(c.unit); err != nil || math.Abs(w.Number-c.want) > 1e-9 {
			t.Errorf("%s is %v, %v; want %v %s", c.from, w, err, c.want, c.unit)
		}
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct{ text, want, reason string }{
		{"22 N·m", "22 N·m", "as printed"},
		{"22Nm", "22 N·m", "without space and dot"},
		{"9 N m", "9 N·m", "with a space inside the unit"},
		{"0.50 V", "0.5 V", "zeros at the end say nothing"},
		{"-10 °C", "-10 °C", "below zero"},
		{"+5 V", "5 V", "with its sign"},
		{"5 %", "5 %", "a share"},
		{"60", "60", "a number alone"},
		{"1e3 Ω", "1000 Ω", "powers of ten print in full"},
		{"38 kohm", "38 kΩ", "ohm in letters"},
		{"4.7 kΩ", "4.7 kΩ", "the ohm sign U+2126"},
		{"10 μF", "10 µF", "the Greek letter U+03BC for micro"},
		{" 3 mm² ", "3 mm²", "white space around"},
		{"750 1/min", "750 rpm", "turns per minute"},
		{".5 V", "0.5 V", "without the zero"},
	} {
		if v, err := Parse(c.text); err != nil || v.String() != c.want {
			t.Errorf("%s: %q reads as %q, %v; want %q", c.reason, c.text, v, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, reason string }{
		{"", "nothing"},
		{"V", "a unit alone"},
		{"1,000 V", "grouped digits"},
		{"1,5 V", "a decimal comma"},
		{"010 V", "a leading zero"},
		{"-01 V", "a leading zero behind the sign"},
		{"NaN V", "no number"},
		{"Inf V", "no end"},
		{"1e400 V", "too large"},
		{"5 Volt", "an unknown unit"},
		{"5 v", "a unit in the wrong case"},
		{"5..6 V", "a range"},
		{"1.2.3 V", "two points"},
		{"0x10 V", "another base"},
		{"5 V V", "two units"},
	} {
		if v, err := Parse(c.text); !errors.Is(err, ErrForm) {
			t.Errorf("%s: %q reads as %v, %v", c.reason, c.text, v, err)
		}
	}
}

func TestMeetingOfDimensions(t *testing.T) {
	if _, err := Of(1, "V").In("A"); !errors.Is(err, ErrDimension) {
		t.Errorf("volts in amperes: %v", err)
	}
	if _, err := Of(1, "V").In("volts"); !errors.Is(err, ErrForm) {
		t.Errorf("volts in an unknown unit: %v", err)
	}
	if _, err := Of(1, "V").Compare(Of(1, "A")); !errors.Is(err, ErrDimension) {
		t.Errorf("volts against amperes: %v", err)
	}
	if _, err := (Value{}).Compare(Value{}); !errors.Is(err, ErrDimension) {
		t.Errorf("nothing against nothing: %v", err)
	}
	for _, c := range []struct {
		a, b Value
		want int
	}{
		{Of(900, "mV"), Of(1, "V"), -1},
		{Of(1000, "mV"), Of(1, "V"), 0},
		{Of(1, "bar"), Of(14, "psi"), 1},
		{Of(0, "°C"), Of(40, "°F"), -1},
	} {
		if got, err := c.a.Compare(c.b); err != nil || got != c.want {
			t.Errorf("%v against %v is %d, %v", c.a, c.b, got, err)
		}
	}
}

func TestZeroValueIsNotGiven(t *testing.T) {
	var v Value
	if !v.Zero() || !v.IsZero() || v.String() != "" || v.Dimension() != "" || !math.IsNaN(v.SI()) {
		t.Errorf("the zero value must say that nothing was given: %+v", v)
	}
	if Of(0, "V").Zero() {
		t.Error("zero volts is a value")
	}
}

func TestOfPanicsOnUnknownUnit(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("Of must panic on a unit that does not exist")
		}
	}()
	Of(1, "furlong")
}

// TestTableOfUnits looks at the table itself: names once, factors above zero,
// spellings that lead to a unit and hide none.
func TestTableOfUnits(t *testing.T) {
	seen := map[string]bool{}
	for _, u := range table {
		if seen[u.name] || u.factor <= 0 || u.dim == "" {
			t.Errorf("unit %q is double, without dimension or with factor %v", u.name, u.factor)
		}
		seen[u.name] = true
	}
	for from, to := range spellings {
		if !seen[to] || seen[from] && from != to {
			t.Errorf("spelling %q leads to %q", from, to)
		}
	}
	if units := Units(); len(units) != len(table) || !slices.IsSorted(units) {
		t.Errorf("Units returns %d names for %d units", len(units), len(table))
	}
}

func TestEveryUnitThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(table).Draw(t, "unit")
		same := slices.DeleteFunc(slices.Clone(table), func(w unit) bool { return w.dim != u.dim })
		other := rapid.SampledFrom(same).Draw(t, "other")
		v := Of(rapid.Float64Range(-1e6, 1e6).Draw(t, "number"), u.name)
		w, err := v.In(other.name)
		if err != nil {
			t.Fatal(err)
		}
		back, err := w.In(u.name)
		if err != nil || math.Abs(back.Number-v.Number) > 1e-6*(1+math.Abs(v.Number)) {
			t.Fatalf("%v is %v, and back %v, %v", v, w, back, err)
		}
	})
}

// FuzzParse: what reads prints to a text that reads to the same value.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"22 N·m", "-0 V", "1e-300 A", ".5%", "5.V", "+1e+2kΩ", "0.1e1 °", "7\u00a0bar"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := Parse(text)
		if err != nil {
			if !errors.Is(err, ErrForm) || v != (Value{}) {
				t.Fatalf("%q: %v, %v", text, v, err)
			}
			return
		}
		again, err := Parse(v.String())
		if err != nil || again != v || math.IsNaN(v.SI()) && !strings.Contains(text, "e") {
			t.Fatalf("%q reads as %v, printed and read again %v, %v", text, v, again, err)
		}
		var u Value
		if b, err := v.MarshalText(); err != nil || u.UnmarshalText(b) != nil || u != v {
			t.Fatalf("%q as text is %q, %v, and back %v", text, b, err, u)
		}
	})
}
