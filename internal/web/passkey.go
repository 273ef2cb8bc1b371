package web

import (
	"context"
	"encoding/json"
	"errors"
	"mime"
	"net"
	"net/http"
	"net/netip"
	"strings"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Passkeys is what the pages ask of the desk about passkeys.
type Passkeys interface {
	BeginPasskey(ctx context.Context, who desk.Who, at desk.PasskeyAt, password string) (*desk.Asked, error)
	TakePasskey(ctx context.Context, who desk.Who, at desk.PasskeyAt, name string) error
	BeginPasskeySignIn(ctx context.Context, at desk.PasskeyAt) (*desk.Asked, error)
	PasskeySignIn(ctx context.Context, at desk.PasskeyAt, s desk.SignIn) (token string, err error)
	Passkeys(ctx context.Context, who desk.Who) ([]desk.PasskeyLine, error)
	DropPasskey(ctx context.Context, who desk.Who, person joblog.Person, id desk.PasskeyID) error
}

// Paths that our own script sends JSON to. Without script there are no
// passkeys; everything else works as before.
const (
	passkeyPath     = "/passkey/"
	askPasskeyPath  = passkeyPath + "ask"     // begin to sign in
	showPasskeyPath = passkeyPath + "sign-in" // sign in
	newPasskeyPath  = passkeyPath + "new"     // begin to register
	takePasskeyPath = passkeyPath + "take"    // register
)

// mostPasskey is the size of what our script may send of a passkey, bytes.
const mostPasskey = 96 << 10

// The cookie of a challenge, from asking for a passkey to seeing it.
const (
	challengeCookieName       = "elbowroom-passkey"
	secureChallengeCookieName = "__Host-elbowroom-passkey"
)

// passkeyHere says on a page where passkeys can be used.
type passkeyHere struct {
	Origin string // here, if the browser agrees; "" nowhere here
	Number string // address of the same page by a name, when it was asked for by a number
}

// origin is where the pages are, as far as passkeys go: what the options say,
// or this very computer by its name. What a request says of itself counts only
// when browser and server are one computer.
func (k *door) origin(r *http.Request) desk.Origin {
	if !k.opts.Origin.IsZero() || k.opts.Demo != nil || k.opts.Proxy || !k.local(r) {
		return k.opts.Origin
	}
	if host, _ := hostPort(r.Host); host != "localhost" {
		return desk.Origin{}
	}
	scheme := "http://"
	if r.TLS != nil {
		scheme = "https://"
	}
	o, err := desk.ParseOrigin(scheme + r.Host)
	if err != nil {
		return desk.Origin{}
	}
	return o
}

func hostPort(at string) (host, port string) {
	host, port, err := net.SplitHostPort(at)
	if err != nil {
		return at, ""
	}
	return host, port
}

// passkeyHere says where passkeys can be used, as seen from a request.
func (k *door) passkeyHere(r *http.Request) passkeyHere {
	if k.opts.Demo != nil {
		return passkeyHere{}
	}
	h := passkeyHere{Origin: k.origin(r).String()}
	host, port := hostPort(r.Host)
	a, err := netip.ParseAddr(strings.Trim(host, "[]"))
	if h.Origin == "" && err == nil && a.IsLoopback() && !k.opts.Proxy && r.TLS == nil {
		h.Number = "http://" + strings.TrimSuffix(net.JoinHostPort("localhost", port), ":") + r.URL.Path
	}
	return h
}

// passkeySent is what our script sends, each path its part.
type passkeySent struct {
	Password string          `json:"password"`
	Name     string          `json:"name"`
	Then     string          `json:"then"`
	Answer   json.RawMessage `json:"answer"`
}

// passkeyDone says where to go now.
type passkeyDone struct {
	To string `json:"to"`
}

// passkey answers our script.
func (k *door) passkey(w http.ResponseWriter, r *http.Request) {
	secure(w.Header())
	w.Header().Set("Cache-Control", "no-store")
	answers := map[string]func(http.ResponseWriter, *http.Request, passkeySent){
		askPasskeyPath: k.askPasskey, showPasskeyPath: k.showPasskey, newPasskeyPath: k.newPasskey, takePasskeyPath: k.takePasskey,
	}
	answer := answers[r.URL.Path]
	switch {
	case answer == nil:
		k.refusePasskey(w, r, http.StatusNotFound, say("lost.what"))
	case r.Method != http.MethodPost:
		w.Header().Set("Allow", http.MethodPost)
		k.refusePasskey(w, r, http.StatusMethodNotAllowed, say("still.method.what"))
	case k.opts.Demo != nil:
		k.refusePasskey(w, r, http.StatusUnprocessableEntity, say("passkey.demo"))
	default:
		if sent, ok := k.passkeySent(w, r); ok {
			answer(w, r, sent)
		}
	}
}

// passkeySent reads what one of our own pages sent; ok is false when the answer
// has been given already.
func (k *door) passkeySent(w http.ResponseWriter, r *http.Request) (sent passkeySent, ok bool) {
	var own http.CrossOriginProtection
	if err := own.Check(r); err != nil {
		k.refusePasskey(w, r, http.StatusForbidden, say("still.origin.what"))
		return sent, false
	}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		k.refusePasskey(w, r, http.StatusUnsupportedMediaType, say("run-error.not-json.what"))
		return sent, false
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, mostPasskey))
	d.DisallowUnknownFields()
	err := d.Decode(&sent)
	if err == nil && d.More() {
		err = errors.New("more than one")
	}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		k.refusePasskey(w, r, http.StatusRequestEntityTooLarge, say("still.large.what"))
	case err != nil:
		k.refusePasskey(w, r, http.StatusBadRequest, say("still.form.what"))
	}
	return sent, err == nil
}

