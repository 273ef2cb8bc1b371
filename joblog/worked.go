package joblog

import (
	"cmp"
	"slices"
	"time"
)

// MaxSilence is the longest time between two events of a person that counts as
// work when no pause was said.
const MaxSilence = 3 * time.Hour

// shift follows one person on one device.
type shift struct {
	last    Moment
	begun   bool
	resting *Pause
	worked  time.Duration
	unclear bool
}

// work adds up the time that people worked. Times are compared on one device
// only, since clocks differ. What passes between two events of a person counts
// for the step that the person ticks next.
func (f *folding) work() {
	type hand struct {
		by  Person
		dev Device
	}
	var hands []hand
	events := map[hand][]*placed{}
	for _, p := range f.order {
		h := hand{p.Author, p.Device}
		if events[h] == nil {
			hands = append(hands, h)
		}
		events[h] = append(events[h], p)
	}
	slices.SortFunc(hands, func(a, b hand) int { return cmp.Or(cmp.Compare(a.by, b.by), cmp.Compare(a.dev, b.dev)) })
	for _, h := range hands {
		list := events[h]
		slices.SortStableFunc(list, func(a, b *placed) int { return cmp.Or(cmp.Compare(a.Seq, b.Seq), a.ID.Compare(b.ID)) })
		s := shift{}
		for _, p := range list {
			f.pass(&s, p)
		}
		f.rest(&s, 0)
	}
	slices.SortStableFunc(f.s.Worked, func(a, b Worked) int { return cmp.Compare(f.byID[a.Done].pos, f.byID[b.Done].pos) })
	slices.SortStableFunc(f.s.Pauses, func(a, b Pause) int { return cmp.Compare(f.byID[a.ID].pos, f.byID[b.ID].pos) })
}

// pass lets the time to the next event of a person go by.
func (f *folding) pass(s *shift, p *placed) {
	gone := p.At.Since(s.last)
	switch {
	case !s.begun:
		s.unclear = true
	case gone < 0:
		s.unclear = true
		f.s.Silences = append(f.s.Silences, Silence{p.Author, s.last, p.At})
	case s.resting != nil:
	case gone > MaxSilence:
		s.unclear = true
		f.s.Silences = append(f.s.Silences, Silence{p.Author, s.last, p.At})
	default:
		s.worked += gone
	}
	f.rest(s, p.At)
	switch b := p.body.(type) {
	case *Paused:
		s.resting = &Pause{Stamp: p.stamp(), Reason: b.Reason}
	case *HandedOver:
		s.resting = &Pause{Stamp: p.stamp(), Reason: "handed over"}
	case *StepDone:
		f.credit(s, p)
	case *Arrived, *PlanTaken, *Resumed:
		s.unclear = s.unclear && s.begun // a beginning that is said is a good one
	}
	s.last, s.begun = p.At, true
}

// rest ends a pause; until is zero when it lasts.
func (f *folding) rest(s *shift, until Moment) {
	if s.resting == nil {
		return
	}
	s.resting.Until = until
	if s.resting.Reason != "handed over" {
		f.s.Pauses = append(f.s.Pauses, *s.resting)
	}
	s.resting = nil
}

// credit puts the time worked to the step that is ticked.
func (f *folding) credit(s *shift, p *placed) {
	key, ok := f.refs[p.ID]
	if !ok {
		return
	}
	f.s.Worked = append(f.s.Worked, Worked{
		By: p.Author, Plan: key.plan, Step: key.step, Done: p.ID, Act: f.steps[key].act, Time: s.worked, Unclear: s.unclear,
	})
	s.worked, s.unclear = 0, false
}
