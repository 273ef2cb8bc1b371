package app

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/joblog"
	"elbowroom/report"
	"elbowroom/suspect"
)

// JobPaper is the report of a job: complaint, signs, what was measured, what
// was ruled out and by which check, before and after, the proof, what was done
// by whom in how many minutes, parts, deviations and what is still open. The
// inquiry says what was believed; without one that section is left out.
func (a *App) JobPaper(s joblog.State, inq *Inquiry) report.Document {
	d, p := a.jobPaper(s, inq, report.Job, "Job report")
	for _, x := range s.Arrivals {
		d.Lead = fact(d.Lead, "Came in", machineWords(p.when(x.At), x.Distance))
		d.Lead = fact(d.Lead, "Complaint", x.Complaint)
	}
	if s.Closed != nil {
		d.Lead = fact(d.Lead, "Closed", machineWords(p.when(s.Closed.At), p.name(s.Closed.By), s.Closed.Says))
	} else {
		d.Lead = fact(d.Lead, "Closed", "not yet; what is lacking stands at the end")
	}
	addFull(&d, p.signs(), p.codes(), p.causes(inq), p.readings(), p.beforeAfter(), p.proofs(), p.work(), p.people(), p.parts(), p.notes(), p.deviations(), p.prices(), p.open())
	d.Sections = append(d.Sections, report.Section{Title: "Signed", Blocks: []report.Block{{Sign: p.signed()}}})
	return d
}

func (p *jobPapers) signs() report.Section {
	t := report.Table{Columns: columns("Sign", "Noted", "By")}
	for _, x := range p.s.Signs {
		r := cells(x.Says, p.when(x.At), p.name(x.By))
		if x.Withdrawn != nil {
			r.Cells[0] = report.Cell{Struck: []string{x.Says + "|taken back: " + x.Withdrawn.Reason}}
		}
		t.Rows = append(t.Rows, r)
	}
	return table("Signs", t)
}

func (p *jobPapers) codes() report.Section {
	t := report.Table{Columns: columns("Code", "Status", "Stored with it")}
	for _, x := range p.s.Codes {
		r := cells(x.Code, x.Status, x.CodeNoted.Says)
		if x.Withdrawn != nil {
			r.Cells[0] = report.Cell{Struck: []string{x.Code + "|taken back: " + x.Withdrawn.Reason}}
		}
		t.Rows = append(t.Rows, r)
	}
	return table("Trouble codes", t)
}

// Suspects worth a line on a report: those that were up for discussion when the
// machine came in, or are now, at most so many.
const (
	leastBefore  = 0.01
	mostOnReport = 10
)

// arrived returns the share that a suspect had when the machine came in: after
// complaint, codes and signs, before anything was read. Where nobody asked it is
// the share that the guide gives.
func arrived(inq *Inquiry) func(s suspect.Suspect) float64 {
	if inq.Arrival == nil {
		return func(s suspect.Suspect) float64 { return s.Prior }
	}
	shares := map[guide.ID]float64{}
	for _, s := range inq.Arrival.Suspects {
		shares[s.Fault] = s.Share
	}
	return func(s suspect.Suspect) float64 { return shares[s.Fault] }
}

// causes lists the suspects: what each was worth when the machine came in, what
// it is worth now, and the check that decided.
func (p *jobPapers) causes(inq *Inquiry) report.Section {
	if inq == nil {
		return report.Section{}
	}
	t := report.Table{
		Says:    "Shares after complaint, codes and signs, before anything was measured, and now; what decided is the sign that moved the share most.",
		Columns: columns("Suspect", ">At first", ">Now", "", "Decided by"),
	}
	before := arrived(inq)
	list, more := reported(inq.Belief, before)
	if more > 0 {
		t.Note = fmt.Sprintf("%d more that the guide knows were never likely: below %s at first, and below %s now.", more, percent(leastBefore), percent(outShare))
	}
	for _, s := range list {
		name := s.Name
		if s.Fault != "" && s.Fault != suspect.Unlisted {
			name += " (" + string(s.Fault) + ")"
		}
		t.Rows = append(t.Rows, cells(guide.Capital(name), percent(before(s)), percent(s.Share), verdictOn(s, before(s)), decider(s, inq.Belief.Signs, before(s))))
	}
	return table("What it could have been", t)
}

