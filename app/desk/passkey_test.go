package desk_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/app/desk/desktest"
	"elbowroom/store"
)

const bayOrigin = "https://bay.example"

// keyed is a shop whose clock stands, and somebody with a password in it.
type keyed struct {
	*shop
	at       desk.PasskeyAt
	password string
}

func openKeyed(t testing.TB) *keyed {
	t.Helper()
	s := open(t)
	origin, err := desk.ParseOrigin(bayOrigin)
	if err != nil {
		t.Fatal(err)
	}
	k := &keyed{shop: s, at: desk.PasskeyAt{Origin: origin, Session: "token"}, password: "four small words here"}
	k.reopen(chance())
	id, err := k.Hire(t.Context(), k.who, "Ada Stile", store.Owner, k.password)
	if err != nil {
		t.Fatal(err)
	}
	k.who = k.another(id, store.Owner)
	return k
}

// reopen puts another server in the place of the present one, on the same store.
func (k *keyed) reopen(random io.Reader) {
	k.Desk = desk.New(k.store, desk.Options{Clock: func() time.Time { return k.clock.at }, Random: random, Device: "other", QuickPasswords: true})
}

// register makes a passkey on a device.
func (k *keyed) register(t testing.TB, d *desktest.Device, name string) error {
	t.Helper()
	asked, err := k.BeginPasskey(t.Context(), k.who, k.at, k.password)
	if err != nil {
		t.Fatal(err)
	}
	at := k.at
	at.State = asked.State
	if at.Answer, err = d.Make(asked.Options); err != nil {
		t.Fatal(err)
	}
	return k.TakePasskey(t.Context(), k.who, at, name)
}

// show asks a device for a passkey and returns everything for signing in.
func (k *keyed) show(t testing.TB, d *desktest.Device) desk.PasskeyAt {
	t.Helper()
	asked, err := k.BeginPasskeySignIn(t.Context(), k.at)
	if err != nil {
		t.Fatal(err)
	}
	at := desk.PasskeyAt{Origin: k.at.Origin, State: asked.State}
	if at.Answer, err = d.Show(asked.Options); err != nil {
		t.Fatal(err)
	}
	return at
}

func (k *keyed) signIn(t testing.TB, at desk.PasskeyAt) (string, error) {
	t.Helper()
	return k.PasskeySignIn(t.Context(), at, desk.SignIn{Device: "a phone", Address: "192.0.2.7"})
}

// did returns the newest entry of the trail.
func (k *keyed) did(t *testing.T) store.Entry {
	t.Helper()
	list, err := k.Trail(t.Context(), k.who, 0)
	if err != nil || len(list) == 0 {
		t.Fatalf("trail: %v, %v", list, err)
	}
	return list[0]
}

// A passkey is registered, opens a session without a name, and is refused once
// it is removed.
func TestPasskeyFromFirstToLast(t *testing.T) {
	k := openKeyed(t)
	phone := &desktest.Device{Origin: bayOrigin, Step: 1, Count: 6}
	if err := k.register(t, phone, "  my   phone "); err != nil {
		t.Fatal(err)
	}
	if e := k.did(t); e.Did != "passkey" || e.Says != "my phone" {
		t.Errorf("trail: %+v", e)
	}
	if h := phone.Keys[0].Holder; len(h) != 32 || bytes.Contains(h, []byte(k.who.ID)) {
		t.Errorf("the handle %q is not chance", h)
	}
	k.reopen(rotated()) // begun at one server, ended at another
	token, err := k.signIn(t, k.show(t, phone))
	if err != nil {
		t.Fatal(err)
	}
	who, err := k.Who(t.Context(), token)
	if err != nil || who.ID != k.who.ID || who.Place != k.who.Place || who.Role != store.Owner {
		t.Errorf("signed in as %+v, %v", who, err)
	}
	if e := k.did(t); e.Did != "sign-in" || e.Says != "passkey my phone" || e.Person != k.who.ID {
		t.Errorf("trail: %+v", e)
	}
	lines, err := k.Passkeys(t.Context(), k.who)
	if err != nil || len(lines) != 1 || lines[0].Name != "my phone" || lines[0].Used.IsZero() || lines[0].Stopped || lines[0].Synced {
		t.Fatalf("%+v, %v", lines, err)
	}
	if err := k.DropPasskey(t.Context(), k.who, k.who.ID, lines[0].ID); err != nil {
		t.Fatal(err)
	}
	if e := k.did(t); e.Did != "passkey-removed" || e.Says != "my phone" {
		t.Errorf("trail: %+v", e)
	}
	if _, err := k.signIn(t, k.show(t, phone)); !errors.Is(err, desk.ErrSignIn) {
		t.Errorf("a removed passkey: %v", err)
	}
}

