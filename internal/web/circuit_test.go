package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"elbowroom/app"
)

const fuseRead = "log=T52%3A+2.71+V%2C+low-pressure+pump+running%2C+full+load%2C+as+T50"

// slowWiring is a program that notes how long each question about the wiring
// may search, and refuses what was typed.
type slowWiring struct {
	*program
	budgets []time.Duration
}

func (p *slowWiring) Circuit(j app.Job, q app.Wires) (*app.Wiring, error) {
	p.budgets = append(p.budgets, j.Budget)
	if len(q.Measured) > 0 {
		return nil, fmt.Errorf("%w: measured 1", app.ErrInput)
	}
	return p.App.Circuit(j, q)
}

// TestWiringHoldsItsTurnShortly: a turn to plan is scarce, and this page must
// not hold one for as long as a plan may, also when it asks again without what
// was wrong: others wait for it.
func TestWiringHoldsItsTurnShortly(t *testing.T) {
	p := &slowWiring{program: demoProgram(t)}
	h := New(p, Options{Budget: 10 * time.Second})
	if a := ask(t, h, http.MethodGet, "/circuit?machine=V3&id=fuel-pump&measured=x"); a.StatusCode != http.StatusBadRequest {
		t.Fatalf("status %d", a.StatusCode)
	}
	total := time.Duration(0)
	for _, b := range p.budgets {
		total += b
	}
	if len(p.budgets) < 2 || total >= slotWait {
		t.Errorf("%d questions may search for %s in all; others wait %s for a turn", len(p.budgets), total, slotWait)
	}
}

// TestWiringShowsVerdicts: a reading stands at its point, in the drawing and in
// the table, by shape and letter and word, never by colour alone.
func TestWiringShowsVerdicts(t *testing.T) {
	a := get(t, demoSite(t), "/circuit?machine=V3&"+fuseRead)
	svgs := a.root.named("svg.wiring")
	if len(svgs) != 2 {
		t.Fatalf("%d drawings, want one for a phone and one for a desk", len(svgs))
	}
	for _, svg := range svgs {
		marks := svg.named("g.bad")
		if len(marks) == 0 || !strings.Contains(marks[0].text(), "non-conforming") || !strings.Contains(marks[0].text(), "T52: 2.71 V") {
			t.Errorf("the reading is not on the drawing: %s", svg.text())
		}
		if len(svg.named("text.letter")) == 0 || len(svg.named("title")) == 0 || len(svg.named("desc")) == 0 {
			t.Error("no letters or no text alternative")
		}
	}
	found := false
	for _, row := range a.root.first(t, "table.points").named("tr") {
		if text := row.text(); strings.Contains(text, "EL05 fuse, load side") {
			found = strings.Contains(text, "non-conforming") && strings.Contains(text, "3 min") && strings.Contains(text, "13.76 V")
		}
	}
	if !found {
		t.Error("the table does not say it")
	}
}

// TestPointLeadsOn: every point of the drawing leads to its sheet, the sheet to
// the form of a check and to the bay, and the whole job stays in the address.
func TestPointLeadsOn(t *testing.T) {
	h := demoSite(t)
	a := get(t, h, "/circuit?machine=V3&"+fuseRead)
	links := a.root.first(t, "svg.wiring").named("a")
	if len(links) < 5 {
		t.Fatalf("%d points lead on", len(links))
	}
	for _, l := range links {
		to, fragment, _ := strings.Cut(l.attr["href"], "#")
		if l.attr["aria-label"] == "" || fragment != "point" {
			t.Errorf("%v", l.attr)
		}
		sheet := get(t, h, to).root.first(t, "section.point")
		if name, _, _ := strings.Cut(l.attr["aria-label"], ":"); !strings.Contains(sheet.text(), name) {
			t.Errorf("%s opens %q", l.attr["aria-label"], sheet.first(t, "h2").text())
		}
	}
	point := get(t, h, "/circuit?machine=V3&"+fuseRead+"&point="+url.QueryEscape("fuel-pump.f14/load side")).root.first(t, "section.point")
	for _, want := range []string{"3 min", "13.76 V", "T52: 2.71 V", "non-conforming", "480 mΩ more", "EL02 supply +"} {
		if !strings.Contains(point.text(), want) {
			t.Errorf("the sheet does not say %q: %s", want, point.text())
		}
	}
	for _, want := range []string{"/job?at=T52", "/bay?item=EL05"} {
		if !slices.ContainsFunc(point.named("a"), func(n *node) bool {
			return strings.HasPrefix(n.attr["href"], want) && strings.Contains(n.attr["href"], "log=T52")
		}) {
			t.Errorf("no link to %s with the log", want)
		}
	}
	form := get(t, h, "/job?at=T52&machine=V3")
	form.says(t, "Reading of T52")
}

