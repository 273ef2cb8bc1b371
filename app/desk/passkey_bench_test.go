package desk_test

import (
	"testing"

	"elbowroom/app/desk"
	"elbowroom/app/desk/desktest"
)

// BenchmarkPasskeySignIn is a whole sign-in, the device's part included: a
// challenge, the answer, the check, the session in SQLite.
func BenchmarkPasskeySignIn(b *testing.B) {
	k := openKeyed(b)
	phone := &desktest.Device{Origin: bayOrigin, Step: 1}
	if err := k.register(b, phone, "phone"); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		k.clock.at = k.clock.at.Add(desk.ChallengeTime) // so that the limit of one address is not reached
		if token, err := k.signIn(b, k.show(b, phone)); err != nil || token == "" {
			b.Fatal(err)
		}
	}
}
