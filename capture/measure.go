package capture

import (
	"slices"
	"strings"

	"elbowroom/capture/lexicon"
	"elbowroom/quantity"
)

// gauge is what is being measured, with the conditions in force.
type gauge struct {
	of        *entity
	measure   string // empty when the entity itself is the quantity
	dimension quantity.Dimension
	least     bool // a single value is the least that will do
	sentence  int
	when      []condition
	open      *Fact // the limit that conditions still attach to
}

func (g *gauge) stop() {
	if g != nil {
		g.open = nil
	}
}

// condition is one condition of a reading.
type condition struct{ key, text string }

// bareMeasures are quantities that are always of something.
var bareMeasures = map[string]bool{
	"pressure": true, "voltage": true, "resistance": true, "current": true, "gap": true, "clearance": true, "play": true, "air gap": true, "free play": true,
	"end float": true, "backlash": true, "temperature": true, "capacity": true, "boost": false,
}

// measure hears a measured quantity named.
func (l *listener) measure(k int) {
	n := &l.cs[k].noun
	dim, least, _ := strings.Cut(n.value, " ")
	g := &gauge{dimension: quantity.Dimension(dim), least: least != "", sentence: l.begin}
	switch {
	case n.owner != nil:
		g.of, g.measure = l.cast.meant(n.owner), n.head
	case n.name() == n.head && bareMeasures[n.head]:
		if l.focus == nil {
			return
		}
		g.of, g.measure = l.focus, n.head
		if l.focus.gauge {
			g.measure = ""
		}
	case g.dimension == quantity.Volume && n.mods != "":
		fluid := *n
		fluid.head, fluid.mods, fluid.raw, fluid.class = n.mods, "", n.mods, lexicon.Fluid
		g.of = l.cast.meant(&fluid)
	default:
		e := l.cast.meant(n)
		g.of = e
	}
	if l.gauge != nil && l.gauge.of == g.of && l.gauge.measure == g.measure {
		l.gauge.sentence = l.begin
		return
	}
	l.setFocus(g.of)
	l.gauge = g
	for _, c := range l.pendingWhen {
		g.put(c)
	}
	l.pendingWhen = nil
}

// measuring reports whether a quantity is being spoken of: named in this
// sentence, or the subject of the sentences before.
func (l *listener) measuring() bool {
	if l.gauge == nil {
		for k := range l.cs {
			if l.cs[k].sort == gaugeChunk && !l.used[k] {
				return true
			}
		}
		return false
	}
	return l.gauge.sentence == l.begin || l.gauge.measure == "" || l.gauge.open != nil
}

// limitPending reports whether a limit was given in this sentence to which a
// condition may still be added.
func (l *listener) limitPending() bool {
	return l.last != nil && l.last.Kind == LimitKind && len(l.facts) > l.first && l.facts[len(l.facts)-1] == l.last
}

// limit hears a value that a reading must have.
func (l *listener) limit(k int, unit string, assumed bool) {
	a := &l.cs[k].amount
	if l.attributive(k) {
		l.leave(k, "it only describes what follows")
		return
	}
	v := l.value(k, unit)
	measure := ""
	of := l.focus
	dim := quantity.Of(1, unit).Dimension()
	var when []string
	if g := l.gauge; g != nil && g.dimension == dim {
		of, measure = g.of, g.measure
		if g.least && a.low == a.high && a.bound == "" && !l.boundedAfter(k) {
			v.Text, v.High = ">= "+v.Text, quantity.Value{}
		}
		when = g.texts()
		of = l.whichValve(k, of)
	}
	if of == nil {
		l.leave(k, "a value of nothing that was named")
		return
	}
	if i := l.find(k+1, lexicon.Apart); i == k+1 || i == k+2 {
		measure = "spread"
		if g := l.gauge; g != nil && a.bound == "" {
			v.Text = strings.TrimPrefix(v.Text, ">= ")
		}
	}
	if measure != "" {
		v.What = measure
		v.Text = measure + " " + v.Text
	}
	f := l.make(k, 1, LimitKind, v)
	f.of, f.When, f.For = of, when, l.orVariant(k, f.For)
	if assumed {
		f.Because = append(f.Because, "the unit was not said")
		l.gap(gap{sort: "unit", of: of, at: f.At, text: v.Text})
	}
	if l.asked {
		return
	}
	if l.gauge == nil {
		f.When = addText(f.When, l.pendingWhen)
	}
	l.store(f)
	if l.gauge != nil {
		l.gauge.open = f
	}
}

