package relational

import (
	"context"
	"crypto/sha256"
	"errors"
	"hash"
	"io"
	"strings"

	"elbowroom/joblog"
	"elbowroom/store"
)

var pictures = shape[store.Picture]{"pictures", "hash, type, size, job, event, added", func(v *store.Picture) []any {
	return []any{&v.Hash, &v.Type, &v.Size, &v.Job, &v.Event, &v.Added}
}}

// key is where the bytes of a picture lie.
func key(place store.PlaceID, h store.Hash) string { return string(place) + "/" + h.String() }

func badPicture(v store.Picture) error {
	var c check
	c.hash("the hash", v.Hash)
	c.given("the type", v.Type)
	if !strings.Contains(v.Type, "/") {
		c.say("the type", "must be a media type such as image/jpeg, and "+quoted(v.Type)+" is not")
	}
	if v.Size <= 0 {
		c.say("the size", "must be given")
	}
	c.moment("the time", v.Added)
	return c.err("the picture")
}

// PutPicture implements store.Pictures. The bytes are kept before the row that
// names them: what is cut off in between is a file that nobody names.
func (s *Store) PutPicture(ctx context.Context, place store.PlaceID, v store.Picture, content io.Reader) error {
	if err := badPicture(v); err != nil {
		return err
	}
	err := s.at(ctx, place, func(q db, no int64) error {
		if v.Job == "" {
			return nil
		}
		_, err := jobs.get(ctx, q, no, v.Job)
		return err
	})
	if err != nil {
		return err
	}
	if err := s.blobs.Put(ctx, key(place, v.Hash), v.Hash, v.Size, content); err != nil {
		return err
	}
	return s.change(ctx, place, false, func(q db, no int64) error {
		_, err := pictures.insert(ctx, q, no, v)
		return err
	})
}

// Picture implements store.Pictures.
func (s *Store) Picture(ctx context.Context, place store.PlaceID, h store.Hash) (store.Picture, io.ReadCloser, error) {
	var v store.Picture
	err := s.at(ctx, place, func(q db, no int64) (err error) {
		v, err = pictures.first(ctx, q, no, "picture "+h.String(), "AND hash = ? ORDER BY job LIMIT 1", h)
		return err
	})
	if err != nil {
		return v, nil, err
	}
	content, err := s.blobs.Open(ctx, key(place, h))
	if store.CodeOf(err) == store.NotFound {
		err = store.Errorf(store.Damaged, "the picture %s is known but its content is gone: restore a backup", h)
	}
	if err != nil {
		return v, nil, err
	}
	return v, &checked{ReadCloser: content, sum: sha256.New(), want: h}, nil
}

// checked is the content of a picture; its end is an error when the content is
// not any more what was put there.
type checked struct {
	io.ReadCloser
	sum  hash.Hash
	want store.Hash
}

func (c *checked) Read(b []byte) (int, error) {
	n, err := c.ReadCloser.Read(b)
	c.sum.Write(b[:n])
	if errors.Is(err, io.EOF) && store.Hash(c.sum.Sum(nil)) != c.want {
		err = store.Errorf(store.Damaged, "the picture %s is not any more what was put there: restore a backup", c.want)
	}
	return n, err
}

// PicturesOf implements store.Pictures.
func (s *Store) PicturesOf(ctx context.Context, place store.PlaceID, job joblog.Job) (out []store.Picture, err error) {
	err = s.at(ctx, place, func(q db, no int64) (err error) {
		out, err = pictures.list(ctx, q, no, "AND job = ? ORDER BY added, hash", job)
		return err
	})
	return out, err
}
