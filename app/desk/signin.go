package desk

import (
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"net/netip"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// How long somebody stays signed in, and how often a password may be tried.
const (
	SessionTime   = 30 * 24 * time.Hour // moved on while it is used: a phone in the bay is not asked every morning
	sessionStep   = 24 * time.Hour      // how much of it passes before it is moved on
	attemptWindow = 15 * time.Minute
	perPerson     = 10  // tries of one person in a window
	perAddress    = 100 // tries from one address in a window; a workshop shares one
)

// SignIn is somebody at the door.
type SignIn struct {
	Place    store.PlaceID
	Person   joblog.Person
	Password string
	Device   string // what the browser calls itself, for the list of sessions
	Address  string // of the network, for limits and the trail
}

// SignIn opens a session and returns its token, which is kept nowhere else.
// The error wraps ErrSignIn for a wrong name or password, without telling
// which, and ErrTooOften.
func (d *Desk) SignIn(ctx context.Context, s SignIn) (token string, err error) {
	if err := d.attempt(ctx, s); err != nil {
		return "", err
	}
	p, err := d.keep.Person(ctx, s.Place, s.Person)
	if err != nil && store.CodeOf(err) != store.NotFound {
		return "", err
	}
	if ok := isPassword(p.Password, s.Password); !ok || err != nil || p.Disabled {
		d.note(ctx, s.Place, store.Entry{Person: s.Person, From: s.Address, Did: "sign-in-refused"})
		return "", fmt.Errorf("%w: name or password is wrong", ErrSignIn)
	}
	if err := d.keep.ForgetAttempts(ctx, personKey(s)); err != nil {
		return "", err
	}
	return d.admit(ctx, s, "")
}

// Enter signs a person in without a password: in a demonstration, and for
// those who have proved otherwise who they are.
func (d *Desk) Enter(ctx context.Context, s SignIn) (token string, err error) {
	p, err := d.keep.Person(ctx, s.Place, s.Person)
	if store.CodeOf(err) == store.NotFound || err == nil && p.Disabled {
		return "", fmt.Errorf("%w: nobody of that name works here", ErrSignIn)
	}
	if err != nil {
		return "", err
	}
	return d.admit(ctx, s, "")
}

// admit opens a session; with says for the trail how somebody proved who they
// are, when it was not by password.
func (d *Desk) admit(ctx context.Context, s SignIn, with string) (string, error) {
	token, err := d.token()
	if err != nil {
		return "", err
	}
	now := d.now()
	err = d.keep.PutSession(ctx, store.Session{
		Token: store.Hash(sha256.Sum256([]byte(token))), Place: s.Place, Person: s.Person,
		Device: cut(strings.ToValidUTF8(s.Device, "?"), deviceBytes), Since: now, Expires: now.Add(SessionTime),
	})
	if err != nil {
		return "", err
	}
	d.note(ctx, s.Place, store.Entry{Person: s.Person, From: s.Address, Did: "sign-in", Says: with})
	return token, nil
}

// deviceBytes is how much of what a browser calls itself is kept.
const deviceBytes = 200

// token returns 256 bits of chance as text.
func (d *Desk) token() (string, error) {
	b := make([]byte, 32)
	if _, err := io.ReadFull(d.opts.Random, b); err != nil {
		return "", err
	}
	return base64.RawURLEncoding.EncodeToString(b), nil
}

func personKey(s SignIn) string { return "person " + string(s.Place) + "/" + string(s.Person) }

// attempt counts a try and refuses it when there were too many.
func (d *Desk) attempt(ctx context.Context, s SignIn) error {
	for _, k := range []struct {
		key  string
		most int
	}{{personKey(s), perPerson}, {"address " + network(s.Address), perAddress}} {
		if k.key == "address " {
			continue // who is signed in comes from nowhere: else one would count for all
		}
		if err := d.tried(ctx, k.key, k.most); err != nil {
			return err
		}
	}
	return nil
}

// tried counts one more try under a key and refuses it when there were more
// than most in this window.
func (d *Desk) tried(ctx context.Context, key string, most int) error {
	n, err := d.keep.Attempt(ctx, key, d.now(), attemptWindow)
	if err == nil && n > most {
		err = fmt.Errorf("%w: wait %d minutes", ErrTooOften, int(attemptWindow.Minutes()))
	}
	return err
}

// network is what counts as one address: an IPv6 site has 64 bits of them.
func network(address string) string {
	a, err := netip.ParseAddr(address)
	if err != nil || a.Is4() {
		return address
	}
	p, err := a.Prefix(64)
	if err != nil {
		return address
	}
	return p.String()
}

// Who returns who a token belongs to. The error wraps ErrSignIn when the token
// is not that of a session that holds.
func (d *Desk) Who(ctx context.Context, token string) (Who, error) {
	if token == "" {
		return Who{}, ErrSignIn
	}
	hash, now := store.Hash(sha256.Sum256([]byte(token))), d.now()
	s, err := d.keep.Session(ctx, hash, now)
	if store.CodeOf(err) == store.NotFound {
		return Who{}, fmt.Errorf("%w: this session has ended", ErrSignIn)
	}
	if err != nil {
		return Who{}, err
	}
	p, err := d.keep.Person(ctx, s.Place, s.Person)
	if err != nil {
		return Who{}, err
	}
	if s.Expires.Since(now) < SessionTime-sessionStep {
		if err := d.keep.Extend(ctx, hash, now, now.Add(SessionTime)); err != nil && store.CodeOf(err) != store.NotFound {
			return Who{}, err
		}
	}
	return Who{Place: s.Place, ID: p.ID, Name: p.Name, Role: p.Role, From: s.Device}, nil
}

// SignOut ends the session of a token. A token that is none is no error.
func (d *Desk) SignOut(ctx context.Context, who Who, token string) error {
	err := d.keep.Revoke(ctx, who.Place, store.Hash(sha256.Sum256([]byte(token))), d.now())
	if store.CodeOf(err) == store.NotFound {
		return nil
	}
	d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "sign-out"})
	return err
}

