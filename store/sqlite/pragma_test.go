package sqlite

import (
	"database/sql"
	"path/filepath"
	"testing"
)

// TestSettings asks a connection how it is set: a driver that did not
// understand one of the settings would say nothing.
func TestSettings(t *testing.T) {
	db, err := sql.Open("sqlite", source(filepath.Join(t.TempDir(), "odd name?#%.db"), Options{MostPages: 1234}, "_txlock=immediate"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	}()
	for name, want := range map[string]string{
		"journal_mode": "wal", "synchronous": "2", "secure_delete": "1", "busy_timeout": "10000",
		"trusted_schema": "0", "max_page_count": "1234", "cache_size": "-16384",
	} {
		var got string
		if err := db.QueryRow("PRAGMA " + name).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %s, %v; it must be %s", name, got, err, want)
		}
	}
}
