package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/joint"
)

// torqueSheet lays a torque sheet out for the wall.
func (p *page) torqueSheet(s *app.TorqueSheet) {
	p.head("torque sheet", count(len(s.Joints), "joint"))
	p.space()
	for _, t := range s.Tasks {
		p.field("For", t)
	}
	p.header(&app.Answer{Machine: s.Machine, Variant: s.Variant, Guide: s.Guide})
	p.field("Tools on", s.Day)
	if n := s.Troubled(); n > 0 {
		p.field("Mind", count(n, "joint")+" with something wrong or open, marked !")
	}
	for _, e := range s.Exceptions {
		p.field("Mind", e)
	}
	p.field("Mind", s.Blocked)
	common := commonSource(s)
	for i := range s.Joints {
		p.torqueLine(&s.Joints[i], common)
	}
	p.leftOpen(s)
	p.torqueTools(s)
	p.space()
	p.field("Source", common)
	p.field("Reckoned", reckoned)
	p.para("", "", s.Deference)
}

// reckoned says where the figures about preload come from.
const reckoned = "Preload by VDI 2230 for friction 0.10 to 0.20 dry, 0.08 to 0.16 oiled, 0.08 to 0.20 when nobody has said; " +
	"scatter of a torque wrench by NASA RP-1228 (±35 % unlubricated, ±25 % lubricated) with the permissible deviation of the wrench; thread in aluminium by Bossard F.039."

// commonSource is the source that most lines have.
func commonSource(s *app.TorqueSheet) string {
	times, best := map[string]int{}, ""
	for _, l := range s.Joints {
		times[l.Source]++
		if times[l.Source] > times[best] {
			best = l.Source
		}
	}
	return best
}

// torqueLine prints one joint.
func (p *page) torqueLine(l *app.TorqueLine, common string) {
	const lead, in = "%3d  ", 5
	p.space()
	right := ""
	if l.Step > 0 {
		right = fmt.Sprintf("step %d", l.Step)
	}
	p.row(fmt.Sprintf(lead, l.Number), strings.Repeat(" ", in), fmt.Sprintf("%s (%s)", l.Item.Name, l.Item.ID), right)
	head := l.Fastener
	if l.Joint.State != "" {
		head += ", " + string(l.Joint.State)
	}
	p.indented(in, head)
	for i, st := range l.Stages {
		p.torqueStage(in, stageName(i, len(l.Stages)), st)
	}
	switch {
	case len(l.Stages) == 0 && l.Joint.Torque != "":
		p.indented(in, "torque "+string(l.Joint.Torque))
	case len(l.Others) > 0:
		p.indented(in, "for other threads: "+strings.Join(l.Others, ", "))
	}
	if order := orderText(l.Layout); order != "" {
		p.indented(in, order)
	}
	if len(l.Stages) > 0 || l.Joint.Reuse != "" {
		p.indented(in, reuseText(l))
	}
	if l.Use != nil {
		p.indented(in, useText(l.Use))
	}
	for _, w := range l.Was {
		p.indented(in, "was "+wasText(w))
	}
	if l.Source != common {
		p.indented(in, "("+l.Source+")")
	}
	p.findings(in, l.Findings)
	p.indented(in, strings.Repeat("[ ] ", l.Joint.Count))
}

func stageName(i, of int) string {
	if of == 1 {
		return "tighten"
	}
	return fmt.Sprintf("stage %d", i+1)
}

// torqueStage prints one stage with its tool.
func (p *page) torqueStage(in int, name string, st app.TorqueStage) {
	text := name + " " + st.Text
	if st.Also != "" {
		text += " = " + st.Also
	}
	if st.Tool != "" {
		text += ", " + st.Tool
	}
	best := st.Choice.Best()
	if best != nil && (best.Offset() || st.Set != st.Text) {
		text += ", set to " + st.Set
	}
	if st.Foot != nil && best != nil {
		text += " through the " + st.Foot.Name
	}
	p.indented(in, text)
	if len(st.Marks) > 0 {
		p.indented(in+2, "between two marks: "+strings.Join(st.Marks, ", "))
	}
	if best != nil && best.Through.Reach > 0 {
		p.indented(in+2, adapterText(best))
	}
}

// adapterText says how the setting came about.
func adapterText(f *joint.Fit) string {
	a := f.Through
	if !a.NeedsArm() {
		return fmt.Sprintf("adapter of %g mm square to the wrench: nothing to correct", float64(a.Reach))
	}
	return fmt.Sprintf("wrench %g mm, adapter %g mm at %g°: hand pulls at the handle mark, square to the handle; 1 mm more reach is %.1f %% of torque",
		float64(a.Arm), float64(a.Reach), a.Bend, 100*a.PerMillimetre())
}

// orderText says in which order the fasteners are tightened.
func orderText(l joint.Layout) string {
	if len(l.Places) < 2 || l.Pattern == "" {
		return ""
	}
	text := l.Says
	if text == "" {
		return ""
	}
	if len(l.Order) > 0 {
		var words []string
		for _, n := range l.Order {
			words = append(words, strconv.Itoa(n))
		}
		where := "places numbered row by row"
		if l.Form == joint.Circle {
			where = "places numbered clockwise from the top"
		}
		text += " (" + where + "): " + strings.Join(words, " ")
	}
	return text
}

func reuseText(l *app.TorqueLine) string {
	text := l.Next.Says
	if l.Part != nil {
		text += fmt.Sprintf(": %g × %s", l.Part.Count, strings.TrimSpace(l.Part.Name+" "+l.Part.Number))
	}
	return text
}

