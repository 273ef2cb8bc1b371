package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/plan"
)

const quotePath = "/quote"

// quotePage is the price of a visit, as a customer can be handed it, with what
// the workshop needs beside it.
type quotePage struct {
	page
	Subject subject
	Tasks   []string
	Plan    string // address of the visit
	Job     string // address of the job whose plan is quoted
	Empty   bool   // nothing is asked for
	Outcome outcomeView
	Form    quoteForm
	Quote   *quoteView
}

// quoteForm asks for what decides the price beside the visit. What was typed
// is kept, and what is wrong with it stands at the field.
type quoteForm struct {
	Hidden                 []field
	Limit, Keep, Failure   quoteField
	Ages, Lives            quoteField
	Person                 []choice
	PersonWrong            string
	Fixed, Range           choice
	HasPeople, More, Wrong bool
}

// quoteField is one field of the form.
type quoteField struct{ Name, Label, How, Value, Wrong string }

// quoteKeys are the keys of the address that only the quote knows.
var quoteKeys = []string{"limit", "price", "person", "keep", "failure", "age", "life"}

// quoteWish is what an address says beside the visit.
type quoteWish struct {
	limit, person, failure string
	fixed                  bool
	keep, ages, lives      []string
}

// mostWishes bounds how many entries a field that takes several may have.
const mostWishes = 20

func readWish(v url.Values) (quoteWish, error) {
	list := func(key string) []string {
		var out []string
		for _, text := range v[key] {
			for _, part := range strings.Split(text, ",") {
				if part = strings.TrimSpace(part); part != "" {
					out = append(out, part)
				}
			}
		}
		return out
	}
	w := quoteWish{
		limit: strings.TrimSpace(v.Get("limit")), person: strings.TrimSpace(v.Get("person")), failure: strings.TrimSpace(v.Get("failure")),
		fixed: v.Get("price") == "fixed", keep: list("keep"), ages: list("age"), lives: list("life"),
	}
	for _, list := range [][]string{w.keep, w.ages, w.lives, {w.limit, w.person, w.failure}} {
		if len(list) > mostWishes || slices.ContainsFunc(list, func(s string) bool { return len(s) > maxWords }) {
			return w, fmt.Errorf("%w: %s", app.ErrInput, say("error.words-long", maxWords))
		}
	}
	return w, nil
}

// values writes a wish back into an address.
func (w quoteWish) values(v url.Values) url.Values {
	one := func(key, value string) {
		if value != "" {
			v.Set(key, value)
		}
	}
	one("limit", w.limit)
	one("person", w.person)
	one("failure", w.failure)
	if w.fixed {
		v.Set("price", "fixed")
	}
	for key, list := range map[string][]string{"keep": w.keep, "age": w.ages, "life": w.lives} {
		if len(list) > 0 {
			v[key] = list
		}
	}
	return v
}

// ask makes the question of a wish.
func (w quoteWish) ask(st state) app.QuoteAsk {
	return app.QuoteAsk{
		Ask: st.ask, Limit: w.limit, Fixed: w.fixed, Person: w.person, Keep: w.keep, Ages: w.ages, Lives: w.lives, Fails: w.failure,
	}
}

// Prices is what quotes ask of the desk: what jobs have measured, and what the
// plan of a job was asked for.
type Prices interface {
	Times(ctx context.Context, who desk.Who) ([]estimate.Record, error)
	Visit(ctx context.Context, who desk.Who, job joblog.Job) (app.Ask, []joblog.Record, error)
}

// known adds what the desk knows to a question: measured times, and for a job
// what its plan was asked for and its log.
func (s *site) known(r *http.Request, st *state, q *app.QuoteAsk, job joblog.Job) error {
	if s.opts.Desk == nil {
		return nil
	}
	who, err := s.opts.Who(r)
	if err != nil {
		return err
	}
	if q.Measured, err = s.opts.Desk.Times(r.Context(), who); err != nil || job == "" {
		return err
	}
	budget := st.ask.Budget
	if st.ask, q.Log, err = s.opts.Desk.Visit(r.Context(), who, job); err != nil {
		return err
	}
	st.ask.Budget = budget
	return nil
}

