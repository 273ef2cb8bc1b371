package desk

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Roles lists what somebody may be, the most trusted first.
var Roles = []store.Role{store.Owner, store.Technician, store.Reader}

// PersonLine is somebody who works at a place, for the owner's list.
type PersonLine struct {
	ID       joblog.Person
	Name     string
	Role     store.Role
	Password bool // has one
	Passkeys []PasskeyLine
	Disabled bool
	Since    joblog.Moment
}

// Staff lists everybody of a place, also those who left.
func (d *Desk) Staff(ctx context.Context, who Who) ([]PersonLine, error) {
	people, err := d.keep.People(ctx, who.Place)
	if err != nil {
		return nil, err
	}
	lines := make([]PersonLine, len(people))
	for i, p := range people {
		lines[i] = PersonLine{ID: p.ID, Name: p.Name, Role: p.Role, Password: p.Password != nil, Disabled: p.Disabled, Since: p.Since}
		lines[i].Passkeys = passkeyLines(p)
	}
	return lines, nil
}

// Hire lets somebody in with a first password, which they change. The short
// name is made from the name.
func (d *Desk) Hire(ctx context.Context, who Who, name string, role store.Role, password string) (joblog.Person, error) {
	if err := who.manages(); err != nil {
		return "", err
	}
	if !slices.Contains(Roles, role) {
		return "", fmt.Errorf("%w: role: %q is none; write owner, technician or reader", app.ErrInput, role)
	}
	id, err := named(name)
	if err != nil {
		return "", err
	}
	hash, err := d.newPassword(ctx, who.Place, password, name)
	if err != nil {
		return "", err
	}
	_, err = d.keep.PutPerson(ctx, who.Place, store.Person{ID: id, Name: strings.TrimSpace(name), Role: role, Password: hash, Since: d.now()})
	if store.CodeOf(err) == store.Exists {
		return "", fmt.Errorf("%w: name: there is a %s already; add another name or a letter", app.ErrInput, id)
	}
	if err == nil {
		d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "hire", On: string(id), Says: string(role)})
	}
	return id, err
}

// newPassword hashes a password that is strong enough for the place.
func (d *Desk) newPassword(ctx context.Context, place store.PlaceID, password, name string) ([]byte, error) {
	p, err := d.keep.Place(ctx, place)
	if err != nil {
		return nil, err
	}
	if err := strong(password, name, p.Name); err != nil {
		return nil, err
	}
	return d.hashPassword(password)
}

func (w Who) manages() error {
	if !w.MayManage() {
		return fmt.Errorf("%w: only an owner of the workshop may do this", ErrNotAllowed)
	}
	return nil
}

// Appoint changes what somebody may do, or lets them in no more. Whoever is
// disabled is signed out everywhere at once.
func (d *Desk) Appoint(ctx context.Context, who Who, id joblog.Person, role store.Role, disabled bool) error {
	if err := who.manages(); err != nil {
		return err
	}
	if !slices.Contains(Roles, role) {
		return fmt.Errorf("%w: role: %q is none; write owner, technician or reader", app.ErrInput, role)
	}
	p, err := d.keep.Person(ctx, who.Place, id)
	if err != nil {
		return err
	}
	p.Role, p.Disabled = role, disabled
	if _, err := d.keep.PutPerson(ctx, who.Place, p); err != nil {
		return err
	}
	if disabled {
		if _, err := d.keep.RevokeAll(ctx, who.Place, id, d.now()); err != nil {
			return err
		}
	}
	says := string(role)
	if disabled {
		says = "let in no more"
	}
	d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "appoint", On: string(id), Says: says})
	return nil
}

// ChangePassword gives somebody another password: themselves, who say the
// present one, or an owner for somebody who forgot theirs. All sessions of the
// person end.
func (d *Desk) ChangePassword(ctx context.Context, who Who, id joblog.Person, present, next string) error {
	p, err := d.keep.Person(ctx, who.Place, id)
	if err != nil {
		return err
	}
	switch {
	case id == who.ID && p.Password != nil:
		if err := d.attempt(ctx, SignIn{Place: who.Place, Person: id}); err != nil {
			return err
		}
		if !isPassword(p.Password, present) {
			return fmt.Errorf("%w: present password: it is another one", app.ErrInput)
		}
	case id != who.ID:
		if err := who.manages(); err != nil {
			return err
		}
	}
	if p.Password, err = d.newPassword(ctx, who.Place, next, p.Name); err != nil {
		return err
	}
	if _, err := d.keep.PutPerson(ctx, who.Place, p); err != nil {
		return err
	}
	d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "password", On: string(id)})
	_, err = d.keep.RevokeAll(ctx, who.Place, id, d.now())
	return err
}

// Sessions lists where somebody is signed in: oneself, or anybody for an owner.
func (d *Desk) Sessions(ctx context.Context, who Who, id joblog.Person) ([]store.Session, error) {
	if id != who.ID {
		if err := who.manages(); err != nil {
			return nil, err
		}
	}
	return d.keep.SessionsOf(ctx, who.Place, id, d.now())
}

// EndSessions signs somebody out everywhere and returns from how many places.
func (d *Desk) EndSessions(ctx context.Context, who Who, id joblog.Person) (int, error) {
	if id != who.ID {
		if err := who.manages(); err != nil {
			return 0, err
		}
	}
	n, err := d.keep.RevokeAll(ctx, who.Place, id, d.now())
	if err == nil {
		d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "sign-out-everywhere", On: string(id)})
	}
	return n, err
}

// Trail returns who did what before an entry, the newest first; for owners.
func (d *Desk) Trail(ctx context.Context, who Who, before int64) ([]store.Entry, error) {
	if err := who.manages(); err != nil {
		return nil, err
	}
	return d.keep.Trail(ctx, who.Place, before, PageOfJobs)
}
