package storetest

import (
	"bytes"
	"fmt"
	"strings"
	"sync"
	"testing"

	"elbowroom/joblog"
	"elbowroom/store"
)

// Filled is what was acknowledged before a store was full.
type Filled struct {
	events map[joblog.ID]store.Cursor
}

// fillPhones write at once until the store is full.
const fillPhones = 4

// mostFill bounds how much is written in vain; a small disk is full long before.
const mostFill = 200_000

// FillUp writes to a new store until it says Full, and looks that every call
// fails with that code, nothing acknowledged is lost and nothing half done is
// there. The store must be small.
func FillUp(t *testing.T, s store.Store) Filled {
	t.Helper()
	w := &world{Store: s, t: t}
	w.places()
	w.job(here, "j1")
	text := strings.Repeat("filling ", 400)
	f := Filled{map[joblog.ID]store.Cursor{}}
	errs := make([]error, fillPhones)
	var mu sync.Mutex
	var wg sync.WaitGroup
	for i := range fillPhones {
		wg.Go(func() {
			device := joblog.Device(fmt.Sprintf("phone-%d", i))
			for n := int64(1); n < mostFill; n += 3 {
				in := []store.Incoming{note("j1", device, n, text), note("j1", device, n+1, text), note("j1", device, n+2, text)}
				receipts, err := s.Append(w.ctx(), here, "j1", in)
				if err != nil {
					errs[i] = err
					return
				}
				mu.Lock()
				for _, r := range receipts {
					f.events[r.ID] = r.Cursor
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	for _, err := range errs {
		w.want(store.Full, err)
	}
	_, err := s.PutText(w.ctx(), here, draft(store.Guide, "big", strings.Repeat(text, 1000), store.Hash{}))
	w.want(store.Full, err)
	f.Whole(t, s)
	return f
}

// Whole looks that what was acknowledged is there, and calls of three only.
func (f Filled) Whole(t *testing.T, s store.Store) {
	t.Helper()
	events, err := s.Events(t.Context(), here, "j1")
	if err != nil {
		t.Fatal(err)
	}
	there := map[joblog.ID]store.Cursor{}
	for _, e := range events {
		there[e.ID] = e.Cursor
	}
	lost := 0
	for id, cursor := range f.events {
		if there[id] != cursor {
			lost++
		}
	}
	if lost > 0 || len(f.events) == 0 || len(events)%3 != 0 || len(events) < len(f.events) {
		t.Errorf("%d of %d acknowledged events are lost, %d are there", lost, len(f.events), len(events))
	}
}

// Goes looks that the store takes things again once there is room.
func (f Filled) Goes(t *testing.T, s store.Store) {
	t.Helper()
	receipts, err := s.Append(t.Context(), here, "j1", notes("j1", "later", 1, 3))
	if err != nil || len(receipts) != 3 {
		t.Errorf("with room again: %v", err)
	}
	for _, r := range receipts {
		f.events[r.ID] = r.Cursor
	}
	content := []byte("x")
	p := store.Picture{Hash: store.Sum(content), Type: "image/png", Size: 1, Job: "j1", Added: noon}
	if err := s.PutPicture(t.Context(), here, p, bytes.NewReader(content)); err != nil {
		t.Errorf("a picture with room again: %v", err)
	}
	f.Whole(t, s)
}
