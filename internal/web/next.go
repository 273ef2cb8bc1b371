package web

import (
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/suspect"
)

// nextView is the next step: what, what it costs, and why.
type nextView struct {
	Kind       string // "check", "repair", "proof", "refer", "none"
	Head       string // "Measure next"
	Title      string
	Money      string
	Minutes    string
	Reason     string
	Good       []string // limits of the check
	At         string   // measuring point
	Weak       []string // instruments that are not good enough, and why
	Assumed    []string
	Steps      []stepView
	Standing   bool // nothing has to be opened or changed
	After      []string
	Plan, Bay  string
	RunnerUp   string
	Loses      string
	Expected   string
	Falls      string
	Proved     string
	Stop       string
	Results    []resultRow
	Predict    []predictRow
	Learned    []learnedRow
	Offers     []offerRow
	Tree       *branchView
	Depends    []string
	Done       []link // "it is repaired", "passed", "failed"
	Impossible bool
}

// resultRow is one thing that the check may show.
type resultRow struct {
	Says, Chance, Then, Remains string
	Suspects                    []string
}

type predictRow struct{ Name, Says, Chance string }

type learnedRow struct{ Name, Cost, Before, Href string }

type offerRow struct{ Says, Cost, Expected, Loses string }

// branchView is one place of the decision tree.
type branchView struct {
	Result, Chance, Step, Remains string
	Branches                      []*branchView
	More                          bool
}

// nextOf lays the advice out.
func nextOf(st state, n *app.NextStep, currency string) nextView {
	a := n.Advice
	if a.Outcome == suspect.Impossible {
		return nextView{Kind: "none", Head: say("next.none"), Reason: a.Stop.Says, Impossible: true}
	}
	kind := map[suspect.StepSort]string{
		suspect.StepCheck: "check", suspect.StepRepair: "repair", suspect.StepProof: "proof", suspect.StepRefer: "refer",
	}[a.Step.Sort]
	v := nextView{
		Kind: kind, Head: say("next." + kind), Title: guide.Capital(a.Step.Says), Money: price(a.Step.Cost, currency), Reason: a.Reason,
		Expected: price(a.Expected, currency), Stop: a.Stop.Says, Depends: slices.Concat(a.Depends, a.Notes), After: n.AfterSays,
	}
	if t := n.Visit.Plan.Cost.Total(); t > 0 {
		v.Minutes = app.Minutes(t)
	}
	if a.Step.Action != nil {
		v.Title, v.Assumed = guide.Capital(a.Step.Action.Name), a.Step.Action.Assumed
	}
	if a.Gap > 0 {
		v.Proved = say("next.gap", price(a.Gap, currency))
	}
	if a.RunnerUp != nil {
		v.RunnerUp, v.Loses = guide.Capital(a.RunnerUp.Says), price(a.RunnerUp.Loses, currency)
	}
	if f := a.Falls; f != nil {
		v.Falls = say("next.falls", f.Tenth, f.Half, f.NineTenths)
	}
	v.measure(n)
	v.steps(st, n)
	v.what(n, currency)
	v.done(st, n)
	return v
}

func (v *nextView) measure(n *app.NextStep) {
	if n.Check == nil {
		return
	}
	v.At = n.Check.At
	for _, l := range n.Check.Limits {
		v.Good = append(v.Good, pretty(strings.TrimPrefix(l.String(), "words: ")))
	}
	for _, f := range n.Fitness {
		if !f.Enough {
			v.Weak = append(v.Weak, guide.Capital(f.Says))
		}
	}
}

// steps lays out the way to the step.
func (v *nextView) steps(st state, n *app.NextStep) {
	for _, s := range n.Visit.Steps {
		v.Steps = append(v.Steps, stepOf(&n.Visit, s))
	}
	v.Standing = len(n.Visit.Steps) <= 1
	if n.Task == "" {
		return
	}
	to := st.bare()
	to.ask.Tasks = []string{n.Task}
	v.Plan = to.to("/plan")
	bay := st.bare()
	for _, s := range n.Visit.Steps {
		if s.Item != nil {
			bay.item = s.Item.ID
		}
	}
	if n.Check != nil && n.Check.Point != "" {
		bay.item = n.Check.Point
	}
	if bay.item != "" {
		v.Bay = bay.to("/bay")
	}
}

// what lays out what the step may show and what follows.
func (v *nextView) what(n *app.NextStep, currency string) {
	a := n.Advice
	for _, x := range a.Results {
		row := resultRow{Says: guide.Capital(x.Result.Says), Chance: percent(x.Chance), Then: x.Then, Remains: price(x.Remains, currency)}
		for _, s := range x.Suspects {
			row.Suspects = append(row.Suspects, s.Name+"\u00a0"+percent(s.Share))
		}
		v.Results = append(v.Results, row)
	}
	for _, x := range a.Predict {
		v.Predict = append(v.Predict, predictRow{guide.Capital(x.Name), x.Result.Says, percent(x.Chance)})
	}
	for _, l := range a.Learned {
		v.Learned = append(v.Learned, learnedRow{Name: guide.Capital(l.Name), Cost: price(l.Cost, currency), Before: price(l.Before, currency)})
	}
	for _, o := range a.Offers {
		v.Offers = append(v.Offers, offerRow{guide.Capital(o.Says), price(o.Cost, currency), price(o.Expected, currency), price(o.Loses, currency)})
	}
	if a.Tree != nil {
		v.Tree = branchOf(*a.Tree, currency)
	}
}

func branchOf(b suspect.Branch, currency string) *branchView {
	v := &branchView{Result: guide.Capital(b.Result), Chance: percent(b.Chance), Step: b.Step, Remains: price(b.Remains, currency), More: b.More}
	for _, c := range b.Branches {
		v.Branches = append(v.Branches, branchOf(c, currency))
	}
	return v
}

// done offers the addresses after a repair, a proof or a referral.
func (v *nextView) done(st state, n *app.NextStep) {
	after := st
	if n.After != nil {
		after.ask.Start = n.After
	}
	add := func(text, entry string) {
		to := after
		to.job.Log = append(slices.Clone(st.job.Log), entry)
		v.Done = append(v.Done, link{Text: text, Href: to.to("/job")})
	}
	act := n.Advice.Step.Action
	switch {
	case v.Kind == "repair" && act != nil && act.Task != nil:
		add(say("done.repaired"), "repaired "+act.Task.String())
	case v.Kind == "repair" && act != nil && len(act.Faults) > 0:
		add(say("done.repaired"), "repaired "+string(act.Faults[0]))
	case v.Kind == "proof" && (act == nil || act.Check == ""):
		add(say("done.passed"), "proof passed")
		add(say("done.failed"), "proof failed")
	}
}
