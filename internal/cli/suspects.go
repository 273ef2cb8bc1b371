package cli

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/suspect"
)

// jobFlags say what is known of the trouble of a machine.
type jobFlags struct {
	machineFlags
	Log       []string      `arg:"" optional:"" name:"entry" sep:"none" help:"What was read and done, in order: \"T35: 38 kΩ, unplugged\", \"T58 at EL01: 0.62 Ω, unplugged\" (taken at another point of the line), \"anyway T15: 31 °C, coolant 80 °C\" (count it although not comparable), \"repaired F10\", \"proof passed\"."`
	Complaint string        `placeholder:"TEXT" help:"Complaint in the customer's words; else the machine's."`
	Codes     []string      `name:"code" placeholder:"CODE" help:"Trouble code, such as P0327 or \"P0332 pending\"; replaces those of the machine. none for none."`
	AllCodes  bool          `help:"The codes are everything that is stored, so that a missing one speaks too."`
	Signs     []string      `name:"sign" sep:"none" placeholder:"TEXT" help:"Sign of the guide that is settled: \"yes: misfire\", \"no: whistle\", \"not known: consumption\"."`
	Touched   []string      `placeholder:"ITEM" help:"Item that was worked on just before it began."`
	Around    []string      `placeholder:"WORDS" help:"Circumstances under which it shows: wet, hot, uphill."`
	Start     []string      `placeholder:"WHAT" help:"How the machine stands now: PN03, \"CO01 aside\", engine=hot; none for everything fitted."`
	Missing   []string      `placeholder:"TOOL" help:"Tool that is not at hand."`
	By        string        `enum:"money,minutes" default:"money" help:"What is kept least: money or minutes."`
	Rate      string        `placeholder:"SUM" help:"Price of an hour of work, such as 84.00; else the workshop's."`
	Budget    time.Duration `placeholder:"TIME" default:"5s" help:"How long to search, such as 5s or 2m. Default ${default}."`
}

// job turns the flags into what is known of a job.
func (f jobFlags) job(guide string) (app.Job, error) {
	j := app.Job{
		Ask:       app.Ask{Guide: guide, Machine: f.Machine, Variant: f.Variant, Start: f.Start, Missing: f.Missing, By: f.By, Rate: f.Rate, Budget: f.Budget},
		Complaint: f.Complaint, Codes: f.Codes, AllCodes: f.AllCodes, Ticks: f.Signs, Touched: f.Touched, Around: f.Around, Log: f.Log,
	}
	if len(f.Start) == 1 && f.Start[0] == "none" {
		j.Start = []string{}
	}
	if len(f.Codes) == 1 && f.Codes[0] == "none" {
		j.Codes = []string{}
	}
	if f.Budget <= 0 {
		return j, fmt.Errorf("%w: --budget %s: write a time above nothing, such as 5s", errUsage, f.Budget)
	}
	return j, nil
}

// suspectsCmd lists the suspects.
type suspectsCmd struct {
	jobFlags
	Most int `placeholder:"N" default:"8" help:"How many suspects to show."`
}

// Help stands under the usage of suspects.
func (suspectsCmd) Help() string {
	return "Shares are probabilities; the range beside a share is how far it moves when what had to be assumed is taken at its ends. " +
		"A factor says by how much a sign multiplied the odds.\n\n" + exitHelp()
}

// suspectsAnswer is the JSON of suspects.
type suspectsAnswer struct {
	Variant   string        `json:"variant,omitempty" says:"the variant"`
	Complaint string        `json:"complaint,omitempty" says:"in the customer's words"`
	Signs     []matchLine   `json:"signs" says:"signs of the guide found in the complaint; settle them with --sign"`
	Codes     []codeLine    `json:"codes" says:"trouble codes, with what the standard and the guide say of them"`
	Shared    []string      `json:"shared" says:"what several codes have in common, best first"`
	Log       []logLine     `json:"log" says:"what was read and done"`
	Suspects  []suspectLine `json:"suspects" says:"likeliest first"`
	Fixed     float64       `json:"fixed" says:"share of: nothing is wrong any more"`
	Combined  string        `json:"combined,omitempty" says:"whether several faults at once were looked at, and why"`
	Assumed   []assumedLine `json:"assumed" says:"assumptions that matter, the one that moves most first"`
	Own       []string      `json:"own" says:"figures of this workshop that stand in the place of assumed ones, and of which"`
	Notes     []string      `json:"notes" says:"what was left out or replaced, and why"`
	Deference string        `json:"deference" says:"what comes before this"`
}