// TestWiringKeepsWhatIsWrong: what cannot be read is answered on the page, with
// what was typed.
func TestWiringKeepsWhatIsWrong(t *testing.T) {
	h := demoSite(t)
	for _, c := range []struct {
		name, at, says string
		status         int
		keeps          string
	}{
		{"side not said", "/circuit?machine=V3&id=fuel-pump&measured=EL05+13.6+V", "EL05 fuse supply side or EL05 fuse load side", http.StatusBadRequest, "EL05 13.6 V"},
		{"given of another wiring", "/circuit?machine=V3&id=fuel-pump&given=SE03+90+%C2%B0C", "nothing of this wiring", http.StatusBadRequest, "SE03 90 °C"},
		{"unknown circuit", "/circuit?machine=V3&id=fuel-pmp", "fuel-pump", http.StatusNotFound, ""},
		{"item without wiring", "/circuit?machine=V3&id=PN01", "the wiring of the", http.StatusBadRequest, ""},
		{"binary rubbish", "/circuit?machine=V3&id=%00%ff&measured=%00&given=%fe", "", http.StatusBadRequest, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := ask(t, h, http.MethodGet, c.at)
			if a.StatusCode != c.status && c.name != "binary rubbish" || a.StatusCode/100 != 4 {
				t.Fatalf("status %d", a.StatusCode)
			}
			alert := a.root.first(t, "div.wrong")
			if !strings.Contains(alert.text(), c.says) || alert.attr["role"] != "alert" {
				t.Errorf("says %q, want %q", alert.text(), c.says)
			}
			if len(a.root.named("svg.wiring")) != 2 || !strings.Contains(a.text(), c.keeps) {
				t.Error("the rest of the page is lost")
			}
			soundPage(t, a, true)
		})
	}
	bad := ask(t, h, http.MethodGet, "/circuit?machine=V3&log=T99%3A+1+V")
	if bad.StatusCode != http.StatusBadRequest {
		t.Errorf("a job that cannot be read: %d", bad.StatusCode)
	}
}

// TestWiringLocates: typed drops are worked out on the page.
func TestWiringLocates(t *testing.T) {
	a := get(t, demoSite(t), "/circuit?machine=V3&id=EL05&measured=EL02+to+EL06+load+side+0.09+V%0D%0AEL02+to+EL05+supply+side+2.71+V%0D%0A5.83+A")
	a.says(t, "449.4 mΩ ± 9.53 mΩ more than its wiring between EL06 relay, load side and EL05 fuse, supply side", "Too much resistance", "should be 15 mΩ")
	if got := a.root.all(func(n *node) bool { return n.attr["id"] == "measured" })[0].text(); !strings.Contains(got, "5.83 A") {
		t.Errorf("typed readings are lost: %q", got)
	}
}

// TestJobLinksWiring: the job page names the wiring that matters, what is
// measured next among it, and keeps the job.
func TestJobLinksWiring(t *testing.T) {
	a := get(t, demoSite(t), "/job?machine=V3&complaint=no+power+uphill")
	list := a.root.first(t, "ul.circuits")
	link := list.first(t, "a")
	if !strings.Contains(list.text(), "Low-pressure fuel pump") || !strings.HasPrefix(link.attr["href"], "/circuit?") || !strings.Contains(link.attr["href"], "complaint=no+power+uphill") {
		t.Errorf("%s %v", list.text(), link.attr)
	}
}

// TestWiringWithoutSuspicion: nothing suspected, the circuits to choose from.
func TestWiringWithoutSuspicion(t *testing.T) {
	p := demoProgram(t)
	h := New(&noWiring{p}, Options{})
	a := get(t, h, "/circuit?machine=V3")
	if len(a.root.named("svg.wiring")) != 0 || len(a.root.first(t, "ul.circuits").named("a")) != 2 {
		t.Error("want no drawing and two circuits")
	}
	soundPage(t, a, true)
}

// noWiring has two circuits, and nobody suspects them.
type noWiring struct{ *program }

func (*noWiring) Circuit(app.Job, app.Wires) (*app.Wiring, error) {
	return &app.Wiring{Others: []app.CircuitLine{{ID: "lamp", Name: "lamp"}, {ID: "horn", Name: "horn"}}}, nil
}
