package web

import (
	"crypto/subtle"
	"errors"
	"net/http"
	"strings"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// Paths of the pages before the door.
const (
	signInPath  = "/sign-in"
	signOutPath = "/sign-out"
	setUpPath   = "/set-up"
)

// mostForm is the size of what one of our own forms may send, bytes.
const mostForm = 256 << 10

// signInPage asks who is there.
type signInPage struct {
	page
	Places  []offer // where there are several
	People  []offer // of a demonstration: nobody needs a password
	Person  string
	Then    string
	Wrong   string
	Passkey passkeyHere
}

// setUpPage asks whoever comes first what the workshop is called.
type setUpPage struct {
	page
	Opening  desk.Opening
	NeedCode bool
	Least    int
	Wrong    string
}

// atTheDoor answers the pages that need nobody to be signed in.
func (k *door) atTheDoor(w http.ResponseWriter, r *http.Request) {
	secure(w.Header())
	w.Header().Set("Referrer-Policy", "same-origin") // so that the browser says that the form is ours
	if r.Method == http.MethodPost {
		if !k.front.ownForm(w, r) {
			return
		}
	} else if r.Method != http.MethodGet && r.Method != http.MethodHead {
		k.front.still(w, http.StatusMethodNotAllowed, "method")
		return
	}
	switch post := r.Method == http.MethodPost; {
	case r.URL.Path == setUpPath && post:
		k.setUp(w, r)
	case r.URL.Path == setUpPath:
		k.showSetUp(w, r, http.StatusOK, desk.Opening{Currency: "EUR"}, "")
	case r.URL.Path == signInPath && post:
		k.signIn(w, r)
	case r.URL.Path == signInPath:
		k.showSignIn(w, r, http.StatusOK, "")
	case post:
		k.signOut(w, r)
	default:
		http.Redirect(w, r, "/", http.StatusSeeOther)
	}
}

// ownForm reads a form that one of our own pages sent; false when the answer
// has been given already.
func (s *site) ownForm(w http.ResponseWriter, r *http.Request) bool {
	var own http.CrossOriginProtection
	if err := own.Check(r); err != nil {
		s.still(w, http.StatusForbidden, "origin")
		return false
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostForm)
	if err := r.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			s.still(w, http.StatusRequestEntityTooLarge, "large")
			return false
		}
		s.still(w, http.StatusBadRequest, "form")
		return false
	}
	r.PostForm = validValues(r.PostForm)
	return true
}

func (k *door) showSignIn(w http.ResponseWriter, r *http.Request, status int, wrong string) {
	places, err := k.desk.Places(r.Context())
	if err != nil {
		k.front.broken(w, r, err)
		return
	}
	if len(places) == 0 {
		http.Redirect(w, r, setUpPath, http.StatusSeeOther)
		return
	}
	p := signInPage{page: k.front.page("", "signin.title"), Wrong: wrong, Person: r.PostFormValue("person"), Then: then(r), Passkey: k.passkeyHere(r)}
	p.Nav = nil
	if len(places) > 1 {
		for _, pl := range places {
			p.Places = append(p.Places, offer{Value: string(pl.ID), Text: pl.Name})
		}
	}
	if k.opts.Demo != nil {
		people, err := k.desk.People(r.Context(), k.opts.Demo.Place)
		if err != nil {
			k.front.broken(w, r, err)
			return
		}
		for _, x := range people {
			p.People = append(p.People, offer{Value: string(x.ID), Text: x.Name})
		}
	}
	w.Header().Set("Cache-Control", "no-store")
	k.front.render(w, r, status, "signin", "layout", p)
}

// then is where to go after signing in: an address of ours or nowhere.
func then(r *http.Request) string { return ownAddress(r.FormValue("then")) }

// ownAddress returns an address within our pages, and nothing for any other.
func ownAddress(to string) string {
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.HasPrefix(to, "/\\") || strings.ContainsAny(to, "\r\n\t") {
		return ""
	}
	return to
}

// signInName is what somebody typed as a name; of a full name, the last word, as
// short names are made.
func signInName(text string) joblog.Person {
	words := strings.Fields(strings.ToLower(text))
	if len(words) == 0 {
		return ""
	}
	return joblog.Person(words[len(words)-1])
}