// attributive reports whether a value only describes the noun after it: "a
// twenty-four volt boat".
func (l *listener) attributive(k int) bool {
	if !l.adjacent(k + 1) {
		return false
	}
	next := &l.cs[k+1]
	return next.sort == plainWord && (!l.p.known(next.from) || l.p.term(next.from, lexicon.VariantWord) != nil && l.text(k+1) != "one")
}

// boundedAfter reports whether the sentence goes on to give the end of the
// range itself: "thirty bar, not below twenty-four".
func (l *listener) boundedAfter(k int) bool {
	for i := k + 1; i < len(l.cs); i++ {
		if numeric(&l.cs[i]) && l.cs[i].amount.bound != "" {
			return true
		}
	}
	return false
}

// whichValve returns the inlet or exhaust valves where the clearance is said
// for them alone.
func (l *listener) whichValve(k int, of *entity) *entity {
	w := l.text(k - 1)
	if of.head != "valve" || !valveSides[w] || !l.adjacent(k) {
		return of
	}
	if w == "intake" {
		w = "inlet"
	}
	return l.cast.one(&noun{mods: w, side: of.side}, of)
}

func addText(list []string, more []condition) []string {
	for _, c := range more {
		list = append(list, c.text)
	}
	return list
}

// rankOf orders the conditions of a reading for print.
var rankOf = map[string]int{"temperature": 0, "speed": 1, "load": 2, "key": 3, "other": 4}

// texts lists the conditions in force.
func (g *gauge) texts() []string {
	list := slices.Clone(g.when)
	slices.SortStableFunc(list, func(a, b condition) int { return rankOf[a.key] - rankOf[b.key] })
	return addText(nil, list)
}

// condition notes a condition of a reading. One of the same sort is replaced;
// "other" ones add up. It attaches to the limit just given, unless "and" or
// "then" has gone on from it.
func (l *listener) condition(k int, key, text string) {
	l.used[k] = true
	c := condition{key, text}
	g := l.gauge
	if g == nil {
		if l.limitPending() {
			l.last.When = append(l.last.When, text)
			return
		}
		l.pendingWhen = append(l.pendingWhen, c)
		return
	}
	g.put(c)
	if l.adjacent(k+1) && numeric(&l.cs[k+1]) {
		g.open = nil // "cold 0.6 ohms, hot 0.8 ohms": it belongs to what follows
	}
	if g.open != nil && len(l.facts) > l.first && l.facts[len(l.facts)-1] == g.open && !l.wentOn(k) {
		g.open.When = g.texts()
	}
}

func (g *gauge) put(c condition) {
	for i := range g.when {
		if g.when[i].key == c.key && (c.key != "other" || g.when[i].text == c.text) {
			g.when[i].text = c.text
			return
		}
	}
	g.when = append(g.when, c)
}

// wentOn reports whether "and", "then", "or" or "but" stands between the limit
// just given and chunk k.
func (l *listener) wentOn(k int) bool {
	for i := k - 1; i >= 0; i-- {
		if numeric(&l.cs[i]) && !l.used[i] {
			return false
		}
		switch l.text(i) {
		case "and", "then", "but":
			if l.cs[i].sort == plainWord {
				return true
			}
		}
	}
	return false
}

// temperature hears a temperature: a condition of what is measured, or a state
// that the work needs.
func (l *listener) temperature(k int) {
	a := &l.cs[k].amount
	text := formatRange(a, a.unit)
	fluid := l.fluidBefore(k)
	if l.measuring() || l.limitPending() || l.gauge != nil && l.gauge.measure == "" {
		if fluid != "" {
			text = fluid + " " + text
		}
		l.condition(k, "temperature", text)
		return
	}
	if l.focus == nil {
		l.leave(k, "a temperature of nothing that was named")
		return
	}
	if verb := l.text(k - 2); l.text(k-1) == "at" && switching[verb] {
		v := l.value(k, a.unit)
		v.What, v.Text = verb, verb+" "+v.Text
		l.add(k, LimitKind, v)
		return
	}
	if fluid == "" {
		fluid = "engine"
	}
	v := l.value(k, a.unit)
	v.Text = fluid + " " + text
	l.later(k, With, v)
}

// switching are verbs of things that do something at a temperature.
var switching = map[string]bool{"opens": true, "closes": true, "switches": true, "trips": true, "starts": true, "cuts": true}

// fluidBefore returns the fluid whose temperature is said.
func (l *listener) fluidBefore(k int) string {
	for i := k - 1; i >= 0 && i > k-6; i-- {
		c := &l.cs[i]
		if numeric(c) {
			return ""
		}
		if c.sort == itemChunk && c.noun.class == lexicon.Fluid {
			return c.noun.name()
		}
	}
	return ""
}
