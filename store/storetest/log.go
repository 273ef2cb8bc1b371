package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"elbowroom/joblog"
	"elbowroom/store"
)

func testEvents(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	w.job(here, "j2")
	in := notes("j1", "phone", 1, 3)
	receipts, err := w.Append(w.ctx(), here, "j1", in)
	w.must(err)
	w.must1(w.Append(w.ctx(), here, "j2", notes("j2", "phone", 1, 2)))
	events, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	if len(receipts) != 3 || len(events) != 3 {
		t.Fatalf("%d receipts, %d events", len(receipts), len(events))
	}
	for i, e := range events {
		r := receipts[i]
		if !bytes.Equal(e.Raw, in[i].Raw) || e.Received != in[i].Received || e.Job != "j1" {
			t.Errorf("event %d came back as %+v", i, e)
		}
		if r.ID != e.ID || r.Cursor != e.Cursor || r.Received != e.Received || !r.New {
			t.Errorf("receipt %d is %+v of %+v", i, r, e)
		}
		if i > 0 && e.Cursor <= events[i-1].Cursor {
			t.Errorf("cursor %d does not rise", i)
		}
	}
	var seen []joblog.ID
	for after := store.Cursor(0); ; {
		page, err := w.After(w.ctx(), here, after, 2)
		w.must(err)
		if len(page) == 0 {
			break
		}
		for _, e := range page {
			seen = append(seen, e.ID)
			after = e.Cursor
		}
	}
	equal(t, "events of the place, two at a time", len(seen), 5)

	none, err := w.Events(w.ctx(), here, w.job(here, "j3").ID)
	w.must(err)
	equal(t, "a job without events", len(none), 0)
	_, err = w.Events(w.ctx(), here, "j4")
	w.want(store.NotFound, err)
	_, err = w.Append(w.ctx(), here, "j4", notes("j4", "phone", 1, 1))
	w.want(store.NotFound, err)
}

func testIdempotent(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	in := notes("j1", "phone", 1, 4)
	first, err := w.Append(w.ctx(), here, "j1", in[:3])
	w.must(err)
	later := append([]store.Incoming{}, in...)
	for i := range later {
		later[i].Received += 60_000
	}
	blanks := bytes.Replace(in[1].Raw, []byte(`,"job"`), []byte(",\n \"job\""), 1)
	if bytes.Equal(blanks, in[1].Raw) {
		t.Fatal("no blank was added; the test would check nothing")
	}
	later[1].Raw = blanks
	again, err := w.Append(w.ctx(), here, "j1", append(later, later[0]))
	w.must(err)
	for i := range first {
		first[i].New = false
		equal(t, "the receipt the second time", again[i], first[i])
	}
	if !again[3].New || again[4] != first[0] {
		t.Errorf("the new one and the one twice in a call are %+v", again[3:])
	}
	events, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	equal(t, "events stored", len(events), 4)
	if !bytes.Equal(events[1].Raw, in[1].Raw) {
		t.Error("the second arrival changed the bytes of the first")
	}
}

func testAllOrNothing(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	w.job(here, "j2")
	in := notes("j1", "phone", 1, 3)
	w.must1(w.Append(w.ctx(), here, "j1", in[:1]))
	forged := note("j1", "phone", 1, "something else")
	cases := []struct {
		name   string
		code   store.Code
		events []store.Incoming
	}{
		{"the same id with other content", store.Conflict, []store.Incoming{in[1], forged}},
		{"two of one id in a call", store.Conflict, []store.Incoming{in[1], note("j1", "phone", 2, "other")}},
		{"of another job", store.Refused, []store.Incoming{in[1], note("j2", "phone", 2, "x")}},
		{"no event", store.Refused, []store.Incoming{in[1], {Raw: []byte(`{"schema":1}`), Received: noon}}},
		{"torn", store.Refused, []store.Incoming{in[1], {Raw: in[2].Raw[:len(in[2].Raw)-3], Received: noon}}},
		{"without the time of receipt", store.Refused, []store.Incoming{in[1], {Raw: in[2].Raw}}},
		{"none at all", store.Refused, nil},
		{"too many", store.Refused, notes("j1", "tablet", 1, store.MaxBatch+1)},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := w.Append(w.ctx(), here, "j1", c.events)
			w.want(c.code, err)
			events, err := w.Events(w.ctx(), here, "j1")
			w.must(err)
			equal(t, "events stored", len(events), 1)
		})
	}
}

