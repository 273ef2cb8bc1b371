package web

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/estimate"
	"elbowroom/guide"
)

// quoteView is an app.Quote laid out.
type quoteView struct {
	Fixed             bool
	Lines             []quoteLine
	Net, Tax, TaxRate string // Tax is empty where there is none
	Total             string
	Currency          string
	Kept              []keptAt
	Scale             priceScale
	Times             []timeLine
	Calendar          string
	Risks             []riskView
	Stops             []stopView
	Limit             *limitView
	Later             []laterView
	LaterSum          string
	LaterMore         []string
	Steps             []stepTime
	Actual            *actualView
	Rests             []string
	Mind              []string
	Deference         string
	HasLater          bool
}

// quoteLine is one line of the bill.
type quoteLine struct {
	What, Count, Sum string
	Unknown          bool
}

// keptAt says how often a price is kept.
type keptAt struct{ Says, Price string }

// priceScale draws the range of the price: a scale from nothing to a little
// beyond the dearest, with the marks in parts of wholeScale.
type priceScale struct {
	Half, Four, Total, Limit px
	FourWide, MostWide       px // from half to four in five, and on to nineteen in twenty
	Has, HasLimit            bool
}

// wholeScale is the width of the drawings of prices.
const wholeScale = 1000

// timeLine is one of the three numbers of time.
type timeLine struct{ Name, Usual, Four, Most, Note string }

// riskView is what may come on top.
type riskView struct {
	What, Odds, At, Sum string
	Step                stepLink
}

// stopView is a moment to stop at.
type stopView struct {
	Step                    stepLink
	Done, Spent, Close, Pay string
	Took, Back              string
	SpentW, CloseX, CloseW  px
	BeyondTheSum            bool
}

// limitView is what the authorised limit means.
type limitView struct{ Sum, Ring, Reached, Odds string }

// stepTime is what is expected of one step.
type stepTime struct {
	Step                       stepLink
	Title, Usual, Guide, Basis string
}

// actualView compares a quote with what was done.
type actualView struct {
	Rows           []actualRow
	Together, Left string
}

type actualRow struct {
	Step                    stepLink
	Title, Quoted, Took, By string
	Over                    bool // half as much again, and more than a few minutes
}

// laterView is the advice on one part in reach.
type laterView struct {
	Now                                bool
	Mark, Text, Extra, Advice, Even    string
	Age, Basis, Add, AddLabel, Figures string
}

// quoteOf lays a quote out.
func quoteOf(st state, w quoteWish, q *app.Quote) *quoteView {
	v := &quoteView{
		Fixed: q.Fixed, Total: paid(q, q.Bill.Total), Net: q.Terms.Currency.Text(q.Bill.Net), Currency: q.Terms.Currency.Code,
		Rests: q.Basis, Deference: q.Answer.Deference, Calendar: calendarOf(q),
	}
	if q.Terms.Tax > 0 {
		v.Tax, v.TaxRate = q.Terms.Currency.Text(q.Bill.Tax), q.Terms.Tax.String()
	}
	for _, l := range q.Bill.Lines {
		v.Lines = append(v.Lines, quoteLineOf(q, l))
	}
	v.ranges(q)
	v.times(q)
	plan := st.bare().to("/plan")
	for _, r := range q.Risks {
		v.Risks = append(v.Risks, riskView{
			What: guide.Capital(r.What), Odds: say("quote.odds", r.Odds), At: guide.Uncapital(r.At), Sum: "+" + paid(q, q.Gross(r.IfItDoes)),
			Step: stepLink{r.Step, plan + say("step.anchor", r.Step)},
		})
	}
	v.stops(q, plan)
	v.limit(q)
	v.later(st, w, q)
	v.steps(q, plan)
	v.actual(q, plan)
	if q.By != "" {
		v.Rests = append(v.Rests, say("quote.by", q.By))
	}
	for _, m := range q.Mind {
		v.Mind = append(v.Mind, guide.Capital(m)+".")
	}
	return v
}

