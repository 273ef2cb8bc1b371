package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"elbowroom/app"
	"elbowroom/codes/can"
	"elbowroom/codes/dump"
	"elbowroom/guide"
)

// codesPage takes what a reader of codes showed and says what is in it.
type codesPage struct {
	page
	Subject  subject
	Action   string // of the form, with the job in it
	Back     string // to the job
	Text     string // as pasted
	Links    []offer
	Deltas   bool
	Megabyte int // that a file may have
	Error    string
	Details  []string
	Result   *codesResult
}

// codesResult is what was read.
type codesResult struct {
	Name, Says string
	Notes      []string
	Units      []codesUnit
	Empty      []string
	Shared     []string
	Take       []takeRow
	Hidden     []field // the job without its codes
	Traces     []traceView
	Recording  string // where the same file is judged as a recording
	MoreTraces int
	Unread     []lineRow
	MoreUnread int
	Finds      []findRow
	MoreFinds  int
	Traffic    []string
	Nothing    bool
}

type codesUnit struct {
	Head   string
	Codes  []codeRow
	Either []string
	Frames []frameView
	Facts  []string
	Values []valueRow
}

type codeRow struct {
	Code, Status, Type, Words string
	Says                      string   // what it means, where it is named first
	Faults                    []string // of the guide, likewise
}

type frameView struct {
	Head   string
	Values []valueRow
}

type valueRow struct{ Name, Value, Says string }

type takeRow struct {
	Entry, Code, Says string
	Pending, On, Have bool
}

type lineRow struct {
	Line int
	Text string
}

type findRow struct{ At, Says, Do string }

// Bounds of what the page lists; the command line has all of it.
const (
	maxUnread = 100
	maxFinds  = 50
	maxRows   = 120 // values of one control unit
	maxTaken  = 200
	maxLine   = 200 // letters of a line
)

// codes answers with the form, and to a form with what is in it.
func (s *site) codes(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	p := codesPage{
		page: s.page("job", "codes.title", st), Subject: s.subject(st.ask), Action: st.bare().to(codesPath), Back: st.bare().to("/job"),
		Megabyte: maxCodes >> 20,
	}
	if r.Method != http.MethodPost {
		p.links("")
		s.render(w, r, http.StatusOK, "codes", "layout", p)
		return
	}
	s.takeCodes(w, r, st, p)
}

func (p *codesPage) links(chosen string) {
	for _, name := range []string{"", "can", "older"} {
		p.Links = append(p.Links, offer{Value: name, Text: say("codes.link." + firstOf(name, "unknown")), Here: name == chosen})
	}
}

// takeCodes reads the form, in memory, and answers with what is in it.
func (s *site) takeCodes(w http.ResponseWriter, r *http.Request, st state, p codesPage) {
	select {
	case s.uploads <- struct{}{}:
		defer func() { <-s.uploads }()
	default:
		s.busy(w)
		return
	}
	u, err := readCodesForm(r)
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		s.still(w, http.StatusRequestEntityTooLarge, "large")
		return
	}
	p.Text, p.Deltas = cleanText(u.Text), u.Deltas
	p.links(u.Link)
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		s.busy(w)
		return
	}
	var c *app.CodesRead
	if err == nil {
		c, err = s.readCodes(st, u)
	}
	switch {
	case errors.Is(err, app.ErrUnknown):
		s.fail(w, r, st, err)
		return
	case errors.Is(err, app.ErrInput), errors.Is(err, errCutShort):
		p.Error, p.Details = sentences(plain(err))
		s.render(w, r, http.StatusBadRequest, "codes", "layout", p)
		return
	case err != nil:
		s.fail(w, r, st, err)
		return
	}
	p.Text = ""
	p.Result = codesResultOf(st, c)
	s.render(w, r, http.StatusOK, "codes", "layout", p)
}

// readCodes reads the text or the file, whichever was sent.
func (s *site) readCodes(st state, u sentCodes) (*app.CodesRead, error) {
	in := app.CodeInput{Name: u.Name, Text: strings.NewReader(u.File), Link: u.Link, Deltas: u.Deltas}
	if strings.TrimSpace(u.Text) != "" {
		if u.File != "" {
			return nil, fmt.Errorf("%w: %s", app.ErrInput, say("codes.both"))
		}
		in.Name, in.Text = "", strings.NewReader(u.Text)
	}
	return s.use.ReadCodes(st.inquiry(), in)
}

// cleanText keeps lines and tabulators of what was pasted.
func cleanText(text string) string {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i, l := range lines {
		cells := strings.Split(l, "\t")
		for k := range cells {
			cells[k] = printable(cells[k])
		}
		lines[i] = strings.Join(cells, "\t")
	}
	return strings.Join(lines, "\n")
}

// shown is a text from outside as a page may carry it.
func shown(text string) string {
	return shorten(printable(strings.ReplaceAll(text, "\t", " ")), maxLine)
}

