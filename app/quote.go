package app

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/estimate"
	"elbowroom/joblog"
	"elbowroom/money"
	"elbowroom/plan"
)

// QuoteAsk is a question about the price of a visit.
type QuoteAsk struct {
	Ask
	Limit  string   // what the customer has authorised, with tax: "500.00"; empty for none
	Fixed  bool     // one price that holds, instead of a price with its range
	Person string   // who is to do the work; empty for nobody in particular
	Keep   []string // how much longer the machine is to serve: "60000 km", "36 months"; else usual
	Ages   []string // of parts, where they are not those of the machine: "IG06=40000 km"
	Lives  []string // of parts, as a person knows them: "IG06=160000 km/90000 km" (half last longer / one in ten gone before)
	Fails  string   // what a failure of a part costs beside its repair: towing, a day lost; net, such as 150.00
	// Measured are times of other jobs, beside those that the workshop's file
	// names; Log is the log of this one, to compare the quote with.
	Measured []estimate.Record
	Log      []joblog.Record
}

// Quote is the price of a visit with everything a customer or a technician
// asks beside it. All sums are in minor units of Terms.Currency.
type Quote struct {
	Ask    QuoteAsk
	Answer *Answer
	Terms  estimate.Terms
	By     string // name of the person the times are for; empty for nobody in particular
	Bill   estimate.Bill
	Fixed  bool
	Run    estimate.Run
	Usual  estimate.Times[time.Duration] // at average times, without risks
	Times  []StepTime
	Basis  []string // what the times rest on, in words
	Risks  []RiskText
	Stops  []Stop
	Limit  *LimitText
	Parts  int // days until the last part is here
	Days   int // working days in the shop
	Later  *LaterAdvice
	Actual *Actual
	Mind   []string // what is missing for a full price, in words
}

// StepTime is what is expected of one step.
type StepTime struct {
	Step  int
	Title string
	Key   string // as workshop files write it: "off AR04 from top"
	estimate.Expected
	Setup time.Duration
}

// RiskText is a risk in words.
type RiskText struct {
	estimate.RiskLine
	Odds string // "4 in 7"
	At   string // title of the step
}

// Gross returns a net sum with tax.
func (q *Quote) Gross(net estimate.Sum) estimate.Sum { return net + q.Terms.Tax.Of(net) }

// Text prints a sum with the currency: "336.40 EUR".
func (q *Quote) Text(s estimate.Sum) string {
	c := q.Terms.Currency
	if c.Code == "" {
		return c.Text(s)
	}
	return c.Text(s) + " " + c.Code
}

// quoteShare of the time of a question goes to the plan; the rest is for what
// is in reach.
const quoteShare = 0.5

// Quote prices a visit. A plan that is impossible is an answer without a bill;
// errors wrap ErrInput, ErrUnknown or ErrAudit.
func (a *App) Quote(q QuoteAsk) (*Quote, error) {
	allowed := a.allow(q.Budget)
	k, ans, _, err := a.planned(q.Ask, allowed.until(quoteShare), false)
	if err != nil {
		return nil, err
	}
	terms, err := a.terms(k)
	if err != nil {
		return nil, err
	}
	out := &Quote{Ask: q, Answer: ans, Terms: terms, Fixed: q.Fixed}
	c := quoter{app: a, asked: k, q: out}
	if err := c.person(); err != nil {
		return nil, err
	}
	limit, err := c.limit()
	if err != nil {
		return nil, err
	}
	wish, err := c.wishes()
	if err != nil {
		return nil, err
	}
	if ans.Plan.Outcome != plan.Optimal && ans.Plan.Outcome != plan.Bounded {
		return out, nil
	}
	if err := c.price(limit); err != nil {
		return nil, err
	}
	if out.Later, err = c.later(wish, allowed); err != nil {
		return nil, err
	}
	return out, c.against()
}

// quoter makes one quote.
type quoter struct {
	app *App
	asked
	q     *Quote
	norm  *estimate.Norm
	visit estimate.Visit
}

// terms are what the workshop charges. Without a workshop there is no tax.
func (a *App) terms(k asked) (estimate.Terms, error) {
	t := estimate.Terms{Currency: estimate.CurrencyOf(k.loaded.Guide.Currency), Rate: k.req.Rate, WaitRate: k.req.WaitRate}
	w := a.workshop
	if w == nil {
		return t, nil
	}
	g := k.loaded.Guide.Currency
	if g != "" && w.Currency != "" && !strings.EqualFold(g, w.Currency) {
		return t, fmt.Errorf("%w: the guide has its prices in %s and the workshop in %s; nothing is converted: write the prices of the guide in %s", ErrInput, g, w.Currency, w.Currency)
	}
	if w.Currency != "" {
		t.Currency = estimate.CurrencyOf(w.Currency)
	}
	t.Tax, t.Consumables = estimate.PercentOf(w.VAT), w.Small
	return t, nil
}

