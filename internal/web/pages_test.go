package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/plan"
)

// addresses are the pages of the demonstration in every state that has a
// layout of its own.
var addresses = []struct{ name, at string }{
	{"home", "/"},
	{"variant asked for", "/plan"},
	{"empty plan", "/plan?machine=V1"},
	{"empty plan of a guide", "/plan?guide=v27p&variant=RHD+B"},
	{"search", "/plan?machine=V1&q=knock"},
	{"search with nothing found", "/plan?machine=V1&q=zzzz"},
	{"two sensors", twoSensors},
	{"two sensors, least minutes", twoSensors + "&by=minutes"},
	{"with reach", "/plan?machine=V1&task=check:X3&reach=show"},
	{"search beside a plan", twoSensors + "&q=coil"},
	{"half open, raised", "/plan?machine=V4&task=replace:AC15&start=PN08&start=position%3Draised"},
	{"items left open", "/plan?machine=V1&task=check:X3&leave=all"},
	{"tool missing", "/plan?machine=V1&task=replace:SE13&missing=long-extension"},
	{"check with its own limits", "/plan?machine=V1&task=check:T35"},
	{"fluids and cautions", "/plan?guide=v27p&variant=LHD+A&task=replace:CO02"},
	{"no guide", "/plan?machine=V5"},
	{"bay", "/bay?machine=V1"},
	{"bay from below with search", "/bay?machine=V3&view=below&q=oxygen"},
	{"sheet", "/bay?machine=V1&item=SE13"},
	{"sheet with everything", "/bay?machine=V1&item=SE03&view=left"},
	{"sheet of a cover", "/bay?guide=v27p&variant=RHD+A&item=PN03&start=PN03"},
	{"bay without guide", "/bay?machine=V5"},
	{"bay, variant asked for", "/bay?guide=v27p"},
	{"job", "/job?machine=V1"},
	{"job with a log", "/job?machine=V2&log=T14%3A+8.2+K%2C+coolant+90+%C2%B0C%2C+steady+4+min%2C+fan+off&log=T15%3A+31+%C2%B0C%2C+coolant+80+%C2%B0C&start=engine%3Dhot"},
	{"job after a repair", "/job?machine=V1&log=repaired+F10"},
	{"job of a guide", "/job?guide=v27p&variant=RHD+B&code=P0087&complaint=no+power"},
	{"job without guide", "/job?machine=V5"},
	{"job, variant asked for", "/job?guide=v27p"},
	{"job with another check", "/job?machine=V3&at=T27"},
	{"recording", "/recording?machine=V3&at=T50"},
	{"recording of every check", "/recording?machine=V3"},
	{"recording without guide", "/recording?machine=V5"},
	{"wiring under suspicion", "/circuit?machine=V1"},
	{"wiring with a reading", "/circuit?machine=V3&id=EL05&log=T52%3A+2.71+V%2C+low-pressure+pump+running%2C+full+load%2C+as+T50&point=fuel-pump.f14%2Fload+side"},
	{"wiring with drops", "/circuit?machine=V3&id=fuel-pump&measured=EL02+to+EL05+supply+side+2.71+V%0A5.83+A&given=EL02+13.9+V"},
	{"wiring without voltage", "/circuit?guide=v27p&variant=LHD&id=AC07&point=pump-valve.driver%2Fload+side"},
	{"wiring of nothing suspected", "/circuit?guide=v27p&variant=LHD&complaint=dull+paint"},
	{"wiring without guide", "/circuit?machine=V5"},
	{"wiring, variant asked for", "/circuit?guide=v27p"},
	{"codes", "/codes?machine=V1&log=repaired+F10"},
	{"codes without a machine", "/codes"},
	{"codes of a machine without guide", "/codes?machine=V5"},
	{"every component", "/pattern-sheet"},
}

const twoSensors = "/plan?machine=V1&task=replace:SE13&task=replace:SE14"

func TestEveryPageIsSound(t *testing.T) {
	h := demoSite(t)
	for _, c := range addresses {
		t.Run(c.name, func(t *testing.T) {
			a := get(t, h, c.at)
			soundPage(t, a, c.name != "every component") // which shows the same component several times
		})
	}
}

