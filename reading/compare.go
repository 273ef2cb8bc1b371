package reading

import (
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// compared makes the value that a limit compares of the parts: their spread,
// left minus right, ratio, sum, change or rate. Says why not, where it cannot.
func (j *judge) compared(m *guide.Limit) (out []measured, says string) {
	for _, q := range j.measured {
		if strings.EqualFold(q.part.Name, m.Of) {
			return []measured{q}, "" // "spread 0.1 Ω": it was compared already
		}
	}
	own := slices.DeleteFunc(slices.Clone(j.measured), func(q measured) bool { return slices.Contains(guide.LimitOf, strings.ToLower(q.part.Name)) })
	own = slices.DeleteFunc(own, func(q measured) bool { return !comparable(m, q) })
	if len(own) == 1 && own[0].part.Name == "" && j.onlyCompares() {
		if m.Of == "rate" {
			return j.rate(m, own[0])
		}
		return own, "" // the only value is what the check compares
	}
	if i := slices.IndexFunc(own, func(q measured) bool { return q.unsettled != "" }); i >= 0 {
		return nil, own[i].unsettled
	}
	if i := slices.IndexFunc(own, func(q measured) bool { return q.bound != Exact }); i >= 0 {
		return nil, "one of the values is a bound only"
	}
	switch m.Of {
	case "spread":
		return spread(m, own)
	case "sum":
		return sum(own)
	case "left-right":
		return j.leftRight(m, own)
	case "ratio":
		return ratio(own)
	case "before-after":
		return between(m, own, [2]string{"before", "after"})
	case "rate":
		q, says := between(m, own, [2]string{"start", "end"})
		if says != "" {
			return nil, says
		}
		return j.rate(m, q[0])
	}
	return nil, "this limit compares in a way that is not known: " + m.Of
}

// comparable reports whether a value is of the kind that a limit compares.
func comparable(m *guide.Limit, q measured) bool {
	if m.Of == "ratio" || q.dim == "" {
		return true
	}
	for _, v := range []quantity.Value{m.Low, m.High, m.Nominal} {
		if !v.Zero() && v.Dimension() == q.dim || v.Unit == "%" && m.Of == "spread" {
			return true
		}
	}
	return false
}

// onlyCompares reports whether every limit with a number compares parts.
func (j *judge) onlyCompares() bool {
	return !slices.ContainsFunc(j.check.Limits, func(m guide.Limit) bool { return m.Of == "" && m.Words == "" })
}

// combined makes a measured value of others: value, and the share of each by
// its factor. Components of the same instrument are taken as if they did not
// depend on one another, which is too much rather than too little.
func combined(name string, si float64, parts []measured, factors []float64, unit string) measured {
	out := measured{part: Part{Name: name}, si: si, unit: unit, dim: quantity.Value{Unit: unit}.Dimension()}
	for i, q := range parts {
		for _, c := range q.components {
			if q.part.Name != "" {
				c.Name = q.part.Name + ": " + c.Name
			}
			c.Sensitivity *= factors[i]
			c.Share *= math.Abs(factors[i])
			out.components = append(out.components, c)
		}
	}
	return out
}

// deltaUnit is the unit for a difference of values in a unit.
func deltaUnit(unit string) string { return difference(0, unit).Unit }

// spread is greatest minus least; as a share of the greatest where the limit is
// in per cent and the values are not.
func spread(m *guide.Limit, own []measured) ([]measured, string) {
	if len(own) < 2 {
		return nil, "a spread needs at least two values"
	}
	low := slices.MinFunc(own, func(a, b measured) int { return compareFloat(a.si, b.si) })
	high := slices.MaxFunc(own, func(a, b measured) int { return compareFloat(a.si, b.si) })
	name := "greatest minus least"
	if high.part.Name != "" && low.part.Name != "" {
		name = high.part.Name + " minus " + low.part.Name
	}
	if m.High.Unit == "%" && high.dim != quantity.Ratio && high.si > 0 {
		return []measured{combined(name, 1-low.si/high.si, []measured{high, low}, []float64{low.si / (high.si * high.si), -1 / high.si}, "%")}, ""
	}
	return []measured{combined(name, high.si-low.si, []measured{high, low}, []float64{1, -1}, deltaUnit(high.unit))}, ""
}

func compareFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func sum(own []measured) ([]measured, string) {
	if len(own) < 2 {
		return nil, "a sum needs its parts"
	}
	total, factors := 0.0, make([]float64, len(own))
	var names []string
	for i, q := range own {
		total += q.si
		factors[i] = 1
		if q.part.Name != "" {
			names = append(names, q.part.Name)
		}
	}
	return []measured{combined(strings.Join(names, " + "), total, own, factors, own[0].unit)}, ""
}

// leftRight pairs the sides; where several items are on a side they pair by
// their names without the side.
func (j *judge) leftRight(m *guide.Limit, own []measured) (out []measured, says string) {
	for _, left := range own {
		if j.side(left) != guide.Left {
			continue
		}
		for _, right := range own {
			if j.side(right) == guide.Right && j.twins(left, right) {
				out = append(out, signed(m, "left minus right", left, right))
				if left.part.Item != "" && left.part.Name != "left" {
					out[len(out)-1].part.Name = left.part.Name + " minus " + right.part.Name
				}
			}
		}
	}
	if len(out) == 0 {
		return nil, "left and right are needed"
	}
	return out, ""
}

// signed is the difference of two values; its size alone where the limit has
// an upper bound only.
func signed(m *guide.Limit, name string, a, b measured) measured {
	d := a.si - b.si
	if m.Low.Zero() && m.Nominal.Zero() {
		d = math.Abs(d)
	}
	return combined(name, d, []measured{a, b}, []float64{1, -1}, deltaUnit(a.unit))
}

func (j *judge) side(q measured) guide.Side {
	if it := j.r.Item(q.part.Item); it != nil {
		return it.Side
	}
	return guide.Side(strings.ToLower(q.part.Name))
}

// twins reports whether two parts are the same thing on both sides.
func (j *judge) twins(a, b measured) bool {
	x, y := j.r.Item(a.part.Item), j.r.Item(b.part.Item)
	if x == nil || y == nil {
		return x == nil && y == nil
	}
	strip := func(s string) []string {
		return slices.DeleteFunc(content(s), func(w string) bool { return w == "left" || w == "right" })
	}
	n := 0
	for _, id := range j.check.On {
		if it := j.r.Item(id); it != nil && it.Side == y.Side {
			n++
		}
	}
	return slices.Equal(strip(x.Name), strip(y.Name)) || n == 1
}

func ratio(own []measured) ([]measured, string) {
	if len(own) != 2 {
		return nil, "a ratio needs two values"
	}
	a, b := own[0], own[1]
	if strings.EqualFold(a.part.Name, "left") { // right over left, as the sides are named everywhere
		a, b = b, a
	}
	if b.si == 0 || a.dim != b.dim {
		return nil, "the two values make no ratio"
	}
	r := a.si / b.si
	return []measured{combined(a.part.Name+" over "+b.part.Name, r, []measured{a, b}, []float64{1 / b.si, -r / b.si}, "1")}, ""
}

func between(m *guide.Limit, own []measured, names [2]string) ([]measured, string) {
	var ends [2]*measured
	for i := range own {
		for k, n := range names {
			if strings.EqualFold(own[i].part.Name, n) || k == 0 && strings.EqualFold(own[i].part.Name, "before") || k == 1 && strings.EqualFold(own[i].part.Name, "after") {
				ends[k] = &own[i]
			}
		}
	}
	if ends[0] == nil || ends[1] == nil {
		return nil, names[0] + " and " + names[1] + " are needed"
	}
	return []measured{signed(m, names[1]+" minus "+names[0], *ends[1], *ends[0])}, ""
}

// rate divides a change by the stated time and takes it for the time of the
// limit.
func (j *judge) rate(m *guide.Limit, q measured) ([]measured, string) {
	if m.Per.Zero() {
		return nil, "the limit does not say in what time the change is meant"
	}
	st, ok := j.stated(subjectTime, quantity.Time)
	if !ok || !(st.Value.SI() > 0) {
		return nil, "in what time it changed is not known; say it like over 30 s"
	}
	f := m.Per.SI() / st.Value.SI()
	name := q.part.Name
	q.part.Name = ""
	out := combined(name, q.si*f, []measured{q}, []float64{f}, deltaUnit(q.unit))
	c := st.of("time", Normal95, q.si*f/st.Value.SI()*scale(st.Value.Unit))
	out.components = append(out.components, c)
	out.bound = q.bound
	return []measured{out}, ""
}
