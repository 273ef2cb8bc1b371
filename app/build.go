package app

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/quantity"
)

// builder turns a plan into an Answer.
type builder struct {
	r   *guide.Resolved
	req plan.Request
	a   *Answer

	torques []quantity.Value // that a wrench must reach, smallest first
}

// build fills everything of the answer that follows from the plan.
func (b *builder) build() {
	for _, t := range b.req.Tasks {
		b.a.Tasks = append(b.a.Tasks, TaskLine{Task: t, Text: taskText(b.r, t)})
	}
	var at time.Duration
	depth := len(b.req.Found)
	for i, s := range b.a.Plan.Steps {
		line := b.step(i+1, s)
		switch s.Kind {
		case plan.Clear:
			depth++
		case plan.Refit:
			depth--
		}
		line.Depth, line.Starts = depth, at
		at += s.Hands + s.Setup + s.Wait
		b.a.Steps = append(b.a.Steps, line)
		if s.Kind == plan.Do {
			b.task(s)
		}
	}
	b.mirrors()
	b.bands()
	b.lists()
	b.forbidden()
	b.a.Deference = deference
}

// way returns the way that a step goes, or nil.
func way(r *guide.Resolved, req plan.Request, s plan.Step) *guide.Way {
	if s.Way < 0 {
		return nil
	}
	ways := waysOf(r, req, s)
	if s.Way >= len(ways) {
		return nil
	}
	return &ways[s.Way]
}

func waysOf(r *guide.Resolved, req plan.Request, s plan.Step) []guide.Way {
	if s.Kind == plan.Do && s.Task >= 0 && s.Task < len(req.Tasks) {
		if c := r.Check(req.Tasks[s.Task].On); c != nil {
			if len(c.Ways) > 0 {
				return c.Ways
			}
			if it := r.Item(c.Point); it != nil {
				return it.Ways
			}
			return nil
		}
	}
	if it := r.Item(s.Item); it != nil {
		return it.Ways
	}
	return nil
}

func (b *builder) step(n int, s plan.Step) StepLine {
	line := StepLine{Number: n, Step: s, Title: title(b.r, b.req, s), Item: b.r.Item(s.Item), Way: way(b.r, b.req, s)}
	if s.Place != "" {
		line.Place = placeName(b.r, s.Place)
	}
	switch {
	case s.Kind == plan.Change:
		b.changeLine(&line)
	case line.Way != nil:
		b.wayLine(&line)
	}
	b.checkLine(&line)
	return line
}

// changeOf returns the change that a step makes and its condition, nil for
// every other step.
func changeOf(r *guide.Resolved, s plan.Step) (*guide.Condition, *guide.Change) {
	c := r.Condition(s.Condition)
	if s.Kind != plan.Change || c == nil || s.Change < 0 || s.Change >= len(c.Changes) {
		return nil, nil
	}
	return c, &c.Changes[s.Change]
}

func (b *builder) changeLine(line *StepLine) {
	c, ch := changeOf(b.r, line.Step)
	if ch == nil {
		return
	}
	line.Tools = b.toolNames(ch.Tools)
	line.Uses = b.useTexts(ch.Uses)
	line.Cautions = b.cautions(append(slices.Clip(ch.Cautions), valueCautions(c, ch.To)...))
	if ch.By != "" {
		line.Notes = append(line.Notes, "Only by "+ch.By+".")
	}
	line.Notes = appendText(line.Notes, ch.Note)
}

// valueCautions are the cautions that stand at every change to a value.
func valueCautions(c *guide.Condition, value guide.ID) []guide.ID {
	for _, v := range c.Values {
		if v.ID == value {
			return v.Cautions
		}
	}
	return nil
}