func codesResultOf(st state, c *app.CodesRead) *codesResult {
	v := &codesResult{
		Name: c.Name, Says: printable(c.Says), Notes: append(append([]string{}, c.Notes...), c.Cleared...), Shared: c.Shared,
		Recording: st.to("/recording"), Hidden: append(st.bare().fields("code", "all-codes"), field{"code", ""}),
	}
	told := map[string]bool{}
	for i := range c.Units {
		v.Units = append(v.Units, codesUnitOf(&c.Units[i], told))
	}
	for _, m := range c.Empty {
		v.Empty = append(v.Empty, say("codes.empty", string(m)))
	}
	for i, t := range c.Take {
		if i < maxTaken {
			_, pending := strings.CutSuffix(t.Entry, " pending")
			v.Take = append(v.Take, takeRow{Entry: t.Entry, Code: t.Code.String(), Says: strings.TrimPrefix(strings.TrimPrefix(t.Says, "pending"), ", "), Pending: pending, On: t.Ticked, Have: t.Have})
		}
	}
	v.traces(c.Series)
	v.leftOver(c)
	v.Nothing = len(c.Units)+len(c.Empty)+len(c.Cleared) == 0
	return v
}

// leftOver lists what was not understood and what is doubtful.
func (v *codesResult) leftOver(c *app.CodesRead) {
	v.Unread, v.MoreUnread = lineRows(c.Unread)
	for i, f := range c.Findings {
		if i == maxFinds {
			v.MoreFinds = len(c.Findings) - i
			break
		}
		row := findRow{Says: guide.Capital(shown(f.Says)), Do: f.Do}
		if f.Pos.Line > 0 {
			row.At = say("codes.line", f.Pos.Line)
		}
		if f.Text != "" {
			row.Says += ": “" + shown(f.Text) + "”"
		}
		if len(f.Nearest) > 0 {
			row.Says += "; " + say("codes.nearest", strings.Join(f.Nearest, ", "))
		}
		v.Finds = append(v.Finds, row)
	}
	for _, q := range c.Requests {
		if q.Answered < q.Times && len(v.Traffic) < maxFinds {
			v.Traffic = append(v.Traffic, say("codes.asked", q.Request, q.Times, q.Answered))
		}
	}
	if n := len(c.Asked); n > 0 {
		v.Traffic = append(v.Traffic, say("codes.requests", n))
	}
	frames := 0
	for _, o := range c.Others {
		frames += o.Frames
	}
	if frames > 0 {
		v.Traffic = append(v.Traffic, say("codes.others", frames, len(c.Others)))
	}
}

func lineRows(list []dump.Line) (rows []lineRow, more int) {
	for i, l := range list {
		if i == maxUnread {
			return rows, len(list) - i
		}
		rows = append(rows, lineRow{l.Pos.Line, shown(l.Text)})
	}
	return rows, 0
}

func codesUnitOf(u *app.UnitRead, told map[string]bool) codesUnit {
	v := codesUnit{Head: say("codes.unit-unsaid"), Either: u.Either, Values: valueRows(u.Values), Facts: factsOf(u)}
	switch {
	case u.Bus != "":
		v.Head = say("codes.unit-on", shown(u.Name), shown(u.Bus))
	case u.Name != "":
		v.Head = say("codes.unit", shown(u.Name))
	}
	for i, x := range u.Codes {
		if i < maxTaken {
			v.Codes = append(v.Codes, codeRowOf(x, !told[x.CodeLine.Code]))
			told[x.CodeLine.Code] = true
		}
	}
	if n := len(u.Codes) - maxTaken; n > 0 {
		v.Facts = append(v.Facts, say("codes.more-codes", n))
	}
	for i, f := range u.Frames {
		if i < maxFinds {
			v.Frames = append(v.Frames, frameView{frameHead(f), valueRows(f.Values)})
		}
	}
	if n := len(u.Frames) - maxFinds; n > 0 {
		v.Facts = append(v.Facts, say("codes.more-frames", n))
	}
	return v
}

func frameHead(f app.FrameRead) string {
	if f.Code != "" {
		return say("codes.frame-of", f.Code)
	}
	return say("codes.frame", f.Number)
}

func codeRowOf(x app.CodeRead, first bool) codeRow {
	row := codeRow{Code: x.Seen.Code.String(), Status: guide.Capital(x.Status), Words: shown(x.Words)}
	if first {
		row.Says, row.Faults = firstOf(x.Group, x.Owner), x.Faults
	}
	if x.Type != "" {
		row.Type = say("codes.type", x.Seen.Code.Type.String(), x.Type)
	}
	return row
}

func valueRows(list []app.ValueRead) []valueRow {
	var out []valueRow
	for i, x := range list {
		if i == maxRows {
			return append(out, valueRow{Name: say("codes.more-values", len(list)-i)})
		}
		row := valueRow{Name: shown(x.Name), Value: x.Value.String()}
		switch {
		case x.Unused:
			row.Value = say("codes.unused")
		case x.Count > 1 && x.Timed:
			row.Says = say("codes.range-at", x.Count, x.Lowest, x.Highest, x.At)
		case x.Count > 1:
			row.Says = say("codes.range", x.Count, x.Lowest, x.Highest)
		case !x.Known:
			row.Says = say("codes.as-written")
		}
		out = append(out, row)
	}
	return out
}

