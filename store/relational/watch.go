package relational

import (
	"context"
	"sync"
	"time"

	"elbowroom/store"
)

// hub tells watchers of a place how far it has come.
type hub struct {
	look  func(ctx context.Context, place int64) (store.Cursor, error)
	every time.Duration

	mu      sync.Mutex
	places  map[int64]map[*watcher]bool
	polling map[int64]bool // places that one poll looks after
	closed  bool
}

// lookTime is how long one look may take.
const lookTime = 10 * time.Second

// watcher holds at most one cursor that was not fetched: the newest.
type watcher struct {
	out  chan store.Cursor
	sent store.Cursor
	stop context.CancelFunc
}

// tell passes a cursor on to every watcher of the place that has not seen it.
func (h *hub) tell(place int64, newest store.Cursor) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for w := range h.places[place] {
		if newest <= w.sent {
			continue
		}
		w.sent = newest
		select {
		case <-w.out: // an older one that nobody fetched
		default:
		}
		w.out <- newest
	}
}

// waiting reports whether somebody watches the place who has not seen a cursor.
func (h *hub) waiting(place int64, newest store.Cursor) bool {
	h.mu.Lock()
	defer h.mu.Unlock()
	for w := range h.places[place] {
		if w.sent < newest {
			return true
		}
	}
	return false
}

// join adds a watcher that ends with the context.
func (h *hub) join(ctx context.Context, place int64, now store.Cursor) (<-chan store.Cursor, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed {
		return nil, errClosed
	}
	ctx, cancel := context.WithCancel(ctx)
	w := &watcher{out: make(chan store.Cursor, 1), sent: now, stop: cancel}
	w.out <- now
	if h.places == nil {
		h.places, h.polling = map[int64]map[*watcher]bool{}, map[int64]bool{}
	}
	if h.places[place] == nil {
		h.places[place] = map[*watcher]bool{}
	}
	h.places[place][w] = true
	if !h.polling[place] {
		h.polling[place] = true
		go h.poll(place)
	}
	context.AfterFunc(ctx, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		delete(h.places[place], w)
		close(w.out)
	})
	return w.out, nil
}

// poll looks for itself as long as somebody watches the place.
func (h *hub) poll(place int64) {
	for {
		time.Sleep(h.every)
		h.mu.Lock()
		if len(h.places[place]) == 0 {
			delete(h.places, place)
			delete(h.polling, place)
			h.mu.Unlock()
			return
		}
		h.mu.Unlock()
		ctx, cancel := context.WithTimeout(context.Background(), lookTime)
		if newest, err := h.look(ctx, place); err == nil {
			h.tell(place, newest)
		}
		cancel()
	}
}

func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for _, list := range h.places {
		for w := range list {
			w.stop()
		}
	}
}

// newest returns the cursor of the newest event of a place, or a later one.
func (s *Store) newest(ctx context.Context, place int64) (n store.Cursor, err error) {
	err = s.read(ctx, func(q db) error {
		_, err := q.one(ctx, "SELECT newest FROM cursors WHERE place = ?", []any{place}, &n)
		return err
	})
	return n, err
}

// Heard passes on what another server told; for dialects that hear of others.
// Anybody may say anything in the name of a server, so that the store looks for
// itself how far it has come.
func (s *Store) Heard(place int64, newest store.Cursor) {
	if !s.hub.waiting(place, newest) {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), lookTime)
	defer cancel()
	if n, err := s.newest(ctx, place); err == nil {
		s.hub.tell(place, n)
	}
}

// Watch implements store.Log.
func (s *Store) Watch(ctx context.Context, place store.PlaceID) (<-chan store.Cursor, error) {
	var no int64
	if err := s.at(ctx, place, func(_ db, n int64) error { no = n; return nil }); err != nil {
		return nil, err
	}
	now, err := s.newest(ctx, no)
	if err != nil {
		return nil, err
	}
	out, err := s.hub.join(ctx, no, now)
	if err != nil {
		return nil, err
	}
	// What was stored between looking and joining would otherwise be told late.
	if now, err = s.newest(ctx, no); err == nil {
		s.hub.tell(no, now)
	}
	return out, err
}
