package sqlite

import (
	"database/sql"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"elbowroom/store"
	"elbowroom/store/folder"
)

// TestBusy lets another program keep the file for longer than a call waits.
func TestBusy(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "store.db")
	s, err := Open(t.Context(), path, folder.New(dir), Options{Wait: 50 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}()
	other, err := sql.Open("sqlite", source(path, Options{}, "_txlock=immediate"))
	if err != nil {
		t.Fatal(err)
	}
	tx, err := other.Begin()
	if err != nil {
		t.Fatal(err)
	}
	place := store.Place{ID: "north", Name: "N"}
	if _, err := s.PutPlace(t.Context(), place); !errors.Is(err, store.Busy) {
		t.Errorf("while another program writes: %v", err)
	}
	if list, err := s.Places(t.Context()); err != nil || len(list) != 0 {
		t.Errorf("reading meanwhile: %v, %v", list, err)
	}
	if err := errors.Join(tx.Rollback(), other.Close()); err != nil {
		t.Fatal(err)
	}
	if _, err := s.PutPlace(t.Context(), place); err != nil {
		t.Errorf("afterwards: %v", err)
	}
}
