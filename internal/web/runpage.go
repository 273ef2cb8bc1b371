package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"slices"
	"strconv"

	"elbowroom/app/desk"
	"elbowroom/joblog"
)

// runPage is a job as it can be read without script: what must not be done,
// what is off, what comes next, every step. The script takes its place.
type runPage struct {
	Title    string
	Files    runFiles
	Words    map[string]string // of the script
	Job      string            // empty on the page of the jobs that the phone has
	Sheet    *desk.Sheet
	MustNot  []joblog.Prohibition
	Tray     []joblog.OffLine
	Next     *desk.SheetStep
	Why      []string // why the next step cannot be done now
	Steps    []runStep
	Sentence []string // of the handover
	Closed   bool
}

// runFiles are the addresses of what the page loads.
type runFiles struct {
	Style, Sheet, Keep, Layer, Show, Run, Icon string
}

// runStep is a step with how it stands.
type runStep struct {
	desk.SheetStep
	Done     bool
	Disputed bool
	By       string
	Lies     string
}

func (t *runSheet) newPage(title string) runPage {
	at := func(name string) string { return t.site.files.named[name] }
	return runPage{Title: title, Words: handWords, Files: runFiles{
		Style: at("style.css"), Sheet: at("run.css"), Keep: at("run-keep.js"), Layer: at("run-layer.js"), Show: at("run-show.js"), Run: at("run.js"), Icon: at("run-icon.svg"),
	}}
}

func (t *runSheet) page(w http.ResponseWriter, r *http.Request) {
	who, job, ok := t.asked(w, r)
	if !ok {
		return
	}
	sheet, err := t.runs.Sheet(r.Context(), who, job)
	if err != nil {
		t.fail(w, r, err)
		return
	}
	p := t.newPage(jobTitle(sheet))
	p.Job, p.Sheet, p.MustNot, p.Closed = string(job), sheet, sheet.State.MustNot, sheet.State.Closed != nil
	p.Sentence = sheet.State.Handover().Sentences()
	for _, l := range sheet.State.Tray {
		if l.Stands != "" {
			p.Tray = append(p.Tray, l)
		}
	}
	p.Steps = runSteps(sheet)
	if next := sheet.State.Present; next != nil && next.Step <= len(sheet.Steps) && next.Step > 0 {
		p.Next, p.Why = &sheet.Steps[next.Step-1], next.Why
	}
	t.site.render(w, r, http.StatusOK, "run", "sheet", p)
}

// runSteps joins the steps of the sheet with what was ticked.
func runSteps(s *desk.Sheet) []runStep {
	list := make([]runStep, len(s.Steps))
	for i, st := range s.Steps {
		list[i].SheetStep = st
		if s.State.Plan == nil || st.Step < 1 || st.Step > len(s.State.Plan.Steps) {
			continue
		}
		is := s.State.Plan.Steps[st.Step-1]
		list[i].Done, list[i].Disputed, list[i].Lies = is.Done, is.Disputed, is.Lies
		for _, tick := range is.Ticks {
			list[i].By = listed(list[i].By, personName(s, tick.By))
		}
	}
	return list
}

func jobTitle(s *desk.Sheet) string {
	if s.Title != "" {
		return s.Title
	}
	return string(s.Job)
}

// kept is where the installed program begins: the jobs that this phone has.
// The script fills it in; the server says nothing here that is not public.
func (t *runSheet) kept(w http.ResponseWriter, r *http.Request) {
	t.site.render(w, r, http.StatusOK, "run", "sheet", t.newPage(say("run.kept")))
}

// runAssets are the files without which the run sheet does not work offline.
var runAssets = []string{"style.css", "run.css", "run-keep.js", "run-layer.js", "run-show.js", "run.js", "run-icon.svg", "mark.svg"}

// worker sends the script that answers for the server while there is no
// signal. It begins with what it has to keep, so that a new edition of any
// file makes a new worker.
func (t *runSheet) worker(w http.ResponseWriter, r *http.Request) {
	var list []string
	for _, name := range runAssets {
		list = append(list, t.site.files.named[name])
	}
	kept, err := json.Marshal(append(list, "/run/", "/run/app.webmanifest"))
	if err != nil { // a list of texts: this does not happen
		t.fail(w, r, err)
		return
	}
	code, err := embedded.ReadFile("assets/run-worker.js")
	if err != nil { // embedded: this does not happen
		t.fail(w, r, err)
		return
	}
	sum := sha256.Sum256(slices.Concat(kept, code))
	edition := hex.EncodeToString(sum[:6])
	body := slices.Concat([]byte("const kept = "), kept, []byte(";\nconst edition = "+strconv.Quote(edition)+";\n"), code)
	h := w.Header()
	h.Set("ETag", strconv.Quote(edition))
	h.Set("Cache-Control", "no-cache")
	send(w, r, http.StatusOK, kinds[".js"], body, squeeze(body, 9))
}

// manifest is what makes the run sheet installable.
// https://www.w3.org/TR/appmanifest/
type manifest struct {
	Name       string         `json:"name"`
	ShortName  string         `json:"short_name"`
	ID         string         `json:"id"`
	StartURL   string         `json:"start_url"`
	Scope      string         `json:"scope"`
	Display    string         `json:"display"`
	Lang       string         `json:"lang"`
	Background string         `json:"background_color"`
	Theme      string         `json:"theme_color"`
	Icons      []manifestIcon `json:"icons"`
}

type manifestIcon struct {
	Src     string `json:"src"`
	Sizes   string `json:"sizes"`
	Type    string `json:"type"`
	Purpose string `json:"purpose"`
}

func (t *runSheet) manifest(w http.ResponseWriter, r *http.Request) {
	icon := t.site.files.named["run-icon.svg"]
	body, err := json.Marshal(manifest{
		Name: say("name") + ": " + say("run.title"), ShortName: say("name"), ID: runPath, StartURL: runPath, Scope: runPath,
		Display: "standalone", Lang: say("lang"), Background: "#12312d", Theme: "#12312d",
		Icons: []manifestIcon{{icon, "any", "image/svg+xml", "any"}, {icon, "any", "image/svg+xml", "maskable"}},
	})
	if err != nil { // types of our own: this does not happen
		t.fail(w, r, err)
		return
	}
	w.Header().Set("Cache-Control", "no-cache")
	send(w, r, http.StatusOK, "application/manifest+json", body, nil)
}

// personName returns the name of somebody who works here, or the id.
func personName(s *desk.Sheet, id joblog.Person) string {
	for _, p := range s.People {
		if p.ID == id && p.Name != "" {
			return p.Name
		}
	}
	return string(id)
}
