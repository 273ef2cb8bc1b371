package live

import (
	"fmt"
	"slices"
)

// block is how many items one bitmap of support speaks of.
const block = 32

// Supported returns the items that a bitmap names: the highest bit of the first
// byte is the item behind base, and base is 00, 20, 40 up to E0.
func Supported(base PID, data [4]byte) []PID {
	var out []PID
	for i := range block {
		if data[i/8]&(0x80>>(i%8)) != 0 {
			out = append(out, base+PID(i)+1)
		}
	}
	return out
}

// Bitmap is the inverse of Supported. It returns the items that lie outside of
// the block behind base.
func Bitmap(base PID, pids []PID) (data [4]byte, outside []PID) {
	for _, p := range pids {
		i := int(p-base) - 1
		if i < 0 || i >= block {
			outside = append(outside, p)
			continue
		}
		data[i/8] |= 0x80 >> (i % 8)
	}
	return data, outside
}

// Monitor is one on-board test.
type Monitor struct {
	Name     string `json:"name"`
	Fitted   bool   `json:"fitted"`   // the vehicle has it
	Complete bool   `json:"complete"` // it has run to its end; meaningless unless Fitted
}

// Readiness is items 01 and 41: the lamp, how many codes, and which tests have
// run. In item 41 lamp and number are always nought.
type Readiness struct {
	Lamp        bool      `json:"lamp"`  // the warning lamp is commanded on
	Codes       int       `json:"codes"` // stored emission-related codes of this control unit
	Compression bool      `json:"compression"`
	Monitors    []Monitor `json:"monitors"` // continuous ones first
	Left        []byte    `json:"left,omitempty"`
}

// continuous are the tests in byte B: bit i fitted, bit i+4 not complete.
var continuous = [3]string{"misfire", "fuel system", "components"}

// The tests in bytes C (fitted) and D (not complete), by bit; "" is reserved.
var (
	sparkMonitors       = [8]string{"catalyst", "heated catalyst", "evaporative system", "secondary air system", "air conditioning refrigerant", "oxygen sensor", "oxygen sensor heater", "exhaust gas recirculation"}
	compressionMonitors = [8]string{"hydrocarbon catalyst", "nitrogen oxide aftertreatment", "", "boost pressure", "", "exhaust gas sensor", "particulate filter", "exhaust gas recirculation or valve timing"}
)

const (
	lampBit        = 0x80
	countMask      = 0x7f
	compressionBit = 0x08
)

// ReadMonitors reads items 01 and 41.
func ReadMonitors(data [4]byte) Readiness {
	r := Readiness{Lamp: data[0]&lampBit != 0, Codes: int(data[0] & countMask), Compression: data[1]&compressionBit != 0}
	for i, name := range continuous {
		r.Monitors = append(r.Monitors, Monitor{name, data[1]&(1<<i) != 0, data[1]&(0x10<<i) == 0})
	}
	for i, name := range r.names() {
		fitted := data[2]&(1<<i) != 0
		if name == "" {
			if !fitted {
				continue
			}
			name = fmt.Sprintf("reserved bit %d", i)
		}
		r.Monitors = append(r.Monitors, Monitor{name, fitted, data[3]&(1<<i) == 0})
	}
	return r
}

func (r Readiness) names() [8]string {
	if r.Compression {
		return compressionMonitors
	}
	return sparkMonitors
}

// Open returns the names of the tests that are fitted and have not run to
// their end: until they have, the absence of their codes proves nothing.
func (r Readiness) Open() []string {
	var names []string
	for _, m := range r.Monitors {
		if m.Fitted && !m.Complete {
			names = append(names, m.Name)
		}
	}
	return names
}

// Bytes is the inverse of ReadMonitors. Tests of other names are returned.
func (r Readiness) Bytes() (data [4]byte, unknown []string) {
	data[0] = byte(min(max(r.Codes, 0), countMask))
	if r.Lamp {
		data[0] |= lampBit
	}
	if r.Compression {
		data[1] |= compressionBit
	}
	names := r.names()
	for _, m := range r.Monitors {
		if i := slices.Index(continuous[:], m.Name); i >= 0 {
			set(&data[1], 1<<i, m.Fitted)
			set(&data[1], 0x10<<i, !m.Complete)
			continue
		}
		i := slices.Index(names[:], m.Name)
		if i < 0 || m.Name == "" {
			unknown = append(unknown, m.Name)
			continue
		}
		set(&data[2], 1<<i, m.Fitted)
		set(&data[3], 1<<i, !m.Complete)
	}
	return data, unknown
}

func set(b *byte, bit byte, on bool) {
	if on {
		*b |= bit
	}
}

// FuelSystems says in words in which state the one or two fuel systems are
// (item 03). A state with no public meaning is given as its number; a second
// system that is not there is left out.
func FuelSystems(data [2]byte) []string {
	out := []string{fuelSystem(data[0])}
	if data[1] != 0 {
		out = append(out, fuelSystem(data[1]))
	}
	return out
}

func fuelSystem(b byte) string {
	switch b {
	case 0:
		return "off or not reported"
	case 1:
		return "open loop: engine not warm enough"
	case 2:
		return "closed loop on the oxygen sensors"
	case 4:
		return "open loop: load, or fuel cut while coasting"
	case 8:
		return "open loop: system failure"
	case 16:
		return "closed loop, with a failure of at least one oxygen sensor"
	}
	return fmt.Sprintf("state %02X, no public meaning", b)
}
