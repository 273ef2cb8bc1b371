package relational

import (
	"context"

	"elbowroom/joblog"
	"elbowroom/store"
)

var (
	papers = shape[store.Paper]{"papers", "job, kind, number, revision, at, by, type, content, customer", func(v *store.Paper) []any {
		return []any{&v.Job, &v.Kind, &v.Number, &v.Revision, &v.At, &v.By, &v.Type, &v.Content, &v.Customer}
	}}
	// paperHeads is a paper without its content.
	paperHeads = shape[store.Paper]{"papers", "job, kind, number, revision, at, by, type", func(v *store.Paper) []any {
		return []any{&v.Job, &v.Kind, &v.Number, &v.Revision, &v.At, &v.By, &v.Type}
	}}
	links = shape[store.Link]{"links", "token, job, kind, number, revision, by, since, expires, revoked", func(v *store.Link) []any {
		return []any{&v.Token, &v.Job, &v.Kind, &v.Number, &v.Revision, &v.By, &v.Since, &v.Expires, &v.Revoked}
	}}
)

func badPaper(p store.Paper) error {
	var c check
	c.id("the kind", p.Kind)
	c.given("the type", p.Type)
	c.moment("the time", p.At)
	c.ref("the author", string(p.By))
	if len(p.Content) == 0 {
		c.say("the content", "must be given")
	}
	if p.Number < 0 || p.Revision != 0 {
		c.say("the number", "must be 0 or that of a paper, and the revision is given by the store")
	}
	c.data("the content", p.Content, store.MaxPaper)
	c.data("the customer's part", p.Customer, store.MaxField)
	return c.err("the paper")
}

// Issue implements store.Papers.
func (s *Store) Issue(ctx context.Context, place store.PlaceID, p store.Paper) (store.Paper, error) {
	if err := badPaper(p); err != nil {
		return store.Paper{}, err
	}
	err := s.change(ctx, place, true, func(q db, no int64) error {
		if _, err := jobs.get(ctx, q, no, p.Job); err != nil {
			return err
		}
		if p.Number == 0 {
			p.Revision = 1
			if _, err := q.one(ctx, "SELECT COALESCE(MAX(number), 0) + 1 FROM papers WHERE place = ? AND kind = ?", []any{no, p.Kind}, &p.Number); err != nil {
				return err
			}
		} else {
			last, err := paperHeads.first(ctx, q, no, "paper of that kind and number of this job", "AND kind = ? AND number = ? AND job = ? ORDER BY revision DESC LIMIT 1", p.Kind, p.Number, p.Job)
			if err != nil {
				return err
			}
			p.Revision = last.Revision + 1
		}
		_, err := papers.insert(ctx, q, no, p)
		return err
	})
	if err != nil {
		return store.Paper{}, err
	}
	return p, nil
}

// Paper implements store.Papers.
func (s *Store) Paper(ctx context.Context, place store.PlaceID, kind string, number, revision int64) (p store.Paper, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		where, args := "AND kind = ? AND number = ? ORDER BY revision DESC LIMIT 1", []any{kind, number}
		if revision != 0 {
			where, args = "AND kind = ? AND number = ? AND revision = ?", append(args, revision)
		}
		p, err = papers.first(ctx, q, no, "paper of that kind, number and revision", where, args...)
		return err
	})
	return p, err
}

// PapersOf implements store.Papers.
func (s *Store) PapersOf(ctx context.Context, place store.PlaceID, job joblog.Job) (out []store.Paper, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = paperHeads.list(ctx, q, no, "AND job = ? ORDER BY at DESC, kind, number DESC, revision DESC", job)
		return err
	})
	return out, err
}

// PutLink implements store.Papers.
func (s *Store) PutLink(ctx context.Context, v store.Link) error {
	var c check
	c.hash("the token", v.Token)
	c.ref("the kind", v.Kind)
	c.moment("the beginning", v.Since)
	c.moment("the end", v.Expires)
	if err := c.err("the link"); err != nil {
		return err
	}
	return s.change(ctx, v.Place, true, func(q db, no int64) error {
		if _, err := jobs.get(ctx, q, no, v.Job); err != nil {
			return err
		}
		isNew, err := links.insert(ctx, q, no, v)
		if err == nil && !isNew {
			err = store.Errorf(store.Exists, "there is a link with that token already")
		}
		return err
	})
}

// Link implements store.Papers.
func (s *Store) Link(ctx context.Context, token store.Hash, now joblog.Moment) (store.Link, error) {
	var v store.Link
	err := s.read(ctx, func(q db) error {
		found, err := q.one(ctx, "SELECT p.id, l.token, l.job, l.kind, l.number, l.revision, l.by, l.since, l.expires, l.revoked FROM links l JOIN places p ON p.no = l.place WHERE l.token = ? AND l.revoked = 0 AND l.expires > ?",
			[]any{token, now}, append([]any{&v.Place}, links.fields(&v)...)...)
		if err == nil && !found {
			err = store.Errorf(store.NotFound, "there is no such link, or it has ended")
		}
		return err
	})
	return v, err
}

// LinksOf implements store.Papers.
func (s *Store) LinksOf(ctx context.Context, place store.PlaceID, job joblog.Job) (out []store.Link, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = links.list(ctx, q, no, "AND job = ? ORDER BY since DESC, token", job)
		for i := range out {
			out[i].Place = place
		}
		return err
	})
	return out, err
}

// RevokeLink implements store.Papers.
func (s *Store) RevokeLink(ctx context.Context, place store.PlaceID, token store.Hash, now joblog.Moment) error {
	return s.change(ctx, place, false, func(q db, no int64) error {
		n, err := q.exec(ctx, "UPDATE links SET revoked = CASE revoked WHEN 0 THEN ? ELSE revoked END WHERE place = ? AND token = ?", now, no, token)
		if err == nil && n == 0 {
			err = store.Errorf(store.NotFound, "there is no link with that token")
		}
		return err
	})
}
