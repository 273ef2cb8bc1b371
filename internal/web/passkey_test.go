package web

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"elbowroom/app/desk"
	"elbowroom/app/desk/desktest"
)

// byName makes the fort known by the name localhost, for which there may be
// passkeys, and returns a device at it.
func (f *fort) byName() *desktest.Device {
	f.at.URL = strings.Replace(f.at.URL, "127.0.0.1", "localhost", 1)
	return &desktest.Device{Origin: f.at.URL}
}

// tell sends JSON as our script does.
func (f *fort) tell(c *http.Client, path string, v passkeySent) (status int, body string, h http.Header) {
	f.t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		f.t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(f.t.Context(), http.MethodPost, f.at.URL+path, strings.NewReader(string(data)))
	if err != nil {
		f.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Origin", f.at.URL)
	return f.do(c, r)
}

// begin asks for a challenge and returns the options.
func (f *fort) begin(c *http.Client, path, password string) []byte {
	f.t.Helper()
	status, body, _ := f.tell(c, path, passkeySent{Password: password})
	if status != http.StatusOK {
		f.t.Fatalf("%s: %d %s", path, status, body)
	}
	return []byte(body)
}

// register makes a passkey in the session of a browser.
func (f *fort) register(c *http.Client, d *desktest.Device, password string) {
	f.t.Helper()
	answer, err := d.Make(f.begin(c, newPasskeyPath, password))
	if err != nil {
		f.t.Fatal(err)
	}
	if status, body, _ := f.tell(c, takePasskeyPath, passkeySent{Name: "phone", Answer: answer}); status != http.StatusOK {
		f.t.Fatalf("take: %d %s", status, body)
	}
}

// show asks a device for the answer to a new challenge of a browser.
func (f *fort) show(c *http.Client, d *desktest.Device) json.RawMessage {
	f.t.Helper()
	answer, err := d.Show(f.begin(c, askPasskeyPath, ""))
	if err != nil {
		f.t.Fatal(err)
	}
	return answer
}

// inside reports whether a browser is signed in.
func (f *fort) inside(c *http.Client) bool {
	status, _, _ := f.get(c, "/jobs/")
	return status == http.StatusOK
}

func TestPasskeyAtTheDoor(t *testing.T) {
	f := newFort(t)
	d := f.byName()
	owner := f.signedIn("stone", ownersPassword)
	f.register(owner, d, ownersPassword)
	_, page, _ := f.get(owner, "/workshop/")
	for _, want := range []string{`data-passkey="register"`, `data-origin="` + f.at.URL + `"`, "<b>phone</b>", "registered a passkey", "passkey."} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	c := f.browser()
	if _, page, _ := f.get(c, "/sign-in?then=/workshop/"); !strings.Contains(page, `data-then="/workshop/"`) || !strings.Contains(page, `name="password"`) || !regexp.MustCompile(`data-passkey="sign-in"[^>]* hidden>`).MatchString(page) {
		t.Error("the page lacks one of two ways in, or offers the one that needs script without it")
	}
	status, body, _ := f.tell(c, showPasskeyPath, passkeySent{Then: "//elsewhere.example", Answer: f.show(c, d)})
	if status != http.StatusOK || strings.TrimSpace(body) != `{"to":"/"}` || !f.inside(c) {
		t.Fatalf("sign-in: %d %s", status, body)
	}
	id := regexp.MustCompile(`name="passkey" value="([0-9a-f]{24})"`).FindStringSubmatch(page)
	if id == nil {
		t.Fatal("no passkey to remove")
	}
	if status, _, _ := f.post(c, "/workshop/", url.Values{"does": {"drop-passkey"}, "passkey": {id[1]}}); status != http.StatusSeeOther {
		t.Fatalf("remove: %d", status)
	}
	if status, body, _ := f.tell(c, showPasskeyPath, passkeySent{Answer: f.show(c, d)}); status != http.StatusUnauthorized || !strings.Contains(body, "opens nothing here") {
		t.Errorf("a removed passkey: %d %s", status, body)
	}
}

// Whoever lost a phone and cannot sign in is helped by an owner, and by nobody
// else.
func TestPasskeyOfSomebodyElse(t *testing.T) {
	f := newFort(t)
	d := f.byName()
	tech, owner := f.signedIn("moat", techsPassword), f.signedIn("stone", ownersPassword)
	f.register(tech, d, techsPassword)
	_, page, _ := f.get(owner, "/workshop/")
	id := regexp.MustCompile(`name="person" value="moat"><input type="hidden" name="passkey" value="([0-9a-f]{24})"`).FindStringSubmatch(page)
	if id == nil {
		t.Fatal("the owner does not see it")
	}
	if _, page, _ := f.get(tech, "/workshop/"); strings.Contains(page, `name="person" value="stone"`) {
		t.Error("a technician is offered to change the owner")
	}
	f.register(owner, &desktest.Device{Origin: f.at.URL}, ownersPassword)
	_, page, _ = f.get(owner, "/workshop/")
	own := regexp.MustCompile(`value="drop-passkey"><input type="hidden" name="passkey" value="([0-9a-f]{24})"`).FindStringSubmatch(page)
	if own == nil {
		t.Fatal("the owner does not see their own")
	}
	if status, _, _ := f.post(tech, "/workshop/", url.Values{"does": {"drop-passkey"}, "person": {"stone"}, "passkey": {own[1]}}); status != http.StatusForbidden {
		t.Errorf("a technician removes the owner's: %d", status)
	}
	if status, _, _ := f.post(owner, "/workshop/", url.Values{"does": {"drop-passkey"}, "person": {"moat"}, "passkey": {id[1]}}); status != http.StatusSeeOther {
		t.Fatalf("remove: %d", status)
	}
	c := f.browser()
	if status, body, _ := f.tell(c, showPasskeyPath, passkeySent{Answer: f.show(c, d)}); status != http.StatusUnauthorized || !strings.Contains(body, "opens nothing here") {
		t.Errorf("still opens: %d %s", status, body)
	}
}

// Behind a proxy the name that the options say holds, whatever a request says,
// and the cookie is for encrypted connections alone.
func TestPasskeyBehindProxy(t *testing.T) {
	f := newFort(t)
	at, err := desk.ParseOrigin("https://bay.example")
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "http://10.0.0.3:8086"+askPasskeyPath, strings.NewReader("{}"))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	w := httptest.NewRecorder()
	Open(f.desk, Options{Proxy: true, Origin: at}).ServeHTTP(w, r)
	cookie := w.Header().Get("Set-Cookie")
	if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), `"rpId":"bay.example"`) || !strings.Contains(w.Body.String(), `"userVerification":"required"`) {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if !strings.HasPrefix(cookie, secureChallengeCookieName+"=") || !strings.Contains(cookie, "Secure") {
		t.Errorf("cookie %q", cookie)
	}
}

