package web

import (
	"errors"
	"net/http"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// planPage is one visit: the question, the valley and everything beside it.
type planPage struct {
	page
	Subject   subject
	Search    searchBox
	Wanted    []wanted
	Next      []doing // what the workshop has in view, while nothing is asked for
	Complaint string
	Sorts     []link // money or minutes
	Setting   settings
	Empty     bool // nothing is asked for yet
	Answer    *answerView
	Torque    string // address of the torque sheet
	Papers    []link // the same on paper
	Reach     reachView
	Change    string // address of the form that asks about something else
	Quote     string // address of the price of the visit
	Taking    taking // by an open job
}

// wanted is one task that is asked for.
type wanted struct {
	Text, When, Remove, Label string
	Minutes, Way              string
}

// answerView is an app.Answer laid out.
type answerView struct {
	Outcome    outcomeView
	Has        bool // there are steps
	Total      string
	Money      string
	Shares     []share
	Sums       []sum
	Valleys    []valley
	Groups     []stepGroup
	Tools      []toolView
	Parts      []partView
	Fluids     []partView
	PartsSum   string
	Fitted     string // new parts of the tasks themselves, which any plan needs and the money leaves out
	Forbidden  []string
	Exceptions []string
	RunnersUp  []runnerUp
	Holds      []string
	Avoided    []string // unknown values that the plan goes round
	Why        whyView
	Deference  string
	Took       string
}

// share is one component of the minutes with its part of the whole.
type share struct {
	Name, Phase, Minutes string
	X, W                 px // of 1000
}

// sum is one line of the price.
type sum struct{ Name, Money string }

// outcomeView says in plain words how good the plan is.
type outcomeView struct {
	Kind     string
	Headline string
	Says     string
	Blockers []string
}

// toolView is a tool to lay out.
type toolView struct {
	Name, Note string
	Steps      []stepLink
	Without    string // address of the plan without this tool
	Missing    bool
	With       string
}

// partView is a part or fluid to have on the shelf.
type partView struct {
	Name, Number, Count, Price, Lead string
	SingleUse                        bool
	Steps                            []stepLink
}

// stepLink leads to a step.
type stepLink struct {
	Number int
	Href   string
}

// runnerUp is another way to do the same.
type runnerUp struct {
	Differs, Total, Extra, Money, Href string
	Steps                              int
}

func (s *site) plan(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	st.ask.Budget = s.opts.Budget
	j := s.subject(st.ask)
	if s.mustChoose(w, r, st, j, "plan") {
		return
	}
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		s.busy(w)
		return
	}
	p := planPage{
		page: s.page("plan", "plan.title", st), Subject: j, Change: "/go", Empty: len(st.tasks()) == 0,
		Reach: reachView{Load: st.to("/plan/reach"), Show: st.reachShown()},
	}
	if !j.NoGuide {
		p.Search = s.planSearch(st)
		if err := s.answer(&p, st); err != nil {
			s.fail(w, r, st, err)
			return
		}
	}
	if err := s.offerJobs(r, st, &p); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	s.render(w, r, http.StatusOK, "plan", "layout", p)
}

// reachShown returns the address that lists what is also in reach without
// script.
func (s state) reachShown() string {
	s.reach = true
	return s.to("/plan") + "#reach"
}

// answer asks for the plan and lays it out.
func (s *site) answer(p *planPage, st state) error {
	_, resolved, err := s.use.Scene(onlySubject(st.ask))
	if err != nil {
		return err
	}
	p.Setting = settingsOf(st, resolved, p.Subject)
	p.Sorts = sorts(st)
	if p.Empty {
		p.Next, p.Complaint = inView(st, p.Subject.machine)
		return nil
	}
	var a *app.Answer
	if st.reach {
		var rows []app.ReachRow
		if a, rows, err = s.use.Reach(st.ask); err != nil {
			return err
		}
		p.Reach = reachOf(st, rows, p.Subject.Currency)
	} else if a, err = s.use.Plan(st.ask); err != nil {
		return err
	}
	p.Wanted = wantedOf(st, a)
	p.Quote = quoteAddress(st)
	p.Title = say("plan.title-of", p.Subject.Name, len(p.Wanted))
	v := viewOf(st, a, p.Subject.Currency)
	p.Answer = &v
	p.Torque = torqueAddress(st)
	p.Papers = paperLinks(st)
	return nil
}

