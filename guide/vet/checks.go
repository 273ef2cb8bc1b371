package vet

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// depends are the quantities that mean nothing without the conditions under
// which they were read.
var depends = []quantity.Dimension{
	quantity.Resistance, quantity.Pressure, quantity.Voltage, quantity.Current, quantity.MassFlow,
	quantity.Capacitance, quantity.Rotation, quantity.Temperature, quantity.Frequency,
}

// dimension returns what a limit measures; "" when it is words only.
func dimension(l *guide.Limit) quantity.Dimension {
	for _, v := range []quantity.Value{l.Low, l.High, l.Nominal} {
		if !v.Zero() {
			return v.Dimension()
		}
	}
	return ""
}

// eachLimit visits every limit of every check.
func (e *examiner) eachLimit(visit func(path string, c *guide.Check, l *guide.Limit)) {
	for i := range e.g.Checks {
		c := &e.g.Checks[i]
		for n := range c.Limits {
			visit(nth(within("checks", c.ID), "limits", n), c, &c.Limits[n])
		}
	}
}

func lookLimitBare(e *examiner) {
	e.eachLimit(func(path string, c *guide.Check, l *guide.Limit) {
		if d := dimension(l); slices.Contains(depends, d) && len(l.When) == 0 && len(c.When) == 0 && len(c.With) == 0 {
			e.report(path, l.String(), fmt.Sprintf("check %s (%s): %s depends on the conditions, and none is written", c.ID, c.Name, d),
				"write under which conditions the limit holds: when coolant >= 80 °C, engine off, unplugged")
		}
	})
}

func lookLimitEmpty(e *examiner) {
	e.eachLimit(func(path string, c *guide.Check, l *guide.Limit) {
		if l.Low.Zero() || l.High.Zero() {
			return
		}
		switch cmp, err := l.Low.Compare(l.High); {
		case err != nil:
			e.report(path, l.String(), fmt.Sprintf("check %s: the two ends of the limit are %s and %s", c.ID, l.Low.Dimension(), l.High.Dimension()),
				"write both ends in units of the same quantity")
		case cmp > 0:
			e.report(path, l.String(), fmt.Sprintf("check %s: no reading can lie between %s and %s", c.ID, l.Low, l.High), "turn the two ends round")
		}
	})
}

// word ties a word in the name of a check to the quantities that it can mean.
type word struct {
	says string
	dims []quantity.Dimension
}

// quantityWords are looked for in the name of a check; the first that stands
// in it decides.
var quantityWords = []word{
	{"pressure", []quantity.Dimension{quantity.Pressure}},
	{"vacuum", []quantity.Dimension{quantity.Pressure}},
	{"compression", []quantity.Dimension{quantity.Pressure}},
	{"voltage", []quantity.Dimension{quantity.Voltage}},
	{"current", []quantity.Dimension{quantity.Current}},
	{"resistance", []quantity.Dimension{quantity.Resistance}},
	{"insulation", []quantity.Dimension{quantity.Resistance}},
	{"capacitance", []quantity.Dimension{quantity.Capacitance}},
	{"temperature", []quantity.Dimension{quantity.Temperature}},
	{"temperatures", []quantity.Dimension{quantity.Temperature}},
	{"gap", []quantity.Dimension{quantity.Length}},
	{"torque", []quantity.Dimension{quantity.Torque}},
	{"time", []quantity.Dimension{quantity.Time}},
	{"frequency", []quantity.Dimension{quantity.Frequency, quantity.Rotation}},
	{"mass", []quantity.Dimension{quantity.MassFlow, quantity.Mass}},
	{"ratio", []quantity.Dimension{quantity.Ratio}},
}

// relative are words after which a share is compared instead of the quantity.
var relative = []string{"relative", "share", "balance", "drop rate", "correction"}

// namedQuantity returns the first quantity that the name of a check speaks of.
func namedQuantity(name string) (word, bool) {
	for _, w := range strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == ' ' || r == ',' || r == '-' || r == '/' }) {
		for _, q := range quantityWords {
			if w == q.says {
				return q, true
			}
		}
	}
	return word{}, false
}

// differs reports whether the limit bounds a difference of two readings.
func differs(c *guide.Check, l *guide.Limit) bool {
	return l.Of != "" && l.Of != "rate" && l.Of != "sum" || slices.ContainsFunc(tokens(c.Name), func(w string) bool {
		return w == "minus" || w == "difference" || w == "offset"
	})
}

// absolute are the units in which a difference of temperatures cannot be
// written, because they have a zero of their own.
var absolute = []string{"°C", "°F"}

