package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/money"
)

// keptPage is one job: how it stands, what to do next, what was found, and
// what still keeps it from being closed.
type keptPage struct {
	page
	Card      jobCard
	Machine   string
	Complaint string
	MustNot   []string
	Tray      []trayRow
	Next      *nextView // nil when nothing can be advised
	NextWrong string
	Entry     *entryView
	Task      string // of the next step, to be taken as the plan
	Suspects  []suspectRow
	Readings  []keptReading
	Just      *keptReading // the one that was entered a moment ago
	Codes     []string
	Signs     []string
	Notes     []saidRow
	Prices    []string
	Old       []oldRow // superseded values that it used
	OldNote   string
	Lacks     []lackRow
	Conflicts []string
	Checks    []offer
	Handover  []string
	WhatIf    string // the same on the page that keeps nothing
	Quote     string // what the plan was to cost, and what was done
	Plan      string // the plan page for more work
	MayWrite  bool
	Closed    string
	Wrong     string
	Values    url.Values
	Action    string
	Currency  string
	Papers    []paperRow
	Issued    []paperRow
	NewLink   string // a link for the customer, shown once
	Links     []linkRow
	Forms     []sayForm
	Reopen    sayForm
	Deference string
}

// sayForm is a form of one line.
type sayForm struct{ Action, Does, Label, Button, Was string }

func (p *keptPage) form(does string) sayForm {
	f := sayForm{Action: p.Action, Does: does, Label: say("say." + does), Button: say("job.add-button")}
	f.Was = p.Said(does)
	return f
}

// Said returns the text of a form that was sent and not taken.
func (p keptPage) Said(does string) string {
	if p.Get("does") != does {
		return ""
	}
	return p.Get("text")
}

// forms lays out the short forms.
func (p *keptPage) forms() {
	for _, does := range []string{"code", "sign", "note", "repaired", "handover"} {
		p.Forms = append(p.Forms, p.form(does))
	}
	p.Reopen = p.form("reopen")
}

// Get returns what was typed into a field that was sent and not taken.
func (p keptPage) Get(field string) string { return p.Values.Get(field) }

type trayRow struct{ Name, Stands, Lies, Out string }

// keptReading is a reading with its verdict; Why says what a verdict that is
// not good rests on, Again is where it is taken once more.
type keptReading struct{ ID, Check, Text, Verdict, Kind, By, Why, Again string }

type saidRow struct{ Text, By string }

type lackRow struct {
	Key, Says, Signed string
	Ticked            bool // in a form that could not be taken
}

func (s *site) keptJob(w http.ResponseWriter, r *http.Request) {
	s.showKept(w, r, http.StatusOK, nil)
}

// showKept answers with the page of a job; typed is what came from a form and
// could not be taken.
func (s *site) showKept(w http.ResponseWriter, r *http.Request, status int, typed *typedEntry) {
	s.showKeptWith(w, r, status, typed, "")
}

// showKeptWith also shows a link that was just made.
func (s *site) showKeptWith(w http.ResponseWriter, r *http.Request, status int, typed *typedEntry, newLink string) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	id := joblog.Job(r.PathValue("job"))
	k, err := s.opts.Desk.Job(r.Context(), who, id)
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	p := keptPageOf(s.page("jobs", "jobs.title"), k)
	if typed != nil {
		p.Values = typed.values
		p.Wrong = plain(typed.err)
		for i := range p.Lacks {
			p.Lacks[i].Ticked = slices.Contains(typed.values["lack"], p.Lacks[i].Key)
		}
	}
	if n := len(p.Readings); n > 0 && r.URL.Query().Get("just") == justRead {
		p.Just = &p.Readings[n-1]
	}
	p.forms()
	p.Currency, p.NewLink = s.currency(), newLink
	if err := s.links(r.Context(), who, id, &p); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	if err := s.papers(r.Context(), who, id, &p); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	if err := s.advise(r, who, id, &p, typed); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	s.render(w, r, status, "kept", "layout", p)
}

