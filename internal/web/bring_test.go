package web

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
)

// brings sends files as the form of the workshop's page does.
func (f *fort) brings(c *http.Client, origin string, files map[string]string) (int, string) {
	f.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for name, text := range files {
		p, err := m.CreateFormFile("files", name)
		if err == nil {
			_, err = p.Write([]byte(text))
		}
		if err != nil {
			f.t.Fatal(err)
		}
	}
	if err := m.Close(); err != nil {
		f.t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(f.t.Context(), http.MethodPost, f.at.URL+bringPath, &b)
	if err != nil {
		f.t.Fatal(err)
	}
	r.Header.Set("Content-Type", m.FormDataContentType())
	r.Header.Set("Origin", origin)
	status, body, _ := f.do(c, r)
	return status, body
}

// A workshop brings a guide of its own, uses it, and has it back as a file; one
// with errors is refused with every place, and nothing changes.
func TestBringAGuideInTheBrowser(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	text := "format: 1\nguide: twin\ntitle: Twin\ncurrency: EUR\nplaces: {top: top}\nitems:\n  SE01:\n    name: sensor\n    ways: [replace from top; 5 min]\n"
	if status, body := f.brings(c, f.at.URL, map[string]string{"../../twin.yaml": text}); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	if _, body, _ := f.get(c, "/plan?guide=twin&task=replace:SE01"); !strings.Contains(body, "5 min") {
		t.Error("no plan with it")
	}
	if _, body, _ := f.get(c, "/workshop/"); !strings.Contains(body, `href="/workshop/text/twin.yaml"`) {
		t.Error("the workshop's page does not list it")
	}
	if _, body, _ := f.get(c, "/workshop/text/twin.yaml"); body != text {
		t.Errorf("handed out as %q", body)
	}
	status, body := f.brings(c, f.at.URL, map[string]string{"twin.yaml": strings.Replace(text, "5 min", "five", 1) + "  SE01: {name: again}\n"})
	if status != http.StatusBadRequest || !strings.Contains(body, "twin.yaml:9") || !strings.Contains(body, "twin.yaml:10") {
		t.Errorf("%d: both errors with their places: %s", status, body)
	}
	if _, body, _ := f.get(c, "/workshop/text/twin.yaml"); body != text {
		t.Error("a refused guide changed something")
	}
	if status, _ := f.brings(c, "https://elsewhere.example", map[string]string{"twin.yaml": text}); status != http.StatusForbidden {
		t.Errorf("from elsewhere: %d", status)
	}
	if status, _ := f.brings(f.browser(), f.at.URL, map[string]string{"twin.yaml": text}); status == http.StatusSeeOther {
		if s, _, _ := f.get(f.browser(), "/workshop/text/twin.yaml"); s == http.StatusOK {
			t.Error("without a session")
		}
	}
	if status, _ := f.brings(c, f.at.URL, map[string]string{"twin.yaml": strings.Repeat("# x\n", mostBrought/4+1)}); status != http.StatusRequestEntityTooLarge && status != http.StatusBadRequest {
		t.Errorf("too large: %d", status)
	}
}
