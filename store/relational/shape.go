package relational

import (
	"context"
	"strings"

	"elbowroom/store"
)

// shape says how a type lies in a table: its columns, and the fields of a
// value in the same order. The number of the place stands before them.
type shape[T any] struct {
	table   string
	columns string // with commas
	fields  func(*T) []any
}

// list returns the rows that match; where begins behind "WHERE place = ?".
func (h shape[T]) list(ctx context.Context, q db, place int64, where string, args ...any) ([]T, error) {
	var out []T
	err := q.each(ctx, "SELECT "+h.columns+" FROM "+h.table+" WHERE place = ? "+where, append([]any{place}, args...), func(scan func(...any) error) error {
		var v T
		if err := scan(h.fields(&v)...); err != nil {
			return err
		}
		out = append(out, v)
		return nil
	})
	return out, err
}

// first returns the first row that matches, or NotFound in the words given.
func (h shape[T]) first(ctx context.Context, q db, place int64, missing, where string, args ...any) (T, error) {
	list, err := h.list(ctx, q, place, where, args...)
	if err != nil {
		return *new(T), err
	}
	if len(list) == 0 {
		return *new(T), store.Errorf(store.NotFound, "there is no %s", missing)
	}
	return list[0], nil
}

// insert adds a row and reports whether it was new.
func (h shape[T]) insert(ctx context.Context, q db, place int64, v T) (bool, error) {
	f := h.fields(&v)
	n, err := q.exec(ctx, "INSERT INTO "+h.table+" (place, "+h.columns+") VALUES (?"+strings.Repeat(", ?", len(f))+") ON CONFLICT DO NOTHING", append([]any{place}, f...)...)
	return n == 1, err
}

// record is a shape with an id and a version: its first and last columns.
type record[T any] struct {
	shape[T]
	what string // in words
}

// put makes or replaces a record and returns its new version.
func (h record[T]) put(ctx context.Context, q db, place int64, v T) (int64, error) {
	f := h.fields(&v)
	id, version := f[0], f[len(f)-1].(*int64)
	name := plain([]any{id})[0]
	if *version == 0 {
		*version = 1
		isNew, err := h.insert(ctx, q, place, v)
		if err == nil && !isNew {
			err = store.Errorf(store.Exists, "there is a %s %q already", h.what, name)
		}
		return 1, err
	}
	columns := strings.Split(h.columns, ", ")
	set := strings.Join(columns[1:len(columns)-1], " = ?, ") + " = ?, version = version + 1"
	args := append(append([]any{}, f[1:len(f)-1]...), place, id, version)
	n, err := q.exec(ctx, "UPDATE "+h.table+" SET "+set+" WHERE place = ? AND "+columns[0]+" = ? AND version = ?", args...)
	if err != nil {
		return 0, err
	}
	if n == 1 {
		return *version + 1, nil
	}
	if _, err := h.get(ctx, q, place, name); err != nil {
		return 0, err
	}
	return 0, store.Errorf(store.Conflict, "the %s %q was changed by somebody else meanwhile: read it again", h.what, name)
}

// get returns a record by its id.
func (h record[T]) get(ctx context.Context, q db, place int64, id any) (T, error) {
	key, _, _ := strings.Cut(h.columns, ",")
	return h.first(ctx, q, place, h.what+" "+quoted(id), "AND "+key+" = ?", id)
}
