package web

import (
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"elbowroom/app/desk"
	"elbowroom/store/folder"
	"elbowroom/store/sqlite"
)

// A value that is no number is refused at its field and nothing is kept; a
// reading that is taken stands first on the page, with why it is not good.
func TestReadingIsRefusedOrShownFirst(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	at := "/jobs/" + string(f.job)
	form := url.Values{"does": {"reading"}, "at": {"T35"}, "v0": {"38"}, "uv0": {"kΩ"}, "v1": {"abc"}, "uv1": {"MΩ"}, "all-held": {"yes"}}
	status, body, _ := f.post(c, at, form)
	if status != http.StatusBadRequest || !strings.Contains(body, "“abc” is no number") || !strings.Contains(body, `value="38"`) {
		t.Errorf("a value in letters: status %d, or it does not say so, or what was typed is lost", status)
	}
	if _, body, _ := f.get(c, at); strings.Contains(body, "38 kΩ") {
		t.Error("a reading that was refused is kept")
	}
	form.Set("v1", "> 10")
	status, _, h := f.post(c, at, form)
	if status != http.StatusSeeOther || h.Get("Location") != at+"?just=reading" {
		t.Fatalf("a reading: status %d, goes on to %q", status, h.Get("Location"))
	}
	_, body, _ = f.get(c, h.Get("Location"))
	first, _, found := strings.Cut(body, `id="next"`)
	if _, just, ok := strings.Cut(first, `class="just"`); !found || !ok || !strings.Contains(just, "right 38 kΩ") || !strings.Contains(just, "is outside the limit") {
		t.Error("the page does not begin with the reading and why it is not good")
	}
	if _, body, _ := f.get(c, at); strings.Contains(body, `class="just"`) {
		t.Error("an old reading stands first")
	}
}

// Who sets up a workshop without the sample finds the way to the first machine,
// and may write the rate with a comma.
func TestFirstDay(t *testing.T) {
	dir := t.TempDir()
	s, err := sqlite.Open(t.Context(), filepath.Join(dir, "store.db"), folder.New(dir), sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := desk.New(s, desk.Options{Clock: time.Now, Random: rand.NewChaCha8([32]byte{5}), Device: "desk", QuickPasswords: true})
	f := &fort{t: t, desk: d, at: httptest.NewServer(Open(d, Options{}))}
	defer func() {
		f.at.Close()
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}()
	c := f.browser()
	form := url.Values{"workshop": {"Mine"}, "currency": {"EUR"}, "rate": {"84,50"}, "name": {"Mal Ory"}, "password": {"quiet rivers run deep"}}
	if status, body, _ := f.post(c, "/set-up", form); status != http.StatusSeeOther {
		t.Fatalf("set up: %d %s", status, body)
	}
	_, body, _ := f.get(c, "/")
	if !strings.Contains(body, `class="go" href="/jobs/#arrive"`) || strings.Contains(body, "data-search") {
		t.Error("an empty home has no way on, or a search in nothing")
	}
	for _, page := range []string{"/plan", "/bay"} {
		if status, body, _ := f.get(c, page); status != http.StatusNotFound || !strings.Contains(body, "No guide is loaded") || !strings.Contains(body, `class="go" href="/jobs/#arrive"`) {
			t.Errorf("%s with nothing written down: %d, or no way on", page, status)
		}
	}
	if status, body, _ := f.post(c, "/jobs/", url.Values{"name": {"Van"}, "complaint": {"does not start"}}); status != http.StatusBadRequest || !strings.Contains(body, "Plate or serial number: write one") {
		t.Errorf("a machine without a plate: %d, or the field is not named", status)
	}
	if status, _, _ := f.post(f.browser(), "/sign-in", url.Values{"person": {"Mal Ory"}, "password": {"quiet rivers run deep"}}); status != http.StatusSeeOther {
		t.Errorf("sign-in with the full name: %d", status)
	}
	if _, body, _ := f.get(c, "/workshop/"); !strings.Contains(body, "84.50") {
		t.Error("the rate is not the one that was typed")
	}
}

func TestDecimal(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"a comma before cents", "84,00", "84.00"},
		{"one digit after it", " 84,5 ", "84.5"},
		{"a point stays", "84.00", "84.00"},
		{"thousands are not guessed", "1,250", "1,250"},
		{"both are not guessed", "1.250,00", "1.250,00"},
		{"nothing after it", "84,", "84,"},
	} {
		if got := decimal(c.text); got != c.want {
			t.Errorf("%s: decimal(%q) is %q, not %q", c.name, c.text, got, c.want)
		}
	}
}

