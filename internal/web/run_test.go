package web

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app/desk"
	"elbowroom/joblog"
	"elbowroom/store"
)

// asked sends a request to the run sheet as one of our own pages would.
func asked(t *testing.T, h http.Handler, method, path, kind string, body []byte) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(method, path, bytes.NewReader(body))
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

// pocket makes events as a phone does.
type pocket struct {
	job    joblog.Job
	by     joblog.Person
	device joblog.Device
	seq    int64
	last   joblog.ID
}

func (p *pocket) event(t testing.TB, b joblog.Body) json.RawMessage {
	t.Helper()
	var chance [10]byte
	_, _ = rand.Read(chance[:])
	now := joblog.MomentOf(time.Now())
	p.last = joblog.NextID(p.last, now, chance)
	p.seq++
	text, err := joblog.Encode(joblog.Event{
		Schema: joblog.Schema, ID: p.last, Job: p.job, Author: p.by, Device: p.device, Seq: p.seq, At: now, Kind: joblog.KindOf(b), Body: b,
	})
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func delivery(t *testing.T, device joblog.Device, events ...json.RawMessage) []byte {
	t.Helper()
	b, err := json.Marshal(desk.SyncIn{Device: device, Events: events})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestRunPageReadsWithoutScript(t *testing.T) {
	c := newCounter(t, "replace:SE13")
	w := asked(t, c.site(), "GET", "/run/"+string(c.job), "", nil)
	if w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	page := w.Body.String()
	sheet := c.sheet()
	for _, want := range []string{
		sheet.Variant, "lazy on hills", "Take off the engine top cover", "20 N·m", "lower-manifold gasket", "Refit the engine top cover",
		sheet.Deference[:40], `href="/run/app.webmanifest"`, "22 N·m, until revision 3",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if strings.Contains(page, "<style") || strings.Contains(page, " style=") || regexp.MustCompile(`<script[^>]*>[^<]*[^<\s]`).FindString(strings.ReplaceAll(page, `<script type="application/json"`, "<data")) != "" {
		t.Error("the page has a style or a script of its own, which the policy forbids")
	}
	policy := w.Header().Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "script-src 'self'", "style-src 'self'", "worker-src 'self'", "manifest-src 'self'", "img-src 'self' blob:"} {
		if !strings.Contains(policy, want) {
			t.Errorf("the policy %q lacks %q", policy, want)
		}
	}
	if strings.Contains(policy, "unsafe") {
		t.Errorf("the policy is %q", policy)
	}
}

func TestSheetIsSentOnce(t *testing.T) {
	c := newCounter(t, "check:X3")
	calm := &still{Runs: c.desk, sheet: c.sheet()}
	c.runs = calm
	h := c.site()
	path := "/run/" + string(c.job) + "/sheet"
	w := asked(t, h, "GET", path, "", nil)
	var got desk.Sheet
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || got.Job != c.job || len(got.Steps) != 3 {
		t.Fatalf("%d steps, %v", len(got.Steps), err)
	}
	r := httptest.NewRequest("GET", path, nil)
	r.Header.Set("If-None-Match", w.Header().Get("ETag"))
	again := httptest.NewRecorder()
	h.ServeHTTP(again, r)
	if again.Code != http.StatusNotModified || again.Body.Len() > 0 {
		t.Errorf("the same sheet again: %d, %d bytes", again.Code, again.Body.Len())
	}
}

// still is a desk whose sheet stays as it is.
type still struct {
	Runs
	sheet *desk.Sheet
}

func (s *still) Sheet(context.Context, desk.Who, joblog.Job) (*desk.Sheet, error) {
	return s.sheet, nil
}

func TestSyncKeepsAndAnswers(t *testing.T) {
	c := newCounter(t, "check:X3")
	h := c.site()
	p := &pocket{job: c.job, by: "pellow", device: "phone-1"}
	tick := p.event(t, &joblog.StepDone{Plan: c.sheet().Plan, Step: 1, Lies: "seat"})
	for i := range 2 { // sending again is always right
		w := asked(t, h, "POST", "/run/"+string(c.job)+"/sync", "application/json", delivery(t, "phone-1", tick))
		var out desk.SyncOut
		if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil || w.Code != http.StatusOK {
			t.Fatalf("%d: %d %s", i, w.Code, w.Body)
		}
		if len(out.Accepted) != 1 || out.Accepted[0] != p.last || len(out.State.Tray) != 1 || out.Has["phone-1"] != 1 {
			t.Errorf("%d: accepted %v, tray %v, has %v", i, out.Accepted, out.State.Tray, out.Has)
		}
		if got := w.Header().Get("Cache-Control"); got != "no-store" {
			t.Errorf("Cache-Control %q", got)
		}
	}
}

// What cannot be taken in is refused with a reason, and nothing has changed.
func TestRunRefusals(t *testing.T) {
	c := newCounter(t, "check:X3")
	h := c.site()
	at := "/run/" + string(c.job)
	p := &pocket{job: c.job, by: "pellow", device: "phone-1"}
	good := delivery(t, "phone-1", p.event(t, &joblog.Note{Text: "a note"}))
	shot := aPicture(t)
	sum := sha256.Sum256(shot)
	hash := hex.EncodeToString(sum[:])
	for _, tc := range []struct {
		name, method, path, kind string
		body                     []byte
		status                   int
		says                     string
	}{
		{"events as a form", "POST", at + "/sync", "application/x-www-form-urlencoded", good, http.StatusUnsupportedMediaType, "application/json"},
		{"no type at all", "POST", at + "/sync", "", good, http.StatusUnsupportedMediaType, "application/json"},
		{"no JSON", "POST", at + "/sync", "application/json", []byte("{\n \"device\": x}"), http.StatusBadRequest, "line 2, column"},
		{"cut off", "POST", at + "/sync", "application/json", good[:len(good)/2], http.StatusBadRequest, "line 1"},
		{"something after it", "POST", at + "/sync", "application/json", append(slices.Clone(good), "{}"...), http.StatusBadRequest, "after its end"},
		{"a field nobody knows", "POST", at + "/sync", "application/json", []byte(`{"device":"a","cursor":0,"admin":true}`), http.StatusBadRequest, "admin"},
		{"a cursor in words", "POST", at + "/sync", "application/json", []byte(`{"device":"a","cursor":"first"}`), http.StatusBadRequest, "cursor"},
		{"no device", "POST", at + "/sync", "application/json", []byte(`{"cursor":0}`), http.StatusBadRequest, "device"},
		{"too large", "POST", at + "/sync", "application/json", bytes.Repeat([]byte(" "), mostSync+1), http.StatusRequestEntityTooLarge, "4 MB"},
		{"job not known", "POST", "/run/j-nobody/sync", "application/json", good, http.StatusNotFound, ""},
		{"sheet of a job not known", "GET", "/run/j-nobody/sheet", "", nil, http.StatusNotFound, ""},
		{"page of a job not known", "GET", "/run/j-nobody", "", nil, http.StatusNotFound, "There is no job"},
		{"job with a name that is none", "GET", "/run/..%2f..%2fetc/sheet", "", nil, http.StatusNotFound, ""},
		{"changed by GET", "GET", at + "/sync", "", nil, http.StatusMethodNotAllowed, ""},
		{"deleted", "DELETE", at, "", nil, http.StatusMethodNotAllowed, ""},
		{"picture under another name", "PUT", at + "/picture/" + strings.Repeat("0", 64), "image/jpeg", shot, http.StatusBadRequest, "SHA-256"},
		{"picture without a name", "PUT", at + "/picture/cat.jpg", "image/jpeg", shot, http.StatusBadRequest, "SHA-256"},
		{"name in capitals", "PUT", at + "/picture/" + strings.ToUpper(hash), "image/jpeg", shot, http.StatusBadRequest, "lower case"},
		{"drawing with script in it", "PUT", at + "/picture/" + hash, "image/svg+xml", shot, http.StatusUnsupportedMediaType, "JPEG"},
		{"page that says it is a picture", "PUT", at + "/picture/" + hashOf("<html>"), "image/jpeg", []byte("<html>"), http.StatusUnsupportedMediaType, "JPEG"},
		{"picture too large", "PUT", at + "/picture/" + hash, "image/jpeg", make([]byte, mostPicture+1), http.StatusRequestEntityTooLarge, "12 MB"},
		{"picture of a job not known", "PUT", "/run/j-nobody/picture/" + hash, "image/jpeg", shot, http.StatusNotFound, ""},
		{"picture that is not there", "GET", at + "/picture/" + strings.Repeat("a", 64), "", nil, http.StatusNotFound, ""},
		{"picture by a path", "GET", at + "/picture/..%2f..%2fstore.db", "", nil, http.StatusNotFound, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			before := c.sheet()
			w := asked(t, h, tc.method, tc.path, tc.kind, tc.body)
			if w.Code != tc.status || !strings.Contains(w.Body.String(), tc.says) {
				t.Errorf("%d %s, want %d and %q", w.Code, w.Body, tc.status, tc.says)
			}
			if after := c.sheet(); after.Cursor != before.Cursor {
				t.Errorf("something was kept: the log went from %d to %d", before.Cursor, after.Cursor)
			}
			if strings.Contains(w.Body.String(), "/tmp/") {
				t.Errorf("the answer tells of the machine: %s", w.Body)
			}
		})
	}
}

func hashOf(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:])
}

