package desk

import (
	"context"
	"fmt"

	"elbowroom/app"
	"elbowroom/joblog"
	"elbowroom/plan"
)

// TakePlan works out the best plan for the question as the machine of the job
// now stands, pins the revision of the guide that it is made with, and lets
// the job follow it. Nothing is taken when there is no plan; the answer says
// why.
func (d *Desk) TakePlan(ctx context.Context, who Who, job joblog.Job, q app.Ask) (*app.Answer, error) {
	defer d.writing(who.Place, job)()
	o, err := d.open(ctx, who, job)
	if err != nil {
		return nil, err
	}
	a, err := d.App(ctx, who.Place)
	if err != nil {
		return nil, err
	}
	if q, err = o.asks(a, q); err != nil {
		return nil, err
	}
	ans, err := a.Plan(q)
	if err != nil {
		return nil, err
	}
	if ans.Plan.Outcome != plan.Optimal && ans.Plan.Outcome != plan.Bounded {
		return ans, fmt.Errorf("%w: there is no plan for this: %s", ErrRefused, ans.Plan.Outcome)
	}
	pin, err := d.pin(who, a, ans)
	if err != nil {
		return nil, err
	}
	return ans, d.write(ctx, o, joblog.TakePlan(pin, ans.Request, ans.Plan))
}

// asks completes a question by what the log knows: the machine and how it
// stands now.
func (o *opened) asks(a *app.App, q app.Ask) (app.Ask, error) {
	if q.Guide == "" && q.Machine == "" {
		if _, err := a.Machine(string(o.row.Machine)); err != nil {
			return q, fmt.Errorf("the machine of the job: %w", err)
		}
		q.Machine = string(o.row.Machine)
	}
	if o.state.Plan != nil {
		q.Start = o.stands()
	}
	return q, nil
}

// stands writes how the machine stands as a question has it: "PN03", "CO01
// aside", "position=raised". Before the first plan nothing is known but what
// the machine says.
func (o *opened) stands() []string {
	start := []string{}
	for _, l := range o.state.Tray {
		switch {
		case l.Stands == "" || l.With != "":
		case l.Stands == "aside":
			start = append(start, string(l.Item)+" aside")
		default:
			start = append(start, string(l.Item))
		}
	}
	for _, c := range o.state.Conditions {
		if c.Value != "" {
			start = append(start, string(c.Condition)+"="+string(c.Value))
		}
	}
	return start
}

// pin names the revision of the guide that an answer was made with. Its text is
// kept for ever, whatever becomes the current one.
func (d *Desk) pin(who Who, a *app.App, ans *app.Answer) (joblog.Pin, error) {
	g := ans.Guide
	d.mu.Lock()
	defer d.mu.Unlock()
	p := d.apps[who.Place]
	if p == nil || p.app != a {
		return joblog.Pin{}, fmt.Errorf("%w: the guide was changed while the plan was worked out; take the plan again", ErrRefused)
	}
	hash, ok := p.guides[string(g.ID)]
	if !ok {
		return joblog.Pin{}, fmt.Errorf("%w: the guide %s is not kept under its name", ErrRefused, g.ID)
	}
	return joblog.Pin{Guide: g.ID, Revision: g.Revision, Date: g.Date, Hash: hash.String()}, nil
}
