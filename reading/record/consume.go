package record

import (
	"fmt"
	"math"
	"slices"
)

// headerAgain is why rows are parted by a repeated header.
const headerAgain = "the header stands again"

// consumer takes the chunks in the order of the file.
type consumer struct {
	rec      *Recording
	req      *Request
	trackers []seeker
	matcher  *matcher
	traces   []*envelope
	sights   sights
	lines    int // before the chunk
	gap      float64

	started bool
	raw     float64 // time of the row before, as written
	elapsed float64 // of the row before
	times   []float64
	breaks  []string // why a row is not joined to the one before; "" when it is
	columns [][]float64
	broken  string // a reason that waits for the next row
}

func newConsumer(rec *Recording, req *Request) *consumer {
	f := &rec.Format
	c := &consumer{rec: rec, req: req, lines: f.First - 1}
	rec.Counts.Lines = f.First - 1
	for _, n := range []int{f.Header, f.Units} {
		if n > 0 {
			rec.Counts.Headers++
		}
	}
	rec.Counts.Preamble = rec.Counts.Lines - rec.Counts.Headers
	rec.Counts.Bytes = int64(f.skip)
	c.gap = req.Gap
	if !(c.gap > 0) {
		c.gap = max(leastGap, gapRows*f.Clock.Period)
	}
	for i, col := range f.Columns {
		rec.Channels = append(rec.Channels, Summary{Column: col, Index: i, Least: plusInf, Most: minusInf, Seconds: f.every[i]})
	}
	for _, q := range req.Questions {
		c.trackers = append(c.trackers, newSeeker(q, f, req.Mapping, c.stale))
	}
	if req.Match != nil {
		c.matcher = newMatcher(*req.Match, f, req.Mapping, c.stale)
	}
	c.drawn()
	c.columns = make([][]float64, len(f.Columns))
	return c
}

// stale returns after how many seconds a value of a column is too old.
func (c *consumer) stale(column int) float64 {
	return max(leastStale, staleRows*c.rec.Format.every[column])
}

// drawn finds the columns to draw, by meaning or name.
func (c *consumer) drawn() {
	f := &c.rec.Format
	for _, p := range c.req.Plot {
		at, ch := -1, Channel{}
		if found, ok, _ := c.req.Mapping.Find(p); ok {
			at, ch = f.column(found), found
		}
		if at < 0 {
			at = slices.IndexFunc(f.Columns, func(k Column) bool { return k.Name == p })
		}
		if at < 0 {
			c.rec.Findings = append(c.rec.Findings, noChannel(p))
			continue
		}
		e := newEnvelope(at, traceSteps, c.req.From)
		e.Channel, e.Unit, e.Every = p, f.Columns[at].Unit, f.every[at]
		if ch.In != "" {
			e.Unit = ch.In
		}
		c.traces = append(c.traces, e)
	}
}

// take uses one chunk.
func (c *consumer) take(b *block) {
	rec := c.rec
	rec.Counts.add(&b.counts)
	c.sights.add(&b.sights, c.lines)
	for i := range rec.Channels {
		rec.Channels[i].add(b.column(i))
		c.columns[i] = b.column(i)
	}
	c.clock(b)
	for _, t := range c.trackers {
		c.eachRow(b, func(r int, now float64) { t.row(now, c.line(b, r), c.columns, r) }, t.broken)
	}
	if c.matcher != nil {
		c.eachRow(b, func(r int, now float64) { c.matcher.row(now, c.columns, r) }, func(string) { c.matcher.broken() })
	}
	for _, e := range c.traces {
		c.draw(e, b.rows)
	}
	c.lines += b.counts.Lines
}

func (c *consumer) line(b *block, r int) int { return c.lines + int(b.lines[r]) + 1 }

// add takes the values of a column.
func (s *Summary) add(values []float64) {
	n, sum, least, most := 0, s.sum, s.Least, s.Most
	for _, v := range values {
		if v < least {
			least = v
		}
		if v > most {
			most = v
		}
		if v == v {
			n++
			sum += v
		}
	}
	s.N += n
	s.sum, s.Least, s.Most = sum, least, most
}

