package reading

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// refuse refuses, by name, what belongs to another measuring point or another
// variant.
func (j *judge) refuse() {
	j.refuseVariant()
	j.refusePoint()
}

func (j *judge) refused(s string) {
	j.v.Refused = append(j.v.Refused, s)
	j.bar(s)
}

// refuseVariant: the check is of items that this variant does not have.
func (j *judge) refuseVariant() {
	var gone []guide.ID
	for _, id := range j.check.On {
		if j.r.Item(id) == nil {
			gone = append(gone, id)
		}
	}
	if len(gone) > 0 && len(gone) == len(j.check.On) {
		j.refused(fmt.Sprintf("%s examines %s, which this variant (%s) does not have", j.check.ID, idWords(gone), j.variant()))
	}
}

// variant names the variant in words.
func (j *judge) variant() string {
	var words []string
	for _, a := range j.r.Guide.Axes {
		if v, ok := j.r.Variant[a.ID]; ok {
			words = append(words, string(v))
		}
	}
	if len(words) == 0 {
		return "none settled"
	}
	return strings.Join(words, " ")
}

// fits reports whether a limit holds for this machine, and refuses it by name
// when it does not. An exception of the machine counts for the items of the
// check.
func (j *judge) fits(m *guide.Limit) bool {
	if len(m.For) == 0 || j.fitsMachine(m.For) {
		return true
	}
	says := fmt.Sprintf("the limit %s is for %s, and this machine is %s", without(m), m.For, j.variant())
	for _, e := range j.opt.Exceptions {
		if slices.Contains(j.check.On, e.Item) {
			says += fmt.Sprintf(" with %s of %s", e.Item, e.Variant)
		}
	}
	j.v.Refused = append(j.v.Refused, says)
	return false
}

func (j *judge) fitsMachine(s guide.Selector) bool {
	for _, e := range j.opt.Exceptions {
		if slices.Contains(j.check.On, e.Item) {
			return j.fitsException(s, e.Variant)
		}
	}
	return j.r.Fits(s)
}

// fitsException reports whether a selector fits the variant of an exception,
// and on its other axes the machine.
func (j *judge) fitsException(s, variant guide.Selector) bool {
	var rest guide.Selector
	for _, c := range s {
		own := slices.IndexFunc(variant, func(v guide.Choice) bool { return j.sameAxis(c, v) })
		switch {
		case own < 0:
			rest = append(rest, c)
		case !slices.ContainsFunc(variant[own].Values, func(v guide.ID) bool { return slices.Contains(c.Values, v) }):
			return false
		}
	}
	return j.r.Fits(rest)
}

// sameAxis reports whether two choices are of one axis.
func (j *judge) sameAxis(a, b guide.Choice) bool {
	return slices.ContainsFunc(j.r.Guide.Axes, func(axis guide.Axis) bool {
		has := func(c guide.Choice) bool {
			if c.Axis != "" {
				return c.Axis == axis.ID
			}
			return len(c.Values) > 0 && slices.ContainsFunc(axis.Values, func(v guide.AxisValue) bool { return v.ID == c.Values[0] })
		}
		return has(a) && has(b)
	})
}

// refusePoint: the reading was taken at a point that is not the check's.
func (j *judge) refusePoint() {
	at := j.rd.Point
	if at == "" || j.isPoint(j.check, at) && j.better(at) == nil {
		return
	}
	says := fmt.Sprintf("the limit %s of %s holds at %s, and the reading was taken at %s", limitWords(j.check), j.check.ID, j.pointWords(j.check), at)
	switch there := j.checksAt(at); {
	case len(there) == 1:
		says += fmt.Sprintf("; %s is the check there: %s", there[0].ID, limitWords(there[0]))
	case len(there) > 1:
		var words []string
		for _, c := range there {
			words = append(words, fmt.Sprintf("%s at the %s", c.ID, c.At))
		}
		says += fmt.Sprintf("; the checks there are %s: say at which of them", strings.Join(words, " and "))
	}
	j.refused(says)
}

