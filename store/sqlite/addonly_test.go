package sqlite

import (
	"database/sql"
	"path/filepath"
	"strings"
	"testing"

	"elbowroom/store/folder"
	"elbowroom/store/storetest"
)

// TestAddOnly goes behind the store's back: what is only ever added to can be
// neither changed nor removed by a statement that slips in.
func TestAddOnly(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "store.db")
	storetest.Fill(t, opened(t, path, folder.New(dir)))
	db, err := sql.Open("sqlite", source(path, Options{}, "_txlock=immediate"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	}()
	for _, s := range storetest.Tampering {
		if _, err := db.Exec(s); err == nil || !strings.Contains(err.Error(), "never") {
			t.Errorf("%s: %v", s, err)
		}
	}
}
