package relational

import (
	"context"
	"time"

	"elbowroom/joblog"
	"elbowroom/store"
)

var sessions = shape[store.Session]{"sessions", "token, person, device, since, expires, revoked", func(v *store.Session) []any {
	return []any{&v.Token, &v.Person, &v.Device, &v.Since, &v.Expires, &v.Revoked}
}}

// PutSession implements store.Sessions.
func (s *Store) PutSession(ctx context.Context, v store.Session) error {
	var c check
	c.hash("the token", v.Token)
	c.moment("the beginning", v.Since)
	c.moment("the end", v.Expires)
	c.fields("the device", v.Device)
	if err := c.err("the session"); err != nil {
		return err
	}
	return s.change(ctx, v.Place, false, func(q db, no int64) error {
		if _, err := people.get(ctx, q, no, v.Person); err != nil {
			return err
		}
		isNew, err := sessions.insert(ctx, q, no, v)
		if err == nil && !isNew {
			err = store.Errorf(store.Exists, "there is a session with that token already")
		}
		return err
	})
}

const holds = "revoked = 0 AND expires > ?"

// Session implements store.Sessions.
func (s *Store) Session(ctx context.Context, token store.Hash, now joblog.Moment) (store.Session, error) {
	var v store.Session
	err := s.read(ctx, func(q db) error {
		found, err := q.one(ctx, "SELECT p.id, s.token, s.person, s.device, s.since, s.expires, s.revoked FROM sessions s JOIN places p ON p.no = s.place JOIN people w ON w.place = s.place AND w.id = s.person WHERE s.token = ? AND s.revoked = 0 AND s.expires > ? AND w.disabled = 0",
			[]any{token, now}, append([]any{&v.Place}, sessions.fields(&v)...)...)
		if err == nil && !found {
			err = store.Errorf(store.NotFound, "nobody is signed in with that token")
		}
		return err
	})
	return v, err
}

// SessionsOf implements store.Sessions.
func (s *Store) SessionsOf(ctx context.Context, place store.PlaceID, person joblog.Person, now joblog.Moment) ([]store.Session, error) {
	var out []store.Session
	err := s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = sessions.list(ctx, q, no, "AND person = ? AND "+holds+" ORDER BY since DESC, token", person, now)
		for i := range out {
			out[i].Place = place
		}
		return err
	})
	return out, err
}

// Extend implements store.Sessions.
func (s *Store) Extend(ctx context.Context, token store.Hash, now, expires joblog.Moment) error {
	return s.write(ctx, func(q db) error {
		n, err := q.exec(ctx, "UPDATE sessions SET expires = ? WHERE token = ? AND "+holds, expires, token, now)
		if err == nil && n == 0 {
			err = store.Errorf(store.NotFound, "nobody is signed in with that token")
		}
		return err
	})
}

// Revoke implements store.Sessions.
func (s *Store) Revoke(ctx context.Context, place store.PlaceID, token store.Hash, now joblog.Moment) error {
	return s.change(ctx, place, false, func(q db, no int64) error {
		n, err := q.exec(ctx, "UPDATE sessions SET revoked = CASE revoked WHEN 0 THEN ? ELSE revoked END WHERE place = ? AND token = ?", now, no, token)
		if err == nil && n == 0 {
			err = store.Errorf(store.NotFound, "there is no session with that token")
		}
		return err
	})
}

// RevokeAll implements store.Sessions.
func (s *Store) RevokeAll(ctx context.Context, place store.PlaceID, person joblog.Person, now joblog.Moment) (int, error) {
	var n int64
	err := s.change(ctx, place, false, func(q db, no int64) (err error) {
		n, err = q.exec(ctx, "UPDATE sessions SET revoked = ? WHERE place = ? AND person = ? AND "+holds, now, no, person, now)
		return err
	})
	return int(n), err
}

// Attempt implements store.Sessions.
func (s *Store) Attempt(ctx context.Context, key string, now joblog.Moment, window time.Duration) (int, error) {
	var c check
	c.given("the key", key)
	c.moment("the time", now)
	if err := c.err("the attempt"); err != nil {
		return 0, err
	}
	var n int
	err := s.write(ctx, func(q db) error {
		begun := now.Add(-window)
		_, err := q.one(ctx, `INSERT INTO attempts (name, began, count) VALUES (?, ?, 1)
			ON CONFLICT (name) DO UPDATE SET
			began = CASE WHEN attempts.began > ? THEN attempts.began ELSE excluded.began END,
			count = CASE WHEN attempts.began > ? THEN attempts.count + 1 ELSE 1 END
			RETURNING count`, []any{key, now, begun, begun}, &n)
		return err
	})
	return n, err
}

// ForgetAttempts implements store.Sessions.
func (s *Store) ForgetAttempts(ctx context.Context, key string) error {
	return s.write(ctx, func(q db) error {
		_, err := q.exec(ctx, "DELETE FROM attempts WHERE name = ?", key)
		return err
	})
}

// Sweep implements store.Sessions.
func (s *Store) Sweep(ctx context.Context, before joblog.Moment) error {
	return s.write(ctx, func(q db) error {
		for _, table := range []string{"sessions", "links"} {
			if _, err := q.exec(ctx, "DELETE FROM "+table+" WHERE expires < ? OR revoked <> 0 AND revoked < ?", before, before); err != nil {
				return err
			}
		}
		_, err := q.exec(ctx, "DELETE FROM attempts WHERE began < ?", before)
		return err
	})
}