// quoteAddress is the quote of the visit that a state asks for.
func quoteAddress(st state) string { return st.bare().to(quotePath) }

func (s *site) quote(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	wish, err := readWish(st.typed)
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	st.ask.Budget = s.opts.Budget
	var more app.QuoteAsk
	job := joblog.Job(strings.TrimSpace(st.typed.Get("job")))
	if err := s.known(r, &st, &more, job); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	j := s.subject(st.ask)
	if s.mustChoose(w, r, st, j, "quote") {
		return
	}
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		s.busy(w)
		return
	}
	p := quotePage{page: s.page("plan", "quote.title", st), Subject: j, Plan: st.bare().to("/plan"), Empty: len(st.tasks()) == 0}
	if j.NoGuide || p.Empty {
		s.render(w, r, http.StatusOK, "quote", "layout", p)
		return
	}
	if job != "" {
		p.Job = keptPath + string(job)
	}
	if err := s.quoted(&p, st, wish, more); err != nil {
		s.fail(w, r, st, err)
		return
	}
	if job != "" {
		p.Form.Hidden = append(p.Form.Hidden, field{"job", string(job)})
	}
	status := http.StatusOK
	if p.Form.Wrong {
		status = http.StatusBadRequest
	}
	s.render(w, r, status, "quote", "layout", p)
}

// quoted asks for the quote and lays it out. A field that cannot be used is
// left out, and what is wrong stands at it.
func (s *site) quoted(p *quotePage, st state, wish quoteWish, more app.QuoteAsk) error {
	use, wrong := wish, map[string]string{}
	for {
		ask := use.ask(st)
		ask.Measured, ask.Log = more.Measured, more.Log
		q, err := s.use.Quote(ask)
		var at *app.FieldError
		if errors.As(err, &at) && wrong[at.Field] == "" {
			wrong[at.Field] = guide.Capital(at.Says())
			use = use.without(at.Field)
			continue
		}
		if err != nil {
			return err
		}
		p.Form = s.quoteForm(st, wish, wrong)
		p.Outcome = outcomeOf(q.Answer)
		for _, t := range q.Answer.Tasks {
			p.Tasks = append(p.Tasks, t.Text)
		}
		p.Title = say("quote.title-of", p.Subject.Name)
		if q.Answer.Plan.Outcome == plan.Optimal || q.Answer.Plan.Outcome == plan.Bounded {
			p.Quote = quoteOf(st, use, q)
		}
		return nil
	}
}

// without returns the wish without a field.
func (w quoteWish) without(name string) quoteWish {
	switch name {
	case "limit":
		w.limit = ""
	case "person":
		w.person = ""
	case "keep":
		w.keep = nil
	case "age":
		w.ages = nil
	case "life":
		w.lives = nil
	case "failure":
		w.failure = ""
	}
	return w
}

// quoteForm keeps what was typed.
func (s *site) quoteForm(st state, w quoteWish, wrong map[string]string) quoteForm {
	at := func(name string, values ...string) quoteField {
		return quoteField{name, say("quote.field." + name), say("quote.how." + name), strings.Join(values, ", "), wrong[name]}
	}
	f := quoteForm{
		Hidden: st.bare().fields(quoteKeys...), Limit: at("limit", w.limit), Failure: at("failure", w.failure), Keep: at("keep", w.keep...),
		Ages: at("age", w.ages...), Lives: at("life", w.lives...), PersonWrong: wrong["person"], Wrong: len(wrong) > 0,
		Range: choice{"range", say("quote.range-one"), !w.fixed}, Fixed: choice{"fixed", say("quote.fixed-one"), w.fixed},
	}
	f.More = f.Wrong || len(w.keep)+len(w.ages)+len(w.lives) > 0 || w.failure != ""
	shop := s.use.Workshop()
	if shop == nil || len(shop.People) == 0 {
		return f
	}
	f.HasPeople = true
	f.Person = append(f.Person, choice{"", say("quote.anybody"), w.person == ""})
	for _, p := range shop.People {
		f.Person = append(f.Person, choice{string(p.ID), p.Name, w.person == string(p.ID)})
	}
	return f
}
