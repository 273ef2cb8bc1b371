package andor

// factHeap is a binary heap of facts by distance, ties by number, that knows
// where each fact is, so that a distance can be lowered in place.
type factHeap[D int64 | float64] struct {
	item []int32
	at   []int32 // by fact: 1 + position, 0 when absent
}

func (h *factHeap[D]) reset(facts int) {
	if len(h.at) < facts {
		h.at = make([]int32, facts)
	}
	for _, f := range h.item {
		h.at[f] = 0
	}
	h.item = h.item[:0]
}

func (h *factHeap[D]) empty() bool { return len(h.item) == 0 }

// push adds f, or restores the order after its distance was lowered.
func (h *factHeap[D]) push(f int32, dist []D) {
	i := int(h.at[f]) - 1
	if i < 0 {
		i = len(h.item)
		h.item = append(h.item, f)
	}
	d := dist[f]
	for i > 0 {
		up := (i - 1) / 2
		g := h.item[up]
		if dist[g] < d || dist[g] == d && g <= f {
			break
		}
		h.item[i] = g
		h.at[g] = int32(i + 1)
		i = up
	}
	h.item[i] = f
	h.at[f] = int32(i + 1)
}

// pop removes and returns the fact with the least distance.
func (h *factHeap[D]) pop(dist []D) int32 {
	top := h.item[0]
	h.at[top] = 0
	last := len(h.item) - 1
	f := h.item[last]
	h.item = h.item[:last]
	if last == 0 {
		return top
	}
	d, i := dist[f], 0
	for {
		kid := 2*i + 1
		if kid >= last {
			break
		}
		if r := kid + 1; r < last && less(dist, h.item[r], h.item[kid]) {
			kid = r
		}
		g := h.item[kid]
		if d < dist[g] || d == dist[g] && f <= g {
			break
		}
		h.item[i] = g
		h.at[g] = int32(i + 1)
		i = kid
	}
	h.item[i] = f
	h.at[f] = int32(i + 1)
	return top
}

func less[D int64 | float64](dist []D, f, g int32) bool {
	return dist[f] < dist[g] || dist[f] == dist[g] && f < g
}
