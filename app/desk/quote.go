package desk

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"elbowroom/app"
	"elbowroom/estimate"
	"elbowroom/joblog"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/store"
)

// measured keeps what each job has measured, so that only jobs that changed
// are read again.
type measured struct {
	mu   sync.Mutex
	jobs map[string]jobTimes // by place and job
}

// jobTimes are the times of one job at one version of its summary.
type jobTimes struct {
	version int64
	records []estimate.Record
}

// Bounds of what is learned from.
const (
	learnedJobs = 150  // of a place, the last closed
	keptTimes   = 5000 // jobs whose times are held in memory
)

// Times returns what the last closed jobs of a place have measured, oldest job
// first. A job whose guide is not kept any more is left out.
func (d *Desk) Times(ctx context.Context, who Who) ([]estimate.Record, error) {
	var rows []store.Job
	f := store.JobFilter{Standing: store.ClosedOnly, Limit: PageOfJobs}
	for len(rows) < learnedJobs {
		page, err := d.keep.Jobs(ctx, who.Place, f)
		if err != nil {
			return nil, err
		}
		rows = append(rows, page...)
		if len(page) < PageOfJobs {
			break
		}
		f.After = &page[len(page)-1]
	}
	var out []estimate.Record
	for _, row := range slices.Backward(rows[:min(len(rows), learnedJobs)]) {
		list, err := d.timesOf(ctx, who, row)
		if err != nil {
			return nil, err
		}
		out = append(out, list...)
	}
	return out, nil
}

// timesOf returns what one job has measured.
func (d *Desk) timesOf(ctx context.Context, who Who, row store.Job) ([]estimate.Record, error) {
	key := string(who.Place) + "\x00" + string(row.ID)
	d.times.mu.Lock()
	held, ok := d.times.jobs[key]
	d.times.mu.Unlock()
	if ok && held.version == row.Version {
		return held.records, nil
	}
	o, err := d.open(ctx, who, row.ID)
	if err != nil {
		return nil, err
	}
	var list []estimate.Record
	if t := o.taken(); t != nil {
		if r, err := o.resolved(t); err == nil { // else its guide is not at hand
			list = app.TimesWorked(r, string(row.ID), o.state.Worked)
		}
	}
	d.times.mu.Lock()
	defer d.times.mu.Unlock()
	if d.times.jobs == nil || len(d.times.jobs) >= keptTimes {
		d.times.jobs = map[string]jobTimes{}
	}
	d.times.jobs[key] = jobTimes{row.Version, list}
	return list, nil
}

// Visit returns the visit that the present plan of a job is for, as it was
// asked for when the plan was taken, and the log of the job. Without a plan the
// question names the machine alone.
func (d *Desk) Visit(ctx context.Context, who Who, job joblog.Job) (app.Ask, []joblog.Record, error) {
	o, err := d.open(ctx, who, job)
	if err != nil {
		return app.Ask{}, nil, err
	}
	t := o.taken()
	if t == nil {
		return app.Ask{Machine: string(o.row.Machine)}, nil, nil
	}
	req, err := t.Asked()
	if err != nil {
		return app.Ask{}, nil, fmt.Errorf("%w: the plan of the job: %w", ErrRefused, err)
	}
	q := askOf(req)
	q.Machine = string(o.row.Machine)
	return q, o.log.Records(), nil
}

// askOf writes a request as a question.
func askOf(req plan.Request) app.Ask {
	q := app.Ask{Variant: req.Variant.String(), Start: []string{}, By: string(req.By)}
	if req.People > 1 {
		q.People = req.People
	}
	if req.Rate > 0 {
		q.Rate = money.Amount(req.Rate).String()
	}
	for i, t := range req.Tasks {
		switch text := t.String(); {
		case t.Before:
			q.Before = append(q.Before, text)
		case t.Proof:
			q.Proof = append(q.Proof, text)
		default:
			q.Tasks = append(q.Tasks, text)
		}
		for _, k := range t.After {
			q.Order = append(q.Order, req.Tasks[k].String()+"<"+req.Tasks[i].String())
		}
	}
	for _, s := range req.Found {
		text := string(s.Item)
		if !s.Off {
			text += " aside"
		}
		q.Start = append(q.Start, text)
	}
	for _, g := range req.Given {
		q.Start = append(q.Start, string(g.Condition)+"="+string(g.Value))
	}
	for _, id := range req.LeaveOpen {
		q.Leave = append(q.Leave, string(id))
	}
	for _, id := range req.Missing {
		q.Missing = append(q.Missing, string(id))
	}
	return q
}
