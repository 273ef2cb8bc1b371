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
