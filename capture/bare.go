package capture

import (
	"elbowroom/capture/lexicon"
	"elbowroom/quantity"
)

// Bounds of a torque that was said without a unit: from a small screw in
// plastic to a crank pulley.
const (
	leastTorque = 0.5
	mostTorque  = 600
)

// leastSpeed is the smallest number that is taken for a rotational speed when
// its unit was dropped: below any idle.
const leastSpeed = 300

// number hears a number without a unit.
func (l *listener) number(k int) {
	a := &l.cs[k].amount
	switch {
	case a.year:
		l.leave(k, "a year")
	case l.disowned(k):
		l.leave(k, "said to be for something else")
	case l.cylinderNumber(k), l.cylinderList(k):
	case l.thereAre(k), l.ofThem(k), l.countAfter(k), l.aSeventeen(k):
	case l.fractionDrive(k):
	case l.numberInMeasure(k):
	case l.coldLimit(k):
	case l.bareTorque(k):
	default:
		l.leave(k, "a number that belongs to nothing")
	}
}

// disowned reports whether the narrator takes a number away again: "he used to
// say sixty, but that's for the bigger turbo".
func (l *listener) disowned(k int) bool {
	for i := k + 1; i+2 < len(l.cs); i++ {
		if be := l.text(i + 1); l.text(i) == "that" && (be == "'s" || be == "is" || be == "was") && (l.text(i+2) == "for" || l.cs[i+2].sort == variantChunk) {
			return true
		}
	}
	return false
}

// cylinderNumber hears "number four won't come out".
func (l *listener) cylinderNumber(k int) bool {
	w := l.text(k - 1)
	a := &l.cs[k].amount
	if w != "number" || !l.adjacent(k) || !small(a) {
		return false
	}
	if l.adjacent(k+1) && l.cs[k+1].sort == itemChunk {
		return true // "number one injector pipe": the name takes it
	}
	if l.focus == nil {
		return false
	}
	group := l.focus
	if l.group != nil {
		group = l.group
	}
	l.setFocus(l.cast.sibling(group, group.side, int(a.low)))
	l.group = group
	return true
}

func small(a *amount) bool {
	return a.low == a.high && a.low >= 1 && a.low <= mostCylinders && a.low == float64(int(a.low))
}

// verbs after which a number before them was one of several things.
var numberVerbs = map[string]bool{
	"will": true, "won't": true, "is": true, "are": true, "'s": true, "comes": true, "come": true, "you": true, "has": true, "can": true, "can't": true, "cannot": true, "doesn't": true, "'ll": true,
}

// cylinderList hears "Four, five easy" and "Six will not come out", where
// several of a kind are spoken of.
func (l *listener) cylinderList(k int) bool {
	group := l.focus
	if l.group != nil {
		group = l.group
	}
	if group == nil || !group.plural || k > 0 && l.adjacent(k) {
		return false
	}
	end := k
	for end < len(l.cs) && l.cs[end].sort == numberChunk && small(&l.cs[end].amount) {
		end++
		if l.text(end) == "and" {
			end++
		}
	}
	if end >= len(l.cs) || !l.adjacent(end) || !(l.is(end, lexicon.Access, lexicon.Must) || l.cs[end].sort == plainWord && numberVerbs[l.text(end)]) {
		return false
	}
	l.multi = nil
	for i := k; i < end; i++ {
		if l.cs[i].sort != numberChunk {
			continue
		}
		e := l.cast.sibling(group, group.side, int(l.cs[i].amount.low))
		l.setFocus(e)
		l.multi = append(l.multi, e)
	}
	if len(l.multi) == 1 {
		l.multi = nil
	}
	l.group = group
	l.use(k, end)
	return true
}

// ofThem hears "the bolts, there are five of them".
func (l *listener) ofThem(k int) bool {
	if l.text(k+1) != "of" || l.text(k+2) != "them" {
		return false
	}
	for i := k - 1; i >= 0; i-- {
		if c := &l.cs[i]; c.sort == fastChunk && c.count < 0 {
			n := whole(&l.cs[k], false)
			what := c.noun.name()
			if n > 0 {
				l.add(k, Count, Value{Text: formatNumber(float64(n)) + " " + countNoun(what, n), Count: n, What: what})
			}
			return n > 0
		}
	}
	return false
}