// inView returns what is next on a machine as buttons, with its complaint.
func inView(st state, m *app.MachineLine) (next []doing, complaint string) {
	if m == nil || len(m.Next) != len(m.Ask.Tasks) {
		return nil, ""
	}
	for i, task := range m.Ask.Tasks {
		next = append(next, doingOf(st, task, m.Next[i], m.Machine.Name))
	}
	return next, m.Machine.Complaint
}

// sorts returns the choice of what a plan is best at.
func sorts(st state) []link {
	var out []link
	for _, by := range []string{"money", "minutes"} {
		other := st
		other.ask.By = by
		if by == "money" {
			other.ask.By = ""
		}
		out = append(out, link{Text: say("by." + by), Href: other.to("/plan"), Here: st.ask.By == by || by == "money" && st.ask.By == ""})
	}
	return out
}

func wantedOf(st state, a *app.Answer) []wanted {
	typed := st.tasks()
	var out []wanted
	for i, t := range a.Tasks {
		w := wanted{Text: t.Text, Way: t.Way}
		if t.Minutes > 0 {
			w.Minutes = app.Minutes(t.Minutes)
		}
		switch {
		case t.Task.Before:
			w.When = say("task.before")
		case t.Task.Proof:
			w.When = say("task.proof")
		}
		if i < len(typed) { // the request keeps the order of the question
			w.Remove = st.without(typed[i]).to("/plan")
			w.Label = say("task.remove", t.Text)
		}
		out = append(out, w)
	}
	return out
}

func viewOf(st state, a *app.Answer, currency string) answerView {
	c := a.Plan.Cost
	v := answerView{
		Outcome: outcomeOf(a), Has: len(a.Steps) > 0, Forbidden: a.Forbidden, Exceptions: a.Exceptions,
		Deference: a.Deference, Avoided: a.Avoided, Why: whyOf(a, currency), Groups: groupsOf(a),
	}
	if !v.Has {
		return v
	}
	v.Total, v.Money = app.Minutes(c.Total()), price(c.Money(), currency)
	v.Shares, v.Sums = sharesOf(c), sumsOf(c, currency)
	v.Valleys = []valley{drawValley(a, "n", narrowWide), drawValley(a, "w", wideWide)}
	for _, t := range a.Tools {
		v.Tools = append(v.Tools, toolOf(st, t))
	}
	var all money.Amount
	for _, p := range a.Parts {
		v.Parts = append(v.Parts, partOf(p, currency))
		all += p.Price
	}
	for _, f := range a.Fluids {
		v.Fluids = append(v.Fluids, partOf(f, currency))
		all += f.Price
	}
	v.PartsSum = price(all, currency)
	if fitted := all - c.Parts - c.Fluids; fitted > 0 {
		v.Fitted = price(fitted, currency)
	}
	for _, o := range a.RunnersUp {
		v.RunnersUp = append(v.RunnersUp, runnerUpOf(o, currency))
	}
	for _, h := range a.Holds {
		v.Holds = append(v.Holds, h.Says)
	}
	return v
}

// price prints money with its currency: "224.00 EUR".
func price(m money.Amount, currency string) string {
	if currency == "" {
		return m.String()
	}
	return m.String() + "\u00a0" + currency
}

// wholeBar is the width of the bar of shares.
const wholeBar = 1000

func sharesOf(c plan.Cost) []share {
	var out []share
	var x px
	for _, part := range []struct {
		name string
		t    float64
		text string
	}{
		{"strip", c.Strip.Minutes(), app.Minutes(c.Strip)},
		{"work", c.Work.Minutes(), app.Minutes(c.Work)},
		{"refit", c.Refit.Minutes(), app.Minutes(c.Refit)},
		{"setup", c.Setup.Minutes(), app.Minutes(c.Setup)},
		{"wait", c.Waiting.Minutes(), app.Minutes(c.Waiting)},
	} {
		if part.t <= 0 && (part.name == "setup" || part.name == "wait") {
			continue
		}
		s := share{Name: say("share." + part.name), Phase: part.name, Minutes: part.text, X: x}
		if all := c.Total().Minutes(); all > 0 {
			s.W = px(wholeBar * part.t / all)
		}
		x += s.W
		out = append(out, s)
	}
	return out
}

