package record

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/quantity"
	"elbowroom/reading"
)

// Judgement is the verdict on one stretch.
type Judgement struct {
	Stretch Stretch
	Reading reading.Reading
	Verdict reading.Verdict
}

// Judge judges every stretch of an answer on its check, as package reading
// judges what a person measured. Said is what a person adds: the conditions in
// words of Answer.Confirm, and what no channel tells. The verdicts carry what
// was guessed among their remarks.
func Judge(r *guide.Resolved, check *guide.Check, a Answer, said []reading.Stated, opt reading.Options) []Judgement {
	var all []Judgement
	for i, s := range a.Stretches {
		if i > 0 && a.Question.figure() == UseFirst {
			break
		}
		rd := s.Reading(check.ID, a.Question)
		rd.Stated = append(rd.Stated, said...)
		if hold, ok := held(a.Question, s); ok {
			rd.Stated = append(rd.Stated, hold)
		}
		v := reading.Judge(r, check, rd, opt)
		v.Remarks = append(v.Remarks, s.remarks()...)
		v.Unused = s.Unused(v.Unused)
		if a.Question.Run != nil {
			v.Remarks = append(v.Remarks, s.meant()...)
		}
		all = append(all, Judgement{Stretch: s, Reading: rd, Verdict: v})
	}
	return all
}

// Unused leaves out what the pattern of the stretch said unasked: a person did
// not say it.
func (s Stretch) Unused(all []string) []string {
	if s.Pattern == nil {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(text string) bool { return slices.Contains(s.Pattern.Words(), text) })
}

// Reading returns a stretch as a reading: its mean with the scatter of the
// batches as that of repeated readings, its least, most or first value with the
// noise of a single one, its change, the time of a run, or the levels of a
// signal with its pattern in words. The conditions are stated with the range
// that their channels moved in; those of a run by their means.
func (s Stretch) Reading(check guide.ID, q Question) reading.Reading {
	rd := reading.Reading{Check: check, Parts: s.parts(q)}
	for _, o := range s.Others {
		if o.Unit == "" || o.N == 0 {
			continue
		}
		if q.Run != nil {
			mean := o.Value(rounded(o.Mean))
			rd.Stated = append(rd.Stated, reading.Stated{Subject: o.Channel, Value: mean, Step: o.Step, Text: fmt.Sprintf("%s %s", o.Channel, mean)})
			continue
		}
		rd.Stated = append(rd.Stated, reading.Stated{
			Subject: o.Channel, Value: o.Value((o.Least + o.Most) / 2), Within: difference((o.Most-o.Least)/2, o.Unit),
			Moved: true, Step: o.Step, Text: fmt.Sprintf("%s %s..%s", o.Channel, trimmed(o.Least), shown(o.Value(o.Most))),
		})
	}
	if !s.Start.Zero() {
		rd.Stated = append(rd.Stated, reading.Stated{Subject: s.StartOf, Value: s.Start, Text: fmt.Sprintf("%s %s", s.StartOf, s.Start)})
	}
	if q.Use == UseRate {
		over := quantity.Of(rounded(s.Seconds()), "s")
		rd.Stated = append(rd.Stated, reading.Stated{Subject: "over", Value: over, Text: "over " + over.String()})
	}
	if s.Pattern != nil {
		rd.Stated = append(rd.Stated, s.Pattern.stated(q)...)
	}
	return rd
}

// parts returns the values of a stretch.
func (s Stretch) parts(q Question) []reading.Part {
	switch {
	case s.Pattern != nil && q.Use == UsePattern:
		if !s.Pattern.Square {
			return nil
		}
		low, high := s.part("low", s.Pattern.Low, UseMean), s.part("high", s.Pattern.High, UseMean)
		low.Text, high.Text = "", ""
		return []reading.Part{low, high}
	case q.Run != nil:
		p := reading.Part{Name: q.Part, Value: s.Judged.Value(s.Judged.Mean), Step: s.Judged.Step}
		p.Value.Number = rounded(p.Value.Number)
		if s.Beyond {
			p.Bound = reading.Above
			return []reading.Part{p}
		}
		p.Within = quantity.Of(2*s.Judged.Uncertainty, s.Judged.Unit)
		return []reading.Part{p}
	case q.changes():
		return []reading.Part{s.change(q)}
	}
	all := []reading.Part{s.part(q.Part, s.Judged, q.figure())}
	for i, b := range s.Beside {
		if i < len(q.Beside) {
			all = append(all, s.part(q.Beside[i].Part, b, q.figure()))
		}
	}
	return all
}

// change is by how much a channel changed: over the whole stretch for a rate,
// over the time that the conditions must hold for a drop or a rise.
func (s Stretch) change(q Question) reading.Part {
	seconds := s.Seconds()
	number := s.Judged.Slope * seconds
	switch q.Use {
	case UseRate:
		number = abs(number)
	case UseDrop:
		seconds = min(seconds, q.hold())
		number = -s.Judged.Slope * seconds
	case UseRise:
		seconds = min(seconds, q.hold())
		number = s.Judged.Slope * seconds
	}
	p := reading.Part{Name: q.Part, Text: fmt.Sprintf("%s of %s, %.1f s to %.1f s", q.Use, s.Judged.Channel, s.From, s.To)}
	if s.Judged.Unit != "" {
		p.Value, p.Within = difference(number, s.Judged.Unit), difference(2*s.Judged.SlopeU*seconds, s.Judged.Unit)
	}
	return p
}

