package web

import (
	"errors"
	"net/http"
	"slices"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/span"
)

// errorPage says what is wrong, why, and what is near.
type errorPage struct {
	page
	Status  int
	What    string
	Why     string
	Details []string
	Near    []link  // what may have been meant
	Typed   []typed // what was asked, each part with a link that drops it
	Axes    []axis  // when the variant is what is wrong
	Hidden  []field // of the form that chooses the variant
	Action  string  // of the same
	Search  searchBox
	Back    link    // the page that this one belongs to, if any
	Offers  []offer // when the machine or guide is what is wrong
}

// typed is one part of a question as it was typed.
type typed struct {
	Key, Value, Drop string
}

// statusOf maps the few errors of the use cases to HTTP.
func statusOf(err error) int {
	switch {
	case errors.Is(err, app.ErrAudit):
		return http.StatusInternalServerError
	case errors.Is(err, app.ErrUnknown):
		return http.StatusNotFound
	case errors.Is(err, app.ErrInput), errors.Is(err, guide.ErrVariant):
		return http.StatusBadRequest
	}
	return http.StatusInternalServerError
}

// plain returns the text of an error without the words of the program.
func plain(err error) string {
	text := err.Error()
	for _, sentinel := range []error{app.ErrInput, app.ErrUnknown, guide.ErrVariant} {
		text = strings.TrimPrefix(text, sentinel.Error()+": ")
	}
	text = strings.TrimPrefix(text, span.Error.String()+": ")
	if text == "" {
		return text
	}
	return guide.Capital(text)
}

// fail answers with a page about an error of the use cases. What was typed
// stays, and everything that can be wrong can be changed there.
func (s *site) fail(w http.ResponseWriter, r *http.Request, st state, err error) {
	status := statusOf(err)
	key := map[int]string{http.StatusBadRequest: "input", http.StatusNotFound: "unknown"}[status]
	switch {
	case errors.Is(err, app.ErrAudit):
		key = "audit"
	case key == "":
		s.opts.Log.Error("page failed", "path", r.URL.Path, "error", err)
		s.still(w, status, "panic")
		return
	}
	p := errorPage{page: s.page("", "error."+key+".title", st), Status: status, What: say("error." + key + ".what")}
	p.Why, p.Details = sentences(plain(err))
	if s.bare(st) {
		p.What, p.Why, p.Details = say("home.no-guides"), say("error.bare"), nil
		if s.opts.Desk != nil {
			p.Back = link{Text: say("arrival.head"), Href: keptPath + "#arrive"}
		}
	}
	if key != "audit" {
		s.helpOn(&p, st, r.URL.Path)
	}
	s.render(w, r, status, "error", "layout", p)
}

// bare reports whether nothing is written down of any engine, and nothing was
// named: there is nothing to plan or to look at.
func (s *site) bare(st state) bool {
	return st.ask.Guide == "" && st.ask.Machine == "" && len(s.use.Guides()) == 0
}

// sentences splits an error of several lines into the first and the rest.
func sentences(text string) (first string, rest []string) {
	lines := strings.Split(text, "\n")
	for _, l := range lines[1:] {
		if l = strings.TrimSpace(l); l != "" {
			rest = append(rest, l)
		}
	}
	return lines[0], rest
}

// helpOn adds what can be done about a question that went wrong.
func (s *site) helpOn(p *errorPage, st state, path string) {
	switch path {
	case "/bay", "/job":
	case "/job/enter", "/circuit", "/recording":
		path = "/job"
	default:
		path = "/plan"
	}
	for _, f := range st.fields() {
		p.Typed = append(p.Typed, typed{Key: say("typed." + f.Name), Value: f.Value, Drop: st.dropped(f).to(path)})
	}
	j := s.subject(st.ask)
	p.Offers = j.Offers
	subject := onlySubject(st.ask)
	_, resolved, err := s.use.Scene(subject)
	if err != nil {
		if errors.Is(err, guide.ErrVariant) && len(j.Axes) > 0 {
			p.Axes, p.Action, p.Hidden = j.Axes, path, st.fields("variant")
		}
		return
	}
	p.Search = s.planSearch(state{ask: subject, words: st.words})
	s.nearTasks(p, st, resolved)
	if st.item != "" && resolved.Item(st.item) == nil {
		s.nearItems(p, st)
	}
}

