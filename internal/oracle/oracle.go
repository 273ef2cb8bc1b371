// Package oracle finds the best plan of a tiny machine by searching every
// state, as a yardstick for planners.
//
// It is Dijkstra's algorithm on the states of package plan/audit: every way of
// every item, every refit, change, await and task is tried in every state, and
// what audit refuses is dropped. It knows no shortcut, no bound and nothing of
// the planner in access; it is slow and simple enough to be seen to be right.
// It reads no files and is deterministic.
package oracle

import (
	"container/heap"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// Best returns a cheapest plan and its objective. The outcome is Optimal,
// Impossible (every reachable state was searched), Limit (more than maxStates
// states were met and nothing is known), or BadInput.
func Best(r *guide.Resolved, req plan.Request, maxStates int) (objective int64, steps []plan.Step, outcome plan.Outcome) {
	p := search(r, req, maxStates)
	return p.Bound, p.Steps, p.Outcome
}

// search returns the plan with Outcome, Steps and Bound, and the number of
// states met as the cases of its certificate.
func search(r *guide.Resolved, req plan.Request, maxStates int) plan.Plan {
	start, err := audit.NewState(r, req)
	if err != nil {
		return plan.Plan{Outcome: plan.BadInput}
	}
	moves := everyStep(r, req)
	best := map[string]*node{}
	queue := &frontier{}
	queue.meet(best, &node{state: start})
	for queue.Len() > 0 {
		n := heap.Pop(queue).(*node)
		if n.stale {
			continue
		}
		if len(n.state.Unfinished()) == 0 {
			cases := plan.Certificate{Cases: int64(len(best))}
			return plan.Plan{Outcome: plan.Optimal, Steps: n.path(), Bound: n.cost, Certificate: cases}
		}
		for _, step := range moves {
			next, effect, err := n.state.Next(step)
			if err != nil {
				continue
			}
			queue.meet(best, &node{state: next, cost: n.cost + effect.Objective, from: n, step: effect.Step})
		}
		if len(best) > maxStates {
			return plan.Plan{Outcome: plan.Limit}
		}
	}
	return plan.Plan{Outcome: plan.Impossible}
}

// Plan returns what Best finds as a plan with every field filled in, its bound
// equal to its objective. Its certificate has no landmarks: the number of
// states searched is all the proof there is.
func Plan(r *guide.Resolved, req plan.Request, maxStates int) plan.Plan {
	p := search(r, req, maxStates)
	if p.Outcome == plan.Optimal {
		s, _ := audit.NewState(r, req) // search has made it before
		for _, step := range p.Steps {
			_, _ = s.Apply(step) // and done every step of it
		}
		p.Cost = s.Cost()
	}
	if p.Outcome == plan.Impossible {
		p.Blockers = []plan.Blocker{{Says: "every state that can be reached was searched"}}
	}
	return p
}

// everyStep lists every step that could ever be tried: all ways of all items
// cleared and refitted, all changes, all awaits, all tasks by all ways.
func everyStep(r *guide.Resolved, req plan.Request) []plan.Step {
	var steps []plan.Step
	for i := range r.Items {
		it := &r.Items[i]
		for w := range it.Ways {
			steps = append(steps,
				plan.Step{Kind: plan.Clear, Item: it.ID, Way: w},
				plan.Step{Kind: plan.Refit, Item: it.ID, Way: w})
		}
	}
	for i := range r.Guide.Conditions {
		c := &r.Guide.Conditions[i]
		for k := range c.Changes {
			steps = append(steps, plan.Step{Kind: plan.Change, Condition: c.ID, Change: k})
		}
		steps = append(steps, plan.Step{Kind: plan.Await, Condition: c.ID})
	}
	for t := range req.Tasks {
		for w := -1; w < mostWays(r); w++ {
			steps = append(steps, plan.Step{Kind: plan.Do, Task: t, Way: w})
		}
	}
	return steps
}

// mostWays returns the greatest number of ways that anything has.
func mostWays(r *guide.Resolved) int {
	most := 0
	for i := range r.Items {
		most = max(most, len(r.Items[i].Ways))
	}
	for i := range r.Guide.Checks {
		most = max(most, len(r.Guide.Checks[i].Ways))
	}
	return most
}

// node is a state that was met, by the cheapest path known so far.
type node struct {
	state *audit.State
	cost  int64
	from  *node
	step  plan.Step
	stale bool // a cheaper path was found
	order int  // of meeting, so that ties are settled the same way every time
}

func (n *node) path() []plan.Step {
	var back []plan.Step
	for ; n.from != nil; n = n.from {
		back = append(back, n.step)
	}
	steps := make([]plan.Step, len(back))
	for i, s := range back {
		steps[len(back)-1-i] = s
	}
	return steps
}

// frontier is the heap of states to be searched, cheapest first.
type frontier struct {
	nodes []*node
	met   int
}

// meet adds a state unless it was met before at no greater cost.
func (f *frontier) meet(best map[string]*node, n *node) {
	key := n.state.Key()
	if old, ok := best[key]; ok {
		if old.cost <= n.cost {
			return
		}
		old.stale = true
	}
	n.order = f.met
	f.met++
	best[key] = n
	heap.Push(f, n)
}

func (f *frontier) Len() int { return len(f.nodes) }

func (f *frontier) Less(i, j int) bool {
	a, b := f.nodes[i], f.nodes[j]
	if a.cost != b.cost {
		return a.cost < b.cost
	}
	return a.order < b.order
}

func (f *frontier) Swap(i, j int) { f.nodes[i], f.nodes[j] = f.nodes[j], f.nodes[i] }
func (f *frontier) Push(x any)    { f.nodes = append(f.nodes, x.(*node)) }

func (f *frontier) Pop() any {
	last := len(f.nodes) - 1
	n := f.nodes[last]
	f.nodes[last] = nil
	f.nodes = f.nodes[:last]
	return n
}