func keptPageOf(frame page, k *desk.Kept) keptPage {
	p := keptPage{
		page: frame, Card: jobCardOf(k.JobLine), Machine: listed(string(k.Machine), k.Name), Handover: k.Handover.Sentences(),
		MayWrite: k.Who.MayWrite(), Action: keptPath + string(k.JobLine.Job), Complaint: k.Handover.Complaint,
	}
	p.Title = k.Title
	name := func(id joblog.Person) string {
		for _, x := range k.People {
			if x.ID == id {
				return x.Name
			}
		}
		return string(id)
	}
	for _, m := range k.State.MustNot {
		p.MustNot = append(p.MustNot, listed(m.Says, strings.Join(m.Because, "; ")))
	}
	for _, t := range k.State.Tray {
		row := trayRow{Name: t.Name, Stands: string(t.Stands), Lies: t.Lies}
		if t.Stands == "" {
			row.Stands = say("kept.on")
		}
		if t.Out > 0 {
			row.Out = say("kept.out", t.Out)
		}
		p.Tray = append(p.Tray, row)
	}
	for _, x := range k.State.Readings {
		row := keptReading{ID: x.ID.String(), Check: string(x.Check), Text: pretty(listed(x.Text, strings.Join(x.Conditions, ", "))), By: name(x.By), Kind: "none"}
		if x.Point != "" {
			row.Check += " " + say("kept.at", x.Point)
		}
		if v := x.Verdict(); v != "" {
			row.Kind = map[joblog.Verdict]string{joblog.Conforming: "good", joblog.NonConforming: "bad", joblog.TooClose: "close"}[v]
			row.Verdict = say("verdict." + firstOf(row.Kind, "none"))
			row.Kind = firstOf(row.Kind, "none")
		}
		if row.Kind != "good" && len(x.Judged) > 0 {
			row.Why = pretty(x.Judged[len(x.Judged)-1].Why)
		}
		if row.Kind == "none" && x.Check != "" && p.MayWrite {
			row.Again = p.Action + "?" + url.Values{"at": {string(x.Check)}}.Encode() + "#entry"
		}
		p.Readings = append(p.Readings, row)
	}
	for _, c := range k.State.Codes {
		if c.Withdrawn == nil {
			p.Codes = append(p.Codes, strings.TrimSpace(c.CodeNoted.Code+" "+c.Status))
		}
	}
	for _, x := range k.State.Signs {
		if x.Withdrawn == nil {
			p.Signs = append(p.Signs, x.Says)
		}
	}
	for _, n := range k.State.Notes {
		p.Notes = append(p.Notes, saidRow{n.Text, name(n.By)})
	}
	for _, x := range k.State.Prices {
		p.Prices = append(p.Prices, listed(say("kept.agreed", price(x.Amount, x.Currency), x.Who, x.How), x.For))
	}
	for _, c := range k.State.Conflicts {
		p.Conflicts = append(p.Conflicts, c.Says)
	}
	for _, l := range k.State.Lacks {
		row := lackRow{Key: l.Key, Says: l.Says}
		if l.Signed != nil {
			row.Signed = say("kept.signed", name(l.Signed.By), l.Reason)
		}
		p.Lacks = append(p.Lacks, row)
	}
	p.OldNote = k.OldNote
	for _, o := range k.Old {
		p.Old = append(p.Old, oldRowOf(o, name))
	}
	if c := k.State.Closed; c != nil {
		p.Closed = say("kept.closed-by", name(c.By), c.At.Time().Format("2006-01-02 15:04"))
	}
	return p
}

// advise adds what to do next, and the form for what is to be read.
func (s *site) advise(r *http.Request, who desk.Who, id joblog.Job, p *keptPage, typed *typedEntry) error {
	j, err := s.opts.Desk.Inquiry(r.Context(), who, id)
	if err != nil {
		if s.wrong(err) { // nothing is written down for the machine
			p.NextWrong = plain(err)
			return nil
		}
		return err
	}
	st := state{ask: j.Ask, job: j}
	st.ask.Budget, st.job.Ask = min(s.opts.Budget, nextBudget), app.Ask{}
	p.WhatIf, p.Plan = st.to("/job"), st.to("/plan")
	p.Quote = quotePath + "?" + url.Values{"job": {string(id)}}.Encode()
	if p.Closed != "" {
		return nil
	}
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		p.NextWrong = say("still.late.why")
		return nil
	}
	n, err := s.use.Next(st.inquiry(), app.Detail{Depth: treeDepth})
	if err != nil {
		if s.wrong(err) {
			p.NextWrong = plain(err)
			return nil
		}
		return err
	}
	v := nextOf(st, n, s.subject(st.ask).Currency)
	p.Next, p.Task, p.Deference = &v, n.Task, n.Deference
	for i, x := range n.Belief.Suspects {
		if i < maxSuspects {
			p.Suspects = append(p.Suspects, suspectOf(st, x))
		}
	}
	for _, c := range n.Resolved.Guide.Checks {
		p.Checks = append(p.Checks, offer{Value: string(c.ID), Text: string(c.ID) + " " + shorten(c.Name, maxCheckName)})
	}
	return s.entryFor(r, st, n, p, typed)
}

// entryFor adds the form for the reading of the check that is asked for, or
// of the next step.
func (s *site) entryFor(r *http.Request, st state, n *app.NextStep, p *keptPage, typed *typedEntry) error {
	check := r.FormValue("at")
	if check == "" && n.Check != nil {
		check = string(n.Check.ID)
	}
	if check == "" || !p.MayWrite {
		return nil
	}
	f, err := s.use.Form(st.inquiry(), check)
	if s.wrong(err) {
		return nil
	}
	if err != nil {
		return err
	}
	if typed != nil && typed.values.Get("does") != "reading" {
		typed = nil
	}
	p.Entry = entryOf(st, f, typed)
	p.Entry.Action, p.Entry.Hidden = p.Action, []field{{"does", "reading"}}
	return nil
}

