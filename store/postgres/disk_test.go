//go:build postgres

package postgres

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/storetest"
)

// admin runs statements on a database beside the store.
func admin(t *testing.T, source string, statements ...string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), source)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range statements {
		if _, err := conn.Exec(t.Context(), s); err != nil {
			t.Fatal(err)
		}
	}
	if err := conn.Close(t.Context()); err != nil {
		t.Error(err)
	}
}

func open(t *testing.T, source string) store.Store {
	t.Helper()
	s, err := Open(context.Background(), source, folder.New(t.TempDir()), Options{})
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

// TestFullDisk lets the server answer as it does when it cannot extend a file:
// SQLSTATE 53100, disk_full, after a hundred events.
func TestFullDisk(t *testing.T) {
	source := database(t)
	s := open(t, source)
	admin(t, source,
		`CREATE FUNCTION full_disk() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
			IF (SELECT count(*) FROM events) >= 99 THEN RAISE EXCEPTION USING ERRCODE = '53100', MESSAGE = 'could not extend file'; END IF;
			RETURN new; END $$`,
		`CREATE TRIGGER full_disk BEFORE INSERT ON events FOR EACH ROW EXECUTE FUNCTION full_disk()`,
		`CREATE FUNCTION full_disk_now() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
			RAISE EXCEPTION USING ERRCODE = '53100', MESSAGE = 'could not extend file'; END $$`,
		`CREATE TRIGGER full_disk BEFORE INSERT ON texts FOR EACH ROW EXECUTE FUNCTION full_disk_now()`)
	full := storetest.FillUp(t, s)
	admin(t, source, "DROP TRIGGER full_disk ON events", "DROP TRIGGER full_disk ON texts")
	full.Goes(t, s)
}

// TestReadOnly opens a database that may only be read, as a standby is.
func TestReadOnly(t *testing.T) {
	source := database(t)
	open(t, source)
	s, err := Open(t.Context(), source+" default_transaction_read_only=on", folder.New(t.TempDir()), Options{})
	if err == nil {
		_, err = s.PutPlace(t.Context(), store.Place{ID: "north", Name: "N"})
		err = errors.Join(err, s.Close())
	}
	if !errors.Is(err, store.ReadOnly) {
		t.Errorf("writing: %v", err)
	}
}

// TestUnsafeServer refuses a server that forgets what it acknowledged.
func TestUnsafeServer(t *testing.T) {
	source := database(t)
	admin(t, source, "ALTER SYSTEM SET full_page_writes = off", "SELECT pg_reload_conf()")
	defer admin(t, source, "ALTER SYSTEM RESET full_page_writes", "SELECT pg_reload_conf()")
	var err error
	for range 100 { // the server reads its configuration when it gets to it
		var s *Store
		if s, err = Open(t.Context(), source, folder.New(t.TempDir()), Options{}); err != nil {
			break
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if !errors.Is(err, store.Refused) {
		t.Errorf("opening: %v", err)
	}
}

// TestLostServer ends the server under an open store: errors, then work again.
func TestLostServer(t *testing.T) {
	source := database(t)
	s := open(t, source)
	if _, err := s.PutPlace(t.Context(), store.Place{ID: "north", Name: "N"}); err != nil {
		t.Fatal(err)
	}
	c, err := s.Watch(t.Context(), "north")
	if err != nil {
		t.Fatal(err)
	}
	<-c
	if err := server.Kill(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Places(t.Context()); err == nil {
		t.Error("a server that is gone answers")
	}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	if list, err := s.Places(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("after the server came back: %v, %v", list, err)
	}
}

// TestBusy lets somebody keep a row for longer than a call waits.
func TestBusy(t *testing.T) {
	source := database(t)
	s, err := Open(t.Context(), source, folder.New(t.TempDir()), Options{Wait: 100 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}()
	place := store.Place{ID: "north", Name: "N"}
	if place.Version, err = s.PutPlace(t.Context(), place); err != nil {
		t.Fatal(err)
	}
	conn, err := pgx.Connect(t.Context(), source)
	if err != nil {
		t.Fatal(err)
	}
	tx, err := conn.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(t.Context(), "SELECT no FROM places FOR UPDATE"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.PutPlace(t.Context(), place); !errors.Is(err, store.Busy) {
		t.Errorf("while the row is kept: %v", err)
	}
	if err := errors.Join(tx.Rollback(t.Context()), conn.Close(t.Context())); err != nil {
		t.Fatal(err)
	}
	if _, err := s.PutPlace(t.Context(), place); err != nil {
		t.Errorf("afterwards: %v", err)
	}
}

// TestAddOnly goes behind the store's back: what is only ever added to can be
// neither changed nor removed by a statement that slips in.
func TestAddOnly(t *testing.T) {
	source := database(t)
	storetest.Fill(t, open(t, source))
	conn, err := pgx.Connect(t.Context(), source)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range append([]string{"TRUNCATE events", "TRUNCATE trail"}, storetest.Tampering...) {
		if _, err := conn.Exec(t.Context(), s); err == nil || !strings.Contains(err.Error(), "only ever added") {
			t.Errorf("%s: %v", s, err)
		}
	}
	if err := conn.Close(t.Context()); err != nil {
		t.Error(err)
	}
}
