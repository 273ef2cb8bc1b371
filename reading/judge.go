package reading

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Judge returns the verdict of a reading on a check of this guide. The reading
// need not have been settled. The check need not be one of the guide: a limit
// worked out for a point of a circuit can be judged as the only one of a check
// made for it. It never fails: what cannot be judged is not comparable, with
// the reasons.
func Judge(r *guide.Resolved, check *guide.Check, rd Reading, opt Options) Verdict {
	j := newJudge(r, check, Settle(r, check, rd), opt)
	j.findInstrument()
	j.conditions()
	j.refuse()
	j.measure()
	for i := range check.Limits {
		j.limit(&check.Limits[i])
	}
	j.conclude()
	return j.v
}

// judge is the work on one verdict.
type judge struct {
	r          *guide.Resolved
	check      *guide.Check
	rd         Reading
	opt        Options
	need       float64 // probability that a clear verdict needs
	dims       []quantity.Dimension
	instrument *Instrument
	measured   []measured
	used       []bool // of rd.Stated
	barred     []string
	loose      []string // limits that could not be judged, and why
	open       bool     // one of them is of the reading itself, not of a comparison of parts
	learned    []string // what is known of the machine whatever the verdict
	v          Verdict
}

func newJudge(r *guide.Resolved, check *guide.Check, rd Reading, opt Options) *judge {
	j := &judge{r: r, check: check, rd: rd, opt: opt, need: opt.Confidence, used: make([]bool, len(rd.Stated))}
	if !(j.need > 0.5 && j.need < 1) {
		j.need = DefaultConfidence
	}
	for d := range kindsOf(r, check) {
		j.dims = append(j.dims, d)
	}
	slices.Sort(j.dims)
	j.v = Verdict{Check: check.ID, Rule: j.rule()}
	return j
}

func (j *judge) rule() string {
	if j.opt.Simple {
		return "simple acceptance (JCGM 106, 8.2.1): the value alone decides, its uncertainty does not"
	}
	return fmt.Sprintf("ISO 14253-1: conforming when the probability of conformance (JCGM 106) is at least %g, non-conforming when the probability of lying beyond one bound is", j.need)
}

func (j *judge) missing(s string) {
	if !slices.Contains(j.v.Missing, s) {
		j.v.Missing = append(j.v.Missing, s)
	}
}

func (j *judge) remark(s string) {
	if !slices.Contains(j.v.Remarks, s) {
		j.v.Remarks = append(j.v.Remarks, s)
	}
}

// bar notes why no limit can be applied to the reading as it is.
func (j *judge) bar(s string) {
	if !slices.Contains(j.barred, s) {
		j.barred = append(j.barred, s)
	}
}

func (j *judge) add(d Judged) { j.v.Parts = append(j.v.Parts, d) }

// unjudged notes a limit that the reading does not answer.
func (j *judge) unjudged(limit, why string) {
	j.v.Partial, j.open = true, true
	j.loose = append(j.loose, limit+": "+why)
	j.missing(why)
}

// uncompared notes a limit that compares parts of which one was not read.
func (j *judge) uncompared(limit, why string) {
	j.v.Partial = true
	j.loose = append(j.loose, limit+": "+why)
	j.missing(why)
}

// limit holds the reading against one limit.
func (j *judge) limit(m *guide.Limit) {
	switch {
	case !j.fits(m):
		return
	case m.Words != "":
		if c := j.limitHolds(m, Part{}); c.State == Met || c.State == Assumed {
			j.wordsLimit(m)
		}
	case m.Of != "":
		j.comparison(m)
	default:
		j.values(m)
	}
}

func (j *judge) comparison(m *guide.Limit) {
	if c := j.limitHolds(m, Part{}); c.State == NotMet || c.State == Unknown {
		j.v.Conditions = append(j.v.Conditions, c)
		return
	}
	qs, says := j.compared(m)
	if says != "" {
		j.uncompared(m.String(), says)
		return
	}
	i := j.intervalOf(m, true)
	for _, q := range qs {
		j.settleOne(m, q, i)
	}
}

