package relational

import (
	"context"
	"encoding/json"
	"errors"
	"io"

	"elbowroom/joblog"
	"elbowroom/store"
)

// table is how the rows of a table go into a copy and come out of it. Sessions
// and attempts have none: who was signed in signs in again.
type table struct {
	name string
	dump func(ctx context.Context, q db, ids map[int64]store.PlaceID, line func(any) error) error
	load func(ctx context.Context, q db, numbers map[store.PlaceID]int64, lines *json.Decoder) (int, error)
}

// row is one line of a file of rows.
type row[T any] struct {
	Place store.PlaceID `json:"place"`
	Row   T             `json:"row"`
}

// placeRow is a place with its number, which stays the same in a copy.
type placeRow struct {
	No int64 `json:"no"`
	store.Place
}

type cursorRow struct {
	Newest store.Cursor `json:"newest"`
}

// eventRow is an event whose bytes are text, as events are.
type eventRow struct {
	Cursor   store.Cursor  `json:"cursor"`
	Job      joblog.Job    `json:"job"`
	ID       joblog.ID     `json:"id"`
	Received joblog.Moment `json:"received"`
	Raw      asText        `json:"raw"`
}

// asText are bytes that are UTF-8 and stand in JSON as a text.
type asText []byte

func (a asText) MarshalJSON() ([]byte, error) { return json.Marshal(string(a)) }

func (a *asText) UnmarshalJSON(data []byte) error {
	var s string
	err := json.Unmarshal(data, &s)
	*a = asText(s)
	return err
}

var (
	cursorRows = shape[cursorRow]{"cursors", "newest", func(r *cursorRow) []any { return []any{&r.Newest} }}
	eventRows  = shape[eventRow]{"events", events.columns, func(r *eventRow) []any {
		return []any{&r.Cursor, &r.Job, &r.ID, &r.Received, &r.Raw}
	}}
)

// tables lists what is copied, places first.
var tables = []table{
	{"places", dumpPlaces, loadPlaces},
	copied(cursorRows, "place"),
	copied(people.shape, "place, id"),
	copied(passkeys, "place, person, id"),
	copied(identities, "place, person, issuer, subject"),
	copied(customers.shape, "place, id"),
	copied(machines.shape, "place, id"),
	copied(jobs.shape, "place, id"),
	copied(eventRows, "place, cursor"),
	copied(revisions, "place, kind, name, number"),
	copied(pictures, "place, hash, job, event"),
	copied(papers, "place, kind, number, revision"),
	copied(links, "place, token"),
	copied(trail, "place, number"),
	copied(settings.shape, "place, name"),
	copied(foundRows, "no"),
}

// copied makes a table of a shape.
func copied[T any](h shape[T], order string) table {
	dump := func(ctx context.Context, q db, ids map[int64]store.PlaceID, line func(any) error) error {
		return q.each(ctx, "SELECT place, "+h.columns+" FROM "+h.table+" ORDER BY "+order, nil, func(scan func(...any) error) error {
			var r row[T]
			var no int64
			if err := scan(append([]any{&no}, h.fields(&r.Row)...)...); err != nil {
				return err
			}
			r.Place = ids[no]
			return line(r)
		})
	}
	load := func(ctx context.Context, q db, numbers map[store.PlaceID]int64, lines *json.Decoder) (int, error) {
		return eachLine(lines, func(r row[T]) error {
			no, ok := numbers[r.Place]
			if !ok {
				return store.Errorf(store.Damaged, "there is no place %s", quoted(r.Place))
			}
			isNew, err := h.insert(ctx, q, no, r.Row)
			if err == nil && !isNew {
				err = store.Errorf(store.Damaged, "a row stands there twice")
			}
			return err
		})
	}
	return table{h.table, dump, load}
}

// eachLine calls fn with every line and returns how many there were. What
// cannot be read is Damaged.
func eachLine[T any](lines *json.Decoder, fn func(T) error) (int, error) {
	lines.DisallowUnknownFields()
	for n := 0; ; n++ {
		var v T
		err := lines.Decode(&v)
		if errors.Is(err, io.EOF) {
			return n, nil
		}
		if err != nil {
			return n, &store.Error{Code: store.Damaged, Says: "a row cannot be read", Cause: err}
		}
		if err := fn(v); err != nil {
			return n, err
		}
	}
}

func dumpPlaces(ctx context.Context, q db, _ map[int64]store.PlaceID, line func(any) error) error {
	return q.each(ctx, "SELECT no, "+placeColumns+" FROM places ORDER BY no", nil, func(scan func(...any) error) error {
		var r placeRow
		if err := scan(append([]any{&r.No}, placeFields(&r.Place)...)...); err != nil {
			return err
		}
		return line(r)
	})
}

func loadPlaces(ctx context.Context, q db, numbers map[store.PlaceID]int64, lines *json.Decoder) (int, error) {
	return eachLine(lines, func(r placeRow) error {
		numbers[r.ID] = r.No
		_, err := q.exec(ctx, "INSERT INTO places (no, "+placeColumns+") VALUES (?, ?, ?, ?, ?)", append([]any{r.No}, placeFields(&r.Place)...)...)
		return err
	})
}

// placeIDs returns the ids of all places by number, Everywhere included.
func placeIDs(ctx context.Context, q db) (map[int64]store.PlaceID, error) {
	ids := map[int64]store.PlaceID{everywhere: store.Everywhere}
	err := q.each(ctx, "SELECT no, id FROM places", nil, func(scan func(...any) error) error {
		var no int64
		var id store.PlaceID
		err := scan(&no, &id)
		ids[no] = id
		return err
	})
	return ids, err
}
