package web

import (
	"errors"
	"html/template"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/joint"
)

const torquePath = "/torque"

// torquePage is a torque sheet: of a visit, or of one item.
type torquePage struct {
	page
	Subject   subject
	Head      string
	Tasks     []string
	Plan      string // address of the visit; empty for one item
	Bay       string // address of the item's sheet
	Empty     bool   // nothing is asked for
	Blocked   string
	Settings  torqueSettings
	Value     valueForm
	Adapter   adapterForm
	Troubles  []link // joints with a finding
	Trouble   string
	Joints    []torqueView
	Open      []string
	Bare      []bareView
	Tools     []torqueTool
	Differs   []string
	Day       string
	Deference string
}

// torqueSettings is the form for what holds of the whole sheet.
type torqueSettings struct {
	Hidden []field
	Units  []option
	States []option
	Day    string
	Error  string
}

// option is one choice of a list.
type option struct {
	Value, Text string
	On          bool
}

// valueForm holds a torque that somebody was told against one item.
type valueForm struct {
	Show   bool
	Hidden []field
	Value  string
	Error  string
}

// adapterForm asks what stands between wrench and fastener.
type adapterForm struct {
	Hidden           []field
	Lines            []option
	Reach, Bend, Arm string
	Error            string
	Without          string // address without the adapter; empty when there is none
}

// torqueView is one joint of the sheet.
type torqueView struct {
	Number            int
	ID                string // of the element
	Name, Item, Sheet string
	Step              stepLink // of the plan; zero for one item
	Fastener, State   string
	Stages            []stageView
	Plain             string // instead of stages: "not applicable"
	Others            []string
	Order             template.HTML
	OrderSays         string
	Reuse, Part       string
	Renew             bool
	Use               string
	Was               []wasView
	Source            string
	Findings          []app.TorqueFinding
	Adapters          []template.HTML
	AdapterSays       []string
	Ticks             []int
	Through           string // address of the form for its adapter
}

// stageView is one stage of tightening.
type stageView struct {
	Name, Text, Also, Tool, Set, Foot string
	Marks                             []string
	Overdue                           bool
}

type wasView struct{ Value, Until, Reason string }

type bareView struct{ Name, Item, Fixing string }

// torqueTool is one torque tool that is owned.
type torqueTool struct {
	Name, Range, Deviation, Due string
	Overdue                     bool
	Joints                      []stepLink
}

// tightening is the part of an address that only this page has.
type tightening struct {
	unit, state, day, value      string
	line, reach, bend, arm, item string
}

// keys are the names of the fields in the address.
func (x *tightening) keys() map[string]*string {
	return map[string]*string{
		"unit": &x.unit, "threads": &x.state, "day": &x.day, "value": &x.value, "joint": &x.line, "reach": &x.reach, "bend": &x.bend,
		"arm": &x.arm, "item": &x.item,
	}
}

func readTightening(v url.Values) tightening {
	var x tightening
	v = validValues(v)
	for key, to := range x.keys() {
		*to = strings.TrimSpace(v.Get(key))
		if len(*to) > maxWords {
			*to = strings.ToValidUTF8((*to)[:maxWords], "")
		}
	}
	return x
}

// to returns the address of the page.
func (x tightening) to(st state) string {
	v := st.bare().values()
	for key, value := range x.keys() {
		if *value != "" {
			v.Set(key, *value)
		}
	}
	if len(v) == 0 {
		return torquePath
	}
	return torquePath + "?" + v.Encode()
}

// fields returns the address as hidden inputs, without the named ones.
func (x tightening) fields(st state, without ...string) []field {
	out := st.bare().fields()
	keys := x.keys()
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if *keys[key] != "" && !slices.Contains(without, key) {
			out = append(out, field{key, *keys[key]})
		}
	}
	return out
}

// torqueAddress returns the address of the sheet of a visit.
func torqueAddress(st state) string { return tightening{}.to(st) }

// torqueOfItem returns the address of the sheet of one item.
func torqueOfItem(st state, id guide.ID) string { return tightening{item: string(id)}.to(st) }

func (s *site) torque(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	st.ask.Budget = s.opts.Budget
	j := s.subject(st.ask)
	if s.mustChoose(w, r, st, j, "torque") {
		return
	}
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		s.busy(w)
		return
	}
	x := readTightening(r.URL.Query())
	p := torquePage{page: s.page("plan", "torque.title", st), Subject: j, Head: say("torque.title")}
	status := http.StatusOK
	if !j.NoGuide {
		if status, err = s.tighten(&p, st, x); err != nil {
			s.fail(w, r, st, err)
			return
		}
	}
	s.render(w, r, status, "torque", "layout", p)
}

// tighten asks for the sheet and lays it out. What is wrong with a field of
// this page comes back beside an answer without it.
func (s *site) tighten(p *torquePage, st state, x tightening) (status int, err error) {
	p.forms(st, x)
	if p.Empty = x.item == "" && len(st.tasks()) == 0 && st.ask.Start == nil && st.ask.Machine == ""; p.Empty {
		return http.StatusOK, nil
	}
	if x.item == "" && len(st.tasks()) == 0 && p.Subject.machine != nil {
		st.ask.Tasks = p.Subject.machine.Ask.Tasks
	}
	q := app.TorqueAsk{
		Ask: st.ask, Item: x.item, Value: x.value, State: guide.State(x.state), Day: x.day, Unit: x.unit,
		Through: app.Through{Line: number(x.line), Reach: x.reach, Bend: x.bend, Arm: x.arm},
	}
	sheet, err := s.use.Torque(q)
	if errors.Is(err, app.ErrInput) {
		status = http.StatusBadRequest
		sheet, err = s.sheetOfRight(p, q)
	}
	if err != nil {
		return 0, err
	}
	p.fill(st, x, sheet)
	return max(status, http.StatusOK), nil
}

