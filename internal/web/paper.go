package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/report"
)

// paperPath begins the addresses of papers: /paper/plan, /paper/plan.pdf, with
// the question of the page as its query.
const paperPath = "/paper/"

// paperAddress is a paper of the visit that a state asks for.
func paperAddress(st state, kind report.Kind) string { return st.bare().to(paperPath + string(kind)) }

// paperLinks leads to every paper of a visit.
func paperLinks(st state) []link {
	var out []link
	for _, kind := range app.AskedPapers {
		out = append(out, link{Text: say("paper." + string(kind)), Href: paperAddress(st, kind)})
	}
	return out
}

// paper serves a paper as a page that prints, and with .pdf at the end of its
// name as PDF.
func (s *site) paper(w http.ResponseWriter, r *http.Request) {
	name, pdf := strings.CutSuffix(r.PathValue("name"), ".pdf")
	kind := report.Kind(name)
	if !slices.Contains(app.AskedPapers, kind) {
		s.lost(w, r)
		return
	}
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	if s.mustChoose(w, r, st, s.subject(st.ask), strings.TrimPrefix(paperPath, "/")+name) {
		return
	}
	if len(st.tasks()) == 0 { // nothing to make a paper of yet
		http.Redirect(w, r, st.bare().to("/plan"), http.StatusSeeOther)
		return
	}
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		s.busy(w)
		return
	}
	st.ask.Budget = s.opts.Budget
	q, err := paperAsk(st, kind)
	if err == nil && kind == report.Quote {
		err = s.known(r, &st, &q.Quote, "")
	}
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	p, err := s.use.Paper(q)
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	if pdf {
		s.sendPDF(w, r, &p.Document)
		return
	}
	s.sendPaper(w, r, st, &p.Document)
}

// paperAsk reads what a paper is asked beside the visit: the same keys of the
// address as on the page that shows the same.
func paperAsk(st state, kind report.Kind) (app.PaperAsk, error) {
	q := app.PaperAsk{Ask: st.ask, Kind: kind}
	if st.view != "" {
		q.Views = []guide.View{st.view}
	}
	x := readTightening(st.typed)
	q.Torque = app.TorqueAsk{State: guide.State(x.state), Day: x.day, Unit: x.unit}
	wish, err := readWish(st.typed)
	if err != nil {
		return q, err
	}
	q.Quote = wish.ask(st)
	return q, nil
}

// sizeOf reads the paper of a PDF from the address.
func sizeOf(r *http.Request) report.Paper {
	if strings.EqualFold(r.URL.Query().Get("size"), string(report.Letter)) {
		return report.Letter
	}
	return report.A4
}

func (s *site) sendPDF(w http.ResponseWriter, r *http.Request, d *report.Document) {
	var b bytes.Buffer
	if err := d.PDF(&b, sizeOf(r)); err != nil {
		s.opts.Log.Error("paper is broken", "paper", d.Number, "error", err)
		s.still(w, http.StatusInternalServerError, "panic")
		return
	}
	w.Header().Set("Content-Disposition", `inline; filename="`+paperFile(d)+`.pdf"`)
	s.sendWhole(w, r, "application/pdf", b.Bytes(), nil)
}

// paperFile makes a name for a file of the number and mark of a paper.
func paperFile(d *report.Document) string {
	plain := func(c rune) rune {
		switch {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-':
			return c
		}
		return '-'
	}
	return strings.Map(plain, d.Number+"-"+d.Mark())
}

func (s *site) sendPaper(w http.ResponseWriter, r *http.Request, st state, d *report.Document) {
	href, err := s.files.address("paper.css")
	if err != nil {
		s.still(w, http.StatusInternalServerError, "panic")
		return
	}
	query := ""
	if r.URL.RawQuery != "" {
		query = "?" + r.URL.Query().Encode()
	}
	links := []report.Link{
		{Text: say("paper.back"), Href: st.bare().to("/plan")},
		{Text: say("paper.pdf"), Href: paperPath + string(d.Kind) + ".pdf" + query},
		{Text: say("paper.pdf-letter"), Href: paperPath + string(d.Kind) + ".pdf" + withKey(query, "size=letter")},
	}
	var b bytes.Buffer
	if err := d.HTML(&b, report.Web{StyleHref: href, Links: links}); err != nil {
		s.opts.Log.Error("paper is broken", "paper", d.Number, "error", err)
		s.still(w, http.StatusInternalServerError, "panic")
		return
	}
	s.sendWhole(w, r, "text/html; charset=utf-8", b.Bytes(), squeeze(b.Bytes(), gzip.DefaultCompression))
}

func withKey(query, pair string) string {
	if query == "" {
		return "?" + pair
	}
	return query + "&" + pair
}

func (s *site) sendWhole(w http.ResponseWriter, r *http.Request, kind string, body, small []byte) {
	sum := sha256.Sum256(body)
	h := w.Header()
	h.Set("ETag", `W/`+strconv.Quote(hex.EncodeToString(sum[:10])))
	h.Set("Cache-Control", "no-cache")
	send(w, r, http.StatusOK, kind, body, small)
}
