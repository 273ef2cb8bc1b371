package relational

import (
	"context"

	"elbowroom/joblog"
	"elbowroom/store"
)

// passkeyRow and identityRow say whose they are.
type passkeyRow struct {
	Person joblog.Person `json:"person"`
	store.Passkey
}

type identityRow struct {
	Person joblog.Person `json:"person"`
	store.Identity
}

var (
	people = record[store.Person]{shape[store.Person]{"people", "id, name, role, password, disabled, since, version", func(p *store.Person) []any {
		return []any{&p.ID, &p.Name, &p.Role, &p.Password, &p.Disabled, &p.Since, &p.Version}
	}}, "person"}
	passkeys = shape[passkeyRow]{"passkeys", "person, id, data, name, since", func(r *passkeyRow) []any {
		return []any{&r.Person, &r.ID, &r.Data, &r.Name, &r.Since}
	}}
	identities = shape[identityRow]{"identities", "person, issuer, subject", func(r *identityRow) []any {
		return []any{&r.Person, &r.Issuer, &r.Subject}
	}}
)

func badPerson(p store.Person) error {
	var c check
	c.name("the id", string(p.ID))
	c.given("the name", p.Name)
	if p.Role != store.Owner && p.Role != store.Technician && p.Role != store.Reader {
		c.say("the role", "must be owner, technician or reader, and "+quoted(p.Role)+" is not")
	}
	c.data("the password", p.Password, 1024)
	for _, k := range p.Passkeys {
		if len(k.ID) == 0 {
			c.say("the id of a passkey", "must be given")
		}
		c.data("the id of a passkey", k.ID, 1024)
		c.data("a passkey", k.Data, store.MaxField)
		c.fields("the name of a passkey", k.Name)
	}
	for _, i := range p.Identities {
		c.given("the issuer of an identity", i.Issuer)
		c.given("the subject of an identity", i.Subject)
	}
	return c.err("the person")
}

// PutPerson implements store.People.
func (s *Store) PutPerson(ctx context.Context, place store.PlaceID, p store.Person) (int64, error) {
	if err := badPerson(p); err != nil {
		return 0, err
	}
	var version int64
	err := s.change(ctx, place, true, func(q db, no int64) error {
		before, err := owners(ctx, q, no)
		if err != nil {
			return err
		}
		if version, err = people.put(ctx, q, no, p); err != nil {
			return err
		}
		after, err := owners(ctx, q, no)
		if err != nil {
			return err
		}
		if before > 0 && after == 0 {
			return store.Errorf(store.Refused, "%s is the last owner: make somebody else an owner first", p.ID)
		}
		return putProofs(ctx, q, no, p)
	})
	return version, err
}

func owners(ctx context.Context, q db, no int64) (n int64, err error) {
	_, err = q.one(ctx, "SELECT COUNT(*) FROM people WHERE place = ? AND role = 'owner' AND disabled = 0", []any{no}, &n)
	return n, err
}

// putProofs replaces the passkeys and identities of a person.
func putProofs(ctx context.Context, q db, no int64, p store.Person) error {
	for _, table := range []string{"passkeys", "identities"} {
		if _, err := q.exec(ctx, "DELETE FROM "+table+" WHERE place = ? AND person = ?", no, p.ID); err != nil {
			return err
		}
	}
	for _, k := range p.Passkeys {
		isNew, err := passkeys.insert(ctx, q, no, passkeyRow{p.ID, k})
		if err != nil {
			return err
		}
		if !isNew {
			return store.Errorf(store.Exists, "the passkey %q belongs to somebody already", k.Name)
		}
	}
	for _, i := range p.Identities {
		isNew, err := identities.insert(ctx, q, no, identityRow{p.ID, i})
		if err != nil {
			return err
		}
		if !isNew {
			return store.Errorf(store.Exists, "the identity %s belongs to somebody at this place already", quoted(i.Subject))
		}
	}
	return nil
}

// withProofs fills in passkeys and identities.
func withProofs(ctx context.Context, q db, no int64, p *store.Person) error {
	keys, err := passkeys.list(ctx, q, no, "AND person = ? ORDER BY since, id", p.ID)
	if err != nil {
		return err
	}
	for _, k := range keys {
		p.Passkeys = append(p.Passkeys, k.Passkey)
	}
	ids, err := identities.list(ctx, q, no, "AND person = ? ORDER BY issuer, subject", p.ID)
	for _, i := range ids {
		p.Identities = append(p.Identities, i.Identity)
	}
	return err
}

// People implements store.People.
func (s *Store) People(ctx context.Context, place store.PlaceID) ([]store.Person, error) {
	var out []store.Person
	err := s.at(ctx, place, func(q db, no int64) (err error) {
		if out, err = people.list(ctx, q, no, "ORDER BY id"); err != nil {
			return err
		}
		for i := range out {
			if err := withProofs(ctx, q, no, &out[i]); err != nil {
				return err
			}
		}
		return nil
	})
	return out, err
}

// Person implements store.People.
func (s *Store) Person(ctx context.Context, place store.PlaceID, id joblog.Person) (store.Person, error) {
	var p store.Person
	err := s.at(ctx, place, func(q db, no int64) (err error) {
		if p, err = people.get(ctx, q, no, id); err != nil {
			return err
		}
		return withProofs(ctx, q, no, &p)
	})
	return p, err
}

// found is somebody who was found without a place.
type found struct {
	place  store.PlaceID
	person joblog.Person
}

func (s *Store) finders(ctx context.Context, query string, args ...any) ([]store.Worker, error) {
	var list []found
	err := s.read(ctx, func(q db) error {
		return q.each(ctx, query, args, func(scan func(...any) error) error {
			var f found
			err := scan(&f.place, &f.person)
			list = append(list, f)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	var out []store.Worker
	for _, f := range list {
		p, err := s.Person(ctx, f.place, f.person)
		if err != nil {
			return nil, err
		}
		out = append(out, store.Worker{Place: f.place, Person: p})
	}
	return out, nil
}

// ByPasskey implements store.People.
func (s *Store) ByPasskey(ctx context.Context, id []byte) (store.PlaceID, store.Person, error) {
	list, err := s.finders(ctx, "SELECT p.id, k.person FROM passkeys k JOIN places p ON p.no = k.place WHERE k.id = ?", id)
	if err != nil {
		return "", store.Person{}, err
	}
	if len(list) == 0 {
		return "", store.Person{}, store.Errorf(store.NotFound, "nobody has that passkey")
	}
	return list[0].Place, list[0].Person, nil
}

// ByIdentity implements store.People.
func (s *Store) ByIdentity(ctx context.Context, is store.Identity) ([]store.Worker, error) {
	return s.finders(ctx, "SELECT p.id, i.person FROM identities i JOIN places p ON p.no = i.place WHERE i.issuer = ? AND i.subject = ? ORDER BY p.id, i.person", is.Issuer, is.Subject)
}
