// Package web serves the pages: Home with the machines that are in, Bay with
// the drawing and the sheet of an item, and Plan with the valley.
//
// It answers by laying out what package app hands over and adds nothing of its
// own. Every page is rendered on the server from one typed struct, reads and
// works without script, and has an address that can be passed on: app.Ask is
// the query, plus a few keys of the shell itself (search words, view, item).
// Script, where the browser has it, adds turning the pages without a reload,
// suggestions while typing, and moving about the drawing.
//
// # Promises
//
//   - Only GET and HEAD, but for the pages that read a file (see intakes):
//     those take a POST from our own pages, of a bounded size, and read it as it
//     comes. Nothing is stored, no cookie is set. The run sheet, where Options
//     has it, takes events and pictures in and hands them to the desk.
//   - No inline script and no inline style; the Content-Security-Policy allows
//     only the files served here, whose names carry a hash of their content.
//   - A bad address gives a page that says what, why and what is near, and
//     keeps what was typed: 400 for app.ErrInput, 404 for app.ErrUnknown, 500
//     for app.ErrAudit, 503 when a search or the whole request takes too long.
//     A panic is written to Options.Log and gives a plain page.
//   - Same answer, same bytes: pages carry an ETag made from their content.
//
// What people read stands in words.go and nowhere else, but for the sentences
// that package app makes.
package web

import (
	"io"
	"log/slog"
	"net/http"
	"runtime"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/span"
	"elbowroom/workshop"
)

// UseCases is what the pages ask of the program. *app.App satisfies it.
type UseCases interface {
	Home() []app.MachineLine
	Guides() []*app.Loaded
	Plan(q app.Ask) (*app.Answer, error)
	Reach(q app.Ask) (*app.Answer, []app.ReachRow, error)
	Quote(q app.QuoteAsk) (*app.Quote, error)
	Workshop() *workshop.Workshop
	Where(q app.Ask, words string) (*app.Found, error)
	Item(q app.Ask, id guide.ID) (*app.ItemSheet, error)
	Scene(q app.Ask) (*bay.Scene, *guide.Resolved, error)
	Suspects(j app.Job) (*app.Inquiry, error)
	Next(j app.Job, d app.Detail) (*app.NextStep, error)
	Judge(q app.Ask, text string) (*app.Judgement, error)
	Form(j app.Job, check string) (*app.Form, error)
	Recording(q app.RecordingAsk) (*app.Recorded, error)
	ReadCodes(j app.Job, in app.CodeInput) (*app.CodesRead, error)
	Circuit(j app.Job, q app.Wires) (*app.Wiring, error)
	Torque(q app.TorqueAsk) (*app.TorqueSheet, error)
	Paper(q app.PaperAsk) (*app.Paper, error)
}

// Options are the choices of whoever starts the server. The zero value serves.
type Options struct {
	Patterns bool            // serve /pattern-sheet, every component with canned data
	Budget   time.Duration   // of one search for a plan; 0 means DefaultBudget
	Deadline time.Duration   // of one request; 0 means DefaultDeadline
	Parallel int             // requests that may plan at once; 0 means one per processor
	Stopped  <-chan struct{} // closed when the server is to stop: what would not end by itself ends then
	Log      *slog.Logger    // for panics and broken pages; nil is silent

	Desk  Desk      // what is kept; set by Open
	Demo  *desk.Who // a demonstration: who somebody is that has not chosen; nobody needs a password
	Proxy bool      // a proxy that speaks TLS stands before the server and says X-Forwarded-For
	// Origin is where browsers find the pages, for passkeys. The zero Origin
	// allows them on this very computer alone, by the name localhost.
	Origin desk.Origin
	// SetUpCode is what somebody must know who sets up an empty store from
	// another computer; empty lets nobody.
	SetUpCode string

	Runs Runs                                  // the run sheet of jobs; nil serves none
	Who  func(*http.Request) (desk.Who, error) // who asks, by the session; nil lets nobody at the run sheet

	passkeyHere func(*http.Request) passkeyHere // set by Open
}

// Limits when Options does not say.
const (
	DefaultBudget   = 4 * time.Second  // a person at the car waits no longer
	DefaultDeadline = 20 * time.Second // several searches of one page
	maxAddress      = 24 << 10         // bytes of path and query
	maxWords        = 200              // bytes of what is searched for
	maxUploads      = 4                // files that may be read at once
)

// site is the handler with everything it needs, made once and then read-only.
type site struct {
	use   UseCases
	opts  Options
	files *files
	pages pages
	slots chan struct{} // one for each request that may plan

	uploads chan struct{} // one for each file that may be read at once
}

// New returns the handler of all pages over one program, with nobody asked who
// they are. It panics when a built-in page or file is broken, which no input
// can cause. See Open for pages that keep something.
func New(a UseCases, opts Options) http.Handler { return newSite(a, opts.withDefaults()).handler() }

func (o Options) withDefaults() Options {
	if o.Budget <= 0 {
		o.Budget = DefaultBudget
	}
	if o.Deadline <= 0 {
		o.Deadline = DefaultDeadline
	}
	if o.Parallel <= 0 {
		o.Parallel = runtime.NumCPU()
	}
	if o.Log == nil {
		o.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	return o
}

func newSite(a UseCases, opts Options) *site {
	s := &site{use: a, opts: opts, files: loadFiles(), slots: make(chan struct{}, opts.Parallel), uploads: make(chan struct{}, maxUploads)}
	s.pages = loadPages(s.files)
	return s
}

// handler puts the pages and the run sheet side by side.
func (s *site) handler() http.Handler {
	pages := s.guard(s.routes())
	if s.opts.Runs == nil {
		return pages
	}
	run := s.newRunSheet()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, runPath) {
			run.ServeHTTP(w, r)
			return
		}
		pages.ServeHTTP(w, r)
	})
}

func (s *site) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("/{$}", s.home)
	mux.HandleFunc("/go", s.goTo)
	mux.HandleFunc("/job", s.work)
	mux.HandleFunc("/job/enter", s.enter)
	mux.HandleFunc("/recording", s.record)
	mux.HandleFunc(codesPath, s.codes)
	mux.HandleFunc("/circuit", s.circuit)
	mux.HandleFunc(torquePath, s.torque)
	mux.HandleFunc(paperPath+"{name}", s.paper)
	mux.HandleFunc("/plan", s.plan)
	mux.HandleFunc(quotePath, s.quote)
	mux.HandleFunc("/plan/reach", s.reachPart)
	mux.HandleFunc("/find", s.findPart)
	mux.HandleFunc("/bay", s.bay)
	mux.HandleFunc("/healthz", s.health)
	mux.HandleFunc("/assets/{name}", s.files.serve)
	if s.opts.Patterns {
		mux.HandleFunc("/pattern-sheet", s.patternSheet)
	}
	if s.opts.Desk != nil {
		s.keptRoutes(mux)
	}
	mux.HandleFunc("/", s.lost)
	return mux
}

// health answers that the server is up and how much it has to work with.
func (s *site) health(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	usable := 0
	for _, g := range s.use.Guides() {
		if g.Guide != nil && !g.Findings.Has(span.Error) {
			usable++
		}
	}
	if usable == 0 {
		w.WriteHeader(http.StatusServiceUnavailable)
		_, _ = io.WriteString(w, "no usable guide\n")
		return
	}
	_, _ = io.WriteString(w, "ok\n")
}
