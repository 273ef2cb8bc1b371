package web

import (
	"cmp"
	"slices"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// whyView is the certificate of a plan in words: what no plan can avoid.
type whyView struct {
	Base    string // what every plan has
	Reasons []reason
	More    int
	Sum     string
	Cases   int64
}

// reason is one landmark: at least one of Acts belongs to every plan.
type reason struct {
	Acts   []string
	More   int // further acts that are not named
	Weight string
}

// Limits of what a page lists of a certificate.
const (
	maxReasons = 12
	maxActs    = 4
)

func whyOf(a *app.Answer, currency string) whyView {
	c := a.Plan.Certificate
	if c.Sum <= 0 {
		return whyView{}
	}
	weight := func(w int64) string { return weightText(w, a.Request.By, currency) }
	v := whyView{Base: weight(c.Base), Sum: weight(c.Sum), Cases: c.Cases}
	marks := slices.Clone(c.Landmarks)
	slices.SortStableFunc(marks, func(x, y plan.Landmark) int { return cmp.Compare(y.Weight, x.Weight) })
	for _, m := range marks {
		if m.Weight <= 0 {
			continue
		}
		if len(v.Reasons) == maxReasons {
			v.More++
			continue
		}
		v.Reasons = append(v.Reasons, reasonOf(a.Resolved, m, weight(m.Weight)))
	}
	return v
}

func reasonOf(r *guide.Resolved, m plan.Landmark, weight string) reason {
	out := reason{Weight: weight}
	for _, act := range m.Acts {
		text := actText(r, act)
		if slices.Contains(out.Acts, text) {
			continue
		}
		if len(out.Acts) == maxActs {
			out.More++
			continue
		}
		out.Acts = append(out.Acts, text)
	}
	return out
}

// weightText prints a share of the objective in minutes or money.
func weightText(w int64, by plan.Objective, currency string) string {
	if by == plan.ByMinutes {
		return app.Minutes(time.Duration(w) * time.Millisecond)
	}
	return price(money.Amount((w+plan.CentPerObjective/2)/plan.CentPerObjective), currency)
}

// actText says what an act does: "take off Intake plenum".
func actText(r *guide.Resolved, act plan.Act) string {
	switch {
	case act.Item != "" && act.Back:
		return say("act.back", nameOf(r, act.Item))
	case act.Item != "" && act.Verb == guide.Off:
		return say("act.off", nameOf(r, act.Item))
	case act.Item != "" && act.Verb == guide.Aside:
		return say("act.aside", nameOf(r, act.Item))
	case act.Item != "":
		return say("act.task", string(act.Verb), nameOf(r, act.Item))
	case act.Condition != "":
		return say("act.change", changeName(r, act))
	}
	return say("act.hire", toolNamed(r, act.Tool))
}

func nameOf(r *guide.Resolved, id guide.ID) string {
	if r != nil {
		if it := r.Item(id); it != nil {
			return it.Name + " (" + string(id) + ")"
		}
	}
	return string(id)
}

func changeName(r *guide.Resolved, act plan.Act) string {
	if r == nil {
		return string(act.Condition)
	}
	c := r.Condition(act.Condition)
	if c == nil || act.Change < 0 || act.Change >= len(c.Changes) {
		return string(act.Condition)
	}
	ch := c.Changes[act.Change]
	return firstOf(ch.Do, firstOf(c.Name, string(c.ID))+": "+string(ch.To))
}

func toolNamed(r *guide.Resolved, id guide.ID) string {
	if r != nil {
		for _, t := range r.Guide.Tools {
			if t.ID == id {
				return firstOf(t.Name, string(id))
			}
		}
	}
	return string(id)
}