// An event that cannot count is refused by itself; the others of its delivery
// are kept.
func TestEventsAreJudgedOneByOne(t *testing.T) {
	c := newCounter(t, "check:X3")
	h := c.site()
	ines := &pocket{job: c.job, by: "pellow", device: "phone-1"}
	forged := &pocket{job: c.job, by: "nobody", device: "phone-1", seq: 1}
	elsewhere := &pocket{job: "j-other", by: "pellow", device: "phone-1", seq: 2}
	first := ines.event(t, &joblog.Note{Text: "kept"})
	forged.last, elsewhere.last = ines.last, ines.last
	newer := bytes.Replace((&pocket{job: c.job, by: "pellow", device: "phone-1", seq: 3, last: ines.last}).event(t, &joblog.Note{Text: "from tomorrow"}), []byte(`"schema":1`), []byte(`"schema":2`), 1)
	sign := (&pocket{job: c.job, by: "pellow", device: "phone-1", seq: 4, last: ines.last}).event(t, &joblog.Deviation{Signed: "veld", Reason: "no time", Lacks: []string{"proof"}})
	broken := json.RawMessage(`{"schema":1,"id":"no"}`)
	w := asked(t, h, "POST", "/run/"+string(c.job)+"/sync", "application/json", delivery(t, "phone-1", first,
		forged.event(t, &joblog.Note{Text: "in another's name"}), elsewhere.event(t, &joblog.Note{Text: "another job"}), newer, sign, broken))
	var out desk.SyncOut
	if err := json.Unmarshal(w.Body.Bytes(), &out); err != nil || w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if !slices.Contains(out.Accepted, ines.last) || len(out.State.Notes) != 1 {
		t.Errorf("accepted %v, notes %v", out.Accepted, out.State.Notes)
	}
	why := map[int]string{}
	for _, r := range out.Refused {
		why[r.Index] = r.Why
		if r.Says == "" {
			t.Errorf("event %d is refused without a word", r.Index)
		}
	}
	for index, want := range map[int]joblog.Why{1: joblog.WrongAuthor, 2: joblog.WrongJob, 4: joblog.WrongAuthor, 5: joblog.BadForm} {
		if why[index] != string(want) {
			t.Errorf("event %d: %q, want %q", index, why[index], want)
		}
	}
	if why[3] == "" && len(out.State.Refused) == 0 {
		t.Error("an event of a newer program is neither refused nor named in the state")
	}
	if len(out.State.Deviations) > 0 {
		t.Error("somebody signed for somebody else")
	}
}

