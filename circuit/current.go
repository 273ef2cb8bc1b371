package circuit

import "math"

// currents fills the current of every branch, from a to b. Through a
// resistance it is Ohm's law. Through an ideal joint it is what Kirchhoff's
// law leaves, worked off from the ends of the tree that the joints of a net
// make; where joints make a ring the split is not settled, and it is NaN.
func (n *network) currents(joined nets, into []float64, s *Solution) {
	leaves := make([]float64, n.points()) // current that leaves each point otherwise
	flow := func(a, b int, amps float64) {
		leaves[a] += amps
		leaves[b] -= amps
	}
	for k, src := range n.sources {
		flow(src.drain, src.plus, into[k])
	}
	var ideal []int
	for i, b := range n.branches {
		switch {
		case b.ohm == 0:
			ideal = append(ideal, i)
		case math.IsInf(b.ohm, 1):
		case math.IsNaN(s.volts[b.a]) || math.IsNaN(s.volts[b.b]):
		default:
			if b.ohm >= thinnest {
				s.amps[i] = (s.volts[b.a] - s.volts[b.b]) / b.ohm
			}
			flow(b.a, b.b, s.amps[i])
		}
	}
	n.peel(ideal, leaves, s)
}

// peel takes joints off at points that have a single one left, the reference
// last, since nothing balances there.
func (n *network) peel(ideal []int, leaves []float64, s *Solution) {
	at := make([][]int, n.points())
	for _, i := range ideal {
		b := n.branches[i]
		at[b.a] = append(at[b.a], i)
		at[b.b] = append(at[b.b], i)
	}
	left := make([]int, len(at))
	var ends []int
	for p := range at {
		left[p] = len(at[p])
		if p != 0 && left[p] == 1 {
			ends = append(ends, p)
		}
	}
	done := make([]bool, len(n.branches))
	for len(ends) > 0 {
		p := ends[len(ends)-1]
		ends = ends[:len(ends)-1]
		for _, i := range at[p] {
			if done[i] {
				continue
			}
			done[i] = true
			b, far := n.branches[i], n.branches[i].b
			s.amps[i] = -leaves[p]
			if b.b == p {
				far, s.amps[i] = b.a, leaves[p]
			}
			leaves[far] += leaves[p]
			left[p]--
			if left[far]--; far != 0 && left[far] == 1 {
				ends = append(ends, far)
			}
		}
	}
	for _, i := range ideal {
		if !done[i] {
			s.amps[i] = math.NaN()
		}
	}
}

// Volts returns the voltage of a point against the reference; NaN where it
// floats or the circuit has no solution.
func (s *Solution) Volts(p Point) Volts {
	i := number(p)
	if i < 0 || i >= len(s.volts) {
		return Volts(math.NaN())
	}
	return Volts(s.volts[i])
}

// Between returns the voltage of p against q.
func (s *Solution) Between(p, q Point) Volts { return s.Volts(p) - s.Volts(q) }

// Amperes returns the current through a spot from its supply side to its load
// side; NaN where several joints without resistance lie side by side and the
// current divides among them in a way that nothing settles. The current
// through a supply is what it gives.
func (s *Solution) Amperes(at Spot) Amperes {
	if !s.g.isSpot(at) {
		return Amperes(math.NaN())
	}
	return Amperes(s.amps[s.g.branchOf(at)])
}

// Ohms returns the resistance of a spot as it was solved, insertions included;
// +Inf when it is interrupted.
func (s *Solution) Ohms(at Spot) Ohms {
	if !s.g.isSpot(at) {
		return Ohms(math.NaN())
	}
	return Ohms(s.ohms[s.g.branchOf(at)])
}
