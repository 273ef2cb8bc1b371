package app

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
)

// TestGuide runs the tests that a guide carries about itself. A test that
// expects a verdict on a reading is reported as not run: readings are not
// judged yet. The error wraps ErrUnknown or ErrInput.
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
		return TestResult{ID: t.ID, NotRun: true, Says: "expects a verdict on a reading, which this version cannot judge yet"}
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