// values holds every value of the reading against a limit of the value itself.
func (j *judge) values(m *guide.Limit) {
	i, done := j.intervalOf(m, false), false
	var held Condition
	for _, q := range j.measured {
		if slices.Contains(guide.LimitOf, strings.ToLower(q.part.Name)) || q.dim != "" && !j.sameKind(m, q) {
			continue
		}
		held = j.limitHolds(m, q.part)
		if held.State == NotMet || held.State == Unknown {
			continue
		}
		done = true
		j.settleOne(m, q, i)
	}
	switch {
	case done:
	case held.State == NotMet:
		j.v.Conditions, j.v.Partial = append(j.v.Conditions, held), true
	case held.State == Unknown:
		j.v.Conditions = append(j.v.Conditions, held)
		j.unjudged(m.String(), "say whether: "+held.Clause)
	default:
		j.unjudged(m.String(), "no value for it was read")
	}
}

func (j *judge) sameKind(m *guide.Limit, q measured) bool {
	for _, v := range []quantity.Value{m.Low, m.High, m.Nominal} {
		if !v.Zero() && v.Dimension() == q.dim {
			return true
		}
	}
	if c := curveOf(j.r.Guide, m.Law); c != nil {
		return quantity.Value{Unit: c.OfUnit()}.Dimension() == q.dim
	}
	return m.Law != ""
}

// settleOne judges one value, or notes why not.
func (j *judge) settleOne(m *guide.Limit, q measured, i interval) {
	switch {
	case i.unsettled != "":
		j.unjudgedLaw(m, i)
		j.learnArgument(m, q, i)
		return
	case q.unsettled != "":
		j.bar(q.unsettled)
		return
	case j.unlike(m, q):
		return
	}
	d := j.hold(m.String(), q, i)
	j.add(d)
	if d.Outcome == NonConforming {
		j.ask(m, q, i)
	}
	if d.Outcome == TooClose && math.Abs(2*d.Budget.Expanded) > d.High.Number-d.Low.Number && !d.Low.Zero() && !d.High.Zero() {
		j.remark(fmt.Sprintf("the measurement is too coarse for %s: ± %s for a tolerance of ± %s", d.Limit, show(quantity.Value{Number: d.Budget.Expanded, Unit: d.Budget.Unit}), show(quantity.Value{Number: (d.High.Number - d.Low.Number) / 2, Unit: d.Budget.Unit})))
	}
}

// unjudgedLaw notes a limit without a range. What its law depends on is asked
// for once, with the condition that it is part of.
func (j *judge) unjudgedLaw(m *guide.Limit, i interval) {
	j.v.Partial, j.open = true, true
	j.loose = append(j.loose, m.String()+": "+i.unsettled)
	if i.argument == nil || i.argument.clause == nil {
		j.missing(i.unsettled)
	}
}

// unlike asks back when a limit is a difference of temperatures and the value
// a temperature, or the other way round.
func (j *judge) unlike(m *guide.Limit, q measured) bool {
	limit := m.High
	if limit.Zero() {
		limit = m.Low
	}
	if m.Of != "" || q.dim != quantity.Temperature || limit.Zero() || (limit.Unit == "K") == (q.unit == "K") || q.part.Value.Zero() {
		return false
	}
	other := quantity.Value{Number: q.part.Value.Number, Unit: limit.Unit}
	kind := "a temperature"
	if limit.Unit == "K" {
		kind = "a difference of temperatures"
	}
	j.question(fmt.Sprintf("did you mean %s? The limit %s is %s", show(other), m, kind))
	return true
}

func (j *judge) question(s string) {
	if j.v.Question == "" {
		j.v.Question = s
	}
}

