package suspect

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/suspect/decide"
)

// defaultDepth is how deep the decision tree is laid out when nothing is said.
const defaultDepth = 2

// mostNamed bounds the suspects that are named at one place.
const mostNamed = 3

// Next returns the next step: the first step of the course with the least
// expected cost until the machine is proved right and closed up, or referred
// on. Errors are those of Frame and of decide.Solve. The limits of w bound the
// search; an answer that was stopped says what another course could save at
// most.
func Next(c Case, shop Shop, w Work) (*Advice, error) {
	p, err := Frame(c, shop, w)
	if err != nil {
		return nil, err
	}
	answer, err := decide.Solve(p.Decide, w.limits())
	if err != nil {
		return nil, err
	}
	a, err := p.Advise(answer, w)
	if err != nil || !w.Flips || a.Outcome == Impossible {
		return a, err
	}
	return a, p.flips(a, answer, w)
}

// limits returns the limits of the search.
func (w Work) limits() decide.Limits {
	if l := w.Limits; l.Nodes != 0 || l.Gap != 0 || l.Stop != nil {
		return l
	}
	return decide.Limits{Nodes: searchNodes}
}

// Advise puts an answer to the problem into words.
func (p *Problem) Advise(answer *decide.Answer, w Work) (*Advice, error) {
	a := &Advice{Problem: p, Notes: slices.Clone(p.Notes)}
	if answer.Status == decide.Impossible {
		a.Outcome = Impossible
		a.Stop.Says = "No course of checks and repairs ends this job for certain, and there is no price for referring on."
		return a, nil
	}
	a.Outcome = Advised
	if answer.Status == decide.Bounded {
		a.Outcome = Bounded
		a.Gap = p.shop.Money(answer.Expected - answer.Bound)
	}
	a.Expected, a.First = p.shop.Money(answer.Expected), answer.First
	a.Offers = p.offers(answer)
	a.Step = a.Offers[0]
	if len(a.Offers) > 1 {
		a.RunnerUp = &a.Offers[1]
	}
	root := answer.Root()
	a.Results = p.expect(root, answer.First)
	a.Predict = p.predict(answer.First)
	a.Learned = p.learned(answer.First)
	if answer.Status == decide.Proved {
		q := answer.Quantiles(0.1, 0.5, 0.9)
		a.Falls = &Falls{p.shop.Money(q[0]), p.shop.Money(q[1]), p.shop.Money(q[2])}
		a.Comeback = p.comeback(answer, w)
	}
	depth := w.Depth
	if depth == 0 {
		depth = defaultDepth
	}
	tree := p.branch(root, "", 1, depth)
	a.Tree = &tree
	a.Reason = p.reason(a)
	a.Stop = p.stop(a)
	a.Depends = p.depends(a)
	return a, nil
}

// comeback says what the proof may miss; nil where coming back has no price.
func (p *Problem) comeback(answer *decide.Answer, w Work) *Comeback {
	if w.Comeback <= 0 {
		return nil
	}
	missed := answer.Missed()
	return &Comeback{Price: w.Comeback, Chance: missed, Costs: p.shop.Money(missed * float64(p.Decide.Proof.Comeback))}
}

// offer says one step.
func (p *Problem) offer(s decide.Step) Offer {
	o := Offer{Sort: StepRefer, Says: "refer the machine on", Cost: p.shop.Money(float64(s.Cost))}
	if s.Kind == decide.Refer {
		return o
	}
	o.Action = &p.Actions[p.actionOf(s)]
	switch s.Kind {
	case decide.Ask:
		o.Sort, o.Says = StepCheck, "check "+o.Action.Name
	case decide.Prove:
		o.Sort, o.Says = StepProof, "prove the repair: "+o.Action.Name
	default:
		o.Sort = StepRepair
		o.Says = fmt.Sprintf("repair “%s”: %s", p.model.say(o.Action.Faults), o.Action.Name)
	}
	return o
}

// actionOf returns the action of a step that is not referring on.
func (p *Problem) actionOf(s decide.Step) int {
	switch s.Kind {
	case decide.Ask:
		return p.asks[s.Index]
	case decide.Mend:
		return p.mends[s.Index]
	}
	return int(p.Decide.Proof.Action)
}

// offers lists every first step, the best first, each once in its best way.
func (p *Problem) offers(answer *decide.Answer) []Offer {
	first := p.offer(answer.First)
	first.Expected = p.shop.Money(answer.Expected)
	out := []Offer{first}
	seen := []decide.Step{answer.First}
	for _, c := range answer.Choices {
		if slices.ContainsFunc(seen, c.Step.Same) {
			continue
		}
		seen = append(seen, c.Step)
		o := p.offer(c.Step)
		expected := c.Expected
		if math.IsInf(expected, 1) {
			expected, o.AtLeast = c.Bound, true
			o.Cost = p.costNow(c.Step, o)
		}
		if math.IsInf(expected, 1) {
			continue // it cannot be done from here
		}
		o.Expected = p.shop.Money(expected)
		o.Loses = max(0, p.shop.Money(expected-answer.Expected))
		out = append(out, o)
	}
	return out
}

// costNow is the cost of a step whose course was not worked out.
func (p *Problem) costNow(s decide.Step, o Offer) money.Amount {
	if o.Action == nil || s.Cost > 0 {
		return o.Cost
	}
	g := p.Decide.Ground
	cost, _ := least(g.Do(g.Start(), decide.Action(p.actionOf(s))))
	return p.shop.Money(float64(cost))
}

