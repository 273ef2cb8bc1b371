package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"elbowroom/app"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Sync takes what a phone has written and answers with what it does not know
// yet. Events are judged one by one: those that cannot be accepted are named
// with the reason, the others are kept. When the store fails nothing is
// acknowledged, and the phone sends everything again.
func (d *Desk) Sync(ctx context.Context, who Who, job joblog.Job, in SyncIn) (*SyncOut, error) {
	if len(in.Events) > store.MaxBatch {
		return nil, fmt.Errorf("%w: events: %d at once; send %d at most", app.ErrInput, len(in.Events), store.MaxBatch)
	}
	if len(in.Events) > 0 {
		defer d.writing(who.Place, job)()
	}
	o, err := d.open(ctx, who, job)
	if err != nil {
		return nil, err
	}
	out := &SyncOut{}
	if len(in.Events) > 0 {
		if !who.MayWrite() {
			return nil, fmt.Errorf("%w: %s may read jobs and not change them", ErrNotAllowed, who.Name)
		}
		if err := d.receive(ctx, o, in, out); err != nil {
			return nil, err
		}
	}
	return out, d.answer(ctx, o, in, out)
}

// receive judges the events and keeps those that can be accepted.
func (d *Desk) receive(ctx context.Context, o *opened, in SyncIn, out *SyncOut) error {
	var keep []store.Incoming
	now := d.now()
	for i, raw := range in.Events {
		e, err := joblog.Decode(raw)
		if err != nil {
			out.Refused = append(out.Refused, SyncRefusal{Index: i, Why: string(joblog.BadForm), Says: err.Error()})
			continue
		}
		if other := o.writtenBy(e); other != "" {
			out.Waiting = append(out.Waiting, SyncRefusal{Index: i, ID: e.ID, Why: string(joblog.WrongAuthor), Says: fmt.Sprintf("%s wrote this and has to sign in on this device to send it", other)})
			continue
		}
		if why := joblog.Accept(o.log, e, d.claim(o, in.Device)); len(why) > 0 {
			out.Refused = append(out.Refused, SyncRefusal{Index: i, ID: e.ID, Why: string(why[0].Why), Says: joblog.Says(why)})
			continue
		}
		added, err := o.log.Add(joblog.Record{Received: now, Event: e})
		if err != nil {
			return err
		}
		out.Accepted = append(out.Accepted, e.ID)
		if added {
			keep = append(keep, store.Incoming{Raw: raw, Received: now})
		}
	}
	if len(keep) == 0 {
		return nil
	}
	if err := d.append(ctx, o, keep); err != nil {
		return err
	}
	return d.summarize(ctx, o)
}

// writtenBy returns the name of somebody else who works here and wrote the
// event, "" when the author is who sends it or nobody known.
func (o *opened) writtenBy(e joblog.Event) string {
	if e.Author == o.who.ID {
		return ""
	}
	i := slices.IndexFunc(o.people, func(p store.Person) bool { return p.ID == e.Author })
	if i < 0 {
		return ""
	}
	return o.people[i].Name
}

// answer fills in what the phone does not know yet.
func (d *Desk) answer(ctx context.Context, o *opened, in SyncIn, out *SyncOut) error {
	events, err := d.keep.Events(ctx, o.who.Place, o.row.ID)
	if err != nil {
		return err
	}
	for _, e := range events {
		if e.Cursor > in.Cursor {
			out.Events = append(out.Events, json.RawMessage(e.Raw))
		}
		if e.Cursor > o.cursor { // somebody else was at it meanwhile
			if err := o.take(e); err != nil {
				return err
			}
		}
	}
	if err := d.fold(ctx, o); err != nil {
		return err
	}
	out.State, out.Has, out.Latest, out.Cursor, out.At = o.state, o.log.Has(), o.latest(), o.cursor, d.now()
	if o.state.Plan != nil {
		out.Plan = o.state.Plan.ID
	}
	return nil
}

// Live tells when something has happened at the place of who asks: the cursor
// of the newest event, at once and then whenever it moves.
func (d *Desk) Live(ctx context.Context, who Who) (<-chan store.Cursor, error) {
	return d.keep.Watch(ctx, who.Place)
}
