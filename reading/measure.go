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

// measured is a value ready to be judged: SI, corrected, with what makes it
// uncertain. Shares of components are in SI.
type measured struct {
	part       Part
	si         float64
	unit       string // to show it in
	dim        quantity.Dimension
	bound      Bound
	components []Component
	unsettled  string // why it cannot be judged
}

// spreadOf returns the mean and the standard deviation of one value.
func spreadOf(all []float64) (mean, deviation float64) {
	for _, v := range all {
		mean += v / float64(len(all))
	}
	for _, v := range all {
		deviation += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(deviation / float64(len(all)-1))
}

// measure makes every part ready, with its corrections.
func (j *judge) measure() {
	for _, p := range j.rd.Parts {
		q := j.ready(p)
		if q.unsettled == "" && q.dim == quantity.Resistance {
			j.leads(&q)
		}
		if q.unsettled == "" && q.dim == quantity.Pressure {
			j.airPressure(&q)
		}
		j.measured = append(j.measured, q)
	}
	j.subtract()
}

// subtract makes one value of two where the check is of a difference by its
// name ("housing temperature minus coolant reading") and of one item: the first
// minus the second, as they were typed.
func (j *judge) subtract() {
	if len(j.measured) != 2 || len(j.check.On) > 1 || comparesParts(j.check) || !slices.Contains(content(j.check.Name), "minus") {
		return
	}
	a, b := j.measured[0], j.measured[1]
	if a.dim != b.dim || a.unsettled+b.unsettled != "" || a.bound != Exact || b.bound != Exact {
		return
	}
	name := ""
	if a.part.Name != "" && b.part.Name != "" {
		name = a.part.Name + " minus " + b.part.Name
	}
	q := combined(name, a.si-b.si, []measured{a, b}, []float64{1, -1}, deltaUnit(a.unit))
	q.part.Value = inUnit(q.si, q.unit)
	j.measured = []measured{q}
}

func (j *judge) ready(p Part) measured {
	q := measured{part: p, si: p.Value.SI(), unit: p.Value.Unit, dim: p.Value.Dimension(), bound: p.Bound}
	if p.Value.Zero() {
		j.overRange(&q)
		return q
	}
	if p.Bound == Exact {
		j.uncertainty(&q)
	}
	return q
}

// overRange makes a display over its range a bound, where the reach of the
// instrument is known.
func (j *judge) overRange(q *measured) {
	for _, dim := range j.dims {
		if j.instrument == nil {
			break
		}
		if most, ok := j.instrument.reach(dim); ok {
			q.part.Value, q.si, q.unit, q.dim, q.bound = most, most.SI(), most.Unit, dim, Above
			return
		}
	}
	q.unsettled = "the display was over its range, and how far it reaches is not known"
	j.missing("how far the instrument reaches, like > 40 MΩ instead of OL")
}

// uncertainty collects what makes a value uncertain.
func (j *judge) uncertainty(q *measured) {
	p, s := q.part, scale(q.unit)
	known := false
	if j.instrument != nil && len(j.instrument.Ranges) > 0 {
		si := q.si
		if p.Value.Unit == "K" { // a difference of temperatures: as accurate as a temperature near 0 °C
			si += quantity.Value{Unit: "°C"}.SI()
		}
		r := j.instrument.rangeFor(q.dim, si)
		switch {
		case r != nil:
			var c Component
			c, known = r.component("accuracy of "+j.instrument.Name, si)
			if c.Name != "" {
				q.components = append(q.components, c)
			}
			if !r.Step.Zero() && p.Step*s > r.Step.Number*scale(r.Step.Unit)*(1+unitSlack) && known {
				q.components = append(q.components, component("rounding as written", Rectangular, p.Step/2, q.unit, s))
			}
		case j.instrument.measures(q.dim):
			q.unsettled = fmt.Sprintf("%s lies outside every range of %s", show(p.Value), j.instrument.Name)
		default:
			q.unsettled = fmt.Sprintf("%s has no range for %s", j.instrument.Name, q.dim)
		}
	}
	if !p.Within.Zero() {
		q.components = append(q.components, component("stated ±", Normal95, p.Within.Number*scale(p.Within.Unit)/s, q.unit, s))
		known = true
	}
	if !known && len(q.components) == 0 && p.Step > 0 {
		q.components = append(q.components, component("last digit as written", Rectangular, p.Step/2, q.unit, s))
	}
	if r := p.Repeats; r != nil && r.Number > 1 {
		u := r.Deviation / math.Sqrt(float64(r.Number))
		q.components = append(q.components, Component{Name: fmt.Sprintf("scatter of %d readings", r.Number), Shape: Statistical, Own: q.unit, U: u, Sensitivity: s, Share: u * s, Freedom: float64(r.Number - 1)})
	}
	if !known && q.unsettled == "" {
		j.missing("the accuracy of the instrument")
	}
}

// stated returns what was said of a subject that corrects values, and marks it
// as used.
func (j *judge) stated(subject string, dims ...quantity.Dimension) (Stated, bool) {
	for i, st := range j.rd.Stated {
		if strings.EqualFold(st.Subject, subject) && slices.Contains(dims, st.Value.Dimension()) {
			j.used[i] = true
			return st, true
		}
	}
	return Stated{}, false
}

// of returns the component that the uncertainty of a statement adds.
func (st Stated) of(name string, shape Shape, sensitivity float64) Component {
	half := st.Step / 2
	if !st.Within.Zero() {
		half = st.Within.Number * scale(st.Within.Unit) / scale(st.Value.Unit)
	} else {
		shape = Rectangular
	}
	return component(name, shape, half, st.Value.Unit, sensitivity)
}

// leadsKnown is how well the resistance of leads that were measured once is
// known, as a share of it: their contacts differ each time. Common practice,
// no source.
const leadsKnown = 0.2

// leadsMatter is the share of a resistance from which leads are worth a word:
// less is below what a hand-held meter tells apart. Common practice, no source.
const leadsMatter = 0.002

// leads takes the resistance of the leads off.
func (j *judge) leads(q *measured) {
	if j.leadsCleared() || q.bound != Exact {
		return
	}
	from := q.part.Value
	if st, ok := j.stated(subjectLeads, quantity.Resistance); ok {
		q.si -= st.Value.SI()
		q.components = append(q.components, st.of("leads", Normal95, -scale(st.Value.Unit)))
		j.corrected("leads", q, from, fmt.Sprintf("less %s of leads", show(st.Value)))
		return
	}
	if j.instrument == nil || j.instrument.Leads.SI() < leadsMatter*q.si || j.instrument.Leads.Zero() {
		return
	}
	l := j.instrument.Leads
	half, off, says := l.Number*leadsKnown, l.Number, fmt.Sprintf("less %s of leads of %s, which were not zeroed", show(l), j.instrument.Name)
	if !j.deniedZero() {
		half, off = l.Number/2, l.Number/2
		says = fmt.Sprintf("less half of the %s of leads of %s: nobody said whether they were zeroed", show(l), j.instrument.Name)
		j.missing("whether the leads were zeroed")
	}
	q.si -= off * scale(l.Unit)
	q.components = append(q.components, component("leads", Rectangular, half, l.Unit, -scale(l.Unit)))
	j.corrected("leads", q, from, says)
}

// leadsCleared reports whether the leads do not count in the value.
func (j *judge) leadsCleared() bool {
	if j.instrument != nil && (j.instrument.FourWire || j.instrument.Zeroed) {
		return true
	}
	for i, st := range j.rd.Stated {
		if slices.Contains(content(st.Text), "four-wire") || compareWords("leads zeroed", st.Text) == same {
			j.used[i] = true
			return true
		}
	}
	return false
}

func (j *judge) deniedZero() bool {
	for i, st := range j.rd.Stated {
		if compareWords("leads zeroed", st.Text) == contrary {
			j.used[i] = true
			return true
		}
	}
	return false
}

func (j *judge) corrected(name string, q *measured, from quantity.Value, says string) {
	j.v.Corrections = append(j.v.Corrections, Correction{Name: name, Part: q.part.Name, From: from, To: inUnit(q.si, q.unit), Says: says})
}

// weather is how far the air pressure of a day may lie from that of the
// standard atmosphere at the altitude, half width in hPa. Common practice, no
// source.
const weather = 35.0

// airPressure turns a pressure that was measured absolute into a gauge
// pressure, or the other way, where the check asks for the other.
func (j *judge) airPressure(q *measured) {
	asked := pressureOf(j.r, j.check)
	if q.part.Pressure == "" || q.part.Pressure == asked {
		return
	}
	if asked == "" {
		q.unsettled = "the check does not say whether its limit is a gauge or an absolute pressure"
		j.missing("whether the limit is a gauge or an absolute pressure")
		return
	}
	air, c, says, ok := j.air()
	if !ok {
		q.unsettled = fmt.Sprintf("the reading is %s, the limit %s", q.part.Pressure, asked)
		j.missing("the air pressure (barometer 1005 hPa) or the altitude (altitude 300 m)")
		return
	}
	from, sign := q.part.Value, 1.0
	if asked == GaugePressure {
		sign = -1
	}
	q.si += sign * air
	c.Sensitivity *= sign
	q.components = append(q.components, c)
	j.corrected("air pressure", q, from, fmt.Sprintf("%s pressure made %s with %s", q.part.Pressure, asked, says))
}

// air returns the pressure of the air in Pa with its uncertainty.
func (j *judge) air() (pa float64, c Component, says string, ok bool) {
	if st, ok := j.stated(subjectBarometer, quantity.Pressure); ok {
		return st.Value.SI(), st.of("air pressure", Normal95, scale(st.Value.Unit)), show(st.Value) + " of the barometer", true
	}
	st, ok := j.stated(subjectAltitude, quantity.Length, quantity.Distance)
	if !ok {
		return 0, Component{}, "", false
	}
	p, err := law.Air(st.Value)
	if err != nil {
		j.remark(err.Error())
		return 0, Component{}, "", false
	}
	return p.SI(), component("weather", Rectangular, weather, "hPa", scale("hPa")), fmt.Sprintf("%s of the standard atmosphere at %s", show(p), show(st.Value)), true
}

// pressureOf returns what kind of pressure a check asks for, by its words and
// those of its law and instruments; empty when they do not say.
func pressureOf(r *guide.Resolved, check *guide.Check) Pressure {
	texts := []string{check.Name, check.At}
	for i := range check.Limits {
		for _, l := range r.Guide.Laws {
			if l.ID == check.Limits[i].Law {
				texts = append(texts, l.Of)
			}
		}
	}
	var tools []string
	for _, t := range r.Guide.Tools {
		if slices.Contains(check.Instrument, t.ID) {
			tools = append(tools, t.Name)
		}
	}
	for _, said := range [][]string{texts, tools} {
		words := content(strings.Join(said, " "))
		absolute, gauge := slices.Contains(words, "absolute"), slices.Contains(words, "gauge")
		switch {
		case absolute && !gauge:
			return AbsolutePressure
		case gauge && !absolute:
			return GaugePressure
		}
	}
	return ""
}