// tellJob takes in what somebody says of a job.
func (s *site) tellJob(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	id := joblog.Job(r.PathValue("job"))
	err := s.tell(r, who, id)
	switch {
	case s.wrong(err):
		s.showKept(w, r, http.StatusBadRequest, &typedEntry{r.PostForm, err})
	case err != nil:
		s.keptFailed(w, r, err)
	case r.PostForm.Get("does") == justRead:
		http.Redirect(w, r, keptPath+string(id)+"?just="+justRead, http.StatusSeeOther)
	default:
		http.Redirect(w, r, keptPath+string(id), http.StatusSeeOther)
	}
}

// justRead is the form of a reading, and the mark of the page that shows first
// what became of it.
const justRead = "reading"

// tell turns a form into what is kept.
func (s *site) tell(r *http.Request, who desk.Who, id joblog.Job) error {
	f := r.PostForm
	if f.Get("does") == "reading" {
		return s.tellReading(r, who, id)
	}
	bodies, err := bodiesOf(f, who)
	if err != nil {
		return err
	}
	if f.Get("does") == "close" {
		if err := s.closable(r, who, id); err != nil {
			return err
		}
	}
	_, err = s.opts.Desk.Say(r.Context(), who, id, bodies...)
	return err
}

// closable says what keeps a job from being closed, so that nobody takes it for
// closed that is not.
func (s *site) closable(r *http.Request, who desk.Who, id joblog.Job) error {
	k, err := s.opts.Desk.Job(r.Context(), who, id)
	if err != nil {
		return err
	}
	open := 0
	for _, l := range k.State.Lacks {
		if l.Signed == nil {
			open++
		}
	}
	if open > 0 {
		return inputError(errors.New(say("kept.not-closed", open)))
	}
	return nil
}

func (s *site) tellReading(r *http.Request, who desk.Who, id joblog.Job) error {
	j, err := s.opts.Desk.Inquiry(r.Context(), who, id)
	if err != nil {
		return err
	}
	f, err := s.use.Form(j, r.PostForm.Get("at"))
	if err != nil {
		return err
	}
	if err := numbers(f, r.PostForm); err != nil {
		return err
	}
	_, err = s.opts.Desk.Read(r.Context(), who, id, f.Compose(filled(f, r.PostForm)))
	return err
}

// errEmpty is what a form without its main field gets.
var errEmpty = errors.New("nothing was written; fill in the field")

// bodiesOf turns the short forms of the page into events.
func bodiesOf(f url.Values, who desk.Who) ([]joblog.Body, error) {
	text := strings.TrimSpace(f.Get("text"))
	need := func(b joblog.Body) ([]joblog.Body, error) {
		if text == "" {
			return nil, inputError(errEmpty)
		}
		return []joblog.Body{b}, nil
	}
	switch f.Get("does") {
	case "code":
		var list []joblog.Body
		for _, c := range codeWords(text) {
			list = append(list, &joblog.CodeNoted{Code: c})
		}
		if list == nil {
			return nil, inputError(errEmpty)
		}
		return list, nil
	case "sign":
		return need(&joblog.SignNoted{Says: text})
	case "note":
		return need(&joblog.Note{Text: text})
	case "repaired":
		return need(&joblog.Note{Text: desk.RepairedNote + text})
	case "handover":
		return []joblog.Body{&joblog.HandedOver{Says: text}}, nil
	case "proof":
		v := joblog.NonConforming
		if f.Get("passed") == "yes" {
			v = joblog.Conforming
		}
		return need(&joblog.ProofMade{What: text, Verdict: v})
	case "price":
		return priceOf(f)
	case "deviation":
		return need(&joblog.Deviation{Signed: who.ID, Reason: text, Lacks: slices.Clone(f["lack"])})
	case "close":
		return []joblog.Body{&joblog.Closed{Says: text}}, nil
	case "reopen":
		return need(&joblog.Reopened{Reason: text})
	case "strike":
		of, err := joblog.ParseID(f.Get("of"))
		if err != nil {
			return nil, inputError(errors.New("this page does not know that reading; load it again"))
		}
		return need(&joblog.Correction{Of: of, Strike: true, Reason: text})
	}
	return nil, inputError(errors.New("this page does not know that form; load it again"))
}

func priceOf(f url.Values) ([]joblog.Body, error) {
	amount, err := money.Parse(decimal(f.Get("amount")))
	if err != nil || amount <= 0 {
		return nil, inputError(errors.New("amount: " + f.Get("amount") + " is no price, such as 240.00"))
	}
	return []joblog.Body{&joblog.PriceAgreed{
		Amount: amount, Limit: amount, Currency: f.Get("currency"), Who: strings.TrimSpace(f.Get("by")), How: strings.TrimSpace(f.Get("how")),
		For: strings.TrimSpace(f.Get("text")),
	}}, nil
}

// currency is that of the place.
func (s *site) currency() string {
	if a, ok := s.use.(*app.App); ok && a.Workshop() != nil {
		return a.Workshop().Currency
	}
	return ""
}