// now returns the likeliest suspects at a place of the tree.
func (p *Problem) now(chances []float64) []Now {
	share := make([]float64, len(p.model.hyps))
	right := 0.0
	for w, x := range chances {
		if len(p.Worlds[w]) == 0 {
			right += x
		}
		for _, id := range p.Worlds[w] {
			share[p.model.byID[id]] += x
		}
	}
	var out []Now
	for h, x := range share {
		if x > 0 {
			out = append(out, Now{Fault: p.model.hyps[h].id, Name: p.model.hyps[h].name, Share: x})
		}
	}
	if right > 0 {
		out = append(out, Now{Name: "nothing wrong any more", Share: right})
	}
	slices.SortStableFunc(out, func(a, b Now) int {
		switch {
		case a.Share > b.Share:
			return -1
		case a.Share < b.Share:
			return 1
		}
		return 0
	})
	return out[:min(len(out), mostNamed)]
}

// lead is the likeliest suspect that has a name and was not repaired.
func (p *Problem) lead() *Suspect {
	for i := range p.Belief.Suspects {
		if s := &p.Belief.Suspects[i]; s.Fault != Unlisted && !s.Repaired {
			return s
		}
	}
	return nil
}

// shareAt returns the share of the present leader at a place of the tree.
func (p *Problem) shareAt(chances []float64) float64 {
	lead := p.lead()
	share := 0.0
	for w, x := range chances {
		if lead != nil && slices.Contains(p.Worlds[w], lead.Fault) {
			share += x
		}
	}
	return share
}

// result says what a branch of a step shows.
func (p *Problem) result(s decide.Step, b decide.Branch) Result {
	switch s.Kind {
	case decide.Ask:
		return p.Results[s.Index][b.Outcome]
	case decide.Prove:
		if b.Outcome == 0 {
			return Result{Says: "the complaint is gone", Passes: true}
		}
		return Result{Says: "the complaint is still there"}
	}
	return Result{Says: "done", Passes: true}
}

// expect lists what a step at a node may show and what follows.
func (p *Problem) expect(n *decide.Node, step decide.Step) []Expect {
	var out []Expect
	for _, b := range n.Follow(step) { // Branches may be those of another step by now: the search goes on as the tree is walked
		e := Expect{Result: p.result(step, b), Chance: b.Chance, Then: "the job is done", Remains: p.shop.Money(b.End)}
		if b.Next != nil {
			e.Suspects = p.now(b.Next.Chances())
			e.Leader = p.shareAt(b.Next.Chances())
			e.Then = p.offer(b.Next.Step()).Says
			e.Remains = p.shop.Money(b.Next.Expected())
		}
		out = append(out, e)
	}
	return out
}

// branch lays out the tree from a node on.
func (p *Problem) branch(n *decide.Node, result string, chance float64, depth int) Branch {
	step := n.Step()
	o := p.offer(step)
	out := Branch{Result: result, Chance: chance, Step: o.Says, Cost: o.Cost, Suspects: p.now(n.Chances()), Remains: p.shop.Money(n.Expected())}
	branches := n.Follow(step)
	if depth <= 0 {
		out.More = len(branches) > 0
		return out
	}
	for _, b := range branches {
		says := p.result(step, b).Says
		if b.Next == nil {
			out.Branches = append(out.Branches, Branch{Result: says, Chance: b.Chance, Step: "the job is done", Remains: p.shop.Money(b.End)})
			continue
		}
		out.Branches = append(out.Branches, p.branch(b.Next, says, b.Chance, depth-1))
	}
	return out
}

// predict says which result each explanation makes likeliest.
func (p *Problem) predict(s decide.Step) []Predicted {
	if s.Kind != decide.Ask {
		return nil
	}
	var out []Predicted
	for w, faults := range p.Worlds {
		if p.Decide.Worlds[w] == 0 || len(faults) == 0 {
			continue
		}
		best := 0
		chance := p.Decide.Checks[s.Index].Chance
		for o := range chance {
			if chance[o][w] > chance[best][w] {
				best = o
			}
		}
		out = append(out, Predicted{Faults: faults, Name: p.model.say(faults), Result: p.Results[s.Index][best], Chance: chance[best][w]})
	}
	return out
}

// say names the faults of a world.
func (m *model) say(faults []guide.ID) string {
	names := make([]string, len(faults))
	for i, id := range faults {
		names[i] = m.hyps[m.byID[id]].name
	}
	return strings.Join(names, " and ")
}

// learned lists the checks that need no opening any more after the step.
func (p *Problem) learned(s decide.Step) []Learned {
	if s.Kind == decide.Refer {
		return nil
	}
	g := p.Decide.Ground
	var out []Learned
	for i, c := range p.Decide.Checks {
		if s.Kind == decide.Ask && s.Index == i {
			continue
		}
		own := g.Own(c.Action)
		now, okNow := least(g.Do(g.Start(), c.Action))
		then, okThen := least(g.Do(s.After, c.Action))
		if !okNow || !okThen || then > own || now <= own {
			continue
		}
		a := p.Actions[p.asks[i]]
		l := Learned{Check: a.Check, Name: a.Name, Cost: p.shop.Money(float64(then)), Before: p.shop.Money(float64(now))}
		for _, k := range p.model.checkOf(a.Check).links {
			if id := p.model.hyps[k.hyp].id; !k.kin && slices.ContainsFunc(p.Worlds, func(w []guide.ID) bool { return slices.Contains(w, id) }) {
				l.About = append(l.About, id)
			}
		}
		out = append(out, l)
	}
	return out
}

// least returns the cheapest of some moves.
func least(moves []decide.Move) (int64, bool) {
	if len(moves) == 0 {
		return 0, false
	}
	cost := moves[0].Cost
	for _, m := range moves[1:] {
		cost = min(cost, m.Cost)
	}
	return cost, true
}

// percent writes a share as people say it.
func percent(x float64) string {
	switch {
	case x > 0 && x < 0.01:
		return "under 1 %"
	case x < 1 && x > 0.99:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}
