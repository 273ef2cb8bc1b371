package andor_test

import (
	"testing"

	"elbowroom/access/andor"
	"elbowroom/access/andor/andortest"
)

// BenchmarkSolve measures whole solves of drawn problems of both families.
func BenchmarkSolve(b *testing.B) {
	for _, c := range []struct {
		name  string
		draw  func(int, uint64) *andor.Problem
		items int
	}{
		{"engine-like-100", andortest.EngineLike, 100},
		{"engine-like-1000", andortest.EngineLike, 1000},
		{"hard-30", andortest.Hard, 30},
		{"hard-100", andortest.Hard, 100},
	} {
		b.Run(c.name, func(b *testing.B) {
			const seeds = 10
			problems := make([]*andor.Problem, seeds)
			for k := range problems {
				problems[k] = c.draw(c.items, uint64(k+1))
			}
			k := 0
			for b.Loop() {
				if r := andor.Solve(problems[k%seeds], andor.Limits{}); r.Outcome != andor.Optimal || r.Cost == 0 {
					b.Fatalf("%v at %d", r.Outcome, r.Cost)
				}
				k++
			}
		})
	}
}

// BenchmarkAlsoInReach measures asking for every other item of an engine-like
// problem what it costs on top of its tasks.
func BenchmarkAlsoInReach(b *testing.B) {
	const items = 100
	p := andortest.EngineLike(items, 1)
	for b.Loop() {
		s, err := andor.NewSolver(p)
		if err != nil {
			b.Fatal(err)
		}
		base := s.Solve(p.Goals, andor.Limits{})
		for f := range int32(items) {
			r := s.SolveWith(andor.Query{Goals: append(p.Goals[:len(p.Goals):len(p.Goals)], f), Hint: base.Ops}, andor.Limits{})
			if r.Outcome != andor.Optimal || r.Cost < base.Cost {
				b.Fatalf("fact %d: %v at %d, base %d", f, r.Outcome, r.Cost, base.Cost)
			}
		}
	}
}
