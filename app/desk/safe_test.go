package desk_test

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// meddled is a store in which something happens just before events are kept.
type meddled struct {
	desk.Keep
	before func() error
}

func (m *meddled) Append(ctx context.Context, place store.PlaceID, job joblog.Job, events []store.Incoming) ([]store.Receipt, error) {
	if err := m.before(); err != nil {
		return nil, err
	}
	return m.Keep.Append(ctx, place, job, events)
}

// beside opens another server over the same store.
func (s *shop) beside(before func() error) *desk.Desk {
	return desk.New(&meddled{s.store, before}, desk.Options{Clock: s.clock.now, Random: chance(), Device: "beside"})
}

// What cannot be said of a machine that comes in leaves no job behind: the form
// is sent again, and there would be two.
func TestARefusedArrivalLeavesNoJob(t *testing.T) {
	s := open(t)
	_, err := s.OpenJob(t.Context(), s.who, desk.NewJob{Machine: "V1", Complaint: strings.Repeat("long ", 20_000)})
	if !errors.Is(err, desk.ErrRefused) {
		t.Fatalf("error %v", err)
	}
	if jobs, err := s.Jobs(t.Context(), s.who, false, ""); err != nil || len(jobs) != 0 {
		t.Errorf("%v, %v", jobs, err)
	}
}

// A reading is kept with its verdict or not at all: who is told that it failed
// enters it again.
func TestAReadingIsKeptWithItsVerdict(t *testing.T) {
	s := open(t)
	job, err := s.OpenJob(t.Context(), s.who, desk.NewJob{Machine: "V1"})
	if err != nil {
		t.Fatal(err)
	}
	calls, torn := 0, errors.New("torn")
	other := s.beside(func() error {
		if calls++; calls > 1 {
			return torn
		}
		return nil
	})
	if _, err := other.Read(t.Context(), s.who, job, "T01: 12.6 V"); err != nil {
		t.Errorf("%v: reading and verdict are kept one after the other", err)
	}
	k, err := s.Job(t.Context(), s.who, job)
	if err != nil || len(k.State.Readings) != 1 || k.State.Readings[0].Verdict() == "" {
		t.Errorf("%+v, %v", k.State.Readings, err)
	}
}

// Two servers that write at once leave a summary that knows of both: nobody may
// ever write to the job again.
func TestSummaryOfTwoServers(t *testing.T) {
	s := open(t)
	job, err := s.OpenJob(t.Context(), s.who, desk.NewJob{Machine: "V1"})
	if err != nil {
		t.Fatal(err)
	}
	other := s.beside(func() error {
		_, err := s.Say(t.Context(), s.who, job, &joblog.Note{Text: "firstword"})
		return err
	})
	if _, err := other.Say(t.Context(), s.who, job, &joblog.Note{Text: "secondword"}); err != nil {
		t.Fatal(err)
	}
	row, err := s.store.Job(t.Context(), s.who.Place, job)
	if err != nil || !strings.Contains(row.Words, "firstword") || !strings.Contains(row.Words, "secondword") {
		t.Errorf("found by %q, %v", row.Words, err)
	}
}

// A server that is killed between keeping events and writing the summary leaves
// an old one; whoever looks at the job puts it right.
func TestSummaryIsPutRight(t *testing.T) {
	s := open(t)
	job, err := s.OpenJob(t.Context(), s.who, desk.NewJob{Machine: "V1", Complaint: "knocks"})
	if err != nil {
		t.Fatal(err)
	}
	row, err := s.store.Job(t.Context(), s.who.Place, job)
	if err != nil {
		t.Fatal(err)
	}
	row.Words, row.State = "", desk.StandsClosed
	if _, err := s.store.PutJob(t.Context(), s.who.Place, row); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Job(t.Context(), s.who, job); err != nil {
		t.Fatal(err)
	}
	if row, err = s.store.Job(t.Context(), s.who.Place, job); err != nil || row.Words != "knocks" || row.State != desk.StandsNew {
		t.Errorf("%+v, %v", row, err)
	}
}

// planOf returns what took the plan of a job.
func (s *shop) planOf(t *testing.T, job joblog.Job) joblog.PlanTaken {
	t.Helper()
	events, err := s.store.Events(t.Context(), s.who.Place, job)
	if err != nil {
		t.Fatal(err)
	}
	for _, raw := range events {
		e, err := joblog.Decode(raw.Raw)
		if err != nil {
			t.Fatal(err)
		}
		if p, ok := e.Body.(*joblog.PlanTaken); ok {
			return *p
		}
	}
	t.Fatal("no plan was taken")
	return joblog.PlanTaken{}
}