// stated is the pattern in words, and the speed where a condition asks for one
// that no channel tells.
func (p *Pattern) stated(q Question) (all []reading.Stated) {
	for _, w := range p.Words() {
		all = append(all, reading.Stated{Text: w})
	}
	for _, c := range q.When {
		if p.Speed > 0 && numeric(c) && (c.Low.Dimension() == quantity.Rotation || c.High.Dimension() == quantity.Rotation) {
			v := quantity.Of(rounded(p.Speed), "rpm")
			all = append(all, reading.Stated{Subject: c.Subject, Value: v, Text: fmt.Sprintf("%s %s", c.Subject, v)})
		}
	}
	return all
}

// part returns what one channel did as a part of a reading.
func (s Stretch) part(name string, k Stats, use Use) reading.Part {
	p := reading.Part{Name: name, Step: k.Step, Text: fmt.Sprintf("%s of %s, %.1f s to %.1f s", use, k.Channel, s.From, s.To)}
	single, ok := map[Use]float64{UseLeast: k.Least, UseMost: k.Most, UseFirst: k.First}[use]
	if ok {
		p.Value = k.Value(single)
		if k.Unit != "" && k.Noise > 0 {
			p.Within = difference(2*k.Noise, k.Unit)
		}
		return p
	}
	p.Value = k.Value(k.Mean)
	if n := int(math.Round(k.Freedom)) + 1; n > 1 && k.Batch > 0 {
		p.Repeats = &reading.Repeats{Number: n, Deviation: k.Batch * math.Sqrt(float64(n))}
	}
	return p
}

// difference returns a difference of two values in a unit: in kelvin for
// temperatures.
func difference(number float64, unit string) quantity.Value {
	switch unit {
	case "°C":
		return quantity.Of(number, "K")
	case "°F":
		return quantity.Of(number*5/9, "K")
	}
	return quantity.Of(number, unit)
}

func trimmed(x float64) string { return quantity.Value{Number: rounded(x), Unit: "1"}.String() }

// held states how long a stretch is, where the question has a condition for it.
func held(q Question, s Stretch) (reading.Stated, bool) {
	for _, c := range q.When {
		if isHold(c) {
			long := quantity.Of(rounded(s.Seconds()), "s")
			return reading.Stated{Subject: c.Subject, Value: long, Text: c.Subject + " " + long.String()}, true
		}
	}
	return reading.Stated{}, false
}

// remarks says what a person should know of a stretch.
func (s Stretch) remarks() []string {
	var all []string
	for _, g := range s.Guesses {
		all = append(all, "guessed, settle it: "+g)
	}
	for _, m := range s.Missing {
		all = append(all, "not in the recording: "+m)
	}
	all = append(all, s.odd()...)
	for i, st := range append(append(slices.Clone(s.Others), s.Judged), s.Beside...) {
		again := i < len(s.Others) && st.Channel == s.Judged.Channel
		if st.Swings() && !again {
			all = append(all, fmt.Sprintf("%s swings to and fro from value to value; the mean may hide it", st.Channel))
		}
	}
	return all
}

// meant says which conditions of a run were held against their mean: a drive
// begins standing, and no condition holds in every second of it.
func (s Stretch) meant() (all []string) {
	for _, o := range s.Others {
		if o.Unit != "" && o.Least < o.Most {
			all = append(all, fmt.Sprintf("%s went from %s to %s meanwhile; its mean, %s, stands for it", o.Channel, trimmed(o.Least), shown(o.Value(o.Most)), shown(o.Value(o.Mean))))
		}
	}
	return all
}

// odd says what a signal did that its numbers of pulses do not tell, and that a
// change was none by a straight line.
func (s Stretch) odd() (all []string) {
	if s.Judged.Slope != 0 && s.Judged.bent(s.Seconds()) {
		all = append(all, fmt.Sprintf("%s did not change evenly in this stretch; a shorter one tells more", s.Judged.Channel))
	}
	p := s.Pattern
	if p == nil {
		return all
	}
	if p.Odd > 0 {
		var at []string
		for _, t := range p.OddAt {
			at = append(at, fmt.Sprintf("%.4f s", t))
		}
		all = append(all, fmt.Sprintf("%d distances between pulses fit neither their neighbours nor a gap: %s", p.Odd, strings.Join(at, ", ")))
	}
	if p.Turns == 0 && p.Pulses > 0 && p.Pulses < mostTeeth {
		all = append(all, fmt.Sprintf("%d pulses and no whole turn from gap to gap: too short to count the pulses of a turn", p.Pulses))
	}
	if p.Turns > 0 {
		all = append(all, fmt.Sprintf("%d turns from gap to gap, %.0f rpm by the gaps; a gap is %d pulses long", p.Turns, p.Speed, p.Missing))
	}
	return all
}

// Agree puts the verdicts on several stretches into one sentence; the outcome
// is theirs when all agree, and not comparable when they differ.
func Agree(all []Judgement) (reading.Outcome, string) {
	if len(all) == 0 {
		return reading.NotComparable, "There is no stretch to judge."
	}
	first := all[0].Verdict.Outcome
	count := map[reading.Outcome]int{}
	for _, j := range all {
		count[j.Verdict.Outcome]++
	}
	if count[first] == len(all) {
		return first, fmt.Sprintf("%s in all stretches: %d.", first, len(all))
	}
	says := "The stretches differ:"
	for _, o := range []reading.Outcome{reading.Conforming, reading.NonConforming, reading.TooClose, reading.NotComparable} {
		if count[o] > 0 {
			says += fmt.Sprintf(" %d %s,", count[o], o)
		}
	}
	return reading.NotComparable, says[:len(says)-1] + "; look at what else changed between them."
}
