package web

import (
	"net/http"
	"strings"
	"testing"
)

const (
	demoDay    = "&day=2026-03-16"
	visitSheet = "/torque?machine=V1&task=replace:SE13&task=replace:CO02&task=replace:FU01" + demoDay
)

// torqueAddresses are the torque sheet in every state that has a layout of its
// own.
var torqueAddresses = []struct{ name, at string }{
	{"visit", visitSheet},
	{"visit with overdue tools", "/torque?machine=V1&task=replace:SE13&day=2030-01-01"},
	{"one item", "/torque?machine=V1&item=SE13" + demoDay},
	{"item held by clips", "/torque?machine=V1&item=PN02" + demoDay},
	{"item with an unknown torque", "/torque?machine=V1&item=AC13" + demoDay},
	{"adapter and second unit", "/torque?machine=V1&item=FU02&reach=60&bend=45&unit=lbf%C2%B7ft&threads=dry" + demoDay},
	{"adapter at a right angle", "/torque?machine=V1&item=SE13&reach=60&bend=90" + demoDay},
	{"value", "/torque?machine=V1&item=SE13&value=22+Nm" + demoDay},
	{"everything wrong", "/torque?machine=V1&item=SE13&value=22&reach=long&day=soon"},
	{"tasks in view", "/torque?machine=V1" + demoDay},
	{"nothing asked", "/torque?guide=v27p&variant=LHD+A"},
	{"left open", "/torque?machine=V1&task=replace:SE13&leave=all" + demoDay},
	{"without guide", "/torque?machine=V5"},
	{"variant asked for", "/torque"},
}

func TestEveryTorqueSheetIsSound(t *testing.T) {
	h := demoSite(t)
	for _, c := range torqueAddresses {
		t.Run(c.name, func(t *testing.T) { soundPage(t, ask(t, h, http.MethodGet, c.at), true) })
	}
}

// The sheet has a joint for each line of the refit, with figure, tool, state,
// source, order and a box for each fastener.
func TestTorqueSheetOfAVisit(t *testing.T) {
	a := get(t, demoSite(t), visitSheet)
	cards := a.root.named("li.joint-card")
	if len(cards) < 10 {
		t.Fatalf("%d joints", len(cards))
	}
	for _, c := range []struct{ item, says string }{
		{"SE13", "20 N·m"},
		{"SE13", "wrench A, 5–25 N·m"},
		{"SE13", "until revision 3 of 2026-03-02: lead fractures"},
		{"FU01", "Single-use: fit new ones"},
		{"FU02", "set to 24.8 N·m"},
		{"FU02", "24.5 N·m gives 27.7 N·m; 25 N·m gives 28.3 N·m"},
		{"CO09", "1.5 N·m"},
		{"CO09", "torque driver 1–6 N·m"},
		{"AR05", "From the middle outwards"},
	} {
		found := false
		for _, card := range cards {
			found = found || strings.Contains(card.first(t, "h3").text(), c.item) && strings.Contains(card.text(), c.says)
		}
		if !found {
			t.Errorf("%s: the sheet does not say %q", c.item, c.says)
		}
	}
	for _, card := range cards {
		if strings.Contains(card.first(t, "h3").text(), "AR05") {
			if n := len(card.first(t, "p.boxes").named("span")); n != 8 {
				t.Errorf("%d boxes for 8 screws", n)
			}
			svg := card.first(t, "svg.joint")
			if title := svg.first(t, "title").text(); !strings.Contains(title, "8 fasteners") || !strings.Contains(title, "2 7 3 6 4 5 1 8") {
				t.Errorf("the drawing reads %q", title)
			}
		}
		if s := card.named("s"); len(s) > 0 && !strings.Contains(s[0].text(), "No longer:") {
			t.Error("struck through by its look alone")
		}
	}
	a.says(t, "Goes back without a fastener")
	a.says(t, "overdue")
	if links := a.root.first(t, "li.joint-card").first(t, "a.num"); !strings.HasPrefix(links.attr["href"], "/plan?") || !strings.Contains(links.attr["href"], "#") {
		t.Errorf("the step leads to %q", links.attr["href"])
	}
}

