package app

import (
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"elbowroom/access"
	"elbowroom/plan"
)

// maxPricings bounds how many states of machines are kept priced.
const maxPricings = 8

// pricings keeps what single moves cost, by machine and by the state that it
// stands in, so that the next question about the same machine does not plan
// the same ways in again. It is safe for use by several goroutines.
type pricings struct {
	mu   sync.Mutex
	list []*pricing // used last, last
}

// pricing is one machine in one state.
type pricing struct {
	b     *bench
	key   string
	moves *access.Moves
	end   atomic.Pointer[time.Time] // when the last of the questions that use it must end
}

// moves prices single moves on the machine of a request, for a question that
// must end at the given time. Several questions may share the answer; a way in
// that is being planned is given up when the last of them must end, and is
// then not kept.
func (p *pricings) moves(b *bench, base plan.Request, w allowance) (*access.Moves, error) {
	base.Tasks = nil
	key := fmt.Sprintf("%#v", base)
	p.mu.Lock()
	defer p.mu.Unlock()
	for i, k := range p.list {
		if k.b != b || k.key != key {
			continue
		}
		p.list = append(p.list[:i], p.list[i+1:]...)
		if k.moves.Full() {
			break
		}
		p.list = append(p.list, k)
		if w.end.After(*k.end.Load()) {
			k.end.Store(&w.end)
		}
		return k.moves, nil
	}
	k := &pricing{b: b, key: key}
	k.end.Store(&w.end)
	clock := w.clock
	m, err := b.planner.Moves(base, access.Limits{Stop: func() bool { return clock().After(*k.end.Load()) }})
	if err != nil {
		return nil, err
	}
	k.moves = m
	if len(p.list) >= maxPricings {
		p.list = append(p.list[:0], p.list[1:]...)
	}
	p.list = append(p.list, k)
	return m, nil
}
