package web

import (
	"context"
	"errors"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"sync"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Desk is what the pages ask of what is kept. *desk.Desk satisfies it.
type Desk interface {
	Runs
	Office
	Prices
	Staff
	Links
	JobPapers
	Texts
	Passkeys
	App(ctx context.Context, place store.PlaceID) (*app.App, error)
	Empty(ctx context.Context) (bool, error)
	Places(ctx context.Context) ([]store.Place, error)
	People(ctx context.Context, place store.PlaceID) ([]desk.SheetPerson, error)
	SetUp(ctx context.Context, o desk.Opening) (store.PlaceID, joblog.Person, error)
	SignIn(ctx context.Context, s desk.SignIn) (token string, err error)
	Enter(ctx context.Context, s desk.SignIn) (token string, err error)
	SignOut(ctx context.Context, who desk.Who, token string) error
	Who(ctx context.Context, token string) (desk.Who, error)
}

// door lets in whoever is known, to the pages of their place.
type door struct {
	desk  Desk
	opts  Options
	front *site        // the pages that need nobody: signing in, setting up
	open  http.Handler // the files that anybody may have

	mu    sync.Mutex
	sites map[*app.App]http.Handler
}

// Open returns the handler of all pages over what a desk keeps. Every page but
// those for signing in and setting up asks who is there.
func Open(d Desk, opts Options) http.Handler {
	opts = opts.withDefaults()
	opts.Desk, opts.Runs = d, d
	k := &door{desk: d, opts: opts, sites: map[*app.App]http.Handler{}}
	k.opts.Who, k.opts.passkeyHere = k.who, k.passkeyHere
	k.front = newSite(nil, k.opts)
	k.open = k.front.handler()
	return http.HandlerFunc(k.serve)
}

// Paths that anybody may ask for: they show nothing that is kept.
var openPaths = []string{"/assets/", "/run/worker.js", "/run/app.webmanifest"}

func (k *door) serve(w http.ResponseWriter, r *http.Request) {
	switch path := r.URL.Path; {
	case k.opts.Demo != nil && !namedHere(r):
		secure(w.Header())
		k.front.still(w, http.StatusForbidden, "origin")
	case path == "/healthz":
		k.health(w, r)
	case path == signInPath, path == setUpPath, path == signOutPath:
		k.front.recovering(http.HandlerFunc(k.atTheDoor)).ServeHTTP(w, r)
	case strings.HasPrefix(path, passkeyPath):
		k.front.recovering(http.HandlerFunc(k.passkey)).ServeHTTP(w, r)
	case strings.HasPrefix(path, shownPath):
		k.front.recovering(http.HandlerFunc(k.shown)).ServeHTTP(w, r)
	case hasPrefix(path, openPaths):
		k.open.ServeHTTP(w, r)
	default:
		k.letIn(w, r)
	}
}

func hasPrefix(path string, list []string) bool {
	for _, p := range list {
		if strings.HasPrefix(path, p) {
			return true
		}
	}
	return false
}

// health answers that the store can be asked.
func (k *door) health(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), healthTime)
	defer cancel()
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	if _, err := k.desk.Places(ctx); err != nil {
		w.WriteHeader(http.StatusServiceUnavailable)
		_, _ = w.Write([]byte("the store does not answer\n"))
		return
	}
	_, _ = w.Write([]byte("ok\n"))
}

// healthTime is how long the store has to answer.
const healthTime = 3 * time.Second

// letIn finds out who is there and hands over to the pages of their place.
func (k *door) letIn(w http.ResponseWriter, r *http.Request) {
	who, err := k.who(r)
	if errors.Is(err, desk.ErrSignIn) {
		k.ask(w, r)
		return
	}
	if err != nil {
		k.front.broken(w, r, err)
		return
	}
	pages, err := k.pagesOf(r.Context(), who.Place)
	if err != nil {
		k.front.broken(w, r, err)
		return
	}
	pages.ServeHTTP(w, r)
}

