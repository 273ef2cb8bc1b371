package web

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

// driven writes an invented drive with two times of full load, at which the
// fuel pressure is as given.
func driven(pressure float64) string {
	rng := rand.New(rand.NewPCG(1, 2))
	var b strings.Builder
	b.WriteString("Time (s);Engine speed (rpm);Load (%);LPFP (bar)\n")
	for i := range 700 {
		t := float64(i) / 5
		speed, load, p := 750.0, 18.0, 5.0
		if t > 30 && t < 60 || t > 90 && t < 118 {
			speed, load, p = 3500, 96, pressure
		}
		fmt.Fprintf(&b, "%.1f;%.0f;%.1f;%.2f\n", t, speed+8*rng.NormFloat64(), load+0.3*rng.NormFloat64(), p+0.02*rng.NormFloat64())
	}
	return b.String()
}

// sent is the request of a form with files, in the order of the page.
func sent(t testing.TB, fields url.Values, files ...[2]string) *http.Request {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for key, list := range fields {
		for _, v := range list {
			if err := w.WriteField(key, v); err != nil {
				t.Fatal(err)
			}
		}
	}
	for i, f := range files {
		part, err := w.CreateFormFile([]string{"file", "after"}[i], f[0])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(part, f[1]); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, "/recording", &b)
	r.Header.Set("Content-Type", w.FormDataContentType())
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	return r
}

func onV3(more ...string) url.Values {
	v := url.Values{"machine": {"V3"}, "at": {"T50"}, "also": {"full load"}}
	for i := 0; i < len(more); i += 2 {
		v.Set(more[i], more[i+1])
	}
	return v
}

func TestRecordingIsSettledJudgedAndTaken(t *testing.T) {
	h := demoSite(t)
	a := serve(t, h, sent(t, onV3(), [2]string{"drive.csv", driven(3.1)}))
	if a.StatusCode != http.StatusOK {
		t.Fatalf("status %d\n%s", a.StatusCode, a.text())
	}
	a.says(t, "No channel of the recording is known to be what is judged", "LPFP [bar] guessed")
	soundPage(t, a, true)

	v := onV3("memory", typedIn(t, a.root, "memory"), "n2", typedIn(t, a.root, "n2"), "m2", "*", "u2", "bar", "log", "T49: 4.7 bar, speed 750 rpm")
	a = serve(t, h, sent(t, v, [2]string{"drive.csv", driven(3.1)}))
	soundPage(t, a, true)
	a.says(t, "Non-conforming in all stretches: 2", "is outside the limit of at least 4.3 bar", "700 rows in 2:19 min")
	if n := len(a.root.named("svg.record")); n != 2 {
		t.Errorf("%d drawings, want one for a phone and one for a desk", n)
	}
	take := a.root.first(t, "ol.stretches").first(t, "a.go").attr["href"]
	job := get(t, h, take)
	job.says(t, "T49", "T50", "by recording drive.csv", "non-conforming")

	again := onV3("memory", typedIn(t, a.root, "memory")) // the next file needs no word
	serve(t, h, sent(t, again, [2]string{"second.csv", driven(4.9)})).says(t, "Conforming in all stretches")

	a = serve(t, h, sent(t, again, [2]string{"before.csv", driven(3.1)}, [2]string{"after.csv", driven(4.9)}))
	soundPage(t, a, true)
	a.says(t, "After the repair: after.csv", "After minus before is 1.8", "speed within 250 rpm")
}