// paid prints a sum with its currency.
func paid(q *app.Quote, s estimate.Sum) string {
	if q.Terms.Currency.Code == "" {
		return q.Terms.Currency.Text(s)
	}
	return q.Terms.Currency.Text(s) + "\u00a0" + q.Terms.Currency.Code
}

func quoteLineOf(q *app.Quote, l estimate.Line) quoteLine {
	out := quoteLine{What: l.What, Sum: q.Terms.Currency.Text(l.Sum), Unknown: !l.Known}
	switch {
	case l.Time > 0:
		out.Count = app.Minutes(l.Time.Round(time.Minute))
	case l.Count > 0:
		out.Count = amount(l.Count, l.Litre)
	}
	return out
}

// ranges says how often a price is kept, and draws it.
func (v *quoteView) ranges(q *app.Quote) {
	r := q.Run.Price
	v.Kept = []keptAt{{say("quote.half"), paid(q, r.P50)}, {say("quote.four"), paid(q, r.P80)}, {say("quote.most"), paid(q, r.P95)}}
	top := float64(max(r.P95, q.Bill.Total))
	if q.Limit != nil {
		top = max(top, min(float64(q.Limit.Sum), 1.5*top))
	}
	if top <= 0 {
		return
	}
	at := func(s estimate.Sum) px { return px(wholeScale * float64(s) / (top * 1.04)) }
	v.Scale = priceScale{Half: at(r.P50), Four: at(r.P80), Total: at(q.Bill.Total), FourWide: at(r.P80) - at(r.P50), MostWide: at(r.P95) - at(r.P80), Has: true}
	if q.Limit != nil && float64(q.Limit.Sum) <= top {
		v.Scale.Limit, v.Scale.HasLimit = at(q.Limit.Sum), true
	}
}

// times are hands-on, waiting and from start to finish.
func (v *quoteView) times(q *app.Quote) {
	add := func(name string, usual time.Duration, r estimate.Range[time.Duration], note string) {
		v.Times = append(v.Times, timeLine{name, app.Minutes(usual.Round(time.Minute)), app.Minutes(r.P80.Round(time.Minute)), app.Minutes(r.P95.Round(time.Minute)), note})
	}
	add(say("quote.hands"), q.Usual.Hands, q.Run.Hands, "")
	if q.Usual.Waiting > 0 || q.Run.Waiting.P95 > 0 {
		note := say("quote.no-fill")
		if q.Usual.Free > 0 {
			note = say("quote.fill", app.Minutes(q.Usual.Free.Round(time.Minute)))
		}
		add(say("quote.waiting"), q.Usual.Waiting, q.Run.Waiting, note)
	}
	add(say("quote.elapsed"), q.Usual.Elapsed, q.Run.Elapsed, "")
}

// calendarOf says how long the machine stays.
func calendarOf(q *app.Quote) string {
	days := say("quote.day")
	if q.Days > 1 {
		days = say("quote.days", q.Days)
	}
	switch q.Parts {
	case 0:
		return say("quote.in-days", days)
	case 1:
		return say("quote.in-days-part", days)
	}
	return say("quote.in-days-parts", days, q.Parts)
}

// stops lays out the moments worth showing, and finishing as the last.
func (v *quoteView) stops(q *app.Quote, plan string) {
	top := float64(q.Bill.Total)
	for _, s := range q.Stops {
		top = max(top, float64(s.Total))
	}
	if top <= 0 {
		return
	}
	at := func(s estimate.Sum) px { return px(wholeScale * float64(s) / top) }
	for _, s := range q.Stops {
		if !s.Shown {
			continue
		}
		v.Stops = append(v.Stops, stopView{
			Step: stepLink{s.After, plan + say("step.anchor", s.After)}, Done: s.Done,
			Spent: q.Terms.Currency.Text(s.Spent), Close: q.Terms.Currency.Text(s.Close), Pay: paid(q, s.Total),
			Took: app.Minutes(s.Took.Round(time.Minute)), Back: app.Minutes(s.Back.Round(time.Minute)),
			SpentW: at(s.Spent), CloseX: at(s.Spent), CloseW: at(s.Close), BeyondTheSum: q.Limit != nil && s.Total > q.Limit.Sum,
		})
	}
}

