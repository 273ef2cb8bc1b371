package decidetest

import "elbowroom/suspect/decide"

// Nearest is the same machine with one alternative for each action: the one
// that costs least together with putting everything back after it. It is what
// a planner of ways in offers.
type Nearest struct{ Machine *Operations }

// Start is that of the machine.
func (n Nearest) Start() decide.State { return n.Machine.Start() }

// Do is the one alternative.
func (n Nearest) Do(s decide.State, a decide.Action) []decide.Move {
	var best []decide.Move
	least := int64(0)
	for _, mv := range n.Machine.Do(s, a) {
		back, _ := n.Machine.Close(mv.After)
		if best == nil || mv.Cost+back < least {
			best, least = []decide.Move{mv}, mv.Cost+back
		}
	}
	return best
}

// Close is that of the machine.
func (n Nearest) Close(s decide.State) (int64, bool) { return n.Machine.Close(s) }

// Own is that of the machine.
func (n Nearest) Own(a decide.Action) int64 { return n.Machine.Own(a) }

// Access is that of the machine.
func (n Nearest) Access(s decide.State, as []decide.Action) int64 { return n.Machine.Access(s, as) }
