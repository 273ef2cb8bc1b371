package andor

import "slices"

// Tuning of the separation of cuts.
const (
	// cutViolation: a cut is added when the current point violates it by more.
	cutViolation = 0.02
	// flowEps: flow smaller than this is taken as none.
	flowEps = 1e-9
)

// separator looks for landmarks that a fractional point violates: ops L of
// which one must be used whenever fact f is made, though the point uses less
// of L than it makes of f. Each op is tied to one of its preconditions; in the
// graph this leaves, the least cut before f is a flow problem.
type separator struct {
	n     *net
	order []int32 // facts, preconditions first as far as possible
	x     []float64
	y     []float64 // by fact: how far it is made
	width []float64 // by fact: upper bound of the flow to it
	tied  []int32   // by op: the precondition it is tied to, -1 if none
	flow  []float64 // by op
	level []int32
	side  []int32 // by fact: stamp when on the side of the target
	stamp int32
	queue []int32
	cut   []int32
}

func newSeparator(n *net) *separator {
	s := &separator{
		n: n, y: make([]float64, n.facts), width: make([]float64, n.facts),
		tied: make([]int32, len(n.cost)), flow: make([]float64, len(n.cost)),
		level: make([]int32, n.facts), side: make([]int32, n.facts),
	}
	group := n.groups()
	s.order = make([]int32, 0, n.facts)
	for f := range group {
		if group[f] > 0 {
			s.order = append(s.order, int32(f))
		}
	}
	slices.SortStableFunc(s.order, func(a, b int32) int { return int(group[a] - group[b]) })
	return s
}

// point sets the point to be cut off.
func (s *separator) point(x []float64) {
	n := s.n
	s.x = x
	clear(s.y)
	for a, v := range x {
		s.y[n.adds[a]] += v
	}
	for a := range x {
		s.tied[a] = -1
	}
	clear(s.width)
	for _, f := range s.order {
		w := 0.0
		for _, a := range n.makes.of(f) {
			low := x[a]
			for _, p := range n.pre.of(a) {
				if s.tied[a] < 0 || s.width[p] < s.width[s.tied[a]] {
					s.tied[a] = p
				}
			}
			if s.tied[a] >= 0 {
				low = min(low, s.width[s.tied[a]])
			}
			w += low
		}
		s.width[f] = w
	}
}

// violated returns a landmark of fact f that the point violates, in a slice
// that is reused, or nil.
func (s *separator) violated(f int32) []int32 {
	want := min(1, s.y[f])
	if want <= cutViolation {
		return nil
	}
	total := 0.0
	for {
		got := s.augment(f, want-total)
		total += got
		if got <= flowEps {
			break
		}
		if total >= want-cutViolation {
			break
		}
	}
	var cut []int32
	if total < want-cutViolation {
		cut = s.crossing(f)
	}
	s.unflow()
	return cut
}

// augment sends flow to f along a shortest path backwards; it returns the
// amount sent, 0 when there is no path.
func (s *separator) augment(f int32, most float64) float64 {
	n := s.n
	s.stamp++
	s.queue = append(s.queue[:0], f)
	s.side[f] = s.stamp
	// via[f] is the arc by which f was found, walking back from the target:
	// op a >= 0 used forward out of f, or ^a used against its flow.
	for head := 0; head < len(s.queue); head++ {
		g := s.queue[head]
		for _, a := range n.makes.of(g) {
			if s.x[a]-s.flow[a] <= flowEps {
				continue
			}
			p := s.tied[a]
			if p < 0 {
				return s.send(f, g, a, most)
			}
			if s.side[p] != s.stamp {
				s.side[p] = s.stamp
				s.level[p] = a
				s.queue = append(s.queue, p)
			}
		}
		for _, a := range n.users.of(g) {
			if s.tied[a] != g || s.flow[a] <= flowEps {
				continue
			}
			h := n.adds[a]
			if s.side[h] != s.stamp {
				s.side[h] = s.stamp
				s.level[h] = ^a
				s.queue = append(s.queue, h)
			}
		}
	}
	return 0
}

// send pushes flow along the path that begins with op first, adding fact g.
func (s *separator) send(f, g, first int32, most float64) float64 {
	n := s.n
	amount := min(most, s.x[first]-s.flow[first])
	for h := g; h != f; {
		if a := s.level[h]; a >= 0 {
			amount = min(amount, s.x[a]-s.flow[a])
			h = n.adds[a]
		} else {
			amount = min(amount, s.flow[^a])
			h = s.tied[^a]
		}
	}
	s.flow[first] += amount
	for h := g; h != f; {
		if a := s.level[h]; a >= 0 {
			s.flow[a] += amount
			h = n.adds[a]
		} else {
			s.flow[^a] -= amount
			h = s.tied[^a]
		}
	}
	return amount
}

// crossing returns the ops that enter the side of the target, which the last,
// failed search has marked, without needing a fact of it.
func (s *separator) crossing(f int32) []int32 {
	n := s.n
	s.cut = s.cut[:0]
	for _, g := range s.queue {
		for _, a := range n.makes.of(g) {
			if !slices.ContainsFunc(n.pre.of(a), func(p int32) bool { return s.side[p] == s.stamp }) {
				s.cut = append(s.cut, a)
			}
		}
	}
	return s.cut
}

func (s *separator) unflow() { clear(s.flow) }
