package web

import (
	"net/http"
	"regexp"
	"strings"
	"testing"

	"elbowroom/app"
)

const knockQuery = "?machine=V1&task=replace%3ASE13"

// TestPapersOfAPage: every paper that the address of a page determines, as HTML
// under our content policy and as PDF in both sizes.
func TestPapersOfAPage(t *testing.T) {
	h := demoSite(t)
	for _, kind := range app.AskedPapers {
		r := get(t, h, paperPath+string(kind)+knockQuery)
		if r.StatusCode != http.StatusOK || !strings.HasPrefix(r.Header.Get("Content-Type"), "text/html") {
			t.Fatalf("%s: %d %s", kind, r.StatusCode, r.Header.Get("Content-Type"))
		}
		body := r.body
		for _, want := range []string{"Variant LHD A", "revision 3, 2026-03-02", "Local codes, the maker", `data-kind="` + string(kind) + `"`} {
			if !strings.Contains(body, want) {
				t.Errorf("%s: no %q on the page", kind, want)
			}
		}
		if strings.Contains(body, "<style") || strings.Contains(body, " style=") || strings.Contains(body, "<script") {
			t.Errorf("%s: the page has a style or script of its own, which the policy forbids", kind)
		}
		css := regexp.MustCompile(`href="(/assets/paper\.[0-9a-f]+\.css)"`).FindStringSubmatch(body)
		if css == nil {
			t.Fatalf("%s: no style sheet", kind)
		}
		if r := get(t, h, css[1]); r.StatusCode != http.StatusOK {
			t.Errorf("%s: %d", css[1], r.StatusCode)
		}
		for size, box := range map[string]string{"": "0 0 595.276 841.89", "&size=letter": "0 0 612 792"} {
			r := get(t, h, paperPath+string(kind)+".pdf"+knockQuery+size)
			if r.StatusCode != http.StatusOK || r.Header.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(r.body, "%PDF-1.7") {
				t.Fatalf("%s%s: %d %s", kind, size, r.StatusCode, r.Header.Get("Content-Type"))
			}
			if !strings.Contains(r.body, "/MediaBox["+box+"]") {
				t.Errorf("%s%s: no page of %s", kind, size, box)
			}
			if d := r.Header.Get("Content-Disposition"); !regexp.MustCompile(`^inline; filename="V1-[a-z]+-[0-9A-F]{4}-[0-9A-F]{4}\.pdf"$`).MatchString(d) {
				t.Errorf("%s: %s", kind, d)
			}
		}
	}
}

func TestPapersThatAreNone(t *testing.T) {
	h := demoSite(t)
	for _, c := range []struct {
		name, at string
		want     int
	}{
		{"a job paper has no address yet", paperPath + "handover" + knockQuery, http.StatusNotFound},
		{"an unknown kind", paperPath + "poster.pdf", http.StatusNotFound},
		{"nothing asked", paperPath + "plan?machine=V1", http.StatusSeeOther},
		{"an unknown part", paperPath + "plan.pdf?machine=V1&task=replace%3AXX99", http.StatusBadRequest},
		{"an unknown machine", paperPath + "torque?machine=V77&task=replace%3ASE13", http.StatusNotFound},
		{"a unit that is none", paperPath + "torque?machine=V1&task=replace%3ASE13&unit=furlong", http.StatusBadRequest},
	} {
		if r := ask(t, h, http.MethodGet, c.at); r.StatusCode != c.want {
			t.Errorf("%s: %d, want %d", c.name, r.StatusCode, c.want)
		}
	}
}

// TestPlanLeadsToItsPapers: the links of the plan page answer.
func TestPlanLeadsToItsPapers(t *testing.T) {
	h := demoSite(t)
	body := get(t, h, "/plan"+knockQuery).body
	for _, kind := range app.AskedPapers {
		if !strings.Contains(body, `href="/paper/`+string(kind)+`?`) {
			t.Errorf("no link to the %s on paper", kind)
		}
	}
}
