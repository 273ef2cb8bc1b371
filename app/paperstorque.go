package app

import (
	"cmp"
	"fmt"
	"strings"

	"elbowroom/guide"
	"elbowroom/joint"
	"elbowroom/report"
)

// TorquePaper is a torque sheet on paper: every joint in the order of the refit
// with the figure large, what to set on which wrench, the order of tightening,
// what is new, what was superseded, and a box for every fastener.
func (a *App) TorquePaper(s *TorqueSheet) report.Document {
	sub := subjectOfPaper{kind: report.Torque, title: "Torque sheet", id: string(s.Guide.ID), about: s.Guide.Title, variant: s.Variant, guide: edition(s.Guide)}
	if m := s.Machine; m != nil {
		sub.id, sub.about = string(m.ID), machineWords(string(m.ID), m.Name, m.Plate)
	}
	d := a.paper(sub)
	for i, t := range s.Tasks {
		d.Lead = append(d.Lead, report.Fact{Name: map[bool]string{true: "For"}[i == 0], Says: t})
	}
	d.Lead = fact(d.Lead, "Tools looked at", "as due on "+s.Day)
	for _, e := range s.Exceptions {
		d.Lead = fact(d.Lead, "This one differs", e)
	}
	d.Lead = fact(d.Lead, "Source", SourceText(s.Guide, "")+", where no other is named")
	if s.Blocked != "" {
		d.Sections = append(d.Sections, report.Section{Title: "No plan", Blocks: []report.Block{textBlock(s.Blocked)}})
		return d
	}
	t := torqueBoxes{ticker{}, s.Resolved, map[string]bool{}}
	d.Sections = append(d.Sections, t.section("In the order of the refit", s.Joints, "No joint is tightened in this visit."))
	if len(s.Open) > 0 {
		d.Sections = append(d.Sections, t.section("Undone and not tightened in this visit", s.Open, ""))
	}
	if len(s.Bare) > 0 {
		d.Sections = append(d.Sections, t.bare(s.Bare))
	}
	if len(s.Tools) > 0 {
		d.Sections = append(d.Sections, torqueTools(s.Tools))
	}
	return d
}

// torqueBoxes makes the rows of a torque sheet.
type torqueBoxes struct {
	t    ticker
	r    *guide.Resolved
	used map[string]bool // joints of the guide that have a row
}

func (t torqueBoxes) section(title string, lines []TorqueLine, none string) report.Section {
	s := report.Section{Title: title}
	if len(lines) == 0 {
		s.Blocks = append(s.Blocks, textBlock(none))
	}
	for i := range lines {
		s.Blocks = append(s.Blocks, t.line(&lines[i])...)
	}
	return s
}

// line sets one joint as a card.
func (t torqueBoxes) line(l *TorqueLine) []report.Block {
	n := t.ordinal(l)
	step := report.Step{Number: l.Number, Title: guide.Capital(itemName(t.r, l.Item.ID)), Figure: torqueFigure(l)}
	if l.Step > 0 {
		step.Minutes = fmt.Sprintf("plan step %d", l.Step)
	}
	for _, f := range l.Findings {
		step.Cautions = append(step.Cautions, report.Caution{Says: guide.Capital(f.Says), Because: guide.Capital(f.Do)})
	}
	step.Lines = fact(step.Lines, "fastener", l.Fastener)
	step.Lines = fact(step.Lines, "threads", string(l.Joint.State))
	if step.Figure == "" {
		step.Lines = fact(step.Lines, "torque", "none; see that it sits")
	}
	for _, st := range l.Stages {
		step.Lines = fact(step.Lines, "stage "+st.Text, stageText(st))
	}
	if len(l.Stages) > 0 && l.Joint.Count > 2 {
		step.Lines = fact(step.Lines, "order", cmp.Or(l.Layout.Says, l.Joint.Pattern))
	}
	step.Lines = fact(step.Lines, "re-use", againText(l))
	for _, w := range l.Was {
		step.Was = append(step.Was, w.Value+"|"+supersededText(w))
	}
	for _, o := range l.Others {
		step.Lines = fact(step.Lines, "otherwise", o+"; a torque for other threads does not carry over")
	}
	if l.Source != SourceText(t.r.Guide, "") {
		step.Lines = fact(step.Lines, "source", l.Source)
	}
	if dots, ok := layoutDrawing(l.Layout); ok {
		step.Picture = &dots
		step.Lines = fact(step.Lines, "drawing", "numbers are the order of tightening; a scheme to count by, not where they sit")
	}
	boxes := boxesOf(t.t, l.Item, n, l.Joint.Count, l.Joint.Pattern, "tick each one when it is tight")
	step.Ticks = []report.Ticks{boxes}
	return []report.Block{{Step: &step}}
}

