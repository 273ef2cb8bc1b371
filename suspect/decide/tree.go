package decide

import (
	"math"
	"slices"
)

// Node is a place in the decision tree: what is believed, how the machine
// stands, and what the policy does there. The tree is worked out as far as it
// is walked.
type Node struct {
	s *search
	n *node
}

// Branch is one thing that a step may show, and where that leads.
type Branch struct {
	Outcome int     // of a check; 0 passed and 1 failed of the proof; 0 of a repair
	Chance  float64 // given that the tree came here
	Next    *Node   // nil where the job ends
	End     float64 // what ending there costs on average, putting back included
}

// Root is where the job stands now; nil if the answer is Impossible.
func (a *Answer) Root() *Node {
	if a.Status == Impossible {
		return nil
	}
	return &Node{s: a.s, n: a.root}
}

// treeNodes is how many nodes are opened to work out one place of the tree that
// the search has left open.
const treeNodes = 400

// ready works the node out if the search has not.
func (t *Node) ready() {
	n, s := t.n, t.s
	if n.solved() || n.easy != nil && n.left == 0 || n == s.keep {
		return
	}
	lim, halt := s.lim, s.halt
	s.lim, s.halt = Limits{Nodes: s.work.Nodes + treeNodes}, false
	s.follow(n)
	for math.IsInf(n.up, 1) && !math.IsInf(n.lo, 1) {
		s.lim.Nodes, s.halt = s.work.Nodes+treeNodes, false
		s.descend(n)
		s.follow(n)
	}
	for !n.solved() && !s.stop() {
		s.descend(n)
	}
	s.lim, s.halt = lim, halt
}

// Expected is the cost of the policy from here on.
func (t *Node) Expected() float64 { t.ready(); return t.n.up }

// Bound is what no policy can beat from here on.
func (t *Node) Bound() float64 { return t.n.lo }

// State is the machine state.
func (t *Node) State() State { return t.n.at.state }

// Chances is what is believed here, by world.
func (t *Node) Chances() []float64 { return t.s.m.chances(&t.n.in.b) }

func (m *model) chances(b *belief) []float64 {
	out := make([]float64, len(m.p.Worlds))
	for j, w := range b.world {
		out[w] += b.p[j]
	}
	return out
}

// Step is what the policy does here.
func (t *Node) Step() Step {
	t.ready()
	return t.s.step(t.n)
}

// Branches lists what the step may show; none for referring on.
func (t *Node) Branches() []Branch {
	t.ready()
	c := t.s.best(t.n)
	if c.o == nil {
		return nil
	}
	return t.s.fork(t.n, c)
}

// Follow gives the branches of another step than the policy's, from the same
// place, so that "what if" can be answered. It has none for referring on and
// for what makes no sense or cannot be done here.
func (t *Node) Follow(st Step) []Branch {
	opts := t.s.m.options(t.n.in)
	i := slices.IndexFunc(opts, func(o option) bool { return o.kind == st.Kind && o.index == st.Index })
	if i < 0 {
		return nil
	}
	moves := t.s.gr.do(t.n.at, opts[i].act)
	if st.Move < 0 || st.Move >= len(moves) {
		return nil
	}
	c := t.s.choice(t.n, &opts[i], st.Move, moves[st.Move])
	return t.s.fork(t.n, c)
}

// choice is an option done in one way.
func (s *search) choice(n *node, o *option, k int, mv Move) *cand {
	own := ownOf(s.m.p, o.act)
	c := &cand{o: o, stage: priced, move: k, cost: float64(mv.Cost), up: math.Inf(1)}
	c.to = s.gr.place(mv.After, n.at.paid+max(0, c.cost-own))
	s.lead(n, c)
	return c
}

func (s *search) fork(n *node, c *cand) []Branch {
	var out []Branch
	for b, br := range s.m.branches(n.in, c.o) {
		x := Branch{Outcome: br.outcome, Chance: br.prob}
		if c.kids[b] != nil {
			x.Next = &Node{s: s, n: c.kids[b]}
		} else {
			x.End = br.end + c.to.close
		}
		out = append(out, x)
	}
	return out
}
