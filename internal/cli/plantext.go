package cli

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// answer lays a plan out for the wall.
func (p *page) answer(ans *app.Answer, c *planCmd) {
	p.title(ans)
	if len(ans.Plan.Blockers) > 0 {
		p.head("what blocks it", "")
		for _, b := range ans.Plan.Blockers {
			p.para("  - ", "    ", b.Says)
		}
	}
	if len(ans.Steps) > 0 {
		p.totals(ans)
		p.layOut(ans)
		p.steps(ans)
	}
	p.runnersUp(ans, c.RunnersUp)
	if c.Explain {
		p.explain(ans)
	}
	p.space()
	p.para("", "", ans.Deference)
}

// title says what is planned, for which machine, from which guide.
func (p *page) title(ans *app.Answer) {
	switch len(ans.Tasks) {
	case 0:
		p.line("PUT EVERYTHING BACK")
	case 1:
		p.para("", "", taskTitle(ans.Tasks[0]))
	default:
		for i, t := range ans.Tasks {
			p.para(fmt.Sprintf("%2d. ", i+1), "    ", taskTitle(t))
		}
	}
	p.space()
	p.header(ans)
	p.field("Result", outcomeText(ans))
	for _, e := range ans.Exceptions {
		p.field("Mind", e)
	}
}

// taskTitle is the task, with when it is to be done.
func taskTitle(t app.TaskLine) string {
	switch {
	case t.Task.Before:
		return t.Text + ", before anything is touched"
	case t.Task.Proof:
		return t.Text + ", when everything is back"
	}
	return t.Text
}

// header says machine, variant and guide.
func (p *page) header(ans *app.Answer) {
	if m := ans.Machine; m != nil {
		words := []string{fmt.Sprintf("%s, %s", m.ID, m.Name)}
		if m.Plate != "" {
			words = append(words, m.Plate)
		}
		p.field("Machine", strings.Join(words, ", "))
	}
	p.field("Variant", ans.Variant)
	g := ans.Guide
	words := []string{g.Title}
	if g.Title == "" {
		words[0] = string(g.ID)
	}
	for _, s := range []string{g.Revision, g.Date} {
		if s != "" {
			words = append(words, s)
		}
	}
	p.field("Guide", strings.Join(words, ", "))
}

// totals says minutes first, then money.
func (p *page) totals(ans *app.Answer) {
	c := ans.Plan.Cost
	p.space()
	parts := []string{"strip " + app.Minutes(c.Strip), "work " + app.Minutes(c.Work), "refit " + app.Minutes(c.Refit)}
	if c.Setup > 0 {
		parts = append(parts, "changing place and tool "+app.Minutes(c.Setup))
	}
	if c.Waiting > 0 {
		parts = append(parts, "waiting "+app.Minutes(c.Waiting))
	}
	lead := app.Minutes(c.Total())
	cost := sum(c.Money(), ans.Guide.Currency)
	n := max(length(lead), length(cost), labelWidth-2) + 2
	p.para(pad(lead, n), strings.Repeat(" ", n), strings.Join(parts, ", "))
	p.para(pad(cost, n), strings.Repeat(" ", n), moneyText(c))
	if more := putIn(ans); more > 0 {
		p.para(pad(sum(c.Money()+more, ans.Guide.Currency), n), strings.Repeat(" ", n), "with what the tasks put in new, "+more.String())
	}
}

// putIn is the price of what the tasks themselves put in new: it is the same
// whichever way the plan goes, and no part of its cost.
func putIn(ans *app.Answer) money.Amount {
	total := -ans.Plan.Cost.Parts - ans.Plan.Cost.Fluids
	for _, l := range slices.Concat(ans.Parts, ans.Fluids) {
		if l.Priced {
			total += l.Price
		}
	}
	return max(total, 0)
}

