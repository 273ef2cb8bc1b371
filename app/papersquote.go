package app

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/report"
)

// QuotePaper is a quote for the customer: the price line by line with its sum,
// how often it is kept, how long it takes, what may come on top, where one can
// stop and what that costs, and a line to authorise it on.
func (a *App) QuotePaper(q *Quote) report.Document {
	ans := q.Answer
	title := "Quote"
	if q.Fixed {
		title = "Quote, fixed price"
	}
	d := a.paper(subjectOfAnswer(ans, report.Quote, title))
	d.Lead = leadOf(ans)
	if len(q.Bill.Lines) == 0 {
		if ans.Plan.Outcome != plan.Optimal && ans.Plan.Outcome != plan.Bounded {
			d.Sections = append(d.Sections, blocked(ans))
		}
		return d
	}
	d.Sections = append(d.Sections, priceSection(q), timeSection(q))
	for _, s := range []report.Section{risksSection(q), stopsSection(q), laterSection(q), mindSection(q)} {
		if len(s.Blocks) > 0 {
			d.Sections = append(d.Sections, s)
		}
	}
	d.Sections = append(d.Sections, authorisation(q))
	return d
}

func priceSection(q *Quote) report.Section {
	cur := q.Terms.Currency
	t := report.Table{Columns: []report.Column{{Head: "For"}, {Head: "Time or amount", Align: report.Right}, {Head: "Price, " + firstText(cur.Code, "no currency"), Align: report.Right}}}
	for _, l := range q.Bill.Lines {
		price := cur.Text(l.Sum)
		if !l.Known {
			price = "not known"
		}
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{{Text: l.What}, {Text: lineAmount(l)}, {Text: price}}})
	}
	total := "Total"
	if q.Fixed {
		total = "Fixed price"
	}
	if q.Terms.Tax > 0 {
		t.Rows = append(t.Rows,
			report.Row{Sum: true, Hold: true, Cells: []report.Cell{{Text: "Net"}, {}, {Text: cur.Text(q.Bill.Net)}}},
			report.Row{Hold: true, Cells: []report.Cell{{Text: "Tax, " + q.Terms.Tax.String()}, {}, {Text: cur.Text(q.Bill.Tax)}}})
	}
	t.Rows = append(t.Rows, report.Row{Sum: true, Cells: []report.Cell{{Text: total}, {}, {Text: cur.Text(q.Bill.Total), Big: true}}})
	return report.Section{Title: "Price", Blocks: []report.Block{{Table: &t}, textBlock(keptText(q))}}
}

func lineAmount(l estimate.Line) string {
	n := strconv.FormatFloat(l.Count, 'f', -1, 64)
	switch {
	case l.Time > 0:
		return Minutes(l.Time)
	case l.Litre:
		return n + " L"
	case l.Count > 0:
		return n
	}
	return ""
}

// keptText says how often the price is kept.
func keptText(q *Quote) string {
	tax := ""
	if q.Terms.Tax > 0 {
		tax = ", tax included"
	}
	r := q.Run.Price
	if q.Fixed {
		return fmt.Sprintf("This price holds. By time and material half of such visits would stay below %s and nineteen in twenty below %s%s.", q.Text(r.P50), q.Text(r.P95), tax)
	}
	return fmt.Sprintf("Of such visits half stay below %s, four in five below %s, nineteen in twenty below %s%s; risks as they come.", q.Text(r.P50), q.Text(r.P80), q.Text(r.P95), tax)
}

func timeSection(q *Quote) report.Section {
	t := report.Table{Columns: []report.Column{
		{Head: ""}, {Head: "Usually", Align: report.Right}, {Head: "4 in 5 within", Align: report.Right}, {Head: "19 in 20 within", Align: report.Right},
	}}
	row := func(name string, usual time.Duration, r estimate.Range[time.Duration]) {
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			{Text: name}, {Text: Minutes(usual)}, {Text: Minutes(r.P80.Round(time.Minute))}, {Text: Minutes(r.P95.Round(time.Minute))},
		}})
	}
	row("Hands-on work", q.Usual.Hands, q.Run.Hands)
	if q.Usual.Waiting > 0 || q.Run.Waiting.P95 > 0 {
		row("Waiting", q.Usual.Waiting, q.Run.Waiting)
	}
	row("Start to finish", q.Usual.Elapsed, q.Run.Elapsed)
	says := "Done within one working day"
	if q.Days > 1 {
		says = fmt.Sprintf("Done within %d working days", q.Days)
	}
	if q.Parts > 0 {
		says += " of the parts being here, which takes " + days(q.Parts)
	}
	return report.Section{Title: "Time", Blocks: []report.Block{{Table: &t}, textBlock(says + ".")}}
}

