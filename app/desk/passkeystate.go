package desk

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"elbowroom/joblog"
	"elbowroom/store"
)

// ChallengeTime is how long somebody has to show their passkey.
const ChallengeTime = 5 * time.Minute

const (
	challengeBytes = 32 // of chance; WebAuthn Level 3, section 13.4.3, asks for 16 at least
	sealKeyName    = "passkey-seal"
	sealKeyBytes   = 32
	mostSealed     = 2048 // bytes of a sealed challenge
	sealWord       = "passkey challenge 1\n"
)

// purpose is what a challenge was made for; it is good for nothing else.
type purpose string

const (
	toRegister purpose = "register"
	toSignIn   purpose = "sign-in"
)

// challenge is what has to be remembered between asking for a passkey and
// seeing it. The browser keeps it, sealed, so that any server may take it back.
type challenge struct {
	For    purpose       `json:"for"`
	At     string        `json:"at"`     // origin
	Text   []byte        `json:"text"`   // what the device signs
	Until  joblog.Moment `json:"until"`  // it is too late after that
	Holder []byte        `json:"holder"` // handle of who registers
	Bound  []byte        `json:"bound"`  // SHA-256 of the session that it was made in; empty before signing in
}

// bound is what ties a challenge to a session.
func bound(session string) []byte {
	if session == "" {
		return nil
	}
	h := sha256.Sum256([]byte("session of a challenge\n" + session))
	return h[:]
}

// newChallenge makes and seals a challenge.
func (d *Desk) newChallenge(ctx context.Context, c challenge) (challenge, string, error) {
	c.Text = make([]byte, challengeBytes)
	if _, err := io.ReadFull(d.opts.Random, c.Text); err != nil {
		return c, "", err
	}
	c.Until = joblog.MomentOf(d.opts.Clock().Add(ChallengeTime))
	key, err := d.sealKey(ctx)
	if err != nil {
		return c, "", err
	}
	body, err := json.Marshal(c)
	if err != nil {
		return c, "", err
	}
	b64 := base64.RawURLEncoding
	return c, b64.EncodeToString(body) + "." + b64.EncodeToString(sealOf(key, body)), nil
}

func sealOf(key, body []byte) []byte {
	m := hmac.New(sha256.New, key)
	m.Write([]byte(sealWord))
	m.Write(body)
	return m.Sum(nil)
}

// unseal reads a sealed challenge back; ok is false for anything that was not
// sealed with the key.
func unseal(key []byte, text string) (c challenge, ok bool) {
	if len(text) > mostSealed {
		return challenge{}, false
	}
	first, second, _ := strings.Cut(text, ".")
	body, errBody := base64.RawURLEncoding.Strict().DecodeString(first)
	seal, errSeal := base64.RawURLEncoding.Strict().DecodeString(second)
	if errBody != nil || errSeal != nil || !hmac.Equal(seal, sealOf(key, body)) {
		return challenge{}, false
	}
	return c, json.Unmarshal(body, &c) == nil && len(c.Text) == challengeBytes
}

// useChallenge takes a challenge back, once: it must have been made for this
// purpose, at this origin, in this session, and not be too old. The error
// wraps ErrRefused.
func (d *Desk) useChallenge(ctx context.Context, want purpose, at PasskeyAt) (challenge, error) {
	key, err := d.sealKey(ctx)
	if err != nil {
		return challenge{}, err
	}
	c, ok := unseal(key, at.State)
	now := d.now()
	switch {
	case !ok, c.For != want, c.At != at.Origin.String(), !hmac.Equal(c.Bound, bound(at.Session)):
		return challenge{}, fmt.Errorf("%w: this was not begun here: begin again", ErrRefused)
	case now > c.Until:
		return challenge{}, fmt.Errorf("%w: that took more than %d minutes: begin again", ErrRefused, int(ChallengeTime.Minutes()))
	}
	used := sha256.Sum256(c.Text)
	// the count is kept for longer than the challenge holds, whatever the
	// clocks of several servers say
	n, err := d.keep.Attempt(ctx, "challenge "+base64.RawURLEncoding.EncodeToString(used[:]), now, 3*ChallengeTime)
	if err == nil && n > 1 {
		err = fmt.Errorf("%w: this was used already: begin again", ErrRefused)
	}
	return c, err
}

// sealKey returns the key of all servers on this store, and makes it when
// there is none yet.
func (d *Desk) sealKey(ctx context.Context) ([]byte, error) {
	s, err := d.keep.Setting(ctx, store.Everywhere, sealKeyName)
	if store.CodeOf(err) == store.NotFound {
		made := make([]byte, sealKeyBytes)
		if _, err := io.ReadFull(d.opts.Random, made); err != nil {
			return nil, err
		}
		_, err = d.keep.PutSetting(ctx, store.Everywhere, store.Setting{Name: sealKeyName, Value: made})
		if err != nil && store.CodeOf(err) != store.Exists { // another server was faster
			return nil, err
		}
		s, err = d.keep.Setting(ctx, store.Everywhere, sealKeyName)
	}
	if err == nil && len(s.Value) != sealKeyBytes {
		err = store.Errorf(store.Damaged, "the setting %s has %d bytes and needs %d", sealKeyName, len(s.Value), sealKeyBytes)
	}
	return s.Value, err
}