func TestRunNeedsSomebody(t *testing.T) {
	c := newCounter(t, "check:X3")
	h := c.site()
	at := "/run/" + string(c.job)
	for _, tc := range []struct {
		err    error
		status int
	}{
		{desk.ErrSignIn, http.StatusUnauthorized},
		{desk.ErrNotAllowed, http.StatusForbidden},
		{desk.ErrTooOften, http.StatusTooManyRequests},
		{store.Errorf(store.Busy, "busy"), http.StatusServiceUnavailable},
		{store.Errorf(store.Full, "full"), http.StatusInsufficientStorage},
		{errors.New("secret of the machine"), http.StatusInternalServerError},
	} {
		c.as(desk.Who{}, tc.err)
		for _, path := range []string{at, at + "/sheet", at + "/live", at + "/picture/" + strings.Repeat("a", 64)} {
			if w := asked(t, h, "GET", path, "", nil); w.Code != tc.status || strings.Contains(w.Body.String(), "secret") {
				t.Errorf("%v at %s: %d %s", tc.err, path, w.Code, w.Body)
			}
		}
		if w := asked(t, h, "POST", at+"/sync", "application/json", []byte(`{"device":"a","cursor":0}`)); w.Code != tc.status {
			t.Errorf("%v at sync: %d", tc.err, w.Code)
		}
	}
	reader := desk.Who{Place: bench, ID: "orme", Name: "Dilla Orme", Role: store.Reader}
	c.as(reader, nil)
	p := &pocket{job: c.job, by: "orme", device: "phone-2"}
	if w := asked(t, h, "POST", at+"/sync", "application/json", delivery(t, "phone-2", p.event(t, &joblog.Note{Text: "I may not"}))); w.Code != http.StatusForbidden {
		t.Errorf("somebody who may only read wrote: %d %s", w.Code, w.Body)
	}
	if w := New(demoProgram(t), Options{Runs: c.desk}); asked(t, w, "GET", at+"/sheet", "", nil).Code != http.StatusUnauthorized {
		t.Error("without anybody to say who asks, somebody was let in")
	}
}

