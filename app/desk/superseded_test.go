package desk_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/guide/file"
	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/store/sqlite"
)

// revise makes a revision of the demonstration's guide the current one: the
// knock sensor's screw with a torque and what it was before. Revision 3 of the
// guide says 20 N·m and was 22 N·m, because leads fractured
// (demo/guide/kinds.yaml).
func (s *shop) revise(t testing.TB, about, torque string, was ...guide.Was) {
	t.Helper()
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(g.Kinds, func(k guide.Kind) bool { return k.ID == "knock-sensor" })
	stage, err := guide.Parse[guide.Stage](torque)
	if i < 0 || err != nil {
		t.Fatal(i, err)
	}
	g.About, g.Kinds[i].Joints[0].Stages, g.Kinds[i].Joints[0].Was = about, []guide.Stage{stage}, was
	rev, _, err := s.store.Text(t.Context(), s.who.Place, store.Guide, string(g.ID))
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.store.PutText(t.Context(), s.who.Place, store.Draft{
		Kind: store.Guide, Name: string(g.ID), Text: file.Print(g), Expect: rev.Hash, Author: s.who.ID, At: joblog.MomentOf(s.clock.now()),
	})
	if err != nil {
		t.Fatal(err)
	}
}

var fractures = guide.Was{Value: "22 N·m", Until: "revision 3", Reason: "lead fractures", Source: "torque-list-2"}

// sensorDone replaces the right knock sensor and closes the job; ticks of its
// screw bear what value makes of the torque of the sheet.
func (s *shop) sensorDone(t testing.TB, device joblog.Device, value func(sheet string) string) joblog.Job {
	t.Helper()
	job := s.jobWithPlan(t, "replace:SE13")
	sheet, err := s.Sheet(t.Context(), s.who, job)
	if err != nil {
		t.Fatal(err)
	}
	p := s.phone(s.who, job, device)
	p.sync(t)
	ticked := false
	for _, step := range sheet.Steps {
		for i := range step.Joints {
			if j := &step.Joints[i]; j.Item == "SE13" && j.Joint > 0 && j.Big != "" {
				j.Big, ticked = value(j.Big), true
			}
		}
		p.carryOut(t, step)
	}
	p.say(t, &joblog.ProofMade{What: "road test", Verdict: joblog.Conforming})
	p.sync(t)
	p.say(t, &joblog.Closed{})
	if out := p.sync(t); out.State.Closed == nil || !ticked {
		t.Fatalf("not closed: %s", out.State.Unclosable())
	}
	return job
}

func asOnSheet(sheet string) string { return sheet }
func nothing(string) string         { return "" }
func typed(text string) func(string) string {
	return func(string) string { return text }
}

func (s *shop) superseded(t *testing.T) *desk.OldValues {
	t.Helper()
	out, err := s.Superseded(t.Context(), s.who, "")
	if err != nil {
		t.Fatal(err)
	}
	if len(out.Notes)+len(out.Guides) > 0 {
		t.Errorf("not compared: %v, %v", out.Notes, out.Guides)
	}
	return out
}