// supersededText says until when a value held, why no longer, and who said it.
func supersededText(w WasLine) string {
	var parts []string
	if w.Until != "" {
		parts = append(parts, "until "+until(w))
	}
	parts = appendText(parts, w.Reason)
	if w.Source != "" {
		parts = append(parts, "it stood in: "+w.Source)
	}
	return strings.Join(parts, "; ")
}

// ordinal returns the number of the joint in the guide, which the log of a job
// goes by.
func (t torqueBoxes) ordinal(l *TorqueLine) int {
	for i := range l.Item.Joints {
		key := fmt.Sprintf("%s/%d@%d", l.Item.ID, i, l.Step)
		if !t.used[key] && t.r.Fits(l.Item.Joints[i].For) && joint.SamePlace(&l.Item.Joints[i], &l.Joint) && l.Item.Joints[i].State == l.Joint.State {
			t.used[key] = true
			return i + 1
		}
	}
	return l.Ordinal
}

// torqueFigure is the number that is read at arm's length.
func torqueFigure(l *TorqueLine) string {
	var parts []string
	for _, s := range l.Stages {
		parts = append(parts, s.Text)
	}
	if len(parts) == 0 {
		if l.Has(TorqueMissing) {
			return "torque unknown"
		}
		return ""
	}
	return strings.TrimSpace(strings.Join(parts, " + ") + " " + string(l.Joint.State))
}

func stageText(s TorqueStage) string {
	var parts []string
	if s.Also != "" {
		parts = append(parts, "= "+s.Also)
	}
	switch {
	case s.Tool != "" && s.Set != "":
		parts = append(parts, s.Tool+" set to "+s.Set)
	case s.Tool != "":
		parts = append(parts, s.Tool)
	}
	parts = append(parts, s.Marks...)
	if s.Foot != nil {
		parts = append(parts, "through "+s.Foot.Name)
	}
	if len(parts) == 0 {
		return "tool not chosen"
	}
	return strings.Join(parts, "; ")
}

func againText(l *TorqueLine) string {
	says := l.Next.Says
	if p := l.Part; p != nil {
		says = strings.Trim(says+": "+strings.TrimSpace(countText(*p)+" × "+p.Name+" "+p.Number), ": ")
	}
	return says
}

// layoutDrawing draws the fasteners as places, numbered in the order of
// tightening.
func layoutDrawing(l joint.Layout) (report.Drawing, bool) {
	if len(l.Places) < 2 || l.Order == nil {
		return report.Drawing{}, false
	}
	const size, dot = 100.0, 8.0
	d := report.Drawing{Title: "Order of tightening: a scheme to count by, not where they sit.", Says: l.Says, W: size, H: size, Wide: 32}
	number := make([]int, len(l.Places))
	for i, place := range l.Order {
		if place >= 1 && place <= len(number) {
			number[place-1] = i + 1
		}
	}
	for i, p := range l.Places {
		x, y := dot+2+p.X*(size-2*dot-4), dot+2+p.Y*(size-2*dot-4)
		d.Shapes = append(d.Shapes,
			report.Shape{Path: report.NewPath(report.Circle(x, y, dot)), Fill: "#ffffff", Stroke: "#000000", Width: 1},
			report.Shape{Text: fmt.Sprint(number[i]), X: x, Y: y + 3.4, Size: 9.5, Bold: true, Anchor: "middle", Fill: "#000000"})
	}
	return d, true
}

func (t torqueBoxes) bare(lines []BareLine) report.Section {
	var list report.Ticks
	for _, b := range lines {
		says := itemName(t.r, b.Item.ID)
		if b.Fixing != "" {
			says += ": " + b.Fixing
		}
		if b.Step > 0 {
			says += fmt.Sprintf(" (plan step %d)", b.Step)
		}
		list.List = append(list.List, t.t.tick("item "+string(b.Item.ID), guide.Capital(says)))
	}
	return report.Section{Title: "Goes back without a torque", Blocks: []report.Block{{Ticks: &list}}}
}

func torqueTools(tools []TorqueTool) report.Section {
	table := report.Table{Columns: []report.Column{{Head: "Torque tool"}, {Head: "Range"}, {Head: "Next check"}, {Head: "For lines"}}}
	for _, w := range tools {
		due := w.Wrench.Due
		if w.Overdue {
			due += ", overdue"
		}
		table.Rows = append(table.Rows, report.Row{Cells: []report.Cell{
			{Text: w.Wrench.Name}, {Text: w.Wrench.Lowest.String() + " to " + w.Wrench.Highest.String()}, {Text: due, Strong: w.Overdue}, {Text: stepsText(w.Lines)},
		}})
	}
	return report.Section{Title: "Torque tools", Blocks: []report.Block{{Table: &table}}}
}