func testForeign(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	raw := []byte(`{ "schema":7,"id":"019cf5a8-b400-7000-8000-00000000abcd","job":"j1","author":"kim","device":"new-phone","seq":1,"at":"2026-03-16T08:00:00.000Z","kind":"hologram","body":{"b":[1,2.50,"é"],"a":null} }`)
	e, err := joblog.Decode(raw)
	w.must(err)
	if !e.Foreign() {
		t.Fatal("the event is not foreign; the test would check nothing")
	}
	w.must1(w.Append(w.ctx(), here, "j1", []store.Incoming{{Raw: raw, Received: noon}}))
	events, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	if !bytes.Equal(events[0].Raw, raw) {
		t.Errorf("it came back as %s", events[0].Raw)
	}
}

// The size of the tests with many writers.
const (
	writers   = 8
	callsEach = 25
)

// testCursors lets many write through two servers while a third is read in
// small pages from the last cursor on, which must see every acknowledged event
// exactly once.
func testCursors(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	servers := []store.Store{w.Store, w.server()}
	reader := w.server()
	var wg sync.WaitGroup
	acknowledged := make([]map[joblog.ID]store.Cursor, writers)
	errs := make([]error, writers)
	for i := range writers {
		acknowledged[i] = map[joblog.ID]store.Cursor{}
		wg.Go(func() {
			device := joblog.Device(fmt.Sprintf("phone-%d", i))
			for n := range int64(callsEach) {
				receipts, err := servers[i%2].Append(w.ctx(), here, "j1", notes("j1", device, 1+n*4, 1+n%4))
				if err != nil {
					errs[i] = err
					return
				}
				for _, r := range receipts {
					acknowledged[i][r.ID] = r.Cursor
				}
			}
		})
	}
	done := make(chan struct{})
	go func() { wg.Wait(); close(done) }()
	seen := map[joblog.ID]store.Cursor{}
	last := store.Cursor(0)
	for finished := false; ; {
		page, err := reader.After(w.ctx(), here, last, 3)
		w.must(err)
		for _, e := range page {
			if e.Cursor <= last || seen[e.ID] != 0 {
				t.Fatalf("event %s came at cursor %d after %d, before at %d", e.ID, e.Cursor, last, seen[e.ID])
			}
			seen[e.ID], last = e.Cursor, e.Cursor
		}
		if len(page) == 0 && finished {
			break
		}
		if len(page) == 0 {
			select {
			case <-done:
				finished = true
			case <-time.After(time.Millisecond):
			}
		}
	}
	w.must(errors.Join(errs...))
	total := 0
	for _, list := range acknowledged {
		for id, cursor := range list {
			total++
			if seen[id] != cursor {
				t.Errorf("event %s was acknowledged at %d and read at %d", id, cursor, seen[id])
			}
		}
	}
	equal(t, "events read", len(seen), total)
}

func testSameAtOnce(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	servers := []store.Store{w.Store, w.server()}
	in := notes("j1", "phone", 1, 20)
	var wg sync.WaitGroup
	fresh := make([]int, writers)
	errs := make([]error, writers)
	for i := range writers {
		wg.Go(func() {
			receipts, err := servers[i%2].Append(w.ctx(), here, "j1", in)
			errs[i] = err
			for _, r := range receipts {
				if r.New {
					fresh[i]++
				}
			}
		})
	}
	wg.Wait()
	w.must(errors.Join(errs...))
	total := 0
	for _, n := range fresh {
		total += n
	}
	equal(t, "receipts that say new", total, len(in))
	events, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	equal(t, "events stored", len(events), len(in))
}