func TestHostileUploads(t *testing.T) {
	h := demoSite(t)
	change := func(f func(*http.Request)) *http.Request {
		r := sent(t, onV3(), [2]string{"drive.csv", driven(3.1)})
		f(r)
		return r
	}
	for _, c := range []struct {
		name   string
		r      *http.Request
		status int
		want   string
	}{
		{"no file", sent(t, onV3()), 400, "o file was chosen"},
		{"empty", sent(t, onV3(), [2]string{"a.csv", ""}), 400, "file is empty"},
		{"binary rubbish", sent(t, onV3(), [2]string{"a.csv", strings.Repeat("\x00\x7fELF\xfe\xff\x01", 5000)}), 400, "a.csv"},
		{"one huge line", sent(t, onV3(), [2]string{"a.csv", strings.Repeat("x;1,", 5<<20)}), 400, "a.csv"},
		{"script in names", sent(t, onV3(), [2]string{"<script>.csv", strings.ReplaceAll(driven(3.1), "LPFP", "<script>alert(1)</script>")}), 200, "<script>.csv"},
		{"other type", change(func(r *http.Request) { r.Header.Set("Content-Type", "text/csv") }), 400, "not what the form of the page sends"},
		{"cut off", change(func(r *http.Request) { r.Body = io.NopCloser(io.LimitReader(r.Body, 5000)) }), 400, "upload broke off"},
		{"from elsewhere", change(func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }), 403, "did not come from one of these pages"},
		{"said to be too large", change(func(r *http.Request) { r.ContentLength = mostRecording + 1 }), 413, "too large"},
		{"unknown check", sent(t, onV3("at", "T500"), [2]string{"a.csv", driven(3.1)}), 400, "T500"},
		{"memory that is none", sent(t, onV3("memory", "rubbish"), [2]string{"a.csv", driven(3.1)}), 400, "channels"},
		{"without guide", sent(t, url.Values{"machine": {"V5"}}, [2]string{"a.csv", driven(3.1)}), 400, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := serve(t, h, c.r)
			if a.StatusCode != c.status || !strings.Contains(a.text(), c.want) {
				t.Errorf("status %d, want %d and %q\n%s", a.StatusCode, c.status, c.want, a.text())
			}
			soundPage(t, a, true)
		})
	}
}

// endless is an upload without end, to be refused at the bound and not before.
type endless struct{ left int64 }

func (e *endless) Read(b []byte) (int, error) {
	if e.left -= int64(len(b)); e.left < 0 {
		return 0, io.EOF
	}
	return copy(b, bytes.Repeat([]byte("0.1;750;18;5\n"), len(b)/13+1)), nil
}

func TestUploadWithoutEndIsRefused(t *testing.T) {
	before := intakes["/recording"]
	intakes["/recording"] = intake{most: 1 << 20, within: before.within}
	defer func() { intakes["/recording"] = before }()
	r := sent(t, onV3(), [2]string{"a.csv", driven(3.1)})
	head, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	r.Body = io.NopCloser(io.MultiReader(bytes.NewReader(head[:len(head)-100]), &endless{left: 64 << 20}))
	r.ContentLength = -1
	a := serve(t, demoSite(t), r)
	if a.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("status %d\n%s", a.StatusCode, a.text())
	}
	a.says(t, "larger than 200 MB")
}

func TestOnlyFormsAreTakenIn(t *testing.T) {
	h := demoSite(t)
	for at, want := range map[string]int{"/recording": 405, "/job": 405} {
		if a := ask(t, h, http.MethodPut, at); a.StatusCode != want {
			t.Errorf("PUT %s: %d", at, a.StatusCode)
		}
	}
	if a := ask(t, h, http.MethodPost, "/job"); a.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("POST /job: %d", a.StatusCode)
	}
}

// busCapture is a warm-up at 5 K a minute as a capture of a bus: PID 05 is
// A-40 °C, PID 0C is (A·256+B)/4 rpm (SAE J1979).
func busCapture() string {
	var b strings.Builder
	for i := range 900 {
		coolant, speed := 20+5*float64(max(0, i-20))/60, 0
		if i >= 20 {
			speed = 1500 * 4
		}
		fmt.Fprintf(&b, "(%d.000000) can0 7E8#034105%02X\n(%d.010000) can0 7E8#04410C%04X\n", 1700000000+i, int(coolant+40.5), 1700000000+i, speed)
	}
	return b.String()
}

func TestCaptureIsJudgedAsARecording(t *testing.T) {
	h := demoSite(t)
	v := url.Values{"machine": {"V2"}, "at": {"T16"}, "also": {"road speed 50 km/h"}}
	a := serve(t, h, sent(t, v, [2]string{"bus.log", busCapture()}))
	soundPage(t, a, true)
	a.says(t, "A capture of a bus: 1800 frames", "Time until coolant 82 °C: 12.28 min", "non-conforming")
	job := get(t, h, a.root.first(t, "ol.stretches").first(t, "a.go").attr["href"])
	job.says(t, "T16", "non-conforming")

	v.Set("judged", "time from coolant 30 °C to coolant 60 °C")
	serve(t, h, sent(t, v, [2]string{"bus.log", busCapture()})).says(t, ": 6 min")
	v.Set("judged", "time until coolant")
	a = serve(t, h, sent(t, v, [2]string{"bus.log", busCapture()}))
	if a.StatusCode != http.StatusBadRequest {
		t.Errorf("status %d", a.StatusCode)
	}
	a.says(t, "names no channel with a value")
	if got := typedIn(t, a.root, "judged"); got != "time until coolant" {
		t.Errorf("what was typed is gone: %q", got)
	}
}
