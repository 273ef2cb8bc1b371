package joblog

import (
	"bytes"
	"slices"
)

// Claim is what the receiver knows of who sends an event, whatever the event
// says. An empty field is not compared.
type Claim struct {
	Job    Job
	Author Person
	Device Device
	People []Person // who works here; empty means that nobody is asked
	Now    Moment   // time of receipt
}

// MostAhead is how far the clock of a device may be ahead of the receiver. A
// clock that is wrong by less is no reason to lose anybody's work; the order
// of events does not lean on it.
const MostAhead Moment = 366 * 24 * 60 * 60 * 1000

// Accept says whether an event may enter the log: nil when it may, also when
// it is there already. It refuses what is malformed, forged or impossible
// whatever else may still arrive. It does not refuse what two people could
// have done apart from each other, such as a step that is not possible any
// more: the fold shows that. Log.Add lets in what Accept would refuse, so that
// a log that is only carried loses nothing.
func Accept(l *Log, e Event, c Claim) []Refusal {
	if wrong := e.wrong(); len(wrong) > 0 {
		return []Refusal{refuse(e, BadForm, "%s", badForm(wrong))}
	}
	if list := l.entries[e.ID]; len(list) > 0 {
		text, _ := Encode(e) // its form was looked at above
		if slices.ContainsFunc(list, func(o entry) bool { return bytes.Equal(o.text, text) }) {
			return nil
		}
		return []Refusal{refuse(e, IDClash, "another event bears its id: %s of %s", list[0].record.Event.Kind, list[0].record.Event.Author)}
	}
	var why []Refusal
	why = append(why, c.sender(l, e)...)
	why = append(why, l.fits(e)...)
	return append(why, l.refers(e)...)
}

// sender compares who sends the event with who it says has written it.
func (c Claim) sender(l *Log, e Event) []Refusal {
	var why []Refusal
	if e.Job != l.job || c.Job != "" && e.Job != c.Job {
		why = append(why, refuse(e, WrongJob, "it belongs to job %s and not to %s", e.Job, l.job))
	}
	if c.Author != "" && e.Author != c.Author {
		why = append(why, refuse(e, WrongAuthor, "it says that %s wrote it, and %s sends it", e.Author, c.Author))
	}
	if c.Device != "" && e.Device != c.Device {
		why = append(why, refuse(e, WrongAuthor, "it says that it was written on %s, and %s sends it", e.Device, c.Device))
	}
	if len(c.People) > 0 && !slices.Contains(c.People, e.Author) {
		why = append(why, refuse(e, UnknownPerson, "nobody called %s works here", e.Author))
	}
	if d, ok := e.Body.(*Deviation); ok && d.Signed != e.Author {
		why = append(why, refuse(e, WrongAuthor, "%s signs for %s; everybody signs for themselves", e.Author, d.Signed))
	}
	if c.Now != 0 && e.At > c.Now+MostAhead {
		why = append(why, refuse(e, ImpossibleTime, "it was written at %s and received at %s: set the clock of the device", e.At, c.Now))
	}
	return why
}

// fits compares an event with those that are here, and says the first thing
// that does not fit.
func (l *Log) fits(e Event) []Refusal {
	var why []Refusal
	var first ID // the event that it does not fit to
	devices := map[Device]bool{}
	for id, list := range l.entries {
		o := list[0].record.Event
		devices[o.Device] = true
		if r, bad := clash(e, o); bad && (first.Zero() || id.Compare(first) < 0) {
			why, first = []Refusal{r}, id
		}
	}
	switch {
	case len(why) > 0:
	case !devices[e.Device] && len(devices) >= MaxDevices:
		why = append(why, refuse(e, BadForm, "a job has %d devices at most", MaxDevices))
	case l.size >= MaxEvents:
		why = append(why, refuse(e, BadForm, "a job has %d events at most", MaxEvents))
	}
	return why
}

// clash says why an event cannot be true beside another one.
func clash(e, o Event) (Refusal, bool) {
	switch {
	case o.Device != e.Device && e.Seen[o.Device] >= o.Seq && o.Seen[e.Device] >= e.Seq:
		return refuse(e, ImpossibleOrder, "it claims to have seen %s, which had seen it", o.ID), true
	case o.Device != e.Device:
		return Refusal{}, false
	case o.Seq == e.Seq:
		return refuse(e, SequenceClash, "%s has written another event with the number %d, %s", e.Device, e.Seq, o.ID), true
	case (o.Seq < e.Seq) != (o.ID.Compare(e.ID) < 0):
		return refuse(e, ImpossibleTime, "its id does not fit between those of %s: the ids of a device rise with its numbers", e.Device), true
	}
	return Refusal{}, false
}

// refers compares what an event speaks of with what is here. What is not here
// may still arrive.
func (l *Log) refers(e Event) []Refusal {
	var why []Refusal
	kind := func(id ID, kinds ...Kind) Body {
		o, here := l.Event(id)
		if !here || o.Foreign() || id.Zero() {
			return nil
		}
		if !slices.Contains(kinds, o.Kind) {
			why = append(why, refuse(e, UnknownEvent, "it takes %s for %s; it is %s", id, kinds[0], o.Kind))
			return nil
		}
		return o.Body
	}
	step := func(id ID, n int) {
		if t, ok := kind(id, KindPlan).(*PlanTaken); ok && n > len(t.Steps) {
			why = append(why, refuse(e, UnknownStep, "the plan has %d steps and no step %d", len(t.Steps), n))
		}
	}
	switch b := e.Body.(type) {
	case *StepDone:
		step(b.Plan, b.Step)
	case *StepUndone:
		step(b.Plan, b.Step)
		kind(b.Done, KindDone)
	case *PictureAdded:
		step(b.Plan, b.Step)
	case *SignWithdrawn:
		kind(b.Of, KindSign, KindCode)
	case *VerdictRecorded:
		kind(b.Of, KindReading)
	case *ProofMade:
		for _, id := range b.Readings {
			kind(id, KindReading)
		}
	case *Correction:
		if b.With != nil {
			kind(b.Of, b.With.Kind)
		}
	case *Deviation:
		for _, s := range b.Steps {
			step(s.Plan, s.Step)
		}
	}
	return why
}
