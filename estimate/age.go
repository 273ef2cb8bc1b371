package estimate

import "math"

// Lasts says how probably something reaches an age. A Life does.
type Lasts interface {
	Survival(age float64) float64
}

// Policy is an age at which to replace, with what it costs per unit of age.
type Policy struct {
	Age       float64
	Rate      float64
	ToFailure float64 // cost per unit of age when run to failure
	Worth     bool    // replacing at Age beats running to failure
}

// Nodes and weights of Gauss-Legendre quadrature with five points, half of
// them (Abramowitz and Stegun 25.4.30).
var (
	gaussAt = [3]float64{0, 0.538469310105683, 0.906179845938664}
	gaussBy = [3]float64{0.568888888888889, 0.478628670499366, 0.236926885056189}
)

// integral of f from a to b, cut into so many panels.
func integral(f func(float64) float64, a, b float64, panels int) float64 {
	h, sum := (b-a)/float64(panels)/2, 0.0
	for i := range panels {
		mid := a + (2*float64(i)+1)*h
		sum += gaussBy[0] * f(mid)
		for k := 1; k < 3; k++ {
			sum += gaussBy[k] * (f(mid-gaussAt[k]*h) + f(mid+gaussAt[k]*h))
		}
	}
	return sum * h
}

// Panels for integrals of survival curves: enough for nine digits with shapes
// up to ten.
const (
	tries      = 300 // ages that are looked at before the best one is refined
	finePanels = 4   // between two of them
	tailPanels = 64  // beyond the longest age looked at
	tail       = 20  // how many times further a tail is followed
	golden     = 0.6180339887498949
	goldenCuts = 80
)

// upTo is the average age reached by what is taken out at an age, worked out
// once on a mesh.
type upTo struct {
	l    Lasts
	step float64
	sum  [tries + 1]float64
}

func newUpTo(l Lasts, most float64) *upTo {
	u := &upTo{l: l, step: most / tries}
	for i := 1; i <= tries; i++ {
		u.sum[i] = u.sum[i-1] + integral(l.Survival, u.step*float64(i-1), u.step*float64(i), finePanels)
	}
	return u
}

func (u *upTo) at(age float64) float64 {
	i := min(tries, int(age/u.step))
	return u.sum[i] + integral(u.l.Survival, u.step*float64(i), age, finePanels)
}

// mean is the average life.
func (u *upTo) mean() float64 {
	most := u.step * tries
	return u.sum[tries] + integral(u.l.Survival, most, tail*most, tailPanels)
}

// least returns the x in (0, most] at which f is least, by a scan and
// golden-section search around its best point.
func least(f func(float64) float64, most float64) float64 {
	best, at := math.Inf(1), 1
	for i := 1; i <= tries; i++ {
		if y := f(most * float64(i) / tries); y < best {
			best, at = y, i
		}
	}
	low, high := most*float64(at-1)/tries, most*math.Min(tries, float64(at+1))/tries
	if low == 0 {
		low = most * 1e-9
	}
	for range goldenCuts {
		a, b := high-golden*(high-low), low+golden*(high-low)
		if f(a) <= f(b) {
			high = b
		} else {
			low = a
		}
	}
	return (low + high) / 2
}

// BestAge returns the age at which planned replacement costs least in the long
// run, by renewal and reward: a replacement that was planned costs planned, one
// after a failure costs failed. Ages up to most are looked at, which should be
// several times the life.
func BestAge(l Lasts, planned, failed, most float64) Policy {
	u := newUpTo(l, most)
	rate := func(age float64) float64 {
		r := l.Survival(age)
		return (planned*r + failed*(1-r)) / u.at(age)
	}
	return policy(least(rate, most), rate, failed/u.mean())
}

func policy(age float64, rate func(float64) float64, toFailure float64) Policy {
	p := Policy{Age: age, Rate: rate(age), ToFailure: toFailure}
	p.Worth = p.Rate < toFailure*(1-worthWhile)
	return p
}

// worthWhile is the least share saved that is called a saving: the accuracy of
// the integrals.
const worthWhile = 1e-6

// BestOverhaul returns the age at which a machine that is repaired as it fails,
// each time only so far that it runs again, is best overhauled. The shape must
// be above 1; otherwise overhauling is never worth while.
func BestOverhaul(l Life, repair, overhaul float64) Policy {
	if l.Shape <= 1 {
		return Policy{Age: math.Inf(1), Rate: math.NaN(), ToFailure: math.NaN()}
	}
	age := l.Scale * math.Pow(overhaul/(repair*(l.Shape-1)), 1/l.Shape)
	rate := (overhaul + repair*math.Pow(age/l.Scale, l.Shape)) / age
	return Policy{Age: age, Rate: rate, ToFailure: math.NaN(), Worth: true}
}

// BestFrom returns the age from which on a part is best replaced whenever the
// machine is open anyway, which happens by chance every gap on average.
// Replacing it then costs chance, after a failure failed.
func BestFrom(l Lasts, chance, failed, gap, most float64) Policy {
	u := newUpTo(l, most)
	rate := func(age float64) float64 {
		// Past the age, a part runs on unopened with exp(-(x-age)/gap).
		still := func(x float64) float64 { return l.Survival(x) * math.Exp(-(x-age)/gap) }
		past := integral(still, age, max(age, min(most, age+2*tail*gap)), tailPanels)
		opened := past / gap // probability to be replaced at an opening
		return (chance*opened + failed*(1-opened)) / (u.at(age) + past)
	}
	return policy(least(rate, most), rate, failed/u.mean())
}
