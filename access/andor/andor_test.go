package andor

import (
	"errors"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name, reason, want string
		p                  Problem
	}{
		{"fact out of range", "would index beyond the tables", "op 0: pre[0]: fact 2 does not exist", Problem{Facts: 2, Ops: []Op{{Pre: []int32{2}}}}},
		{"negative fact", "would index before the tables", "op 0: add[0]: fact -1", Problem{Facts: 2, Ops: []Op{{Add: []int32{-1}}}}},
		{"negative cost", "bounds assume costs of 0 or more", "op 0: cost -1 is negative", Problem{Ops: []Op{{Cost: -1}}}},
		{"overflow", "sums must stay exact", "op 1: the costs up to here", Problem{Ops: []Op{{Cost: MaxTotalCost}, {Cost: 1}}}},
		{"goal out of range", "goals are facts", "goals[1]: fact 9", Problem{Facts: 1, Goals: []int32{0, 9}}},
		{"start out of range", "start facts are facts", "start[0]: fact 1", Problem{Facts: 1, Start: []int32{1}}},
		{"negative size", "a count is 0 or more", "number of facts is -1", Problem{Facts: -1}},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := c.p.Check()
			if !errors.Is(err, ErrProblem) || !strings.Contains(err.Error(), c.want) {
				t.Fatalf("%v, want %q: %s", err, c.want, c.reason)
			}
			if r := Solve(&c.p, Limits{}); r.Outcome != Invalid || r.Err == nil {
				t.Fatalf("outcome %v, %v; want invalid with the error", r.Outcome, r.Err)
			}
		})
	}
}

// door is a small problem with a choice: goal 3 needs 1 or 2; 1 needs 0.
func door() *Problem {
	return &Problem{Facts: 4, Goals: []int32{3}, Ops: []Op{
		{Cost: 2, Add: []int32{0}},
		{Cost: 1, Pre: []int32{0}, Add: []int32{1}},
		{Cost: 5, Add: []int32{2}},
		{Cost: 1, Pre: []int32{1}, Add: []int32{3}},
		{Cost: 1, Pre: []int32{2}, Add: []int32{3}},
	}}
}

func TestQueries(t *testing.T) {
	for _, c := range []struct {
		name, reason string
		q            Query
		outcome      Outcome
		cost         int64
		ops          []int32
	}{
		{"plain", "the cheaper way", Query{Goals: []int32{3}}, Optimal, 4, []int32{0, 1, 3}},
		{"no goals", "nothing to do", Query{}, Optimal, 0, nil},
		{"goal holds", "a start fact costs nothing", Query{Goals: []int32{3}, Start: []int32{3}}, Optimal, 0, nil},
		{"half open", "what is off already is free", Query{Goals: []int32{3}, Start: []int32{2}}, Optimal, 1, []int32{4}},
		{"forbidden", "the other way must do", Query{Goals: []int32{3}, Forbid: []int32{1}}, Optimal, 6, []int32{2, 4}},
		{"paid", "a paid op makes its way cheaper", Query{Goals: []int32{3}, Free: []int32{2}}, Optimal, 1, []int32{2, 4}},
		{"next best", "the best way is excluded as a whole", Query{Goals: []int32{3}, Exclude: [][]int32{{0, 1, 3}}}, Optimal, 6, []int32{2, 4}},
		{"no other", "all ways are excluded", Query{Goals: []int32{3}, Exclude: [][]int32{{0, 1, 3}, {2, 4}}}, Impossible, 0, nil},
		{"unreachable", "both ways forbidden", Query{Goals: []int32{3}, Forbid: []int32{0, 2}}, Impossible, 0, nil},
		{"bad op", "an index out of range is named, not followed", Query{Goals: []int32{3}, Free: []int32{9}}, Invalid, 0, nil},
		{"empty exclusion", "would exclude everything", Query{Goals: []int32{3}, Exclude: [][]int32{{}}}, Invalid, 0, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := NewSolver(door())
			if err != nil {
				t.Fatal(err)
			}
			got := s.SolveWith(c.q, Limits{})
			if got.Outcome != c.outcome || got.Cost != c.cost || !slices.Equal(got.Ops, c.ops) {
				t.Fatalf("%+v, want %v at %d with %v: %s", got, c.outcome, c.cost, c.ops, c.reason)
			}
			if (got.Outcome == Invalid) != (got.Err != nil) {
				t.Fatalf("outcome %v with error %v", got.Outcome, got.Err)
			}
		})
	}
}

