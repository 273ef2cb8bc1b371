package app

import (
	"slices"

	"elbowroom/guide"
	"elbowroom/plan"
)

// lists gathers tools, parts, fluids and cautions over all steps.
func (b *builder) lists() {
	for _, line := range b.a.Steps {
		b.listTools(line)
		b.jointTools(line)
		b.listUses(line)
		for _, c := range line.Cautions {
			b.listCaution(c, line.Number)
		}
	}
}

func (b *builder) listTools(line StepLine) {
	var ids []guide.ID
	s := line.Step
	if line.Way != nil {
		ids = append(ids, line.Way.Tools...)
	}
	if _, ch := changeOf(b.r, s); ch != nil {
		ids = append(ids, ch.Tools...)
	}
	if s.Kind == plan.Do {
		if c := b.r.Check(b.req.Tasks[s.Task].On); c != nil {
			ids = append(ids, c.Instrument...)
		}
	}
	for _, id := range ids {
		i := slices.IndexFunc(b.a.Tools, func(l Line) bool { return l.ID == id })
		if i < 0 {
			i = len(b.a.Tools)
			b.a.Tools = append(b.a.Tools, Line{ID: id, Name: toolName(b.r.Guide, id), Note: b.toolNote(id)})
		}
		b.a.Tools[i].Steps = appendStep(b.a.Tools[i].Steps, line.Number)
	}
}

func (b *builder) toolNote(id guide.ID) string {
	for _, t := range b.r.Guide.Tools {
		if t.ID == id {
			if slices.Contains(b.req.Missing, id) && t.Hire != nil {
				return "to be hired: " + t.Hire.String()
			}
			return t.Note
		}
	}
	return ""
}

func appendStep(steps []int, n int) []int {
	if len(steps) > 0 && steps[len(steps)-1] == n {
		return steps
	}
	return append(steps, n)
}

func (b *builder) listUses(line StepLine) {
	s := line.Step
	var uses []guide.Use
	switch {
	case s.Kind == plan.Change:
		if _, ch := changeOf(b.r, s); ch != nil {
			uses = ch.Uses
		}
	case line.Way != nil && s.Kind != plan.Refit:
		uses = line.Way.Uses
		if s.Kind == plan.Do && s.Verb == guide.Replace && line.Item != nil {
			uses = append(slices.Clip(uses), line.Item.Parts...)
		}
	}
	for _, u := range uses {
		b.listUse(partLine(b.r, u), line.Number)
	}
}

func (b *builder) listUse(p PartLine, step int) {
	list := &b.a.Parts
	if p.Litres {
		list = &b.a.Fluids
	}
	i := slices.IndexFunc(*list, func(l PartLine) bool { return l.ID == p.ID && l.Name == p.Name })
	if i < 0 {
		p.Steps = []int{step}
		*list = append(*list, p)
		return
	}
	l := &(*list)[i]
	l.Count += p.Count
	l.Price += p.Price
	l.Steps = appendStep(l.Steps, step)
}

func (b *builder) listCaution(c CautionLine, step int) {
	i := slices.IndexFunc(b.a.Cautions, func(l CautionLine) bool { return l.ID == c.ID })
	if i < 0 {
		i = len(b.a.Cautions)
		b.a.Cautions = append(b.a.Cautions, c)
	}
	b.a.Cautions[i].Steps = appendStep(b.a.Cautions[i].Steps, step)
}
