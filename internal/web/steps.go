package web

import (
	"strconv"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
)

// stepGroup is the strip, the work or the refit of a plan.
type stepGroup struct {
	Name, Phase, Minutes string
	Steps                []stepView
}

// stepView is one step as it is read at the car: what can hurt first.
type stepView struct {
	Number   int
	ID       string
	Mirror   stepLink
	Phase    string
	Title    string
	Minutes  string
	Starts   string
	Where    string // place, sight and hands in one line
	Off      int
	Cautions []app.CautionLine
	Tools    []string
	Joints   []string
	Torque   bool // the joints are tightened in this step
	Uses     []string
	Risks    []string
	Notes    []string
	Key      string
	Sheet    string
}

func groupsOf(a *app.Answer) []stepGroup {
	sums := map[plan.Phase]string{
		plan.StripPhase: app.Minutes(a.Plan.Cost.Strip), plan.WorkPhase: app.Minutes(a.Plan.Cost.Work), plan.RefitPhase: app.Minutes(a.Plan.Cost.Refit),
	}
	var out []stepGroup
	for _, s := range a.Steps {
		phase := string(s.Step.Phase)
		if len(out) == 0 || out[len(out)-1].Phase != phase {
			g := stepGroup{Name: say("share." + phase), Phase: phase, Minutes: sums[s.Step.Phase]}
			for i := range out {
				if out[i].Phase == phase { // a phase that comes again has no sum of its own
					out[i].Minutes, g.Minutes = "", ""
				}
			}
			out = append(out, g)
		}
		g := &out[len(out)-1]
		g.Steps = append(g.Steps, stepOf(a, s))
	}
	return out
}

func stepOf(a *app.Answer, s app.StepLine) stepView {
	v := stepView{
		Number: s.Number, ID: "step-" + strconv.Itoa(s.Number), Phase: phaseOf(s), Title: s.Title,
		Minutes: app.Minutes(length(s)), Starts: app.Minutes(s.Starts), Where: whereText(s), Off: s.Depth,
		Cautions: s.Cautions, Tools: s.Tools, Uses: s.Uses, Risks: s.Risks, Notes: s.Notes, Key: stepKey(s),
	}
	if s.Mirror > 0 {
		v.Mirror = stepLinks([]int{s.Mirror})[0]
	}
	switch s.Step.Kind {
	case plan.Clear, plan.Refit, plan.Do:
		v.Joints = s.Joints
		v.Torque = s.Step.Kind == plan.Refit || s.Step.Kind == plan.Do && s.Step.Verb == guide.Replace
	}
	if s.Item != nil {
		sheet := state{ask: a.Ask, item: s.Item.ID}
		v.Sheet = sheet.to("/bay")
	}
	return v
}

// whereText returns "from the top, in sight, two hands".
func whereText(s app.StepLine) string {
	hands := ""
	switch s.Hands {
	case 1:
		hands = say("hands.one")
	case 2:
		hands = say("hands.two")
	}
	sight := s.Sight
	if s.Sight == string(guide.InSight) || s.Sight == string(guide.ByMirror) {
		sight = say("sight." + s.Sight)
	}
	return listed(s.Place, sight, hands)
}

// listed joins what is not empty by commas.
func listed(texts ...string) string {
	out := ""
	for _, t := range texts {
		switch {
		case t == "":
		case out == "":
			out = t
		default:
			out += ", " + t
		}
	}
	return out
}

// amount prints how many or how much: "2 ×", "6.8 L".
func amount(n float64, litres bool) string {
	text := strconv.FormatFloat(n, 'f', -1, 64)
	if litres {
		return text + "\u00a0L"
	}
	return text + "\u00a0×"
}
