package desk

import (
	"context"
	"fmt"

	"elbowroom/joblog"
	"elbowroom/store"
)

// held is the events of a job as they were read, kept in memory so that the
// next look at the job reads and decodes only what is new. It is never changed,
// only replaced.
type held struct {
	events []heldEvent
	cursor store.Cursor // every event of the job up to here is among them
}

// heldEvent is a stored event with what it says.
type heldEvent struct {
	store.Event
	says joblog.Event
}

// Bounds of what is held.
const (
	mostHeld   = 256 // jobs
	heldEvents = 4000
	heldPages  = 4 // of other jobs' events that are looked through for new ones of this one
)

// events returns every event of a job. What was held is completed from the
// events of the place that have come since: cursors rise in the order in which
// events become visible, so none is missed.
func (d *Desk) events(ctx context.Context, place store.PlaceID, job joblog.Job) (*held, error) {
	key := string(place) + "/" + string(job)
	d.mu.Lock()
	h := d.held[key]
	d.mu.Unlock()
	var err error
	if h != nil {
		if h, err = d.completed(ctx, place, job, h); err != nil {
			return nil, err
		}
	}
	if h == nil {
		if h, err = d.readAll(ctx, place, job); err != nil {
			return nil, err
		}
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if old := d.held[key]; len(h.events) <= heldEvents && (old == nil || old.cursor <= h.cursor) {
		if len(d.held) >= mostHeld && old == nil {
			clear(d.held)
		}
		d.held[key] = h
	}
	return h, nil
}

func (d *Desk) readAll(ctx context.Context, place store.PlaceID, job joblog.Job) (*held, error) {
	list, err := d.keep.Events(ctx, place, job)
	if err != nil {
		return nil, err
	}
	return (&held{}).with(list)
}

// completed adds what has come since; nil when that is more than it is worth
// looking through.
func (d *Desk) completed(ctx context.Context, place store.PlaceID, job joblog.Job, h *held) (*held, error) {
	var mine []store.Event
	cursor := h.cursor
	for range heldPages {
		page, err := d.keep.After(ctx, place, cursor, store.MaxPage)
		if err != nil {
			return nil, err
		}
		for _, e := range page {
			cursor = max(cursor, e.Cursor)
			if e.Job == job {
				mine = append(mine, e)
			}
		}
		if len(page) < store.MaxPage {
			next, err := h.with(mine)
			if err == nil {
				next.cursor = max(next.cursor, cursor)
			}
			return next, err
		}
	}
	return nil, nil
}

// with returns the held events and some more.
func (h *held) with(list []store.Event) (*held, error) {
	next := &held{events: h.events[:len(h.events):len(h.events)], cursor: h.cursor}
	for _, e := range list {
		says, err := joblog.Decode(e.Raw)
		if err != nil {
			return nil, fmt.Errorf("%w: event %s of job %s: %w", store.Damaged, e.ID, e.Job, err)
		}
		next.events = append(next.events, heldEvent{e, says})
		next.cursor = max(next.cursor, e.Cursor)
	}
	return next, nil
}
