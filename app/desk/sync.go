package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

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
	if len(in.Events) > 0 && !strings.HasPrefix(string(in.Device), phonePrefix) {
		return nil, fmt.Errorf("%w: device: %q; a phone is called %s and something by chance, so that none is taken for a server", app.ErrInput, in.Device, phonePrefix)
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
	d.answer(o, in, out)
	return out, nil
}

// phonePrefix begins the name of every device that sends events; servers may
// not be called so.
const phonePrefix = "phone-"

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
	return d.add(ctx, o, keep)
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

// answer fills in what the phone does not know yet. The cursor is that of the
// moment when the job was read: what has come since, the phone's own events
// among it, is in the state and is handed out again next time, so that nothing
// is skipped that another server was storing meanwhile.
func (d *Desk) answer(o *opened, in SyncIn, out *SyncOut) {
	for _, e := range o.read {
		if e.Cursor > in.Cursor || in.Cursor > o.cursor { // a cursor from before an older copy was restored says nothing
			out.Events = append(out.Events, json.RawMessage(e.Raw))
		}
	}
	out.State, out.Has, out.Latest, out.Cursor, out.At = o.state, o.log.Has(), o.latest(), o.cursor, d.now()
	if o.state.Plan != nil {
		out.Plan = o.state.Plan.ID
	}
}

// Live tells when something has happened at the place of who asks: the cursor
// of the newest event, at once and then whenever it moves.
func (d *Desk) Live(ctx context.Context, who Who) (<-chan store.Cursor, error) {
	return d.keep.Watch(ctx, who.Place)
}
