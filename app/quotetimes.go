package app

import (
	"fmt"
	"slices"
	"time"

	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/plan"
)

// learn gathers the times that were measured here and learns from them.
func (c *quoter) learn() {
	var records []estimate.Record
	if w := c.app.workshop; w != nil && len(w.Times) > 0 {
		times := guideTimes(c.r)
		left := 0
		for i, t := range w.Times {
			key, ok := fullKey(times, t.What)
			if !ok {
				left++
				continue
			}
			job := t.Job
			if job == "" {
				job = fmt.Sprintf("#%d", i) // a stay of its own
			}
			records = append(records, estimate.Record{Key: key, Person: string(t.By), Job: job, Guide: times[key], Took: t.Took})
		}
		if left > 0 && left == len(w.Times) {
			c.q.Mind = append(c.q.Mind, "none of the times measured here names an operation of this guide")
		}
	}
	c.norm = estimate.Learn(estimate.UsualPriors, append(records, c.q.Ask.Measured...))
	c.basis()
}

// basis says in words what the times rest on.
func (c *quoter) basis() {
	add := func(format string, args ...any) { c.q.Basis = append(c.q.Basis, fmt.Sprintf(format, args...)) }
	n := c.norm.Used()
	if n == 0 {
		add("The minutes are those of the guide; nothing has been measured here yet.")
		return
	}
	add("The minutes are those of the guide, drawn towards %d that were measured here.", n)
	if c.q.Ask.Person == "" {
		return
	}
	if f, _ := c.norm.Person(c.q.Ask.Person); abs(f-1) >= 0.02 {
		add("%s takes about %s as long as the workshop does on average.", c.q.By, shareText(f))
	}
}

// shareText prints a factor: "1.4 times", "85 %".
func shareText(f float64) string {
	if f >= 1 {
		return fmt.Sprintf("%.2g times", f)
	}
	return fmt.Sprintf("%.0f %%", 100*f)
}

// Actual compares a quote with what was done.
type Actual struct {
	Rows    []ActualRow
	Quoted  time.Duration // of the steps that have a time
	Took    time.Duration
	Open    int // steps of the plan that have no clear time
	Others  time.Duration
	Labour  estimate.Sum // net, what was quoted for the steps that have a time
	Paid    estimate.Sum // net, the same at the time it took
	Within  float64      // how probable it was to take no longer: 0.5 is as expected
	Unclear int
}

// ActualRow is one step.
type ActualRow struct {
	Step   int
	Title  string
	By     string
	Quoted time.Duration
	Took   time.Duration
	Clear  bool // false: not to be learned from
}

// Difference is what the steps took longer than quoted.
func (a Actual) Difference() time.Duration { return a.Took - a.Quoted }

// against compares the quote with the log of its job, where one was given.
func (c *quoter) against() error {
	if len(c.q.Ask.Log) == 0 {
		return nil
	}
	s, err := c.app.folded(c.q.Ask.Log)
	if err != nil {
		return err
	}
	out := &Actual{}
	c.q.Actual = out
	took := map[string]*ActualRow{}
	for _, w := range s.Worked {
		key := actKey(c.r, w.Act)
		i := slices.IndexFunc(c.q.Times, func(t StepTime) bool { return t.Key == key })
		if i < 0 {
			out.Others += w.Time
			continue
		}
		row := took[key]
		if row == nil {
			t := c.q.Times[i]
			row = &ActualRow{Step: t.Step, Title: t.Title, Quoted: t.Mean + t.Setup, Clear: true}
			took[key] = row
		}
		row.By, row.Took, row.Clear = string(w.By), row.Took+w.Time, row.Clear && !w.Unclear
	}
	c.compare(out, took)
	return nil
}

// compare sums the rows in the order of the plan.
func (c *quoter) compare(out *Actual, took map[string]*ActualRow) {
	var done estimate.Visit
	done.Common, done.Terms = c.visit.Common, c.q.Terms
	for _, t := range c.q.Times {
		row := took[t.Key]
		if row == nil || row.Step != t.Step {
			out.Open++
			continue
		}
		if !row.Clear {
			out.Unclear++
		}
		out.Rows = append(out.Rows, *row)
		out.Quoted += row.Quoted
		out.Took += row.Took
		done.Ops = append(done.Ops, estimate.Op{Hands: t.Spread, Setup: t.Setup})
	}
	cur := c.q.Terms.Currency
	out.Labour, out.Paid = cur.Labour(c.q.Terms.Rate, out.Quoted), cur.Labour(c.q.Terms.Rate, out.Took)
	if len(done.Ops) > 0 {
		out.Within = done.Kept(out.Took)
	}
}

// folded reads a log against the guides that are loaded: a plan is read with
// the guide of its name and revision.
func (a *App) folded(records []joblog.Record) (joblog.State, error) {
	log := joblog.NewLog(records[0].Event.Job)
	var basis joblog.Basis
	for _, r := range records {
		if _, err := log.Add(r); err != nil {
			return joblog.State{}, fmt.Errorf("%w: job log: %w", ErrInput, err)
		}
		p, ok := r.Event.Body.(*joblog.PlanTaken)
		if !ok {
			continue
		}
		for _, l := range a.guides {
			if l.Guide != nil && l.Guide.ID == p.Pin.Guide && (l.Guide.Revision == p.Pin.Revision || p.Pin.Revision == "") {
				basis.Editions = append(basis.Editions, joblog.Edition{Pin: p.Pin, Guide: l.Guide})
			}
		}
	}
	return joblog.Fold(log, basis), nil
}

// TimesWorked returns the times of a job that can be learned from, as a workshop
// keeps them.
func TimesWorked(r *guide.Resolved, job string, worked []joblog.Worked) []estimate.Record {
	times := guideTimes(r)
	var out []estimate.Record
	for _, w := range worked {
		key := actKey(r, w.Act)
		if d, ok := times[key]; ok && !w.Unclear && w.Time > 0 {
			out = append(out, estimate.Record{Key: key, Person: string(w.By), Job: job, Guide: d, Took: w.Time})
		}
	}
	return out
}

// actKey names the operation of an act as stepKey names that of a step.
func actKey(r *guide.Resolved, a joblog.Act) string {
	s := plan.Step{Kind: a.Kind, Item: a.Item, Verb: a.Verb, Way: a.Way, Condition: a.Condition, Change: a.Change}
	var req plan.Request
	switch a.Kind {
	case plan.Do:
		req.Tasks = []plan.Task{{Verb: a.Verb, On: a.Item}}
	case plan.Change:
		if _, ch := changeOf(r, s); ch != nil {
			s.To = ch.To
		}
	case plan.Clear, plan.Refit:
		if it := r.Item(a.Item); it != nil && a.Way >= 0 && a.Way < len(it.Ways) {
			s.Verb = it.Ways[a.Way].Do
		}
	}
	return stepKey(r, req, s)
}
