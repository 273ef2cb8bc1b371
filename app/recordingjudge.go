package app

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
	"elbowroom/reading/record"
)

// askedLimit is one question with what it is for.
type askedLimit struct {
	check    *guide.Check
	limit    *guide.Limit
	question record.Question
}

// questions makes the questions: of the check that was named, or of every one
// whose channels are all there.
func (u *recorder) questions(m record.Mapping) ([]askedLimit, error) {
	if u.check != nil {
		return u.ask(u.check, m)
	}
	var all []askedLimit
	for i := range u.r.Guide.Checks {
		asked, err := u.ask(&u.r.Guide.Checks[i], m)
		if err != nil {
			return nil, err
		}
		for _, k := range asked {
			if k.limit != nil && (k.limit.Of == "" || !k.question.Plain()) && answerable(k.question, m) {
				all = append(all, k)
			}
		}
	}
	return all, nil
}

// ask makes the questions of a check: one, or one for each limit where limits
// have conditions of their own.
func (u *recorder) ask(c *guide.Check, m record.Mapping) ([]askedLimit, error) {
	var limits []*guide.Limit
	apart := false
	for i := range c.Limits {
		l := &c.Limits[i]
		if l.Words == "" {
			limits = append(limits, l)
			apart = apart || len(l.When) > 0
		}
	}
	switch {
	case len(limits) == 0:
		limits = []*guide.Limit{nil}
	case !apart:
		limits = limits[:1]
	}
	var all []askedLimit
	for _, l := range limits {
		q := record.Ask(c, l, m)
		switch {
		case u.q.Judged != "":
			if err := q.Want(u.q.Judged, c, l); err != nil {
				return nil, fmt.Errorf("%w: what is judged: %w", ErrInput, err)
			}
		case q.Plain() && !mostlyOf(c.Name, q.Judged):
			q.Judged, q.Guess = "", ""
		}
		all = append(all, askedLimit{c, l, q})
	}
	return all, nil
}

// unitless gives the judged channels for which no unit is known none where the
// limit has none: lambda is a plain number.
func unitless(m *record.Mapping, asked []askedLimit) {
	for _, k := range asked {
		if k.limit == nil || k.limit.Low.Unit != "1" && k.limit.High.Unit != "1" {
			continue
		}
		for i := range m.Channels {
			if c := &m.Channels[i]; c.In == "" && slices.Contains(k.question.Channels(), c.Meaning) {
				c.In = "1"
			}
		}
	}
}

// compared are words of names of checks that judge something made of two
// channels, or a time.
var compared = []string{"minus", "difference", "time", "sum", "ratio", "drop"}

// mostlyOf reports whether the name of a check speaks of one channel: nothing
// is taken off it, and at least half of the words that name the quantity are
// the channel's.
func mostlyOf(name, meaning string) bool {
	total, own := 0, strings.Fields(strings.ToLower(meaning))
	for _, w := range strings.FieldsFunc(strings.ToLower(name), func(c rune) bool { return strings.ContainsRune(" ,:()", c) }) {
		if slices.Contains(endsQuantity, w) {
			break
		}
		if slices.Contains(compared, w) {
			return false
		}
		total++
	}
	return 2*len(own) >= total
}

// endsQuantity are words of the name of a check behind the quantity.
var endsQuantity = []string{"at", "under", "when", "with", "in", "during"}

// JudgedBy returns the words by which a check names the channel that it judges:
// "low fuel pressure" of "low fuel pressure under load"; of several the first:
// "rail pressure commanded" of "rail pressure, commanded minus actual".
func JudgedBy(c *guide.Check) string { return ChannelsOf(c)[0] }

// ChannelsOf returns the words by which a check names the channels that it
// judges: one, the two of a difference, or one for each side or item that it
// compares.
func ChannelsOf(c *guide.Check) []string {
	name := c.Name
	if _, until, ok := strings.Cut(name, "time until "); ok {
		words := strings.Fields(strings.TrimPrefix(until, "the "))
		if n := slices.IndexFunc(words, func(w string) bool { return w == "is" || w == "reading" || w == "has" }); n > 0 {
			words = words[:n]
		}
		return []string{strings.Join(words, " ")}
	}
	if a, b, ok := strings.Cut(name, " minus "); ok {
		if shared, own, both := strings.Cut(a, ","); both {
			a, b = shared+own, shared+" "+b
		}
		return []string{trimmedName(a), strings.TrimSuffix(strings.TrimSuffix(trimmedName(b), " actual"), " reading")}
	}
	base := trimmedName(name)
	if !slices.ContainsFunc(c.Limits, func(l guide.Limit) bool { return l.Of == "left-right" || l.Of == "ratio" || l.Of == "spread" }) || len(c.On) < 2 {
		return []string{base}
	}
	base, _, _ = strings.Cut(base, ",")
	if len(c.On) == 2 {
		return []string{base + " right", base + " left"}
	}
	var out []string
	for _, id := range c.On {
		out = append(out, fmt.Sprintf("%s %s", base, id))
	}
	return out
}