// What a device has signed once opens nothing a second time, and nothing for
// another challenge or another purpose.
func TestAttackPasskeyReplay(t *testing.T) {
	f := newFort(t)
	d := f.byName()
	owner := f.signedIn("stone", ownersPassword)
	f.register(owner, d, ownersPassword)
	c, thief := f.browser(), f.browser()
	answer := f.show(c, d)
	u, err := url.Parse(f.at.URL)
	if err != nil {
		t.Fatal(err)
	}
	state := c.Jar.Cookies(u)
	if status, body, _ := f.tell(c, showPasskeyPath, passkeySent{Answer: answer}); status != http.StatusOK {
		t.Fatalf("%d %s", status, body)
	}
	tries := map[string]func(){
		"answer and challenge again": func() { thief.Jar.SetCookies(u, state) },
		"answer without a challenge": func() {},
		"answer to a new challenge":  func() { f.begin(thief, askPasskeyPath, "") },
		"a challenge for registering": func() {
			f.begin(owner, newPasskeyPath, ownersPassword)
			for _, k := range owner.Jar.Cookies(u) {
				if k.Name == challengeCookieName {
					thief.Jar.SetCookies(u, []*http.Cookie{k})
				}
			}
		},
	}
	for name, prepare := range tries {
		prepare()
		if status, body, _ := f.tell(thief, showPasskeyPath, passkeySent{Answer: answer}); status < 400 || status >= 500 || f.inside(thief) {
			t.Errorf("%s: %d %s", name, status, body)
		}
	}
}