func (b *builder) wayLine(line *StepLine) {
	w, s := line.Way, line.Step
	line.Sight, line.Hands = string(w.Sight), w.Hands
	line.Tools = b.toolNames(w.Tools)
	ids := w.Cautions
	if line.Item != nil {
		ids = append(slices.Clip(ids), line.Item.Cautions...)
		line.Joints = jointTexts(b.r, line.Item)
	}
	line.Cautions = b.cautions(ids)
	if s.Kind != plan.Refit {
		line.Uses = b.useTexts(w.Uses)
		for _, k := range w.Risks {
			line.Risks = append(line.Risks, k.String())
		}
	}
	if s.Kind == plan.Do && line.Item != nil {
		if s.Verb == guide.Replace {
			line.Uses = append(line.Uses, b.useTexts(line.Item.Parts)...)
		}
		line.Notes = appendText(line.Notes, w.Then)
		if c := line.Item.Connector; c != nil {
			line.Notes = appendText(line.Notes, c.Trick)
		}
	}
	line.Notes = appendText(line.Notes, w.Note)
}

// checkLine adds what a check needs beside the way to its point.
func (b *builder) checkLine(line *StepLine) {
	s := line.Step
	if s.Kind != plan.Do {
		return
	}
	c := b.r.Check(b.req.Tasks[s.Task].On)
	if c == nil {
		return
	}
	line.Tools = append(line.Tools, b.toolNames(c.Instrument)...)
	line.Cautions = append(line.Cautions, b.cautions(c.Cautions)...)
	line.Notes = append(line.Notes, "Measure at: "+c.At+".")
	for _, l := range c.Limits {
		line.Notes = append(line.Notes, "Good: "+l.String()+".")
	}
	for _, w := range c.When {
		line.Notes = append(line.Notes, "When: "+w.String()+".")
	}
	line.Notes = appendText(line.Notes, c.Note)
}

func appendText(list []string, s string) []string {
	if s == "" {
		return list
	}
	return append(list, s)
}

// jointTexts returns the joints that hold on the variant, as written.
func jointTexts(r *guide.Resolved, it *guide.Item) []string {
	var out []string
	for _, j := range it.Joints {
		if r.Fits(j.For) {
			out = append(out, j.String())
		}
	}
	if len(out) == 0 && it.Fixing != "" {
		out = append(out, it.Fixing)
	}
	return out
}

func (b *builder) toolNames(ids []guide.ID) []string {
	var out []string
	for _, id := range ids {
		out = append(out, toolName(b.r.Guide, id))
	}
	return out
}

func toolName(g *guide.Guide, id guide.ID) string {
	for _, t := range g.Tools {
		if t.ID == id {
			return t.Name
		}
	}
	return string(id)
}

func (b *builder) useTexts(uses []guide.Use) []string {
	var out []string
	for _, u := range uses {
		p := partLine(b.r, u)
		switch {
		case u.Litres:
			out = append(out, fmt.Sprintf("%g L %s", u.Count, p.Name))
		case u.Count == 0 || u.Count == 1:
			out = append(out, p.Name)
		default:
			out = append(out, fmt.Sprintf("%g × %s", u.Count, p.Name))
		}
	}
	return out
}

// partLine finds the part or fluid of a use with its price.
func partLine(r *guide.Resolved, u guide.Use) PartLine {
	line := PartLine{ID: u.What, Name: u.Words, Count: u.Count, Litres: u.Litres}
	if line.Count == 0 {
		line.Count = 1
	}
	for _, p := range r.Guide.Parts {
		if p.ID == u.What && r.Fits(p.For) {
			line.Name, line.Number, line.LeadDays, line.SingleUse = p.Name, p.Number, p.LeadDays, p.SingleUse
			line.Price, line.Priced = money.Amount(line.Count*float64(p.Price)+0.5), true
			return line
		}
	}
	for _, f := range r.Guide.Fluids {
		if f.ID == u.What {
			line.Name, line.Litres = f.Name, true
			line.Price, line.Priced = money.Amount(line.Count*float64(f.PerLitre)+0.5), f.PerLitre > 0
			return line
		}
	}
	if line.Name == "" {
		line.Name = string(u.What)
	}
	return line
}

