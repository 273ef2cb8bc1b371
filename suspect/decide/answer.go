package decide

import (
	"cmp"
	"math"
	"slices"
)

// Status says how far an answer is proved.
type Status int

const (
	// Proved means that no policy is cheaper (within [Tie]).
	Proved Status = iota
	// Bounded means that a policy was found, and that Answer.Bound says how much
	// cheaper another could be at most. Expected is +Inf if the search was
	// stopped before any policy was complete.
	Bounded
	// Impossible means that no policy ends the job for certain: there is no way
	// to refer on and some living world can be neither repaired nor proved.
	Impossible
)

// Tie is the relative difference under which two expected costs are the same.
const Tie = 1e-9

// Kind says what a step is.
type Kind int

const (
	// Refer is to refer on; Step.Index counts Problem.Escapes.
	Refer Kind = iota
	// Prove is the closing proof.
	Prove
	// Mend is a repair; Step.Index counts Problem.Repairs.
	Mend
	// Ask is a check; Step.Index counts Problem.Checks.
	Ask
)

// Step is one choice.
type Step struct {
	Kind  Kind
	Index int
	Move  int   // which alternative of Ground.Do, counted from 0
	Cost  int64 // of the step itself; for Refer with the putting back, without Escape.Extra
	After State // machine state after it
}

// Same reports whether two steps do the same thing, in whatever way.
func (s Step) Same(t Step) bool { return s.Kind == t.Kind && s.Index == t.Index }

// Choice is a first step with what it leads to.
type Choice struct {
	Step     Step
	Expected float64 // cost of the best course found that begins with it; +Inf if none was worked out
	Bound    float64 // no course that begins with it costs less
}

// Work counts what an answer took.
type Work struct {
	Beliefs int // information states met
	Nodes   int // pairs of information and machine state opened
	Moves   int // questions to the Ground
	Rounds  int // times the search went down from the start
}

// Limits bound the work of a search. The zero value searches to the proof.
type Limits struct {
	Nodes     int         // pairs of information and machine state to open; 0 is unlimited
	Gap       float64     // stop when (Expected-Bound)/Expected is at most this
	FirstOnly bool        // stop when the first step is certain, whatever the rest costs; no runner-up
	Stop      func() bool // asked now and then; true stops the search
}

// Answer is what [Solve] found. It may be walked further by [Answer.Root]; it
// is not safe for several goroutines at once.
type Answer struct {
	Status   Status
	Expected float64 // cost of the policy found
	Bound    float64 // no policy costs less
	First    Step
	Choices  []Choice // every first step that makes sense, the cheapest first; the first is First
	Refer    float64  // what referring on at once costs; +Inf if there is no way to
	OneStep  float64  // cost of the policy that looks one answer ahead
	Work     Work

	s    *search
	root *node
}

// RunnerUp is the best other first step, and whether there is one. What it
// loses is known to lie between Bound and Expected of it, less Expected of the
// answer.
func (a *Answer) RunnerUp() (Choice, bool) {
	for _, c := range a.Choices {
		if !c.Step.Same(a.First) {
			return c, true
		}
	}
	return Choice{}, false
}

func sortChoices(out []Choice) {
	slices.SortStableFunc(out, func(a, b Choice) int {
		if d := a.Expected - b.Expected; !math.IsNaN(d) && math.Abs(d) > tie(a.Expected) {
			return cmp.Compare(a.Expected, b.Expected)
		}
		if math.IsInf(a.Expected, 1) && a.Bound != b.Bound {
			return cmp.Compare(a.Bound, b.Bound)
		}
		if a.Step.Kind != b.Step.Kind {
			return cmp.Compare(a.Step.Kind, b.Step.Kind)
		}
		return cmp.Compare(a.Step.Index, b.Step.Index)
	})
}
