package joblog

import (
	"errors"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestVectorOfRFC9562 builds the UUID of version 7 that RFC 9562 prints in
// appendix A.6 from the fields printed there, and takes it apart again.
func TestVectorOfRFC9562(t *testing.T) {
	const want = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
	at := MomentOf(time.Date(2022, 2, 22, 14, 22, 22, 0, time.FixedZone("", -5*3600)))
	if at != 0x017f22e279b0 {
		t.Fatalf("the moment is %#x", int64(at))
	}
	// rand_a 0xcc3, rand_b 0b01 and 0x8c4dc0c0c07398f; the bits of version and
	// variant, given here as zero, are put in
	id := NewID(at, [10]byte{0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f})
	if id.String() != want {
		t.Errorf("got %s, want %s", id, want)
	}
	if id.Time() != at {
		t.Errorf("the time of the id is %s, want %s", id.Time(), at)
	}
	upper, err := ParseID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")
	if err != nil || upper != id {
		t.Errorf("the upper-case form of the RFC reads as %s, %v", upper, err)
	}
}

func TestParseIDRefuses(t *testing.T) {
	for _, c := range []struct{ name, text, reason string }{
		{"version 4", "919108f7-52d1-4320-9bac-f847db4148a8", "RFC 9562, appendix A.3: no time in it"},
		{"version 1", "c232ab00-9414-11ec-b3c8-9f6bdeced846", "RFC 9562, appendix A.1: sorts otherwise"},
		{"nil", "00000000-0000-0000-0000-000000000000", "RFC 9562, section 5.9: names nothing"},
		{"max", "ffffffff-ffff-ffff-ffff-ffffffffffff", "RFC 9562, section 5.10: names nothing"},
		{"other variant", "017f22e2-79b0-7cc3-18c4-dc0c0c07398f", "the variant bits are 0"},
		{"no dashes", "017f22e279b07cc398c4dc0c0c07398f", "one form only"},
		{"dash elsewhere", "017f22e27-9b0-7cc3-98c4-dc0c0c07398f", "one form only"},
		{"braces", "{017f22e2-79b0-7cc3-98c4-dc0c0c0739}", "one form only"},
		{"no digit", "017f22e2-79b0-7cc3-98c4-dc0c0c07398g", "g is no digit"},
		{"empty", "", "nothing"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if id, err := ParseID(c.text); !errors.Is(err, ErrForm) {
				t.Errorf("%s reads as %s, %v (%s)", c.text, id, err, c.reason)
			}
		})
	}
}

// TestIDsOfADeviceRise: whatever the clock does, and however the chance falls,
// every id is greater than the one before, bears a time not before now, and
// reads back.
func TestIDsOfADeviceRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var last ID
		now := Earliest
		for range rapid.IntRange(2, 40).Draw(t, "events") {
			now = max(0, now+Moment(rapid.Int64Range(-5_000, 5_000).Draw(t, "clock")))
			var random [10]byte
			fill := rapid.SampledFrom([]byte{0, 1, 0x7f, 0xff}).Draw(t, "chance")
			for i := range random {
				random[i] = fill
			}
			id := NextID(last, now, random)
			if id.Compare(last) <= 0 {
				t.Fatalf("%s does not come after %s", id, last)
			}
			if id.Time() < now {
				t.Fatalf("the id %s of %s is older than its event", id, now)
			}
			if again, err := ParseID(id.String()); err != nil || again != id {
				t.Fatalf("%s reads as %s, %v", id, again, err)
			}
			last = id
		}
	})
}

func TestMomentText(t *testing.T) {
	m := MomentOf(time.Date(2026, 3, 16, 8, 0, 0, 7_000_000, time.UTC))
	if m.String() != "2026-03-16T08:00:00.007Z" {
		t.Errorf("got %s", m)
	}
	for _, bad := range []string{"", "2026-03-16", "2026-03-16T08:00:00Z", "2026-03-16T08:00:00.000+01:00", "2026-02-30T08:00:00.000Z", "2026-03-16T08:00:00.0000Z"} {
		var n Moment
		if err := n.UnmarshalText([]byte(bad)); !errors.Is(err, ErrForm) {
			t.Errorf("%q reads as %s, %v", bad, n, err)
		}
	}
}
