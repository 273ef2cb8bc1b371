package record

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
)

// Op says how two channels are judged as one.
type Op string

// The operations. The second channel is brought into the unit of the first; a
// difference of temperatures is in kelvin, a quotient is a plain number.
const (
	Minus Op = "minus"
	Plus  Op = "plus"
	Over  Op = "over"
)

// Run asks for a time instead of a value: from a beginning until a channel
// reaches a level.
type Run struct {
	From    Level // zero: when the conditions are first met
	To      Level
	Running bool   // begin no sooner than the engine turns, where its speed is recorded
	Unit    string // of the time; empty is s
}

// Level is a channel reaching a value: from above where Falling, from the side
// where it was at the beginning where Either, else from below.
type Level struct {
	Meaning string
	Value   quantity.Value
	Falling bool
	Either  bool
}

// String prints the level as Want reads it.
func (l Level) String() string {
	sign := ">= "
	switch {
	case l.Falling:
		sign = "<= "
	case l.Either:
		sign = ""
	}
	return fmt.Sprintf("%s %s%s", l.Meaning, sign, l.Value)
}

const expectWant = "a channel (rail pressure), two (A minus B, A plus B, A over B), parts (lambda right, lambda left), " +
	"a time (time until coolant 82 °C, time from flap 5 % to flap 95 %), or rate of, drop of, rise of, pattern of, duty of, frequency of, least of, most of a channel"

// uses are the words that say which figure of a channel is judged.
var uses = map[string]Use{
	"rate of": UseRate, "drop of": UseDrop, "rise of": UseRise, "pattern of": UsePattern, "duty of": UseDuty, "frequency of": UseFrequency,
	"least of": UseLeast, "most of": UseMost, "first of": UseFirst, "mean of": UseMean,
}

// Want says what is judged, as a person writes it:
//
//	rail pressure
//	rail pressure commanded minus rail pressure       also plus, over
//	lambda right, lambda left                         parts, judged together
//	time until coolant 82 °C
//	time from flap 5 % to flap 95 %
//	rate of vacuum                                    also drop, rise, pattern, duty, frequency, least, most
//
// The check and the limit, which may be nil, say how a time is begun and
// written. The error says what was expected; the question is then as it was.
func (q *Question) Want(text string, check *guide.Check, limit *guide.Limit) error {
	out := *q
	out.Judged, out.Part, out.Beside, out.Op, out.With, out.Run, out.Guess = "", "", nil, "", "", nil, ""
	text = strings.Join(strings.Fields(text), " ")
	low := strings.ToLower(text)
	var err error
	switch words := strings.SplitN(low, " ", 3); {
	case text == "":
		err = fmt.Errorf("nothing is named; expected %s", expectWant)
	case strings.HasPrefix(low, "time until "), strings.HasPrefix(low, "time from "):
		err = out.wantRun(text[len("time "):], check, limit)
	case len(words) == 3 && uses[words[0]+" "+words[1]] != "":
		out.Use = uses[words[0]+" "+words[1]]
		err = out.wantChannels(text[len(words[0])+len(words[1])+2:])
	default:
		err = out.wantChannels(text)
	}
	if err == nil {
		*q = out
	}
	return err
}

// wantChannels reads one channel, two with an operation between, or several
// parts with commas between.
func (q *Question) wantChannels(text string) error {
	if parts := strings.Split(text, ","); len(parts) > 1 {
		for i, p := range parts {
			p = strings.TrimSpace(p)
			if p == "" {
				return fmt.Errorf("%q has a comma with nothing behind it; expected %s", text, expectWant)
			}
			if i == 0 {
				q.Judged, q.Part = p, partName(p)
				continue
			}
			q.Beside = append(q.Beside, Target{partName(p), p})
		}
		return nil
	}
	q.Judged = text
	for _, op := range []Op{Minus, Plus, Over} {
		a, b, ok := strings.Cut(text, " "+string(op)+" ")
		if !ok {
			continue
		}
		q.Judged, q.Op, q.With = strings.TrimSpace(a), op, strings.TrimSpace(b)
		if q.Judged == "" || q.With == "" {
			return fmt.Errorf("%q lacks a channel beside %s", text, op)
		}
		return nil
	}
	return nil
}

