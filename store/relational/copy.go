package relational

import (
	"context"
	"io/fs"

	"elbowroom/store"
)

// Backup implements store.Copies.
func (s *Store) Backup(ctx context.Context, to store.Sink) (store.Summary, error) {
	return store.Summary{}, nil
}

// Restore implements store.Copies.
func (s *Store) Restore(ctx context.Context, from fs.FS) (store.Summary, error) {
	return store.Summary{}, nil
}