// JudgesOne reports whether a check judges one channel by its value.
func JudgesOne(c *guide.Check) bool {
	q := record.Question{Judged: JudgedBy(c)}
	return len(ChannelsOf(c)) == 1 && !strings.Contains(c.Name, "time until ") && !record.SpeaksOfPulses(c) && q.Plain() && !strings.Contains(q.Judged, ",")
}

// trimmedName is the name of a check up to where it says when.
func trimmedName(name string) string {
	words := strings.Fields(name)
	for i, w := range words {
		if i > 0 && slices.Contains(endsQuantity, strings.ToLower(strings.Trim(w, ",:()"))) {
			words = words[:i]
			break
		}
	}
	return strings.TrimRight(strings.Join(words, " "), ",:")
}

// answerable reports whether every channel of a question is there.
func answerable(q record.Question, m record.Mapping) bool {
	for _, meaning := range q.Channels() {
		if _, ok, _ := m.Find(meaning); !ok {
			return false
		}
	}
	return !slices.ContainsFunc(q.When, func(c guide.Clause) bool {
		_, ok, _ := m.Find(c.Subject)
		return isNumeric(c) && !q.Starts(c) && !ok
	})
}

// drawn lists the channels of a question that are there, the judged one first.
func (u *recorder) drawn(q record.Question, m record.Mapping) []string {
	var all []string
	add := func(meaning string) {
		if _, ok, _ := m.Find(meaning); ok && len(all) < mostPlotted {
			all = appendNew(all, meaning)
		}
	}
	for _, meaning := range q.Channels() {
		add(meaning)
	}
	for _, c := range q.When {
		if isNumeric(c) {
			add(c.Subject)
		}
	}
	return all
}

// readSaid reads the conditions that a person says held.
func (u *recorder) readSaid() error {
	said := strings.TrimSpace(strings.Join(slices.DeleteFunc(slices.Clone(u.q.Said), func(s string) bool { return strings.TrimSpace(s) == "" }), ", "))
	if said == "" {
		return nil
	}
	id := guide.ID("T1")
	if u.check != nil {
		id = u.check.ID
	}
	rd, err := reading.Parse(fmt.Sprintf("%s: %s", id, said))
	if err != nil {
		return fmt.Errorf("%w: said %q:\n%w", ErrInput, said, err)
	}
	if u.check != nil {
		rd = reading.Settle(u.r, u.check, rd)
	}
	if len(rd.Parts) > 0 {
		return fmt.Errorf("%w: said %q: %s is no condition; the value itself comes from the recording", ErrInput, said, rd.Parts[0].Text)
	}
	u.said = rd
	return nil
}

// judge judges the stretches of one answer.
func (u *recorder) judge(file string, rec *record.Recording, k askedLimit, a *record.Answer, m record.Mapping) RecordedCheck {
	out := RecordedCheck{Check: k.check, Limit: k.limit, Answer: *a, Best: -1}
	all := record.Judge(u.r, k.check, *a, u.said.Stated, u.opt)
	for i := range all {
		j := u.taken(k.check, all[i])
		all[i] = j
		s := RecordedStretch{Judgement: j, Entry: entryOf(file, j)}
		if i < 26 {
			s.Letter = string(rune('A' + i))
		}
		out.Stretches = append(out.Stretches, s)
	}
	out.Outcome, out.Says = record.Agree(all)
	if len(all) == 0 {
		out.Says = a.Says
	}
	out.Best = longest(all, out.Outcome)
	own := *rec
	shown := append(u.drawn(k.question, m), u.q.Plot...)
	own.Traces = slices.DeleteFunc(slices.Clone(rec.Traces), func(t record.Trace) bool { return !slices.Contains(shown, t.Channel) })
	out.Plot = own.Plot(a, k.limit)
	return out
}

