// Package sqlite is a store in one SQLite file: the default, for one workshop
// or a few on one machine. Open gives the store, Options say where its file and
// its pictures lie.
//
// The file is in WAL mode with synchronous = FULL: what was acknowledged
// survives a killed program and a power cut (as far as the disk keeps its
// word). One connection writes and others read beside it; a second program may
// use the same file on the same machine, but not over a network file system.
// Beside the file lie two more, -wal and -shm, that belong to it.
//
// What was erased is overwritten (secure_delete), also in the search index and
// in the WAL.
package sqlite

import (
	"context"
	"database/sql"
	_ "embed"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	modernc "modernc.org/sqlite" // the driver "sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"elbowroom/store"
	"elbowroom/store/relational"
)

// Options says how to open.
type Options struct {
	// Wait is how long a call waits for another program that writes, before it
	// is Busy. 0 means ten seconds.
	Wait time.Duration
	// MostPages bounds the file, in pages of 4096 bytes; 0 means no bound. What
	// does not fit is Full.
	MostPages int64
}

// readers is how many connections read beside the one that writes.
const readers = 8

//go:embed schema/0001.sql
var schema1 string

// Store is a store in a SQLite file.
type Store struct{ *relational.Store }

var _ store.Store = (*Store)(nil)

// Open opens the file, or makes it with its folder, and brings its schema up to
// date. Newer, when a newer program made it; ReadOnly, when it cannot be
// written; Damaged, when it is no store.
func Open(ctx context.Context, path string, blobs store.Blobs, o Options) (*Store, error) {
	if err := private(path); err != nil {
		return nil, opening(path, err)
	}
	write, err := sql.Open("sqlite", source(path, o, "_txlock=immediate"))
	if err != nil {
		return nil, opening(path, err)
	}
	write.SetMaxOpenConns(1)
	write.SetConnMaxIdleTime(0)
	read, err := sql.Open("sqlite", source(path, o, "_pragma=query_only(1)"))
	if err != nil {
		return nil, errors.Join(opening(path, err), write.Close())
	}
	read.SetMaxOpenConns(readers)
	read.SetMaxIdleConns(readers)
	s, err := relational.Open(ctx, dialect(write, read), blobs)
	if err != nil {
		return nil, errors.Join(opening(path, err), write.Close(), read.Close())
	}
	return &Store{s}, nil
}

// private makes the file, when it is not there, for its owner alone; the two
// files beside it get the same rights from SQLite.
func private(path string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return f.Close()
}

// opening says which file could not be opened, and keeps the code.
func opening(path string, err error) error {
	code := store.CodeOf(err)
	if code == "" {
		code = codeOf(err)
	}
	if code == "" {
		code = store.CodeOf(store.OfSystem("the store", err))
	}
	return &store.Error{Code: code, Says: "the store " + path + " cannot be opened", Cause: err}
}

// source returns the name by which the driver opens a connection: file and
// settings of every connection.
func source(path string, o Options, more string) string {
	if o.Wait == 0 {
		o.Wait = 10 * time.Second
	}
	pragmas := []string{
		"busy_timeout(" + strconv.FormatInt(o.Wait.Milliseconds(), 10) + ")",
		"journal_mode(WAL)",
		"synchronous(FULL)",
		"secure_delete(1)",
		"journal_size_limit(16777216)",
		"cache_size(-16384)",
		"trusted_schema(0)",
	}
	if o.MostPages > 0 {
		pragmas = append(pragmas, "max_page_count("+strconv.FormatInt(o.MostPages, 10)+")")
	}
	q := "?_pragma=" + strings.Join(pragmas, "&_pragma=") + "&" + more
	return (&url.URL{Scheme: "file", Path: absolute(path)}).String() + q
}

func absolute(path string) string {
	if a, err := filepath.Abs(path); err == nil {
		return a
	}
	return path
}

func dialect(write, read *sql.DB) relational.Dialect {
	return relational.Dialect{
		Write: write, Read: read,
		Begin: "BEGIN IMMEDIATE", Snapshot: "BEGIN",
		Steps: []string{schema1}, PollEvery: 200 * time.Millisecond,
		Find:  "SELECT kind, id, title FROM found_words JOIN found ON found.no = found_words.rowid WHERE found.place = ? AND found_words MATCH ? ORDER BY found_words.rowid DESC LIMIT ?",
		Match: match, Settle: "ANALYZE",
		Code: codeOf,
		Scrub: func(ctx context.Context) error {
			// Best effort: a reader that still needs the old pages keeps them for
			// now, and the next writes go over them.
			_, err := write.ExecContext(ctx, "PRAGMA wal_checkpoint(TRUNCATE)")
			return err
		},
	}
}

// match asks for every word, or one that begins with it, of the place.
func match(place int64, words []string) string {
	for i, w := range words {
		words[i] = `"` + strconv.FormatInt(place, 10) + "_" + w + `"*`
	}
	return strings.Join(words, " AND ")
}

// codeOf maps the result codes of SQLite (https://sqlite.org/rescode.html).
func codeOf(err error) store.Code {
	var e *modernc.Error
	if !errors.As(err, &e) {
		return ""
	}
	switch e.Code() & 0xff {
	case sqlite3.SQLITE_FULL:
		return store.Full
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return store.Busy
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return store.ReadOnly
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		return store.Damaged
	}
	return ""
}
