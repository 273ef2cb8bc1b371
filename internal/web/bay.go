package web

import (
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/bay"
	"elbowroom/guide"
	"elbowroom/plan"
)

// bayPage shows the drawing over the whole screen, with search and sheet.
type bayPage struct {
	page
	Subject  subject
	Drawings []template.HTML // the same for a phone and for a desk; the style sheet shows one
	Caption  string
	Views    []link
	Search   searchBox
	Places   places
	Sheet    *sheetView
	Counts   string
}

// places is what was found for the words, as links to sheets.
type places struct {
	Words string
	List  []place
	More  int
	Error string
}

// place is one found item.
type place struct {
	ID, Name, By, Href string
	Placed             bool
}

func (s *site) bay(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	if st.view != "" && !slices.Contains(bay.Views, st.view) {
		s.fail(w, r, st, badView(st.view))
		return
	}
	st.ask.Budget = s.opts.Budget
	j := s.subject(st.ask)
	p := bayPage{page: s.page("bay", "bay.title", st), Subject: j}
	p.Wide = true
	if j.NoGuide {
		s.render(w, r, http.StatusOK, "bay", "layout", p)
		return
	}
	if s.mustChoose(w, r, st, j, "bay") {
		return
	}
	scene, resolved, err := s.use.Scene(onlySubject(st.ask))
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	if err := s.sheet(r, &p, st, resolved); err != nil {
		s.fail(w, r, st, err)
		return
	}
	s.draw(&p, st, scene, resolved)
	s.render(w, r, http.StatusOK, "bay", "layout", p)
}

// sheet opens the sheet of the item, where one is asked for.
func (s *site) sheet(r *http.Request, p *bayPage, st state, resolved *guide.Resolved) error {
	if st.item == "" {
		return nil
	}
	sheet, err := s.use.Item(st.ask, st.item)
	if err != nil {
		return err
	}
	v := sheetOf(st, sheet, p.Subject.Currency)
	p.Sheet = &v
	p.Title = say("bay.title-of", sheet.Item.Name)
	return nil
}

// Widths in pixels for which the drawing is made: the letters on it have their
// size only there.
const (
	drawnPhone = 280
	drawnDesk  = 680
)

func (s *site) draw(p *bayPage, st state, scene *bay.Scene, r *guide.Resolved) {
	o := bay.Options{
		View: st.view, Interactive: true, Ghosts: true, Labels: true,
		Cleared: clearedOf(st, p.Subject), Link: func(id guide.ID) string {
			to := st
			to.item = id
			return to.to("/bay")
		},
	}
	p.Caption = say("view." + string(viewOrAbove(st.view)))
	if st.item != "" {
		o.Highlight = append(o.Highlight, st.item)
	}
	for _, task := range st.tasks() {
		if t, err := app.ParseTask(r, task); err == nil && r.Item(t.On) != nil && !slices.Contains(o.Highlight, t.On) {
			o.Highlight = append(o.Highlight, t.On)
		}
	}
	for _, width := range []float64{drawnPhone, drawnDesk} {
		o.Width, o.Prefix = width, "bay"+strconv.Itoa(int(width))
		p.Drawings = append(p.Drawings, template.HTML(scene.Draw(o))) // package bay escapes every name
	}
	for _, v := range bay.Views {
		to := st
		to.view = v
		p.Views = append(p.Views, link{Text: say("view." + string(v)), Href: to.to("/bay"), Here: v == viewOrAbove(st.view)})
	}
	p.Search = s.baySearch(st)
	p.Places = s.places(st)
	p.Counts = say("bay.counts", len(scene.Placed()), len(scene.Unplaced()))
}

func viewOrAbove(v guide.View) guide.View {
	if v == "" {
		return guide.FromAbove
	}
	return v
}

// clearedOf returns what stands off or aside as the machine is found.
func clearedOf(st state, j subject) map[guide.ID]bay.State {
	start := st.ask.Start
	if start == nil && j.machine != nil {
		start = j.machine.Machine.Found
	}
	out := map[guide.ID]bay.State{}
	for _, text := range start {
		id, how, _ := strings.Cut(strings.TrimSpace(text), " ")
		switch {
		case strings.Contains(id, "="):
		case strings.TrimSpace(how) == string(guide.Aside):
			out[guide.ID(id)] = bay.Aside
		default:
			out[guide.ID(id)] = bay.Off
		}
	}
	return out
}

func (s *site) baySearch(st state) searchBox {
	here := st
	here.words = ""
	find := here.to("/find")
	sep := "?"
	if strings.Contains(find, "?") {
		sep = "&"
	}
	return searchBox{Words: st.words, Action: "/bay", Hidden: here.fields("q", "item"), Find: find + sep + "page=bay"}
}

// places looks for the words of the state.
func (s *site) places(st state) places {
	p := places{Words: st.words}
	if st.words == "" {
		return p
	}
	found, err := s.use.Where(onlySubject(st.ask), st.words)
	if err != nil {
		if statusOf(err) != http.StatusNotFound {
			p.Error = plain(err)
		}
		return p
	}
	for i, f := range found.Hits {
		if i == maxHits {
			p.More = len(found.Hits) - maxHits
			break
		}
		to := st
		to.item = f.Item.ID
		x := place{ID: string(f.Item.ID), Name: f.Item.Name, Href: to.to("/bay"), Placed: len(f.Item.At) > 0}
		if f.By != f.Item.Name && f.By != x.ID {
			x.By = f.By
		}
		p.List = append(p.List, x)
	}
	return p
}

