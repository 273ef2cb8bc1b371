package cli

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/estimate"
	"elbowroom/guide"
)

// quote lays a quote out: first what the customer reads, then what the
// workshop needs beside it.
func (p *page) quote(q *app.Quote, all bool) {
	p.title(q.Answer)
	if len(q.Answer.Plan.Blockers) > 0 {
		p.head("what blocks it", "")
		for _, b := range q.Answer.Plan.Blockers {
			p.para("  - ", "    ", b.Says)
		}
	}
	if len(q.Bill.Lines) > 0 {
		p.bill(q)
		p.priceRange(q)
		p.quoteTimes(q)
		p.quoteRisks(q)
		p.stopPoints(q, all)
		p.limit(q)
		p.later(q)
		p.actual(q)
		if all {
			p.stepTimes(q)
		}
		p.rests(q)
	}
	p.space()
	p.para("", "", q.Answer.Deference)
}

// lineText says what a line of a bill is for.
func lineText(l estimate.Line) string {
	switch {
	case l.Time > 0:
		return l.What + ", " + app.Minutes(l.Time)
	case l.Litre:
		return fmt.Sprintf("%s, %g L", l.What, l.Count)
	case l.Count > 0 && l.Count != 1:
		return fmt.Sprintf("%g × %s", l.Count, l.What)
	}
	return l.What
}

func (p *page) bill(q *app.Quote) {
	p.head("price", q.Terms.Currency.Code)
	cur := q.Terms.Currency
	for _, l := range q.Bill.Lines {
		right := cur.Text(l.Sum)
		if !l.Known {
			right = "price not known"
		}
		p.row("  ", "    ", lineText(l), right)
	}
	p.line("  " + strings.Repeat("-", p.width-2))
	if q.Terms.Tax > 0 {
		p.row("  ", "    ", "Net", cur.Text(q.Bill.Net))
		p.row("  ", "    ", "Tax, "+q.Terms.Tax.String(), cur.Text(q.Bill.Tax))
	}
	total := "TOTAL"
	if q.Fixed {
		total = "FIXED PRICE"
	}
	p.row("  ", "    ", total, cur.Text(q.Bill.Total))
}

// priceRange says how often a price is kept.
func (p *page) priceRange(q *app.Quote) {
	p.space()
	tax := ""
	if q.Terms.Tax > 0 {
		tax = ", tax included"
	}
	r := q.Run.Price
	if q.Fixed {
		p.indented(2, fmt.Sprintf("This price holds, whatever happens. By time and material half of such visits would stay below %s, nineteen in twenty below %s%s.", q.Text(r.P50), q.Text(r.P95), tax))
		return
	}
	p.indented(2, fmt.Sprintf("Of such visits half stay below %s, four in five below %s, nineteen in twenty below %s%s; risks as they come.", q.Text(r.P50), q.Text(r.P80), q.Text(r.P95), tax))
}

// quoteTimes are the three numbers of time.
func (p *page) quoteTimes(q *app.Quote) {
	p.head("time", "")
	rows := [][]string{
		{"", "usual", "4 in 5 within", "19 in 20 within", ""},
		timeRow("  hands-on", q.Usual.Hands, q.Run.Hands, ""),
	}
	if q.Usual.Waiting > 0 || q.Run.Waiting.P95 > 0 {
		rows = append(rows, timeRow("  waiting", q.Usual.Waiting, q.Run.Waiting, freeText(q)))
	}
	rows = append(rows, timeRow("  start to finish", q.Usual.Elapsed, q.Run.Elapsed, ""))
	p.table(rows, 1, 2, 3)
	p.indented(2, calendarText(q))
}

func timeRow(name string, usual time.Duration, r estimate.Range[time.Duration], note string) []string {
	return []string{name, app.Minutes(usual), app.Minutes(r.P80.Round(time.Minute)), app.Minutes(r.P95.Round(time.Minute)), note}
}

func freeText(q *app.Quote) string {
	if q.Usual.Free <= 0 {
		return "too short for other work"
	}
	return app.Minutes(q.Usual.Free) + " of it free for other work"
}

// calendarText says how long the machine stays.
func calendarText(q *app.Quote) string {
	in := "It is done within one working day"
	if q.Days > 1 {
		in = fmt.Sprintf("It is done within %d working days", q.Days)
	}
	if q.Parts > 0 {
		return fmt.Sprintf("%s of the parts being here, which takes %s.", in, count(q.Parts, "day"))
	}
	return in + "."
}

func (p *page) quoteRisks(q *app.Quote) {
	if len(q.Risks) == 0 {
		return
	}
	title := "what may come on top"
	if q.Fixed {
		title = "what may go wrong; the fixed price covers it"
	}
	p.head(title, "")
	for _, r := range q.Risks {
		text := fmt.Sprintf("%s: %s (step %d, %s)", r.Odds, r.What, r.Step, guide.Uncapital(r.At))
		p.row("  ", "    ", text, "+"+q.Terms.Currency.Text(q.Gross(r.IfItDoes)))
	}
}

