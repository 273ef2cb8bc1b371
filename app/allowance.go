package app

import (
	"time"

	"elbowroom/access"
)

// allowance is the time that one question may take, everything that is worked
// out for it together. What comes first may use a share of it; what it leaves
// is there for the rest.
type allowance struct {
	clock      func() time.Time
	began, end time.Time
}

// Shares of the time of a question.
const (
	searchShare  = 0.75  // until then, the plan itself
	runnersShare = 0.875 // until then, the runners-up
	reachPlan    = 0.5   // until then, the plan beside which tasks are in reach
	reachShare   = 0.875 // until then, the tasks in reach
)

func (a *App) allow(budget time.Duration) allowance {
	if budget <= 0 {
		budget = DefaultBudget
	}
	now := a.Clock()
	return allowance{a.Clock, now, now.Add(budget)}
}

// until returns the part of the allowance up to a share of it.
func (w allowance) until(share float64) allowance {
	w.end = w.began.Add(time.Duration(share * float64(w.end.Sub(w.began))))
	return w
}

// atMost cuts what is left of the allowance.
func (w allowance) atMost(d time.Duration) allowance {
	if end := w.clock().Add(d); end.Before(w.end) {
		w.end = end
	}
	return w
}

func (w allowance) limits() access.Limits {
	return access.Limits{Stop: func() bool { return w.clock().After(w.end) }}
}
