package web

import (
	"bytes"
	"fmt"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
)

func TestHeaders(t *testing.T) {
	h := demoSite(t)
	for _, at := range []string{"/", twoSensors, "/nope", "/bay?machine=V1", "/healthz", "/plan?guide=none"} {
		a := ask(t, h, http.MethodGet, at)
		for key, want := range map[string]string{
			"Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "X-Frame-Options": "DENY",
		} {
			if got := a.Header.Get(key); got != want {
				t.Errorf("%s: %s is %q, want %q", at, key, got, want)
			}
		}
		if a.Header.Get("Set-Cookie") != "" {
			t.Errorf("%s sets a cookie", at)
		}
	}
	for _, bad := range []string{"unsafe-inline", "unsafe-eval", "*", "data:"} {
		if strings.Contains(policy, bad) {
			t.Errorf("the policy allows %s", bad)
		}
	}
}

func TestOnlyGetAndHead(t *testing.T) {
	h := demoSite(t)
	for _, method := range []string{"POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "BREW"} {
		for _, at := range []string{"/", "/plan", "/bay", "/assets/x.css", "/healthz"} {
			a := ask(t, h, method, at)
			if a.StatusCode != http.StatusMethodNotAllowed || a.Header.Get("Allow") != "GET, HEAD" {
				t.Errorf("%s %s: status %d, Allow %q", method, at, a.StatusCode, a.Header.Get("Allow"))
			}
		}
	}
	for _, method := range []string{"PUT", "PATCH", "DELETE", "OPTIONS"} {
		if a := ask(t, h, method, codesPath); a.StatusCode != http.StatusMethodNotAllowed || a.Header.Get("Allow") != "GET, HEAD, POST" {
			t.Errorf("%s %s: status %d, Allow %q", method, codesPath, a.StatusCode, a.Header.Get("Allow"))
		}
	}
	for _, at := range []string{"/codes/", "/codes/x", "/CODES", "//codes"} {
		if a := ask(t, h, http.MethodPost, at, "Sec-Fetch-Site", "same-origin"); a.StatusCode != http.StatusMethodNotAllowed {
			t.Errorf("POST %s: status %d", at, a.StatusCode)
		}
	}
	a := ask(t, h, http.MethodHead, twoSensors)
	if a.StatusCode != http.StatusOK || a.body != "" || a.Header.Get("Content-Length") == "" {
		t.Errorf("HEAD: status %d, %d bytes, length %q", a.StatusCode, len(a.body), a.Header.Get("Content-Length"))
	}
}

func TestAddressTooLong(t *testing.T) {
	a := ask(t, demoSite(t), http.MethodGet, "/plan?q="+strings.Repeat("x", maxAddress))
	if a.StatusCode != http.StatusRequestURITooLong {
		t.Errorf("status %d", a.StatusCode)
	}
	a.says(t, "This address is too long")
}

func TestFilesAreKeptForEver(t *testing.T) {
	h := demoSite(t)
	page := get(t, h, "/bay?machine=V1")
	var found int
	for _, l := range linksOf(page.root) {
		if !strings.HasPrefix(l, "/assets/") {
			continue
		}
		found++
		a := ask(t, h, http.MethodGet, l, "Accept-Encoding", "br, gzip")
		if a.StatusCode != http.StatusOK || !strings.Contains(a.Header.Get("Cache-Control"), "immutable") {
			t.Errorf("%s: status %d, Cache-Control %q", l, a.StatusCode, a.Header.Get("Cache-Control"))
		}
		if !strings.HasSuffix(l, ".svg") && a.Header.Get("Content-Encoding") != "gzip" {
			t.Errorf("%s is not compressed", l)
		}
		if again := ask(t, h, http.MethodGet, l, "If-None-Match", a.Header.Get("ETag")); again.StatusCode != http.StatusNotModified {
			t.Errorf("%s again: status %d", l, again.StatusCode)
		}
	}
	if found != 4 {
		t.Errorf("%d files on the page, want icon, style and two scripts", found)
	}
	if a := ask(t, h, http.MethodGet, "/assets/style.css"); a.StatusCode != http.StatusNotFound {
		t.Errorf("a file without its hash: status %d", a.StatusCode)
	}
}

func TestPagesAreNotSentTwice(t *testing.T) {
	h := demoSite(t)
	first := ask(t, h, http.MethodGet, twoSensors, "Accept-Encoding", "gzip")
	tag := first.Header.Get("ETag")
	if tag == "" || first.Header.Get("Content-Encoding") != "gzip" {
		t.Fatalf("ETag %q, Content-Encoding %q", tag, first.Header.Get("Content-Encoding"))
	}
	if a := ask(t, h, http.MethodGet, twoSensors, "If-None-Match", `"other", `+tag); a.StatusCode != http.StatusNotModified || a.body != "" {
		t.Errorf("status %d, %d bytes", a.StatusCode, len(a.body))
	}
	if a := get(t, h, twoSensors); a.Header.Get("ETag") != tag {
		t.Error("the same question gave other bytes")
	}
	for accept, want := range map[string]bool{"": false, "identity": false, "gzip;q=0": false, "gzip; q=0.5": true, "br, GZIP": true, "gzip;q=x": false} {
		if got := takesGzip(accept); got != want {
			t.Errorf("Accept-Encoding %q: gzip %v, want %v", accept, got, want)
		}
	}
}

