package cli

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
)

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
