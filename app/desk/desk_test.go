package desk_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/plan"
	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/sqlite"
)

// clock is a clock that moves on by itself, a minute at every look.
type clock struct{ at time.Time }

func (c *clock) now() time.Time {
	c.at = c.at.Add(time.Minute)
	return c.at
}

// chance is a source of chance that is the same in every run.
func chance() *rand.ChaCha8 { return rand.NewChaCha8([32]byte{7}) }

// shop is a desk over a fresh store with the demonstration in it.
type shop struct {
	*desk.Desk
	who   desk.Who
	store *sqlite.Store
	clock *clock
}

func open(t testing.TB) *shop {
	t.Helper()
	dir := t.TempDir()
	s, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	day, err := time.Parse(time.DateOnly, demo.Day)
	if err != nil {
		t.Fatal(err)
	}
	c := &clock{day.Add(8 * time.Hour)}
	d := desk.New(s, desk.Options{Clock: c.now, Random: chance(), Device: "desk", Sample: []*guide.Guide{g}})
	who, err := d.Demonstrate(t.Context(), demo.WorkshopText())
	if err != nil {
		t.Fatal(err)
	}
	return &shop{d, *who, s, c}
}

// another returns somebody else of the workshop.
func (s *shop) another(id joblog.Person, role store.Role) desk.Who {
	return desk.Who{Place: s.who.Place, ID: id, Name: string(id), Role: role}
}

