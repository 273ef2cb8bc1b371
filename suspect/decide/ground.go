package decide

// State is a machine state that a [Ground] hands out; only the Ground knows
// what it means. Equal numbers mean equal states.
type State int

// Move is one alternative of doing an action from a machine state.
type Move struct {
	Cost  int64 // everything up to and including the action
	After State // the machine state it leaves
}

// Ground prices work over the states of one machine. The package asks it
// lazily and never twice for the same thing. It must be deterministic.
//
// Two laws hold. No action is needed for what comes after it: whatever can be
// had from m.After at some cost can be had from s at that cost plus
// m.Cost - Own(a), for every move m of Do(s, a). And no move costs less than
// Own of its action.
type Ground interface {
	// Start is the state that the machine stands in now.
	Start() State
	// Do lists the alternatives of doing a from s: each with the cost up to
	// and including a and the state after. Alternatives that are no cheaper
	// and no better placed than another may be left out. None means that a
	// cannot be done from s.
	Do(s State, a Action) []Move
	// Close prices putting everything back as the job must end; false means
	// that it cannot be done from s.
	Close(s State) (cost int64, ok bool)
	// Own is the part of the cost of a that is paid from every state: its own
	// minutes. It is not negative and does not depend on the state.
	Own(a Action) int64
	// Access is a bound: no course from s that does all of as, in any order and
	// whatever else it does, and then closes, costs less than this beyond the
	// sum of Own of everything that it does. No action in as is NoWork; as may
	// be empty. 0 is always right; the larger, the less has to be searched.
	Access(s State, as []Action) int64
}

// Explicit is a Ground whose states and single steps can be listed. For it the
// exhaustive solver answers all machine states of one information state by one
// shortest-path sweep.
type Explicit interface {
	Ground
	// States is the number of states; they are numbered from 0.
	States() int
	// Steps lists the single steps from s (taking one thing off, putting one
	// thing back), none of which does an action.
	Steps(s State) []Move
	// Here prices doing a in s without any step; false means that s does not
	// allow it.
	Here(s State, a Action) (Move, bool)
}

// Prices is the Ground of a machine that never changes: action a costs
// Prices[a] and nothing has to be put back.
type Prices []int64

// Start returns the only state.
func (p Prices) Start() State { return 0 }

// Do returns the one alternative, or none for an action without a price.
func (p Prices) Do(_ State, a Action) []Move {
	if a < 0 || int(a) >= len(p) {
		return nil
	}
	return []Move{{Cost: p[a]}}
}

// Close costs nothing.
func (p Prices) Close(State) (int64, bool) { return 0, true }

// Own is the whole price.
func (p Prices) Own(a Action) int64 {
	if a < 0 || int(a) >= len(p) {
		return 0
	}
	return p[a]
}

// Access is nothing.
func (p Prices) Access(State, []Action) int64 { return 0 }
