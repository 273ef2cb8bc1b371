package app

import (
	"fmt"
	"strconv"

	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/report"
)

// LayOutPaper lists what to lay out before anything is opened: tools, parts and
// fluids, each with a box and the steps that need it.
func (a *App) LayOutPaper(ans *Answer) report.Document {
	d := a.paper(subjectOfAnswer(ans, report.LayOut, "Lay-out list"))
	d.Lead = leadOf(ans)
	if len(ans.Steps) == 0 && len(ans.Plan.Blockers) > 0 {
		d.Sections = append(d.Sections, blocked(ans))
		return d
	}
	t := ticker{}
	tools := report.Table{Columns: []report.Column{{Head: "Laid out"}, {Head: "Tool"}, {Head: "For"}, {Head: "Steps", Align: report.Right}}}
	for _, l := range ans.Tools {
		id := string(l.ID)
		if id == "" {
			id = l.Name
		}
		tools.Rows = append(tools.Rows, report.Row{Cells: []report.Cell{
			{Ticks: []report.Tick{t.tick("tool "+id, "")}}, {Text: l.Name, Strong: true}, {Text: l.Note}, {Text: stepsText(l.Steps)},
		}})
	}
	d.Sections = append(d.Sections,
		tableSection("Tools", tools, "No tool is named."),
		shelfSection(t, "Parts", "part", ans.Parts, ans.Guide.Currency, "No part is used."),
		shelfSection(t, "Fluids", "fluid", ans.Fluids, ans.Guide.Currency, "No fluid is used."))
	if all := shelfSum(ans.Parts) + shelfSum(ans.Fluids); all > 0 {
		d.Sections[2].Blocks = append(d.Sections[2].Blocks, report.Block{Text: &report.Text{Says: "Parts and fluids together: " + sum(all, ans.Guide.Currency)}})
	}
	if end := longestLead(ans.Parts, ans.Fluids); end > 0 {
		d.Lead = append(d.Lead, report.Fact{Name: "Earliest start", Says: "when everything ordered is here: " + days(end) + " if nothing is on the shelf"})
	}
	return d
}

func tableSection(title string, t report.Table, none string) report.Section {
	s := report.Section{Title: title}
	if len(t.Rows) == 0 {
		s.Blocks = append(s.Blocks, textBlock(none))
		return s
	}
	s.Blocks = append(s.Blocks, report.Block{Table: &t})
	return s
}

func shelfSection(t ticker, title, sort string, parts []PartLine, currency, none string) report.Section {
	table := report.Table{Columns: []report.Column{
		{Head: "On the shelf"},
		{Head: "How many", Align: report.Right},
		{Head: title},
		{Head: "Number"},
		{Head: "To get"},
		{Head: "Price", Align: report.Right},
		{Head: "Steps", Align: report.Right},
	}}
	for _, p := range parts {
		id := string(p.ID)
		if id == "" {
			id = p.Name
		}
		name := p.Name
		if p.SingleUse {
			name += ", new each time"
		}
		price := "no price"
		if p.Priced {
			price = sum(p.Price, currency)
		}
		lead := ""
		if p.LeadDays > 0 {
			lead = days(p.LeadDays)
		}
		table.Rows = append(table.Rows, report.Row{Cells: []report.Cell{
			{Ticks: []report.Tick{t.tick(sort+" "+id, "")}},
			{Text: countText(p), Strong: true},
			{Text: name, Strong: true},
			{Text: p.Number},
			{Text: lead},
			{Text: price},
			{Text: stepsText(p.Steps)},
		}})
	}
	return tableSection(title, table, none)
}

// countText prints how many of a part, or how many litres of a fluid.
func countText(p PartLine) string {
	n := strconv.FormatFloat(p.Count, 'f', -1, 64)
	if p.Litres {
		return n + " L"
	}
	return n
}

func days(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func shelfSum(parts []PartLine) money.Amount {
	var all money.Amount
	for _, p := range parts {
		all += p.Price
	}
	return all
}

func longestLead(lists ...[]PartLine) int {
	most := 0
	for _, list := range lists {
		for _, p := range list {
			most = max(most, p.LeadDays)
		}
	}
	return most
}

// leadOf says what a visit is for and how good its plan is.
func leadOf(ans *Answer) []report.Fact {
	var lead []report.Fact
	for i, t := range ans.Tasks {
		name := ""
		if i == 0 {
			name = "To do"
		}
		lead = append(lead, report.Fact{Name: name, Says: t.Text + taskWhen(t.Task)})
	}
	if m := ans.Machine; m != nil {
		lead = fact(lead, "Stands", m.Stands)
	}
	for _, e := range ans.Exceptions {
		lead = fact(lead, "This one differs", e)
	}
	return lead
}

func taskWhen(t plan.Task) string {
	switch {
	case t.Before:
		return ", as found, before anything is touched"
	case t.Proof:
		return ", as proof, when all is back"
	}
	return ""
}
