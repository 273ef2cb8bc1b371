package joblog

import (
	"fmt"
	"time"
)

// Moment is a time in milliseconds of the Unix epoch, UTC. Its text form is
// that of RFC 3339 with milliseconds and Z.
type Moment int64

// momentForm is the one form in which moments are written.
const momentForm = "2006-01-02T15:04:05.000Z"

// Earliest is the first moment an event can bear: nothing of this format is
// older than the format. A clock that stands before it was never set.
var Earliest = MomentOf(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC))

// latest is the last moment that the text form can hold.
var latest = MomentOf(time.Date(9999, 12, 31, 23, 59, 59, 999_000_000, time.UTC))

// MomentOf cuts a time down to whole milliseconds.
func MomentOf(t time.Time) Moment { return Moment(t.UnixMilli()) }

// Time returns the moment as a time in UTC.
func (m Moment) Time() time.Time { return time.UnixMilli(int64(m)).UTC() }

// Since returns how long m is after an earlier moment; negative when before.
func (m Moment) Since(earlier Moment) time.Duration {
	return time.Duration(m-earlier) * time.Millisecond
}

// Add returns the moment d later, d cut down to whole milliseconds.
func (m Moment) Add(d time.Duration) Moment { return m + Moment(d.Milliseconds()) }

// IsZero reports whether the moment is not given.
func (m Moment) IsZero() bool { return m == 0 }

// String prints "2026-03-16T08:00:00.000Z".
func (m Moment) String() string { return m.Time().Format(momentForm) }

// MarshalText implements encoding.TextMarshaler with String.
func (m Moment) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads the form that String prints and no other; the error
// wraps ErrForm.
func (m *Moment) UnmarshalText(b []byte) error {
	t, err := time.Parse(momentForm, string(b))
	if err != nil || MomentOf(t).String() != string(b) {
		return fmt.Errorf("%w: %q is not a time such as 2026-03-16T08:00:00.000Z", ErrForm, short(string(b)))
	}
	*m = MomentOf(t)
	return nil
}
