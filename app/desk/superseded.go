package desk

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// OldValue is a superseded value in a job: fasteners that were tightened to
// it, or are still to be.
type OldValue struct {
	app.OldValue
	Job         joblog.Job
	Title       string
	Machine     guide.ID
	MachineName string
	Closed      joblog.Moment // zero while the job is open
}

// OldValues are the superseded values of the jobs that were looked at, the job
// last touched first.
type OldValues struct {
	List   []OldValue
	Looked int         // jobs that were looked at, with those that cannot be concerned
	Notes  []JobNote   // jobs that could not be compared
	After  joblog.Job  // the last job that was looked at, when there are more: ask on from there
	Guides []GuideNote // guides whose present revision cannot be read
}

// JobNote says why a job could not be compared.
type JobNote struct {
	Job         joblog.Job
	Title, Says string
}

// GuideNote says why a guide could not be read.
type GuideNote struct{ Guide, Says string }

// Bounds of one answer about superseded values.
const (
	readForOld   = 50   // jobs whose log is read
	lookedForOld = 500  // jobs whose row is read
	keptOld      = 5000 // jobs whose joints are held in memory
)

// tightenedJobs keeps what jobs say of their joints, so that only jobs that
// changed are read again.
type tightenedJobs struct {
	mu   sync.Mutex
	jobs map[string]jobJoints // by place and job
}

// jobJoints are the joints of one job at one version of its summary.
type jobJoints struct {
	version int64
	variant guide.Selector
	list    []app.Tightened
	says    string // why there are none
}

// Superseded lists the jobs of a place that used values which the present
// revision of their guide calls superseded. One answer looks at a bounded
// number of jobs; after is where the one before ended.
func (d *Desk) Superseded(ctx context.Context, who Who, after joblog.Job) (*OldValues, error) {
	now, err := d.presentGuides(ctx, who.Place)
	if err != nil {
		return nil, err
	}
	out := &OldValues{}
	f := store.JobFilter{Limit: PageOfJobs}
	if after != "" {
		row, err := d.keep.Job(ctx, who.Place, after)
		if err != nil {
			return nil, err
		}
		f.After = &row
	}
	for read := 0; read < readForOld && out.Looked < lookedForOld; {
		rows, err := d.keep.Jobs(ctx, who.Place, f)
		if err != nil {
			return nil, err
		}
		n, err := d.oldOfRows(ctx, who, rows, readForOld-read, now, out)
		if err != nil {
			return nil, err
		}
		if read += n; len(rows) == 0 || len(rows) < PageOfJobs && out.After == rows[len(rows)-1].ID {
			out.After = ""
			break
		}
		f.After = &rows[slices.IndexFunc(rows, func(r store.Job) bool { return r.ID == out.After })]
	}
	out.Guides = now.unread
	return out, nil
}

// oldOfRows adds the superseded values of jobs, of which the logs of so many
// may be read, and returns how many were.
func (d *Desk) oldOfRows(ctx context.Context, who Who, rows []store.Job, most int, now *present, out *OldValues) (read int, err error) {
	for _, row := range rows {
		if read == most {
			break
		}
		out.Looked++
		out.After = row.ID
		concerned, err := d.concerns(ctx, who.Place, now, row.Pin.Guide)
		if err != nil {
			return read, err
		}
		if !concerned {
			continue
		}
		read++
		j, err := d.jointsOf(ctx, who, row)
		if err != nil {
			return read, err
		}
		list, says := compared(now, row, j)
		out.List = append(out.List, list...)
		if says != "" {
			out.Notes = append(out.Notes, JobNote{row.ID, row.Title, says})
		}
	}
	return read, nil
}

// present are the guides of a place as they hold now, read when a job needs
// them.
type present struct {
	hashes   map[guide.ID]store.Hash
	guides   map[guide.ID]*guide.Guide  // nil for one that calls no value superseded
	resolved map[string]*guide.Resolved // by guide and variant
	unread   []GuideNote
}

func (d *Desk) presentGuides(ctx context.Context, place store.PlaceID) (*present, error) {
	texts, err := d.keep.CurrentTexts(ctx, place, store.Guide)
	if err != nil {
		return nil, err
	}
	p := &present{hashes: map[guide.ID]store.Hash{}, guides: map[guide.ID]*guide.Guide{}, resolved: map[string]*guide.Resolved{}}
	for _, t := range texts {
		p.hashes[guide.ID(t.Name)] = t.Hash
	}
	return p, nil
}