// moneyText lists what the money is for.
func moneyText(c plan.Cost) string {
	var parts []string
	for _, m := range []struct {
		name string
		sum  money.Amount
	}{{"labour", c.Labour}, {"waiting", c.Idle}, {"parts", c.Parts}, {"fluids", c.Fluids}, {"hire", c.Hire}, {"risk", c.Risk}} {
		if m.sum != 0 {
			parts = append(parts, m.name+" "+m.sum.String())
		}
	}
	if len(parts) == 0 {
		return "nothing to pay"
	}
	return strings.Join(parts, ", ")
}

// layOut lists what to have at hand before beginning.
func (p *page) layOut(ans *app.Answer) {
	if len(ans.Tools)+len(ans.Parts)+len(ans.Fluids)+len(ans.Forbidden) > 0 {
		p.head("before you begin", "")
	}
	var tools []string
	for _, t := range ans.Tools {
		s := t.Name
		if t.Note != "" {
			s += " (" + t.Note + ")"
		}
		tools = append(tools, s)
	}
	p.list("Tools", tools)
	p.list("Parts", partTexts(ans.Parts, ans.Guide.Currency))
	p.list("Fluids", partTexts(ans.Fluids, ans.Guide.Currency))
	p.list("Never", ans.Forbidden)
}

// list prints texts under one label, one a line.
func (p *page) list(label string, texts []string) {
	for i, s := range texts {
		if i > 0 {
			label = ""
		}
		p.para(pad("  "+label, labelWidth), strings.Repeat(" ", labelWidth+2), s)
	}
}

func partTexts(parts []app.PartLine, currency string) []string {
	var out []string
	for _, l := range parts {
		s := fmt.Sprintf("%g × %s", l.Count, l.Name)
		if l.Litres {
			s = fmt.Sprintf("%g L %s", l.Count, l.Name)
		}
		var more []string
		if l.Number != "" {
			more = append(more, l.Number)
		}
		if l.SingleUse {
			more = append(more, "new each time")
		}
		if l.Priced {
			more = append(more, sum(l.Price, currency))
		} else {
			more = append(more, "no price known")
		}
		if l.LeadDays > 0 {
			more = append(more, count(l.LeadDays, "day")+" to get")
		}
		out = append(out, s+", "+strings.Join(more, ", "))
	}
	return out
}

// part is a stretch of steps under one heading.
type part struct {
	title string
	steps []*app.StepLine
}

// parts cuts the steps wherever the phase of the visit changes.
func parts(ans *app.Answer) []part {
	var out []part
	for i := range ans.Steps {
		s := &ans.Steps[i]
		if i == 0 || ans.Steps[i-1].Step.Phase != s.Step.Phase {
			out = append(out, part{})
		}
		last := &out[len(out)-1]
		last.steps = append(last.steps, s)
	}
	for i := range out {
		out[i].title = out[i].name(ans)
	}
	return out
}

// name says what is done in the stretch: strip and refit only where something
// comes off or goes back.
func (p part) name(ans *app.Answer) string {
	has := func(k plan.StepKind) bool {
		return slices.ContainsFunc(p.steps, func(s *app.StepLine) bool { return s.Step.Kind == k })
	}
	switch p.steps[0].Step.Phase {
	case plan.StripPhase:
		if has(plan.Clear) {
			return "strip"
		}
		return "prepare"
	case plan.RefitPhase:
		if has(plan.Refit) {
			return "refit"
		}
		return "put back"
	}
	proof := func(s *app.StepLine) bool {
		return s.Step.Task >= 0 && s.Step.Task < len(ans.Request.Tasks) && ans.Request.Tasks[s.Step.Task].Proof
	}
	if slices.ContainsFunc(p.steps, proof) {
		return "prove"
	}
	return "work"
}

// steps prints the numbered steps under their headings.
func (p *page) steps(ans *app.Answer) {
	t := teller{ans: ans, told: map[guide.ID]int{}}
	for _, part := range parts(ans) {
		p.head(part.title, "")
		for _, s := range part.steps {
			p.step(&t, s)
		}
	}
}

