package andor

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// closure is an independent, naive fixpoint: the facts that hold after ops.
func closure(p *Problem, start []int32, ops []int32) map[int32]bool {
	holds := map[int32]bool{}
	for _, f := range slices.Concat(p.Start, start) {
		holds[f] = true
	}
	for again := true; again; {
		again = false
		for _, a := range ops {
			if slices.ContainsFunc(p.Ops[a].Pre, func(f int32) bool { return !holds[f] }) {
				continue
			}
			for _, f := range p.Ops[a].Add {
				if !holds[f] {
					holds[f], again = true, true
				}
			}
		}
	}
	return holds
}

func reachesAll(p *Problem, q *Query, ops []int32) bool {
	holds := closure(p, q.Start, ops)
	return !slices.ContainsFunc(q.Goals, func(f int32) bool { return !holds[f] })
}

// bruteCost tries every set of ops and returns the least cost, or -1.
func bruteCost(p *Problem, q *Query) int64 {
	best := int64(-1)
	for mask := range 1 << len(p.Ops) {
		var ops []int32
		cost := int64(0)
		for a := range p.Ops {
			if mask>>a&1 == 1 {
				ops = append(ops, int32(a))
				if !slices.Contains(q.Free, int32(a)) {
					cost += p.Ops[a].Cost
				}
			}
		}
		if best >= 0 && cost >= best || slices.ContainsFunc(ops, func(a int32) bool { return slices.Contains(q.Forbid, a) }) {
			continue
		}
		if broken(q, ops) < 0 && reachesAll(p, q, ops) {
			best = cost
		}
	}
	return best
}

// broken returns the index of an excluded set all of whose ops are used, or -1.
func broken(q *Query, ops []int32) int {
	return slices.IndexFunc(q.Exclude, func(set []int32) bool {
		return !slices.ContainsFunc(set, func(a int32) bool { return !slices.Contains(ops, a) })
	})
}

// barred reports whether no solution may use op a.
func barred(q *Query, a int32) bool {
	return slices.Contains(q.Forbid, a) || broken(q, []int32{a}) >= 0
}

// audit verifies a result against the problem without using the solver.
func audit(p *Problem, q *Query, r Result) error {
	if r.Outcome == Optimal || r.Outcome == Bounded {
		if err := auditPlan(p, q, r); err != nil {
			return err
		}
	}
	if r.Outcome == Optimal && r.Bound != r.Cost {
		return fmt.Errorf("optimal with cost %d and bound %d", r.Cost, r.Bound)
	}
	if r.LandmarkBound > r.Bound {
		return fmt.Errorf("landmark bound %d above bound %d", r.LandmarkBound, r.Bound)
	}
	return auditLandmarks(p, q, r)
}

func auditPlan(p *Problem, q *Query, r Result) error {
	holds := closure(p, q.Start, nil)
	cost := int64(0)
	for i, a := range r.Ops {
		if slices.Contains(q.Forbid, a) || slices.Contains(r.Ops[:i], a) {
			return fmt.Errorf("op %d is forbidden or used twice", a)
		}
		for _, f := range p.Ops[a].Pre {
			if !holds[f] {
				return fmt.Errorf("op %d cannot be carried out: fact %d missing", a, f)
			}
		}
		for _, f := range p.Ops[a].Add {
			holds[f] = true
		}
		if !slices.Contains(q.Free, a) {
			cost += p.Ops[a].Cost
		}
		if reachesAll(p, q, slices.Delete(slices.Clone(r.Ops), i, i+1)) {
			return fmt.Errorf("op %d is useless", a)
		}
	}
	for _, f := range q.Goals {
		if !holds[f] {
			return fmt.Errorf("goal %d not reached", f)
		}
	}
	if cost != r.Cost {
		return fmt.Errorf("cost %d stated, %d counted", r.Cost, cost)
	}
	if i := broken(q, r.Ops); i >= 0 {
		return fmt.Errorf("excluded set %d is used", i)
	}
	return nil
}

