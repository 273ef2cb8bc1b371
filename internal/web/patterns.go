package web

import (
	"net/http"
	"time"

	"elbowroom/app"
	"elbowroom/guide"
	"elbowroom/plan"
)

// patternPage shows every component of the pages with canned data, in each of
// its states, so that a change of style can be looked at in one place.
type patternPage struct {
	page
	Subject  subject
	NoGuide  subject
	Searches []searchBox
	Machines []machineCard
	Guides   []guideCard
	Answers  []answerView
	Outcomes []outcomeView
	Reaches  []reachView
	Setting  settings
	Places   []places
	Sheets   []*sheetView
	Wirings  []wiringView
	Wires    []circuitPage
	Quotes   []*quoteView
	Asking   quoteForm
	Torques  []torqueView
	Job      cannedJob
}

func (s *site) patternSheet(w http.ResponseWriter, r *http.Request) {
	s.render(w, r, http.StatusOK, "patterns", "layout", s.canned())
}

func (s *site) canned() patternPage {
	a := cannedAnswer()
	st := state{ask: app.Ask{Guide: "sample", Tasks: []string{"replace:P1"}}, words: "probe"}
	p := patternPage{
		page: s.page("", "patterns.title"), Subject: subject{ID: "M1", Name: "Sample machine", Guide: "Sample guide", Variant: "LHD", Stands: "lift 1"},
		NoGuide: subject{ID: "M2", Name: "Machine without a guide", NoGuide: true},
		Answers: []answerView{viewOf(st, a, "EUR")}, Setting: cannedSettings(), Sheets: []*sheetView{cannedSheet(st), {ID: "P9", Name: "Item of which nothing is known", Close: "#", NoWays: true}},
		Machines: cannedMachines(), Guides: cannedGuides(),
	}
	doings := []doing{{Text: "Check", Href: "#", Label: "Check"}, {Text: "Replace", Href: "#", Label: "Replace", In: true}}
	found := hits{Words: "probe", More: 3, List: []hit{{ID: "P1", Name: "Temperature probe", By: "sender", Sheet: "#", Doings: doings}, {ID: "P2", Name: "Cover plate", Sheet: "#"}}}
	p.Searches = []searchBox{
		{Action: "#", Find: "#", Offers: []offer{{"machine:M1", "M1 Sample machine", true}, {"guide:sample", "Guide alone", false}}},
		{Action: "#", Find: "#", Words: "probe", Open: true, Hits: found},
		{Action: "#", Find: "#", Words: "zzz", Open: true, Hits: hits{Words: "zzz"}},
		{Action: "#", Find: "#", Words: "probe", Open: true, Hits: hits{Error: "No variant was named."}},
	}
	p.Places = []places{{Words: "probe", More: 1, List: []place{{ID: "P1", Name: "Temperature probe", By: "sender", Href: "#", Placed: true}, {ID: "P3", Name: "Clip", Href: "#"}}}, {Words: "zzz"}, {Error: "No variant was named."}}
	for _, o := range []plan.Outcome{plan.Optimal, plan.Bounded, plan.Impossible, plan.Limit, plan.BadInput} {
		b := *a
		b.Plan.Outcome = o
		if o == plan.Impossible {
			b.Plan.Blockers = []plan.Blocker{{Says: "The cover comes off only with the long key; have it at hand."}, {Says: "The probe may be changed only when cold; let it cool."}}
		}
		p.Outcomes = append(p.Outcomes, outcomeOf(&b))
	}
	p.Reaches = cannedReaches(st)
	p.Wirings, p.Wires = []wiringView{{All: "#", Circuits: cannedCircuits()}, {All: "#"}}, []circuitPage{cannedWires()}
	p.Quotes, p.Asking = cannedQuotes(), cannedAsking()
	p.Job = canJob()
	p.Torques = cannedTorques(st)
	return p
}

