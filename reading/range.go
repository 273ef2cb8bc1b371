package reading

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

const expectRange = "a range and its accuracy, like 0..600 Ω ± (0.5 % + 3 x 0.1 Ω)"

// ReadShort reads the forms given at Range. Errors are guide.FormErrors.
func (r *Range) ReadShort(text string) error {
	*r = Range{}
	main, clauses, _ := strings.Cut(text, ",")
	span, accuracy, has := strings.Cut(main, "±")
	if !has {
		span, accuracy, has = strings.Cut(main, "+-")
	}
	if err := r.readSpan(strings.TrimSpace(span)); err != nil {
		return err
	}
	if has {
		if err := r.readAccuracy(accuracy); err != nil {
			return err
		}
	}
	if strings.TrimSpace(clauses) == "" {
		return r.Complete()
	}
	for _, c := range strings.Split(clauses, ",") {
		if err := r.readClause(strings.TrimSpace(c)); err != nil {
			return err
		}
	}
	return r.Complete()
}

func rangeError(text, says, expect string) error {
	return guide.FormErrors{{Text: text, Says: says, Expect: expect}}
}

func (r *Range) readSpan(text string) error {
	low, high, ok := strings.Cut(text, "..")
	if !ok {
		return rangeError(text, "not a range of measurement", expectRange)
	}
	v, err := quantity.Parse(high)
	if err != nil {
		return rangeError(high, "not a value with a unit", expectRange)
	}
	r.Highest = v
	if n, err := strconv.ParseFloat(strings.TrimSpace(low), 64); err == nil && !math.IsNaN(n) && !math.IsInf(n, 0) {
		r.Lowest = quantity.Value{Number: n, Unit: v.Unit}
		return nil
	}
	if r.Lowest, err = quantity.Parse(low); err != nil {
		return rangeError(low, "not a value with a unit", expectRange)
	}
	return nil
}

var counts = regexp.MustCompile(`^([0-9.]+)\s*[x×]\s*(.+)$`)

// readAccuracy reads "(0.5 % + 3 x 0.1 Ω)".
func (r *Range) readAccuracy(text string) error {
	text = strings.TrimSpace(text)
	text = strings.TrimSuffix(strings.TrimPrefix(text, "("), ")")
	for _, term := range strings.Split(text, "+") {
		term = strings.TrimSpace(term)
		percent, full := strings.CutSuffix(term, "of full scale")
		if m := counts.FindStringSubmatch(term); m != nil {
			n, err := strconv.ParseFloat(m[1], 64)
			step, err2 := quantity.Parse(m[2])
			if err != nil || err2 != nil || r.Digits != 0 {
				return rangeError(term, "not a number of digits", "3 x 0.1 Ω")
			}
			r.Digits, r.Step = n, step
			continue
		}
		v, err := quantity.Parse(percent)
		switch {
		case err != nil:
			return rangeError(term, "not an accuracy", expectRange)
		case v.Unit == "%" && full && r.Full == 0:
			r.Full = v.Number
		case v.Unit == "%" && !full && r.Percent == 0:
			r.Percent = v.Number
		case !full && r.Fixed.Zero() && v.Unit != "%":
			r.Fixed = v
		default:
			return rangeError(term, "said twice or not understood", expectRange)
		}
	}
	return nil
}

func (r *Range) readClause(text string) error {
	for word, to := range map[string]*quantity.Value{"step": &r.Step, "standard uncertainty": &r.Standard} {
		rest, ok := strings.CutPrefix(text, word+" ")
		if !ok {
			continue
		}
		v, err := quantity.Parse(rest)
		if err != nil || !to.Zero() {
			return rangeError(text, "not a value with a unit, or said twice", word+" 0.1 bar")
		}
		*to = v
		return nil
	}
	return rangeError(text, "unexpected words in a range of measurement", "step or standard uncertainty and a value")
}

// Complete reports a range that cannot be: of two kinds, running downwards,
// with negative numbers, or with two accuracies. Errors are guide.FormErrors.
func (r Range) Complete() error {
	if c, err := r.Lowest.Compare(r.Highest); err != nil || c >= 0 {
		return rangeError(r.Lowest.String()+".."+r.Highest.String(), "the range is empty or of two kinds", "the lowest value, .. and the highest, of one kind")
	}
	of := r.Highest.Dimension()
	for _, v := range []quantity.Value{r.Step, r.Fixed, r.Standard} {
		if !v.Zero() && (v.Dimension() != of || !(v.Number > 0)) {
			return rangeError(v.String(), "of another kind than the range, or not above 0", "a value in "+r.Highest.Unit)
		}
	}
	limits := r.Percent != 0 || r.Full != 0 || r.Digits != 0 || !r.Fixed.Zero()
	if !r.Standard.Zero() && limits {
		return rangeError(r.Standard.String(), "two accuracies", "either ± or a standard uncertainty")
	}
	for _, n := range []float64{r.Percent, r.Full, r.Digits} {
		if !(n >= 0) || math.IsInf(n, 0) {
			return rangeError(strconv.FormatFloat(n, 'g', -1, 64), "not an accuracy", "a number of 0 or more")
		}
	}
	if r.Digits > 0 && r.Step.Zero() {
		return rangeError("", "digits without the step that they count", "3 x 0.1 Ω")
	}
	return nil
}

