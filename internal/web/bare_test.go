package web

import (
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"elbowroom/app/desk"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// bare is a fort whose second workshop has neither description nor guide.
func bare(t *testing.T) (f *fort, c *http.Client, job string) {
	t.Helper()
	f = newFort(t)
	ctx := t.Context()
	if err := f.desk.Furnish(ctx, store.Place{ID: "bare", Name: "Bare"}, nil, nil); err != nil {
		t.Fatal(err)
	}
	eve := desk.Who{Place: "bare", ID: "eve", Name: "Eve", Role: store.Owner}
	if _, err := f.keep.PutPerson(ctx, "bare", store.Person{ID: "eve", Name: "Eve", Role: store.Owner}); err != nil {
		t.Fatal(err)
	}
	if _, err := f.desk.AddMachine(ctx, eve, desk.NewMachine{ID: "E1", Name: "Van"}); err != nil {
		t.Fatal(err)
	}
	id, err := f.desk.OpenJob(ctx, eve, desk.NewJob{Machine: "E1", Complaint: "knocks", Codes: []string{"P0327"}})
	if err != nil {
		t.Fatal(err)
	}
	token, err := f.desk.Enter(ctx, desk.SignIn{Place: "bare", Person: "eve"})
	if err != nil {
		t.Fatal(err)
	}
	c = f.browser()
	at, err := url.Parse(f.at.URL)
	if err != nil {
		t.Fatal(err)
	}
	c.Jar.SetCookies(at, []*http.Cookie{{Name: cookieName, Value: token, Path: "/"}})
	return f, c, string(id)
}

// A workshop without description, without guides, with a machine of which
// nothing is written down and a job without a plan, breaks no page.
func TestBareWorkshop(t *testing.T) {
	f, c, job := bare(t)
	at := "/jobs/" + job
	for _, path := range []string{
		"/", "/jobs/", "/jobs/?closed=yes", "/jobs/?q=van", at, at + "?at=T01", "/workshop/", "/run/", "/run/" + job, "/run/" + job + "/sheet", "/plan", "/bay", "/job", "/plan?machine=E1", "/bay?machine=E1",
		"/job?machine=E1", "/torque?machine=E1", "/quote?job=" + job, "/quote", at + "/paper/job", at + "/paper/job.pdf", at + "/paper/handover", at + "/paper/torque", at + "/paper/plan", at + "/paper/layout", at + "/paper/none",
		at + "/issued/job/1/1", "/codes", "/recording", "/circuit?machine=E1", "/find?q=x", "/healthz", "/settings",
	} {
		if status, body, _ := f.get(c, path); status >= http.StatusInternalServerError {
			t.Errorf("%s: %d %.300s", path, status, text(body))
		}
	}
	for _, form := range []url.Values{
		{"does": {"note"}, "text": {"seen"}},
		{"does": {"sign"}, "text": {"rattles"}},
		{"does": {"code"}, "text": {"P0001"}},
		{"does": {"repaired"}, "text": {"F10"}},
		{"does": {"handover"}},
		{"does": {"proof"}, "text": {"drove"}, "passed": {"yes"}},
		{"does": {"price"}, "amount": {"240.00"}, "by": {"Oda"}, "how": {"by phone"}},
		{"does": {"reading"}, "at": {"T01"}},
		{"does": {"deviation"}, "text": {"because"}},
		{"does": {"close"}},
		{"does": {"reopen"}, "text": {"again"}},
	} {
		if status, body, _ := f.post(c, at, form); status >= http.StatusInternalServerError {
			t.Errorf("%s: %d %.300s", form.Get("does"), status, text(body))
		}
	}
	for path, form := range map[string]url.Values{
		at + "/plan": {"task": {"replace:SE13"}}, at + "/link": {}, at + "/paper/job": {}, at + "/paper/torque": {}, "/take": {"job": {job}}, "/jobs/": {"name": {"Van"}, "plate": {"1"}, "guide": {"none"}},
	} {
		if status, body, _ := f.post(c, path, form); status >= http.StatusInternalServerError {
			t.Errorf("POST %s: %d %.300s", path, status, text(body))
		}
	}
}

// What a newer program beside this one has written down breaks no page.
func TestWordsOfANewerProgram(t *testing.T) {
	f := newFort(t)
	ctx := t.Context()
	row, err := f.keep.Job(ctx, "castle", f.job)
	if err != nil {
		t.Fatal(err)
	}
	row.ID, row.State, row.Version = "j-newer", "laid up", 0
	if _, err := f.keep.PutJob(ctx, "castle", row); err != nil {
		t.Fatal(err)
	}
	if err := f.keep.Note(ctx, "castle", store.Entry{Person: "stone", Did: "laid-up", At: row.Opened}); err != nil {
		t.Fatal(err)
	}
	if _, err := f.keep.Issue(ctx, "castle", store.Paper{Job: f.job, Kind: "lay-up", At: row.Opened, Type: "application/pdf", Content: []byte("%PDF-")}); err != nil {
		t.Fatal(err)
	}
	token, err := f.desk.Share(ctx, desk.Who{Place: "castle", ID: "stone", Role: store.Owner}, "j-newer", "", 0)
	if err != nil {
		t.Fatal(err)
	}
	c := f.signedIn("stone", ownersPassword)
	for path, want := range map[string]string{"/": "laid-up", "/jobs/": "laid-up", "/workshop/": "laid-up", "/jobs/" + string(f.job): "lay-up", shownPath + token: "laid-up"} {
		if status, body, _ := f.get(c, path); status != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("%s: %d", path, status)
		}
	}
}

