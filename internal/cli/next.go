package cli

import (
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/suspect"
)

// nextCmd says what to do next.
type nextCmd struct {
	jobFlags
	Tree  int    `placeholder:"N" default:"2" help:"How many steps of the decision tree to lay out; 0 for none."`
	Holds bool   `help:"Also say how far shares and assumed odds may move before another step is better; takes longer."`
	Proof string `placeholder:"CHECK" help:"Check that proves the repair, such as T37; else one that failed in this job, else the complaint itself."`
}

// Help stands under the usage of next.
func (nextCmd) Help() string {
	return "The next step begins the course with the least expected cost until the machine is proved right and closed up; every price is that of the way in from how the machine stands now.\n\n" + exitHelp()
}

// nextAnswer is the JSON of next.
type nextAnswer struct {
	Outcome  suspect.Outcome `json:"outcome" says:"advised (proved the least expected cost), bounded, or impossible"`
	Currency string          `json:"currency,omitempty" says:"ISO 4217"`
	Step     offerLine       `json:"step" says:"what to do next"`
	Task     string          `json:"task,omitempty" says:"the same as verb:item, where the guide has a way for it"`
	Reason   string          `json:"reason" says:"why, in one sentence"`
	Expected price           `json:"expected" says:"expected cost until the machine is proved right and closed up, or referred on"`
	Gap      price           `json:"gap" says:"what any other course could save at most"`
	Falls    *fallsLine      `json:"falls,omitempty" says:"how the remaining cost may fall"`
	Offers   []offerLine     `json:"offers" says:"every first step, the cheapest course first"`
	Steps    []stepOnly      `json:"steps" says:"the way to it from how the machine stands now"`
	After    []string        `json:"after" says:"how the machine stands after it; to be given as --start"`
	Results  []resultLine    `json:"results" says:"what it may show, and what follows"`
	Predict  []predictLine   `json:"predict" says:"what each explanation makes likely"`
	Learned  []learnedLine   `json:"learned" says:"checks that need no opening any more after it"`
	Tree     []branchLine    `json:"tree" says:"the decision tree, each branch before what is below it"`
	Holds    []string        `json:"holds" says:"how far shares and assumed odds may move before another step is better"`
	Depends  []string        `json:"depends" says:"what is assumed and matters"`
	Stop     stopLine        `json:"stop" says:"whether to stop checking"`
	Notes    []string        `json:"notes" says:"what was left out, and why"`
	Suspects []suspectLine   `json:"suspects" says:"likeliest first"`
	Seconds  float64         `json:"search_seconds" says:"how long the search took"`
	Defer    string          `json:"deference" says:"what comes before this"`
}

type offerLine struct {
	Sort     suspect.StepSort `json:"sort" says:"check, repair, proof or refer on"`
	Says     string           `json:"says" says:"in words"`
	Cost     price            `json:"cost" says:"of the step itself, reaching it included"`
	Expected price            `json:"expected" says:"of the best course that begins with it"`
	Loses    price            `json:"loses" says:"against the best"`
	Assumed  []string         `json:"assumed" says:"what of it the guide does not state"`
}

type fallsLine struct {
	Tenth price `json:"p10" says:"in 10 of 100 such jobs it is at most this"`
	Half  price `json:"p50" says:"in 50 of 100"`
	Nine  price `json:"p90" says:"in 90 of 100"`
}

type stepOnly struct {
	Number  int     `json:"number" says:"from 1"`
	Title   string  `json:"title" says:"the step in words"`
	Minutes minutes `json:"minutes" says:"hands-on"`
	Wait    minutes `json:"wait,omitempty" says:"waiting"`
}

type resultLine struct {
	Says     string    `json:"says" says:"the result"`
	Chance   float64   `json:"chance" says:"how likely it is"`
	Suspects []nowLine `json:"suspects" says:"the likeliest then"`
	Then     string    `json:"then" says:"the step after it"`
	Remains  price     `json:"remains" says:"expected cost from there on"`
}

type nowLine struct {
	Fault guide.ID `json:"fault" says:"fault of the guide, or not-listed"`
	Name  string   `json:"name" says:"what is wrong"`
	Share float64  `json:"share" says:"probability"`
}

type predictLine struct {
	Name   string  `json:"name" says:"what is wrong"`
	Result string  `json:"result" says:"the likeliest result then"`
	Chance float64 `json:"chance" says:"how likely it is"`
}

type learnedLine struct {
	Check  guide.ID `json:"check" says:"the check"`
	Name   string   `json:"name" says:"what it measures"`
	Cost   price    `json:"cost" says:"after the step"`
	Before price    `json:"before" says:"now, by itself"`
}

