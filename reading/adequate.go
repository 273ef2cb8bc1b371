package reading

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Fitness says whether an instrument is good enough for a limit, before
// anybody walks to the machine.
type Fitness struct {
	ID         guide.ID       `json:"id,omitempty"`
	Instrument string         `json:"instrument,omitempty"` // empty: nothing here serves
	Limit      string         `json:"limit"`
	At         quantity.Value `json:"at,omitzero"`        // value at which it was worked out
	Expanded   quantity.Value `json:"expanded,omitzero"`  // uncertainty there, 95 %
	Tolerance  quantity.Value `json:"tolerance,omitzero"` // half the width of the limit; the bound itself where there is one only
	Ratio      float64        `json:"ratio"`              // Expanded over Tolerance
	Clear      float64        `json:"clear"`              // probability that a good item gets a clear verdict
	Enough     bool           `json:"enough"`
	Says       string         `json:"says"`
	Remarks    []string       `json:"remarks,omitempty"`
}

// enoughClear is the probability of a clear verdict from which an instrument
// is called good enough: four good items in five are told at once.
const enoughClear = 0.8

// Adequate says for every limit with a number of a check and every instrument
// at hand that serves it how good the verdict can be. The limits stand in the
// order of the check; of several instruments the better comes first. A good
// item is taken to lie anywhere in its limit with equal chance; below or above
// a single bound, from it to zero or to twice the bound.
func Adequate(r *guide.Resolved, check *guide.Check, have []Instrument, opt Options) []Fitness {
	var out []Fitness
	for i := range check.Limits {
		for _, m := range numberLimits(&check.Limits[i]) {
			out = append(out, adequateLimit(r, check, m, have, opt)...)
		}
	}
	return out
}

// numberLimits returns the limits with numbers in a limit: itself, or the
// claims of a limit in words.
func numberLimits(m *guide.Limit) (out []guide.Limit) {
	if m.Words == "" {
		return []guide.Limit{*m}
	}
	for _, c := range claimsOf(m.Words) {
		if !c.value().Zero() {
			out = append(out, guide.Limit{Low: c.low, High: c.high})
		}
	}
	return out
}

func adequateLimit(r *guide.Resolved, check *guide.Check, m guide.Limit, have []Instrument, opt Options) (out []Fitness) {
	for i := range have {
		if len(check.Instrument) == 0 || slices.Contains(check.Instrument, have[i].Is) {
			out = append(out, fitness(r, check, m, have[i], opt))
		}
	}
	if len(out) == 0 {
		return []Fitness{{Limit: m.String(), Says: fmt.Sprintf("nothing here serves %s: it asks for %s", check.ID, idWords(check.Instrument))}}
	}
	slices.SortStableFunc(out, func(a, b Fitness) int { return cmp.Compare(b.Clear, a.Clear) })
	return out
}

// fitness works out the worst of the values at which a limit may be judged.
func fitness(r *guide.Resolved, check *guide.Check, m guide.Limit, tool Instrument, opt Options) Fitness {
	worst := Fitness{ID: tool.ID, Instrument: tool.Name, Limit: m.String(), Clear: math.Inf(1)}
	for _, share := range []float64{0, 0.5, 1} {
		j := newJudge(r, check, expected(check, share), opt)
		j.instrument = &tool
		j.lookAtInstrument()
		f := j.fitness(&m)
		f.Remarks = j.v.Remarks
		if f.Clear < worst.Clear {
			f.ID, f.Instrument, f.Limit = worst.ID, worst.Instrument, worst.Limit
			worst = f
		}
	}
	return worst
}

// expected is a reading that states every numeric condition of a check at a
// share of its range.
func expected(check *guide.Check, share float64) Reading {
	rd := Reading{Check: check.ID}
	for _, c := range check.When {
		switch {
		case c.Subject == "":
		case c.Low.Zero():
			rd.Stated = append(rd.Stated, Stated{Subject: c.Subject, Value: c.High})
		case c.High.Zero():
			rd.Stated = append(rd.Stated, Stated{Subject: c.Subject, Value: c.Low})
		default:
			high, _ := c.High.In(c.Low.Unit)
			rd.Stated = append(rd.Stated, Stated{Subject: c.Subject, Value: quantity.Value{Number: c.Low.Number + share*(high.Number-c.Low.Number), Unit: c.Low.Unit}})
		}
	}
	return rd
}

func (j *judge) fitness(m *guide.Limit) Fitness {
	i := j.intervalOf(m, m.Of != "")
	if i.unsettled != "" {
		return Fitness{Says: "cannot be said: " + i.unsettled}
	}
	at, unit, half := middle(m, i)
	q := measured{part: Part{Value: inUnit(at, unit)}, si: at, unit: unit, dim: quantity.Value{Unit: unit}.Dimension()}
	factor := 1.0
	if m.Of != "" {
		base, ok := j.base()
		if !ok {
			return Fitness{Says: "cannot be said: the values that are compared are not known beforehand"}
		}
		q.si, q.unit, factor = base.SI(), base.Unit, math.Sqrt2 // two readings, each as uncertain
		q.part.Value, q.dim = base, base.Dimension()
	}
	j.uncertainty(&q)
	if q.unsettled != "" {
		return Fitness{Says: q.unsettled}
	}
	if len(q.components) == 0 {
		return Fitness{Says: fmt.Sprintf("the accuracy of %s is not known", j.instrument.Name)}
	}
	j.unzeroed(&q)
	u := 0.0
	for _, c := range append(q.components, i.components...) {
		u = math.Hypot(u, factor*c.Share)
	}
	f := j.weigh(i, at, unit, half, u)
	if i.argument != nil {
		f.Says += fmt.Sprintf(" (%s at %s)", i.argument.subject(), show(i.argument.at))
	}
	return f
}

