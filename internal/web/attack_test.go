package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"elbowroom/app"
	"elbowroom/app/desk"
	"elbowroom/demo"
	"elbowroom/guide"
	guidefile "elbowroom/guide/file"
	"elbowroom/joblog"
	"elbowroom/store"
	"elbowroom/store/folder"
	"elbowroom/store/sqlite"
)

// The attacks that SECURITY.md lists, each tried on the whole server over a
// real store.

const (
	ownersPassword = "copper kettle under rain"
	techsPassword  = "eleven spanners in a row"
)

// fort is a server with two workshops that know nothing of each other.
type fort struct {
	t    testing.TB
	desk *desk.Desk
	keep store.Store
	at   *httptest.Server
	job  joblog.Job // of the first workshop
}

func newFort(t testing.TB) *fort {
	t.Helper()
	dir := t.TempDir()
	s, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(filepath.Join(dir, "pictures")), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	g, err := demo.Guide()
	if err != nil {
		t.Fatal(err)
	}
	d := desk.New(s, desk.Options{Clock: time.Now, Random: rand.NewChaCha8([32]byte{3}), Device: "desk", Sample: []*guide.Guide{g}, QuickPasswords: true})
	f := &fort{t: t, desk: d, keep: s, at: httptest.NewServer(Open(d, Options{}))}
	t.Cleanup(func() {
		f.at.Close()
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	place, person, err := d.SetUp(t.Context(), desk.Opening{Workshop: "Castle", Currency: "EUR", Rate: "84.00", Name: "Ada Stone", Password: ownersPassword, Sample: true})
	if err != nil {
		t.Fatal(err)
	}
	owner := desk.Who{Place: place, ID: person, Role: store.Owner}
	if _, err := d.Hire(t.Context(), owner, "Ben Moat", store.Technician, techsPassword); err != nil {
		t.Fatal(err)
	}
	if _, err := d.AddMachine(t.Context(), owner, desk.NewMachine{ID: "V1", Name: "Van", Guide: "v27p", Variant: "LHD A"}); err != nil {
		t.Fatal(err)
	}
	if f.job, err = d.OpenJob(t.Context(), owner, desk.NewJob{Machine: "V1", Complaint: "secretword"}); err != nil {
		t.Fatal(err)
	}
	return f
}

// browser returns a client that keeps cookies and follows nothing.
func (f *fort) browser() *http.Client {
	jar, err := cookiejar.New(nil)
	if err != nil {
		f.t.Fatal(err)
	}
	return &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

// signedIn returns a browser of somebody.
func (f *fort) signedIn(person, password string) *http.Client {
	f.t.Helper()
	c := f.browser()
	if status, _, _ := f.post(c, "/sign-in", url.Values{"person": {person}, "password": {password}}); status != http.StatusSeeOther {
		f.t.Fatalf("sign-in of %s: %d", person, status)
	}
	return c
}

func (f *fort) do(c *http.Client, r *http.Request) (status int, body string, h http.Header) {
	f.t.Helper()
	res, err := c.Do(r)
	if err != nil {
		f.t.Fatal(err)
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	if err != nil {
		f.t.Fatal(err)
	}
	return res.StatusCode, string(data), res.Header
}

func (f *fort) get(c *http.Client, path string) (int, string, http.Header) {
	f.t.Helper()
	r, err := http.NewRequestWithContext(f.t.Context(), http.MethodGet, f.at.URL+path, nil)
	if err != nil {
		f.t.Fatal(err)
	}
	return f.do(c, r)
}

// post sends a form as one of our pages does.
func (f *fort) post(c *http.Client, path string, v url.Values) (int, string, http.Header) {
	f.t.Helper()
	return f.postFrom(c, f.at.URL, path, v)
}

func (f *fort) postFrom(c *http.Client, origin, path string, v url.Values) (int, string, http.Header) {
	f.t.Helper()
	r, err := http.NewRequestWithContext(f.t.Context(), http.MethodPost, f.at.URL+path, strings.NewReader(v.Encode()))
	if err != nil {
		f.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	if origin != "" {
		r.Header.Set("Origin", origin)
	}
	return f.do(c, r)
}

// Without a session nothing that is kept is shown or taken.
func TestAttackWithoutSession(t *testing.T) {
	f := newFort(t)
	c := f.browser()
	for _, path := range []string{"/", "/jobs/", "/jobs/" + string(f.job), "/run/" + string(f.job), "/run/" + string(f.job) + "/sheet", "/workshop/", "/plan", "/bay", "/job", "/run/"} {
		status, body, _ := f.get(c, path)
		if status == http.StatusOK || strings.Contains(body, "secretword") {
			t.Errorf("%s: %d", path, status)
		}
	}
	for _, path := range []string{"/jobs/", "/jobs/" + string(f.job), "/workshop/", "/run/" + string(f.job) + "/sync"} {
		if status, _, _ := f.post(c, path, url.Values{"does": {"note"}, "text": {"x"}}); status != http.StatusUnauthorized {
			t.Errorf("POST %s: %d", path, status)
		}
	}
}

// A token that was made up, cut or ended is nobody's.
func TestAttackSessionToken(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	u, err := url.Parse(f.at.URL)
	if err != nil {
		t.Fatal(err)
	}
	kept := c.Jar.Cookies(u)
	if len(kept) != 1 || len(kept[0].Value) < 40 {
		t.Fatalf("cookies %v", kept)
	}
	for _, value := range []string{"", "x", kept[0].Value[:len(kept[0].Value)-1], strings.ToLower(kept[0].Value), kept[0].Value + "A", strings.Repeat("A", 4000)} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, f.at.URL+"/jobs/", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.AddCookie(&http.Cookie{Name: kept[0].Name, Value: value})
		if status, body, _ := f.do(f.browser(), r); status == http.StatusOK || strings.Contains(body, "secretword") {
			t.Errorf("token %.20q: %d", value, status)
		}
	}
	if status, _, _ := f.post(c, "/sign-out", nil); status != http.StatusSeeOther {
		t.Fatalf("sign-out: %d", status)
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, f.at.URL+"/jobs/", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.AddCookie(kept[0])
	if status, _, _ := f.do(f.browser(), r); status == http.StatusOK {
		t.Error("the token holds after signing out")
	}
}

// The cookie cannot be read by script and is not sent along by other sites.
func TestAttackCookie(t *testing.T) {
	f := newFort(t)
	_, _, h := f.post(f.browser(), "/sign-in", url.Values{"person": {"stone"}, "password": {ownersPassword}})
	c := h.Get("Set-Cookie")
	for _, want := range []string{"HttpOnly", "SameSite=Lax", "Path=/"} {
		if !strings.Contains(c, want) {
			t.Errorf("cookie %q lacks %s", c, want)
		}
	}
}

// Forms that another site sends are refused, whoever is signed in.
func TestAttackForgedRequest(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	for _, path := range []string{"/jobs/", "/jobs/" + string(f.job), "/jobs/" + string(f.job) + "/plan", "/jobs/" + string(f.job) + "/link", "/workshop/", "/sign-in", "/sign-out", "/run/" + string(f.job) + "/sync"} {
		if status, _, _ := f.postFrom(c, "https://elsewhere.example", path, url.Values{"does": {"note"}, "text": {"forged"}}); status != http.StatusForbidden {
			t.Errorf("%s: %d", path, status)
		}
	}
	if _, body, _ := f.get(c, "/jobs/"+string(f.job)); strings.Contains(body, "forged") {
		t.Error("a forged note was kept")
	}
}

// Passwords cannot be tried without end, neither for one person nor from one
// address for all, and the answer does not tell whether somebody exists.
func TestAttackGuessing(t *testing.T) {
	f := newFort(t)
	answers := map[string]bool{}
	for _, person := range []string{"stone", "nobody"} {
		_, body, _ := f.post(f.browser(), "/sign-in", url.Values{"person": {person}, "password": {"wrong password at first"}})
		answers[regexp.MustCompile(`value="[a-z]+"`).ReplaceAllString(body, "")] = true
	}
	if len(answers) != 1 {
		t.Error("the answer tells who works here")
	}
	stopped := false
	for range 12 {
		status, _, h := f.post(f.browser(), "/sign-in", url.Values{"person": {"moat"}, "password": {"guess after guess after guess"}})
		stopped = stopped || status == http.StatusTooManyRequests && h.Get("Retry-After") != ""
	}
	if !stopped {
		t.Error("twelve guesses and no end")
	}
	if status, _, _ := f.post(f.browser(), "/sign-in", url.Values{"person": {"moat"}, "password": {techsPassword}}); status != http.StatusTooManyRequests {
		t.Errorf("the right password goes through in between: %d", status)
	}
}

// What people write comes back as text, wherever it is shown.
func TestAttackScriptInText(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	evil := `"><script>alert(1)</script><img src=x onerror=alert(2)>`
	for _, v := range []url.Values{
		{"does": {"note"}, "text": {evil}},
		{"does": {"sign"}, "text": {evil}},
		{"does": {"handover"}, "text": {evil}},
		{"does": {"price"}, "amount": {"10.00"}, "currency": {"EUR"}, "by": {evil}, "how": {evil}},
	} {
		if status, body, _ := f.post(c, "/jobs/"+string(f.job), v); status != http.StatusSeeOther {
			t.Errorf("%v: %d %s", v, status, body)
		}
	}
	if status, _, _ := f.post(c, "/jobs/", url.Values{"name": {evil}, "id": {"V9"}, "complaint": {evil}, "stands": {evil}}); status != http.StatusSeeOther {
		t.Errorf("open: %d", status)
	}
	if status, _, _ := f.post(c, "/workshop/", url.Values{"does": {"customer"}, "name": {evil}, "address": {evil}}); status != http.StatusSeeOther {
		t.Errorf("customer: %d", status)
	}
	for _, path := range []string{"/", "/jobs/", "/jobs/" + string(f.job), "/workshop/", "/run/" + string(f.job), "/jobs/?q=" + url.QueryEscape(evil), "/sign-in?then=" + url.QueryEscape(evil)} {
		_, body, h := f.get(c, path)
		if strings.Contains(body, "<script>alert") || strings.Contains(body, "<img src=x") {
			t.Errorf("%s carries it", path)
		}
		if csp := h.Get("Content-Security-Policy"); !strings.Contains(csp, "default-src 'none'") || strings.Contains(csp, "unsafe-inline") {
			t.Errorf("%s: policy %q", path, csp)
		}
	}
	if _, body, _ := f.get(c, "/jobs/"+string(f.job)); !strings.Contains(body, "&lt;script&gt;") {
		t.Error("the note is not shown at all")
	}
}

// A guide from elsewhere can say what it wants: it is shown as text, also in
// drawings.
func TestAttackScriptInGuide(t *testing.T) {
	g, err := demo.Guide() // read anew, so it may be changed
	if err != nil {
		t.Fatal(err)
	}
	evil := `</title></text></svg><script>alert(1)</script>`
	for i := range g.Items {
		g.Items[i].Name += evil
		g.Items[i].Note += evil
	}
	for i := range g.Cautions {
		g.Cautions[i].Text += evil
	}
	g.Title, g.About = g.Title+evil, g.About+evil
	a, err := app.Open(time.Now, nil, app.Source{Name: "evil", FS: fstest.MapFS{"g/g.yaml": &fstest.MapFile{Data: guidefile.Print(g)}}, Dir: "g"})
	if err != nil {
		t.Fatal(err)
	}
	h := New(a, Options{})
	for _, path := range []string{"/", "/bay?variant=LHD+A&item=SE13", "/plan?variant=LHD+A&task=replace:SE13", "/job?variant=LHD+A&code=P0327", "/circuit?variant=LHD+A&at=T35"} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil))
		if w.Code != http.StatusOK {
			t.Errorf("%s: %d", path, w.Code)
		}
		if strings.Contains(w.Body.String(), "<script>alert") {
			t.Errorf("%s carries it", path)
		}
		if !strings.Contains(w.Body.String(), "&lt;script&gt;alert") {
			t.Errorf("%s does not show it at all", path)
		}
	}
}

// Only pictures are kept as pictures, and they come back as nothing else.
func TestAttackPicture(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	put := func(kind string, data []byte, name string) int {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPut, f.at.URL+"/run/"+string(f.job)+"/picture/"+name, bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", kind)
		r.Header.Set("Origin", f.at.URL)
		status, _, _ := f.do(c, r)
		return status
	}
	svg := []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`)
	jpeg := append([]byte("\xFF\xD8\xFF\xE0"), bytes.Repeat([]byte{7}, 100)...)
	for _, a := range []struct {
		name, kind string
		data       []byte
		hash       string
	}{
		{"drawing with script", "image/svg+xml", svg, contentHash(svg)},
		{"drawing called a photo", "image/jpeg", svg, contentHash(svg)},
		{"page called a photo", "image/png", []byte("<html>"), contentHash([]byte("<html>"))},
		{"under another name", "image/jpeg", jpeg, contentHash(svg)},
		{"name that climbs", "image/jpeg", jpeg, "..%2f..%2fetc%2fpasswd"},
		{"name that is no hash", "image/jpeg", jpeg, "hello"},
		{"too large", "image/jpeg", append(bytes.Clone(jpeg), make([]byte, desk.MaxPicture)...), contentHash(jpeg)},
	} {
		if status := put(a.kind, a.data, a.hash); status < 400 || status >= 500 {
			t.Errorf("%s: %d", a.name, status)
		}
	}
	if status := put("image/jpeg", jpeg, contentHash(jpeg)); status >= 300 {
		t.Fatalf("an honest photo: %d", status)
	}
	status, _, h := f.get(c, "/run/"+string(f.job)+"/picture/"+contentHash(jpeg))
	if status != http.StatusOK || h.Get("Content-Type") != "image/jpeg" || h.Get("X-Content-Type-Options") != "nosniff" {
		t.Errorf("%d %v", status, h)
	}
}

func contentHash(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}

// What another workshop keeps cannot be had by its name.
func TestAttackOtherWorkshop(t *testing.T) {
	f := newFort(t)
	if err := f.desk.Furnish(t.Context(), store.Place{ID: "other", Name: "Other"}, nil, nil); err != nil {
		t.Fatal(err)
	}
	eve := desk.Who{Place: "other", ID: "eve", Role: store.Owner}
	if _, err := f.desk.Hire(t.Context(), eve, "Eve Ditch", store.Owner, "nine ladders against walls"); err != nil {
		t.Fatal(err)
	}
	c := f.browser()
	if status, _, _ := f.post(c, "/sign-in", url.Values{"place": {"other"}, "person": {"ditch"}, "password": {"nine ladders against walls"}}); status != http.StatusSeeOther {
		t.Fatalf("sign-in: %d", status)
	}
	for _, path := range []string{"/jobs/" + string(f.job), "/run/" + string(f.job), "/run/" + string(f.job) + "/sheet", "/run/" + string(f.job) + "/picture/" + strings.Repeat("0", 64)} {
		if status, body, _ := f.get(c, path); status != http.StatusNotFound || strings.Contains(body, "secretword") {
			t.Errorf("%s: %d", path, status)
		}
	}
	if _, body, _ := f.get(c, "/jobs/?q=secretword"); strings.Contains(body, string(f.job)) {
		t.Error("search finds it")
	}
	if status, _, _ := f.post(c, "/jobs/"+string(f.job), url.Values{"does": {"note"}, "text": {"hello"}}); status != http.StatusNotFound {
		t.Errorf("note: %d", status)
	}
	if status, _, _ := f.post(c, "/jobs/", url.Values{"machine": {"V1"}}); status == http.StatusSeeOther {
		t.Error("opens a job for another workshop's machine")
	}
}

// Somebody may do what their role says and no more.
func TestAttackRole(t *testing.T) {
	f := newFort(t)
	owner := desk.Who{Place: "castle", ID: "stone", Role: store.Owner}
	if _, err := f.desk.Hire(t.Context(), owner, "Cy Look", store.Reader, "gates seen from outside"); err != nil {
		t.Fatal(err)
	}
	tech, reader := f.signedIn("moat", techsPassword), f.signedIn("look", "gates seen from outside")
	for name, c := range map[string]*http.Client{"technician": tech, "reader": reader} {
		for _, v := range []url.Values{
			{"does": {"hire"}, "name": {"Mal Ory"}, "role": {"owner"}, "password": {"a very long password indeed"}},
			{"does": {"appoint"}, "person": {"moat"}, "role": {"owner"}},
			{"does": {"appoint"}, "person": {"stone"}, "role": {"reader"}, "left": {"yes"}},
			{"does": {"password"}, "person": {"stone"}, "password": {"taken over by somebody"}},
			{"does": {"end-sessions"}, "person": {"stone"}},
			{"does": {"erase"}, "customer": {"c-1"}, "sure": {"yes"}},
		} {
			if status, _, _ := f.post(c, "/workshop/", v); status != http.StatusForbidden {
				t.Errorf("%s: %v: %d", name, v, status)
			}
		}
		if _, body, _ := f.get(c, "/workshop/"); strings.Contains(body, `id="trail"`) {
			t.Errorf("%s sees the trail", name)
		}
	}
	if status, _, _ := f.post(reader, "/jobs/"+string(f.job), url.Values{"does": {"note"}, "text": {"hello"}}); status != http.StatusForbidden {
		t.Errorf("a reader writes: %d", status)
	}
	if status, _, _ := f.post(reader, "/jobs/", url.Values{"machine": {"V1"}}); status != http.StatusForbidden {
		t.Errorf("a reader opens a job: %d", status)
	}
}

// Whoever is disabled is out at once, on every device; the last owner stays.
func TestAttackFormerEmployee(t *testing.T) {
	f := newFort(t)
	owner, tech := f.signedIn("stone", ownersPassword), f.signedIn("moat", techsPassword)
	if status, _, _ := f.post(owner, "/workshop/", url.Values{"does": {"appoint"}, "person": {"moat"}, "role": {"technician"}, "left": {"yes"}}); status != http.StatusSeeOther {
		t.Fatalf("appoint: %d", status)
	}
	if status, _, _ := f.get(tech, "/jobs/"); status == http.StatusOK {
		t.Error("still in")
	}
	if status, _, _ := f.post(f.browser(), "/sign-in", url.Values{"person": {"moat"}, "password": {techsPassword}}); status != http.StatusUnauthorized {
		t.Errorf("signs in again: %d", status)
	}
	if status, _, _ := f.post(owner, "/workshop/", url.Values{"does": {"appoint"}, "person": {"stone"}, "role": {"reader"}}); status == http.StatusSeeOther {
		t.Error("the last owner gave it away")
	}
}

// A customer's link shows that one job in plain words, cannot be guessed, and
// ends when it is told to.
func TestAttackCustomerLink(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	_, body, _ := f.post(c, "/jobs/"+string(f.job)+"/link", nil)
	token := regexp.MustCompile(`/shown/[A-Za-z0-9_-]{43}`).FindString(body)
	if token == "" {
		t.Fatal("no link")
	}
	stranger := f.browser()
	status, shown, h := f.get(stranger, token)
	if status != http.StatusOK || strings.Contains(shown, "secretword") || h.Get("Cache-Control") != "no-store" || h.Get("Referrer-Policy") != "no-referrer" {
		t.Errorf("%d, %v", status, h)
	}
	for _, guess := range []string{token[:len(token)-1], token + "A", "/shown/", "/shown/" + strings.Repeat("A", 43), "/shown/../jobs/"} {
		if status, _, _ := f.get(stranger, guess); status == http.StatusOK {
			t.Errorf("%s: %d", guess, status)
		}
	}
	end := regexp.MustCompile(`name="end" value="([0-9a-f]{64})"`).FindStringSubmatch(body)
	if end == nil {
		t.Fatal("the link cannot be ended")
	}
	if status, _, _ := f.post(c, "/jobs/"+string(f.job)+"/link", url.Values{"end": {end[1]}}); status != http.StatusSeeOther {
		t.Fatalf("end: %d", status)
	}
	if status, _, _ := f.get(stranger, token); status != http.StatusNotFound {
		t.Errorf("after its end: %d", status)
	}
}

// Addresses do not lead out of what is served, nor signing in to another site.
func TestAttackPaths(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	for _, path := range []string{"/assets/../../go.mod", "/assets/..%2f..%2fgo.mod", "/assets/%2e%2e/words.go", "/jobs/..%2fworkshop", "/run/..%2f..%2fetc%2fpasswd/sheet", "/jobs/%00", "/run/%ff/sheet"} {
		if status, body, _ := f.get(c, path); status == http.StatusOK || strings.Contains(body, "module elbowroom") {
			t.Errorf("%s: %d", path, status)
		}
	}
	for _, to := range []string{"https://elsewhere.example/", "//elsewhere.example", `/\elsewhere.example`, "javascript:alert(1)", "/\t/elsewhere.example"} {
		_, _, h := f.post(f.browser(), "/sign-in", url.Values{"person": {"stone"}, "password": {ownersPassword}, "then": {to}})
		if h.Get("Location") != "/" {
			t.Errorf("%q leads to %q", to, h.Get("Location"))
		}
	}
}

// What is too large is refused before it is read to its end.
func TestAttackTooLarge(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	for path, most := range map[string]int{"/jobs/": mostForm, "/workshop/": mostForm, "/run/" + string(f.job) + "/sync": mostSync} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, f.at.URL+path, io.LimitReader(neverEnding{}, int64(most)+1<<20))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Origin", f.at.URL)
		r.Header.Set("Content-Type", map[bool]string{true: "application/json", false: "application/x-www-form-urlencoded"}[strings.HasSuffix(path, "sync")])
		res, err := c.Do(r)
		if err != nil {
			continue // the server hung up: also an answer
		}
		res.Body.Close()
		if res.StatusCode != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", path, res.StatusCode)
		}
	}
}

type neverEnding struct{}

func (neverEnding) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'a'
	}
	return len(p), nil
}

// Setting up is over once somebody has done it, and from another computer it
// needs the code that stands where the program was started.
func TestAttackSetUp(t *testing.T) {
	f := newFort(t)
	if status, _, h := f.post(f.browser(), "/set-up", url.Values{"workshop": {"Mine"}, "currency": {"EUR"}, "rate": {"1"}, "name": {"Mal"}, "password": {"a very long password indeed"}}); h.Get("Location") != "/sign-in" {
		t.Errorf("set up twice: %d", status)
	}
	dir := t.TempDir()
	s, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(dir), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	d := desk.New(s, desk.Options{Clock: time.Now, Random: rand.NewChaCha8([32]byte{4}), Device: "desk", QuickPasswords: true})
	h := Open(d, Options{SetUpCode: "right"})
	for i, code := range []string{"", "wrong", "right"} {
		form := url.Values{"workshop": {"Mine"}, "currency": {"EUR"}, "rate": {"90"}, "name": {"Mal Ory"}, "password": {"quiet rivers run deep"}, "code": {code}}
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "http://mine.example/set-up", strings.NewReader(form.Encode()))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", "http://mine.example")
		r.RemoteAddr = "192.0.2.7:4000"
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if want := []int{http.StatusForbidden, http.StatusForbidden, http.StatusSeeOther}[i]; w.Code != want {
			t.Errorf("code %q: %d %s", code, w.Code, w.Body)
		}
	}
}

// A customer who is erased is found nowhere any more; the job and what was
// learned stay.
func TestErasureKeepsKnowledge(t *testing.T) {
	f := newFort(t)
	owner := desk.Who{Place: "castle", ID: "stone", Role: store.Owner}
	id, err := f.desk.PutCustomer(t.Context(), owner, store.Customer{Name: "Zebulon Quist", Phone: "0123"})
	if err != nil {
		t.Fatal(err)
	}
	if err := f.desk.Belongs(t.Context(), owner, "V1", id); err != nil {
		t.Fatal(err)
	}
	if err := f.desk.Erase(t.Context(), owner, id); err != nil {
		t.Fatal(err)
	}
	c := f.signedIn("stone", ownersPassword)
	for _, path := range []string{"/workshop/", "/jobs/", "/jobs/?q=Zebulon"} {
		if _, body, _ := f.get(c, path); strings.Contains(body, "Quist") || strings.Contains(body, "0123") {
			t.Errorf("%s still tells", path)
		}
	}
	if _, err := f.desk.Job(t.Context(), owner, f.job); err != nil {
		t.Errorf("the job is gone: %v", err)
	}
	if _, err := f.desk.PutCustomer(t.Context(), owner, store.Customer{ID: id, Name: "Back again"}); !errors.Is(err, store.Refused) && err == nil {
		t.Error("an erased customer is written again")
	}
}

// A name of somebody else that was made to lead to this computer opens neither
// the demonstration, in which nobody signs in, nor an empty store.
func TestAttackRebinding(t *testing.T) {
	f := newFort(t)
	demo := Open(f.desk, Options{Demo: &desk.Who{Place: "castle", ID: "stone", Role: store.Owner}})
	for host, want := range map[string]int{"127.0.0.1:8086": http.StatusOK, "localhost:8086": http.StatusOK, "[::1]:8086": http.StatusOK, "evil.example": http.StatusForbidden, "127.0.0.1.evil.example:8086": http.StatusForbidden, "": http.StatusForbidden} {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/jobs/", nil)
		r.Host, r.RemoteAddr = host, "127.0.0.1:4000"
		w := httptest.NewRecorder()
		demo.ServeHTTP(w, r)
		if w.Code != want {
			t.Errorf("%q: %d", host, w.Code)
		}
	}
	s, err := sqlite.Open(t.Context(), filepath.Join(t.TempDir(), "store.db"), folder.New(t.TempDir()), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	empty := Open(desk.New(s, desk.Options{Clock: time.Now, Random: rand.NewChaCha8([32]byte{5}), Device: "desk", QuickPasswords: true}), Options{})
	form := url.Values{"workshop": {"Mine"}, "currency": {"EUR"}, "rate": {"90"}, "name": {"Mal Ory"}, "password": {"quiet rivers run deep"}}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "http://evil.example/set-up", strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", "http://evil.example")
	r.RemoteAddr = "127.0.0.1:4000"
	w := httptest.NewRecorder()
	empty.ServeHTTP(w, r)
	if w.Code != http.StatusForbidden {
		t.Errorf("set up by a name of somebody else: %d", w.Code)
	}
}
