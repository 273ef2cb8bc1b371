package web

import (
	"cmp"
	"net/http"
	"slices"

	"elbowroom/app"
	"elbowroom/plan"
)

// reachView lists the tasks that the visit makes cheap.
type reachView struct {
	Load   string // address of the part, for script
	Show   string // address of the page with the list, without script
	Loaded bool
	Rows   []reachRow
	Shut   []reachRow // cannot be added, with the reason
	Hidden []field
	Error  string
}

// reachRow is one of them.
type reachRow struct {
	Task, Text, Extra, Money, Alone string
	Changes                         bool
	Free                            bool // no minutes beside its own work
	Reason                          string
	Bar                             px // of 100: its minutes against those alone
}

func reachOf(st state, rows []app.ReachRow, currency string) reachView {
	v := reachView{Loaded: true, Hidden: st.fields("q", "item", "view", "reach")}
	rows = slices.Clone(rows)
	slices.SortStableFunc(rows, func(a, b app.ReachRow) int { return cmp.Compare(a.Extra, b.Extra) })
	for _, row := range rows {
		r := reachRow{Task: row.Task.String(), Text: row.Text, Changes: row.Changes, Reason: row.Reason}
		if row.Outcome != plan.Optimal && row.Outcome != plan.Bounded {
			r.Reason = firstOf(r.Reason, say("outcome."+outcomeKind(row.Outcome)))
			v.Shut = append(v.Shut, r)
			continue
		}
		r.Extra = signed(app.Minutes(row.Extra), row.Extra < 0)
		r.Money = signed(price(row.Money, currency), row.Money < 0)
		if row.Alone > 0 {
			r.Alone = app.Minutes(row.Alone)
			r.Bar = px(min(100, max(0, 100*row.Extra.Minutes()/row.Alone.Minutes())))
		}
		v.Rows = append(v.Rows, r)
	}
	return v
}

// reachPart serves the list alone, for a page that is already there.
func (s *site) reachPart(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	var rows []app.ReachRow
	status := http.StatusOK
	if err == nil {
		free, ok := s.slot(r.Context())
		defer free()
		if !ok {
			s.busy(w)
			return
		}
		st.ask.Budget = s.opts.Budget
		_, rows, err = s.use.Reach(st.ask)
	}
	v := reachOf(st, rows, s.subject(st.ask).Currency)
	if err != nil {
		status, v.Error = statusOf(err), plain(err)
	}
	s.render(w, r, status, "plan", "reach", v)
}
