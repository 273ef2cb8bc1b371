package joblog

import "slices"

// head is one present opinion: what an event said, which nobody who had seen
// it has said otherwise.
type head[T comparable] struct {
	value T
	at    *placed // the event that says so
	since *placed // the event since which it has held, through repeats and settled disputes
}

// heads are the present opinions on one matter, in the order of the log. One
// is agreement with itself; two that say the same were said twice, neither
// knowing of the other; two that differ are a dispute.
type heads[T comparable] []head[T]

// put adds what an event says: it replaces the opinions that the event had
// seen, and goes on from one of them that says the same.
func (h heads[T]) put(at *placed, value T) heads[T] {
	fresh := head[T]{value, at, at}
	kept := make(heads[T], 0, len(h)+1)
	for _, o := range h {
		switch {
		case !at.saw(o.at):
			kept = append(kept, o)
		case o.value == value && fresh.since == at:
			fresh.since = o.since
		}
	}
	return append(kept, fresh)
}

// agreed returns the value and true when there is an opinion and no dispute.
func (h heads[T]) agreed() (value T, ok bool) {
	if len(h) == 0 || h.disputed() {
		return value, false
	}
	return h[0].value, true
}

// disputed reports whether opinions differ.
func (h heads[T]) disputed() bool {
	return slices.ContainsFunc(h, func(o head[T]) bool { return o.value != h[0].value })
}

// last returns the opinion that is last in the order of the log.
func (h heads[T]) last() (head[T], bool) {
	if len(h) == 0 {
		return head[T]{}, false
	}
	return h[len(h)-1], true
}

// events returns the ids of the events behind the opinions.
func (h heads[T]) events() []ID {
	ids := make([]ID, len(h))
	for i, o := range h {
		ids[i] = o.at.ID
	}
	return ids
}
