package reading

import "math"

// Normal returns the share of a standard normal distribution below z.
func Normal(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// Student returns the share of Student's distribution below t; freedom 0 or
// less is without limit, the normal distribution.
func Student(t, freedom float64) float64 {
	switch {
	case freedom <= 0 || math.IsInf(freedom, 0):
		return Normal(t)
	case math.IsInf(t, 0):
		return Normal(t)
	}
	if t*t < freedom { // near the middle the complement keeps its digits
		return 0.5 + math.Copysign(incompleteBeta(t*t/(freedom+t*t), 0.5, freedom/2)/2, t)
	}
	tail := incompleteBeta(freedom/(freedom+t*t), freedom/2, 0.5) / 2
	if t > 0 {
		return 1 - tail
	}
	return tail
}

// Coverage returns the factor k for which a share p of the distribution lies
// within ±k (GUM table G.2); freedom 0 is without limit. It returns NaN
// outside 0 < p < 1.
func Coverage(p, freedom float64) float64 {
	if !(p > 0 && p < 1) {
		return math.NaN()
	}
	return quantile((1+p)/2, freedom)
}

// quantile inverts Student for p of at least one half.
func quantile(p, freedom float64) float64 {
	high := 1.0
	for Student(high, freedom) < p && high < largestQuantile {
		high *= 2
	}
	low := 0.0
	for range halvings {
		mid := (low + high) / 2
		if Student(mid, freedom) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

const (
	// largestQuantile ends the search for a bracket: Student with one degree
	// of freedom reaches it at 1 - p of about 3e-10.
	largestQuantile = 1e9
	// halvings bring a bracket to the last bit.
	halvings = 100
)

// incompleteBeta is the regularised incomplete beta function I_x(a, b) by
// Lentz's continued fraction (NIST DLMF 8.17.22).
func incompleteBeta(x, a, b float64) float64 {
	if x <= 0 {
		return 0
	}
	if x >= 1 {
		return 1
	}
	if x > (a+1)/(a+b+2) {
		return 1 - incompleteBeta(1-x, b, a)
	}
	la, _ := math.Lgamma(a)
	lb, _ := math.Lgamma(b)
	lab, _ := math.Lgamma(a + b)
	front := math.Exp(lab-la-lb+a*math.Log(x)+b*math.Log1p(-x)) / a
	f, c, d := 1.0, 1.0, 0.0
	for i := range betaSteps {
		m := float64(i / 2)
		var num float64
		switch {
		case i == 0:
			num = 1
		case i%2 == 0:
			num = m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		default:
			num = -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		}
		d = 1 / nonzero(1+num*d)
		c = nonzero(1 + num/c)
		f *= c * d
		if math.Abs(1-c*d) < betaDone {
			break
		}
	}
	return front * (f - 1)
}

const (
	betaSteps = 400   // far more than any a and b met here need
	betaDone  = 1e-15 // relative change at which the fraction has settled
	betaTiny  = 1e-300
)

func nonzero(x float64) float64 {
	if math.Abs(x) < betaTiny {
		return betaTiny
	}
	return x
}

// Conformance returns the probability that the true value lies from low to
// high (either may be infinite), for a measured value with its standard
// uncertainty and degrees of freedom, 0 for without limit (JCGM 106, 7.2). An
// uncertainty of 0 gives 0 or 1.
func Conformance(value, standard, freedom, low, high float64) float64 {
	if !(standard > 0) {
		if value >= low && value <= high {
			return 1
		}
		return 0
	}
	below := Student((low-value)/standard, freedom)
	above := Student((value-high)/standard, freedom)
	return math.Max(0, math.Min(1, 1-below-above))
}

// Risks returns the global risks of JCGM 106, 9.5: that an item is accepted
// and bad, and that it is rejected and good, when good and bad items scatter
// normally about mean with the standard deviation spread, are measured with a
// standard uncertainty, and are accepted from low+guard to high-guard.
func Risks(low, high, guard, mean, spread, standard float64) (consumer, producer float64) {
	accepted := func(x float64) float64 {
		return Normal((high-guard-x)/standard) - Normal((low+guard-x)/standard)
	}
	share := func(from, to float64, of func(x float64) float64) (sum float64) {
		from, to = math.Max(from, mean-riskReach*spread), math.Min(to, mean+riskReach*spread)
		step := (to - from) / riskSteps
		for i := range riskSteps {
			x := from + (float64(i)+0.5)*step
			z := (x - mean) / spread
			sum += math.Exp(-z*z/2) * of(x) * step / (spread * math.Sqrt(2*math.Pi))
		}
		return math.Max(0, sum)
	}
	consumer = share(math.Inf(-1), low, accepted) + share(high, math.Inf(1), accepted)
	producer = share(low, high, func(x float64) float64 { return 1 - accepted(x) })
	return consumer, producer
}

const (
	riskReach = 8    // standard deviations to either side
	riskSteps = 2000 // strips on each side of a limit; the error is below 1e-5
)
