package web

import (
	"errors"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/circuit"
	"elbowroom/guide"
)

// circuitPage is a piece of wiring: the drawing, what stands at each point, and
// what to measure next.
type circuitPage struct {
	page
	Subject   subject
	Head      string
	Error     string // what is wrong with what was typed
	Details   []string
	Blamed    []string // who is suspected on it
	Others    []circuitCard
	Drawings  []template.HTML // downwards for a phone, to the right for a desk; the style sheet shows one
	Label     string
	States    []string // that the expected values are of, when there are several
	Points    []pointRow
	Open      *pointView
	Splits    []splitView
	Located   *locatedView
	Faults    []faultView
	FaultsAt  string
	Elsewhere []logRow
	Assumes   []string
	Notes     []string
	Hidden    []field // of the form
	Given     string
	Measured  string
	Example   string // of a reading
	GivenHow  string // of what holds meanwhile
	Job       string
	Deference string
}

// circuitCard is one circuit to choose.
type circuitCard struct {
	Name, Href, Share string
	Suspects          []string
	Next              bool
}

// splitView is the order of tests on one circuit.
type splitView struct {
	Name, Expected string
	Tests          []splitRow
}

// splitRow is one test.
type splitRow struct {
	When, Name, Href, Minutes, Says, Shares string
	Before                                  px // of 1000
	Deep                                    int
}

// locatedView is where readings along a line put resistance.
type locatedView struct {
	Says    string
	Rows    []locatedRow
	Used    []string
	Assumes []string
}

type locatedRow struct {
	Name, Drop, Ohm, Expected, Finding string
	Worst                              bool
}

// faultView is what one suspected place would make the points read.
type faultView struct {
	Name  string
	Reads []string
}

// wires is the part of an address that only this page has.
type wires struct {
	of, point       string
	given, measured []string
}

func readWires(v url.Values) wires {
	v = validValues(v)
	return wires{of: strings.TrimSpace(v.Get("id")), point: v.Get("point"), given: lines(v["given"]), measured: lines(v["measured"])}
}

// lines splits what came from fields of several lines.
func lines(list []string) []string {
	var out []string
	for _, text := range list {
		for _, l := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == ';' || r == '\uFFFD' }) {
			if l = strings.TrimSpace(l); l != "" {
				out = append(out, l)
			}
		}
	}
	return out
}

// to returns the address of the page with the whole job in it.
func (x wires) to(st state) string {
	v := st.bare().values()
	for key, list := range map[string][]string{"id": {x.of}, "point": {x.point}, "given": x.given, "measured": x.measured} {
		for _, value := range list {
			if value != "" {
				v.Add(key, value)
			}
		}
	}
	if len(v) == 0 {
		return "/circuit"
	}
	return "/circuit?" + v.Encode()
}

// at returns the address with the sheet of one point open.
func (x wires) at(st state, key string) string {
	x.point = key
	return x.to(st) + "#point"
}

func (s *site) circuit(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	// pricing the way to every point is all that is searched here; a turn to
	// plan is held meanwhile
	st.ask.Budget = min(s.opts.Budget, nextBudget)
	j := s.subject(st.ask)
	if s.mustChoose(w, r, st, j, "circuit") {
		return
	}
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		s.busy(w)
		return
	}
	p := circuitPage{page: s.page("job", "wire.title", st), Subject: j, Job: st.bare().to("/job")}
	status := http.StatusOK
	if !j.NoGuide {
		x := readWires(r.URL.Query())
		wiring, wrong, err := s.wiringOf(st, x)
		if err != nil {
			s.fail(w, r, st, err)
			return
		}
		if wrong != nil {
			p.Error, p.Details = sentences(plain(wrong))
			status = statusOf(wrong)
		}
		p.fill(st, x, wiring)
	}
	s.render(w, r, status, "circuit", "layout", p)
}