// A plan that pins a text that is no guide is shown as one whose revision is
// not at hand; the job can still be opened.
func TestAPinThatIsNoGuide(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	p := s.planOf(t, job)
	texts, err := s.store.CurrentTexts(t.Context(), s.who.Place, store.Workshop)
	if err != nil || len(texts) == 0 {
		t.Fatalf("%v, %v", texts, err)
	}
	p.Pin.Hash = texts[0].Hash.String()
	phone := s.phone(s.who, job, "phone-a")
	phone.sync(t)
	phone.say(t, &p)
	phone.sync(t)
	if _, err := s.Job(t.Context(), s.who, job); err != nil {
		t.Error(err)
	}
	if _, err := s.Sheet(t.Context(), s.who, job); !errors.Is(err, desk.ErrRefused) {
		t.Errorf("sheet: %v", err)
	}
}

// A guide of one place is not found by another that knows its hash.
func TestAPinOfAnotherPlace(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	p := s.planOf(t, job)
	if _, err := s.Sheet(t.Context(), s.who, job); err != nil {
		t.Fatal(err)
	}
	if err := s.Furnish(t.Context(), store.Place{ID: "other", Name: "Other"}, nil, nil); err != nil {
		t.Fatal(err)
	}
	eve := desk.Who{Place: "other", ID: "eve", Name: "Eve", Role: store.Owner}
	if _, err := s.store.PutPerson(t.Context(), "other", store.Person{ID: "eve", Name: "Eve", Role: store.Owner}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.AddMachine(t.Context(), eve, desk.NewMachine{ID: "E1", Name: "Van"}); err != nil {
		t.Fatal(err)
	}
	theirs, err := s.OpenJob(t.Context(), eve, desk.NewJob{Machine: "E1"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Say(t.Context(), eve, theirs, &p); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Sheet(t.Context(), eve, theirs); !errors.Is(err, desk.ErrRefused) {
		t.Errorf("sheet: %v", err)
	}
}

// A phone that has read further than the server knows, because an older copy
// was restored, is told everything.
func TestCursorFromBeforeARestore(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	out, err := s.Sync(t.Context(), s.who, job, desk.SyncIn{Device: "phone-a", Cursor: 1 << 40})
	if err != nil || len(out.Events) == 0 || !json.Valid(out.Events[0]) {
		t.Errorf("%d events, %v", len(out.Events), err)
	}
}

// Trying one's own password counts for oneself alone: those who are signed in
// come from no address, and must not be counted as one.
func TestPasswordTriesOfOthers(t *testing.T) {
	s := open(t)
	if err := s.Furnish(t.Context(), store.Place{ID: "other", Name: "Other"}, nil, nil); err != nil {
		t.Fatal(err)
	}
	now := s.clock.at // a clock that stands still: all tries fall into one window
	d := desk.New(s.store, desk.Options{Clock: func() time.Time { return now }, Random: chance(), Device: "desk"})
	cheap := []byte("$argon2id$v=19$m=64,t=1,p=4$" + strings.Repeat("A", 22) + "$" + strings.Repeat("A", 43)) // to be tried quickly; nobody's
	for i := range 12 {
		id := joblog.Person("p" + string(rune('a'+i)))
		if _, err := s.store.PutPerson(t.Context(), "other", store.Person{ID: id, Name: "P", Role: store.Owner, Password: cheap}); err != nil {
			t.Fatal(err)
		}
		who := desk.Who{Place: "other", ID: id, Role: store.Owner}
		for try := range 9 {
			if err := d.ChangePassword(t.Context(), who, id, "wrong", "six tall green kettles"); errors.Is(err, desk.ErrTooOften) {
				t.Fatalf("person %d, try %d: %v", i+1, try+1, err)
			}
		}
	}
}

// Taking a plan leaves the guide as it is written, with what people wrote
// beside it, and pins that text.
func TestTakingAPlanLeavesTheGuide(t *testing.T) {
	s := open(t)
	rev, text, err := s.store.Text(t.Context(), s.who.Place, store.Guide, "v27p")
	if err != nil {
		t.Fatal(err)
	}
	written := append([]byte("# by hand\n"), text...)
	if _, err := s.store.PutText(t.Context(), s.who.Place, store.Draft{Kind: store.Guide, Name: "v27p", Text: written, Expect: rev.Hash, Author: s.who.ID, At: joblog.MomentOf(s.clock.now())}); err != nil {
		t.Fatal(err)
	}
	job := s.jobWithPlan(t, "replace:SE13")
	if _, now, err := s.store.Text(t.Context(), s.who.Place, store.Guide, "v27p"); err != nil || string(now) != string(written) {
		t.Errorf("the guide was written anew, %v", err)
	}
	if pin := s.planOf(t, job).Pin; pin.Hash != store.Sum(written).String() {
		t.Errorf("pinned %s", pin.Hash)
	}
	if sheet, err := s.Sheet(t.Context(), s.who, job); err != nil || len(sheet.Newer) > 0 || len(sheet.Steps) == 0 {
		t.Errorf("newer %v, %v", sheet.Newer, err)
	}
}
