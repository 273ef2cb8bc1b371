package engines

import (
	"time"

	"elbowroom/guide"
	"elbowroom/money"
	"elbowroom/plan"
)

// cooling takes half an hour and needs nobody; the engine may end cold.
func cooling() guide.Condition {
	c := condition("engine", "hot", "cold", 0, 5, 30)
	c.End = guide.AnyEnd
	return c
}

func conditioned(conditions []guide.Condition, items ...guide.Item) guide.Guide {
	g := machine(items...)
	g.Conditions = conditions
	return g
}

func conditionCases() []KnownCase {
	return append(waits(), append(running(), values()...)...)
}

func waits() []KnownCase {
	cold := part("X", with(replaced(10), "engine=cold"))
	filler := part("Y", replaced(20))
	pair := part("Y", edit(replaced(20), func(w *guide.Way) { w.People = 2 }))
	hot := []guide.Condition{cooling()}
	fuel := []guide.Condition{cooling(), condition("fuel", "pressed", "released", 2, 1, 10)}
	idle := func(r *plan.Request) { r.Rate, r.WaitRate = 6000, 3000 }
	two := func(r *plan.Request) { r.People = 2 }
	scald := conditioned(hot, part("X", edit(replaced(5), func(w *guide.Way) { w.Cautions = []guide.ID{"scald"} })))
	scald.Cautions = []guide.Caution{{ID: "scald", Text: "hot coolant", Safe: reqs("engine=cold")}}
	return []KnownCase{
		known("wait", "nothing fills the wait: 30 + 10", 40, conditioned(hot, cold), want("replace:X")),
		known("wait filled", "20 minutes of other work fill 20 of 30: 20 + 10 + 10", 40, conditioned(hot, cold, filler), want("replace:X", "replace:Y")),
		byMoney(known("idle rate", "30 minutes at 60.00 and 10 at 30.00 an hour", 0, conditioned(hot, cold, filler), but(want("replace:X", "replace:Y"), idle)), 3500),
		known("two waits at once", "cooling begins first, releasing falls into it: 2 + 28 + 5 + 1", 36,
			conditioned(fuel, part("X", with(replaced(5), "engine=cold", "fuel=released"))), want("replace:X")),
		known("two people fill once", "20 minutes of two people are 40 of labour and fill 20: 40 + 10 + 10", 60, conditioned(hot, cold, pair), but(want("replace:X", "replace:Y"), two)),
		known("not hot is not yet", "while it cools the engine has no value, so \"not hot\" is not met: 30 + 10", 40,
			conditioned(hot, part("X", with(replaced(10), "engine!=hot"))), want("replace:X")),
		known("safe is a precondition", "the caution's safe state is waited for: 30 + 5", 35, scald, want("replace:X")),
	}
}

