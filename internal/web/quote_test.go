package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"elbowroom/app"
	"elbowroom/estimate"
	"elbowroom/joblog"
)

// quotes are the quotes of the demonstration in every state that has a layout
// of its own.
var quotes = []struct{ name, at string }{
	{"with a range", "/quote?machine=V1&task=replace:SE13"},
	{"with everything", "/quote?machine=V1&task=replace:SE13&limit=300&keep=120000+km&person=veld"},
	{"fixed, with a risk", "/quote?guide=v27p&variant=LHD+B&task=replace:SE18&price=fixed"},
	{"three tasks", "/quote?machine=V4&task=replace:IG03&task=replace:SE02&task=replace:AC15&limit=20"},
	{"impossible", "/quote?guide=v27p&variant=LHD+B&task=polish:SE13"},
	{"nothing asked for", "/quote?machine=V1"},
	{"no guide", "/quote?machine=V5"},
	{"variant asked for", "/quote?guide=v27p&task=replace:SE13"},
	{"a check alone", "/quote?machine=V3&task=check:T56"},
}

func TestEveryQuoteIsSound(t *testing.T) {
	h := demoSite(t)
	for _, c := range quotes {
		t.Run(c.name, func(t *testing.T) { soundPage(t, get(t, h, c.at), true) })
	}
}

// TestQuotePage: the lines, the total, when to ask, stop points and advice on
// one page; the plan leads to it and back.
func TestQuotePage(t *testing.T) {
	h := demoSite(t)
	a := get(t, h, "/quote?machine=V1&task=replace:SE13&limit=300")
	a.says(t, "Labour: putting back", "121.80", "Plenum gasket", "400.40", "Tax, 20 %", "480.48", "Half of such visits stay below", "Authorised: 300.00",
		"Ask before step 9", "After: Take off the intake plenum (AR04)", "251.52", "beyond what is authorised", "Replace the knock sensor, left (SE14)", "come first")
	rows := a.root.first(t, "table").named("tr")
	if len(rows) != 1+6+3 {
		t.Errorf("%d rows of the bill, want a head, six lines, net, tax and total", len(rows))
	}
	plan := get(t, h, "/plan?machine=V1&task=replace:SE13")
	found := false
	for _, l := range linksOf(plan.root) {
		found = found || strings.HasPrefix(l, "/quote?") && strings.Contains(l, "replace%3ASE13")
	}
	if !found {
		t.Error("the plan does not lead to its quote")
	}
	for _, l := range linksOf(a.root) {
		if to, _, _ := strings.Cut(l, "#"); strings.HasPrefix(to, "/plan") || strings.HasPrefix(to, "/quote?") {
			if b := ask(t, h, http.MethodGet, to); b.StatusCode != http.StatusOK {
				t.Errorf("%s: status %d", to, b.StatusCode)
			}
		}
	}
}

// TestQuoteForm: what is sent comes back filled in, what is wrong is said at its
// field with what was typed, and the price stands all the same.
func TestQuoteForm(t *testing.T) {
	h := demoSite(t)
	at := "/quote?machine=V1&task=replace:SE13&limit=much&keep=60000+km&failure=dear&age=SE14%3D4000+km&life=SE14&person=nobody&price=fixed"
	a := ask(t, h, http.MethodGet, at)
	if a.StatusCode != http.StatusBadRequest {
		t.Errorf("status %d", a.StatusCode)
	}
	soundPage(t, a, true)
	form := a.root.first(t, "form")
	for _, f := range a.root.named("form") {
		if f.attr["action"] == "/quote" {
			form = f
		}
	}
	kept := map[string]string{"limit": "much", "keep": "60000 km", "failure": "dear", "age": "SE14=4000 km", "life": "SE14"}
	wrong := map[string]bool{"limit": true, "failure": true, "life": true}
	for _, n := range form.named("input") {
		want, ok := kept[n.attr["name"]]
		if !ok {
			continue
		}
		delete(kept, n.attr["name"])
		if n.attr["value"] != want || (n.attr["aria-invalid"] == "true") != wrong[n.attr["name"]] {
			t.Errorf("%s: %v", n.attr["name"], n.attr)
		}
		if wrong[n.attr["name"]] {
			says := strings.Fields(n.attr["aria-describedby"])
			if len(says) != 2 || len(form.all(func(x *node) bool { return x.attr["id"] == says[1] && x.text() != "" })) != 1 {
				t.Errorf("%s: nothing says what is wrong: %v", n.attr["name"], says)
			}
		}
	}
	if len(kept) > 0 {
		t.Errorf("fields missing: %v", kept)
	}
	a.says(t, "is not a price above nothing", "write the item, = and the value", "near: ", "Fixed price")
	good := get(t, h, "/quote?machine=V1&task=replace:SE13&limit=300&person=veld&keep=60000+km,+24+months&price=fixed")
	for _, n := range good.root.named("option") {
		if _, selected := n.attr["selected"]; selected != (n.attr["value"] == "veld") && n.attr["value"] != "" && !strings.Contains(n.attr["value"], ":") {
			t.Errorf("option %v", n.attr)
		}
	}
}