// partName is the side in the name of a channel, else the name itself.
func partName(meaning string) string {
	for _, w := range strings.Fields(strings.ToLower(meaning)) {
		if w == "left" || w == "right" {
			return w
		}
	}
	return meaning
}

func (q *Question) wantRun(text string, check *guide.Check, limit *guide.Limit) (err error) {
	r := runFor(check, limit)
	if rest, ok := strings.CutPrefix(text, "until "); ok {
		if r.To, err = levelOf(rest); err == nil {
			q.Judged, q.Run = r.To.Meaning, r
		}
		return err
	}
	from, to, ok := strings.Cut(strings.TrimPrefix(text, "from "), " to ")
	if !ok {
		return fmt.Errorf("%q has no \" to \"; write time from flap 5 %% to flap 95 %%", text)
	}
	if r.From, err = levelOf(from); err != nil {
		return err
	}
	if r.To, err = levelOf(to); err != nil {
		return err
	}
	if strings.EqualFold(r.From.Meaning, r.To.Meaning) {
		if c, err := r.From.Value.Compare(r.To.Value); err != nil || c == 0 {
			return fmt.Errorf("from %s to %s is no way to go", r.From.Value, r.To.Value)
		} else if r.From.Either || r.To.Either {
			r.From.Falling, r.To.Falling = c > 0, c > 0
		}
	}
	r.From.Either = false
	if r.To.Either && !strings.EqualFold(r.From.Meaning, r.To.Meaning) {
		r.To.Falling = false
	}
	r.To.Either = false
	q.Judged, q.Run = r.To.Meaning, r
	return nil
}

// levelOf reads "coolant 82 °C", "coolant >= 82 °C" and "coolant is 82 °C".
func levelOf(text string) (Level, error) {
	words := strings.Fields(text)
	for n := 2; n >= 1; n-- {
		at := len(words) - n
		if at < 1 {
			continue
		}
		last := strings.Join(words[at:], " ")
		l := Level{Either: true}
		for _, sign := range []string{">=", "<=", "≥", "≤", ">", "<"} {
			if rest, ok := strings.CutPrefix(last, sign); ok {
				last, l.Either, l.Falling = strings.TrimSpace(rest), false, strings.ContainsAny(sign, "<≤")
				break
			}
		}
		v, err := quantity.Parse(last)
		if err != nil {
			continue
		}
		rest := words[:at]
		for len(rest) > 1 && slices.Contains([]string{">=", "<=", "≥", "≤", ">", "<", "is"}, rest[len(rest)-1]) {
			if sign := rest[len(rest)-1]; sign != "is" {
				l.Either, l.Falling = false, strings.ContainsAny(sign, "<≤")
			}
			rest = rest[:len(rest)-1]
		}
		l.Meaning, l.Value = strings.Join(rest, " "), v
		return l, nil
	}
	return Level{}, fmt.Errorf("%q names no channel with a value; write it like coolant 82 °C", text)
}

// Wanted prints what is judged as Want reads it.
func (q Question) Wanted() string {
	switch {
	case q.Run != nil && q.Run.From.Meaning != "":
		return fmt.Sprintf("time from %s to %s", q.Run.From, q.Run.To)
	case q.Run != nil:
		return fmt.Sprintf("time until %s", q.Run.To)
	case q.Judged == "":
		return ""
	}
	text := q.Judged
	if q.Op != "" {
		text += fmt.Sprintf(" %s %s", q.Op, q.With)
	}
	for _, b := range q.Beside {
		text += ", " + b.Meaning
	}
	for words, u := range uses {
		if u == q.Use && u != UseMean && u != "" {
			return words + " " + text
		}
	}
	return text
}

// Channels lists the meanings that the answer is made of, the judged one first.
func (q Question) Channels() []string {
	all := []string{q.Judged}
	add := func(s string) {
		if s != "" && !slices.ContainsFunc(all, func(o string) bool { return strings.EqualFold(o, s) }) {
			all = append(all, s)
		}
	}
	add(q.With)
	for _, b := range q.Beside {
		add(b.Meaning)
	}
	if q.Run != nil {
		add(q.Run.From.Meaning)
	}
	return all
}

