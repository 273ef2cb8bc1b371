package record

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Use says which figure of a stretch is judged.
type Use string

// The figures.
const (
	UseMean  Use = "mean"
	UseLeast Use = "least" // "minimum voltage while cranking"
	UseMost  Use = "most"
	UseFirst Use = "first" // "outlet temperature when the coolant first reaches 85 °C"

	UseRate      Use = "rate"      // how fast it changes, either way
	UseDrop      Use = "drop"      // by how much it falls while the conditions hold
	UseRise      Use = "rise"      // by how much it rises
	UsePattern   Use = "pattern"   // levels, pulses and gaps of a signal
	UseDuty      Use = "duty"      // share of the time that a signal is high, in %
	UseFrequency Use = "frequency" // pulses per second
)

// Target is a further channel that is judged together with the first: the left
// side beside the right one, or one of several that must agree.
type Target struct {
	Part    string // name of the part of the reading: "left"
	Meaning string
}

// Demand says what must be steady.
type Demand string

// The demands.
const (
	AllSteady    Demand = "all"    // the channels of the conditions and the judged one
	JudgedSteady Demand = "judged" // the judged one
	NoneSteady   Demand = "none"   // conditions must be in range, nothing must be steady
)

const (
	// leastHold is how long conditions must hold when nothing is said, in
	// seconds after settling.
	leastHold = 10
	// usualSettle is what is let pass after the conditions are met, in
	// seconds, when nothing is said.
	usualSettle = 2
)

// Question asks a recording where a channel can be judged.
type Question struct {
	Name   string         // printed back: the check
	Judged string         // meaning of the channel that is judged
	Part   string         // name of the part that it is of: "right"; empty for the reading itself
	Beside []Target       // further channels of the same reading
	Op     Op             // with a second channel: what is judged is Judged Op With
	With   string         // meaning of the second channel
	Run    *Run           // a time is judged and not a value
	Use    Use            // empty is UseMean
	Guess  string         // why Judged or Use was guessed; empty when a person settled them
	When   []guide.Clause // conditions, with numbers or words
	Hold   float64        // least seconds; 0 is ten, or what a condition asks for
	Settle float64        // seconds let pass first; 0 is two, below 0 none
	Demand Demand         // empty is AllSteady, NoneSteady for least, most and first
	Rule   *Steadiness    // nil is DefaultSteadiness
}

// Ask makes the question for one limit of a check: the conditions of both, the
// channel by Mapping.Judged, and the figure by the words of the name. What was
// guessed stands in Guess.
func Ask(check *guide.Check, limit *guide.Limit, m Mapping) Question {
	q := Question{Name: string(check.ID), Judged: m.Judged(check), Use: UseMean}
	q.When = append(q.When, check.When...)
	if limit != nil {
		q.When = append(q.When, limit.When...)
	}
	if q.guess(check, limit, m) {
		return q
	}
	if q.Judged != "" {
		q.Guess = fmt.Sprintf("%q sounds like a check of %s", check.Name, q.Judged)
	}
	for _, w := range wordsOf(check.Name) {
		switch w {
		case "minimum", "lowest", "least":
			q.Use = UseLeast
		case "maximum", "highest", "peak", "most":
			q.Use = UseMost
		case "first":
			q.Use = UseFirst
		}
	}
	return q
}

func (q Question) figure() Use {
	if q.Use == "" {
		return UseMean
	}
	return q.Use
}

func (q Question) demand() Demand {
	switch {
	case q.Demand != "":
		return q.Demand
	case q.figure() != UseMean:
		return NoneSteady
	}
	return AllSteady
}

func (q Question) rule() *Steadiness {
	if q.Rule != nil {
		return q.Rule
	}
	return &DefaultSteadiness
}

func (q Question) settle() float64 {
	switch {
	case q.Settle > 0:
		return q.Settle
	case q.Settle < 0 || q.figure() == UseFirst || q.changes():
		return 0
	}
	return usualSettle
}

// hold returns how long the conditions must hold: as said, or the longest that
// a condition such as "steady >= 3 min" asks for, or ten seconds; nothing where
// the first value counts.
func (q Question) hold() float64 {
	if q.Hold > 0 || q.figure() == UseFirst {
		return q.Hold
	}
	long := 0.0
	for _, c := range q.When {
		if isHold(c) {
			long = max(long, c.Low.SI())
		}
	}
	if long > 0 {
		return long
	}
	return leastHold
}

