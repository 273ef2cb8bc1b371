package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html/template"
	"net/http"
	"strconv"
	"strings"
)

// pages maps the name of a page to its templates: the layout, the parts shared
// by several pages, and the page itself.
type pages map[string]*template.Template

var pageNames = []string{"home", "job", "recording", "codes", "circuit", "torque", "plan", "quote", "bay", "choose", "error", "patterns", "signin", "setup", "jobs", "kept", "workshop", "shown", "run"}

func loadPages(f *files) pages {
	funcs := template.FuncMap{
		"t":    say,
		"file": f.address,
		"add":  func(a, b int) int { return a + b },
	}
	shared := template.Must(template.New("").Funcs(funcs).ParseFS(embedded, "templates/layout.html", "templates/parts_*.html"))
	p := pages{}
	for _, name := range pageNames {
		p[name] = template.Must(template.Must(shared.Clone()).ParseFS(embedded, "templates/"+name+".html"))
	}
	return p
}

func (f *files) address(name string) (string, error) {
	if a, ok := f.named[name]; ok {
		return a, nil
	}
	return "", fmt.Errorf("no file %q", name)
}

// page is what every page has.
type page struct {
	Title string
	Here  string // "home", "job", "bay", "plan" or empty
	Nav   []link
	Wide  bool // the page fills the screen and does not scroll
}

// link is somewhere to go.
type link struct {
	Text string
	Href string
	Here bool
}

// page returns the frame of a page. The links keep the question that was
// asked, so that going from Plan to Bay stays with the same machine.
func (s *site) page(here, titleKey string, at ...state) page {
	var st state
	if len(at) > 0 {
		st = at[0].bare()
	}
	p := page{Title: say(titleKey), Here: here}
	list := []struct{ name, href string }{{"home", "/"}, {"job", st.to("/job")}, {"plan", st.to("/plan")}, {"bay", st.to("/bay")}}
	if s.opts.Desk != nil {
		list[1].name, list[1].href = "jobs", keptPath
		list = append(list, struct{ name, href string }{"workshop", workshopPath})
	}
	for _, n := range list {
		p.Nav = append(p.Nav, link{Text: say("nav." + n.name), Href: n.href, Here: n.name == here})
	}
	return p
}

// render sends a page. Nothing is sent before the template has run to its end,
// so that a broken page never goes out half.
func (s *site) render(w http.ResponseWriter, r *http.Request, status int, name, part string, data any) {
	var b bytes.Buffer
	if err := s.pages[name].ExecuteTemplate(&b, part, data); err != nil {
		s.opts.Log.Error("page is broken", "page", name, "error", err)
		s.still(w, http.StatusInternalServerError, "panic")
		return
	}
	body := tidy(b.Bytes())
	sum := sha256.Sum256(body)
	h := w.Header()
	switch {
	case r.Method == http.MethodPost, h.Get("Cache-Control") == "no-store": // kept nowhere
		h.Set("Cache-Control", "no-store")
	case s.opts.Desk != nil:
		h.Set("ETag", `W/`+strconv.Quote(hex.EncodeToString(sum[:10])))
		h.Set("Cache-Control", "private, no-cache")
	default:
		h.Set("ETag", `W/`+strconv.Quote(hex.EncodeToString(sum[:10])))
		h.Set("Cache-Control", "no-cache")
	}
	send(w, r, status, "text/html; charset=utf-8", body, squeeze(body, gzip.DefaultCompression))
}

// tidy drops the indentation and empty lines that templates leave behind. No
// page has text in which they matter.
func tidy(html []byte) []byte {
	var b strings.Builder
	b.Grow(len(html))
	for line := range strings.Lines(string(html)) {
		if line = strings.TrimSpace(line); line != "" {
			b.WriteString(line)
			b.WriteByte('\n')
		}
	}
	return []byte(b.String())
}
