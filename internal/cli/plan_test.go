package cli

import (
	"strings"
	"testing"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
)

const cent = plan.CentPerObjective

// answerOf is an answer on a guide of two items and one condition.
func answerOf(by plan.Objective, p plan.Plan) *app.Answer {
	g := &guide.Guide{
		ID: "small", Currency: "EUR", Places: []guide.Place{{ID: "top", Name: "from the top"}, {ID: "cab", Name: "through the hatch"}},
		Conditions: []guide.Condition{{
			ID: "engine", Name: "Engine", Start: "hot", Values: []guide.Value{{ID: "hot"}, {ID: "cold"}},
			Changes: []guide.Change{{From: "hot", To: "cold"}, {From: "cold", To: "hot", Do: "Run the engine"}},
		}},
		Items: []guide.Item{
			{ID: "PN01", Name: "Top cover", Ways: []guide.Way{{Do: guide.Off, From: "top"}, {Do: guide.Off, From: "cab"}, {Do: guide.Aside, From: "top"}}},
			{ID: "IG06", Name: "Coil 6", Ways: []guide.Way{{Do: guide.Replace, From: "top"}}},
		},
	}
	r, err := guide.Resolve(g, nil)
	if err != nil {
		panic(err)
	}
	return &app.Answer{Guide: g, Resolved: r, Request: plan.Request{By: by}, Plan: p}
}

func TestOutcomeInWords(t *testing.T) {
	bounded := plan.Plan{Outcome: plan.Bounded, Bound: 20_000 * cent, Cost: plan.Cost{Objective: 25_000 * cent}}
	for _, c := range []struct {
		name string
		ans  *app.Answer
		want string
	}{
		{"proved", answerOf(plan.ByMoney, plan.Plan{Outcome: plan.Optimal}), "proved"},
		{"bounded: of the best possible, not of the plan", answerOf(plan.ByMoney, bounded), "at most 25.0 % dearer than the best possible, which costs at least EUR 200.00"},
		{"in minutes", answerOf(plan.ByMinutes, plan.Plan{Outcome: plan.Bounded, Bound: 600_000, Cost: plan.Cost{Objective: 660_000}}), "10.0 % dearer than the best possible, which costs at least 10 min"},
		{"no bound", answerOf(plan.ByMoney, plan.Plan{Outcome: plan.Bounded, Cost: plan.Cost{Objective: 5}}), "nothing is proved"},
		{"impossible", answerOf(plan.ByMoney, plan.Plan{Outcome: plan.Impossible}), "cannot be done as asked"},
		{"limit", answerOf(plan.ByMoney, plan.Plan{Outcome: plan.Limit}), "--budget"},
	} {
		if got := outcomeText(c.ans); !strings.Contains(got, c.want) {
			t.Errorf("%s: %q lacks %q", c.name, got, c.want)
		}
	}
}

func TestActsInWords(t *testing.T) {
	r := answerOf(plan.ByMoney, plan.Plan{}).Resolved
	for _, c := range []struct {
		name string
		act  plan.Act
		want string
	}{
		{"one of several ways off", plan.Act{Item: "PN01", Verb: guide.Off, Way: 1}, "take off the top cover (PN01), through the hatch"},
		{"the only way aside", plan.Act{Item: "PN01", Verb: guide.Aside, Way: 2}, "move aside the top cover (PN01)"},
		{"a task", plan.Act{Item: "IG06", Verb: guide.Replace, Way: 0}, "replace the coil 6 (IG06)"},
		{"found off and put back", plan.Act{Item: "PN01", Way: -1, Back: true}, "refit the top cover (PN01)"},
		{"a change without words of its own", plan.Act{Condition: "engine", Change: 0, Way: -1}, "bring Engine from hot to cold"},
		{"a change in its own words", plan.Act{Condition: "engine", Change: 1, Way: -1}, "run the engine"},
		{"a change that is not there", plan.Act{Condition: "engine", Change: 9, Way: -1}, "change engine"},
		{"a hired tool", plan.Act{Tool: "press", Way: -1}, "hire press"},
		{"an item that is not there", plan.Act{Item: "XX", Verb: guide.Off, Way: 3}, "take off the XX"},
	} {
		if got := actText(r, c.act); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// What stands beside the steps: blockers, other ways in, reasons.
func TestPageOfReasons(t *testing.T) {
	ans := answerOf(plan.ByMoney, plan.Plan{
		Outcome:  plan.Impossible,
		Blockers: []plan.Blocker{{Item: "PN01", Says: "the top cover has no way off; write one"}},
		Certificate: plan.Certificate{
			Landmarks: []plan.Landmark{{Acts: []plan.Act{{Item: "PN01", Verb: guide.Off, Way: 0}, {Item: "PN01", Verb: guide.Off, Way: 0}, {Tool: "press", Way: -1}}, Weight: 1_250 * cent}},
			Base:      500 * cent, Sum: 1_750 * cent, Cases: 12,
		},
	})
	ans.Tasks = []app.TaskLine{{Task: plan.Task{Verb: guide.Replace, On: "IG06", Proof: true}, Text: "Replace the coil 6 (IG06)"}}
	ans.RunnersUp = []app.Alternative{{Differs: "through the hatch", Extra: 12 * time.Minute, Money: 1680}, {Differs: "from below", Extra: 40 * time.Minute, Money: 5600}}
	ans.Holds = []app.Sensitivity{{Says: "while the cover takes less than 9 min"}}
	p := pageOf("72", "C.UTF-8")
	p.answer(ans, &planCmd{RunnersUp: 1, Explain: true})
	for _, want := range []string{
		"Replace the coil 6 (IG06), when everything is back\n", "- the top cover has no way off; write one\n", "through the hatch", "+12 min, +16.80\n",
		"must take off the top cover (PN01), from the EUR 12.50 top, or hire press", "EUR 17.50\n", "by trying: 12 cases", "- while the cover takes less than 9 min\n",
	} {
		if !strings.Contains(p.b.String(), want) && !strings.Contains(strings.Join(strings.Fields(p.b.String()), " "), want) {
			t.Errorf("lacks %q:\n%s", want, p.b.String())
		}
	}
	if strings.Contains(p.b.String(), "from below") {
		t.Error("shows more runners-up than asked for")
	}
	out := planJSON(ans, 1)
	if len(out.RunnersUp) != 1 || len(out.Blockers) != 1 || out.Certificate[0].Value != 12.5 || out.Base != 5 {
		t.Errorf("JSON: %+v", out)
	}
}

// What the tasks put in is no part of what the plan is judged by.
func TestPutIn(t *testing.T) {
	ans := answerOf(plan.ByMoney, plan.Plan{Cost: plan.Cost{Parts: 11800, Fluids: 500}})
	ans.Parts = []app.PartLine{{Price: 11800, Priced: true}, {Price: 6400, Priced: true}, {Price: 99900}}
	ans.Fluids = []app.PartLine{{Price: 500, Priced: true}}
	if got := putIn(ans); got != 6400 {
		t.Errorf("put in %s, want 64.00", got)
	}
}