func cannedAnswer() *app.Answer {
	min := time.Minute
	cover, probe := &guide.Item{ID: "C1", Name: "Cover plate"}, &guide.Item{ID: "P1", Name: "Temperature probe (front)"}
	caution := []app.CautionLine{{Text: "Hot surfaces burn. Wait until a hand can rest on it.", Authority: "house rule", Answer: "20 min"}}
	a := &app.Answer{Deference: "Local codes and the maker come first.", Exceptions: []string{"cover plate: of the later version"}, Forbidden: []string{"do not start"}}
	a.Request.Found = []plan.Standing{{Item: "D1", Off: true}}
	add := func(kind plan.StepKind, phase plan.Phase, it *guide.Item, title string, hands, wait time.Duration, mirror int) *app.StepLine {
		s := app.StepLine{Number: len(a.Steps) + 1, Title: title, Item: it, Mirror: mirror, Place: "from the top", Sight: "seen", Hands: 2}
		s.Step = plan.Step{Kind: kind, Phase: phase, Hands: hands, Wait: wait, Way: -1, Task: -1}
		if it != nil {
			s.Step.Item = it.ID
		}
		if n := len(a.Steps); n > 0 {
			s.Starts = a.Steps[n-1].Starts + length(a.Steps[n-1])
		}
		a.Steps = append(a.Steps, s)
		return &a.Steps[len(a.Steps)-1]
	}
	raise := add(plan.Change, plan.StripPhase, nil, "Raise the machine", 4*min, 0, 7)
	raise.Cautions, raise.Tools = caution, []string{"two-post lift"}
	add(plan.Clear, plan.StripPhase, cover, "Take off the cover plate (C1)", 12*min, 0, 6).Joints = []string{"4 × M6x20, 9 N·m dry"}
	add(plan.Await, plan.StripPhase, nil, "Wait until the engine is cold", 0, 20*min, 0)
	work := add(plan.Do, plan.WorkPhase, probe, "Replace the temperature probe (P1)", 9*min, 0, 0)
	work.Uses, work.Risks, work.Notes, work.Sight, work.Hands = []string{"probe with seal"}, []string{"lock tab breaks 1 of 9"}, []string{"Press, do not pull."}, "mirror", 1
	work.Joints, work.Step.Verb = []string{"1 × M12, 20 N·m dry"}, guide.Replace
	add(plan.Refit, plan.RefitPhase, &guide.Item{ID: "D1", Name: "Drip tray"}, "Refit the drip tray (D1)", 5*min, 0, 0)
	add(plan.Refit, plan.RefitPhase, cover, "Refit the cover plate (C1)", 14*min, 0, 2).Joints = []string{"4 × M6x20, 9 N·m dry"}
	add(plan.Change, plan.RefitPhase, nil, "Lower the machine", 3*min, 0, 1)
	a.Tasks = []app.TaskLine{{Task: plan.Task{Verb: guide.Replace, On: "P1"}, Text: "Replace the temperature probe (P1)", Way: "from the top, by mirror, one hand", Minutes: 9 * min}}
	a.Bands = []app.Band{{Condition: "position", Value: "raised", FromStep: 1, ToStep: 6, Forbids: "do not start"}, {Condition: "engine", Value: "cold", FromStep: 4, ToStep: 7}}
	a.Tools = []app.Line{{ID: "lift", Name: "two-post lift", Steps: []int{1, 7}}, {ID: "key", Name: "long key", Note: "to be hired: 12.00", Steps: []int{2}}}
	a.Parts = []app.PartLine{{Name: "probe with seal", Number: "P-1001", Count: 1, Price: 2400, Priced: true, LeadDays: 2, SingleUse: true, Steps: []int{4}}, {Name: "clip", Count: 2, LeadDays: 1}}
	a.Fluids = []app.PartLine{{Name: "coolant", Count: 0.4, Litres: true, Price: 260, Priced: true, Steps: []int{4}}}
	a.RunnersUp = []app.Alternative{{Differs: "through the arch instead of from the top", Cost: plan.Cost{Work: 82 * min}, Extra: 15 * min, Money: 2100, Steps: 9, Ask: app.Ask{Guide: "sample", Tasks: []string{"replace:P1"}}}}
	a.Avoided = []string{"the waiting time after switching off is not written down; ask the maker"}
	a.Holds = []app.Sensitivity{{Says: "the cover plate takes less than 27 min"}}
	a.Plan = plan.Plan{Outcome: plan.Optimal, Cost: plan.Cost{
		Strip: 16 * min, Work: 9 * min, Refit: 22 * min, Setup: 2 * min, Waiting: 20 * min, Labour: 6860, Idle: 2800, Parts: 800, Fluids: 260, Hire: 1200, Risk: 90, Objective: 12010 * plan.CentPerObjective,
	}, Bound: 11800 * plan.CentPerObjective}
	a.Plan.Certificate = plan.Certificate{Base: 9000 * plan.CentPerObjective, Sum: 11800 * plan.CentPerObjective, Cases: 12, Landmarks: []plan.Landmark{
		{Weight: 2800 * plan.CentPerObjective, Acts: []plan.Act{{Item: "C1", Verb: guide.Off}, {Item: "C2", Verb: guide.Aside}, {Condition: "position"}, {Tool: "key"}, {Item: "P1", Verb: guide.Measure}, {Item: "D1", Back: true}}},
	}}
	return a
}