// text is what a page says, without its marks.
func text(page string) string {
	if _, main, ok := strings.Cut(page, "<main"); ok {
		return main
	}
	return page
}

// A guide whose newest revision cannot be read takes nothing from the job that
// follows an older one, and its pages say what is wrong.
func TestUnreadableGuide(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	at := "/jobs/" + string(f.job)
	if status, body, _ := f.post(c, at+"/plan", url.Values{"task": {"replace:SE13"}}); status != http.StatusSeeOther {
		t.Fatalf("plan: %d %.300s", status, text(body))
	}
	rev, _, err := f.keep.Text(t.Context(), "castle", store.Guide, "v27p")
	if err != nil {
		t.Fatal(err)
	}
	_, err = f.keep.PutText(t.Context(), "castle", store.Draft{Kind: store.Guide, Name: "v27p", Text: []byte("items: [\n"), Expect: rev.Hash, Author: "stone", At: joblog.MomentOf(time.Now())})
	if err != nil {
		t.Fatal(err)
	}
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	other := desk.New(f.keep, desk.Options{Clock: time.Now, Random: rand.NewChaCha8([32]byte{5}), Device: "other", Sample: []*guide.Guide{g}, QuickPasswords: true})
	f.at.Config.Handler = Open(other, Options{})
	for path, want := range map[string]int{
		"/": http.StatusOK, "/jobs/": http.StatusOK, at: http.StatusOK, "/run/" + string(f.job) + "/sheet": http.StatusOK, at + "/paper/job": http.StatusOK, at + "/paper/torque": http.StatusOK,
		at + "/paper/handover": http.StatusOK, "/workshop/": http.StatusOK, "/plan?machine=V1": 0, "/bay?machine=V1": 0, "/quote?job=" + string(f.job): 0,
	} {
		status, body, _ := f.get(c, path)
		if want != 0 && status != want || status >= http.StatusInternalServerError {
			t.Errorf("%s: %d %.400s", path, status, text(body))
		}
	}
	if _, sheet, _ := f.get(c, "/run/"+string(f.job)+"/sheet"); !strings.Contains(sheet, "cannot be read") || !strings.Contains(sheet, `"steps":[`) {
		t.Error("the sheet does not say that the current revision cannot be read")
	}
}
