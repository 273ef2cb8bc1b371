package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Office is what the pages about kept jobs ask of the desk.
type Office interface {
	Jobs(ctx context.Context, who desk.Who, closed bool, after joblog.Job) ([]desk.JobLine, error)
	OpenJob(ctx context.Context, who desk.Who, n desk.NewJob) (joblog.Job, error)
	Job(ctx context.Context, who desk.Who, job joblog.Job) (*desk.Kept, error)
	Say(ctx context.Context, who desk.Who, job joblog.Job, bodies ...joblog.Body) (*joblog.State, error)
	Read(ctx context.Context, who desk.Who, job joblog.Job, text string) (*app.Judgement, error)
	TakePlan(ctx context.Context, who desk.Who, job joblog.Job, q app.Ask) (*app.Answer, error)
	Inquiry(ctx context.Context, who desk.Who, job joblog.Job) (app.Job, error)
	Find(ctx context.Context, who desk.Who, words string) ([]store.Hit, error)
	JobsOf(ctx context.Context, who desk.Who, machine guide.ID) ([]desk.JobLine, error)
	Machines(ctx context.Context, who desk.Who, after guide.ID) ([]desk.MachineLine, error)
	Machine(ctx context.Context, who desk.Who, id guide.ID) (desk.MachineLine, error)
	AddMachine(ctx context.Context, who desk.Who, n desk.NewMachine) (guide.ID, error)
}

// keptPath is under which the jobs are.
const keptPath = "/jobs/"

// formPaths are under which pages take short forms in.
var formPaths = []string{keptPath, "/take", workshopPath}

// keptRoutes adds the pages about what is kept.
func (s *site) keptRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /jobs/{$}", s.jobList)
	mux.HandleFunc("POST /jobs/{$}", s.openJob)
	mux.HandleFunc("GET /jobs/{job}", s.keptJob)
	mux.HandleFunc("POST /jobs/{job}", s.tellJob)
	mux.HandleFunc("POST /jobs/{job}/plan", s.takePlan)
	mux.HandleFunc("POST /take", s.takeShown)
	mux.HandleFunc("POST /jobs/{job}/link", s.shareJob)
	s.keptPaperRoutes(mux)
	s.staffRoutes(mux)
}

// jobListPage lists jobs and takes a machine in.
type jobListPage struct {
	page
	Jobs    []jobCard
	Closed  bool
	Other   link   // to the closed ones, or back
	More    string // address of the next page
	Words   string
	Hits    []link
	NoHits  bool
	Arrival arrivalForm
	Wrong   string
}

// jobCard is one job in a list.
type jobCard struct {
	Title, Name, State, Kind, Stands, Next, Progress string
	Off, MustNot                                     []string
	Href, Run                                        string
	Stairs                                           string
	Lacking                                          int
}

// arrivalForm takes a machine in.
type arrivalForm struct {
	Machines []offer
	Guides   []offer
	Values   url.Values
}

// Get returns what was typed into a field.
func (a arrivalForm) Get(field string) string { return a.Values.Get(field) }

func jobCardOf(l desk.JobLine) jobCard {
	c := jobCard{
		Title: l.Title, Name: l.Name, State: sayIf("stands.", stateKey(l.State)), Kind: stateKey(l.State), Stands: l.Stands, Next: l.Next,
		Off: l.Off, MustNot: l.MustNot, Href: keptPath + string(l.Job), Stairs: stairs(len(l.Off)), Lacking: l.Lacking,
	}
	if l.Steps > 0 {
		c.Progress = say("kept.progress", l.Done, l.Steps)
		c.Run = runPath + string(l.Job)
	}
	return c
}

// stateKey is the name of a state of a job for words and shapes.
func stateKey(state string) string { return strings.ReplaceAll(state, " ", "-") }

func (s *site) jobList(w http.ResponseWriter, r *http.Request) {
	s.showJobs(w, r, http.StatusOK, "")
}

func (s *site) showJobs(w http.ResponseWriter, r *http.Request, status int, wrong string) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	v := r.URL.Query()
	p := jobListPage{page: s.page("jobs", "jobs.title"), Closed: v.Get("closed") == "yes", Wrong: wrong, Words: shorten(printable(v.Get("q")), maxWords)}
	lines, err := s.opts.Desk.Jobs(r.Context(), who, p.Closed, joblog.Job(v.Get("after")))
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	for _, l := range lines {
		p.Jobs = append(p.Jobs, jobCardOf(l))
	}
	if n := len(lines); n == desk.PageOfJobs {
		p.More = moreJobs(lines[n-1], p.Closed)
	}
	p.Other = link{Text: say("jobs.closed"), Href: keptPath + "?closed=yes"}
	if p.Closed {
		p.Other = link{Text: say("jobs.open"), Href: keptPath}
	}
	if err := s.found(r, who, &p); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	if p.Arrival, err = s.arrival(r, who); err != nil {
		s.keptFailed(w, r, err)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	s.render(w, r, status, "jobs", "layout", p)
}

// moreJobs is where the jobs after one are listed.
func moreJobs(last desk.JobLine, closed bool) string {
	q := url.Values{"after": {string(last.Job)}}
	if closed {
		q.Set("closed", "yes")
	}
	return keptPath + "?" + q.Encode()
}