func risksSection(q *Quote) report.Section {
	s := report.Section{Title: "What may come on top"}
	if q.Fixed {
		s.Title = "What may go wrong; the fixed price covers it"
	}
	if len(q.Risks) == 0 {
		return s
	}
	t := report.Table{Columns: []report.Column{{Head: "How often"}, {Head: "What"}, {Head: "At step"}, {Head: "Then more, with tax", Align: report.Right}}}
	for _, r := range q.Risks {
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			{Text: r.Odds}, {Text: r.What}, {Text: fmt.Sprintf("%d, %s", r.Step, guide.Uncapital(r.At))}, {Text: q.Text(q.Gross(r.IfItDoes))},
		}})
	}
	s.Blocks = append(s.Blocks, report.Block{Table: &t})
	return s
}

func stopsSection(q *Quote) report.Section {
	s := report.Section{Title: "Where the work can be stopped"}
	t := report.Table{
		Says: "With tax, at average times and without risks.",
		Columns: []report.Column{
			{Head: "After"}, {Head: "Spent by then", Align: report.Right}, {Head: "To close up again", Align: report.Right}, {Head: "Together", Align: report.Right},
		},
	}
	for _, p := range q.Stops {
		if p.Shown {
			t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
				{Text: fmt.Sprintf("step %d: %s", p.After, guide.Uncapital(p.Done))}, {Text: q.Text(p.Spent)}, {Text: q.Text(p.Close)}, {Text: q.Text(p.Total), Strong: true},
			}})
		}
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, report.Block{Table: &t})
	}
	return s
}

func laterSection(q *Quote) report.Section {
	s := report.Section{Title: "While it is open"}
	if q.Later == nil {
		return s
	}
	for _, r := range q.Later.Rows {
		if r.Now {
			s.Blocks = append(s.Blocks, report.Block{Text: &report.Text{Lead: r.Text, Says: sentence(r.Advice) + " Adds " + q.Text(q.Gross(r.Extra)) + " with tax."}})
		}
	}
	return s
}

func mindSection(q *Quote) report.Section {
	s := report.Section{Title: "What this price rests on"}
	var points []string
	for _, m := range q.Mind {
		points = append(points, sentence(m))
	}
	for _, b := range q.Basis {
		points = append(points, sentence(b))
	}
	if len(points) > 0 {
		s.Blocks = append(s.Blocks, report.Block{List: &report.List{Points: points}})
	}
	return s
}

// sentence begins with a capital and ends with one full stop.
func sentence(s string) string { return guide.Capital(strings.TrimRight(s, ".")) + "." }

// authorisation is what the customer signs.
func authorisation(q *Quote) report.Section {
	says := fmt.Sprintf("I authorise this work up to %s, tax included. What would cost more is asked for first.", q.Text(q.Bill.Total))
	if l := q.Limit; l != nil {
		says = fmt.Sprintf("I authorise this work up to %s, tax included. What would cost more is asked for first.", q.Text(l.Sum))
	}
	s := report.Section{Title: "Authorisation"}
	if l := q.Limit; l != nil {
		s.Blocks = append(s.Blocks, textBlock(limitSays(q, l)))
	}
	s.Blocks = append(s.Blocks, report.Block{Sign: &report.Sign{Says: says, Lines: []report.SignLine{{Role: "customer"}, {Role: "for the workshop"}}}})
	return s
}

func limitSays(q *Quote, l *LimitText) string {
	switch {
	case l.Ring == nothingOpen:
		return fmt.Sprintf("The limit of %s does not pay for opening anything and closing it up again.", q.Text(l.Sum))
	case l.Ring > 0:
		return fmt.Sprintf("With a limit of %s the customer is asked again before step %d, %s: the last moment at which stopping and closing up keeps within it.", q.Text(l.Sum), l.Ring, guide.Uncapital(l.RingTitle))
	}
	return fmt.Sprintf("The limit of %s is reached in %.0f of 100 such visits.", q.Text(l.Sum), 100*l.Odds)
}