// wiringOf asks for the wiring. What is wrong with what was typed on this page
// comes back beside an answer without it, so that it can be put right there.
func (s *site) wiringOf(st state, x wires) (w *app.Wiring, wrong, err error) {
	q := app.Wires{Of: x.of, Given: x.given, Measured: x.measured}
	for _, without := range []func(){func() {}, func() { q.Measured = nil }, func() { q.Given = nil }, func() { q.Of = "" }} {
		without()
		if w, err = s.use.Circuit(st.inquiry(), q); err == nil {
			return w, wrong, nil
		}
		if !errors.Is(err, app.ErrInput) && !errors.Is(err, app.ErrUnknown) {
			return nil, nil, err
		}
		if wrong == nil {
			wrong = err
		}
	}
	return nil, nil, err
}

func (p *circuitPage) fill(st state, x wires, w *app.Wiring) {
	x.of = w.Asked.Of // what could not be found is not asked for again
	p.Blamed, p.Others = blamed(w.Shown), cardsOf(st, w.Others)
	p.Given, p.Measured, p.Deference = strings.Join(x.given, "\n"), strings.Join(x.measured, "\n"), w.Deference
	p.Assumes, p.Notes = w.Assumes, w.Notes
	form := st.bare()
	p.Hidden = form.fields()
	if x.of != "" {
		p.Hidden = append(p.Hidden, field{"id", x.of})
	}
	if w.Graph == nil {
		p.Head = say("wire.none")
		return
	}
	p.Head = headOf(w.Shown)
	p.Title = say("wire.title-of", p.Head)
	p.Label = say("wire.drawing", p.Head)
	if len(w.Scenes) > 1 {
		p.States = w.Scenes
		p.FaultsAt = w.Scenes[len(w.Scenes)-1]
	}
	for i := range w.Points {
		row := pointOf(st, x, &w.Points[i])
		p.Points = append(p.Points, row)
		if row.Here {
			p.Open = sheetAt(st, x, w, &w.Points[i])
		}
	}
	p.tests(st, x, w)
	p.Located = locatedOf(w.Located)
	for _, f := range w.Faults {
		p.Faults = append(p.Faults, faultOf(f))
	}
	for i, e := range w.Elsewhere {
		p.Elsewhere = append(p.Elsewhere, logOf(st, i, e))
	}
	p.draw(st, x, w)
	p.Example, p.GivenHow = example(w), strings.Join(givenExamples(w.Graph), ", ")
}

func headOf(list []app.CircuitLine) string {
	var names []string
	for _, l := range list {
		names = append(names, l.Name)
	}
	return guide.Capital(strings.Join(names, "; "))
}

// blamed says who is suspected on the circuits that are drawn, the same people
// once.
func blamed(list []app.CircuitLine) []string {
	var out, told []string
	for _, l := range list {
		names := strings.Join(l.Suspects, ", ")
		if names == "" || slices.Contains(told, names) {
			continue
		}
		told = append(told, names)
		out = append(out, say("wire.suspects", percent(min(l.Share, 1)), names))
	}
	return out
}

func cardsOf(st state, list []app.CircuitLine) []circuitCard {
	var out []circuitCard
	for _, l := range list {
		c := circuitCard{Name: guide.Capital(l.Name), Href: wires{of: string(l.ID)}.to(st), Suspects: l.Suspects, Next: l.Next}
		if l.Matters() {
			c.Share = percent(min(l.Share, 1))
		}
		out = append(out, c)
	}
	return out
}

// example is a reading as it can be typed, at the first point that is reached.
func example(w *app.Wiring) string {
	for _, p := range w.Points {
		if p.Known && p.Minutes > 0 {
			return strings.ReplaceAll(p.Name, ",", "") + " 11.2 V"
		}
	}
	return ""
}

