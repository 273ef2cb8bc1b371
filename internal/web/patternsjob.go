package web

import (
	"html/template"
	"math"

	"elbowroom/app"
	"elbowroom/reading/record"
)

// cannedJob are the parts of the page about a job, in each of their states.
type cannedJob struct {
	Nexts    []nextView
	Entries  []*entryView
	Suspects []suspectRow
	Log      []logRow
	Recorded []*recordedView
	Forms    []recordingForm
}

func canJob() cannedJob {
	return cannedJob{
		Nexts: cannedNexts(), Entries: cannedEntries(), Log: cannedLog(),
		Suspects: []suspectRow{
			{Name: "Water in the connector", ID: "F1", Bay: "#", Share: "62 %", Range: say("job.range", "48 %", "71 %"), Width: 620, Low: 480, Span: 230, Done: "#", For: []spokeRow{{"T1: 38 kΩ", "× 12", false}, {"“lazy when wet”", "× 2.1", true}}, Against: []spokeRow{{"T2: 1.1 nF", "× 0.4", false}}},
			{Name: "Broken screen of the lead", ID: "F2", Share: "< 1 %", Range: say("job.range", "0 %", "2 %"), Width: 4, Span: 20, Excluded: "T2: 1.1 nF", Repaired: true},
		},
		Recorded: []*recordedView{cannedRecorded(), {Files: []recordedFile{{ID: "empty-file", Name: "parking.csv", Says: say("recording.used.partly", 12, lasting(6)), Form: "UTF-8", Findings: []string{say("recording.at", 7, 3, "A word where a number belongs: “n/a”")}}}}},
		Forms:    cannedForms(),
	}
}

func cannedNexts() []nextView {
	check := nextView{
		Kind: "check", Head: say("next.check"), Title: "Insulation at the control unit", Money: "6.40 EUR", Minutes: "4 min", Reason: "It tells the connector from the sensors, and nothing has to come off.",
		Good: []string{"≥ 1 MΩ"}, At: "connector of the control unit, unplugged", Weak: []string{"The meter is overdue for its check."}, Assumed: []string{"how surely it fails"}, Standing: true, Plan: "#", Bay: "#",
		RunnerUp: "Repair the connector", Loses: "14.20 EUR", Expected: "98.00 EUR", Falls: say("next.falls", "40.00 EUR", "80.00 EUR", "180.00 EUR"), Proved: say("next.gap", "2.10 EUR"), Stop: "Checking still pays.",
		Results: []resultRow{{"right fails", "48 %", "repair the connector", "61.00 EUR", []string{"water in the connector 88 %"}}, {"passes", "52 %", "measure the left one", "120.00 EUR", nil}},
		Predict: []predictRow{{"Water in the connector", "right fails", "95 %"}}, Learned: []learnedRow{{"Capacitance", "2.80 EUR", "9.10 EUR", "#"}},
		Offers: []offerRow{{"Repair the connector", "38.00 EUR", "112.00 EUR", "14.20 EUR"}}, Depends: []string{"holds while water in the connector stays under 80 %"},
		Tree: &branchView{Step: "Insulation", Remains: "98.00 EUR", Branches: []*branchView{{Result: "fails", Chance: "48 %", Step: "repair", Remains: "61.00 EUR"}, {Result: "passes", Chance: "52 %", Step: "capacitance", Remains: "120.00 EUR", More: true}}},
	}
	repair := nextView{Kind: "repair", Head: say("next.repair"), Title: "Dry and seal the connector", Money: "38.00 EUR", Minutes: "31 min", Reason: "It is nearly certain by now.", Done: []link{{Text: say("done.repaired"), Href: "#"}}, Stop: "Enough is known to quote.", Expected: "61.00 EUR"}
	none := nextView{Kind: "none", Head: say("next.none"), Reason: "No course ends this job for certain.", Impossible: true}
	return []nextView{check, repair, none}
}

func cannedEntries() []*entryView {
	full := &entryView{
		Check: "T1", Name: "Insulation", At: "connector of the control unit", Good: []string{">= 1 MΩ"},
		Values:  []valueField{{Name: "v0", Label: "Right probe (P1)", Unit: "MΩ", Unitname: "uv0", Signname: "sv0", Signs: signs, Units: []offer{{"MΩ", "MΩ", true}, {"kΩ", "kΩ", false}}}},
		Numbers: []valueField{{Name: "n0", Label: "Ambient", Says: "10 to 40 °C", Held: "ambient 10..40 °C", Unit: "°C", Unitname: "un0"}},
		Claims:  []claimField{{Name: "c0", Text: "square wave"}}, Words: []wordField{{"dry", true}, {"unplugged", false}}, Set: []string{"key off"},
		Places: []offer{{Value: "X1", Text: say("entry.place", "X1", "judged as T2")}, {Value: "X2", Text: say("entry.place", "X2", "limit carried there: 0.58..0.68 Ω")}},
		Using:  []offer{{"meter", "insulation meter 50 V", true}}, Planned: true, AfterSays: []string{"cover plate (C1) off"}, Close: "#", Recording: "#",
	}
	wrong := &entryView{
		Check: "T2", Name: "Capacitance", Error: say("entry.wrong"), Details: []string{"Unknown unit: “kX”; a unit like V, mV, kΩ; write 38 kΩ"}, Close: "#", Recording: "#",
		Values: []valueField{{Name: "v0", Label: say("entry.value"), Value: "38 kX", Unit: "pF", Unitname: "uv0"}}, Extra: "smells",
	}
	return []*entryView{full, wrong}
}