// Plain reports whether one channel is judged by itself, by a figure that the
// name of a check need not speak of.
func (q Question) Plain() bool {
	return q.Op == "" && q.Run == nil && len(q.Beside) == 0 && q.Use != UsePattern
}

// byValue reports whether the channels themselves are held against the limit.
func (q Question) byValue() bool {
	switch q.figure() {
	case UseMean, UseLeast, UseMost, UseFirst:
		return q.Op == "" && q.Run == nil
	}
	return false
}

// Matches reports whether two recordings can be compared by what is judged.
func (q Question) Matches() bool { return q.byValue() && len(q.Beside) == 0 }

// Starts reports whether a clause is of the beginning of a run or a change
// alone, so that no channel of its own tells it.
func (q Question) Starts(c guide.Clause) bool {
	return q.startsChange(c) || q.Run != nil && strings.EqualFold(c.Subject, startSubject)
}

// guess fills in what is judged where the name of a check speaks of more than
// one channel, of a time or of pulses; false where it does not.
func (q *Question) guess(check *guide.Check, limit *guide.Limit, m Mapping) bool {
	return q.guessRun(check, limit, m) || q.guessMinus(check, m) || q.guessParts(check, m) || q.guessPattern(check, m) || q.guessDrop(check, m)
}

// guessDrop reads "vacuum lost in 30 s" and "pressure lost in the cooling
// circuit".
func (q *Question) guessDrop(check *guide.Check, m Mapping) bool {
	_, behind, ok := strings.Cut(check.Name, " lost in ")
	if !ok {
		return false
	}
	sort := quantity.Dimension("")
	for _, l := range check.Limits {
		if !l.High.Zero() {
			sort = l.High.Dimension()
		}
	}
	meaning := m.among(wordsOf(check.Name), sort, nil)
	if meaning == "" {
		return false
	}
	q.Judged, q.Use = meaning, UseDrop
	if v, err := quantity.Parse(behind); err == nil && v.Dimension() == quantity.Time {
		q.Hold = v.SI()
	}
	q.Guess = fmt.Sprintf("%q sounds like the %s", check.Name, q.Wanted())
	return true
}

// guessRun reads "time until the coolant reading is 82 °C".
func (q *Question) guessRun(check *guide.Check, limit *guide.Limit, m Mapping) bool {
	_, text, ok := strings.Cut(strings.ToLower(check.Name), "time until ")
	if !ok {
		return false
	}
	l, err := levelOf(text)
	if err != nil {
		return false
	}
	meaning := m.among(wordsOf(l.Meaning), dimensionOf(l.Value.Unit), nil)
	if meaning == "" {
		return false
	}
	l.Meaning = meaning
	q.Run = runFor(check, limit)
	q.Run.To = l
	q.Judged, q.Guess = meaning, fmt.Sprintf("%q sounds like the %s", check.Name, q.Wanted())
	return true
}

// runFor is a run without its ends, for a check and a limit.
func runFor(check *guide.Check, limit *guide.Limit) *Run {
	r := &Run{Unit: "s", Running: check != nil && needsRunning(check)}
	if limit != nil && !limit.High.Zero() && limit.High.Dimension() == quantity.Time {
		r.Unit = limit.High.Unit
	}
	return r
}

// needsRunning reports whether a check asks for a running engine.
func needsRunning(check *guide.Check) bool {
	return slices.ContainsFunc(check.With, func(r guide.Req) bool { return r.Condition == "running" && (r.Value == "yes") != r.Not })
}

// guessMinus reads "housing temperature minus coolant temperature reading" and
// "rail pressure, commanded minus actual".
func (q *Question) guessMinus(check *guide.Check, m Mapping) bool {
	a, b, ok := strings.Cut(strings.ToLower(check.Name), " minus ")
	if !ok {
		return false
	}
	shared, own, both := strings.Cut(a, ",")
	if both {
		a, b = shared+" "+own, shared+" "+b
	}
	sort := quantity.Dimension("")
	for _, l := range check.Limits {
		if !l.High.Zero() {
			sort = dimensionOf(l.High.Unit)
		}
	}
	second := m.among(wordsOf(b), sort, nil)
	first := m.among(wordsOf(a), sort, []string{second})
	if first == "" || second == "" {
		return false
	}
	q.Judged, q.Op, q.With = first, Minus, second
	q.Guess = fmt.Sprintf("%q sounds like %s", check.Name, q.Wanted())
	return true
}