type matchLine struct {
	Sign   string         `json:"sign" says:"as the guide writes it"`
	Words  string         `json:"words" says:"the words of the complaint"`
	Is     suspect.Answer `json:"is" says:"yes, no or not known"`
	Faults []string       `json:"faults" says:"faults that bring it"`
}

type codeLine struct {
	Code    string   `json:"code" says:"the code"`
	Pending bool     `json:"pending,omitempty" says:"seen, not confirmed"`
	Group   string   `json:"group,omitempty" says:"public group of the standard"`
	Owner   string   `json:"owner,omitempty" says:"who gives it its meaning"`
	Faults  []string `json:"faults" says:"faults of the guide that list it"`
}

type logLine struct {
	Text    string   `json:"text" says:"as given"`
	Verdict string   `json:"verdict,omitempty" says:"of a reading"`
	Says    string   `json:"says,omitempty" says:"in one sentence"`
	Limit   []string `json:"limit,omitempty" says:"how the limit was had of a reading taken at another point than its check's"`
}

type suspectLine struct {
	Fault   guide.ID    `json:"fault" says:"fault of the guide, or not-listed"`
	Name    string      `json:"name" says:"what is wrong"`
	On      guide.ID    `json:"on,omitempty" says:"item"`
	Share   float64     `json:"share" says:"probability that it is present"`
	Low     float64     `json:"low" says:"lowest share over what was assumed"`
	High    float64     `json:"high" says:"highest share over what was assumed"`
	Prior   float64     `json:"prior" says:"share before anything spoke"`
	For     []spokeLine `json:"for" says:"what spoke for it"`
	Against []spokeLine `json:"against" says:"what spoke against it"`
	Out     string      `json:"excluded_by,omitempty" says:"what brought the share down for good"`
	Mended  bool        `json:"repaired,omitempty" says:"taken out by a repair"`
}

type spokeLine struct {
	Says    string  `json:"says" says:"the sign"`
	Factor  float64 `json:"factor" says:"the odds were multiplied by it"`
	Assumed bool    `json:"assumed,omitempty" says:"its odds are not stated by the guide"`
}

type assumedLine struct {
	Group  suspect.Group `json:"group" says:"what was assumed"`
	Weak   float64       `json:"weak" says:"share of the leading suspect with it at its weak end"`
	Strong float64       `json:"strong" says:"and at its telling end"`
	Leader bool          `json:"leader" says:"at one end another suspect leads"`
}

// Run weighs and prints.
func (c *suspectsCmd) Run(r *run) error {
	a, err := r.open()
	if err != nil {
		return err
	}
	j, err := c.job(r.guideName(c.Machine, a))
	if err != nil {
		return err
	}
	q, err := a.Suspects(j)
	if err != nil {
		return err
	}
	if r.cli.JSON {
		return r.json(suspectsJSON(q))
	}
	p := r.page()
	p.inquiry(q)
	p.suspects(q, max(c.Most, 1))
	p.space()
	p.para("", "", q.Deference)
	return r.show(p)
}

// inquiry says what is known of the trouble.
func (p *page) inquiry(q *app.Inquiry) {
	p.field("Complaint", q.Complaint)
	if m := q.Machine; m != nil {
		p.field("Machine", fmt.Sprintf("%s, %s", m.ID, m.Name))
	}
	p.field("Variant", q.Variant)
	p.lines("Mind", q.Differs)
	for i, c := range q.Codes {
		text := c.Code
		if c.Pending {
			text += " pending"
		}
		if c.Group != "" {
			text += ": " + c.Group
		}
		if len(c.Faults) == 0 {
			text += "; no fault of the guide lists it"
		}
		p.field([]string{"Codes", ""}[min(i, 1)], text)
	}
	for i, text := range q.Shared {
		p.field([]string{"In common", ""}[min(i, 1)], text)
	}
	p.lines("Heard", heard(q.Belief.Matches))
	p.lines("Now", q.Off)
	p.lines("Never", q.Forbidden)
	p.lines("Own figures", ownTexts(q))
	for i, e := range q.Log {
		text := e.Text
		if e.Verdict != nil {
			text = fmt.Sprintf("%s: %s", e.Text, strings.ToUpper(string(e.Verdict.Outcome)))
		}
		p.field([]string{"So far", ""}[min(i, 1)], text)
		if e.Elsewhere != nil {
			p.field("", e.Elsewhere.Says[0])
		}
	}
}

// ownTexts says which figures are the workshop's own.
func ownTexts(q *app.Inquiry) []string {
	out := []string{}
	for _, f := range q.Own {
		out = append(out, f.Text())
	}
	return out
}