// givenExamples shows what can be said of this wiring.
func givenExamples(g *circuit.Graph) []string {
	var out []string
	seen := map[string]bool{}
	for i := range g.Nodes {
		n := &g.Nodes[i]
		kind, text := "", ""
		switch {
		case n.On == "":
		case n.Feeds:
			kind, text = "supply", string(n.On)+" "+app.VoltsText(n.Volt)
		case n.Sort == guide.SensingNode && n.Law != "":
			kind, text = "sensor", say("wire.given-sensor", n.On)
		case n.Sort == guide.RelayNode || n.Sort == guide.FuseNode:
			kind, text = "off", say("wire.given-off", n.On)
		}
		if kind != "" && !seen[kind] {
			seen[kind] = true
			out = append(out, text)
		}
	}
	return append(out, say("wire.given-wires"))
}

// Widths in pixels that the drawings are made for.
const (
	wirePhone = 350
	wireDesk  = 1320
)

// draw adds the two drawings with a mark at every point that a probe can touch.
func (p *circuitPage) draw(st state, x wires, w *app.Wiring) {
	d := circuit.Drawing{Graph: w.Graph, Title: p.Head, Suspect: w.Suspect, Legend: true}
	for _, pt := range w.Points {
		if !pt.Touch {
			continue
		}
		m := circuit.Mark{At: pt.At, Verdict: pt.Verdict, Link: x.at(st, pt.Key)}
		if pt.Read != "" {
			m.Says = string(pt.By) + ": " + pt.Read
		}
		d.Marks = append(d.Marks, m)
	}
	for _, way := range []struct {
		direction circuit.Direction
		width     float64
	}{{circuit.Downwards, wirePhone}, {circuit.Rightwards, wireDesk}} {
		d.Direction, d.Width, d.ID = way.direction, way.width, "wire"+strconv.Itoa(int(way.width))
		p.Drawings = append(p.Drawings, template.HTML(d.SVG())) // package circuit escapes every name
	}
}

// tests lays out where to test first.
func (p *circuitPage) tests(st state, x wires, w *app.Wiring) {
	for _, s := range w.Splits {
		if s.Depth == 0 {
			v := splitView{Expected: say("wire.split-takes", app.Minutes(s.Expected.Round(time.Minute)), app.Minutes(s.Worst))}
			if len(w.Shown) > 1 {
				v.Name = nameOfCircuit(w, s.Circuit)
			}
			p.Splits = append(p.Splits, v)
		}
		v := &p.Splits[len(p.Splits)-1]
		v.Tests = append(v.Tests, splitRow{
			When: guide.Capital(s.When), Name: s.Name, Href: x.at(st, s.Key), Minutes: app.Minutes(s.Minutes), Says: guide.Capital(s.Says),
			Shares: say("wire.split-shares", percent(s.Before), percent(s.After)), Before: px(1000 * s.Before), Deep: min(s.Depth, 3),
		})
	}
}

func nameOfCircuit(w *app.Wiring, id guide.ID) string {
	for _, l := range w.Shown {
		if l.ID == id {
			return guide.Capital(l.Name)
		}
	}
	return string(id)
}

func locatedOf(l *app.Located) *locatedView {
	if l == nil {
		return nil
	}
	v := &locatedView{Says: guide.Capital(l.Says), Used: l.Used, Assumes: l.Assumes}
	if l.Quiet != "" {
		v.Says = guide.Capital(l.Quiet)
	}
	for _, s := range l.Lines {
		v.Rows = append(v.Rows, locatedRow{say("wire.stretch", s.From, s.To), s.Drop, s.Ohm, s.Expected, guide.Capital(string(s.Finding)), s.Worst})
	}
	return v
}

// maxReads is how many points of one fault are listed.
const maxReads = 8

func faultOf(f app.FaultLine) faultView {
	v := faultView{Name: say("wire.fault", guide.Capital(f.Place), f.Case), Reads: f.Shown}
	for i, x := range f.Reads {
		if i == maxReads {
			v.Reads = append(v.Reads, say("wire.more", len(f.Reads)-maxReads))
			break
		}
		v.Reads = append(v.Reads, say("wire.reads", x.Name, app.VoltsText(x.Volts), app.VoltsText(x.Should)))
	}
	return v
}