// branchLine is one place of the tree; the tree is listed from its root down,
// each branch before what is below it.
type branchLine struct {
	Depth   int     `json:"depth" says:"steps from the root"`
	Result  string  `json:"result,omitempty" says:"what led here"`
	Chance  float64 `json:"chance" says:"of coming here from the branch above"`
	Step    string  `json:"step" says:"what to do here"`
	Cost    price   `json:"cost" says:"of the step"`
	Remains price   `json:"remains" says:"expected cost from here on"`
	More    bool    `json:"more,omitempty" says:"it goes on, but was not asked for"`
}

type stopLine struct {
	Quote     bool    `json:"quote" says:"enough is known to quote the repair"`
	Refer     bool    `json:"refer" says:"referring on is cheaper than anything here"`
	Says      string  `json:"says" says:"in one sentence"`
	BreakEven float64 `json:"break_even,omitempty" says:"share from which the likeliest repair pays without a check"`
}

// Run decides and prints.
func (c *nextCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	if c.Tree < 0 || c.Tree > mostTree {
		return fmt.Errorf("%w: --tree %d: write a number from 0 to %d", errUsage, c.Tree, mostTree)
	}
	j, err := c.job(r.guideName(c.Machine, a))
	if err != nil {
		return err
	}
	n, err := a.Next(j, app.Detail{Depth: max(c.Tree, 1), Flips: c.Holds, Proof: c.Proof})
	if err != nil {
		return err
	}
	switch n.Advice.Outcome {
	case suspect.Bounded:
		r.exit = Bounded
	case suspect.Impossible:
		r.exit = Impossible
	}
	if r.cli.JSON {
		return r.json(nextJSON(n))
	}
	p := r.page()
	p.next(n, c.Tree)
	return r.show(p)
}

// mostTree bounds how deep a tree is printed.
const mostTree = 8

// next lays the next step out.
func (p *page) next(n *app.NextStep, depth int) {
	a, cur := n.Advice, n.Guide.Currency
	if a.Outcome == suspect.Impossible {
		p.para("", "", a.Stop.Says)
		return
	}
	p.para("NEXT  ", "      ", guide.Capital(a.Step.Says))
	p.space()
	p.inquiry(&n.Inquiry)
	p.space()
	p.field("Why", a.Reason)
	p.field("Costs", stepCost(n))
	if a.RunnerUp != nil {
		p.field("Runner-up", fmt.Sprintf("%s, %s dearer in all", guide.Capital(a.RunnerUp.Says), sum(a.RunnerUp.Loses, cur)))
	}
	all := sum(a.Expected, cur) + " until it is proved right and closed up"
	if f := a.Falls; f != nil {
		all += fmt.Sprintf("; in 10, 50 and 90 of 100 such jobs at most %s, %s and %s", f.Tenth, f.Half, f.NineTenths)
	}
	p.field("Expected", all)
	if a.Gap > 0 {
		p.field("Proved", fmt.Sprintf("no other course saves more than %s", sum(a.Gap, cur)))
	}
	if a.Step.Action != nil {
		p.lines("Assumed", a.Step.Action.Assumed)
	}
	p.field("Stop?", a.Stop.Says)
	p.toMeasure(n)
	if len(n.Visit.Steps) > 0 {
		p.head("the way to it", "")
		t := teller{ans: &n.Visit, told: map[guide.ID]int{}}
		for i := range n.Visit.Steps {
			p.step(&t, &n.Visit.Steps[i])
		}
		p.lines("After it", n.AfterSays)
	}
	p.results(n)
	p.suspects(&n.Inquiry, mostListed)
	p.rest(n, depth)
	p.space()
	p.para("", "", n.Deference)
}

// mostListed bounds the suspects beside a next step.
const mostListed = 5

// toMeasure says what a good reading is and with what to take it.
func (p *page) toMeasure(n *app.NextStep) {
	if n.Check == nil {
		return
	}
	for i, l := range n.Check.Limits {
		p.field([]string{"Good is", ""}[min(i, 1)], l.String())
	}
	for _, f := range n.Fitness {
		if !f.Enough {
			p.field("Instrument", f.Says)
		}
	}
}

// stepCost says what the step itself costs, in money and minutes.
func stepCost(n *app.NextStep) string {
	text := sum(n.Advice.Step.Cost, n.Guide.Currency)
	c := n.Visit.Plan.Cost
	if c.Total() > 0 {
		text += fmt.Sprintf(", %s: getting there %s, the work %s", app.Minutes(c.Total()), app.Minutes(c.Strip+c.Refit+c.Setup), app.Minutes(c.Work))
		if c.Waiting > 0 {
			text += ", waiting " + app.Minutes(c.Waiting)
		}
	}
	return text
}

