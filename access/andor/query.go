package andor

import (
	"errors"
	"fmt"
)

// Query is one question to a [Solver]. The facts of Start hold in addition to
// those of the problem; the operations of Forbid cannot be used; those of Free
// cost nothing, being already paid. Of each set in Exclude not all operations
// may be used together: give the Ops of earlier results to enumerate the
// next-best different choices. Hint may hold operations of a solution of a
// similar query; it never changes the cost found, only the time.
type Query struct {
	Goals   []int32
	Start   []int32
	Forbid  []int32
	Free    []int32
	Exclude [][]int32
	Hint    []int32
}

// Solver answers many queries about one problem. It keeps no reference to a
// query and may not be used by several goroutines at once.
type Solver struct {
	p *Problem
	g *graph
}

// NewSolver checks and prepares p, which must not be changed while the solver
// is in use. The error is that of [Problem.Check].
func NewSolver(p *Problem) (*Solver, error) {
	if err := p.Check(); err != nil {
		return nil, err
	}
	return &Solver{p: p, g: newGraph(p)}, nil
}

// Solve answers the query for goals alone.
func (s *Solver) Solve(goals []int32, lim Limits) Result {
	return s.SolveWith(Query{Goals: goals}, lim)
}

// SolveWith answers a query. A query with an index out of range or an empty
// set in Exclude gives the outcome [Invalid].
func (s *Solver) SolveWith(q Query, lim Limits) Result {
	if err := s.check(&q); err != nil {
		return Result{Outcome: Invalid, Err: err}
	}
	n := newNet(s.g, &q)
	if len(n.unreachable) > 0 {
		return Result{Outcome: Impossible, Unreachable: n.unreachable}
	}
	return solveNet(n, &q, lim)
}

func (s *Solver) check(q *Query) error {
	err := errors.Join(
		s.p.checkFacts("goals", q.Goals), s.p.checkFacts("start", q.Start),
		s.checkOps("forbid", q.Forbid), s.checkOps("free", q.Free), s.checkOps("hint", q.Hint),
	)
	for i, set := range q.Exclude {
		if len(set) == 0 {
			err = errors.Join(err, fmt.Errorf("exclude[%d] is empty; name the ops that may not all be used together", i))
		}
		if bad := s.checkOps("exclude", set); bad != nil {
			err = errors.Join(err, fmt.Errorf("set %d: %w", i, bad))
		}
	}
	if err != nil {
		return fmt.Errorf("%w: query: %w", ErrProblem, err)
	}
	return nil
}

func (s *Solver) checkOps(where string, ops []int32) error {
	for k, a := range ops {
		if a < 0 || int(a) >= len(s.p.Ops) {
			return fmt.Errorf("%s[%d]: op %d does not exist; ops are 0 to %d", where, k, a, len(s.p.Ops)-1)
		}
	}
	return nil
}