// nearTasks offers, for every task that cannot be done, those that come near.
func (s *site) nearTasks(p *errorPage, st state, r *guide.Resolved) {
	for _, task := range st.tasks() {
		verb, on, _ := strings.Cut(task, ":")
		items := []*guide.Item{}
		if t, err := app.ParseTask(r, task); err == nil {
			if it := r.Item(t.On); it != nil && !slices.Contains(taskVerbs(r, it), t.Verb) {
				items = append(items, it) // the item is right, the verb is not
			}
		} else {
			items = s.near(st, r, on)
		}
		for _, it := range items {
			for _, v := range nearVerbs(r, it, guide.Verb(strings.TrimSpace(verb))) {
				to := st.without(task).with(string(v) + ":" + string(it.ID))
				p.Near = append(p.Near, link{Text: say("near.task", verbText(v), nameOf(r, it.ID)), Href: to.to("/plan")})
			}
		}
	}
}

// nearVerbs returns the verb that was typed where the item has a way with it,
// else all that it has.
func nearVerbs(r *guide.Resolved, it *guide.Item, typed guide.Verb) []guide.Verb {
	all := taskVerbs(r, it)
	if slices.Contains(all, typed) {
		return []guide.Verb{typed}
	}
	return all
}

// maxNear is how many near names a page offers for one wrong one.
const maxNear = 4

// near finds the items whose names or IDs come near the words.
func (s *site) near(st state, r *guide.Resolved, words string) []*guide.Item {
	var out []*guide.Item
	if len(words) <= maxWords {
		if found, err := s.use.Where(onlySubject(st.ask), words); err == nil {
			for _, h := range found.Hits {
				out = append(out, h.Item)
			}
		}
	}
	if len(out) == 0 && len(words) <= maxWords {
		ids := make([]string, len(r.Items))
		for i := range r.Items {
			ids[i] = string(r.Items[i].ID)
		}
		for _, id := range span.Nearest(words, ids) {
			out = append(out, r.Item(guide.ID(id)))
		}
	}
	return out[:min(len(out), maxNear)]
}

func (s *site) nearItems(p *errorPage, st state) {
	_, r, err := s.use.Scene(onlySubject(st.ask))
	if err != nil {
		return
	}
	for _, it := range s.near(st, r, string(st.item)) {
		to := st
		to.item = it.ID
		p.Near = append(p.Near, link{Text: nameOf(r, it.ID), Href: to.to("/bay")})
	}
}

// dropped returns the state without one part of the address.
func (s state) dropped(f field) state {
	v := s.values()
	var kept []string
	for _, value := range v[f.Name] {
		if value != f.Value {
			kept = append(kept, value)
		}
	}
	v[f.Name] = kept
	if len(kept) == 0 {
		delete(v, f.Name)
	}
	out, err := readState(v)
	if err != nil { // another part is wrong too; it stays for the next page
		out.typed = v
	}
	return out
}

// lost answers every address that is no page.
func (s *site) lost(w http.ResponseWriter, r *http.Request) {
	p := errorPage{
		page: s.page("", "lost.title"), Status: http.StatusNotFound,
		What: say("lost.what"), Why: say("lost.why", shorten(printable(r.URL.Path), maxWords)),
	}
	p.Near = p.Nav
	s.render(w, r, http.StatusNotFound, "error", "layout", p)
}

// busy answers when no turn to plan came free.
func (s *site) busy(w http.ResponseWriter) {
	w.Header().Set("Retry-After", "5")
	s.still(w, http.StatusServiceUnavailable, "late")
}
