package capture

import (
	"strings"

	"elbowroom/capture/lexicon"
	"elbowroom/quantity"
)

// amount hears a number with a unit.
func (l *listener) amount(k int) {
	a := &l.cs[k].amount
	if a.unit == "turn" {
		l.turn(k, a.low*fullTurn)
		return
	}
	if l.denies(k) {
		l.leave(k, "said not to be so")
		return
	}
	if d := quantity.Of(1, a.unit).Dimension(); d != quantity.Length {
		l.units.heard(a)
	}
	switch quantity.Of(1, a.unit).Dimension() {
	case quantity.Torque:
		l.torqueValue(k, a.unit)
	case quantity.Angle:
		l.degrees(k)
	case quantity.Temperature:
		l.temperature(k)
	case quantity.Rotation:
		l.condition(k, "speed", formatRange(a, "rpm"))
	case quantity.Length:
		l.length(k)
	case quantity.Volume:
		l.volume(k)
	case quantity.Time:
		if l.any(lexicon.Time) && l.afterTime(k) {
			l.later(k, Minutes, l.value(k, a.unit))
			return
		}
		l.leave(k, "a time that belongs to nothing")
	case quantity.Pressure, quantity.Voltage, quantity.Current, quantity.Resistance, quantity.Frequency, quantity.Ratio, quantity.Capacitance:
		l.limit(k, a.unit, false)
	default:
		l.leave(k, "a number that belongs to nothing")
	}
}

// denies reports a value that is said not to hold, or only to describe what
// follows: "not thirty newton metres", "the five to twenty-five newton metre
// wrench", "anything over thirty newton metres strips it".
func (l *listener) denies(k int) bool {
	a := &l.cs[k].amount
	if l.text(k-1) == "not" && l.adjacent(k) {
		return true
	}
	if quantity.Of(1, a.unit).Dimension() != quantity.Torque {
		return false
	}
	if a.bound == ">" || a.bound == "<" {
		return true
	}
	return l.attributive(k) || l.adjacent(k+1) && (l.cs[k+1].sort == toolChunk || l.is(k+1, lexicon.Drive))
}

const fullTurn = 360 // degrees

// afterTime reports whether a verb such as "takes" stands before a time.
func (l *listener) afterTime(k int) bool {
	i := l.find(0, lexicon.Time)
	return i >= 0 && i < k
}

// value returns the amount of chunk k in a unit.
func (l *listener) value(k int, unit string) Value {
	a := &l.cs[k].amount
	v := Value{Text: formatRange(a, unit)}
	if unit == "" {
		return v
	}
	low, high := quantity.Of(a.low, unit), quantity.Of(a.high, unit)
	switch a.bound {
	case ">=", ">":
		v.Low = low
	case "<=", "<":
		v.High = high
	default:
		v.Low, v.High = low, high
	}
	return v
}

// formatRange writes ">= 1 bar", "3.5..5 bar", "0.5 Ω".
func formatRange(a *amount, unit string) string {
	s := formatNumber(a.low)
	if a.high != a.low {
		s += ".." + formatNumber(a.high)
	}
	if a.bound != "" {
		s = a.bound + " " + s
	}
	if unit == "°" {
		return s + unit
	}
	return strings.TrimSpace(s + " " + unit)
}

// torqueValue hears a torque.
func (l *listener) torqueValue(k int, unit string) *Fact {
	v := l.value(k, unit)
	if l.cs[k].amount.bound != "" { // "no more than twelve": still what to set
		v.Text = strings.TrimSpace(strings.TrimPrefix(v.Text, l.cs[k].amount.bound))
	}
	kind := Torque
	l.torqueOwner(k)
	if l.whoAt(k) != "" && l.any(lexicon.Old) {
		kind, v.Text = Was, "torque "+v.Text
	}
	if l.nextStep(k, v) {
		return nil
	}
	if on := l.onFastener(k); on != "" {
		v.On = on
		v.Text += " on " + on
	}
	f := l.add(k, kind, v)
	if f != nil {
		f.For = l.orVariant(k, f.For)
	}
	return f
}

// nextStep hears the second of two steps of tightening: "eighteen, then
// twenty-four". The last step is the torque; the one before it is kept beside.
func (l *listener) nextStep(k int, v Value) bool {
	f := l.torqueOfSentence()
	if f == nil || f.of != l.focus || f.Value.Angle != 0 || !l.then(k) || l.asked {
		return false
	}
	f.Because = append(f.Because, "in steps, "+f.Value.Text+" first")
	f.Value = v
	l.stretch(f, k)
	return true
}

