package codes

import "fmt"

// Code is a trouble code as its two bytes are sent, high byte first
// (SAE J2012, ISO 15031-6). Codes compare in the order of these bytes.
type Code uint16

// letters are the systems in the order of the upper two bits.
const letters = "PCBU"

// FromBytes returns the code of two bytes as sent.
func FromBytes(high, low byte) Code { return Code(high)<<8 | Code(low) }

// Bytes returns the two bytes as sent.
func (c Code) Bytes() (high, low byte) { return byte(c >> 8), byte(c) }

// String writes the code as the trade does: letter, digit 0 to 3, three
// hexadecimal digits. Parse reads it back.
func (c Code) String() string {
	return fmt.Sprintf("%c%d%03X", c.Letter(), c.first(), uint16(c)&0xfff)
}

// MarshalText implements encoding.TextMarshaler with String.
func (c Code) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with Parse. A failure type
// is refused: use Full.
func (c *Code) UnmarshalText(b []byte) error {
	f, err := Parse(string(b))
	if err != nil {
		return err
	}
	if f.Typed {
		return one(Unclear{Says: "a failure type stands behind a code that takes none", Text: string(b), Do: "leave -" + f.Type.String() + " out"}, 1)
	}
	*c = f.Code
	return nil
}

// Letter returns P, C, B or U.
func (c Code) Letter() byte { return letters[c>>14] }

// first returns the digit behind the letter, 0 to 3.
func (c Code) first() int { return int(c>>12) & 3 }

// System is the part of the vehicle that the letter of a code names.
type System string

// The systems of SAE J2012.
const (
	Powertrain System = "powertrain"
	Chassis    System = "chassis"
	Body       System = "body"
	Network    System = "network"
)

// System returns what the letter stands for.
func (c Code) System() System {
	return [...]System{Powertrain, Chassis, Body, Network}[c>>14]
}

// Control says who gives a code its meaning.
type Control string

// Who controls a code (SAE J2012).
const (
	Standard Control = "standard" // ISO/SAE: the same on every vehicle
	Maker    Control = "maker"    // the vehicle maker: look in this maker's papers only
	Reserved Control = "reserved" // ISO/SAE has not given it out
	Shared   Control = "shared"   // block that maker and ISO/SAE share; treat as the maker's
)

// Words says in a sentence what the control means for the reader.
func (c Control) Words() string {
	switch c {
	case Standard:
		return "defined by ISO/SAE, the same on every vehicle"
	case Maker:
		return "defined by the vehicle maker; the same number means something else elsewhere"
	case Shared:
		return "in a block that ISO/SAE and the vehicle makers share; take the meaning from the maker's papers"
	}
	return "in a block that ISO/SAE keeps reserved; no public meaning"
}

// Control returns who controls the code. P0 and P2 are the standard's, P1 the
// maker's; of P3 the blocks P30 to P33 are the maker's and P34 to P39 the
// standard's, the rest is not given out. In B and C, 0 is the standard's, 1 and
// 2 the maker's, 3 reserved; in U, 0 is the standard's, 1 and 2 the maker's, 3
// shared (SAE J2012 as quoted in public manuals).
func (c Code) Control() Control {
	switch d := c.first(); {
	case d == 0:
		return Standard
	case d == 1:
		return Maker
	case d == 2 && c.System() == Powertrain:
		return Standard
	case d == 2:
		return Maker
	case c.System() == Network:
		return Shared
	case c.System() != Powertrain:
		return Reserved
	}
	switch block := c.block(); {
	case block <= 3:
		return Maker
	case block <= 9:
		return Standard
	}
	return Reserved
}

// block returns the digit of the hundreds.
func (c Code) block() int { return int(c>>8) & 0xf }

// groups are the blocks of hundred of P0 with a public name (SAE J2012).
var groups = [...]string{
	"fuel and air metering and auxiliary emission controls",
	"fuel and air metering",
	"fuel and air metering (injector circuit)",
	"ignition system or misfire",
	"auxiliary emission controls",
	"vehicle speed, idle control, auxiliary inputs",
	"control unit and output circuits",
}

// Group returns the public name of the code's block of hundred, false where
// none is kept: the maker's codes, and blocks whose name was not at hand.
func (c Code) Group() (string, bool) {
	switch {
	case c.System() == Powertrain && c.first() == 0 && c.block() < len(groups):
		return groups[c.block()], true
	case c.System() == Powertrain && c.first() == 2 && c.block() <= 9:
		return "continuation of the standard powertrain codes", true
	case c.System() == Network && c.first() == 0:
		return "network", true
	}
	return "", false
}

// Full is a code with the failure type byte that ISO 14229 sends behind it.
type Full struct {
	Code  Code
	Type  FailureType
	Typed bool // Type was given
}

// String writes "P0327" or "P0327-1C". Parse reads it back.
func (f Full) String() string {
	if !f.Typed {
		return f.Code.String()
	}
	return f.Code.String() + "-" + f.Type.String()
}

// MarshalText implements encoding.TextMarshaler with String.
func (f Full) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler with Parse.
func (f *Full) UnmarshalText(b []byte) error {
	g, err := Parse(string(b))
	if err != nil {
		return err
	}
	*f = g
	return nil
}