// stopPoints is what it costs to stop on the way.
func (p *page) stopPoints(q *app.Quote, all bool) {
	rows := [][]string{{"step", "so far", "close up", "to pay", "if we stop"}}
	cur := q.Terms.Currency
	for _, s := range q.Stops {
		if s.Shown || all {
			rows = append(rows, []string{fmt.Sprint(s.After), cur.Text(s.Spent), cur.Text(s.Close), cur.Text(s.Total), "after: " + guide.Uncapital(s.Done)})
		}
	}
	if len(rows) == 1 {
		return
	}
	p.head("if we stop on the way", q.Terms.Currency.Code)
	p.table(rows, 0, 1, 2, 3)
}

func (p *page) limit(q *app.Quote) {
	l := q.Limit
	if l == nil {
		return
	}
	p.head("the limit", q.Text(l.Sum))
	p.indented(2, q.RingText())
	if l.Step > 0 {
		p.indented(2, fmt.Sprintf("At usual times it is reached after %s of work, during step %d, %s.", app.Minutes(l.After.Round(time.Minute)), l.Step, guide.Uncapital(l.Title)))
	}
	p.indented(2, fmt.Sprintf("That the work as a whole goes beyond it: %s.", app.OddsText(l.Odds)))
}

// later is the advice on what is in reach.
func (p *page) later(q *app.Quote) {
	l := q.Later
	if l == nil || len(l.Rows)+len(l.Unknown) == 0 {
		return
	}
	p.head("now or later", "net, "+q.Terms.Currency.Code)
	cur := q.Terms.Currency
	for _, r := range l.Rows {
		mark := "later"
		if r.Now {
			mark = "now"
		}
		p.row("  "+pad(mark, 7), strings.Repeat(" ", 9), r.Text, "+"+cur.Text(r.Extra))
		p.indented(9, r.Advice)
		p.indented(9, r.Even)
		p.indented(9, fmt.Sprintf("Age %s; life %s.", r.AgeOf, r.Basis))
	}
	if l.Now > 0 {
		p.indented(2, fmt.Sprintf("What is better done now adds %s and saves %s on average.", cur.Text(l.Now), cur.Text(l.Saves)))
	}
	if len(l.Unknown) > 0 {
		p.indented(2, "Also in reach, but nobody has said how old: "+strings.Join(l.Unknown, ", ")+". Say so with --age.")
	}
	if !l.Complete {
		p.indented(2, "Not every part in reach was looked at.")
	}
}

// actual compares the quote with what was done.
func (p *page) actual(q *app.Quote) {
	a := q.Actual
	if a == nil {
		return
	}
	p.head("quoted and done", "")
	rows := [][]string{{"step", "quoted", "took", "", ""}}
	for _, r := range a.Rows {
		note := r.By
		if !r.Clear {
			note += ", time not clear"
		}
		rows = append(rows, []string{fmt.Sprint(r.Step), app.Minutes(r.Quoted), app.Minutes(r.Took.Round(time.Second)), note, r.Title})
	}
	p.table(rows, 0, 1, 2)
	p.space()
	p.indented(2, fmt.Sprintf("Together %s quoted, %s taken (%s): %s against %s of labour, net. As short or shorter: %s.",
		app.Minutes(a.Quoted), app.Minutes(a.Took.Round(time.Minute)), signed(a.Difference().Round(time.Minute)), q.Terms.Currency.Text(a.Labour), q.Terms.Currency.Text(a.Paid), app.OddsText(a.Within)))
	if a.Open > 0 {
		p.indented(2, fmt.Sprintf("%s of the plan have no time in the log.", count(a.Open, "step")))
	}
	if a.Others > 0 {
		p.indented(2, fmt.Sprintf("%s went into steps that the quote does not have.", app.Minutes(a.Others.Round(time.Minute))))
	}
}

// stepTimes is what is expected of every step.
func (p *page) stepTimes(q *app.Quote) {
	p.head("minutes of the steps", "")
	rows := [][]string{{"step", "usual", "guide", "basis", ""}}
	for _, t := range q.Times {
		basis := string(t.Basis)
		if t.Times > 0 {
			basis = count(t.Times, "time") + " " + basis
		}
		rows = append(rows, []string{fmt.Sprint(t.Step), app.Minutes(t.Mean.Round(30 * time.Second)), app.Minutes(t.Guide), basis, t.Key})
	}
	p.table(rows, 0, 1, 2)
}

// rests says what the quote rests on and what it leaves out.
func (p *page) rests(q *app.Quote) {
	p.head("what this rests on", "")
	for _, s := range q.Basis {
		p.para("  - ", "    ", s)
	}
	if q.By != "" {
		p.para("  - ", "    ", "The work is done by "+q.By+".")
	}
	for _, s := range q.Mind {
		p.para("  - ", "    ", guide.Capital(s)+".")
	}
}