func (b *builder) cautions(ids []guide.ID) []CautionLine {
	var out []CautionLine
	for _, id := range ids {
		for _, c := range b.r.Guide.Cautions {
			if c.ID == id && !slices.ContainsFunc(out, func(l CautionLine) bool { return l.ID == id }) {
				out = append(out, CautionLine{ID: id, Text: c.Text, Authority: c.Authority, Answer: c.Answer})
			}
		}
	}
	return out
}

// task fills the line of the task that step s does.
func (b *builder) task(s plan.Step) {
	line := &b.a.Tasks[s.Task]
	line.Minutes = s.Hands
	if w := way(b.r, b.req, s); w != nil {
		line.Way = wayText(b.r, *w)
	}
}

// wayText returns "from the top, seen, two hands".
func wayText(r *guide.Resolved, w guide.Way) string {
	var parts []string
	if w.From != "" {
		parts = append(parts, placeName(r, w.From))
	}
	if w.Sight != "" {
		parts = append(parts, sightText(w.Sight))
	}
	switch w.Hands {
	case 1:
		parts = append(parts, "one hand")
	case 2:
		parts = append(parts, "two hands")
	}
	if w.People > 1 {
		parts = append(parts, fmt.Sprintf("%d people", w.People))
	}
	return strings.Join(parts, ", ")
}

func sightText(s guide.Sight) string {
	switch s {
	case guide.InSight:
		return "in sight"
	case guide.ByMirror:
		return "by mirror"
	}
	return string(s)
}

// mirrors joins every refit to the step that it undoes, and every change back
// to the change away.
func (b *builder) mirrors() {
	open := map[string][]int{}
	for i := range b.a.Steps {
		s := b.a.Steps[i].Step
		key := string(s.Item)
		if s.Kind == plan.Change {
			key = "=" + string(s.Condition)
		}
		switch {
		case s.Kind == plan.Clear, s.Kind == plan.Change && s.Phase == plan.StripPhase:
			open[key] = append(open[key], i)
		case s.Kind == plan.Refit, s.Kind == plan.Change && s.Phase == plan.RefitPhase:
			if n := len(open[key]); n > 0 {
				j := open[key][n-1]
				open[key] = open[key][:n-1]
				b.a.Steps[i].Mirror, b.a.Steps[j].Mirror = j+1, i+1
			}
		}
	}
}

// bands collects for how long each condition stands away from where it began.
func (b *builder) bands() {
	running := map[guide.ID]int{} // condition to index in Bands
	start := b.startValues()
	for _, line := range b.a.Steps {
		s := line.Step
		if s.Kind != plan.Change && s.Kind != plan.Await {
			continue
		}
		if i, ok := running[s.Condition]; ok {
			b.a.Bands[i].ToStep = line.Number
			delete(running, s.Condition)
		}
		if s.To != start[s.Condition] {
			running[s.Condition] = len(b.a.Bands)
			b.a.Bands = append(b.a.Bands, Band{
				Condition: conditionName(b.r, s.Condition), Value: valueName(b.r, s.Condition, s.To),
				FromStep: line.Number, ToStep: len(b.a.Steps), Forbids: forbids(b.r, s.Condition, s.To),
			})
		}
	}
}

func (b *builder) startValues() map[guide.ID]guide.ID {
	start := map[guide.ID]guide.ID{}
	for _, c := range b.r.Guide.Conditions {
		start[c.ID] = c.Start
	}
	for _, g := range b.req.Given {
		start[g.Condition] = g.Value
	}
	return start
}

func forbids(r *guide.Resolved, cond, value guide.ID) string {
	if c := r.Condition(cond); c != nil {
		for _, v := range c.Values {
			if v.ID == value {
				return v.Forbids
			}
		}
	}
	return ""
}

// forbidden lists the prohibitions that hold at some time of the visit.
func (b *builder) forbidden() {
	add := func(s string) {
		if s != "" && !slices.Contains(b.a.Forbidden, s) {
			b.a.Forbidden = append(b.a.Forbidden, s)
		}
	}
	start := b.startValues()
	for _, c := range b.r.Guide.Conditions {
		add(forbids(b.r, c.ID, start[c.ID]))
	}
	for _, band := range b.a.Bands {
		add(band.Forbids)
	}
}