// taken adds to a reading what was said of the person, the day, the instrument
// and the measuring point.
func (u *recorder) taken(c *guide.Check, j record.Judgement) record.Judgement {
	s := u.said
	if s.Tool == "" && s.By == "" && s.Day == "" && s.Point == "" {
		return j
	}
	j.Reading.Tool, j.Reading.By, j.Reading.Day, j.Reading.Point = s.Tool, s.By, s.Day, s.Point
	v := reading.Judge(u.r, c, j.Reading, u.opt)
	v.Remarks, v.Unused = appendNew(v.Remarks, j.Verdict.Remarks...), j.Stretch.Unused(v.Unused)
	j.Verdict = v
	return j
}

// longest returns the index of the longest stretch with the outcome, or of the
// longest; -1 when there is none.
func longest(all []record.Judgement, o reading.Outcome) int {
	best := -1
	for i, j := range all {
		if best < 0 || better(j, all[best], o) {
			best = i
		}
	}
	return best
}

func better(a, b record.Judgement, o reading.Outcome) bool {
	if (a.Verdict.Outcome == o) != (b.Verdict.Outcome == o) {
		return a.Verdict.Outcome == o
	}
	return a.Stretch.Seconds() > b.Stretch.Seconds()
}

// longestName bounds the name of a file in an entry, in bytes.
const longestName = 60

// entryOf writes a stretch as an entry of a job's log, with its expanded
// uncertainty (k = 2) and its conditions, so that reading.Read reads it back.
// It is empty when a value has no unit or nothing was read.
func entryOf(file string, j record.Judgement) string {
	var parts []string
	for i, p := range j.Reading.Parts {
		if p.Value.Zero() {
			return ""
		}
		parts = append(parts, valueText(p, uncertaintyOf(j.Stretch, i)))
	}
	if len(parts) == 0 && j.Stretch.Pattern == nil {
		return ""
	}
	for _, s := range j.Reading.Stated {
		parts = append(parts, s.Text)
	}
	if j.Reading.Tool != "" {
		parts = append(parts, usingWord+j.Reading.Tool)
	}
	if j.Reading.Day != "" {
		parts = append(parts, j.Reading.Day)
	}
	if j.Reading.By != "" {
		parts = append(parts, "by "+j.Reading.By)
	} else {
		parts = append(parts, fmt.Sprintf("by recording %s at %.1f s to %.1f s", clauseName(file), j.Stretch.From, j.Stretch.To))
	}
	return fmt.Sprintf("%s: %s", j.Reading.Check, strings.Join(parts, ", "))
}

// uncertaintyOf is the standard uncertainty of the mean of a part of a stretch.
func uncertaintyOf(s record.Stretch, part int) float64 {
	switch {
	case s.Pattern != nil && part == 0:
		return s.Pattern.Low.Uncertainty
	case part == 0 || s.Pattern != nil:
		return s.Judged.Uncertainty
	case part <= len(s.Beside):
		return s.Beside[part-1].Uncertainty
	}
	return 0
}

// valueText writes one value with its name, bound and expanded uncertainty.
func valueText(p reading.Part, standard float64) string {
	within := 2 * standard
	if p.Repeats == nil && !p.Within.Zero() {
		within = p.Within.Number
	}
	unit := p.Value.Unit
	places := placesFor(within, p.Value.Number)
	value := bound(p.Bound) + quantity.Of(roundTo(p.Value.Number, places), unit).String()
	if within > 0 && p.Bound == reading.Exact {
		value += " ± " + quantity.Of(roundTo(within, places), differenceUnit(unit)).String()
	}
	return strings.TrimSpace(p.Name + " " + value)
}

// clauseName returns the name of a file without what parts clauses.
func clauseName(file string) string {
	file = strings.Map(func(c rune) rune {
		if c == ',' || c == ';' || c < ' ' {
			return '_'
		}
		return c
	}, file)
	if len(file) > longestName {
		file = strings.ToValidUTF8(file[:longestName], "") + "…"
	}
	return strings.TrimSpace(file)
}

// differenceUnit is the unit of a difference of two values.
func differenceUnit(unit string) string {
	if unit == "°C" {
		return "K"
	}
	return unit
}

// placesFor returns how many decimal places leave two digits of an
// uncertainty, or six digits of a value without one.
func placesFor(within, value float64) int {
	if within > 0 {
		return int(math.Ceil(-math.Log10(within))) + 1
	}
	if value == 0 {
		return 0
	}
	return 6 - int(math.Ceil(math.Log10(math.Abs(value))))
}

// roundTo rounds to a number of decimal places between 0 and 12.
func roundTo(x float64, places int) float64 {
	p := math.Pow(10, float64(min(max(places, 0), 12)))
	return math.Round(x*p) / p
}
