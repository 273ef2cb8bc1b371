package desk_test

import (
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/estimate"
	"elbowroom/joblog"
)

// carriedOut works a job through on a phone and closes it.
func (s *shop) carriedOut(t *testing.T, device joblog.Device, tasks ...string) joblog.Job {
	t.Helper()
	job := s.jobWithPlan(t, tasks...)
	sheet, err := s.Sheet(t.Context(), s.who, job)
	if err != nil {
		t.Fatal(err)
	}
	p := s.phone(s.who, job, device)
	p.sync(t)
	p.say(t, &joblog.Resumed{})
	for _, step := range sheet.Steps {
		p.carryOut(t, step)
	}
	p.say(t, &joblog.ProofMade{What: "road test", Verdict: joblog.Conforming})
	p.sync(t)
	p.say(t, &joblog.Closed{})
	if out := p.sync(t); out.State.Closed == nil {
		t.Fatalf("not closed: %s", out.State.Unclosable())
	}
	return job
}

// What closed jobs measured is learned from, each job once, and a quote of the
// next visit rests on it.
func TestTimesOfClosedJobs(t *testing.T) {
	s := open(t)
	none, err := s.Times(t.Context(), s.who)
	if err != nil || len(none) != 0 {
		t.Fatalf("an empty store has measured %v, %v", none, err)
	}
	first := s.carriedOut(t, "phone-a", "check:X3")
	times, err := s.Times(t.Context(), s.who)
	if err != nil || len(times) == 0 {
		t.Fatalf("%v, %v", times, err)
	}
	for _, r := range times {
		if r.Job != string(first) || r.Person != string(s.who.ID) || r.Took <= 0 || r.Guide <= 0 {
			t.Errorf("%+v", r)
		}
	}
	if i := slices.IndexFunc(times, func(r estimate.Record) bool { return r.Key == "off PN03 from cab" }); i < 0 {
		t.Errorf("the hatch was taken off and not timed: %+v", times)
	}
	again, err := s.Times(t.Context(), s.who)
	if err != nil || !slices.Equal(times, again) {
		t.Errorf("asked again: %v, %v", again, err)
	}
	s.carriedOut(t, "phone-b", "check:X3")
	both, err := s.Times(t.Context(), s.who)
	if err != nil || len(both) <= len(times) || both[0].Job != string(first) {
		t.Errorf("after a second job %d times, before %d; oldest first: %v", len(both), len(times), err)
	}
	a, err := s.App(t.Context(), s.who.Place)
	if err != nil {
		t.Fatal(err)
	}
	ask := app.QuoteAsk{Ask: app.Ask{Machine: "V1", Tasks: []string{"check:X3"}}}
	before, err := a.Quote(ask)
	if err != nil {
		t.Fatal(err)
	}
	ask.Measured = both
	after, err := a.Quote(ask)
	if err != nil {
		t.Fatal(err)
	}
	if before.Usual.Hands == after.Usual.Hands || !strings.Contains(strings.Join(after.Basis, " "), "measured here") {
		t.Errorf("guide %v, learned %v, %q", before.Usual.Hands, after.Usual.Hands, after.Basis)
	}
}

// The visit of a job can be quoted as it was asked for, and held against what
// was done, also when the machine stands otherwise now.
func TestVisitOfAJob(t *testing.T) {
	s := open(t)
	job := s.carriedOut(t, "phone-a", "replace:SE02", "check:X3")
	q, log, err := s.Visit(t.Context(), s.who, job)
	if err != nil || strings.Join(q.Tasks, " ") != "replace:SE02 check:X3" || q.Machine != "V1" || len(log) == 0 {
		t.Fatalf("%+v, %d events, %v", q, len(log), err)
	}
	a, err := s.App(t.Context(), s.who.Place)
	if err != nil {
		t.Fatal(err)
	}
	got, err := a.Quote(app.QuoteAsk{Ask: q, Log: log})
	if err != nil {
		t.Fatal(err)
	}
	if got.Actual == nil || got.Actual.Open != 0 || len(got.Actual.Rows) != len(got.Answer.Steps) {
		t.Errorf("%+v", got.Actual)
	}
	empty, err := s.OpenJob(t.Context(), s.who, desk.NewJob{Machine: "V2"})
	if err != nil {
		t.Fatal(err)
	}
	if q, log, err := s.Visit(t.Context(), s.who, empty); err != nil || q.Machine != "V2" || len(q.Tasks) != 0 || log != nil {
		t.Errorf("a job without a plan: %+v, %d events, %v", q, len(log), err)
	}
	if _, _, err := s.Visit(t.Context(), s.who, "j-nowhere"); err == nil {
		t.Error("a job that is not there has a visit")
	}
}