// among returns the meaning of a dimension that has most of its words in a
// name; empty when none or several have.
func (m Mapping) among(name []string, sort quantity.Dimension, but []string) string {
	best, score, tied := "", 0.0, false
	for _, c := range m.Channels {
		if c.Meaning == "" || slices.Contains(but, c.Meaning) || c.In != "" && sort != "" && dimensionOf(c.In) != sort {
			continue
		}
		switch s := alike(name, wordsOf(c.Meaning)); {
		case s > score:
			best, score, tied = c.Meaning, s, false
		case s == score && s > 0 && c.Meaning != best:
			tied = true
		}
	}
	if tied {
		return ""
	}
	return best
}

// guessParts finds the channels of the parts that a check compares: those of
// the sides or items ("lambda right", "lambda left"), or, for an agreement of
// several, every channel that its name names.
func (q *Question) guessParts(check *guide.Check, m Mapping) bool {
	compares := slices.ContainsFunc(check.Limits, func(l guide.Limit) bool { return l.Of != "" && l.Of != "rate" && l.Of != "before-after" })
	if !compares {
		return false
	}
	agree := len(check.On) == 1
	name := wordsOf(strings.ReplaceAll(check.Name, "temperatures", "temperature"))
	var found []Target
	rests := map[string]bool{}
	for _, c := range m.Channels {
		part, rest := splitPart(c.Meaning, check.On)
		if c.Meaning == "" || part == "" && !agree || part != "" && agree || !fitsLimits(c.In, check.Limits) && !agree {
			continue
		}
		for _, w := range rest {
			if !slices.Contains(name, w) {
				rest = nil
				break
			}
		}
		if len(rest) == 0 || slices.ContainsFunc(found, func(t Target) bool { return t.Meaning == c.Meaning }) {
			continue
		}
		if part == "" {
			part = c.Meaning
		}
		rests[strings.Join(rest, " ")] = true
		found = append(found, Target{part, c.Meaning})
	}
	if len(found) < 2 || !agree && len(rests) != 1 {
		return false
	}
	q.Judged, q.Part, q.Beside = found[0].Meaning, found[0].Part, found[1:]
	q.Guess = fmt.Sprintf("%q sounds like a comparison of %s", check.Name, q.Wanted())
	return true
}

// splitPart parts the words of a meaning into the part that it is of, a side or
// an item, and the rest.
func splitPart(meaning string, on []guide.ID) (part string, rest []string) {
	for _, w := range wordsOf(meaning) {
		switch {
		case part == "" && (w == "left" || w == "right"):
			part = w
		case part == "" && slices.ContainsFunc(on, func(id guide.ID) bool { return strings.EqualFold(string(id), w) }):
			part = strings.ToUpper(w)
		default:
			rest = append(rest, w)
		}
	}
	return part, rest
}

// pulseWords are words of a limit that speak of pulses.
var pulseWords = []string{"pulse", "pulses", "square", "gap", "teeth", "duty"}

// SpeaksOfPulses reports whether a limit of a check is about pulses.
func SpeaksOfPulses(check *guide.Check) bool {
	return slices.ContainsFunc(check.Limits, func(l guide.Limit) bool {
		return slices.ContainsFunc(wordsOf(l.Words), func(w string) bool { return slices.Contains(pulseWords, w) })
	})
}

// guessPattern takes the one channel that is called a signal.
func (q *Question) guessPattern(check *guide.Check, m Mapping) bool {
	if !SpeaksOfPulses(check) {
		return false
	}
	q.Use = UsePattern
	q.Judged = m.among(append(wordsOf(check.Name), idWords(check.On)...), quantity.Voltage, nil)
	if q.Judged != "" {
		q.Guess = fmt.Sprintf("%q sounds like the pattern of %s", check.Name, q.Judged)
	}
	return true
}

func idWords(ids []guide.ID) (out []string) {
	for _, id := range ids {
		out = append(out, strings.ToLower(string(id)))
	}
	return out
}
