package app_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/demo"
	"elbowroom/estimate"
	"elbowroom/joblog"
	"elbowroom/plan"
	"elbowroom/quantity"
	"elbowroom/workshop"
)

// shopApp is the demonstration with its workshop changed.
func shopApp(t testing.TB, change func(*workshop.Workshop)) *app.App {
	t.Helper()
	shop, err := demo.Workshop()
	if err != nil {
		t.Fatal(err)
	}
	change(shop)
	a, err := app.Open(time.Now, shop, app.Source{Name: "demo", FS: demo.FS(), Dir: demo.GuideDir})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func quote(t testing.TB, a *app.App, q app.QuoteAsk) *app.Quote {
	t.Helper()
	out, err := a.Quote(q)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// TestQuoteCases: the obvious answers of the three cases of the demonstration,
// net: 400.40, 299.40 and 837.80; tax of 20 % on top.
func TestQuoteCases(t *testing.T) {
	a := open(t)
	for _, c := range []struct{ machine, task, labour, net, total string }{
		{"V1", "replace:SE13", "218.40", "400.40", "480.48"},
		{"V2", "replace:CO02", "155.40", "299.40", "359.28"},
		{"V3", "replace:FU01", "156.80", "837.80", "1005.36"},
	} {
		q := quote(t, a, app.QuoteAsk{Ask: app.Ask{Machine: c.machine, Tasks: []string{c.task}}})
		var labour estimate.Sum
		for _, l := range q.Bill.Lines {
			if l.Sort == estimate.Labour {
				labour += l.Sum
			}
		}
		cur := q.Terms.Currency
		if cur.Text(labour) != c.labour || cur.Text(q.Bill.Net) != c.net || cur.Text(q.Bill.Total) != c.total {
			t.Errorf("%s: labour %s, net %s, total %s; want %s, %s, %s", c.task, cur.Text(labour), cur.Text(q.Bill.Net), cur.Text(q.Bill.Total), c.labour, c.net, c.total)
		}
	}
}

// TestQuoteIsThePlan: on every row of the demonstration's plans the bill at the
// guide's minutes is, to the cent, what the audited plan costs without its
// expected risk, and the spares.
func TestQuoteIsThePlan(t *testing.T) {
	a := open(t)
	for _, row := range rows(t) {
		q := quote(t, a, app.QuoteAsk{Ask: app.Ask{Guide: "demo", Variant: row.variant, Tasks: strings.Fields(goals[row.goal])}, Keep: []string{"1 km"}})
		if q.Answer.Plan.Outcome != plan.Optimal {
			continue
		}
		c := q.Answer.Plan.Cost
		spares := -c.Parts - c.Fluids
		for _, l := range append(q.Answer.Parts, q.Answer.Fluids...) {
			spares += l.Price
		}
		if want := estimate.Sum(c.Money() - c.Risk + spares); q.Bill.Net != want {
			t.Errorf("%s %s: net %d, plan %d", row.goal, row.variant, q.Bill.Net, want)
		}
		if got := q.Usual; got.Hands != c.Strip+c.Work+c.Refit+c.Setup || got.Waiting != c.Waiting {
			t.Errorf("%s %s: %+v, plan %+v", row.goal, row.variant, got, c)
		}
		var risk estimate.Sum
		for _, r := range q.Risks {
			risk += r.Expected
		}
		if d := risk - estimate.Sum(c.Risk); d < -2 || d > 2 {
			t.Errorf("%s %s: risk lines %d, plan %d", row.goal, row.variant, risk, c.Risk)
		}
		checkStops(t, row.goal+" "+row.variant, q)
	}
}

// checkStops: stopping gets dearer as work goes on, never costs less than what
// was spent, and after the last of the work costs as much as finishing.
func checkStops(t *testing.T, name string, q *app.Quote) {
	t.Helper()
	last := estimate.Sum(0)
	shown := 0
	for _, s := range q.Stops {
		if s.Close < 0 || s.Spent+s.Close != s.Total || s.Spent < last {
			t.Errorf("%s: after step %d spent %d (before %d), close %d, total %d", name, s.After, s.Spent, last, s.Close, s.Total)
		}
		last = s.Spent
		if s.Shown {
			shown++
		}
	}
	if len(q.Stops) == 0 && len(q.Answer.Steps) > 2 {
		t.Errorf("%s: no stop points in %d steps", name, len(q.Answer.Steps))
		return
	}
	if n := len(q.Stops); n > 0 {
		if s := q.Stops[n-1]; q.Answer.Steps[s.After].Step.Phase == plan.RefitPhase && s.Total != q.Bill.Total {
			t.Errorf("%s: stopping when all is done costs %d, finishing %d", name, s.Total, q.Bill.Total)
		}
		if shown > 8 {
			t.Errorf("%s: %d stop points shown, too many to read", name, shown)
		}
	}
}

// TestQuoteStops: the knock sensor of V1. With the plenum off, 68.88 is spent,
// and closing up takes as long as the steps back and six new gaskets.
func TestQuoteStops(t *testing.T) {
	q := quote(t, open(t), app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}, Limit: "300"})
	s := q.Stops[7]
	// 41 min of 84.00 an hour; 53 min and 6 gaskets of 13.00; tax on both.
	if s.Done != "Take off the intake plenum (AR04)" || s.Took != 41*time.Minute || s.Back != 53*time.Minute || s.Spent != 6888 || s.Close != 18264 || !s.Shown {
		t.Errorf("%+v", s)
	}
	if l := q.Limit; l.Ring != 9 || l.Room != 30000-25152 || l.Step != 12 || l.Odds < 0.99 {
		t.Errorf("%+v", q.Limit)
	}
	for limit, want := range map[string]struct {
		ring int
		says string
	}{
		"2":    {-1, "before anything is touched"},
		"5000": {0, "keeps within 5000.00 EUR"},
		"300":  {9, "Ask before step 9, take off the lower intake manifold (AR05)"},
	} {
		q := quote(t, open(t), app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}, Limit: limit})
		if q.Limit.Ring != want.ring || !strings.Contains(q.RingText(), want.says) {
			t.Errorf("limit %s: %d, %q", limit, q.Limit.Ring, q.RingText())
		}
	}
}

