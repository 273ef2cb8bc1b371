package record

import (
	"cmp"
	"fmt"
	"slices"

	"elbowroom/quantity"
)

// Limits of what an answer keeps.
const (
	mostStretches = 500 // further ones are counted
	mostShort     = 3   // longest times that were too short
	mostPending   = 4096
)

// Stretch is a time in which the conditions of a question held and everything
// that must be was steady. Times are seconds since the first row.
type Stretch struct {
	From, To float64 // after settling
	First    int     // line of the file
	Last     int
	Rows     int
	Ended    string         // why it went no further
	Beyond   bool           // of a run: the level was not reached; it took longer than what is judged
	Start    quantity.Value // of a run or a change: the channel at its beginning, where the conditions say how it begins
	StartOf  string         // subject of that condition
	Pattern  *Pattern       // of a signal
	Judged   Stats
	Beside   []Stats  // of the further channels, in the order of the question
	Others   []Stats  // channels of the conditions, in the order of the question
	Guesses  []string // what it rests on that nobody settled
	Confirm  []string // conditions in words, for a person
	Missing  []string // conditions that no channel can tell
}

// Seconds returns how long the stretch is.
func (s Stretch) Seconds() float64 { return s.To - s.From }

// Standing says how one numeric condition fared over the whole recording.
type Standing struct {
	Clause  string
	Channel string
	Guess   string
	Known   float64 // seconds in which the channel was known
	Met     float64 // seconds in which it was in range
	Least   quantity.Value
	Most    quantity.Value
}

// Answer is what a recording says to a question.
type Answer struct {
	Question   Question
	Stretches  []Stretch // in the order of time
	More       int       // stretches beyond mostStretches, not kept
	Conditions []Standing
	Together   float64   // seconds in which all numeric conditions were in range
	Steady     float64   // seconds of those in which all was steady too
	Short      []Stretch // the longest times that were too short, longest first
	Confirm    []string
	Missing    []string
	Says       string // one sentence
}

// watch follows one channel for a question.
type watch struct {
	bound
	must       bool // must be steady
	second     *operand
	value      float64 // in this row; NaN when not written
	slope      slope   // of the judged channel
	sloping    bool    // it is asked for
	hasRange   bool
	last, at   float64 // newest value and its time
	seen       bool
	stale      float64 // seconds after which last is too old
	step       float64 // least step between values seen
	ratio      Ratio
	steady     bool
	gather     gather
	pending    []float64
	lows, runs int
	standing   Standing
	least      float64
	most       float64
}

// tracker looks for the stretches of one question, row by row.
type tracker struct {
	tied
	rule    *Steadiness
	watches []*watch // of the conditions, the judged channel, the further ones
	answer  Answer
	able    bool
	from    change  // where a change begins
	tick    float64 // when the next values enter the test of steadiness
	before  float64 // time of the row before
	running bool    // there is a row before in this segment
	inRange bool    // the row before was
	open    bool
	began   float64 // when the conditions were first met
	now     Stretch // the stretch that is open, without figures
	waiting Stretch // where it would end with the pending values
}

// newTracker ties a question; steps are the usual seconds between the values
// of each column.
func newTracker(q Question, f *Format, m Mapping, stale func(column int) float64) *tracker {
	t := &tracker{tied: q.tie(f, m, stale), rule: q.rule()}
	demand := q.demand()
	for _, b := range t.bounds {
		t.watches = append(t.watches, &watch{bound: b, hasRange: true, must: demand == AllSteady, stale: stale(b.column)})
	}
	if t.judged >= 0 {
		for _, b := range append([]bound{{channel: t.channel, column: t.judged}}, t.beside...) {
			t.watches = append(t.watches, &watch{bound: b, must: demand != NoneSteady, stale: stale(b.column)})
		}
	}
	if t.judged >= 0 {
		t.watches[len(t.bounds)].second = t.second
		t.watches[len(t.bounds)].sloping = q.changes()
	}
	t.starting()
	t.able = t.judged >= 0 && f.Clock.Form != NoClock
	for _, w := range t.watches {
		w.least, w.most = plusInf, minusInf
	}
	t.restart()
	return t
}

// restart forgets what came before, as at a gap.
func (t *tracker) restart() {
	t.running, t.open, t.inRange = false, false, false
	for _, w := range t.watches {
		w.seen, w.steady, w.ratio = false, false, Ratio{}
		w.pending = w.pending[:0]
		if w.second != nil {
			w.second.a, w.second.b = nan, nan
		}
	}
}

// broken ends what is open because rows are not joined.
func (t *tracker) broken(why string) {
	t.close(why, true)
	t.restart()
}

