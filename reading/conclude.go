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

// conclude puts the parts together: one non-conforming part decides, then one
// that is too close, then one that could not be judged.
func (j *judge) conclude() {
	j.v.Would = j.worst()
	j.v.Outcome = j.v.Would
	j.reasons()
	if len(j.barred) > 0 || j.v.Question != "" || j.open && j.v.Would == Conforming {
		j.v.Outcome = NotComparable
	}
	j.comparisonSide()
	for i, st := range j.rd.Stated {
		if !j.used[i] {
			j.v.Unused = append(j.v.Unused, st.Text)
		}
	}
	j.v.Says = j.says()
	if j.v.Outcome == NotComparable {
		j.v.Anyway = j.anyway()
	}
}

// worst returns the outcome of the parts alone.
func (j *judge) worst() Outcome {
	for _, o := range []Outcome{NonConforming, TooClose, NotComparable, Conforming} {
		if slices.ContainsFunc(j.v.Parts, func(d Judged) bool { return d.Outcome == o }) {
			return o
		}
	}
	return NotComparable
}

// reasons bars the reading for every condition that is missed or not known.
// That is the rule: a limit says nothing where its conditions may not hold.
// States of the machine that the check brings about count as met.
func (j *judge) reasons() {
	for _, c := range j.v.Conditions {
		switch {
		case c.Limit != "": // belongs to one limit, which was left out for it
		case c.State == Met && c.Off != "":
			j.remark(c.Clause + ": " + c.Off)
		case c.State == NotMet:
			j.bar(fmt.Sprintf("%s: not met, %s", c.Clause, c.Off))
		case c.State == Unknown:
			j.bar(c.Clause + ": not known")
			j.missing("say of it: " + c.Clause)
		}
	}
	if len(j.v.Parts) == 0 && len(j.barred) == 0 {
		j.bar(j.nothing())
	}
}

// nothing says why no limit was judged.
func (j *judge) nothing() string {
	switch {
	case len(j.loose) > 0:
		return strings.Join(j.loose, "; ")
	case len(j.v.Refused) > 0:
		return strings.Join(j.v.Refused, "; ")
	case len(j.check.Limits) == 0:
		return string(j.check.ID) + " has no limit"
	}
	return "nothing was read that a limit of " + string(j.check.ID) + " is of"
}

// says is the verdict in one sentence.
func (j *judge) says() string {
	if j.v.Outcome != NotComparable {
		return j.partSays(j.v.Outcome)
	}
	if j.v.Question != "" {
		return string(NotComparable) + ": " + j.v.Question
	}
	if len(j.barred) == 0 && j.open && j.v.Would != NotComparable {
		return string(NotComparable) + ": " + strings.Join(j.loose, "; ")
	}
	if len(j.barred) == 0 {
		return j.partSays(NotComparable)
	}
	return string(NotComparable) + ": " + strings.Join(j.barred, "; ")
}

// partSays joins what the parts of an outcome say.
func (j *judge) partSays(o Outcome) string {
	var says []string
	for _, d := range j.v.Parts {
		if d.Outcome == o {
			says = append(says, d.Says)
		}
	}
	s := strings.Join(says, "; ")
	if j.v.Partial && o == Conforming {
		s += "; not everything the check asks for was read"
	}
	return s
}

// comparisonSide says what the other side tells: a good one clears the
// instrument, the leads and the method.
func (j *judge) comparisonSide() {
	var good, bad []string
	for _, d := range j.v.Parts {
		name := d.Part
		if it := j.r.Item(d.Item); it != nil && it.Side != "" {
			name = string(it.Side)
		}
		if name = strings.ToLower(name); name != string(guide.Left) && name != string(guide.Right) {
			continue
		}
		switch d.Outcome {
		case Conforming:
			good = append(good, name)
		case NonConforming:
			bad = append(bad, name)
		}
	}
	for _, b := range bad {
		for _, g := range good {
			if g != b && !slices.Contains(good, b) {
				j.remark(fmt.Sprintf("the comparison side (%s) is healthy: instrument, leads and method are good, the trouble is on the %s", g, b))
			}
		}
	}
	if len(good) == 0 && slices.Contains(bad, "left") && slices.Contains(bad, "right") {
		j.remark("both sides fail alike: look at what they share, and doubt the measurement before two parts")
	}
}

// anyway says what is learned although no limit applies.
func (j *judge) anyway() string {
	var says []string
	if j.v.Would != NotComparable && j.v.Question == "" {
		says = append(says, "as it was read it would be "+string(j.v.Would)+": "+j.partSays(j.v.Would))
	}
	says = append(says, j.elsewhere()...)
	says = append(says, j.leadsWould()...)
	says = append(says, j.copperWould()...)
	says = append(says, j.learned...)
	return strings.Join(says, "; ")
}

// elsewhere judges the reading by the limit of the point where it was taken.
func (j *judge) elsewhere() []string {
	if j.rd.Point == "" {
		return nil
	}
	other := j.checkAt(j.rd.Point)
	if other == nil || j.isPoint(j.check, j.rd.Point) && j.better(j.rd.Point) == nil {
		return j.cable()
	}
	opt := j.opt
	opt.Assume = true
	rd := j.rd
	rd.Check = other.ID
	v := Judge(j.r, other, rd, opt)
	return append([]string{fmt.Sprintf("by %s, the check at %s, it is %s", other.ID, j.rd.Point, v.Would)}, j.cable()...)
}