// TestQuoteRisk: the heat shield's screw seizes in 4 of 7: a line with its
// price, and the price that is kept in nineteen of twenty cases rises.
func TestQuoteRisk(t *testing.T) {
	q := quote(t, open(t), app.QuoteAsk{Ask: app.Ask{Guide: "demo", Variant: "LHD B", Tasks: []string{"replace:SE18"}}, Fixed: true})
	if len(q.Risks) != 1 || q.Risks[0].Odds != "4 in 7" || q.Risks[0].IfItDoes != 3400 || !strings.Contains(q.Risks[0].At, "left heat shield") {
		t.Fatalf("%+v", q.Risks)
	}
	last := q.Bill.Lines[len(q.Bill.Lines)-1]
	if last.Sort != estimate.Allowance || last.Sum < q.Risks[0].Expected {
		t.Errorf("the fixed price allows %d for a risk of %d", last.Sum, q.Risks[0].Expected)
	}
}

// TestQuoteTimes: measured times come before the guide's, a person's own habit
// shows, and what rests on what is said.
func TestQuoteTimes(t *testing.T) {
	a := shopApp(t, func(w *workshop.Workshop) {
		for i, job := range []string{"J1", "J2", "J3", "J4", "J5", "J6"} {
			w.Times = append(w.Times,
				workshop.Timed{What: "off AR04", Took: 36 * time.Minute, By: "pellow", Job: job},
				workshop.Timed{What: "refit AR04 from top", Took: time.Duration(48+i) * time.Minute, By: "achter", Job: job},
				workshop.Timed{What: "off ZZ99", Took: time.Minute, Job: job})
		}
	})
	ask := app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}}
	q := quote(t, a, ask)
	var off, other app.StepTime
	for _, x := range q.Times {
		switch x.Key {
		case "off AR04 from top":
			off = x
		case "off AR05 from top":
			other = x
		}
	}
	if off.Basis != estimate.Measured || off.Times != 6 || off.Mean < 29*time.Minute || off.Mean > 37*time.Minute {
		t.Errorf("six times 36 min beside a guide of 24: %+v", off)
	}
	if other.Basis != estimate.FromGuide || other.Mean <= 24*time.Minute || other.Mean > 34*time.Minute {
		t.Errorf("an operation that nobody measured, in a workshop that is slower than the guide: %+v", other)
	}
	if !strings.Contains(strings.Join(q.Basis, " "), "12 that were measured here") {
		t.Errorf("%q", q.Basis)
	}
	ask.Person = "achter"
	slow := quote(t, a, ask)
	if slow.By != "Robin Achter" || slow.Usual.Hands <= q.Usual.Hands {
		t.Errorf("%s: %v, anybody: %v", slow.By, slow.Usual.Hands, q.Usual.Hands)
	}
}