// thereAre hears "each bolt gets twenty-four newton metres, and there are
// four".
func (l *listener) thereAre(k int) bool {
	if l.text(k-2) != "there" || l.adjacent(k+1) || !small(&l.cs[k].amount) {
		return false
	}
	for i := k - 1; i >= 0; i-- {
		if c := &l.cs[i]; c.sort == fastChunk && c.count < 0 {
			n, what := int(l.cs[k].amount.low), c.noun.name()
			l.add(k, Count, Value{Text: formatNumber(float64(n)) + " " + countNoun(what, n), Count: n, What: what})
			return true
		}
	}
	l.leave(k, "a count of nothing that was named")
	return true
}

// countAfter hears "Head bolts, four, half inch": a small number right after
// fasteners that were not counted is how many there are.
func (l *listener) countAfter(k int) bool {
	if k == 0 || l.cs[k-1].sort != fastChunk || l.cs[k-1].count >= 0 || !l.cs[k-1].noun.plural || l.adjacent(k) || l.adjacent(k+1) {
		return false
	}
	n, what := whole(&l.cs[k], false), l.cs[k-1].noun.name()
	if n < 1 || n > mostCounted {
		return false
	}
	l.add(k, Count, Value{Text: formatNumber(float64(n)) + " " + countNoun(what, n), Count: n, What: what})
	return true
}

// mostCounted is the largest bare number that is taken for a count.
const mostCounted = 24

// aSeventeen hears "the nut's a seventeen": the width of a hexagon.
func (l *listener) aSeventeen(k int) bool {
	a := &l.cs[k].amount
	if l.text(k-1) != "a" || !l.adjacent(k) || l.focus == nil || k+1 < len(l.cs) && l.adjacent(k+1) {
		return false
	}
	text, ok := driveText("hex", number{value: a.low, over: a.over}, "")
	if !ok || a.low != a.high || a.over == 0 && (a.low < leastBareFlats || a.low != float64(int(a.low))) {
		return false
	}
	l.add(k, Drive, Value{Text: text})
	return true
}

// leastBareFlats is the smallest hexagon that people call by its number alone.
const leastBareFlats = 6

// fractionDrive hears "nine-sixteenths" as a hexagon in inches.
func (l *listener) fractionDrive(k int) bool {
	a := &l.cs[k].amount
	if a.over < 4 && !(a.over == 2 && l.units.imperial) || l.gauge != nil && l.gauge.sentence == l.begin {
		return false
	}
	a.unit = "in"
	if !l.driveWidth(k) {
		a.unit = ""
		return false
	}
	return true
}

// numberInMeasure hears the dropped unit of what is being measured, or a
// speed.
func (l *listener) numberInMeasure(k int) bool {
	a := &l.cs[k].amount
	if !l.measuring() && !l.limitPending() {
		return false
	}
	before := l.text(k - 1)
	if before == "at" && a.low < leastSpeed && l.fluidBefore(k) != "" {
		return l.bareTemperature(k)
	}
	if a.low >= leastSpeed && l.follower(k) && (before == "at" || before == "'s" || before == "is" || before == "around") {
		l.condition(k, "speed", formatRange(a, "rpm"))
		return true
	}
	if l.gauge == nil || !l.follower(k) {
		return false
	}
	unit, assumed := l.units.dropped(l.gauge.dimension)
	if unit == "" {
		l.gap(gap{sort: "unit", of: l.gauge.of, at: l.moment(l.cs[k].from, l.cs[k].to), text: formatRange(a, "")})
		return true
	}
	if l.gauge.dimension == quantity.Volume {
		a.unit = unit
		l.volume(k)
		return true
	}
	if f := l.units.factor[l.gauge.dimension]; f != 0 && f != 1 {
		a.low, a.high = round(a.low*f), round(a.high*f)
	}
	l.limit(k, unit, assumed)
	return true
}

