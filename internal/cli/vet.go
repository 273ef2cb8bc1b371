package cli

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide/vet"
	"elbowroom/span"
)

// vetCmd examines a guide.
type vetCmd struct {
	At    string   `enum:"error,warning,advice" default:"warning" help:"Exit with status 6 when a finding is at least so grave: error, warning or advice."`
	Only  []string `placeholder:"RULE" help:"Only findings of these rules."`
	Rules bool     `help:"List the rules instead of examining."`
}

// Help stands under the usage of vet.
func (vetCmd) Help() string {
	return "Each finding says where it is, what is doubtful and what to do about it.\n\n" + exitHelp()
}

// vetAnswer is the JSON of vet.
type vetAnswer struct {
	Guide    string         `json:"guide" says:"name of the guide"`
	Findings []span.Finding `json:"findings" says:"what was found, in the order of the text"`
	Errors   int            `json:"errors" says:"how many are errors"`
	Warnings int            `json:"warnings" says:"how many are warnings"`
	Advice   int            `json:"advice" says:"how many are advice"`
}

// Run examines and prints.
func (c *vetCmd) Run(r *run) error {
	if err := c.known(); err != nil {
		return err
	}
	if c.Rules {
		return r.rules()
	}
	a, err := r.open()
	if err != nil {
		return err
	}
	out := vetAnswer{Guide: a.Guides()[0].Name, Findings: []span.Finding{}}
	found, err := a.Vet(out.Guide)
	if err != nil {
		return err
	}
	counts := [3]int{}
	for _, f := range found {
		if len(c.Only) > 0 && !slices.Contains(c.Only, f.Rule) {
			continue
		}
		out.Findings = append(out.Findings, f)
		counts[f.Severity]++
		if f.Severity.String() == c.At || f.Severity < severity(c.At) {
			r.exit = Findings
		}
	}
	out.Errors, out.Warnings, out.Advice = counts[0], counts[1], counts[2]
	if r.cli.JSON {
		return r.json(out)
	}
	p := r.page()
	for _, f := range out.Findings {
		p.vetted(f)
	}
	p.space()
	p.line(fmt.Sprintf("%s: %s, %s, %s", out.Guide, count(counts[0], "error"), count(counts[1], "warning"), count(counts[2], "piece of advice")))
	return r.show(p)
}

// known refuses the name of a rule that does not exist.
func (c *vetCmd) known() error {
	var names []string
	for _, rule := range vet.Rules {
		names = append(names, rule.ID)
	}
	for _, id := range c.Only {
		if !slices.Contains(names, id) {
			return fmt.Errorf("%w: there is no rule %q; see: elbowroom vet --rules", errUsage, id)
		}
	}
	return nil
}

func severity(name string) span.Severity {
	switch name {
	case "error":
		return span.Error
	case "warning":
		return span.Warning
	}
	return span.Advice
}

// count prints "1 error", "3 errors", "2 pieces of advice".
func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	if first, rest, ok := strings.Cut(what, " "); ok {
		return fmt.Sprintf("%d %ss %s", n, first, rest)
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// vetted prints one finding as a paragraph that a person can work through.
func (p *page) vetted(f span.Finding) {
	at := f.Pos.String()
	if at == "" {
		at = f.Where
	}
	p.row("", "", at, f.Severity.String()+" "+f.Rule)
	says := f.Says
	if f.Text != "" && !strings.Contains(says, f.Text) {
		says += fmt.Sprintf(" [%s]", f.Text)
	}
	p.indented(2, says)
	if f.Expect != "" {
		p.indented(2, "expected: "+f.Expect)
	}
	if len(f.Nearest) > 0 {
		p.indented(2, "nearest known: "+strings.Join(f.Nearest, ", "))
	}
	if f.Do != "" {
		p.para("  > ", "    ", f.Do)
	}
}

// rules lists what vet looks for.
func (r *run) rules() error {
	if r.cli.JSON {
		var out rulesAnswer
		for _, rule := range vet.Rules {
			out.Rules = append(out.Rules, ruleLine{rule.ID, rule.Severity.String(), rule.Says})
		}
		return r.json(out)
	}
	p := r.page()
	var rows [][]string
	for _, rule := range vet.Rules {
		rows = append(rows, []string{rule.ID, rule.Severity.String(), rule.Says})
	}
	p.table(rows)
	return r.show(p)
}

// rulesAnswer is the JSON of vet --rules.
type rulesAnswer struct {
	Rules []ruleLine `json:"rules" says:"every rule, in the order in which it is applied"`
}

type ruleLine struct {
	ID       string `json:"id" says:"stable name"`
	Severity string `json:"severity" says:"error, warning or advice"`
	Says     string `json:"says" says:"what a finding means"`
}