// teller remembers what a reader of the steps already knows.
type teller struct {
	ans   *app.Answer
	told  map[guide.ID]int // caution to the step at which it was printed in full
	place string           // where the worker stands
}

// stepIndent is where the text of a step begins.
const stepIndent = "     "

func (p *page) step(t *teller, s *app.StepLine) {
	for _, c := range s.Cautions {
		p.caution(c, s.Number, t.told)
	}
	p.row(fmt.Sprintf("%3d  ", s.Number), stepIndent, s.Title, stepTime(s))
	if how := t.how(s); how != "" {
		p.indented(len(stepIndent), how)
	}
	p.more("Tools: ", strings.Join(s.Tools, ", "))
	p.joints(t.ans, s)
	for _, u := range renewed(t.ans, s) {
		p.more("New: ", u)
	}
	for _, k := range s.Risks {
		p.more("Risk: ", k)
	}
	for _, n := range s.Notes {
		if m := mirrored(t.ans, s); s.Step.Kind == plan.Refit && m != nil && slices.Contains(m.Notes, n) {
			continue // told when it came off
		}
		p.more("", n)
	}
}

// mirrored returns the step that a step undoes, or nil.
func mirrored(ans *app.Answer, s *app.StepLine) *app.StepLine {
	if s.Mirror < 1 || s.Mirror > len(ans.Steps) {
		return nil
	}
	return &ans.Steps[s.Mirror-1]
}

// joints prints the fasteners: when something comes off what to undo, when it
// goes back what to tighten and how, with a box to tick.
func (p *page) joints(ans *app.Answer, s *app.StepLine) {
	strip := s.Step.Kind == plan.Clear
	tighten := s.Step.Kind == plan.Refit || s.Step.Kind == plan.Do && s.Step.Verb == guide.Replace && !cleared(ans, s.Step.Item)
	if s.Item == nil || !strip && !tighten {
		return
	}
	said := false
	for _, j := range s.Item.Joints {
		if !ans.Resolved.Fits(j.For) {
			continue
		}
		said = true
		if strip {
			p.more("Undo: ", guide.Joint{Count: j.Count, Thread: j.Thread, Lengths: j.Lengths, Drive: j.Drive, What: j.What, Class: softClass(j.Class)}.String())
			continue
		}
		p.more("[ ] ", tightenText(j))
	}
	if fixing := s.Item.Fixing; !said && fixing != "" {
		if strip {
			p.more("Undo: ", fixing)
		} else {
			p.more("[ ] ", fixing)
		}
	}
}

// cleared reports whether the item itself comes off during the visit, so that
// its fasteners are tightened when it is refitted.
func cleared(ans *app.Answer, id guide.ID) bool {
	return slices.ContainsFunc(ans.Steps, func(s app.StepLine) bool { return s.Step.Kind == plan.Clear && s.Step.Item == id })
}

// softClass keeps a material, which a hand should know of, and drops a
// property class.
func softClass(class string) string {
	if strings.ContainsAny(class, "0123456789") {
		return ""
	}
	return class
}

// tightenText says how a joint is tightened on this machine: without what goes
// without saying.
func tightenText(j guide.Joint) string {
	j.For, j.ID, j.Source, j.Part, j.Was = nil, "", "", "", nil
	if j.Reuse == guide.Reusable {
		j.Reuse = ""
	}
	if j.Torque == guide.NotApplicable {
		j.Torque, j.State = "", ""
	}
	return j.String()
}

// more adds a line under a step, hanging behind its label.
func (p *page) more(label, text string) {
	if text != "" {
		p.para(stepIndent+label, stepIndent+strings.Repeat(" ", length(label)), text)
	}
}

