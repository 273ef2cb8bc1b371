package relational

import (
	"context"

	"elbowroom/store"
)

const placeColumns = "id, name, opened, version"

func placeFields(p *store.Place) []any { return []any{&p.ID, &p.Name, &p.Opened, &p.Version} }

// Places implements store.Places.
func (s *Store) Places(ctx context.Context) ([]store.Place, error) {
	var out []store.Place
	err := s.read(ctx, func(q db) error {
		return q.each(ctx, "SELECT "+placeColumns+" FROM places ORDER BY id", nil, func(scan func(...any) error) error {
			var p store.Place
			err := scan(placeFields(&p)...)
			out = append(out, p)
			return err
		})
	})
	return out, err
}

// Place implements store.Places.
func (s *Store) Place(ctx context.Context, id store.PlaceID) (store.Place, error) {
	var p store.Place
	err := s.at(ctx, id, func(q db, no int64) error {
		_, err := q.one(ctx, "SELECT "+placeColumns+" FROM places WHERE no = ?", []any{no}, placeFields(&p)...)
		return err
	})
	return p, err
}

// PutPlace implements store.Places.
func (s *Store) PutPlace(ctx context.Context, p store.Place) (int64, error) {
	var c check
	c.name("the id", string(p.ID))
	c.given("the name", p.Name)
	if err := c.err("the place"); err != nil {
		return 0, err
	}
	version := p.Version + 1
	err := s.write(ctx, func(q db) error {
		if p.Version == 0 {
			return newPlace(ctx, q, p)
		}
		n, err := q.exec(ctx, "UPDATE places SET name = ?, opened = ?, version = version + 1 WHERE id = ? AND version = ?", p.Name, p.Opened, p.ID, p.Version)
		if err != nil || n == 1 {
			return err
		}
		if _, err := s.number(ctx, q, p.ID); err != nil {
			return err
		}
		return store.Errorf(store.Conflict, "the place %q was changed by somebody else meanwhile: read it again", p.ID)
	})
	return version, err
}

// newPlace gives the place the next number. Two at once may want the same
// number; the key refuses one of them.
func newPlace(ctx context.Context, q db, p store.Place) error {
	n, err := q.exec(ctx, "INSERT INTO places (no, id, name, opened, version) SELECT COALESCE(MAX(no), 0) + 1, CAST(? AS TEXT), CAST(? AS TEXT), CAST(? AS BIGINT), 1 FROM places WHERE TRUE ON CONFLICT DO NOTHING", p.ID, p.Name, p.Opened)
	if err != nil {
		return err
	}
	if n == 0 {
		found, err := q.one(ctx, "SELECT no FROM places WHERE id = ?", []any{p.ID}, new(int64))
		if err == nil && found {
			err = store.Errorf(store.Exists, "there is a place %q already", p.ID)
		} else if err == nil {
			err = store.Errorf(store.Busy, "another place was made at the same moment: try again")
		}
		return err
	}
	_, err = q.exec(ctx, "INSERT INTO cursors (place, newest) SELECT no, 0 FROM places WHERE id = ?", p.ID)
	return err
}
