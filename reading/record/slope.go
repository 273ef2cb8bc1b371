package record

import (
	"math"
	"strings"

	"elbowroom/guide"
)

// slope gathers a straight line through the values of a stretch.
type slope struct {
	n            float64
	t0, v0       float64 // the first, taken off so that squares keep their digits
	st, stt      float64
	sv, stv, svv float64
	last         float64
}

func (s *slope) add(t, v float64) {
	if s.n == 0 {
		s.t0, s.v0 = t, v
	}
	t, v = t-s.t0, v-s.v0
	s.n++
	s.st += t
	s.stt += t * t
	s.sv += v
	s.stv += t * v
	s.svv += v * v
	s.last = t
}

// mostBend is how many times the noise of a single value its distance from the
// line may be before the line is taken to be bent.
const mostBend = 2

// fit returns the change per second by least squares and its standard
// uncertainty. Where the values lie off the line by more than their noise, the
// line is bent: what lies off then counts as if it were a few values only. The
// resolution adds its own part.
func (s *slope) fit(k Stats) (perSecond, u float64) {
	if s.n < 3 {
		return 0, 0
	}
	tt := s.stt - s.st*s.st/s.n
	tv := s.stv - s.st*s.sv/s.n
	vv := s.svv - s.sv*s.sv/s.n
	if !(tt > 0) {
		return 0, 0
	}
	perSecond = tv / tt
	off := math.Sqrt(max(0, vv-perSecond*tv) / (s.n - 2))
	values := s.n
	if noise := max(k.Noise, k.Step/math.Sqrt(12)); off > mostBend*noise && off > 0 {
		values = max(3, s.n*noise*noise/(off*off))
	}
	u = off / math.Sqrt(tt/s.n*values)
	if s.last > 0 {
		u = math.Hypot(u, k.Step/s.last/math.Sqrt(6)) // both ends, each a rectangle of one step
	}
	return perSecond, u
}

// bent reports whether a line through a stretch hides how it changed.
func (s Stats) bent(seconds float64) bool {
	straight := math.Sqrt(max(0, s.Scatter*s.Scatter-s.Slope*s.Slope*seconds*seconds/12))
	return straight > mostBend*max(s.Noise, s.Step) && straight > bentShare*math.Abs(s.Slope)*seconds
}

// bentShare is the share of the whole change by which values may lie off the
// line before it is said.
const bentShare = 0.1

// changes reports whether a change is judged.
func (q Question) changes() bool { return q.Use == UseRate || q.Use == UseDrop || q.Use == UseRise }

// atStart ends the subject of a condition of the judged channel itself where a
// change begins: "vacuum at the start 390..410 hPa".
const atStart = "at the start"

// startsChange reports whether a clause is of the beginning of a change.
func (q Question) startsChange(c guide.Clause) bool {
	return q.changes() && numeric(c) && strings.HasSuffix(strings.ToLower(c.Subject), atStart)
}

// change is where a change begins: the range of the channel, and whether it has
// left it since the last one.
type change struct {
	ranges []bound
	before float64
	spent  bool
}

// starting ties the conditions of the beginning to the judged channel.
func (t *tracker) starting() {
	t.from.before = nan
	for _, c := range t.starts {
		b := bound{clause: c, low: minusInf, high: plusInf}
		var why string
		if b.low, why = inUnit(c.Low, b.low, t.channel); why == "" {
			b.high, why = inUnit(c.High, b.high, t.channel)
		}
		if why != "" {
			t.missing = append(t.missing, c.String()+": "+why)
		}
		t.from.ranges = append(t.from.ranges, b)
	}
}

// mayStart reports whether a change may begin in this row: the channel is where
// it has to be, goes the way that is judged, and was elsewhere since the last
// one began.
func (t *tracker) mayStart() bool {
	if len(t.from.ranges) == 0 {
		return true
	}
	v := t.watches[len(t.bounds)].value
	if v != v {
		return false
	}
	before := t.from.before
	t.from.before = v
	for _, b := range t.from.ranges {
		if v < b.low || v > b.high {
			t.from.spent = false
			return false
		}
	}
	if t.from.spent || before != before {
		return false
	}
	return t.Use == UseRate || t.Use == UseDrop && v <= before || t.Use == UseRise && v >= before
}

// enough ends a change that began where it had to, when it was watched for as
// long as is asked: what is done afterwards does not count.
func (t *tracker) enough(now float64) {
	if len(t.from.ranges) > 0 && t.open && now >= t.began+t.hold() {
		t.from.spent = true
		t.close("it was watched for long enough", true)
	}
}

// began notes where a change began.
func (s *Stretch) began(t *tracker) {
	if len(t.from.ranges) > 0 {
		s.Start, s.StartOf = t.channel.value(s.Judged.First), t.from.ranges[0].clause.Subject
	}
}
