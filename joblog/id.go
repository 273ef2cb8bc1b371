package joblog

import (
	"encoding/binary"
	"encoding/hex"
	"fmt"
)

// ID is the name of an event: a UUID of version 7 (RFC 9562, section 5.7).
// Its first 48 bits are the time in milliseconds of the Unix epoch, so that
// ids sort by time; the rest is random. The zero ID names nothing.
type ID [16]byte

// Bits of RFC 9562: the version stands in the upper half of octet 6 (section
// 4.2), the variant in the two upper bits of octet 8 (section 4.1).
const (
	versionBits = 0x70
	variantBits = 0x80
)

// mostMillis is the last time that 48 bits can hold.
const mostMillis = 1<<48 - 1

// NewID puts an id together from a time and ten random octets, of which 74
// bits are used. It panics on a time that 48 bits cannot hold: moments of
// events are checked before.
func NewID(at Moment, random [10]byte) ID {
	if at < 0 || at > mostMillis {
		panic(fmt.Sprintf("joblog: %d ms does not fit into an id", int64(at)))
	}
	var id ID
	binary.BigEndian.PutUint64(id[:8], uint64(at)<<16)
	copy(id[6:], random[:])
	id[6] = versionBits | id[6]&0x0f
	id[8] = variantBits | id[8]&0x3f
	return id
}

// NextID returns the id of a device's next event: not before now, and after
// last, the greatest id that the device has written or received so far (zero
// when there is none). Where the clock stands still or has gone back it counts
// on from last (RFC 9562, section 6.2, method 2), so that the ids of a device
// always rise and none is smaller than one that its writer had seen.
func NextID(last ID, now Moment, random [10]byte) ID {
	id := NewID(now, random)
	if id.Compare(last) > 0 {
		return id
	}
	step := uint64(binary.BigEndian.Uint32(random[6:])) + 1
	low := binary.BigEndian.Uint64(last[8:])&(1<<62-1) + step
	high := binary.BigEndian.Uint16(last[6:])&0x0fff + uint16(low>>62)
	at := last.Time() + Moment(high>>12)
	var rest [10]byte
	binary.BigEndian.PutUint16(rest[:2], high&0x0fff)
	binary.BigEndian.PutUint64(rest[2:], low)
	return NewID(min(at, mostMillis), rest)
}

// Time returns the time that the id was made for.
func (id ID) Time() Moment { return Moment(binary.BigEndian.Uint64(id[:8]) >> 16) }

// Zero reports whether the id names nothing.
func (id ID) Zero() bool { return id == ID{} }

// IsZero is Zero under the name that printers of optional fields look for.
func (id ID) IsZero() bool { return id.Zero() }

// Compare returns -1, 0 or +1 for an id before, equal to or after other.
func (id ID) Compare(other ID) int {
	for i := range id {
		if id[i] != other[i] {
			if id[i] < other[i] {
				return -1
			}
			return 1
		}
	}
	return 0
}

// idText is the length of a written id.
const idText = 36

// dashes are the places of the dashes in a written id (RFC 9562, section 4).
var dashes = [...]int{8, 13, 18, 23}

// String returns the id in the form of RFC 9562, in lower case.
func (id ID) String() string {
	h := hex.EncodeToString(id[:])
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]
}

// MarshalText implements encoding.TextMarshaler with String.
func (id ID) MarshalText() ([]byte, error) { return []byte(id.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with ParseID.
func (id *ID) UnmarshalText(b []byte) error {
	parsed, err := ParseID(string(b))
	*id = parsed
	return err
}

// ParseID reads an id in either case. It refuses every other form and every
// other version of UUID; the error wraps ErrForm.
func ParseID(s string) (ID, error) {
	if len(s) != idText {
		return ID{}, fmt.Errorf("%w: %q is not an id: 36 characters such as 017f22e2-79b0-7cc3-98c4-dc0c0c07398f", ErrForm, short(s))
	}
	digits := make([]byte, 0, 32)
	next := 0
	for i := range len(s) {
		if next < len(dashes) && i == dashes[next] {
			if s[i] != '-' {
				return ID{}, fmt.Errorf("%w: the id %q has no dash at place %d", ErrForm, s, i+1)
			}
			next++
			continue
		}
		digits = append(digits, s[i])
	}
	var id ID
	if _, err := hex.Decode(id[:], digits); err != nil {
		return ID{}, fmt.Errorf("%w: the id %q has something else than the digits 0-9 and a-f", ErrForm, s)
	}
	if id[6]&0xf0 != versionBits || id[8]&0xc0 != variantBits {
		return ID{}, fmt.Errorf("%w: the id %q is not a UUID of version 7 (RFC 9562)", ErrForm, s)
	}
	return id, nil
}

// short cuts a text that is quoted in an error.
func short(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return s[:most] + "…"
}