// jobWithPlan opens a job for V1 with a plan for some tasks.
func (s *shop) jobWithPlan(t testing.TB, tasks ...string) joblog.Job {
	t.Helper()
	job, err := s.OpenJob(t.Context(), s.who, desk.NewJob{Machine: "V1"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.TakePlan(t.Context(), s.who, job, app.Ask{Tasks: tasks}); err != nil {
		t.Fatal(err)
	}
	return job
}

// phone is a browser that writes events as the run sheet does.
type phone struct {
	shop   *shop
	who    desk.Who
	job    joblog.Job
	device joblog.Device
	seq    int64
	last   joblog.ID
	seen   map[joblog.Device]int64
	cursor store.Cursor
	queue  []json.RawMessage
	random *rand.ChaCha8
}

func (s *shop) phone(who desk.Who, job joblog.Job, device joblog.Device) *phone {
	return &phone{shop: s, who: who, job: job, device: device, random: rand.NewChaCha8([32]byte{byte(len(device)), device[len(device)-1]})}
}

// say writes an event without sending it.
func (p *phone) say(t testing.TB, b joblog.Body) joblog.ID {
	t.Helper()
	now := joblog.MomentOf(p.shop.clock.now())
	var r [10]byte
	_, _ = p.random.Read(r[:]) // never fails
	p.seq++
	p.last = joblog.NextID(p.last, now, r)
	e := joblog.Event{
		Schema: joblog.Schema, ID: p.last, Job: p.job, Author: p.who.ID, Device: p.device, Seq: p.seq, At: now, Seen: p.seen,
		Kind: joblog.KindOf(b), Body: b,
	}
	raw, err := joblog.Encode(e)
	if err != nil {
		t.Fatal(err)
	}
	p.queue = append(p.queue, raw)
	return e.ID
}

// sync sends everything and learns what is new.
func (p *phone) sync(t testing.TB) *desk.SyncOut {
	t.Helper()
	out, err := p.shop.Sync(t.Context(), p.who, p.job, desk.SyncIn{Device: p.device, Cursor: p.cursor, Events: p.queue})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range out.Refused {
		t.Errorf("refused %s: %s", r.ID, r.Says)
	}
	p.queue, p.cursor = nil, out.Cursor
	p.seen = map[joblog.Device]int64{}
	for d, n := range out.Has {
		if d != p.device {
			p.seen[d] = n
		}
	}
	if out.Latest.Compare(p.last) > 0 {
		p.last = out.Latest
	}
	return out
}

// carryOut does one step of a sheet with everything that it asks for.
func (p *phone) carryOut(t testing.TB, s desk.SheetStep) {
	t.Helper()
	p.say(t, &joblog.StepDone{Step: s.Step})
	if s.Phase == string(plan.StripPhase) {
		return
	}
	for _, j := range s.Joints {
		for _, d := range indexes(j) {
			p.say(t, &joblog.Ticked{Fastener: joblog.Fastener{Item: j.Item, Joint: j.Joint, Index: d}, Wrench: j.Wrench, Value: j.Big})
		}
	}
	for _, n := range s.Parts {
		p.say(t, &joblog.PartNew{On: n.On, Part: n.Part, Joint: n.Joint, Count: n.Count})
	}
}

func indexes(j desk.SheetJoint) []int {
	var list []int
	for i := range j.Count {
		list = append(list, i+1)
	}
	return list
}

// A job goes from the complaint over a plan worked through on a phone to its
// end, and everything is there afterwards.
func TestAJobFromComplaintToClose(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	sheet, err := s.Sheet(t.Context(), s.who, job)
	if err != nil {
		t.Fatal(err)
	}
	if len(sheet.Steps) < 10 || len(sheet.MustNot) != len(sheet.Steps)+1 || sheet.Plan.Zero() || sheet.Deference == "" {
		t.Fatalf("sheet with %d steps, %d states, plan %s", len(sheet.Steps), len(sheet.MustNot), sheet.Plan)
	}
	p := s.phone(s.who, job, "phone-a")
	p.sync(t)
	for _, step := range sheet.Steps {
		p.carryOut(t, step)
	}
	p.say(t, &joblog.ProofMade{What: "road test, 20 min, hot", Verdict: joblog.Conforming})
	out := p.sync(t)
	for _, l := range out.State.Lacks {
		t.Errorf("lacks %s: %s", l.Key, l.Says)
	}
	if len(out.State.Tray) > 0 || out.State.Fasteners.Out != out.State.Fasteners.In || out.State.Fasteners.Out == 0 {
		t.Errorf("tray %v, fasteners %+v", out.State.Tray, out.State.Fasteners)
	}
	p.say(t, &joblog.Closed{})
	if out = p.sync(t); out.State.Closed == nil {
		t.Errorf("not closed: %s", out.State.Unclosable())
	}
	closed, err := s.Jobs(t.Context(), s.who, true, "")
	if err != nil || len(closed) != 1 || closed[0].Job != job || closed[0].State != desk.StandsClosed {
		t.Errorf("closed jobs %+v, %v", closed, err)
	}
}

// With one fastener short the job cannot be closed until somebody signs for it.
func TestOneFastenerShort(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	sheet, err := s.Sheet(t.Context(), s.who, job)
	if err != nil {
		t.Fatal(err)
	}
	p := s.phone(s.who, job, "phone-a")
	p.sync(t)
	for _, step := range sheet.Steps {
		p.carryOut(t, step)
	}
	p.say(t, &joblog.Unticked{Fastener: joblog.Fastener{Item: "AR04", Joint: 1, Index: 7}, Reason: "dropped"})
	p.say(t, &joblog.ProofMade{What: "road test", Verdict: joblog.Conforming})
	p.say(t, &joblog.Closed{})
	out := p.sync(t)
	if out.State.Closed != nil {
		t.Fatalf("closed with %d of %d fasteners", out.State.Fasteners.In, out.State.Fasteners.Out)
	}
	if out.State.Fasteners.Out-out.State.Fasteners.In != 1 {
		t.Errorf("fasteners %+v", out.State.Fasteners)
	}
	var keys []string
	for _, l := range out.State.Lacks {
		keys = append(keys, l.Key)
	}
	p.say(t, &joblog.Deviation{Signed: s.who.ID, Reason: "thread insert is on order; customer told", Lacks: keys})
	p.say(t, &joblog.Closed{})
	if out = p.sync(t); out.State.Closed == nil {
		t.Errorf("not closed although signed for: %s", out.State.Unclosable())
	}
}

// What a sheet says must not be done after so many steps is what the server
// says when they are done.
func TestSheetKnowsProhibitionsAhead(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	sheet, err := s.Sheet(t.Context(), s.who, job)
	if err != nil {
		t.Fatal(err)
	}
	p := s.phone(s.who, job, "phone-a")
	p.sync(t)
	forbidden := 0
	for i, step := range sheet.Steps {
		p.carryOut(t, step)
		out := p.sync(t)
		var server, ahead []string
		for _, m := range out.State.MustNot {
			server = append(server, m.Says)
		}
		for _, m := range sheet.MustNot[i+1] {
			ahead = append(ahead, m.Says)
		}
		forbidden += len(ahead)
		if strings.Join(server, "|") != strings.Join(ahead, "|") {
			t.Errorf("after step %d: server %v, sheet %v", i+1, server, ahead)
		}
	}
	if forbidden == 0 {
		t.Error("nothing is ever forbidden on the way to a knock sensor under the manifold")
	}
}

// Two phones that were apart come to the same state, in whichever order they
// meet the server.
func TestTwoPhonesApart(t *testing.T) {
	var states []string
	for _, first := range []int{0, 1} {
		s := open(t)
		job := s.jobWithPlan(t, "replace:SE13")
		sheet, err := s.Sheet(t.Context(), s.who, job)
		if err != nil {
			t.Fatal(err)
		}
		phones := []*phone{s.phone(s.who, job, "phone-a"), s.phone(s.another("veld", store.Technician), job, "phone-b")}
		for _, p := range phones {
			p.sync(t)
		}
		for i, step := range sheet.Steps[:8] {
			phones[i%2].carryOut(t, step)
		}
		phones[first].sync(t)
		phones[1-first].sync(t)
		out := phones[first].sync(t)
		out.State.Conflicts = nil // named by events, whose chance differs with the order of syncing
		text := fmt.Sprint(len(out.State.Tray), out.State.Fasteners, len(out.State.Gaps))
		for _, st := range out.State.Plan.Steps {
			text += fmt.Sprint(" ", st.Done)
		}
		states = append(states, text)
	}
	if states[0] != states[1] {
		t.Errorf("the order decides:\n%s\n%s", states[0], states[1])
	}
	if !strings.Contains(states[0], "true true true true true true true true false") {
		t.Errorf("eight steps should be done: %s", states[0])
	}
}

// What is forged, torn or not allowed is refused with the reason, and nothing
// changes.
func TestSyncRefuses(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	before, err := s.Job(t.Context(), s.who, job)
	if err != nil {
		t.Fatal(err)
	}
	mine := s.phone(s.who, job, "phone-a")
	mine.say(t, &joblog.Note{Text: "mine"})
	good := mine.queue[0]
	forged := s.phone(desk.Who{Place: s.who.Place, ID: "nobody"}, job, "phone-a")
	forged.say(t, &joblog.Note{Text: "forged"})
	others := s.phone(s.another("veld", store.Technician), job, "phone-a")
	others.say(t, &joblog.Note{Text: "written by somebody else on this phone"})
	for _, c := range []struct {
		name, reason string
		event        json.RawMessage
		device       joblog.Device
		waits        bool
	}{
		{"torn", "half an event is no event", good[:len(good)/2], "phone-a", false},
		{"no event", "any JSON is not enough", json.RawMessage(`{"hello":1}`), "phone-a", false},
		{"other device", "an event says on which device it was written", good, "phone-z", false},
		{"nobody", "its author does not work here", forged.queue[0], "phone-a", false},
		{"another author", "they have to sign in to send what they wrote; the phone keeps it", others.queue[0], "phone-a", true},
	} {
		out, err := s.Sync(t.Context(), s.who, job, desk.SyncIn{Device: c.device, Events: []json.RawMessage{c.event}})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := out.Refused
		if c.waits {
			got = out.Waiting
		}
		if len(got) != 1 || got[0].Says == "" || len(out.Accepted) != 0 {
			t.Errorf("%s: refused %v, waiting %v, accepted %v: %s", c.name, out.Refused, out.Waiting, out.Accepted, c.reason)
		}
	}
	if _, err := s.Sync(t.Context(), s.another("guest", store.Reader), job, desk.SyncIn{Device: "phone-a", Events: []json.RawMessage{good}}); !errors.Is(err, desk.ErrNotAllowed) {
		t.Errorf("a reader writes: %v", err)
	}
	if _, err := s.Sync(t.Context(), s.who, "j-none", desk.SyncIn{Device: "phone-a"}); store.CodeOf(err) != store.NotFound {
		t.Errorf("a job that is not there: %v", err)
	}
	after, err := s.Job(t.Context(), s.who, job)
	if err != nil || len(after.State.Notes) != len(before.State.Notes) || fmt.Sprint(after.Has) != fmt.Sprint(before.Has) {
		t.Errorf("something changed: %v, %v", after.Has, err)
	}
}

// Sending the same events again, as a phone does that never got the answer,
// acknowledges them again and keeps them once.
func TestSyncAgain(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	p := s.phone(s.who, job, "phone-a")
	p.say(t, &joblog.Note{Text: "once"})
	in := desk.SyncIn{Device: "phone-a", Events: p.queue}
	for range 3 {
		out, err := s.Sync(t.Context(), s.who, job, in)
		if err != nil || len(out.Accepted) != 1 || len(out.State.Notes) != 1 {
			t.Fatalf("%v: %+v", err, out)
		}
	}
}

// What another workshop of the chain keeps is not found, whatever its name.
func TestPlacesAreApart(t *testing.T) {
	s := open(t)
	job := s.jobWithPlan(t, "replace:SE13")
	if err := s.Furnish(t.Context(), store.Place{ID: "other", Name: "Other"}, nil, nil); err != nil {
		t.Fatal(err)
	}
	stranger := desk.Who{Place: "other", ID: "eve", Name: "Eve", Role: store.Owner}
	ctx := context.Background()
	for name, err := range map[string]error{
		"job":     second(s.Job(ctx, stranger, job)),
		"sheet":   second(s.Sheet(ctx, stranger, job)),
		"sync":    second(s.Sync(ctx, stranger, job, desk.SyncIn{Device: "x"})),
		"say":     second(s.Say(ctx, stranger, job, &joblog.Note{Text: "x"})),
		"inquiry": second(s.Inquiry(ctx, stranger, job)),
		"read":    second(s.Read(ctx, stranger, job, "T01: 12.6 V")),
	} {
		if store.CodeOf(err) != store.NotFound {
			t.Errorf("%s: %v", name, err)
		}
	}
	if lines, err := s.Jobs(ctx, stranger, false, ""); err != nil || len(lines) > 0 {
		t.Errorf("jobs %v, %v", lines, err)
	}
	if hits, err := s.Find(ctx, stranger, "knock"); err != nil || len(hits) > 0 {
		t.Errorf("found %v, %v", hits, err)
	}
}

func second[T any](_ T, err error) error { return err }

// A reading is judged and feeds what is asked next.
func TestReadingsFeedTheInquiry(t *testing.T) {
	s := open(t)
	job, err := s.OpenJob(t.Context(), s.who, desk.NewJob{Machine: "V1"})
	if err != nil {
		t.Fatal(err)
	}
	j, err := s.Read(t.Context(), s.who, job, "T35: right 38 kΩ, left > 10 MΩ, unplugged, ambient 18 °C, dry")
	if err != nil {
		t.Fatal(err)
	}
	kept, err := s.Job(t.Context(), s.who, job)
	if err != nil || len(kept.State.Readings) != 1 || string(kept.State.Readings[0].Verdict()) != string(j.Verdict.Outcome) {
		t.Fatalf("%+v, %v, judged %s", kept, err, j.Verdict.Outcome)
	}
	q, err := s.Inquiry(t.Context(), s.who, job)
	if err != nil || len(q.Log) != 1 || !strings.HasPrefix(q.Log[0], "T35: right 38 kΩ") || q.Complaint == "" || len(q.Codes) == 0 {
		t.Errorf("%+v, %v", q, err)
	}
	if _, err := s.Read(t.Context(), s.who, job, "T99: 3 V"); !errors.Is(err, app.ErrInput) && !errors.Is(err, app.ErrUnknown) {
		t.Errorf("a check that is not there: %v", err)
	}
}
