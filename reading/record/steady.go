package record

import "math"

// Steadiness is how it is decided that a channel is steady: the ratio R of the
// variance about a filtered value to the variance by differences of
// neighbours, both filtered (Cao and Rhinehart, "An efficient method for
// on-line identification of steady state", Journal of Process Control 5, 1995):
//
//	ν² ← λ2 (x − xf)² + (1 − λ2) ν²     with xf as it was before x
//	xf ← λ1 x + (1 − λ1) xf
//	δ² ← λ3 (x − x′)² + (1 − λ3) δ²     with x′ the value before x
//	R  = (2 − λ1) ν² / δ²
//
// R is near 1 for independent noise about a constant, rises on a drift or a
// step and falls when neighbours swing against each other. The test wants
// independent noise; logged values hang together and are rounded. So only one
// value in Every seconds enters, and the rounding counts as noise of its own
// (a constant that is rounded has R = 1, not 0/0). After R rose above Transient
// it begins anew: both variances would remember a large step for minutes.
type Steadiness struct {
	Filter     float64 // λ1
	Variance   float64 // λ2
	Difference float64 // λ3
	Steady     float64 // R at or below it begins a steady time
	Transient  float64 // R above it ends one
	Low        float64 // R below it most of the time: the channel swings
	Every      float64 // seconds between the values that enter
	Startup    int     // values before R counts
}

// DefaultSteadiness is used where a question says nothing. Steady and Low are
// the 95 % and 5 % points of R on steady normal noise for these λ (tests
// repeat the Monte Carlo); Transient is exceeded by steady noise in 2 of
// 10,000 values.
var DefaultSteadiness = Steadiness{Filter: 0.2, Variance: 0.1, Difference: 0.1, Steady: 1.439, Transient: 2.5, Low: 0.770, Every: 1, Startup: 10}

// lowShare is the share of values of a stretch with R below Low from which a
// channel is said to swing; on steady noise it is 0.05.
const lowShare = 0.5

// Ratio follows R along one channel. The zero Ratio has seen nothing.
//
// The recursion as published begins with the first value as the filtered one,
// which scatters more than a filtered value does, so that R is too large for
// some twenty values. Here the filter begins as a running mean, and the squares
// are scaled by the variance that they have by then: R has its expectation
// from the second value on. Later values are those of the recursion.
type Ratio struct {
	filtered, before    float64
	uncertain           float64 // variance of filtered over that of a value
	variance, different float64
	n                   int
}

// Add takes the next value and returns R; step is the resolution of the
// channel, 0 when it is not rounded. Before the second value R is 1.
func (r *Ratio) Add(s *Steadiness, x, step float64) float64 {
	r.n++
	if r.n == 1 {
		r.filtered, r.before, r.uncertain = x, x, 1
		return 1
	}
	settled := s.Filter / (2 - s.Filter)
	d := x - r.filtered
	r.variance = s.Variance*d*d*(1+settled)/(1+r.uncertain) + (1-s.Variance)*r.variance
	weight := max(s.Filter, 1/float64(r.n))
	r.filtered = weight*x + (1-weight)*r.filtered
	r.uncertain = weight*weight + (1-weight)*(1-weight)*r.uncertain
	d = x - r.before
	r.different = s.Difference*d*d + (1-s.Difference)*r.different
	r.before = x
	rounding := 2 * step * step / 12
	up, down := (2-s.Filter)*r.variance+rounding, r.different+rounding
	switch {
	case down > 0:
		return up / down
	case up > 0:
		return math.Inf(1)
	}
	return 1
}

// N returns how many values were taken.
func (r *Ratio) N() int { return r.n }
