package desk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"elbowroom/app"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Bounds of passkeys.
const (
	MostPasskeys    = 12 // of one person: a phone, a desk, a few keys
	MostPasskeyName = 60 // characters
	mostPasskeyID   = 1023
	mostAnswer      = 64 << 10 // bytes that a browser says of a passkey
	handleBytes     = 32
)

// PasskeyAt is where a passkey is made or shown, and with what.
type PasskeyAt struct {
	Origin  Origin
	Session string // token of the session in which somebody registers; "" at the door
	State   string // what Begin… gave the browser to keep
	Answer  []byte // what the browser says of the passkey: JSON as in WebAuthn Level 3, sections 5.1.7 and 5.1.8
}

// Asked is what a browser needs to ask for a passkey.
type Asked struct {
	Options json.RawMessage // for the browser's credentials interface
	State   string          // to be kept by the browser where no script reads it, for ChallengeTime at most
}

// PasskeyLine is a passkey of somebody, for their list.
type PasskeyLine struct {
	ID      PasskeyID
	Name    string
	Since   joblog.Moment
	Used    joblog.Moment // zero: never yet
	Synced  bool          // the device keeps copies elsewhere, as a password manager does
	Stopped bool          // refused since its count went back
}

// relying returns the library for an origin. Attestation is not asked for: any
// device will do that verifies its user.
func relying(at Origin) (*webauthn.WebAuthn, error) {
	if at.IsZero() {
		return nil, fmt.Errorf("%w: there are no passkeys at this address", ErrRefused)
	}
	yes := true
	return webauthn.New(&webauthn.Config{
		RPID: at.Host(), RPDisplayName: "Elbowroom", RPOrigins: []string{at.String()}, AttestationPreference: protocol.PreferNoAttestation,
		AuthenticatorSelection: protocol.AuthenticatorSelection{
			RequireResidentKey: &yes, ResidentKey: protocol.ResidentKeyRequirementRequired, UserVerification: protocol.VerificationRequired,
		},
	})
}

// BeginPasskey begins to register a passkey for who asks. Who has a password
// says it once more, so that nobody adds their own key to a phone that lies
// about.
func (d *Desk) BeginPasskey(ctx context.Context, who Who, at PasskeyAt, password string) (*Asked, error) {
	party, err := relying(at.Origin)
	if err != nil {
		return nil, err
	}
	if at.Session == "" {
		return nil, ErrSignIn
	}
	p, err := d.keep.Person(ctx, who.Place, who.ID)
	if err != nil {
		return nil, err
	}
	if err := d.sameAgain(ctx, who, p, password); err != nil {
		return nil, err
	}
	if len(p.Passkeys) >= MostPasskeys {
		return nil, tooManyPasskeys()
	}
	h, err := holderOf(p)
	if err != nil {
		return nil, err
	}
	if h.handle == nil {
		h.handle = make([]byte, handleBytes)
		if _, err := io.ReadFull(d.opts.Random, h.handle); err != nil {
			return nil, err
		}
	}
	if shop, err := d.keep.Place(ctx, who.Place); err == nil && shop.Name != "" {
		h.name += ", " + shop.Name // so that the device can tell two workshops apart
	}
	c, state, err := d.newChallenge(ctx, challenge{For: toRegister, At: at.Origin.String(), Holder: h.handle, Bound: bound(at.Session)})
	if err != nil {
		return nil, err
	}
	made, _, err := party.BeginRegistration(h, webauthn.WithExclusions(webauthn.Credentials(h.keys).CredentialDescriptors()), func(o *protocol.PublicKeyCredentialCreationOptions) error {
		o.Challenge, o.Timeout = c.Text, int(ChallengeTime.Milliseconds())
		return nil
	})
	if err != nil {
		return nil, err
	}
	options, err := json.Marshal(made)
	return &Asked{options, state}, err
}

func tooManyPasskeys() error {
	return fmt.Errorf("%w: passkey: you have %d, which is the most; remove one first", app.ErrInput, MostPasskeys)
}

// sameAgain makes sure that it is still the same person who sits there.
func (d *Desk) sameAgain(ctx context.Context, who Who, p store.Person, password string) error {
	if p.Password == nil {
		return nil
	}
	key := personKey(SignIn{Place: who.Place, Person: who.ID})
	if err := d.tried(ctx, key, perPerson); err != nil {
		return err
	}
	if !isPassword(p.Password, password) {
		return fmt.Errorf("%w: present password: it is another one", app.ErrInput)
	}
	return d.keep.ForgetAttempts(ctx, key)
}

// TakePasskey registers the passkey that the browser made. The error wraps
// ErrRefused when it was not asked for here and now, and app.ErrInput when it
// cannot be taken.
func (d *Desk) TakePasskey(ctx context.Context, who Who, at PasskeyAt, name string) error {
	party, err := relying(at.Origin)
	if err != nil {
		return err
	}
	if name, err = passkeyName(name); err != nil {
		return err
	}
	c, err := d.useChallenge(ctx, toRegister, at)
	if err != nil {
		return err
	}
	made, err := madeKey(party, c, at)
	if err != nil {
		return err
	}
	data, err := keptOf(made, c.Holder).text()
	if err != nil {
		return err
	}
	err = d.changePerson(ctx, who.Place, who.ID, func(p *store.Person) error {
		if len(p.Passkeys) >= MostPasskeys {
			return tooManyPasskeys()
		}
		if slices.ContainsFunc(p.Passkeys, func(k store.Passkey) bool { return k.Name == name }) {
			return fmt.Errorf("%w: passkey: you have one called %q already; choose another name", app.ErrInput, name)
		}
		p.Passkeys = append(p.Passkeys, store.Passkey{ID: made.ID, Data: data, Name: name, Since: d.now()})
		return nil
	})
	if store.CodeOf(err) == store.Exists {
		return fmt.Errorf("%w: this passkey is registered already", ErrRefused)
	}
	if err == nil {
		d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "passkey", Says: name})
	}
	return err
}