// note adds to the audit trail. A trail that cannot be written keeps nobody
// from working; what was done stands in the events all the same.
func (d *Desk) note(ctx context.Context, place store.PlaceID, e store.Entry) {
	e.At = d.now()
	e.From, e.Says = cut(e.From, deviceBytes), cut(e.Says, store.MaxField)
	_ = d.keep.Note(ctx, place, e)
}

// Empty reports whether nothing is kept yet: the first who comes sets it up.
func (d *Desk) Empty(ctx context.Context) (bool, error) {
	places, err := d.keep.Places(ctx)
	if err != nil {
		return false, err
	}
	for _, p := range places { // a set-up that broke off has left a place and nobody in it
		people, err := d.keep.People(ctx, p.ID)
		if err != nil || len(people) > 0 {
			return false, err
		}
	}
	return true, nil
}

// Places returns the workshops that are kept.
func (d *Desk) Places(ctx context.Context) ([]store.Place, error) { return d.keep.Places(ctx) }

// Opening is what the first person says who sets up an empty store.
type Opening struct {
	Workshop string // its name
	Currency string // ISO 4217
	Rate     string // labour an hour, "84.00"
	Name     string // of the owner
	Password string
	Sample   bool // begin with the sample guides
}

// SetUp makes the first workshop with its owner. It is refused once there is
// one.
func (d *Desk) SetUp(ctx context.Context, o Opening) (store.PlaceID, joblog.Person, error) {
	if empty, err := d.Empty(ctx); err != nil || !empty {
		return "", "", orRefused(err, "this is set up already; sign in")
	}
	w, err := o.workshop()
	if err != nil {
		return "", "", err
	}
	person, err := named(o.Name)
	if err != nil {
		return "", "", err
	}
	if err := strong(o.Password, o.Name, o.Workshop); err != nil {
		return "", "", err
	}
	hash, err := d.hashPassword(o.Password)
	if err != nil {
		return "", "", err
	}
	place := store.Place{ID: store.PlaceID(w.ID), Name: o.Workshop, Opened: d.now()}
	var guides []*guide.Guide
	if o.Sample {
		guides = d.opts.Sample
	}
	if err := d.Furnish(ctx, place, w.text, guides); err != nil {
		return "", "", err
	}
	_, err = d.keep.PutPerson(ctx, place.ID, store.Person{ID: person, Name: strings.TrimSpace(o.Name), Role: store.Owner, Password: hash, Since: d.now()})
	d.note(ctx, place.ID, store.Entry{Person: person, Did: "set-up"})
	return place.ID, person, err
}

func orRefused(err error, says string) error {
	if err != nil {
		return err
	}
	return fmt.Errorf("%w: %s", ErrRefused, says)
}

// strong refuses passwords that are easy to guess for who knows the workshop.
func strong(password string, known ...string) error {
	low := strings.ToLower(password)
	for _, k := range known {
		for _, word := range strings.Fields(strings.ToLower(k)) {
			if len(word) > 3 && strings.Contains(low, word) {
				return fmt.Errorf("%w: password: it contains %q, which everybody here knows", app.ErrInput, word)
			}
		}
	}
	letters := map[rune]bool{}
	for _, r := range low {
		letters[r] = true
	}
	if len(letters) < fewestLetters {
		return fmt.Errorf("%w: password: it has only %d different characters", app.ErrInput, len(letters))
	}
	return nil
}

// fewestLetters is how many different characters a password has at least.
const fewestLetters = 6
