package capture

import (
	"slices"
	"strings"

	"elbowroom/capture/lexicon"
)

// term hears a phrase of the lexicon that stands by itself.
func (l *listener) term(k int) {
	c := &l.cs[k]
	switch {
	case l.is(k, lexicon.Elsewhere):
		l.later(k, Elsewhere, Value{Text: l.clauseText(k)})
	case l.is(k, lexicon.OtherWay):
		l.gap(gap{sort: "alternative", of: l.around(), at: l.moment(c.from, c.to), text: l.clauseText(k)})
	case l.is(k, lexicon.From):
		l.fromPlace(k, l.p.as(c, lexicon.From).Value)
	case l.is(k, lexicon.Failed) && l.is(k-1, lexicon.Myself):
		l.triedInVain(k)
	case l.is(k, lexicon.UnitOf):
		l.unitOf(k)
	case l.is(k, lexicon.Together) && l.any(lexicon.UnitOf):
	case l.is(k, lexicon.Together):
		l.add(k, PartOf, Value{Text: "together"})
	case l.is(k, lexicon.Separate):
		l.add(k, PartOf, Value{Text: "separate"})
	case l.is(k, lexicon.Sight):
		l.seen(k)
	case l.is(k, lexicon.When):
		l.when(k)
	case l.is(k, lexicon.State):
		l.bareState(k)
	case l.is(k, lexicon.Hand):
		l.byHand(k)
	default:
		l.simple(k)
	}
}

// simple hears the phrases that are facts as they stand.
func (l *listener) simple(k int) {
	c := &l.cs[k]
	for _, x := range []struct {
		class lexicon.Class
		kind  Kind
	}{{lexicon.Threads, Threads}, {lexicon.Order, Order}, {lexicon.Fixing, Fixing}, {lexicon.Access, Access}, {lexicon.Lock, Connector}} {
		if t := l.p.as(c, x.class); t != nil {
			v := Value{Text: t.Value}
			if v.Text == "" {
				v.Text = t.Single
			}
			if x.class == lexicon.Lock {
				l.later(k, x.kind, v)
				return
			}
			l.add(k, x.kind, v)
			l.multi = nil
			return
		}
	}
	switch {
	case l.is(k, lexicon.Same):
		l.alike(k)
	case l.is(k, lexicon.New):
		l.newOne(k)
	case l.is(k, lexicon.Once):
		l.reuseOf(k, "single-use")
	case l.is(k, lexicon.Again):
		l.reuseOf(k, "reusable")
	case l.is(k, lexicon.EveryTime) && (strings.Contains(c.term.Single, "replaced") || strings.Contains(c.term.Single, "new")):
		l.reuseOf(k, "single-use")
	case l.is(k, lexicon.Drive) && l.p.as(c, lexicon.Drive).Value == "slot":
		l.add(k, Drive, Value{Text: "slot"})
	case l.is(k, lexicon.Where, lexicon.Sits):
		l.where(k)
	case l.is(k, lexicon.Through):
		l.throughHole(k)
	}
}

// clauseText returns the words of the clause around chunk k.
func (l *listener) clauseText(k int) string {
	from, to := l.clause(k)
	return l.words(from, to)
}

// around returns all of several where one of them was just spoken of.
func (l *listener) around() *entity {
	if l.group != nil {
		return l.group
	}
	return l.focus
}

// everything is what is spoken of when a way in is said for all that follows.
var everything = entity{name: "everything", raw: "everything", head: "everything"}

// fromPlace hears a way in.
func (l *listener) fromPlace(k int, place string) {
	wide := false
	for i := range l.cs[:k] {
		w := l.text(i)
		wide = wide || w == "everything" || w == "we" && l.text(i+1) == "'re"
	}
	v := Value{Text: place}
	switch {
	case wide:
		f := l.make(k, 1, From, v)
		f.of = &everything
		l.keep(f)
	default:
		f := l.later(k, From, v)
		if f != nil {
			f.For = l.orVariant(k, f.For)
		}
	}
	l.use(k-1, k+1)
}