// sheetOfRight returns the sheet without the fields that are wrong, and says
// what is wrong at each group of fields. The error is about the visit or the
// item itself.
func (s *site) sheetOfRight(p *torquePage, q app.TorqueAsk) (*app.TorqueSheet, error) {
	right := app.TorqueAsk{Ask: q.Ask, Item: q.Item}
	if _, err := s.use.Torque(right); err != nil {
		return nil, err
	}
	for _, group := range []struct {
		put func(*app.TorqueAsk)
		at  *string
	}{
		{func(a *app.TorqueAsk) { a.State, a.Day, a.Unit = q.State, q.Day, q.Unit }, &p.Settings.Error},
		{func(a *app.TorqueAsk) { a.Value = q.Value }, &p.Value.Error},
		{func(a *app.TorqueAsk) { a.Through = q.Through }, &p.Adapter.Error},
	} {
		with := right
		group.put(&with)
		if _, err := s.use.Torque(with); err != nil {
			*group.at = plain(err)
			continue
		}
		right = with
	}
	return s.use.Torque(right)
}

// number reads the number of a joint; 0 when it is none.
func number(text string) int {
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 {
		return 0
	}
	return n
}

// forms fills the forms with what was typed.
func (p *torquePage) forms(st state, x tightening) {
	p.Settings = torqueSettings{Hidden: x.fields(st, "unit", "threads", "day"), Day: x.day}
	p.Settings.Units = append(p.Settings.Units, option{"", say("torque.unit-own"), x.unit == ""})
	for _, u := range joint.Units {
		p.Settings.Units = append(p.Settings.Units, option{u, u, x.unit == u})
	}
	p.Settings.States = append(p.Settings.States, option{"", say("torque.state-own"), x.state == ""})
	for _, s := range []guide.State{guide.Dry, guide.Oiled, guide.Locked} {
		p.Settings.States = append(p.Settings.States, option{string(s), string(s), x.state == string(s)})
	}
	p.Value = valueForm{Show: x.item != "", Hidden: x.fields(st, "value"), Value: x.value}
	p.Adapter = adapterForm{Hidden: x.fields(st, "joint", "reach", "bend", "arm"), Reach: x.reach, Bend: x.bend, Arm: x.arm}
	if x.reach != "" {
		bare := x
		bare.line, bare.reach, bare.bend, bare.arm = "", "", "", ""
		p.Adapter.Without = bare.to(st)
	}
}

// fill lays the sheet out.
func (p *torquePage) fill(st state, x tightening, s *app.TorqueSheet) {
	p.Tasks, p.Blocked, p.Differs, p.Day, p.Deference = s.Tasks, s.Blocked, s.Exceptions, s.Day, s.Deference
	plan := st.bare()
	if x.item == "" {
		p.Plan = plan.to("/plan")
	}
	for i := range s.Joints {
		v := torqueOf(plan, x, &s.Joints[i], p.Plan)
		if len(v.Findings) > 0 && len(s.Joints) > 1 {
			p.Troubles = append(p.Troubles, link{Text: say("torque.trouble-at", v.Number, v.Name), Href: "#" + v.ID})
		}
		p.Joints = append(p.Joints, v)
		p.Adapter.Lines = append(p.Adapter.Lines, option{strconv.Itoa(v.Number), say("torque.trouble-at", v.Number, v.Name), x.line == strconv.Itoa(v.Number)})
	}
	if n := len(p.Troubles); n > 0 {
		p.Trouble = say("torque.trouble", n, len(p.Joints))
	}
	if x.item != "" && len(s.Joints)+len(s.Bare) > 0 {
		it := itemOf(s)
		to := plan
		to.item = it.ID
		p.Head, p.Title, p.Bay = say("torque.of", it.Name), say("torque.of", it.Name), to.to("/bay")
	}
	for _, l := range s.Open {
		p.Open = append(p.Open, say("torque.open-line", l.Item.Name, string(l.Item.ID), l.Fastener))
	}
	for _, b := range s.Bare {
		p.Bare = append(p.Bare, bareView{b.Item.Name, string(b.Item.ID), b.Fixing})
	}
	p.Tools = toolsOf(s)
}

func itemOf(s *app.TorqueSheet) *guide.Item {
	if len(s.Joints) > 0 {
		return s.Joints[0].Item
	}
	return s.Bare[0].Item
}

func toolsOf(s *app.TorqueSheet) []torqueTool {
	var out []torqueTool
	for _, t := range s.Tools {
		w := t.Wrench
		v := torqueTool{
			Name: w.Name, Range: say("torque.range", w.Lowest.String(), w.Highest.String()), Due: firstOf(w.Due, say("torque.due-unknown")), Overdue: t.Overdue,
			Deviation: say("torque.deviation", strconv.FormatFloat(100*w.Permissible(), 'g', 3, 64)),
		}
		for _, n := range t.Lines {
			v.Joints = append(v.Joints, stepLink{n, "#" + jointID(n)})
		}
		out = append(out, v)
	}
	return out
}

func jointID(n int) string { return "joint-" + strconv.Itoa(n) }
