package answer

import (
	"fmt"

	"elbowroom/codes"
	"elbowroom/codes/live"
	"elbowroom/span"
)

// items whose values change the scaling of others when they are not nought.
const (
	largestOxygen = 0x4f
	largestAir    = 0x50
)

// data reads the replies of services 01 and 02: one item after another.
func (a *Answer) data(m []byte, link Link) {
	if len(m) < 2 {
		a.note(0, m, span.Warning, "no data item behind the service", "")
		return
	}
	head := 1 // bytes in front of the data of an item
	if a.Service == 0x02 {
		head = 2
	}
	for at := 1; at < len(m); {
		if at > 1 && link != CAN && padding(m[at:]) {
			a.note(at, m[at:], span.Advice, "filler", "")
			return
		}
		pid := live.PID(m[at])
		it, ok := live.Lookup(pid)
		if !ok {
			a.note(at, m[at:], span.Warning, fmt.Sprintf("data item %s is not kept; nothing behind it can be read", pid), "")
			return
		}
		from := at + head
		if from+it.Length > len(m) {
			a.note(at, m[at:], span.Warning, fmt.Sprintf("data item %s, %s, is cut short: %d bytes, expected %d", pid, it.Name, max(0, len(m)-from), it.Length), "")
			return
		}
		if a.Service == 0x02 {
			a.Frame = int(m[at+1])
		}
		a.item(it, m[from:from+it.Length], from)
		at = from + it.Length
	}
}

// longestFiller is how many bytes of filler a frame can have, CAN FD.
const longestFiller = 64

// padding reports whether only filler is left.
func padding(b []byte) bool {
	switch {
	case len(b) > longestFiller:
		return false
	case b[0] == 0x00 && len(b) < 5:
	case b[0] != 0x55 && b[0] != 0xaa && b[0] != 0xcc && b[0] != 0xff:
		return false
	}
	for _, v := range b {
		if v != b[0] {
			return false
		}
	}
	return true
}

// item reads the bytes of one data item, which are as long as it is.
func (a *Answer) item(it live.Item, b []byte, at int) {
	switch it.Kind {
	case live.Numbers:
		values, err := live.Decode(it.PID, b)
		if err != nil {
			a.note(at, b, span.Warning, err.Error(), "")
			return
		}
		a.Values = append(a.Values, values...)
	case live.Support:
		a.Support = append(a.Support, Support{a.Service, live.Supported(it.PID, [4]byte(b))})
	case live.Monitors:
		a.Ready = append(a.Ready, Ready{it.PID, live.ReadMonitors([4]byte(b))})
	case live.FuelState:
		a.Fuel = append(a.Fuel, live.FuelSystems([2]byte(b))...)
	case live.FrozenBy:
		c := codes.FromBytes(b[0], b[1])
		if c == 0 {
			a.note(at, b, span.Advice, "no freeze frame is stored", "")
			return
		}
		a.Codes = append(a.Codes, codes.Seen{Code: codes.Full{Code: c}, Memory: codes.Frozen})
	default:
		a.opaque(it, b, at)
	}
}

func (a *Answer) opaque(it live.Item, b []byte, at int) {
	a.note(at, b, span.Advice, fmt.Sprintf("data item %s, %s: the bytes are kept as they are", it.PID, it.Name), "")
	switch {
	case it.PID == largestOxygen && (b[0]|b[1]|b[2]|b[3]) != 0:
		a.note(at, b, span.Warning, "this vehicle scales lambda, oxygen sensor values and manifold pressure by largest values of its own; the values here use the standard ones",
			"compare manifold pressure with the air outside, key on, engine off")
	case it.PID == largestAir && b[0] != 0:
		a.note(at, b, span.Warning, "this vehicle scales mass air flow by a largest value of its own; the values here use the standard one",
			"compare with what the displacement takes at idle")
	}
}