// throughHole hears a way in through something that the lexicon does not know:
// "through the access hole".
func (l *listener) throughHole(k int) {
	end := k + 1
	for end < len(l.cs) && end < k+4 && l.adjacent(end) && l.cs[end].sort == plainWord && (dets[l.text(end)] && end == k+1 || !l.p.known(l.cs[end].from)) {
		end++
	}
	from := k + 1
	if from < end && dets[l.text(from)] {
		from++
	}
	if from < end {
		l.fromPlace(k, l.p.joinWords(l.cs[from].from, l.cs[end-1].to))
		l.use(from, end)
	}
}

// triedInVain hears "I've never managed it": the way in just told does not
// work.
func (l *listener) triedInVain(k int) {
	for i := len(l.deferred) - 1; i >= 0; i-- {
		if f := l.deferred[i]; f.Kind == From {
			n := l.make(k-1, 2, From, Value{Text: "not " + f.Value.Text})
			n.For = f.For
			l.deferred = append(l.deferred, n)
			return
		}
	}
}

// unitOf hears "comes with the housing".
func (l *listener) unitOf(k int) {
	for i := k + 1; i < len(l.cs) && i < k+4 && l.adjacent(i); i++ {
		if l.cs[i].sort == itemChunk {
			what := l.cast.meant(&l.cs[i].noun).shown()
			l.add(k, PartOf, Value{Text: what, What: what})
			l.used[i] = true
			return
		}
	}
}

// seen hears how a hand is guided. "You see the throttle body" is about what
// follows.
func (l *listener) seen(k int) {
	t := l.p.as(&l.cs[k], lexicon.Sight)
	if t == nil || l.used[k] {
		return
	}
	l.used[k] = true
	if k+1 < len(l.cs) && l.adjacent(k+1) && !l.used[k+1] && (l.cs[k+1].sort == itemChunk || l.cs[k+1].sort == oneChunk) {
		l.chunk(k + 1)
		l.used[k+1] = true
	}
	if l.focus != nil && !l.focus.gauge {
		l.add(k, Sight, Value{Text: t.Value})
	}
}

// when hears a condition of a reading: idle, cranking, key on.
func (l *listener) when(k int) {
	t := l.p.as(&l.cs[k], lexicon.When)
	key := map[string]string{"idle": "speed", "cranking": "speed", "full load": "load", "no load": "load", "key on": "key", "key off": "key"}[t.Value]
	if key == "" {
		key = "other"
	}
	l.condition(k, key, t.Value)
}

// bareState hears "cold", "warm", "hot" without a thing: a condition of what
// is measured, or the state of the engine that the work needs.
func (l *listener) bareState(k int) {
	t := l.p.as(&l.cs[k], lexicon.State)
	if t.Value != "cold" && t.Value != "warm" && t.Value != "hot" {
		return
	}
	if l.measuring() || l.limitPending() {
		l.condition(k, "temperature", t.Value)
		return
	}
	from, to := l.clause(k)
	if from == k && to == k+1 && l.focus != nil && !l.any(lexicon.Correct) {
		l.later(k, With, Value{Text: "engine " + t.Value})
	}
}

// byHand hears "hand tight".
func (l *listener) byHand(k int) {
	for i := k + 1; i < len(l.cs); i++ {
		if c := &l.cs[i]; c.sort == amountChunk && c.amount.unit != "turn" && l.torqueIn(i, i+1) {
			return // "start them by hand, then nine newton metres"
		}
	}
	l.add(k, Torque, Value{Text: "hand tight"})
}

