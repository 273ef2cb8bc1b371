package estimate

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Seen is one part, or several alike, of the shop's own history: how old it
// was, and whether it failed then or was still good (taken out for another
// reason, or still in).
type Seen struct {
	Age    float64
	Failed bool
	Count  int // 0 means 1
}

func (s Seen) count() float64 { return float64(max(1, s.Count)) }

// FittedLife is a life with how well it fits.
type FittedLife struct {
	Life
	Failures int
	Sound    int // still good when last seen
	LogLik   float64
	AIC      float64
}

// fitSteps bounds the halving of the shape's interval: past it nothing changes
// any more in float64.
const fitSteps = 200

// FitLife fits a Weibull life to history by maximum likelihood; parts that had
// not failed count as having lasted at least so long. The error wraps ErrFew
// below two failures at different ages (how much lives scatter cannot be told
// from one), or ErrLife when the history fits no law that is taken for one.
func FitLife(seen []Seen) (FittedLife, error) {
	f, top := FittedLife{}, 0.0
	first, differ := 0.0, false
	for _, s := range seen {
		if !(s.Age > 0) || math.IsInf(s.Age, 0) {
			return f, fmt.Errorf("%w: an age of %g; write one above nothing", ErrLife, s.Age)
		}
		top = max(top, s.Age)
		if !s.Failed {
			f.Sound += int(s.count())
			continue
		}
		differ = differ || f.Failures > 0 && s.Age != first
		first = s.Age
		f.Failures += int(s.count())
	}
	if !differ {
		return f, fmt.Errorf("%w: %d failures, and two at different ages are the least", ErrFew, f.Failures)
	}
	f.Shape = shapeOf(seen, top)
	sum := 0.0
	for _, s := range seen {
		sum += s.count() * math.Pow(s.Age/top, f.Shape)
	}
	f.Scale = top * math.Pow(sum/float64(f.Failures), 1/f.Shape)
	for _, s := range seen {
		x := s.Age / f.Scale
		f.LogLik -= s.count() * math.Pow(x, f.Shape)
		if s.Failed {
			f.LogLik += s.count() * (math.Log(f.Shape/f.Scale) + (f.Shape-1)*math.Log(x))
		}
	}
	f.AIC = 2*2 - 2*f.LogLik
	return f, f.Valid()
}

// shapeOf solves the likelihood equation of the shape, which rises steadily
// with it, by halving.
func shapeOf(seen []Seen, top float64) float64 {
	slope := func(shape float64) float64 {
		w, wl, logs, r := 0.0, 0.0, 0.0, 0.0
		for _, s := range seen {
			x := math.Log(s.Age / top)
			p := s.count() * math.Exp(shape*x)
			w += p
			wl += p * x
			if s.Failed {
				logs += s.count() * x
				r += s.count()
			}
		}
		return wl/w - 1/shape - logs/r
	}
	low, high := leastShape/2, mostShape*2
	for range fitSteps {
		mid := (low + high) / 2
		if slope(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// Temper draws a life that a person has entered towards the shop's history
// where that is too thin to be fitted. The scatter stays as entered; the
// life follows by the conjugate step for a Weibull law of known shape (inverse
// gamma for the scale to that power), with the entered life counting as so many
// failures.
func Temper(entered Life, worth float64, seen []Seen) Life {
	r, sum := worth, worth
	for _, s := range seen {
		if !(s.Age > 0) {
			continue
		}
		sum += s.count() * math.Pow(s.Age/entered.Scale, entered.Shape)
		if s.Failed {
			r += s.count()
		}
	}
	if r <= 0 {
		return entered
	}
	return Life{entered.Scale * math.Pow(sum/r, 1/entered.Shape), entered.Shape}
}

// Lasting is one step of a survival curve.
type Lasting struct {
	Age    float64
	AtRisk int
	Failed int
	Share  float64 // that lasts longer
}

// KaplanMeier returns the survival curve of a history without any law, one
// step for each age at which something failed. Parts that were still good at
// the age of a failure count as at risk then.
func KaplanMeier(seen []Seen) []Lasting {
	ages := slices.Clone(seen)
	slices.SortFunc(ages, func(a, b Seen) int { return cmp.Compare(a.Age, b.Age) })
	atRisk := 0
	for _, s := range ages {
		atRisk += int(s.count())
	}
	var out []Lasting
	share := 1.0
	for i := 0; i < len(ages); {
		failed, gone, k := 0, 0, i
		for ; k < len(ages) && ages[k].Age == ages[i].Age; k++ {
			gone += int(ages[k].count())
			if ages[k].Failed {
				failed += int(ages[k].count())
			}
		}
		if failed > 0 {
			share *= float64(atRisk-failed) / float64(atRisk)
			out = append(out, Lasting{ages[i].Age, atRisk, failed, share})
		}
		atRisk -= gone
		i = k
	}
	return out
}

// MedianRank returns the share that has probably failed when the i-th of n
// parts fails: the median of its distribution, exactly. It is NaN unless
// 1 <= i <= n.
func MedianRank(i, n int) float64 {
	if i < 1 || i > n {
		return math.NaN()
	}
	low, high := 0.0, 1.0
	for range 60 {
		p := (low + high) / 2
		if atLeast(i, n, p) < 0.5 {
			low = p
		} else {
			high = p
		}
	}
	return (low + high) / 2
}

// atLeast is the probability that of n, each with probability p, i or more do.
func atLeast(i, n int, p float64) float64 {
	sum := 0.0
	for k := i; k <= n; k++ {
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(k + 1))
		c, _ := math.Lgamma(float64(n - k + 1))
		sum += math.Exp(a - b - c + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
	}
	return sum
}

// BernardRank is the usual approximation of MedianRank.
func BernardRank(i, n int) float64 { return (float64(i) - 0.3) / (float64(n) + 0.4) }