// reported picks the suspects worth a line, in the order of their shares, and
// counts the rest.
func reported(b suspect.Belief, before func(suspect.Suspect) float64) (list []suspect.Suspect, more int) {
	for _, s := range b.Suspects {
		if s.Share > outShare || s.Repaired || before(s) >= leastBefore {
			list = append(list, s)
		} else {
			more++
		}
	}
	weight := func(s suspect.Suspect) float64 {
		if s.Repaired {
			return 1
		}
		return max(before(s), s.Share)
	}
	if len(list) > mostOnReport {
		slices.SortStableFunc(list, func(x, y suspect.Suspect) int { return cmp.Compare(weight(y), weight(x)) })
		more += len(list) - mostOnReport
		list = list[:mostOnReport]
	}
	slices.SortStableFunc(list, func(x, y suspect.Suspect) int { return cmp.Compare(y.Share, x.Share) })
	return list, more
}

// percent prints a share; what is not nothing is never printed as 0.
func percent(x float64) string {
	switch {
	case x > 0 && x < 0.001:
		return "< 0.1 %"
	case x < 0.1 || x > 0.99 && x < 1:
		return fmt.Sprintf("%.1f %%", 100*x)
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

// Shares from which a suspect is called found, and up to which ruled out.
const (
	foundShare = 0.8
	outShare   = 0.02
)

func verdictOn(s suspect.Suspect, before float64) string {
	switch {
	case s.Repaired:
		return "repaired"
	case s.Share >= foundShare:
		return "found"
	case s.Share <= outShare && before > s.Share:
		return "ruled\u00a0out"
	}
	return "open"
}

// decider names what moved a suspect most in the direction in which it went: a
// check where one did, else what was known at arrival.
func decider(s suspect.Suspect, signs []suspect.Sign, before float64) string {
	if s.Excluded != nil {
		return s.Excluded.Says
	}
	list := s.Against
	if s.Share > before || s.Repaired {
		list = s.For
	}
	checked := func(x suspect.Spoke) bool {
		return x.Sign >= 0 && x.Sign < len(signs) && signs[x.Sign].Check != "" && farther(x.Factor, leastMove)
	}
	var best *suspect.Spoke
	for i := range list {
		x := &list[i]
		switch {
		case best == nil, checked(*x) && !checked(*best):
			best = x
		case checked(*x) == checked(*best) && farther(x.Factor, best.Factor):
			best = x
		}
	}
	if best == nil {
		return ""
	}
	if best.Says == "" && best.Sign >= 0 && best.Sign < len(signs) {
		return signs[best.Sign].Says
	}
	return best.Says
}

// leastMove is the factor on the odds from which a check is said to have
// decided something.
const leastMove = 1.5

// farther reports whether a factor lies farther from 1 than another.
func farther(a, b float64) bool {
	away := func(x float64) float64 {
		if x < 1 && x > 0 {
			return 1 / x
		}
		return x
	}
	return away(a) > away(b)
}

func (p *jobPapers) readings() report.Section {
	t := report.Table{Columns: columns("Check", "At", "Reading", "Limit", "Verdict", "How", "By")}
	for _, x := range p.s.Readings {
		verdict, limit := string(x.Verdict()), ""
		for _, j := range x.Judged {
			limit = strings.TrimSpace(firstText(limit, j.Limit) + "\n" + j.Why)
		}
		if verdict == "" {
			verdict = "not judged"
			if len(x.Judged) > 1 {
				verdict = "judged in two ways"
			}
		}
		how := machineWords(append([]string{x.Instrument}, x.Conditions...)...)
		r := cells(p.check(x.Check, x.What), x.Point, x.Text, limit, verdict, how, p.name(x.By)+", "+p.when(x.At))
		r.Cells[2].Strong = true
		t.Rows = append(t.Rows, r)
	}
	return table("What was measured", t)
}

func (p *jobPapers) beforeAfter() report.Section {
	t := report.Table{Columns: columns("Check", "Before", "Verdict", "After", "Verdict")}
	for _, x := range p.s.BeforeAfter() {
		if !p.workBetween(x) {
			continue // read twice in the same state: no before and after
		}
		r := cells(p.check(x.Check, x.What), x.Before.Text, string(x.Before.Verdict()), x.After.Text, string(x.After.Verdict()))
		r.Cells[1].Strong, r.Cells[3].Strong = true, true
		t.Rows = append(t.Rows, r)
	}
	return table("Before and after", t)
}

// workBetween reports whether something was replaced, cleaned or repaired
// between two readings. Where nothing at all is recorded as done, a second
// reading is taken for one after the work.
func (p *jobPapers) workBetween(x joblog.Pair) bool {
	any := false
	for _, w := range p.s.Worked {
		switch w.Act.Verb {
		case guide.Replace, guide.Clean, guide.Repair:
			any = true
			if w.Done.Compare(x.Before.ID) > 0 && w.Done.Compare(x.After.ID) < 0 {
				return true
			}
		}
	}
	for _, n := range p.s.Notes {
		if strings.HasPrefix(n.Text, repairedWord+" ") {
			any = true
			if n.ID.Compare(x.Before.ID) > 0 && n.ID.Compare(x.After.ID) < 0 {
				return true
			}
		}
	}
	return !any && p.s.Closed != nil
}

func (p *jobPapers) proofs() report.Section {
	t := report.Table{Columns: columns("Proof", "Verdict", "Under", "By")}
	for _, x := range p.s.Proofs {
		verdict := string(x.Verdict)
		if x.Stale {
			verdict += "; something was taken off or put back after it"
		}
		r := cells(p.check(x.Check, x.What), verdict, strings.Join(x.Conditions, ", "), p.name(x.By)+", "+p.when(x.At))
		r.Cells[1].Strong = true
		t.Rows = append(t.Rows, r)
	}
	return table("Proof", t)
}

// work lists every step that was done, with who did it and in how many minutes.
func (p *jobPapers) work() report.Section {
	t := report.Table{Columns: columns(">Step", "What", "By", ">Minutes")}
	took := map[joblog.ID]joblog.Worked{}
	for _, w := range p.s.Worked {
		took[w.Done] = w
	}
	plans := slices.Clone(p.s.Earlier)
	if p.s.Plan != nil {
		plans = append(plans, *p.s.Plan)
	}
	var sum time.Duration
	add := func(list []joblog.StepState) {
		for _, x := range list {
			if !x.Done || len(x.Ticks) == 0 {
				continue
			}
			n, by, minutes, clear := "", []string{}, time.Duration(0), "not clear"
			if x.Step > 0 {
				n = fmt.Sprint(x.Step)
			}
			for _, k := range x.Ticks {
				if name := p.name(k.By); !slices.Contains(by, name) {
					by = append(by, name)
				}
				if w, ok := took[k.ID]; ok && !w.Unclear {
					minutes += w.Time
					clear = Minutes(minutes)
				}
			}
			sum += minutes
			says := x.Says
			if x.Signed != nil {
				says += "; out of what the guide allows, signed by " + p.name(x.Signed.By)
			}
			t.Rows = append(t.Rows, cells(n, says, join(by), clear))
		}
	}
	for _, x := range plans {
		add(x.Steps)
	}
	add(p.s.Extra)
	if len(t.Rows) > 0 {
		t.Rows = append(t.Rows, report.Row{Sum: true, Cells: []report.Cell{{}, {Text: "Minutes that are clear"}, {}, {Text: Minutes(sum)}}})
		t.Note = "A time is clear when its beginning and end are in the log; two who tick one step are both named and the time counts for each that is clear."
	}
	return table("What was done", t)
}

// people sums up the time of each person.
func (p *jobPapers) people() report.Section {
	t := report.Table{Columns: columns("Who", ">Steps", ">Clear time", ">Of these unclear")}
	type total struct {
		steps, unclear int
		time           time.Duration
	}
	sums := map[joblog.Person]*total{}
	var order []joblog.Person
	for _, w := range p.s.Worked {
		x := sums[w.By]
		if x == nil {
			x = &total{}
			sums[w.By], order = x, append(order, w.By)
		}
		x.steps++
		if w.Unclear {
			x.unclear++
			continue
		}
		x.time += w.Time
	}
	for _, by := range order {
		x := sums[by]
		t.Rows = append(t.Rows, cells(p.name(by), fmt.Sprint(x.steps), Minutes(x.time), fmt.Sprint(x.unclear)))
	}
	return table("Who worked on it", t)
}

func (p *jobPapers) parts() report.Section {
	t := report.Table{Columns: columns("Single-use part", "On", ">Needed", ">New", "Recorded by")}
	for _, x := range p.s.Parts {
		var by []string
		for _, s := range x.By {
			by = append(by, p.name(s.By))
		}
		t.Rows = append(t.Rows, cells(x.Says, string(x.On), fmt.Sprint(x.Need), fmt.Sprint(x.New), join(by)))
	}
	s := table("Parts and fasteners", t)
	if c, k := p.s.Fasteners, p.s.Connectors; c.Out+k.Out > 0 {
		s.Blocks = append(s.Blocks, textBlock(fmt.Sprintf("Fasteners: %d came out, %d are in and ticked. Connectors: %d apart, %d together again.", c.Out, c.In, k.Out, k.In)))
	}
	return s
}

func (p *jobPapers) notes() report.Section {
	t := report.Table{Columns: columns("Note", "On", "By")}
	for _, x := range p.s.Notes {
		t.Rows = append(t.Rows, cells(x.Text, string(x.On), p.name(x.By)+", "+p.when(x.At)))
	}
	for _, x := range p.s.Pictures {
		t.Rows = append(t.Rows, cells("Picture: "+x.Says, string(x.On), p.name(x.By)+", "+p.when(x.At)))
	}
	return table("Notes and pictures", t)
}

func (p *jobPapers) deviations() report.Section {
	s := report.Section{Title: "Deviations"}
	for _, x := range p.s.Deviations {
		covers := slices.Clone(x.Lacks)
		for _, n := range x.Steps {
			covers = append(covers, fmt.Sprintf("step %d", n.Step))
		}
		if n := len(x.Done); n > 0 {
			covers = append(covers, fmt.Sprintf("%d steps done that the guide does not allow then", n))
		}
		s.Blocks = append(s.Blocks, report.Block{Caution: &report.Caution{
			Says: x.Reason, Because: "Covers: " + join(covers), Authority: "signed by " + p.name(x.Signed) + ", " + p.when(x.At),
		}})
	}
	return s
}

func (p *jobPapers) prices() report.Section {
	t := report.Table{Columns: columns("Agreed", ">Amount", ">Limit", "By", "How", "For")}
	for _, x := range p.s.Prices {
		amount := func(n int64) string {
			if n == 0 {
				return ""
			}
			return estimate.CurrencyOf(x.Currency).Text(estimate.Sum(n)) + " " + x.Currency
		}
		t.Rows = append(t.Rows, cells(p.when(x.At), amount(int64(x.Amount)), amount(int64(x.Limit)), x.Who, x.How, x.For))
	}
	return table("Price", t)
}

// open lists what keeps the job from being closed, and who signed for it.
func (p *jobPapers) open() report.Section {
	var points []string
	for _, l := range p.s.Lacks {
		says := guide.Capital(l.Says)
		if l.Signed != nil {
			says += "; signed for by " + p.name(l.Signed.By) + ": " + l.Reason
		}
		points = append(points, says)
	}
	return listSection("Still lacking", points)
}

func (p *jobPapers) signed() *report.Sign {
	s := &report.Sign{Lines: []report.SignLine{{Role: "for the workshop"}, {Role: "customer"}}}
	if c := p.s.Closed; c != nil {
		s.Lines[0] = report.SignLine{Role: "for the workshop, closed the job", Name: p.name(c.By), When: p.when(c.At)}
	}
	return s
}
