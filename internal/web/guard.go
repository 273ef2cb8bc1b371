package web

import (
	"context"
	"net/http"
	"runtime/debug"
	"strings"
	"time"
)

// policy is the Content-Security-Policy of every answer.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard puts everything round the pages that no page may forget: headers,
// methods, the length of an address, the deadline, and what happens on a panic.
func (s *site) guard(next http.Handler) http.Handler {
	late := s.stillPage("late")
	timed := http.TimeoutHandler(s.recovering(next), s.opts.Deadline, late)
	taking := map[string]http.Handler{}
	for path, in := range intakes {
		taking[path] = s.takeIn(in, s.recovering(next))
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		secure(w.Header())
		take, takes := taking[r.URL.Path]
		if takes {
			// so that the browser names the page when it sends its form, also
			// where the connection is not encrypted; still nothing goes to
			// any other site
			w.Header().Set("Referrer-Policy", "same-origin")
		}
		switch {
		case len(r.URL.RequestURI()) > maxAddress:
			s.still(w, http.StatusRequestURITooLong, "long")
		case r.Method == http.MethodPost && takes:
			take.ServeHTTP(w, r)
		case r.Method == http.MethodPost && s.opts.Desk != nil && hasPrefix(r.URL.Path, formPaths):
			w.Header().Set("Referrer-Policy", "same-origin")
			if s.ownForm(w, r) {
				timed.ServeHTTP(w, r)
			}
		case r.Method != http.MethodGet && r.Method != http.MethodHead:
			w.Header().Set("Allow", map[bool]string{false: "GET, HEAD", true: "GET, HEAD, POST"}[takes])
			s.still(w, http.StatusMethodNotAllowed, "method")
		default:
			r.Body = http.NoBody
			w.Header().Set("Content-Type", "text/html; charset=utf-8") // of the page for a late answer
			timed.ServeHTTP(w, r)
		}
	})
}

func secure(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()")
	h.Set("X-Frame-Options", "DENY")
}

// recovering turns a panic into a plain page and a line in the log.
// http.ErrAbortHandler goes on.
func (s *site) recovering(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			switch p := recover(); p {
			case nil:
			case http.ErrAbortHandler:
				panic(p)
			default:
				s.opts.Log.Error("panic in a page", "path", logged(r), "panic", p, "stack", string(debug.Stack()))
				s.still(w, http.StatusInternalServerError, "panic")
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// logged is the path of a request as it may stand in a log: a customer's link
// is as good as a key.
func logged(r *http.Request) string {
	if strings.HasPrefix(r.URL.Path, shownPath) {
		return shownPath
	}
	return r.URL.Path
}

// still answers with a page that needs neither guide nor machine.
func (s *site) still(w http.ResponseWriter, status int, why string) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(s.stillPage(why)))
}

func (s *site) stillPage(why string) string {
	page := errorPage{page: s.page("", "still."+why+".title"), What: say("still." + why + ".what"), Why: say("still." + why + ".why")}
	var b strings.Builder
	if err := s.pages["error"].ExecuteTemplate(&b, "layout", page); err != nil {
		return say("still.panic.what")
	}
	return b.String()
}

// slotWait is how long a request waits for its turn to plan.
const slotWait = 8 * time.Second

// slot waits for a turn to plan and returns how to give it back; ok is false
// when none came free in time.
func (s *site) slot(ctx context.Context) (free func(), ok bool) {
	timer := time.NewTimer(slotWait)
	defer timer.Stop()
	select {
	case s.slots <- struct{}{}:
		return func() { <-s.slots }, true
	case <-ctx.Done():
	case <-timer.C:
	}
	return func() {}, false
}