func cannedMachines() []machineCard {
	return []machineCard{
		{
			ID: "M1", Name: "Sample machine", Plate: "AB 123", Facts: "LHD, built 2019-09, 131800 km", Stands: "lift 1", Complaint: "Runs rough when cold.",
			Codes: []string{"P0300"}, Off: []string{"cover plate (C1) off", "duct (D2) aside"}, Forbidden: []string{"do not crank"}, Next: []string{"Replace the temperature probe (P1)"},
			Exceptions: []string{"The cover is of the later version."}, Open: 2, Stairs: stairs(2), Written: true, Plan: "#", PlanNext: "#", Bay: "#",
		},
		{ID: "M2", Name: "Machine without a guide", Stairs: stairs(0), Plan: "#"},
	}
}

func cannedGuides() []guideCard {
	ax := []axis{{Name: "drive side", Question: "On which side does the driver sit?", Values: []axisValue{{"drive=LHD", "left-hand drive", "wheel on the left", true}, {"drive=RHD", "right-hand drive", "", false}}}}
	return []guideCard{
		{Name: "sample", Title: "Sample guide", About: "A few items to look at.", Edition: "revision 2 of 2026-01-05", Axes: ax, Items: 9},
		{Name: "spoilt", Title: "Guide with a mistake", Errors: []string{"items.yaml:14:3: error: no part is called sael"}},
	}
}

func cannedSettings() settings {
	return settings{
		Opened: 1, Leave: true, Changed: true, AsArrived: "#", Missing: []missing{{"long key", "#"}},
		Given:    []condition{{Name: "engine", Values: []choice{{"", "cold", true}, {"engine=hot", "hot", false}}}},
		Standing: []standing{{Name: "Cover plate", ID: "C1", Off: &tickBox{"C1 off", "Cover plate stands off", true}, Aside: &tickBox{"C1 aside", "Cover plate stands aside", false}}},
		People:   []choice{{"1", say("people.one"), true}, {"2", say("people.many", 2), false}},
		Variants: cannedGuides()[0].Axes,
	}
}

func cannedReaches(st state) []reachView {
	row := func(task plan.Task, text string, extra time.Duration, changes bool) app.ReachRow {
		return app.ReachRow{Task: task, Text: text, Outcome: plan.Optimal, Extra: extra, Money: 560, Alone: 40 * time.Minute, Changes: changes}
	}
	rows := []app.ReachRow{
		row(plan.Task{Verb: guide.Replace, On: "P2"}, "Replace the level probe (P2)", 12*time.Minute, true),
		row(plan.Task{Verb: guide.Measure, On: "P1"}, "Check the temperature probe (P1)", 4*time.Minute, false),
		{Task: plan.Task{Verb: guide.Replace, On: "P7"}, Text: "Replace the pump (P7)", Outcome: plan.Impossible, Reason: "it has to be hot, and the visit keeps it cold"},
	}
	for range 8 {
		rows = append(rows, row(plan.Task{Verb: guide.Clean, On: "P3"}, "Clean the strainer (P3)", 20*time.Minute, false))
	}
	return []reachView{{Load: "#", Show: "#"}, reachOf(st, rows, "EUR"), reachOf(st, nil, "EUR"), {Loaded: true, Error: "The search stopped."}}
}

