package record

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Plot is what a drawing of a recording shows, as data: one panel for each
// trace over the same time, marked stretches, and bounds that a channel is held
// against.
type Plot struct {
	From, To float64 // seconds since the first row
	Panels   []Panel
	Marks    []Mark
}

// Panel is one channel.
type Panel struct {
	Trace
	Bounds []Bound
}

// Bound is a range that a channel is held against, in the unit of the trace.
type Bound struct {
	Low, High float64 // infinite where there is none
	Of        string  // "limit" or "condition"
}

// String prints "limit 280 to 380" or "condition >= 80".
func (b Bound) String() string {
	switch {
	case math.IsInf(b.High, 1):
		return b.Of + " >= " + trimmed(b.Low)
	case math.IsInf(b.Low, -1):
		return b.Of + " <= " + trimmed(b.High)
	}
	return b.Of + " " + trimmed(b.Low) + " to " + trimmed(b.High)
}

// ends are the levels at which a line is drawn.
func (b Bound) ends() []float64 {
	return slices.DeleteFunc([]float64{b.Low, b.High}, func(v float64) bool { return math.IsInf(v, 0) })
}

// Mark is a stretch of time with a letter.
type Mark struct {
	From, To float64
	Letter   string
	Says     string
}

// mostLetters is how many stretches get a letter of their own.
const mostLetters = 26

// Plot returns what to draw of a recording for the answer to one question: the
// traces that were asked for, the stretches as marks, and the bounds of its
// conditions and of the limit, which may be nil.
func (rec *Recording) Plot(a *Answer, limit *guide.Limit) Plot {
	p := Plot{To: rec.Seconds}
	for _, t := range rec.Traces {
		panel := Panel{Trace: t}
		if a != nil {
			panel.Bounds = bounds(t, a, limit)
		}
		p.Panels = append(p.Panels, panel)
		p.From = t.From
	}
	if n := len(rec.Traces); n > 0 {
		end := 0.0
		for _, t := range rec.Traces {
			end = max(end, t.From+float64(len(t.Least))*t.Step)
		}
		p.To = min(p.To, end)
	}
	if p.To <= p.From {
		p.To = p.From + 1
	}
	if a != nil {
		p.mark(a)
	}
	return p
}

func (p *Plot) mark(a *Answer) {
	for i, s := range a.Stretches {
		if s.To <= p.From || s.From >= p.To {
			continue
		}
		letter := ""
		if i < mostLetters {
			letter = string(rune('A' + i))
		}
		p.Marks = append(p.Marks, Mark{
			From: max(s.From, p.From), To: min(s.To, p.To), Letter: letter,
			Says: fmt.Sprintf("%s from %s to %s: %s", strings.TrimSpace("stretch "+letter), clockTime(s.From), clockTime(s.To), s.Told(a.Question)),
		})
	}
}

// Told says in a few words what a stretch says of its question.
func (s Stretch) Told(q Question) string {
	value := shown(s.Judged.Value(s.Judged.Mean))
	if value == "" {
		value = trimmed(s.Judged.Mean)
	}
	switch {
	case s.Beyond:
		return fmt.Sprintf("%s: not within %s", s.Judged.Channel, value)
	case q.Run != nil:
		return fmt.Sprintf("%s: %s", s.Judged.Channel, value)
	case s.Pattern != nil:
		return strings.Join(s.Pattern.Words(), ", ")
	case q.Use == UseRate || q.Use == UseDrop || q.Use == UseRise:
		return fmt.Sprintf("%s: %s %s", s.Judged.Channel, q.Use, shown(s.change(q).Value))
	}
	return fmt.Sprintf("%s is %s on average", s.Judged.Channel, value)
}

