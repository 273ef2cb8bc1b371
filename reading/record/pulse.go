package record

import (
	"fmt"
	"math"
	"slices"

	"elbowroom/quantity"
)

const (
	// learnt is how many values tell the levels of a signal before its pulses
	// are counted; they are counted too.
	learnt = 1 << 15
	// threshold is how far into the swing a value must go to count as low or
	// high; between both the signal is on its way.
	threshold = 0.3
	// leastSwing is how many steps of the resolution a signal must swing by to
	// have pulses at all.
	leastSwing = 4
	// leastDigital is the swing, in the unit of the channel, of one that shows
	// two values only, as a logger of states does.
	leastDigital = 0.5
	// gapFrom is from how many usual distances on the way to the next pulse is
	// a gap, and its inverse that to one too many.
	gapFrom = 1.6
	// oddShare is the share by which the distance of two pulses may differ from
	// the mean of its neighbours: an engine that is cranked changes its speed
	// from tooth to tooth by less.
	oddShare = 0.25
	// usualOf is how many distances tell the usual one.
	usualOf = 7
	// mostTeeth is how many pulses without a gap show that there is none: no
	// wheel of an engine has so many teeth.
	mostTeeth = 200
	// onTheWay is the share of the values between low and high up to which a
	// signal is a square wave.
	onTheWay = 0.2
	// leastPulses is how many pulses a square wave must show.
	leastPulses = 3
	// mostOdd is how many odd places are kept.
	mostOdd = 10
)

// Pattern is what the pulses of a signal did in a stretch. Levels are in Unit.
type Pattern struct {
	Unit      string
	Low, High Stats     // of the values that were low and high
	Pulses    int       // times it rose
	Square    bool      // it went from one level to the other and back, with little between
	Frequency Stats     // pulses per second between two neighbours, gaps left out
	Duty      Stats     // share of the time high, in %, gaps left out
	Turns     int       // complete turns, from gap to gap
	PerTurn   int       // pulses in most of them
	Missing   int       // pulses that would have fitted into a gap
	Differ    int       // turns with another number of pulses
	Other     int       // that number, of the first such turn
	Speed     float64   // turns per minute by the gaps; 0 when there is no complete turn
	Odd       int       // distances that fit neither their neighbours nor a gap
	OddAt     []float64 // when the first of them were, in seconds
}

// Words says the pattern as a person would: "58 pulses and a gap per turn",
// "square wave".
func (p *Pattern) Words() (words []string) {
	switch {
	case p.Turns > 0 && p.Differ > 0:
		words = append(words, fmt.Sprintf("%d pulses and a gap per turn in %d of %d turns", p.Other, p.Differ, p.Turns))
	case p.Turns > 0:
		words = append(words, fmt.Sprintf("%d pulses and a gap per turn", p.PerTurn))
	case p.Pulses == 0, p.Pulses >= mostTeeth && p.Missing == 0:
		words = append(words, fmt.Sprintf("%d pulses and no gap", p.Pulses))
	}
	if p.Square {
		return append(words, "square wave")
	}
	return append(words, "no square wave")
}

// pulser looks for the pulses of one channel while the conditions hold.
type pulser struct {
	tracker // for the conditions; its stretches are not used
	answer  Answer
	open    bool
	now     Stretch
	early   []sample // before the levels are known
	levels  bool
	low     float64 // levels by which values are told apart
	high    float64
	lows    gather
	highs   gather
	between int
	n       int
	step    float64
	edges   flanks
	before  sample
	joined  bool
}

type sample struct{ at, v float64 }

func newPulser(q Question, f *Format, m Mapping, stale func(column int) float64) *pulser {
	inner := q
	inner.Demand, inner.Settle = NoneSteady, -1
	p := &pulser{tracker: *newTracker(inner, f, m, stale)}
	p.reset()
	return p
}

func (p *pulser) reset() {
	p.open, p.levels, p.early, p.between, p.n, p.step = false, false, p.early[:0], 0, 0, 0
	for _, w := range p.watches {
		w.gather.reset()
	}
	p.lows.reset()
	p.highs.reset()
	p.edges.reset()
	p.now, p.joined = Stretch{}, false
}

func (p *pulser) broken(why string) {
	p.close(why)
	p.restart()
}

func (p *pulser) row(now float64, line int, columns [][]float64, r int) {
	if !p.able {
		return
	}
	distance := 0.0
	if p.running {
		distance = now - p.tracker.before
	}
	p.running, p.tracker.before = true, now
	out := p.take(now, distance, columns, r)
	if out != nil {
		p.close(out.left(now))
		return
	}
	p.tracker.answer.Together += distance
	v := p.watches[len(p.bounds)].value
	if v != v {
		return
	}
	if !p.open {
		p.reset()
		p.open = true
		p.now.From, p.now.First = now, line
	}
	p.now.To, p.now.Last = now, line
	p.now.Rows++
	for _, w := range p.watches[:len(p.bounds)] {
		if w.value == w.value {
			w.gather.add(w.value)
		}
	}
	p.take1(sample{now, v})
}

