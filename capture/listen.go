package capture

import (
	"strings"

	"elbowroom/capture/lexicon"
	"elbowroom/capture/transcript"
	"elbowroom/cite"
	"elbowroom/quantity"
)

// Options are what a narration is listened to with.
type Options struct {
	Lexicon *lexicon.Lexicon // nil is the one that comes with the program
	Namer   Namer            // finds things in a guide; nil for none
	Units   []quantity.Value // values whose units are usual here, such as the limits of a guide's checks
}

// Listen takes a narration to pieces. It never fails: what it does not
// understand stands in the report.
func Listen(t *transcript.Transcript, o Options) *Report {
	lex := o.Lexicon
	if lex == nil {
		lex = lexicon.Default()
	}
	p := &parser{lex: lex, t: t}
	p.words = split(t, lex)
	p.parse()
	l := &listener{p: p, lex: lex, cast: newCast(lex), known: map[string]*Fact{}, asks: map[string]int{}, report: &Report{Name: t.Name, Form: t.Form, Words: len(p.words), Length: t.Length()}}
	l.units = unitsSaid(p, o.Units)
	for from := 0; from < len(p.chunks); {
		to := from + 1
		for to < len(p.chunks) && to-from < mostChunks && !p.starts(to) {
			to++
		}
		l.sentence(from, to)
		from = to
	}
	return l.finish(o.Namer)
}

// mostChunks is the longest sentence: what runs on is cut, so that no text can
// take more than the time it takes to read.
const mostChunks = 400

// starts reports whether a sentence begins with chunk k.
func (p *parser) starts(k int) bool {
	w := p.chunks[k].from
	return w == 0 || p.words[w].fresh || p.words[w-1].ends()
}

// listener keeps the account of what is spoken of.
type listener struct {
	p      *parser
	lex    *lexicon.Lexicon
	cast   cast
	report *Report
	facts  []*Fact
	known  map[string]*Fact // by entity and statement
	units  units
	gaps   []gap
	asks   map[string]int // how often a question was asked

	focus     *entity // what is spoken of
	group     *entity // what it was one of: after "the right one you see" the talk returns to all of them
	off       []*standing
	offNames  []string // of off; shared by facts, so it is replaced, never changed
	gauge     *gauge   // what is being measured
	lastNeed  *entity  // what had to come off last
	needAt    int      // the chunk after the sentence that said so
	lastState int      // the chunk after the sentence that said last how something stands

	// of the sentence
	cs          []chunk
	begin       int
	forWhat     string // variant
	who         string // quoted
	asked       bool   // a question
	deferred    []*Fact
	hedge       bool
	multi       []*entity   // "four, five"
	last        *Fact       // the latest fact of the sentence
	pendingWhen []condition // said before what is measured was named
	used        []bool
	first       int // facts before the sentence
}

// standing is how a thing stands at the moment.
type standing struct {
	of  *entity
	how string
}

// sentence listens to the chunks of one sentence.
func (l *listener) sentence(from, to int) {
	p := l.p
	begin, end := p.chunks[from].from, p.chunks[to-1].to
	if why := p.garbled(p.chunks[from:to]); why != "" {
		l.report.Garbled = append(l.report.Garbled, Passage{At: l.moment(begin, end), Why: why})
		l.gauge.stop()
		return
	}
	l.cs, l.begin = p.chunks[from:to], from
	l.used = make([]bool, to-from)
	l.forWhat, l.who, l.hedge, l.multi, l.deferred, l.last, l.first = "", "", false, nil, nil, nil, len(l.facts)
	l.asked = p.words[end-1].stop == '?'
	l.pendingWhen = nil
	l.openGroup()
	if l.stateGoesOn() {
		return
	}
	l.variants()
	l.hearsay()
	l.choices()
	l.remarks()
	l.standings()
	if k := l.find(0, lexicon.Same); k >= 0 && !l.ownValues(k) {
		l.alike(k)
	}
	for k := range l.cs {
		if !l.used[k] {
			l.chunk(k)
		}
	}
	l.unknowns()
	l.closeSentence()
}

