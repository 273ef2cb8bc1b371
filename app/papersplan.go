package app

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/report"
)

// PlanPaper is a visit on paper: what it costs, the valley, every step as a card
// with its cautions, its box and a box for each fastener, and the bay from the
// sides from which the work is reached, or from views.
func (a *App) PlanPaper(ans *Answer, scene *bay.Scene, views []guide.View) report.Document {
	d := a.paper(subjectOfAnswer(ans, report.Plan, "Plan"))
	d.Lead = leadOf(ans)
	if len(ans.Steps) == 0 {
		if ans.Plan.Outcome != plan.Optimal && ans.Plan.Outcome != plan.Bounded {
			d.Sections = append(d.Sections, blocked(ans))
		}
		return d
	}
	d.Lead = append(d.Lead, costFacts(ans)...)
	valley := paperValley(ans)
	d.Sections = append(d.Sections, report.Section{Title: "The valley", Blocks: []report.Block{{Drawing: &valley}}})
	if s := forbiddenSection(ans); len(s.Blocks) > 0 {
		d.Sections = append(d.Sections, s)
	}
	c := cards{ans: ans, t: ticker{}, told: map[guide.ID]int{}}
	for _, part := range stepParts(ans) {
		s := report.Section{Title: part.title}
		for _, line := range part.lines {
			step := c.card(line)
			s.Blocks = append(s.Blocks, report.Block{Step: &step})
		}
		d.Sections = append(d.Sections, s)
	}
	if s := baySection(ans, scene, views); len(s.Blocks) > 0 {
		d.Sections = append(d.Sections, s)
	}
	return d
}

// costFacts says time, money and how good the plan is.
func costFacts(ans *Answer) []report.Fact {
	c := ans.Plan.Cost
	time := fmt.Sprintf("%s: strip %s, work %s, refit %s", Minutes(c.Total()), Minutes(c.Strip), Minutes(c.Work), Minutes(c.Refit))
	if c.Setup > 0 {
		time += ", changing place or tool " + Minutes(c.Setup)
	}
	if c.Waiting > 0 {
		time += ", waiting " + Minutes(c.Waiting)
	}
	facts := []report.Fact{{Name: "Time", Says: time}, {Name: "Money", Says: moneyWords(ans)}}
	good := "proved: nothing cheaper exists"
	if ans.Plan.Outcome == plan.Bounded && ans.Plan.Bound == 0 { // taken earlier: what was proved then is not kept
		return facts
	}
	if ans.Plan.Outcome == plan.Bounded {
		good = "at most " + gapPercent(ans.Plan.Gap()) + " dearer than the best one"
	}
	return fact(facts, "How good", good)
}

// gapPercent prints a share rounded up, so that it never promises more than was
// proved.
func gapPercent(gap float64) string {
	n := int(gap * 100)
	if float64(n) < gap*100 {
		n++
	}
	return fmt.Sprintf("%d %%", max(n, 1))
}

func moneyWords(ans *Answer) string {
	c, cur := ans.Plan.Cost, ans.Guide.Currency
	var parts []string
	for _, p := range []struct {
		name string
		m    money.Amount
	}{{"labour", c.Labour}, {"waiting", c.Idle}, {"parts the way in uses up", c.Parts}, {"fluids", c.Fluids}, {"hired tools", c.Hire}, {"risk of breakage", c.Risk}} {
		if p.m != 0 {
			parts = append(parts, p.name+" "+p.m.String())
		}
	}
	says := sum(c.Money(), cur)
	if len(parts) > 0 {
		says += ": " + join(parts)
	}
	if fitted := shelfSum(ans.Parts) + shelfSum(ans.Fluids) - c.Parts - c.Fluids; fitted > 0 {
		says += "; beside this the new parts themselves, " + sum(fitted, cur)
	}
	return says
}

func forbiddenSection(ans *Answer) report.Section {
	s := report.Section{Title: "Not during this visit"}
	for _, f := range ans.Forbidden {
		s.Blocks = append(s.Blocks, mustNotBlock(guide.Capital(f)))
	}
	for _, text := range ans.Avoided {
		s.Blocks = append(s.Blocks, report.Block{Caution: &report.Caution{Says: text, Authority: "the maker alone can say"}})
	}
	return s
}