// A job whose screw was tightened to a value that a newer revision calls
// superseded is listed with machine, date, person, both values and the reason;
// jobs that used the present value are not.
func TestJobsWithASupersededValue(t *testing.T) {
	s := open(t)
	s.revise(t, "old list", "22 N·m")
	old := s.sensorDone(t, "phone-a", asOnSheet)
	unsaid := s.sensorDone(t, "phone-b", nothing)
	s.sensorDone(t, "phone-c", typed("20 Nm")) // somebody knew better than the sheet
	if out := s.superseded(t); len(out.List) != 0 || out.Looked != 3 || out.After != "" {
		t.Fatalf("nothing is superseded yet: %+v", out)
	}
	s.revise(t, "new list", "20 N·m", fractures)
	s.sensorDone(t, "phone-d", asOnSheet)
	memory := s.sensorDone(t, "phone-e", typed("22 Nm")) // the old value, from memory
	out := s.superseded(t)
	if out.Looked != 5 || len(out.List) != 3 {
		t.Fatalf("%d looked at, %+v", out.Looked, out.List)
	}
	for i, want := range []struct {
		job   joblog.Job
		value string
		said  bool
		pin   bool // the plan pins the present revision
	}{{memory, "22 Nm", true, true}, {unsaid, "22 N·m", false, false}, {old, "22 N·m", true, false}} {
		g := out.List[i]
		row, err := s.store.Job(t.Context(), s.who.Place, want.job)
		if err != nil {
			t.Fatal(err)
		}
		if g.Job != want.job || g.Value != want.value || g.Said != want.said || g.Open || g.Plan != row.Pin || g.Closed != row.Closed || g.Closed == 0 {
			t.Errorf("%d: %+v", i, g)
		}
		if g.Machine != "V1" || g.Item != "SE13" || g.By != s.who.ID || g.At <= row.Opened || g.At >= row.Closed || !slices.Equal(g.Fasteners, []int{1}) {
			t.Errorf("%d: where, who, when: %+v", i, g)
		}
		if g.Present != "20 N·m dry" || g.Was.Value != "22 N·m" || g.Was.Until != "revision 3" || g.Was.Date != "2026-03-02" || g.Was.Reason != "lead fractures" {
			t.Errorf("%d: values: present %q, was %+v", i, g.Present, g.Was)
		}
		kept, err := s.Job(t.Context(), s.who, want.job)
		if err != nil || len(kept.Old) != 1 || kept.Old[0].Value != want.value || kept.OldNote != "" {
			t.Errorf("%d: on its page %+v, %v", i, kept.Old, err)
		}
	}
	if err := s.Furnish(t.Context(), store.Place{ID: "other", Name: "Other"}, nil, nil); err != nil {
		t.Fatal(err)
	}
	stranger := desk.Who{Place: "other", ID: "eve", Name: "Eve", Role: store.Owner}
	if got, err := s.Superseded(t.Context(), stranger, ""); err != nil || got.Looked != 0 || len(got.List) != 0 {
		t.Errorf("another workshop sees %+v, %v", got, err)
	}
	if _, err := s.Superseded(t.Context(), stranger, old); store.CodeOf(err) != store.NotFound {
		t.Errorf("another workshop asks on from a job of this one: %v", err)
	}
}

// An open job whose sheet still has the old value is listed until its fastener
// is tightened to the present one.
func TestOpenJobWithASupersededValue(t *testing.T) {
	s := open(t)
	s.revise(t, "old list", "22 N·m")
	job := s.jobWithPlan(t, "replace:SE13")
	sheet, err := s.Sheet(t.Context(), s.who, job)
	if err != nil {
		t.Fatal(err)
	}
	p := s.phone(s.who, job, "phone-a")
	p.sync(t)
	for _, step := range sheet.Steps {
		p.say(t, &joblog.StepDone{Step: step.Step})
		if step.Item == "SE13" || slices.ContainsFunc(step.Joints, func(j desk.SheetJoint) bool { return j.Item == "SE13" }) {
			break
		}
	}
	p.sync(t)
	s.revise(t, "new list", "20 N·m", fractures)
	out := s.superseded(t)
	if len(out.List) != 1 || !out.List[0].Open || out.List[0].By != "" || out.List[0].Closed != 0 || out.List[0].Value != "22 N·m" {
		t.Fatalf("%+v", out.List)
	}
	p.say(t, &joblog.Ticked{Fastener: joblog.Fastener{Item: "SE13", Joint: 1, Index: 1}, Value: "20 N·m"})
	p.sync(t)
	if out := s.superseded(t); len(out.List) != 0 {
		t.Errorf("tightened to the present value: %+v", out.List)
	}
	p.say(t, &joblog.Ticked{Fastener: joblog.Fastener{Item: "SE13", Joint: 1, Index: 1}, Value: "22 N·m"})
	p.sync(t)
	if out := s.superseded(t); len(out.List) != 1 || out.List[0].Open || out.List[0].By != s.who.ID {
		t.Errorf("said otherwise later: %+v", out.List)
	}
}

// reads counts how often the log of a job is read.
type reads struct {
	*sqlite.Store
	logs int
}

func (r *reads) Events(ctx context.Context, place store.PlaceID, job joblog.Job) ([]store.Event, error) {
	r.logs++
	return r.Store.Events(ctx, place, job)
}

