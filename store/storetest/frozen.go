package storetest

import (
	"bytes"
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"elbowroom/store"
)

// Frozen looks that a database of a released version and a copy that the same
// version made of it are still read the same: migrated is a store that was
// opened on the database, empty one into which the copy in dir is restored.
func Frozen(t *testing.T, migrated, empty store.Store, dir string) {
	t.Helper()
	w := &world{Store: migrated, t: t}
	w.must1(empty.Restore(t.Context(), os.DirFS(dir)))
	a, b := w.copyOf(migrated), w.copyOf(empty)
	equal(t, "the files", slices.Sorted(maps.Keys(a.MapFS)), slices.Sorted(maps.Keys(b.MapFS)))
	for name, f := range a.MapFS {
		if !bytes.Equal(f.Data, b.MapFS[name].Data) {
			t.Errorf("%s differs:\n%s\n%s", name, f.Data, b.MapFS[name].Data)
		}
	}
	for _, place := range []store.PlaceID{here, there} {
		events, err := migrated.Events(t.Context(), place, "j1")
		w.must(err)
		want := notes("j1", "phone", 1, 5)
		if len(events) != len(want) {
			t.Fatalf("%d events of %d", len(events), len(want))
		}
		for i, e := range events {
			if !bytes.Equal(e.Raw, want[i].Raw) || e.Received != want[i].Received {
				t.Errorf("event %d came back as %s", i, e.Raw)
			}
		}
	}
	equal(t, "what is found", w.found("rattle"), "job/j1")
	equal(t, "the guide", w.found("v27"), "guide/v27p")
	receipts, err := migrated.Append(t.Context(), here, "j1", notes("j1", "later", 1, 1))
	w.must(err)
	equal(t, "work goes on after the migration", receipts[0].New, true)
}

// Pictures puts the pictures of the copy in dir where a store looks for them.
func Pictures(t *testing.T, dir string, into store.Blobs) {
	t.Helper()
	found := 0
	err := filepath.WalkDir(filepath.Join(dir, "pictures"), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		found++
		content, err := os.ReadFile(path)
		key := filepath.Base(filepath.Dir(path)) + "/" + filepath.Base(path)
		return errors.Join(err, into.Put(t.Context(), key, store.Sum(content), int64(len(content)), bytes.NewReader(content)))
	})
	if err != nil || found == 0 {
		t.Fatalf("%d pictures, %v", found, err)
	}
}
