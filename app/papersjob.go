package app

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/report"
)

// jobPapers makes the papers of one job.
type jobPapers struct {
	app *App
	s   joblog.State
	g   *guide.Guide // nil when it is not at hand; then ids stand for names
	at  *time.Location
}

// jobPaper begins a paper about a job.
func (a *App) jobPaper(s joblog.State, inq *Inquiry, kind report.Kind, title string) (report.Document, *jobPapers) {
	p := &jobPapers{app: a, s: s, at: a.Clock().Location()}
	sub := subjectOfPaper{kind: kind, title: title, id: string(s.Job), about: "job " + string(s.Job)}
	if n := len(s.Arrivals); n > 0 {
		id := s.Arrivals[n-1].Machine
		sub.about = string(id)
		if m, err := a.Machine(string(id)); err == nil {
			sub.about, sub.variant = machineWords(string(id), m.Name, m.Plate), m.Variant.String()
		}
	}
	if inq != nil {
		p.g, sub.guide = inq.Guide, edition(inq.Guide)
		sub.variant = firstText(inq.Variant, sub.variant)
	}
	if s.Plan != nil {
		sub.variant = firstText(variantWords(s.Plan.Variant), sub.variant)
		sub.guide = p.pinned(s.Plan.Pin)
	}
	sub.guide = firstText(sub.guide, "no guide was used")
	return a.paper(sub), p
}

// variantWords prints the choices of a variant as people say them: "LHD A".
func variantWords(choices []string) string {
	var list []string
	for _, c := range choices {
		_, value, ok := strings.Cut(c, "=")
		if !ok {
			value = c
		}
		list = append(list, value)
	}
	return strings.Join(list, " ")
}

// pinned names the revision of the guide that the job goes by, and takes the
// guide for names where it is loaded.
func (p *jobPapers) pinned(pin joblog.Pin) string {
	l, err := p.app.Guide(string(pin.Guide))
	if err != nil {
		return pin.String()
	}
	p.g = l.Guide
	return machineWords(firstText(l.Guide.Title, string(l.Guide.ID)), pin.Revision, pin.Date)
}

// name returns the name of a person.
func (p *jobPapers) name(id joblog.Person) string {
	if w := p.app.workshop; w != nil {
		for _, x := range w.People {
			if string(x.ID) == string(id) {
				return x.Name
			}
		}
	}
	return string(id)
}

// when prints a moment on the clock of the paper.
func (p *jobPapers) when(m joblog.Moment) string {
	return m.Time().In(p.at).Format("2006-01-02\u00a015:04")
}

// check names a check: "T35, insulation of the line".
func (p *jobPapers) check(id guide.ID, what string) string {
	name := ""
	if p.g != nil {
		for _, c := range p.g.Checks {
			if c.ID == id {
				name = c.Name
			}
		}
	}
	return machineWords(string(id), firstText(what, name))
}

// table returns a section with a table, empty without rows.
func table(title string, t report.Table) report.Section {
	s := report.Section{Title: title}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, report.Block{Table: &t})
	}
	return s
}

// columns makes columns of heads; one that begins with > stands to the right.
func columns(heads ...string) []report.Column {
	var list []report.Column
	for _, h := range heads {
		head, right := strings.CutPrefix(h, ">")
		c := report.Column{Head: head}
		if right {
			c.Align = report.Right
		}
		list = append(list, c)
	}
	return list
}

func cells(texts ...string) report.Row {
	var r report.Row
	for _, t := range texts {
		r.Cells = append(r.Cells, report.Cell{Text: t})
	}
	return r
}

// addFull adds the sections that say something.
func addFull(d *report.Document, list ...report.Section) {
	for _, s := range list {
		if len(s.Blocks) > 0 {
			d.Sections = append(d.Sections, s)
		}
	}
}

// HandoverPaper is what the next person must know, from the log of a job: what
// must not be done, what is off and where it lies, what is not tight, the next
// step.
func (a *App) HandoverPaper(s joblog.State) report.Document {
	d, p := a.jobPaper(s, nil, report.Handover, "Handover")
	h := s.Handover()
	d.Lead = fact(d.Lead, "Complaint", h.Complaint)
	d.Lead = fact(d.Lead, "Stands", h.Stands)
	if h.Steps > 0 {
		d.Lead = fact(d.Lead, "Done", fmt.Sprintf("%d of %d steps", h.Done, h.Steps))
	}
	d.Lead = fact(d.Lead, "Ticked last", h.Last)
	if h.Said != "" {
		d.Lead = fact(d.Lead, p.name(h.By)+" says", h.Said)
	}
	addFull(&d, prohibited(h.MustNot), nextSection(h), p.tray(h), looseSection(h.Loose), conditionsSection(h.Conditions), listSection("Not settled", h.Unsettled))
	d.Sections = append(d.Sections, report.Section{Title: "Handed over", Blocks: []report.Block{{Sign: &report.Sign{
		Says: "Read aloud and looked at together at the machine.", Lines: []report.SignLine{{Role: "hands over"}, {Role: "takes over"}},
	}}}})
	return d
}