func sumsOf(c plan.Cost, currency string) []sum {
	var out []sum
	for _, part := range []struct {
		name string
		m    money.Amount
	}{{"labour", c.Labour}, {"idle", c.Idle}, {"parts", c.Parts}, {"fluids", c.Fluids}, {"hire", c.Hire}, {"risk", c.Risk}} {
		if part.m != 0 || part.name == "labour" {
			out = append(out, sum{say("sum." + part.name), price(part.m, currency)})
		}
	}
	return out
}

// outcomeOf says how good the plan is.
func outcomeOf(a *app.Answer) outcomeView {
	p := a.Plan
	o := outcomeView{Kind: outcomeKind(p.Outcome)}
	for _, b := range p.Blockers {
		o.Blockers = append(o.Blockers, b.Says)
	}
	o.Headline = say("outcome." + o.Kind)
	switch p.Outcome {
	case plan.Bounded:
		o.Headline = say("outcome.bounded", gapText(p.Gap()))
		o.Says = say("outcome.bounded.says")
	default:
		o.Says = say("outcome." + o.Kind + ".says")
	}
	return o
}

// outcomeKind names an outcome for words and style; one that a newer planner
// brings counts as the search having stopped.
func outcomeKind(o plan.Outcome) string {
	switch o {
	case plan.Optimal, plan.Bounded, plan.Impossible:
		return string(o)
	case plan.BadInput:
		return "bad-input"
	}
	return string(plan.Limit)
}

// gapText prints a share rounded up to whole per cent, so that it never
// promises more than was proved.
func gapText(gap float64) string {
	n := int(gap * 100)
	if float64(n) < gap*100 {
		n++
	}
	return say("gap", max(n, 1))
}

func toolOf(st state, t app.Line) toolView {
	v := toolView{Name: firstOf(t.Name, string(t.ID)), Note: t.Note, Steps: stepLinks(t.Steps)}
	for _, m := range st.ask.Missing {
		v.Missing = v.Missing || m == string(t.ID)
	}
	other := st
	if !v.Missing {
		other.ask.Missing = once(append(append([]string{}, st.ask.Missing...), string(t.ID)))
		v.Without = other.to("/plan")
	}
	return v
}

func stepLinks(steps []int) []stepLink {
	var out []stepLink
	for _, n := range steps {
		out = append(out, stepLink{n, say("step.anchor", n)})
	}
	return out
}

func partOf(p app.PartLine, currency string) partView {
	v := partView{Name: p.Name, Number: p.Number, SingleUse: p.SingleUse, Steps: stepLinks(p.Steps), Count: amount(p.Count, p.Litres)}
	if p.Priced {
		v.Price = price(p.Price, currency)
	}
	switch {
	case p.LeadDays == 1:
		v.Lead = say("part.lead-one")
	case p.LeadDays > 1:
		v.Lead = say("part.lead", p.LeadDays)
	}
	return v
}

func runnerUpOf(o app.Alternative, currency string) runnerUp {
	u := runnerUp{
		Differs: o.Differs, Total: app.Minutes(o.Cost.Total()), Extra: signed(app.Minutes(o.Extra), o.Extra < 0),
		Money: signed(price(o.Money, currency), o.Money < 0), Steps: o.Steps,
	}
	if len(o.Ask.Tasks)+len(o.Ask.Before)+len(o.Ask.Proof) > 0 {
		u.Href = state{ask: o.Ask}.to("/plan")
	}
	return u
}

// signed puts a plus before what is not negative.
func signed(text string, negative bool) string {
	if negative {
		return text
	}
	return "+" + text
}

// mustChoose answers with the choice of a variant when the guide needs one and
// none was named.
func (s *site) mustChoose(w http.ResponseWriter, r *http.Request, st state, j subject, to string) bool {
	if st.ask.Variant != "" || st.ask.Machine != "" || j.loaded == nil || len(j.Axes) == 0 {
		return false
	}
	_, _, err := s.use.Scene(onlySubject(st.ask))
	if !errors.Is(err, guide.ErrVariant) {
		return false
	}
	s.render(w, r, http.StatusOK, "choose", "layout", choosePage{
		page: s.page(to, "choose.title", st), Subject: j, Action: "/" + to, Hidden: st.fields("variant"), Axes: j.Axes,
	})
	return true
}

// choosePage asks for the variant.
type choosePage struct {
	page
	Subject subject
	Action  string
	Hidden  []field
	Axes    []axis
}
