package relational

import (
	"context"

	"elbowroom/store"
)

// Schema returns the version of the schema that this program writes.
func (s *Store) Schema() int { return len(s.d.Steps) }

// migrate leads the schema to the present version, each step with its number
// in one transaction.
func (s *Store) migrate(ctx context.Context) error {
	for {
		more := false
		conn, err := s.d.Write.Conn(ctx)
		if err != nil {
			return s.explain(err)
		}
		err = s.within(ctx, conn, s.d.Begin, func(q db) error {
			version, err := s.version(ctx, q)
			if err != nil {
				return err
			}
			if version > len(s.d.Steps) {
				return store.Errorf(store.Newer, "the store has schema %d and this program knows up to %d: use the newer program that made it", version, len(s.d.Steps))
			}
			if version == len(s.d.Steps) {
				return nil
			}
			more = true
			if _, err := q.ExecContext(ctx, s.d.Steps[version]); err != nil {
				return err
			}
			_, err = q.exec(ctx, "UPDATE schema SET version = ?", version+1)
			return err
		})
		if err != nil || !more {
			return s.explain(err)
		}
	}
}

// version reads the version of the schema; a new database gets version 0.
func (s *Store) version(ctx context.Context, q db) (version int, err error) {
	if s.d.LockSchema != "" {
		if _, err := q.ExecContext(ctx, s.d.LockSchema); err != nil {
			return 0, err
		}
	}
	if _, err := q.exec(ctx, "CREATE TABLE IF NOT EXISTS schema (version INTEGER NOT NULL)"); err != nil {
		return 0, err
	}
	found, err := q.one(ctx, "SELECT version FROM schema", nil, &version)
	if err == nil && !found {
		_, err = q.exec(ctx, "INSERT INTO schema (version) VALUES (0)")
	}
	return version, err
}