// One answer looks at a bounded number of jobs and says where to go on; what
// did not change is not read again.
func TestSupersededGoesOn(t *testing.T) {
	s := open(t)
	s.revise(t, "old list", "22 N·m")
	old := s.sensorDone(t, "phone-a", asOnSheet)
	s.revise(t, "new list", "20 N·m", fractures)
	row, err := s.store.Job(t.Context(), s.who.Place, old)
	if err != nil {
		t.Fatal(err)
	}
	later, unpinned := 120, 700
	if testing.Short() { // fewer, which still take two answers
		later, unpinned = 55, 5
	}
	for i := range later + unpinned {
		j := store.Job{ID: joblog.Job(fmt.Sprintf("j-later-%d", i)), Title: "later", Machine: "V1", State: desk.StandsNew, Opened: row.Updated, Updated: row.Updated + joblog.Moment(i) + 1}
		if i < later {
			j.Pin = row.Pin
		}
		if _, err := s.store.PutJob(t.Context(), s.who.Place, j); err != nil {
			t.Fatal(err)
		}
	}
	count := &reads{Store: s.store}
	// Long after the last event, so that every summary is up to date.
	d := desk.New(count, desk.Options{Clock: func() time.Time { return row.Updated.Time().Add(time.Hour) }, Random: chance(), Device: "desk-b"})
	for _, pass := range []struct {
		name string
		logs int // in all
	}{{"first", later + 1}, {"again", later + 1}} {
		var looked, answers int
		var list []desk.OldValue
		for after := joblog.Job(""); answers == 0 || after != ""; answers++ {
			before := count.logs
			out, err := d.Superseded(t.Context(), s.who, after)
			if err != nil {
				t.Fatal(err)
			}
			if out.Looked == 0 && out.After != "" || out.Looked > 500 || count.logs-before > 50 || answers > 20 {
				t.Fatalf("%s: answer %d: %d looked at, %d read", pass.name, answers, out.Looked, count.logs-before)
			}
			looked, list, after = looked+out.Looked, append(list, out.List...), out.After
		}
		if looked != later+unpinned+1 || len(list) != 1 || list[0].Job != old {
			t.Errorf("%s: %d looked at in %d answers, %+v", pass.name, looked, answers, list)
		}
		if count.logs != pass.logs {
			t.Errorf("%s: %d logs read", pass.name, count.logs)
		}
	}
}

// A job whose log is damaged is named, and the others are listed all the same.
func TestSupersededBesideADamagedJob(t *testing.T) {
	s := open(t)
	s.revise(t, "old list", "22 N·m")
	old := s.sensorDone(t, "phone-a", asOnSheet)
	broken := s.jobWithPlan(t, "replace:SE13")
	s.revise(t, "new list", "20 N·m", fractures)
	d := desk.New(&damaged{s.store, broken}, desk.Options{Clock: s.clock.now, Random: chance(), Device: "desk-b"})
	out, err := d.Superseded(t.Context(), s.who, "")
	if err != nil || len(out.List) != 1 || out.List[0].Job != old || len(out.Notes) != 1 || out.Notes[0].Job != broken || out.Notes[0].Says == "" {
		t.Errorf("%+v, %v", out, err)
	}
}

// damaged is a store in which a byte of one job is lost.
type damaged struct {
	*sqlite.Store
	job joblog.Job
}

func (d *damaged) Events(ctx context.Context, place store.PlaceID, job joblog.Job) ([]store.Event, error) {
	list, err := d.Store.Events(ctx, place, job)
	if job == d.job && len(list) > 0 {
		list[0].Raw = list[0].Raw[1:]
	}
	return list, err
}

// A guide made in memory that could not be read again is refused when a place
// is furnished, with the reason, and nothing of it is kept.
func TestFurnishRefusesWhatCannotBeRead(t *testing.T) {
	s := open(t)
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	g.ID = "made"
	g.Items[0].Ways = append(g.Items[0].Ways, guide.Way{Do: "off", From: "attic", Out: time.Minute, Back: time.Minute})
	err = s.Furnish(t.Context(), store.Place{ID: s.who.Place, Name: "Marrow Lane Motors"}, nil, []*guide.Guide{g})
	if !errors.Is(err, app.ErrInput) || !strings.Contains(err.Error(), "attic") || !strings.Contains(err.Error(), "made") {
		t.Errorf("%v", err)
	}
	if _, _, err := s.store.Text(t.Context(), s.who.Place, store.Guide, "made"); store.CodeOf(err) != store.NotFound {
		t.Errorf("kept all the same: %v", err)
	}
}
