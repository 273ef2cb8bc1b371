package sqlite

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"elbowroom/store"
	"elbowroom/store/folder"
)

// TestErasedIsGone looks for an erased customer in the bytes of the files.
func TestErasedIsGone(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "store.db")
	s := opened(t, path, folder.New(dir))
	const secret = "Quillfeather"
	plate := "ZZ99SECRETPLATE"
	ctx := t.Context()
	_, err := s.PutPlace(ctx, store.Place{ID: "north", Name: "N"})
	_, err1 := s.PutCustomer(ctx, "north", store.Customer{ID: "c1", Name: secret, Note: secret})
	_, err2 := s.PutMachine(ctx, "north", store.Machine{ID: "m1", Name: "green one", Plate: plate, Customer: "c1"})
	_, err3 := s.PutJob(ctx, "north", store.Job{ID: "j1", Title: "rattle", Customer: "c1", Machine: "m1", State: "in", Opened: 1, Updated: 1})
	_, err4 := s.Issue(ctx, "north", store.Paper{Job: "j1", Kind: "quote", At: 1, Type: "text/plain", Content: []byte("200"), Customer: []byte(secret)})
	if err := errors.Join(err, err1, err2, err3, err4); err != nil {
		t.Fatal(err)
	}
	inFiles := func(text string) (found []string) {
		for _, name := range []string{path, path + "-wal"} {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(bytes.ToLower(data), bytes.ToLower([]byte(text))) {
				found = append(found, filepath.Base(name))
			}
		}
		return found
	}
	for _, text := range []string{secret, plate} {
		if len(inFiles(text)) == 0 {
			t.Fatalf("%s is not in the files before; the test would check nothing", text)
		}
	}
	if err := s.Erase(ctx, "north", "c1", 2); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{secret, plate} {
		if found := inFiles(text); len(found) > 0 {
			t.Errorf("%s is still in %v", text, found)
		}
	}
}

// TestPrivate looks at who may read the files.
func TestPrivate(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "data")
	path := filepath.Join(dir, "store.db")
	opened(t, path, folder.New(dir))
	for _, name := range []string{dir, path, path + "-wal", path + "-shm"} {
		info, err := os.Stat(name)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s has the rights %v: others than its owner may look", name, info.Mode().Perm())
		}
	}
}
