package record

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// seeker looks for the answer to one question, row by row.
type seeker interface {
	row(now float64, line int, columns [][]float64, r int)
	broken(why string)
	finish() Answer
}

// newSeeker makes what looks for the answer to a question.
func newSeeker(q Question, f *Format, m Mapping, stale func(column int) float64) seeker {
	switch {
	case q.Run != nil:
		return newRunner(q, f, m, stale)
	case q.Use == UsePattern || q.Use == UseDuty || q.Use == UseFrequency:
		return newPulser(q, f, m, stale)
	}
	return newTracker(q, f, m, stale)
}

// turning is the speed in rpm from which an engine runs by itself: above any
// cranking, below any idle.
const turning = 400

// startSubject is the subject of a condition that holds at the beginning of a
// run alone: "start 18..22 °C", of the channel that is waited for.
const startSubject = "start"

// mark is a level tied to a channel.
type mark struct {
	w       *watch
	level   float64
	falling bool
	either  bool
	before  float64 // value and time before this row
	at      float64
	seen    bool
}

// passed reports whether the level is passed between the value before and this
// one, and when, by a straight line between both.
func (m *mark) passed(now float64) (when, distance float64, ok bool) {
	v := m.w.value
	if v != v {
		return 0, 0, false
	}
	before, at, seen := m.before, m.at, m.seen
	m.before, m.at, m.seen = v, now, true
	if !seen || before == v {
		return 0, 0, false
	}
	up := before < m.level && v >= m.level
	down := before > m.level && v <= m.level
	if !(up && (!m.falling || m.either) || down && (m.falling || m.either)) {
		return 0, 0, false
	}
	return at + (now-at)*(m.level-before)/(v-before), now - at, true
}

// runner looks for the runs of one question: how long it took from a beginning
// until a channel reached a level.
type runner struct {
	tied
	watches []*watch // of the conditions, then of the marks
	to      mark
	from    *mark  // nil: the conditions begin it
	start   *bound // range of the channel at the beginning
	engine  *watch // speed that must turn at the beginning
	able    bool
	why     string // why it is not able
	answer  Answer

	running  bool // a run is going on
	done     bool // one was reached in this segment, and nothing says where the next begins
	began    float64
	distance float64 // to the row before the beginning
	first    int     // line
	startsAt float64
	before   float64 // time of the row before
	rows     int
	last     int
	joined   bool
	closest  float64 // value of the channel that came nearest to the start range
	sawStart bool
}

func newRunner(q Question, f *Format, m Mapping, stale func(column int) float64) *runner {
	start := slices.IndexFunc(q.When, func(c guide.Clause) bool { return strings.EqualFold(c.Subject, startSubject) && numeric(c) })
	rest := q
	rest.When = slices.Clone(q.When)
	if start >= 0 {
		rest.When = slices.Delete(rest.When, start, start+1)
	}
	r := &runner{tied: rest.tie(f, m, stale)}
	r.Question.When = q.When
	for _, b := range r.bounds {
		r.watches = append(r.watches, r.watch(b, true, stale))
	}
	r.able = f.Clock.Form != NoClock
	if !r.able {
		r.why = "The recording has no time, so that nobody can tell how long anything took."
	}
	r.mark(&r.to, q.Run.To, f, m, stale)
	if q.Run.From.Meaning != "" {
		r.from = &mark{}
		r.mark(r.from, q.Run.From, f, m, stale)
	}
	if start >= 0 && r.able {
		b := bound{clause: q.When[start], low: minusInf, high: plusInf}
		var why string
		if b.low, why = inUnit(b.clause.Low, b.low, r.to.w.channel); why == "" {
			b.high, why = inUnit(b.clause.High, b.high, r.to.w.channel)
		}
		if why != "" {
			r.missing = append(r.missing, why)
		}
		r.start = &b
	}
	if q.Run.Running && r.from == nil {
		if at, c := r.lookup("speed", f, m); at >= 0 && dimensionOf(c.In) == quantity.Rotation {
			r.engine = r.watch(bound{channel: c, column: at}, false, stale)
		}
	}
	r.broken("")
	return r
}

// lookup finds a channel without noting that it is missing.
func (r *runner) lookup(meaning string, f *Format, m Mapping) (int, Channel) {
	if c, ok, _ := m.Find(meaning); ok {
		return f.column(c), c
	}
	return -1, Channel{}
}

func (r *runner) watch(b bound, hasRange bool, stale func(column int) float64) *watch {
	w := &watch{bound: b, hasRange: hasRange, stale: stale(b.column), least: plusInf, most: minusInf}
	w.gather.reset()
	return w
}

