package access_test

import (
	"container/heap"
	"flag"
	"math/rand/v2"
	"testing"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/internal/engines"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

var movesSeeds = flag.Uint64("moves.seeds", 30, "number of small machines on which single moves are compared with brute force")

// stroll is a visit under way, as the moves and as the independent machine
// have it.
type stroll struct {
	t     *testing.T
	c     engines.Case
	r     *guide.Resolved
	m     *access.Moves
	tasks []plan.Task // done so far
	steps []plan.Step // with Task as an index of tasks
	at    int
	cost  int64
}

// machine replays the steps on the independent machine, with one more task
// asked for, and reports whether they are good and cost what was said.
func (s *stroll) machine(more ...plan.Task) *audit.State {
	s.t.Helper()
	req := s.c.Request
	req.Tasks = nil
	for _, t := range append(append([]plan.Task(nil), s.tasks...), more...) {
		req.Tasks = append(req.Tasks, plan.Task{Verb: t.Verb, On: t.On})
	}
	st, err := audit.NewState(s.r, req)
	if err != nil {
		s.t.Fatal(err)
	}
	for i, step := range s.steps {
		effect, err := st.Apply(step)
		if err != nil {
			s.t.Fatalf("%s: step %d of %d: %v", s.c.Name, i+1, len(s.steps), err)
		}
		got := effect.Step
		if got.Hands != step.Hands || got.Setup != step.Setup || got.Wait != step.Wait || got.Phase != step.Phase {
			s.t.Fatalf("%s: step %d is %+v, want %+v", s.c.Name, i+1, step, got)
		}
	}
	if have := st.Cost().Objective; have != s.cost {
		s.t.Fatalf("%s: %d steps cost %d, the moves say %d", s.c.Name, len(s.steps), have, s.cost)
	}
	return st
}

// take goes on by a move that does the task.
func (s *stroll) take(t plan.Task, m access.Move) {
	for _, step := range m.Steps {
		if step.Kind == plan.Do {
			step.Task = len(s.tasks)
		}
		s.steps = append(s.steps, step)
	}
	s.tasks, s.at, s.cost = append(s.tasks, t), m.After, s.cost+m.Cost.Objective
}

// after returns a copy of the stroll that has gone on by the move.
func (s *stroll) after(t plan.Task, m access.Move) *stroll {
	o := *s
	o.tasks, o.steps = append([]plan.Task(nil), s.tasks...), append([]plan.Step(nil), s.steps...)
	o.take(t, m)
	return &o
}

// bruteState is a state met by the brute force, and whether it has the task
// still before it.
type bruteState struct {
	s     *audit.State
	cost  int64
	order int
}

type bruteQueue []bruteState

func (q bruteQueue) Len() int      { return len(q) }
func (q bruteQueue) Swap(a, b int) { q[a], q[b] = q[b], q[a] }
func (q bruteQueue) Less(a, b int) bool {
	return q[a].cost < q[b].cost || q[a].cost == q[b].cost && q[a].order < q[b].order
}
func (q *bruteQueue) Push(x any) { *q = append(*q, x.(bruteState)) }
func (q *bruteQueue) Pop() any {
	x := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return x
}

// brute searches all states from st on. It returns what it costs at least to
// do the task with the given index (-1: none), and the cheapest way to do it
// and end the visit. The task is done only while nothing waits, and as its
// marks say. Negative is impossible; known is false when there are too many
// states.
func brute(r *guide.Resolved, st *audit.State, start *audit.State, task int, want plan.Task, tasks int) (reach, total int64, known bool) {
	reach, total = -1, -1
	steps := bruteSteps(r, task)
	queue, seen := &bruteQueue{{s: st}}, map[string]bool{}
	for queue.Len() > 0 {
		n := heap.Pop(queue).(bruteState)
		key := n.s.Key()
		if seen[key] {
			continue
		}
		seen[key] = true
		if len(seen) > bruteStates {
			return reach, total, false
		}
		done := task < 0 || n.s.Done(task)
		if done && reach < 0 {
			reach = n.cost
		}
		if done && len(n.s.Unfinished()) == 0 {
			return reach, n.cost, true
		}
		for _, step := range steps {
			if step.Kind == plan.Do && !mayDo(r, n.s, start, want) || done && task >= 0 && step.Kind == plan.Do {
				continue
			}
			// A Before task comes first, nothing is stripped after a proof.
			if strips := step.Kind == plan.Clear || step.Kind == plan.Refit; strips && task >= 0 && (want.Before && !done || want.Proof && done) {
				continue
			}
			next, effect, err := n.s.Next(step)
			if err == nil && !seen[next.Key()] {
				heap.Push(queue, bruteState{next, n.cost + effect.Objective, len(seen)*len(steps) + queue.Len()})
			}
		}
	}
	return reach, total, true
}

const bruteStates = 20_000

// bruteSteps lists every step that could be tried.
func bruteSteps(r *guide.Resolved, task int) []plan.Step {
	var steps []plan.Step
	ways := 1
	for i := range r.Items {
		ways = max(ways, len(r.Items[i].Ways))
		for w := range r.Items[i].Ways {
			steps = append(steps, plan.Step{Kind: plan.Clear, Item: r.Items[i].ID, Way: w}, plan.Step{Kind: plan.Refit, Item: r.Items[i].ID, Way: w})
		}
	}
	for i := range r.Guide.Checks {
		ways = max(ways, len(r.Guide.Checks[i].Ways))
	}
	for i := range r.Guide.Conditions {
		c := &r.Guide.Conditions[i]
		for k := range c.Changes {
			steps = append(steps, plan.Step{Kind: plan.Change, Condition: c.ID, Change: k})
		}
		steps = append(steps, plan.Step{Kind: plan.Await, Condition: c.ID})
	}
	for w := -1; task >= 0 && w < ways; w++ {
		steps = append(steps, plan.Step{Kind: plan.Do, Task: task, Way: w})
	}
	return steps
}

// mayDo is the rule of the moves about when a task is done.
func mayDo(r *guide.Resolved, s, start *audit.State, want plan.Task) bool {
	for i := range r.Guide.Conditions {
		if v, _ := s.Coming(r.Guide.Conditions[i].ID); v != "" {
			return false
		}
	}
	for i := range r.Items {
		id := r.Items[i].ID
		if _, cleared := s.OnTop(id); want.Before && (cleared || s.Standing(id) != start.Standing(id)) {
			return false
		}
	}
	return true
}

// TestMovesOracle walks through small machines at random and compares every
// move from every state on the way with a brute force: the best visit is
// found, no route is cheaper than possible, every route replays on the
// independent machine at the cost claimed, and the bounds hold.
func TestMovesOracle(t *testing.T) {
	counts := map[string]int{}
	for seed := range *movesSeeds {
		for _, c := range []engines.Case{engines.Small(9000 + seed), engines.SmallOrder(9000 + seed)} {
			strollThrough(t, c, seed, counts)
		}
	}
	t.Log(counts)
	for _, what := range []string{"possible", "impossible", "alternative", "close", "deep"} {
		if counts[what] < 20 {
			t.Errorf("only %d cases of %s", counts[what], what)
		}
	}
}

// moveNodes is enough to prove every move on a small machine.
const moveNodes = 100_000

func strollThrough(t *testing.T, c engines.Case, seed uint64, counts map[string]int) {
	r, err := c.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	m, err := planner(t, r).Moves(c.Request, access.Limits{Nodes: moveNodes})
	if err != nil {
		t.Fatal(err)
	}
	dice := rand.New(rand.NewPCG(seed, 77))
	s := &stroll{t: t, c: c, r: r, m: m, at: m.Start()}
	tasks := append([]plan.Task(nil), c.Request.Tasks...)
	for i := range r.Guide.Checks {
		tasks = append(tasks, plan.Task{Verb: guide.Measure, On: r.Guide.Checks[i].ID})
	}
	for range 3 {
		s.compareClose(counts)
		var next []*stroll
		for _, task := range tasks {
			next = append(next, s.compare(task, counts)...)
		}
		if len(next) == 0 {
			return
		}
		s = next[dice.IntN(len(next))]
	}
}

// compare prices the task from where the stroll stands and returns the
// strolls that it leads to.
func (s *stroll) compare(task plan.Task, counts map[string]int) []*stroll {
	task.After = nil
	t, name := s.t, s.c.Name+" "+task.String()
	list := s.m.Do(s.at, task)
	start := (&stroll{t: t, c: s.c, r: s.r}).machine(append(append([]plan.Task(nil), s.tasks...), task)...)
	reach, total, known := brute(s.r, s.machine(task), start, len(s.tasks), task, len(s.tasks)+1)
	bound, possible := s.m.Bound(s.at, []plan.Task{task})
	if known && total < 0 {
		counts["impossible"]++
		if len(list) > 0 {
			t.Errorf("%s from state %d: %d moves, the brute force finds none", name, s.at, len(list))
		}
		return nil
	}
	if known && (!possible || bound > total) {
		t.Errorf("%s from state %d: bound %d %v, the best visit costs %d", name, s.at, bound, possible, total)
	}
	if known && len(list) == 0 {
		t.Errorf("%s from state %d: no moves, the best visit costs %d", name, s.at, total)
		return nil
	}
	var out []*stroll
	least := s.m.AtLeast(task)
	for i, m := range list {
		o := s.after(task, m)
		o.machine()
		out = append(out, o)
		if m.Cost.Objective < least {
			t.Errorf("%s from state %d costs %d, at least %d were claimed", name, s.at, m.Cost.Objective, least)
		}
		if !known {
			continue
		}
		counts["possible"]++
		if i > 0 {
			counts["alternative"]++
		}
		if len(s.tasks) > 1 {
			counts["deep"]++
		}
		if m.Cost.Objective < reach || m.Cost.Objective+m.Rest < total {
			t.Errorf("%s from state %d: move %d costs %d and %d, possible are %d and %d in all", name, s.at, i, m.Cost.Objective, m.Rest, reach, total)
		}
		if i == 0 && (!m.Proved || m.Cost.Objective+m.Rest != total) {
			t.Errorf("%s from state %d: the first move costs %d and %d (proved %v), the best visit %d", name, s.at, m.Cost.Objective, m.Rest, m.Proved, total)
		}
		if back, ok := s.m.Close(m.After); !task.Proof && m.Proved && (!ok || back.Cost.Objective != m.Rest) {
			t.Errorf("%s from state %d: putting back costs %d %v, the visit says %d", name, s.at, back.Cost.Objective, ok, m.Rest)
		}
	}
	return out
}

// compareClose compares putting everything back with the brute force.
func (s *stroll) compareClose(counts map[string]int) {
	got, ok := s.m.Close(s.at)
	_, total, known := brute(s.r, s.machine(), nil, -1, plan.Task{}, len(s.tasks))
	if !known {
		return
	}
	counts["close"]++
	if ok != (total >= 0) || ok && (got.Cost.Objective != total || !got.Proved) {
		s.t.Errorf("%s: putting back from state %d costs %d %v, brute force says %d", s.c.Name, s.at, got.Cost.Objective, ok, total)
		return
	}
	if !ok {
		return
	}
	o := s.after(plan.Task{}, got)
	o.tasks = s.tasks
	if left := o.machine().Unfinished(); len(left) > 0 {
		s.t.Errorf("%s: put back from state %d, and still: %v", s.c.Name, s.at, left)
	}
	if bound, possible := s.m.Bound(s.at, nil); !possible || bound > total {
		s.t.Errorf("%s: bound %d %v from state %d, putting back costs %d", s.c.Name, bound, possible, s.at, total)
	}
}