// sheetView is everything known of one item, laid out.
type sheetView struct {
	ID, Name, Kind, Class string
	Also                  []string
	Where                 []string
	Doings                []doing
	Ways                  []wayGroup
	Blocks                []link
	BlockedBy             []link
	Joints                []factView
	Connector             []string
	Parts                 []partView
	Cautions              []app.CautionLine
	Checks                []checkView
	Faults                []factView
	Notes                 []factView
	Source                string
	Close                 string
	Was                   []string
	NoWays                bool
	Torque                string // address of how its joints are tightened; empty when it has none
}

// wayGroup is the ways with one verb.
type wayGroup struct {
	Verb string
	Ways []wayView
}

// wayView is one way with its price.
type wayView struct {
	Text, Total, Money, Reason, Task string
	Best, Open                       bool
	First                            []link
	Add                              doing
	Notes                            []string
}

// factView is one fact with who says so.
type factView struct {
	Text, Source string
	Was          []string
}

// checkView is one check of the item.
type checkView struct {
	ID, Name, At, Minutes, Source string
	Limits, When                  []string
	Add                           doing
}

func sheetOf(st state, it *app.ItemSheet, currency string) sheetView {
	closed := st
	closed.item = ""
	v := sheetView{
		ID: string(it.Item.ID), Name: it.Item.Name, Kind: it.Kind, Class: string(it.Item.Class), Also: it.Item.Also,
		Where: nonEmpty(it.Where.Text), Cautions: it.Cautions, Source: it.Source, Close: closed.to("/bay"),
	}
	plain := st
	plain.words, plain.view, plain.item = "", "", ""
	for _, verb := range taskVerbs(it.Resolved, it.Item) {
		v.Doings = append(v.Doings, doingOf(plain, string(verb)+":"+v.ID, verbText(verb), v.Name))
	}
	sheetLink := func(id guide.ID) link {
		to := st
		to.item = id
		return link{Text: nameOf(it.Resolved, id), Href: to.to("/bay")}
	}
	v.Ways = wayGroups(plain, it, currency, sheetLink)
	v.NoWays = len(v.Ways) == 0
	for _, id := range it.Blocks {
		v.Blocks = append(v.Blocks, sheetLink(id))
	}
	for _, id := range blockers(it) {
		v.BlockedBy = append(v.BlockedBy, sheetLink(id))
	}
	for _, p := range it.Parts {
		v.Parts = append(v.Parts, partOf(p, currency))
	}
	v.Joints, v.Faults, v.Notes = facts(it.Joints), facts(it.Faults), facts(it.Notes)
	if len(it.Item.Joints) > 0 {
		v.Torque = torqueOfItem(plain, it.Item.ID)
	}
	v.Connector = connectorTexts(it.Connector)
	for _, c := range it.Checks {
		v.Checks = append(v.Checks, checkOf(plain, c, v.Name))
	}
	for _, w := range it.Item.Was {
		v.Was = append(v.Was, strings.Join(nonEmpty(w.Value, w.Until, w.Reason), "; "))
	}
	return v
}

func nonEmpty(texts ...string) []string {
	return slices.DeleteFunc(texts, func(t string) bool { return t == "" })
}

// blockers returns every item that some way of this one needs out of the way.
func blockers(it *app.ItemSheet) []guide.ID {
	var out []guide.ID
	for _, w := range it.Ways {
		for _, id := range w.First {
			if w.Open && !slices.Contains(out, id) {
				out = append(out, id)
			}
		}
	}
	return out
}

func wayGroups(st state, it *app.ItemSheet, currency string, sheetLink func(guide.ID) link) []wayGroup {
	var out []wayGroup
	for _, w := range it.Ways {
		i := slices.IndexFunc(out, func(g wayGroup) bool { return g.Verb == verbText(w.Verb) })
		if i < 0 {
			i = len(out)
			out = append(out, wayGroup{Verb: verbText(w.Verb)})
		}
		v := wayView{Text: w.Text, Reason: w.Reason, Task: w.Task, Best: w.Best, Open: w.Open, Notes: nonEmpty(w.Way.Note, w.Way.Then)}
		if w.Outcome == plan.Optimal || w.Outcome == plan.Bounded {
			v.Total, v.Money = app.Minutes(w.Total), price(w.Money, currency)
		}
		for _, id := range w.First {
			v.First = append(v.First, sheetLink(id))
		}
		out[i].Ways = append(out[i].Ways, v)
	}
	return out
}

func facts(list []app.FactLine) []factView {
	var out []factView
	for _, f := range list {
		out = append(out, factView{Text: f.Text, Source: f.Source, Was: f.Was})
	}
	return out
}

func connectorTexts(c *guide.Connector) []string {
	if c == nil {
		return nil
	}
	var out []string
	if c.Pins > 0 {
		out = append(out, say("connector.pins", c.Pins))
	}
	if c.Lock != "" {
		out = append(out, say("connector.lock", c.Lock))
	}
	return append(out, nonEmpty(c.Trick)...)
}

func checkOf(st state, c app.CheckLine, on string) checkView {
	return checkView{
		ID: string(c.ID), Name: c.Name, At: c.At, Minutes: app.Minutes(c.Minutes), Source: c.Source, Limits: c.Limits, When: c.When,
		Add: doingOf(st, string(guide.Measure)+":"+string(c.ID), say("check.add"), c.Name+", "+on),
	}
}

// badView is the error for a view that is not one of bay.Views.
func badView(v guide.View) error {
	known := make([]string, len(bay.Views))
	for i, k := range bay.Views {
		known[i] = string(k)
	}
	return fmt.Errorf("%w: %s", app.ErrInput, say("error.view", string(v), strings.Join(known, ", ")))
}