// What another site sends is refused, whatever it is.
func TestRunTakesNothingFromElsewhere(t *testing.T) {
	c := newCounter(t, "check:X3")
	h := c.site()
	p := &pocket{job: c.job, by: "pellow", device: "phone-1"}
	body := delivery(t, "phone-1", p.event(t, &joblog.Note{Text: "from elsewhere"}))
	for _, set := range []func(http.Header){
		func(h http.Header) { h.Set("Sec-Fetch-Site", "cross-site") },
		func(h http.Header) { h.Set("Sec-Fetch-Site", "same-site") },
		func(h http.Header) { h.Set("Origin", "https://elsewhere.example") },
	} {
		for _, to := range []struct{ method, path, kind string }{{"POST", "/sync", "application/json"}, {"PUT", "/picture/" + hashOf(string(body)), "image/jpeg"}} {
			r := httptest.NewRequest(to.method, "/run/"+string(c.job)+to.path, bytes.NewReader(body))
			r.Header.Set("Content-Type", to.kind)
			set(r.Header)
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			if w.Code != http.StatusForbidden {
				t.Errorf("%s %v: %d", to.method, r.Header, w.Code)
			}
		}
	}
	if n := len(c.sheet().State.Notes); n != 0 {
		t.Errorf("%d notes were kept", n)
	}
}

