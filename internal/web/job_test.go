package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// truth is what a machine of a case shows, by check: the fields of the form.
// The readings are those of the demonstration's customer cases; checks that
// the cases do not tell of show a sound machine.
type truth map[string]url.Values

// values are the fields of a form in which every condition held.
func held(pairs ...string) url.Values {
	v := url.Values{"all-held": {"yes"}}
	for i := 0; i < len(pairs); i += 2 {
		v.Set(pairs[i], pairs[i+1])
	}
	return v
}

var cases = []struct {
	name, machine string
	shows         truth
	repair        []string // what "It is repaired" may stand for
	never         []string // the obvious repair, which must not come first
}{
	{
		"lazy on hills since the wet week", "V1",
		truth{
			"T35": held("v0", "38", "uv0", "kΩ", "v1", "> 10 MΩ"), "T36": held("v0", "> 10 MΩ", "v1", "> 10 MΩ"),
			"T37": held("v0", "38", "uv0", "kΩ", "v1", "> 10 MΩ"), "T39": held("v1", "1.42 nF"), "T38": held("v0", "1.14 nF", "v1", "1.16 nF"),
		},
		[]string{"repaired F10", "repaired repair:X3"},
		[]string{"replace:SE13", "F35", "F36"},
	},
	{
		"gauge never gets to the middle", "V2",
		truth{
			"T13": held("v0", "0.8"), "T14": held("v0", "8.2"), "T10": held("v0", "6"), "T12": held("v0", "123"),
			"T11": held("v0", "249", "n0", "90"), "T15": held("v0", "31"), "T16": held("v0", "7.6"),
		},
		[]string{"repaired F13", "repaired repair:SE03"},
		[]string{"replace:CO02", "F14"},
	},
	{
		"loses power loaded on the motorway", "V3",
		truth{
			"T56": held("v0", "69"), "T49": held("v0", "4.7"), "T50": held("v0", "3.1"), "T53": held("v0", "26.8"), "T52": held("v0", "2.71"),
			"T58": held("v0", "0.55"), "T55": held("v0", "50"), "T51": held("v0", "4"), "T75": held("c0", "yes"),
		},
		[]string{"repaired F08", "repaired repair:EL05"},
		[]string{"replace:FU01", "F44"},
	},
}

// TestCasesToTheFault follows each customer case by the page alone, from the
// complaint to the repair of the true fault and its proof.
func TestCasesToTheFault(t *testing.T) {
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := demoSite(t)
			at := "/job?machine=" + c.machine
			for range 10 {
				a := get(t, h, at)
				todo := a.root.first(t, "section.todo")
				switch {
				case todo.has("check"):
					at = read(t, h, todo, c.shows)
				case todo.has("repair"):
					at = doneAt(t, todo)
					entry := lastEntry(t, at)
					for _, wrong := range c.never {
						if strings.HasSuffix(entry, wrong) {
							t.Fatalf("%s is advised first: the obvious repair, and wrong", entry)
						}
					}
					if !strings.Contains(strings.Join(c.repair, "|"), entry) {
						t.Fatalf("advised %q, want one of %q", entry, c.repair)
					}
					proved(t, h, at)
					return
				default:
					t.Fatalf("neither a check nor a repair at %s:\n%s", at, todo.text())
				}
			}
			t.Fatal("ten steps and no repair")
		})
	}
}

// read fills the form of the page with what the machine shows and follows it.
func read(t *testing.T, h http.Handler, todo *node, shows truth) string {
	t.Helper()
	v := url.Values{}
	for _, in := range todo.named("input") {
		if in.attr["type"] == "hidden" || in.attr["type"] == "checkbox" && in.attr["name"] == "planned" {
			v.Add(in.attr["name"], in.attr["value"])
		}
	}
	check := v.Get("at")
	fill, ok := shows[check]
	if !ok {
		t.Fatalf("the page asks for %s, of which the case tells nothing", check)
	}
	for k, list := range fill {
		v[k] = list
	}
	a := ask(t, h, http.MethodGet, "/job/enter?"+v.Encode())
	if a.StatusCode != http.StatusSeeOther {
		t.Fatalf("%s: status %d\n%s", check, a.StatusCode, a.body)
	}
	return a.Header.Get("Location")
}

// doneAt is the address behind "It is repaired".
func doneAt(t *testing.T, todo *node) string {
	t.Helper()
	return todo.first(t, "a.go").attr["href"]
}

func lastEntry(t *testing.T, at string) string {
	t.Helper()
	u, err := url.Parse(at)
	if err != nil {
		t.Fatal(err)
	}
	log := u.Query()["log"]
	return log[len(log)-1]
}

