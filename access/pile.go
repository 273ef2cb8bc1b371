package access

import "container/heap"

// wanted is an act, by number, with its key within a rank.
type wanted struct{ key, act int }

// pile holds the acts of one rank by key, all together and by place. An act
// lies in both heaps; whoever takes it out of one finds it stale in the other.
type pile struct {
	all heapOf
	at  map[int32]*heapOf // by place
}

func (p *pile) push(place int32, x wanted) {
	heap.Push(&p.all, x)
	h := p.at[place]
	if h == nil {
		h = &heapOf{}
		p.at[place] = h
	}
	heap.Push(h, x)
}

// pop takes out the first act; when places count, first of those at the place
// or at none. The same act may come out twice.
func (p *pile) pop(place int32, placesCount bool) (wanted, bool) {
	if !placesCount {
		return p.all.pop()
	}
	here, free := p.at[place], p.at[none]
	if here != nil && len(*here) > 0 && (free == nil || len(*free) == 0 || !less((*free)[0], (*here)[0])) {
		return here.pop()
	}
	if free != nil && len(*free) > 0 {
		return free.pop()
	}
	return p.all.pop()
}

type heapOf []wanted

func less(a, b wanted) bool         { return a.key < b.key || a.key == b.key && a.act < b.act }
func (h heapOf) Len() int           { return len(h) }
func (h heapOf) Less(i, k int) bool { return less(h[i], h[k]) }
func (h heapOf) Swap(i, k int)      { h[i], h[k] = h[k], h[i] }
func (h *heapOf) Push(x any)        { *h = append(*h, x.(wanted)) }
func (h *heapOf) Pop() any {
	last := (*h)[len(*h)-1]
	*h = (*h)[:len(*h)-1]
	return last
}

func (h *heapOf) pop() (wanted, bool) {
	if len(*h) == 0 {
		return wanted{}, false
	}
	return heap.Pop(h).(wanted), true
}