// row takes the next row; value returns the cell of a column.
func (t *tracker) row(now float64, line int, columns [][]float64, r int) {
	distance := 0.0
	if t.running {
		distance = now - t.before
	} else {
		t.tick = now
		t.running = true
	}
	t.before = now
	out := t.take(now, distance, columns, r)
	if out == nil && !t.inRange {
		t.freshen(now)
	}
	t.inRange = out == nil
	if now >= t.tick {
		t.test(now)
		if t.open && out == nil {
			if bad := t.unsteady(); bad != nil {
				t.close(bad.name()+" was not steady", false)
			} else {
				t.commit()
			}
		}
	}
	if out == nil {
		t.answer.Together += distance
	}
	switch {
	case out != nil:
		if t.open {
			t.close(out.left(now), t.demand() == NoneSteady)
		}
		return
	case !t.open:
		if t.unsteady() != nil || !t.mayStart() {
			return
		}
		t.begin(now, line)
	}
	t.answer.Steady += distance
	t.keep(now, line, columns, r)
	t.enough(now)
}

// freshen begins the tests anew where they are not passed, when the conditions
// come into range: what happened on the way there does not count.
func (t *tracker) freshen(now float64) {
	t.tick = now
	for _, w := range t.watches {
		if !w.steady {
			w.ratio = Ratio{}
		}
	}
}

// take notes the values of a row and returns the first channel that is not
// known or not in range, nil when every one is.
func (t *tracker) take(now, distance float64, columns [][]float64, r int) (out *watch) {
	for _, w := range t.watches {
		v := w.read(now, columns, r)
		if v == v {
			if d := abs(v - w.last); d != 0 && w.seen && (d < w.step || w.step == 0) {
				w.step = d
			}
			w.last, w.at, w.seen = v, now, true
			if v < w.least {
				w.least = v
			}
			if v > w.most {
				w.most = v
			}
		} else if !w.known(now) {
			if out == nil {
				out = w
			}
			continue
		}
		if !w.hasRange {
			continue
		}
		w.standing.Known += distance
		if w.last >= w.low && w.last <= w.high {
			w.standing.Met += distance
		} else if out == nil {
			out = w
		}
	}
	return out
}

// read returns the value of a row, of two channels where two are judged as one.
func (w *watch) read(now float64, columns [][]float64, r int) float64 {
	w.value = columns[w.column][r]
	if w.second != nil {
		w.value = w.second.value(now, w.value, columns, r, w.stale)
	}
	return w.value
}

// known reports whether the newest value is not too old.
func (w *watch) known(now float64) bool { return w.seen && now-w.at <= w.stale }

// left says why a channel ends a stretch.
func (w *watch) left(now float64) string {
	if !w.known(now) {
		return w.name() + " was not written"
	}
	return w.name() + " left " + w.clause.String()
}

// test lets the newest values enter the test of steadiness.
func (t *tracker) test(now float64) {
	for t.tick <= now {
		t.tick += t.rule.Every
		if t.rule.Every <= 0 || now-t.tick > t.rule.Every {
			t.tick = now + t.rule.Every
			if t.rule.Every <= 0 {
				break
			}
		}
	}
	for _, w := range t.watches {
		if !w.known(now) {
			w.ratio, w.steady = Ratio{}, false
			continue
		}
		r := w.ratio.Add(t.rule, w.last, w.step)
		switch {
		case w.ratio.N() <= t.rule.Startup:
		case r > t.rule.Transient:
			// Begin anew: both variances would remember a large step for
			// minutes, and R with them.
			w.ratio, w.steady = Ratio{}, false
		case r <= t.rule.Steady:
			w.steady = true
		}
		if t.open {
			w.runs++
			if r < t.rule.Low {
				w.lows++
			}
		}
	}
}

// unsteady returns the first channel that must be steady and is not.
func (t *tracker) unsteady() *watch {
	for _, w := range t.watches {
		if w.must && !w.steady {
			return w
		}
	}
	return nil
}

func (t *tracker) begin(now float64, line int) {
	t.open, t.began = true, now
	t.now = Stretch{}
	t.waiting = Stretch{}
	for _, w := range t.watches {
		w.gather.reset()
		w.slope = slope{}
		w.pending = w.pending[:0]
		w.lows, w.runs = 0, 0
	}
}

// keep holds the values of a row until the next test says that they were
// steady.
func (t *tracker) keep(now float64, line int, columns [][]float64, r int) {
	if !t.able || now < t.began+t.settle() {
		return
	}
	if t.now.First == 0 && t.waiting.First == 0 {
		t.waiting.From, t.waiting.First = now, line
	}
	full := false
	for _, w := range t.watches {
		if v := w.value; v == v {
			w.pending = append(w.pending, v)
			if w.sloping {
				w.slope.add(now, v)
			}
			full = full || len(w.pending) >= mostPending
		}
	}
	t.waiting.To, t.waiting.Last = now, line
	t.waiting.Rows++
	if full || t.demand() == NoneSteady {
		t.commit()
	}
}

