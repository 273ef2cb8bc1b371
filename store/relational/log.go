package relational

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"elbowroom/joblog"
	"elbowroom/store"
)

var events = shape[store.Event]{"events", "cursor, job, id, received, raw", func(v *store.Event) []any {
	return []any{&v.Cursor, &v.Job, &v.ID, &v.Received, &v.Raw}
}}

// incoming reads what came in: one event for each, its cursor still open.
func incoming(job joblog.Job, in []store.Incoming) ([]store.Event, error) {
	if len(in) == 0 || len(in) > store.MaxBatch {
		return nil, store.Errorf(store.Refused, "%d events came in one call; it must be 1 to %d", len(in), store.MaxBatch)
	}
	out := make([]store.Event, len(in))
	for i, one := range in {
		e, err := joblog.Decode(one.Raw)
		if err != nil {
			return nil, &store.Error{Code: store.Refused, Says: fmt.Sprintf("event %d of %d", i+1, len(in)), Cause: err}
		}
		if e.Job != job {
			return nil, store.Errorf(store.Refused, "event %s belongs to job %s and not to %s", e.ID, e.Job, quoted(job))
		}
		if one.Received <= 0 {
			return nil, store.Errorf(store.Refused, "of event %s the time of receipt is missing", e.ID)
		}
		out[i] = store.Event{Job: job, ID: e.ID, Received: one.Received, Raw: bytes.Clone(one.Raw)}
	}
	return out, nil
}

// Append implements store.Log.
func (s *Store) Append(ctx context.Context, place store.PlaceID, job joblog.Job, in []store.Incoming) ([]store.Receipt, error) {
	list, err := incoming(job, in)
	if err != nil {
		return nil, err
	}
	var no int64
	if err := s.at(ctx, place, func(_ db, n int64) error { no = n; return nil }); err != nil {
		return nil, err
	}
	if err := s.begin(); err != nil {
		return nil, err
	}
	defer s.running.Done()
	return s.gather.append(ctx, &call{place: no, job: job, events: list})
}

// commit stores the gathered calls of one place in one transaction. Each call
// gets its own outcome; the error is that of the transaction.
func (s *Store) commit(ctx context.Context, calls []*call) error {
	conn, err := s.d.Write.Conn(ctx)
	if err != nil {
		return s.explain(err)
	}
	var newest store.Cursor
	no := calls[0].place
	err = s.within(ctx, conn, s.d.Begin, func(q db) error {
		total := 0
		for _, c := range calls {
			total += len(c.events)
		}
		if _, err := q.one(ctx, "UPDATE cursors SET newest = newest + ? WHERE place = ? RETURNING newest", []any{total, no}, &newest); err != nil {
			return err
		}
		w := &writing{q: q, place: no, next: newest - store.Cursor(total) + 1}
		if err := w.look(ctx, calls); err != nil {
			return err
		}
		for _, c := range calls {
			w.judge(c)
		}
		return w.insert(ctx)
	})
	if err != nil {
		return s.explain(err)
	}
	s.hub.tell(no, newest)
	if s.d.Tell != nil {
		s.d.Tell(no, newest)
	}
	return nil
}

// writing is one transaction of gathered calls.
type writing struct {
	q     db
	place int64
	next  store.Cursor
	jobs  map[joblog.Job]bool
	known map[joblog.ID]store.Event // stored, or about to be
	fresh []store.Event
}

// look finds out which jobs exist and which events are stored.
func (w *writing) look(ctx context.Context, calls []*call) error {
	w.jobs, w.known = map[joblog.Job]bool{}, map[joblog.ID]store.Event{}
	var names, ids []any
	for _, c := range calls {
		names = append(names, c.job)
		for _, e := range c.events {
			ids = append(ids, e.ID)
		}
	}
	err := inChunks(names, func(marks string, part []any) error {
		return w.q.each(ctx, "SELECT id FROM jobs WHERE place = ? AND id IN ("+marks+")", append([]any{w.place}, part...), func(scan func(...any) error) error {
			var id joblog.Job
			err := scan(&id)
			w.jobs[id] = true
			return err
		})
	})
	if err != nil {
		return err
	}
	return inChunks(ids, func(marks string, part []any) error {
		list, err := events.list(ctx, w.q, w.place, "AND id IN ("+marks+")", part...)
		for _, e := range list {
			w.known[e.ID] = e
		}
		return err
	})
}

