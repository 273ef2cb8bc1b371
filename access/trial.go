package access

import "elbowroom/access/andor"

// trial tries out operations on facts without solving anything. Its memory is
// used again from one trial to the next.
type trial struct {
	holds []uint32 // by fact: the trial in which it was last brought about
	now   uint32
	left  []int32
}

// cost returns what those of the operations cost that bring about anything
// new, and whether together they reach the goals of the query.
func (t *trial) cost(p *andor.Problem, ops []int32, q *andor.Query) (sum int64, ok bool) {
	if len(t.holds) < p.Facts {
		t.holds = make([]uint32, p.Facts)
	}
	t.now++
	for _, f := range q.Start {
		t.holds[f] = t.now
	}
	t.left = append(t.left[:0], ops...)
	for grew := true; grew; {
		grew = false
		rest := t.left[:0]
		for _, n := range t.left {
			op := &p.Ops[n]
			if !t.all(op.Pre) {
				rest = append(rest, n)
				continue
			}
			grew = true
			if !t.all(op.Add) {
				sum += op.Cost
				for _, f := range op.Add {
					t.holds[f] = t.now
				}
			}
		}
		t.left = rest
	}
	return sum, t.all(q.Goals)
}

func (t *trial) all(facts []int32) bool {
	for _, f := range facts {
		if t.holds[f] != t.now {
			return false
		}
	}
	return true
}
