package suspect

import (
	"fmt"
	"slices"
	"strings"
)

// reason says in one sentence why the step is next.
func (p *Problem) reason(a *Advice) string {
	var b strings.Builder
	switch a.Step.Sort {
	case StepCheck:
		fmt.Fprintf(&b, "%s, for %s", upper(a.Step.Says), a.Step.Cost)
		if s := p.moves(a.Results); s != "" {
			b.WriteString(", because " + s)
		}
	case StepRepair:
		fmt.Fprintf(&b, "%s now, for %s, because %s and no check is worth its price before it", upper(a.Step.Says), a.Step.Cost, p.leader())
	case StepProof:
		fmt.Fprintf(&b, "%s, for %s, because the machine is right with %s", upper(a.Step.Says), a.Step.Cost, percent(p.Belief.Fixed))
	default:
		fmt.Fprintf(&b, "Refer the machine on, because whatever is done here is expected to cost more than %s", a.Expected)
	}
	if a.Step.Sort != StepRefer {
		fmt.Fprintf(&b, "; until the machine is proved right and closed up it is then expected to cost %s", a.Expected)
	}
	if r := a.RunnerUp; r != nil && r.Loses > 0 {
		atLeast := ""
		if r.AtLeast {
			atLeast = "at least "
		}
		fmt.Fprintf(&b, ", %s%s less than to %s first", atLeast, r.Loses, r.Says)
	}
	return b.String() + "."
}

// moves says how the suspect that is moved most stands after each result.
func (p *Problem) moves(results []Expect) string {
	lead := p.lead()
	if lead == nil || len(results) == 0 {
		return ""
	}
	sorted := slices.Clone(results)
	slices.SortStableFunc(sorted, func(x, y Expect) int {
		switch {
		case x.Chance > y.Chance:
			return -1
		case x.Chance < y.Chance:
			return 1
		}
		return 0
	})
	var parts []string
	for _, e := range sorted[:min(2, len(sorted))] {
		parts = append(parts, fmt.Sprintf("if it %s (%s) “%s” has %s", bare(e.Result.Says), percent(e.Chance), lead.Name, percent(e.Leader)))
	}
	return strings.Join(parts, ", and ") + fmt.Sprintf(", against %s now", percent(lead.Share))
}

// bare turns "passes" and the like so that it reads on after "if it".
func bare(says string) string {
	if strings.HasPrefix(says, "only ") || strings.HasPrefix(says, "one of ") || strings.HasPrefix(says, "several ") {
		return "shows that " + says
	}
	return says
}

// leader says who leads and with how much.
func (p *Problem) leader() string {
	s := p.Belief.Suspects[0]
	return fmt.Sprintf("“%s” has %s", s.Name, percent(s.Share))
}

// depends says what of the advice rests on assumptions.
func (p *Problem) depends(a *Advice) []string {
	var out []string
	for _, o := range []*Offer{&a.Step, a.RunnerUp} {
		if o == nil || o.Action == nil {
			continue
		}
		for _, s := range o.Action.Assumed {
			out = append(out, fmt.Sprintf("%s: assumed is %s", o.Says, s))
		}
	}
	for _, w := range p.Belief.Swings {
		if w.Leader {
			out = append(out, fmt.Sprintf("with the assumptions about %s at one end another suspect leads", w.Group))
		}
	}
	if p.Lost > 0 {
		out = append(out, fmt.Sprintf("%s of small suspects count as not listed", percent(p.Lost)))
	}
	return out
}

// stop says whether to go on checking.
func (p *Problem) stop(a *Advice) Stop {
	s := Stop{}
	switch a.Step.Sort {
	case StepRepair:
		s.Quote = true
		s.Says = fmt.Sprintf("Enough is known to quote the repair: %s.", p.leader())
	case StepRefer:
		s.Refer = true
		s.Says = fmt.Sprintf("Referring on for %s is cheaper than anything here.", p.shop.Refer())
	case StepProof:
		s.Says = "The repair is done; what is left is the proof."
	default:
		s.Says = p.checking(a)
	}
	return s
}

// checking says why to go on checking.
func (p *Problem) checking(a *Advice) string {
	i := slices.IndexFunc(a.Offers, func(o Offer) bool { return o.Sort == StepRepair })
	if i < 0 {
		return "Go on checking."
	}
	o := a.Offers[i]
	atLeast := ""
	if o.AtLeast {
		atLeast = "at least "
	}
	return fmt.Sprintf("Go on checking: to %s, without a check, is expected to cost %s%s more.", o.Says, atLeast, o.Loses)
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