func lookImpossibleUnit(e *examiner) {
	e.eachLimit(func(path string, c *guide.Check, l *guide.Limit) {
		if unit := l.Low.Unit + l.High.Unit; differs(c, l) && slices.ContainsFunc(absolute, func(u string) bool { return strings.HasPrefix(unit, u) }) {
			e.report(path, l.String(), fmt.Sprintf("check %s: a difference of two temperatures cannot be written in degrees with a zero of their own", c.ID),
				"write it in K: <= 4 K")
			return
		}
		q, ok := namedQuantity(c.Name)
		d := dimension(l)
		if !ok || d == "" || l.Of != "" && l.Of != "spread" && l.Of != "left-right" || slices.Contains(q.dims, d) {
			return
		}
		low := strings.ToLower(c.Name)
		if d == quantity.Ratio && slices.ContainsFunc(relative, func(w string) bool { return strings.Contains(low, w) }) {
			return
		}
		e.report(path, l.String(), fmt.Sprintf("check %s speaks of %s and its limit is a %s", c.ID, q.says, d),
			"correct the unit, or name the quantity that is really read")
	})
}

func lookCheckIdle(e *examiner) {
	for i := range e.g.Checks {
		c := &e.g.Checks[i]
		if len(c.Fails) == 0 && len(e.g.Faults) > 0 && !e.foundBy[c.ID] {
			e.report(within("checks", c.ID), "", fmt.Sprintf("no fault makes check %s (%s) fail", c.ID, c.Name),
				"write under fails which faults it tells, with how surely; or drop the check")
		}
	}
}

func lookFaultHidden(e *examiner) {
	failing := map[guide.ID]bool{}
	for _, c := range e.g.Checks {
		for _, o := range c.Fails {
			if o.P > 0 {
				failing[o.Fault] = true
			}
		}
	}
	for _, f := range e.g.Faults {
		if f.On != "" && !failing[f.ID] && len(f.FoundBy) == 0 {
			e.report(within("faults", f.ID), "", fmt.Sprintf("no check can find fault %s (%s on %s)", f.ID, f.Name, f.On),
				"write the check that shows it, or under fails of an existing check how surely it fails")
		}
	}
}

func lookOdds(e *examiner) {
	odd := func(p float64) bool { return !(p >= 0 && p <= 1) }
	for _, c := range e.g.Checks {
		for i, o := range c.Fails {
			if odd(o.P) {
				e.report(nth(within("checks", c.ID), "fails", i), fmt.Sprint(o.P), fmt.Sprintf("check %s: %g is no probability", c.ID, o.P), "write a share from 0 to 1")
			}
		}
		if c.Otherwise != nil && odd(*c.Otherwise) {
			e.report(within("checks", c.ID)+".otherwise", fmt.Sprint(*c.Otherwise), fmt.Sprintf("check %s: %g is no probability", c.ID, *c.Otherwise), "write a share from 0 to 1")
		}
	}
	for _, f := range e.g.Faults {
		if !(f.Weight > 0) {
			e.report(within("faults", f.ID)+".weight", fmt.Sprint(f.Weight), fmt.Sprintf("fault %s can never be suspected with weight %g", f.ID, f.Weight), "write how often it happens, relative to the other faults")
		}
	}
}

// code is the form of SAE J2012: a letter, a digit 0 to 3, three hexadecimal
// figures; optionally the failure type byte.
var code = regexp.MustCompile(`^[PCBU][0-3][0-9A-F]{3}$|^[PCBU][0-3][0-9A-F]{3}-[0-9A-F]{2}$`)

func lookCode(e *examiner) {
	for _, f := range e.g.Faults {
		for i, text := range f.Codes {
			if why := malformed(text); why != "" {
				e.report(nth(within("faults", f.ID), "codes", i), text, fmt.Sprintf("fault %s: %s", f.ID, why),
					"write it as in SAE J2012, such as P0562, or a range P0560-P0563; words belong under signs")
			}
		}
	}
}

// malformed says what is wrong with a trouble code or a range of them.
func malformed(text string) string {
	if code.MatchString(text) {
		return ""
	}
	low, high, ok := strings.Cut(text, "-")
	switch {
	case !ok || !code.MatchString(low) || !code.MatchString(high):
		return fmt.Sprintf("%q has not the form of a trouble code", text)
	case low[0] != high[0]:
		return fmt.Sprintf("the range %q goes from one letter to another", text)
	case low >= high:
		return fmt.Sprintf("the range %q runs backwards", text)
	}
	return ""
}
