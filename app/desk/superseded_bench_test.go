package desk_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// copies copies a job under other names, up to 255 times, later each time.
func (s *shop) copies(t testing.TB, of joblog.Job, count int) {
	t.Helper()
	row, err := s.store.Job(t.Context(), s.who.Place, of)
	if err != nil {
		t.Fatal(err)
	}
	events, err := s.store.Events(t.Context(), s.who.Place, of)
	if err != nil {
		t.Fatal(err)
	}
	for i := range count {
		row.ID, row.Version, row.Updated = joblog.Job(fmt.Sprintf("j-copy-%d", i)), 0, row.Updated+1
		if _, err := s.store.PutJob(t.Context(), s.who.Place, row); err != nil {
			t.Fatal(err)
		}
		var in []store.Incoming
		for _, e := range events {
			says, err := joblog.Decode(e.Raw)
			if err != nil {
				t.Fatal(err)
			}
			says.Job = row.ID
			says.ID[15] ^= byte(i + 1)
			raw, err := joblog.Encode(says)
			if err != nil {
				t.Fatal(err)
			}
			in = append(in, store.Incoming{Raw: raw, Received: e.Received})
		}
		for part := range slices.Chunk(in, store.MaxBatch) {
			if _, err := s.store.Append(t.Context(), s.who.Place, row.ID, part); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// BenchmarkSuperseded asks for the superseded values of the last 50 of 200
// closed jobs, each a knock sensor replaced: by a server that was just started,
// and again.
func BenchmarkSuperseded(b *testing.B) {
	s := open(b)
	s.revise(b, "old list", "22 N·m")
	first := s.sensorDone(b, "phone-a", asOnSheet)
	s.revise(b, "new list", "20 N·m", fractures)
	s.copies(b, first, 200)
	row, err := s.store.Job(b.Context(), s.who.Place, first)
	if err != nil {
		b.Fatal(err)
	}
	fresh := func() *desk.Desk {
		return desk.New(s.store, desk.Options{Clock: func() time.Time { return row.Updated.Time().Add(time.Hour) }, Random: chance(), Device: "desk-b"})
	}
	ask := func(b *testing.B, d *desk.Desk) {
		out, err := d.Superseded(b.Context(), s.who, "")
		if err != nil || len(out.List) != 50 || out.Looked != 50 || out.After == "" {
			b.Fatalf("%d of %d, %v", len(out.List), out.Looked, err)
		}
	}
	b.Run("first", func(b *testing.B) {
		for b.Loop() {
			ask(b, fresh())
		}
	})
	b.Run("again", func(b *testing.B) {
		d := fresh()
		ask(b, d)
		for b.Loop() {
			ask(b, d)
		}
	})
}