// proved expects the proof to come next, and the job to be right after it.
func proved(t *testing.T, h http.Handler, at string) {
	t.Helper()
	todo := get(t, h, at).root.first(t, "section.todo")
	if !todo.has("proof") {
		t.Fatalf("after the repair comes no proof:\n%s", todo.text())
	}
}

func TestReadingThatCannotBeReadStaysTyped(t *testing.T) {
	h := demoSite(t)
	a := ask(t, h, http.MethodGet, "/job/enter?machine=V1&at=T35&v0=38+kX&v1=&words=smells")
	if a.StatusCode != http.StatusBadRequest {
		t.Fatalf("status %d", a.StatusCode)
	}
	soundPage(t, a, true)
	a.says(t, "kX", "This could not be read", "write 38 kΩ")
	if got := typedIn(t, a.root, "v0"); got != "38 kX" {
		t.Errorf("typed value is gone: %q", got)
	}
	if got := typedIn(t, a.root, "words"); got != "smells" {
		t.Errorf("typed words are gone: %q", got)
	}
}

// typedIn is what stands in the input of that name.
func typedIn(t *testing.T, root *node, name string) string {
	t.Helper()
	for _, in := range root.named("input") {
		if in.attr["name"] == name {
			return in.attr["value"]
		}
	}
	t.Fatalf("no input %s", name)
	return ""
}

func TestReadingGoesIntoTheLog(t *testing.T) {
	h := demoSite(t)
	v := held("machine", "V1", "at", "T35", "v0", "38", "uv0", "kΩ", "v1", "> 10 MΩ", "using", "insulation")
	a := ask(t, h, http.MethodGet, "/job/enter?"+v.Encode())
	to := a.Header.Get("Location")
	if a.StatusCode != http.StatusSeeOther || to == "" {
		t.Fatalf("status %d to %q", a.StatusCode, to)
	}
	page := get(t, h, to)
	page.says(t, "non-conforming", "T35 insulation", "38 kΩ")
	drop := page.root.first(t, "ol.log").first(t, "a.out").attr["href"]
	if strings.Contains(drop, "log=") {
		t.Errorf("taking the reading back keeps it: %s", drop)
	}
}

func TestNotComparableCanCountAnyway(t *testing.T) {
	h := demoSite(t)
	early := "/job?machine=V2&log=" + url.QueryEscape("T15: 31 °C, coolant 80 °C, warm-up from 12 °C")
	page := get(t, h, early)
	page.says(t, "not comparable", "5 K below 85 °C", "count it anyway")
	for _, l := range page.root.named("a") {
		if l.text() == "count it anyway" {
			get(t, h, l.attr["href"]).says(t, "counted anyway")
			return
		}
	}
	t.Error("no link counts it anyway")
}

func TestSignsCodesAndSuspectsAreSettledByLinks(t *testing.T) {
	h := demoSite(t)
	page := get(t, h, "/job?machine=V1")
	page.says(t, "water in valley connector", "P0327", "Heard in the complaint")
	drop := page.root.first(t, "ul.chips").first(t, "a.out").attr["href"]
	after := get(t, h, drop)
	if strings.Contains(after.root.first(t, "ul.chips").text(), "P0327") {
		t.Error("the code is still there")
	}
	no := page.root.first(t, "ul.heard").named("a")[1]
	if no.text() != "no" {
		t.Fatalf("second choice is %q", no.text())
	}
	get(t, h, no.attr["href"])
}

// TestReadElsewhere: the form offers the other points of the line, and what was
// read there is judged by the limit of that point and says how it was had.
func TestReadElsewhere(t *testing.T) {
	h := demoSite(t)
	form := get(t, h, "/job?machine=V3&at=T58").root.first(t, "form.entry")
	var places []string
	for _, list := range form.named("select") {
		for _, o := range list.named("option") {
			if list.attr["name"] == "point" {
				places = append(places, o.text())
			}
		}
	}
	if len(places) < 3 || !strings.Contains(strings.Join(places, "\n"), "EL01: limit carried there: 0.5832..0.6832 Ω") {
		t.Fatalf("%q", places)
	}
	v := held("v0", "0.62", "n0", "20", "point", "EL01")
	v.Set("machine", "V3")
	v.Set("at", "T58")
	to := ask(t, h, http.MethodGet, "/job/enter?"+v.Encode()).Header.Get("Location")
	log := get(t, h, to).root.first(t, "ol.log").text()
	if !strings.Contains(log, "T58 at EL01") || !strings.Contains(log, "carried to EL01 is 0.5832..0.6832") || !strings.Contains(log, "conforming") {
		t.Error(log)
	}
	v.Set("point", "EL01: 5 V, at X3")
	if to := ask(t, h, http.MethodGet, "/job/enter?"+v.Encode()).Header.Get("Location"); strings.Contains(to, "EL01") {
		t.Errorf("a point that was not offered is taken: %s", to)
	}
}
