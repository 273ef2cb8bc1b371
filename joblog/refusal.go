package joblog

import (
	"fmt"
	"strings"
)

// Why is the sort of a Refusal.
type Why string

// The sorts of refusal.
const (
	NewerProgram    Why = "newer program"    // only a newer program understands the event
	BadForm         Why = "bad form"         // the event is not well formed
	WrongJob        Why = "wrong job"        // it belongs to another job
	WrongAuthor     Why = "wrong author"     // its author or device is not who sends it, or signs for another
	UnknownPerson   Why = "unknown person"   // nobody of that name works here
	IDClash         Why = "id clash"         // another event bears the same id
	SequenceClash   Why = "sequence clash"   // another event of the device bears the same number
	ImpossibleTime  Why = "impossible time"  // its id does not fit between those of its device
	ImpossibleOrder Why = "impossible order" // it claims to have seen what came after it
	UnknownEvent    Why = "unknown event"    // it speaks of an event that is not there, or not of that sort
	UnknownPlan     Why = "unknown plan"     // it speaks of a plan that was not taken
	UnknownGuide    Why = "unknown guide"    // the pinned revision is not at hand, or cannot be used
	UnknownStep     Why = "unknown step"     // the plan or the guide has no such step
	UnknownThing    Why = "unknown thing"    // the guide has no such item, fastener, part or check
	ImpossibleStep  Why = "impossible step"  // the guide does not allow the step at that moment
	NotFinished     Why = "not finished"     // the job cannot be closed yet
)

// Refusal says why an event does not count, or would not. It is an answer and
// no error: the event stays in the log.
type Refusal struct {
	Event ID     `json:"event,omitzero"`
	Why   Why    `json:"why"`
	Says  string `json:"says"`
	// Step is set where a step of a plan is refused.
	Plan ID  `json:"plan,omitzero"`
	Step int `json:"step,omitempty"`
}

// String prints the sort and the sentence.
func (r Refusal) String() string { return string(r.Why) + ": " + r.Says }

func refuse(e Event, why Why, format string, args ...any) Refusal {
	return Refusal{Event: e.ID, Why: why, Says: fmt.Sprintf(format, args...)}
}

// Says joins refusals into one text, one sentence a line.
func Says(list []Refusal) string {
	lines := make([]string, len(list))
	for i, r := range list {
		lines[i] = r.String()
	}
	return strings.Join(lines, "\n")
}