func prohibited(list []joblog.Prohibition) report.Section {
	s := report.Section{Title: "Must not be done now"}
	for _, m := range list {
		s.Blocks = append(s.Blocks, report.Block{Caution: &report.Caution{Says: m.Says, Because: guide.Capital(strings.Join(m.Because, "; ")), MustNot: true}})
	}
	return s
}

func nextSection(h joblog.Handover) report.Section {
	s := report.Section{Title: "Next"}
	switch {
	case h.Present == nil && h.Steps == 0:
		s.Blocks = append(s.Blocks, textBlock("No plan was taken."))
	case h.Present == nil:
		s.Blocks = append(s.Blocks, textBlock("No step is left."))
	default:
		done := report.Tick{ID: fmt.Sprintf("step %d", h.Present.Step)}
		step := report.Step{Number: h.Present.Step, Title: h.Present.Says, Done: &done}
		for _, w := range h.Present.Why {
			step.Cautions = append(step.Cautions, report.Caution{Says: "It cannot be done now", Because: guide.Capital(w)})
		}
		s.Blocks = append(s.Blocks, report.Block{Step: &step})
	}
	return s
}

// tray lists what is off and where it lies, with a box for having seen it.
func (p *jobPapers) tray(h joblog.Handover) report.Section {
	t := report.Table{Columns: columns("Seen", "Item", "Stands", "Lies", ">Fasteners apart", "Taken off by")}
	for _, l := range h.Tray {
		stands := string(l.Stands)
		if l.Stands == "" {
			stands = "on, not all ticked"
		}
		if l.With != "" {
			stands += ", with " + string(l.With)
		}
		if l.Found {
			stands += ", found so"
		}
		if l.Unsure {
			stands += ", not settled"
		}
		by := ""
		if l.Removed != nil {
			by = p.name(l.Removed.By) + ", " + p.when(l.Removed.At)
		}
		row := cells("", guide.Capital(l.Name), stands, l.Lies, fmt.Sprint(l.Out), by)
		row.Cells[0].Ticks = []report.Tick{{ID: "tray " + string(l.Item)}}
		row.Cells[1].Strong = true
		t.Rows = append(t.Rows, row)
	}
	s := table("The tray", t)
	if h.Fasteners.Out+h.Connectors.Out > 0 {
		s.Blocks = append(s.Blocks, report.Block{Text: &report.Text{
			Says: fmt.Sprintf("Fasteners: %d came out, %d are in and ticked. Connectors: %d apart, %d together again.", h.Fasteners.Out, h.Fasteners.In, h.Connectors.Out, h.Connectors.In),
		}})
	}
	return s
}

// looseSection gives a box to every fastener that is in and not yet ticked.
func looseSection(list []joblog.JointLine) report.Section {
	s := report.Section{Title: "On, and not tight"}
	for _, j := range list {
		t := report.Ticks{Ref: fmt.Sprintf("%s/%d", j.Item, j.Joint), Head: fmt.Sprintf("%s: %s, %d of %d ticked", guide.Capital(j.Name), j.Says, j.In, j.Count), Flow: true}
		for _, n := range j.Missing {
			t.List = append(t.List, report.Tick{ID: fastenerID(j.Item, j.Joint, n), Says: fmt.Sprint(n)})
		}
		s.Blocks = append(s.Blocks, report.Block{Ticks: &t})
	}
	return s
}

func conditionsSection(list []joblog.ConditionState) report.Section {
	var points []string
	for _, c := range list {
		points = append(points, guide.Capital(c.Says))
	}
	return listSection("Stands otherwise than in the end", points)
}

func listSection(title string, points []string) report.Section {
	s := report.Section{Title: title}
	if len(points) > 0 {
		s.Blocks = append(s.Blocks, report.Block{List: &report.List{Points: points}})
	}
	return s
}

// LogPapers are the papers that are made from the log of a job.
var LogPapers = []report.Kind{report.Handover, report.Job}

// PaperOfLog makes a paper from the events of a job, read against the guides
// that are loaded. The error wraps ErrInput.
func (a *App) PaperOfLog(kind report.Kind, records []joblog.Record) (*report.Document, error) {
	if !slices.Contains(LogPapers, kind) {
		return nil, fmt.Errorf("%w: paper: %q is not made from a log; write one of %s", ErrInput, kind, kindWords(LogPapers))
	}
	if len(records) == 0 {
		return nil, fmt.Errorf("%w: paper: the log holds no event", ErrInput)
	}
	s, err := a.folded(records)
	if err != nil {
		return nil, err
	}
	d := a.HandoverPaper(s)
	if kind == report.Job {
		d = a.JobPaper(s, nil)
	}
	return &d, nil
}