// soundPage checks what holds of every page.
func soundPage(t *testing.T, a answer, unique bool) {
	t.Helper()
	root := a.root
	if got := root.first(t, "html").attr["lang"]; got != "en" {
		t.Errorf("lang %q", got)
	}
	for _, want := range []string{"title", "main", "header", "nav"} {
		root.first(t, want)
	}
	noInline(t, root)
	if unique {
		uniqueIDs(t, root)
		headings(t, root)
	}
	labelled(t, root)
	if strings.Contains(a.body, "ZgotmplZ") {
		t.Error("a value was refused by the template escaper")
	}
	for _, empty := range []string{"<no value>", "%!", "&lt;nil&gt;"} {
		if strings.Contains(a.body, empty) {
			t.Errorf("the page has %q", empty)
		}
	}
}

func noInline(t *testing.T, root *node) {
	t.Helper()
	for _, n := range root.all(func(*node) bool { return true }) {
		if n.name == "style" || n.name == "script" && n.attr["src"] == "" {
			t.Errorf("inline <%s>", n.name)
		}
		for key := range n.attr {
			if key == "style" || strings.HasPrefix(key, "on") && key != "on" {
				t.Errorf("<%s> has the attribute %s", n.name, key)
			}
		}
	}
}

func uniqueIDs(t *testing.T, root *node) {
	t.Helper()
	seen := map[string]bool{}
	for _, n := range root.all(func(n *node) bool { return n.attr["id"] != "" }) {
		if seen[n.attr["id"]] {
			t.Errorf("id %q is there twice", n.attr["id"])
		}
		seen[n.attr["id"]] = true
	}
	for _, n := range root.all(func(n *node) bool { return n.attr["aria-labelledby"] != "" }) {
		for _, id := range strings.Fields(n.attr["aria-labelledby"]) {
			if !seen[id] {
				t.Errorf("aria-labelledby %q leads nowhere", id)
			}
		}
	}
}

// headings checks that there is one h1 and that no level is skipped on the way
// down. The dialog with the keys stands outside the order.
func headings(t *testing.T, root *node) {
	t.Helper()
	level, ones := 0, 0
	for _, n := range root.first(t, "main").all(func(n *node) bool {
		return len(n.name) == 2 && n.name[0] == 'h' && n.name[1] >= '1' && n.name[1] <= '6'
	}) {
		l, _ := strconv.Atoi(n.name[1:])
		if l == 1 {
			ones++
		}
		if l > level+1 {
			t.Errorf("heading %s %q follows level %d", n.name, n.text(), level)
		}
		if n.text() == "" {
			t.Errorf("empty heading %s", n.name)
		}
		level = l
	}
	if ones != 1 {
		t.Errorf("%d main headings", ones)
	}
}

// labelled checks that every control has a name.
func labelled(t *testing.T, root *node) {
	t.Helper()
	for _, n := range root.all(func(*node) bool { return true }) {
		switch n.name {
		case "a", "button", "summary":
			if n.text() == "" && n.attr["aria-label"] == "" && len(n.named("title")) == 0 {
				t.Errorf("<%s %v> has no name", n.name, n.attr)
			}
		case "input", "select":
			if n.attr["type"] != "hidden" && n.attr["aria-label"] == "" && !hasLabel(root, n) {
				t.Errorf("<%s name=%s> has no label", n.name, n.attr["name"])
			}
		case "svg":
			if n.attr["aria-hidden"] != "true" && n.attr["aria-label"] == "" && n.attr["aria-labelledby"] == "" {
				t.Errorf("<svg class=%q> has neither name nor aria-hidden", n.attr["class"])
			}
		}
	}
}

func hasLabel(root, n *node) bool {
	for up := n.up; up != nil; up = up.up {
		if up.name == "label" {
			return up.text() != ""
		}
	}
	return n.attr["id"] != "" && len(root.all(func(l *node) bool { return l.name == "label" && l.attr["for"] == n.attr["id"] && l.text() != "" })) > 0
}

// maxLinks bounds how many pages the walk below asks for.
const maxLinks = 400

