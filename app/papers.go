package app

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
	"elbowroom/report"
)

// PaperAsk asks for a paper that a question determines.
type PaperAsk struct {
	Ask
	Kind  report.Kind
	Views []guide.View // of the bay on a plan; empty: from where the work is reached
	// Torque and Quote hold what is asked of these papers beside the visit; their
	// own Ask, and item and value of a torque, are not used.
	Torque TorqueAsk
	Quote  QuoteAsk
}

// Paper is a paper with how good the plan behind it is.
type Paper struct {
	report.Document
	Outcome plan.Outcome
}

// AskedPapers are the papers that a question about a visit determines. The
// others are made from the log of a job.
var AskedPapers = []report.Kind{report.Plan, report.Torque, report.LayOut, report.Quote}

// Paper makes a paper from a question. A question without a plan gives a paper
// that says why. Errors wrap ErrInput, ErrUnknown or ErrAudit and name the
// field.
func (a *App) Paper(q PaperAsk) (*Paper, error) {
	if !slices.Contains(AskedPapers, q.Kind) {
		return nil, fmt.Errorf("%w: paper: %q: write one of %s", ErrInput, q.Kind, kindWords(AskedPapers))
	}
	for _, v := range q.Views {
		if !slices.Contains(v.Allowed(), string(v)) {
			return nil, fmt.Errorf("%w: view: %q: write one of %s", ErrInput, v, join(v.Allowed()))
		}
	}
	if q.Kind == report.Quote {
		q.Quote.Ask = q.Ask
		quote, err := a.Quote(q.Quote)
		if err != nil {
			return nil, err
		}
		return &Paper{a.QuotePaper(quote), quote.Answer.Plan.Outcome}, nil
	}
	ans, err := a.Plan(q.Ask)
	if err != nil {
		return nil, err
	}
	d, err := a.paperOf(ans, q)
	if err != nil {
		return nil, err
	}
	return &Paper{d, ans.Plan.Outcome}, nil
}

func (a *App) paperOf(ans *Answer, q PaperAsk) (report.Document, error) {
	switch q.Kind {
	case report.Torque:
		s, err := a.TorqueOf(ans, q.Torque)
		if err != nil {
			return report.Document{}, err
		}
		return a.TorquePaper(s), nil
	case report.LayOut:
		return a.LayOutPaper(ans), nil
	}
	_, b, err := a.look(q.Ask)
	if err != nil {
		return report.Document{}, err
	}
	return a.PlanPaper(ans, b.scene, q.Views), nil
}

func kindWords(kinds []report.Kind) string {
	var list []string
	for _, k := range kinds {
		list = append(list, string(k))
	}
	return join(list)
}

// subjectOfPaper is what a paper is about.
type subjectOfPaper struct {
	kind    report.Kind
	title   string
	id      string // of the machine, guide or job
	about   string
	variant string
	guide   string
}

// paper begins a document with everything that stands on each of its pages.
func (a *App) paper(s subjectOfPaper) report.Document {
	if s.variant == "" {
		s.variant = "any"
	}
	d := report.Document{
		Kind: s.kind, Number: s.id + " " + string(s.kind), Title: s.title, About: s.about, Variant: s.variant, Guide: s.guide,
		Date: a.Clock().Truncate(time.Second), Deference: deference,
	}
	if w := a.workshop; w != nil {
		d.From = strings.Trim(w.Name+", "+w.Town, ", ")
	}
	return d
}

// subjectOfAnswer says what a plan is about.
func subjectOfAnswer(ans *Answer, kind report.Kind, title string) subjectOfPaper {
	s := subjectOfPaper{kind: kind, title: title, id: string(ans.Guide.ID), about: ans.Guide.Title, variant: ans.Variant, guide: edition(ans.Guide)}
	if m := ans.Machine; m != nil {
		s.id, s.about = string(m.ID), machineWords(string(m.ID), m.Name, m.Plate)
	}
	return s
}

func machineWords(parts ...string) string {
	return join(slices.DeleteFunc(parts, func(p string) bool { return p == "" }))
}

// edition names a guide with its revision and date. People write the revision
// as a bare number or in words.
func edition(g *guide.Guide) string {
	title := g.Title
	if title == "" {
		title = string(g.ID)
	}
	revision := g.Revision
	switch {
	case revision == "":
		revision = "no revision given"
	case strings.Trim(revision, "0123456789.") == "":
		revision = "revision " + revision
	}
	return machineWords(title, revision, g.Date)
}

// sum prints money with its currency.
func sum(m money.Amount, currency string) string {
	return strings.TrimSpace(m.String() + " " + currency)
}

// textBlock is a paragraph.
func textBlock(says string) report.Block { return report.Block{Text: &report.Text{Says: says}} }

// fact is a line of facts, left out when it says nothing.
func fact(list []report.Fact, name, says string) []report.Fact {
	if says == "" {
		return list
	}
	return append(list, report.Fact{Name: name, Says: says})
}

func mustNotBlock(says string) report.Block {
	return report.Block{Caution: &report.Caution{Says: says, MustNot: true}}
}

func cautionOf(c CautionLine) report.Caution {
	out := report.Caution{Says: c.Text, Authority: c.Authority}
	if c.Answer != "" {
		out.Because = "The maker says: " + c.Answer
	}
	return out
}

// blocked is the section of a paper that has no plan.
func blocked(ans *Answer) report.Section {
	s := report.Section{Title: "No plan"}
	says := "No plan was found in the time allowed, and nothing was ruled out."
	if ans.Plan.Outcome == plan.Impossible {
		says = "This cannot be done as asked; that is proved. These together stand in the way:"
	}
	s.Blocks = append(s.Blocks, textBlock(says))
	var points []string
	for _, b := range ans.Plan.Blockers {
		points = append(points, b.Says)
	}
	if len(points) > 0 {
		s.Blocks = append(s.Blocks, report.Block{List: &report.List{Points: points}})
	}
	return s
}

// stepsText says at which steps something is needed: "step 3", "steps 3, 7, 9".
func stepsText(steps []int) string {
	if len(steps) == 0 {
		return ""
	}
	words := make([]string, len(steps))
	for i, n := range steps {
		words[i] = fmt.Sprint(n)
	}
	return join(words)
}

// ticker hands out ids of tick boxes, each once.
type ticker map[string]bool

// tick returns a box with an id that no other box of the paper has: one that
// was handed out before gets a number.
func (t ticker) tick(id, says string) report.Tick {
	given := id
	for n := 2; t[given]; n++ {
		given = fmt.Sprintf("%s again %d", id, n)
	}
	t[given] = true
	return report.Tick{ID: given, Says: says}
}
