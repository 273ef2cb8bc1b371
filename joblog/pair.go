package joblog

import (
	"slices"

	"elbowroom/guide"
)

// Pair is the same thing read before and after the work.
type Pair struct {
	Check  guide.ID `json:"check,omitempty"`
	What   string   `json:"what,omitempty"`
	Point  string   `json:"point,omitempty"`
	Before Reading  `json:"before"`
	After  Reading  `json:"after"`
}

// BeforeAfter pairs the first and the last reading of everything that was read
// more than once: by check, what and point. The order is that of the first
// readings.
func (s State) BeforeAfter() []Pair {
	var pairs []Pair
	for i, r := range s.Readings {
		same := func(o Reading) bool { return o.Check == r.Check && o.What == r.What && o.Point == r.Point }
		if slices.IndexFunc(s.Readings, same) != i {
			continue
		}
		last := r
		for _, o := range s.Readings[i+1:] {
			if same(o) {
				last = o
			}
		}
		if last.ID != r.ID {
			pairs = append(pairs, Pair{r.Check, r.What, r.Point, r, last})
		}
	}
	return pairs
}
