package desk

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"elbowroom/store"
)

// BeginPasskeySignIn asks whoever is at the door for a passkey. Nobody says
// who they are: the device knows.
func (d *Desk) BeginPasskeySignIn(ctx context.Context, at PasskeyAt) (*Asked, error) {
	party, err := relying(at.Origin)
	if err != nil {
		return nil, err
	}
	c, state, err := d.newChallenge(ctx, challenge{For: toSignIn, At: at.Origin.String()})
	if err != nil {
		return nil, err
	}
	asked, _, err := party.BeginDiscoverableLogin(webauthn.WithChallenge(c.Text), func(o *protocol.PublicKeyCredentialRequestOptions) error {
		o.Timeout = int(ChallengeTime.Milliseconds())
		return nil
	})
	if err != nil {
		return nil, err
	}
	options, err := json.Marshal(asked)
	return &Asked{options, state}, err
}

// PasskeySignIn opens a session for the person whose passkey it is and returns
// its token. Of s, Device and Address count; who it is and where they work the
// passkey says. The error wraps ErrRefused when the passkey was not asked for
// here and now, ErrSignIn when it opens nothing, and ErrTooOften.
func (d *Desk) PasskeySignIn(ctx context.Context, at PasskeyAt, s SignIn) (token string, err error) {
	party, err := relying(at.Origin)
	if err != nil {
		return "", err
	}
	if err := d.tried(ctx, "address "+network(s.Address), perAddress); err != nil {
		return "", err
	}
	at.Session = "" // at the door there is none
	c, err := d.useChallenge(ctx, toSignIn, at)
	if err != nil {
		return "", err
	}
	if len(at.Answer) > mostAnswer {
		return "", wrongPasskey()
	}
	shown, err := protocol.ParseCredentialRequestResponseBytes(at.Answer)
	if err != nil || len(shown.RawID) > mostPasskeyID {
		return "", wrongPasskey()
	}
	place, p, err := d.keep.ByPasskey(ctx, shown.RawID)
	if store.CodeOf(err) == store.NotFound {
		return "", wrongPasskey()
	}
	if err != nil {
		return "", err
	}
	s.Place, s.Person = place, p.ID
	key := "passkey of " + string(place) + "/" + string(p.ID)
	if err := d.tried(ctx, key, perPerson); err != nil {
		return "", err
	}
	name, err := d.checkKey(ctx, party, c, shown, s)
	if err != nil {
		return "", err
	}
	if err := d.keep.ForgetAttempts(ctx, key); err != nil {
		return "", err
	}
	return d.admit(ctx, s, "passkey "+name)
}

func wrongPasskey() error {
	return fmt.Errorf("%w: this passkey opens nothing here, or no longer", ErrSignIn)
}

// checkKey checks what a device has signed, keeps its new count, and returns
// the name of the passkey. A count that does not go on means that somebody has
// a copy: the passkey is stopped for good.
func (d *Desk) checkKey(ctx context.Context, party *webauthn.WebAuthn, c challenge, shown *protocol.ParsedCredentialAssertionData, s SignIn) (name string, err error) {
	refused := ""
	err = d.changePerson(ctx, s.Place, s.Person, func(p *store.Person) error {
		refused = ""
		i := indexOf(p.Passkeys, shown.RawID)
		if i < 0 || p.Disabled {
			return wrongPasskey()
		}
		k, err := readKey(p.Passkeys[i])
		if err != nil {
			return err
		}
		name = p.Passkeys[i].Name
		owner := holder{handle: k.Holder, keys: []webauthn.Credential{k.credential(shown.RawID)}}
		_, seen, err := party.ValidatePasskeyLogin(func(_, _ []byte) (webauthn.User, error) { return owner, nil }, sessionOf(c, nil), shown)
		switch {
		case err != nil:
			refused = "passkey-refused"
			return wrongPasskey()
		case k.Stopped || seen.Authenticator.CloneWarning:
			refused, k.Stopped = "passkey-stopped", true
		default:
			k.Count, k.Flags, k.Used = seen.Authenticator.SignCount, byte(seen.Flags.ProtocolValue()), d.now()
		}
		p.Passkeys[i].Data, err = k.text()
		return err
	})
	if refused != "" {
		d.note(ctx, s.Place, store.Entry{Person: s.Person, From: s.Address, Did: refused, Says: name})
	}
	if err == nil && refused != "" {
		err = fmt.Errorf("%w: this passkey was stopped, because there may be a copy of it; sign in with your password, remove it and make a new one", ErrSignIn)
	}
	return name, err
}
