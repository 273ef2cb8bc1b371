package andor

import (
	"fmt"
	"slices"
)

// Blocking is the answer to "what is missing".
type Blocking struct {
	// Outcome: [Optimal] when Facts is proved to be a smallest set; [Bounded]
	// when the search was stopped, so that Facts is minimal (none of it can
	// be spared) but a smaller set may exist; [Impossible] when not even all
	// candidates together would do; [Invalid] for a malformed problem.
	Outcome Outcome
	Err     error
	// Facts are the missing facts, ascending. Empty when the goals can be
	// reached as it is.
	Facts []int32
	// AtLeast is the proved least number of facts that must be added.
	AtLeast int
}

// Blockers returns a smallest set of facts whose presence would make the goals
// of p reachable. Only facts of candidates are considered; with none given,
// the facts that no operation can ever add, and, where operations only wait
// for one another in a circle, the facts of the circle.
func Blockers(p *Problem, candidates []int32, lim Limits) Blocking {
	if err := p.Check(); err != nil {
		return Blocking{Outcome: Invalid, Err: err}
	}
	if err := p.checkFacts("candidates", candidates); err != nil {
		return Blocking{Outcome: Invalid, Err: fmt.Errorf("%w: %w", ErrProblem, err)}
	}
	if len(candidates) == 0 {
		candidates = originCandidates(newGraph(p), p.Goals)
	}
	candidates = uniqueSorted(candidates)
	gift := Problem{Facts: p.Facts, Ops: slices.Clone(p.Ops), Start: p.Start, Goals: p.Goals}
	for a := range gift.Ops {
		gift.Ops[a].Cost = 0
	}
	for _, f := range candidates {
		gift.Ops = append(gift.Ops, Op{Cost: 1, Add: []int32{f}})
	}
	res := Solve(&gift, lim)
	b := Blocking{Outcome: res.Outcome, Err: res.Err, AtLeast: int(res.Bound)}
	for _, a := range res.Ops {
		if i := int(a) - len(p.Ops); i >= 0 {
			b.Facts = append(b.Facts, candidates[i])
		}
	}
	slices.Sort(b.Facts)
	return b
}

// originCandidates returns facts that cannot be reached and that, added
// together, make the goals reachable: round by round the facts of those
// groups, waiting for one another, that wait for no group but themselves.
func originCandidates(g *graph, goals []int32) []int32 {
	may := make([]bool, len(g.cost))
	for a := range may {
		may[a] = true
	}
	var found []int32
	for !g.reaches(may, found, goals) {
		holds, _ := g.reach(may, found)
		found = append(found, originsOf(g, holds, goals)...)
	}
	return found
}

// originsOf returns the facts of the groups without a predecessor, among the
// missing facts that matter to the goals.
func originsOf(g *graph, holds []bool, goals []int32) []int32 {
	needs := func(f int32, visit func(int32)) {
		for _, a := range g.makes.of(f) {
			for _, p := range g.pre.of(a) {
				if !holds[p] {
					visit(p)
				}
			}
		}
	}
	var roots []int32
	for _, f := range goals {
		if !holds[f] {
			roots = append(roots, f)
		}
	}
	group := components(g.facts, roots, needs)
	waits := make([]bool, g.facts+1)
	for f := range group {
		if group[f] > 0 {
			needs(int32(f), func(p int32) { waits[group[f]] = waits[group[f]] || group[p] != group[f] })
		}
	}
	var origins []int32
	for f := range group {
		if group[f] > 0 && !waits[group[f]] {
			origins = append(origins, int32(f))
		}
	}
	return origins
}
