package cli

import (
	"fmt"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/reading"
)

// judged lays one reading and its verdict out.
func (p *page) judged(j *app.Judgement, text string, budget bool) {
	p.space()
	v := j.Verdict
	p.row("", "", fmt.Sprintf("%s  %s", strings.ToUpper(string(v.Outcome)), checkText(j.Check)), "")
	p.field("Read", strings.TrimSpace(text))
	p.field("Verdict", v.Says)
	if j.Elsewhere != nil {
		p.lines("Limit", j.Elsewhere.Says)
	}
	if v.Question != "" {
		p.field("Slip?", v.Question)
	}
	p.field("Anyway", v.Anyway)
	p.partLines(v.Parts)
	p.lines("Conditions", conditionTexts(v.Conditions))
	p.lines("Corrected", correctionTexts(v.Corrections))
	p.lines("Refused", v.Refused)
	p.lines("Missing", v.Missing)
	p.lines("Not used", v.Unused)
	p.lines("Mind", v.Remarks)
	p.field("Rule", v.Rule)
	if budget {
		for _, part := range v.Parts {
			p.budget(part)
		}
	}
}

// lines adds a label with one line for each text.
func (p *page) lines(label string, texts []string) {
	for _, t := range texts {
		p.field(label, t)
		label = ""
	}
}

func checkText(c *guide.Check) string {
	return fmt.Sprintf("%s (%s) at the %s", c.Name, c.ID, strings.TrimPrefix(c.At, "the "))
}

// partLines lists the limits when there is more than one, or a number to show.
func (p *page) partLines(parts []reading.Judged) {
	var rows [][]string
	for _, j := range parts {
		if j.Value.Zero() && j.Limit == "" {
			continue
		}
		name := j.Part
		if j.Item != "" && !strings.Contains(name, string(j.Item)) {
			name = strings.TrimSpace(name + " " + string(j.Item))
		}
		u := ""
		if j.Budget.Expanded > 0 {
			u = fmt.Sprintf("± %.2g %s", j.Budget.Expanded, j.Budget.Unit)
		}
		rows = append(rows, []string{"  " + name, boundText(j.Bound) + j.Value.String(), u, j.Limit, chanceText(j.Probability), string(j.Outcome)})
	}
	if len(rows) > 0 {
		p.table(append([][]string{{"  part", "value", "95 %", "limit", "conforms", "verdict"}}, rows...), 1, 4)
	}
}

func boundText(b reading.Bound) string {
	switch b {
	case reading.Above:
		return "> "
	case reading.Below:
		return "< "
	}
	return ""
}

// chanceText prints a probability as people read it.
func chanceText(p float64) string {
	switch {
	case p < 0.001:
		return "< 0.1 %"
	case p > 0.999:
		return "> 99.9 %"
	}
	return fmt.Sprintf("%.1f %%", p*100)
}

func conditionTexts(list []reading.Condition) []string {
	var out []string
	for _, c := range list {
		text := c.Clause + ": " + string(c.State)
		if c.Off != "" {
			text += ", " + c.Off
		}
		out = append(out, text)
	}
	return out
}

func correctionTexts(list []reading.Correction) []string {
	var out []string
	for _, c := range list {
		text := c.Name + ": " + c.Says
		if c.Part != "" {
			text = c.Part + ", " + text
		}
		out = append(out, text)
	}
	return out
}

// budget lists the sources of uncertainty of one part.
func (p *page) budget(j reading.Judged) {
	if len(j.Budget.Components) == 0 {
		return
	}
	p.head(strings.TrimSpace("uncertainty "+j.Part), fmt.Sprintf("u %.3g %s, k %.2f, U %.3g %s", j.Budget.Standard, j.Budget.Unit, j.Budget.Factor, j.Budget.Expanded, j.Budget.Unit))
	var rows [][]string
	for _, c := range j.Budget.Components {
		rows = append(rows, []string{"  " + fmt.Sprintf("%.3g", c.Share), string(c.Shape), c.Name})
	}
	p.table(rows, 0)
}

// walk lays out what a check takes.
func (p *page) walk(w *app.Walk) {
	p.space()
	p.row("", "", "BEFORE THE WALK  "+checkText(w.Check), "")
	for i, l := range w.Check.Limits {
		p.field([]string{"Limit", ""}[min(i, 1)], l.String())
	}
	var when []string
	for _, q := range w.Check.With {
		when = append(when, q.String())
	}
	for _, c := range w.Check.When {
		when = append(when, c.String())
	}
	p.lines("When", when)
	if w.Check.Closed {
		p.field("Fitted", "everything")
	}
	if len(w.Fitness) == 0 {
		p.field("Instrument", "no limit of this check is a number; nothing to compare an instrument with")
	}
	for _, f := range w.Fitness {
		mark := "good"
		if !f.Enough {
			mark = "weak"
		}
		p.field("Instrument", mark+": "+f.Says)
		p.lines("", f.Remarks)
	}
	p.field("Note", w.Check.Note)
}

func judgeJSON(done []*app.Judgement, texts []string, walks []*app.Walk) judgeAnswer {
	out := judgeAnswer{Readings: []judgeLine{}, Checks: []enoughCheck{}}
	for i, j := range done {
		out.Variant = j.Variant
		out.Readings = append(out.Readings, judgeLineOf(j, texts[i]))
	}
	for _, w := range walks {
		out.Variant = w.Variant
		c := enoughCheck{Check: w.Check.ID, Name: w.Check.Name, At: w.Check.At, Limits: []string{}, When: []string{}, Fitness: []enoughLine{}}
		for _, l := range w.Check.Limits {
			c.Limits = append(c.Limits, l.String())
		}
		for _, k := range w.Check.When {
			c.When = append(c.When, k.String())
		}
		for _, f := range w.Fitness {
			c.Fitness = append(c.Fitness, enoughLine{f.Limit, f.Instrument, f.Enough, f.Clear, f.Ratio, f.Says, some(f.Remarks)})
		}
		out.Checks = append(out.Checks, c)
	}
	return out
}

func judgeLineOf(j *app.Judgement, text string) judgeLine {
	v := j.Verdict
	l := judgeLine{
		Check: j.Check.ID, Name: j.Check.Name, Text: text, Outcome: v.Outcome, Would: v.Would, Says: v.Says, Rule: v.Rule,
		Parts: []judgePart{}, Conditions: []judgeState{}, Corrections: some(correctionTexts(v.Corrections)), Refused: some(v.Refused),
		Question: v.Question, Missing: some(v.Missing), Unused: some(v.Unused), Anyway: v.Anyway, Remarks: some(v.Remarks),
	}
	if j.Elsewhere != nil {
		l.At, l.Asked, l.Carried = j.Elsewhere.At, j.Elsewhere.Asked.ID, some(j.Elsewhere.Says)
	}
	for _, p := range v.Parts {
		part := judgePart{
			Part: p.Part, Item: p.Item, Limit: p.Limit, Value: boundText(p.Bound) + p.Value.String(), Margin: p.Margin.String(), Outcome: p.Outcome,
			Probability: p.Probability, Standard: p.Budget.Standard, Expanded: p.Budget.Expanded, Unit: p.Budget.Unit, Sources: []judgeSource{},
		}
		for _, c := range p.Budget.Components {
			part.Sources = append(part.Sources, judgeSource{c.Name, c.Shape, c.Share})
		}
		l.Parts = append(l.Parts, part)
	}
	for _, c := range v.Conditions {
		l.Conditions = append(l.Conditions, judgeState{c.Clause, c.State, c.Off})
	}
	return l
}