// patience is how long a notice may take on a busy machine; it usually takes
// milliseconds.
const patience = 20 * time.Second

func (w *world) next(c <-chan store.Cursor, atLeast store.Cursor) store.Cursor {
	w.t.Helper()
	end := time.After(patience)
	for {
		select {
		case got, open := <-c:
			if !open {
				w.t.Fatal("the channel was closed")
			}
			if got >= atLeast {
				return got
			}
		case <-end:
			w.t.Fatalf("no notice of cursor %d", atLeast)
		}
	}
}

func testWatch(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	w.job(there, "j1")
	other := w.server()
	r, err := w.Append(w.ctx(), here, "j1", notes("j1", "phone", 1, 1))
	w.must(err)
	ctx, cancel := context.WithCancel(w.ctx())
	defer cancel()
	c, err := other.Watch(ctx, here)
	w.must(err)
	equal(t, "the first cursor", <-c, r[0].Cursor)
	for i := range int64(5) {
		s := []store.Store{w.Store, other}[i%2]
		w.must1(w.Append(w.ctx(), there, "j1", notes("j1", "phone", i+1, 1)))
		r, err := s.Append(w.ctx(), here, "j1", notes("j1", "phone", i+2, 1))
		w.must(err)
		got := w.next(c, r[0].Cursor)
		equal(t, "the cursor", got, r[0].Cursor)
	}
	// Nobody fetches: the newest is kept all the same.
	var last store.Cursor
	for i := range int64(20) {
		r, err := w.Append(w.ctx(), here, "j1", notes("j1", "phone", i+20, 1))
		w.must(err)
		last = r[0].Cursor
	}
	w.next(c, last)
	cancel()
	w.closes(c)
	_, err = w.Watch(w.ctx(), "nowhere")
	w.want(store.NotFound, err)
}

// closes wants the channel closed.
func (w *world) closes(c <-chan store.Cursor) {
	w.t.Helper()
	end := time.After(patience)
	for {
		select {
		case _, open := <-c:
			if !open {
				return
			}
		case <-end:
			w.t.Fatal("the channel was not closed")
		}
	}
}

func testCancelled(t *testing.T, w *world) {
	w.places()
	w.job(here, "j1")
	gone, cancel := context.WithCancel(w.ctx())
	cancel()
	_, err := w.Append(gone, here, "j1", notes("j1", "phone", 1, 1))
	if !errors.Is(err, context.Canceled) {
		t.Errorf("appending says %v", err)
	}
	_, err = w.Jobs(gone, here, store.JobFilter{})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("listing says %v", err)
	}
	// Contexts that end at any moment: every call is there as a whole or not at
	// all, and whatever was acknowledged is there.
	const calls, each = 60, 7
	acknowledged := 0
	for i := range int64(calls) {
		ctx, cancel := context.WithTimeout(w.ctx(), time.Duration(i)*100*time.Microsecond)
		if _, err := w.Append(ctx, here, "j1", notes("j1", "phone", 1+i*each, each)); err == nil {
			acknowledged++
		} else if !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("call %d: %v", i, err)
		}
		cancel()
	}
	w.must1(w.Append(w.ctx(), here, "j1", notes("j1", "last", 1, 1)))
	events, err := w.Events(w.ctx(), here, "j1")
	w.must(err)
	if n := len(events) - 1; n%each != 0 || n < acknowledged*each {
		t.Errorf("%d events are there, in calls of %d of which %d were acknowledged", n, each, acknowledged)
	}
}

func testClosed(t *testing.T, w *world) {
	w.places()
	s := w.server()
	c, err := s.Watch(w.ctx(), here)
	w.must(err)
	w.must(s.Close())
	w.must(s.Close())
	w.closes(c)
	if _, err := s.Places(w.ctx()); err == nil {
		t.Error("a closed store answers")
	}
	if _, err := s.Watch(w.ctx(), here); err == nil {
		t.Error("a closed store is watched")
	}
}
