package joblog

import (
	"errors"
	"strings"
	"testing"
)

// TestAcceptRefuses: what is forged or impossible does not come in, and
// nothing has changed then.
func TestAcceptRefuses(t *testing.T) {
	claim := Claim{Job: "j-1", Author: "pellow", Device: "phone-a", People: []Person{"pellow", "veld"}, Now: morning + 86_400_000}
	for _, c := range []struct {
		name   string
		spoil  func(*Event, Event) // the event, and the one before it of the same phone
		why    Why
		says   string
		reason string
	}{
		{"another job", func(e *Event, _ Event) { e.Job = "j-2" }, WrongJob, "j-2", "sent to the wrong address"},
		{"another author", func(e *Event, _ Event) { e.Author = "veld" }, WrongAuthor, "says that veld wrote it", "only one's own events are sent"},
		{"another device", func(e *Event, _ Event) { e.Device = "phone-b" }, WrongAuthor, "written on phone-b", "only one's own events are sent"},
		{"same id, other content", func(e *Event, o Event) { e.ID, e.Seq, e.At = o.ID, o.Seq, o.At }, IDClash, "another event bears its id", "history is not rewritten"},
		{"same number", func(e *Event, o Event) { e.Seq = o.Seq }, SequenceClash, "another event with the number 2", "a copied phone"},
		{"id before the one before", func(e *Event, o Event) { e.ID, e.At = NewID(morning, [10]byte{}), morning }, ImpossibleTime, "rise with its numbers", "written in afterwards"},
		{"next year", func(e *Event, _ Event) {
			e.At = claim.Now + MostAhead + 60_000
			e.ID = NewID(e.At, [10]byte{})
		}, ImpossibleTime, "set the clock", "no clock is as wrong as that"},
		{"no form", func(e *Event, _ Event) { e.Body = &Note{} }, BadForm, "text is empty", "an empty note"},
		{"no step", func(e *Event, o Event) { e.Body, e.Kind = &StepDone{Plan: o.ID, Step: 99}, KindDone }, UnknownStep, "no step 99", "the plan is here and has none"},
		{"no plan", func(e *Event, o Event) { e.Body, e.Kind = &VerdictRecorded{Of: o.ID, Verdict: Conforming}, KindVerdict }, UnknownEvent, "it is plan", "a plan is no reading"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, _, id := bench(t, "valley")
			before, _ := p.log.Event(id)
			e := p.event(&Note{Text: "hello"})
			if why := Accept(p.log, e, claim); why != nil {
				t.Fatal(Says(why))
			}
			c.spoil(&e, before)
			why := Accept(p.log, e, claim)
			if len(why) != 1 || why[0].Why != c.why || !strings.Contains(why[0].Says, c.says) || why[0].Event != e.ID {
				t.Errorf("%v, want %s: %s", why, c.why, c.reason)
			}
			if p.log.Len() != 2 {
				t.Errorf("the log has %d events now", p.log.Len())
			}
		})
	}
}

// TestAcceptLetsIn: what two people can have done apart from each other is no
// forgery, and what is known already is no news.
func TestAcceptLetsIn(t *testing.T) {
	p, _, id := bench(t, "two-sensors")
	known, _ := p.log.Event(id)
	for _, c := range []struct {
		name string
		e    Event
	}{
		{"known already", known},
		{"a step that is not possible", p.event(&StepDone{Plan: id, Step: 9})},
		{"a plan that has not arrived", p.event(&StepDone{Plan: NewID(morning, [10]byte{9}), Step: 99})},
		{"a reading that has not arrived", p.event(&VerdictRecorded{Of: NewID(morning, [10]byte{9}), Verdict: Conforming})},
		{"a clock a month ahead", func() Event {
			q := newPhone("j-1", "veld", "phone-b")
			q.clock += 30 * 86_400_000
			return q.event(&Note{Text: "hello"})
		}()},
		{"a gap before it", func() Event {
			e := p.event(&Note{Text: "hello"})
			e.Seq += 5
			return e
		}()},
	} {
		t.Run(c.name, func(t *testing.T) {
			if why := Accept(p.log, c.e, Claim{Job: "j-1", Now: morning}); why != nil {
				t.Error(Says(why))
			}
		})
	}
}

func TestLogRefuses(t *testing.T) {
	p, _, _ := bench(t, "valley")
	other := NewLog("j-2")
	if _, err := other.Merge(p.log); !errors.Is(err, ErrLog) || other.Len() != 0 {
		t.Errorf("logs of two jobs are merged: %v, %d events", err, other.Len())
	}
	for _, r := range p.log.Records() {
		if _, err := other.Add(r); !errors.Is(err, ErrLog) {
			t.Errorf("an event of another job is added: %v", err)
		}
	}
	if _, err := p.log.Add(Record{}); !errors.Is(err, ErrForm) {
		t.Errorf("nothing is added: %v", err)
	}
}

// TestReceived: of two times of receipt the earlier one is kept, and it has no
// part in the state.
func TestReceived(t *testing.T) {
	p, _, id := bench(t, "valley")
	e, _ := p.log.Event(id)
	want := text(t, p.state(t))
	for _, c := range []struct{ at, want Moment }{{morning + 9, morning + 9}, {morning + 5, morning + 5}, {morning + 7, morning + 5}, {0, morning + 5}} {
		if added, err := p.log.Add(Record{c.at, e}); added || err != nil {
			t.Fatal(added, err)
		}
		for _, r := range p.log.Records() {
			if r.Event.ID == id && r.Received != c.want {
				t.Errorf("received %s, want %s", r.Received, c.want)
			}
		}
	}
	if got := text(t, p.state(t)); got != want {
		t.Error("the time of receipt changes the state")
	}
}