// There returns the checks by whose limits a reading of a check can be judged
// at the point where it was taken: the check itself at its own point or where
// no point was said; else those of the same items and quantity that the guide
// has there. None means that the guide has no limit for that point; several,
// that more must be said of it ("at the sensor half of X3").
func There(r *guide.Resolved, check *guide.Check, rd Reading) []*guide.Check {
	rd = Settle(r, check, rd)
	j := newJudge(r, check, rd, Options{})
	if rd.Point == "" || j.isPoint(check, rd.Point) && j.better(rd.Point) == nil {
		return []*guide.Check{check}
	}
	return j.checksAt(rd.Point)
}

// checksAt returns the checks of the same items and kind at a point: the one
// that the words settle, else every one that is there.
func (j *judge) checksAt(at string) []*guide.Check {
	if c := j.better(at); c != nil {
		return []*guide.Check{c}
	}
	var there, told []*guide.Check
	for _, c := range j.alike() {
		if !j.isPoint(c, at) {
			continue
		}
		there = append(there, c)
		if words := j.besidePoint(at, c); len(words) > 0 && within(words, content(c.At)) {
			told = append(told, c)
		}
	}
	if len(told) > 0 {
		return told
	}
	return there
}

// besidePoint returns the words about a point beside the item itself.
func (j *judge) besidePoint(at string, c *guide.Check) []string {
	return slices.DeleteFunc(content(at), func(w string) bool { return strings.EqualFold(w, string(c.Point)) })
}

// isPoint reports whether words name the measuring point of a check: its item,
// or what its description of the point says.
func (j *judge) isPoint(c *guide.Check, at string) bool {
	first, _, _ := strings.Cut(at, " ")
	if c.Point != "" && (strings.EqualFold(first, string(c.Point)) || slices.Contains(content(at), strings.ToLower(string(c.Point)))) {
		return true
	}
	if it := j.r.Item(guide.ID(first)); it != nil && c.Point != "" {
		return slices.Contains(content(c.At), strings.ToLower(first)) && len(c.Ways) > 0
	}
	return within(content(at), content(c.At))
}

// better returns another check of the same kind whose description of the
// measuring point has all the words, where that of this check has not: the
// sensor half of a connector is not its harness half.
func (j *judge) better(at string) *guide.Check {
	words := j.besidePoint(at, j.check)
	if len(words) == 0 || within(words, content(j.check.At)) {
		return nil
	}
	for _, c := range j.alike() {
		if c.Point == j.check.Point && within(words, content(c.At)) {
			return c
		}
	}
	return nil
}

// checkAt returns the check of the same items and kind at a point, nil where
// there is none or more than one.
func (j *judge) checkAt(at string) *guide.Check {
	if there := j.checksAt(at); len(there) == 1 {
		return there[0]
	}
	return nil
}

// alike returns the other checks of the same items that read the same kind of
// quantity.
func (j *judge) alike() (out []*guide.Check) {
	for i := range j.r.Guide.Checks {
		c := &j.r.Guide.Checks[i]
		if c.ID == j.check.ID || !slices.ContainsFunc(c.On, func(id guide.ID) bool { return slices.Contains(j.check.On, id) }) {
			continue
		}
		kinds := kindsOf(j.r, c)
		if slices.ContainsFunc(j.dims, func(d quantity.Dimension) bool { return kinds[d] }) {
			out = append(out, c)
		}
	}
	return out
}

func (j *judge) pointWords(c *guide.Check) string {
	if c.Point == "" || strings.Contains(c.At, string(c.Point)) {
		return c.At
	}
	return c.At + " (" + string(c.Point) + ")"
}

// limitWords prints the limits of a check in one line.
func limitWords(c *guide.Check) string {
	words := make([]string, len(c.Limits))
	for i, m := range c.Limits {
		words[i] = m.String()
	}
	return strings.Join(words, ", ")
}

// without prints a limit without the variants that it is for.
func without(m *guide.Limit) string {
	bare := *m
	bare.For = nil
	return bare.String()
}