func cannedSheet(st state) *sheetView {
	add := doingOf(st, "replace:P1", "Replace", "Temperature probe")
	return &sheetView{
		ID: "P1", Name: "Temperature probe", Kind: "two-pin probe", Class: "sensor", Also: []string{"sender"}, Where: []string{"150 mm behind the cover plate (C1)."},
		Doings: []doing{add}, Close: "#", Source: "first-hand, R. Achter", Was: []string{"22 N·m; until revision 3"},
		Ways: []wayGroup{{Verb: "Replace", Ways: []wayView{
			{Text: "from the top, in sight, two hands", Total: "45 min", Money: "61.00 EUR", Best: true, Open: true, First: []link{{Text: "Cover plate (C1)", Href: "#"}}, Notes: []string{"Press, do not pull."}},
			{Text: "through the arch", Reason: "the steering shaft is in the way"},
		}}},
		Blocks: []link{{Text: "Level probe (P2)", Href: "#"}}, BlockedBy: []link{{Text: "Cover plate (C1)", Href: "#"}},
		Joints: []factView{{Text: "1 × M12, 20 N·m dry", Source: "maker", Was: []string{"22 N·m until revision 3: lead fractures"}}}, Connector: []string{"2 pins", "press and slide"},
		Parts: []partView{partOf(app.PartLine{Name: "probe with seal", Count: 1, Price: 2400, Priced: true}, "EUR")}, Cautions: []app.CautionLine{{Text: "Hot surfaces burn."}},
		Checks: []checkView{{ID: "T1", Name: "resistance", At: "the plug, unplugged", Minutes: "4 min", Limits: []string{"2.4..2.6 kΩ"}, When: []string{"20 °C"}, Source: "first-hand", Add: add}},
		Faults: []factView{{Text: "open circuit"}}, Notes: []factView{{Text: "The lead breaks at the clip.", Source: "hearsay"}},
	}
}

func cannedCircuits() []circuitCard {
	return []circuitCard{
		{Name: "Lamp, supply over F1", Href: "#", Share: "62 %", Suspects: []string{"burnt holder (F1) 60 %"}, Next: true},
		{Name: "Probe", Href: "#"},
	}
}

func cannedWires() circuitPage {
	rows := []pointRow{
		{Name: "B1 supply +", Href: "#", Minutes: "0 min", Expect: []string{"13.90 V"}},
		{Name: "F1 fuse, load side", Href: "#", Minutes: "3 min", Expect: []string{"13.76 V", "12.90 V"}, Verdict: say("verdict.bad"), Kind: "bad", Read: "T1: 11.2 V", Here: true},
		{Name: "P1 pin 2", Href: "#", Minutes: say("wire.no-way"), Expect: []string{"0 V"}, Verdict: say("verdict.close"), Kind: "close", Read: "T2: 18 mV"},
	}
	open := pointView{
		pointRow: rows[1], Item: "Fuse F1 (F1)", Bay: "#", Close: "#", Expects: []readingAt{{say("wire.should"), "13.76 V, 7.18 A"}},
		Checks: []checkLink{{ID: "T1", Name: "Drop to F1", Href: "#", Good: []string{"≤ 0.25 V"}}}, With: []readingAt{{"Fuse F1: interrupted", "0 V"}},
		Instead: []insteadRow{{"B1 supply +", "#", "0 min", "F1 fuse", "lamp"}}, Hangs: []hangGroup{{"Fed through it", []link{{Text: "Lamp", Href: "#"}, {Text: "Pump"}}}},
		More: say("wire.more", 3), Limits: []limitRow{{"P1", "0.58..0.68 Ω", say("wire.carried", "T3"), []string{"36.4 mΩ more: 1.4 m of 0.75 mm²"}}},
	}
	return circuitPage{
		States: []string{"P1 at 20 °C", "P1 at 90 °C"}, Points: rows, Open: &open, FaultsAt: "P1 at 90 °C",
		Splits:  []splitView{{Name: "Lamp, supply over F1", Expected: say("wire.split-takes", "5 min", "6 min"), Tests: []splitRow{{Name: "F1 fuse, load side", Href: "#", Says: "Too low: it lies before; else behind", Minutes: "3 min", Shares: say("wire.split-shares", "64 %", "36 %"), Before: 640}, {When: "Too low there", Name: "F1 fuse, supply side", Href: "#", Minutes: "3 min", Shares: say("wire.split-shares", "51 %", "49 %"), Before: 510, Deep: 1}}}},
		Located: &locatedView{Says: "449 mΩ ± 9.5 mΩ more than its wiring between K1 relay and F1 fuse", Rows: []locatedRow{{say("wire.stretch", "K1", "F1"), "2.62 V", "449 mΩ ± 9.5 mΩ", "0 Ω", "Too much resistance", true}}, Used: []string{"7.2 A"}},
		Faults:  []faultView{{"Fuse F1: interrupted", []string{say("wire.reads", "F1 fuse, load side", "0 V", "13.76 V")}}}, Example: "F1 load side 11.2 V",
	}
}