// stepPart is a stretch of steps of one phase.
type stepPart struct {
	title string
	lines []*StepLine
}

// stepParts cuts the steps wherever the phase of the visit changes.
func stepParts(ans *Answer) []stepPart {
	var parts []stepPart
	for i := range ans.Steps {
		s := &ans.Steps[i]
		if i == 0 || ans.Steps[i-1].Step.Phase != s.Step.Phase {
			parts = append(parts, stepPart{})
		}
		last := &parts[len(parts)-1]
		last.lines = append(last.lines, s)
	}
	for i := range parts {
		parts[i].title = parts[i].name(ans)
	}
	return parts
}

// name says what is done in a stretch: strip and refit only where something
// comes off or goes back.
func (p stepPart) name(ans *Answer) string {
	has := func(k plan.StepKind) bool {
		return slices.ContainsFunc(p.lines, func(s *StepLine) bool { return s.Step.Kind == k })
	}
	switch p.lines[0].Step.Phase {
	case plan.StripPhase:
		if has(plan.Clear) {
			return "Strip"
		}
		return "Prepare"
	case plan.RefitPhase:
		if has(plan.Refit) {
			return "Refit"
		}
		return "Put back"
	}
	proof := func(s *StepLine) bool {
		return s.Step.Task >= 0 && s.Step.Task < len(ans.Request.Tasks) && ans.Request.Tasks[s.Step.Task].Proof
	}
	if slices.ContainsFunc(p.lines, proof) {
		return "Prove"
	}
	return "Work"
}

// cards makes the steps of a paper.
type cards struct {
	ans  *Answer
	t    ticker
	told map[guide.ID]int // caution to the step at which it stands in full
}

func (c *cards) card(s *StepLine) report.Step {
	done := c.t.tick(fmt.Sprintf("step %d", s.Number), "")
	step := report.Step{Number: s.Number, Title: s.Title, Minutes: stepMinutes(s), Done: &done}
	for _, k := range s.Cautions {
		step.Cautions = append(step.Cautions, c.caution(k, s.Number))
	}
	step.Lines = fact(step.Lines, "how", c.how(s))
	step.Lines = fact(step.Lines, "tools", join(s.Tools))
	undo, boxes := c.fasteners(s)
	step.Lines = fact(step.Lines, "undo", undo)
	if s.Step.Kind != plan.Refit {
		step.Lines = fact(step.Lines, "new", join(c.renewedAt(s)))
	} else if m := c.mirror(s); m != nil {
		step.Lines = fact(step.Lines, "new", join(m.Uses))
	}
	for _, k := range s.Risks {
		step.Lines = fact(step.Lines, "may break", k)
	}
	for _, n := range s.Notes {
		if m := c.mirror(s); s.Step.Kind == plan.Refit && m != nil && slices.Contains(m.Notes, n) {
			continue // told when it came off
		}
		step.Lines = fact(step.Lines, "mind", n)
	}
	step.Ticks = boxes
	return step
}

// caution tells a caution in full the first time and says where that was after
// it: it stands at every step where it matters.
func (c *cards) caution(k CautionLine, step int) report.Caution {
	if at := c.told[k.ID]; at > 0 {
		return report.Caution{Says: k.Text, Because: fmt.Sprintf("as at step %d", at)}
	}
	c.told[k.ID] = step
	return cautionOf(k)
}

func stepMinutes(s *StepLine) string {
	text := Minutes(s.Step.Hands + s.Step.Setup)
	switch {
	case s.Step.Wait > 0 && s.Step.Hands+s.Step.Setup == 0:
		return "wait " + Minutes(s.Step.Wait)
	case s.Step.Wait > 0:
		return text + ", wait " + Minutes(s.Step.Wait)
	}
	return text
}