// then reports whether "then" stands before a value.
func (l *listener) then(k int) bool { return l.text(k-1) == "then" || l.text(k-2) == "then" }

// torqueOwner moves on to the thing named right after a torque: "twenty-two
// newton metres on the coolant pump".
func (l *listener) torqueOwner(k int) {
	i := k + 1
	w := l.text(i)
	if !l.adjacent(i) || w != "on" && w != "for" || !l.adjacent(i+1) || l.cs[i+1].sort != itemChunk || l.used[i+1] {
		return
	}
	l.setFocus(l.cast.meant(&l.cs[i+1].noun))
	l.use(i, i+2)
}

// orVariant returns the variant that a value is for when the words after it
// name one.
func (l *listener) orVariant(k int, is string) string {
	if v := l.variantAfter(k); v != "" {
		return v
	}
	return is
}

// onFastener returns which fasteners a torque is for: "twenty-eight on the
// unions".
func (l *listener) onFastener(k int) string {
	for i := k + 1; i < k+3 && i+1 <= len(l.cs)-1 && l.adjacent(i); i++ {
		w := l.text(i)
		if (w == "on" || w == "for") && l.cs[i+1].sort == fastChunk && l.cs[i+1].count < 0 && l.adjacent(i+1) {
			l.used[i+1] = true
			return l.cs[i+1].noun.sided()
		}
	}
	if k > 0 && l.adjacent(k) {
		if n := &l.cs[k-1].noun; l.cs[k-1].sort == fastChunk && l.cs[k-1].count < 0 && n.sided() != n.head {
			return n.sided()
		}
	}
	return ""
}

// turn hears "three quarters of a turn", after a torque or by hand.
func (l *listener) turn(k int, degrees float64) {
	if f := l.torqueOfSentence(); f != nil && f.Value.Angle == 0 {
		f.Value.Angle = degrees
		f.Value.Text += " + " + formatNumber(degrees) + "°"
		l.stretch(f, k)
		return
	}
	l.leave(k, "a turn without a torque")
}

// torqueOfSentence returns the torque that the sentence gave last.
func (l *listener) torqueOfSentence() *Fact {
	for i := len(l.facts) - 1; i >= l.first; i-- {
		if l.facts[i].Kind == Torque && l.facts[i].Value.Text != "not applicable" {
			return l.facts[i]
		}
	}
	return nil
}

// stretch lets a fact's words reach to chunk k.
func (l *listener) stretch(f *Fact, k int) {
	for i := range l.cs {
		if m := l.moment(l.cs[i].from, l.cs[i].to); m.Cue == f.At.Cue && m.Pos == f.At.Pos {
			f.At = l.moment(l.cs[i].from, l.cs[k].to)
			return
		}
	}
}

// degrees hears an angle of tightening or, where heat is spoken of, a
// temperature whose scale was not said.
func (l *listener) degrees(k int) {
	a := &l.cs[k].amount
	plus := false
	for i := k - 1; i >= 0 && i > k-4; i-- {
		w := l.text(i)
		plus = plus || w == "plus" || w == "then" || w == "and" || w == "another" || w == "further"
	}
	if f := l.torqueOfSentence(); plus && f != nil {
		f.Value.Angle = a.low
		f.Value.Text += " + " + formatNumber(a.low) + "°"
		l.stretch(f, k)
		return
	}
	if !l.heat(k) {
		l.leave(k, "degrees of nothing that was named")
		return
	}
	unit, _ := l.units.dropped(quantity.Temperature) // "degrees" was said; only its scale is the system's
	if unit == "" {
		l.gap(gap{sort: "unit", of: l.focus, at: l.moment(l.cs[k].from, l.cs[k].to), text: "degrees"})
		return
	}
	a.unit = unit
	l.temperature(k)
}

// heat reports whether degrees without a scale are a temperature: a fluid, a
// bound, a reading or a word of heat stands near them.
func (l *listener) heat(k int) bool {
	if l.fluidBefore(k) != "" || l.cs[k].amount.bound != "" || l.measuring() || l.limitPending() || switching[l.text(k-2)] {
		return true
	}
	for i := range l.cs {
		if t := l.p.as(&l.cs[i], lexicon.State); t != nil && l.cs[i].sort == termChunk && (t.Value == "cold" || t.Value == "warm" || t.Value == "hot") {
			return true
		}
	}
	return false
}

