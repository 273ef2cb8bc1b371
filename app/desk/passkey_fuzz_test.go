package desk_test

import (
	"errors"
	"testing"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/app/desk/desktest"
)

// fuzzing returns a shop for one fuzz target, with a passkey in it.
func fuzzing(f *testing.F) (*keyed, *desktest.Device) {
	f.Helper()
	var k *keyed
	phone := &desktest.Device{Origin: bayOrigin}
	k = openKeyed(f)
	if err := k.register(f, phone, "phone"); err != nil {
		f.Fatal(err)
	}
	return k, phone
}

// FuzzPasskeyAnswer: whatever a browser says, it is refused in words unless a
// device has signed the challenge.
func FuzzPasskeyAnswer(f *testing.F) {
	k, phone := fuzzing(f)
	old := k.show(f, phone)
	asked, err := k.BeginPasskey(f.Context(), k.who, k.at, k.password)
	if err != nil {
		f.Fatal(err)
	}
	made, err := (&desktest.Device{Origin: bayOrigin}).Make(asked.Options)
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range [][]byte{old.Answer, made, nil, []byte("{}"), []byte(`{"id":"AA","rawId":"AA","type":"public-key","response":{}}`)} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, answer []byte) {
		k.clock.at = k.clock.at.Add(desk.ChallengeTime)
		begun, err := k.BeginPasskeySignIn(t.Context(), k.at)
		if err != nil {
			t.Fatal(err)
		}
		at := desk.PasskeyAt{Origin: k.at.Origin, State: begun.State, Answer: answer}
		if _, err := k.signIn(t, at); !errors.Is(err, desk.ErrSignIn) && !errors.Is(err, desk.ErrTooOften) {
			t.Fatalf("sign-in: %v", err)
		}
		asked, err := k.BeginPasskey(t.Context(), k.who, k.at, k.password)
		if err != nil {
			t.Fatal(err)
		}
		at = k.at
		at.State, at.Answer = asked.State, answer
		if err := k.TakePasskey(t.Context(), k.who, at, "x"); !errors.Is(err, app.ErrInput) {
			t.Fatalf("registration: %v", err)
		}
	})
}

// FuzzPasskeyState: what a browser gives back as a challenge is refused unless
// it was sealed here.
func FuzzPasskeyState(f *testing.F) {
	k, phone := fuzzing(f)
	good := k.show(f, phone)
	if _, err := k.signIn(f, good); err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{good.State, "", ".", "e30.", "e30.AAAA", good.State + ".x"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, state string) {
		k.clock.at = k.clock.at.Add(desk.ChallengeTime)
		good.State = state
		if _, err := k.signIn(t, good); !errors.Is(err, desk.ErrRefused) && !errors.Is(err, desk.ErrTooOften) {
			t.Fatal(err)
		}
	})
}

// FuzzParseOrigin: what is taken is read again the same, and is one host.
func FuzzParseOrigin(f *testing.F) {
	for _, seed := range []string{bayOrigin, "http://localhost:8086/", "https://192.0.2.1", "https://[::1]:1", "https://a..b", "https://x:00443", "x", "https://%62ay.example"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		o, err := desk.ParseOrigin(text)
		if err != nil {
			if !errors.Is(err, app.ErrInput) || !o.IsZero() {
				t.Fatalf("%q, %v", o, err)
			}
			return
		}
		if again, err := desk.ParseOrigin(o.String()); err != nil || again != o || o.Host() == "" {
			t.Fatalf("%q became %q, %v", o, again, err)
		}
	})
}
