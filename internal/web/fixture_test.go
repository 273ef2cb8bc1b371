package web

import (
	"compress/gzip"
	"encoding/xml"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/bay"
	"elbowroom/demo"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/workshop"
)

// program is the real program over the demonstration; each field that is set
// takes the place of one use case.
type program struct {
	*app.App
	plan   func(app.Ask) (*app.Answer, error)
	reach  func(app.Ask) (*app.Answer, []app.ReachRow, error)
	item   func(app.Ask, guide.ID) (*app.ItemSheet, error)
	home   func() []app.MachineLine
	guides func() []*app.Loaded
}

func (p *program) Plan(q app.Ask) (*app.Answer, error) {
	if p.plan != nil {
		return p.plan(q)
	}
	return p.App.Plan(q)
}

func (p *program) Reach(q app.Ask) (*app.Answer, []app.ReachRow, error) {
	if p.reach != nil {
		return p.reach(q)
	}
	return p.App.Reach(q)
}

func (p *program) Item(q app.Ask, id guide.ID) (*app.ItemSheet, error) {
	if p.item != nil {
		return p.item(q, id)
	}
	return p.App.Item(q, id)
}

func (p *program) Home() []app.MachineLine {
	if p.home != nil {
		return p.home()
	}
	return p.App.Home()
}

func (p *program) Guides() []*app.Loaded {
	if p.guides != nil {
		return p.guides()
	}
	return p.App.Guides()
}

// nothing is a program with no guide and no machine.
type nothing struct{}

var errNothing = errors.New("not here")

func (nothing) Home() []app.MachineLine                   { return nil }
func (nothing) Guides() []*app.Loaded                     { return nil }
func (nothing) Plan(app.Ask) (*app.Answer, error)         { return nil, unknownError("guide") }
func (nothing) Where(app.Ask, string) (*app.Found, error) { return nil, unknownError("guide") }
func (nothing) Reach(app.Ask) (*app.Answer, []app.ReachRow, error) {
	return nil, nil, unknownError("guide")
}

func (nothing) Quote(app.QuoteAsk) (*app.Quote, error) { return nil, unknownError("guide") }

func (nothing) Workshop() *workshop.Workshop { return nil }

func (nothing) Suspects(app.Job) (*app.Inquiry, error) { return nil, unknownError("guide") }

func (nothing) Next(app.Job, app.Detail) (*app.NextStep, error) { return nil, unknownError("guide") }

func (nothing) Judge(app.Ask, string) (*app.Judgement, error) { return nil, unknownError("guide") }

func (nothing) Form(app.Job, string) (*app.Form, error) { return nil, unknownError("guide") }

func (nothing) Recording(app.RecordingAsk) (*app.Recorded, error) { return nil, unknownError("guide") }

func (nothing) Circuit(app.Job, app.Wires) (*app.Wiring, error) { return nil, unknownError("guide") }

func (nothing) Torque(app.TorqueAsk) (*app.TorqueSheet, error) { return nil, unknownError("guide") }

func (nothing) Paper(app.PaperAsk) (*app.Paper, error) { return nil, unknownError("guide") }

func (nothing) ReadCodes(app.Job, app.CodeInput) (*app.CodesRead, error) {
	return nil, unknownError("guide")
}

func (nothing) Item(app.Ask, guide.ID) (*app.ItemSheet, error) { return nil, unknownError("guide") }

func (nothing) Scene(app.Ask) (*bay.Scene, *guide.Resolved, error) {
	return nil, nil, unknownError("guide")
}

func unknownError(what string) error {
	return errors.Join(app.ErrUnknown, errNothing, errors.New(what))
}

var loadDemo = sync.OnceValues(func() (*app.App, error) {
	shop, err := demo.Workshop()
	if err != nil {
		return nil, err
	}
	return app.Open(time.Now, shop, app.Source{Name: "v27p", FS: demo.FS(), Dir: demo.GuideDir})
})

func demoProgram(t testing.TB) *program {
	t.Helper()
	a, err := loadDemo()
	if err != nil {
		t.Fatalf("the demonstration does not load: %v", err)
	}
	return &program{App: a}
}

// demoSite returns the pages over the demonstration. Only what is also in
// reach is not worked out but made up: it would take seconds on every page.
func demoSite(t testing.TB) http.Handler { return siteWithin(t, 2*time.Second) }

// siteWithin is demoSite with another time for a search.
func siteWithin(t testing.TB, budget time.Duration) http.Handler {
	p := demoProgram(t)
	p.reach = func(q app.Ask) (*app.Answer, []app.ReachRow, error) {
		a, err := p.App.Plan(q)
		if err != nil {
			return nil, nil, err
		}
		return a, madeUpRows(a), nil
	}
	return New(p, Options{Patterns: true, Budget: budget})
}

