package decide

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Flip says within what limits one number may move until the first step
// changes, everything else keeping its proportions.
type Flip struct {
	Now   float64 // the number as it is
	First Step    // the first step as it is
	Below Turn    // going down from Now
	Above Turn    // going up from Now
	// Certain is false if some first step on the way was not settled within the
	// limits; then the turns are those of the policies found.
	Certain bool
}

// Turn is where the first step becomes another one. Between that point and Now
// the first step was the same wherever it was tried ([FlipTries] places and the
// points of the bisection); a change that is undone between two of them is not
// seen.
type Turn struct {
	Found bool
	At    float64 // within the precision asked for
	Step  Step    // the first step beyond
}

// FlipTries is at how many places on either side a first step is worked out
// before the place of the change is narrowed down.
const FlipTries = 6

// Errors of asking for a flip.
var (
	ErrNoShare   = errors.New("decide: the share can only move if some of these worlds and some others have weight")
	ErrPrecision = errors.New("decide: the precision is a positive number under 1")
)

// ShareFlip moves the share that the worlds of one suspect have together,
// between 0 and 1.
func ShareFlip(p Problem, lim Limits, worlds []int, precision float64) (Flip, error) {
	in, share, err := p.shareOf(worlds)
	if err != nil {
		return Flip{}, err
	}
	return flip(share, 0, 1, precision, func(x float64) (Step, bool, error) {
		return first(p.withShare(in, share, x), lim)
	})
}

// ChanceFlip moves the chance of b.Outcome in b.Worlds together, between b.Low
// and b.High; it begins where the first of these worlds is now.
func ChanceFlip(p Problem, lim Limits, b Bracket, precision float64) (Flip, error) {
	if err := p.Validate(); err != nil {
		return Flip{}, err
	}
	q := p
	q.Unsure = []Bracket{b}
	if err := q.validateBrackets(); err != nil {
		return Flip{}, err
	}
	if len(b.Worlds) == 0 {
		return Flip{}, ErrNoShare
	}
	now := p.Checks[b.Check].Chance[b.Outcome][b.Worlds[0]]
	if now < b.Low || now > b.High {
		now = (b.Low + b.High) / 2
	}
	return flip(now, b.Low, b.High, precision, func(x float64) (Step, bool, error) {
		return first(p.withChance(b, x), lim)
	})
}

// BreakEven is the least share of the worlds which a repair makes right from
// which on that repair comes first, without a check before it. Found is false
// if it never does, even when it is all but sure to help.
func BreakEven(p Problem, lim Limits, repair int, precision float64) (Turn, error) {
	if err := p.Validate(); err != nil {
		return Turn{}, err
	}
	if repair < 0 || repair >= len(p.Repairs) {
		return Turn{}, fmt.Errorf("decide: there is no repair %d: the problem has %d", repair, len(p.Repairs))
	}
	var worlds []int
	for w := range p.Worlds {
		if to := p.Repairs[repair].To[w]; to != w && p.Right[to] {
			worlds = append(worlds, w)
		}
	}
	in, share, err := p.shareOf(worlds)
	if err != nil {
		return Turn{}, err
	}
	if !(precision > 0 && precision < 1) {
		return Turn{}, ErrPrecision
	}
	comesFirst := func(x float64) (Step, bool, error) {
		st, _, err := first(p.withShare(in, share, x), lim)
		return st, st.Kind == Mend && st.Index == repair, err
	}
	lo, hi := 0.0, 1-precision/4
	st, yes, err := comesFirst(hi)
	if err != nil || !yes {
		return Turn{}, err
	}
	for hi-lo > precision {
		mid := (lo + hi) / 2
		at, yes, err := comesFirst(mid)
		if err != nil {
			return Turn{}, err
		}
		if yes {
			hi, st = mid, at
		} else {
			lo = mid
		}
	}
	return Turn{Found: true, At: hi, Step: st}, nil
}

// first is the first step of a problem, and whether it is settled.
func first(p Problem, lim Limits) (Step, bool, error) {
	lim.FirstOnly = true
	a, err := Solve(p, lim)
	if err != nil {
		return Step{}, false, err
	}
	return a.First, a.Status != Bounded || a.s.settled(a.root), nil
}