// take1 keeps a value until the levels are known, and counts it then.
func (p *pulser) take1(s sample) {
	if p.levels {
		p.count(s)
		return
	}
	p.early = append(p.early, s)
	if len(p.early) == learnt {
		p.learn()
	}
}

// learn tells low from high by the values so far and counts them.
func (p *pulser) learn() {
	if p.levels || len(p.early) == 0 {
		return
	}
	sorted := make([]float64, len(p.early))
	for i, s := range p.early {
		sorted[i] = s.v
	}
	slices.Sort(sorted)
	p.low, p.high, p.levels = sorted[0], sorted[len(sorted)-1], true
	if n := len(sorted); n > 100 { // one value in a hundred may be a spike
		p.low, p.high = sorted[n/100], sorted[n-1-n/100]
	}
	for _, s := range p.early {
		p.count(s)
	}
	p.early = p.early[:0]
}

// count takes one value.
func (p *pulser) count(s sample) {
	swing := p.high - p.low
	if d := abs(s.v - p.before.v); p.joined && d > 0 && d < swing/2 && (d < p.step || p.step == 0) {
		p.step = d
	}
	if s.v < p.low-swing || s.v > p.high+swing { // the levels were learnt while it was still: learn anew
		p.low, p.high = min(p.low, s.v), max(p.high, s.v)
		p.lows.reset()
		p.highs.reset()
		p.edges.reset()
		p.between, p.n = 0, 0
	}
	p.n++
	if mid := (p.low + p.high) / 2; p.joined && (p.before.v < mid) != (s.v < mid) {
		p.edges.crossing(p.before.at + (s.at-p.before.at)*(mid-p.before.v)/(s.v-p.before.v))
	}
	switch {
	case s.v <= p.low+threshold*swing:
		p.lows.add(s.v)
		p.edges.level(false, s.at)
	case s.v >= p.high-threshold*swing:
		p.highs.add(s.v)
		p.edges.level(true, s.at)
	default:
		p.between++
	}
	p.before, p.joined = s, true
}

// close ends a stretch.
func (p *pulser) close(why string) {
	if !p.open {
		return
	}
	p.learn()
	p.open = false
	s := p.now
	s.Ended = why
	if s.Rows < 2 || s.Seconds() <= 0 {
		return
	}
	if len(p.answer.Stretches) == mostStretches {
		p.answer.More++
		return
	}
	p.answer.Stretches = append(p.answer.Stretches, p.pattern(s))
}

// pattern adds what was counted to a stretch.
func (p *pulser) pattern(s Stretch) Stretch {
	e := &p.edges
	w := p.watches[len(p.bounds)]
	k := &Pattern{
		Unit: w.channel.In, Low: p.lows.stats(p.step), High: p.highs.stats(p.step), Pulses: e.pulses,
		Frequency: e.rate.stats(0), Duty: e.duty.stats(0), Missing: e.missing, Odd: e.odd, OddAt: slices.Clone(e.oddAt),
	}
	if swing := p.high - p.low; swing == 0 || swing < leastSwing*p.step && (p.between > 0 || swing < leastDigital) {
		k.Pulses = 0
	}
	k.Square = k.Pulses >= leastPulses && float64(p.between) <= onTheWay*float64(p.n)
	k.turns(e)
	for _, g := range []*Stats{&k.Low, &k.High} {
		g.Channel, g.Unit = w.name(), w.channel.In
	}
	k.Frequency.Channel, k.Frequency.Unit = "frequency of "+w.name(), "Hz"
	k.Duty.Channel, k.Duty.Unit = "duty of "+w.name(), "%"
	s.Judged, s.Pattern = k.High, k
	switch p.Use {
	case UseDuty:
		s.Judged = k.Duty
	case UseFrequency:
		s.Judged = k.Frequency
	}
	for _, c := range p.watches[:len(p.bounds)] {
		stats := c.gather.stats(c.step)
		c.gather.reset()
		stats.Channel, stats.Unit = c.clause.Subject, c.channel.In
		s.Others = append(s.Others, stats)
		s.guess(c.channel)
	}
	s.guess(w.channel)
	if p.Guess != "" {
		s.Guesses = append(s.Guesses, p.Guess)
	}
	s.Confirm, s.Missing = p.words, p.missing
	return s
}