// TestStop checks that a stopped search still tells the truth.
func TestStop(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	bounded := 0
	for range 40 {
		p := layered(r, 60)
		want := Solve(p, Limits{})
		got := Solve(p, Limits{Nodes: 1})
		if want.Outcome != Optimal {
			t.Fatalf("outcome %v without limits", want.Outcome)
		}
		if got.Bound > want.Cost || got.Outcome == Optimal && got.Cost != want.Cost || got.Outcome == Bounded && got.Cost < want.Cost {
			t.Fatalf("stopped: %v, cost %d bound %d; optimum %d", got.Outcome, got.Cost, got.Bound, want.Cost)
		}
		if err := audit(p, &Query{Goals: p.Goals}, got); err != nil {
			t.Fatal(err)
		}
		if got.Outcome == Bounded {
			bounded++
		}
		stopped := Solve(p, Limits{Stop: func() bool { return true }})
		if stopped.Outcome != Bounded && stopped.Outcome != Optimal || stopped.Bound > want.Cost {
			t.Fatalf("stopped at once: %v, bound %d above optimum %d", stopped.Outcome, stopped.Bound, want.Cost)
		}
	}
	if bounded == 0 {
		t.Fatal("no search was stopped early: the test is too easy")
	}
}

// layered draws a problem with deep choices, too large for trying all sets.
func layered(r *rand.Rand, items int) *Problem {
	const width = 6
	p := &Problem{Facts: items}
	for i := range items {
		if i < width {
			p.Ops = append(p.Ops, Op{Cost: int64(1 + r.IntN(20)), Add: []int32{int32(i)}})
			continue
		}
		base := i/width*width - width
		for range 1 + r.IntN(3) {
			var pre []int32
			for range 1 + r.IntN(3) {
				pre = append(pre, int32(base+r.IntN(width)))
			}
			p.Ops = append(p.Ops, Op{Cost: int64(1 + r.IntN(20)), Pre: pre, Add: []int32{int32(i)}})
		}
	}
	p.Goals = []int32{int32(items - 1), int32(items - 2), int32(items - 3)}
	return p
}

// TestLaws checks relations between the answers to related queries.
func TestLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for range 60 {
		p := layered(r, 48)
		s, err := NewSolver(p)
		if err != nil {
			t.Fatal(err)
		}
		cost := func(q Query) int64 {
			got := s.SolveWith(q, Limits{})
			if got.Outcome != Optimal {
				t.Fatalf("%v for %+v", got.Outcome, q)
			}
			if err := audit(p, &q, got); err != nil {
				t.Fatal(err)
			}
			return got.Cost
		}
		a, b := p.Goals[:1], p.Goals[1:]
		both, ca, cb := cost(Query{Goals: p.Goals}), cost(Query{Goals: a}), cost(Query{Goals: b})
		if both > ca+cb || both < max(ca, cb) {
			t.Fatalf("together %d, apart %d and %d", both, ca, cb)
		}
		if c := cost(Query{Goals: p.Goals, Start: []int32{int32(r.IntN(p.Facts))}}); c > both {
			t.Fatalf("half open costs %d, closed %d", c, both)
		}
		if c := cost(Query{Goals: p.Goals, Free: []int32{int32(r.IntN(len(p.Ops)))}}); c > both {
			t.Fatalf("with an op paid %d, else %d", c, both)
		}
		wider := &Problem{Facts: p.Facts, Ops: append(slices.Clone(p.Ops), Op{Cost: 3, Pre: []int32{0}, Add: []int32{int32(r.IntN(p.Facts))}}), Goals: p.Goals}
		if got := Solve(wider, Limits{}); got.Cost > both {
			t.Fatalf("with one way more %d, else %d", got.Cost, both)
		}
	}
}