// madeKey checks what the browser says of a passkey that it made.
func madeKey(party *webauthn.WebAuthn, c challenge, at PasskeyAt) (*webauthn.Credential, error) {
	bad := func(why string) (*webauthn.Credential, error) {
		return nil, fmt.Errorf("%w: passkey: %s; begin again", app.ErrInput, why)
	}
	if len(at.Answer) > mostAnswer {
		return bad("the browser says too much of it")
	}
	parsed, err := protocol.ParseCredentialCreationResponseBytes(at.Answer)
	if err != nil {
		return bad("what the browser says of it cannot be read")
	}
	// the others are for proving what a device is, which nobody asked
	if f := parsed.Response.AttestationObject.Format; f != string(protocol.AttestationFormatNone) && f != string(protocol.AttestationFormatPacked) {
		return bad("the device proves what it is, which was not asked")
	}
	made, err := party.CreateCredential(holder{handle: c.Holder}, sessionOf(c, c.Holder), parsed)
	if err != nil {
		return bad("the device did not make it for this page, or did not check who you are")
	}
	if len(made.ID) == 0 || len(made.ID) > mostPasskeyID {
		return bad("its id is too long")
	}
	return made, nil
}

// sessionOf is a challenge as the library wants one.
func sessionOf(c challenge, user []byte) webauthn.SessionData {
	origin, _ := ParseOrigin(c.At) // sealed by us
	return webauthn.SessionData{
		Challenge: protocol.URLEncodedBase64(c.Text).String(), RelyingPartyID: origin.Host(), Origin: c.At, UserID: user,
		UserVerification: protocol.VerificationRequired, CredParams: webauthn.CredentialParametersDefault(),
	}
}

func passkeyName(name string) (string, error) {
	name = strings.Join(strings.Fields(strings.ToValidUTF8(name, "?")), " ")
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return "", fmt.Errorf("%w: name of the passkey: say where it is, such as phone", app.ErrInput)
	case n > MostPasskeyName:
		return "", fmt.Errorf("%w: name of the passkey: %d characters; %d at most", app.ErrInput, n, MostPasskeyName)
	}
	return name, nil
}

// personTries is how often a person is read again when others write it at the
// same time.
const personTries = 5

// changePerson changes what is kept of a person, again when somebody else was
// faster. The change must be right to make twice.
func (d *Desk) changePerson(ctx context.Context, place store.PlaceID, id joblog.Person, change func(*store.Person) error) error {
	err := error(store.Conflict)
	for n := 0; n < personTries && errors.Is(err, store.Conflict); n++ {
		var p store.Person
		if p, err = d.keep.Person(ctx, place, id); err != nil {
			return err
		}
		if err = change(&p); err != nil {
			return err
		}
		_, err = d.keep.PutPerson(ctx, place, p)
	}
	return err
}

// Passkeys lists the passkeys of who asks, the oldest first.
func (d *Desk) Passkeys(ctx context.Context, who Who) ([]PasskeyLine, error) {
	p, err := d.keep.Person(ctx, who.Place, who.ID)
	if err != nil {
		return nil, err
	}
	return passkeyLines(p), nil
}

func passkeyLines(p store.Person) (lines []PasskeyLine) {
	for _, x := range p.Passkeys {
		line := PasskeyLine{ID: passkeyID(x.ID), Name: x.Name, Since: x.Since, Stopped: true}
		if k, err := readKey(x); err == nil { // one that cannot be read opens nothing and can be removed
			line.Used, line.Stopped = k.Used, k.Stopped
			line.Synced = protocol.AuthenticatorFlags(k.Flags).HasBackupState()
		}
		lines = append(lines, line)
	}
	return lines
}

// DropPasskey removes a passkey of somebody: one's own, or anybody's for an
// owner. One that is the only way in stays.
func (d *Desk) DropPasskey(ctx context.Context, who Who, person joblog.Person, id PasskeyID) error {
	if person != who.ID {
		if err := who.manages(); err != nil {
			return err
		}
	}
	var name string
	err := d.changePerson(ctx, who.Place, person, func(p *store.Person) error {
		i := slices.IndexFunc(p.Passkeys, func(k store.Passkey) bool { return passkeyID(k.ID) == id })
		switch {
		case i < 0:
			return fmt.Errorf("%w: passkey: it is gone already; load the page again", app.ErrInput)
		case person == who.ID && p.Password == nil && len(p.Passkeys) == 1:
			return fmt.Errorf("%w: passkey: it is your only way in; set a password first", app.ErrInput)
		}
		name = p.Passkeys[i].Name
		p.Passkeys = slices.Delete(p.Passkeys, i, i+1)
		return nil
	})
	if err == nil {
		d.note(ctx, who.Place, store.Entry{Person: who.ID, From: who.From, Did: "passkey-removed", On: string(person), Says: name})
	}
	return err
}