func flip(now, low, high, precision float64, at func(float64) (Step, bool, error)) (Flip, error) {
	if !(precision > 0 && precision < 1) {
		return Flip{}, ErrPrecision
	}
	st, sure, err := at(now)
	if err != nil {
		return Flip{}, err
	}
	f := Flip{Now: now, First: st, Certain: sure}
	if f.Below, err = f.turn(low, precision, at); err != nil {
		return Flip{}, err
	}
	f.Above, err = f.turn(high, precision, at)
	return f, err
}

// turn looks for a change between Now and end, and narrows it down.
func (f *Flip) turn(end, precision float64, at func(float64) (Step, bool, error)) (Turn, error) {
	if math.Abs(end-f.Now) < precision {
		return Turn{}, nil
	}
	same, other := f.Now, math.NaN()
	var beyond Step
	for i := 1; i <= FlipTries && math.IsNaN(other); i++ {
		x := f.Now + (end-f.Now)*float64(i)/FlipTries
		st, sure, err := at(x)
		if err != nil {
			return Turn{}, err
		}
		f.Certain = f.Certain && sure
		if st.Same(f.First) {
			same = x
		} else {
			other, beyond = x, st
		}
	}
	if math.IsNaN(other) {
		return Turn{}, nil
	}
	for math.Abs(other-same) > precision {
		mid := (same + other) / 2
		st, sure, err := at(mid)
		if err != nil {
			return Turn{}, err
		}
		f.Certain = f.Certain && sure
		if st.Same(f.First) {
			same = mid
		} else {
			other, beyond = mid, st
		}
	}
	return Turn{Found: true, At: (same + other) / 2, Step: beyond}, nil
}

// shareOf marks worlds and adds up their share.
func (p *Problem) shareOf(worlds []int) ([]bool, float64, error) {
	if err := p.Validate(); err != nil {
		return nil, 0, err
	}
	in := make([]bool, len(p.Worlds))
	sum, all := 0.0, 0.0
	for _, w := range worlds {
		if w < 0 || w >= len(in) {
			return nil, 0, ErrNoShare
		}
		in[w] = true
	}
	for w, x := range p.Worlds {
		all += x
		if in[w] {
			sum += x
		}
	}
	if sum == 0 || sum == all {
		return nil, 0, ErrNoShare
	}
	return in, sum / all, nil
}

// withShare is p with another share of the marked worlds.
func (p *Problem) withShare(in []bool, now, share float64) Problem {
	q := *p
	q.Worlds = slices.Clone(p.Worlds)
	for w := range q.Worlds {
		if in[w] {
			q.Worlds[w] *= share / now
		} else {
			q.Worlds[w] *= (1 - share) / (1 - now)
		}
	}
	return q
}

// withChance is p with another chance of an outcome; the other outcomes share
// the rest as they do now, or equally where they had none.
func (p *Problem) withChance(b Bracket, x float64) Problem {
	q := *p
	q.Checks = slices.Clone(p.Checks)
	c := &q.Checks[b.Check]
	c.Chance = slices.Clone(c.Chance)
	for o := range c.Chance {
		c.Chance[o] = slices.Clone(c.Chance[o])
	}
	for _, w := range b.Worlds {
		rest := 1 - c.Chance[b.Outcome][w]
		for o := range c.Chance {
			switch {
			case o == b.Outcome:
			case rest > 0:
				c.Chance[o][w] *= (1 - x) / rest
			default:
				c.Chance[o][w] = (1 - x) / float64(len(c.Chance)-1)
			}
		}
		c.Chance[b.Outcome][w] = x
	}
	return q
}

// Effect says what a bracket of a likelihood may change.
type Effect struct {
	Low, High End
	// Changes is whether the first step at either end is another than with the
	// likelihood as it stands.
	Changes bool
}

// End is the answer at one end of a bracket.
type End struct {
	Expected, Bound float64
	First           Step
}

// Brackets solves p at both ends of each of p.Unsure, all others as they
// stand. That is the rule: one bracket at a time, ends only.
func Brackets(p Problem, lim Limits) ([]Effect, error) {
	a, err := Solve(p, lim)
	if err != nil {
		return nil, err
	}
	out := make([]Effect, len(p.Unsure))
	for i, b := range p.Unsure {
		for _, end := range []struct {
			x  float64
			to *End
		}{{b.Low, &out[i].Low}, {b.High, &out[i].High}} {
			c, err := Solve(p.withChance(b, end.x), lim)
			if err != nil {
				return nil, err
			}
			*end.to = End{Expected: c.Expected, Bound: c.Bound, First: c.First}
			out[i].Changes = out[i].Changes || !c.First.Same(a.First)
		}
	}
	return out, nil
}