// TestSameAnswer checks that the same input gives the same output, also after
// other queries.
func TestSameAnswer(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	for range 10 {
		p := layered(r, 60)
		s, err := NewSolver(p)
		if err != nil {
			t.Fatal(err)
		}
		first := s.Solve(p.Goals, Limits{})
		s.Solve(p.Goals[:1], Limits{})
		if again := s.Solve(p.Goals, Limits{}); !reflect.DeepEqual(first, again) {
			t.Fatalf("%+v\nthen\n%+v", first, again)
		}
		if other := Solve(p, Limits{}); !reflect.DeepEqual(first, other) {
			t.Fatalf("%+v\nafresh\n%+v", first, other)
		}
	}
}

// TestRunnersUp enumerates all solutions without a useless op, cheapest
// first, by excluding each one found, and compares with trying every set.
func TestRunnersUp(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 10))
	several := 0
	for i := range 150 {
		p := randomProblem(r)
		q := Query{Goals: p.Goals}
		s, err := NewSolver(p)
		if err != nil {
			t.Fatal(err)
		}
		last := int64(0)
		for {
			got := s.SolveWith(q, Limits{})
			want := bruteCost(p, &q)
			if want < 0 {
				if got.Outcome != Impossible {
					t.Fatalf("case %d: %v after the last one", i, got.Outcome)
				}
				break
			}
			if got.Cost != want || got.Cost < last {
				t.Fatalf("case %d: runner-up at %d, want %d, before %d", i, got.Cost, want, last)
			}
			if last = got.Cost; len(got.Ops) == 0 {
				break
			}
			q.Exclude = append(q.Exclude, got.Ops)
		}
		if len(q.Exclude) > 2 {
			several++
		}
	}
	if several < 10 {
		t.Fatalf("only %d cases with more than two ways: the test is too easy", several)
	}
}

func TestBlockers(t *testing.T) {
	locked := &Problem{Facts: 5, Goals: []int32{4}, Ops: []Op{
		{Pre: []int32{0, 1}, Add: []int32{4}}, {Pre: []int32{2}, Add: []int32{3}}, {Pre: []int32{3}, Add: []int32{4}},
	}}
	circle := &Problem{Facts: 3, Goals: []int32{2}, Ops: []Op{
		{Pre: []int32{1}, Add: []int32{0}}, {Pre: []int32{0}, Add: []int32{1}}, {Pre: []int32{0, 1}, Add: []int32{2}},
	}}
	for _, c := range []struct {
		name, reason string
		p            *Problem
		candidates   []int32
		outcome      Outcome
		facts        []int32
	}{
		{"one of three missing", "fact 2 alone opens the other way", locked, nil, Optimal, []int32{2}},
		{"candidates given", "only the dearer way may be opened", locked, []int32{0, 1}, Optimal, []int32{0, 1}},
		{"candidates do not do", "fact 0 alone opens nothing", locked, []int32{0}, Impossible, nil},
		{"circle", "one fact of a circle breaks it", circle, nil, Optimal, []int32{1}},
		{"reachable", "nothing is missing", door(), nil, Optimal, nil},
		{"bad candidate", "an index out of range is named", door(), []int32{7}, Invalid, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Blockers(c.p, c.candidates, Limits{})
			if got.Outcome != c.outcome || !slices.Equal(got.Facts, c.facts) {
				t.Fatalf("%+v, want %v %v: %s", got, c.outcome, c.facts, c.reason)
			}
		})
	}
}

// TestBlockersRandom checks on random problems that the blocking facts do,
// that none can be spared, and that no smaller set of them exists.
func TestBlockersRandom(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 11))
	blocked := 0
	for range 400 {
		p := randomProblem(r)
		got := Blockers(p, nil, Limits{})
		if got.Outcome != Optimal {
			t.Fatalf("%v for %+v", got.Outcome, p)
		}
		var all []int32
		for a := range p.Ops {
			all = append(all, int32(a))
		}
		opens := func(facts []int32) bool { return reachesAll(p, &Query{Goals: p.Goals, Start: facts}, all) }
		if !opens(got.Facts) {
			t.Fatalf("%v do not open %+v", got.Facts, p)
		}
		for i := range got.Facts {
			if opens(slices.Delete(slices.Clone(got.Facts), i, i+1)) {
				t.Fatalf("fact %d can be spared in %+v", got.Facts[i], p)
			}
		}
		if len(got.Facts) > 0 {
			blocked++
		}
	}
	if blocked < 50 {
		t.Fatalf("only %d problems were blocked", blocked)
	}
}