func (k *door) signIn(w http.ResponseWriter, r *http.Request) {
	places, err := k.desk.Places(r.Context())
	if err != nil {
		k.front.broken(w, r, err)
		return
	}
	if len(places) == 0 {
		http.Redirect(w, r, setUpPath, http.StatusSeeOther)
		return
	}
	s := desk.SignIn{
		Place: places[0].ID, Person: signInName(r.PostForm.Get("person")),
		Password: r.PostForm.Get("password"), Device: r.UserAgent(), Address: k.address(r),
	}
	if at := r.PostForm.Get("place"); at != "" {
		s.Place = store.PlaceID(at)
	}
	var token string
	if k.opts.Demo != nil {
		s.Place = k.opts.Demo.Place
		token, err = k.desk.Enter(r.Context(), s)
	} else {
		token, err = k.desk.SignIn(r.Context(), s)
	}
	switch {
	case errors.Is(err, desk.ErrSignIn), store.CodeOf(err) == store.Refused:
		k.showSignIn(w, r, http.StatusUnauthorized, say("signin.wrong"))
		return
	case errors.Is(err, desk.ErrTooOften):
		w.Header().Set("Retry-After", "900")
		k.showSignIn(w, r, http.StatusTooManyRequests, say("signin.too-often"))
		return
	case err != nil:
		k.front.broken(w, r, err)
		return
	}
	k.admit(w, r, token)
	to := then(r)
	if to == "" {
		to = "/"
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
}

func (k *door) signOut(w http.ResponseWriter, r *http.Request) {
	if c, err := r.Cookie(k.cookie(r)); err == nil {
		if who, err := k.desk.Who(r.Context(), c.Value); err == nil {
			if err := k.desk.SignOut(r.Context(), who, c.Value); err != nil {
				k.front.broken(w, r, err)
				return
			}
		}
	}
	http.SetCookie(w, &http.Cookie{Name: k.cookie(r), Path: "/", MaxAge: -1, HttpOnly: true, Secure: k.encrypted(r), SameSite: http.SameSiteLaxMode})
	http.Redirect(w, r, signInPath, http.StatusSeeOther)
}

func (k *door) showSetUp(w http.ResponseWriter, r *http.Request, status int, o desk.Opening, wrong string) {
	empty, err := k.desk.Empty(r.Context())
	if err != nil {
		k.front.broken(w, r, err)
		return
	}
	if !empty {
		http.Redirect(w, r, signInPath, http.StatusSeeOther)
		return
	}
	o.Password = ""
	p := setUpPage{page: k.front.page("", "setup.title"), Opening: o, NeedCode: !k.local(r), Least: desk.LeastPassword, Wrong: wrong}
	p.Nav = nil
	w.Header().Set("Cache-Control", "no-store")
	k.front.render(w, r, status, "setup", "layout", p)
}

func (k *door) setUp(w http.ResponseWriter, r *http.Request) {
	f := r.PostForm
	o := desk.Opening{
		Workshop: f.Get("workshop"), Currency: strings.ToUpper(strings.TrimSpace(f.Get("currency"))), Rate: decimal(f.Get("rate")),
		Name: f.Get("name"), Password: f.Get("password"), Sample: f.Get("sample") == "yes",
	}
	if !k.local(r) && (k.opts.SetUpCode == "" || subtle.ConstantTimeCompare([]byte(f.Get("code")), []byte(k.opts.SetUpCode)) != 1) {
		k.showSetUp(w, r, http.StatusForbidden, o, say("setup.wrong-code"))
		return
	}
	place, person, err := k.desk.SetUp(r.Context(), o)
	switch {
	case errors.Is(err, app.ErrInput):
		k.showSetUp(w, r, http.StatusBadRequest, o, plain(err))
		return
	case errors.Is(err, desk.ErrRefused):
		http.Redirect(w, r, signInPath, http.StatusSeeOther)
		return
	case err != nil:
		k.front.broken(w, r, err)
		return
	}
	token, err := k.desk.Enter(r.Context(), desk.SignIn{Place: place, Person: person, Device: r.UserAgent(), Address: k.address(r)})
	if err != nil {
		k.front.broken(w, r, err)
		return
	}
	k.admit(w, r, token)
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// broken answers with a plain page when the store cannot be asked.
func (s *site) broken(w http.ResponseWriter, r *http.Request, err error) {
	s.opts.Log.Error("page failed", "path", logged(r), "error", err)
	for _, st := range runStatuses {
		if errors.Is(err, st.err) && st.status >= http.StatusInternalServerError {
			s.still(w, st.status, st.key)
			return
		}
	}
	s.still(w, http.StatusInternalServerError, "panic")
}
