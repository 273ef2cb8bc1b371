package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Runs is what the run sheet asks of the desk.
type Runs interface {
	Sheet(ctx context.Context, who desk.Who, job joblog.Job) (*desk.Sheet, error)
	Sync(ctx context.Context, who desk.Who, job joblog.Job, in desk.SyncIn) (*desk.SyncOut, error)
	Live(ctx context.Context, who desk.Who) (<-chan store.Cursor, error)
	PutPicture(ctx context.Context, who desk.Who, job joblog.Job, hash, mediaType string, r io.Reader) error
	Picture(ctx context.Context, who desk.Who, job joblog.Job, hash string) (mediaType string, r io.ReadCloser, err error)
}

// runPath is under which everything of the run sheet is served: the scope of
// its worker.
const runPath = "/run/"

// runPolicy is the Content-Security-Policy of the run sheet: beside what every
// page may do it starts a worker, can be installed, and shows pictures that
// have not left the phone yet.
var runPolicy = strings.Replace(policy, "img-src 'self'", "img-src 'self' blob:", 1) + "; worker-src 'self'; manifest-src 'self'"

// Limits of what the run sheet takes in and of how long it may take.
const (
	mostSync    = 4 << 20  // bytes of one delivery of events
	mostPicture = 12 << 20 // bytes of one picture
	syncTime    = time.Minute
	pictureTime = 5 * time.Minute // over a slow radio
	mostLive    = 500             // phones that are told at once when something moves
)

// runSheet serves the run sheet. It stands beside the other pages and not
// behind their guard: it takes things in, and one of its answers never ends.
type runSheet struct {
	site *site
	runs Runs
	who  func(*http.Request) (desk.Who, error)
	live chan struct{} // one for each phone that listens
	mux  *http.ServeMux
}

func (s *site) newRunSheet() http.Handler {
	t := &runSheet{site: s, runs: s.opts.Runs, who: s.opts.Who, live: make(chan struct{}, mostLive), mux: http.NewServeMux()}
	if t.who == nil {
		t.who = func(*http.Request) (desk.Who, error) { return desk.Who{}, desk.ErrSignIn }
	}
	within := func(h http.HandlerFunc, d time.Duration) http.Handler {
		return http.TimeoutHandler(s.recovering(h), d, say("run.late"))
	}
	t.mux.Handle("GET /run/{$}", within(t.kept, s.opts.Deadline))
	t.mux.Handle("GET /run/worker.js", within(t.worker, s.opts.Deadline))
	t.mux.Handle("GET /run/app.webmanifest", within(t.manifest, s.opts.Deadline))
	t.mux.Handle("GET /run/{job}", within(t.page, s.opts.Deadline))
	t.mux.Handle("GET /run/{job}/sheet", within(t.sheet, s.opts.Deadline))
	t.mux.Handle("GET /run/{job}/picture/{hash}", within(t.picture, pictureTime))
	t.mux.Handle("GET /run/{job}/live", s.recovering(http.HandlerFunc(t.listen)))
	t.mux.Handle("POST /run/{job}/sync", within(t.sync, syncTime))
	t.mux.Handle("PUT /run/{job}/picture/{hash}", within(t.putPicture, pictureTime))
	return t
}

// ServeHTTP puts round every answer what none may forget. What is sent to us
// must come from one of our own pages.
func (t *runSheet) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	secure(w.Header())
	w.Header().Set("Content-Security-Policy", runPolicy)
	if len(r.URL.RequestURI()) > maxAddress {
		t.site.still(w, http.StatusRequestURITooLong, "long")
		return
	}
	if r.Method == http.MethodGet || r.Method == http.MethodHead {
		r.Body = http.NoBody
	} else {
		var own http.CrossOriginProtection
		if err := own.Check(r); err != nil {
			t.refuse(w, r, runError{http.StatusForbidden, "origin", ""})
			return
		}
		most := int64(mostSync)
		if r.Method == http.MethodPut {
			most = mostPicture
		}
		if r.ContentLength > most {
			w.Header().Set("Connection", "close")
			t.refuse(w, r, runError{http.StatusRequestEntityTooLarge, "large", ""})
			return
		}
		end := time.Now().Add(pictureTime)
		control := http.NewResponseController(w)
		_ = control.SetReadDeadline(end) // a connection without deadlines needs none
		_ = control.SetWriteDeadline(end.Add(t.site.opts.Deadline))
		r.Body = http.MaxBytesReader(w, r.Body, most)
	}
	t.mux.ServeHTTP(w, r)
}

