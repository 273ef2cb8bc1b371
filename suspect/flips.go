package suspect

import (
	"errors"
	"fmt"
	"slices"

	"elbowroom/suspect/decide"
)

// How flips are looked for.
const (
	flipPrecision = 0.01 // of a share or a chance
	flipSuspects  = 3    // whose shares are moved, the likeliest first
	flipNodes     = 4000 // that one problem on the way may open
)

// flips fills in how far the advice holds.
func (p *Problem) flips(a *Advice, answer *decide.Answer, w Work) error {
	lim := w.Limits
	if lim.Nodes == 0 {
		lim.Nodes = flipNodes
	}
	for _, s := range p.Belief.Suspects[:min(flipSuspects, len(p.Belief.Suspects))] {
		worlds := p.worldsWith(s)
		f, err := decide.ShareFlip(p.Decide, lim, worlds, flipPrecision)
		if errors.Is(err, decide.ErrNoShare) {
			continue
		}
		if err != nil {
			return err
		}
		h := p.hold(f, 0, 1)
		h.Fault = s.Fault
		h.Says = fmt.Sprintf("“%s” has %s; %s", s.Name, percent(f.Now), p.holding(h, "its share"))
		a.Holds = append(a.Holds, h)
	}
	if err := p.assumedFlips(a, answer, lim); err != nil {
		return err
	}
	return p.breakEven(a, lim)
}

// worldsWith lists the worlds in which a suspect is present.
func (p *Problem) worldsWith(s Suspect) []int {
	var out []int
	for w, faults := range p.Worlds {
		if slices.Contains(faults, s.Fault) {
			out = append(out, w)
		}
	}
	return out
}

// assumedFlips moves the assumed odds of the step itself.
func (p *Problem) assumedFlips(a *Advice, answer *decide.Answer, lim decide.Limits) error {
	if answer.First.Kind != decide.Ask {
		return nil
	}
	for _, b := range p.Decide.Unsure {
		if b.Check != answer.First.Index {
			continue
		}
		f, err := decide.ChanceFlip(p.Decide, lim, b, flipPrecision)
		if err != nil {
			return err
		}
		h := p.hold(f, b.Low, b.High)
		h.Check = a.Step.Action.Check
		h.Says = fmt.Sprintf("that %s passes with %s is assumed at %s; %s", h.Check, p.explanations(b.Worlds), percent(f.Now), p.holding(h, "it"))
		a.Holds = append(a.Holds, h)
	}
	return nil
}

// explanations names worlds.
func (p *Problem) explanations(worlds []int) string {
	text := ""
	for i, w := range worlds {
		switch {
		case i > 0 && i == len(worlds)-1:
			text += " or "
		case i > 0:
			text += ", "
		}
		text += "“" + p.model.say(p.Worlds[w]) + "”"
	}
	return text
}

func (p *Problem) hold(f decide.Flip, low, high float64) Hold {
	h := Hold{Now: f.Now, Low: low, High: high, Rough: !f.Certain}
	if f.Below.Found {
		h.Low, h.Below = f.Below.At, p.offer(f.Below.Step).Says
	}
	if f.Above.Found {
		h.High, h.Above = f.Above.At, p.offer(f.Above.Step).Says
	}
	return h
}

// holding says between which values the step stays.
func (p *Problem) holding(h Hold, it string) string {
	switch {
	case h.Below == "" && h.Above == "":
		return "the step stays the same whatever it is"
	case h.Below == "":
		return fmt.Sprintf("the step holds while %s stays under %s; above, %s comes first", it, percent(h.High), h.Above)
	case h.Above == "":
		return fmt.Sprintf("the step holds while %s stays above %s; below, %s comes first", it, percent(h.Low), h.Below)
	}
	return fmt.Sprintf("the step holds while %s stays between %s and %s; below, %s comes first, above, %s", it, percent(h.Low), percent(h.High), h.Below, h.Above)
}

// breakEven fills in from which share the likeliest suspect's repair comes
// first, without a check.
func (p *Problem) breakEven(a *Advice, lim decide.Limits) error {
	lead := p.lead()
	if lead == nil {
		return nil
	}
	for i, action := range p.mends {
		if !slices.Contains(p.Actions[action].Faults, lead.Fault) {
			continue
		}
		turn, err := decide.BreakEven(p.Decide, lim, i, flipPrecision)
		if errors.Is(err, decide.ErrNoShare) {
			return nil
		}
		if err != nil {
			return err
		}
		step := decide.Step{Kind: decide.Mend, Index: i}
		o := p.offer(step)
		o.Cost = p.costNow(step, o)
		for _, x := range a.Offers {
			if x.Says == o.Says {
				o = x
			}
		}
		a.Stop.Replace, a.Stop.Share = &o, lead.Share
		if turn.Found {
			a.Stop.BreakEven = turn.At
			a.Stop.Says += fmt.Sprintf(" To %s, without a check, pays from a share of %s on; it has %s.", o.Says, percent(turn.At), percent(lead.Share))
		} else {
			a.Stop.Says += fmt.Sprintf(" To %s without a check never pays, however likely it is.", o.Says)
		}
		return nil
	}
	return nil
}
