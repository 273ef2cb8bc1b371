package record

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"elbowroom/span"
)

// ClockForm is how the times of a recording are written.
type ClockForm string

// The forms of time.
const (
	NumberClock ClockForm = "number"        // a count of seconds, milliseconds, minutes
	DayClock    ClockForm = "time of day"   // 14:05:09.250, 2:05 PM; begins anew at midnight
	DateClock   ClockForm = "date and time" // 2026-11-25T14:05:09.25+01:00, 25.11.2026 14:05:09
	RowClock    ClockForm = "rows"          // no column of time: rows follow at a known distance
	NoClock     ClockForm = "none"
)

// Clock is where the times of a recording stand.
type Clock struct {
	Column int // index of the column, -1 for none
	Form   ClockForm
	Scale  float64 // seconds for one unit of a number
	Guess  string  // why Scale or Column was guessed; empty when it was written
	Period float64 // usual distance of the rows in the head, seconds
}

// day is the seconds of a day.
const day = 86400

// timeNames are words by which a column of time is called.
var timeNames = []string{"time", "timestamp", "time stamp", "t", "elapsed", "elapsed time", "seconds", "sec", "ms", "msec", "milliseconds", "zeit", "uhrzeit", "temps", "tiempo", "date time", "datetime", "date/time", "clock", "zeitstempel"}

// timeScales are the seconds of the units in which time is counted.
var timeScales = map[string]float64{
	"s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1, "sek": 1, "ms": 1e-3, "msec": 1e-3, "millis": 1e-3, "milliseconds": 1e-3,
	"us": 1e-6, "µs": 1e-6, "min": 60, "minutes": 60, "h": 3600, "hours": 3600,
}

// Steps between rows from which a count of time without a unit is taken for
// milliseconds: loggers write rows 1 ms to 10 s apart.
const leastMillis = 5

// clock finds the column of time and its form.
func (s *sniffed) clock(says Says) {
	s.Clock = Clock{Column: -1, Form: NoClock}
	times := s.timeValues()
	defer func() { s.rates(times) }()
	i := s.timeColumn(says, times)
	if i < 0 {
		if says.Period > 0 {
			s.Clock = Clock{Column: -1, Form: RowClock, Period: says.Period}
			return
		}
		s.findings = append(s.findings, span.Finding{
			Pos: span.Pos{Line: max(s.Header, s.First), Col: 1}, Severity: span.Warning, Rule: "no-time",
			Says: "there is no column of time; how long anything held cannot be told",
			Do:   "say which column is the time, or how far apart the rows are",
		})
		return
	}
	s.Clock.Column = i
	s.Columns[i].Sort = Times
	s.Clock.Form = times[i].form
	s.Clock.Scale = 1
	if s.Clock.Form == NumberClock {
		s.scale(i, times[i].values, says)
	}
	s.Clock.Period = usualStep(times[i].values) * s.Clock.Scale
}

// rates notes how often each column is written in the head: by the rows between
// its values, and by the time between them where rows come in bursts.
func (s *sniffed) rates(times []headTimes) {
	rows := 0
	s.valueRows(len(s.Columns)+s.More, func(line, [][]byte) { rows++ })
	s.every = make([]float64, len(s.Columns))
	for i, t := range times {
		if n := len(t.values); n > 0 {
			s.every[i] = s.Clock.Period * float64(rows) / float64(n)
		}
	}
	if s.Clock.Column < 0 {
		return
	}
	clock := times[s.Clock.Column]
	for i, t := range times {
		var at []float64
		for _, row := range t.rows {
			if k, ok := slices.BinarySearch(clock.rows, row); ok {
				at = append(at, clock.values[k])
			}
		}
		s.every[i] = max(s.every[i], usualStep(at)*s.Clock.Scale)
	}
}

// headTimes are the values of one column of the head read as times.
type headTimes struct {
	form   ClockForm
	values []float64
	rows   []int // of the head, by value
	spoilt int
}

// timeValues reads every column of the head as times.
func (s *sniffed) timeValues() []headTimes {
	all := make([]headTimes, len(s.Columns))
	row := -1
	s.valueRows(len(s.Columns)+s.More, func(_ line, cells [][]byte) {
		row++
		for i, c := range cells {
			c = trimCell(c)
			if len(c) == 0 {
				continue
			}
			v, kind := careful(c, s.Decimal, s.Columns[i].In)
			form := NumberClock
			if kind == textCell {
				v, form = anyTime(c)
			} else if kind == emptyCell {
				continue
			}
			if form == "" || kind == ambiguousCell || all[i].form != "" && all[i].form != form {
				all[i].spoilt++
				continue
			}
			all[i].form = form
			all[i].values, all[i].rows = append(all[i].values, v), append(all[i].rows, row)
		}
	})
	return all
}