// Plan and item lead to the sheet and the sheet leads back.
func TestTorqueSheetIsLinked(t *testing.T) {
	h := demoSite(t)
	for _, c := range []struct{ from, to string }{
		{"/plan?machine=V1&task=replace:SE13", "/torque?"},
		{"/bay?machine=V1&item=SE13", "/torque?item=SE13"},
		{visitSheet, "/plan?machine=V1"},
		{"/torque?machine=V1&item=SE13" + demoDay, "/bay?item=SE13"},
	} {
		links := get(t, h, c.from).root.named("a")
		found := ""
		for _, l := range links {
			if strings.HasPrefix(l.attr["href"], c.to) {
				found = l.attr["href"]
			}
		}
		if found == "" {
			t.Errorf("%s does not lead to %s", c.from, c.to)
			continue
		}
		at, _, _ := strings.Cut(found, "#")
		if a := get(t, h, at); a.StatusCode != http.StatusOK {
			t.Errorf("%s answers %d", at, a.StatusCode)
		}
	}
}

// What is wrong with a field is said there, keeps what was typed, and the rest
// of the sheet stands.
func TestTorqueKeepsWhatIsWrong(t *testing.T) {
	h := demoSite(t)
	for _, c := range []struct{ name, at, field, typed, says string }{
		{"reach", "/torque?machine=V1&item=SE13&reach=long" + demoDay, "reach", "long", "is no length"},
		{"bend without reach", "/torque?machine=V1&item=SE13&bend=45" + demoDay, "bend", "45", "reach is missing"},
		{"value without a unit", "/torque?machine=V1&item=SE13&value=22" + demoDay, "value", "22", "write it like 22 N·m"},
		{"day", "/torque?machine=V1&item=SE13&day=soon", "day", "soon", "is no day"},
		{"markup", "/torque?machine=V1&item=SE13&value=%3Cscript%3E" + demoDay, "value", "<script>", "must begin with a number"},
	} {
		a := ask(t, h, http.MethodGet, c.at)
		if a.StatusCode != http.StatusBadRequest {
			t.Errorf("%s: %d", c.name, a.StatusCode)
		}
		alert := a.root.first(t, "p.wrong")
		if !strings.Contains(alert.text(), c.says) || alert.attr["role"] != "alert" {
			t.Errorf("%s: %q", c.name, alert.text())
		}
		kept := false
		for _, in := range a.root.named("input") {
			kept = kept || in.attr["name"] == c.field && in.attr["value"] == c.typed
		}
		if !kept || len(a.root.named("li.joint-card")) == 0 {
			t.Errorf("%s: what was typed is lost, or the sheet", c.name)
		}
	}
	all := ask(t, h, http.MethodGet, "/torque?machine=V1&item=SE13&value=22&reach=long&day=soon")
	if n := len(all.root.named("p.wrong")); n != 3 {
		t.Errorf("three groups are wrong, %d are said to be", n)
	}
	for at, want := range map[string]int{
		"/torque?machine=V1&item=SE99": http.StatusNotFound, "/torque?machine=V99": http.StatusNotFound, "/torque?machine=V1&task=replace": http.StatusBadRequest,
	} {
		if a := ask(t, h, http.MethodGet, at); a.StatusCode != want {
			t.Errorf("%s: %d, want %d", at, a.StatusCode, want)
		}
	}
}

// An old value is answered as such, and an angle at right angles changes
// nothing.
func TestTorqueAnswersOnThePage(t *testing.T) {
	h := demoSite(t)
	get(t, h, "/torque?machine=V1&item=SE13&value=22+Nm"+demoDay).says(t, "22 N·m was superseded by revision 3 of 2026-03-02: lead fractures")
	a := get(t, h, "/torque?machine=V1&item=SE13&reach=60&bend=90"+demoDay)
	a.says(t, "nothing to correct")
	if len(a.root.named("figure.adapter")) != 0 {
		t.Error("a drawing of a correction that is none")
	}
	b := get(t, h, "/torque?machine=V1&item=SE13&reach=60&arm=400"+demoDay)
	b.says(t, "set to 17.4 N·m") // 20·400/460
	if title := b.root.first(t, "figure.adapter").first(t, "title").text(); title != "Wrench of 400 mm with an adapter of 60 mm at 0 degrees, not to scale" {
		t.Errorf("the drawing reads %q", title)
	}
	get(t, h, "/torque?machine=V1&item=SE13&threads=oiled"+demoDay).says(t, "it says nothing about oiled ones")
}
