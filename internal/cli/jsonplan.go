package cli

import (
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// value turns a value of the objective into money or minutes.
func value(ans *app.Answer, objective int64) float64 {
	if ans.Request.By == plan.ByMinutes {
		return (time.Duration(objective) * time.Millisecond).Minutes()
	}
	const minorUnits = 100
	return float64(objective) / plan.CentPerObjective / minorUnits
}

// planJSON lays an answer out as JSON with at most n runners-up.
func planJSON(ans *app.Answer, n int) planAnswer {
	p, c := ans.Plan, ans.Plan.Cost
	out := planAnswer{
		Outcome: p.Outcome, By: ans.Request.By, Variant: ans.Variant,
		Guide: guideRef{ans.Guide.ID, ans.Guide.Title, ans.Guide.Revision, ans.Guide.Date},
		Minutes: minutesLine{
			inMinutes(c.Total()), inMinutes(c.Strip), inMinutes(c.Work), inMinutes(c.Refit), inMinutes(c.Waiting), inMinutes(c.Setup),
		},
		Cost: costLine{
			price(c.Labour), price(c.Idle), price(c.Parts), price(c.Fluids), price(c.Hire), price(c.Risk), price(c.Money()), price(putIn(ans)), ans.Guide.Currency,
		},
		Bound: value(ans, p.Bound), Gap: p.Gap(), Base: value(ans, p.Certificate.Base), Cases: p.Certificate.Cases,
		Tasks: []taskLine{}, Steps: []stepLine{}, Bands: []bandLine{}, Certificate: []landmarkLine{}, RunnersUp: []runnerUp{},
		Holds: []string{}, Blockers: []blockerLine{}, Tools: []toolLine{}, Cautions: []cautionLine{},
		Parts: partLines(ans.Parts), Fluids: partLines(ans.Fluids), Never: some(ans.Forbidden), Exceptions: some(ans.Exceptions),
		Deference: ans.Deference, SearchSeconds: ans.Took.Seconds(),
	}
	if m := ans.Machine; m != nil {
		out.Machine = &machineRef{m.ID, m.Name, m.Plate}
	}
	for _, t := range ans.Tasks {
		out.Tasks = append(out.Tasks, taskLine{t.Task.String(), t.Task.Before, t.Task.Proof, t.Text, t.Way, inMinutes(t.Minutes)})
	}
	for i := range ans.Steps {
		out.Steps = append(out.Steps, stepJSON(&ans.Steps[i]))
	}
	for _, b := range ans.Bands {
		out.Bands = append(out.Bands, bandLine(b))
	}
	planReasons(&out, ans, n)
	for _, t := range ans.Tools {
		out.Tools = append(out.Tools, toolLine{t.ID, t.Name, t.Note, some(t.Steps)})
	}
	for _, k := range ans.Cautions {
		k.Steps = some(k.Steps)
		out.Cautions = append(out.Cautions, cautionLine(k))
	}
	return out
}

// planReasons fills certificate, runners-up, sensitivity and blockers.
func planReasons(out *planAnswer, ans *app.Answer, n int) {
	for _, l := range ans.Plan.Certificate.Landmarks {
		line := landmarkLine{Value: value(ans, l.Weight)}
		for _, a := range l.Acts {
			line.AnyOf = append(line.AnyOf, actText(ans.Resolved, a))
		}
		out.Certificate = append(out.Certificate, line)
	}
	for _, alt := range ans.RunnersUp[:min(max(n, 0), len(ans.RunnersUp))] {
		out.RunnersUp = append(out.RunnersUp, runnerUp{alt.Differs, inMinutes(alt.Extra), price(alt.Money), inMinutes(alt.Cost.Total()), alt.Steps})
	}
	for _, h := range ans.Holds {
		out.Holds = append(out.Holds, h.Says)
	}
	for _, b := range ans.Plan.Blockers {
		out.Blockers = append(out.Blockers, blockerLine(b))
	}
}

func stepJSON(l *app.StepLine) stepLine {
	s := l.Step
	out := stepLine{
		Number: l.Number, Kind: s.Kind, Phase: s.Phase, Title: l.Title, Item: s.Item, Verb: s.Verb,
		Condition: s.Condition, From: s.From, To: s.To, Place: l.Place, Sight: l.Sight, Hands: l.Hands,
		Minutes: inMinutes(s.Hands), Setup: inMinutes(s.Setup), Wait: inMinutes(s.Wait), Starts: inMinutes(l.Starts),
		Depth: l.Depth, Undoes: l.Mirror, Tools: l.Tools, Joints: l.Joints, Uses: l.Uses, Risks: l.Risks, Notes: l.Notes,
	}
	for _, c := range l.Cautions {
		out.Cautions = append(out.Cautions, c.ID)
	}
	return out
}

func partLines(list []app.PartLine) []partLine {
	out := []partLine{}
	for _, l := range list {
		line := partLine{Price: priceIf(l.Price, l.Priced), ID: l.ID, Name: l.Name, Number: l.Number, Count: l.Count, Litres: l.Litres, LeadDays: l.LeadDays, SingleUse: l.SingleUse, Steps: some(l.Steps)}
		out = append(out, line)
	}
	return out
}

// some returns the list, never nil, so that JSON has [] and not null.
func some[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

// ids prints names as strings.
func ids(list []guide.ID) []string {
	out := []string{}
	for _, id := range list {
		out = append(out, string(id))
	}
	return out
}

// priceIf is a price that may be missing.
func priceIf(a money.Amount, known bool) *price {
	if !known {
		return nil
	}
	p := price(a)
	return &p
}