// The plan of a job on paper says what its steps take and cost, and claims no
// proof that the log does not hold.
func TestPlanOfAJobOnPaperAddsUp(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	at := "/jobs/" + string(f.job)
	if status, body, _ := f.post(c, at+"/plan", url.Values{"task": {"replace:SE02"}}); status != http.StatusSeeOther {
		t.Fatalf("taking the plan: %d %s", status, body)
	}
	_, body, _ := f.get(c, at+"/paper/plan")
	if !strings.Contains(body, "9 min: strip") || strings.Contains(body, ">0.00 EUR") {
		t.Error("the time or the money of the plan is not that of its steps") // nine minutes from the top: README.md, plan
	}
	if strings.Contains(body, "dearer than the best") {
		t.Error("the paper says how good the plan is, which is not kept")
	}
}

// Whoever asks for a job that is not there is led to the jobs.
func TestNoSuchJobLeadsToJobs(t *testing.T) {
	f := newFort(t)
	status, body, _ := f.get(f.signedIn("stone", ownersPassword), "/jobs/nosuch")
	if status != http.StatusNotFound || !strings.Contains(body, `class="go" href="/jobs/"`) {
		t.Errorf("status %d, or no way to the jobs", status)
	}
}

// The keys for digits of a phone have no > and no minus: they are chosen.
func TestSignBeforeANumber(t *testing.T) {
	for _, c := range []struct{ name, sign, text, want string }{
		{"the number itself", "", "38", "38"},
		{"more than it", ">", "10", ">10"},
		{"typed as well", ">", "> 10", "> 10"},
		{"below zero", "-", "4.2", "-4.2"},
		{"nothing written", ">", " ", ""},
		{"over range", "OL", "", "OL"},
		{"over range, typed as well", "OL", "OL", "OL"},
		{"over range with a number, to be refused", "OL", "38", "OL 38"},
		{"a sign that no page offers", "~", "38", "38"},
	} {
		if got := numberIn(url.Values{"v0": {c.text}, "sv0": {c.sign}}, "v0"); got != c.want {
			t.Errorf("%s: %q, not %q", c.name, got, c.want)
		}
	}
	f := newFort(t)
	c, at := f.signedIn("stone", ownersPassword), "/jobs/"+string(f.job)
	form := url.Values{"does": {"reading"}, "at": {"T35"}, "v0": {"38"}, "sv0": {"OL"}, "v1": {"10"}, "sv1": {">"}, "all-held": {"yes"}}
	if status, body, _ := f.post(c, at, form); status != http.StatusBadRequest || !strings.Contains(body, "“OL 38” is no number") {
		t.Errorf("over range and a number at once: %d", status)
	}
	form.Set("sv0", "")
	if status, _, _ := f.post(c, at, form); status != http.StatusSeeOther {
		t.Fatalf("with a sign: %d", status)
	}
	if _, body, _ := f.get(c, at); !strings.Contains(body, "left &gt;10 MΩ") {
		t.Error("the sign that was chosen is lost")
	}
}

// A job with something lacking says that it is not closed, and why.
func TestClosingSaysWhatIsLacking(t *testing.T) {
	f := newFort(t)
	c, at := f.signedIn("stone", ownersPassword), "/jobs/"+string(f.job)
	if status, body, _ := f.post(c, at+"/plan", url.Values{"task": {"replace:SE02"}}); status != http.StatusSeeOther {
		t.Fatalf("taking the plan: %d %s", status, body)
	}
	status, body, _ := f.post(c, at, url.Values{"does": {"close"}})
	if status != http.StatusBadRequest || !strings.Contains(body, "The job stays open: 1 still lacking") {
		t.Errorf("closed with everything undone: %d, or it does not say why", status)
	}
	if _, body, _ := f.get(c, at); strings.Contains(body, "Closed by") {
		t.Error("the job is closed")
	}
}

// A machine with an open job stands on the first page once, as its job: the
// machine alone does not know what is off by now.
func TestHomeShowsAMachineOnce(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	_, body, _ := f.get(c, "/")
	if !strings.Contains(body, `href="/jobs/`+string(f.job)+`"`) || strings.Contains(body, `id="m-V1"`) {
		t.Error("the job is not there, or its machine stands beside it")
	}
}
