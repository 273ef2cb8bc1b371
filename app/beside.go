package app

import (
	"fmt"
	"strings"
	"time"

	"elbowroom/guide"
	"elbowroom/plan"
	"elbowroom/plan/audit"
)

// Limits of what is worked out beside the plan itself.
const (
	mostRunnersUp = 3
	mostHolds     = 8
	besideBudget  = 2 * time.Second
)

// runnersUp returns the runners-up of a plan, none when there is no plan.
func (k asked) runnersUp(p plan.Plan, allowed allowance) ([]plan.Alternative, error) {
	if p.Outcome != plan.Optimal && p.Outcome != plan.Bounded {
		return nil, nil
	}
	others, err := k.planner.RunnersUp(k.req, mostRunnersUp, allowed.limits())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrInput, err)
	}
	return others, nil
}

// instead returns the n-th runner-up as a plan in its own right: dearer than
// the best, and bounded by the same proof.
func instead(best plan.Plan, others []plan.Alternative, n int) (plan.Plan, error) {
	if n > len(others) {
		return best, fmt.Errorf("%w: instead: there are %d runners-up, not %d", ErrInput, len(others), n)
	}
	p := others[n-1].Plan
	p.Outcome, p.Bound, p.Certificate = plan.Bounded, best.Bound, best.Certificate
	return p, nil
}

// beside adds what a person asks after seeing the plan: the runners-up, how
// long the plan stays the best, and which unknown values it goes round.
func (k asked) beside(ans *Answer, others []plan.Alternative, allowed allowance) error {
	if ans.Plan.Outcome != plan.Optimal && ans.Plan.Outcome != plan.Bounded {
		return nil
	}
	for i, o := range others {
		if err := replayed(k, o.Plan); err != nil {
			return err
		}
		q := ans.Ask
		q.Instead = i + 1
		ans.RunnersUp = append(ans.RunnersUp, Alternative{
			Differs: k.differText(o.Differs), Cost: o.Plan.Cost, Extra: o.Extra.Time, Money: o.Extra.Money, Steps: len(o.Plan.Steps), Ask: q,
		})
	}
	if ans.Ask.Instead > 0 {
		return nil
	}
	holds, err := k.planner.Holds(k.req, allowed.limits())
	if err != nil {
		return fmt.Errorf("%w: %w", ErrInput, err)
	}
	for _, h := range holds {
		if says := k.holdText(h); says != "" && len(ans.Holds) < mostHolds {
			ans.Holds = append(ans.Holds, Sensitivity{Says: says})
		}
	}
	avoided, err := k.planner.Avoided(k.req)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrInput, err)
	}
	for _, b := range avoided {
		ans.Avoided = append(ans.Avoided, b.Says)
	}
	return nil
}

// replayed audits a plan that is shown beside the best one. It claims no more
// than its steps and their cost.
func replayed(k asked, p plan.Plan) error {
	p.Outcome, p.Bound, p.Certificate = plan.Bounded, 0, plan.Certificate{}
	if report := audit.Check(k.r, k.req, p); !report.OK() {
		return fmt.Errorf("%w: a runner-up: %w", ErrAudit, report.Err())
	}
	return nil
}

// maxDiffers is how many differences are told before "and n more".
const maxDiffers = 3

// differText says wherein a plan differs: "replace the coil 3 from the top
// instead of through the cab hatch; also off: scuttle tray".
func (k asked) differText(list []plan.Difference) string {
	var parts []string
	for _, d := range list {
		if text := k.oneDifference(d); text != "" {
			parts = append(parts, text)
		}
	}
	if len(parts) > maxDiffers {
		parts = append(parts[:maxDiffers], fmt.Sprintf("and %d more", len(parts)-maxDiffers))
	}
	return strings.Join(parts, "; ")
}

func (k asked) oneDifference(d plan.Difference) string {
	switch d.Sort {
	case plan.OtherWay:
		what := itemName(k.r, d.Item)
		if d.Task >= 0 && d.Task < len(k.req.Tasks) {
			what = guide.Uncapital(taskText(k.r, k.req.Tasks[d.Task]))
		}
		if d.From == "" || d.From == d.Was {
			return what + " by another way"
		}
		return fmt.Sprintf("%s %s instead of %s", what, placeName(k.r, d.From), placeName(k.r, d.Was))
	case plan.AlsoClear:
		if d.Verb == guide.Aside {
			return "also aside: " + itemName(k.r, d.Item)
		}
		return "also off: " + itemName(k.r, d.Item)
	case plan.LeftOn:
		return "stays on: " + itemName(k.r, d.Item)
	case plan.AlsoSet:
		return "also " + conditionName(k.r, d.Condition)
	case plan.NotSet:
		return "without " + conditionName(k.r, d.Condition)
	}
	return ""
}

// holdText says "it holds while the cab hatch (PN03), off and back, takes less
// than 31 min (now 25 min)"; empty for what changes nothing.
func (k asked) holdText(h plan.Hold) string {
	if h.Always || h.Until == h.Now {
		return ""
	}
	what := k.actText(h.Act)
	atLeast := ""
	if !h.Proved {
		atLeast = " at least"
	}
	if h.Taken {
		return fmt.Sprintf("The plan holds%s while %s takes less than %s (now %s).", atLeast, what, Minutes(h.Until), Minutes(h.Now))
	}
	if h.Until <= 0 {
		return ""
	}
	return fmt.Sprintf("%s would be the better way once it takes less than %s (now %s).", guide.Capital(what), Minutes(h.Until), Minutes(h.Now))
}

// actText names an act: "taking off and refitting the cab hatch (PN03)".
func (k asked) actText(a plan.Act) string {
	switch {
	case a.Tool != "":
		return "hire of the " + toolName(k.r.Guide, a.Tool)
	case a.Condition != "":
		return conditionName(k.r, a.Condition)
	}
	name := itemName(k.r, a.Item)
	switch {
	case a.Verb == guide.Off:
		name = "taking off and refitting the " + name
	case a.Verb == guide.Aside:
		name = "moving aside the " + name
	default:
		name = doing(a.Verb) + " the " + name
	}
	if w := k.actWay(a); w != nil && w.From != "" {
		name += " " + placeName(k.r, w.From)
	}
	return name
}

func (k asked) actWay(a plan.Act) *guide.Way {
	var ways []guide.Way
	if it := k.r.Item(a.Item); it != nil {
		ways = it.Ways
	} else if c := k.r.Check(a.Item); c != nil {
		ways = c.Ways
	}
	if a.Way < 0 || a.Way >= len(ways) {
		return nil
	}
	return &ways[a.Way]
}

// doing returns the verb as it stands before a thing: "replacing".
func doing(v guide.Verb) string {
	return strings.TrimSuffix(string(v), "e") + "ing"
}