func (k *door) askPasskey(w http.ResponseWriter, r *http.Request, _ passkeySent) {
	asked, err := k.desk.BeginPasskeySignIn(r.Context(), desk.PasskeyAt{Origin: k.origin(r)})
	k.asked(w, r, asked, err)
}

func (k *door) showPasskey(w http.ResponseWriter, r *http.Request, sent passkeySent) {
	at := desk.PasskeyAt{Origin: k.origin(r), State: k.challenge(w, r), Answer: sent.Answer}
	token, err := k.desk.PasskeySignIn(r.Context(), at, desk.SignIn{Device: r.UserAgent(), Address: k.address(r)})
	if err != nil {
		k.passkeyFailed(w, r, err)
		return
	}
	k.admit(w, r, token)
	to := ownAddress(sent.Then)
	if to == "" {
		to = "/"
	}
	answerJSON(w, r, http.StatusOK, passkeyDone{to})
}

func (k *door) newPasskey(w http.ResponseWriter, r *http.Request, sent passkeySent) {
	who, session, err := k.whoRegisters(r)
	if err != nil {
		k.passkeyFailed(w, r, err)
		return
	}
	asked, err := k.desk.BeginPasskey(r.Context(), who, desk.PasskeyAt{Origin: k.origin(r), Session: session}, sent.Password)
	k.asked(w, r, asked, err)
}

func (k *door) takePasskey(w http.ResponseWriter, r *http.Request, sent passkeySent) {
	who, session, err := k.whoRegisters(r)
	if err == nil {
		at := desk.PasskeyAt{Origin: k.origin(r), Session: session, State: k.challenge(w, r), Answer: sent.Answer}
		err = k.desk.TakePasskey(r.Context(), who, at, sent.Name)
	}
	if err != nil {
		k.passkeyFailed(w, r, err)
		return
	}
	answerJSON(w, r, http.StatusOK, passkeyDone{workshopPath})
}

// whoRegisters returns who is signed in and the token of the session.
func (k *door) whoRegisters(r *http.Request) (desk.Who, string, error) {
	c, err := r.Cookie(k.cookie(r))
	if err != nil {
		return desk.Who{}, "", desk.ErrSignIn
	}
	who, err := k.desk.Who(r.Context(), c.Value)
	return who, c.Value, err
}

