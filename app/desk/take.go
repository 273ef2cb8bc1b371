package desk

import (
	"context"
	"fmt"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/joblog"
	"elbowroom/plan"
	"elbowroom/span"
	"elbowroom/store"
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
	pin, err := d.pin(ctx, who, ans)
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

// pin keeps the text of the guide that an answer was made with and returns how
// the job names it.
func (d *Desk) pin(ctx context.Context, who Who, ans *app.Answer) (joblog.Pin, error) {
	g := ans.Guide
	text := file.Print(g)
	pin := joblog.Pin{Guide: g.ID, Revision: g.Revision, Date: g.Date, Hash: store.Sum(text).String()}
	if _, err := d.keep.TextByHash(ctx, who.Place, store.Sum(text)); err == nil {
		return pin, nil
	}
	if _, err := printed(g); err != nil {
		return pin, err
	}
	rev, _, err := d.keep.Text(ctx, who.Place, store.Guide, string(g.ID))
	if err != nil && store.CodeOf(err) != store.NotFound {
		return pin, err
	}
	_, err = d.keep.PutText(ctx, who.Place, store.Draft{
		Kind: store.Guide, Name: string(g.ID), Text: text, Expect: rev.Hash, Author: who.ID, At: d.now(),
		Note: "printed anew for a plan", Words: g.Title,
	})
	return pin, err
}

// printed prints a guide that is to be kept. The error says what of it could
// not be read again: one that was made in memory may hold what no file can.
func printed(g *guide.Guide) ([]byte, error) {
	text, list := file.PrintBack(g)
	if list.Has(span.Error) {
		return nil, fmt.Errorf("%w: guide %s cannot be kept, because what is written of it could not be read again:\n%w", app.ErrInput, g.ID, list)
	}
	return text, nil
}
