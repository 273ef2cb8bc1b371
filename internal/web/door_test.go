package web

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"elbowroom/app/desk"
	"elbowroom/store"
)

// torn is a desk whose store does not answer.
type torn struct{ Desk }

func (torn) Show(context.Context, string) (*desk.Shown, error) { return nil, errors.New("no answer") }

// nobody is a desk over an empty store.
type nobody struct{ Desk }

func (nobody) Places(context.Context) ([]store.Place, error) { return nil, nil }

// A customer's link does not get into the log, also when it cannot be shown.
func TestLinkStandsInNoLog(t *testing.T) {
	var log bytes.Buffer
	h := Open(torn{}, Options{Log: slog.New(slog.NewTextHandler(&log, nil))})
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/shown/SecretToken", nil))
	if w.Code != http.StatusInternalServerError || !strings.Contains(log.String(), "no answer") || strings.Contains(log.String(), "SecretToken") {
		t.Errorf("%d, log: %s", w.Code, &log)
	}
}

// Signing in where nothing is set up leads to setting up.
func TestSignInToNothing(t *testing.T) {
	h := Open(nobody{}, Options{})
	r := httptest.NewRequest(http.MethodPost, signInPath, strings.NewReader("person=ada"))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != setUpPath {
		t.Errorf("%d to %q", w.Code, w.Header().Get("Location"))
	}
}

// Whoever is not signed in any more gets a page where a page was asked for, is
// led back after signing in, and only the run sheet gets JSON.
func TestSessionOver(t *testing.T) {
	f := newFort(t)
	c := f.browser()
	job := "/jobs/" + string(f.job)
	for name, path := range map[string]string{"a job": job, "a paper of a job": job + "/paper/job.pdf", "an issued paper": job + "/issued/job/1/1"} {
		status, _, h := f.get(c, path)
		if want := signInPath + "?then=" + url.QueryEscape(path); status != http.StatusSeeOther || h.Get("Location") != want {
			t.Errorf("%s: %d to %q, want %q", name, status, h.Get("Location"), want)
		}
	}
	for name, path := range map[string]string{"a note": job, "a plan": job + "/plan", "a link": job + "/link", "staff": workshopPath} {
		status, body, h := f.post(c, path, url.Values{"does": {"note"}, "text": {"x"}})
		if status != http.StatusUnauthorized || !strings.HasPrefix(h.Get("Content-Type"), "text/html") || !strings.Contains(body, say("still.signed-out.what")) {
			t.Errorf("%s: %d %s", name, status, h.Get("Content-Type"))
		}
	}
	for name, path := range map[string]string{"sheet": "/sheet", "live": "/live"} {
		if status, _, h := f.get(c, runPath+string(f.job)+path); status != http.StatusUnauthorized || !strings.HasPrefix(h.Get("Content-Type"), "application/json") {
			t.Errorf("%s: %d %s", name, status, h.Get("Content-Type"))
		}
	}
}

// A phone that listens does not keep the server from stopping.
func TestListeningEndsWithTheServer(t *testing.T) {
	f := newFort(t)
	f.at.Close()
	stopped := make(chan struct{})
	f.at = httptest.NewServer(Open(f.desk, Options{Stopped: stopped}))
	c := f.signedIn("stone", ownersPassword)
	c.Timeout = 5 * time.Second // of the whole answer
	time.AfterFunc(200*time.Millisecond, func() { close(stopped) })
	status, body, _ := f.get(c, runPath+string(f.job)+"/live")
	if status != http.StatusOK || !strings.Contains(body, "event: moved") {
		t.Errorf("%d %q", status, body)
	}
}