// TestNowOrLater: with the plenum off for one knock sensor the other is in
// reach. A short life makes now right, a long one later; the price of now is
// what the planner says that it adds, and the part.
func TestNowOrLater(t *testing.T) {
	a := open(t)
	ask := app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}, Keep: []string{"120000 km"}}
	find := func(q *app.Quote) app.LaterRow {
		t.Helper()
		for _, r := range q.Later.Rows {
			if r.Item.ID == "SE14" {
				return r
			}
		}
		t.Fatal("SE14 is not in reach")
		return app.LaterRow{}
	}
	_, reach, err := a.Reach(ask.Ask)
	if err != nil {
		t.Fatal(err)
	}
	var extra estimate.Sum
	for _, r := range reach {
		if r.Task.String() == "replace:SE14" {
			extra = estimate.Sum(r.Money)
		}
	}
	ask.Lives = []string{"SE14=180000 km/120000 km"}
	short := find(quote(t, a, ask))
	if !short.Now || short.Access != extra || extra == 0 || short.Part != 6400 || short.Later != 40040 || !strings.HasPrefix(short.Advice, "Better now. Fails within ") || short.Basis != "as entered" {
		t.Errorf("%+v, in reach for %d", short, extra)
	}
	if short.BreakEven < 180_000 {
		t.Errorf("now pays, and breaks even at %.0f km", short.BreakEven)
	}
	ask.Lives = []string{"SE14=900000 km/500000 km"}
	long := find(quote(t, a, ask))
	if long.Now || long.Saving() >= 0 || !strings.HasPrefix(long.Advice, "Better later. Fails within ") || long.BreakEven > 900_000 {
		t.Errorf("%+v", long)
	}
	// A part fitted new lately is left alone even where lives are short.
	ask.Lives, ask.Ages = []string{"SE14=180000 km/120000 km"}, []string{"SE14=2000 km"}
	ask.Keep = []string{"30000 km"}
	if fresh := find(quote(t, a, ask)); fresh.Now || fresh.AgeOf != "2000 km" {
		t.Errorf("%+v", fresh)
	}
	// What a failure costs beside the repair speaks for now.
	ask.Ages, ask.Lives, ask.Keep = nil, nil, nil
	before := find(quote(t, a, ask))
	ask.Fails = "2500"
	after := find(quote(t, a, ask))
	if before.Now || !after.Now || after.Later != before.Later+250_000 {
		t.Errorf("before %+v, after %+v", before, after)
	}
}

// TestLivesOfTheShop: a workshop's own history comes before the guide, whole
// where it is large enough, mixed where it is thin.
func TestLivesOfTheShop(t *testing.T) {
	life := func(n int) app.LaterRow {
		a := shopApp(t, func(w *workshop.Workshop) {
			for i := range n {
				w.Lives = append(w.Lives, workshop.Lived{Of: "SE14", Age: quantity.Of(float64(50_000+9000*i), "km"), Failed: true})
			}
		})
		q := quote(t, a, app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}})
		for _, r := range q.Later.Rows {
			if r.Item.ID == "SE14" {
				return r
			}
		}
		t.Fatal("SE14 is not in reach")
		return app.LaterRow{}
	}
	none, thin, rich := life(0), life(2), life(8)
	if none.Basis != "from the guide" || thin.Basis != "from the guide and 2 seen here" || rich.Basis != "fitted to 8 failures here" {
		t.Errorf("%q, %q, %q", none.Basis, thin.Basis, rich.Basis)
	}
	if !(none.Life.Typical() > thin.Life.Typical() && thin.Life.Typical() > rich.Life.Typical()) {
		t.Errorf("typical lives %.0f, %.0f, %.0f km", none.Life.Typical(), thin.Life.Typical(), rich.Life.Typical())
	}
}

