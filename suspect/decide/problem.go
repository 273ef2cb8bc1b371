package decide

import (
	"fmt"
	"math"
)

// Action is the number under which the caller's [Ground] knows a piece of
// work. Several checks may share one action.
type Action int

// NoWork is the action that costs nothing, is possible in every machine state
// and leaves it as it is. The Ground is not asked about it.
const NoWork Action = -1

// Problem is one decision problem; the package comment defines it. Slices
// that run over worlds all have the length of Worlds.
type Problem struct {
	Worlds  []float64 // weight of each world, not negative; need not sum to 1
	Right   []bool    // the machine is right in this world
	Checks  []Check
	Repairs []Repair
	Proof   Proof
	Escapes []Escape // ways to end the job without proof; may be empty
	Unsure  []Bracket
	Ground  Ground

	// ProveFirst forbids checks while the machine may be right already.
	ProveFirst bool
}

// Check is a question to the machine.
type Check struct {
	Action Action
	// Chance[o][w] is the probability of outcome o in world w. For each world
	// the outcomes sum to 1 (within [SumTolerance]).
	Chance [][]float64
	// Once forbids asking again after a repair has changed the answer.
	Once bool
}

// Repair is an intervention: world w becomes To[w].
type Repair struct {
	Action Action
	To     []int
}

// Proof is what ends the job: it shows the complaint gone.
type Proof struct {
	Action Action
	// Pass[w] is the chance that the proof passes in world w. Nil means 1 where
	// the machine is right and 0 elsewhere.
	Pass []float64
	// Comeback is the price of having ended the job in a world that is not
	// right; only of interest where Pass is positive there.
	Comeback int64
}

// Escape ends the job without proof: refer on, or leave it.
type Escape struct {
	Price int64
	// Extra[w], added to Price when w is the true world; nil means nothing.
	Extra []int64
}

// Bracket says that the chances of one outcome of a check are known only
// within limits for some worlds. The other outcomes share what is left in the
// proportion that they have now.
type Bracket struct {
	Check, Outcome int
	Worlds         []int
	Low, High      float64
}

// SumTolerance is how far the outcomes of a check in one world may sum to
// something else than 1.
const SumTolerance = 1e-9

// MaxAsked is how many checks may stand asked and open to change at once in
// one information state.
const MaxAsked = 64

// Validate says what is wrong with p, with the place and the reason, or
// returns nil.
func (p *Problem) Validate() error {
	if err := p.validateWorlds(); err != nil {
		return err
	}
	if p.Ground == nil {
		return fmt.Errorf("decide: no Ground: nothing can be priced")
	}
	for i := range p.Checks {
		if err := p.validateCheck(i); err != nil {
			return err
		}
	}
	if err := p.validateRepairs(); err != nil {
		return err
	}
	if err := p.validateEnds(); err != nil {
		return err
	}
	return p.validateBrackets()
}

func (p *Problem) validateWorlds() error {
	sum := 0.0
	for w, x := range p.Worlds {
		if !(x >= 0) || math.IsInf(x, 1) {
			return fmt.Errorf("decide: Worlds[%d] is %v: a weight is a number from 0 up", w, x)
		}
		sum += x
	}
	if !(sum > 0) || math.IsInf(sum, 1) {
		return fmt.Errorf("decide: the weights of the %d worlds sum to %v: at least one must be positive and the sum finite", len(p.Worlds), sum)
	}
	if len(p.Right) != len(p.Worlds) {
		return fmt.Errorf("decide: Right has %d entries for %d worlds", len(p.Right), len(p.Worlds))
	}
	return nil
}

func chance(x float64) bool { return x >= 0 && x <= 1 }

func (p *Problem) validateCheck(i int) error {
	c := &p.Checks[i]
	if len(c.Chance) < 2 || len(c.Chance) > maxOutcomes {
		return fmt.Errorf("decide: Checks[%d] has %d outcomes: 2 to %d make sense", i, len(c.Chance), maxOutcomes)
	}
	if c.Action < NoWork {
		return fmt.Errorf("decide: Checks[%d].Action is %d: an action is a number from 0 up, or NoWork", i, c.Action)
	}
	for o, row := range c.Chance {
		if len(row) != len(p.Worlds) {
			return fmt.Errorf("decide: Checks[%d].Chance[%d] has %d entries for %d worlds", i, o, len(row), len(p.Worlds))
		}
	}
	for w := range p.Worlds {
		sum := 0.0
		for o := range c.Chance {
			x := c.Chance[o][w]
			if !chance(x) {
				return fmt.Errorf("decide: Checks[%d].Chance[%d][%d] is %v: a chance lies between 0 and 1", i, o, w, x)
			}
			sum += x
		}
		if math.Abs(sum-1) > SumTolerance {
			return fmt.Errorf("decide: Checks[%d]: the outcomes in world %d sum to %v, not to 1", i, w, sum)
		}
	}
	return nil
}

func (p *Problem) validateRepairs() error {
	for i := range p.Repairs {
		r := &p.Repairs[i]
		if r.Action < NoWork {
			return fmt.Errorf("decide: Repairs[%d].Action is %d: an action is a number from 0 up, or NoWork", i, r.Action)
		}
		if len(r.To) != len(p.Worlds) {
			return fmt.Errorf("decide: Repairs[%d].To has %d entries for %d worlds", i, len(r.To), len(p.Worlds))
		}
		for w, to := range r.To {
			if to < 0 || to >= len(p.Worlds) {
				return fmt.Errorf("decide: Repairs[%d].To[%d] is %d: there are only worlds 0 to %d", i, w, to, len(p.Worlds)-1)
			}
			if r.To[to] != to {
				return fmt.Errorf("decide: Repairs[%d] turns world %d into %d and that into %d: doing it twice must do no more than doing it once", i, w, to, r.To[to])
			}
		}
	}
	if w := p.circle(); w >= 0 {
		return fmt.Errorf("decide: repairs lead from world %d back to itself: a problem with such a circle has no end", w)
	}
	return nil
}

