// Package postgres is a store in a PostgreSQL database (13 or newer), for
// chains: several servers side by side on one database, each with its own pool
// of connections, tell each other of new events.
//
// Every connection commits synchronously; a server of the database that runs
// with fsync off is refused, because what it acknowledges may be lost.
//
// Notices go through NOTIFY, but not in the transaction that stores the
// events: such a notice makes all commits of the whole database queue up behind
// each other. They are sent right after it, many together, by a connection of
// their own, and may be lost with it; who watches looks by itself too.
//
// Pictures do not lie in the database: servers on several machines need one
// folder that all of them see, or a bucket.
//
// What was erased is no longer found at once, but leaves the files of the
// database only when it vacuums, and its archived logs never: how long those are
// kept is for whoever runs the database to decide.
package postgres

import (
	"context"
	"database/sql"
	_ "embed"
	"errors"
	"net"
	"strconv"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"

	"elbowroom/store"
	"elbowroom/store/relational"
)

// Options says how to open.
type Options struct {
	// Connections is how many connections the pool has at most; 0 means 16. Two
	// more are used for notices.
	Connections int
	// Wait is how long a call waits for a row that another one keeps, before it
	// is Busy. 0 means ten seconds.
	Wait time.Duration
}

//go:embed schema/0001.sql
var schema1 string

// lockNumber is the advisory lock that keeps two servers from migrating at
// once; any number would do that nobody else takes.
const lockNumber = 0x656c626f77

// Store is a store in a PostgreSQL database.
type Store struct{ *relational.Store }

var _ store.Store = (*Store)(nil)

// Open connects to the database that source names (a URL or key=value pairs, as
// libpq reads them) and brings its schema up to date. Refused, when the server
// would lose what it acknowledges; Newer, when a newer program was there.
func Open(ctx context.Context, source string, blobs store.Blobs, o Options) (*Store, error) {
	config, err := pgx.ParseConfig(source)
	if err != nil {
		// The error of the driver may hold the password; it does not go on.
		return nil, store.Errorf(store.Refused, "the name of the database cannot be read: it must be a URL (postgres://user@host/name) or pairs (host=… dbname=…)")
	}
	if o.Wait == 0 {
		o.Wait = 10 * time.Second
	}
	if o.Connections == 0 {
		o.Connections = 16
	}
	for name, value := range map[string]string{
		"application_name": "elbowroom", "synchronous_commit": "on", "timezone": "UTC",
		"default_transaction_isolation": "read committed",
		"lock_timeout":                  strconv.FormatInt(o.Wait.Milliseconds(), 10),
	} {
		config.RuntimeParams[name] = value
	}
	db := stdlib.OpenDB(*config)
	db.SetMaxOpenConns(o.Connections)
	db.SetMaxIdleConns(o.Connections)
	if err := safe(ctx, db); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	n := newNotices(config)
	s, err := relational.Open(ctx, dialect(db, n), blobs)
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	n.start(s.Heard)
	return &Store{s}, nil
}

// safe refuses a server that does not force its log to disk.
func safe(ctx context.Context, db *sql.DB) error {
	var fsync, pages, commit string
	err := db.QueryRowContext(ctx, "SELECT current_setting('fsync'), current_setting('full_page_writes'), current_setting('synchronous_commit')").Scan(&fsync, &pages, &commit)
	if err != nil {
		return &store.Error{Code: codeOf(err), Says: "the database cannot be reached", Cause: err}
	}
	if fsync != "on" || pages != "on" || commit != "on" {
		return store.Errorf(store.Refused, "the database server would lose what it acknowledges: it runs with fsync %s, full_page_writes %s, synchronous_commit %s, and all three must be on", fsync, pages, commit)
	}
	return nil
}

func dialect(db *sql.DB, n *notices) relational.Dialect {
	return relational.Dialect{
		Write: db, Read: db,
		Begin: "BEGIN", Snapshot: "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
		Numbered:   true,
		ForUpdate:  " FOR UPDATE",
		LockSchema: "SELECT pg_advisory_xact_lock(" + strconv.Itoa(lockNumber) + ")",
		Steps:      []string{schema1},
		Find:       "SELECT kind, id, title FROM found WHERE place = ? AND words @@ CAST(? AS tsquery) ORDER BY no DESC LIMIT ?",
		Match:      match,
		Settle:     "ANALYZE",
		Code:       codeOf,
		PollEvery:  2 * time.Second,
		Tell:       n.tell,
		Close:      n.close,
	}
}

// match asks for every word, or one that begins with it, of the place. Words
// are letters and digits only.
func match(place int64, words []string) string {
	asked := make([]string, len(words))
	for i, w := range words {
		asked[i] = "'" + strconv.FormatInt(place, 10) + "_" + w + "':*"
	}
	return strings.Join(asked, " & ")
}

// codeOf maps the error codes of PostgreSQL (appendix A of its documentation).
func codeOf(err error) store.Code {
	var e *pgconn.PgError
	if !errors.As(err, &e) {
		var network net.Error
		if errors.As(err, &network) && network.Timeout() {
			return store.Busy
		}
		return ""
	}
	switch e.Code {
	case "53100", "53200", "54000": // disk full, out of memory, program limit exceeded
		return store.Full
	case "40001", "40P01", "55P03", "53300": // serialization, deadlock, lock timeout, too many connections
		return store.Busy
	case "25006", "42501": // read-only transaction, insufficient privilege
		return store.ReadOnly
	case "XX001", "XX002": // data corrupted, index corrupted
		return store.Damaged
	}
	return ""
}