// tool hears a tool that not every box holds: one with a name of its own.
func (l *listener) tool(k int) {
	n := &l.cs[k].noun
	plain := n.name() == n.head && !strings.Contains(n.head, " ") && slices.Contains([]string{"socket", "tool", "extension", "gauge", "magnet", "adapter", "adaptor"}, n.head)
	if plain || l.text(k-1) == "no" {
		return
	}
	text := n.name()
	if n.raw != "" {
		text = n.raw
	}
	if n.plural { // pliers have no singular to speak of
		text = l.p.joinWords(l.cs[k].to-len(strings.Fields(n.name())), l.cs[k].to)
	}
	f := l.later(k, Tool, Value{Text: text, What: text})
	if f != nil && l.any(lexicon.Must) && l.find(0, lexicon.Must) < k {
		l.use(k, k+1)
	}
}

// newOne hears "new" apart from what is new: "a new one", "are new every
// time", "New pipe".
func (l *listener) newOne(k int) {
	verb := l.text(k)
	if (verb == "replace" || verb == "renew") && !l.any(lexicon.EveryTime) {
		return
	}
	if l.adjacent(k+1) && (l.cs[k+1].sort == fastChunk) {
		return // the noun says so itself
	}
	if l.adjacent(k+1) && l.cs[k+1].sort == itemChunk {
		if !l.used[k+1] {
			l.chunk(k + 1)
			l.used[k+1] = true
		}
		l.add(k, Reuse, Value{Text: "single-use"})
		return
	}
	from, to := l.clause(k)
	alone := from == k && to == k+1
	if !l.any(lexicon.EveryTime) && !alone {
		return
	}
	l.reuseOf(k, "single-use")
}

// reuseOf notes how often the thing before chunk k is used: a small part or a
// fastener that the sentence names, else the item itself.
func (l *listener) reuseOf(k int, how string) {
	what := ""
	for i := k - 1; i >= 0; i-- {
		c := &l.cs[i]
		if c.sort == fastChunk && (c.count < 0 || c.noun.class == lexicon.Small) {
			what = c.noun.name()
			break
		}
		if c.sort == itemChunk {
			break
		}
	}
	text := how
	if what != "" {
		text += " " + what
	}
	for _, f := range l.facts[l.first:] { // said by the noun already
		if f.Kind == Reuse && f.of == l.focus && f.Value.Text == text {
			return
		}
	}
	l.add(k, Reuse, Value{Text: text, What: what})
}

// mostPlace is how many chunks a phrase of place runs on at most.
const mostPlace = 12

// where hears where a thing sits: from the first word of place to the end of
// the clause. Where the sentence turns round ("Behind it is the pump") the
// place is of what follows.
func (l *listener) where(k int) {
	if l.placed(k) {
		return
	}
	start, end := k, k+1
	the := dets[l.text(k+1)] || l.cs[min(k+1, len(l.cs)-1)].noun.det != ""
	anchored := l.text(k+1) != "of" && l.p.joinWords(l.cs[k].from, l.cs[k].to) == "on top" || !needsAnchor(l.text(k), l.cs[k].to-l.cs[k].from)
	for end < len(l.cs) && end < k+mostPlace && l.adjacent(end) && !l.endsPlace(end) {
		anchored = anchored || l.cs[end].sort == itemChunk
		end++
	}
	anchored = anchored || the && l.adjacent(k+1) && plainPlace[l.text(k)] && end > k+2
	turned := l.turned(k)
	if turned > 0 {
		end, anchored = turned, true
	}
	if !anchored && !l.is(k, lexicon.Sits) || end == k+1 && l.is(k, lexicon.Sits) {
		return
	}
	if l.is(k, lexicon.Sits) && !l.landmarkIn(k, end) {
		return
	}
	for start > 0 && l.adjacent(start) && l.cs[start-1].sort == fastChunk {
		start--
	}
	if l.gauge != nil && start > 0 && l.adjacent(start) && l.cs[start-1].sort == itemChunk {
		start--
	}
	f := l.make(start, end-start, Place, Value{Text: l.words(start, end)})
	f.For = l.forWhatIn(k, end, f.For)
	if !l.asked {
		l.deferred = append(l.deferred, f)
	}
	for i := k; i < end; i++ {
		if l.cs[i].sort != variantChunk && !l.is(i, lexicon.From, lexicon.Sight) {
			l.used[i] = true
		}
	}
	if turned == 0 && l.focus != nil && l.gauge == nil {
		l.flushPlace(f)
	}
}

