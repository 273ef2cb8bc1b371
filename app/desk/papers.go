package desk

import (
	"bytes"
	"context"
	"fmt"

	"elbowroom/app"
	"elbowroom/bay"
	"elbowroom/joblog"
	"elbowroom/plan"
	"elbowroom/plan/audit"
	"elbowroom/report"
	"elbowroom/store"
)

// JobPapers are the papers that a kept job determines. Those of a plan need
// one to be taken.
var JobPapers = []report.Kind{report.Job, report.Handover, report.Torque, report.Plan, report.LayOut}

// Paper makes a paper of a job as it stands now. Errors wrap app.ErrInput for a
// kind that is none, and ErrRefused where a plan is lacking.
func (d *Desk) Paper(ctx context.Context, who Who, job joblog.Job, kind report.Kind) (*report.Document, error) {
	o, err := d.open(ctx, who, job)
	if err != nil {
		return nil, err
	}
	a, err := d.App(ctx, who.Place)
	if err != nil {
		return nil, err
	}
	return d.paper(o, a, kind)
}

func (d *Desk) paper(o *opened, a *app.App, kind report.Kind) (*report.Document, error) {
	var doc report.Document
	switch kind {
	case report.Handover:
		doc = a.HandoverPaper(o.state)
	case report.Job:
		doc = a.JobPaper(o.state, o.belief(a))
	case report.Torque, report.Plan, report.LayOut:
		ans, err := o.described()
		if err != nil {
			return nil, err
		}
		switch kind {
		case report.Torque:
			s, err := a.TorqueOf(ans, app.TorqueAsk{})
			if err != nil {
				return nil, err
			}
			doc = a.TorquePaper(s)
		case report.Plan:
			doc = a.PlanPaper(ans, bay.New(ans.Resolved), nil)
		default:
			doc = a.LayOutPaper(ans)
		}
		doc.Number = string(o.row.ID) + " " + string(kind)
	default:
		return nil, fmt.Errorf("%w: paper: %q is none of a job", app.ErrInput, kind)
	}
	return &doc, nil
}

// belief is what is suspected, for the report; nil where no guide can say.
func (o *opened) belief(a *app.App) *app.Inquiry {
	q, err := o.asks(a, app.Ask{})
	if err != nil {
		return nil
	}
	inq, err := a.SuspectsSince(o.inquiry(q))
	if err != nil {
		return nil
	}
	return inq
}

// described puts the plan that was taken into words, from the revision that it
// pins.
func (o *opened) described() (*app.Answer, error) {
	t := o.taken()
	if t == nil {
		return nil, fmt.Errorf("%w: no plan is taken yet, so this paper has nothing to say", ErrRefused)
	}
	r, err := o.resolved(t)
	if err != nil {
		return nil, err
	}
	req, err := t.Asked()
	if err != nil {
		return nil, err
	}
	p := plan.Plan{Outcome: plan.Bounded, Steps: t.Plan()}
	p.Cost = audit.Check(r, req, p).Cost // the log keeps the steps alone
	return app.Describe(r, req, p), nil
}

// Issue freezes a paper of a job as it stands now, as PDF, under the next
// revision of its kind. What was issued never changes.
func (d *Desk) Issue(ctx context.Context, who Who, job joblog.Job, kind report.Kind) (store.Paper, error) {
	var none store.Paper
	if !who.MayWrite() {
		return none, fmt.Errorf("%w: %s may read papers and not issue them", ErrNotAllowed, who.Name)
	}
	defer d.writing(who.Place, job)() // the revision stands in the paper
	doc, err := d.Paper(ctx, who, job, kind)
	if err != nil {
		return none, err
	}
	issued, err := d.keep.PapersOf(ctx, who.Place, job)
	if err != nil {
		return none, err
	}
	p := store.Paper{Job: job, Kind: string(kind), At: d.now(), By: who.ID, Type: "application/pdf"}
	for _, old := range issued {
		if old.Kind == string(kind) && old.Number >= p.Number {
			p.Number = old.Number
		}
	}
	doc.Number += fmt.Sprintf(", revision %d", 1+revisions(issued, kind))
	var b bytes.Buffer
	if err := doc.PDF(&b, report.A4); err != nil {
		return none, err
	}
	p.Content = b.Bytes()
	if p, err = d.keep.Issue(ctx, who.Place, p); err != nil {
		return none, err
	}
	d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "issue", On: string(job), Says: fmt.Sprintf("%s %d.%d", kind, p.Number, p.Revision)})
	return p, nil
}

// revisions counts how often a kind of paper was issued for a job.
func revisions(issued []store.Paper, kind report.Kind) int {
	n := 0
	for _, p := range issued {
		if p.Kind == string(kind) {
			n++
		}
	}
	return n
}

// Issued lists the papers that were issued for a job, without their content.
func (d *Desk) Issued(ctx context.Context, who Who, job joblog.Job) ([]store.Paper, error) {
	return d.keep.PapersOf(ctx, who.Place, job)
}

// IssuedPaper returns one revision of a paper as it was issued.
func (d *Desk) IssuedPaper(ctx context.Context, who Who, kind report.Kind, number, revision int64) (store.Paper, error) {
	return d.keep.Paper(ctx, who.Place, string(kind), number, revision)
}
