package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/reading"
	"elbowroom/suspect"
)

// jobPage is the trouble of one machine: what is known, who is suspected, and
// what to do next.
type jobPage struct {
	page
	Subject   subject
	Complaint string
	Codes     []codeChip
	Shared    []string
	Heard     []heardRow
	Log       []logRow
	Off       []string
	Forbidden []string
	Differs   []string
	Next      nextView
	Suspects  []suspectRow
	Others    []suspectRow // below the fold
	Fixed     string       // share of "nothing is wrong any more"; empty when nothing was repaired
	Says      []string     // what was looked at, assumed or left out
	Entry     *entryView
	Wiring    wiringView
	Recording string
	Checks    []offer // every check of the guide, for a reading of another one
	Hidden    []field // the whole job
	AddCode   []field // the job with its codes spelled out
	ReadCodes string  // where codes are read from a reader
	AddWords  []field // the job without the complaint
	Deference string
}

// codeChip is a trouble code as it stands on the page.
type codeChip struct {
	Code, Says, Drop, Label string
	Pending                 bool
}

// heardRow is a sign found in the complaint, to be settled.
type heardRow struct {
	Sign, Words string
	Choices     []link
}

// logRow is one entry of the log.
type logRow struct {
	Check, Text, Verdict, Kind, Says string
	Anyway                           string // address that counts it all the same
	Counted                          bool   // it counts all the same
	Drop, Label                      string
	Limit                            []string // how the limit was had, of a reading taken elsewhere
}

// suspectRow is one suspect with its share as a bar.
type suspectRow struct {
	Name, ID, Bay, Share, Range string
	Width, Low, Span            px // of 1000
	For, Against                []spokeRow
	Excluded                    string
	Done                        string // address after its repair
	Repaired                    bool
}

// spokeRow is one sign speaking.
type spokeRow struct {
	Says, Factor string
	Assumed      bool
}

// maxSuspects is how many suspects stand above the fold.
const maxSuspects = 5

func (s *site) work(w http.ResponseWriter, r *http.Request) {
	st, err := readState(r.URL.Query())
	if err != nil {
		s.fail(w, r, st, err)
		return
	}
	s.showJob(w, r, st, nil)
}

// showJob answers with the page about a job; typed is what came from a form
// that could not be read.
func (s *site) showJob(w http.ResponseWriter, r *http.Request, st state, typed *typedEntry) {
	st.ask.Budget = min(s.opts.Budget, nextBudget)
	j := s.subject(st.ask)
	if s.mustChoose(w, r, st, j, "job") {
		return
	}
	free, ok := s.slot(r.Context())
	defer free()
	if !ok {
		s.busy(w)
		return
	}
	p := jobPage{page: s.page("job", "job.title", st), Subject: j}
	if !j.NoGuide {
		n, err := s.use.Next(st.inquiry(), app.Detail{Depth: treeDepth})
		if err != nil {
			s.fail(w, r, st, err)
			return
		}
		p.fill(st, n)
		if err := s.addEntry(&p, st, n, typed); err != nil {
			s.fail(w, r, st, err)
			return
		}
	}
	status := http.StatusOK
	if typed != nil {
		status = http.StatusBadRequest
	}
	s.render(w, r, status, "job", "layout", p)
}

// nextBudget bounds the search for the next step: whoever stands at the car
// would rather know by how much it may be bettered than wait.
const nextBudget = 900 * time.Millisecond

// treeDepth is how many steps of the decision tree the page carries.
const treeDepth = 3

func (p *jobPage) fill(st state, n *app.NextStep) {
	p.Title = say("job.title-of", firstOf(p.Subject.ID, p.Subject.Name))
	p.Complaint, p.Off, p.Forbidden, p.Differs, p.Deference = n.Complaint, n.Off, n.Forbidden, n.Differs, n.Deference
	named := st.spelled(n)
	for _, c := range n.Codes {
		p.Codes = append(p.Codes, chipOf(named, c))
	}
	p.Shared = n.Inquiry.Shared
	for _, m := range n.Belief.Matches {
		p.Heard = append(p.Heard, heardOf(st, m))
	}
	for i, e := range n.Log {
		p.Log = append(p.Log, logOf(st, i, e))
	}
	p.Next = nextOf(st, n, p.Subject.Currency)
	p.suspects(st, n)
	for _, l := range n.Resolved.Guide.Checks {
		p.Checks = append(p.Checks, offer{Value: string(l.ID), Text: fmt.Sprintf("%s %s", l.ID, shorten(l.Name, maxCheckName)), Here: st.check == string(l.ID)})
	}
	p.Wiring = wiringLinks(st, n)
	p.Recording = st.to("/recording")
	p.ReadCodes = st.bare().to(codesPath)
	p.Hidden, p.AddCode, p.AddWords = st.fields(), named.fields(), st.fields("complaint")
}

// Bounds of what stands on the page.
const (
	maxCheckName = 60
)

// spelled returns the state with the codes of the machine written out, so that
// one can be added to them or taken away.
func (s state) spelled(n *app.NextStep) state {
	s.job.Codes = []string{}
	for _, c := range n.Codes {
		text := c.Code
		if c.Pending {
			text += " pending"
		}
		s.job.Codes = append(s.job.Codes, text)
	}
	return s
}