func (v *quoteView) limit(q *app.Quote) {
	l := q.Limit
	if l == nil {
		return
	}
	v.Limit = &limitView{Sum: paid(q, l.Sum), Ring: q.RingText(), Odds: say("quote.beyond", app.OddsText(l.Odds))}
	if l.Step > 0 {
		v.Limit.Reached = say("quote.reached", app.Minutes(l.After.Round(time.Minute)), l.Step, guide.Uncapital(l.Title))
	}
}

// later lays the advice out; a part that is better done now can be added.
func (v *quoteView) later(st state, w quoteWish, q *app.Quote) {
	l := q.Later
	if l == nil {
		return
	}
	for _, r := range l.Rows {
		row := laterView{
			Now: r.Now, Mark: say("quote.later"), Text: r.Text, Extra: "+" + paid(q, r.Extra), Advice: r.Advice, Even: r.Even,
			Age: say("quote.age", r.AgeOf), Basis: say("quote.life", r.Basis),
			Figures: say("quote.figures", q.Terms.Currency.Text(r.Part), q.Terms.Currency.Text(r.Access), q.Terms.Currency.Text(r.Verdict.Later), fmt.Sprintf("%.2g", r.Kept), fmt.Sprintf("%.2g", r.Renewed)),
		}
		if r.Now {
			row.Mark = say("quote.now")
		}
		more := st.bare().with(r.Task.String())
		row.Add, row.AddLabel = quotePath+"?"+w.values(more.values()).Encode(), say("quote.add-label", r.Text)
		v.Later = append(v.Later, row)
	}
	if l.Now > 0 {
		v.LaterSum = say("quote.later-sum", paid(q, l.Now), paid(q, l.Saves))
	}
	if len(l.Unknown) > 0 {
		v.LaterMore = append(v.LaterMore, say("quote.unknown-age", strings.Join(l.Unknown, ", ")))
	}
	if !l.Complete {
		v.LaterMore = append(v.LaterMore, say("quote.not-all"))
	}
	v.HasLater = len(v.Later)+len(v.LaterMore) > 0
}

// steps lists what is expected of every step that takes time.
func (v *quoteView) steps(q *app.Quote, plan string) {
	for _, t := range q.Times {
		if t.Mean <= 0 {
			continue
		}
		basis := say("quote.basis." + strings.ReplaceAll(string(t.Basis), " ", "-"))
		if t.Times > 0 {
			basis = say("quote.measured", t.Times)
		}
		v.Steps = append(v.Steps, stepTime{
			stepLink{t.Step, plan + say("step.anchor", t.Step)}, t.Title, app.Minutes(t.Mean.Round(halfMinute)), app.Minutes(t.Guide), basis,
		})
	}
}

// halfMinute is how finely expected times are told.
const halfMinute = 30 * time.Second

// overBy is how much longer than quoted a step must have taken to be marked:
// half as much again, and this at least.
const overBy = 5 * time.Minute

// actual lays out what was done beside what was quoted.
func (v *quoteView) actual(q *app.Quote, plan string) {
	a := q.Actual
	if a == nil || len(a.Rows) == 0 {
		return
	}
	v.Actual = &actualView{Together: say("quote.together", app.Minutes(a.Quoted), app.Minutes(a.Took.Round(time.Minute)), q.Terms.Currency.Text(a.Labour), q.Terms.Currency.Text(a.Paid), app.OddsText(a.Within))}
	if a.Open > 0 {
		v.Actual.Left = say("quote.untimed", a.Open)
	}
	for _, r := range a.Rows {
		row := actualRow{stepLink{r.Step, plan + say("step.anchor", r.Step)}, r.Title, app.Minutes(r.Quoted), app.Minutes(r.Took.Round(halfMinute)), r.By, r.Took-r.Quoted >= overBy && r.Took > r.Quoted*3/2}
		if !r.Clear {
			row.By += ", " + say("quote.unclear")
		}
		v.Actual.Rows = append(v.Actual.Rows, row)
	}
}