func heard(list []suspect.Match) []string {
	var out []string
	for _, m := range list {
		out = append(out, fmt.Sprintf("“%s” as %s: %s", m.Words, m.Sign, m.Is))
	}
	return out
}

// suspects lists the suspects with what spoke.
func (p *page) suspects(q *app.Inquiry, most int) {
	b := q.Belief
	p.head("suspects", "share  may be")
	if b.Fixed > 0 {
		p.row("  ", "  ", "nothing is wrong any more", share(b.Fixed)+strings.Repeat(" ", 8))
	}
	for i, s := range b.Suspects {
		if i == most {
			p.line(fmt.Sprintf("  and %d more below %s", len(b.Suspects)-most, share(b.Suspects[most-1].Share)))
			break
		}
		name := s.Name
		if s.Fault != suspect.Unlisted {
			name = strings.TrimSpace(fmt.Sprintf("%s (%s, %s)", s.Name, s.Fault, s.On))
		}
		p.row("  ", "    ", name, fmt.Sprintf("%s  %2.0f–%.0f %%", share(s.Share), s.Low*100, s.High*100))
		for _, x := range s.For {
			p.para("      + ", "        ", spoke(x))
		}
		for _, x := range s.Against {
			p.para("      - ", "        ", spoke(x))
		}
		if s.Excluded != nil {
			p.para("      ", "      ", "ruled out by "+s.Excluded.Says)
		}
	}
	if b.Combined != nil {
		p.para("  ", "  ", b.Combined.Says)
	}
	p.lines("Mind", b.Notes)
	for _, w := range b.Swings {
		if w.Leader {
			p.field("Depends", fmt.Sprintf("on %s, which the guide does not state: at one end another suspect leads", w.Group))
		}
	}
}

func spoke(x suspect.Spoke) string {
	text := fmt.Sprintf("%s: odds × %.2g", x.Says, x.Factor)
	if x.Assumed {
		text += ", assumed"
	}
	return text
}

// share prints a probability in per cent, five characters wide.
func share(p float64) string { return fmt.Sprintf("%4.1f %%", p*100) }

func suspectsJSON(q *app.Inquiry) suspectsAnswer {
	out := suspectsAnswer{
		Variant: q.Variant, Complaint: q.Complaint, Signs: []matchLine{}, Codes: []codeLine{}, Shared: []string{}, Log: []logLine{},
		Suspects: []suspectLine{}, Fixed: q.Belief.Fixed, Assumed: []assumedLine{}, Own: ownTexts(q), Notes: some(q.Belief.Notes), Deference: q.Deference,
	}
	for _, m := range q.Belief.Matches {
		l := matchLine{Sign: m.Sign, Words: m.Words, Is: m.Is, Faults: []string{}}
		for _, id := range m.Faults {
			l.Faults = append(l.Faults, string(id))
		}
		out.Signs = append(out.Signs, l)
	}
	for _, c := range q.Codes {
		out.Codes = append(out.Codes, codeLine{c.Code, c.Pending, c.Group, c.Owner, some(c.Faults)})
	}
	for _, c := range q.Causes.Shared {
		out.Shared = append(out.Shared, c.Says)
	}
	for _, e := range q.Log {
		l := logLine{Text: e.Text}
		if e.Verdict != nil {
			l.Verdict, l.Says = string(e.Verdict.Outcome), e.Verdict.Says
			if e.Elsewhere != nil {
				l.Limit = e.Elsewhere.Says
			}
		}
		out.Log = append(out.Log, l)
	}
	for _, s := range q.Belief.Suspects {
		out.Suspects = append(out.Suspects, suspectLineOf(s))
	}
	if q.Belief.Combined != nil {
		out.Combined = q.Belief.Combined.Says
	}
	for _, w := range q.Belief.Swings {
		out.Assumed = append(out.Assumed, assumedLine{w.Group, w.Weak, w.Strong, w.Leader})
	}
	return out
}

func suspectLineOf(s suspect.Suspect) suspectLine {
	l := suspectLine{
		Fault: s.Fault, Name: s.Name, On: s.On, Share: s.Share, Low: s.Low, High: s.High, Prior: s.Prior,
		For: []spokeLine{}, Against: []spokeLine{}, Mended: s.Repaired,
	}
	for _, x := range s.For {
		l.For = append(l.For, spokeLine{x.Says, x.Factor, x.Assumed})
	}
	for _, x := range s.Against {
		l.Against = append(l.Against, spokeLine{x.Says, x.Factor, x.Assumed})
	}
	if s.Excluded != nil {
		l.Out = s.Excluded.Says
	}
	return l
}