// String prints the range in its short form.
func (r Range) String() string {
	s := r.Lowest.String() + ".." + r.Highest.String()
	if r.Lowest.Unit == r.Highest.Unit {
		s = strconv.FormatFloat(r.Lowest.Number, 'f', -1, 64) + ".." + r.Highest.String()
	}
	var terms []string
	number := func(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }
	if r.Percent != 0 {
		terms = append(terms, number(r.Percent)+" %")
	}
	if r.Full != 0 {
		terms = append(terms, number(r.Full)+" % of full scale")
	}
	if r.Digits != 0 {
		terms = append(terms, number(r.Digits)+" x "+r.Step.String())
	}
	if !r.Fixed.Zero() {
		terms = append(terms, r.Fixed.String())
	}
	if len(terms) > 0 {
		s += " ± (" + strings.Join(terms, " + ") + ")"
	}
	if r.Digits == 0 && !r.Step.Zero() {
		s += ", step " + r.Step.String()
	}
	if !r.Standard.Zero() {
		s += ", standard uncertainty " + r.Standard.String()
	}
	return s
}

// known reports whether the accuracy of the range is known.
func (r Range) known() bool {
	return r.Percent != 0 || r.Full != 0 || r.Digits != 0 || !r.Fixed.Zero() || !r.Standard.Zero()
}

// covers reports whether an SI value lies in the range.
func (r Range) covers(dim quantity.Dimension, si float64) bool {
	slack := unitSlack * math.Abs(si)
	return r.Highest.Dimension() == dim && si >= r.Lowest.SI()-slack && si <= r.Highest.SI()+slack
}

// unitSlack is the relative error that a change of unit may bring: values that
// close are equal.
const unitSlack = 1e-12

// component returns what the instrument's accuracy adds to a value in SI.
// The second result is false when only the step of the display is known.
func (r Range) component(name string, si float64) (Component, bool) {
	unit := r.Highest.Unit
	if !r.Standard.Zero() {
		u := r.Standard.Number * scale(r.Standard.Unit)
		return Component{Name: name, Shape: Given, Own: unit, U: u / scale(unit), Sensitivity: scale(unit), Share: u}, true
	}
	zero := quantity.Value{Unit: unit}
	value := math.Abs(si - zero.SI()) // per cent of a temperature are of the number shown
	half := r.Percent/100*value + r.Full/100*math.Abs(r.Highest.SI()-zero.SI())
	if !r.Step.Zero() {
		half += r.Digits * r.Step.Number * scale(r.Step.Unit)
	}
	if !r.Fixed.Zero() {
		half += r.Fixed.Number * scale(r.Fixed.Unit)
	}
	if r.known() {
		return component(name, Rectangular, half/scale(unit), unit, scale(unit)), true
	}
	if r.Step.Zero() {
		return Component{}, false
	}
	return component("last digit of "+name, Rectangular, r.Step.Number*scale(r.Step.Unit)/2/scale(unit), unit, scale(unit)), false
}

// rangeFor returns the range of an instrument that measures an SI value best:
// the smallest that covers it.
func (m *Instrument) rangeFor(dim quantity.Dimension, si float64) *Range {
	var best *Range
	for i := range m.Ranges {
		r := &m.Ranges[i]
		if r.covers(dim, si) && (best == nil || math.Abs(r.Highest.SI()) < math.Abs(best.Highest.SI())) {
			best = r
		}
	}
	return best
}

// measures reports whether the instrument has a range of that kind.
func (m *Instrument) measures(dim quantity.Dimension) bool {
	return slices.ContainsFunc(m.Ranges, func(r Range) bool { return r.Highest.Dimension() == dim })
}

// reach returns the highest value of that kind that the instrument shows.
func (m *Instrument) reach(dim quantity.Dimension) (quantity.Value, bool) {
	var most quantity.Value
	for _, r := range m.Ranges {
		if r.Highest.Dimension() == dim && (most.Zero() || r.Highest.SI() > most.SI()) {
			most = r.Highest
		}
	}
	return most, !most.Zero()
}
