package desk_test

import (
	"encoding/json"
	"errors"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/sqlite"
)

// A phone cannot write in the name of a server, whose numbers would then have a
// gap for good.
func TestPhoneIsNoServer(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	p := s.phone(s.who, job, "desk")
	p.seq = 40
	p.say(t, &joblog.Note{Text: "as the server"})
	_, err := s.Sync(t.Context(), s.who, job, desk.SyncIn{Device: "desk", Events: []json.RawMessage{p.queue[0]}})
	if !errors.Is(err, app.ErrInput) {
		t.Fatalf("taken: %v", err)
	}
	if k, err := s.Job(t.Context(), s.who, job); err != nil || len(k.State.Gaps) > 0 {
		t.Errorf("gaps %v, %v", k.State.Gaps, err)
	}
}

// A set-up that broke off before anybody owned the workshop can be done again.
func TestSetUpAfterACrash(t *testing.T) {
	dir := t.TempDir()
	kept, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(dir), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { kept.Close() })
	d := desk.New(kept, desk.Options{Clock: time.Now, Random: rand.NewChaCha8([32]byte{9}), Device: "desk", QuickPasswords: true})
	if err := d.Furnish(t.Context(), store.Place{ID: "castle", Name: "Castle"}, nil, nil); err != nil {
		t.Fatal(err)
	}
	o := desk.Opening{Workshop: "Castle", Currency: "EUR", Rate: "84.00", Name: "Ada Stone", Password: "copper kettle under rain"}
	place, person, err := d.SetUp(t.Context(), o)
	if err != nil || place != "castle" || person != "stone" {
		t.Fatalf("%s, %s, %v", place, person, err)
	}
	if _, _, err := d.SetUp(t.Context(), o); !errors.Is(err, desk.ErrRefused) {
		t.Errorf("set up twice: %v", err)
	}
}
