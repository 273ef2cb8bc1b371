package folder

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"elbowroom/store"
	"elbowroom/store/storetest"
)

func TestBlobs(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "deep", "pictures")
	storetest.RunBlobs(t, New(dir))
	left := 0
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			left++
		}
		return err
	})
	if err != nil || left != 1 {
		t.Errorf("%d files are left, %v; one picture was kept", left, err)
	}
}

// TestKeys tries to leave the folder.
func TestKeys(t *testing.T) {
	x := store.Sum([]byte("x"))
	f := New(filepath.Join(t.TempDir(), "pictures"))
	for _, key := range []string{
		"", "/", x.String(), "../" + x.String(), "..", "north/../" + x.String(), "north/" + x.String() + "/..", "north/" + strings.ToUpper(x.String()),
		"a/b/" + x.String(), `a\b/` + x.String(), "./" + x.String(), ".git/" + x.String(), "/etc/passwd", "north/" + x.String()[1:], "c:/" + x.String(),
	} {
		if err := f.Put(t.Context(), key, x, 1, strings.NewReader("x")); !errors.Is(err, store.Refused) {
			t.Errorf("putting %q: %v", key, err)
		}
		if _, err := f.Open(t.Context(), key); !errors.Is(err, store.Refused) {
			t.Errorf("opening %q: %v", key, err)
		}
		if err := f.Delete(t.Context(), key); !errors.Is(err, store.Refused) {
			t.Errorf("deleting %q: %v", key, err)
		}
	}
}

// TestSweep removes what a killed program left and nothing else.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	f := New(dir)
	x := store.Sum([]byte("x"))
	if err := f.Put(t.Context(), "north/"+x.String(), x, 1, strings.NewReader("x")); err != nil {
		t.Fatal(err)
	}
	torn := filepath.Join(dir, "north", x.String()[:2], ".new-123")
	if err := os.WriteFile(torn, []byte("half"), 0o600); err != nil {
		t.Fatal(err)
	}
	if n, err := f.Sweep(); n != 1 || err != nil {
		t.Errorf("swept %d, %v", n, err)
	}
	r, err := f.Open(t.Context(), "north/"+x.String())
	if err != nil {
		t.Fatal(err)
	}
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	if n, err := New(filepath.Join(dir, "nothing")).Sweep(); n != 0 || err != nil {
		t.Errorf("of nothing it swept %d, %v", n, err)
	}
}