// length hears a gap, or the width of a drive.
func (l *listener) length(k int) {
	a := &l.cs[k].amount
	if l.text(k+1) == "of" && k+2 < len(l.cs) && l.cs[k+2].sort == gaugeChunk && l.adjacent(k+2) {
		l.chunk(k + 2) // "half an inch of play"
		l.used[k+2] = true
	}
	l.impliedGap(a)
	if l.lengthMeasured(k) {
		l.units.heard(a)
		l.limit(k, a.unit, false)
		return
	}
	if l.driveWidth(k) {
		return
	}
	l.leave(k, "a length that belongs to nothing")
}

// implied are the lengths that a narrator gives of a thing without naming
// them.
var implied = map[string]string{"tappet": "clearance", "valve": "clearance", "rocker": "clearance", "spark plug": "gap", "plug": "gap"}

// mostGap is the longest length that is taken for a gap that was not named, in
// metres.
const mostGap = 0.002

// impliedGap hears "tappets, twelve thou".
func (l *listener) impliedGap(a *amount) {
	if l.focus == nil || quantity.Of(a.high, a.unit).SI() > mostGap || implied[l.focus.head] == "" {
		return
	}
	if l.gauge == nil || l.gauge.dimension != quantity.Length {
		l.gauge = &gauge{of: l.focus, measure: implied[l.focus.head], dimension: quantity.Length, sentence: l.begin}
	}
}

// lengthMeasured reports whether a gap or a clearance is spoken of.
func (l *listener) lengthMeasured(k int) bool {
	if l.gauge == nil || l.gauge.dimension != quantity.Length {
		return false
	}
	return l.gauge.sentence == l.begin || l.cs[k].amount.low != float64(int(l.cs[k].amount.low)) || l.cs[k].amount.unit != "mm"
}

// driveWidth hears "ten mil", "half-inch", "nine-sixteenths" as the width of
// a hexagon.
func (l *listener) driveWidth(k int) bool {
	c := &l.cs[k]
	a := &c.amount
	if a.low != a.high || a.bound != "" || a.hedged || l.focus == nil || l.focus.ends("hose") || l.focus.ends("belt") {
		return false
	}
	if k+1 < len(l.cs) && l.adjacent(k+1) {
		next := &l.cs[k+1]
		if next.sort == itemChunk || next.sort == plainWord && !l.p.known(next.from) {
			return false
		}
	}
	text, ok := driveText("hex", number{value: a.low, over: a.over}, a.unit)
	if !ok || a.unit == "mm" && a.low != float64(int(a.low)) {
		return false
	}
	l.add(k, Drive, Value{Text: text})
	return true
}

// volume hears how much fluid is lost or goes in.
func (l *listener) volume(k int) {
	a := &l.cs[k].amount
	v := l.value(k, a.unit)
	switch {
	case l.any(lexicon.Loses):
		l.add(k, Loses, v)
	case l.fluidNamed(k) != nil, l.gauge != nil && l.gauge.dimension == quantity.Volume:
		e := l.fluidNamed(k)
		if l.gauge != nil && l.gauge.dimension == quantity.Volume {
			e = l.gauge.of
		}
		if l.holder(k) {
			e = l.focus
		}
		f := l.make(k, 1, Holds, v)
		f.of, f.For = e, l.orVariant(k, f.For)
		if !l.asked {
			l.keep(f)
		}
	case l.any(lexicon.Holds) && l.focus != nil:
		if f := l.add(k, Holds, v); f != nil {
			f.For = l.orVariant(k, f.For)
		}
	default:
		l.leave(k, "an amount of nothing that was named")
	}
}

// holder reports whether a thing is said to be full of the fluid.
func (l *listener) holder(k int) bool {
	return l.text(l.find(0, lexicon.Holds)) == "full" && l.focus != nil && !l.focus.fluid
}

// fluidNamed returns the fluid that the sentence names or that is spoken of.
func (l *listener) fluidNamed(k int) *entity {
	for i := range l.cs {
		if l.cs[i].sort == itemChunk && l.cs[i].noun.class == lexicon.Fluid {
			return l.cast.meant(&l.cs[i].noun)
		}
	}
	if l.focus != nil && l.focus.fluid {
		return l.focus
	}
	return nil
}

// leave notes a number that gave no fact.
func (l *listener) leave(k int, why string) {
	l.report.Left = append(l.report.Left, Passage{At: l.moment(l.cs[k].from, l.cs[k].to), Why: why})
}
