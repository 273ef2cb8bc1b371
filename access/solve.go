package access

import "elbowroom/plan"

// solution is the best plan of a model that was cut down to some choice.
type solution struct {
	m       *model
	acts    []act
	outcome plan.Outcome
	cost    int64 // far when there is none
	bound   int64
}

// solve finds the best plan of the model.
func solve(m *model, lim Limits) *optimizer {
	o := newOptimizer(m, lim)
	if err := o.run(); err != nil {
		o.stopped = true
	}
	return o
}

// outcome says what is proved of the plan found.
func (o *optimizer) outcome() plan.Outcome {
	switch {
	case o.impossible:
		return plan.Impossible
	case o.cost >= far:
		return plan.Limit
	case o.cost > o.bound:
		return plan.Bounded
	}
	return plan.Optimal
}

func (o *optimizer) solution() solution {
	return solution{m: o.m, acts: o.acts, outcome: o.outcome(), cost: o.cost, bound: min(o.bound, o.cost)}
}

// cut returns the model without the ways and changes that keep refuses.
func (m *model) cut(keepWay, keepChange func(n int32) bool) *model {
	c := choice{ways: make([]bool, len(m.ways)), changes: make([]bool, len(m.changes))}
	for n := range c.ways {
		c.ways[n] = keepWay(int32(n))
	}
	for k := range c.changes {
		c.changes[k] = keepChange(int32(k))
	}
	return newMachine(m).restrict(c).model()
}

func every(int32) bool { return true }

// without solves the model without some ways.
func (m *model) without(refused func(n int32) bool, lim Limits) solution {
	return solve(m.cut(func(n int32) bool { return !refused(n) }, every), lim).solution()
}

// plan writes the solution; extra tasks that were only added to force
// something are left out.
func (s *solution) plan(stop func() bool) plan.Plan {
	out := plan.Plan{Outcome: s.outcome, Bound: s.bound, Certificate: plan.Certificate{Cases: 1}}
	if s.cost < far {
		out.Steps, out.Cost = s.m.write(s.acts, stop)
	}
	return out
}