// openGroup returns from one of several to all of them, unless the sentence
// goes on about the one: "you can get it from below".
func (l *listener) openGroup() {
	if l.group == nil {
		return
	}
	for k := range l.cs {
		c := &l.cs[k]
		if w := l.p.text(c.from); c.sort == plainWord && (w == "it" || w == "that") || c.sort == oneChunk {
			return
		}
		if c.sort == fastChunk || c.sort == itemChunk {
			break
		}
	}
	l.setFocus(l.group)
}

func (l *listener) closeSentence() {
	for _, c := range l.pendingWhen {
		if strings.ContainsAny(c.text, "0123456789") {
			l.report.Left = append(l.report.Left, Passage{At: l.moment(l.cs[0].from, l.cs[len(l.cs)-1].to), Why: c.text + " belongs to nothing"})
		}
	}
	l.flush()
	if l.group != nil && len(l.facts) > l.first {
		for _, f := range l.facts[l.first:] {
			if f.of == l.focus && f.Kind != Sight && f.Kind != Access && f.Kind != From && f.Kind != Needs && f.Kind != Place && l.focus.number == 0 {
				l.group = nil // the one has facts of its own: it stays spoken of
				return
			}
		}
	}
}

// setFocus changes what is spoken of.
func (l *listener) setFocus(e *entity) {
	l.focus, l.group = e, nil
	if l.gauge != nil && l.gauge.of != e {
		l.gauge = nil
	}
}

// flush gives deferred facts to what the sentence turned out to be about.
func (l *listener) flush() {
	l.heatOfLimits()
	for _, f := range l.deferred {
		if e := l.cast.find(f.Value.What); l.focus == nil && f.Kind == Needs && e != nil {
			l.stands(f, e, "off") // nothing is worked on yet: it says how things stand
			continue
		}
		f.of = l.focus
		l.keep(f)
	}
	l.deferred = nil
}

// heatOfLimits makes "with the engine hot" a condition of the limit that the
// sentence gives.
func (l *listener) heatOfLimits() {
	if l.torqueOfSentence() != nil {
		return
	}
	var limits []*Fact
	for _, f := range l.facts[l.first:] {
		if f.Kind == LimitKind {
			limits = append(limits, f)
		}
	}
	if len(limits) == 0 {
		return
	}
	keep := l.deferred[:0]
	for _, d := range l.deferred {
		heat, ok := strings.CutPrefix(d.Value.Text, "engine ")
		if !ok || d.Kind != With || !d.Value.High.Zero() || !d.Value.Low.Zero() {
			keep = append(keep, d)
			continue
		}
		for _, f := range limits {
			f.When = append([]string{heat}, f.When...)
		}
	}
	l.deferred = keep
}

// moment describes the words from one to another.
func (l *listener) moment(from, to int) Moment {
	w := l.p.words[from]
	c := &l.p.t.Cues[w.cue]
	last := &l.p.t.Cues[l.p.words[max(to-1, from)].cue]
	return Moment{
		Start: c.Start, End: max(c.End, last.End), Timed: c.Timed, Cue: w.cue, Pos: c.At(w.from), Speaker: c.Speaker,
		Said: strings.Join(strings.Fields(l.p.said(from, to)), " "),
	}
}

// make returns a fact of chunks k to k+n-1 that belongs to what is spoken of.
func (l *listener) make(k, n int, kind Kind, v Value) *Fact {
	from, to := l.cs[k].from, l.cs[k+n-1].to
	from -= l.cs[k].lead
	f := &Fact{Kind: kind, Value: v, Grade: cite.FirstHand, For: l.forWhat, At: l.moment(from, to), of: l.focus, word: from, TookBack: l.cs[k].was}
	switch {
	case l.whoAt(k) != "":
		f.Grade, f.Who = cite.Hearsay, l.whoAt(k)
	case l.hedgedAt(k):
		f.Grade = cite.Guess
	}
	f.In = l.offNames
	return f
}