func TestAllLinksResolve(t *testing.T) {
	h := siteWithin(t, 100*time.Millisecond)
	seen := map[string]bool{}
	walked := 0
	for _, c := range addresses {
		if c.name == "every component" {
			continue // its links are canned
		}
		page := get(t, h, c.at)
		for _, l := range linksOf(page.root) {
			to, fragment, _ := strings.Cut(l, "#")
			if to == "" && fragment != "" {
				if len(page.root.all(func(n *node) bool { return n.attr["id"] == fragment })) == 0 {
					t.Errorf("%s: #%s leads nowhere", c.at, fragment)
				}
				continue
			}
			if kind := shape(to); seen[kind] {
				continue // one of each sort of address
			} else {
				seen[kind] = true
			}
			if walked++; walked > maxLinks {
				t.Fatalf("more than %d sorts of link", maxLinks)
			}
			if a := ask(t, h, http.MethodGet, to); a.StatusCode >= 400 {
				t.Errorf("%s links to %s: status %d: %s", c.at, to, a.StatusCode, a.text())
			}
		}
	}
	if walked < 50 {
		t.Fatalf("only %d links were followed", walked)
	}
}

// linksOf returns every address a page refers to.
func linksOf(root *node) []string {
	var out []string
	for _, n := range root.all(func(*node) bool { return true }) {
		for _, key := range []string{"href", "src", "action", "data-load", "data-find"} {
			if v := n.attr[key]; v != "" {
				out = append(out, v)
			}
		}
	}
	return out
}

// shape names the sort of an address: its path and keys, and for tasks and
// items the first letters of what they name.
func shape(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return address
	}
	s := u.Path
	for _, f := range (state{}).fieldsOf(u.Query()) {
		v := f.Value
		switch f.Name {
		case "item", "task", "start":
			v = strings.TrimRight(v, "0123456789")
		case "log", "code", "complaint":
			v, _, _ = strings.Cut(v, " ") // one of each sort of entry
			v = strings.Trim(v, "0123456789:")
		case "sign":
			v, _, _ = strings.Cut(v, ":")
		}
		if part := " " + f.Name + "=" + v; !strings.Contains(s, part) {
			s += part
		}
	}
	return s
}

func (state) fieldsOf(v url.Values) []field {
	st, _ := readState(v)
	return st.fields()
}

// The total is the row "Both knock sensors" of the demonstration's table of
// check values: 65 strip, 8 work, 87 refit, 160 in all.
func TestPlanOfTwoSensors(t *testing.T) {
	a := get(t, demoSite(t), twoSensors)
	a.says(t, "2 h 40 min", "strip 65 min", "work 8 min", "refit 87 min", "342.00 EUR",
		"Proved: nothing cheaper exists", "Replace the knock sensor, right (SE13)", "Take off the intake plenum (AR04)",
		"This machine differs:", "20 N·m dry", "plenum gasket", "single-use", "No plan can cost less than", "come first")
	steps := a.root.named("li.step")
	if len(steps) != 20 {
		t.Errorf("%d steps, want 9 off, 2 tasks, 9 back", len(steps))
	}
	for _, id := range []string{"n", "w"} {
		svg := a.root.first(t, "svg."+id)
		if bars := svg.named("a.bar"); len(bars) != len(steps) {
			t.Errorf("valley %s has %d bars for %d steps", id, len(bars), len(steps))
		}
	}
}

func TestEveryStepLeadsToItsMirrorAndBack(t *testing.T) {
	a := get(t, demoSite(t), twoSensors)
	mirror := map[string]string{}
	for _, s := range a.root.named("li.step") {
		mirror[s.attr["data-step"]] = s.attr["data-mirror"]
	}
	pairs := 0
	for step, m := range mirror {
		if m == "0" {
			continue
		}
		pairs++
		if mirror[m] != step {
			t.Errorf("step %s mirrors %s, which mirrors %s", step, m, mirror[m])
		}
	}
	if pairs != 18 {
		t.Errorf("%d steps have a mirror, want 18", pairs)
	}
}

