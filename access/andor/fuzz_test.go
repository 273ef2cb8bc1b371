package andor

import "testing"

// problemOf reads any bytes as a problem, mostly a valid one.
func problemOf(data []byte) (*Problem, Query) {
	next := func() int {
		if len(data) == 0 {
			return 0
		}
		v := int(data[0])
		data = data[1:]
		return v
	}
	p := &Problem{Facts: next() % 12}
	fact := func() int32 {
		v := next()
		if v == 255 {
			return int32(p.Facts) // malformed
		}
		return int32(v % max(1, p.Facts))
	}
	some := func(n int) []int32 {
		var list []int32
		for range next() % (n + 1) {
			list = append(list, fact())
		}
		return list
	}
	p.Start, p.Goals = some(2), some(3)
	q := Query{Goals: p.Goals}
	for len(data) > 0 && len(p.Ops) < 10 {
		cost := int64(next()) - 2
		p.Ops = append(p.Ops, Op{Cost: cost, Pre: some(3), Add: some(3)})
	}
	for range min(len(data), 3) {
		q.Exclude = append(q.Exclude, []int32{int32(next() % 10), int32(next() % 10)})
	}
	return p, q
}

// FuzzSolve checks that no input panics, that malformed problems are refused,
// and that answers to the others pass the audit and agree with trying all.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{5, 0, 1, 4, 3, 1, 0, 1, 2, 9, 0, 1, 0})
	f.Add([]byte{3, 0, 2, 1, 2, 1, 2, 1, 1, 1, 2, 5, 0, 1, 1})
	f.Fuzz(func(t *testing.T, data []byte) {
		p, q := problemOf(data)
		s, err := NewSolver(p)
		if err != nil {
			if p.Check() == nil {
				t.Fatal("refused though it passes the check")
			}
			return
		}
		got := s.SolveWith(q, Limits{})
		if got.Outcome == Invalid {
			return
		}
		want := bruteCost(p, &q)
		if want < 0 != (got.Outcome == Impossible) || want >= 0 && (got.Outcome != Optimal || got.Cost != want) {
			t.Fatalf("%v at %d, want %d\n%+v\n%+v", got.Outcome, got.Cost, want, p, q)
		}
		if err := audit(p, &q, got); err != nil {
			t.Fatalf("%v\n%+v\n%+v", err, p, q)
		}
	})
}