// circle returns a world that repairs can lead back to, or -1.
func (p *Problem) circle() int {
	const (
		unseen = iota
		open
		done
	)
	mark := make([]byte, len(p.Worlds))
	type place struct{ world, repair int }
	for w := range p.Worlds {
		if mark[w] != unseen {
			continue
		}
		stack := []place{{w, 0}}
		mark[w] = open
		for len(stack) > 0 {
			top := &stack[len(stack)-1]
			if top.repair == len(p.Repairs) {
				mark[top.world] = done
				stack = stack[:len(stack)-1]
				continue
			}
			to := p.Repairs[top.repair].To[top.world]
			from := top.world
			top.repair++
			switch {
			case to == from || mark[to] == done:
			case mark[to] == open:
				return to
			default:
				mark[to] = open
				stack = append(stack, place{to, 0})
			}
		}
	}
	return -1
}

func (p *Problem) validateEnds() error {
	if p.Proof.Action < NoWork {
		return fmt.Errorf("decide: Proof.Action is %d: an action is a number from 0 up, or NoWork", p.Proof.Action)
	}
	if p.Proof.Pass != nil && len(p.Proof.Pass) != len(p.Worlds) {
		return fmt.Errorf("decide: Proof.Pass has %d entries for %d worlds", len(p.Proof.Pass), len(p.Worlds))
	}
	for w, x := range p.Proof.Pass {
		if !chance(x) {
			return fmt.Errorf("decide: Proof.Pass[%d] is %v: a chance lies between 0 and 1", w, x)
		}
	}
	if p.Proof.Comeback < 0 {
		return fmt.Errorf("decide: Proof.Comeback is %d: a price is not negative", p.Proof.Comeback)
	}
	for i, e := range p.Escapes {
		if e.Price < 0 {
			return fmt.Errorf("decide: Escapes[%d].Price is %d: a price is not negative", i, e.Price)
		}
		if e.Extra != nil && len(e.Extra) != len(p.Worlds) {
			return fmt.Errorf("decide: Escapes[%d].Extra has %d entries for %d worlds", i, len(e.Extra), len(p.Worlds))
		}
		for w, x := range e.Extra {
			if x < 0 {
				return fmt.Errorf("decide: Escapes[%d].Extra[%d] is %d: a price is not negative", i, w, x)
			}
		}
	}
	return nil
}

func (p *Problem) validateBrackets() error {
	for i, b := range p.Unsure {
		if b.Check < 0 || b.Check >= len(p.Checks) || b.Outcome < 0 || b.Outcome >= len(p.Checks[b.Check].Chance) {
			return fmt.Errorf("decide: Unsure[%d] names outcome %d of check %d, which does not exist", i, b.Outcome, b.Check)
		}
		if !chance(b.Low) || !chance(b.High) || b.Low > b.High {
			return fmt.Errorf("decide: Unsure[%d] runs from %v to %v: both lie between 0 and 1, the lower first", i, b.Low, b.High)
		}
		for _, w := range b.Worlds {
			if w < 0 || w >= len(p.Worlds) {
				return fmt.Errorf("decide: Unsure[%d] names world %d of %d", i, w, len(p.Worlds))
			}
		}
	}
	return nil
}

// maxOutcomes bounds the outcomes of one check.
const maxOutcomes = 64

// SingleFault returns p under the rule that a repair which meets a present
// fault ends the trouble altogether and otherwise only shows that the part was
// good: every world that a repair changes goes to one added right world. The
// proof passes there. Checks have no meaning there, so that the result also has
// ProveFirst. The brackets of p stay.
func (p *Problem) SingleFault() Problem {
	q := *p
	q.ProveFirst = true
	done := len(p.Worlds)
	q.Worlds = append(append([]float64(nil), p.Worlds...), 0)
	q.Right = append(append([]bool(nil), p.Right...), true)
	q.Checks = make([]Check, len(p.Checks))
	for i, c := range p.Checks {
		q.Checks[i] = Check{Action: c.Action, Once: c.Once, Chance: make([][]float64, len(c.Chance))}
		for o, row := range c.Chance {
			x := 0.0
			if o == 0 {
				x = 1
			}
			q.Checks[i].Chance[o] = append(append([]float64(nil), row...), x)
		}
	}
	q.Repairs = make([]Repair, len(p.Repairs))
	for i, r := range p.Repairs {
		to := make([]int, done+1)
		for w := range p.Worlds {
			to[w] = w
			if r.To[w] != w {
				to[w] = done
			}
		}
		to[done] = done
		q.Repairs[i] = Repair{Action: r.Action, To: to}
	}
	if p.Proof.Pass != nil {
		q.Proof.Pass = append(append([]float64(nil), p.Proof.Pass...), 1)
	}
	q.Escapes = make([]Escape, len(p.Escapes))
	for i, e := range p.Escapes {
		q.Escapes[i] = e
		if e.Extra != nil {
			q.Escapes[i].Extra = append(append([]int64(nil), e.Extra...), 0)
		}
	}
	return q
}