func chipOf(st state, c app.CodeLine) codeChip {
	chip := codeChip{Code: c.Code, Pending: c.Pending, Says: c.Group, Label: say("job.drop", c.Code)}
	if len(c.Faults) == 0 {
		chip.Says = listed(c.Group, say("job.code-unknown"))
	}
	st.job.Codes = slices.DeleteFunc(slices.Clone(st.job.Codes), func(t string) bool {
		return t == c.Code || strings.HasPrefix(t, c.Code+" ")
	})
	chip.Drop = st.to("/job")
	return chip
}

// heardOf lays out one sign with the addresses that settle it.
func heardOf(st state, m suspect.Match) heardRow {
	row := heardRow{Sign: m.Sign, Words: m.Words}
	for _, is := range []suspect.Answer{suspect.Present, suspect.Absent, suspect.NotKnown} {
		to := st
		to.job.Ticks = slices.DeleteFunc(slices.Clone(st.job.Ticks), func(t string) bool {
			_, sign, _ := strings.Cut(t, ":")
			return strings.TrimSpace(sign) == m.Sign
		})
		to.job.Ticks = append(to.job.Ticks, string(is)+": "+m.Sign)
		row.Choices = append(row.Choices, link{Text: say("answer." + strings.ReplaceAll(string(is), " ", "-")), Href: to.to("/job"), Here: m.Is == is})
	}
	return row
}

func logOf(st state, i int, e app.Entry) logRow {
	row := logRow{Text: e.Text, Label: say("job.drop", e.Text), Counted: e.Anyway}
	without := st
	without.job.Log = slices.Delete(slices.Clone(st.job.Log), i, i+1)
	row.Drop = without.to("/job")
	switch {
	case e.Verdict != nil:
		row.Check = shorten(e.Title(), maxCheckName)
		if e.Elsewhere != nil {
			row.Limit = e.Elsewhere.Says
		}
		_, text, _ := strings.Cut(e.Text, ":")
		row.Text = strings.TrimSpace(text)
		row.Verdict, row.Kind, row.Says = say("verdict."+kindOf(e.Verdict.Outcome)), kindOf(e.Verdict.Outcome), e.Verdict.Says
		if e.Verdict.Outcome == reading.NotComparable && e.Verdict.Would != reading.NotComparable && !e.Anyway {
			to := st
			to.job.Log = slices.Clone(st.job.Log)
			to.job.Log[i] = "anyway " + e.Text
			row.Anyway = to.to("/job")
		}
	case e.Repair != nil:
		row.Kind, row.Says = "repaired", e.Repair.Says
	case e.Proof != nil:
		row.Kind = map[bool]string{true: "good", false: "bad"}[e.Proof.Passed]
	}
	return row
}

// kindOf names a verdict for words and shapes.
func kindOf(o reading.Outcome) string {
	switch o {
	case reading.Conforming:
		return "good"
	case reading.NonConforming:
		return "bad"
	case reading.TooClose:
		return "close"
	}
	return "none"
}

func (p *jobPage) suspects(st state, n *app.NextStep) {
	b := n.Belief
	if b.Fixed > 0 {
		p.Fixed = percent(b.Fixed)
	}
	for i, x := range b.Suspects {
		row := suspectOf(st, x)
		switch {
		case i < maxSuspects:
			p.Suspects = append(p.Suspects, row)
		case i < maxSuspects+maxOthers:
			p.Others = append(p.Others, row)
		}
	}
	if b.Combined != nil {
		p.Says = append(p.Says, b.Combined.Says)
	}
	p.Says = append(p.Says, b.Notes...)
	for _, f := range n.Own {
		p.Says = append(p.Says, f.Text())
	}
}

// maxOthers is how many further suspects the page lists.
const maxOthers = 15

func suspectOf(st state, x suspect.Suspect) suspectRow {
	row := suspectRow{
		Name: guide.Capital(x.Name), Share: percent(x.Share), Range: say("job.range", percent(x.Low), percent(x.High)),
		Width: px(1000 * x.Share), Low: px(1000 * x.Low), Span: px(1000 * (x.High - x.Low)), Repaired: x.Repaired,
	}
	if x.Fault != suspect.Unlisted {
		row.ID = string(x.Fault)
		done := st
		done.job.Log = append(slices.Clone(st.job.Log), "repaired "+row.ID)
		row.Done = done.to("/job")
	}
	if x.On != "" {
		bay := st.bare()
		bay.item = x.On
		row.Bay = bay.to("/bay")
	}
	for _, s := range x.For {
		row.For = append(row.For, spokeOf(s))
	}
	for _, s := range x.Against {
		row.Against = append(row.Against, spokeOf(s))
	}
	if x.Excluded != nil {
		row.Excluded = x.Excluded.Says
	}
	return row
}

func spokeOf(s suspect.Spoke) spokeRow {
	return spokeRow{Says: s.Says, Factor: fmt.Sprintf("× %.2g", s.Factor), Assumed: s.Assumed}
}

// percent prints a probability.
func percent(p float64) string {
	switch {
	case p > 0 && p < 0.005:
		return "< 1 %"
	case p < 1 && p > 0.995:
		return "> 99 %"
	}
	return fmt.Sprintf("%.0f %%", p*100)
}

// pretty writes a limit or a condition with the signs of print: "≥ 85 °C",
// "−4 to 4 K".
func pretty(text string) string {
	text = strings.NewReplacer(">= ", "≥\u00a0", "<= ", "≤\u00a0", "..", " to ").Replace(text)
	if strings.HasPrefix(text, "-") {
		text = "−" + text[1:]
	}
	return text
}
