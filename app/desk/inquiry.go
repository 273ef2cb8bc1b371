package desk

import (
	"context"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/plan"
)

// Inquiry writes a job as package app asks about it: the complaint, the codes,
// how the machine stands now, and in the order in which it happened what was
// read, repaired and proved.
func (d *Desk) Inquiry(ctx context.Context, who Who, job joblog.Job) (app.Job, error) {
	o, err := d.open(ctx, who, job)
	if err != nil {
		return app.Job{}, err
	}
	a, err := d.App(ctx, who.Place)
	if err != nil {
		return app.Job{}, err
	}
	q, err := o.asks(a, app.Ask{})
	if err != nil {
		return app.Job{}, err
	}
	return o.inquiry(q), nil
}

func (o *opened) inquiry(q app.Ask) app.Job {
	j := app.Job{Ask: q, Codes: []string{}}
	for _, a := range o.state.Arrivals {
		if a.Complaint != "" {
			j.Complaint = a.Complaint
		}
	}
	for _, c := range o.state.Codes {
		if c.Withdrawn == nil {
			j.Codes = append(j.Codes, strings.TrimSpace(c.CodeNoted.Code+" "+c.Status))
		}
	}
	for _, s := range o.state.Signs {
		if s.Withdrawn == nil {
			j.Ticks = append(j.Ticks, s.Says)
		}
	}
	j.Log = o.happened()
	return j
}

// happened lists readings, repairs and proofs as lines of app.Job.Log. They
// are put in order by the ids of their events.
func (o *opened) happened() []string {
	type line struct {
		at   joblog.ID
		text string
	}
	var lines []line
	for _, r := range o.state.Readings {
		if text := readingLine(r); text != "" {
			lines = append(lines, line{r.ID, text})
		}
	}
	for _, p := range o.state.Proofs {
		text := "proof failed"
		if p.Verdict == joblog.Conforming {
			text = "proof passed"
		}
		lines = append(lines, line{p.ID, text})
	}
	for _, n := range o.state.Notes {
		if strings.HasPrefix(n.Text, RepairedNote) && len(strings.Fields(n.Text)) == 2 {
			lines = append(lines, line{n.ID, n.Text})
		}
	}
	add := func(s joblog.StepState) {
		if text := repairLine(s); text != "" {
			lines = append(lines, line{s.Ticks[0].ID, text})
		}
	}
	for _, p := range append(o.state.Earlier, plansOf(o.state)...) {
		for _, s := range p.Steps {
			add(s)
		}
	}
	for _, s := range o.state.Extra {
		add(s)
	}
	slices.SortFunc(lines, func(a, b line) int { return a.at.Compare(b.at) })
	var out []string
	for _, l := range lines {
		out = append(out, l.text)
	}
	return out
}

func plansOf(s joblog.State) []joblog.PlanState {
	if s.Plan == nil {
		return nil
	}
	return []joblog.PlanState{*s.Plan}
}

// readingLine writes a reading as "T35 at X12: 38 kΩ, unplugged, coolant 21 °C"; ""
// for one that belongs to no check.
func readingLine(r joblog.Reading) string {
	if r.Check == "" {
		return ""
	}
	text := string(r.Check)
	if r.Point != "" {
		text += " at " + r.Point
	}
	text += ": " + r.Text
	for _, c := range r.Conditions {
		text += ", " + c
	}
	return text
}

// repairLine writes a step that repaired something as "repaired replace:SE13".
func repairLine(s joblog.StepState) string {
	a := s.Act
	if !s.Done || len(s.Ticks) == 0 || a.Kind != plan.Do || a.Verb == guide.Measure || a.Verb == guide.Wiggle {
		return ""
	}
	return "repaired " + string(a.Verb) + ":" + string(a.Item)
}

// RepairedNote begins a note that says a fault of the guide was repaired where
// no task of the guide does it: "repaired F10".
const RepairedNote = "repaired "