// plainPlace are the words of place after which anything will do: "under the
// cab floor".
var plainPlace = map[string]bool{"under": true, "behind": true, "underneath": true, "beside": true}

// flushPlace gives a place at once to what is spoken of.
func (l *listener) flushPlace(f *Fact) {
	for i := range l.deferred {
		if l.deferred[i] == f {
			l.deferred = slices.Delete(l.deferred, i, i+1)
			break
		}
	}
	f.of = l.focus
	l.keep(f)
}

// forWhatIn returns the variant named beside the phrase of place.
func (l *listener) forWhatIn(k, end int, is string) string {
	for i := k; i < end; i++ {
		if l.cs[i].sort == variantChunk {
			return l.cs[i].text
		}
	}
	if l.any(lexicon.Otherwise) && l.find(0, lexicon.Otherwise) < k && is != "" {
		return "not " + is
	}
	return is
}

// needsAnchor reports whether a phrase of place says nothing without a thing
// after it.
func needsAnchor(first string, n int) bool {
	switch first {
	case "in", "on", "by", "the", "against", "between", "inside", "near", "close", "facing", "bolted", "sits", "lives", "hides", "below", "above", "under":
		return n <= 2
	case "is":
		return true
	}
	return false
}

// landmarkIn reports whether a thing or another phrase of place stands between
// two chunks.
func (l *listener) landmarkIn(from, to int) bool {
	for i := from + 1; i < to; i++ {
		if l.cs[i].sort == itemChunk || l.is(i, lexicon.Where) {
			return true
		}
	}
	return false
}

// placed reports whether a place was said for the same clause already, or the
// words are about something else: "in the old one", "on each".
func (l *listener) placed(k int) bool {
	if l.used[k] || l.is(k, lexicon.From) {
		return true
	}
	if before := k - 1; before >= 0 && l.adjacent(k) && (begins[l.text(before)] && l.text(before) != "on" || l.cs[before].sort == fastChunk && l.cs[before].noun.class == lexicon.Small) {
		return true // "start at the front", "a gasket behind it"
	}
	return l.is(k, lexicon.State, lexicon.Bound) && !l.is(k, lexicon.Where)
}

// endsPlace reports whether a chunk ends a phrase of place.
func (l *listener) endsPlace(k int) bool {
	c := &l.cs[k]
	switch c.sort {
	case amountChunk, threadChunk, driveChunk, toolChunk:
		return true
	case fastChunk:
		return c.count > 0
	case plainWord:
		switch l.text(k) {
		case "is", "are", "'s", "so", "but", "with", "and", "or", "if", "you", "comes", "has", "one":
			return true
		}
	case termChunk:
		return l.is(k, lexicon.Off, lexicon.Must, lexicon.With, lexicon.First, lexicon.Holds, lexicon.Sight)
	}
	return false
}

// turned returns where the verb of a sentence stands that opens with a place
// and names the thing afterwards, 0 when it does not.
func (l *listener) turned(k int) int {
	for i := range l.cs[:k] {
		if l.cs[i].sort != plainWord || l.text(i) != "and" && l.text(i) != "just" {
			return 0
		}
	}
	for i := k + 1; i+1 < len(l.cs); i++ {
		w := l.text(i)
		if (w == "is" || w == "are" || w == "'s" || l.is(i, lexicon.Sits)) && l.cs[i+1].sort == itemChunk && l.adjacent(i+1) {
			return i
		}
	}
	return 0
}
