// Package andor finds a cheapest set of operations that reaches given goals,
// and proves how cheap it can be.
//
// # What it answers
//
// A [Problem] has facts and operations. An operation may be done once all of
// its Pre facts hold; from then on all of its Add facts hold, and nothing is
// ever lost again. Some facts hold at the start. Which operations are to be
// done so that every goal holds, at the least total cost? An operation is
// paid once however many others need it, so costs are shared, and several
// operations may add the same fact, so there is a choice. In the trade: an
// item is a fact, each way of clearing it is an operation, what has to be out
// of its way is Pre. The graph may have cycles.
//
// # Answers
//
// [Solve] answers one problem. [NewSolver] prepares a problem once for many
// goal sets and for queries that forbid operations, make them free, add start
// facts or exclude choices that are already known. [Blockers] names the facts
// whose absence keeps goals out of reach. [WriteMPS] and [WriteLP] write the
// problem for any general-purpose solver, which must find the same optimum.
//
// # Guarantees
//
// Costs are int64 in any unit the caller likes. What is claimed is exact: the
// search may be guided by floating-point numbers, but every bound is computed
// in whole numbers from them, so a rounding error can make a bound weaker and
// never wrong. A [Result] carries landmarks: sets of operations of which every
// solution uses at least one, with weights that fit into the costs. Their sum
// is a lower bound anyone can check without repeating the search. The same
// input gives the same output: there is no clock, no randomness and no map
// order. Stopping early is the caller's matter, through [Limits].
//
// # What it does not do
//
// It does not order operations for the least set-ups, lets nothing be undone,
// and knows no negative cost. The order of Result.Ops can be carried out, and
// that is all that is promised of it.
package andor

import (
	"errors"
	"fmt"
)

// MaxTotalCost is the largest sum of all operation costs that is accepted.
// Below it every partial sum is exact both as int64 and as float64.
const MaxTotalCost = int64(1) << 50

// Op is one operation: a way to make the facts Add hold once the facts Pre do.
// Cost is 0 or more. An empty Pre means that it can be done at once.
type Op struct {
	Cost     int64
	Pre, Add []int32
}

// Problem is a set of operations over the facts 0..Facts-1, with the facts
// that hold at the start and the facts wanted.
type Problem struct {
	Facts        int
	Ops          []Op
	Start, Goals []int32
}

// ErrProblem is wrapped by every error of [Problem.Check] and of a malformed
// [Query].
var ErrProblem = errors.New("andor: malformed problem")

// Check returns nil or an error that wraps [ErrProblem] and says which
// operation or list is wrong, and how: a fact out of range, a negative cost, a
// total cost beyond [MaxTotalCost], or more facts or operations than an int32
// can number.
func (p *Problem) Check() error {
	if err := p.checkSize(); err != nil {
		return err
	}
	if err := p.checkFacts("start", p.Start); err != nil {
		return fmt.Errorf("%w: %w", ErrProblem, err)
	}
	if err := p.checkFacts("goals", p.Goals); err != nil {
		return fmt.Errorf("%w: %w", ErrProblem, err)
	}
	total := int64(0)
	for i := range p.Ops {
		op := &p.Ops[i]
		if op.Cost < 0 {
			return fmt.Errorf("%w: op %d: cost %d is negative; costs are 0 or more", ErrProblem, i, op.Cost)
		}
		if op.Cost > MaxTotalCost-total {
			return fmt.Errorf("%w: op %d: the costs up to here add up to more than %d; use a coarser unit", ErrProblem, i, MaxTotalCost)
		}
		total += op.Cost
		if err := p.checkFacts("pre", op.Pre); err != nil {
			return fmt.Errorf("%w: op %d: %w", ErrProblem, i, err)
		}
		if err := p.checkFacts("add", op.Add); err != nil {
			return fmt.Errorf("%w: op %d: %w", ErrProblem, i, err)
		}
	}
	return nil
}

// maxIndex bounds the number of facts and operations, leaving room for the
// auxiliary ones added inside.
const maxIndex = 1 << 29

func (p *Problem) checkSize() error {
	if p.Facts < 0 || p.Facts > maxIndex {
		return fmt.Errorf("%w: number of facts is %d; it must be from 0 to %d", ErrProblem, p.Facts, maxIndex)
	}
	if len(p.Ops) > maxIndex {
		return fmt.Errorf("%w: %d ops; at most %d are possible", ErrProblem, len(p.Ops), maxIndex)
	}
	return nil
}

// checkFacts returns an error without the package's prefix, to be wrapped.
func (p *Problem) checkFacts(where string, facts []int32) error {
	for k, f := range facts {
		if f < 0 || int(f) >= p.Facts {
			return fmt.Errorf("%s[%d]: fact %d does not exist; facts are 0 to %d", where, k, f, p.Facts-1)
		}
	}
	return nil
}

// Outcome says what a [Result] means.
type Outcome int

const (
	// Invalid: the problem or the query is malformed; Result.Err says how.
	Invalid Outcome = iota
	// Optimal: Ops is a cheapest solution; Bound equals Cost.
	Optimal
	// Bounded: the search was stopped; Ops is a solution, no solution costs
	// less than Bound.
	Bounded
	// Impossible: no solution exists; this is proved. Unreachable names goals
	// that cannot be reached at all; when it is empty, the excluded choices
	// leave no solution.
	Impossible
	// Limit: the search was stopped before any solution was found that obeys
	// the excluded choices. Bound still holds.
	Limit
)

// String returns the name of the outcome in lower case.
func (o Outcome) String() string {
	switch o {
	case Invalid:
		return "invalid"
	case Optimal:
		return "optimal"
	case Bounded:
		return "bounded"
	case Impossible:
		return "impossible"
	case Limit:
		return "limit"
	}
	return fmt.Sprintf("outcome %d", int(o))
}

// Landmark is a set of operations of which every solution uses at least one,
// and the share of their cost that it is counted for.
type Landmark struct {
	Ops    []int32
	Weight int64
}

// Result is the answer to one problem or query.
type Result struct {
	Outcome Outcome
	// Err is set for Invalid only.
	Err error
	// Cost of Ops. Bound: no solution costs less.
	Cost, Bound int64
	// Ops are the chosen operations in an order that can be carried out.
	// Without any one of them the goals would not be reached.
	Ops []int32
	// Landmarks prove LandmarkBound: for each operation the weights of the
	// landmarks that contain it add up to at most its cost, so their sum
	// LandmarkBound is a lower bound. It is at most Bound.
	Landmarks     []Landmark
	LandmarkBound int64
	// Nodes counts the nodes of the search tree; 0 when none was needed.
	Nodes int64
	// Unreachable lists the goals that no sequence of operations reaches.
	Unreachable []int32
}

// Limits say when to stop early. The zero value sets no limit.
type Limits struct {
	// Nodes is the largest number of search nodes, 0 for no limit.
	Nodes int64
	// Enough ends the search as soon as it is known that nothing costs less
	// than this, 0 for never: the outcome is then Limit, or Bounded when a
	// solution has been found by chance.
	Enough int64
	// Stop is asked often, at least every few milliseconds of work; the
	// search ends soon after it has returned true. It may be nil.
	Stop func() bool
}

// Solve finds a cheapest way to reach the goals of p. A malformed p gives the
// outcome [Invalid].
func Solve(p *Problem, lim Limits) Result {
	s, err := NewSolver(p)
	if err != nil {
		return Result{Outcome: Invalid, Err: err}
	}
	return s.Solve(p.Goals, lim)
}