// eachRow calls row for every row whose time is known, and broken before one
// that is not joined to the row before.
func (c *consumer) eachRow(b *block, row func(r int, now float64), broken func(why string)) {
	for r, now := range c.times[:b.rows] {
		if c.breaks[r] != "" {
			broken(c.breaks[r])
		}
		if now == now {
			row(r, now)
		}
	}
}

// clock gives every row of a chunk its time since the first row.
func (c *consumer) clock(b *block) {
	c.times = slices.Grow(c.times[:0], b.rows)[:b.rows]
	c.breaks = slices.Grow(c.breaks[:0], b.rows)[:b.rows]
	clear(c.breaks)
	if b.rows > 0 {
		c.breaks[0], c.broken = c.broken, ""
	}
	for _, r := range b.breaks {
		if int(r) < b.rows {
			c.breaks[r] = headerAgain
		} else {
			c.broken = headerAgain
		}
	}
	f := &c.rec.Format
	if f.Clock.Column < 0 {
		c.countRows(b)
		return
	}
	for r, v := range b.column(f.Clock.Column) {
		if v != v {
			c.times[r] = nan
			continue
		}
		c.times[r] = c.step(b, r, v*f.Clock.Scale)
	}
}

// countRows gives rows without a time their number, or their known distance.
func (c *consumer) countRows(b *block) {
	period := c.rec.Format.Clock.Period
	if period <= 0 {
		period = 1
	}
	for r := range c.times {
		if c.started {
			c.elapsed += period
		}
		c.started = true
		c.times[r] = c.elapsed
	}
}

// step returns the time of a row since the first, from its time as written.
func (c *consumer) step(b *block, r int, raw float64) float64 {
	if !c.started {
		c.started, c.raw = true, raw
		return 0
	}
	clock := &c.rec.Format.Clock
	d := raw - c.raw
	c.raw = raw
	if d < -day/2 && clock.Form == DayClock {
		d += day
		c.note(b, r, oddMidnight, d)
	}
	switch {
	case d < 0:
		c.rec.Counts.Backs++
		c.breaks[r] = "the clock went back"
		c.note(b, r, oddBack, d)
		d = clock.Period
	case d == 0:
		c.rec.Counts.Same++
		c.note(b, r, oddSame, d)
	case d > c.gap:
		c.rec.Counts.Gaps++
		c.breaks[r] = fmt.Sprintf("%.1f s without a row", d)
		c.note(b, r, oddGap, d)
		if d > longestGap {
			d = clock.Period
		}
	}
	c.elapsed += d
	return c.elapsed
}

func (c *consumer) note(b *block, r int, o oddity, d float64) {
	c.sights.see(o, 1, c.line(b, r), func() (int, string) {
		if d == 0 {
			return 1, ""
		}
		return 1, fmt.Sprintf("%+.3f s", d)
	})
}

// draw adds the rows of a chunk to a trace.
func (c *consumer) draw(e *envelope, rows int) {
	until := plusInf
	if c.req.To > c.req.From {
		until = c.req.To
	}
	values := c.columns[e.column]
	for r, now := range c.times[:rows] {
		if v := values[r]; v == v && now >= e.From && now <= until {
			e.add(now, v)
		}
	}
}

// finish writes down what was found.
func (c *consumer) finish() {
	rec := c.rec
	for i := range rec.Channels {
		s := &rec.Channels[i]
		if s.N > 0 {
			s.Mean = s.sum / float64(s.N)
		} else {
			s.Least, s.Most, s.Mean = math.NaN(), math.NaN(), math.NaN()
		}
	}
	if rec.Format.Clock.Form != NoClock {
		rec.Seconds = c.elapsed
	}
	rec.Segments = 1 + rec.Counts.Gaps + rec.Counts.Backs + c.sights.number[oddRepeated]
	for _, t := range c.trackers {
		rec.Answers = append(rec.Answers, t.finish())
	}
	if c.matcher != nil {
		c.matcher.end()
		rec.Blocks = &c.matcher.Blocks
	}
	for _, e := range c.traces {
		rec.Traces = append(rec.Traces, e.Trace)
	}
	rec.Findings = append(rec.Findings, c.sights.findings()...)
}