// bounds returns the ranges that a trace is held against.
func bounds(t Trace, a *Answer, limit *guide.Limit) []Bound {
	var all []Bound
	add := func(low, high quantity.Value, of string) {
		b := Bound{minusInf, plusInf, of}
		if in, err := low.In(t.Unit); err == nil {
			b.Low = in.Number
		}
		if in, err := high.In(t.Unit); err == nil {
			b.High = in.Number
		}
		if len(b.ends()) > 0 && !slices.Contains(all, b) {
			all = append(all, b)
		}
	}
	if limit != nil && limit.Of == "" && a.Question.byValue() && slices.ContainsFunc(a.Question.Channels(), func(s string) bool { return strings.EqualFold(t.Channel, s) }) {
		add(limit.Low, limit.High, "limit")
	}
	if run := a.Question.Run; run != nil {
		for _, l := range []Level{run.From, run.To} {
			if strings.EqualFold(t.Channel, l.Meaning) && l.Falling {
				add(quantity.Value{}, l.Value, "level")
			} else if strings.EqualFold(t.Channel, l.Meaning) {
				add(l.Value, quantity.Value{}, "level")
			}
		}
	}
	for _, c := range a.Question.When {
		if numeric(c) && strings.EqualFold(c.Subject, t.Channel) {
			add(c.Low, c.High, "condition")
		}
	}
	return all
}

// columnsOf merges the steps of a trace into so many columns between two
// times: the least and most of each, NaN where there is no value.
func (t Trace) columnsOf(from, to float64, n int) (least, most []float64) {
	least, most = make([]float64, n), make([]float64, n)
	for i := range least {
		least[i], most[i] = nan, nan
	}
	for i, v := range t.Least {
		if v != v {
			continue
		}
		at := int((t.From + (float64(i)+0.5)*t.Step - from) / (to - from) * float64(n))
		if at < 0 || at >= n {
			continue
		}
		least[at], most[at] = lesser(least[at], v), greater(most[at], t.Most[i])
	}
	return least, most
}

// span returns the least and most value of a panel, its bounds within reach
// included, widened where they are equal.
func (p Panel) span() (low, high float64) {
	low, high = plusInf, minusInf
	for i, v := range p.Least {
		if v == v {
			low, high = min(low, v), max(high, p.Most[i])
		}
	}
	if low > high {
		return 0, 1
	}
	reach := high - low
	least, most := low-reach, high+reach
	for _, b := range p.Bounds {
		for _, v := range b.ends() {
			if v >= least && v <= most {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	if pad := (high - low) * 0.05; pad > 0 {
		return low - pad, high + pad
	}
	pad := max(math.Abs(low)*0.05, 1)
	return low - pad, high + pad
}

// Text says in words what the drawing shows, one sentence to a line: for
// people who do not see it.
func (p Plot) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "From %s to %s.\n", clockTime(p.From), clockTime(p.To))
	for _, panel := range p.Panels {
		low, high := plusInf, minusInf
		for i, v := range panel.Least {
			if v == v {
				low, high = min(low, v), max(high, panel.Most[i])
			}
		}
		if low > high {
			fmt.Fprintf(&b, "%s has no value.\n", panel.Channel)
			continue
		}
		fmt.Fprintf(&b, "%s from %s to %s", panel.Channel, trimmed(low), trimmed(high))
		if panel.Unit != "" && panel.Unit != "1" {
			b.WriteString(" " + panel.Unit)
		}
		for _, k := range panel.Bounds {
			fmt.Fprintf(&b, ", %s", k)
		}
		b.WriteString(".\n")
	}
	for _, m := range p.Marks {
		b.WriteString(strings.ToUpper(m.Says[:1]) + m.Says[1:] + ".\n")
	}
	if len(p.Marks) == 0 {
		b.WriteString("No stretch is marked.\n")
	}
	return strings.TrimSuffix(b.String(), "\n")
}

// clockTime writes seconds as 45.0 s, 3:05 min or 1:02:05 h.
func clockTime(seconds float64) string {
	s := int(math.Round(seconds))
	switch {
	case seconds < 100:
		return fmt.Sprintf("%.1f s", seconds)
	case s < 3600:
		return fmt.Sprintf("%d:%02d min", s/60, s%60)
	}
	return fmt.Sprintf("%d:%02d:%02d h", s/3600, s/60%60, s%60)
}