// A stranger types a word and taps twice, with nothing but links and forms.
func TestFromHomeToPlanWithoutScript(t *testing.T) {
	h := demoSite(t)
	home := get(t, h, "/")
	form := home.root.first(t, "form.search")
	q := url.Values{"q": {"knock"}, "for": {form.first(t, "option").attr["value"]}}
	sent := ask(t, h, http.MethodGet, form.attr["action"]+"?"+q.Encode())
	if sent.StatusCode != http.StatusSeeOther {
		t.Fatalf("the form leads to status %d", sent.StatusCode)
	}
	page := get(t, h, sent.Header.Get("Location"))
	for _, sensor := range []string{"replace:SE13", "replace:SE14"} {
		page = get(t, h, button(t, page.root, sensor).attr["href"])
	}
	page.says(t, "2 h 40 min", "Replace the knock sensor, right (SE13)", "Replace the knock sensor, left (SE14)")
	for _, sensor := range []string{"replace:SE13", "replace:SE14"} {
		if !button(t, page.root, sensor).has("in") {
			t.Errorf("%s is not shown as part of the plan", sensor)
		}
	}
	page = get(t, h, button(t, page.root, "replace:SE14").attr["href"])
	page.says(t, "2 h 36 min") // the right one alone: 156 in the table of check values
}

func button(t testing.TB, root *node, task string) *node {
	t.Helper()
	found := root.all(func(n *node) bool { return n.attr["data-task"] == task })
	if len(found) == 0 {
		t.Fatalf("no button for %s", task)
	}
	return found[0]
}

// The settings form keeps the question and replaces the start.
func TestStartIsAForm(t *testing.T) {
	h := demoSite(t)
	page := get(t, h, twoSensors)
	form := page.root.first(t, "details.settings").first(t, "form")
	q := url.Values{}
	for _, n := range form.named("input") {
		if n.attr["type"] == "hidden" {
			q.Add(n.attr["name"], n.attr["value"])
		}
	}
	q.Add("start", "AR04 off")
	open := get(t, h, "/plan?"+q.Encode())
	open.says(t, "1 off or aside", "Intake plenum, found off")
	if strings.Contains(open.text(), "Take off the intake plenum") {
		t.Error("the plan takes off what is off")
	}
}

func TestReachIsAForm(t *testing.T) {
	h := demoSite(t)
	page := get(t, h, "/plan?machine=V1&task=check:X3&reach=show")
	section := page.root.first(t, "section.reach")
	boxes := section.all(func(n *node) bool { return n.attr["type"] == "checkbox" })
	if len(boxes) < 20 {
		t.Fatalf("%d rows also in reach", len(boxes))
	}
	q := url.Values{"machine": {"V1"}, "task": {"check:X3", boxes[0].attr["value"]}}
	two := get(t, h, "/plan?"+q.Encode())
	if got := len(two.root.first(t, "ul.wanted").named("li")); got != 2 {
		t.Errorf("%d tasks after ticking one row, want 2", got)
	}
	last := time.Duration(-1)
	for _, row := range section.named("li") {
		if found := row.named("b"); len(found) > 0 {
			d := minutesOf(t, found[0].text())
			if d < last {
				t.Errorf("%q comes after %s", row.text(), last)
			}
			last = d
		}
	}
	if !strings.Contains(section.text(), "changes the way in") || !strings.Contains(section.text(), "it stands in the way of itself") {
		t.Error("the list does not say what changes the way in, or why something cannot be added")
	}
}

// minutesOf reads "+1 h 05 min" or "+4 min".
func minutesOf(t *testing.T, text string) time.Duration {
	t.Helper()
	d, err := time.ParseDuration(strings.NewReplacer("+", "", " ", "", "min", "m").Replace(text))
	if err != nil {
		t.Fatalf("%q is no time: %v", text, err)
	}
	return d
}

// The list as the program works it out, in the little time it is given.
func TestReachOfTheProgram(t *testing.T) {
	h := New(demoProgram(t), Options{Budget: 300 * time.Millisecond})
	part := get(t, h, "/plan/reach?machine=V1&task=check:X3")
	if strings.Contains(part.body, "<html") {
		t.Error("the part is a whole page")
	}
	if n := len(part.root.named("li")); n < 20 {
		t.Errorf("%d rows", n)
	}
	if a := ask(t, h, http.MethodGet, "/plan/reach?machine=V1&task=check:NOPE"); a.StatusCode != http.StatusBadRequest {
		t.Errorf("a task that does not exist: status %d", a.StatusCode)
	}
}

