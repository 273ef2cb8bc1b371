package app

import (
	"math"
	"slices"
	"time"

	"elbowroom/access"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/suspect"
	"elbowroom/suspect/decide"
)

// shop is what the decision of the next step needs of the workshop and the
// planner: every piece of work priced by the way in from the state that the
// machine stands in. It is a suspect.Shop.
type shop struct {
	in    *inquest
	moves *access.Moves
	refer money.Amount
}

// referBlocks is how many blocks of an hour at the rate count as the price of
// referring the machine on, where nobody has said one.
const referBlocks = 4

func (a *App) shop(in *inquest) (*shop, error) {
	m, err := a.prices.moves(in.bench, in.req, a.allow(in.job.Budget))
	if err != nil {
		return nil, err
	}
	return &shop{in, m, in.req.Rate.For(referBlocks * time.Hour)}, nil
}

// Ground prices the actions from every state that the machine can be brought to.
func (s *shop) Ground(actions []suspect.Action) (decide.Ground, error) {
	g := &ground{moves: s.moves, works: make([]work, len(actions))}
	for i, a := range actions {
		g.works[i] = s.work(a)
	}
	return g, nil
}

// work says what an action asks of the machine.
func (s *shop) work(a suspect.Action) work {
	w := work{extra: s.time(a.Own)}
	switch {
	case a.Sort == suspect.ProofAction && a.Check == "":
		w.closed = true
	case a.Check != "":
		w.task = &plan.Task{Verb: guide.Measure, On: a.Check, Proof: a.Sort == suspect.ProofAction}
	case a.Task != nil:
		w.task = &plan.Task{Verb: a.Task.Verb, On: a.Task.On}
	case a.On != "" && s.reached(a.On):
		w.task = &plan.Task{Verb: guide.Measure, On: a.On}
	}
	if w.task != nil {
		w.own = s.moves.AtLeast(*w.task)
	}
	return w
}

// reached reports whether the guide says how to get at an item to check it.
// Where it does not, nothing is known to be in the way.
func (s *shop) reached(id guide.ID) bool {
	it := s.in.r.Item(id)
	return it != nil && slices.ContainsFunc(it.Ways, func(w guide.Way) bool { return w.Do == guide.Measure })
}

// time prices minutes of work by the objective of the question.
func (s *shop) time(d time.Duration) int64 {
	if s.in.req.By == plan.ByMinutes {
		return d.Milliseconds()
	}
	return d.Milliseconds() * int64(s.in.req.Rate)
}

// Spares prices what a replacement puts in.
func (s *shop) Spares(a suspect.Action) (money.Amount, bool) { return suspect.SparesOf(s.in.r, a) }

// Refer is the price of referring the machine on.
func (s *shop) Refer() money.Amount { return s.refer }

// Units turns money into units of cost: by money exactly, by minutes as the
// time of work that it would pay.
func (s *shop) Units(m money.Amount) int64 {
	units := int64(m) * plan.CentPerObjective
	if s.in.req.By == plan.ByMinutes {
		return units / max(1, int64(s.in.req.Rate))
	}
	return units
}

// Money turns units of cost back into money.
func (s *shop) Money(units float64) money.Amount {
	if s.in.req.By == plan.ByMinutes {
		units *= float64(s.in.req.Rate)
	}
	return money.Amount(math.Round(units / plan.CentPerObjective))
}

// work is an action as the ground knows it.
type work struct {
	task   *plan.Task // nil: nothing has to be reached
	extra  int64      // cost beyond the task
	own    int64      // least cost of the task itself
	closed bool       // everything must be put back first
}

// ground is the decide.Ground of one machine.
type ground struct {
	moves *access.Moves
	works []work
}

// Start is the state that the machine stands in now.
func (g *ground) Start() decide.State { return decide.State(g.moves.Start()) }

// Do lists the ways to do an action from a state.
func (g *ground) Do(s decide.State, a decide.Action) []decide.Move {
	w := g.works[a]
	switch {
	case w.closed:
		m, ok := g.moves.Close(int(s))
		if !ok {
			return nil
		}
		return []decide.Move{{Cost: m.Cost.Objective + w.extra, After: decide.State(m.After)}}
	case w.task == nil:
		return []decide.Move{{Cost: w.extra, After: s}}
	}
	var out []decide.Move
	for _, m := range g.moves.Do(int(s), *w.task) {
		out = append(out, decide.Move{Cost: m.Cost.Objective + w.extra, After: decide.State(m.After)})
	}
	return out
}

// Close prices putting everything back.
func (g *ground) Close(s decide.State) (int64, bool) {
	m, ok := g.moves.Close(int(s))
	return m.Cost.Objective, ok
}

// Own is what an action costs from every state.
func (g *ground) Own(a decide.Action) int64 { return g.works[a].own + g.works[a].extra }

// Access is the least that must be spent on getting at all the actions and on
// putting everything back, beyond what the actions themselves cost.
func (g *ground) Access(s decide.State, as []decide.Action) int64 {
	var tasks []plan.Task
	own := int64(0)
	for _, a := range as {
		if w := g.works[a]; w.task != nil {
			tasks = append(tasks, *w.task)
			own += w.own
		}
	}
	bound, ok := g.moves.Bound(int(s), tasks)
	if !ok {
		return 0
	}
	return max(0, bound-own)
}
