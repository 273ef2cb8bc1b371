package cli

import (
	"strconv"

	"elbowroom/app"
	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/plan"
)

// quoteAnswer is the JSON of quote. Sums are numbers in the currency, with as
// many decimals as it has.
type quoteAnswer struct {
	Outcome   plan.Outcome   `json:"outcome" says:"what was proved of the plan: optimal, bounded, impossible, limit or bad input"`
	Guide     guideRef       `json:"guide" says:"the guide that was used"`
	Machine   *machineRef    `json:"machine,omitempty" says:"the machine, when one was named"`
	Variant   string         `json:"variant,omitempty" says:"the variant"`
	Tasks     []string       `json:"tasks" says:"what was asked for, as verb:item"`
	Currency  string         `json:"currency,omitempty" says:"ISO 4217"`
	TaxRate   float64        `json:"tax_percent" says:"rate of tax, per cent"`
	Fixed     bool           `json:"fixed" says:"the total is a fixed price"`
	Lines     []billLine     `json:"lines" says:"lines of the bill; they add up to net"`
	Net       float64        `json:"net" says:"without tax"`
	Tax       float64        `json:"tax" says:"tax on net"`
	Total     float64        `json:"total" says:"net and tax"`
	Price     sumRange       `json:"price" says:"where the price will lie, with tax, risks as they come"`
	Time      quoteTime      `json:"time" says:"how long it takes, in minutes"`
	Days      int            `json:"days" says:"working days, in four of five cases"`
	PartDays  int            `json:"part_days" says:"days until the last part is here"`
	Risks     []riskLine     `json:"risks" says:"what may come on top"`
	Stops     []stopPoint    `json:"stops" says:"stopping on the way, with tax"`
	Limit     *limitLine     `json:"limit,omitempty" says:"what the authorised limit means"`
	Later     *laterAnswer   `json:"now_or_later,omitempty" says:"parts in reach whose life is known"`
	Steps     []stepTimeLine `json:"steps" says:"minutes expected of every step"`
	Actual    *actualAnswer  `json:"actual,omitempty" says:"the quote compared with the job log"`
	Rests     []string       `json:"rests_on" says:"what the times rest on"`
	Missing   []string       `json:"missing" says:"what the price leaves out"`
	Blockers  []blockerLine  `json:"blockers" says:"a smallest set of facts that makes the request impossible"`
	Deference string         `json:"deference" says:"what comes before this"`
}

type billLine struct {
	Sort    estimate.Sort `json:"sort" says:"labour, waiting, part, single-use part, fluid, consumables, hire or allowance"`
	What    string        `json:"what" says:"in words"`
	Count   float64       `json:"count,omitempty" says:"pieces or litres"`
	Litres  bool          `json:"litres,omitempty" says:"the count is litres"`
	Minutes minutes       `json:"minutes,omitempty" says:"of labour or waiting"`
	Known   bool          `json:"known" says:"the price is known; else the sum is 0"`
	Sum     float64       `json:"sum" says:"net"`
}

type sumRange struct {
	Mean   float64 `json:"mean" says:"on average"`
	Half   float64 `json:"p50" says:"kept in half of all cases"`
	Fourth float64 `json:"p80" says:"in four of five"`
	Most   float64 `json:"p95" says:"in nineteen of twenty"`
}

type minuteRange struct {
	Usual  minutes `json:"usual" says:"at average times, without risks"`
	Mean   minutes `json:"mean" says:"on average, risks as they come"`
	Half   minutes `json:"p50" says:"kept in half of all cases"`
	Fourth minutes `json:"p80" says:"in four of five"`
	Most   minutes `json:"p95" says:"in nineteen of twenty"`
}

type quoteTime struct {
	Hands   minuteRange `json:"hands_on" says:"person-time"`
	Waiting minuteRange `json:"waiting" says:"nothing can be done on this machine"`
	Free    minuteRange `json:"free" says:"of the waiting, spells long enough for other work"`
	Elapsed minuteRange `json:"elapsed" says:"from beginning to end"`
}

type riskLine struct {
	What     string  `json:"what" says:"what happens"`
	Step     int     `json:"step" says:"number of the step"`
	Times    int     `json:"times" says:"it happened this often"`
	Of       int     `json:"of" says:"in so many visits"`
	Minutes  minutes `json:"minutes" says:"what it takes then"`
	IfItDoes float64 `json:"if_it_does" says:"what it costs then, net"`
	Expected float64 `json:"expected" says:"its share on average, net"`
}

type stopPoint struct {
	After   int     `json:"after" says:"number of the step done last"`
	Done    string  `json:"done" says:"that step"`
	Next    string  `json:"next" says:"the step that would follow"`
	Open    int     `json:"open" says:"items off or aside"`
	Spent   float64 `json:"spent" says:"so far"`
	Close   float64 `json:"close" says:"to close up again"`
	Total   float64 `json:"total" says:"to pay"`
	Took    minutes `json:"took" says:"hands-on so far"`
	Back    minutes `json:"back" says:"hands-on of closing up"`
	Decides bool    `json:"decides" says:"a moment at which people decide"`
}

