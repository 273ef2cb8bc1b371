package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/relational"
	"elbowroom/store/storetest"
)

// raw opens a file without our schema.
func raw(t *testing.T, path string, statements ...string) {
	t.Helper()
	db, err := sql.Open("sqlite", source(path, Options{}, "_txlock=immediate"))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range statements {
		if _, err := db.Exec(s); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

func opened(t *testing.T, path string, pictures store.Blobs) *Store {
	t.Helper()
	s, err := Open(context.Background(), path, pictures, Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// frozen lists what released versions wrote: a database as SQL, and the copy
// that the same version made of it.
var frozen = []struct{ name, database, copied string }{
	{"version 1", "testdata/version1.sql", "../copies/testdata/version1"},
}

func TestFrozen(t *testing.T) {
	for _, f := range frozen {
		t.Run(f.name, func(t *testing.T) {
			text, err := os.ReadFile(f.database)
			if err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			path := filepath.Join(dir, "old.db")
			raw(t, path, string(text))
			pictures := folder.New(filepath.Join(dir, "pictures"))
			storetest.Pictures(t, f.copied, pictures)
			storetest.Frozen(t, opened(t, path, pictures), opened(t, filepath.Join(dir, "new.db"), folder.New(filepath.Join(dir, "more"))), f.copied)
		})
	}
}

func TestNewer(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	raw(t, path, schemaOnly, "UPDATE schema SET version = 99")
	before, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Open(t.Context(), path, folder.New(t.TempDir()), Options{}); !errors.Is(err, store.Newer) {
		t.Errorf("opening: %v", err)
	}
	after, err := os.ReadFile(path)
	if err != nil || string(after) != string(before) {
		t.Errorf("the file of the newer program changed, %v", err)
	}
}

const schemaOnly = "CREATE TABLE schema (version INTEGER NOT NULL); INSERT INTO schema VALUES (0);"

// TestSteps leads a store over steps that a later version may have.
func TestSteps(t *testing.T) {
	path := filepath.Join(t.TempDir(), "store.db")
	open := func(more ...string) (*relational.Store, error) {
		write, err := sql.Open("sqlite", source(path, Options{}, "_txlock=immediate"))
		if err != nil {
			t.Fatal(err)
		}
		write.SetMaxOpenConns(1)
		d := dialect(write, write)
		d.Steps = append(d.Steps, more...)
		s, err := relational.Open(t.Context(), d, folder.New(t.TempDir()))
		if err != nil {
			return nil, errors.Join(err, write.Close())
		}
		return s, nil
	}
	closed := func(s *relational.Store, err error) *relational.Store {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		return s
	}
	closed(open())
	second, third := "CREATE TABLE more (a INTEGER); INSERT INTO more VALUES (7)", "ALTER TABLE more ADD COLUMN b INTEGER"
	if _, err := open(second, "INSERT INTO more VALUES (8); ALTER TABLE nothing ADD COLUMN b INTEGER"); err == nil {
		t.Fatal("a step that fails goes through")
	}
	var wg sync.WaitGroup
	for range 4 { // several programs start at once
		wg.Go(func() {
			s, err := open(second, third)
			if err == nil {
				err = s.Close()
			}
			if err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if n := closed(open(second, third)).Schema(); n != 3 {
		t.Errorf("the schema is %d", n)
	}
	// Each step ran once, and nothing of the one that failed is there: a key
	// over what every row must be refuses anything else.
	raw(t, path, "CREATE TABLE seen (a INTEGER UNIQUE CHECK (a = 7), b INTEGER)", "INSERT INTO seen SELECT a, b FROM more")
	if _, err := open(); !errors.Is(err, store.Newer) {
		t.Errorf("the older program: %v", err)
	}
}