// kilonewtons prints a force: "17.3 kN".
func kilonewtons(n joint.Newtons) string {
	return strconv.FormatFloat(float64(n)/1000, 'f', 1, 64) + " kN"
}

// useText says what a torque does to the fastener.
func useText(a *joint.Assessment) string {
	if a.Angled {
		return fmt.Sprintf("the angle makes the preload, ±%.0f to ±%.0f %% (%s)", a.Scatter.Least*100, a.Scatter.Most*100, a.Scatter.Source)
	}
	text := fmt.Sprintf("preload about %s, scatter ±%.0f %%: %s to %s", kilonewtons(a.Nominal), a.Scatter.Most*100,
		kilonewtons(a.Spread[0]), kilonewtons(a.Spread[1]))
	if a.Use[1] > 0 {
		text += fmt.Sprintf("; %.0f to %.0f %% of yield", math.Round(100*a.Use[0]), math.Round(100*a.Use[1]))
		if a.Assumed {
			text += ", class 8.8 taken"
		}
	}
	if a.Needed > 0 {
		text += fmt.Sprintf("; %.1f mm of thread needed in %s", math.Ceil(float64(a.Needed)*10)/10, a.Material)
	}
	return text
}

// wasText is a superseded value with its date and reason.
func wasText(w app.WasLine) string {
	text := w.Value
	if w.Until != "" {
		text += ", until " + w.Until
	}
	if w.Date != "" && w.Date != w.Until {
		text += " (" + w.Date + ")"
	}
	if w.Reason != "" {
		text += ": " + w.Reason
	}
	return text
}

func (p *page) findings(in int, list []app.TorqueFinding) {
	for _, f := range list {
		p.para(strings.Repeat(" ", in)+"! ", strings.Repeat(" ", in+2), f.Says)
		p.para(strings.Repeat(" ", in)+"> ", strings.Repeat(" ", in+2), f.Do)
	}
}

// leftOpen prints what is not tightened: left open, or not by torque.
func (p *page) leftOpen(s *app.TorqueSheet) {
	if len(s.Open) > 0 {
		p.head("undone and not tightened in this visit", "")
		for _, l := range s.Open {
			p.para("  - ", "    ", fmt.Sprintf("%s (%s): %s", l.Item.Name, l.Item.ID, l.Fastener))
		}
	}
	if len(s.Bare) > 0 {
		p.head("goes back without a fastener", "")
		for _, b := range s.Bare {
			text := fmt.Sprintf("%s (%s)", b.Item.Name, b.Item.ID)
			if b.Fixing != "" {
				text += ": " + b.Fixing
			}
			p.para("  - ", "    ", text)
		}
	}
}

// torqueTools lists the tools with what they are taken for.
func (p *page) torqueTools(s *app.TorqueSheet) {
	if len(s.Tools) == 0 {
		p.space()
		p.para("", "", "No torque tools are written down for this workshop, so none was chosen.")
		return
	}
	p.head("torque tools", "due")
	for _, t := range s.Tools {
		text := t.Wrench.Name
		if len(t.Lines) > 0 {
			var words []string
			for _, n := range t.Lines {
				words = append(words, strconv.Itoa(n))
			}
			text += ", for " + strings.Join(words, ", ")
		}
		due := t.Wrench.Due
		switch {
		case t.Overdue:
			due += " overdue"
		case due == "":
			due = "not known"
		}
		p.row("  ", "    ", text, due)
	}
}

// bareThread lays out what is known of a thread by itself.
func (p *page) bareThread(b *app.BareTorque) {
	p.para("", "", b.Text)
	p.space()
	if b.Threaded {
		p.field("Thread", threadText(b))
		if b.Standard.Torque > 0 {
			p.field("VDI 2230", fmt.Sprintf("%s makes %s, 90 %% of yield, at friction %.2f", joint.Show(b.Standard.Torque, joint.Units[0]), kilonewtons(b.Standard.Preload), b.Standard.Friction))
		}
		if b.Banded {
			p.field("Plausible", bandText(b))
		} else {
			p.field("Plausible", "nothing can be said: no standard gives the strength of "+b.Joint.Class)
		}
	}
	for i, st := range b.Stages {
		p.torqueStage(0, stageName(i, len(b.Stages)), st.TorqueStage)
	}
	if b.Use != nil {
		p.para("", "", useText(b.Use))
	}
	if joint.Angled(b.Joint.Stages) {
		p.para("", "", b.Next.Says)
	}
	p.findings(0, b.Findings)
	if b.Use != nil && len(b.Findings) == 0 {
		p.para("", "", "Nothing speaks against it. That does not make it the right torque: the maker's value comes first.")
	}
}

func threadText(b *app.BareTorque) string {
	t := b.Fastener.Thread
	return fmt.Sprintf("%s: %g × %g mm, core %.2f mm, stress area %.1f mm²", t, float64(t.Diameter), float64(t.Pitch), float64(t.MinorDiameter()), float64(t.StressArea()))
}

func bandText(b *app.BareTorque) string {
	var bounds []joint.NewtonMetres
	if b.Use != nil {
		bounds = append(bounds, b.Use.Torque)
	}
	unit := joint.Units[0]
	text := fmt.Sprintf("%s to %s", joint.Show(b.Band.Low, unit, bounds...), joint.Show(b.Band.High, unit, bounds...))
	if b.Unit != "" && b.Unit != unit {
		text += fmt.Sprintf(" = %s to %s", joint.Show(b.Band.Low, b.Unit, bounds...), joint.Show(b.Band.High, b.Unit, bounds...))
	}
	return text + "; " + b.Band.Rule
}

// written says where a drawing went.
func (p *page) written(name string) {
	if name != "" {
		p.field("Written", name)
	}
}