// stepTime is what the step costs: hands-on, and what comes on top.
func stepTime(s *app.StepLine) string {
	t := app.Minutes(s.Step.Hands)
	if s.Step.Kind == plan.Await {
		t = "wait " + app.Minutes(s.Step.Wait)
	}
	if s.Step.Setup > 0 {
		t += " +" + app.Minutes(s.Step.Setup)
	}
	return t
}

// how says from where, where that is new, and what a hand should expect:
// nothing for what is seen and has room for both.
func (t *teller) how(s *app.StepLine) string {
	var words []string
	if s.Place != "" && s.Place != t.place {
		words = append(words, s.Place)
		t.place = s.Place
	}
	switch guide.Sight(s.Sight) {
	case guide.ByMirror:
		words = append(words, "by mirror")
	case guide.ByFeel:
		words = append(words, "by feel")
	}
	if s.Hands == 1 {
		words = append(words, "one hand")
	}
	return strings.Join(words, ", ")
}

// renewed lists what is new at a step: for a refit, what its strip used up.
func renewed(ans *app.Answer, s *app.StepLine) []string {
	switch {
	case s.Step.Kind == plan.Clear && s.Mirror > 0:
		return nil // told where it goes back
	case s.Step.Kind == plan.Refit && mirrored(ans, s) != nil:
		return mirrored(ans, s).Uses
	}
	return s.Uses
}

// caution prints a warning before the step that it belongs to; in full the
// first time, then by where it was told.
func (p *page) caution(c app.CautionLine, step int, told map[guide.ID]int) {
	if first, ok := told[c.ID]; ok {
		p.para("  !  ", stepIndent, fmt.Sprintf("%s: as before step %d", strings.ReplaceAll(string(c.ID), "-", " "), first))
		return
	}
	told[c.ID] = step
	text := c.Text
	if c.Answer != "" {
		text += " The maker says: " + c.Answer + "."
	}
	p.para("  !  ", stepIndent, text)
}

// runnersUp lists the other ways in.
func (p *page) runnersUp(ans *app.Answer, n int) {
	if len(ans.RunnersUp) == 0 || n <= 0 {
		return
	}
	p.head("other ways in", "")
	for i, alt := range ans.RunnersUp[:min(n, len(ans.RunnersUp))] {
		p.row(fmt.Sprintf("%3d  ", i+1), stepIndent, alt.Differs, fmt.Sprintf("%s, %s", signed(alt.Extra), signedSum(alt.Money)))
	}
	p.hint(ans)
}

// hint tells how to see another way in in full.
func (p *page) hint(ans *app.Answer) {
	if slices.ContainsFunc(ans.RunnersUp, func(a app.Alternative) bool { return a.Ask.Instead > 0 }) {
		p.indented(len(stepIndent), "in full: the same with --instead and the number")
	}
}

// explain says why no plan is cheaper and how long this one stays the best.
func (p *page) explain(ans *app.Answer) {
	cert := ans.Plan.Certificate
	if cert.Sum > 0 || len(cert.Landmarks) > 0 {
		p.head("why not cheaper", worth(ans, cert.Sum))
		if cert.Base > 0 {
			p.row("  ", "    ", "what every plan has: the tasks themselves and what belongs to them", worth(ans, cert.Base))
		}
		for _, l := range cert.Landmarks {
			p.row("  ", "    ", "every plan must "+actsText(ans.Resolved, l.Acts), worth(ans, l.Weight))
		}
		if cert.Cases > 0 {
			p.indented(2, fmt.Sprintf("The rest was proved by trying: %d cases.", cert.Cases))
		}
	}
	if len(ans.Holds) > 0 {
		p.head("how long it stays the best", "")
		for _, h := range ans.Holds {
			p.para("  - ", "    ", h.Says)
		}
	}
}

// actsText joins acts by "or", each said once.
func actsText(r *guide.Resolved, acts []plan.Act) string {
	var words []string
	for _, a := range acts {
		if s := actText(r, a); !slices.Contains(words, s) {
			words = append(words, s)
		}
	}
	return strings.Join(words, ", or ")
}