// TestQuoteAgainstActual: a job whose every step took a quarter longer.
func TestQuoteAgainstActual(t *testing.T) {
	a := open(t)
	ask := app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}}
	q := quote(t, a, ask)
	now, last, seq := joblog.MomentOf(time.Date(2026, 3, 16, 8, 0, 0, 0, time.UTC)), joblog.ID{}, int64(0)
	write := func(after time.Duration, kind joblog.Kind, b joblog.Body) joblog.ID {
		now += joblog.Moment(after.Milliseconds())
		seq++
		last = joblog.NextID(last, now, [10]byte{byte(seq)})
		ask.Log = append(ask.Log, joblog.Record{Received: now, Event: joblog.Event{
			Schema: joblog.Schema, ID: last, Job: "j-1", Author: "veld", Device: "phone", Seq: seq, At: now, Kind: kind, Body: b,
		}})
		return last
	}
	pin := joblog.Pin{Guide: q.Answer.Guide.ID, Revision: q.Answer.Guide.Revision}
	write(0, joblog.KindArrived, &joblog.Arrived{Machine: "V1"})
	taken := write(time.Minute, joblog.KindPlan, joblog.TakePlan(pin, q.Answer.Request, q.Answer.Plan))
	write(0, joblog.KindResume, &joblog.Resumed{})
	for i, s := range q.Answer.Plan.Steps {
		write(s.Hands*5/4, joblog.KindDone, &joblog.StepDone{Plan: taken, Step: i + 1})
	}
	got := quote(t, a, ask).Actual
	if got == nil || len(got.Rows) != len(q.Answer.Steps) || got.Open != 0 {
		t.Fatalf("%+v", got)
	}
	if got.Quoted != 156*time.Minute || got.Took < 190*time.Minute || got.Took > 197*time.Minute {
		t.Errorf("quoted %v, took %v; want 156 min and a quarter more", got.Quoted, got.Took)
	}
	if got.Labour != 21840 || got.Paid <= got.Labour || got.Within < 0.75 || got.Within > 0.95 {
		t.Errorf("%+v", got)
	}
	records := app.TimesWorked(q.Answer.Resolved, "j-1", foldOf(t, q, ask.Log).Worked)
	if len(records) < len(q.Answer.Steps)-1 || records[len(records)-1].Person != "veld" {
		t.Errorf("%d times to learn from: %+v", len(records), records)
	}
	for _, r := range records[1:] {
		if r.Took != r.Guide*5/4 {
			t.Errorf("%s: %v of %v", r.Key, r.Took, r.Guide)
		}
	}
}

func foldOf(t *testing.T, q *app.Quote, records []joblog.Record) joblog.State {
	t.Helper()
	log := joblog.NewLog("j-1")
	for _, r := range records {
		if _, err := log.Add(r); err != nil {
			t.Fatal(err)
		}
	}
	pin := joblog.Pin{Guide: q.Answer.Guide.ID, Revision: q.Answer.Guide.Revision}
	return joblog.Fold(log, joblog.Basis{Editions: []joblog.Edition{{Pin: pin, Guide: q.Answer.Guide}}})
}

