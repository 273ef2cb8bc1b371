package app

import (
	"cmp"
	"slices"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// jointTools adds what the fasteners of a step ask for: a driver for each
// drive, and for what is tightened the torques that a wrench must reach.
func (b *builder) jointTools(line StepLine) {
	undone, tightened := touched(b.r, &line)
	for _, id := range undone {
		b.fastenerTools(id, line.Number, false)
	}
	for _, id := range tightened {
		b.fastenerTools(id, line.Number, true)
	}
}

// fastenerTools adds what the joints of an item ask for at a step.
func (b *builder) fastenerTools(id guide.ID, step int, tighten bool) {
	it := b.r.Item(id)
	if it == nil {
		return
	}
	for _, j := range it.Joints {
		if !b.r.Fits(j.For) {
			continue
		}
		if j.Drive != "" {
			b.listLine(Line{Name: "driver " + j.Drive}, step)
		}
		for _, s := range j.Stages {
			if tighten && !s.Torque.Zero() {
				b.listLine(Line{Name: torqueWrench}, step)
				b.reach(s.Torque)
			}
		}
	}
}

const torqueWrench = "torque wrench"

// reach adds a torque to those that the wrench must reach, smallest first.
func (b *builder) reach(v quantity.Value) {
	at, known := slices.BinarySearchFunc(b.torques, v, func(a, v quantity.Value) int { return cmp.Compare(a.SI(), v.SI()) })
	if known {
		return
	}
	b.torques = slices.Insert(b.torques, at, v)
	words := make([]string, len(b.torques))
	for i, t := range b.torques {
		words[i] = t.String()
	}
	for i := range b.a.Tools {
		if t := &b.a.Tools[i]; t.ID == "" && t.Name == torqueWrench {
			t.Note = "for " + join(words)
		}
	}
}

// listLine adds a tool that the guide gives no name.
func (b *builder) listLine(l Line, step int) {
	i := slices.IndexFunc(b.a.Tools, func(o Line) bool { return o.ID == "" && o.Name == l.Name })
	if i < 0 {
		i = len(b.a.Tools)
		b.a.Tools = append(b.a.Tools, Line{Name: l.Name})
	}
	t := &b.a.Tools[i]
	t.Steps = appendStep(t.Steps, step)
}