// timeColumn returns the column of time: the one said, one whose cells are
// times, one with a name of time that runs forwards, or else the first column
// if it runs forwards; -1 when there is none.
func (s *sniffed) timeColumn(says Says, times []headTimes) int {
	if says.Time != "" {
		for i, c := range s.Columns {
			if strings.EqualFold(c.Name, says.Time) {
				return i
			}
		}
		s.advise(max(s.Header, 1), "no-such-column", fmt.Sprintf("no column is called %q", says.Time), "")
	}
	for _, form := range []ClockForm{DateClock, DayClock} {
		for i, t := range times {
			if t.form == form && forwards(t.values) {
				return i
			}
		}
	}
	for i, c := range s.Columns {
		if times[i].form == NumberClock && s.namedTime(c) && forwards(times[i].values) {
			return i
		}
	}
	if len(times) > 1 && times[0].form == NumberClock && len(times[0].values) > 2 && strictly(times[0].values) {
		s.Clock.Guess = "the first column runs forwards"
		return 0
	}
	return -1
}

func (s *sniffed) namedTime(c Column) bool {
	name := strings.ToLower(strings.Trim(c.Name, " #:_"))
	if slices.Contains(timeNames, name) {
		return true
	}
	_, isTime := timeScales[strings.ToLower(c.Unit)]
	return isTime && strings.Contains(name, "time")
}

// scale finds the unit of a time that is written as a number.
func (s *sniffed) scale(i int, values []float64, says Says) {
	unit := strings.ToLower(s.Columns[i].Unit)
	name := strings.ToLower(s.Columns[i].Name)
	guess := s.Clock.Guess
	switch {
	case says.Scale > 0:
		s.Clock.Scale = says.Scale
	case timeScales[unit] > 0:
		s.Clock.Scale = timeScales[unit]
	case timeScales[name] > 0:
		s.Clock.Scale = timeScales[name]
	default:
		why := "the steps of the time are small: taken as seconds"
		if step := usualStep(values); step >= leastMillis && whole(values) {
			s.Clock.Scale = 1e-3
			why = fmt.Sprintf("the time has no unit and goes in whole steps of %g: taken as milliseconds", step)
		}
		if guess != "" {
			why = guess + "; " + why
		}
		s.Clock.Guess = why
	}
	if s.Clock.Guess != "" {
		s.advise(max(s.Header, s.First), "time-guessed", "the column of time was guessed: "+s.Clock.Guess, "say the column and its unit if that is wrong")
	}
}

func whole(values []float64) bool {
	for _, v := range values {
		if v != float64(int64(v)) {
			return false
		}
	}
	return true
}

// forwards reports whether most steps do not go back: nine in ten, or all but
// one.
func forwards(values []float64) bool {
	back := 0
	for i := 1; i < len(values); i++ {
		if values[i] < values[i-1] {
			back++
		}
	}
	return len(values) > 0 && back <= max(1, len(values)/10)
}

func strictly(values []float64) bool {
	for i := 1; i < len(values); i++ {
		if values[i] <= values[i-1] {
			return false
		}
	}
	return true
}

