package relational

import (
	"context"

	"elbowroom/store"
)

var (
	trail = shape[store.Entry]{"trail", "number, at, person, came_from, did, done_on, says", func(v *store.Entry) []any {
		return []any{&v.Number, &v.At, &v.Person, &v.From, &v.Did, &v.On, &v.Says}
	}}
	settings = record[store.Setting]{shape[store.Setting]{"settings", "name, value, version", func(v *store.Setting) []any {
		return []any{&v.Name, &v.Value, &v.Version}
	}}, "setting"}
)

// Note implements store.Trail.
func (s *Store) Note(ctx context.Context, place store.PlaceID, e store.Entry) error {
	var c check
	c.given("what was done", e.Did)
	c.moment("the time", e.At)
	c.fields("the person", string(e.Person), "the address", e.From, "the object", e.On, "the remark", e.Says)
	if err := c.err("the entry"); err != nil {
		return err
	}
	return s.change(ctx, place, true, func(q db, no int64) error {
		if _, err := q.one(ctx, "SELECT COALESCE(MAX(number), 0) + 1 FROM trail WHERE place = ?", []any{no}, &e.Number); err != nil {
			return err
		}
		_, err := trail.insert(ctx, q, no, e)
		return err
	})
}

// Trail implements store.Trail.
func (s *Store) Trail(ctx context.Context, place store.PlaceID, before int64, limit int) (out []store.Entry, err error) {
	if before <= 0 {
		before = 1<<63 - 1
	}
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = trail.list(ctx, q, no, "AND number < ? ORDER BY number DESC LIMIT ?", before, page(limit))
		return err
	})
	return out, err
}

// everywhere is the number of the place of settings for the whole installation.
const everywhere = 0

// numberOrEverywhere also knows the place Everywhere.
func (s *Store) numberOrEverywhere(ctx context.Context, q db, place store.PlaceID) (int64, error) {
	if place == store.Everywhere {
		return everywhere, nil
	}
	return s.number(ctx, q, place)
}

// Setting implements store.Settings.
func (s *Store) Setting(ctx context.Context, place store.PlaceID, name string) (v store.Setting, err error) {
	err = s.read(ctx, func(q db) error {
		no, err := s.numberOrEverywhere(ctx, q, place)
		if err != nil {
			return err
		}
		v, err = settings.get(ctx, q, no, name)
		return err
	})
	return v, err
}

// PutSetting implements store.Settings.
func (s *Store) PutSetting(ctx context.Context, place store.PlaceID, v store.Setting) (int64, error) {
	var c check
	c.id("the name", v.Name)
	c.data("the value", v.Value, store.MaxField)
	if err := c.err("the setting"); err != nil {
		return 0, err
	}
	var version int64
	err := s.write(ctx, func(q db) error {
		no, err := s.numberOrEverywhere(ctx, q, place)
		if err != nil {
			return err
		}
		version, err = settings.put(ctx, q, no, v)
		return err
	})
	return version, err
}