// pagesOf returns the pages of a place, made anew when its workshop or a guide
// has changed.
func (k *door) pagesOf(ctx context.Context, place store.PlaceID) (http.Handler, error) {
	a, err := k.desk.App(ctx, place)
	if err != nil {
		return nil, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if h := k.sites[a]; h != nil {
		return h, nil
	}
	if len(k.sites) >= mostSites {
		clear(k.sites)
	}
	s := *k.front
	s.use = a
	h := s.handler()
	k.sites[a] = h
	return h, nil
}

// mostSites bounds how many places, and editions of their guides, are held.
const mostSites = 64

// ask sends somebody who is not known to sign in. A form that was sent too late
// gets a page that says so, a program an answer that it understands.
func (k *door) ask(w http.ResponseWriter, r *http.Request) {
	secure(w.Header())
	w.Header().Set("Cache-Control", "no-store")
	switch shown := r.Method == http.MethodGet || r.Method == http.MethodHead; {
	case strings.HasPrefix(r.URL.Path, runPath) && (!shown || strings.Count(r.URL.Path, "/") > 2):
		answerJSON(w, r, http.StatusUnauthorized, refusal{What: say("run-error.sign-in.what"), Todo: say("run-error.sign-in.todo")})
		return
	case !shown:
		k.front.still(w, http.StatusUnauthorized, "signed-out")
		return
	}
	if empty, err := k.desk.Empty(r.Context()); err == nil && empty {
		http.Redirect(w, r, setUpPath, http.StatusSeeOther)
		return
	}
	to := url.Values{}
	if r.URL.Path != "/" {
		to.Set("then", r.URL.RequestURI())
	}
	http.Redirect(w, r, strings.TrimSuffix(signInPath+"?"+to.Encode(), "?"), http.StatusSeeOther)
}

// The cookie of a session. The second name is taken where the connection is
// encrypted: browsers then refuse it from anywhere else (RFC 6265bis, 4.1.3.2).
const (
	cookieName       = "elbowroom"
	secureCookieName = "__Host-elbowroom"
)

// encrypted reports whether the browser speaks to us, or to the proxy before
// us, over TLS.
func (k *door) encrypted(r *http.Request) bool { return r.TLS != nil || k.opts.Proxy }

func (k *door) cookie(r *http.Request) string {
	if k.encrypted(r) {
		return secureCookieName
	}
	return cookieName
}

// who returns who sends a request. In a demonstration that is the owner until
// somebody else is chosen.
func (k *door) who(r *http.Request) (desk.Who, error) {
	c, err := r.Cookie(k.cookie(r))
	if err == nil {
		who, err := k.desk.Who(r.Context(), c.Value)
		if err == nil || !errors.Is(err, desk.ErrSignIn) || k.opts.Demo == nil {
			return who, err
		}
	}
	if k.opts.Demo != nil {
		return *k.opts.Demo, nil
	}
	return desk.Who{}, desk.ErrSignIn
}

// admit gives the browser its session.
func (k *door) admit(w http.ResponseWriter, r *http.Request, token string) {
	http.SetCookie(w, &http.Cookie{
		Name: k.cookie(r), Value: token, Path: "/", HttpOnly: true, Secure: k.encrypted(r), SameSite: http.SameSiteLaxMode,
		MaxAge: int(desk.SessionTime.Seconds()),
	})
}

// address is where a request comes from, without the port: as the proxy says
// that stands before us, if there is one.
func (k *door) address(r *http.Request) string {
	if list := strings.Split(r.Header.Get("X-Forwarded-For"), ","); k.opts.Proxy && len(list) > 0 {
		if last := strings.TrimSpace(list[len(list)-1]); last != "" {
			return last
		}
	}
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// local reports whether the browser runs on this computer.
func (k *door) local(r *http.Request) bool {
	a, err := netip.ParseAddr(k.address(r))
	return err == nil && a.IsLoopback() && namedHere(r) && (k.opts.Proxy || r.Header.Get("X-Forwarded-For") == "" && r.Header.Get("Forwarded") == "")
}

// namedHere reports whether the browser was told to go to this computer by a
// name of its own. A page of somebody else whose name was made to lead here
// (DNS rebinding) says that name.
func namedHere(r *http.Request) bool {
	host := r.Host
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	a, err := netip.ParseAddr(strings.Trim(host, "[]"))
	return host == "localhost" || err == nil && a.IsLoopback()
}
