//go:build solvers

package andortest

import (
	"context"
	"testing"
	"time"

	"elbowroom/access/andor"
)

// solverLimit is ample for the sizes compared here.
const solverLimit = 60 * time.Second

// TestAgainstSolvers compares the optimum of at least 200 problems of both
// families, and of problems with cycles, with that of general-purpose solvers
// that read the written program. It fails when a solver is missing.
func TestAgainstSolvers(t *testing.T) {
	solvers := Solvers()
	for _, s := range solvers {
		if err := s.Installed(); err != nil {
			t.Fatal(err)
		}
	}
	compared := 0
	compare := func(name string, p *andor.Problem, s Solver) {
		got := andor.Solve(p, andor.Limits{})
		want, err := s.Run(context.Background(), t.TempDir(), p, solverLimit)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !want.Proved {
			t.Logf("%s: %s has not proved its answer, not compared", name, s.Name)
			return
		}
		if got.Outcome != andor.Optimal || float64(got.Cost) != want.Cost {
			t.Errorf("%s: %v at %d, %s finds %v", name, got.Outcome, got.Cost, s.Name, want.Cost)
		}
		compared++
	}
	for k, items := range []int{30, 60, 100, 200, 300} {
		for seed := uint64(1); seed <= 14; seed++ {
			for _, f := range Families() {
				if f.Name == "hard" && items > 100 && seed > 1 {
					continue // minutes each for the solvers
				}
				compare(f.Name, f.Draw(items, 500+seed), solvers[(k+int(seed))%len(solvers)])
			}
		}
	}
	for seed := uint64(1); seed <= 100; seed++ {
		compare("cyclic", Cyclic(12, seed), solvers[int(seed)%len(solvers)])
	}
	if compared < 200 {
		t.Fatalf("only %d problems compared, want at least 200", compared)
	}
	t.Logf("%d problems compared", compared)
}
