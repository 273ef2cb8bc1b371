package live

import (
	"errors"
	"fmt"
	"math"

	"elbowroom/quantity"
)

// PID names one data item of services 01 and 02.
type PID byte

// String writes two hexadecimal digits.
func (p PID) String() string { return fmt.Sprintf("%02X", byte(p)) }

// Errors of Decode and Encode.
var (
	ErrUnknown = errors.New("no public layout is kept for this data item")
	ErrLength  = errors.New("wrong number of bytes")
	ErrRange   = errors.New("outside of what the bytes can carry")
)

// Kind says what the bytes of an item are.
type Kind int

// The kinds of items.
const (
	Numbers   Kind = iota // Scalings
	Support               // which of the next 32 items are supported, see Supported
	Monitors              // readiness, see ReadMonitors
	FrozenBy              // the code that stored the freeze frame
	FuelState             // state of the fuel systems, see FuelSystems
	Opaque                // length known, meaning not kept
)

// Scaling is how one value lies in the bytes of an item:
// number = raw × Mul / Div + Add.
type Scaling struct {
	Channel       string
	Unit          string // of package quantity
	At, Width     int    // first byte, number of bytes (1 or 2), high byte first
	Mul, Div, Add float64
	Signed        bool // two's complement
	Unused        bool // all bits set say that the value is not used
}

// Item is one data item.
type Item struct {
	PID    PID
	Name   string
	Length int // bytes
	Kind   Kind
	Values []Scaling
}

// Value is one decoded value. Unused is set, and Value not given, where the
// control unit says that it makes no use of it.
type Value struct {
	Channel string         `json:"channel"`
	Value   quantity.Value `json:"value"`
	PID     PID            `json:"pid"`
	Unused  bool           `json:"unused,omitempty"`
}

// Lookup returns the item of a PID, false when not even its length is kept.
func Lookup(p PID) (Item, bool) {
	it := items[p]
	return it, it.Length > 0
}

// Items returns every item kept, in order.
func Items() []Item {
	var all []Item
	for _, it := range items {
		if it.Length > 0 {
			all = append(all, it)
		}
	}
	return all
}

// raw returns the whole number in the bytes.
func (s Scaling) raw(data []byte) int {
	n := 0
	for _, b := range data[s.At : s.At+s.Width] {
		n = n<<8 | int(b)
	}
	if s.Signed && n >= 1<<(8*s.Width-1) {
		n -= 1 << (8 * s.Width)
	}
	return n
}

// limits returns the lowest and highest whole number.
func (s Scaling) limits() (lo, hi int) {
	if s.Signed {
		return -1 << (8*s.Width - 1), 1<<(8*s.Width-1) - 1
	}
	return 0, 1<<(8*s.Width) - 1
}

func (s Scaling) number(raw int) float64 { return float64(raw)*s.Mul/s.Div + s.Add }

// Lowest returns the least value that the bytes can carry.
func (s Scaling) Lowest() quantity.Value {
	lo, _ := s.limits()
	return quantity.Of(s.number(lo), s.Unit)
}

// Highest returns the greatest value that the bytes can carry.
func (s Scaling) Highest() quantity.Value {
	_, hi := s.limits()
	return quantity.Of(s.number(hi), s.Unit)
}

// Step returns the difference that one bit makes, in the unit of the scaling.
func (s Scaling) Step() float64 { return math.Abs(s.Mul / s.Div) }

// Decode returns the values of an item. The error wraps ErrUnknown when no
// layout is kept, ErrLength when data is not exactly as long as the item; for
// items that are no numbers it returns nothing and no error.
func Decode(p PID, data []byte) ([]Value, error) {
	it, ok := Lookup(p)
	if !ok || it.Kind == Opaque {
		return nil, fmt.Errorf("data item %s: %w", p, ErrUnknown)
	}
	if len(data) != it.Length {
		return nil, fmt.Errorf("data item %s, %s: %w: %d, expected %d", p, it.Name, ErrLength, len(data), it.Length)
	}
	var values []Value
	for _, s := range it.Values {
		raw := s.raw(data)
		if _, hi := s.limits(); s.Unused && raw == hi {
			values = append(values, Value{Channel: s.Channel, PID: p, Unused: true})
			continue
		}
		values = append(values, Value{Channel: s.Channel, PID: p, Value: quantity.Of(s.number(raw), s.Unit)})
	}
	return values, nil
}

// Encode writes values into the bytes of their item, each rounded to the
// nearest that the bytes can carry; values not named stay zero. The error wraps
// ErrUnknown, ErrRange or quantity.ErrDimension.
func Encode(p PID, values []Value) ([]byte, error) {
	it, ok := Lookup(p)
	if !ok || it.Kind != Numbers {
		return nil, fmt.Errorf("data item %s: %w", p, ErrUnknown)
	}
	data := make([]byte, it.Length)
	for _, v := range values {
		s, ok := it.scaling(v.Channel)
		if !ok {
			return nil, fmt.Errorf("data item %s has no %q: %w", p, v.Channel, ErrUnknown)
		}
		if err := s.put(data, v); err != nil {
			return nil, err
		}
	}
	return data, nil
}

func (it Item) scaling(channel string) (Scaling, bool) {
	for _, s := range it.Values {
		if s.Channel == channel {
			return s, true
		}
	}
	return Scaling{}, false
}

func (s Scaling) put(data []byte, v Value) error {
	lo, hi := s.limits()
	raw := hi
	if !v.Unused {
		in, err := v.Value.In(s.Unit)
		if err != nil {
			return fmt.Errorf("%s: %w", s.Channel, err)
		}
		n := math.Round((in.Number - s.Add) * s.Div / s.Mul)
		if !(n >= float64(lo) && n <= float64(hi)) {
			return fmt.Errorf("%s %s: %w: %s to %s", s.Channel, v.Value, ErrRange, s.Lowest(), s.Highest())
		}
		raw = int(n)
	} else if !s.Unused {
		return fmt.Errorf("%s cannot say that it is not used: %w", s.Channel, ErrRange)
	}
	for i := s.At + s.Width - 1; i >= s.At; i-- {
		data[i] = byte(raw)
		raw >>= 8
	}
	return nil
}
