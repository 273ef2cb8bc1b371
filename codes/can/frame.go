package can

import (
	"errors"
	"fmt"
)

// Micros is a time in microseconds, from whatever zero the capture uses.
type Micros int64

// micro is how many there are in a second.
const micro = 1_000_000

// Seconds returns the time in seconds.
func (m Micros) Seconds() float64 { return float64(m) / micro }

// Limits of identifiers and data (ISO 11898-1).
const (
	standardMax = 0x7ff      // 11 bits
	extendedMax = 0x1fffffff // 29 bits
	errorFlag   = 0x20000000 // marks an error frame in the captures
	classicMax  = 8          // bytes
	fdMax       = 64         // bytes, CAN FD
)

// ErrFrame is wrapped by NewFrame.
var ErrFrame = errors.New("no CAN frame")

// Frame is one frame on the bus.
type Frame struct {
	Bus      string
	ID       uint32
	Extended bool // 29 bits
	Remote   bool // asks for data, carries none
	Error    bool // reports an error on the bus
	FD       bool
	Timed    bool
	Time     Micros
	Line     int // of the capture
	n        int
	data     [fdMax]byte
}

// NewFrame returns a frame with data; the error wraps ErrFrame when identifier
// or data are too long. More than 8 bytes make it a CAN FD frame.
func NewFrame(id uint32, extended bool, data []byte) (Frame, error) {
	f := Frame{ID: id, Extended: extended, FD: len(data) > classicMax, n: len(data)}
	if id > extendedMax || !extended && id > standardMax || !fits(len(data), f.FD) {
		return Frame{}, fmt.Errorf("identifier %X with %d bytes: %w", id, len(data), ErrFrame)
	}
	copy(f.data[:], data)
	return f, nil
}

// fits reports whether a frame can have n bytes.
func fits(n int, fd bool) bool {
	switch {
	case n <= classicMax:
		return true
	case !fd || n > fdMax:
		return false
	case n <= 24:
		return n%4 == 0
	}
	return n == 32 || n == 48 || n == fdMax
}

// Data returns the bytes of the frame.
func (f *Frame) Data() []byte { return f.data[:f.n] }

// Name writes an identifier in 3 or 8 hexadecimal digits.
func Name(id uint32, extended bool) string {
	if extended {
		return fmt.Sprintf("%08X", id)
	}
	return fmt.Sprintf("%03X", id)
}

// Role is what an identifier is for in diagnosis.
type Role int

// The roles.
const (
	Other  Role = iota // no diagnosis
	Tester             // asks
	Unit               // answers: a control unit
)

// The identifiers of ISO 15765-4.
const (
	functional11  = 0x7df
	firstTester   = 0x7e0
	firstUnit     = 0x7e8
	lastUnit      = 0x7ef
	physical29    = 0x18da // followed by target and source address
	functional29  = 0x18db33f1
	testerAddress = 0xf1
)

// RoleOf returns the role of an identifier in ISO 15765-4.
func RoleOf(id uint32, extended bool) Role {
	switch {
	case !extended && (id == functional11 || id >= firstTester && id < firstUnit):
		return Tester
	case !extended && id >= firstUnit && id <= lastUnit:
		return Unit
	case !extended:
		return Other
	case id == functional29 || id>>16 == physical29 && id&0xff == testerAddress:
		return Tester
	case id>>16 == physical29 && id>>8&0xff == testerAddress:
		return Unit
	}
	return Other
}
