package app

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/reading"
)

// TestGuide runs the tests that a guide carries about itself: the plans that it
// promises, and the verdicts on readings. A reading is judged without knowing
// the instrument, on every variant that the test is for. The error wraps
// ErrUnknown or ErrInput.
func (a *App) TestGuide(name string) ([]TestResult, error) {
	l, err := a.Guide(name)
	if err != nil {
		return nil, err
	}
	var out []TestResult
	for _, t := range l.Guide.Tests {
		out = append(out, a.testOne(l, t))
	}
	return out, nil
}

func (a *App) testOne(l *Loaded, t guide.Test) TestResult {
	if t.Reading != "" {
		return testReading(l.Guide, t)
	}
	q := Ask{Guide: l.Name, Variant: t.For.String(), Start: append([]string{}, t.Start...), By: string(plan.ByMinutes)}
	for _, id := range t.Tasks {
		q.Tasks = append(q.Tasks, id.String())
	}
	ans, err := a.Plan(q)
	if err != nil {
		return TestResult{ID: t.ID, Says: err.Error()}
	}
	wrong := compareTest(t, ans.Plan)
	says := fmt.Sprintf("%s: %s in %s", strings.Join(q.Tasks, " "), ans.Plan.Outcome, Minutes(ans.Plan.Cost.Total()))
	if len(wrong) > 0 {
		says += "; " + strings.Join(wrong, "; ")
	}
	return TestResult{ID: t.ID, Passed: len(wrong) == 0, Says: says}
}

// sameMinutes is how far an expected number of minutes may lie from the exact
// one: the rounding of a tenth of a second.
const sameMinutes = 0.1 / 60

func compareTest(t guide.Test, p plan.Plan) []string {
	if t.Refused {
		if p.Outcome != plan.Impossible {
			return []string{"expected to be refused"}
		}
		return nil
	}
	if p.Outcome != plan.Optimal {
		return []string{"expected a plan that is proved best"}
	}
	var wrong []string
	compare := func(what string, want *float64, got time.Duration) {
		if want != nil && math.Abs(*want-got.Minutes()) > sameMinutes {
			wrong = append(wrong, fmt.Sprintf("%s: expected %g min, it is %g min", what, *want, got.Minutes()))
		}
	}
	if m := t.Minutes; m != nil {
		compare("total", m.Total, p.Cost.Total())
		compare("strip", m.Strip, p.Cost.Strip)
		compare("work", m.Work, p.Cost.Work)
		compare("refit", m.Refit, p.Cost.Refit)
		if m.AtMost != nil && p.Cost.Total().Minutes() > *m.AtMost+sameMinutes {
			wrong = append(wrong, fmt.Sprintf("expected at most %g min, it is %g min", *m.AtMost, p.Cost.Total().Minutes()))
		}
	}
	for _, id := range t.Steps {
		used := slices.ContainsFunc(p.Steps, func(s plan.Step) bool { return s.Item == id || s.Condition == id })
		if !used {
			wrong = append(wrong, fmt.Sprintf("expected to use %s", id))
		}
	}
	return wrong
}

// testReading judges the reading of a test on every variant that it is for.
func testReading(g *guide.Guide, t guide.Test) TestResult {
	out := TestResult{ID: t.ID}
	for _, variant := range completions(g, t.For) {
		r, err := guide.Resolve(g, variant)
		if err != nil {
			out.Says = err.Error()
			return out
		}
		rd, err := reading.Read(r, t.Reading)
		if err != nil {
			out.Says = err.Error()
			return out
		}
		v := reading.Judge(r, r.Check(rd.Check), rd, reading.Options{})
		out.Says = fmt.Sprintf("%s: %s", t.Reading, v.Says)
		if string(v.Outcome) != t.Verdict {
			out.Says += fmt.Sprintf("; expected %q", t.Verdict)
			if len(variant) > 0 {
				out.Says += " on " + variant.String()
			}
			return out
		}
	}
	out.Passed = true
	return out
}

// completions returns the selector with every axis settled that it leaves
// open, in the order of the guide.
func completions(g *guide.Guide, s guide.Selector) []guide.Selector {
	out := []guide.Selector{nil}
	for _, axis := range g.Axes {
		values := named(axis, s)
		if len(out)*len(values) > mostVariants {
			values = values[:1]
		}
		var next []guide.Selector
		for _, head := range out {
			for _, v := range values {
				next = append(next, append(slices.Clip(head), guide.Choice{Axis: axis.ID, Values: []guide.ID{v}}))
			}
		}
		out = next
	}
	return out
}

// mostVariants is on how many variants a reading is judged; beyond it the
// first value of an axis stands for all.
const mostVariants = 64

// named returns the values of an axis that a selector leaves open.
func named(axis guide.Axis, s guide.Selector) []guide.ID {
	var all []guide.ID
	for _, v := range axis.Values {
		all = append(all, v.ID)
	}
	for _, c := range s {
		own := slices.DeleteFunc(slices.Clone(all), func(v guide.ID) bool { return !slices.Contains(c.Values, v) })
		if (c.Axis == "" || c.Axis == axis.ID) && len(own) > 0 {
			return own
		}
	}
	return all
}