func cannedLog() []logRow {
	return []logRow{
		{Check: "T1 insulation", Text: "right 38 kΩ", Verdict: say("verdict.bad"), Kind: "bad", Says: "right: 38 kΩ is outside the limit of at least 1 MΩ", Drop: "#", Label: say("job.drop", "T1")},
		{Check: "T3 at X2: coil resistance", Text: "0.62 Ω", Verdict: say("verdict.good"), Kind: "good", Says: "0.62 Ω is inside the limit", Drop: "#", Label: say("job.drop", "T3"), Limit: []string{"the limit 0.50..0.60 Ω of T3 carried to X2 is 0.58..0.68 Ω", "36.4 mΩ more: 1.4 m of 0.75 mm²"}},
		{Check: "T4 drop", Text: "31 °C", Verdict: say("verdict.none"), Kind: "none", Says: "coolant: not met, 5 K below 85 °C", Anyway: "#", Drop: "#", Label: say("job.drop", "T4")},
		{Text: "repaired F1", Kind: "repaired", Says: "dry, seal", Drop: "#", Label: say("job.drop", "F1")},
	}
}

// cannedTrace is one channel that falls while it is asked for more.
func cannedTrace(channel, unit string, idle, load float64) record.Trace {
	t := record.Trace{Channel: channel, Unit: unit, Step: 1}
	for i := range 60 {
		v := idle
		if i >= 20 && i < 45 {
			v = load
		}
		t.Least, t.Most = append(t.Least, v*0.995), append(t.Most, v*1.005)
	}
	return t
}

func cannedRecorded() *recordedView {
	plot := record.Plot{To: 60, Panels: []record.Panel{
		{Trace: cannedTrace("fuel pressure", "bar", 5, 3.1), Bounds: []record.Bound{{Low: 4.3, High: math.Inf(1), Of: "limit"}}}, {Trace: cannedTrace("speed", "rpm", 750, 3500)},
	}, Marks: []record.Mark{{From: 22, To: 45, Letter: "A", Says: "stretch A: fuel pressure is 3.1 bar on average"}}}
	row := recordedRow{
		ID: "T5", Name: "Fuel pressure under load", Kind: "bad", Verdict: say("verdict.bad"), Says: "Non-conforming in all stretches: 1.", Limit: "≥ 4.3 bar", Guess: "“fuel pressure” is written for fuel pressure",
		// made by package record, which escapes every text
		Narrow: template.HTML(plot.SVG("canned-n", record.Phone)), Wide: template.HTML(plot.SVG("canned-w", record.Desktop)),
		Stretches: []stretchRow{{Letter: "A", Time: say("recording.from-to", 22.0, 45.0), Lines: say("recording.from-lines", 112, 226), Value: "3.102 ± 0.01 bar", Kind: "bad", Verdict: say("verdict.bad"), Says: "3.1 bar is outside the limit of at least 4.3 bar by 1.2 bar", Remarks: []string{"guessed, settle it: LPFP"}, Take: "#", Best: true}},
	}
	timed := recordedRow{
		ID: "T6", Name: "Time until the coolant reading is 82 °C", Kind: "good", Verdict: say("verdict.good"), Says: "Conforming in all stretches: 1.", Limit: "≤ 9 min",
		Stretches: []stretchRow{{Letter: "A", Time: say("recording.from-to", 20.0, 485.0), Lines: say("recording.from-lines", 4, 51), Value: "Time until coolant 82 °C: 7.75 min", Kind: "good", Verdict: say("verdict.good"), Says: "7.75 min is inside the limit of at most 9 min by 1.25 min", Take: "#", Best: true}},
	}
	never := recordedRow{
		ID: "T7", Name: "Idle air mass", Kind: "none", Verdict: say("verdict.none"), Says: "The conditions were never met at the same time.", Standing: []string{say("recording.standing", "coolant ≥ 80 °C", "0", "60", "21 °C", "44 °C")},
		Missing: []string{"no loads: no channel of the recording is known to be it"}, Confirm: []string{"no loads"}, Short: []string{say("recording.short", 12.0, 16.0, "speed left 700..800 rpm")},
	}
	return &recordedView{
		Files: []recordedFile{{
			ID: "canned-file", Name: "drive.csv", Says: say("recording.used.whole", 700, lasting(139)), Captured: "A capture of a bus: 1800 frames, in which 7E8 sent 2 channels.", Checks: []recordedRow{row, timed, never}, Form: "UTF-8, semicolon between the cells, decimal point",
			Counts: []countGroup{{say("recording.lines"), []app.Counted{{What: "rows of values", N: 700, Used: true}, {What: "of words", N: 2}}}}, Undrawn: 2,
		}},
		Change: &changeView{Says: "After minus before is 1.8 bar ± 0.1 bar.", Alike: []string{say("recording.alike", "speed", "250", "rpm")}, Guesses: []string{"ECT: coolant"}},
	}
}

func cannedForms() []recordingForm {
	checks := []offer{{Text: say("recording.every")}, {Value: "T5", Text: "T5 fuel pressure under load", Here: true}}
	settle := channelField{
		Key: "0", Name: "LPFP", Label: "LPFP", Is: "not used", Guess: "no known name is like it", Meanings: []offer{{Text: say("recording.keep", "not used"), Here: true}, {Value: judgedHere, Text: say("recording.what-judged", "T5")}},
		Units: []offer{{Text: say("recording.unit-unknown"), Here: true}, {Value: "bar", Text: "bar"}},
	}
	return []recordingForm{
		{Checks: checks[:1], Back: "#", Most: mostRecording >> 20},
		{Checks: checks, Check: "T5", Name: "fuel pressure under load", Good: []string{">= 4.3 bar"}, Words: []wordField{{"full load", true}}, Said: "fan off", Judged: "rail pressure commanded minus rail pressure", Example: "fuel pressure", Channels: []channelField{settle}, More: 3, Back: "#", Most: mostRecording >> 20},
	}
}