// rotated is other chance than that of chance.
func rotated() io.Reader {
	c := chance()
	var skip [99]byte
	_, _ = c.Read(skip[:])
	return c
}

// All passkeys of somebody have one handle, a device is told which it has, and
// no two have one name.
func TestPasskeysOfOnePerson(t *testing.T) {
	k := openKeyed(t)
	phone, stick := &desktest.Device{Origin: bayOrigin, Synced: true}, &desktest.Device{Origin: bayOrigin}
	for d, name := range map[*desktest.Device]string{phone: "phone", stick: "stick"} {
		if err := k.register(t, d, name); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(phone.Keys[0].Holder, stick.Keys[0].Holder) {
		t.Error("two handles")
	}
	asked, err := k.BeginPasskey(t.Context(), k.who, k.at, k.password)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := phone.Make(asked.Options); !errors.Is(err, desktest.ErrExcluded) {
		t.Errorf("a second one on the phone: %v", err)
	}
	for name, want := range map[string]error{"phone": app.ErrInput, " ": app.ErrInput, strings.Repeat("x", desk.MostPasskeyName+1): app.ErrInput} {
		if err := k.register(t, &desktest.Device{Origin: bayOrigin}, name); !errors.Is(err, want) {
			t.Errorf("name %q: %v", name, err)
		}
	}
	for _, d := range []*desktest.Device{phone, stick} {
		if _, err := k.signIn(t, k.show(t, d)); err != nil {
			t.Error(err)
		}
	}
	lines, err := k.Passkeys(t.Context(), k.who)
	if err != nil || len(lines) != 2 || !slices.ContainsFunc(lines, func(l desk.PasskeyLine) bool { return l.Name == "phone" && l.Synced }) {
		t.Errorf("%+v, %v", lines, err)
	}
}

// A count that goes back tells of a copy: the passkey is stopped, also for the
// device that has the greater count.
func TestCopiedPasskeyIsStopped(t *testing.T) {
	k := openKeyed(t)
	d := &desktest.Device{Origin: bayOrigin, Step: 1}
	if err := k.register(t, d, "stick"); err != nil {
		t.Fatal(err)
	}
	clone := *d
	for range 2 {
		if _, err := k.signIn(t, k.show(t, d)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := k.signIn(t, k.show(t, &clone)); !errors.Is(err, desk.ErrSignIn) || !strings.Contains(err.Error(), "copy") {
		t.Errorf("the copy: %v", err)
	}
	if e := k.did(t); e.Did != "passkey-stopped" || e.From != "192.0.2.7" {
		t.Errorf("trail: %+v", e)
	}
	if _, err := k.signIn(t, k.show(t, d)); !errors.Is(err, desk.ErrSignIn) {
		t.Errorf("the first one afterwards: %v", err)
	}
	if lines, err := k.Passkeys(t.Context(), k.who); err != nil || !lines[0].Stopped {
		t.Errorf("%+v, %v", lines, err)
	}
}

// What is refused at the door, each for one reason.
func TestPasskeySignInRefuses(t *testing.T) {
	k := openKeyed(t)
	d := &desktest.Device{Origin: bayOrigin}
	if err := k.register(t, d, "phone"); err != nil {
		t.Fatal(err)
	}
	good := k.show(t, d)
	if _, err := k.signIn(t, good); err != nil {
		t.Fatal(err)
	}
	elsewhere, err := desk.ParseOrigin("https://bay.example:8443")
	if err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name string
		want error
		at   func() desk.PasskeyAt
	}{
		{"the same answer again", desk.ErrRefused, func() desk.PasskeyAt { return good }},
		{"an answer to another challenge", desk.ErrSignIn, func() desk.PasskeyAt { at := k.show(t, d); at.Answer = good.Answer; return at }},
		{"another origin in the answer", desk.ErrSignIn, func() desk.PasskeyAt {
			d.Origin = "https://bay.example.evil.example"
			defer func() { d.Origin = bayOrigin }()
			return k.show(t, d)
		}},
		{"a challenge of another origin", desk.ErrRefused, func() desk.PasskeyAt { at := k.show(t, d); at.Origin = elsewhere; return at }},
		{"a device that does not check its user", desk.ErrSignIn, func() desk.PasskeyAt {
			d.Careless = true
			defer func() { d.Careless = false }()
			return k.show(t, d)
		}},
		{"a challenge for registering", desk.ErrRefused, func() desk.PasskeyAt {
			asked, err := k.BeginPasskey(t.Context(), k.who, k.at, k.password)
			if err != nil {
				t.Fatal(err)
			}
			at := k.show(t, d)
			at.State = asked.State
			return at
		}},
		{"an altered challenge", desk.ErrRefused, func() desk.PasskeyAt { at := k.show(t, d); at.State = "e" + at.State[1:] + "A"; return at }},
		{"no challenge", desk.ErrRefused, func() desk.PasskeyAt { at := k.show(t, d); at.State = ""; return at }},
		{"another person's handle", desk.ErrSignIn, func() desk.PasskeyAt {
			at := k.show(t, d)
			at.Answer = bytes.Replace(at.Answer, []byte(base64.RawURLEncoding.EncodeToString(d.Keys[0].Holder)), []byte("AAAA"), 1)
			return at
		}},
		{"no answer", desk.ErrSignIn, func() desk.PasskeyAt { at := k.show(t, d); at.Answer = nil; return at }},
		{"an endless answer", desk.ErrSignIn, func() desk.PasskeyAt {
			at := k.show(t, d)
			at.Answer = append(at.Answer, make([]byte, 1<<17)...)
			return at
		}},
		{"too late", desk.ErrRefused, func() desk.PasskeyAt {
			at := k.show(t, d)
			k.clock.at = k.clock.at.Add(desk.ChallengeTime + time.Second)
			return at
		}},
		{"nowhere", desk.ErrRefused, func() desk.PasskeyAt { at := k.show(t, d); at.Origin = desk.Origin{}; return at }},
	}
	for _, c := range cases {
		if token, err := k.signIn(t, c.at()); !errors.Is(err, c.want) || token != "" {
			t.Errorf("%s: %q, %v; want %v", c.name, token, err, c.want)
		}
	}
	if _, err := k.signIn(t, k.show(t, d)); err != nil {
		t.Errorf("an honest one afterwards: %v", err)
	}
	if err := k.Appoint(t.Context(), k.another(k.who.ID, store.Owner), k.who.ID, store.Owner, true); err != nil {
		t.Fatal(err)
	}
	if _, err := k.signIn(t, k.show(t, d)); !errors.Is(err, desk.ErrSignIn) {
		t.Errorf("somebody who left: %v", err)
	}
}

// What is refused when somebody registers.
func TestPasskeyRegistrationRefuses(t *testing.T) {
	k := openKeyed(t)
	d := &desktest.Device{Origin: bayOrigin}
	begin := func() desk.PasskeyAt {
		asked, err := k.BeginPasskey(t.Context(), k.who, k.at, k.password)
		if err != nil {
			t.Fatal(err)
		}
		at := k.at
		at.State = asked.State
		if at.Answer, err = d.Make(asked.Options); err != nil {
			t.Fatal(err)
		}
		return at
	}
	used := begin()
	if err := k.TakePasskey(t.Context(), k.who, used, "first"); err != nil {
		t.Fatal(err)
	}
	d.Keys = nil
	cases := []struct {
		name string
		want error
		at   func() desk.PasskeyAt
	}{
		{"a used challenge", desk.ErrRefused, func() desk.PasskeyAt { return used }},
		{"a challenge of another session", desk.ErrRefused, func() desk.PasskeyAt { at := begin(); at.Session = "another"; return at }},
		{"the answer to another challenge", app.ErrInput, func() desk.PasskeyAt { at := begin(); at.Answer = used.Answer; return at }},
		{"another origin", app.ErrInput, func() desk.PasskeyAt {
			d.Origin = "http://bay.example"
			defer func() { d.Origin = bayOrigin }()
			return begin()
		}},
		{"a device that does not check its user", app.ErrInput, func() desk.PasskeyAt {
			d.Careless = true
			defer func() { d.Careless = false }()
			return begin()
		}},
		{"nonsense", app.ErrInput, func() desk.PasskeyAt { at := begin(); at.Answer = []byte("{}"); return at }},
	}
	for _, c := range cases {
		if err := k.TakePasskey(t.Context(), k.who, c.at(), "second"); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if _, err := k.BeginPasskey(t.Context(), k.who, k.at, "not the password"); !errors.Is(err, app.ErrInput) {
		t.Errorf("wrong password: %v", err)
	}
	if _, err := k.BeginPasskey(t.Context(), k.who, desk.PasskeyAt{Origin: k.at.Origin}, k.password); !errors.Is(err, desk.ErrSignIn) {
		t.Errorf("no session: %v", err)
	}
	if lines, err := k.Passkeys(t.Context(), k.who); err != nil || len(lines) != 1 {
		t.Errorf("%+v, %v", lines, err)
	}
}

// Passkeys cannot be tried without end.
func TestPasskeyTriesAreCounted(t *testing.T) {
	k := openKeyed(t)
	d := &desktest.Device{Origin: bayOrigin}
	if err := k.register(t, d, "phone"); err != nil {
		t.Fatal(err)
	}
	d.Careless = true
	var err error
	for n := 0; n < 20 && !errors.Is(err, desk.ErrTooOften); n++ {
		_, err = k.signIn(t, k.show(t, d))
	}
	if !errors.Is(err, desk.ErrTooOften) {
		t.Fatalf("twenty tries and no end: %v", err)
	}
	d.Careless = false
	if _, err := k.signIn(t, k.show(t, d)); !errors.Is(err, desk.ErrTooOften) {
		t.Errorf("the right one in between: %v", err)
	}
	k.clock.at = k.clock.at.Add(time.Hour)
	if _, err := k.signIn(t, k.show(t, d)); err != nil {
		t.Errorf("an hour later: %v", err)
	}
}

// Nobody removes the passkey of another but an owner.
func TestPasskeyOfAnother(t *testing.T) {
	k := openKeyed(t)
	if err := k.register(t, &desktest.Device{Origin: bayOrigin}, "phone"); err != nil {
		t.Fatal(err)
	}
	lines, err := k.Passkeys(t.Context(), k.who)
	if err != nil {
		t.Fatal(err)
	}
	if err := k.DropPasskey(t.Context(), k.another("moat", store.Technician), k.who.ID, lines[0].ID); !errors.Is(err, desk.ErrNotAllowed) {
		t.Errorf("a technician: %v", err)
	}
	if err := k.DropPasskey(t.Context(), k.another("moat", store.Owner), k.who.ID, lines[0].ID); err != nil {
		t.Errorf("an owner: %v", err)
	}
	if err := k.DropPasskey(t.Context(), k.who, k.who.ID, lines[0].ID); !errors.Is(err, app.ErrInput) {
		t.Errorf("twice: %v", err)
	}
}

func TestParseOrigin(t *testing.T) {
	for in, want := range map[string]string{
		"https://bay.example": "https://bay.example", "HTTPS://Bay.Example/": "https://bay.example", "https://bay.example:443": "https://bay.example",
		"https://bay.example:8443": "https://bay.example:8443", "http://localhost:8086": "http://localhost:8086", "https://xn--bcher-kva.example": "https://xn--bcher-kva.example",
	} {
		if o, err := desk.ParseOrigin(in); err != nil || o.String() != want {
			t.Errorf("%s: %q, %v", in, o, err)
		}
	}
	for _, in := range []string{
		"", "bay.example", "http://bay.example", "https://", "https://192.0.2.1", "https://[2001:db8::1]", "https://bay.example/x", "https://bay.example?x", "https://bay.example#",
		"https://kim@bay.example", "https://bay..example", "https://bücher.example", "https://bay.example:0", "https://bay.example:99999", "https://bay.example:", "ftp://bay.example",
		"https://0x7f.1", "https://-bay.example", "https://*.example", "http://127.0.0.1:8086", "https://" + strings.Repeat("a.", 130) + "example",
	} {
		if o, err := desk.ParseOrigin(in); !errors.Is(err, app.ErrInput) {
			t.Errorf("%q: %q, %v", in, o, err)
		}
	}
}

// vector is one pair of test vectors of WebAuthn Level 3, section 16.
type vector struct {
	Name, Format string
	Registration struct{ Challenge, ClientDataJSON, AttestationObject, CredentialID string }
	SignIn       struct{ Challenge, ClientDataJSON, AuthenticatorData, Signature string }
}

// TestW3CVectors: the pairs of https://www.w3.org/TR/webauthn-3/ section 16
// that verify their user are taken, and the others refused for that, or for
// proof of what the device is, which nobody asked for.
func TestW3CVectors(t *testing.T) {
	data, err := os.ReadFile("testdata/webauthn-3-vectors.json")
	if err != nil {
		t.Fatal(err)
	}
	var list struct {
		Source  string
		Vectors []vector
	}
	if err := json.Unmarshal(data, &list); err != nil || len(list.Vectors) < 3 {
		t.Fatalf("%d vectors, %v", len(list.Vectors), err)
	}
	taken := 0
	for _, v := range list.Vectors {
		t.Run(v.Name, func(t *testing.T) {
			k := openKeyed(t)
			origin, err := desk.ParseOrigin("https://example.org")
			if err != nil {
				t.Fatal(err)
			}
			k.at.Origin = origin
			err = k.vectorRegistered(t, v)
			verified, unasked := hexBytes(t, v.Registration.AttestationObject)[flagsAt(t, v)]&0x04 != 0, v.Format != "none" && v.Format != "packed"
			if (err == nil) != (verified && !unasked) {
				t.Fatalf("registration: %v; verified %v, unasked proof %v", err, verified, unasked)
			}
			if unasked && !strings.Contains(err.Error(), "was not asked") {
				t.Errorf("refused for something else: %v", err)
			}
			if err != nil {
				return
			}
			_, err = k.vectorSignIn(t, v)
			verified = hexBytes(t, v.SignIn.AuthenticatorData)[32]&0x04 != 0
			if (err == nil) != verified {
				t.Errorf("sign-in: %v; verified %v", err, verified)
			}
			if err == nil {
				taken++
			}
		})
	}
	if taken == 0 {
		t.Error("no vector went all the way")
	}
}

func hexBytes(t *testing.T, text string) []byte {
	t.Helper()
	b, err := hex.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// flagsAt finds the flags behind the hash of the relying party, example.org.
func flagsAt(t *testing.T, v vector) int {
	t.Helper()
	hash := hexBytes(t, "bfabc37432958b063360d3ad6461c9c4735ae7f8edd46592a5e0f01452b2e4b5")
	i := bytes.Index(hexBytes(t, v.Registration.AttestationObject), hash)
	if i < 0 {
		t.Fatal("no authenticator data")
	}
	return i + len(hash)
}

// seeded gives the challenge of a vector, and chance before it.
func seeded(before int, challenge []byte) io.Reader {
	return io.MultiReader(io.LimitReader(chance(), int64(before)), bytes.NewReader(challenge), chance())
}

type credentialJSON struct {
	ID       string            `json:"id"`
	RawID    string            `json:"rawId"`
	Type     string            `json:"type"`
	Response map[string]string `json:"response"`
}

func vectorAnswer(t *testing.T, v vector, fields map[string]string) []byte {
	t.Helper()
	b64 := base64.RawURLEncoding.EncodeToString
	id := b64(hexBytes(t, v.Registration.CredentialID))
	c := credentialJSON{ID: id, RawID: id, Type: "public-key", Response: map[string]string{}}
	for name, text := range fields {
		c.Response[name] = b64(hexBytes(t, text))
	}
	data, err := json.Marshal(c)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func (k *keyed) vectorRegistered(t *testing.T, v vector) error {
	t.Helper()
	k.reopen(seeded(32, hexBytes(t, v.Registration.Challenge))) // the handle comes first
	asked, err := k.BeginPasskey(t.Context(), k.who, k.at, k.password)
	if err != nil {
		t.Fatal(err)
	}
	at := k.at
	at.State = asked.State
	at.Answer = vectorAnswer(t, v, map[string]string{"clientDataJSON": v.Registration.ClientDataJSON, "attestationObject": v.Registration.AttestationObject})
	return k.TakePasskey(t.Context(), k.who, at, v.Name)
}

func (k *keyed) vectorSignIn(t *testing.T, v vector) (string, error) {
	t.Helper()
	asked, err := k.BeginPasskey(t.Context(), k.who, k.at, k.password)
	if err != nil {
		t.Fatal(err)
	}
	var options struct {
		PublicKey struct{ User struct{ ID string } }
	}
	if err := json.Unmarshal(asked.Options, &options); err != nil {
		t.Fatal(err)
	}
	handle, err := base64.RawURLEncoding.DecodeString(options.PublicKey.User.ID)
	if err != nil {
		t.Fatal(err)
	}
	k.reopen(seeded(0, hexBytes(t, v.SignIn.Challenge)))
	begun, err := k.BeginPasskeySignIn(context.Background(), k.at)
	if err != nil {
		t.Fatal(err)
	}
	return k.signIn(t, desk.PasskeyAt{Origin: k.at.Origin, State: begun.State, Answer: vectorAnswer(t, v, map[string]string{
		"clientDataJSON": v.SignIn.ClientDataJSON, "authenticatorData": v.SignIn.AuthenticatorData, "signature": v.SignIn.Signature, "userHandle": hex.EncodeToString(handle),
	})})
}