// madeUpRows returns one row for every replacement of the guide, dearest
// first, every fifth changing the way in and every seventh impossible.
func madeUpRows(a *app.Answer) []app.ReachRow {
	var rows []app.ReachRow
	for i := range a.Resolved.Items {
		it := &a.Resolved.Items[i]
		for _, v := range taskVerbs(a.Resolved, it) {
			n := len(rows)
			row := app.ReachRow{Task: plan.Task{Verb: v, On: it.ID}, Text: verbText(v) + " " + it.Name, Item: it, Outcome: plan.Optimal}
			row.Extra, row.Alone, row.Changes = time.Duration(200-n)*time.Minute, 300*time.Minute, n%5 == 0
			if n%7 == 6 {
				row.Outcome, row.Reason = plan.Impossible, "it stands in the way of itself"
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// answer is what came back.
type answer struct {
	*http.Response
	body string
	root *node
}

// ask sends one request and reads the page.
func ask(t testing.TB, h http.Handler, method, address string, header ...string) answer {
	t.Helper()
	r := httptest.NewRequest(method, address, nil)
	for i := 0; i+1 < len(header); i += 2 {
		r.Header.Set(header[i], header[i+1])
	}
	return serve(t, h, r)
}

// serve answers one request.
func serve(t testing.TB, h http.Handler, r *http.Request) answer {
	t.Helper()
	address := r.URL.String()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	a := answer{Response: w.Result()}
	var body io.Reader = a.Body
	if a.Header.Get("Content-Encoding") == "gzip" {
		z, err := gzip.NewReader(a.Body)
		if err != nil {
			t.Fatalf("%s: %v", address, err)
		}
		body = z
	}
	data, err := io.ReadAll(body)
	if err != nil {
		t.Fatalf("%s: %v", address, err)
	}
	a.body = string(data)
	redirect := a.StatusCode/100 == 3 // whose few words are the library's
	if strings.HasPrefix(a.Header.Get("Content-Type"), "text/html") && len(data) > 0 && !redirect {
		a.root = parse(t, address, a.body)
	}
	return a
}

// get asks for a page that must be there.
func get(t testing.TB, h http.Handler, address string) answer {
	t.Helper()
	a := ask(t, h, http.MethodGet, address)
	if a.StatusCode != http.StatusOK {
		t.Fatalf("%s: status %d\n%s", address, a.StatusCode, a.text())
	}
	return a
}

// node is one element of a page.
type node struct {
	name string
	attr map[string]string
	kids []*node
	up   *node
	own  string // text directly inside
}

// parse reads a page as the loose XML that our templates write. A page that is
// not well nested fails the test.
func parse(t testing.TB, address, html string) *node {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(html))
	d.Strict = false
	d.AutoClose = xml.HTMLAutoClose
	d.Entity = xml.HTMLEntity
	root := &node{name: "#page"}
	at := root
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return root
		}
		if err != nil {
			t.Fatalf("%s: the page is not well nested: %v", address, err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			n := &node{name: x.Name.Local, attr: map[string]string{}, up: at}
			for _, a := range x.Attr {
				n.attr[a.Name.Local] = a.Value
			}
			at.kids = append(at.kids, n)
			at = n
		case xml.EndElement:
			at = at.up
		case xml.CharData:
			at.own += string(x)
			at.kids = append(at.kids, &node{name: "#text", own: string(x), up: at})
		}
	}
}

// all returns the elements below that the test accepts, in document order.
func (n *node) all(accept func(*node) bool) []*node {
	var out []*node
	for _, k := range n.kids {
		if k.name != "#text" && accept(k) {
			out = append(out, k)
		}
		out = append(out, k.all(accept)...)
	}
	return out
}

// named selects by element and, where given, class: "a", "li.step", ".caution".
func (n *node) named(selector string) []*node {
	element, class, _ := strings.Cut(selector, ".")
	return n.all(func(k *node) bool {
		return (element == "" || k.name == element) && (class == "" || k.has(class))
	})
}

func (n *node) has(class string) bool {
	for _, c := range strings.Fields(n.attr["class"]) {
		if c == class {
			return true
		}
	}
	return false
}

// text returns everything that is written below, with single spaces.
func (n *node) text() string {
	var b strings.Builder
	var walk func(*node)
	walk = func(k *node) {
		if k.name == "#text" {
			b.WriteString(k.own + " ")
			return
		}
		for _, x := range k.kids {
			walk(x)
		}
	}
	walk(n)
	return strings.Join(strings.Fields(b.String()), " ")
}

func (a answer) text() string {
	if a.root == nil {
		return a.body
	}
	return a.root.text()
}

// says fails unless the page says all of it.
func (a answer) says(t testing.TB, wants ...string) {
	t.Helper()
	have := a.text()
	for _, want := range wants {
		if !strings.Contains(have, want) {
			t.Errorf("the page does not say %q\n%s", want, have)
		}
	}
}

// first returns the one element, and fails when there is none.
func (n *node) first(t testing.TB, selector string) *node {
	t.Helper()
	found := n.named(selector)
	if len(found) == 0 {
		t.Fatalf("no %s on the page", selector)
	}
	return found[0]
}

// outcome returns a program whose plan has the given outcome.
func outcome(t testing.TB, o plan.Outcome, change func(*app.Answer)) *program {
	p := demoProgram(t)
	p.plan = func(q app.Ask) (*app.Answer, error) {
		a, err := p.App.Plan(q)
		if err != nil {
			return nil, err
		}
		a.Plan.Outcome = o
		if change != nil {
			change(a)
		}
		return a, nil
	}
	return p
}