func TestPanicGivesAPlainPage(t *testing.T) {
	p := demoProgram(t)
	p.plan = func(app.Ask) (*app.Answer, error) { panic("boom") }
	var log bytes.Buffer
	a := ask(t, New(p, Options{Log: slog.New(slog.NewTextHandler(&log, nil))}), http.MethodGet, twoSensors)
	if a.StatusCode != http.StatusInternalServerError {
		t.Errorf("status %d", a.StatusCode)
	}
	a.says(t, "Something broke on our side")
	if strings.Contains(a.body, "boom") || strings.Contains(a.body, "goroutine") {
		t.Error("the page shows the inside of the program")
	}
	if !strings.Contains(log.String(), "boom") {
		t.Error("the log does not have the panic")
	}
}

func TestSlowAnswerIsCutOff(t *testing.T) {
	p := demoProgram(t)
	done := make(chan struct{})
	defer close(done)
	p.plan = func(app.Ask) (*app.Answer, error) { <-done; return nil, app.ErrInput }
	a := ask(t, New(p, Options{Deadline: 30 * time.Millisecond}), http.MethodGet, twoSensors)
	if a.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("status %d", a.StatusCode)
	}
	a.says(t, "This took too long")
}

func TestErrorsMapToStatus(t *testing.T) {
	h := demoSite(t)
	audit := demoProgram(t)
	audit.plan = func(app.Ask) (*app.Answer, error) { return nil, fmt.Errorf("%w: step 3: needs AR02", app.ErrAudit) }
	broken := demoProgram(t)
	broken.item = func(app.Ask, guide.ID) (*app.ItemSheet, error) { return nil, errNothing }
	cases := []struct {
		name   string
		h      http.Handler
		at     string
		status int
		wants  []string
	}{
		{"unknown item in a task", h, "/plan?machine=V1&task=replace:SE99", 400, []string{"SE99", "Did you mean", "Look for it by name", "machine V1"}},
		{"item by a near name", h, "/plan?machine=V1&task=replace:knok", 400, []string{"knok", "Replace: Knock sensor, right (SE13)"}},
		{"verb the item has no way for", h, "/plan?machine=V1&task=paint:SE13", 200, []string{"Paint", "This cannot be done as asked"}},
		{"task without a verb", h, "/plan?machine=V1&task=SE13", 400, []string{"verb:item"}},
		{"unknown machine", h, "/plan?machine=V9&task=replace:SE13", 404, []string{"V9", "V1", "replace:SE13"}},
		{"unknown guide", h, "/plan?guide=v28p", 404, []string{"v28p", "v27p"}},
		{"unknown variant", h, "/plan?guide=v27p&variant=XHD&task=replace:SE13", 400, []string{"XHD", "left-hand drive", "replace:SE13"}},
		{"half a variant", h, "/plan?guide=v27p&variant=LHD&task=replace:SE13", 200, []string{"2 h 36 min"}},
		{"people that are no number", h, "/plan?machine=V1&people=two", 400, []string{"two"}},
		{"rate that is no price", h, twoSensors + "&rate=cheap", 400, []string{"cheap"}},
		{"objective", h, twoSensors + "&by=beauty", 400, []string{"beauty", "minutes"}},
		{"view", h, "/bay?machine=V1&view=inside", 400, []string{"inside", "above"}},
		{"item of a sheet", h, "/bay?machine=V1&item=SE88", 404, []string{"SE88", "Did you mean"}},
		{"long words", h, "/plan?machine=V1&q=" + strings.Repeat("long", 100), 400, []string{"longer than 200"}},
		{"no page", h, "/jobs", 404, []string{"/jobs"}},
		{"audit", New(audit, Options{}), twoSensors, 500, []string{"did not stand up to its check", "needs AR02"}},
		{"other error", New(broken, Options{}), "/bay?machine=V1&item=SE13", 500, []string{"Something broke"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			a := ask(t, c.h, http.MethodGet, c.at)
			if a.StatusCode != c.status {
				t.Errorf("status %d, want %d: %s", a.StatusCode, c.status, a.text())
			}
			a.says(t, c.wants...)
			soundPage(t, a, true)
		})
	}
}

func FuzzAddress(f *testing.F) {
	for _, c := range slices.Concat(addresses, torqueAddresses) {
		path, query, _ := strings.Cut(c.at, "?")
		f.Add(path, query)
	}
	f.Add("/torque", "machine=V1&item=\"><script>alert(1)</script>&value=1e400+N%C2%B7m&joint=-9&reach=NaN&bend=1e9&arm=%00&unit=V&threads=%ff")
	f.Add("/plan", "machine=V1&task=%ff%00:&start=%3D&order=a<b&leave=&people=-1&rate=1e9")
	f.Add("/bay", "item=\"><script>alert(1)</script>&machine=V1&q=';--&view=above")
	f.Add("/go", "for=machine:V1&for=:&page=bay&variant=drive%3DLHD&variant=A")
	f.Add("/plan", "machine=V1&task=replace:SE13&start=PN03+aside&start=engine%3D&order=check:X3<replace:SE13")
	h := New(demoProgram(f), Options{Budget: 50 * time.Millisecond})
	f.Fuzz(func(t *testing.T, path, query string) {
		if !strings.HasPrefix(path, "/") || len(path)+len(query) > 2000 {
			return
		}
		r, err := http.NewRequest(http.MethodGet, "http://x/", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.URL.Path, r.URL.RawQuery = path, query
		a := serve(t, h, r)
		if a.StatusCode >= 500 && a.StatusCode != http.StatusServiceUnavailable {
			t.Errorf("%s?%s: status %d\n%s", path, query, a.StatusCode, a.body)
		}
		if a.root != nil {
			noInline(t, a.root)
		}
	})
}
