package estimate

import (
	"strconv"
	"strings"
	"time"

	"elbowroom/guide"
)

// Element is one line of a worksheet of times: a tool is picked up once, then
// each repeat is handled and what came off is set aside.
type Element struct {
	What    string
	Repeats int
	PickUp  time.Duration
	Handle  time.Duration
	Aside   time.Duration
}

// Time is what the line takes, at most a hundred years.
func (e Element) Time() time.Duration {
	return duration(float64(e.PickUp) + float64(max(0, e.Repeats))*(float64(e.Handle)+float64(e.Aside)))
}

// Total adds the lines of a worksheet, up to a hundred years.
func Total(sheet []Element) time.Duration {
	sum := 0.0
	for _, e := range sheet {
		sum += float64(e.Time())
	}
	return duration(sum)
}

// Efficiency is the share of an ideal three seconds for each part that is
// needed at all, in what the whole takes.
func Efficiency(parts int, total time.Duration) float64 {
	if total <= 0 {
		return 0
	}
	return float64(parts) * idealPart.Seconds() / total.Seconds()
}

// Elements of the bench, from a published disassembly worksheet (Yang and
// El-Haik, Design for Six Sigma, table 10.5: pressure recorder). They hold for
// small screws on a bench, with both hands and in plain sight.
const (
	idealPart   = 3 * time.Second         // handling of one part at its easiest
	pickUp      = 4200 * time.Millisecond // a tool, once for each joint
	unscrew     = 8 * time.Second         // a screw that is easy to get at
	setAside    = 1400 * time.Millisecond
	unplug      = 6400 * time.Millisecond
	liftOff     = 2400 * time.Millisecond // what the joints held
	refitFactor = 1.26                    // putting together over taking apart, same table
	fromFar     = 11.3 / 8                // the same screw hard to get at: through an opening, from below
)

// What the published elements leave open is our own judgement of engine bays;
// no published factors were found. Built-up times are therefore given a
// wide spread (see Priors.Built).
const (
	benchTurns = 10.0 // turns of the screw of the worksheet
	engage     = 3 * time.Second
	perTurn    = (unscrew - engage) / benchTurns
	bigFrom    = 6.0 // mm; above it a screw also takes breaking loose
	bigger     = 0.1 // more for each mm above
	inBay      = 1.8 // an engine bay instead of a bench
	byFeel     = 1.7 // nothing is seen
	byMirror   = 1.4
	oneHand    = 1.3
	dirty      = 1.25 // grime and corrosion
)

// Reach says under which difficulties something is built up.
type Reach struct {
	Sight  guide.Sight
	Hands  int  // 1 is one-handed
	Dirty  bool // road dirt or rust
	Far    bool // through an opening, from below
	Refit  bool // putting back instead of taking off
	People int
}

// Factor is how much longer work takes than on a bench.
func (r Reach) Factor() float64 {
	f := inBay
	switch r.Sight {
	case guide.ByFeel:
		f *= byFeel
	case guide.ByMirror:
		f *= byMirror
	}
	if r.Hands == 1 {
		f *= oneHand
	}
	if r.Dirty {
		f *= dirty
	}
	if r.Far {
		f *= fromFar
	}
	if r.Refit {
		f *= refitFactor
	}
	return f
}

// Built returns a time built up from what holds an item, for an operation
// whose minutes nobody has written down. It is 0 when nothing is known of how
// the item is held.
func Built(joints []guide.Joint, plug *guide.Connector, r Reach) (time.Duration, []Element) {
	var sheet []Element
	for _, j := range joints {
		if j.Count > 0 {
			sheet = append(sheet, Element{j.String(), j.Count, pickUp, handling(j), setAside})
		}
	}
	if plug != nil {
		sheet = append(sheet, Element{What: "connector", Repeats: 1, Handle: unplug})
	}
	if len(sheet) == 0 {
		return 0, nil
	}
	sheet = append(sheet, Element{What: "lift off", Repeats: 1, Handle: liftOff, Aside: setAside})
	people := max(1, r.People)
	return duration(float64(Total(sheet)) * r.Factor() * float64(people)), sheet
}

// handling is the time of one fastener on a bench.
func handling(j guide.Joint) time.Duration {
	d, pitch := threadOf(j.Thread)
	if d == 0 {
		return unplug // a clip, coupling or clamp
	}
	turns := benchTurns
	if len(j.Lengths) > 0 && pitch > 0 {
		sum := 0.0
		for _, l := range j.Lengths {
			sum += l
		}
		turns = sum / float64(len(j.Lengths)) / pitch
	}
	t := float64(engage) + max(0, turns)*float64(perTurn)
	if d > bigFrom {
		t *= 1 + bigger*(d-bigFrom)
	}
	return duration(t)
}

// coarse are the coarse pitches of ISO 261, mm, by nominal diameter.
var coarse = map[float64]float64{
	3: 0.5, 4: 0.7, 5: 0.8, 6: 1, 7: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2, 16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3,
}

// threadOf reads "M8" or "M12x1.25"; zero for anything else.
func threadOf(s string) (d, pitch float64) {
	size, fine, isFine := strings.Cut(strings.TrimPrefix(s, "M"), "x")
	d, err := strconv.ParseFloat(size, 64)
	if err != nil || !strings.HasPrefix(s, "M") || !(d > 0 && d < 1000) {
		return 0, 0
	}
	if isFine {
		if p, err := strconv.ParseFloat(fine, 64); err == nil && p > 0 && p < d {
			return d, p
		}
	}
	return d, coarse[d]
}
