package web

import (
	"context"
	"errors"
	"net/http"
	"strings"

	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Links is what the desk does for customers.
type Links interface {
	Share(ctx context.Context, who desk.Who, job joblog.Job, kind string, number int64) (token string, err error)
	Shares(ctx context.Context, who desk.Who, job joblog.Job) ([]store.Link, error)
	Unshare(ctx context.Context, who desk.Who, link string) error
	Show(ctx context.Context, token string) (*desk.Shown, error)
}

// shownPath is under which a customer sees what they were given a link to. The
// token is the rest of the path and stands in no log of ours.
const shownPath = "/shown/"

// shownPage is what a customer sees.
type shownPage struct {
	page
	Shown  *desk.Shown
	Stands string
}

// shown answers a customer's link. It tells nothing of why a link does not
// work: whoever guesses learns nothing.
func (k *door) shown(w http.ResponseWriter, r *http.Request) {
	secure(w.Header())
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("X-Robots-Tag", "noindex")
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		k.front.still(w, http.StatusMethodNotAllowed, "method")
		return
	}
	shown, err := k.desk.Show(r.Context(), strings.TrimPrefix(r.URL.Path, shownPath))
	if errors.Is(err, store.NotFound) {
		k.front.still(w, http.StatusNotFound, "link")
		return
	}
	if err != nil {
		k.front.broken(w, r, err)
		return
	}
	if p := shown.Paper; p != nil {
		h := w.Header()
		h.Set("Content-Type", p.Type)
		// a paper is a document of its own: nothing in it may run or load
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox")
		_, _ = w.Write(p.Content)
		return
	}
	p := shownPage{page: k.front.page("", "shown.title"), Shown: shown, Stands: sayIf("shown.", stateKey(shown.Stands))}
	p.Nav = nil
	k.front.render(w, r, http.StatusOK, "shown", "layout", p)
}

// linkRow is a link that a customer was given.
type linkRow struct{ Hash, Says string }

// links adds the links of a job to its page.
func (s *site) links(ctx context.Context, who desk.Who, id joblog.Job, p *keptPage) error {
	list, err := s.opts.Desk.Shares(ctx, who, id)
	for _, l := range list {
		if !l.Revoked.IsZero() {
			continue
		}
		p.Links = append(p.Links, linkRow{l.Token.String(), say("link.until", string(l.By), l.Expires.Time().Format("2006-01-02"))})
	}
	return err
}

// shareJob makes a link and shows it once.
func (s *site) shareJob(w http.ResponseWriter, r *http.Request) {
	who, ok := s.whoAsks(w, r)
	if !ok {
		return
	}
	id := joblog.Job(r.PathValue("job"))
	if end := r.PostForm.Get("end"); end != "" {
		if err := s.opts.Desk.Unshare(r.Context(), who, end); err != nil {
			s.keptFailed(w, r, err)
			return
		}
		http.Redirect(w, r, keptPath+string(id), http.StatusSeeOther)
		return
	}
	token, err := s.opts.Desk.Share(r.Context(), who, id, "", 0)
	if err != nil {
		s.keptFailed(w, r, err)
		return
	}
	s.showKeptWith(w, r, http.StatusOK, nil, shownPath+token)
}