// found looks for the words, if there are any.
func (s *site) found(r *http.Request, who desk.Who, p *jobListPage) error {
	if p.Words == "" {
		return nil
	}
	hits, err := s.opts.Desk.Find(r.Context(), who, p.Words)
	if err != nil {
		return err
	}
	for _, h := range hits {
		l := link{Text: say("hit."+string(h.Kind), h.Title)}
		switch h.Kind {
		case store.HitJob:
			l.Href = keptPath + h.ID
		case store.HitMachine:
			l.Href = state{ask: app.Ask{Machine: h.ID}}.to("/job")
			p.Hits = append(p.Hits, link{Text: say("hit.take-in", h.Title), Href: takeInPath(h.ID)})
		case store.HitGuide:
			l.Href = state{ask: app.Ask{Guide: h.ID}}.to("/plan")
		default:
			continue
		}
		p.Hits = append(p.Hits, l)
	}
	p.NoHits = len(p.Hits) == 0
	return nil
}

// arrival offers the machines and guides that a new job can be about.
func (s *site) arrival(r *http.Request, who desk.Who) (arrivalForm, error) {
	f := arrivalForm{Values: r.PostForm}
	if f.Values == nil {
		f.Values = url.Values{"machine": {printable(r.URL.Query().Get("machine"))}}
	}
	list, err := s.opts.Desk.Machines(r.Context(), who, "")
	if err != nil {
		return f, err
	}
	chosen := func(m desk.MachineLine) bool { return string(m.ID) == f.Get("machine") }
	if id := guide.ID(f.Get("machine")); id != "" && !slices.ContainsFunc(list, chosen) { // there are more than the list holds
		m, err := s.opts.Desk.Machine(r.Context(), who, id)
		if code := store.CodeOf(err); err != nil && code != store.NotFound && code != store.Refused {
			return f, err
		}
		if err == nil {
			list = append(list, m)
		}
	}
	for _, m := range list {
		f.Machines = append(f.Machines, offer{Value: string(m.ID), Text: listed(string(m.ID), m.Name, m.Plate), Here: f.Get("machine") == string(m.ID)})
	}
	for _, g := range s.use.Guides() {
		f.Guides = append(f.Guides, offer{Value: g.Name, Text: guideTitle(g), Here: f.Get("guide") == g.Name})
	}
	return f, nil
}

// takeInPath is where a job is opened for a machine.
func takeInPath(machine string) string {
	return keptPath + "?" + url.Values{"machine": {machine}}.Encode() + "#arrive"
}

// whoAsks returns who sends the request; ok is false when it has been answered.
func (s *site) whoAsks(w http.ResponseWriter, r *http.Request) (desk.Who, bool) {
	who, err := s.opts.Who(r)
	if err != nil {
		s.keptFailed(w, r, err)
		return who, false
	}
	return who, true
}

// openJob takes a machine in, a new one or one that is known.
func (s *site) openJob(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	f := r.PostForm
	n := desk.NewJob{
		Machine: guide.ID(f.Get("machine")), Complaint: strings.TrimSpace(f.Get("complaint")), Distance: strings.TrimSpace(f.Get("distance")),
		Stands: strings.TrimSpace(f.Get("stands")), Codes: codeWords(f.Get("codes")),
	}
	var err error
	if n.Machine == "" {
		n.Machine, err = s.opts.Desk.AddMachine(r.Context(), who, desk.NewMachine{
			ID: f.Get("id"), Name: f.Get("name"), Plate: f.Get("plate"), Guide: f.Get("guide"), Variant: f.Get("variant"),
		})
	}
	var job joblog.Job
	if err == nil {
		job, err = s.opts.Desk.OpenJob(r.Context(), who, n)
	}
	if s.wrong(err) {
		s.showJobs(w, r, http.StatusBadRequest, plain(err))
		return
	}
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	http.Redirect(w, r, keptPath+string(job), http.StatusSeeOther)
}

// codeWords splits codes as people write them one after the other.
func codeWords(text string) []string {
	return slices.DeleteFunc(strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ';' || c == ' ' || c == '\n' }), func(w string) bool { return w == "" })
}

// inputError marks an error as one about what was typed.
func inputError(err error) error { return fmt.Errorf("%w: %w", app.ErrInput, err) }

// wrong reports whether an error is about what was typed.
func (s *site) wrong(err error) bool {
	return errors.Is(err, app.ErrInput) || errors.Is(err, desk.ErrRefused) || errors.Is(err, app.ErrUnknown)
}

// keptFailed answers with a page about an error of the desk.
func (s *site) keptFailed(w http.ResponseWriter, r *http.Request, err error) {
	for _, st := range runStatuses {
		if !errors.Is(err, st.err) {
			continue
		}
		p := errorPage{page: s.page("", "jobs.title"), Status: st.status, What: say("run-error." + st.key + ".what"), Why: say("run-error." + st.key + ".todo")}
		p.Details = []string{plain(err)}
		if st.status == http.StatusNotFound {
			p.Back = link{Text: say("error.jobs"), Href: keptPath}
		}
		w.Header().Set("Cache-Control", "no-store")
		s.render(w, r, st.status, "error", "layout", p)
		return
	}
	s.broken(w, r, err)
}
