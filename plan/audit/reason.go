package audit

import (
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
)

// Reason is one sentence on why something cannot be, with the names it speaks
// of.
type Reason struct {
	says string
	a, b guide.ID
}

func reason(says string, a, b guide.ID) Reason { return Reason{says, a, b} }

// String returns the sentence with its names filled in.
func (r Reason) String() string {
	return strings.NewReplacer("{a}", string(r.a), "{b}", string(r.b)).Replace(r.says)
}

// Refusal is the error of a step that cannot be done. Reasons has at least one
// entry.
type Refusal struct {
	Step    plan.Step
	Reasons []Reason
}

// Error names the step and every reason.
func (e *Refusal) Error() string {
	return Words(e.Step) + ": " + join(e.Reasons)
}

func join(reasons []Reason) string {
	words := make([]string, len(reasons))
	for i, r := range reasons {
		words[i] = r.String()
	}
	return strings.Join(words, "; ")
}

// Words says a step in a few words: "clear AR02 off", "battery to off".
func Words(s plan.Step) string {
	switch s.Kind {
	case plan.Clear:
		return "take " + string(s.Item) + " " + string(s.Verb)
	case plan.Refit:
		return "refit " + string(s.Item)
	case plan.Change:
		return "change " + string(s.Condition) + " to " + string(s.To)
	case plan.Await:
		return "wait for " + string(s.Condition) + "=" + string(s.To)
	case plan.Do:
		return string(s.Verb) + " " + string(s.Item)
	}
	return "step of unknown kind " + string(s.Kind)
}
