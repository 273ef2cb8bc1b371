package web

import (
	"net/http"
	"strings"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/guide"
	"elbowroom/span"
)

// homePage shows the machines that are in.
type homePage struct {
	page
	Search   searchBox
	Jobs     []jobCard
	MoreJobs string // where the other open ones are
	Machines []machineCard
	Guides   []guideCard
	TakeIn   string // where a machine that comes in is written down; empty where nothing is kept
}

// machineCard is one machine: where it stands, what is off, what must not be
// done, what comes next.
type machineCard struct {
	ID, Name, Plate, Facts   string
	Stands, Complaint, Guide string
	Codes, Off, Forbidden    []string
	Next                     []string
	Exceptions               []string
	Open                     int    // how many items are off or aside
	Stairs                   string // the same as a small flight of stairs: the line of a path
	Written                  bool   // a guide is there
	Job, Plan, PlanNext, Bay string
	TakeIn                   string // where a job is opened for it; empty where nothing is kept
}

// guideCard is one guide on its own.
type guideCard struct {
	Name, Title, About, Edition string
	Axes                        []axis
	Errors                      []string
	Items                       int
}

func (s *site) home(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	lines := s.use.Home()
	if st.ask.Machine == "" && st.ask.Guide == "" && len(lines) > 0 {
		st.ask.Machine = string(lines[0].Machine.ID)
	}
	p := homePage{page: s.page("home", "home.title"), Search: s.searchBox(st)}
	working, err := s.homeJobs(r, &p)
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	if s.opts.Desk != nil {
		p.TakeIn = keptPath + "#arrive"
	}
	for _, m := range lines {
		if working[m.Machine.ID] { // its job says how it stands now
			continue
		}
		c := card(m)
		if s.opts.Desk != nil {
			c.TakeIn = takeInPath(c.ID)
		}
		p.Machines = append(p.Machines, c)
	}
	for _, l := range s.use.Guides() {
		p.Guides = append(p.Guides, guideLine(l))
	}
	s.render(w, r, http.StatusOK, "home", "layout", p)
}

// homeJobs adds the jobs that are open and returns the machines that they are
// about.
func (s *site) homeJobs(r *http.Request, p *homePage) (working map[guide.ID]bool, err error) {
	if s.opts.Desk == nil {
		return nil, nil
	}
	who, err := s.opts.Who(r)
	if err != nil {
		return nil, err
	}
	working = map[guide.ID]bool{}
	jobs, err := s.opts.Desk.Jobs(r.Context(), who, false, "")
	for _, j := range jobs {
		p.Jobs = append(p.Jobs, jobCardOf(j))
		working[j.Machine] = true
	}
	if n := len(jobs); n == desk.PageOfJobs {
		p.MoreJobs = moreJobs(jobs[n-1], false)
	}
	return working, err
}

// maxStairs is how many steps the small stairs of a card can show.
const maxStairs = 6

func card(m app.MachineLine) machineCard {
	c := machineCard{
		ID: string(m.Machine.ID), Name: m.Machine.Name, Plate: m.Machine.Plate, Stands: m.Machine.Stands,
		Complaint: m.Machine.Complaint, Codes: m.Machine.Codes, Off: m.Off, Forbidden: m.Forbidden, Next: m.Next,
		Written: m.GuideName != "", Open: len(m.Off), Guide: m.GuideTitle,
	}
	c.Facts = listed(m.Variant, built(m.Machine.Built), m.Machine.Distance.String())
	for _, e := range m.Machine.Exceptions {
		c.Exceptions = append(c.Exceptions, e.Says)
	}
	c.Stairs = stairs(c.Open)
	bare := state{ask: app.Ask{Machine: c.ID}}
	c.Job, c.Plan, c.Bay = bare.to("/job"), bare.to("/plan"), bare.to("/bay")
	if len(m.Ask.Tasks) > 0 {
		c.PlanNext = state{ask: m.Ask}.to("/plan")
	}
	return c
}

// stairs draws how much is off as a line that goes down one step for each item.
func stairs(open int) string {
	n := min(open, maxStairs)
	return "M1 4h9" + strings.Repeat("v4h5", n) + "H47"
}

func built(date string) string {
	if date == "" {
		return ""
	}
	return say("machine.built", date)
}

func guideLine(l *app.Loaded) guideCard {
	c := guideCard{Name: l.Name, Title: guideTitle(l)}
	if l.Guide != nil {
		c.About, c.Edition, c.Axes, c.Items = l.Guide.About, edition(l.Guide), axes(l.Guide, ""), len(l.Guide.Items)
	}
	for _, f := range l.Findings {
		if f.Severity == span.Error {
			c.Errors = append(c.Errors, f.String())
		}
	}
	return c
}

// goTo sends a form whose field "for" names a machine or a guide to the page
// about it, so that a choice works without script.
func (s *site) goTo(w http.ResponseWriter, r *http.Request) {
	v := r.URL.Query()
	st, err := readState(v)
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	st.ask = chosen(v.Get("for"), st.ask)
	to := "/plan"
	if v.Get("page") == "bay" {
		to = "/bay"
	}
	w.Header().Set("Cache-Control", "no-store")
	http.Redirect(w, r, st.to(to), http.StatusSeeOther)
}
