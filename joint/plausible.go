package joint

import (
	"fmt"
	"strings"
)

// Friction is a range of the coefficient of friction.
type Friction struct{ Low, High float64 }

// The ranges taken for the states of the threads. They span what VDI 2230
// gives for metal on metal without bonded coating; nothing lies outside them
// by accident.
var (
	DryFriction   = Friction{0.10, 0.20}
	OiledFriction = Friction{0.08, 0.16}
	AnyFriction   = Friction{0.08, 0.20} // state unknown, or thread-locking liquid
)

// Lowest plausible utilisation: a torque that uses a smaller share of the
// fastener even at the lowest friction is taken for a slip of the pen.
const (
	lowestClass  = 0.15 // class known, metal into metal
	lowestScrew  = 0.05 // class not given, or a soft part is held
	lowestFitted = 0.01 // sensors, plugs, caps, unions: tight by their seal
)

// assumedClass stands in for a class that nobody has given: screws on engines
// are mostly 8.8, and a stronger one should be written down.
const assumedClass = "8.8"

// Fastener is what is known of the thing that is tightened.
type Fastener struct {
	Thread   Thread
	Class    string // "" when not given
	Friction Friction
	Soft     bool // into or of plastic or another soft material
	Fitted   bool // screws in itself: sensor, plug, cap, union
}

// Band is the range in which a torque can be right, and the rule behind it.
type Band struct {
	Low, High NewtonMetres
	Rule      string
}

// Holds reports whether the torque lies in the band.
func (b Band) Holds(t NewtonMetres) bool { return t >= b.Low && t <= b.High }

// Plausible returns the band of a fastener. Above High even the highest
// friction of the range brings it past its yield point; below Low even the
// lowest friction leaves it nearly idle. The result is false when the class
// is a material with no strength in ISO 898-1 or ISO 3506-1 (plastic, brass):
// then nothing can be said.
func Plausible(f Fastener) (Band, bool) {
	class := f.Class
	if class == "" {
		class = assumedClass
	}
	s, ok := StrengthOf(class, f.Thread.Diameter)
	if !ok {
		return Band{}, false
	}
	low := lowestClass
	switch {
	case f.Fitted:
		low = lowestFitted
	case f.Soft, f.Class == "":
		low = lowestScrew
	}
	yield := func(friction, share float64) NewtonMetres {
		return Torque(f.Thread, Preload(f.Thread, s, friction, share), friction)
	}
	b := Band{Low: yield(f.Friction.Low, low), High: yield(f.Friction.High, 1)}
	given := "class " + class
	if f.Class == "" {
		given = "class not given, " + class + " taken"
	}
	b.Rule = fmt.Sprintf("VDI 2230 with %s, %s, %s, friction %.2f to %.2f: %.0f %% of yield at the lowest, all of it at the highest",
		standardOf(class), f.Thread, given, f.Friction.Low, f.Friction.High, low*100)
	return b, true
}

func standardOf(class string) string {
	if strings.HasPrefix(class, "A") {
		return "ISO 3506-1"
	}
	return "ISO 898-1"
}

// Engagement is the length of thread in engagement, as a multiple of the
// diameter, at which a screw of class 8.8 breaks before the thread strips.
type Engagement struct {
	Material string
	Tensile  Megapascals // least Rm of the material
	Coarse   float64
	Fine     float64 // 0 where the source gives none
}

// Engagements are trial values for M6 to M16, class 8.8 (Bossard technical
// information F.039).
var Engagements = []Engagement{
	{"steel S235", 360, 1.0, 1.25},
	{"steel E285/S355", 500, 0.9, 1.0},
	{"Q&T steel", 800, 0.8, 0.8},
	{"grey iron GJL-250", 220, 1.0, 1.25},
	{"Al 99.5", 180, 2.0, 2.5},
	{"AlMg3 F18", 180, 2.0, 0},
}

// aluminium is the row that stands for aluminium of no named alloy: the
// softest that was tried.
var aluminium = Engagements[4]

// NeededInAluminium returns the length of engagement in soft aluminium that a
// torque asks for at the lowest friction of the range.
func NeededInAluminium(t Thread, torque NewtonMetres, f Friction) Millimetres {
	return aluminium.Needed(t, torque, f)
}