// usualStep is the median of the steps forward, 0 when there are none.
func usualStep(values []float64) float64 {
	var steps []float64
	for i := 1; i < len(values); i++ {
		if d := values[i] - values[i-1]; d > 0 {
			steps = append(steps, d)
		}
	}
	if len(steps) == 0 {
		return 0
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// anyTime reads a time of day or a date with a time, in seconds; form is empty
// when the cell is neither. Days are counted from 1970-01-01.
func anyTime(cell []byte) (seconds float64, form ClockForm) {
	if at := bytes.IndexAny(cell, "T "); at >= 8 {
		if d, ok := date(cell[:at]); ok {
			if t, ok := timeOfDay(bytes.TrimLeft(cell[at+1:], " "), true); ok {
				return float64(d)*day + t, DateClock
			}
		}
	}
	if t, ok := timeOfDay(cell, false); ok {
		return t, DayClock
	}
	return nan, ""
}

// timeOfDay reads h:mm, h:mm:ss or h:mm:ss.mmm with point or comma, AM or PM,
// and, where a zone is allowed, Z or an offset. Hours may exceed 24, as in the
// time since a start.
func timeOfDay(cell []byte, zone bool) (float64, bool) {
	offset := 0.0
	if zone {
		cell, offset = zoned(cell)
	}
	half := 0
	if n := len(cell); n > 2 && (cell[n-1]|0x20) == 'm' {
		switch cell[n-2] | 0x20 {
		case 'a':
			half = 1
		case 'p':
			half = 2
		default:
			return 0, false
		}
		cell = bytes.TrimRight(cell[:n-2], " ")
	}
	h, rest, ok := digitsUpTo(cell, 5)
	if !ok || len(rest) == 0 || rest[0] != ':' {
		return 0, false
	}
	m, rest, ok := digitsUpTo(rest[1:], 2)
	if !ok || m > 59 {
		return 0, false
	}
	s := 0.0
	if len(rest) > 0 {
		if rest[0] != ':' {
			return 0, false
		}
		if s, ok = secondsOf(rest[1:]); !ok {
			return 0, false
		}
	}
	switch {
	case half != 0 && (h < 1 || h > 12):
		return 0, false
	case half == 1 && h == 12:
		h = 0
	case half == 2 && h < 12:
		h += 12
	}
	return float64(h)*3600 + float64(m)*60 + s - offset, true
}

// secondsOf reads "09", "09.250" or "09,250".
func secondsOf(b []byte) (float64, bool) {
	n, rest, ok := digitsUpTo(b, 2)
	if !ok || n > 60 {
		return 0, false
	}
	if len(rest) == 0 {
		return float64(n), true
	}
	if rest[0] != '.' && rest[0] != ',' && rest[0] != ':' {
		return 0, false
	}
	digits := rest[1:]
	f, rest, ok := digitsUpTo(digits, 9)
	if !ok || len(rest) > 0 {
		return 0, false
	}
	return float64(n) + float64(f)/exact[len(digits)], true
}

// zoned cuts "Z" or "+01:00" off the end and returns the offset in seconds.
func zoned(b []byte) ([]byte, float64) {
	if n := len(b); n > 0 && b[n-1] == 'Z' {
		return b[:n-1], 0
	}
	at := bytes.LastIndexAny(b, "+-")
	if at < 4 {
		return b, 0
	}
	h, rest, ok := digitsUpTo(b[at+1:], 2)
	if !ok {
		return b, 0
	}
	m := 0
	if len(rest) > 0 {
		if m, rest, ok = digitsUpTo(bytes.TrimPrefix(rest, []byte(":")), 2); !ok || len(rest) > 0 {
			return b, 0
		}
	}
	offset := float64(h)*3600 + float64(m)*60
	if b[at] == '-' {
		offset = -offset
	}
	return b[:at], offset
}

// digitsUpTo reads one to most digits at the start.
func digitsUpTo(b []byte, most int) (value int, rest []byte, ok bool) {
	i := 0
	for i < len(b) && i < most && b[i] >= '0' && b[i] <= '9' {
		value = value*10 + int(b[i]-'0')
		i++
	}
	return value, b[i:], i > 0
}

// date reads 2026-11-25, 2026/11/25, 25.11.2026 or 25/11/2026, as days since
// 1970-01-01. With strokes, the second number is the month unless it cannot be:
// only the distance of days matters here.
func date(b []byte) (int, bool) {
	first, rest, ok := digitsUpTo(b, 4)
	if !ok || len(rest) == 0 {
		return 0, false
	}
	mark := rest[0]
	if mark != '-' && mark != '/' && mark != '.' {
		return 0, false
	}
	second, rest, ok := digitsUpTo(rest[1:], 2)
	if !ok || len(rest) == 0 || rest[0] != mark {
		return 0, false
	}
	third, rest, ok := digitsUpTo(rest[1:], 4)
	if !ok || len(rest) > 0 {
		return 0, false
	}
	y, m, d := first, second, third
	if first <= 31 && third > 31 {
		y, d = third, first
		if m > 12 && d <= 12 {
			m, d = d, m
		}
	}
	if y < 1900 || m < 1 || m > 12 || d < 1 || d > 31 {
		return 0, false
	}
	return daysTo(y, m, d), true
}

// daysTo counts the days from 1970-01-01 to a date of the Gregorian calendar,
// years beginning in March so that the leap day comes last.
func daysTo(y, m, d int) int {
	if m <= 2 {
		y--
		m += 12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*(m-3)+2)/5 + d - 1 - 719468
}