// asked hands the options to the browser, and the challenge to its cookies.
func (k *door) asked(w http.ResponseWriter, r *http.Request, asked *desk.Asked, err error) {
	if err != nil {
		k.passkeyFailed(w, r, err)
		return
	}
	http.SetCookie(w, k.challengeCookie(r, asked.State, int(desk.ChallengeTime.Seconds())))
	answerJSON(w, r, http.StatusOK, asked.Options)
}

// challenge takes the challenge out of the cookies of the browser.
func (k *door) challenge(w http.ResponseWriter, r *http.Request) string {
	gone := k.challengeCookie(r, "", -1)
	http.SetCookie(w, gone)
	c, err := r.Cookie(gone.Name)
	if err != nil {
		return ""
	}
	return c.Value
}

func (k *door) challengeCookie(r *http.Request, value string, age int) *http.Cookie {
	name := challengeCookieName
	if k.encrypted(r) {
		name = secureChallengeCookieName
	}
	return &http.Cookie{Name: name, Value: value, Path: "/", HttpOnly: true, Secure: k.encrypted(r), SameSite: http.SameSiteStrictMode, MaxAge: age}
}

// passkeyFailed answers with an error of the use cases.
func (k *door) passkeyFailed(w http.ResponseWriter, r *http.Request, err error) {
	if errors.Is(err, desk.ErrTooOften) {
		w.Header().Set("Retry-After", "900")
		k.refusePasskey(w, r, http.StatusTooManyRequests, say("signin.too-often"))
		return
	}
	if errors.Is(err, desk.ErrSignIn) && r.URL.Path != showPasskeyPath {
		k.refusePasskey(w, r, http.StatusUnauthorized, say("run-error.sign-in.what"))
		return
	}
	for _, st := range runStatuses {
		if errors.Is(err, st.err) && st.status < http.StatusInternalServerError {
			k.refusePasskey(w, r, st.status, passkeyWords(err))
			return
		}
	}
	k.front.opts.Log.Error("passkey failed", "path", r.URL.Path, "error", err)
	status := http.StatusInternalServerError
	if errors.Is(err, store.Busy) || errors.Is(err, store.ReadOnly) || errors.Is(err, context.DeadlineExceeded) {
		status = http.StatusServiceUnavailable
	}
	k.refusePasskey(w, r, status, say("passkey.broken"))
}

// passkeyWords returns what an error says, without its kind.
func passkeyWords(err error) string {
	text := err.Error()
	for _, kind := range []error{desk.ErrSignIn, desk.ErrRefused, app.ErrInput} {
		text = strings.TrimPrefix(text, kind.Error()+": ")
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func (k *door) refusePasskey(w http.ResponseWriter, r *http.Request, status int, what string) {
	answerJSON(w, r, status, refusal{What: what})
}

// passkeyRow is a passkey in somebody's own list.
type passkeyRow struct{ ID, Name, Since, Says string }

// passkeys adds one's own passkeys to the page about the workshop.
func (s *site) passkeys(r *http.Request, who desk.Who, p *workshopPage) error {
	if s.opts.passkeyHere == nil {
		return nil
	}
	p.Passkey = s.opts.passkeyHere(r)
	list, err := s.opts.Desk.Passkeys(r.Context(), who)
	p.Passkeys = passkeyRows(list)
	return err
}

func passkeyRows(list []desk.PasskeyLine) (rows []passkeyRow) {
	for _, x := range list {
		row := passkeyRow{ID: string(x.ID), Name: x.Name, Since: x.Since.Time().Format("2006-01-02")}
		switch {
		case x.Stopped:
			row.Says = say("passkey.stopped")
		case x.Used.IsZero():
			row.Says = say("passkey.unused")
		default:
			row.Says = say("passkey.used", x.Used.Time().Format("2006-01-02"))
		}
		if x.Synced {
			row.Says = listed(row.Says, say("passkey.synced"))
		}
		rows = append(rows, row)
	}
	return rows
}