// add makes a fact and keeps it.
func (l *listener) add(k int, kind Kind, v Value) *Fact {
	if l.asked {
		return nil
	}
	if len(l.multi) > 0 {
		for _, e := range l.multi {
			f := l.make(k, 1, kind, v)
			f.of = e
			l.keep(f)
		}
		return nil
	}
	f := l.make(k, 1, kind, v)
	l.keep(f)
	return f
}

// later makes a fact that belongs to what the sentence will be about.
func (l *listener) later(k int, kind Kind, v Value) *Fact {
	if l.asked {
		return nil
	}
	f := l.make(k, 1, kind, v)
	l.deferred = append(l.deferred, f)
	return f
}

// keep stores a fact; one that was said before is confirmed instead.
func (l *listener) keep(f *Fact) {
	if f.of == nil && f.Kind.Wordy() {
		return
	}
	if f.of == nil {
		l.gaps = append(l.gaps, gap{sort: "which", at: f.At, text: string(f.Kind) + " " + f.Value.Text})
		return
	}
	key := f.of.key() + "\x00" + f.Statement()
	if g := l.known[key]; g != nil && g.of == f.of {
		g.Again = append(g.Again, f.At)
		l.last = g
		return
	}
	l.known[key] = f
	l.store(f)
}

// store takes in a fact that is new.
func (l *listener) store(f *Fact) {
	l.facts = append(l.facts, f)
	f.of.said = append(f.of.said, f)
	l.last = f
}

// text returns the folded word that begins chunk k, empty outside.
func (l *listener) text(k int) string {
	if k < 0 || k >= len(l.cs) {
		return ""
	}
	return l.p.text(l.cs[k].from)
}

// adjacent reports whether chunk k goes on from the one before without a mark.
func (l *listener) adjacent(k int) bool {
	return k > 0 && k < len(l.cs) && l.p.run(l.cs[k].from)
}

// is reports whether chunk k is a phrase of one of the classes.
func (l *listener) is(k int, classes ...lexicon.Class) bool {
	return k >= 0 && k < len(l.cs) && l.p.is(&l.cs[k], classes...)
}

// any reports whether an unused chunk of the sentence is of one of the
// classes.
func (l *listener) any(classes ...lexicon.Class) bool { return l.find(0, classes...) >= 0 }

// find returns the first chunk from k on that is of one of the classes, or -1.
func (l *listener) find(k int, classes ...lexicon.Class) int {
	for ; k < len(l.cs); k++ {
		if l.p.is(&l.cs[k], classes...) {
			return k
		}
	}
	return -1
}

// clause returns the chunks around k between marks.
func (l *listener) clause(k int) (from, to int) {
	from, to = k, k+1
	for from > 0 && l.adjacent(from) {
		from--
	}
	for to < len(l.cs) && l.adjacent(to) {
		to++
	}
	return from, to
}

// use marks chunks as spoken for.
func (l *listener) use(from, to int) {
	for k := max(from, 0); k < to && k < len(l.used); k++ {
		l.used[k] = true
	}
}

// chunk listens to one chunk.
func (l *listener) chunk(k int) {
	c := &l.cs[k]
	switch c.sort {
	case itemChunk:
		l.item(k)
	case oneChunk:
		l.one(k)
	case gaugeChunk:
		l.measure(k)
	case fastChunk:
		l.fasteners(k)
	case threadChunk:
		l.add(k, Thread, Value{Text: c.text})
	case driveChunk:
		l.add(k, Drive, Value{Text: c.text})
	case waysChunk:
		l.later(k, Connector, Value{Text: c.text})
	case toolChunk:
		l.tool(k)
	case amountChunk:
		l.amount(k)
	case numberChunk:
		l.number(k)
	case termChunk:
		l.term(k)
	}
}
