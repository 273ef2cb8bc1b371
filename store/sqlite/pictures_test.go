package sqlite

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"elbowroom/store"
	"elbowroom/store/folder"
)

// TestDamagedPicture changes a picture behind the store's back.
func TestDamagedPicture(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(dir), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}()
	content := bytes.Repeat([]byte("jpeg"), 10_000)
	h := store.Sum(content)
	_, err = s.PutPlace(t.Context(), store.Place{ID: "north", Name: "N"})
	err = errors.Join(err, s.PutPicture(t.Context(), "north", store.Picture{Hash: h, Type: "image/jpeg", Size: int64(len(content)), Added: 1}, bytes.NewReader(content)))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "north", h.String()[:2], h.String())
	content[7] ^= 1
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	_, r, err := s.Picture(t.Context(), "north", h)
	if err != nil {
		t.Fatal(err)
	}
	_, err = io.ReadAll(r)
	if err = errors.Join(err, r.Close()); !errors.Is(err, store.Damaged) {
		t.Errorf("reading the changed picture: %v", err)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Picture(t.Context(), "north", h); !errors.Is(err, store.Damaged) {
		t.Errorf("reading the lost picture: %v", err)
	}
}
