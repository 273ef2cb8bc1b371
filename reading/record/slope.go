package record

import "math"

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
