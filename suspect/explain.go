package suspect

import (
	"cmp"
	"math"
	"slices"
)

// Thresholds of what is said. They decide words, not numbers.
const (
	spokeFactor   = 1.25 // a sign that moves the odds by less is not listed
	excludedShare = 0.02 // a suspect below it is out
	excludedBy    = 5    // and what brought it there moved its odds at least so
)

// explain returns the suspects, likeliest first, with what spoke for and
// against each.
func (m *model) explain(r *run) []Suspect {
	gone := m.gonelast()
	out := make([]Suspect, len(m.hyps))
	for h, hyp := range m.hyps {
		s := Suspect{
			Fault: hyp.id, Name: hyp.name, On: hyp.on, Share: r.shares[h], Prior: r.prior[h],
			Low: r.shares[h], High: r.shares[h], Repaired: contains(gone, h),
		}
		for i, factors := range r.spoke {
			if factors == nil {
				continue
			}
			spoke := Spoke{Sign: i, Factor: factors[h], Says: m.steps[i].sign.Says, Assumed: m.steps[i].sign.Assumed}
			switch {
			case spoke.Factor >= spokeFactor:
				s.For = append(s.For, spoke)
			case spoke.Factor <= 1/spokeFactor:
				s.Against = append(s.Against, spoke)
			}
		}
		s.Excluded = m.excluded(r, h)
		out[h] = s
	}
	slices.SortStableFunc(out, func(a, b Suspect) int { return cmp.Compare(b.Share, a.Share) })
	return out
}

// excluded returns the sign that brought a suspect below the threshold for
// good, where one sign did most of it.
func (m *model) excluded(r *run, h int) *Spoke {
	if r.shares[h] >= excludedShare || len(r.trace) == 0 {
		return nil
	}
	above := -1 // last step after which the share was still above
	if r.prior[h] < excludedShare {
		above = -2
	}
	for i, shares := range r.trace {
		if shares[h] >= excludedShare {
			above = i
		}
	}
	if above == -2 || above+1 >= len(r.spoke) {
		return nil
	}
	best, factor := -1, 1.0/excludedBy
	for i := range r.spoke {
		if r.spoke[i] != nil && r.spoke[i][h] < factor && m.steps[i].sign.Sort == VerdictSign {
			best, factor = i, r.spoke[i][h]
		}
	}
	if best < 0 {
		return nil
	}
	return &Spoke{Sign: best, Factor: factor, Says: m.steps[best].sign.Says, Assumed: m.steps[best].sign.Assumed}
}

// leastSwing is the movement of the leader's share from which a group of
// assumptions is worth telling.
const leastSwing = 0.005

// sway fills in how far the shares move with every group of assumptions at its
// ends, one group at a time, and which groups matter.
func (m *model) sway(b *Belief, worlds []world, base *evaluator) {
	at := make(map[string]int, len(b.Suspects))
	for i, s := range b.Suspects {
		at[string(s.Fault)] = i
	}
	for _, g := range m.groups() {
		sw := Swing{Group: g}
		for _, strong := range []bool{false, true} {
			r := m.run(worlds, m.evaluator(setting{group: g, strong: strong}, base), false)
			lead := 0
			for h, hyp := range m.hyps {
				s := &b.Suspects[at[string(hyp.id)]]
				s.Low, s.High = min(s.Low, r.shares[h]), max(s.High, r.shares[h])
				if r.shares[h] > r.shares[lead] {
					lead = h
				}
			}
			share := r.shares[m.byID[b.Suspects[0].Fault]]
			if strong {
				sw.Strong = share
			} else {
				sw.Weak = share
			}
			sw.Leader = sw.Leader || m.hyps[lead].id != b.Suspects[0].Fault
		}
		if math.Abs(sw.Strong-sw.Weak) >= leastSwing || sw.Leader {
			b.Swings = append(b.Swings, sw)
		}
	}
	slices.SortStableFunc(b.Swings, func(x, y Swing) int {
		return cmp.Compare(math.Abs(y.Strong-y.Weak), math.Abs(x.Strong-x.Weak))
	})
}

// groups lists the assumptions that the case uses, in fixed order.
func (m *model) groups() []Group {
	uses := map[Group]bool{groupUnlisted: true, groupFurther: m.opt.MaxFaults > 1 && m.opt.Combine != Never}
	for _, h := range m.hyps {
		uses[groupTouched] = uses[groupTouched] || h.touched
	}
	for _, c := range m.c.Codes {
		uses[groupPending] = uses[groupPending] || c.Pending
	}
	var checks []Group
	for _, s := range m.steps {
		switch s.sign.Sort {
		case ComplaintSign:
			uses[groupSigns] = true
		case CodeSign:
			uses[groupCodes], uses[groupVictim] = true, true
		case NoCodeSign:
			uses[groupNoCode] = true
		case ProofSign:
			uses[groupProof] = true
		case VerdictSign:
			if g := s.seen.k.group; g != "" && !slices.Contains(checks, g) {
				checks = append(checks, g)
			}
		}
	}
	var out []Group
	for _, g := range []Group{groupSigns, groupCodes, groupPending, groupVictim, groupNoCode, groupTouched, groupUnlisted, groupFurther, groupProof} {
		if uses[g] {
			out = append(out, g)
		}
	}
	return append(out, checks...)
}
