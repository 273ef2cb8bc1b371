package relational

import (
	"context"
	"errors"
	"sync"

	"elbowroom/store"
)

// Store is a store in a relational database.
type Store struct {
	d      Dialect
	blobs  store.Blobs
	texts  sync.Map // statement to statement in the form of the dialect
	places sync.Map // store.PlaceID to its number
	gather gatherer
	hub    hub

	mu      sync.Mutex
	closed  bool
	running sync.WaitGroup
}

// Open brings the schema up to date and returns the store. Newer when the
// database was made by a newer program.
func Open(ctx context.Context, d Dialect, blobs store.Blobs) (*Store, error) {
	s := &Store{d: d, blobs: blobs}
	s.gather.commit = s.commit
	s.hub.look, s.hub.every = s.newest, d.PollEvery
	if err := s.migrate(ctx); err != nil {
		return nil, err
	}
	return s, nil
}

// begin counts one more call that is running; the caller says Done.
func (s *Store) begin() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return errClosed
	}
	s.running.Add(1)
	return nil
}

var errClosed = errors.New("store: it is closed")

// Close waits for what is being written, ends every watch and closes the
// connections.
func (s *Store) Close() error {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		return nil
	}
	s.closed = true
	s.mu.Unlock()
	s.hub.close()
	s.running.Wait()
	var errs []error
	if s.d.Close != nil {
		errs = append(errs, s.d.Close())
	}
	errs = append(errs, s.d.Write.Close())
	if s.d.Read != s.d.Write {
		errs = append(errs, s.d.Read.Close())
	}
	return errors.Join(errs...)
}

// number returns the number of a place, or NotFound.
func (s *Store) number(ctx context.Context, q db, id store.PlaceID) (int64, error) {
	if n, ok := s.places.Load(id); ok {
		return n.(int64), nil
	}
	var n int64
	found, err := q.one(ctx, "SELECT no FROM places WHERE id = ?", []any{id}, &n)
	if err != nil {
		return 0, err
	}
	if !found {
		return 0, store.Errorf(store.NotFound, "there is no place %q", id)
	}
	return n, nil
}

// at runs fn for reading at a place.
func (s *Store) at(ctx context.Context, id store.PlaceID, fn func(q db, place int64) error) error {
	return s.read(ctx, func(q db) error {
		n, err := s.number(ctx, q, id)
		if err != nil {
			return err
		}
		s.places.Store(id, n)
		return fn(q, n)
	})
}

// change runs fn in a transaction at a place. Those that must not overlap at a
// place keep its row.
func (s *Store) change(ctx context.Context, id store.PlaceID, alone bool, fn func(q db, place int64) error) error {
	return s.write(ctx, func(q db) error {
		n, err := s.number(ctx, q, id)
		if err != nil {
			return err
		}
		if alone {
			if _, err := q.one(ctx, "SELECT no FROM places WHERE no = ?"+s.d.ForUpdate, []any{n}, new(int64)); err != nil {
				return err
			}
		}
		return fn(q, n)
	})
}
