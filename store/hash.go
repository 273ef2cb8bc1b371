package store

import (
	"crypto/sha256"
	"encoding/hex"
)

// Hash is a SHA-256. Its text form is 64 digits in lower case.
type Hash [sha256.Size]byte

// Sum returns the hash of some content.
func Sum(content []byte) Hash { return sha256.Sum256(content) }

// ParseHash reads the text form. Refused for anything else.
func ParseHash(s string) (Hash, error) {
	var h Hash
	if len(s) != 2*len(h) {
		return Hash{}, Errorf(Refused, "a hash has %d digits, and %.80q has not", 2*len(h), s)
	}
	for _, c := range []byte(s) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return Hash{}, Errorf(Refused, "a hash is made of 0 to 9 and a to f, and %.80q is not", s)
		}
	}
	if _, err := hex.Decode(h[:], []byte(s)); err != nil {
		return Hash{}, Errorf(Refused, "%.80q is no hash: %v", s, err)
	}
	return h, nil
}

// IsZero reports whether the hash is not given.
func (h Hash) IsZero() bool { return h == Hash{} }

// String returns the text form.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// MarshalText implements encoding.TextMarshaler with String.
func (h Hash) MarshalText() ([]byte, error) { return []byte(h.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with ParseHash.
func (h *Hash) UnmarshalText(b []byte) error {
	p, err := ParseHash(string(b))
	if err == nil {
		*h = p
	}
	return err
}
