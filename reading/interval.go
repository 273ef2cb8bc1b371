package reading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading/law"
)

// interval is the permitted range of a limit in SI, open ends infinite, with
// what makes the range itself uncertain (the temperature that a law is taken
// at). Shares are in SI.
type interval struct {
	low, high  float64
	components []Component
	unsettled  string    // why there is no range
	argument   *argument // of a law
}

// argument is what a law depends on, as the reading states it.
type argument struct {
	clause *guide.Clause // the condition that gives it
	curve  *law.Curve
	at     quantity.Value
	supply quantity.Value
}

// subject names what the law depends on.
func (a *argument) subject() string {
	if a.clause != nil {
		return a.clause.Subject
	}
	return string(quantity.Value{Unit: a.curve.FromUnit()}.Dimension())
}

// intervalOf returns the permitted range of a limit. differences says that
// what is judged is a difference, so that a temperature has no zero.
func (j *judge) intervalOf(m *guide.Limit, differences bool) interval {
	out := j.givenInterval(m, differences)
	if m.Of == "" {
		out.components = append(out.components, j.carried(m)...)
	}
	return out
}

// carried returns what is uncertain about a limit that was carried here from
// another measuring point.
func (j *judge) carried(m *guide.Limit) (out []Component) {
	of := m.Low
	if of.Zero() {
		of = m.High
	}
	for _, c := range j.opt.Carried {
		if of.Dimension() == (quantity.Value{Unit: c.Own}).Dimension() {
			out = append(out, c)
		}
	}
	return out
}

// givenInterval is the range as the limit has it.
func (j *judge) givenInterval(m *guide.Limit, differences bool) interval {
	si := func(v quantity.Value, sign int) float64 {
		if !v.Zero() && differences {
			return v.Number * scale(v.Unit)
		}
		return siOr(v, sign)
	}
	switch {
	case m.Law != "":
		return j.lawInterval(m)
	case !m.Nominal.Zero():
		half, says := tolerance(m.Within, m.Nominal)
		mid := si(m.Nominal, 1)
		return interval{low: mid - half, high: mid + half, unsettled: says}
	}
	return interval{low: si(m.Low, -1), high: si(m.High, 1)}
}

// tolerance returns half the width in SI of "5 %" or "0.1 Ω" about a value.
func tolerance(text string, about quantity.Value) (half float64, says string) {
	v, err := quantity.Parse(text)
	switch {
	case err != nil:
		return 0, "its tolerance is not known"
	case v.Unit == "%" && about.Unit != "%":
		return math.Abs(v.Number / 100 * about.Number * scale(about.Unit)), ""
	case v.Dimension() == about.Dimension():
		return math.Abs(v.Number * scale(v.Unit)), ""
	}
	return 0, "its tolerance is of another kind than its value"
}

// lawInterval is the range about what a law gives under the stated condition.
func (j *judge) lawInterval(m *guide.Limit) interval {
	i := slices.IndexFunc(j.r.Guide.Laws, func(l guide.Law) bool { return l.ID == m.Law })
	if i < 0 {
		return interval{unsettled: "there is no law " + string(m.Law)}
	}
	l := &j.r.Guide.Laws[i]
	curve, err := law.New(l)
	if err != nil {
		return interval{unsettled: err.Error()}
	}
	a := &argument{curve: curve, clause: j.argumentClause(curve)}
	within := m.Within
	if within == "" {
		within = l.Tolerance
	}
	var components []Component
	if components, err = j.argue(a); err != nil {
		return interval{argument: a, unsettled: err.Error()}
	}
	out := lawRange(a, within)
	out.components = append(out.components, components...)
	return out
}

// lawRange returns the range about the law at its argument.
func lawRange(a *argument, within string) interval {
	out := interval{argument: a}
	y, err := a.curve.At(a.at, a.supply)
	if err != nil {
		out.unsettled = err.Error()
		return out
	}
	tol, err := quantity.Parse(within)
	from := quantity.Value{Unit: a.curve.FromUnit()}
	if err == nil && tol.Unit != "%" && tol.Dimension() == from.Dimension() && tol.Dimension() != y.Dimension() {
		slope, err := a.curve.Slope(a.at, a.supply) // a tolerance of what it depends on: ± 0.3 K
		if err != nil {
			out.unsettled = err.Error()
			return out
		}
		half := math.Abs(slope * tol.Number * scale(tol.Unit) / scale(from.Unit) * scale(y.Unit))
		out.low, out.high = y.SI()-half, y.SI()+half
		return out
	}
	half, says := tolerance(within, y)
	out.low, out.high, out.unsettled = y.SI()-half, y.SI()+half, says
	return out
}