// commit lets the pending values count.
func (t *tracker) commit() {
	if t.waiting.Rows == 0 {
		return
	}
	if t.now.First == 0 {
		t.now.From, t.now.First = t.waiting.From, t.waiting.First
	}
	t.now.To, t.now.Last = t.waiting.To, t.waiting.Last
	t.now.Rows += t.waiting.Rows
	t.waiting.Rows = 0
	for _, w := range t.watches {
		for _, v := range w.pending {
			w.gather.add(v)
		}
		w.pending = w.pending[:0]
	}
}

// close ends the open stretch; whole says that the pending values count too.
func (t *tracker) close(why string, whole bool) {
	if !t.open {
		return
	}
	t.open = false
	if whole && t.unsteady() == nil {
		t.commit()
	}
	s := t.now
	s.Ended = why
	if !t.able || s.Rows == 0 || t.watches[len(t.bounds)].gather.n == 0 {
		return
	}
	if s.Seconds() < t.hold() {
		t.tooShort(s)
		return
	}
	if len(t.answer.Stretches) == mostStretches {
		t.answer.More++
		return
	}
	t.answer.Stretches = append(t.answer.Stretches, t.figures(s))
}

// tooShort keeps the longest of the times that were too short.
func (t *tracker) tooShort(s Stretch) {
	list := t.answer.Short
	if len(list) == mostShort && list[mostShort-1].Seconds() >= s.Seconds() {
		return
	}
	list = append(list, t.figures(s))
	slices.SortStableFunc(list, func(a, b Stretch) int { return cmp.Compare(b.Seconds(), a.Seconds()) })
	t.answer.Short = list[:min(len(list), mostShort)]
}

// figures adds the statistics to a stretch.
func (t *tracker) figures(s Stretch) Stretch {
	for i, w := range t.watches {
		stats := w.gather.stats(w.step)
		if i == len(t.bounds) {
			stats.Slope, stats.SlopeU = w.slope.fit(stats)
		}
		stats.Channel, stats.Unit = w.name(), w.channel.In
		if w.hasRange {
			stats.Channel = w.clause.Subject
		}
		if w.runs > 0 {
			stats.Low = float64(w.lows) / float64(w.runs)
		}
		if guess := w.channel.label() + ": " + w.channel.Guess; w.channel.Guess != "" && !slices.Contains(s.Guesses, guess) {
			s.Guesses = append(s.Guesses, guess)
		}
		switch {
		case i < len(t.bounds):
			s.Others = append(s.Others, stats)
		case i == len(t.bounds):
			s.Judged = stats
		default:
			s.Beside = append(s.Beside, stats)
		}
	}
	if t.Guess != "" {
		s.Guesses = append(s.Guesses, t.Guess)
	}
	s.Confirm, s.Missing = t.words, t.missing
	s.began(t)
	return s
}

// finish returns the answer at the end of the recording.
func (t *tracker) finish() Answer {
	t.close("the recording ends", true)
	a := t.answer
	a.Question, a.Confirm, a.Missing = t.Question, t.words, t.missing
	for _, w := range t.watches {
		if !w.hasRange {
			continue
		}
		st := w.standing
		st.Clause, st.Channel, st.Guess = w.clause.String(), w.channel.label(), w.channel.Guess
		if w.least <= w.most {
			st.Least, st.Most = quantity.Of(w.least, w.channel.In), quantity.Of(w.most, w.channel.In)
		}
		a.Conditions = append(a.Conditions, st)
	}
	a.Says = t.says(&a)
	return a
}

// says puts the answer into one sentence.
func (t *tracker) says(a *Answer) string {
	switch {
	case t.judged < 0:
		return "No channel of the recording is known to be what is judged."
	case !t.able:
		return "The recording has no time, so that nobody can tell how long anything held."
	case len(a.Stretches) == 1:
		return fmt.Sprintf("The conditions held steadily once, for %.0f s.", a.Stretches[0].Seconds())
	case len(a.Stretches) > 1:
		total := 0.0
		for _, s := range a.Stretches {
			total += s.Seconds()
		}
		return fmt.Sprintf("The conditions held steadily %d times, %.0f s together.", len(a.Stretches)+a.More, total)
	}
	for _, c := range a.Conditions {
		if c.Met == 0 && !c.Least.Zero() {
			return fmt.Sprintf("%s was never met: it was %s to %s.", c.Clause, shown(c.Least), shown(c.Most))
		}
	}
	if len(a.Short) > 0 {
		return fmt.Sprintf("The conditions held steadily for %.1f s at most; %.0f s are needed.", a.Short[0].Seconds(), t.hold())
	}
	if a.Together > 0 {
		return fmt.Sprintf("The conditions were met for %.0f s, but never steadily.", a.Together)
	}
	return "The conditions were never met at the same time."
}

// shown prints a value with at most three decimals.
func shown(v quantity.Value) string {
	v.Number = rounded(v.Number)
	return v.String()
}

// name returns what a person calls the channel.
func (w *watch) name() string {
	if w.channel.Meaning != "" {
		return w.channel.Meaning
	}
	return w.channel.Name
}