// person finds who is to do the work.
func (c *quoter) person() error {
	name := c.q.Ask.Person
	if name == "" {
		return nil
	}
	var known []string
	if c.app.workshop != nil {
		for _, p := range c.app.workshop.People {
			if string(p.ID) == name {
				c.q.By = p.Name
				return nil
			}
			known = append(known, string(p.ID))
		}
	}
	return &FieldError{"person", ErrUnknown, unknown("person", name, known).Error()}
}

// FieldError is an error about one field of a QuoteAsk; a form shows it there.
type FieldError struct {
	Field string // "limit", "person", "keep", "age", "life", "failure"
	kind  error  // ErrInput or ErrUnknown
	says  string
}

// Error says which field and what is wrong with it.
func (e *FieldError) Error() string {
	if e.kind == ErrUnknown {
		return e.says
	}
	return e.kind.Error() + ": " + e.Field + ": " + e.says
}

// Says is what is wrong, without the field.
func (e *FieldError) Says() string { return e.says }

// Unwrap returns ErrInput or ErrUnknown.
func (e *FieldError) Unwrap() error { return e.kind }

func wrongField(field, format string, args ...any) error {
	return &FieldError{field, ErrInput, fmt.Sprintf(format, args...)}
}

// limit reads what the customer has authorised; 0 is none.
func (c *quoter) limit() (estimate.Sum, error) {
	text := c.q.Ask.Limit
	if text == "" {
		return 0, nil
	}
	m, err := money.Parse(text)
	if err != nil || m <= 0 {
		return 0, wrongField("limit", "%q is not a price above nothing, such as 500.00", text)
	}
	return c.q.Terms.Currency.From(m), nil
}

// lineNames are the words of the lines of a bill.
var lineNames = estimate.LineNames{
	WayIn:       "Labour: getting to it",
	Work:        "Labour: the work itself",
	PutBack:     "Labour: putting back",
	Setup:       "Labour: changing place and tool",
	Waiting:     "Bay, while the machine stands and waits",
	Consumables: "Consumables: cleaner, grease, rags",
}

// fixedLine is the line that turns a price with a range into a fixed one.
const fixedLine = "Allowance for what may come on top"

// price fills everything that follows from the operations.
func (c *quoter) price(limit estimate.Sum) error {
	out := c.q
	c.learn()
	if err := c.operations(); err != nil {
		return err
	}
	out.Run, out.Usual = c.visit.Run(limit), c.visit.Average()
	out.Bill = c.visit.Bill(lineNames)
	if out.Fixed {
		out.Bill = c.visit.Fixed(out.Bill, out.Run, fixedLine)
	}
	for _, r := range c.visit.Risks() {
		out.Risks = append(out.Risks, RiskText{r, fmt.Sprintf("%d in %d", r.Times, r.Of), c.titleOf(r.Step)})
	}
	for _, p := range append(out.Answer.Parts, out.Answer.Fluids...) {
		out.Parts = max(out.Parts, p.LeadDays)
	}
	out.Days = int((out.Run.Elapsed.P80 + c.day() - 1) / c.day())
	c.stops()
	c.limitText(limit)
	c.mind()
	return nil
}

// usualDay is a working day where the workshop does not say.
const usualDay = 8 * time.Hour

func (c *quoter) day() time.Duration {
	if w := c.app.workshop; w != nil && w.Day > 0 {
		return w.Day
	}
	return usualDay
}

// mind says what the price leaves out.
func (c *quoter) mind() {
	for _, l := range c.q.Bill.Lines {
		if !l.Known {
			c.q.Mind = append(c.q.Mind, "no price is known for "+l.What+"; it is not in the total")
		}
	}
	for _, t := range c.q.Times {
		if t.Basis == estimate.Unknown {
			c.q.Mind = append(c.q.Mind, fmt.Sprintf("nobody has written down how long step %d takes (%s); it is not in the total", t.Step, t.Title))
		}
	}
	if c.app.workshop == nil {
		c.q.Mind = append(c.q.Mind, "no workshop is known: the rate is a stand-in and there is no tax in the price")
	}
}

func (c *quoter) titleOf(step int) string {
	if step < 1 || step > len(c.q.Answer.Steps) {
		return ""
	}
	return c.q.Answer.Steps[step-1].Title
}