// running is a machine whose engine runs only with the cover fitted.
func running() []KnownCase {
	run := condition("running", "no", "yes", 1, 1, 0)
	run.Values[1].Fitted = []guide.ID{"COVER"}
	g := conditioned([]guide.Condition{run}, part("COVER", off(2, 3)),
		part("X", with(replaced(5, "COVER"), "running=no"), with(checked(1, "COVER"), "running=no")))
	g.Checks = []guide.Check{
		{ID: "IDLE", Name: "idle speed", At: "data link", With: reqs("running=yes"), Minutes: 4 * time.Minute},
		{ID: "TIGHT", Name: "tightness", At: "everywhere", With: reqs("running=yes"), Closed: true, Minutes: 4 * time.Minute},
		{ID: "OPEN", Name: "leak", At: "under the cover", Point: "X", With: reqs("running=yes"), Minutes: time.Minute},
	}
	first := func(r *plan.Request) { r.Tasks[0].Before = true }
	last := func(r *plan.Request) { r.Tasks[0].Proof = true }
	found := func(r *plan.Request) {
		r.Tasks[0].Before = true
		r.Given = []plan.Setting{{Condition: "running", Value: "yes"}}
		r.LeaveOpen = []guide.ID{"running"}
	}
	ordered := func(r *plan.Request) { r.Tasks[1].After, r.Tasks[2].After = []int{0}, []int{1} }
	circle := func(r *plan.Request) { r.Tasks[0].After, r.Tasks[1].After = []int{1}, []int{0} }
	idle, tight := want("check:IDLE", "replace:X"), want("check:TIGHT", "replace:X")
	return []KnownCase{
		known("running before the strip", "start 1, check 4, stop 1, cover 2 + 3, work 5", 16, g, but(idle, first)),
		known("found running", "it runs already and need not run at the end: 4 + 1 + 2 + 5 + 3", 15, g, but(idle, found)),
		known("proof after the refit", "cover 2, work 5, cover 3, start 1, check 4, stop 1", 16, g, but(tight, last)),
		known("one strip", "look, check and work in any order share one strip: 5 + 1 + 6 + 5", 17, g, want("check:X", "check:IDLE", "replace:X")),
		known("second strip", "the check between look and work wants the cover fitted: two strips", 22, g, but(want("check:X", "check:IDLE", "replace:X"), ordered)),
		impossible("open and running", "the check needs the cover off and the engine running", g, want("check:OPEN")),
		impossible("ordered in a circle", "each task must come after the other", g, but(idle, circle)),
	}
}

func values() []KnownCase {
	lift := guide.Condition{
		ID: "lift", Name: "lift", Start: "floor", Values: []guide.Value{{ID: "floor"}, {ID: "half"}, {ID: "top"}},
		Changes: []guide.Change{
			{From: "floor", To: "half", Minutes: mins(2)},
			{From: "half", To: "top", Minutes: mins(2)},
			{From: "floor", To: "top", Minutes: mins(7)},
			{From: "top", To: "floor", Minutes: mins(3)},
			{From: "half", To: "floor", Minutes: mins(1)},
		},
	}
	raised := condition("raised", "no", "yes", 4, 3, 0)
	coolant := condition("coolant", "full", "drained", 15, 32, 0)
	for i := range coolant.Changes {
		coolant.Changes[i].With, coolant.Changes[i].Needs = reqs("raised=yes"), []guide.Need{{Item: "TRAY"}}
	}
	wet := conditioned([]guide.Condition{raised, coolant}, part("TRAY", with(off(5, 6), "raised=yes")), part("X", with(replaced(6), "coolant=drained")))
	wet.Fluids = []guide.Fluid{{ID: "coolant", Name: "coolant", PerLitre: 850}}
	wet.Conditions[1].Changes[1].Uses = []guide.Use{{Count: 0.4, Litres: true, What: "coolant"}}
	battery := condition("battery", "on", "off", 2, 4, 0)
	battery.End = "on"
	leave := func(r *plan.Request) { r.LeaveOpen = []guide.ID{"coolant"} }
	rate := func(r *plan.Request) { r.Rate = money.PerHour(6000) }
	dead := func(r *plan.Request) { r.Given = []plan.Setting{{Condition: "battery", Value: "off"}} }
	return []KnownCase{
		known("by steps", "two short changes beat the long one: 2 + 2 + 1 + 3", 8, conditioned([]guide.Condition{lift}, part("X", with(replaced(1), "lift=top"))), want("replace:X")),
		known("drain", "raised 4 + 3, tray 5 + 6, drain 15, work 6, fill 32", 71, wet, want("replace:X")),
		byMoney(known("drain by money", "the same at a minute for 1.00, and 0.4 L at 8.50", 0, wet, but(want("replace:X"), rate)), 7100+340),
		known("left drained", "no filling: 4 + 5 + 15 + 6 + 6 + 3", 39, wet, but(want("replace:X"), leave)),
		known("brought to its end", "the battery was found off and must be on", 4, conditioned([]guide.Condition{battery}), but(plan.Request{}, dead)),
	}
}