// turns sorts the numbers of pulses between gaps.
func (k *Pattern) turns(e *flanks) {
	count := map[int]int{}
	for _, n := range e.turns {
		count[n]++
		if count[n] > count[k.PerTurn] || count[n] == count[k.PerTurn] && n > k.PerTurn {
			k.PerTurn = n
		}
	}
	k.Turns = len(e.turns)
	for _, n := range e.turns {
		if n != k.PerTurn {
			if k.Differ == 0 {
				k.Other = n
			}
			k.Differ++
		}
	}
	if k.Turns > 0 && e.lastGap > e.firstGap {
		k.Speed = 60 * float64(k.Turns) / (e.lastGap - e.firstGap)
	}
}

func (p *pulser) finish() Answer {
	p.close("the recording ends")
	a := p.answer
	a.Together, a.Steady = p.tracker.answer.Together, p.tracker.answer.Together
	a.Question, a.Confirm, a.Missing = p.Question, p.words, p.missing
	for _, w := range p.watches[:len(p.bounds)] {
		st := w.standing
		st.Clause, st.Channel, st.Guess = w.clause.String(), w.channel.label(), w.channel.Guess
		if w.least <= w.most {
			st.Least, st.Most = quantity.Of(w.least, w.channel.In), quantity.Of(w.most, w.channel.In)
		}
		a.Conditions = append(a.Conditions, st)
	}
	a.Says = p.says(&a)
	return a
}

func (p *pulser) says(a *Answer) string {
	switch n := len(a.Stretches) + a.More; {
	case n == 0:
		return p.tracker.says(a)
	case n == 1:
		return fmt.Sprintf("Its pulses were counted once, over %.3g s: %s.", a.Stretches[0].Seconds(), a.Stretches[0].Pattern.Words()[0])
	default:
		return fmt.Sprintf("Its pulses were counted in %d stretches.", n)
	}
}

// flanks turns levels into pulses, distances and turns.
type flanks struct {
	known   bool // a level was seen
	high    bool
	cross   float64 // when the middle was last crossed; the edge, once the other level is reached
	crossed bool
	rose    float64
	fell    float64
	pulses  int
	usual   []float64 // the last distances that were usual
	lastTwo [2]float64
	have    int
	rate    gather
	duty    gather
	since   int // pulses since the last gap
	gaps    int
	missing int
	turns   []int
	odd     int
	oddAt   []float64

	firstGap, lastGap float64
}

// mostTurns bounds the turns whose pulses are kept apart.
const mostTurns = 1 << 20

func (e *flanks) reset() {
	*e = flanks{usual: e.usual[:0], turns: e.turns[:0]}
	e.rate.reset()
	e.duty.reset()
}

func (e *flanks) crossing(at float64) { e.cross, e.crossed = at, true }

// level takes a value that is low or high.
func (e *flanks) level(high bool, at float64) {
	if !e.known {
		e.known, e.high, e.crossed = true, high, false
		return
	}
	if high == e.high {
		return
	}
	e.high = high
	if e.crossed {
		at = e.cross
	}
	e.crossed = false
	if high {
		e.rise(at)
	} else {
		e.fell = at
	}
}

// rise takes the beginning of a pulse.
func (e *flanks) rise(at float64) {
	if e.pulses > 0 {
		e.distance(at-e.rose, at)
	}
	e.pulses++
	e.since++
	e.rose = at
}

// distance judges the distance of two pulses against the usual one.
func (e *flanks) distance(d, at float64) {
	if len(e.usual) < 3 {
		e.normal(d, at)
		return
	}
	ratio := d / median(slices.Clone(e.usual))
	switch {
	case ratio >= gapFrom:
		e.gap(int(math.Round(ratio))-1, at)
	case ratio <= 1/gapFrom:
		e.strange(at)
		e.have = 0
	default:
		e.normal(d, at)
	}
}

func (e *flanks) normal(d, at float64) {
	e.usual = append(e.usual, d)
	if len(e.usual) > usualOf {
		e.usual = slices.Delete(e.usual, 0, 1)
	}
	e.rate.add(1 / d)
	if high := e.fell - e.rose; high > 0 && high < d {
		e.duty.add(100 * high / d)
	}
	if e.have == 2 {
		if mean := (e.lastTwo[0] + d) / 2; abs(e.lastTwo[1]-mean) > oddShare*mean {
			e.strange(at - d)
		}
	}
	e.lastTwo = [2]float64{e.lastTwo[1], d}
	e.have = min(2, e.have+1)
}

func (e *flanks) gap(missing int, at float64) {
	if e.gaps > 0 && len(e.turns) < mostTurns {
		e.turns = append(e.turns, e.since)
		e.lastGap = at
	} else {
		e.firstGap = at
	}
	e.missing = max(e.missing, missing)
	e.gaps++
	e.since, e.have = 0, 0
}

func (e *flanks) strange(at float64) {
	e.odd++
	if len(e.oddAt) < mostOdd {
		e.oddAt = append(e.oddAt, at)
	}
}