func TestOutcomesInPlainWords(t *testing.T) {
	cases := []struct {
		name    string
		outcome plan.Outcome
		change  func(*app.Answer)
		wants   []string
	}{
		{"bounded rounds up", plan.Bounded, func(a *app.Answer) { a.Plan.Bound = a.Plan.Cost.Objective * 965 / 1000 }, []string{"At most 4 % dearer than the best"}},
		{"impossible names its reasons", plan.Impossible, func(a *app.Answer) {
			a.Steps, a.Plan.Steps = nil, nil
			a.Plan.Blockers = []plan.Blocker{{Says: "The long extension is not at hand."}}
		}, []string{"This cannot be done as asked", "The long extension is not at hand."}},
		{"limit", plan.Limit, func(a *app.Answer) { a.Steps, a.Plan.Steps = nil, nil }, []string{"No plan found in the time allowed"}},
		{"bad input", plan.BadInput, func(a *app.Answer) { a.Steps, a.Plan.Steps = nil, nil }, []string{"The question does not fit the guide"}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			a := get(t, New(outcome(t, c.outcome, c.change), Options{}), twoSensors)
			a.says(t, c.wants...)
			soundPage(t, a, true)
		})
	}
}

func TestNothingLoaded(t *testing.T) {
	h := New(nothing{}, Options{})
	get(t, h, "/").says(t, "No machine is in", "No guide is loaded")
	if a := ask(t, h, http.MethodGet, "/plan?task=replace:X"); a.StatusCode != http.StatusNotFound {
		t.Errorf("plan: status %d", a.StatusCode)
	}
	if a := ask(t, h, http.MethodGet, "/healthz"); a.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("health without a guide: status %d", a.StatusCode)
	}
}

func TestBayShowsTheSheet(t *testing.T) {
	a := get(t, demoSite(t), "/bay?machine=V1&item=SE13")
	sheet := a.root.first(t, "aside.sheet")
	text := sheet.text()
	for _, want := range []string{"Knock sensor, right", "Where", "Ways", "Replace", "Held by", "20 N·m"} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet does not say %q\n%s", want, text)
		}
	}
	if len(sheet.named("s")) == 0 {
		t.Error("no superseded value is struck through; 22 N·m was replaced by 20 N·m in revision 3")
	}
	if !strings.HasPrefix(button(t, sheet, "replace:SE13").attr["href"], "/plan?") {
		t.Error("the button does not lead to the plan")
	}
	drawn := a.root.first(t, "div.paper").all(func(n *node) bool { return n.attr["data-item"] == "SE13" })
	if len(drawn) == 0 {
		t.Error("SE13 is no link on the drawing")
	}
}

// The drawing goes into the page as it is; a name in it must not.
func TestNamesOnTheDrawingAreText(t *testing.T) {
	g := &guide.Guide{Items: []guide.Item{{
		ID: "A1", Name: `</title><script>alert("x")</script>`, Class: guide.Sensor, Landmark: true,
		At: []guide.Shape{{Form: guide.Box, Size: guide.Point{X: 400, Y: 400, Z: 40}}},
	}}}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, view := range bay.Views {
		drawn := bay.New(r).Draw(bay.Options{View: view, Interactive: true, Labels: true, Key: true, Highlight: []guide.ID{"A1"}})
		if strings.Contains(drawn, "<script") || !strings.Contains(drawn, "alert") {
			t.Errorf("from %s the name stands as markup, or not at all", view)
		}
	}
}

func TestEmptyPlanOffersWhatIsNext(t *testing.T) {
	a := get(t, demoSite(t), "/plan?machine=V4")
	a.says(t, "Noted to do on this machine", "Service, and three things at once")
	get(t, demoSite(t), button(t, a.root, "replace:AC15").attr["href"]).says(t, "Replace the starter motor (AC15)")
}

func TestHomeSaysWhatIsOffAndForbidden(t *testing.T) {
	p := demoProgram(t)
	p.home = func() []app.MachineLine {
		line := p.App.Home()[0]
		line.Off, line.Forbidden = []string{"intake plenum (AR04) off", "expansion tank (CO01) aside"}, []string{"do not crank"}
		return []app.MachineLine{line}
	}
	a := get(t, New(p, Options{}), "/")
	a.says(t, "2 off or aside", "intake plenum (AR04) off", "do not crank", "lift 1", "P0327", "Plan what is noted")
	soundPage(t, a, true)
}