// bareTemperature hears "oil at ninety to a hundred".
func (l *listener) bareTemperature(k int) bool {
	unit, assumed := l.units.dropped(quantity.Temperature)
	if unit == "" {
		return false
	}
	a := &l.cs[k].amount
	a.unit = unit
	l.temperature(k)
	if assumed {
		l.gap(gap{sort: "unit", of: l.focus, at: l.moment(l.cs[k].from, l.cs[k].to), text: formatRange(a, unit)})
	}
	return true
}

// coldLimit hears "cold, under forty".
func (l *listener) coldLimit(k int) bool {
	a := &l.cs[k].amount
	if a.bound != "<" && a.bound != "<=" {
		return false
	}
	for i := k - 1; i >= 0; i-- {
		if t := l.p.as(&l.cs[i], lexicon.State); t != nil && (t.Value == "cold" || t.Value == "warm") {
			return l.bareTemperature(k)
		}
	}
	return false
}

// bareTorque hears "They take eight", "Twenty-four - no, twenty-two", "Twenty-
// eight on the unions".
func (l *listener) bareTorque(k int) bool {
	a := &l.cs[k].amount
	if l.focus == nil || l.focus.gauge || a.bound == "<" || a.bound == ">" || a.low < leastTorque || a.high > mostTorque || a.over > 0 && a.low < 1 || a.over > 2 {
		return false
	}
	if !l.follower(k) || !l.leader(k) {
		return false
	}
	unit, assumed := l.units.dropped(quantity.Torque)
	if f := l.torqueOfSentence(); f != nil && l.then(k) && f.Value.Low.Unit != "" {
		unit, assumed = f.Value.Low.Unit, false
	}
	if f := l.torqueValue(k, unit); f != nil {
		if unit == "" || assumed {
			f.Because = append(f.Because, "the unit was not said")
			l.gap(gap{sort: "unit", of: f.of, at: f.At, text: f.Value.Text})
		} else {
			f.Because = append(f.Because, "the unit was said elsewhere")
		}
	}
	return true
}

// follower reports whether what follows a bare number lets it be a value:
// nothing, a mark, or a word that no noun begins with.
func (l *listener) follower(k int) bool {
	if k+1 >= len(l.cs) || !l.adjacent(k+1) {
		return true
	}
	next := &l.cs[k+1]
	switch next.sort {
	case variantChunk, gone:
		return true
	case termChunk:
		return l.is(k+1, lexicon.Hedge, lexicon.Where, lexicon.When, lexicon.With, lexicon.Old, lexicon.Order, lexicon.Threads, lexicon.Correct, lexicon.Bound, lexicon.First, lexicon.Same, lexicon.About, lexicon.State, lexicon.Takes)
	case plainWord:
		switch l.text(k + 1) {
		case "on", "for", "in", "at", "written", "noted", "when", "and", "or", "but", "all", "with", "no", "if", "so", "then", "once":
			return true
		}
	}
	return false
}

// leader reports whether what stands before a bare number lets it be a torque.
func (l *listener) leader(k int) bool {
	if k == 0 || !l.adjacent(k) {
		return true
	}
	before := &l.cs[k-1]
	switch before.sort {
	case gone, fastChunk, threadChunk, driveChunk, itemChunk, variantChunk:
		return true
	case termChunk:
		return l.is(k-1, lexicon.Got, lexicon.Takes, lexicon.Hedge, lexicon.Correct, lexicon.TorqueWord, lexicon.Says, lexicon.Threads, lexicon.About, lexicon.Hand)
	case plainWord:
		switch l.text(k - 1) {
		case "'s", "is", "are", "or", "but", "to", "at", "them", "it", "they", "then", "and", "take", "had", "say", "done", "do", "used", "did", "go":
			return l.text(k-1) != "and" || k >= 2 && l.cs[k-2].sort != amountChunk
		}
	}
	return false
}
