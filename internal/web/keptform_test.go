package web

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

var lackBox = regexp.MustCompile(`name="lack" value="([^"]+)"`)

// What was typed into the forms of a job stays when it cannot be taken.
func TestFormsOfAJobKeepWhatWasTyped(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	at := "/jobs/" + string(f.job)
	if status, body, _ := f.post(c, at+"/plan", url.Values{"task": {"replace:SE13"}}); status != http.StatusSeeOther {
		t.Fatalf("plan: %d %s", status, body)
	}
	_, page, _ := f.get(c, at)
	box := lackBox.FindStringSubmatch(page)
	if box == nil {
		t.Fatal("nothing is lacking")
	}
	for _, ticked := range []bool{true, false} {
		form := url.Values{"does": {"deviation"}}
		if ticked {
			form.Set("lack", html.UnescapeString(box[1]))
		}
		status, page, _ := f.post(c, at, form)
		if status != http.StatusBadRequest || strings.Contains(page, box[0]+" checked") != ticked {
			t.Errorf("deviation without a reason: %d, ticked %v is shown otherwise", status, ticked)
		}
	}
	long := "proof" + strings.Repeat("-long", 5000)
	for name, form := range map[string]url.Values{"proof": {"does": {"proof"}, "text": {long}, "passed": {"yes"}}, "reason": {"does": {"deviation"}, "text": {long}}} {
		if status, page, _ := f.post(c, at, form); status != http.StatusBadRequest || strings.Count(page, `value="`+long+`"`) != 1 {
			t.Errorf("%s: %d, the text stands in %d fields", name, status, strings.Count(page, `value="`+long+`"`))
		}
	}
}

// The page of a job issues a paper with a link by which the customer sees it.
func TestPaperForTheCustomer(t *testing.T) {
	f := newFort(t)
	c := f.signedIn("stone", ownersPassword)
	at := "/jobs/" + string(f.job)
	if _, page, _ := f.get(c, at); !strings.Contains(page, `name="link" value="yes"`) {
		t.Error("the page has no button for it")
	}
	status, page, _ := f.post(c, at+"/paper/job", url.Values{"link": {"yes"}})
	link := regexp.MustCompile(`/shown/[A-Za-z0-9_-]+`).FindString(page)
	if status != http.StatusOK || link == "" {
		t.Fatalf("%d, link %q", status, link)
	}
	status, paper, h := f.get(f.browser(), link)
	if status != http.StatusOK || h.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(paper, "%PDF-") {
		t.Errorf("%d %s", status, h.Get("Content-Type"))
	}
}