// hold judges a value against a range.
func (j *judge) hold(limit string, q measured, i interval) Judged {
	unit := q.unit
	s := scale(unit)
	d := Judged{Limit: limit, Part: q.part.Name, Item: q.part.Item, Value: inUnit(q.si, unit), Bound: q.bound}
	if !math.IsInf(i.low, 0) {
		d.Low = inUnit(i.low, unit)
	}
	if !math.IsInf(i.high, 0) {
		d.High = inUnit(i.high, unit)
	}
	si, margin := q.si, math.Min(q.si-i.low, i.high-q.si)
	if math.Abs(margin) <= unitSlack*math.Abs(si) { // equal but for a change of unit: on the bound is inside
		si, margin = math.Max(i.low, math.Min(i.high, si)), 0
	}
	d.Margin = difference(margin, unit)
	var components []Component
	for _, c := range append(slices.Clone(q.components), i.components...) {
		c.Sensitivity, c.Share = c.Sensitivity/s, c.Share/s
		components = append(components, c)
	}
	d.Budget = Combine(d.Margin.Unit, components)
	if q.bound != Exact {
		j.holdBound(&d, q, i)
		return d
	}
	u, freedom := d.Budget.Standard*s, wholeFreedom(d.Budget.Freedom)
	d.Probability = Conformance(si, u, freedom, i.low, i.high)
	beyond := math.Max(Conformance(si, u, freedom, math.Inf(-1), i.low), Conformance(si, u, freedom, i.high, math.Inf(1)))
	d.Outcome = j.decide(d.Probability, beyond, margin)
	d.Says = sentence(d)
	return d
}

// decide applies the rule to the probability of conformance and to that of
// lying beyond one bound. The second, not the complement of the first, proves
// non-conformity: a measurement much coarser than its limit proves nothing.
func (j *judge) decide(p, beyond, margin float64) Outcome {
	switch {
	case j.opt.Simple && margin >= 0:
		return Conforming
	case j.opt.Simple:
		return NonConforming
	case p >= j.need:
		return Conforming
	case beyond >= j.need:
		return NonConforming
	}
	return TooClose
}

// holdBound judges what lies above or below a value: it conforms where all of
// that does, does not where none of it does.
func (j *judge) holdBound(d *Judged, q measured, i interval) {
	d.Outcome = NotComparable
	switch {
	case q.bound == Above && q.si >= i.low && math.IsInf(i.high, 1),
		q.bound == Below && q.si <= i.high && math.IsInf(i.low, -1):
		d.Outcome, d.Probability = Conforming, 1
	case q.bound == Above && q.si >= i.high, q.bound == Below && q.si <= i.low:
		d.Outcome = NonConforming
	}
	d.Says = sentence(*d)
	if d.Outcome == NotComparable {
		j.v.Partial = true
		j.missing(fmt.Sprintf("the value itself: %s does not settle %s", q.part, d.Limit))
	}
}

// sentence says in words how a value lies to its range.
func sentence(d Judged) string {
	value := show(d.Value)
	switch d.Bound {
	case Above:
		value = "above " + value
	case Below:
		value = "below " + value
	}
	if d.Part != "" {
		value = d.Part + ": " + value
	}
	by := show(quantity.Value{Number: math.Abs(d.Margin.Number), Unit: d.Margin.Unit})
	where := fmt.Sprintf("inside the limit of %s by %s", bandWords(d), by)
	switch {
	case d.Bound != Exact:
		return fmt.Sprintf("%s, limit %s: %s", value, bandWords(d), d.Outcome)
	case d.Margin.Number == 0:
		where = "on the bound of " + bandWords(d)
	case d.Margin.Number < 0:
		where = fmt.Sprintf("outside the limit of %s by %s", bandWords(d), by)
	}
	return fmt.Sprintf("%s is %s: %s (probability of conformance %s)", value, where, d.Outcome, shareWords(d.Probability))
}

// bandWords names the permitted range.
func bandWords(d Judged) string {
	switch {
	case d.Low.Zero() && d.High.Zero():
		return "no bounds"
	case d.Low.Zero():
		return "at most " + show(d.High)
	case d.High.Zero():
		return "at least " + show(d.Low)
	}
	low := show(quantity.Value{Number: d.Low.Number, Unit: "1"})
	return low + ".." + show(d.High)
}

// shareWords prints a probability without pretending to certainty.
func shareWords(p float64) string {
	switch {
	case p < 0.001:
		return "below 0.001"
	case p > 0.999:
		return "above 0.999"
	}
	return fmt.Sprintf("%.3f", p)
}