// An upload that breaks off is refused and nothing of it stays.
func TestTornUpload(t *testing.T) {
	c := newCounter(t, "check:X3")
	server := httptest.NewServer(c.site())
	defer server.Close()
	shot := aPicture(t)
	at := "/run/" + string(c.job)
	for _, to := range []struct{ method, path, kind string }{{"POST", at + "/sync", "application/json"}, {"PUT", at + "/picture/" + hashOf(string(shot)), "image/jpeg"}} {
		r, err := http.NewRequest(to.method, server.URL+to.path, io.MultiReader(bytes.NewReader(shot[:len(shot)/2]), brokenReader{}))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", to.kind)
		r.ContentLength = int64(len(shot))
		if res, err := http.DefaultClient.Do(r); err == nil {
			_ = res.Body.Close()
			t.Errorf("%s: half of it was answered with %d", to.method, res.StatusCode)
		}
	}
	if w := asked(t, c.site(), "GET", at+"/picture/"+hashOf(string(shot)), "", nil); w.Code != http.StatusNotFound {
		t.Errorf("half a picture is there: %d", w.Code)
	}
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errors.New("the signal is gone") }

func aPicture(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewRGBA(image.Rect(0, 0, 40, 30)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPictureThereAndBack(t *testing.T) {
	c := newCounter(t, "check:X3")
	h := c.site()
	shot := aPicture(t)
	path := "/run/" + string(c.job) + "/picture/" + hashOf(string(shot))
	if w := asked(t, h, "PUT", path, "image/jpeg", shot); w.Code != http.StatusNoContent {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	w := asked(t, h, "GET", path, "", nil)
	if w.Code != http.StatusOK || !bytes.Equal(w.Body.Bytes(), shot) || w.Header().Get("Content-Type") != "image/jpeg" {
		t.Errorf("%d, %d bytes of %s", w.Code, w.Body.Len(), w.Header().Get("Content-Type"))
	}
	if got := w.Header().Get("Content-Security-Policy"); !strings.Contains(got, "sandbox") {
		t.Errorf("a picture may do %q", got)
	}
}

// A phone that listens is told at once.
func TestLiveTells(t *testing.T) {
	c := newCounter(t, "check:X3")
	h := c.site()
	server := httptest.NewServer(h)
	defer server.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, "GET", server.URL+"/run/"+string(c.job)+"/live", nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if got := res.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Errorf("Content-Type %q", got)
	}
	next := func() string {
		var line []byte
		one := make([]byte, 1)
		for {
			if _, err := res.Body.Read(one); err != nil {
				t.Fatal(err)
			}
			if line = append(line, one[0]); one[0] == '\n' {
				if text := strings.TrimSpace(string(line)); strings.HasPrefix(text, "data: ") {
					return text
				}
				line = nil
			}
		}
	}
	before := next()
	p := &pocket{job: c.job, by: "pellow", device: "phone-1"}
	if w := asked(t, h, "POST", "/run/"+string(c.job)+"/sync", "application/json", delivery(t, "phone-1", p.event(t, &joblog.Note{Text: "x"}))); w.Code != http.StatusOK {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if after := next(); after == before {
		t.Errorf("told %q twice", after)
	}
}

func TestWorkerAndManifest(t *testing.T) {
	c := newCounter(t)
	h := c.site()
	w := asked(t, h, "GET", "/run/worker.js", "", nil)
	if w.Code != http.StatusOK || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/javascript") {
		t.Fatalf("%d %s", w.Code, w.Header())
	}
	list := regexp.MustCompile(`"(/assets/[^"]+)"`).FindAllStringSubmatch(strings.SplitN(w.Body.String(), "\n", 2)[0], -1)
	if len(list) != len(runAssets) {
		t.Fatalf("%d files to keep, want %d", len(list), len(runAssets))
	}
	for _, m := range list {
		if got := asked(t, h, "GET", m[1], "", nil); got.Code != http.StatusOK {
			t.Errorf("%s: %d", m[1], got.Code)
		}
	}
	page := asked(t, h, "GET", "/run/"+string(c.job), "", nil).Body.String()
	for _, m := range regexp.MustCompile(`"(/assets/[^"]+)"`).FindAllStringSubmatch(page, -1) {
		if !strings.Contains(w.Body.String(), m[1]) {
			t.Errorf("the page needs %s, which the worker does not keep", m[1])
		}
	}
	var man manifest
	got := asked(t, h, "GET", "/run/app.webmanifest", "", nil)
	if err := json.Unmarshal(got.Body.Bytes(), &man); err != nil || man.Scope != "/run/" || man.StartURL != "/run/" || man.Display != "standalone" || len(man.Icons) == 0 {
		t.Errorf("%v %+v", err, man)
	}
	if w := asked(t, h, "GET", man.Icons[0].Src, "", nil); w.Code != http.StatusOK {
		t.Errorf("no icon: %d", w.Code)
	}
	if w := asked(t, h, "GET", "/run/", "", nil); w.Code != http.StatusOK {
		t.Errorf("where the installed program begins: %d", w.Code)
	}
}

// Every word of the script is in the table, and every word of the table is
// said somewhere.
func TestHandWords(t *testing.T) {
	said := map[string]bool{}
	var begun []string
	scripts, err := fs.Glob(embedded, "assets/run*.js")
	if err != nil || len(scripts) < 4 {
		t.Fatalf("%d scripts, %v", len(scripts), err)
	}
	for _, name := range scripts {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`\bw\([^()"]*"([a-z.-]+)"`).FindAllSubmatch(data, -1) {
			said[string(m[1])] = true
		}
		for _, m := range regexp.MustCompile(`"((?:step|dock)\.[a-z-]+)"`).FindAllSubmatch(data, -1) {
			said[string(m[1])] = true
		}
		for _, m := range regexp.MustCompile(`\bw\("([a-z.-]+[.-])" \+`).FindAllSubmatch(data, -1) {
			begun = append(begun, string(m[1]))
		}
		for _, m := range regexp.MustCompile(`>[^<>"{}]*[A-Za-z]{4,}[^<>"{}]*</`).FindAll(data, -1) {
			t.Errorf("%s has words of its own: %s", name, m)
		}
	}
	if len(said) < 100 || len(begun) < 8 {
		t.Fatalf("only %d words and %d beginnings found", len(said), len(begun))
	}
	for key := range said {
		if _, ok := handWords[key]; !ok && !slices.Contains(begun, key) {
			t.Errorf("no words for %s", key)
		}
	}
	for key := range handWords {
		if !said[key] && !slices.ContainsFunc(begun, func(b string) bool { return strings.HasPrefix(key, b) }) {
			t.Errorf("nothing says %s", key)
		}
	}
}

// Nothing in the style of the sheet is smaller than what people read at the
// car, and it has no colours of its own but those of the brand strip.
func TestRunStyle(t *testing.T) {
	data, err := embedded.ReadFile("assets/run.css")
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`font-size:(0?\.\d+|[\d.]+px)`).FindAllString(string(data), -1) {
		t.Errorf("small letters: %s", m)
	}
	for _, m := range regexp.MustCompile(`#[0-9a-f]{3,8}\b`).FindAllString(string(data), -1) {
		if m != "#12312d" && m != "#paper" {
			t.Errorf("the colour %s is none of style.css", m)
		}
	}
}

func FuzzReadSync(f *testing.F) {
	f.Add([]byte(`{"device":"phone-1","cursor":4,"events":[{"schema":1}]}`))
	f.Add([]byte(`{"device":"phone-1"}{}`))
	f.Add([]byte("{\n\"cursor\":-1"))
	f.Add([]byte(`null`))
	f.Fuzz(func(t *testing.T, data []byte) {
		in, err := readSync(data)
		if err != nil {
			if err.Error() == "" {
				t.Error("refused without a word")
			}
			return
		}
		text, err := json.Marshal(in)
		if err != nil {
			t.Fatalf("what was read cannot be written: %v", err)
		}
		again, err := readSync(text)
		if err != nil || fmt.Sprint(again.Device, again.Cursor, len(again.Events)) != fmt.Sprint(in.Device, in.Cursor, len(in.Events)) {
			t.Errorf("%s becomes %s: %v", data, text, err)
		}
	})
}