type limitLine struct {
	Sum    float64 `json:"sum" says:"the limit, with tax"`
	Says   string  `json:"says" says:"when to ask again, in one sentence"`
	Ring   int     `json:"ask_before" says:"number of the step before which to ask; 0 never at usual times, -1 before anything"`
	Step   int     `json:"reached_in" says:"number of the step during which it is reached at usual times; 0 never"`
	After  minutes `json:"reached_after" says:"elapsed time at the beginning of that step"`
	Chance float64 `json:"chance" says:"probability that the work goes beyond it"`
}

type laterAnswer struct {
	Rows     []laterLine `json:"parts" says:"the handful with most to gain"`
	Now      float64     `json:"now" says:"what doing now what is better done now adds, net"`
	Saves    float64     `json:"saves" says:"against leaving all of them, on average, net"`
	Complete bool        `json:"complete" says:"every part in reach was looked at"`
	Unknown  []string    `json:"unknown_age" says:"parts in reach of unknown age"`
}

type laterLine struct {
	Task      string  `json:"task" says:"as verb:item"`
	Text      string  `json:"text" says:"in words"`
	Now       bool    `json:"now" says:"better replaced now"`
	Access    float64 `json:"access" says:"way in to it now, beside the rest of what is done now, net"`
	Part      float64 `json:"part" says:"what it puts in, net"`
	Later     float64 `json:"later" says:"a visit of its own when it has failed, net"`
	Age       float64 `json:"age" says:"in the unit"`
	Unit      string  `json:"unit" says:"of age and life"`
	Typical   float64 `json:"typical_life" says:"half of them last longer"`
	Shape     float64 `json:"shape" says:"Weibull shape; 1: age does not matter"`
	Basis     string  `json:"basis" says:"where the life comes from"`
	Kept      float64 `json:"failures_kept" says:"expected over the time it is to serve, if it stays"`
	Renewed   float64 `json:"failures_renewed" says:"the same, if it is replaced now"`
	Saves     float64 `json:"saves" says:"what replacing now saves on average, net; negative when it costs"`
	BreakEven float64 `json:"break_even" says:"typical life below which now pays; 0 for none"`
	Advice    string  `json:"advice" says:"in one sentence"`
}

type stepTimeLine struct {
	Step    int            `json:"step" says:"number"`
	Key     string         `json:"key" says:"as workshop files name it"`
	Title   string         `json:"title" says:"in words"`
	Minutes minutes        `json:"minutes" says:"on average"`
	Guide   minutes        `json:"guide" says:"what the guide says, or what was built up"`
	Basis   estimate.Basis `json:"basis" says:"what the minutes rest on"`
	Times   int            `json:"times" says:"how often it was measured here"`
	Spread  float64        `json:"spread" says:"standard deviation of the logarithm, of the step itself"`
}

type actualAnswer struct {
	Quoted minutes      `json:"quoted" says:"of the steps that have a time"`
	Took   minutes      `json:"took" says:"what they took"`
	Others minutes      `json:"others" says:"time in steps that the quote does not have"`
	Open   int          `json:"open" says:"steps without a time"`
	Within float64      `json:"within" says:"probability to take no longer than that"`
	Labour float64      `json:"labour" says:"quoted for them, net"`
	Paid   float64      `json:"paid" says:"the same at the time it took, net"`
	Steps  []actualLine `json:"steps" says:"step by step"`
}

type actualLine struct {
	Step   int     `json:"step" says:"number"`
	Title  string  `json:"title" says:"in words"`
	By     string  `json:"by" says:"who did it"`
	Quoted minutes `json:"quoted" says:"minutes"`
	Took   minutes `json:"took" says:"minutes"`
	Clear  bool    `json:"clear" says:"the time can be learned from"`
}

// inCurrency turns a sum into a number of the currency.
func inCurrency(c estimate.Currency, s estimate.Sum) float64 {
	n, err := strconv.ParseFloat(c.Text(s), 64)
	if err != nil {
		panic("cli: a sum prints as no number: " + err.Error())
	}
	return n
}