// base is a value as the other limits of the check expect it, for those that
// compare values.
func (j *judge) base() (quantity.Value, bool) {
	for k := range j.check.Limits {
		m := &j.check.Limits[k]
		if m.Of != "" || m.Words != "" {
			continue
		}
		if i := j.intervalOf(m, false); i.unsettled == "" {
			at, unit, _ := middle(m, i)
			return inUnit(at, unit), true
		}
	}
	return quantity.Value{}, false
}

// middle returns where a limit is judged, in which unit, and half its width:
// the middle, or a single bound.
func middle(m *guide.Limit, i interval) (at float64, unit string, half float64) {
	unit = m.High.Unit
	if m.High.Zero() {
		unit = m.Low.Unit
	}
	switch {
	case i.argument != nil:
		unit = i.argument.curve.OfUnit()
	case !m.Nominal.Zero():
		unit = m.Nominal.Unit
	}
	switch {
	case math.IsInf(i.low, 0):
		return i.high, unit, math.Abs(i.high)
	case math.IsInf(i.high, 0):
		return i.low, unit, math.Abs(i.low)
	}
	return (i.low + i.high) / 2, unit, (i.high - i.low) / 2
}

// unzeroed adds the leads, unless the check has them zeroed.
func (j *judge) unzeroed(q *measured) {
	zeroed := slices.ContainsFunc(j.check.When, func(c guide.Clause) bool { return strings.Contains(c.Words, "zeroed") })
	l := j.instrument.Leads
	if q.dim != quantity.Resistance || l.Zero() || zeroed || j.instrument.FourWire || j.instrument.Zeroed {
		return
	}
	q.components = append(q.components, component("leads", Rectangular, l.Number*leadsKnown, l.Unit, scale(l.Unit)))
	j.remark(fmt.Sprintf("zero the leads, or take their %s off", show(l)))
}

// weigh makes the answer of an uncertainty in SI.
func (j *judge) weigh(i interval, at float64, unit string, half, u float64) Fitness {
	f := Fitness{At: inUnit(at, unit), Expanded: difference(Coverage(coverage, 0)*u, unit), Tolerance: difference(half, unit)}
	if half > 0 {
		f.Ratio = rounded(Coverage(coverage, 0)*u/half, tidyFigures)
	}
	f.Clear = rounded(clearShare(i, at, half, u, j.need), tidyFigures)
	f.Enough = f.Clear >= enoughClear
	word := "good enough"
	if !f.Enough {
		word = "not good enough"
	}
	f.Says = fmt.Sprintf("%s: ± %s at %s is %.2g of the tolerance of %s; %.0f good items in 100 get a clear verdict", word, show(f.Expanded), show(f.At), f.Ratio, show(f.Tolerance), 100*f.Clear)
	return f
}

// clearSteps is the number of values over which good items are averaged.
const clearSteps = 400

// clearShare is the probability that a good item is told to be good: the true
// value anywhere in the limit with equal chance, the reading about it.
func clearShare(i interval, at, half, u, need float64) float64 {
	low, high := i.low, i.high
	switch {
	case math.IsInf(low, 0) && at <= 0, math.IsInf(high, 0) && at < 0:
		return 0 // no scale to spread good items over
	case math.IsInf(low, 0):
		low = 0
	case math.IsInf(high, 0):
		high = 2 * at
	}
	if !(u > 0) {
		return 1
	}
	from, to, ok := acceptance(i, at, half, u, need)
	if !ok {
		return 0
	}
	sum := 0.0
	for k := range clearSteps {
		x := low + (float64(k)+0.5)/clearSteps*(high-low)
		sum += Normal((to-x)/u) - Normal((from-x)/u)
	}
	return math.Max(0, sum/clearSteps)
}

// acceptance returns between which readings the verdict is conforming; false
// when no reading is.
func acceptance(i interval, at, half, u, need float64) (from, to float64, ok bool) {
	if math.IsInf(i.low, 0) || math.IsInf(i.high, 0) {
		guard := quantile(need, 0) * u
		return i.low + guard, i.high - guard, true
	}
	if Conformance(at, u, 0, i.low, i.high) < need {
		return 0, 0, false
	}
	inside, beyond := 0.0, half
	for range halvings {
		mid := (inside + beyond) / 2
		if Conformance(at+mid, u, 0, i.low, i.high) >= need {
			inside = mid
		} else {
			beyond = mid
		}
	}
	return at - inside, at + inside, true
}
