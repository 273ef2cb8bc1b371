package app

import (
	"fmt"
	"math"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading/record"
)

// matchWidth is what a person says is kept alike before and after.
type matchWidth struct {
	meaning string
	width   quantity.Value
}

// mostMatched is how many channels are kept alike when nobody says which:
// beyond it hardly any time is left in which all agree.
const mostMatched = 3

// usualWidths are how far two values may lie apart and count as the same
// condition when nobody says: what hardly moves a reading on an engine.
var usualWidths = map[quantity.Dimension]quantity.Value{
	quantity.Rotation:    quantity.Of(250, "rpm"),
	quantity.Ratio:       quantity.Of(10, "%"),
	quantity.Temperature: quantity.Of(10, "K"),
	quantity.Speed:       quantity.Of(10, "km/h"),
	quantity.Voltage:     quantity.Of(0.5, "V"),
	quantity.Pressure:    quantity.Of(0.5, "bar"),
}

// alwaysAlike are matched wherever they are recorded: nearly everything on an
// engine depends on them.
var alwaysAlike = []string{"speed", "load"}

// readWidths reads "speed 250 rpm". The error wraps ErrInput.
func readWidths(texts []string) ([]matchWidth, error) {
	var all []matchWidth
	for _, text := range texts {
		words := strings.Fields(text)
		if len(words) == 0 {
			continue
		}
		at := len(words) - 1
		v, err := quantity.Parse(words[at])
		if at > 0 && (err != nil || v.Unit == "1") {
			if w, e := quantity.Parse(words[at-1] + " " + words[at]); e == nil {
				v, err, at = w, nil, at-1
			}
		}
		if err != nil || at == 0 || v.Number <= 0 {
			return nil, fmt.Errorf("%w: match %q: write what is kept alike and how far it may differ, such as \"speed 250 rpm\"", ErrInput, text)
		}
		all = append(all, matchWidth{strings.Join(words[:at], " "), v})
	}
	return all, nil
}

// match says what is kept alike for a question, in the units of this
// recording. The first recording chooses where nobody says.
func (u *recorder) match(q record.Question, m record.Mapping) *record.Matching {
	out := &record.Matching{Judged: q.Judged}
	if u.matching != nil {
		out.Judged = u.matching.Judged
	}
	if len(u.width) == 0 && u.matching == nil {
		u.width = usualMatch(q, m)
	}
	for _, w := range u.width {
		c, _, _ := m.Find(w.meaning)
		out.By = append(out.By, binOf(w, c.In))
	}
	if u.matching == nil {
		u.matching = out
	}
	return out
}

// usualMatch chooses the channels of the numeric conditions and those on which
// nearly everything depends, as far as they are recorded.
func usualMatch(q record.Question, m record.Mapping) []matchWidth {
	var wanted []string
	for _, c := range q.When {
		if isNumeric(c) {
			wanted = appendNew(wanted, c.Subject)
		}
	}
	var all []matchWidth
	for _, meaning := range appendNew(wanted, alwaysAlike...) {
		c, ok, _ := m.Find(meaning)
		if !ok || c.In == "" || strings.EqualFold(meaning, q.Judged) || len(all) == mostMatched {
			continue
		}
		if w, known := usualWidths[quantity.Of(1, c.In).Dimension()]; known {
			all = append(all, matchWidth{meaning, w})
		}
	}
	return all
}

// compare holds two recordings against each other where the numeric conditions
// of the question hold: elsewhere nothing is said about the check.
func compare(q record.Question, before, after *RecordingRead) *record.Difference {
	b, a := before.Recording.Blocks, after.Recording.Blocks
	if b == nil || a == nil {
		return nil
	}
	d := record.Compare(within(*b, q, before.Mapping), within(*a, q, after.Mapping))
	d.Guesses = appendNew(nil, d.Guesses...)
	return &d
}

// within keeps the blocks whose bins meet the numeric conditions of a question.
func within(all record.Blocks, q record.Question, m record.Mapping) record.Blocks {
	kept := all
	kept.Blocks = nil
	ended := false
	for _, k := range all.Blocks {
		if !meets(k.Cell, all.Matching, q, m) {
			ended = true
			continue
		}
		k.Joined = k.Joined && !ended
		ended = false
		kept.Blocks = append(kept.Blocks, k)
	}
	return kept
}

func meets(c record.Cell, by record.Matching, q record.Question, m record.Mapping) bool {
	for i, b := range by.By {
		for _, w := range q.When {
			if !strings.EqualFold(w.Subject, b.Meaning) || !isNumeric(w) {
				continue
			}
			ch, _, _ := m.Find(b.Meaning)
			low, high := edge(w, ch.In)
			from := float64(c[i]) * b.Width
			if from+b.Width <= low || from >= high {
				return false
			}
		}
	}
	return true
}

// edge returns the bounds of a condition in the unit of a channel; what is not
// bounded is infinite.
func edge(w guide.Clause, in string) (low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	if v, err := w.Low.In(in); err == nil && !w.Low.Zero() {
		low = v.Number
	}
	if v, err := w.High.In(in); err == nil && !w.High.Zero() {
		high = v.Number
	}
	return low, high
}

// binOf turns a width into the unit of the channel; a difference of
// temperature has the size of its unit.
func binOf(w matchWidth, in string) record.Bin {
	out := record.Bin{Meaning: w.meaning, Width: w.width.Number, Unit: w.width.Unit}
	switch {
	case in == "", in == w.width.Unit:
	case in == "°C" && (w.width.Unit == "K" || w.width.Unit == "°C"):
		out.Unit = in
	case in == "°F" && (w.width.Unit == "K" || w.width.Unit == "°C"):
		out.Width, out.Unit = w.width.Number*9/5, in
	default:
		if v, err := w.width.In(in); err == nil {
			out.Width, out.Unit = v.Number, v.Unit
		}
	}
	return out
}