func quoteJSON(q *app.Quote) quoteAnswer {
	ans, cur := q.Answer, q.Terms.Currency
	to := func(s estimate.Sum) float64 { return inCurrency(cur, s) }
	out := quoteAnswer{
		Outcome: ans.Plan.Outcome, Variant: ans.Variant, Guide: guideRef{ans.Guide.ID, ans.Guide.Title, ans.Guide.Revision, ans.Guide.Date},
		Tasks: []string{}, Currency: cur.Code, TaxRate: float64(q.Terms.Tax) / 1000, Fixed: q.Fixed, Lines: []billLine{},
		Net: to(q.Bill.Net), Tax: to(q.Bill.Tax), Total: to(q.Bill.Total),
		Price: sumRange{to(q.Run.Price.Mean), to(q.Run.Price.P50), to(q.Run.Price.P80), to(q.Run.Price.P95)},
		Time:  timesJSON(q), Days: q.Days, PartDays: q.Parts, Risks: []riskLine{}, Stops: []stopPoint{}, Steps: []stepTimeLine{},
		Rests: some(q.Basis), Missing: some(q.Mind), Blockers: []blockerLine{}, Deference: ans.Deference,
		Later: laterJSON(q), Actual: actualJSON(q),
	}
	if m := ans.Machine; m != nil {
		out.Machine = &machineRef{m.ID, m.Name, m.Plate}
	}
	for _, t := range ans.Tasks {
		out.Tasks = append(out.Tasks, t.Task.String())
	}
	for _, b := range ans.Plan.Blockers {
		out.Blockers = append(out.Blockers, blockerLine(b))
	}
	for _, l := range q.Bill.Lines {
		out.Lines = append(out.Lines, billLine{l.Sort, l.What, l.Count, l.Litre, inMinutes(l.Time), l.Known, to(l.Sum)})
	}
	for _, r := range q.Risks {
		out.Risks = append(out.Risks, riskLine{r.What, r.Step, r.Times, r.Of, inMinutes(r.Minutes), to(r.IfItDoes), to(r.Expected)})
	}
	for _, s := range q.Stops {
		out.Stops = append(out.Stops, stopPoint{s.After, s.Done, s.Next, s.Off, to(s.Spent), to(s.Close), to(s.Total), inMinutes(s.Took), inMinutes(s.Back), s.Shown})
	}
	for _, t := range q.Times {
		out.Steps = append(out.Steps, stepTimeLine{t.Step, t.Key, t.Title, inMinutes(t.Mean), inMinutes(t.Guide), t.Basis, t.Times, t.Sigma})
	}
	if l := q.Limit; l != nil {
		out.Limit = &limitLine{to(l.Sum), q.RingText(), l.Ring, l.Step, inMinutes(l.After), l.Odds}
	}
	return out
}

func timesJSON(q *app.Quote) quoteTime {
	r, u := q.Run, q.Usual
	return quoteTime{
		minuteRange{inMinutes(u.Hands), inMinutes(r.Hands.Mean), inMinutes(r.Hands.P50), inMinutes(r.Hands.P80), inMinutes(r.Hands.P95)},
		minuteRange{inMinutes(u.Waiting), inMinutes(r.Waiting.Mean), inMinutes(r.Waiting.P50), inMinutes(r.Waiting.P80), inMinutes(r.Waiting.P95)},
		minuteRange{inMinutes(u.Free), inMinutes(r.Free.Mean), inMinutes(r.Free.P50), inMinutes(r.Free.P80), inMinutes(r.Free.P95)},
		minuteRange{inMinutes(u.Elapsed), inMinutes(r.Elapsed.Mean), inMinutes(r.Elapsed.P50), inMinutes(r.Elapsed.P80), inMinutes(r.Elapsed.P95)},
	}
}

func laterJSON(q *app.Quote) *laterAnswer {
	if q.Later == nil {
		return nil
	}
	to := func(s estimate.Sum) float64 { return inCurrency(q.Terms.Currency, s) }
	out := &laterAnswer{Rows: []laterLine{}, Now: to(q.Later.Now), Saves: to(q.Later.Saves), Complete: q.Later.Complete, Unknown: some(q.Later.Unknown)}
	for _, r := range q.Later.Rows {
		out.Rows = append(out.Rows, laterLine{
			r.Task.String(), r.Text, r.Now, to(r.Access), to(r.Part), to(r.Verdict.Later), r.Age, r.Unit, r.Life.Typical(), r.Life.Shape,
			r.Basis, r.Kept, r.Renewed, to(r.Saving()), r.BreakEven, r.Advice + " " + guide.Capital(r.Even),
		})
	}
	return out
}

func actualJSON(q *app.Quote) *actualAnswer {
	a := q.Actual
	if a == nil {
		return nil
	}
	to := func(s estimate.Sum) float64 { return inCurrency(q.Terms.Currency, s) }
	out := &actualAnswer{inMinutes(a.Quoted), inMinutes(a.Took), inMinutes(a.Others), a.Open, a.Within, to(a.Labour), to(a.Paid), []actualLine{}}
	for _, r := range a.Rows {
		out.Steps = append(out.Steps, actualLine{r.Step, r.Title, r.By, inMinutes(r.Quoted), inMinutes(r.Took), r.Clear})
	}
	return out
}
