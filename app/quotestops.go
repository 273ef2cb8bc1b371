package app

import (
	"fmt"
	"math"
	"slices"
	"time"

	"elbowroom/estimate"
	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// Stop is a moment at which the work can be stopped and the machine closed up
// again. Sums are with tax, at average times and without risks.
type Stop struct {
	After int    // number of the step done last
	Done  string // its title
	Next  string // title of the step that would follow
	Off   int    // items off or aside then
	Spent estimate.Sum
	Close estimate.Sum // to close up again from there
	Total estimate.Sum // Spent and Close
	Took  time.Duration
	Back  time.Duration // hands-on time of closing up
	Shown bool          // worth showing to somebody who does not ask for every step
}

// stops prices stopping after each step of the way in and of the work. A moment
// from which the plan's own steps back do not close the machine is left out.
func (c *quoter) stops() {
	steps := c.q.Answer.Steps
	for i, line := range steps[:max(0, len(steps)-1)] {
		if line.Step.Phase == plan.RefitPhase {
			continue
		}
		back, ok := c.closing(i + 1)
		if !ok {
			continue
		}
		v := c.visit
		v.Ops = c.visit.Ops[:i+1]
		spent, took := v.Bill(lineNames).Total, v.Average()
		v.Ops = slices.Concat(v.Ops, back)
		total, all := v.Bill(lineNames).Total, v.Average()
		c.q.Stops = append(c.q.Stops, Stop{
			After: line.Number, Done: line.Title, Next: steps[i+1].Title, Off: line.Depth,
			Spent: spent, Close: total - spent, Total: total, Took: took.Hands, Back: all.Hands - took.Hands,
		})
	}
	c.showStops()
}

// stopGrain is by which share of the total price stopping must have become
// dearer before another moment on the way in is worth showing.
const stopGrain = 0.2

// showStops picks the moments that people decide at: when a check or another
// task has been done, when everything is open just before one, and in between
// where much has been spent since.
func (c *quoter) showStops() {
	last := estimate.Sum(0)
	for i := range c.q.Stops {
		s := &c.q.Stops[i]
		step, next := c.q.Answer.Steps[s.After-1].Step, c.q.Answer.Steps[s.After].Step
		grown := float64(s.Total-last) >= stopGrain*float64(c.q.Bill.Total)
		if step.Kind == plan.Do && next.Phase != plan.RefitPhase || step.Kind != plan.Do && next.Kind == plan.Do && s.Total > last || grown && next.Phase != plan.RefitPhase {
			s.Shown, last = true, s.Total
		}
	}
}

// closing returns the operations that close the machine after the first n
// steps: the plan's own steps back, replayed by the independent checker. It
// is false when they do not lead to a closed machine.
func (c *quoter) closing(n int) ([]estimate.Op, bool) {
	steps := c.q.Answer.Plan.Steps
	req, task := c.onlyDone(steps[:n])
	state, err := audit.NewState(c.r, req)
	if err != nil {
		return nil, false
	}
	for _, s := range steps[:n] {
		if s.Kind == plan.Do {
			s.Task = task[s.Task]
		}
		if _, err := state.Apply(s); err != nil {
			return nil, false
		}
	}
	var ops []estimate.Op
	rest := steps[n:]
	for len(rest) > 0 {
		var later []plan.Step
		for _, s := range rest {
			if !wantedBack(state, s) {
				later = append(later, s)
				continue
			}
			effect, err := state.Apply(s)
			if err != nil {
				later = append(later, s)
				continue
			}
			ops = append(ops, c.again(s, effect))
		}
		if len(later) == len(rest) {
			break
		}
		rest = later
	}
	return ops, len(state.Unfinished()) == 0
}

// again returns the operation of a step of the plan that is done at another
// moment: changing place and tool may take otherwise.
func (c *quoter) again(s plan.Step, e audit.Effect) estimate.Op {
	i := slices.IndexFunc(c.q.Answer.Plan.Steps, func(x plan.Step) bool { return x == s })
	op := c.visit.Ops[i]
	op.Setup, op.Hire = e.Step.Setup, nil
	return op
}

// onlyDone returns the request with those tasks only that some steps do, and
// the new index of each.
func (c *quoter) onlyDone(steps []plan.Step) (plan.Request, map[int]int) {
	req, index := c.req, map[int]int{}
	req.Tasks = nil
	for _, s := range steps {
		if s.Kind == plan.Do {
			index[s.Task] = -1
		}
	}
	for i, t := range c.req.Tasks {
		if _, ok := index[i]; ok {
			index[i] = len(req.Tasks)
			req.Tasks = append(req.Tasks, t)
		}
	}
	for i := range req.Tasks {
		var after []int
		for _, k := range req.Tasks[i].After {
			if n, ok := index[k]; ok {
				after = append(after, n)
			}
		}
		req.Tasks[i].After = after
	}
	return req, index
}

// wantedBack reports whether a step puts something back that is away in this
// state.
func wantedBack(state *audit.State, s plan.Step) bool {
	switch s.Kind {
	case plan.Refit:
		return state.Standing(s.Item) != ""
	case plan.Change:
		return s.Phase == plan.RefitPhase && state.Value(s.Condition) == s.From
	case plan.Await:
		coming, _ := state.Coming(s.Condition)
		return coming != ""
	}
	return false
}

// LimitText is what an authorised limit means for the visit.
type LimitText struct {
	Sum estimate.Sum
	estimate.Reached
	Step  int    // during which it is reached at average times; 0 when it is not
	Title string // of that step
	// Ring is the number of the step before which the customer must be asked
	// again: the last moment at which stopping and closing up keeps within the
	// limit. 0 means that it is never necessary at average times; -1 that even
	// looking costs more than the limit.
	Ring      int
	RingTitle string
	Room      estimate.Sum // of the limit, left at that moment after closing up
}

// nothingOpen is the Ring of a limit that does not pay for opening anything.
const nothingOpen = -1

func (c *quoter) limitText(limit estimate.Sum) {
	if limit <= 0 {
		return
	}
	out := &LimitText{Sum: limit, Reached: c.visit.Reach(limit, c.q.Run)}
	c.q.Limit = out
	if out.Op >= 0 {
		out.Step, out.Title = out.Op+1, c.titleOf(out.Op+1)
	}
	if c.q.Bill.Total <= limit && out.Op < 0 {
		return
	}
	out.Ring = nothingOpen
	for _, s := range c.q.Stops {
		if s.Total > limit {
			break
		}
		out.Ring, out.RingTitle, out.Room = s.After+1, s.Next, limit-s.Total
	}
}

// RingText says when the customer must be asked again.
func (q *Quote) RingText() string {
	l := q.Limit
	switch {
	case l == nil:
		return ""
	case l.Ring == nothingOpen:
		return fmt.Sprintf("Even to open the machine and close it again costs more than %s. Ask before anything is touched.", q.Text(l.Sum))
	case l.Ring == 0:
		return fmt.Sprintf("The work keeps within %s unless something goes wrong.", q.Text(l.Sum))
	}
	return fmt.Sprintf("Ask before step %d, %s: that is the last moment at which stopping and closing up stays within %s, with %s to spare.",
		l.Ring, guide.Uncapital(l.RingTitle), q.Text(l.Sum), q.Text(l.Room))
}

// OddsText prints a probability for people: "1 in 20", "3 in 5", "almost
// always". Small numbers come before exact ones.
func OddsText(p float64) string {
	switch {
	case !(p >= 0.005):
		return "hardly ever"
	case p > 0.985:
		return "almost always"
	}
	for of := 2; of <= 10; of++ {
		if n := math.Round(p * float64(of)); n > 0 && n < float64(of) && abs(n/float64(of)-p) <= oddsMiss*min(1, p/oddsSmall) {
			return fmt.Sprintf("%.0f in %d", n, of)
		}
	}
	if p < oddsSmall {
		return fmt.Sprintf("1 in %.0f", 1/p)
	}
	return fmt.Sprintf("%.0f in 100", 100*p)
}

// Odds are printed within oddsMiss; below oddsSmall as one in so many.
const (
	oddsMiss  = 0.015
	oddsSmall = 0.1
)

func abs(x float64) float64 { return max(x, -x) }
