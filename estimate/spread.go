package estimate

import (
	"errors"
	"math"
	"time"
)

// Spread is a time that is not certain: log-normal with this average, and
// this standard deviation of its logarithm. Sigma 0 is certain.
type Spread struct {
	Mean  time.Duration
	Sigma float64
}

// Median is the time that is kept in half of all cases.
func (s Spread) Median() time.Duration { return s.scaled(math.Exp(-s.Sigma * s.Sigma / 2)) }

// Within returns the time that is kept with probability p, above 0 and below 1.
func (s Spread) Within(p float64) time.Duration {
	return s.scaled(math.Exp(s.Sigma*normalQuantile(p) - s.Sigma*s.Sigma/2))
}

// Kept returns the probability that it takes no longer than d.
func (s Spread) Kept(d time.Duration) float64 {
	switch {
	case d <= 0:
		return 0
	case s.Sigma == 0 && d >= s.Mean:
		return 1
	case s.Sigma == 0:
		return 0
	}
	return normal((math.Log(float64(d)/float64(s.Mean)) + s.Sigma*s.Sigma/2) / s.Sigma)
}

// EndingRate is how fast the work ends at d when it has not ended before, per
// hour.
func (s Spread) EndingRate(d time.Duration) float64 {
	if d <= 0 || s.Sigma == 0 {
		return 0
	}
	z := (math.Log(float64(d)/float64(s.Mean)) + s.Sigma*s.Sigma/2) / s.Sigma
	return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / (d.Hours() * s.Sigma * normal(-z))
}

func (s Spread) scaled(f float64) time.Duration { return duration(float64(s.Mean) * f) }

// SpreadOf returns the spread whose logarithm, of hours, has the given mean and
// standard deviation, as repair times are usually reported.
func SpreadOf(mu, sigma float64) Spread {
	return Spread{duration(math.Exp(mu+sigma*sigma/2) * float64(time.Hour)), sigma}
}

// ErrFew is returned when there is too little to fit anything to.
var ErrFew = errors.New("too few values to fit")

// FitSpread returns the mean and the standard deviation (divisor n-1) of the
// logarithms of times in hours. The error wraps ErrFew below two times above
// zero.
func FitSpread(times []time.Duration) (mu, sigma float64, err error) {
	n := 0.0
	for _, d := range times {
		if d > 0 {
			mu += math.Log(d.Hours())
			n++
		}
	}
	if n < 2 {
		return 0, 0, ErrFew
	}
	mu /= n
	for _, d := range times {
		if d > 0 {
			sigma += (math.Log(d.Hours()) - mu) * (math.Log(d.Hours()) - mu)
		}
	}
	return mu, math.Sqrt(sigma / (n - 1)), nil
}

// WeightedMean is the average of times that come up with different weights,
// such as repair times weighted by failure rates. It is 0 without weight.
func WeightedMean(times []time.Duration, weights []float64) time.Duration {
	sum, all := 0.0, 0.0
	for i, d := range times {
		if i < len(weights) && weights[i] > 0 {
			sum += weights[i] * float64(d)
			all += weights[i]
		}
	}
	if all == 0 {
		return 0
	}
	return duration(sum / all)
}

// mostTime bounds what is worked out in floating point: no work takes a
// hundred years.
const mostTime = 100 * 365 * 24 * time.Hour

func duration(ns float64) time.Duration {
	switch {
	case math.IsNaN(ns):
		return 0
	case ns > float64(mostTime):
		return mostTime
	}
	return time.Duration(math.Round(ns))
}

// normal is the distribution of the standard normal.
func normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// normalQuantile is its inverse.
func normalQuantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }
