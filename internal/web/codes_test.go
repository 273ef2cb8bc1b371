package web

import (
	"bytes"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"elbowroom/app"
)

// readerText is what an invented reader shows.
const readerText = "Control unit: Engine\nStored codes\nP0327-1C knock sensor 1 low\nP0332\nPending codes\nP0128\nFreeze frame\nP0327\nEngine speed: 2900 rpm\n" +
	"Live data\nCoolant temperature: 83 °C\nCoolant temperature: 85 °C\nMIL: on\nCatalyst monitor: not complete\nscribbled <b>by</b>\thand\nPO420\n"

// busLog is an invented capture in which codes are cleared.
const busLog = "(100.010) can0 7E8#064100BE3FA81300\n(100.100) can0 7E8#04410C1AF8000000\n(100.110) can0 0F1#11\n" +
	"(100.200) can0 7E8#0643020327033200\n(100.300) can0 7E8#04410C1B58000000\n(100.400) can0 7E8#0144000000000000\n"

// codesForm writes the form of the page for codes.
func codesForm(t testing.TB, fields map[string]string, file string) (body *bytes.Buffer, kind string) {
	t.Helper()
	body = &bytes.Buffer{}
	w := multipart.NewWriter(body)
	for key, value := range fields {
		if err := w.WriteField(key, value); err != nil {
			t.Fatal(err)
		}
	}
	f, err := w.CreateFormFile("file", map[bool]string{true: "", false: `C:\work\trip.log`}[file == ""])
	if err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(f, file); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return body, w.FormDataContentType()
}

// sendCodes posts a form as a browser does from a page of this site.
func sendCodes(t testing.TB, h http.Handler, at string, fields map[string]string, file string, header ...string) answer {
	t.Helper()
	body, kind := codesForm(t, fields, file)
	r := httptest.NewRequest(http.MethodPost, at, body)
	r.Header.Set("Content-Type", kind)
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Del(header[i])
		if header[i+1] != "" {
			r.Header.Set(header[i], header[i+1])
		}
	}
	return serve(t, h, r)
}

func TestCodesOfAPastedText(t *testing.T) {
	a := sendCodes(t, demoSite(t), "/codes?machine=V1", map[string]string{"text": readerText}, "")
	if a.StatusCode != http.StatusOK {
		t.Fatalf("status %d\n%s", a.StatusCode, a.text())
	}
	soundPage(t, a, true)
	a.says(t, "What the reader says", "Read as the text of a reader", "Control unit: Engine", "P0327-1C", "Pending: failed in this",
		"Freeze frame of P0327", "2900 rpm", "2 values, 83 °C to 85 °C", "Not run to the end, so that missing codes prove nothing: catalyst",
		"line 15", "scribbled <b>by</b> hand", "letter O, not the digit 0", "nearest: P0420", "(X3) would explain")
	if a.Header.Get("Cache-Control") != "no-store" || a.Header.Get("ETag") != "" || a.Header.Get("Set-Cookie") != "" {
		t.Errorf("an answer to a form may be kept: %v", a.Header)
	}
	if len(a.root.named("svg")) == 0 || len(a.root.named("figure")) != 1 {
		t.Error("no drawing of the coolant temperature")
	}
}

// TestCodesIntoTheJob: what is ticked comes with the whole job to its page.
func TestCodesIntoTheJob(t *testing.T) {
	h := demoSite(t)
	a := sendCodes(t, h, "/codes?machine=V2&log=repaired+F13&start=engine%3Dhot", map[string]string{"text": readerText}, "")
	taking := a.root.first(t, "section.taking").first(t, "form")
	if taking.attr["method"] != "get" || taking.attr["action"] != "/job" {
		t.Fatalf("the form leads to %s %s", taking.attr["method"], taking.attr["action"])
	}
	v := url.Values{}
	for _, in := range taking.named("input") {
		if _, on := in.attr["checked"]; in.attr["type"] == "hidden" || on {
			v.Add(in.attr["name"], in.attr["value"])
		}
	}
	for key, want := range map[string][]string{
		"machine": {"V2"}, "log": {"repaired F13"}, "start": {"engine=hot"}, "code": {"", "P0128", "P0327", "P0332"}, // P0128 stays as firm as the machine has it
	} {
		if !slices.Equal(v[key], want) {
			t.Errorf("%s is %q, want %q", key, v[key], want)
		}
	}
	job := get(t, h, "/job?"+v.Encode())
	job.says(t, "P0327", "P0128")
	v["code"] = []string{""}
	if none := get(t, h, "/job?"+v.Encode()); len(none.root.named("ul.chips")) > 0 {
		t.Error("with nothing ticked the codes of the machine came back")
	}
}

func TestCodesOfACaptureFile(t *testing.T) {
	a := sendCodes(t, demoSite(t), "/codes", map[string]string{"text": " \n"}, busLog)
	if a.StatusCode != http.StatusOK {
		t.Fatalf("status %d\n%s", a.StatusCode, a.text())
	}
	soundPage(t, a, true)
	a.says(t, "What trip.log says", "log of a CAN capture: 6 lines", "Control unit 7E8 on can0", "were cleared at 0.390 s", "1 frames of 1 identifiers carry no diagnosis")
	if strings.Contains(a.body, "C:") {
		t.Error("the page shows the folder of the file")
	}
}

func TestCodesThatCannotBeReadStayTyped(t *testing.T) {
	h := demoSite(t)
	for _, c := range []struct {
		name       string
		fields     map[string]string
		file, says string
	}{
		{"nothing", nil, "", "nothing stands in it"},
		{"both", map[string]string{"text": "P0327"}, busLog, "send one of them"},
		{"a picture", nil, "\x89PNG\x00\x00", "this is no text"},
		{"a link that is none", map[string]string{"text": "P0327", "link": "wire"}, "", "can or older"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := sendCodes(t, h, "/codes?machine=V1", c.fields, c.file)
			if a.StatusCode != http.StatusBadRequest {
				t.Errorf("status %d", a.StatusCode)
			}
			a.says(t, c.says)
			soundPage(t, a, true)
			if text := a.root.first(t, "textarea").text(); text != c.fields["text"] {
				t.Errorf("typed %q came back as %q", c.fields["text"], text)
			}
		})
	}
	if a := sendCodes(t, h, "/codes?machine=V9", map[string]string{"text": "P0327"}, ""); a.StatusCode != http.StatusNotFound {
		t.Errorf("unknown machine: status %d", a.StatusCode)
	}
}

// TestOnlyFromThisSite: a form is taken from a page of this site and from
// no page elsewhere.
func TestOnlyFromThisSite(t *testing.T) {
	h := demoSite(t)
	for _, c := range []struct {
		name, site, origin string
		status             int
	}{
		{"same origin", "same-origin", "", 200},
		{"same origin, origin withheld", "same-origin", "null", 200},
		{"another site", "cross-site", "http://example.com", 403},
		{"a sibling", "same-site", "http://example.com", 403},
		{"two words at once", "same-origin, same-origin", "", 403},
		{"origin alone, ours", "", "http://example.com", 200},
		{"origin alone, another", "", "http://example.org", 403},
		{"origin alone, another port", "", "http://example.com:81", 403},
		{"origin withheld", "", "null", 403},
		{"neither: no browser, and there is nothing to steal by it", "", "", 200},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := sendCodes(t, h, "/codes", map[string]string{"text": "P0327"}, "", "Sec-Fetch-Site", c.site, "Origin", c.origin) // to example.com
			if a.StatusCode != c.status {
				t.Errorf("status %d, want %d", a.StatusCode, c.status)
			}
		})
	}
	if a := get(t, h, "/codes"); a.Header.Get("Referrer-Policy") != "same-origin" {
		t.Errorf("the page tells the browser %q: then the form comes without an origin where the connection is not encrypted", a.Header.Get("Referrer-Policy"))
	}
}

func TestFormsThatAreNotTaken(t *testing.T) {
	h := demoSite(t)
	post := func(kind string, body io.Reader) answer {
		r := httptest.NewRequest(http.MethodPost, "/codes", body)
		r.Header.Set("Content-Type", kind)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		return serve(t, h, r)
	}
	body, kind := codesForm(t, map[string]string{"text": strings.Repeat("P0327 low\n", maxCodes/10)}, "")
	if a := post(kind, bytes.NewReader(body.Bytes())); a.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("too large, and said so: status %d", a.StatusCode)
	}
	if a := post(kind, io.MultiReader(bytes.NewReader(body.Bytes()))); a.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("too large, without saying so: status %d", a.StatusCode)
	}
	if a := post("text/plain", strings.NewReader("P0327")); a.StatusCode != http.StatusBadRequest {
		t.Errorf("no form: status %d", a.StatusCode)
	}
	if a := post("multipart/form-data", strings.NewReader("P0327")); a.StatusCode != http.StatusBadRequest {
		t.Errorf("a form without its border: status %d", a.StatusCode)
	}
	small, kind := codesForm(t, map[string]string{"text": "P0327"}, "")
	if a := post(kind, bytes.NewReader(small.Bytes()[:small.Len()-20])); a.StatusCode != http.StatusBadRequest {
		t.Errorf("cut short: status %d", a.StatusCode)
	}
	many := map[string]string{}
	for _, c := range "abcdefghijkl" {
		many[string(c)] = "x"
	}
	full, kind := codesForm(t, many, "")
	if a := post(kind, full); a.StatusCode != http.StatusBadRequest {
		t.Errorf("too many fields: status %d", a.StatusCode)
	}
}

// TestUploadsAreBounded: beyond so many at once the page asks to wait.
func TestUploadsAreBounded(t *testing.T) {
	p := &slowCodes{program: demoProgram(t), began: make(chan bool), end: make(chan bool)}
	h := New(p, Options{Parallel: 2 * maxUploads})
	done := make(chan int)
	for range maxUploads {
		go func() { done <- sendCodes(t, h, "/codes", map[string]string{"text": "P0327"}, "").StatusCode }()
		<-p.began
	}
	if a := sendCodes(t, h, "/codes", map[string]string{"text": "P0327"}, ""); a.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("one too many: status %d", a.StatusCode)
	}
	close(p.end)
	for range maxUploads {
		if status := <-done; status != http.StatusBadRequest {
			t.Errorf("status %d", status)
		}
	}
}

// slowCodes reads codes until it is told to end.
type slowCodes struct {
	*program
	began, end chan bool
}

func (s *slowCodes) ReadCodes(app.Job, app.CodeInput) (*app.CodesRead, error) {
	s.began <- true
	<-s.end
	return nil, errors.Join(app.ErrInput, errNothing)
}

func TestFileNames(t *testing.T) {
	for name, want := range map[string]string{
		"trip.log": "trip.log", `C:\x\trip.log`: "trip.log", "../../etc/passwd": "passwd", "": "", "/": "", "a\x00b": "a\uFFFDb",
	} {
		if got := fileName(name); got != want {
			t.Errorf("%q is shown as %q, want %q", name, got, want)
		}
	}
}

func FuzzUpload(f *testing.F) {
	for _, text := range []string{readerText, busLog, "", "\xff\xfeP\x000\x00", "P0327\x00<script>"} {
		body, kind := codesForm(f, map[string]string{"text": text}, "")
		f.Add(body.Bytes(), kind)
		body, kind = codesForm(f, map[string]string{"link": "can"}, text)
		f.Add(body.Bytes(), kind)
	}
	f.Add([]byte("--x\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a\"\r\nContent-Transfer-Encoding: quoted-printable\r\n\r\n=\r\n--x--"), "multipart/form-data; boundary=x")
	h := New(demoProgram(f), Options{})
	f.Fuzz(func(t *testing.T, body []byte, kind string) {
		if len(body) > 20_000 || strings.ContainsAny(kind, "\r\n") {
			return
		}
		r := httptest.NewRequest(http.MethodPost, "/codes?machine=V1", bytes.NewReader(body))
		r.Header.Set("Content-Type", kind)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
		a := serve(t, h, r)
		if a.StatusCode >= 500 {
			t.Errorf("status %d\n%s", a.StatusCode, a.body)
		}
		if a.root != nil {
			noInline(t, a.root)
		}
	})
}