// argumentClause returns the condition of the check that says where a law is
// taken: the first with its kind of quantity that is not of the air around.
func (j *judge) argumentClause(c *law.Curve) *guide.Clause {
	want := quantity.Value{Unit: c.FromUnit()}.Dimension()
	for i := range j.check.When {
		w := &j.check.When[i]
		if w.Subject != "" && clauseKind(w) == want && !strings.EqualFold(w.Subject, subjectAmbient) {
			return w
		}
	}
	return nil
}

// supplyUnknown is how far the supply of sensors may lie from its nominal
// value when nobody measured it, half width in V. Common practice, no source.
const supplyUnknown = 0.1

// argue finds the argument of a law among what was stated, and what its
// uncertainty does to the law's value.
func (j *judge) argue(a *argument) ([]Component, error) {
	from := quantity.Value{Unit: a.curve.FromUnit()}
	st, ok := j.argumentStated(a, from.Dimension())
	if !ok {
		return nil, fmt.Errorf("%s is not known, and the limit is a law of it", a.subject())
	}
	a.at = st.Value
	out, err := j.supply(a)
	if err != nil {
		return nil, err
	}
	slope, err := a.curve.Slope(a.at, a.supply)
	if err != nil {
		return nil, err
	}
	perUnit := slope * scale(st.Value.Unit) / scale(a.curve.FromUnit()) * scale(a.curve.OfUnit())
	if half, ok := j.known(a.clause, st); ok && st.Within.Zero() {
		st.Within = half
	}
	c := st.of(strings.TrimSpace(st.Subject+" "+show(st.Value)), Triangular, perUnit)
	if c.U > 0 {
		out = append(out, c)
	}
	return out, nil
}

func (j *judge) argumentStated(a *argument, dim quantity.Dimension) (Stated, bool) {
	lone, n := -1, 0
	for i, st := range j.rd.Stated {
		if st.Value.Zero() || st.Value.Dimension() != dim || strings.EqualFold(st.Subject, subjectAmbient) || strings.EqualFold(st.Subject, subjectBarometer) || j.inWords(st) {
			continue
		}
		if a.clause != nil && sameSubject(a.clause.Subject, st.Subject) {
			j.used[i] = true
			return st, st.Bound == Exact
		}
		lone, n = i, n+1
	}
	if a.clause != nil || n != 1 {
		return Stated{}, false
	}
	j.used[lone] = true
	return j.rd.Stated[lone], j.rd.Stated[lone].Bound == Exact
}

// inWords reports whether a statement repeats a clause in words.
func (j *judge) inWords(st Stated) bool {
	return slices.ContainsFunc(j.check.When, func(c guide.Clause) bool { return c.Words != "" && sameWords(c.Words, st) })
}

// known returns within what a condition is known, where a clause of the check
// says so and it was not denied: "body temperature known within 2 K".
func (j *judge) known(c *guide.Clause, st Stated) (quantity.Value, bool) {
	if c == nil {
		return quantity.Value{}, false
	}
	for _, s := range j.rd.Stated { // what was said goes before what was asked
		if subject, _, ok := strings.Cut(s.Subject, "known within"); ok && !s.Value.Zero() && sameSubject(c.Subject, subject) && s.Value.Dimension() == st.Value.Dimension() {
			return s.Value, true
		}
	}
	for _, w := range j.check.When {
		subject, tail, ok := strings.Cut(w.Words, "known within")
		if f, is := find(tail); ok && is && sameSubject(c.Subject, subject) && f.value.Dimension() == st.Value.Dimension() {
			return f.value, true
		}
	}
	return quantity.Value{}, false
}

// supply finds the supply voltage of a ratiometric law.
func (j *judge) supply(a *argument) ([]Component, error) {
	if !a.curve.NeedsSupply() {
		return nil, nil
	}
	nominal := quantity.Of(law.NominalSupply, "V")
	effect := func(v quantity.Value) (float64, error) {
		y, err := a.curve.At(a.at, v)
		return y.SI() / v.SI(), err // the law is proportional to its supply
	}
	if st, ok := j.stated(subjectSupply, quantity.Voltage); ok {
		a.supply = st.Value
		per, err := effect(st.Value)
		if err != nil {
			return nil, err
		}
		from, _ := a.curve.At(a.at, nominal)
		to, _ := a.curve.At(a.at, st.Value)
		j.v.Corrections = append(j.v.Corrections, Correction{Name: "supply", From: tidy(from), To: tidy(to), Says: fmt.Sprintf("the limit is worked out at a supply of %s instead of %s", show(st.Value), show(nominal))})
		return []Component{st.of("supply", Normal95, -per*scale(st.Value.Unit))}, nil
	}
	a.supply = nominal
	per, err := effect(nominal)
	if err != nil {
		return nil, err
	}
	j.missing("the supply voltage, measured at the same moment (supply 4.98 V)")
	return []Component{component("supply, taken to be "+show(nominal), Rectangular, supplyUnknown, "V", -per)}, nil
}
