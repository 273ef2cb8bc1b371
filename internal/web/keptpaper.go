package web

import (
	"bytes"
	"compress/gzip"
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/report"
	"elbowroom/store"
)

// JobPapers is what the pages ask of the desk about papers of jobs.
type JobPapers interface {
	Paper(ctx context.Context, who desk.Who, job joblog.Job, kind report.Kind) (*report.Document, error)
	Issue(ctx context.Context, who desk.Who, job joblog.Job, kind report.Kind) (store.Paper, error)
	Issued(ctx context.Context, who desk.Who, job joblog.Job) ([]store.Paper, error)
	IssuedPaper(ctx context.Context, who desk.Who, kind report.Kind, number, revision int64) (store.Paper, error)
}

func (s *site) keptPaperRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /jobs/{job}/paper/{name}", s.keptPaper)
	mux.HandleFunc("POST /jobs/{job}/paper/{name}", s.issuePaper)
	mux.HandleFunc("GET /jobs/{job}/issued/{kind}/{number}/{revision}", s.issuedPaper)
}

// keptPaper serves a paper of a job as it stands now: a page that prints, and
// with .pdf at the end of its name as PDF.
func (s *site) keptPaper(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	name, pdf := strings.CutSuffix(r.PathValue("name"), ".pdf")
	doc, err := s.opts.Desk.Paper(r.Context(), who, joblog.Job(r.PathValue("job")), report.Kind(name))
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	if pdf {
		s.sendPDF(w, r, doc)
		return
	}
	href, err := s.files.address("paper.css")
	if err != nil {
		s.broken(w, r, err)
		return
	}
	at := keptPath + url.PathEscape(r.PathValue("job"))
	var b bytes.Buffer
	err = doc.HTML(&b, report.Web{StyleHref: href, Links: []report.Link{
		{Text: say("paper.back-job"), Href: at},
		{Text: say("paper.pdf"), Href: at + "/paper/" + name + ".pdf"},
		{Text: say("paper.pdf-letter"), Href: at + "/paper/" + name + ".pdf?size=letter"},
	}})
	if err != nil {
		s.broken(w, r, err)
		return
	}
	s.sendWhole(w, r, "text/html; charset=utf-8", b.Bytes(), squeeze(b.Bytes(), gzip.DefaultCompression))
}

// issuePaper freezes a paper, and may make a link to it for the customer.
func (s *site) issuePaper(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	id := joblog.Job(r.PathValue("job"))
	p, err := s.opts.Desk.Issue(r.Context(), who, id, report.Kind(r.PathValue("name")))
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	if r.PostForm.Get("link") != "yes" {
		http.Redirect(w, r, keptPath+string(id)+"#papers", http.StatusSeeOther)
		return
	}
	token, err := s.opts.Desk.Share(r.Context(), who, id, p.Kind, p.Number)
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	s.showKeptWith(w, r, http.StatusOK, nil, shownPath+token)
}

// issuedPaper sends a paper as it was issued.
func (s *site) issuedPaper(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	number, errNumber := strconv.ParseInt(r.PathValue("number"), 10, 64)
	revision, errRevision := strconv.ParseInt(r.PathValue("revision"), 10, 64)
	if errNumber != nil || errRevision != nil || number < 1 || revision < 1 {
		s.lost(w, r)
		return
	}
	p, err := s.opts.Desk.IssuedPaper(r.Context(), who, report.Kind(r.PathValue("kind")), number, revision)
	if err == nil && string(p.Job) != r.PathValue("job") {
		err = store.Errorf(store.NotFound, "this paper belongs to another job")
	}
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Disposition", `inline; filename="`+p.Kind+"-"+strconv.FormatInt(p.Number, 10)+"-"+strconv.FormatInt(p.Revision, 10)+`.pdf"`)
	s.sendWhole(w, r, p.Type, p.Content, nil)
}

// paperRow is a paper that a job determines, or one that was issued.
type paperRow struct{ Text, Href, Issue, Says string }

// papers adds the papers of a job to its page.
func (s *site) papers(ctx context.Context, who desk.Who, id joblog.Job, p *keptPage) error {
	for _, kind := range desk.JobPapers {
		if p.Card.Run == "" && kind != report.Job && kind != report.Handover {
			continue // no plan yet
		}
		at := keptPath + string(id) + "/paper/" + string(kind)
		p.Papers = append(p.Papers, paperRow{Text: say("paper." + string(kind)), Href: at, Issue: at})
	}
	issued, err := s.opts.Desk.Issued(ctx, who, id)
	for _, x := range issued {
		at := keptPath + string(id) + "/issued/" + x.Kind + "/" + strconv.FormatInt(x.Number, 10) + "/" + strconv.FormatInt(x.Revision, 10)
		p.Issued = append(p.Issued, paperRow{Text: sayIf("paper.", x.Kind), Href: at, Says: say("paper.issued", x.Number, x.Revision, string(x.By), x.At.Time().Format("2006-01-02 15:04"))})
	}
	return err
}