// A passkey answers one origin: what was signed at another opens nothing, other
// sites cannot begin, and a request does not choose the origin itself.
func TestAttackPasskeyOrigin(t *testing.T) {
	f := newFort(t)
	d := f.byName()
	owner := f.signedIn("stone", ownersPassword)
	f.register(owner, d, ownersPassword)
	c := f.browser()
	for _, origin := range []string{"https://elsewhere.example", "http://localhost:1", "https://" + strings.TrimPrefix(f.at.URL, "http://"), "http://localhost.elsewhere.example", "null", ""} {
		d.Origin = origin
		if status, body, _ := f.tell(c, showPasskeyPath, passkeySent{Answer: f.show(c, d)}); status != http.StatusUnauthorized || f.inside(c) {
			t.Errorf("signed at %q: %d %s", origin, status, body)
		}
	}
	for _, path := range []string{askPasskeyPath, showPasskeyPath, newPasskeyPath, takePasskeyPath} {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, f.at.URL+path, strings.NewReader("{}"))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Origin", "https://elsewhere.example")
		if status, _, _ := f.do(owner, r); status != http.StatusForbidden {
			t.Errorf("%s from elsewhere: %d", path, status)
		}
	}
	said, err := desk.ParseOrigin("https://bay.example")
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []struct {
		name, host, from string
		opts             Options
		want             string
	}{
		{"a host that the request chose", "elsewhere.example", "127.0.0.1:4000", Options{}, ""},
		{"a number", "127.0.0.1:8086", "127.0.0.1:4000", Options{}, ""},
		{"localhost, said by another computer", "localhost:8086", "192.0.2.7:4000", Options{}, ""},
		{"localhost behind a proxy", "localhost:8086", "127.0.0.1:4000", Options{Proxy: true}, ""},
		{"localhost", "localhost:8086", "127.0.0.1:4000", Options{}, "http://localhost:8086"},
		{"what the options say", "elsewhere.example", "192.0.2.7:4000", Options{Origin: said, Proxy: true}, "https://bay.example"},
	} {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/sign-in", nil)
		r.Host, r.RemoteAddr = a.host, a.from
		if got := (&door{opts: a.opts}).origin(r).String(); got != a.want {
			t.Errorf("%s: %q", a.name, got)
		}
	}
}

// The cookie of a challenge is worth nothing in another session, nor altered,
// and no script reads it.
func TestAttackPasskeyCookie(t *testing.T) {
	f := newFort(t)
	d := f.byName()
	owner, tech := f.signedIn("stone", ownersPassword), f.signedIn("moat", techsPassword)
	u, err := url.Parse(f.at.URL)
	if err != nil {
		t.Fatal(err)
	}
	status, options, h := f.tell(owner, newPasskeyPath, passkeySent{Password: ownersPassword})
	set := h.Get("Set-Cookie")
	if status != http.StatusOK || !strings.HasPrefix(set, challengeCookieName+"=") || !strings.Contains(set, "HttpOnly") || !strings.Contains(set, "SameSite=Strict") || !strings.Contains(set, "Max-Age=300") {
		t.Fatalf("%d, cookie %q", status, set)
	}
	answer, err := d.Make([]byte(options))
	if err != nil {
		t.Fatal(err)
	}
	value, _, _ := strings.Cut(strings.TrimPrefix(set, challengeCookieName+"="), ";")
	for name, v := range map[string]string{"stolen": value, "altered": "x" + value[1:], "cut": value[:len(value)-4], "none": ""} {
		tech.Jar.SetCookies(u, []*http.Cookie{{Name: challengeCookieName, Value: v, Path: "/"}})
		if status, body, _ := f.tell(tech, takePasskeyPath, passkeySent{Name: "mine", Answer: answer}); status != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d %s", name, status, body)
		}
	}
	if status, _, _ := f.tell(f.browser(), newPasskeyPath, passkeySent{Password: ownersPassword}); status != http.StatusUnauthorized {
		t.Errorf("registering without a session: %d", status)
	}
	if status, body, _ := f.tell(owner, newPasskeyPath, passkeySent{Password: "taken from another book"}); status != http.StatusBadRequest {
		t.Errorf("registering on a phone that lies about: %d %s", status, body)
	}
	if status, body, _ := f.tell(owner, takePasskeyPath, passkeySent{Name: "mine", Answer: answer}); status != http.StatusOK {
		t.Errorf("the owner of the cookie: %d %s", status, body)
	}
}

// FuzzPasskeyRequest: whatever is sent where our script sends, the answer is a
// refusal in words.
func FuzzPasskeyRequest(f *testing.F) {
	fort := newFort(f)
	h := fort.at.Config.Handler
	for _, seed := range []string{"", "{}", `{"answer":{}}`, `{"answer":null,"name":"x"}{}`, `{"then":"//x","answer":{"id":"AA","rawId":"AA","type":"public-key","response":{"clientDataJSON":"e30"}}}`, `{"x":1}`} {
		f.Add(seed, byte(len(seed)))
	}
	f.Fuzz(func(t *testing.T, body string, which byte) {
		path := []string{showPasskeyPath, newPasskeyPath, takePasskeyPath, passkeyPath + "x"}[which%4]
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "http://localhost"+path, strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		r.RemoteAddr = "127.0.0.1:4000"
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		var said refusal
		if err := json.Unmarshal(w.Body.Bytes(), &said); err != nil || w.Code < 400 || w.Code >= 500 || said.What == "" {
			t.Fatalf("%s: %d %s, %v", path, w.Code, w.Body, err)
		}
	})
}