// mark ties one level.
func (r *runner) mark(m *mark, l Level, f *Format, mapping Mapping, stale func(column int) float64) {
	at, c := r.find(l.Meaning, f, mapping)
	*m = mark{falling: l.Falling, either: l.Either}
	if at < 0 {
		r.able, r.why = false, fmt.Sprintf("No channel of the recording is known to be %s.", l.Meaning)
		return
	}
	m.w = r.watch(bound{channel: c, column: at}, false, stale)
	in, err := l.Value.In(c.In)
	if err != nil || c.In == "" {
		r.able, r.why = false, fmt.Sprintf("%s is logged in %s, and %s is waited for.", c.label(), plain(c.In, "no known unit"), l.Value)
		return
	}
	m.level = in.Number
}

// broken ends what goes on because rows are not joined.
func (r *runner) broken(why string) {
	if r.running {
		r.open(why)
	}
	r.running, r.joined, r.done = false, false, false
	r.to.seen = false
	if r.from != nil {
		r.from.seen = false
	}
	for _, w := range r.watches {
		w.seen = false
	}
}

// row takes the next row.
func (r *runner) row(now float64, line int, columns [][]float64, at int) {
	if !r.able {
		return
	}
	for _, w := range r.watches {
		r.see(w, now, columns, at)
	}
	for _, w := range []*watch{r.to.w, r.engine} {
		if w != nil {
			r.see(w, now, columns, at)
		}
	}
	if r.from != nil {
		r.see(r.from.w, now, columns, at)
	}
	distance := 0.0
	if r.joined {
		distance = now - r.before
	}
	if r.from != nil {
		if when, d, ok := r.from.passed(now); ok {
			r.begin(when, d, line, r.fromLevel())
		}
		r.aborted()
	} else if !r.running && r.mayBegin(now) {
		r.begin(now, distance, line, r.to.w.last)
	}
	if r.running {
		r.rows++
		r.last = line
		r.answer.Together += distance
	}
	when, d, ok := r.to.passed(now)
	if ok && r.running && when >= r.began {
		r.reached(when, d)
	}
	r.before, r.joined = now, true
}

// see notes the value of a row and gathers it while a run goes on.
func (r *runner) see(w *watch, now float64, columns [][]float64, at int) {
	v := w.read(now, columns, at)
	if v != v {
		return
	}
	if d := abs(v - w.last); d != 0 && w.seen && (d < w.step || w.step == 0) {
		w.step = d
	}
	w.last, w.at, w.seen = v, now, true
	w.least, w.most = min(w.least, v), max(w.most, v)
	if r.running {
		w.gather.add(v)
	}
}

// mayBegin reports whether a run that the conditions begin can begin in this
// row: the channel is where it has to start, short of its level, and the engine
// turns. Conditions are not asked for yet: a drive begins standing.
func (r *runner) mayBegin(now float64) bool {
	w := r.to.w
	if w.value != w.value {
		return false
	}
	if r.done && r.start == nil {
		return false
	}
	short := r.to.either || r.to.falling != (w.value < r.to.level)
	inRange := true
	if r.start != nil {
		inRange = w.value >= r.start.low && w.value <= r.start.high
		if off, best := startOff(r.start, w.value), startOff(r.start, r.closest); !r.sawStart || off < best {
			r.closest, r.sawStart = w.value, true
		}
	}
	turns := r.engine == nil || r.engine.known(now) && r.engine.last >= turning
	return short && inRange && turns && w.value != r.to.level
}

// aborted ends a run that went back behind where it began.
func (r *runner) aborted() {
	f := r.from
	if behind := !f.falling && f.w.value < f.level || f.falling && f.w.value > f.level; behind && f.w.column == r.to.w.column {
		r.running = false
	}
}

func startOff(b *bound, v float64) float64 { return max(0, b.low-v, v-b.high) }

func (r *runner) begin(when, distance float64, line int, value float64) {
	if r.running {
		r.open("it began again")
	}
	r.running, r.began, r.distance, r.first, r.rows, r.startsAt = true, when, distance, line, 0, value
	if r.to.either && value == value {
		r.to.falling, r.to.either = value > r.to.level, false
	}
	for _, w := range r.watches {
		w.gather.reset()
		if w.seen {
			w.gather.add(w.last)
		}
	}
	r.to.w.gather.reset()
}

// reached closes a run at the moment when the level was passed.
func (r *runner) reached(when, distance float64) {
	seconds := when - r.began
	// each end lies anywhere between two rows; the last digit of the channel
	// moves the end by as long as it takes to change by it
	u := math.Hypot(r.distance, distance) / math.Sqrt(12)
	if way := abs(r.to.level - r.startsAt); way > 0 {
		u = math.Hypot(u, r.to.w.step*seconds/way/math.Sqrt(12))
	}
	r.close(seconds, u, false, fmt.Sprintf("%s reached %s", r.to.w.name(), r.Run.To.Value))
}

