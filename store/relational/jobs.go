package relational

import (
	"context"
	"strings"

	"elbowroom/joblog"
	"elbowroom/store"
)

var jobs = record[store.Job]{shape[store.Job]{"jobs", "id, title, machine, customer, stands, state, opened, closed, updated, pin_guide, pin_revision, pin_date, pin_hash, words, data, version", func(v *store.Job) []any {
	return []any{
		&v.ID, &v.Title, &v.Machine, &v.Customer, &v.Stands, &v.State, &v.Opened, &v.Closed, &v.Updated,
		&v.Pin.Guide, &v.Pin.Revision, &v.Pin.Date, &v.Pin.Hash, &v.Words, &v.Data, &v.Version,
	}
}}, "job"}

// Jobs implements store.Jobs.
func (s *Store) Jobs(ctx context.Context, place store.PlaceID, f store.JobFilter) (out []store.Job, err error) {
	where, args := narrowed(f)
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = jobs.list(ctx, q, no, where+" ORDER BY updated DESC, id LIMIT ?", append(args, page(f.Limit))...)
		return err
	})
	return out, err
}

func narrowed(f store.JobFilter) (where string, args []any) {
	switch f.Standing {
	case store.OpenOnly:
		where = "AND closed = 0"
	case store.ClosedOnly:
		where = "AND closed <> 0"
	}
	if len(f.States) > 0 {
		where += " AND state IN (?" + strings.Repeat(", ?", len(f.States)-1) + ")"
		for _, state := range f.States {
			args = append(args, state)
		}
	}
	if f.Machine != "" {
		where, args = where+" AND machine = ?", append(args, f.Machine)
	}
	if f.Customer != "" {
		where, args = where+" AND customer = ?", append(args, f.Customer)
	}
	if f.After != nil {
		where, args = where+" AND updated <= ? AND (updated < ? OR id > ?)", append(args, f.After.Updated, f.After.Updated, f.After.ID)
	}
	return where, args
}

// Job implements store.Jobs.
func (s *Store) Job(ctx context.Context, place store.PlaceID, id joblog.Job) (v store.Job, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		v, err = jobs.get(ctx, q, no, id)
		return err
	})
	return v, err
}

func badJob(v store.Job) error {
	var c check
	c.name("the id", string(v.ID))
	c.given("the title", v.Title)
	c.given("the state", v.State)
	c.moment("the time of opening", v.Opened)
	c.moment("the time of the last change", v.Updated)
	c.fields("where it stands", v.Stands, "the guide", string(v.Pin.Guide), "the revision", v.Pin.Revision, "its date", v.Pin.Date, "its hash", v.Pin.Hash, "the words to find it by", v.Words)
	c.data("the data", v.Data, store.MaxField)
	return c.err("the job")
}

// PutJob implements store.Jobs.
func (s *Store) PutJob(ctx context.Context, place store.PlaceID, v store.Job) (int64, error) {
	if err := badJob(v); err != nil {
		return 0, err
	}
	var version int64
	err := s.change(ctx, place, false, func(q db, no int64) error {
		words := []string{string(v.ID), v.Title, v.Stands, string(v.Pin.Guide), v.Words}
		if v.Customer != "" {
			if _, err := customers.get(ctx, q, no, v.Customer); err != nil {
				return err
			}
		}
		if v.Machine != "" {
			if _, err := machines.get(ctx, q, no, v.Machine); err != nil {
				return err
			}
			words = append(words, string(v.Machine))
		}
		var err error
		if version, err = jobs.put(ctx, q, no, v); err != nil {
			return err
		}
		return index(ctx, q, no, store.Hit{Kind: store.HitJob, ID: string(v.ID), Title: v.Title}, words...)
	})
	return version, err
}