// TestQuoteRefuses: what cannot be read is said with its field.
func TestQuoteRefuses(t *testing.T) {
	a := open(t)
	good := app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}
	for name, c := range map[string]struct {
		q    app.QuoteAsk
		want error
		says string
	}{
		"limit in words":    {app.QuoteAsk{Ask: good, Limit: "a lot"}, app.ErrInput, `limit: "a lot" is not a price`},
		"limit of nothing":  {app.QuoteAsk{Ask: good, Limit: "0"}, app.ErrInput, "limit"},
		"somebody unknown":  {app.QuoteAsk{Ask: good, Person: "vald"}, app.ErrUnknown, "veld"},
		"keep a pressure":   {app.QuoteAsk{Ask: good, Keep: []string{"3 bar"}}, app.ErrInput, "keep"},
		"keep nothing":      {app.QuoteAsk{Ask: good, Keep: []string{"0 km"}}, app.ErrInput, "above nothing"},
		"age of nothing":    {app.QuoteAsk{Ask: good, Ages: []string{"SE14"}}, app.ErrInput, "write the item, = and the value"},
		"age of a stranger": {app.QuoteAsk{Ask: good, Ages: []string{"SE99=4 km"}}, app.ErrInput, "no item or check is called"},
		"one life":          {app.QuoteAsk{Ask: good, Lives: []string{"SE14=100 km"}}, app.ErrInput, "half outlast"},
		"life upside down":  {app.QuoteAsk{Ask: good, Lives: []string{"SE14=100 km/200 km"}}, app.ErrInput, "the first must be the smaller"},
		"life of two kinds": {app.QuoteAsk{Ask: good, Lives: []string{"SE14=100 km/20 months"}}, app.ErrInput, "life"},
		"failure in words":  {app.QuoteAsk{Ask: good, Fails: "dear"}, app.ErrInput, "failure"},
		"no such machine":   {app.QuoteAsk{Ask: app.Ask{Machine: "V9", Tasks: good.Tasks}}, app.ErrUnknown, "V9"},
	} {
		if _, err := a.Quote(c.q); !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	other := shopApp(t, func(w *workshop.Workshop) { w.Currency = "JPY" })
	if _, err := other.Quote(app.QuoteAsk{Ask: good}); !errors.Is(err, app.ErrInput) || !strings.Contains(err.Error(), "nothing is converted") {
		t.Errorf("two currencies: %v", err)
	}
	none := quote(t, a, app.QuoteAsk{Ask: app.Ask{Guide: "demo", Variant: "LHD B", Tasks: []string{"polish:SE13"}}})
	if none.Answer.Plan.Outcome != plan.Impossible || len(none.Bill.Lines) > 0 || none.Later != nil {
		t.Errorf("%s, and still %+v", none.Answer.Plan.Outcome, none.Bill)
	}
}

// TestQuoteConsumables: what goes by the hour is one line of its own.
func TestQuoteConsumables(t *testing.T) {
	a := shopApp(t, func(w *workshop.Workshop) { w.Small, w.Day = 250, 2*time.Hour })
	q := quote(t, a, app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}})
	last := q.Bill.Lines[len(q.Bill.Lines)-1]
	if last.Sort != estimate.Small || last.Sum != 650 || q.Bill.Net != 40040+650 {
		t.Errorf("%+v of %d", last, q.Bill.Net)
	}
	if q.Days != 2 || q.Parts != 1 {
		t.Errorf("%d days of two hours for %v, parts in %d", q.Days, q.Run.Elapsed.P80, q.Parts)
	}
}

// TestOddsText: odds as people say them.
func TestOddsText(t *testing.T) {
	for p, want := range map[float64]string{
		0: "hardly ever", 0.001: "hardly ever", 0.02: "1 in 50", 0.07: "1 in 14", 1.0 / 3: "1 in 3", 4.0 / 7: "4 in 7",
		0.5: "1 in 2", 0.8: "4 in 5", 0.95: "95 in 100", 0.999: "almost always",
	} {
		if got := app.OddsText(p); got != want {
			t.Errorf("%g: %q, want %q", p, got, want)
		}
	}
}

// FuzzQuoteFields: nothing that is typed makes the program panic.
func FuzzQuoteFields(f *testing.F) {
	f.Add("500.00", "60000 km", "SE14=4 km", "SE14=9 km/3 km", "150")
	f.Add("1e9", "-1 months", "=", "SE14=/", "-")
	f.Add("", "1e308 km", "ＳＥ１４=1 h", "SE14=1e308 km/1e-308 km", "0")
	a := open(f)
	f.Fuzz(func(t *testing.T, limit, keep, age, life, fails string) {
		q, err := a.Quote(app.QuoteAsk{
			Ask: app.Ask{Machine: "V3", Tasks: []string{"check:SE15"}}, Limit: limit, Keep: []string{keep}, Ages: []string{age}, Lives: []string{life}, Fails: fails,
		})
		if err == nil && q.Bill.Net+q.Bill.Tax != q.Bill.Total {
			t.Errorf("%+v", q.Bill)
		}
	})
}

// BenchmarkQuote prices the knock sensor of V1 with everything beside it.
func BenchmarkQuote(b *testing.B) {
	a := open(b)
	ask := app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"replace:SE13"}}, Limit: "300"}
	var q *app.Quote
	for b.Loop() {
		q = quote(b, a, ask)
	}
	if q.Bill.Net != 40040 {
		b.Fatal(q.Bill.Net)
	}
}
