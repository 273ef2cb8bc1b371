package joblog

import (
	"fmt"
	"slices"
	"strings"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// mostSwitches bounds how many states are looked at that switches alone (key,
// starter) lead to.
const mostSwitches = 64

// prohibitions lists what must not be done now: first what the values in force
// forbid in the guide's words, then every value of a condition that the
// replay refuses to bring about because of something that is off or not as it is with the
// machine closed up and untouched.
func (g *rig) prohibitions() []Prohibition {
	var list []Prohibition
	for i := range g.r.Guide.Conditions {
		c := &g.r.Guide.Conditions[i]
		if v := valueOf(c, g.state.Value(c.ID)); v != nil && v.Forbids != "" {
			list = append(list, Prohibition{
				Says: guide.Capital(v.Forbids), Because: []string{valueWords(g.r, c.ID, v.ID)}, Caution: v.Cautions,
			})
		}
	}
	moments := g.switches()
	for i := range g.r.Guide.Conditions {
		list = g.barred(list, &g.r.Guide.Conditions[i], moments)
	}
	return append(list, g.unsettled()...)
}

// switches returns the present state and those that it takes no minutes to
// reach: the key turned, the engine started or stopped.
func (g *rig) switches() []*audit.State {
	all := []*audit.State{g.state}
	known := map[string]bool{g.state.Key(): true}
	for i := 0; i < len(all) && len(all) < mostSwitches; i++ {
		for k := range g.r.Guide.Conditions {
			c := &g.r.Guide.Conditions[k]
			for n, ch := range c.Changes {
				if ch.Minutes != 0 || ch.Wait != 0 || all[i].Value(c.ID) != ch.From {
					continue
				}
				next, _, err := all[i].Next(plan.Step{Kind: plan.Change, Condition: c.ID, Change: n})
				if err == nil && !known[next.Key()] {
					known[next.Key()] = true
					all = append(all, next)
				}
			}
		}
	}
	return all
}

// barred adds the values of a condition to which every change is refused in
// every moment for a cause worth saying.
func (g *rig) barred(list []Prohibition, c *guide.Condition, moments []*audit.State) []Prohibition {
	for n := range c.Changes {
		to := c.Changes[n].To
		first := slices.IndexFunc(c.Changes, func(ch guide.Change) bool { return ch.To == to }) == n
		if p, ok := g.bars(c, to, moments); first && ok {
			list = append(list, p)
		}
	}
	return list
}

// bars looks at every change to a value from the value in force.
func (g *rig) bars(c *guide.Condition, to guide.ID, moments []*audit.State) (Prohibition, bool) {
	var p Prohibition
	found := false
	for _, s := range moments {
		for n := range c.Changes {
			ch := &c.Changes[n]
			if ch.To != to || s.Value(c.ID) != ch.From || ch.Minutes == 0 && ch.Wait > 0 {
				continue // what only time brings about is nothing that anybody does
			}
			why, behind := g.causes(s, c, ch, 0)
			if _, _, err := s.Next(plan.Step{Kind: plan.Change, Condition: c.ID, Change: n}); err == nil {
				why, behind = nil, nil
			}
			why = append(why, g.loose(s, c, ch)...)
			if len(why) == 0 {
				return p, false // possible, refused for want of access only, or behind says it already
			}
			why = append(why, behind...)
			if !found || len(why) < len(p.Because) {
				found, p = true, g.prohibition(c, ch, why)
			}
		}
	}
	return p, found
}

func (g *rig) prohibition(c *guide.Condition, ch *guide.Change, why []string) Prohibition {
	p := Prohibition{
		Says: "Do not " + guide.Uncapital(changeWords(g.r, c.ID, ch)), Because: why,
		Caution: ch.Cautions, Cond: c.ID, From: ch.From, To: ch.To,
	}
	if v := valueOf(c, ch.To); v != nil {
		p.Caution = slices.Concat(p.Caution, v.Cautions)
	}
	return p
}

// demands returns what a change, and the value that it leads to, ask for as a
// matter of safety: items to be fitted, what the value needs as long as it
// lasts, what makes the cautions safe. What the change itself needs of other
// conditions is a matter of safety when it carries a caution.
func (g *rig) demands(c *guide.Condition, ch *guide.Change) (fitted []guide.ID, with []guide.Req) {
	fitted = slices.Clone(ch.Fitted)
	if len(ch.Cautions) > 0 {
		with = slices.Clone(ch.With)
	}
	if v := valueOf(c, ch.To); v != nil {
		fitted, with = append(fitted, v.Fitted...), append(with, v.With...)
	}
	for _, id := range ch.Cautions {
		if i := slices.IndexFunc(g.r.Guide.Cautions, func(k guide.Caution) bool { return k.ID == id }); i >= 0 {
			with = append(with, g.r.Guide.Cautions[i].Safe...)
		}
	}
	return fitted, with
}

// causes lists what keeps a change from being made that would not keep it on
// the closed and untouched machine: items that are not on, conditions that are
// not as the guide's start has them. What lies behind a condition that is as it
// was, and that is barred itself, is listed apart.
func (g *rig) causes(s *audit.State, c *guide.Condition, ch *guide.Change, depth int) (why, behind []string) {
	say := func(list []string, text string) []string {
		if text == "" || slices.Contains(list, text) {
			return list
		}
		return append(list, text)
	}
	fitted, with := g.demands(c, ch)
	for _, it := range g.r.Items {
		if v := s.Standing(it.ID); v != "" && (slices.Contains(fitted, it.ID) || slices.Contains(fitted, everything)) {
			why = say(why, fmt.Sprintf("the %s is %s", itemName(g.r, it.ID), v))
		}
	}
	for _, q := range with {
		own, other := g.unmet(s, q, depth)
		why, behind = say(why, own), say(behind, other)
	}
	behind = slices.DeleteFunc(behind, func(text string) bool { return slices.Contains(why, text) })
	return why, behind
}

// loose lists the items that a change asks to be fitted and that are on with
// fasteners which nobody has ticked: the guide's own rules do not know of it.
func (g *rig) loose(s *audit.State, c *guide.Condition, ch *guide.Change) []string {
	var why []string
	fitted, _ := g.demands(c, ch)
	for _, id := range g.order {
		if s.Standing(id) != "" || !slices.Contains(fitted, id) && !slices.Contains(fitted, everything) {
			continue
		}
		open := 0
		for _, j := range g.openings[id].joints {
			open += len(j.missing())
		}
		if open > 0 {
			why = append(why, fmt.Sprintf("the %s is on, but not all its fasteners are ticked", itemName(g.r, id)))
		}
	}
	return why
}

// deepestCause bounds how far a condition is traced to the one behind it.
const deepestCause = 4

// unmet says why a requirement is not met: by the condition itself, or, where
// that stands as it always did, by what bars the change that is asked for. Both
// are "" when it is met, and when nothing bars it.
func (g *rig) unmet(s *audit.State, q guide.Req, depth int) (own, behind string) {
	c := g.r.Condition(q.Condition)
	if c == nil {
		return "", ""
	}
	now := s.Value(c.ID)
	switch {
	case now == "":
		to, _ := s.Coming(c.ID)
		return fmt.Sprintf("%s is on its way to %s", conditionName(g.r, c.ID), to), ""
	case (now == q.Value) != q.Not:
		return "", ""
	case now != c.Start:
		return valueWords(g.r, c.ID, now), ""
	case q.Not || depth >= deepestCause:
		return "", ""
	}
	for n := range c.Changes {
		if ch := &c.Changes[n]; ch.From == now && ch.To == q.Value {
			why, further := g.causes(s, c, ch, depth+1)
			if why = append(why, further...); len(why) > 0 {
				return "", strings.Join(why, "; ")
			}
		}
	}
	return "", ""
}

// unsettled asks to settle first how things stand that people do not agree on.
func (g *rig) unsettled() []Prohibition {
	var because []string
	for _, it := range g.r.Items {
		if g.unsure[it.ID] {
			because = append(because, "it is not settled how the "+itemName(g.r, it.ID)+" stands")
		}
	}
	for i := range g.r.Guide.Conditions {
		if id := g.r.Guide.Conditions[i].ID; g.unsure[id] {
			because = append(because, "it is not settled: "+conditionName(g.r, id))
		}
	}
	if because == nil {
		return nil
	}
	return []Prohibition{{Says: "Do not start, switch on, fill or lower anything before this is settled", Because: because}}
}