// asked returns who asks and for which job; ok is false when the answer has
// been given already.
func (t *runSheet) asked(w http.ResponseWriter, r *http.Request) (who desk.Who, job joblog.Job, ok bool) {
	who, err := t.who(r)
	if err != nil {
		t.fail(w, r, err)
		return who, "", false
	}
	return who, joblog.Job(r.PathValue("job")), true
}

// runError is an answer that is no page of a job: a status, the key of its
// words, and what the use case said.
type runError struct {
	Status int
	Key    string
	Says   string
}

// refusal is a runError as the script reads it.
type refusal struct {
	What string `json:"what"`           // what is wrong
	Why  string `json:"why,omitempty"`  // as the use case says it
	Todo string `json:"todo,omitempty"` // what can be done about it
}

// statuses of the errors of the use cases and the store; the first that fits
// holds.
var runStatuses = []struct {
	err    error
	status int
	key    string
}{
	{desk.ErrSignIn, http.StatusUnauthorized, "sign-in"},
	{desk.ErrNotAllowed, http.StatusForbidden, "not-allowed"},
	{desk.ErrTooOften, http.StatusTooManyRequests, "too-often"},
	{desk.ErrRefused, http.StatusUnprocessableEntity, "refused"},
	{app.ErrUnknown, http.StatusNotFound, "unknown"},
	{store.NotFound, http.StatusNotFound, "unknown"},
	{app.ErrInput, http.StatusBadRequest, "input"},
	{joblog.ErrForm, http.StatusBadRequest, "input"},
	{store.Refused, http.StatusUnprocessableEntity, "refused"},
	{store.Conflict, http.StatusConflict, "conflict"},
	{store.Full, http.StatusInsufficientStorage, "full"},
	{store.Busy, http.StatusServiceUnavailable, "busy"},
	{store.ReadOnly, http.StatusServiceUnavailable, "busy"},
	{context.DeadlineExceeded, http.StatusServiceUnavailable, "busy"},
}

// fail answers with an error of the use cases.
func (t *runSheet) fail(w http.ResponseWriter, r *http.Request, err error) {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		t.refuse(w, r, runError{http.StatusRequestEntityTooLarge, "large", ""})
		return
	}
	for _, s := range runStatuses {
		if errors.Is(err, s.err) {
			t.refuse(w, r, runError{s.status, s.key, plain(err)})
			return
		}
	}
	t.site.opts.Log.Error("run sheet failed", "path", r.URL.Path, "error", err)
	t.refuse(w, r, runError{http.StatusInternalServerError, "broken", ""})
}

// refuse answers with a page where a page was asked for, and with JSON
// elsewhere.
func (t *runSheet) refuse(w http.ResponseWriter, r *http.Request, e runError) {
	if e.Status == http.StatusTooManyRequests || e.Status == http.StatusServiceUnavailable {
		w.Header().Set("Retry-After", "5")
	}
	what, todo := say("run-error."+e.Key+".what"), say("run-error."+e.Key+".todo")
	if strings.Count(r.URL.Path, "/") == 2 && r.Method == http.MethodGet {
		p := errorPage{page: t.site.page("", "run.title"), Status: e.Status, What: what, Why: todo}
		if e.Says != "" {
			p.Details = []string{e.Says}
		}
		w.Header().Set("Cache-Control", "no-store")
		t.site.render(w, r, e.Status, "error", "layout", p)
		return
	}
	answerJSON(w, r, e.Status, refusal{What: what, Why: e.Says, Todo: todo})
}