// concerns reports whether jobs with the guide can have used a superseded
// value.
func (d *Desk) concerns(ctx context.Context, place store.PlaceID, p *present, id guide.ID) (bool, error) {
	g, known := p.guides[id]
	hash, kept := p.hashes[id]
	if known || !kept {
		return g != nil, nil
	}
	g, err := d.guideAt(ctx, place, hash.String())
	switch {
	case errors.Is(err, app.ErrInput):
		p.unread = append(p.unread, GuideNote{string(id), err.Error()})
	case err != nil:
		return false, err
	case !app.HasOldValues(g):
		g = nil
	}
	p.guides[id] = g
	return g != nil, nil
}

// of returns a present guide for a variant.
func (p *present) of(id guide.ID, variant guide.Selector) (*guide.Resolved, error) {
	key := string(id) + " " + variant.String()
	if r := p.resolved[key]; r != nil {
		return r, nil
	}
	r, err := guide.Resolve(p.guides[id], variant)
	if err == nil {
		p.resolved[key] = r
	}
	return r, err
}

// compared holds the joints of a job against the present guide. It also says
// what could not be compared.
func compared(now *present, row store.Job, j jobJoints) (list []OldValue, says string) {
	if j.says != "" || len(j.list) == 0 {
		return nil, j.says
	}
	r, err := now.of(row.Pin.Guide, j.variant)
	if err != nil {
		return nil, "the present revision of the guide does not know its variant: " + err.Error()
	}
	l := line(row)
	for _, o := range app.OldValues(r, j.list) {
		list = append(list, OldValue{o, row.ID, l.Title, l.Machine, l.Name, row.Closed})
	}
	if i := slices.IndexFunc(j.list, func(t app.Tightened) bool { return len(t.Unsaid) > 0 }); i >= 0 {
		says = fmt.Sprintf("a revision that it followed is not kept here, so nobody can say what joints of %s were tightened to", j.list[i].Item)
	}
	return list, says
}

// jointsOf returns what a job says of its joints.
func (d *Desk) jointsOf(ctx context.Context, who Who, row store.Job) (jobJoints, error) {
	key := string(who.Place) + "\x00" + string(row.ID)
	d.joints.mu.Lock()
	held, ok := d.joints.jobs[key]
	d.joints.mu.Unlock()
	if ok && held.version == row.Version {
		return held, nil
	}
	began := d.now()
	o, err := d.open(ctx, who, row.ID)
	if errors.Is(err, store.Damaged) || errors.Is(err, app.ErrInput) {
		return jobJoints{says: err.Error()}, nil // the others are worth listing all the same
	}
	if err != nil {
		return jobJoints{}, err
	}
	j := o.joints()
	// A summary may stay as it is for a while when only a tick has changed.
	if j.version = o.row.Version; began.Since(o.row.Updated) < summaryRest {
		return j, nil
	}
	d.joints.mu.Lock()
	defer d.joints.mu.Unlock()
	if d.joints.jobs == nil || len(d.joints.jobs) >= keptOld {
		d.joints.jobs = map[string]jobJoints{}
	}
	d.joints.jobs[key] = j
	return j, nil
}

// joints returns what an opened job says of its joints.
func (o *opened) joints() jobJoints {
	t := o.taken()
	if t == nil {
		return jobJoints{}
	}
	req, err := t.Asked()
	if err != nil {
		return jobJoints{says: "its plan cannot be read: " + err.Error()}
	}
	var plans []app.PlanAt
	for _, p := range append(slices.Clone(o.state.Earlier), *o.state.Plan) {
		e, _ := o.log.Event(p.ID)
		at := app.PlanAt{Plan: p.ID, Pin: p.Pin}
		if taken, ok := e.Body.(*joblog.PlanTaken); ok {
			at.Guide, _ = o.resolved(taken) // nil when it is not at hand
		}
		plans = append(plans, at)
	}
	if plans[len(plans)-1].Guide == nil {
		return jobJoints{says: "revision " + t.Pin.String() + ", which it follows, is not kept here"}
	}
	return jobJoints{variant: req.Variant, list: app.TightenedIn(plans, o.state.Joints)}
}

// oldIn returns the superseded values of an opened job.
func (d *Desk) oldIn(ctx context.Context, o *opened) ([]OldValue, string, error) {
	if o.state.Plan == nil {
		return nil, "", nil
	}
	now, err := d.presentGuides(ctx, o.who.Place)
	if err != nil {
		return nil, "", err
	}
	row := o.summary()
	if concerned, err := d.concerns(ctx, o.who.Place, now, row.Pin.Guide); err != nil || !concerned {
		return nil, "", err
	}
	list, says := compared(now, row, o.joints())
	return list, says, nil
}