// factsOf says everything else that a control unit told.
func factsOf(u *app.UnitRead) []string {
	var out []string
	if u.Lamp != nil {
		lamp := say("codes.lamp-off")
		if *u.Lamp {
			lamp = say("codes.lamp-on")
		}
		out = append(out, lamp)
	}
	for _, a := range u.Announce {
		out = append(out, say("codes.announce", a))
	}
	if !u.Distance.Zero() {
		out = append(out, say("codes.distance", u.Distance))
	}
	out = append(out, monitorFacts(u.Monitors)...)
	for _, i := range u.Info {
		out = append(out, guide.Capital(i.Name)+": "+shown(i.Text))
	}
	for i, s := range u.States {
		if i < maxFinds {
			out = append(out, say("codes.state", guide.Capital(s.Words), s.Seconds))
		}
	}
	for _, r := range u.Refused {
		out = append(out, say("codes.refused", r.Service, r.Times, r.Reason))
	}
	for _, x := range u.Support {
		out = append(out, say("codes.support", x.Service, len(x.Items)))
	}
	return out
}

// monitorFacts groups the on-board tests by how they stand.
func monitorFacts(list []app.MonitorRead) []string {
	var out []string
	for _, cycle := range []bool{false, true} {
		groups := map[string][]string{}
		for _, m := range list {
			key := "done"
			switch {
			case m.Cycle != cycle:
				continue
			case !m.Fitted:
				key = "none"
			case !m.Complete:
				key = "open"
			}
			groups[key] = append(groups[key], shown(m.Name))
		}
		for _, key := range []string{"open", "done", "none"} {
			if len(groups[key]) == 0 || cycle && key == "none" {
				continue
			}
			text := say("codes.tests."+key, strings.Join(groups[key], ", "))
			if cycle {
				text = say("codes.cycle", text)
			}
			out = append(out, text)
		}
	}
	return out
}

// traceView is a channel over time.
type traceView struct {
	Name, Unit, Low, High, From, To, Label string
	Path                                   string
}

// Measures of a trace in the units of its drawing.
const (
	traceWidth  = 600
	traceHeight = 90
	traceMargin = 4
	traceSteps  = 300 // columns; each shows its lowest and highest value
	maxTraces   = 24
)

func (v *codesResult) traces(list []can.Series) {
	for _, s := range list {
		switch {
		case len(s.Value) < 2:
		case len(v.Traces) == maxTraces:
			v.MoreTraces++
		default:
			v.Traces = append(v.Traces, traceOf(s))
		}
	}
}

func traceOf(s can.Series) traceView {
	t := traceView{Name: shown(s.Channel), Unit: s.Unit}
	low, high := s.Value[0], s.Value[0]
	for _, x := range s.Value {
		low, high = min(low, x), max(high, x)
	}
	t.Low, t.High = fmt.Sprintf("%.5g", low), fmt.Sprintf("%.5g", high)
	at := func(i int) float64 { return float64(i) }
	first, last := 0.0, float64(len(s.Value)-1)
	t.From, t.To = say("codes.first"), say("codes.last")
	if len(s.Time) == len(s.Value) {
		at = func(i int) float64 { return s.Time[i] }
		first, last = s.Time[0], s.Time[len(s.Time)-1]
		t.From, t.To = say("codes.seconds", first), say("codes.seconds", last)
	}
	t.Label = say("codes.trace", t.Name, t.Low, t.High, t.Unit)
	span, height := last-first, high-low
	x := func(i int) px { return px(traceMargin) }
	if span > 0 {
		x = func(i int) px { return px(traceMargin + (at(i)-first)/span*(traceWidth-2*traceMargin)) }
	}
	y := func(v float64) px { return traceHeight / 2 }
	if height > 0 {
		y = func(v float64) px { return px(traceHeight - traceMargin - (v-low)/height*(traceHeight-2*traceMargin)) }
	}
	t.Path = pathOf(s.Value, x, y)
	return t
}

// pathOf draws a line through the values; where they are many, through the
// first, lowest, highest and last of each column.
func pathOf(values []float64, x func(int) px, y func(float64) px) string {
	var b strings.Builder
	point := func(i int) {
		letter := "L"
		if b.Len() == 0 {
			letter = "M"
		}
		fmt.Fprintf(&b, "%s%s %s", letter, x(i), y(values[i]))
	}
	step := max(1, len(values)/traceSteps)
	for from := 0; from < len(values); from += step {
		to := min(from+step, len(values))
		low, high := from, from
		for i := from; i < to; i++ {
			if values[i] < values[low] {
				low = i
			}
			if values[i] > values[high] {
				high = i
			}
		}
		last := -1
		for _, i := range []int{from, min(low, high), max(low, high), to - 1} {
			if i != last {
				point(i)
			}
			last = i
		}
	}
	return b.String()
}
