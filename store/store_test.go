package store

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"
	"testing"
)

func TestErrorsMatchTheirCode(t *testing.T) {
	cause := errors.New("the cause")
	err := fmt.Errorf("around: %w", &Error{Code: Full, Says: "no room", Cause: cause})
	if !errors.Is(err, Full) || errors.Is(err, Busy) || !errors.Is(err, cause) || CodeOf(err) != Full {
		t.Errorf("%v does not match its code and cause", err)
	}
	if got, want := err.Error(), "around: no room: the cause"; got != want {
		t.Errorf("it says %q, want %q", got, want)
	}
	if CodeOf(cause) != "" || CodeOf(nil) != "" {
		t.Error("an error of somebody else has a code")
	}
}

func TestOfSystem(t *testing.T) {
	cases := []struct {
		name string
		err  error
		want Code
	}{
		{"nothing", nil, ""},
		{"disk full", &fs.PathError{Op: "write", Path: "x", Err: syscall.ENOSPC}, Full},
		{"quota", syscall.EDQUOT, Full},
		{"file too large", syscall.EFBIG, Full},
		{"read-only disk", &fs.PathError{Op: "open", Path: "x", Err: syscall.EROFS}, ReadOnly},
		{"no rights", syscall.EACCES, ReadOnly},
		{"a fault of the disk", syscall.EIO, ""},
		{"one with a code", Errorf(Refused, "no"), Refused},
	}
	for _, c := range cases {
		err := OfSystem("pictures", c.err)
		if CodeOf(err) != c.want || c.err != nil && !errors.Is(err, c.err) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestSum stands against the one-block message of FIPS 180-4, "abc", from the
// examples that NIST publishes with it (SHA256.pdf).
func TestSum(t *testing.T) {
	const want = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
	if got := Sum([]byte("abc")).String(); got != want {
		t.Errorf("%s, published %s", got, want)
	}
}

func FuzzParseHash(f *testing.F) {
	f.Add(Sum(nil).String())
	f.Add("zz")
	f.Add("BA7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")
	f.Fuzz(func(t *testing.T, s string) {
		h, err := ParseHash(s)
		if err == nil && h.String() != s {
			t.Errorf("%q came back as %s", s, h)
		}
		if err != nil && !errors.Is(err, Refused) {
			t.Errorf("%q: %v", s, err)
		}
		var u Hash
		if e := u.UnmarshalText([]byte(s)); (e == nil) != (err == nil) || u != h {
			t.Errorf("%q: reading it as text gives %v, %v", s, u, e)
		}
	})
}
