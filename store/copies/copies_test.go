package copies

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/sqlite"
)

// open opens a store in a new folder.
func open(t *testing.T) *sqlite.Store {
	t.Helper()
	dir := t.TempDir()
	s, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), sqlite.Options{})
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

// fill puts a place, a guide and a picture into a store.
func fill(t *testing.T, s store.Store) (picture []byte) {
	t.Helper()
	const noon = joblog.Moment(1_780_000_000_000)
	picture = bytes.Repeat([]byte("jpeg"), 10_000)
	_, err := s.PutPlace(t.Context(), store.Place{ID: "north", Name: "North"})
	_, err2 := s.PutText(t.Context(), "north", store.Draft{Kind: store.Guide, Name: "v27p", Text: []byte("engine: é\n"), At: noon})
	err3 := s.PutPicture(t.Context(), "north", store.Picture{Hash: store.Sum(picture), Type: "image/jpeg", Size: int64(len(picture)), Added: noon}, bytes.NewReader(picture))
	if err := errors.Join(err, err2, err3); err != nil {
		t.Fatal(err)
	}
	return picture
}

func TestBackupAndRestore(t *testing.T) {
	for _, name := range []string{"copy", "copy.zip"} {
		t.Run(name, func(t *testing.T) {
			from := open(t)
			picture := fill(t, from)
			path := filepath.Join(t.TempDir(), "deep", name)
			made, err := Backup(t.Context(), from, path)
			if err != nil {
				t.Fatal(err)
			}
			if made.Rows["places"] != 1 || made.Pictures != 1 || made.Bytes < int64(len(picture)) {
				t.Errorf("the copy holds %+v", made)
			}
			if _, err := Backup(t.Context(), from, path); !errors.Is(err, store.Exists) {
				t.Errorf("a second copy at the same path: %v", err)
			}
			to := open(t)
			read, err := Restore(t.Context(), to, path)
			if err != nil {
				t.Fatal(err)
			}
			if read.Rows["places"] != 1 || read.Pictures != 1 {
				t.Errorf("restored %+v", read)
			}
			_, text, err := to.Text(t.Context(), "north", store.Guide, "v27p")
			if err != nil || string(text) != "engine: é\n" {
				t.Errorf("the guide is %q, %v", text, err)
			}
			left, err := os.ReadDir(filepath.Dir(path))
			if err != nil || len(left) != 1 {
				t.Errorf("beside the copy lies %v, %v", left, err)
			}
		})
	}
}

// TestReadable reads what a copy holds without this program's help.
func TestReadable(t *testing.T) {
	from := open(t)
	picture := fill(t, from)
	dir := filepath.Join(t.TempDir(), "copy")
	if _, err := Backup(t.Context(), from, dir); err != nil {
		t.Fatal(err)
	}
	guide, err := os.ReadFile(filepath.Join(dir, "texts", "north", store.Sum([]byte("engine: é\n")).String()+".yaml"))
	if err != nil || string(guide) != "engine: é\n" {
		t.Errorf("the guide's file holds %q, %v", guide, err)
	}
	back, err := os.ReadFile(filepath.Join(dir, "pictures", "north", store.Sum(picture).String()))
	if err != nil || !bytes.Equal(back, picture) {
		t.Errorf("the picture's file differs, %v", err)
	}
	places, err := os.ReadFile(filepath.Join(dir, "rows", "places.jsonl"))
	if err != nil || !strings.Contains(string(places), `"name":"North"`) {
		t.Errorf("the places' file holds %s, %v", places, err)
	}
}

func TestFailedBackupLeavesNothing(t *testing.T) {
	// A picture whose bytes are gone cannot be copied.
	dir := filepath.Join(t.TempDir(), "store")
	lost, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := lost.Close(); err != nil {
			t.Error(err)
		}
	}()
	picture := fill(t, lost)
	hash := store.Sum(picture).String()
	if err := os.Remove(filepath.Join(dir, "pictures", "north", hash[:2], hash)); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"copy", "copy.zip"} {
		out := t.TempDir()
		if _, err := Backup(t.Context(), lost, filepath.Join(out, name)); !errors.Is(err, store.Damaged) {
			t.Errorf("%s: %v", name, err)
		}
		if left, err := os.ReadDir(out); err != nil || len(left) > 0 {
			t.Errorf("%s: %v is left, %v", name, left, err)
		}
	}
}

func TestTornZip(t *testing.T) {
	from := open(t)
	fill(t, from)
	path := filepath.Join(t.TempDir(), "copy.zip")
	if _, err := Backup(t.Context(), from, path); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	to := open(t)
	for _, n := range []int{0, 1, len(whole) / 4, len(whole) / 2, len(whole) - 100, len(whole) - 1} {
		if err := os.WriteFile(path, whole[:n], 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Restore(t.Context(), to, path); !errors.Is(err, store.Damaged) {
			t.Errorf("%d of %d bytes: %v", n, len(whole), err)
		}
	}
	if _, err := Restore(t.Context(), to, path+"x"); !errors.Is(err, store.NotFound) {
		t.Errorf("no copy at all: %v", err)
	}
	if list, err := to.Places(t.Context()); err != nil || len(list) > 0 {
		t.Errorf("places are there: %v, %v", list, err)
	}
}

// FuzzRestore reads anything as a copy; nothing but a whole copy gets in.
func FuzzRestore(f *testing.F) {
	dir := f.TempDir()
	s, err := sqlite.Open(f.Context(), filepath.Join(dir, "s.db"), folder.New(dir), sqlite.Options{})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() {
		if err := s.Close(); err != nil {
			f.Error(err)
		}
	})
	f.Add([]byte(`{"format":1,"schema":1,"rows":{},"files":[],"seal":""}`))
	f.Add([]byte(`{"format":1,"schema":1,"files":[{"name":"../../x","size":-1}]}`))
	f.Fuzz(func(t *testing.T, manifest []byte) {
		in := t.TempDir()
		if err := os.WriteFile(filepath.Join(in, "manifest.json"), manifest, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := Restore(t.Context(), s, in); err == nil {
			t.Fatal("something that is no copy was restored")
		} else if c := store.CodeOf(err); c != store.Damaged && c != store.Newer {
			t.Fatalf("the error is %v", err)
		}
	})
}