// chunk is how many values go into one statement.
const chunk = 100

// inChunks calls fn with as many marks as values. The number of marks is
// always a power of two or chunk, filled up with the last value, so that there
// are few different statements.
func inChunks(values []any, fn func(marks string, part []any) error) error {
	for len(values) > 0 {
		part := values[:min(chunk, len(values))]
		values = values[len(part):]
		size := 1
		for size < len(part) {
			size = min(2*size, chunk)
		}
		part = append([]any{}, part...)
		for len(part) < size {
			part = append(part, part[len(part)-1])
		}
		if err := fn("?"+strings.Repeat(", ?", size-1), part); err != nil {
			return err
		}
	}
	return nil
}

// judge gives a call its receipts or its error.
func (w *writing) judge(c *call) {
	if !w.jobs[c.job] {
		c.err = store.Errorf(store.NotFound, "there is no job %s", quoted(c.job))
		return
	}
	next, fresh := w.next, map[joblog.ID]store.Event{}
	var list []store.Event
	for _, e := range c.events {
		old, ok := w.known[e.ID]
		if !ok {
			old, ok = fresh[e.ID]
		}
		if !ok {
			e.Cursor = next
			next++
			fresh[e.ID] = e
			list = append(list, e)
			c.receipts = append(c.receipts, store.Receipt{ID: e.ID, Cursor: e.Cursor, Received: e.Received, New: true})
			continue
		}
		if !same(old.Raw, e.Raw) {
			c.receipts, c.err = nil, store.Errorf(store.Conflict, "event %s is stored with other content; nothing of this call was stored", e.ID)
			return
		}
		c.receipts = append(c.receipts, store.Receipt{ID: e.ID, Cursor: old.Cursor, Received: old.Received})
	}
	w.next = next
	w.fresh = append(w.fresh, list...)
	for id, e := range fresh {
		w.known[id] = e
	}
}

// same reports whether two texts are the same event: blanks between the parts
// do not count.
func same(a, b []byte) bool {
	if bytes.Equal(a, b) {
		return true
	}
	ea, errA := joblog.Decode(a)
	eb, errB := joblog.Decode(b)
	if errA != nil || errB != nil {
		return false
	}
	ta, errA := joblog.Encode(ea)
	tb, errB := joblog.Encode(eb)
	return errA == nil && errB == nil && bytes.Equal(ta, tb)
}

// rowsAtOnce is how many events one statement inserts.
const rowsAtOnce = 16

func (w *writing) insert(ctx context.Context) error {
	rest := w.fresh
	for len(rest) > 0 {
		part := rest[:1]
		if len(rest) >= rowsAtOnce {
			part = rest[:rowsAtOnce]
		}
		rest = rest[len(part):]
		var args []any
		for i := range part {
			args = append(append(args, w.place), events.fields(&part[i])...)
		}
		if _, err := w.q.exec(ctx, "INSERT INTO events (place, "+events.columns+") VALUES (?, ?, ?, ?, ?, ?)"+strings.Repeat(", (?, ?, ?, ?, ?, ?)", len(part)-1), args...); err != nil {
			return err
		}
	}
	return nil
}

// Events implements store.Log.
func (s *Store) Events(ctx context.Context, place store.PlaceID, job joblog.Job) (out []store.Event, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = events.list(ctx, q, no, "AND job = ? ORDER BY cursor", job)
		if err == nil && len(out) == 0 {
			_, err = jobs.get(ctx, q, no, job)
		}
		return err
	})
	return out, err
}

// After implements store.Log.
func (s *Store) After(ctx context.Context, place store.PlaceID, after store.Cursor, limit int) (out []store.Event, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = events.list(ctx, q, no, "AND cursor > ? ORDER BY cursor LIMIT ?", after, page(limit))
		return err
	})
	return out, err
}
