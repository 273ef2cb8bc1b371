package desk

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// opened is a job read from the store.
type opened struct {
	who    Who
	row    store.Job
	log    *joblog.Log
	read   []heldEvent  // as they were when the job was read
	cursor store.Cursor // of the last of them
	basis  joblog.Basis
	state  joblog.State
	people []store.Person
}

// open reads a job with everything that its events are read against.
func (d *Desk) open(ctx context.Context, who Who, job joblog.Job) (*opened, error) {
	row, err := d.keep.Job(ctx, who.Place, job)
	if err != nil {
		return nil, err
	}
	o := &opened{who: who, row: row, log: joblog.NewLog(job)}
	h, err := d.events(ctx, who.Place, job)
	if err != nil {
		return nil, err
	}
	for _, e := range h.events {
		if _, err := o.log.Add(joblog.Record{Received: e.Received, Event: e.says}); err != nil {
			return nil, err
		}
		o.cursor = max(o.cursor, e.Cursor)
	}
	o.read = h.events
	if o.people, err = d.keep.People(ctx, who.Place); err != nil {
		return nil, err
	}
	return o, d.fold(ctx, o)
}

// fold works out how the job stands.
func (d *Desk) fold(ctx context.Context, o *opened) error {
	o.basis = joblog.Basis{}
	for _, p := range o.people {
		o.basis.People = append(o.basis.People, p.ID)
	}
	for _, pin := range o.pins() {
		g, err := d.guideAt(ctx, o.who.Place, pin.Hash)
		if code := store.CodeOf(err); code == store.NotFound || code == store.Refused || errors.Is(err, app.ErrInput) {
			continue // the state says that the pinned revision is not at hand
		}
		if err != nil {
			return err
		}
		o.basis.Editions = append(o.basis.Editions, joblog.Edition{Pin: pin, Guide: g})
	}
	o.state = joblog.Fold(o.log, o.basis)
	return nil
}

// pins lists the revisions that the plans of the log pin.
func (o *opened) pins() []joblog.Pin {
	var list []joblog.Pin
	for _, r := range o.log.Records() {
		if p, ok := r.Event.Body.(*joblog.PlanTaken); ok && !slices.Contains(list, p.Pin) {
			list = append(list, p.Pin)
		}
	}
	return list
}

// taken returns what the event says that took the present plan.
func (o *opened) taken() *joblog.PlanTaken {
	if o.state.Plan == nil {
		return nil
	}
	e, _ := o.log.Event(o.state.Plan.ID)
	t, _ := e.Body.(*joblog.PlanTaken)
	return t
}

// resolved returns the pinned guide of the present plan for its variant.
func (o *opened) resolved(t *joblog.PlanTaken) (*guide.Resolved, error) {
	i := slices.IndexFunc(o.basis.Editions, func(e joblog.Edition) bool { return e.Pin == t.Pin })
	if i < 0 {
		return nil, fmt.Errorf("%w: revision %s, which the job pins, is not kept here", ErrRefused, t.Pin)
	}
	req, err := t.Asked()
	if err != nil {
		return nil, err
	}
	return guide.Resolve(o.basis.Editions[i].Guide, req.Variant)
}

// latest is the greatest id of the log.
func (o *opened) latest() joblog.ID {
	var last joblog.ID
	for _, r := range o.log.Records() {
		if r.Event.ID.Compare(last) > 0 {
			last = r.Event.ID
		}
	}
	return last
}

// write lets the desk itself add events to a job, in the name of who asks, and
// brings the summary up to date: all of the events or none. The job must be
// locked for writing.
func (d *Desk) write(ctx context.Context, o *opened, bodies ...joblog.Body) error {
	in, err := d.compose(o, d.now(), bodies...)
	if err != nil {
		return err
	}
	return d.add(ctx, o, in)
}

// compose writes what somebody says as events of this server and puts them
// into the log in memory; nothing is kept yet.
func (d *Desk) compose(o *opened, now joblog.Moment, bodies ...joblog.Body) ([]store.Incoming, error) {
	if !o.who.MayWrite() {
		return nil, fmt.Errorf("%w: %s may read jobs and not change them", ErrNotAllowed, o.who.Name)
	}
	var in []store.Incoming
	for _, b := range bodies {
		e, err := d.event(o, b, now)
		if err != nil {
			return nil, err
		}
		if why := joblog.Accept(o.log, e, d.claim(o, e.Device)); len(why) > 0 {
			return nil, fmt.Errorf("%w: %s", ErrRefused, joblog.Says(why))
		}
		raw, err := joblog.Encode(e)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrRefused, err)
		}
		if _, err := o.log.Add(joblog.Record{Received: now, Event: e}); err != nil {
			return nil, err
		}
		in = append(in, store.Incoming{Raw: raw, Received: now})
	}
	return in, nil
}

// add keeps events that are in the log in memory already. What cannot be
// folded is not kept.
func (d *Desk) add(ctx context.Context, o *opened, in []store.Incoming) error {
	if err := d.fold(ctx, o); err != nil {
		return err
	}
	if err := d.append(ctx, o, in); err != nil {
		return err
	}
	d.summarize(ctx, o)
	return nil
}

func (d *Desk) append(ctx context.Context, o *opened, in []store.Incoming) error {
	for part := range slices.Chunk(in, store.MaxBatch) {
		if _, err := d.keep.Append(ctx, o.who.Place, o.row.ID, part); err != nil {
			return err
		}
	}
	return nil
}

