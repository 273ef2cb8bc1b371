package decide

import (
	"container/heap"
	"errors"
	"math"
)

// ErrTooLarge says that [Exhaust] met more information states than it was
// allowed.
var ErrTooLarge = errors.New("decide: more information states than allowed; use Solve, which has bounds")

// Exact is what [Exhaust] found.
type Exact struct {
	Expected float64 // +Inf if no policy ends the job for certain
	Beliefs  int     // information states met
}

// Exhaust works out the least expected cost by dynamic programming over every
// information state, without bounds. On an [Explicit] ground each information
// state costs one shortest-path sweep over all machine states; otherwise the
// alternatives of Do are tried from each machine state that is met. It gives
// up with [ErrTooLarge] past most information states.
func Exhaust(p Problem, most int) (Exact, error) {
	if err := p.Validate(); err != nil {
		return Exact{}, err
	}
	m := newModel(&p)
	x := exhaust{m: m, most: most}
	var v float64
	if g, ok := p.Ground.(Explicit); ok {
		s := newSweep(&x, g)
		all := s.value(m.start)
		if x.over {
			return Exact{}, ErrTooLarge
		}
		v = all[p.Ground.Start()]
	} else {
		x.memo = map[spot]float64{}
		v = x.value(m.start, p.Ground.Start())
		if x.over {
			return Exact{}, ErrTooLarge
		}
	}
	return Exact{Expected: v, Beliefs: m.infos.n}, nil
}

// spot is an information state and a machine state.
type spot struct {
	info  int
	state State
}

type exhaust struct {
	m    *model
	memo map[spot]float64
	most int
	over bool
}

func (x *exhaust) full() bool {
	x.over = x.over || x.m.infos.n > x.most
	return x.over
}

func (x *exhaust) value(in *info, s State) float64 {
	if v, ok := x.memo[spot{in.id, s}]; ok {
		return v
	}
	if x.full() {
		return math.Inf(1)
	}
	best := math.Inf(1)
	end, open := x.m.p.Ground.Close(s)
	if open {
		for e := range x.m.p.Escapes {
			best = min(best, x.m.refer(in, e)+float64(end))
		}
	}
	opts := x.m.options(in)
	for i := range opts {
		for _, mv := range do(x.m.p.Ground, s, opts[i].act) {
			best = min(best, float64(mv.Cost)+x.later(in, &opts[i], mv.After))
		}
	}
	x.memo[spot{in.id, s}] = best
	return best
}

// later is the expected cost after an option was done and left state s.
func (x *exhaust) later(in *info, o *option, s State) float64 {
	sum := 0.0
	for _, br := range x.m.branches(in, o) {
		if br.to != nil {
			sum += br.prob * x.value(br.to, s)
			continue
		}
		end, ok := x.m.p.Ground.Close(s)
		if !ok {
			return math.Inf(1)
		}
		sum += br.prob * (br.end + float64(end))
	}
	return sum
}

// do asks the Ground, except about NoWork.
func do(g Ground, s State, a Action) []Move {
	if a == NoWork {
		return []Move{{After: s}}
	}
	return g.Do(s, a)
}

// sweep answers all machine states of an information state at once.
type sweep struct {
	*exhaust
	g     Explicit
	back  [][]Move // back[s]: the steps that lead to s, After holding where from
	close []float64
	memo  map[int][]float64
}

func newSweep(x *exhaust, g Explicit) *sweep {
	s := &sweep{exhaust: x, g: g, memo: map[int][]float64{}}
	s.back = make([][]Move, g.States())
	s.close = make([]float64, g.States())
	for i := range g.States() {
		s.close[i] = math.Inf(1)
		if c, ok := g.Close(State(i)); ok {
			s.close[i] = float64(c)
		}
		for _, st := range g.Steps(State(i)) {
			s.back[st.After] = append(s.back[st.After], Move{Cost: st.Cost, After: State(i)})
		}
	}
	return s
}

func (s *sweep) value(in *info) []float64 {
	if v, ok := s.memo[in.id]; ok {
		return v
	}
	v := make([]float64, s.g.States())
	for i := range v {
		v[i] = math.Inf(1)
	}
	if s.full() {
		return v
	}
	for e := range s.m.p.Escapes {
		r := s.m.refer(in, e)
		for i := range v {
			v[i] = min(v[i], r+s.close[i])
		}
	}
	opts := s.m.options(in)
	for i := range opts {
		s.seed(in, &opts[i], v)
	}
	s.spread(v)
	s.memo[in.id] = v
	return v
}

// seed lowers v by doing o in each state that allows it.
func (s *sweep) seed(in *info, o *option, v []float64) {
	next := s.m.branches(in, o)
	later := make([][]float64, len(next))
	for k, br := range next {
		later[k] = s.close
		if br.to != nil {
			later[k] = s.value(br.to)
		}
	}
	for i := range v {
		mv, ok := Move{After: State(i)}, true
		if o.act != NoWork {
			mv, ok = s.g.Here(State(i), o.act)
		}
		if !ok {
			continue
		}
		q := float64(mv.Cost)
		for k, br := range next {
			q += br.prob * (br.end + later[k][mv.After])
		}
		v[i] = min(v[i], q)
	}
}

// spread is Dijkstra's algorithm from all states at once: v[s] becomes the
// least of step costs to some state plus what that state offers.
func (s *sweep) spread(v []float64) {
	q := make(stateHeap, 0, len(v))
	for i, x := range v {
		if !math.IsInf(x, 1) {
			q = append(q, stateCost{State(i), x})
		}
	}
	heap.Init(&q)
	for len(q) > 0 {
		top := heap.Pop(&q).(stateCost)
		if top.cost > v[top.state] {
			continue
		}
		for _, st := range s.back[top.state] {
			if c := top.cost + float64(st.Cost); c < v[st.After] {
				v[st.After] = c
				heap.Push(&q, stateCost{st.After, c})
			}
		}
	}
}

type stateCost struct {
	state State
	cost  float64
}

type stateHeap []stateCost

func (h stateHeap) Len() int           { return len(h) }
func (h stateHeap) Less(i, j int) bool { return h[i].cost < h[j].cost }
func (h stateHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *stateHeap) Push(x any)        { *h = append(*h, x.(stateCost)) }
func (h *stateHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}
