package guide

import (
	"math"
	"strings"
	"time"
)

// LongestTime is the longest time that a guide may give: longer than any
// soak or cure, so that a slip of the keyboard is noticed.
const LongestTime = 7 * 24 * time.Hour

const (
	day = 24 * time.Hour
	// finestTime is the step to which times are rounded.
	finestTime = time.Millisecond
	// finestMinute is the step that three decimals of a minute can say.
	finestMinute = time.Minute / 1000
)

var timeUnits = map[string]time.Duration{
	"": time.Minute, "min": time.Minute, "minutes": time.Minute, "minute": time.Minute,
	"h": time.Hour, "hours": time.Hour, "hour": time.Hour,
	"s": time.Second, "seconds": time.Second, "second": time.Second, "d": day, "days": day, "day": day,
}

const expectTime = "a time like 4, 4 min, 1.5 h or 90 s"

// ParseMinutes reads "4", "4 min", "1.5 h", "90 s" or "2 d"; a number alone
// is minutes. It refuses negative times and times over LongestTime, with a
// FormErrors.
func ParseMinutes(text string) (time.Duration, error) {
	d, errs := whole(text).minutes(time.Minute)
	return d, errs.orNil()
}

// minutes reads a time; alone is the unit of a number that has none.
func (p piece) minutes(alone time.Duration) (time.Duration, FormErrors) {
	i := strings.IndexFunc(p.s, func(c rune) bool { return !strings.ContainsRune("-+.0123456789", c) })
	if i < 0 {
		i = len(p.s)
	}
	digits, name := piece{p.s[:i], p.off}, piece{p.s[i:], p.off + i}.trim()
	n, errs := digits.number()
	if errs != nil {
		return 0, p.errorf("not a time", expectTime)
	}
	unit, ok := timeUnits[name.s]
	if strings.HasPrefix(name.s, ",") {
		return 0, p.errorf("a comma in a number", "a point, like 1.5 min")
	}
	if !ok {
		return 0, name.errorf("not a unit of time", "min, h, s or d")
	}
	if name.s == "" {
		unit = alone
	}
	if n < 0 {
		return 0, p.errorf("negative time", expectTime)
	}
	if n*float64(unit) > float64(LongestTime) {
		return 0, p.errorf("time too long", "at most 7 days; is the unit right?")
	}
	return time.Duration(math.Round(n*float64(unit)/float64(finestTime))) * finestTime, nil
}

// FormatMinutes prints a time as ParseMinutes reads it: "4 min", "0.5 min",
// "6 h", "10.01 s". Times are kept to the millisecond.
func FormatMinutes(d time.Duration) string {
	n, unit := timeParts(d)
	return n + " " + unit
}

func timeParts(d time.Duration) (number, unit string) {
	d = d.Round(finestTime)
	switch {
	case d >= 2*time.Hour && d%time.Hour == 0:
		return formatNumber(d.Hours()), "h"
	case d%finestMinute == 0:
		return formatNumber(float64(d/finestMinute) / 1000), "min"
	}
	return formatNumber(float64(d/finestTime) / 1000), "s"
}

// outBack reads "10/14 min" or "4 min".
func (p piece) outBack() (out, back time.Duration, two bool, errs FormErrors) {
	parts := p.split("/")
	if len(parts) > 2 {
		return 0, 0, false, p.errorf("not a time", "out and back minutes like 10/14 min")
	}
	last := parts[len(parts)-1]
	unit := time.Minute
	if i := strings.IndexFunc(last.s, func(c rune) bool { return !strings.ContainsRune("-+.0123456789 ", c) }); i >= 0 {
		if u, ok := timeUnits[last.s[i:]]; ok {
			unit = u
		}
	}
	out, errs = parts[0].minutes(unit)
	if len(parts) == 2 {
		var more FormErrors
		back, more = parts[1].minutes(unit)
		errs = append(errs, more...)
	}
	return out, back, len(parts) == 2, errs
}

func formatOutBack(out, back time.Duration, two bool) string {
	if !two {
		return FormatMinutes(out)
	}
	a, au := timeParts(out)
	b, bu := timeParts(back)
	if au == bu {
		return a + "/" + b + " " + bu
	}
	return a + " " + au + "/" + b + " " + bu
}
