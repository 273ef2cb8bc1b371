package relational

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"

	"elbowroom/joblog"
	"elbowroom/store"
)

// querier is a connection, with or without a transaction around it.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
}

// db runs statements written with ? on a querier of any dialect.
type db struct {
	querier
	s *Store
}

// text returns the statement in the form of the dialect. No statement of this
// package has a question mark in a literal.
func (s *Store) text(query string) string {
	if !s.d.Numbered {
		return query
	}
	if t, ok := s.texts.Load(query); ok {
		return t.(string)
	}
	var b strings.Builder
	n := 0
	for _, c := range []byte(query) {
		if c == '?' {
			n++
			b.WriteString("$" + strconv.Itoa(n))
			continue
		}
		b.WriteByte(c)
	}
	s.texts.Store(query, b.String())
	return b.String()
}

// exec runs a statement and returns how many rows it touched.
func (q db) exec(ctx context.Context, query string, args ...any) (int64, error) {
	r, err := q.ExecContext(ctx, q.s.text(query), plain(args)...)
	if err != nil {
		return 0, err
	}
	return r.RowsAffected()
}

// each calls fn with a scan function for every row.
func (q db) each(ctx context.Context, query string, args []any, fn func(scan func(...any) error) error) (err error) {
	rows, err := q.QueryContext(ctx, q.s.text(query), plain(args)...)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		if err := fn(func(dest ...any) error { return rows.Scan(scannable(dest)...) }); err != nil {
			return err
		}
	}
	return rows.Err()
}

// one scans the first row and reports whether there was one.
func (q db) one(ctx context.Context, query string, args []any, dest ...any) (bool, error) {
	found := false
	err := q.each(ctx, query, args, func(scan func(...any) error) error {
		if found {
			return nil
		}
		found = true
		return scan(dest...)
	})
	return found, err
}

// plain makes plain values of ours: what every driver takes.
func plain(args []any) []any {
	out := make([]any, len(args))
	for i, a := range args {
		out[i] = plainOne(reflect.ValueOf(a))
	}
	return out
}

func plainOne(v reflect.Value) any {
	switch v.Kind() {
	case reflect.Invalid:
		return nil
	case reflect.Pointer:
		return plainOne(v.Elem())
	case reflect.String:
		return v.String()
	case reflect.Int, reflect.Int64, reflect.Int32:
		return v.Int()
	case reflect.Bool:
		if v.Bool() {
			return int64(1)
		}
		return int64(0)
	case reflect.Array:
		b := make([]byte, v.Len())
		reflect.Copy(reflect.ValueOf(b), v)
		return b
	case reflect.Slice:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			if v.Len() == 0 {
				return nil
			}
			return v.Bytes()
		}
	}
	panic(fmt.Sprintf("relational: no column holds a %s", v.Type()))
}

// fixed scans bytes into an array of exactly as many.
type fixed []byte

func (f fixed) Scan(src any) error {
	b, ok := src.([]byte)
	if !ok || len(b) != len(f) {
		return store.Errorf(store.Damaged, "%d bytes were kept, and %T came back", len(f), src)
	}
	copy(f, b)
	return nil
}

func scannable(dest []any) []any {
	out := make([]any, len(dest))
	for i, d := range dest {
		switch p := d.(type) {
		case *store.Hash:
			out[i] = fixed(p[:])
		case *joblog.ID:
			out[i] = fixed(p[:])
		default:
			out[i] = d
		}
	}
	return out
}

// read runs fn on a connection for reading.
func (s *Store) read(ctx context.Context, fn func(db) error) error {
	if err := s.begin(); err != nil {
		return err
	}
	defer s.running.Done()
	return s.explain(fn(db{s.d.Read, s}))
}

// write runs fn in a transaction and commits it.
func (s *Store) write(ctx context.Context, fn func(db) error) error {
	if err := s.begin(); err != nil {
		return err
	}
	defer s.running.Done()
	conn, err := s.d.Write.Conn(ctx)
	if err != nil {
		return s.explain(err)
	}
	return s.explain(s.within(ctx, conn, s.d.Begin, fn))
}

// snapshot runs fn in a transaction that sees everything as at one moment.
func (s *Store) snapshot(ctx context.Context, fn func(db) error) error {
	if err := s.begin(); err != nil {
		return err
	}
	defer s.running.Done()
	conn, err := s.d.Read.Conn(ctx)
	if err != nil {
		return s.explain(err)
	}
	return s.explain(s.within(ctx, conn, s.d.Snapshot, fn))
}

// within runs fn between begin and commit, and gives the connection back clean
// or not at all.
func (s *Store) within(ctx context.Context, conn *sql.Conn, begin string, fn func(db) error) (err error) {
	done := false
	defer func() {
		if !done {
			undo(conn)
		}
		err = errors.Join(err, conn.Close())
	}()
	if _, err := conn.ExecContext(ctx, begin); err != nil {
		return err
	}
	if err := fn(db{conn, s}); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	// From here on the outcome is the database's: a context that ends now must
	// not leave the caller believing that nothing was stored.
	commit, cancel := context.WithTimeout(context.WithoutCancel(ctx), CommitTime)
	defer cancel()
	if _, err := conn.ExecContext(commit, "COMMIT"); err != nil {
		return err
	}
	done = true
	return nil
}

// undo rolls back; a connection that cannot is thrown away. Of the error only
// that much matters: the transaction ends with the connection.
func undo(conn *sql.Conn) {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if _, err := conn.ExecContext(ctx, "ROLLBACK"); err != nil {
		_ = conn.Raw(func(any) error { return driver.ErrBadConn })
	}
}

// explain gives errors of the driver their code.
func (s *Store) explain(err error) error {
	if err == nil || store.CodeOf(err) != "" || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	if c := s.d.Code(err); c != "" {
		return &store.Error{Code: c, Says: codeSays[c], Cause: err}
	}
	return fmt.Errorf("store: %w", err)
}

var codeSays = map[store.Code]string{
	store.Full:     "no room is left where the store lies; nothing was stored: make room and try again",
	store.Busy:     "somebody else kept the store for too long; nothing was stored: try again",
	store.ReadOnly: "the store cannot be written: look at the rights and whether the disk is mounted read-only",
	store.Damaged:  "the store is damaged: restore a backup",
}
