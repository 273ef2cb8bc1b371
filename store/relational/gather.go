package relational

import (
	"context"
	"runtime"
	"slices"
	"sync"

	"elbowroom/joblog"
	"elbowroom/store"
)

// call is one Append on its way.
type call struct {
	place    int64
	job      joblog.Job
	events   []store.Event
	receipts []store.Receipt
	err      error
	done     chan struct{}
}

// Bounds of one transaction of gathered calls.
const (
	mostCalls  = 128
	mostEvents = 2 * store.MaxBatch
)

// gatherer puts calls of a place that come in while a transaction is being made
// durable together into the next one.
type gatherer struct {
	commit func(ctx context.Context, calls []*call) error

	mu     sync.Mutex
	queues map[int64]*queue
}

type queue struct {
	waiting []*call
	busy    bool
}

// append waits until the call is stored or refused. When the context ends
// before its transaction begins, the call is taken back; when it ends later,
// the outcome is unknown to the caller.
func (g *gatherer) append(ctx context.Context, c *call) ([]store.Receipt, error) {
	c.done = make(chan struct{})
	g.mu.Lock()
	if g.queues == nil {
		g.queues = map[int64]*queue{}
	}
	q := g.queues[c.place]
	if q == nil {
		q = &queue{}
		g.queues[c.place] = q
	}
	q.waiting = append(q.waiting, c)
	if !q.busy {
		q.busy = true
		go g.run(context.WithoutCancel(ctx), q)
	}
	g.mu.Unlock()
	select {
	case <-c.done:
		return c.receipts, c.err
	case <-ctx.Done():
		g.mu.Lock()
		defer g.mu.Unlock()
		q.waiting = slices.DeleteFunc(q.waiting, func(o *call) bool { return o == c })
		return nil, ctx.Err()
	}
}

// run commits what waits until nothing does.
func (g *gatherer) run(ctx context.Context, q *queue) {
	for {
		calls := g.take(q)
		if len(calls) == 0 {
			return
		}
		limited, cancel := context.WithTimeout(ctx, CommitTime)
		err := g.commit(limited, calls)
		cancel()
		for _, c := range calls {
			if err != nil {
				c.receipts, c.err = nil, err
			}
			close(c.done)
		}
		// Those who were answered may have more: let them come before the next
		// transaction begins.
		runtime.Gosched()
	}
}

func (g *gatherer) take(q *queue) []*call {
	g.mu.Lock()
	defer g.mu.Unlock()
	n, total := 0, 0
	for n < len(q.waiting) && n < mostCalls && (n == 0 || total+len(q.waiting[n].events) <= mostEvents) {
		total += len(q.waiting[n].events)
		n++
	}
	calls := slices.Clone(q.waiting[:n])
	q.waiting = slices.Delete(q.waiting, 0, n)
	if n == 0 {
		q.busy = false
	}
	return calls
}