func auditLandmarks(p *Problem, q *Query, r Result) error {
	total, left := int64(0), map[int32]int64{}
	for a := range p.Ops {
		if !slices.Contains(q.Free, int32(a)) {
			left[int32(a)] = p.Ops[a].Cost
		}
	}
	for i, l := range r.Landmarks {
		if l.Weight <= 0 {
			return fmt.Errorf("landmark %d has weight %d", i, l.Weight)
		}
		total += l.Weight
		var others []int32
		for a := range p.Ops {
			if !slices.Contains(l.Ops, int32(a)) && !barred(q, int32(a)) {
				others = append(others, int32(a))
			}
		}
		if reachesAll(p, q, others) {
			return fmt.Errorf("landmark %d %v is none: the goals are reached without it", i, l.Ops)
		}
		for _, a := range l.Ops {
			if left[a] -= l.Weight; left[a] < 0 {
				return fmt.Errorf("landmark weights exceed the cost of op %d", a)
			}
		}
	}
	if total != r.LandmarkBound {
		return fmt.Errorf("landmark bound %d stated, weights add up to %d", r.LandmarkBound, total)
	}
	return nil
}

// randomProblem draws a small problem with cycles, ops that add several facts
// and zero costs.
func randomProblem(r *rand.Rand) *Problem {
	p := &Problem{Facts: 2 + r.IntN(9)}
	some := func(most int) []int32 {
		var list []int32
		for range r.IntN(most + 1) {
			list = append(list, int32(r.IntN(p.Facts)))
		}
		return list
	}
	for range 1 + r.IntN(11) {
		add := some(1 + r.IntN(2))
		if len(add) == 0 {
			add = []int32{int32(r.IntN(p.Facts))}
		}
		p.Ops = append(p.Ops, Op{Cost: int64(max(0, r.IntN(9)-1)), Pre: some(2), Add: add})
	}
	p.Start = some(1)
	p.Goals = append(some(2), int32(r.IntN(p.Facts)))
	return p
}

// randomQuery draws start facts, forbidden, free and excluded ops.
func randomQuery(r *rand.Rand, p *Problem) Query {
	q := Query{Goals: p.Goals}
	op := func() int32 { return int32(r.IntN(len(p.Ops))) }
	if r.IntN(4) == 0 {
		q.Start = []int32{int32(r.IntN(p.Facts))}
	}
	if r.IntN(4) == 0 {
		q.Forbid = []int32{op()}
	}
	if r.IntN(4) == 0 {
		q.Free = []int32{op(), op()}
	}
	if r.IntN(3) == 0 {
		for range 1 + r.IntN(3) {
			q.Exclude = append(q.Exclude, []int32{op(), op()})
		}
	}
	if r.IntN(4) == 0 {
		q.Hint = []int32{op(), op(), op()}
	}
	return q
}

// TestBruteForce compares the cost of random small problems and queries with
// trying every set of ops, and audits every result.
func TestBruteForce(t *testing.T) {
	const cases = 12_000
	r := rand.New(rand.NewPCG(1, 1))
	reached := 0
	for i := range cases {
		p := randomProblem(r)
		q := randomQuery(r, p)
		s, err := NewSolver(p)
		if err != nil {
			t.Fatal(err)
		}
		got := s.SolveWith(q, Limits{})
		want := bruteCost(p, &q)
		if want < 0 {
			if got.Outcome != Impossible {
				t.Fatalf("case %d: %v, want impossible\n%+v\n%+v", i, got.Outcome, p, q)
			}
			continue
		}
		reached++
		if got.Outcome != Optimal || got.Cost != want {
			t.Fatalf("case %d: %v at %d, want optimal at %d\n%+v\n%+v\n%+v", i, got.Outcome, got.Cost, want, p, q, got)
		}
		if err := audit(p, &q, got); err != nil {
			t.Fatalf("case %d: %v\n%+v\n%+v\n%+v", i, err, p, q, got)
		}
	}
	if reached < cases/3 {
		t.Fatalf("only %d of %d cases have a solution: the test is too easy", reached, cases)
	}
}