func (c *cards) mirror(s *StepLine) *StepLine {
	if s.Mirror < 1 || s.Mirror > len(c.ans.Steps) {
		return nil
	}
	return &c.ans.Steps[s.Mirror-1]
}

func (c *cards) how(s *StepLine) string {
	var parts []string
	parts = appendText(parts, s.Place)
	if s.Sight != "" {
		parts = append(parts, sightText(guide.Sight(s.Sight)))
	}
	switch s.Hands {
	case 1:
		parts = append(parts, "one hand")
	case 2:
		parts = append(parts, "two hands")
	}
	return join(parts)
}

// renewedAt lists what a step uses up; what goes in when an item is refitted is
// said there.
func (c *cards) renewedAt(s *StepLine) []string {
	if s.Step.Kind == plan.Clear && c.mirror(s) != nil {
		return nil
	}
	return s.Uses
}

// fasteners says what a step undoes, or gives the boxes for what it tightens.
func (c *cards) fasteners(s *StepLine) (undo string, boxes []report.Ticks) {
	it := s.Item
	if it == nil {
		return "", nil
	}
	tighten := s.Step.Kind == plan.Refit || s.Step.Kind == plan.Do && s.Step.Verb == guide.Replace && !c.cleared(it.ID)
	switch {
	case s.Step.Kind == plan.Clear:
		return c.undone(it), nil
	case !tighten:
		return "", nil
	}
	return "", jointBoxes(c.t, c.ans.Resolved, it)
}

// cleared reports whether an item comes off during the visit, so that it is
// tightened when it goes back.
func (c *cards) cleared(id guide.ID) bool {
	return slices.ContainsFunc(c.ans.Steps, func(s StepLine) bool { return s.Step.Kind == plan.Clear && s.Step.Item == id })
}

func (c *cards) undone(it *guide.Item) string {
	var parts []string
	for _, j := range it.Joints {
		if c.ans.Resolved.Fits(j.For) {
			parts = append(parts, guide.Joint{Count: j.Count, Thread: j.Thread, Lengths: j.Lengths, Drive: j.Drive, What: j.What}.String())
		}
	}
	if len(parts) == 0 {
		parts = appendText(parts, it.Fixing)
	}
	return strings.Join(parts, "; ")
}

// jointBoxes gives a row of boxes to every joint of an item and to its
// connector, with the ids under which the log of a job knows the fasteners:
// item, number of the joint in the guide, number of the fastener.
func jointBoxes(t ticker, r *guide.Resolved, it *guide.Item) []report.Ticks {
	var list []report.Ticks
	for i, j := range it.Joints {
		if r.Fits(j.For) {
			list = append(list, boxesOf(t, it, i+1, j.Count, j.Pattern, j.String()))
		}
	}
	if it.Connector != nil {
		list = append(list, boxesOf(t, it, 0, 1, "", "its connector"))
	}
	if len(list) == 0 && it.Fixing != "" {
		list = append(list, report.Ticks{List: []report.Tick{t.tick("item "+string(it.ID), it.Fixing)}})
	}
	return list
}

// boxesOf gives a box to every fastener of a joint, in the order in which they
// are tightened where one is written down. The number in the id is that of the
// place, as everywhere in the log of a job.
func boxesOf(t ticker, it *guide.Item, number, count int, pattern, says string) report.Ticks {
	b := report.Ticks{Ref: fmt.Sprintf("%s/%d", it.ID, number), Head: says, Flow: true}
	order := joint.Lay(pattern, count).Order
	for n := 1; n <= count; n++ {
		place := n
		if len(order) == count {
			place = order[n-1]
		}
		b.List = append(b.List, t.tick(fastenerID(it.ID, number, place), fmt.Sprint(n)))
	}
	if count == 1 { // one box needs no row of its own
		b.List[0].Says, b.Head, b.Ref, b.Flow = b.Ref+": "+says, "", "", false
	}
	return b
}

// fastenerID is the name of a fastener in the log of a job.
func fastenerID(item guide.ID, joint, index int) string {
	return fmt.Sprintf("fastener %s/%d/%d", item, joint, index)
}