func (p *page) results(n *app.NextStep) {
	a := n.Advice
	if len(a.Results) == 0 {
		return
	}
	p.head("what it may show", "")
	for _, x := range a.Results {
		p.row("  ", "    ", fmt.Sprintf("%s: then %s", guide.Capital(x.Result.Says), x.Then), share(x.Chance))
		var then []string
		for _, s := range x.Suspects {
			then = append(then, fmt.Sprintf("%s %.0f %%", s.Name, s.Share*100))
		}
		p.para("    ", "    ", strings.Join(then, ", "))
	}
	for _, x := range a.Predict {
		p.para("    ", "      ", fmt.Sprintf("with %s: %s, %.0f %%", x.Name, x.Result.Says, x.Chance*100))
	}
}

// rest is what one reads when there is time.
func (p *page) rest(n *app.NextStep, depth int) {
	a, cur := n.Advice, n.Guide.Currency
	if len(a.Learned) > 0 {
		p.head("then nearly for nothing", "")
		for _, l := range a.Learned {
			p.row("  ", "    ", l.Name, fmt.Sprintf("%s instead of %s", sum(l.Cost, cur), l.Before))
		}
	}
	if depth > 0 && a.Tree != nil {
		p.head("the tree", "remains")
		p.branch(*a.Tree, 1, cur)
	}
	if len(a.Holds) > 0 {
		p.head("how long it stays the next step", "")
		for _, h := range a.Holds {
			p.para("  - ", "    ", h.Says)
		}
	}
	p.space()
	p.lines("Depends", a.Depends)
	p.lines("Mind", a.Notes)
}

func (p *page) branch(b suspect.Branch, depth int, cur string) {
	in := strings.Repeat("  ", depth)
	text := b.Step
	if b.Result != "" {
		text = fmt.Sprintf("%s (%.0f %%): %s", b.Result, b.Chance*100, b.Step)
	}
	if b.More {
		text += " …"
	}
	p.row(in, in+"  ", text, b.Remains.String())
	for _, c := range b.Branches {
		p.branch(c, depth+1, cur)
	}
}

func nextJSON(n *app.NextStep) nextAnswer {
	a := n.Advice
	out := nextAnswer{
		Outcome: a.Outcome, Currency: n.Guide.Currency, Step: offerOf(a.Step), Task: n.Task, Reason: a.Reason, Expected: price(a.Expected),
		Gap: price(a.Gap), Offers: []offerLine{}, Steps: []stepOnly{}, After: some(n.After), Results: []resultLine{}, Predict: []predictLine{},
		Learned: []learnedLine{}, Tree: []branchLine{}, Holds: []string{}, Depends: some(a.Depends), Notes: some(a.Notes), Suspects: []suspectLine{},
		Stop: stopLine{a.Stop.Quote, a.Stop.Refer, a.Stop.Says, a.Stop.BreakEven}, Seconds: n.Took.Seconds(), Defer: n.Deference,
	}
	if f := a.Falls; f != nil {
		out.Falls = &fallsLine{price(f.Tenth), price(f.Half), price(f.NineTenths)}
	}
	for _, o := range a.Offers {
		out.Offers = append(out.Offers, offerOf(o))
	}
	for _, s := range n.Visit.Steps {
		out.Steps = append(out.Steps, stepOnly{s.Number, s.Title, inMinutes(s.Step.Hands), inMinutes(s.Step.Wait)})
	}
	for _, x := range a.Results {
		l := resultLine{Says: x.Result.Says, Chance: x.Chance, Suspects: []nowLine{}, Then: x.Then, Remains: price(x.Remains)}
		for _, s := range x.Suspects {
			l.Suspects = append(l.Suspects, nowLine{s.Fault, s.Name, s.Share})
		}
		out.Results = append(out.Results, l)
	}
	for _, x := range a.Predict {
		out.Predict = append(out.Predict, predictLine{x.Name, x.Result.Says, x.Chance})
	}
	for _, l := range a.Learned {
		out.Learned = append(out.Learned, learnedLine{l.Check, l.Name, price(l.Cost), price(l.Before)})
	}
	for _, h := range a.Holds {
		out.Holds = append(out.Holds, h.Says)
	}
	for _, s := range n.Belief.Suspects {
		out.Suspects = append(out.Suspects, suspectLineOf(s))
	}
	if a.Tree != nil {
		out.Tree = branchesOf(*a.Tree, 0, out.Tree)
	}
	return out
}

func offerOf(o suspect.Offer) offerLine {
	l := offerLine{o.Sort, o.Says, price(o.Cost), price(o.Expected), price(o.Loses), []string{}}
	if o.Action != nil {
		l.Assumed = some(o.Action.Assumed)
	}
	return l
}

// branchesOf lists a branch and what is below it.
func branchesOf(b suspect.Branch, depth int, out []branchLine) []branchLine {
	out = append(out, branchLine{depth, b.Result, b.Chance, b.Step, price(b.Cost), price(b.Remains), b.More})
	for _, c := range b.Branches {
		out = branchesOf(c, depth+1, out)
	}
	return out
}