// event puts an event of this server together.
func (d *Desk) event(o *opened, b joblog.Body, now joblog.Moment) (joblog.Event, error) {
	var chance [10]byte
	if _, err := io.ReadFull(d.opts.Random, chance[:]); err != nil {
		return joblog.Event{}, err
	}
	has := o.log.Has()
	e := joblog.Event{
		Schema: joblog.Schema, ID: joblog.NextID(o.latest(), now, chance), Job: o.row.ID, Author: o.who.ID,
		Device: d.opts.Device, Seq: has[d.opts.Device] + 1, At: now, Body: b,
	}
	delete(has, d.opts.Device)
	if len(has) > 0 {
		e.Seen = has
	}
	e.Kind = joblog.KindOf(b)
	return e, nil
}

func (d *Desk) claim(o *opened, device joblog.Device) joblog.Claim {
	return joblog.Claim{Job: o.row.ID, Author: o.who.ID, Device: device, People: o.basis.People, Now: d.now()}
}

// summarize writes the row of a job that was folded. Where somebody else has
// written it meanwhile, the job is read again: their summary knows nothing of
// what was kept here. The events are safe by now and say everything, so that a
// row that cannot be written fails nobody's work: whoever opens the job next
// writes it.
func (d *Desk) summarize(ctx context.Context, o *opened) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), summaryTime)
	defer cancel()
	for range summaryTries {
		row := o.summary()
		if row.Updated.Since(o.row.Updated) < summaryRest && sameBut(row, o.row) {
			return
		}
		version, err := d.keep.PutJob(ctx, o.who.Place, row)
		if err == nil {
			row.Version = version
			o.row = row
			return
		}
		if store.CodeOf(err) != store.Conflict {
			return
		}
		if o, err = d.open(ctx, o.who, o.row.ID); err != nil {
			return
		}
	}
}

// How long and how often a summary is tried.
const (
	summaryTime  = 5 * time.Second
	summaryTries = 5
)

// summaryRest is how long a summary may say an older time of change when
// nothing else in it has changed.
const summaryRest = 10 * time.Second

// sameBut compares two summaries but for the time of change.
func sameBut(a, b store.Job) bool {
	a.Updated = b.Updated
	return a.Title == b.Title && a.Stands == b.Stands && a.State == b.State && a.Closed == b.Closed && a.Pin == b.Pin && a.Words == b.Words &&
		bytes.Equal(a.Data, b.Data)
}

// facts is what a row keeps beside what a store knows of.
type facts struct {
	Machine string   `json:"machine,omitempty"`
	Off     []string `json:"off,omitempty"`
	MustNot []string `json:"must_not,omitempty"`
	Next    string   `json:"next,omitempty"`
	Done    int      `json:"done,omitempty"`
	Steps   int      `json:"steps,omitempty"`
	Open    int      `json:"open,omitempty"` // what keeps it from being closed and is not signed for
}

func (o *opened) summary() store.Job {
	row := o.row
	h := o.state.Handover()
	var old facts
	_ = json.Unmarshal(row.Data, &old) // a summary; an unreadable one is written anew
	f := facts{Machine: old.Machine, Done: h.Done, Steps: h.Steps}
	for _, l := range o.state.Tray {
		f.Off = append(f.Off, l.Name)
	}
	for _, m := range o.state.MustNot {
		f.MustNot = append(f.MustNot, m.Says)
	}
	if o.state.Present != nil {
		f.Next = o.state.Present.Says
	}
	for _, l := range o.state.Lacks {
		if l.Signed == nil {
			f.Open++
		}
	}
	row.Data, _ = json.Marshal(f) // text and numbers only
	row.Stands = h.Stands
	row.State = o.standing()
	row.Closed = 0
	if o.state.Closed != nil {
		row.Closed = o.state.Closed.At
	}
	row.Pin = h.Pin
	row.Words = o.words(h)
	for _, r := range o.log.Records() {
		row.Updated = max(row.Updated, r.Received)
	}
	return row
}

// The words for how a job stands.
const (
	StandsNew     = "new"       // nothing is planned yet
	StandsPlanned = "planned"   // a plan is taken, nothing is done
	StandsOpen    = "in work"   // something is done
	StandsReady   = "to close"  // nothing is lacking
	StandsClosed  = "closed"    // for good, or until it is opened again
	StandsUnclear = "to settle" // people do not agree, or something has not arrived
)

func (o *opened) standing() string {
	s := &o.state
	switch {
	case s.Closed != nil:
		return StandsClosed
	case len(s.Gaps) > 0 || slices.ContainsFunc(s.Conflicts, func(c joblog.Conflict) bool { return c.Blocking }):
		return StandsUnclear
	case s.Plan == nil:
		return StandsNew
	case !slices.ContainsFunc(s.Plan.Steps, func(p joblog.StepState) bool { return p.Done }):
		return StandsPlanned
	case !slices.ContainsFunc(s.Lacks, func(l joblog.Lack) bool { return l.Signed == nil }):
		return StandsReady
	}
	return StandsOpen
}

// words is what a search finds the job by, beside its title.
func (o *opened) words(h joblog.Handover) string {
	var text strings.Builder
	text.WriteString(h.Complaint)
	for _, c := range o.state.Codes {
		text.WriteString(" " + c.Code)
	}
	for _, n := range o.state.Notes {
		if text.Len() > store.MaxField {
			break
		}
		text.WriteString(" " + n.Text)
	}
	return cut(text.String(), store.MaxField)
}

// cut shortens a text to so many bytes at the end of a letter.
func cut(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for n > 0 && s[n]&0xC0 == 0x80 {
		n--
	}
	return s[:n]
}
