package cli

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/plan"
)

// reachCmd lists what else is in reach.
type reachCmd struct {
	visitFlags
	Within string `placeholder:"MIN" help:"Only tasks that add at most so many minutes."`
	All    bool   `help:"Also tasks that cannot be added, with the reason."`
}

// Help stands under the usage of reach.
func (reachCmd) Help() string {
	return "Each line is one other task: minutes and money that it adds, what it costs on a visit of its own, and * where adding it changes the way in.\n\n" + exitHelp()
}

// Run prints the table.
func (c *reachCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	q, err := c.question(r, a)
	if err != nil {
		return err
	}
	most := -1.0
	if c.Within != "" {
		if _, err := fmt.Sscanf(c.Within, "%g", &most); err != nil || !(most >= 0) {
			return fmt.Errorf("%w: --within %q: write a number of minutes", errUsage, c.Within)
		}
	}
	ans, rows, err := a.Reach(q)
	if err != nil {
		return err
	}
	r.exit = exitOfOutcome(ans.Plan.Outcome)
	rows = slices.DeleteFunc(slices.Clone(rows), func(row app.ReachRow) bool {
		return !c.All && !added(row) || most >= 0 && (row.Extra.Minutes() > most || !added(row))
	})
	if r.cli.JSON {
		return r.json(reachJSON(ans, rows))
	}
	p := r.page()
	p.reach(ans, rows)
	return r.show(p)
}

// added reports whether the task can be added to the visit.
func added(row app.ReachRow) bool {
	return row.Outcome == plan.Optimal || row.Outcome == plan.Bounded
}

func reachJSON(ans *app.Answer, rows []app.ReachRow) reachAnswer {
	out := reachAnswer{Plan: planJSON(ans, len(ans.RunnersUp)), Also: []reachLine{}}
	for _, row := range rows {
		out.Also = append(out.Also, reachLine{
			row.Task.String(), row.Text, row.Outcome, inMinutes(row.Extra), price(row.Money), inMinutes(row.Alone), row.Changes, row.Reason,
		})
	}
	return out
}

func (p *page) reach(ans *app.Answer, rows []app.ReachRow) {
	p.title(ans)
	if len(ans.Steps) > 0 {
		p.totals(ans)
	}
	p.head("also in reach", "")
	if len(rows) == 0 {
		p.line("  nothing")
		return
	}
	alone := slices.ContainsFunc(rows, func(r app.ReachRow) bool { return r.Alone > 0 })
	table := [][]string{reachRow("minutes", "money", "alone", "", "task", alone)}
	for _, row := range rows {
		table = append(table, reachCells(row, alone))
	}
	if alone {
		p.table(table, 0, 1, 2)
	} else {
		p.table(table, 0, 1)
	}
	if slices.ContainsFunc(rows, func(r app.ReachRow) bool { return r.Changes }) {
		p.line("* changes the way in")
	}
}

// reachCells lays one task out; a task that cannot be added says why.
func reachCells(row app.ReachRow, alone bool) []string {
	if !added(row) {
		return reachRow("-", "-", "-", "", row.Text+": "+row.Reason, alone)
	}
	mark := ""
	if row.Changes {
		mark = "*"
	}
	return reachRow(signed(row.Extra), signedSum(row.Money), app.Minutes(row.Alone), mark, row.Text, alone)
}

// reachRow joins the cells of a row; the price of a visit of its own stands in
// it only where some row has one.
func reachRow(minutes, money, alone, mark, text string, withAlone bool) []string {
	text = strings.TrimLeft(mark+" "+text, " ")
	if !withAlone {
		return []string{minutes, money, text}
	}
	return []string{minutes, money, alone, text}
}