// open closes a run that ended before the level was reached.
func (r *runner) open(why string) {
	if seconds := r.before - r.began; seconds > 0 {
		r.close(seconds, 0, true, why)
	}
}

func (r *runner) close(seconds, u float64, beyond bool, ended string) {
	r.running, r.done = false, true
	if r.Run.To.Either {
		r.to.either = true
	}
	if len(r.answer.Stretches) == mostStretches {
		r.answer.More++
		return
	}
	unit, scale := r.unit()
	s := Stretch{From: r.began, To: r.began + seconds, First: r.first, Last: r.last, Rows: r.rows, Ended: ended, Beyond: beyond}
	s.Judged = Stats{
		Channel: r.Wanted(), Unit: unit, N: 1, First: seconds / scale, Mean: seconds / scale, Least: seconds / scale, Most: seconds / scale,
		Median: seconds / scale, Uncertainty: u / scale,
	}
	if r.start != nil {
		s.Start, s.StartOf = r.to.w.channel.value(r.startsAt), startSubject
	}
	for _, w := range r.watches {
		stats := w.gather.stats(w.step)
		stats.Channel, stats.Unit = w.clause.Subject, w.channel.In
		s.Others = append(s.Others, stats)
		s.guess(w.channel)
	}
	s.guess(r.to.w.channel)
	if r.from != nil {
		s.guess(r.from.w.channel)
	}
	if r.Guess != "" {
		s.Guesses = append(s.Guesses, r.Guess)
	}
	s.Confirm, s.Missing = r.words, r.missing
	r.answer.Stretches = append(r.answer.Stretches, s)
	r.answer.Steady += seconds
}

// guess notes what was guessed of a channel.
func (s *Stretch) guess(c Channel) {
	if c.Guess == "" {
		return
	}
	if g := c.label() + ": " + c.Guess; !slices.Contains(s.Guesses, g) {
		s.Guesses = append(s.Guesses, g)
	}
}

// unit is what the time is written in, and how many seconds one of it has.
func (r *runner) unit() (string, float64) {
	one := quantity.Of(1, r.Run.Unit)
	if r.Run.Unit == "" || one.Dimension() != quantity.Time {
		return "s", 1
	}
	return r.Run.Unit, one.SI()
}

func (r *runner) finish() Answer {
	r.broken("the recording ends")
	a := r.answer
	a.Question, a.Confirm, a.Missing = r.Question, r.words, r.missing
	for _, w := range r.watches {
		st := Standing{Clause: w.clause.String(), Channel: w.channel.label(), Guess: w.channel.Guess}
		if w.least <= w.most {
			st.Least, st.Most = quantity.Of(w.least, w.channel.In), quantity.Of(w.most, w.channel.In)
		}
		a.Conditions = append(a.Conditions, st)
	}
	a.Says = r.says(&a)
	return a
}

func (r *runner) says(a *Answer) string {
	what := capital(r.Wanted())
	switch n := len(a.Stretches) + a.More; {
	case !r.able:
		return r.why
	case n == 1 && a.Stretches[0].Beyond:
		s := a.Stretches[0].Judged
		return fmt.Sprintf("%s: not reached within %s, where it ended: %s.", what, shown(s.Value(s.Mean)), a.Stretches[0].Ended)
	case n == 1:
		s := a.Stretches[0].Judged
		return fmt.Sprintf("%s: %s, once.", what, shown(s.Value(s.Mean)))
	case n > 1:
		return fmt.Sprintf("%s: found %d times.", what, n)
	case r.start != nil && r.sawStart && startOff(r.start, r.closest) > 0:
		return fmt.Sprintf("%s: it never began, because %s was never %s; the nearest was %s.", what, r.to.w.name(), strings.TrimPrefix(r.start.clause.String(), startSubject+" "), shown(quantity.Of(r.closest, r.to.w.channel.In)))
	case r.engine != nil && r.engine.most < turning:
		return fmt.Sprintf("%s: it never began, because the engine never ran.", what)
	case r.to.w.least <= r.to.w.most:
		return fmt.Sprintf("%s: never; %s was %s to %s.", what, r.to.w.name(), shown(quantity.Of(r.to.w.least, r.to.w.channel.In)), shown(quantity.Of(r.to.w.most, r.to.w.channel.In)))
	}
	return what + ": never."
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// fromLevel is where the channel that is waited for was when a run between two
// levels of it began; NaN where another channel begins it.
func (r *runner) fromLevel() float64 {
	if r.from.w.column == r.to.w.column {
		return r.from.level
	}
	return nan
}