// cable works out what would be read without the cable between, where its
// length was said and the guide has a law for it.
func (j *judge) cable() (out []string) {
	st, ok := j.stated(subjectCable, quantity.Length)
	if !ok {
		return nil
	}
	for i := range j.r.Guide.Laws {
		c, err := law.New(&j.r.Guide.Laws[i])
		if err != nil || (quantity.Value{Unit: c.OfUnit()}).Dimension() != quantity.Capacitance {
			continue
		}
		f, err := c.At(st.Value, quantity.Value{})
		if err != nil {
			continue
		}
		for _, q := range j.measured {
			if q.dim == quantity.Capacitance {
				out = append(out, strings.TrimSpace(fmt.Sprintf("%s less %s of cable is %s", q.part, show(f), show(inUnit(q.si-f.SI(), q.unit)))))
			}
		}
		return out
	}
	return nil
}

// leadsWould says which resistance of the leads would bring a value into its
// limit, when nobody said that they were zeroed.
func (j *judge) leadsWould() (out []string) {
	asked := slices.ContainsFunc(j.v.Conditions, func(c Condition) bool {
		return (c.State == Unknown || c.State == NotMet) && slices.Contains(content(c.Clause), "zeroed")
	})
	if !asked {
		return nil
	}
	for _, d := range j.v.Parts {
		i := slices.IndexFunc(j.measured, func(q measured) bool { return q.part.Name == d.Part && q.dim == quantity.Resistance })
		if i < 0 || d.Low.Zero() || d.High.Zero() {
			continue
		}
		shown, _ := j.measured[i].part.Value.In(d.Low.Unit)
		if shown.Number < d.Low.Number {
			continue
		}
		least := quantity.Value{Number: math.Max(0, shown.Number-d.High.Number), Unit: d.Low.Unit}
		most := quantity.Value{Number: shown.Number - d.Low.Number, Unit: d.Low.Unit}
		out = append(out, fmt.Sprintf("leads of %s to %s would bring it into the limit: put the tips together and read them", show(least), show(most)))
	}
	return out
}

// copperWould corrects a coil that was measured too warm or too cold to 20 °C.
// It is no verdict: the limit was given for the range of its condition.
func (j *judge) copperWould() (out []string) {
	words := content(j.check.Name)
	if !slices.Contains(words, "coil") && !slices.Contains(words, "winding") {
		return nil
	}
	for i := range j.check.When {
		c := &j.check.When[i]
		k := slices.IndexFunc(j.rd.Stated, func(st Stated) bool {
			return c.Subject != "" && sameSubject(c.Subject, st.Subject) && st.Value.Dimension() == quantity.Temperature
		})
		if k < 0 || c.Low.Zero() || c.High.Zero() || clauseKind(c) != quantity.Temperature {
			continue
		}
		if state, _ := holds(c, j.rd.Stated[k]); state != NotMet {
			continue
		}
		for _, q := range j.measured {
			if at20, err := law.CopperTo20(inUnit(q.si, q.unit), j.rd.Stated[k].Value); err == nil && q.dim == quantity.Resistance {
				out = append(out, fmt.Sprintf("as copper it would have %s at 20 °C", show(at20)))
			}
		}
	}
	return out
}

// outsideLaw asks back when a law can give a value nowhere in its range, and the
// same number in another unit it can.
func (j *judge) outsideLaw(m *guide.Limit, q measured, a *argument) bool {
	able := func(v quantity.Value) bool {
		_, err := a.curve.Inverse(v, a.supply)
		return err == nil
	}
	value := q.part.Value
	if value.Zero() || able(value) {
		return false
	}
	for _, unit := range mistakable(value.Unit) {
		if other := (quantity.Value{Number: value.Number, Unit: unit}); able(other) {
			j.question(fmt.Sprintf("did you mean %s? The law %s gives %s nowhere in its range, but it gives %s", other, m.Law, value, other))
			return true
		}
	}
	return false
}

// learnArgument says for which temperature, pressure or length a value would
// conform to a law whose argument is not known.
func (j *judge) learnArgument(m *guide.Limit, q measured, i interval) {
	if i.argument == nil || q.unsettled != "" || q.bound != Exact {
		return
	}
	within := m.Within
	for _, l := range j.r.Guide.Laws {
		if l.ID == m.Law && within == "" {
			within = l.Tolerance
		}
	}
	if j.outsideLaw(m, q, i.argument) {
		return
	}
	value := inUnit(q.si, q.unit)
	half, says := tolerance(within, value)
	if says != "" {
		half = 0
	}
	c := i.argument.curve
	var ends []quantity.Value
	for _, v := range []float64{q.si - half, q.si + half} {
		x, err := c.Inverse(inUnit(v, c.OfUnit()), i.argument.supply)
		if err != nil {
			j.learned = append(j.learned, fmt.Sprintf("%s is more or less than %s can give anywhere in its range: open or short circuit, or another unit", show(value), m.Law))
			return
		}
		ends = append(ends, x)
	}
	if ends[0].Number > ends[1].Number {
		ends[0], ends[1] = ends[1], ends[0]
	}
	j.learned = append(j.learned, fmt.Sprintf("%s is what is read when %s is about %s to %s", show(value), i.argument.subject(), show(ends[0]), show(ends[1])))
}
