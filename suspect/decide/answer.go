package decide

// Status says how far an answer is proved.
type Status int

const (
	// Proved: no policy is cheaper (within [Tie]).
	Proved Status = iota
	// Bounded: a policy was found; Answer.Bound says how much cheaper another
	// could be at most.
	Bounded
	// Impossible: no policy ends the job for certain; there is no way to refer
	// on and some living world can be neither repaired nor proved.
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

// Choice is a step with what it leads to.
type Choice struct {
	Step     Step
	Expected float64 // cost of the best course found that begins with it
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
	Nodes int         // pairs of information and machine state to open; 0 is unlimited
	Gap   float64     // stop when (Expected-Bound)/Expected is at most this
	Stop  func() bool // asked now and then; true stops the search
}