// holdWords are subjects of clauses that say how long the others hold.
var holdWords = []string{"steady", "hold", "held"}

// IsHold reports whether a clause says how long the others hold, which no
// channel tells.
func IsHold(c guide.Clause) bool { return isHold(c) }

// isHold reports whether a clause says how long the others hold.
func isHold(c guide.Clause) bool {
	return slices.ContainsFunc(holdWords, func(w string) bool { return strings.EqualFold(c.Subject, w) }) && !c.Low.Zero() && c.Low.Dimension() == quantity.Time
}

// numeric reports whether a clause has a number that a channel can meet.
func numeric(c guide.Clause) bool {
	return c.Subject != "" && (!c.Low.Zero() || !c.High.Zero())
}

// bound is one numeric condition tied to its column.
type bound struct {
	clause    guide.Clause
	channel   Channel
	column    int
	low, high float64 // in the unit of the column
}

// tied is a question tied to the columns of a format.
type tied struct {
	Question
	bounds  []bound
	judged  int // column, -1 when the channel is not there
	channel Channel
	beside  []bound        // without a range
	second  *operand       // where two channels are judged as one
	starts  []guide.Clause // of the channel itself where a change begins
	words   []string       // conditions for a person
	missing []string       // numeric conditions that no channel can tell
}

// tie finds the columns of a question. What cannot be tied is said in missing.
func (q Question) tie(f *Format, m Mapping, stale func(column int) float64) tied {
	t := tied{Question: q}
	for _, c := range q.When {
		switch {
		case isHold(c):
		case q.startsChange(c):
			t.starts = append(t.starts, c)
		case !numeric(c):
			t.words = append(t.words, c.String())
		default:
			b, why := bind(c, f, m)
			if why != "" {
				t.missing = append(t.missing, c.String()+": "+why)
				continue
			}
			t.bounds = append(t.bounds, b)
		}
	}
	t.judged, t.channel = t.find(q.Judged, f, m)
	t.second = t.form(f, m, stale)
	for _, k := range q.Beside {
		at, c := t.find(k.Meaning, f, m)
		if at < 0 {
			t.judged = -1 // a comparison without one of its sides is none
			continue
		}
		t.beside = append(t.beside, bound{channel: c, column: at})
	}
	return t
}

// find returns the column and channel of a meaning that is judged; -1 when
// there is none, which it notes.
func (t *tied) find(meaning string, f *Format, m Mapping) (int, Channel) {
	c, ok, several := m.Find(meaning)
	if at := f.column(c); ok && at >= 0 {
		return at, c
	}
	if why := "no channel of the recording is known to be it"; len(several) > 0 {
		t.missing = append(t.missing, meaning+": "+couldBe(several))
	} else if meaning != "" {
		t.missing = append(t.missing, meaning+": "+why)
	}
	return -1, Channel{}
}

func couldBe(several []string) string {
	return "it could be " + strings.Join(several, " or ") + "; settle which"
}

// bind ties a numeric clause to its column; why says what hinders.
func bind(c guide.Clause, f *Format, m Mapping) (b bound, why string) {
	ch, ok, several := m.Find(c.Subject)
	if len(several) > 0 {
		return b, couldBe(several)
	}
	at := -1
	if ok {
		at = f.column(ch)
	}
	if at < 0 {
		return b, "no channel of the recording is known to be it"
	}
	b = bound{clause: c, channel: ch, column: at, low: math.Inf(-1), high: math.Inf(1)}
	if ch.In == "" {
		return b, fmt.Sprintf("the unit of %s is not known", ch.label())
	}
	if b.low, why = inUnit(c.Low, b.low, ch); why == "" {
		b.high, why = inUnit(c.High, b.high, ch)
	}
	return b, why
}

// inUnit returns a bound in the unit of a channel; otherwise when it is not
// given.
func inUnit(v quantity.Value, otherwise float64, ch Channel) (number float64, why string) {
	if v.Zero() {
		return otherwise, ""
	}
	in, err := v.In(ch.In)
	if err != nil {
		return otherwise, fmt.Sprintf("%s is logged in %s, the condition is in %s", ch.label(), ch.In, v.Unit)
	}
	return in.Number, ""
}
