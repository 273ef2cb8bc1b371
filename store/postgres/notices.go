package postgres

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"

	"elbowroom/store"
)

// channel is the name under which servers tell each other of new events.
const channel = "elbowroom_events"

// retry is how long to wait after a broken connection. Watchers look for
// themselves meanwhile.
const retry = 500 * time.Millisecond

// notices are sent and heard on two connections of their own.
type notices struct {
	config *pgx.ConnConfig
	stop   context.CancelFunc
	ctx    context.Context // ends both connections
	done   sync.WaitGroup
	more   chan struct{}

	mu   sync.Mutex
	open map[int64]store.Cursor // by place: what is still to be told
}

func newNotices(config *pgx.ConnConfig) *notices {
	n := &notices{config: config.Copy(), more: make(chan struct{}, 1), open: map[int64]store.Cursor{}}
	// A notice need not survive a crash, so its commit need not wait.
	n.config.RuntimeParams["synchronous_commit"] = "off"
	n.ctx, n.stop = context.WithCancel(context.Background())
	return n
}

// start begins to send and to listen.
func (n *notices) start(heard func(place int64, newest store.Cursor)) {
	n.done.Go(func() { n.keep(n.send) })
	n.done.Go(func() {
		n.keep(func(ctx context.Context, conn *pgx.Conn) error { return listen(ctx, conn, heard) })
	})
}

// keep runs fn on a connection, again and again until the store is closed.
// Errors only mean that notices come late.
func (n *notices) keep(fn func(context.Context, *pgx.Conn) error) {
	for n.ctx.Err() == nil {
		if conn, err := pgx.ConnectConfig(n.ctx, n.config); err == nil {
			_ = fn(n.ctx, conn)
			ended, cancel := context.WithTimeout(context.WithoutCancel(n.ctx), time.Second)
			_ = conn.Close(ended)
			cancel()
		}
		select {
		case <-n.ctx.Done():
		case <-time.After(retry):
		}
	}
}

// tell notes what is to be told; it never blocks.
func (n *notices) tell(place int64, newest store.Cursor) {
	n.mu.Lock()
	n.open[place] = max(n.open[place], newest)
	n.mu.Unlock()
	select {
	case n.more <- struct{}{}:
	default:
	}
}

func (n *notices) send(ctx context.Context, conn *pgx.Conn) error {
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-n.more:
		}
		n.mu.Lock()
		open := n.open
		n.open = map[int64]store.Cursor{}
		n.mu.Unlock()
		for place, newest := range open {
			if _, err := conn.Exec(ctx, "SELECT pg_notify($1, $2)", channel, fmt.Sprintf("%d %d", place, newest)); err != nil {
				return err
			}
		}
	}
}

func listen(ctx context.Context, conn *pgx.Conn, heard func(place int64, newest store.Cursor)) error {
	if _, err := conn.Exec(ctx, "LISTEN "+channel); err != nil {
		return err
	}
	for {
		notice, err := conn.WaitForNotification(ctx)
		if err != nil {
			return err
		}
		place, newest, _ := strings.Cut(notice.Payload, " ")
		p, errP := strconv.ParseInt(place, 10, 64)
		c, errC := strconv.ParseInt(newest, 10, 64)
		if errP == nil && errC == nil {
			heard(p, store.Cursor(c))
		}
	}
}

func (n *notices) close() error {
	n.stop()
	n.done.Wait()
	return nil
}