// TestQuoteRefuses: an address that asks too much, and a program without a
// guide.
func TestQuoteRefuses(t *testing.T) {
	h := demoSite(t)
	long := url.Values{"machine": {"V1"}, "task": {"replace:SE13"}, "limit": {strings.Repeat("9", maxWords+1)}}
	if a := ask(t, h, http.MethodGet, "/quote?"+long.Encode()); a.StatusCode != http.StatusBadRequest {
		t.Errorf("a limit of %d digits: status %d", maxWords+1, a.StatusCode)
	}
	many := url.Values{"machine": {"V1"}, "task": {"replace:SE13"}}
	for range mostWishes + 1 {
		many.Add("age", "SE14=1 km")
	}
	if a := ask(t, h, http.MethodGet, "/quote?"+many.Encode()); a.StatusCode != http.StatusBadRequest {
		t.Errorf("%d ages: status %d", mostWishes+1, a.StatusCode)
	}
	if a := ask(t, h, http.MethodGet, "/quote?machine=V9&task=replace:SE13"); a.StatusCode != http.StatusNotFound {
		t.Errorf("an unknown machine: status %d", a.StatusCode)
	}
	if a := ask(t, New(nothing{}, Options{}), http.MethodGet, "/quote?task=replace:SE13"); a.StatusCode != http.StatusNotFound {
		t.Errorf("no guide: status %d", a.StatusCode)
	}
	if a := ask(t, h, http.MethodPost, "/quote?machine=V1"); a.StatusCode != http.StatusMethodNotAllowed {
		t.Errorf("a post: status %d", a.StatusCode)
	}
}

// TestQuoteWish: an address says everything that was wished, and keeps it.
func TestQuoteWish(t *testing.T) {
	w := quoteWish{limit: "300", person: "veld", failure: "150", fixed: true, keep: []string{"60000 km", "36 months"}, ages: []string{"SE14=4000 km"}, lives: []string{"SE14=9 km/3 km"}}
	back, err := readWish(w.values(url.Values{}))
	if err != nil || back.limit != w.limit || back.person != w.person || back.failure != w.failure || !back.fixed ||
		strings.Join(back.keep, "|") != strings.Join(w.keep, "|") || back.ages[0] != w.ages[0] || back.lives[0] != w.lives[0] {
		t.Errorf("%+v, %v", back, err)
	}
}

// TestQuoteWords: sums and times as people read them, with tax and without.
func TestQuoteWords(t *testing.T) {
	q := &app.Quote{Terms: estimate.Terms{Currency: estimate.CurrencyOf("JPY")}, Answer: &app.Answer{}, Days: 3, Parts: 2}
	if got := paid(q, 1234); got != "1234\u00a0JPY" {
		t.Errorf("%q", got)
	}
	if got := calendarOf(q); got != "Done within 3 working days of the parts being here, which takes 2 days." {
		t.Errorf("%q", got)
	}
	q.Days, q.Parts = 1, 0
	if got := calendarOf(q); got != "Done within one working day." {
		t.Errorf("%q", got)
	}
	v := quoteOf(state{}, quoteWish{}, q)
	if v.Tax != "" || len(v.Stops) != 0 || v.Scale.Has {
		t.Errorf("nothing to price, and %+v", v)
	}
}

// TestQuoteOfAJob: the page of a kept job leads to the quote of its plan, which
// stands beside what was done; another workshop's job is not found.
func TestQuoteOfAJob(t *testing.T) {
	c := newCounter(t, "check:X3")
	for i := range c.sheet().Steps {
		if _, err := c.desk.Say(t.Context(), c.ines, c.job, &joblog.StepDone{Step: i + 1}); err != nil {
			t.Fatal(err)
		}
	}
	pages := Open(c.desk, Options{Demo: &c.ines})
	h := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Host = "localhost" // the only name by which a demonstration is reached
		pages.ServeHTTP(w, r)
	})
	job := get(t, h, keptPath+string(c.job))
	at := ""
	for _, l := range linksOf(job.root) {
		if strings.HasPrefix(l, "/quote?job=") {
			at = l
		}
	}
	if at == "" {
		t.Fatal("the job does not lead to its quote")
	}
	a := get(t, h, at)
	soundPage(t, a, true)
	a.says(t, "Check the in-line connector valley (X3)", "Quoted and done", "29 min quoted", "pellow", "Minutes step by step", "the guide")
	again := get(t, h, at+"&limit=20&price=fixed")
	again.says(t, "Fixed price", "Authorised: 20.00", "Quoted and done")
	if b := ask(t, h, http.MethodGet, "/quote?job=j-nowhere"); b.StatusCode != http.StatusNotFound {
		t.Errorf("a job that is not there: status %d", b.StatusCode)
	}
}
