package cli

import (
	"fmt"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// sum prints money with its currency: "EUR 64.00".
func sum(a money.Amount, currency string) string {
	if currency == "" {
		return a.String()
	}
	return currency + " " + a.String()
}

// signed prints an extra with its sign: "+12 min", "-3 min", "0 min".
func signed(d time.Duration) string {
	if d > 0 {
		return "+" + app.Minutes(d)
	}
	return app.Minutes(d)
}

func signedSum(a money.Amount) string {
	if a > 0 {
		return "+" + a.String()
	}
	return a.String()
}

// worth prints a value of the objective in its own measure.
func worth(ans *app.Answer, objective int64) string {
	if ans.Request.By == plan.ByMinutes {
		return app.Minutes(time.Duration(objective) * time.Millisecond)
	}
	return sum(money.Amount((objective+plan.CentPerObjective/2)/plan.CentPerObjective), ans.Guide.Currency)
}

// outcomeText says what was proved.
func outcomeText(ans *app.Answer) string {
	switch ans.Plan.Outcome {
	case plan.Optimal:
		return "the best plan there is; proved"
	case plan.Bounded:
		if n := ans.Ask.Instead; n > 0 {
			return fmt.Sprintf("other way in number %d; the best plan there is costs at least %s", n, worth(ans, ans.Plan.Bound))
		}
		if ans.Plan.Bound <= 0 {
			return "a plan; nothing is proved of how much cheaper another could be"
		}
		return fmt.Sprintf("a plan; at most %.1f %% dearer than the best possible, which costs at least %s",
			dearer(ans.Plan), worth(ans, ans.Plan.Bound))
	case plan.Impossible:
		return "proved: this cannot be done as asked"
	case plan.Limit:
		return "stopped before any plan was found or ruled out; give it more time with --budget"
	}
	return string(ans.Plan.Outcome)
}

// dearer is by how many per cent of the best possible the plan may cost more
// than it; the bound must be above nothing.
func dearer(p plan.Plan) float64 {
	return float64(p.Cost.Objective-p.Bound) / float64(p.Bound) * 100
}

// actText says what can be done, as in "take off the engine top cover (PN01)".
func actText(r *guide.Resolved, a plan.Act) string {
	switch {
	case a.Tool != "":
		return "hire " + string(a.Tool)
	case a.Condition != "":
		return changeText(r, a)
	}
	name := itemText(r, a.Item)
	switch {
	case a.Back:
		return "refit the " + name
	case a.Verb == guide.Off:
		name = "take off the " + name
	case a.Verb == guide.Aside:
		name = "move aside the " + name
	default:
		name = fmt.Sprintf("%s the %s", a.Verb, name)
	}
	if it := r.Item(a.Item); it != nil && a.Way >= 0 && a.Way < len(it.Ways) && many(it, a.Verb) && it.Ways[a.Way].From != "" {
		name += ", " + placeText(r, it.Ways[a.Way].From)
	}
	return name
}

// many reports whether the item has more than one way of the verb.
func many(it *guide.Item, v guide.Verb) bool {
	n := 0
	for _, w := range it.Ways {
		if w.Do == v {
			n++
		}
	}
	return n > 1
}

func changeText(r *guide.Resolved, a plan.Act) string {
	c := r.Condition(a.Condition)
	if c == nil || a.Change < 0 || a.Change >= len(c.Changes) {
		return "change " + string(a.Condition)
	}
	ch := c.Changes[a.Change]
	if ch.Do != "" {
		return guide.Uncapital(ch.Do)
	}
	return fmt.Sprintf("bring %s from %s to %s", c.Name, ch.From, ch.To)
}

func itemText(r *guide.Resolved, id guide.ID) string {
	if it := r.Item(id); it != nil {
		return fmt.Sprintf("%s (%s)", guide.Uncapital(it.Name), id)
	}
	return string(id)
}

func placeText(r *guide.Resolved, id guide.ID) string {
	for _, p := range r.Guide.Places {
		if p.ID == id {
			return p.Name
		}
	}
	return string(id)
}
