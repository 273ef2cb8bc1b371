package engines

import (
	"math"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
)

// KnownCase is a machine whose best plan is known.
type KnownCase struct {
	Case
	Reason    string // what would go wrong in a planner that gets it wrong
	Source    string // where the figure comes from; empty when it is added up in Reason
	Outcome   plan.Outcome
	Objective int64      // of the best plan
	Clears    []guide.ID // the items cleared, in order, where every best plan has this order
}

// Known lists the machines with known optima. The figures were worked out by
// hand or are published; no program of this code base made them.
func Known() []KnownCase {
	return slices.Concat(publishedCases(), choiceCases(), standingCases(), conditionCases(), orderCases(), priceCases(), refusedCases())
}

// known is a case by minutes. guide.Setup and other rare parts are set by edit.
func known(name, reason string, best float64, g guide.Guide, req plan.Request) KnownCase {
	g.Format, g.ID, g.Currency = guide.Format, "known", "EUR"
	if req.By == "" {
		req.By = plan.ByMinutes
	}
	return KnownCase{Case: Case{name, &g, req}, Reason: reason, Outcome: plan.Optimal, Objective: units(best)}
}

// impossible is a case that has no plan.
func impossible(name, reason string, g guide.Guide, req plan.Request) KnownCase {
	k := known(name, reason, 0, g, req)
	k.Outcome = plan.Impossible
	return k
}

// byMoney turns a case into one by money: the best plan costs best minor units
// of money.
func byMoney(k KnownCase, best float64) KnownCase {
	k.Request.By = plan.ByMoney
	k.Objective = int64(math.Round(best * plan.CentPerObjective))
	return k
}

// mins is minutes as a duration, in whole milliseconds.
func mins(m float64) time.Duration {
	return time.Duration(math.Round(m*60_000)) * time.Millisecond
}

// units is minutes as an objective by minutes.
func units(m float64) int64 { return mins(m).Milliseconds() }

// items lists items; machine makes a guide of nothing else.
func machine(items ...guide.Item) guide.Guide { return guide.Guide{Items: items} }

func part(id guide.ID, ways ...guide.Way) guide.Item {
	return guide.Item{ID: id, Name: string(id), Ways: ways}
}

// way is a way of any verb; a need is written "X" or "X off".
func way(verb guide.Verb, out, back float64, list ...string) guide.Way {
	w := guide.Way{Do: verb, Out: mins(out), Back: mins(back)}
	for _, text := range list {
		id, rest, _ := strings.Cut(text, " ")
		w.Needs = append(w.Needs, guide.Need{Item: guide.ID(id), Off: rest == "off"})
	}
	return w
}

func off(out, back float64, list ...string) guide.Way { return way(guide.Off, out, back, list...) }

func aside(out, back float64, list ...string) guide.Way { return way(guide.Aside, out, back, list...) }

// replaced and checked are tasks.
func replaced(out float64, list ...string) guide.Way { return way(guide.Replace, out, 0, list...) }
func checked(out float64, list ...string) guide.Way  { return way(guide.Measure, out, 0, list...) }

// with adds requirements "condition=value" or "condition!=value" to a way.
func with(w guide.Way, list ...string) guide.Way {
	w.With = append(slices.Clip(w.With), reqs(list...)...)
	return w
}

func reqs(list ...string) []guide.Req {
	var out []guide.Req
	for _, text := range list {
		c, v, _ := strings.Cut(text, "=")
		not := strings.HasSuffix(c, "!")
		out = append(out, guide.Req{Condition: guide.ID(strings.TrimSuffix(c, "!")), Value: guide.ID(v), Not: not})
	}
	return out
}

func from(place guide.ID, w guide.Way) guide.Way {
	w.From = place
	return w
}

func edit(w guide.Way, f func(w *guide.Way)) guide.Way {
	f(&w)
	return w
}

// want lists tasks written "replace:X".
func want(list ...string) plan.Request {
	var r plan.Request
	for _, text := range list {
		verb, on, _ := strings.Cut(text, ":")
		r.Tasks = append(r.Tasks, plan.Task{Verb: guide.Verb(verb), On: guide.ID(on)})
	}
	return r
}

// but changes a request.
func but(r plan.Request, f func(r *plan.Request)) plan.Request {
	r.Tasks = slices.Clone(r.Tasks)
	f(&r)
	return r
}
